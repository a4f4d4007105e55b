//! The coil: how long it must charge, what energy it then stores, and whether there is time for it.

use serde::Serialize;

use super::{Gravity, Verdict, WorksheetError, as_words, check, check_field};
use crate::project::{Coil, Parts, Project};
use crate::table::Curve;
use crate::wording::{Unit, figure, quantity, settle};

/// A spark below this may fail under load; common practice, no source.
const WEAK_MJ: f64 = 30.0;
/// Where the desired current cannot be reached, the dwell proposed leads to this share of the final current.
const NEAR_ALL: f64 = 0.9;

/// The input of the coil worksheet.
#[derive(Clone, Debug, PartialEq)]
pub struct CoilQuestion {
    /// Coils, loom and driver, with the present dwell curve.
    pub coil: Coil,
    /// The primary current to reach, in A.
    pub current_a: f64,
    /// The highest speed at which the coils fire, in rpm.
    pub limit_rpm: f64,
    /// Battery voltages to compute, rising, in V.
    pub voltages: Vec<f64>,
    /// The lowest voltage to expect while cranking, in V.
    pub lowest_v: f64,
    /// The highest voltage to expect while charging, in V.
    pub highest_v: f64,
}

impl CoilQuestion {
    /// The usual charging current of a coil, an eighth below its rating in A; common practice, no source.
    pub fn usual_current_a(rated_a: f64) -> f64 {
        settle(rated_a * 0.875)
    }

    /// For a project: its coil at the usual current, its highest speed, the voltages of its dwell curve.
    pub fn of(parts: &Parts) -> Self {
        Self {
            coil: parts.coil.clone(),
            current_a: Self::usual_current_a(parts.coil.rated_current_a),
            limit_rpm: parts.top_speed_rpm(),
            voltages: parts.coil.dwell_ms.axis().breakpoints().to_vec(),
            lowest_v: parts.sensors.lowest_battery_v,
            highest_v: parts.sensors.highest_battery_v,
        }
    }
}

/// The coils at one battery voltage.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CoilRow {
    /// The voltage, in V.
    pub battery_v: f64,
    /// The final current, in A.
    pub attainable_a: f64,
    /// The dwell to the desired current, in ms; `None` where it is never reached.
    pub dwell_ms: Option<f64>,
    /// The dwell proposed, in ms: the same, or the dwell to nine tenths of the final current; rounded to
    /// hundredths, as dwell curves are set. This is what `apply` puts into the project.
    pub proposed_ms: f64,
    /// The energy stored after the dwell proposed, in mJ.
    pub energy_mj: f64,
    /// The share of a revolution at the limit for which the coil charges with the proposed dwell; above 1 it cannot
    /// fit, and just below 1 the burn time leaves no room for it.
    pub duty: f64,
    /// The dwell of the present curve, in ms.
    pub curve_ms: f64,
    /// The current that the present curve leads to, in A.
    pub curve_a: f64,
    /// The energy that the present curve stores, in mJ.
    pub curve_mj: f64,
}

/// What the coil's figures mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CoilVerdict {
    /// The current is more than the coil is rated for.
    OverRated {
        /// At which voltage, if it follows from the curve's dwell; `None` if it is the desired current.
        battery_v: Option<f64>,
        /// The current.
        current_a: f64,
        /// What the coil is rated for.
        rated_a: f64,
    },
    /// The dwell of the present curve does not fit into what a revolution at the limit leaves for charging.
    TooLong {
        /// At which voltage.
        battery_v: f64,
        /// The dwell.
        dwell_ms: f64,
        /// The time there is.
        available_ms: f64,
    },
    /// The spark is weak where it matters most.
    Weak {
        /// At which voltage.
        battery_v: f64,
        /// The energy stored.
        energy_mj: f64,
    },
    /// The desired current is never reached.
    OutOfReach {
        /// At which voltage.
        battery_v: f64,
        /// The final current.
        attainable_a: f64,
    },
    /// The present curve fits.
    Fits {
        /// The time there is at the limit.
        available_ms: f64,
    },
}

impl Verdict for CoilVerdict {
    fn gravity(&self) -> Gravity {
        match self {
            Self::OverRated { .. } | Self::TooLong { .. } => Gravity::Warning,
            Self::Weak { .. } | Self::OutOfReach { .. } => Gravity::Note,
            Self::Fits { .. } => Gravity::Good,
        }
    }

    fn words(&self) -> String {
        match *self {
            Self::OverRated { battery_v: Some(battery_v), current_a, rated_a } => format!(
                "The dwell curve drives {} at {}, more than the {} the coil is rated for: shorten the dwell there.",
                figure(current_a, Unit::Ampere),
                quantity(battery_v, Unit::Volt),
                quantity(rated_a, Unit::Ampere)
            ),
            Self::OverRated { current_a, rated_a, .. } => {
                format!(
                    "{} is more than the {} the coil is rated for.",
                    quantity(current_a, Unit::Ampere),
                    quantity(rated_a, Unit::Ampere)
                )
            }
            Self::TooLong { battery_v, dwell_ms, available_ms } => format!(
                "{} at {} do not fit into the {} there are at the limit: the charge is shortened there, and the \
                 spark is weaker.",
                figure(dwell_ms, Unit::Millisecond),
                quantity(battery_v, Unit::Volt),
                figure(available_ms, Unit::Millisecond)
            ),
            Self::Weak { battery_v, energy_mj } => format!(
                "The dwell curve stores {} at {}: little for a start. Charge longer there.",
                figure(energy_mj, Unit::Millijoule),
                quantity(battery_v, Unit::Volt)
            ),
            Self::OutOfReach { battery_v, attainable_a } => format!(
                "At {} the current comes to {} at most: the dwell goes to nine tenths of that.",
                quantity(battery_v, Unit::Volt),
                figure(attainable_a, Unit::Ampere)
            ),
            Self::Fits { available_ms } => {
                format!(
                    "Good: the dwell fits into the {} there are at the limit.",
                    figure(available_ms, Unit::Millisecond)
                )
            }
        }
    }
}

/// The output of the coil worksheet: dwell, time, duty and energy.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CoilAnswer {
    /// The desired current, in A.
    pub current_a: f64,
    /// The energy it stores, in mJ.
    pub energy_mj: f64,
    /// The highest speed, in rpm.
    pub limit_rpm: f64,
    /// One revolution at it, in ms: a coil fires once in that time.
    pub revolution_ms: f64,
    /// What remains of a revolution for charging after the last spark has burnt, in ms.
    pub available_ms: f64,
    /// One row for each voltage.
    pub rows: Vec<CoilRow>,
    /// The coil that this was computed for, with the present dwell curve.
    #[serde(skip)]
    pub coil: Coil,
    /// What it means; the most serious first.
    #[serde(serialize_with = "as_words")]
    pub verdicts: Vec<CoilVerdict>,
}

impl CoilAnswer {
    /// Computes it from i(t) = (V − V_driver)/R·(1 − e^(−tR/L)), ½·L·i² and 60000/rpm ms per revolution.
    ///
    /// ```
    /// use sparkloft::project::SAMPLES;
    /// use sparkloft::worksheet::{CoilAnswer, CoilQuestion};
    ///
    /// let project = SAMPLES[0].project()?;
    /// let answer = CoilAnswer::of(&CoilQuestion::of(&project))?;
    /// let [first, .., last] = answer.rows.as_slice() else { return Err("no voltages".into()) };
    /// assert!(first.battery_v < last.battery_v && first.proposed_ms > last.proposed_ms);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`WorksheetError`] for a value out of range.
    pub fn of(question: &CoilQuestion) -> Result<Self, WorksheetError> {
        check_question(question)?;
        let CoilQuestion { ref coil, current_a, limit_rpm, .. } = *question;
        let revolution_ms = 60_000.0 / limit_rpm;
        let available_ms = revolution_ms - coil.burn_time_ms;
        let rows: Vec<CoilRow> =
            question.voltages.iter().map(|&battery_v| row(question, battery_v, revolution_ms)).collect();
        let verdicts = conclude(question, &rows, available_ms);
        let energy_mj = coil.energy_mj(current_a);
        let coil = coil.clone();
        Ok(Self { current_a, energy_mj, limit_rpm, revolution_ms, available_ms, rows, coil, verdicts })
    }

    /// The name of the step that applies it to a project.
    pub fn label(&self, project: &Project) -> String {
        let is_own = Coil { dwell_ms: project.coil.dwell_ms.clone(), ..self.coil.clone() } == project.coil;
        let set = if is_own { "dwell curve" } else { "coil values and dwell curve" };
        format!("Set {set} for {}", quantity(self.current_a, Unit::Ampere))
    }

    /// The project with the proposed dwell as its curve, to the bit, and with the coil it was computed for:
    /// with another coil that dwell would lead to another current.
    ///
    /// # Errors
    /// [`WorksheetError`] where the project cannot have such a curve.
    pub fn apply(&self, project: &Project) -> Result<Project, WorksheetError> {
        let points: Vec<(f64, f64)> = self.rows.iter().map(|row| (row.battery_v, row.proposed_ms)).collect();
        let curve = Curve::from_points(&points).map_err(|error| WorksheetError::Contradiction(error.to_string()))?;
        Ok(project.edit(|parts| parts.coil = Coil { dwell_ms: curve, ..self.coil.clone() })?)
    }
}

fn check_question(question: &CoilQuestion) -> Result<(), WorksheetError> {
    let coil = &question.coil;
    check_field("coil.resistance_ohm", "resistance", coil.resistance_ohm)?;
    check_field("coil.inductance_mh", "inductance", coil.inductance_mh)?;
    check_field("coil.temperature_c", "coil temperature", coil.temperature_c)?;
    check_field("coil.harness_ohm", "harness", coil.harness_ohm)?;
    check_field("coil.driver_drop_v", "driver drop", coil.driver_drop_v)?;
    check_field("coil.burn_time_ms", "burn time", coil.burn_time_ms)?;
    check_field("coil.rated_current_a", "rated current", coil.rated_current_a)?;
    coil.current_limit_a.map_or(Ok(()), |limit_a| check_field("coil.current_limit_a", "current limit", limit_a))?;
    check_field("coil.rated_current_a", "current", question.current_a)?;
    check("limit", question.limit_rpm, 100.0, 30_000.0, Unit::Rpm)?;
    for &battery_v in question.voltages.iter().chain([&question.lowest_v, &question.highest_v]) {
        check("battery", battery_v, 4.0, 60.0, Unit::Volt)?;
    }
    if question.voltages.is_empty() || question.voltages.windows(2).any(|pair| pair[0] >= pair[1]) {
        return Err(WorksheetError::Contradiction("battery voltages must rise, and there must be one at least".into()));
    }
    Ok(())
}

fn row(question: &CoilQuestion, battery_v: f64, revolution_ms: f64) -> CoilRow {
    let coil = &question.coil;
    let attainable_a = coil.attainable_a(battery_v);
    let dwell_ms = coil.dwell_ms_to(question.current_a, battery_v);
    let exact_ms = dwell_ms.or_else(|| coil.dwell_ms_to(NEAR_ALL * attainable_a, battery_v)).unwrap_or(0.0);
    let proposed_ms = settle((exact_ms * 100.0).round() / 100.0);
    let curve_ms = coil.dwell_ms.lookup(battery_v);
    let curve_a = coil.current_a(curve_ms, battery_v);
    CoilRow {
        battery_v,
        attainable_a,
        dwell_ms,
        proposed_ms,
        energy_mj: coil.energy_mj(coil.current_a(proposed_ms, battery_v)),
        duty: proposed_ms / revolution_ms,
        curve_ms,
        curve_a,
        curve_mj: coil.energy_mj(curve_a),
    }
}

fn conclude(question: &CoilQuestion, rows: &[CoilRow], available_ms: f64) -> Vec<CoilVerdict> {
    let CoilQuestion { ref coil, current_a, lowest_v, highest_v, .. } = *question;
    let rated_a = coil.rated_current_a;
    let mut verdicts = Vec::new();
    if current_a > rated_a {
        verdicts.push(CoilVerdict::OverRated { battery_v: None, current_a, rated_a });
    }
    let overload = coil.overload(lowest_v, highest_v);
    verdicts.extend(overload.map(|(battery_v, current_a)| CoilVerdict::OverRated {
        battery_v: Some(battery_v),
        current_a,
        rated_a,
    }));
    // At the limit the generator charges, so what must fit there is the dwell at the charging voltage.
    let charging_ms = coil.dwell_ms.lookup(highest_v);
    if charging_ms > available_ms {
        verdicts.push(CoilVerdict::TooLong { battery_v: highest_v, dwell_ms: charging_ms, available_ms });
    } else {
        verdicts.push(CoilVerdict::Fits { available_ms });
    }
    let energy_mj = coil.energy_mj(coil.current_a(coil.dwell_ms.lookup(lowest_v), lowest_v));
    if energy_mj < WEAK_MJ {
        verdicts.push(CoilVerdict::Weak { battery_v: lowest_v, energy_mj });
    }
    let out_of_reach = rows.iter().rev().find(|row| row.dwell_ms.is_none());
    verdicts.extend(
        out_of_reach.map(|row| CoilVerdict::OutOfReach { battery_v: row.battery_v, attainable_a: row.attainable_a }),
    );
    verdicts.sort_by_key(|verdict| std::cmp::Reverse(verdict.gravity()));
    verdicts
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;
    use crate::project::{LoadKind, NewProject};

    fn project() -> Project {
        let new = NewProject { name: "c".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        // The expected figures are for this temperature.
        new.create().unwrap().edit(|parts| parts.coil.temperature_c = 60.0).unwrap()
    }

    fn bare() -> CoilQuestion {
        let mut question = CoilQuestion::of(&project());
        let coil = &mut question.coil;
        (coil.temperature_c, coil.harness_ohm, coil.driver_drop_v) = (20.0, 0.0, 0.0);
        question
    }

    /// 0.5 Ω and 3.7 mH without losses: ms to 7 A and energy, computed with NumPy; 60000/7000 − 1 = 7.5714 ms.
    #[test]
    fn agrees_with_figures_computed_elsewhere() {
        let found = CoilAnswer::of(&CoilQuestion { limit_rpm: 7000.0, ..bare() }).unwrap();
        assert_abs_diff_eq!(found.available_ms, 7.571_428_6, epsilon = 1e-7);
        assert_abs_diff_eq!(found.energy_mj, 90.65, epsilon = 1e-9);
        let dwells = [6.478_47, 4.257_69, 3.187_79, 2.551_82, 2.128_85, 1.826_76];
        for (row, dwell_ms) in found.rows.iter().zip(dwells) {
            assert_abs_diff_eq!(row.dwell_ms.unwrap(), dwell_ms, epsilon = 5e-6);
            assert_abs_diff_eq!(row.duty, row.proposed_ms * 7000.0 / 60_000.0, epsilon = 1e-12);
        }
    }

    /// 60 °C, 0.15 Ω of loom, 1.2 V at the driver: R = 0.728 Ω. Computed with NumPy.
    #[test]
    fn agrees_with_figures_with_losses() {
        let question = CoilQuestion { voltages: vec![6.0, 8.0, 12.0, 14.0, 16.0], ..CoilQuestion::of(&project()) };
        let found = CoilAnswer::of(&question).unwrap();
        let dwells = [None, Some(7.033_782_253), Some(3.244_505_864), Some(2.580_371_342), Some(2.145_232_601)];
        for (row, dwell_ms) in found.rows.iter().zip(dwells) {
            assert_eq!(row.dwell_ms.is_some(), dwell_ms.is_some());
            dwell_ms.inspect(|dwell_ms| assert_abs_diff_eq!(row.dwell_ms.unwrap(), *dwell_ms, epsilon = 1e-8));
            dwell_ms.inspect(|dwell_ms| assert_abs_diff_eq!(row.proposed_ms, *dwell_ms, epsilon = 0.005));
        }
        // Nine tenths of the final current: −(L/R)·ln 0.1 = 11.702 698 962 ms, in hundredths.
        assert_eq!(found.rows[0].proposed_ms, 11.7);
        assert_abs_diff_eq!(found.rows[0].attainable_a, 4.8 / 0.728, epsilon = 1e-12);
        assert!(found.verdicts.iter().any(|verdict| matches!(verdict, CoilVerdict::OutOfReach { .. })));
    }

    /// Duty of 3 ms at 1000, 6000 and 8000 rpm: 5, 30 and 40 %, by hand.
    #[test]
    fn duty_is_dwell_over_a_revolution() {
        for (limit_rpm, duty) in [(1000.0, 0.05), (6000.0, 0.30), (8000.0, 0.40)] {
            let mut question = CoilQuestion { limit_rpm, ..bare() };
            question.current_a = question.coil.current_a(3.0, 12.0);
            question.coil.rated_current_a = 12.0;
            let found = CoilAnswer::of(&question).unwrap();
            let at_12_v = found.rows.iter().find(|row| row.battery_v == 12.0).unwrap();
            assert_abs_diff_eq!(at_12_v.duty, duty, epsilon = 1e-12);
        }
    }

    fn flat(dwell_ms: f64) -> Curve {
        Curve::from_points(&[(6.0, dwell_ms), (16.0, dwell_ms)]).unwrap()
    }

    #[test]
    fn verdicts_name_what_is_wrong() {
        let verdicts = |change: fn(&mut CoilQuestion)| {
            let mut question = CoilQuestion::of(&project());
            change(&mut question);
            CoilAnswer::of(&question).unwrap().verdicts
        };
        assert!(matches!(
            verdicts(|_| ())[..],
            [CoilVerdict::OutOfReach { battery_v: 6.0, .. }, CoilVerdict::Fits { .. }]
        ));
        let long = verdicts(|question| question.coil.dwell_ms = flat(9.0));
        assert!(long.iter().any(|verdict| matches!(verdict, CoilVerdict::TooLong { battery_v: 15.0, .. })));
        assert!(long.iter().any(|verdict| matches!(verdict, CoilVerdict::OverRated { battery_v: Some(15.0), .. })));
        let weak = verdicts(|question| question.coil.dwell_ms = flat(2.0));
        assert!(weak.iter().any(|verdict| matches!(verdict, CoilVerdict::Weak { battery_v: 8.0, .. })));
        let between = verdicts(|question| {
            question.coil.dwell_ms = Curve::from_points(&[(8.0, 6.0), (15.0, 1.9)]).unwrap();
            question.coil.rated_current_a = 7.0;
        });
        let CoilVerdict::OverRated { battery_v: Some(battery_v), current_a, .. } = between[0] else {
            panic!("{between:?}")
        };
        assert!((battery_v - 11.5).abs() < 0.11 && (current_a - 7.64).abs() < 0.01, "{battery_v} {current_a}");
        let over = verdicts(|question| question.current_a = 9.0);
        assert!(over[0].words().starts_with("9 A is more than the 8 A"));
        let error = CoilAnswer::of(&CoilQuestion { voltages: vec![12.0, 12.0], ..bare() }).unwrap_err();
        assert!(error.to_string().contains("must rise"));
    }

    #[test]
    fn applying_sets_the_dwell_curve() {
        let project = project();
        let found = CoilAnswer::of(&CoilQuestion::of(&project)).unwrap();
        assert_eq!(found.label(&project), "Set dwell curve for 7 A");
        let coil = &found.apply(&project).unwrap().coil;
        assert_eq!((coil.dwell_ms.lookup(12.0), coil.dwell_ms.lookup(6.0)), (3.24, 11.7));
        let told: Vec<(f64, f64)> = found.rows.iter().map(|row| (row.battery_v, row.proposed_ms)).collect();
        assert_eq!(coil.dwell_ms, Curve::from_points(&told).unwrap(), "what is told is what is kept");
        for row in &found.rows {
            assert_eq!(row.energy_mj, coil.energy_mj(coil.current_a(row.proposed_ms, row.battery_v)));
        }
    }

    #[test]
    fn a_dwell_curve_goes_with_the_coil_it_was_worked_out_for() {
        let project = project();
        let coil = Coil { resistance_ohm: 0.9, rated_current_a: 9.0, ..project.coil.clone() };
        let found = CoilAnswer::of(&CoilQuestion { coil: coil.clone(), ..CoilQuestion::of(&project) }).unwrap();
        assert_eq!(found.label(&project), "Set coil values and dwell curve for 7 A");
        let applied = found.apply(&project).unwrap();
        assert_eq!((applied.coil.resistance_ohm, applied.coil.rated_current_a), (0.9, 9.0));
        let again = CoilAnswer::of(&CoilQuestion { coil: applied.coil.clone(), ..CoilQuestion::of(&project) }).unwrap();
        assert_eq!(again.apply(&applied).unwrap(), applied);
    }
}
