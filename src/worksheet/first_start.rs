//! Before the first start: while the engine is cranked without fuel, the timing light shows whether every coil
//! fires at its own mark.

use serde::Serialize;

use super::timing_light::PRESCRIPTION;
use super::{Gravity, Verdict, WorksheetError, as_words, check, check_field};
use crate::project::{LOCKED_TIMING_DEG, Parts, cautions, thresholds};
use crate::rig::CrankingSparks;
use crate::wording::{Unit, figure, fixed, quantity, settle, signed_figure, with_unit};

/// How precisely a light can be read while the starter turns the engine, apart from the effect of the varying
/// speed. Common practice, no source.
const READ_TO_DEG: f64 = 3.0;
/// A reading this close to where another coil should fire counts as that coil's; one tooth of the wheel is far
/// less.
const NEAR_ANOTHER_DEG: f64 = 15.0;
/// An offset this close to a whole number of pitches means a miscounted tooth.
const NEAR_WHOLE_PITCHES: f64 = 0.15;

/// What a coil should show while cranking.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FirstStartCoil {
    /// The coil's name.
    pub coil: String,
    /// The cylinders that it fires.
    pub cylinders: [u8; 2],
    /// How far the crank turns on, in its running direction, from the first pair's mark at the pointer to this
    /// pair's, in degrees.
    pub mark_after_first_deg: f64,
    /// What the light shows before that mark at even speed, with the plugs out.
    pub plugs_out_deg: f64,
    /// The least and the most that it shows with the plugs in, when the crank slows into every compression.
    pub plugs_in_deg: [f64; 2],
}

/// What to expect of a project's first cranking.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FirstStart {
    /// What is commanded while cranking, degrees before top dead centre.
    pub commanded_deg: f64,
    /// The cyclic variation of the speed with plugs in, as a share.
    pub variation: f64,
    /// The order in which the cylinders fire.
    pub firing_order: Vec<u8>,
    /// One for each coil, in the order in which they fire.
    pub coils: Vec<FirstStartCoil>,
    /// The lowest and highest battery voltage that the unit must work with.
    pub supply_v: [f64; 2],
    /// The dwell at the lowest, in ms.
    pub dwell_ms: f64,
    /// The current that it reaches, in A.
    pub current_a: f64,
    /// The energy stored at that current, in mJ.
    pub energy_mj: f64,
    #[serde(skip)]
    spacing_deg: f64,
    #[serde(skip)]
    pitch_deg: f64,
    #[serde(skip)]
    coil: crate::project::Coil,
}

/// What was seen, and what it means.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FirstStartAnswer {
    /// What the light showed for each coil before its own pair's mark, in degrees; `None` where it was not read.
    pub shown_deg: Vec<Option<f64>>,
    /// The supply at the unit while cranking, in V.
    pub supply_v: Option<f64>,
    /// What it means; the most serious first.
    #[serde(serialize_with = "as_words")]
    pub verdicts: Vec<FirstStartVerdict>,
}

/// What the first cranking reveals.
#[derive(Clone, Debug, PartialEq)]
pub enum FirstStartVerdict {
    /// A coil fires where another one should.
    Swapped {
        /// The coil.
        coil: String,
        /// The coil at whose place it fires.
        other: String,
    },
    /// A coil fires where none should.
    Elsewhere {
        /// The coil.
        coil: String,
        /// How far from where it should fire, in degrees.
        off_deg: f64,
    },
    /// All fire off by the same whole number of pitches.
    ReferenceOff {
        /// How many pitches.
        pitches: f64,
        /// How far, in degrees.
        off_deg: f64,
    },
    /// All fire off by the same angle.
    ZeroOff {
        /// How far, in degrees.
        off_deg: f64,
    },
    /// The supply falls below what the unit must work with.
    SupplyLow {
        /// The supply, in V.
        supply_v: f64,
        /// The lowest voltage set in the project, in V.
        lowest_v: f64,
    },
    /// The supply while cranking is enough.
    SupplyGood {
        /// The supply, in V.
        supply_v: f64,
        /// The current that the coil reaches at that voltage, in A.
        current_a: f64,
        /// The energy stored at that current, in mJ.
        energy_mj: f64,
    },
    /// Some coils have not been read yet.
    NotRead {
        /// Their names.
        coils: Vec<String>,
    },
    /// The supply has not been measured yet.
    NoSupply,
    /// Every coil fires at its own mark.
    InOrder,
}

impl Verdict for FirstStartVerdict {
    fn gravity(&self) -> Gravity {
        match self {
            Self::Swapped { .. } | Self::Elsewhere { .. } | Self::ReferenceOff { .. } | Self::ZeroOff { .. } => {
                Gravity::Obstacle
            }
            Self::SupplyLow { .. } => Gravity::Warning,
            Self::NotRead { .. } | Self::NoSupply => Gravity::Note,
            Self::SupplyGood { .. } | Self::InOrder => Gravity::Good,
        }
    }

    fn words(&self) -> String {
        match self {
            Self::Swapped { coil, other } => format!(
                "Coil {coil} fires where coil {other} should: outputs, plugs of the loom or leads are swapped. Put it right \
                 before there is fuel: the engine would fire into an open inlet."
            ),
            Self::Elsewhere { coil, off_deg } => format!(
                "Coil {coil} is {} off its own mark and at no other coil's either: look for a mark read at the wrong place, \
                 a light that loses count at this speed, or a pick-up on another lead.",
                signed_figure(*off_deg, Unit::Degree)
            ),
            Self::ReferenceOff { pitches, off_deg } => format!(
                "Every coil is {} off, about {} of the wheel: the reference was counted from another tooth. Prove dead \
                 centre, move the reference by {} and crank again.",
                signed_figure(*off_deg, Unit::Degree),
                with_unit(&fixed(*pitches, 0), Unit::Pitch),
                signed_figure(*off_deg, Unit::Degree)
            ),
            Self::ZeroOff { off_deg } => format!(
                "Every coil is off alike, by {}: that is the zero. Prove dead centre, then change the zero offset by about \
                 so much and crank again.",
                signed_figure(*off_deg, Unit::Degree)
            ),
            Self::SupplyLow { supply_v, lowest_v } => format!(
                "The supply falls to {} while cranking, below the {} that the project counts on: charge the battery, look \
                 at earth and supply of unit and coils, and take plugs out.",
                quantity(*supply_v, Unit::Volt),
                quantity(*lowest_v, Unit::Volt)
            ),
            Self::SupplyGood { supply_v, current_a, energy_mj } => format!(
                "The supply of {} is enough: the coil reaches {} and stores {}.",
                quantity(*supply_v, Unit::Volt),
                figure(*current_a, Unit::Ampere),
                figure(*energy_mj, Unit::Millijoule)
            ),
            Self::NotRead { coils } => {
                let word = if coils.len() == 1 { "coil" } else { "coils" };
                format!("Not read yet: {word} {}.", coils.join(", "))
            }
            Self::NoSupply => "The supply while cranking was not measured yet.".into(),
            Self::InOrder => {
                "Every coil fires at its own mark: the order is right, and the engine may be started with the timing \
                 locked."
                    .into()
            }
        }
    }
}

/// The steps under one heading.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Steps {
    /// What it is about.
    pub heading: &'static str,
    /// The steps, as sentences.
    pub steps: Vec<String>,
}

impl FirstStart {
    /// What to expect of a project's first cranking: the advance commanded by its limits, the angle of the
    /// sparks by the rig's closed form, and the coil at the lowest battery voltage.
    pub fn of(parts: &Parts) -> Self {
        let variation = thresholds::CRANKING_ERROR_VARIATION_PCT.of(parts) / 100.0;
        let [even, uneven] = [0.0, variation].map(|variation| CrankingSparks::new(parts, variation));
        let commanded_deg = even.commanded_deg();
        let spacing_deg = 720.0 / f64::from(parts.engine.cylinders);
        let shown = |sparks: &CrankingSparks, at: usize| settle(commanded_deg - sparks.late_deg(at).unwrap_or(0.0));
        let coil = |(at, channel): (usize, &crate::project::CoilChannel)| {
            let (out_deg, in_deg) = (shown(&even, at), shown(&uneven, at));
            FirstStartCoil {
                coil: channel.name.clone(),
                cylinders: channel.cylinders,
                mark_after_first_deg: f64::from(u16::try_from(at).unwrap_or(u16::MAX)) * spacing_deg,
                plugs_out_deg: out_deg,
                plugs_in_deg: [out_deg.min(in_deg), out_deg.max(in_deg)],
            }
        };
        let lowest_v = parts.sensors.lowest_battery_v;
        let dwell_ms = parts.coil.dwell_ms.lookup(lowest_v);
        let current_a = parts.coil.current_a(dwell_ms, lowest_v);
        Self {
            commanded_deg,
            variation,
            firing_order: parts.engine.firing_order.clone(),
            coils: parts.engine.channels.iter().enumerate().map(coil).collect(),
            supply_v: [lowest_v, parts.sensors.highest_battery_v],
            dwell_ms,
            current_a,
            energy_mj: parts.coil.energy_mj(current_a),
            spacing_deg,
            pitch_deg: parts.trigger.wheel.pitch_deg(),
            coil: parts.coil.clone(),
        }
    }

    /// What to do, in order.
    pub fn steps(&self) -> Vec<Steps> {
        let [lowest_v, highest_v] = self.supply_v.map(|volts| quantity(volts, Unit::Volt));
        let commanded = figure(self.commanded_deg, Unit::Degree);
        let first = self.coils.first();
        let first_coil = first.map(|coil| coil.coil.as_str()).unwrap_or_default();
        let first_cylinder = self.firing_order.first().copied().unwrap_or(1);
        let order: Vec<String> = self.firing_order.iter().map(u8::to_string).collect();
        let marks: Vec<String> = self.coils.iter().map(FirstStartCoil::words).collect();
        let (low, high) = self.coils.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), coil| {
            (low.min(coil.plugs_in_deg[0]), high.max(coil.plugs_in_deg[1]))
        });
        let safe = vec![
            "Prove the mark on the pulley first (true TDC).".to_owned(),
            "Fuel off: pump and injectors unplugged, or the float chambers empty. Gearbox in neutral.".to_owned(),
            "Plugs out: the speed is even and the battery spared. Every plug stays on its lead with its body on earth, far \
             from the plug holes. Plugs in works too, with readings that spread further."
                .to_owned(),
        ];
        let crank = vec![
            format!(
                "Clip the light to a lead of coil {first_coil}, crank, and read at the mark of cylinder {first_cylinder}. \
                 Commanded is {commanded} before top dead centre: with plugs out it shows that. With plugs in, at {} of \
                 speed variation, any coil may show {} to {}.",
                quantity(settle(self.variation * 100.0), Unit::Percent),
                figure(low, Unit::Degree),
                figure(high, Unit::Degree)
            ),
            format!(
                "Measure the supply at the unit meanwhile: at least {lowest_v}, at most {highest_v}. At {lowest_v} the \
                 dwell is {} and the coil stores {}.",
                figure(self.dwell_ms, Unit::Millisecond),
                figure(self.energy_mj, Unit::Millijoule)
            ),
            format!(
                "Then the other coils, each at the mark of its own pair. To find or make a pair's mark, set the mark of \
                 cylinder {first_cylinder} to the pointer and turn the crank in its running direction by the angle given \
                 here: the pair's mark is what then stands at the pointer. Firing order {}: {}. The order is right when \
                 each shows the same {commanded} there; both leads of a coil show it. A coil that shows it at another \
                 pair's mark is swapped with that one.",
                order.join("-"),
                marks.join("; ")
            ),
            "All off alike is the zero, off by whole teeth the reference: correct it and crank again before there is fuel."
                .to_owned(),
        ];
        let run = vec![
            format!(
                "Plugs in, fuel on, and a copy with the timing locked at {} in the unit. Start; stop at once when it kicks \
                 back or fires into inlet or exhaust.",
                quantity(LOCKED_TIMING_DEG, Unit::Degree)
            ),
            format!(
                "With the timing light {PRESCRIPTION}. Above 2500 rpm and at two advances or more the readings prove the zero."
            ),
            "Flash the real map again before the engine is driven.".to_owned(),
        ];
        vec![
            Steps { heading: "Make it safe", steps: safe },
            Steps { heading: "Crank and read", steps: crank },
            Steps { heading: "Then run it with the timing locked", steps: run },
        ]
    }

    /// The caution to show with it.
    pub fn caution() -> &'static str {
        cautions::FIRST_START
    }

    /// Judges what was seen. `shown_deg` has an entry for each coil: what the light shows before its own pair's
    /// mark.
    ///
    /// # Errors
    /// [`WorksheetError`] for a value out of range.
    pub fn judge(&self, shown_deg: &[Option<f64>], supply_v: Option<f64>) -> Result<FirstStartAnswer, WorksheetError> {
        for (coil, shown) in self.coils.iter().zip(shown_deg) {
            let name = format!("coil {}, shown", coil.coil);
            shown.map_or(Ok(()), |deg| check_field("timing_light.readings[].observed_deg", &name, deg))?;
        }
        supply_v.map_or(Ok(()), |volts| check("supply", volts, 0.0, 60.0, Unit::Volt))?;
        let shown: Vec<Option<f64>> = (0..self.coils.len()).map(|at| shown_deg.get(at).copied().flatten()).collect();
        let mut verdicts = self.of_coils(&shown);
        verdicts.push(self.of_supply(supply_v));
        verdicts.sort_by_key(|verdict| std::cmp::Reverse(verdict.gravity()));
        Ok(FirstStartAnswer { shown_deg: shown, supply_v, verdicts })
    }

    fn of_supply(&self, supply_v: Option<f64>) -> FirstStartVerdict {
        let [lowest_v, _] = self.supply_v;
        match supply_v {
            None => FirstStartVerdict::NoSupply,
            Some(supply_v) if supply_v < lowest_v => FirstStartVerdict::SupplyLow { supply_v, lowest_v },
            Some(supply_v) => {
                let current_a = self.coil.current_a(self.coil.dwell_ms.lookup(supply_v), supply_v);
                FirstStartVerdict::SupplyGood { supply_v, current_a, energy_mj: self.coil.energy_mj(current_a) }
            }
        }
    }

    /// How far a coil fires from where it should: 0 within what it may show, otherwise −180..180 degrees.
    fn off_deg(&self, at: usize, shown_deg: f64) -> f64 {
        let Some(coil) = self.coils.get(at) else {
            return 0.0;
        };
        let [low, high] = coil.plugs_in_deg;
        let from_middle = wrapped(shown_deg - 0.5 * (low + high));
        if from_middle.abs() <= 0.5 * (high - low) {
            0.0
        } else {
            settle(from_middle - 0.5 * (high - low) * from_middle.signum())
        }
    }

    fn of_coils(&self, shown: &[Option<f64>]) -> Vec<FirstStartVerdict> {
        let read: Vec<(usize, f64)> =
            shown.iter().enumerate().filter_map(|(at, deg)| Some((at, self.off_deg(at, (*deg)?)))).collect();
        let name = |at: usize| self.coils.get(at).map(|coil| coil.coil.clone()).unwrap_or_default();
        let missing: Vec<String> =
            shown.iter().enumerate().filter(|(_, deg)| deg.is_none()).map(|(at, _)| name(at)).collect();
        let mut verdicts = Vec::new();
        let off: Vec<&(usize, f64)> = read.iter().filter(|(_, off)| off.abs() > READ_TO_DEG).collect();
        let swapped = |at: usize, off_deg: f64| {
            let coils = self.coils.len().max(1);
            (1..coils)
                .find(|by| {
                    let places = f64::from(u16::try_from(*by).unwrap_or(u16::MAX));
                    // A spark that comes that many channels later shows that many spacings less.
                    wrapped(off_deg + places * self.spacing_deg).abs() <= NEAR_ANOTHER_DEG
                })
                .map(|by| (at + by) % coils)
        };
        if let Some(alike_deg) = alike(&read, off.len()) {
            let pitches = alike_deg / self.pitch_deg;
            let whole = pitches.round();
            verdicts.push(if whole != 0.0 && (pitches - whole).abs() <= NEAR_WHOLE_PITCHES {
                FirstStartVerdict::ReferenceOff { pitches: whole, off_deg: settle(whole * self.pitch_deg) }
            } else {
                FirstStartVerdict::ZeroOff { off_deg: alike_deg }
            });
        } else {
            verdicts.extend(off.iter().map(|&&(at, off_deg)| match swapped(at, off_deg) {
                Some(other) => FirstStartVerdict::Swapped { coil: name(at), other: name(other) },
                None => FirstStartVerdict::Elsewhere { coil: name(at), off_deg },
            }));
        }
        if !missing.is_empty() {
            verdicts.push(FirstStartVerdict::NotRead { coils: missing });
        } else if off.is_empty() {
            verdicts.push(FirstStartVerdict::InOrder);
        }
        verdicts
    }
}

impl FirstStartCoil {
    /// 'coil B (cylinders 3 and 2) 180° on'. Neither 'after' nor 'behind' the first mark: the mark that reaches the
    /// pointer later lies against the rotation from the one that reaches it first.
    fn words(&self) -> String {
        let Self { coil, cylinders: [first, second], mark_after_first_deg, .. } = self;
        let place = match *mark_after_first_deg {
            0.0 => "at that mark itself".to_owned(),
            deg => format!("{} on", with_unit(&fixed(deg, 0), Unit::Degree)),
        };
        format!("coil {coil} (cylinders {first} and {second}) {place}")
    }
}

/// The mean by which the coils are off, if every coil that was read is off and all by the same amount; `None`
/// if that is so much that one of them may be firing in another coil's place.
fn alike(read: &[(usize, f64)], off: usize) -> Option<f64> {
    if off == 0 || off != read.len() || read.iter().any(|(_, off)| off.abs() > 90.0) {
        return None;
    }
    let (low, high) =
        read.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), (_, deg)| (low.min(*deg), high.max(*deg)));
    #[expect(clippy::cast_precision_loss, reason = "at most four coils")]
    let mean_deg = read.iter().map(|(_, deg)| deg).sum::<f64>() / read.len() as f64;
    (high - low <= READ_TO_DEG && mean_deg.abs() < 45.0 - NEAR_ANOTHER_DEG + READ_TO_DEG).then(|| settle(mean_deg))
}

fn wrapped(deg: f64) -> f64 {
    deg - 360.0 * (deg / 360.0).round()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, Project};

    fn project(cylinders: u8) -> Project {
        NewProject { name: "f".into(), cylinders, load: LoadKind::Throttle, speeds: 8, loads: 8 }.create().unwrap()
    }

    fn told(cylinders: u8, shown: &[f64], supply_v: Option<f64>) -> Vec<String> {
        let shown: Vec<Option<f64>> = shown.iter().map(|deg| Some(*deg)).collect();
        let found = FirstStart::of(&project(cylinders)).judge(&shown, supply_v).unwrap();
        found.verdicts.iter().map(Verdict::words).collect()
    }

    #[test]
    fn its_numbers_are_those_of_the_project() {
        let found = FirstStart::of(&project(6));
        assert_eq!(found.commanded_deg, 8.0);
        let marks: Vec<f64> = found.coils.iter().map(|coil| coil.mark_after_first_deg).collect();
        assert_eq!(marks, [0.0, 120.0, 240.0]);
        assert!(found.coils.iter().all(|coil| (coil.plugs_out_deg - 8.0).abs() < 1e-9));
        // The crank slows towards top dead centre, so sparks come early, never late.
        assert!(found.coils.iter().all(|coil| coil.plugs_in_deg[0] >= 8.0 - 1e-9 && coil.plugs_in_deg[1] > 8.0));
        let clamped = project(4).edit(|parts| parts.limits.clamp.ceiling_deg = 6.0).unwrap();
        assert_eq!(FirstStart::of(&clamped).commanded_deg, 6.0);
        // 7 ms at 8 V.
        assert_eq!((found.supply_v, found.dwell_ms), ([8.0, 15.0], 7.0));
        let words: Vec<String> = found.steps().into_iter().flat_map(|steps| steps.steps).collect();
        let all = words.join(" ");
        for part in [
            "8.00° before top dead centre",
            "at least 8 V, at most 15 V",
            "1-5-3-6-2-4",
            "coil B (cylinders 5 and 2)",
            "coil B (cylinders 5 and 2) 120° on",
            "coil C (cylinders 3 and 4) 240° on",
            "set the mark of cylinder 1 to the pointer and turn the crank in its running direction",
        ] {
            assert!(all.contains(part), "{part}: {all}");
        }
    }

    #[test]
    fn coils_at_their_own_marks_are_in_order() {
        let found = told(4, &[8.0, 8.5], Some(9.5));
        assert!(
            found[0].starts_with("Every coil fires at its own mark") || found[1].starts_with("Every coil fires"),
            "{found:?}"
        );
        assert!(found.iter().any(|words| words.starts_with("The supply of 9.5 V is enough")), "{found:?}");
        let found = told(4, &[8.0], None);
        assert!(
            found.contains(&"Not read yet: coil B.".to_owned())
                && found.iter().any(|words| words.contains("not measured"))
        );
        assert!(told(4, &[8.0, 8.0], Some(7.2))[0].contains("below the 8 V that the project counts on"));
    }

    #[test]
    fn a_swapped_coil_is_named_with_the_other() {
        // In a six, the outputs of the second and the third coil are swapped: the second coil fires 120° later, which
        // shows as 8 − 120, and the third 120° earlier, which shows as 8 + 120.
        let found = told(6, &[8.0, -112.0, 128.0], None);
        assert!(found[0].starts_with("Coil B fires where coil C should"), "{found:?}");
        assert!(found[1].starts_with("Coil C fires where coil B should"), "{found:?}");
        let found = told(4, &[-172.0, -172.0], None);
        assert!(
            found[0].starts_with("Coil A fires where coil B should")
                && found[1].starts_with("Coil B fires where coil A")
        );
        let found = told(8, &[8.0, 8.0, 98.0, -82.0], None);
        assert!(
            found[0].starts_with("Coil C fires where coil B should")
                && found[1].starts_with("Coil D fires where coil A")
        );
        assert!(told(4, &[8.0, 60.0], None)[0].starts_with("Coil B is +"));
    }

    #[test]
    fn all_off_alike_is_the_zero_or_the_reference() {
        let found = told(4, &[14.0, 14.5], None);
        assert!(found[0].starts_with("Every coil is off alike, by +"), "{found:?}");
        let shifted = FirstStart::of(&project(4)).coils[0].plugs_in_deg[1] + 10.0;
        let found = told(4, &[shifted, shifted], None);
        assert!(found[0].contains("about 1 pitch of the wheel") && found[0].contains("by +10.00°"), "{found:?}");
    }

    #[test]
    fn values_out_of_range_are_named() {
        let found = FirstStart::of(&project(4));
        let error = found.judge(&[Some(200.0)], None).unwrap_err().to_string();
        assert_eq!(error, "coil A, shown: 200 is outside −180..180°");
        assert!(found.judge(&[], Some(-1.0)).is_err());
    }
}
