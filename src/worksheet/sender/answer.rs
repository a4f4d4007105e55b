//! A sender in its voltage divider: volts, counts, and how finely they resolve the temperature.

use serde::Serialize;

use super::SenderLaw;
use crate::project::{Project, Sender};
use crate::wording::{Unit, figure, fixed, given, quantity, settle, with_unit};
use crate::worksheet::{Gravity, Verdict, WorksheetError, as_words, check, check_field};

/// How the unit reads the sender: a resistor to the supply, and a converter whose full scale is the same supply.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Divider {
    /// The resistor from the sender to the supply, in Ω.
    pub pull_up_ohm: f64,
    /// The supply, in V.
    pub supply_v: f64,
    /// Bits of the converter.
    pub bits: u8,
}

impl Divider {
    /// Volts at the sender: supply·R/(R + pull-up).
    pub fn volts(&self, ohm: f64) -> f64 {
        self.supply_v * self.share(ohm)
    }

    /// What the converter reads: R/(R + pull-up) of its full count, rounded.
    pub fn counts(&self, ohm: f64) -> f64 {
        (self.share(ohm) * self.full_count()).round()
    }

    /// The resistance in Ω at a voltage; `None` at 0 V and at the supply, which no resistance gives.
    pub fn ohm(&self, volts: f64) -> Option<f64> {
        let share = volts / self.supply_v;
        (share > 0.0 && share < 1.0).then(|| self.pull_up_ohm * share / (1.0 - share))
    }

    /// The converter's full count.
    pub fn full_count(&self) -> f64 {
        f64::from((1_u32 << self.bits.min(24)) - 1)
    }

    fn share(&self, ohm: f64) -> f64 {
        ohm / (ohm + self.pull_up_ohm)
    }

    fn check(&self) -> Result<(), WorksheetError> {
        check_field("sensors.coolant.pull_up_ohm", "pull-up", self.pull_up_ohm)?;
        check("supply", self.supply_v, 1.0, 30.0, Unit::Volt)?;
        check("converter", f64::from(self.bits), 6.0, 24.0, Unit::Bit)
    }
}

/// One row of the table of a sender.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SenderRow {
    /// Temperature in °C.
    pub temperature_c: f64,
    /// Resistance in Ω.
    pub ohm: f64,
    /// Volts at the sender.
    pub volts: f64,
    /// What the converter reads.
    pub counts: f64,
    /// °C per count at that temperature.
    pub c_per_count: f64,
}

/// Which of the project's senders it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SenderPlace {
    /// In the coolant.
    Coolant,
    /// In the intake air.
    Air,
}

impl SenderPlace {
    /// Its name in sentences.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Coolant => "coolant",
            Self::Air => "air",
        }
    }

    /// The temperatures that matter, in °C: those of the trims and a little beyond.
    const fn matters_c(self) -> (f64, f64) {
        match self {
            Self::Coolant => (-20.0, 120.0),
            Self::Air => (-20.0, 80.0),
        }
    }
}

/// More °C per count than this is coarse; common practice, no source.
const COARSE_C: f64 = 1.5;
/// The table's temperatures, in °C.
const TABLE_C: [f64; 19] = [
    -40.0, -30.0, -20.0, -10.0, 0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0, 120.0, 130.0,
    140.0,
];

/// What the divider makes of the sender.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SenderVerdict {
    /// Somewhere in the range that matters, one count is too many degrees.
    Coarse {
        /// Where.
        temperature_c: f64,
        /// °C per count there.
        c_per_count: f64,
        /// A pull-up that serves both ends of the range equally well; `None` where the law does not reach both.
        better_ohm: Option<f64>,
    },
    /// The divider resolves temperatures well.
    Fine {
        /// The most °C per count in the range that matters.
        c_per_count: f64,
    },
}

impl Verdict for SenderVerdict {
    fn gravity(&self) -> Gravity {
        match self {
            Self::Coarse { .. } => Gravity::Note,
            Self::Fine { .. } => Gravity::Good,
        }
    }

    fn words(&self) -> String {
        match *self {
            Self::Coarse { temperature_c, c_per_count, better_ohm } => {
                let coarse = format!(
                    "One count is {} at {}: coarse.",
                    figure(c_per_count, Unit::Celsius),
                    quantity(temperature_c, Unit::Celsius)
                );
                match better_ohm {
                    Some(ohm) => {
                        let ohm = with_unit(&fixed(ohm, 0), Unit::Ohm);
                        format!("{coarse} A pull-up of about {ohm} serves both ends of the range alike.")
                    }
                    None => format!("{coarse} Choose a pull-up near what the sender has where it matters."),
                }
            }
            Self::Fine { c_per_count } => {
                format!("Good: one count is {} at most where it matters.", figure(c_per_count, Unit::Celsius))
            }
        }
    }
}

/// A sender, its law and its table.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SenderAnswer {
    /// Resistance over temperature.
    pub law: SenderLaw,
    /// What the unit reads, from −40 to 140 °C as far as the law reaches.
    pub rows: Vec<SenderRow>,
    /// What it means.
    #[serde(serialize_with = "as_words")]
    pub verdicts: Vec<SenderVerdict>,
    #[serde(skip)]
    divider: Divider,
    #[serde(skip)]
    points: [(f64, f64); 3],
    #[serde(skip)]
    place: SenderPlace,
}

impl SenderAnswer {
    /// The sender through three points of its data sheet, or by the β form through two; each point is a
    /// temperature in °C and a resistance in Ω. `place` decides which temperatures matter.
    ///
    /// # Errors
    /// [`WorksheetError`] for values out of range and for points that no sender has.
    pub fn of(points: &[(f64, f64)], divider: Divider, place: SenderPlace) -> Result<Self, WorksheetError> {
        divider.check()?;
        let (law, mut points) = match *points {
            [first, second] => {
                let law = SenderLaw::through_two([first, second])?;
                let middle_c = settle(0.5 * (first.0 + second.0));
                (law, [first, (middle_c, law.ohm(middle_c)?), second])
            }
            [first, second, third] => (SenderLaw::steinhart_hart([first, second, third])?, [first, second, third]),
            _ => {
                return Err(WorksheetError::Contradiction(
                    "two or three points of the data sheet are wanted, each a temperature and a resistance".into(),
                ));
            }
        };
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let row = |temperature_c: f64| {
            let ohm = law.ohm(temperature_c).ok()?;
            let c_per_count = c_per_count(&law, &divider, temperature_c)?;
            let (volts, counts) = (divider.volts(ohm), divider.counts(ohm));
            Some(SenderRow { temperature_c, ohm, volts, counts, c_per_count })
        };
        let rows: Vec<SenderRow> = TABLE_C.into_iter().filter_map(row).collect();
        let verdicts = conclude(&law, &rows, place);
        Ok(Self { law, rows, verdicts, divider, points, place })
    }

    /// How the unit reads it.
    pub fn divider(&self) -> &Divider {
        &self.divider
    }

    /// The name of the step that applies it.
    pub fn label(&self) -> String {
        let [(cold_c, _), _, (hot_c, _)] = self.points;
        format!(
            "Set {} sender by points from {} to {}",
            self.place.name(),
            given(cold_c, Unit::Celsius),
            quantity(hot_c, Unit::Celsius)
        )
    }

    /// The project with this sender fitted. For the β form, the third point is computed from the law, halfway
    /// between the two.
    ///
    /// # Errors
    /// [`WorksheetError`] where the project cannot have a point.
    pub fn apply(&self, project: &Project) -> Result<Project, WorksheetError> {
        let change = |sender: &mut Sender| {
            sender.points_c = self.points.map(|(celsius, _)| celsius);
            sender.points_ohm = self.points.map(|(_, ohm)| ohm);
            sender.pull_up_ohm = self.divider.pull_up_ohm;
            sender.fitted = true;
        };
        Ok(project.edit(|parts| {
            let (sender, path) = match self.place {
                SenderPlace::Coolant => (&mut parts.sensors.coolant, "sensors.coolant"),
                SenderPlace::Air => (&mut parts.sensors.air, "sensors.air"),
            };
            change(sender);
            parts.confirm(path);
        })?)
    }
}

/// °C per count, from a small change of temperature in either direction.
fn c_per_count(law: &SenderLaw, divider: &Divider, celsius: f64) -> Option<f64> {
    const STEP_C: f64 = 0.01;
    let share = |celsius: f64| Some(divider.share(law.ohm(celsius).ok()?));
    let per_c = (share(celsius - STEP_C)? - share(celsius + STEP_C)?) / (2.0 * STEP_C) * divider.full_count();
    Some(1.0 / per_c).filter(|c| c.is_finite())
}

fn conclude(law: &SenderLaw, rows: &[SenderRow], place: SenderPlace) -> Vec<SenderVerdict> {
    let (coldest_c, hottest_c) = place.matters_c();
    let matters = rows.iter().filter(|row| (coldest_c..=hottest_c).contains(&row.temperature_c));
    let Some(worst) = matters.max_by(|a, b| a.c_per_count.total_cmp(&b.c_per_count)) else {
        return Vec::new();
    };
    let SenderRow { temperature_c, c_per_count, .. } = *worst;
    if c_per_count <= COARSE_C {
        return vec![SenderVerdict::Fine { c_per_count }];
    }
    let ends = law.ohm(coldest_c).ok().zip(law.ohm(hottest_c).ok());
    let better_ohm = ends.map(|(cold, hot)| (cold * hot).sqrt());
    vec![SenderVerdict::Coarse { temperature_c, c_per_count, better_ohm }]
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;
    use crate::project::{LoadKind, NewProject};

    const DIVIDER: Divider = Divider { pull_up_ohm: 2200.0, supply_v: 5.0, bits: 10 };
    const POINTS: [(f64, f64); 3] = [(0.0, 5975.0), (50.0, 806.9), (100.0, 175.7)];

    /// A sender within common practice, no source, on 2.2 kΩ and 10 bits: R/(R + 2200)·1023, by hand.
    #[test]
    fn counts_agree_with_figures_computed_elsewhere() {
        let rows = [
            (48_805.0, 979.0),
            (5_975.0, 748.0),
            (2_502.0, 544.0),
            (1_152.0, 352.0),
            (308.6, 126.0),
            (175.7, 76.0),
            (105.4, 47.0),
        ];
        for (ohm, counts) in rows {
            assert_eq!(DIVIDER.counts(ohm), counts);
            assert_abs_diff_eq!(DIVIDER.ohm(DIVIDER.volts(ohm)).unwrap(), ohm, epsilon = 1e-9 * ohm);
        }
        assert_eq!((DIVIDER.ohm(0.0), DIVIDER.ohm(5.0)), (None, None));
    }

    /// Such a sender on 1 kΩ and 5 V shows about 3.6 V at 20 °C, 1.2 V at 80 °C and 1.0 V at 90 °C: common practice, no
    /// source. The one above comes to 3.57, 1.18 and 0.94 V.
    #[test]
    fn volts_are_those_of_common_practice() {
        let divider = Divider { pull_up_ohm: 1000.0, ..DIVIDER };
        for (ohm, volts) in [(2502.0, 3.6), (308.6, 1.2), (231.2, 1.0)] {
            assert_abs_diff_eq!(divider.volts(ohm), volts, epsilon = 0.07);
        }
    }

    #[test]
    fn the_table_has_its_rows_and_judges_the_pull_up() {
        let found = SenderAnswer::of(&POINTS, DIVIDER, SenderPlace::Coolant).unwrap();
        assert_eq!(found.rows.len(), 19);
        assert_eq!((found.rows[4].temperature_c, found.rows[4].counts), (0.0, 748.0));
        assert_abs_diff_eq!(found.rows[4].ohm, 5975.0, epsilon = 1e-6);
        // −(dT/dR)·(R + 2200)²/(2200·1023) at 120 °C: 0.92 °C, computed elsewhere from the law.
        let fine =
            matches!(found.verdicts[..], [SenderVerdict::Fine { c_per_count }] if (c_per_count - 0.92).abs() < 0.005);
        assert!(fine, "{:?}", found.verdicts);
        let large = Divider { pull_up_ohm: 47_000.0, ..DIVIDER };
        let found = SenderAnswer::of(&POINTS, large, SenderPlace::Coolant).unwrap();
        let SenderVerdict::Coarse { temperature_c, better_ohm: Some(better_ohm), .. } = found.verdicts[0] else {
            panic!("fine")
        };
        // √(15971·105.4), from the sender's rows at −20 and 120 °C.
        assert!(temperature_c == 120.0 && (better_ohm - 1297.0).abs() < 5.0, "{better_ohm}");
    }

    /// At −20 °C such a sender has more than 10 MΩ, which no law reaches.
    #[test]
    fn a_coarse_sender_is_coarse_though_an_end_is_out_of_reach() {
        let found = SenderAnswer::of(&[(25.0, 1_000_000.0), (100.0, 70_000.0)], DIVIDER, SenderPlace::Coolant).unwrap();
        assert!(found.law.ohm(-20.0).is_err());
        let [verdict @ SenderVerdict::Coarse { c_per_count, better_ohm: None, .. }] = found.verdicts[..] else {
            panic!("{:?}", found.verdicts)
        };
        assert!(c_per_count > 40.0, "{c_per_count}");
        assert!(verdict.words().ends_with("Choose a pull-up near what the sender has where it matters."));
    }

    #[test]
    fn two_points_or_three_are_applied_as_three() {
        let new = NewProject { name: "s".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let project = new.create().unwrap();
        let found = SenderAnswer::of(&[(90.0, 231.2), (20.0, 2502.0)], DIVIDER, SenderPlace::Air).unwrap();
        assert_eq!(found.label(), "Set air sender by points from 20 to 90 °C");
        let sender = found.apply(&project).unwrap().sensors.air.clone();
        assert_eq!(sender.points_c, [20.0, 55.0, 90.0]);
        assert!(sender.points_ohm[1] > 231.2 && sender.points_ohm[1] < 2502.0);
        let found = SenderAnswer::of(&POINTS, DIVIDER, SenderPlace::Coolant).unwrap();
        assert_eq!(found.apply(&project).unwrap().sensors.coolant.points_ohm, [5975.0, 806.9, 175.7]);
        assert!(SenderAnswer::of(&POINTS[..1], DIVIDER, SenderPlace::Coolant).is_err());
        let narrow = Divider { bits: 4, ..DIVIDER };
        let error = SenderAnswer::of(&POINTS, narrow, SenderPlace::Coolant).unwrap_err();
        assert_eq!(error.to_string(), "converter: 4 is outside 6..24 bits");
    }
}
