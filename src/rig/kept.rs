//! Runs that a project keeps, and runs for the rig made of them.

use thiserror::Error;

use super::{Row, Run, RunError};
use crate::project::{KeptRow, KeptRun, LoadKind};

/// The battery voltage where a run does not give it: that of a working charging system; common practice, no
/// source.
pub const BATTERY_V: f64 = 13.8;

/// Why the rows of a kept run do not make a run yet.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum KeptRunError {
    /// A mandatory number is missing.
    #[error("row {}: {column}: a number is missing", .row + 1)]
    Missing {
        /// Which row, counted from 0.
        row: usize,
        /// The column's name.
        column: &'static str,
    },
    /// A value out of range or out of order.
    #[error("row {}: {reason}", .row + 1)]
    Row {
        /// Which row, counted from 0.
        row: usize,
        /// What is wrong with it.
        reason: RunError,
    },
    /// Too few rows.
    #[error(transparent)]
    Run(RunError),
}

impl Run {
    /// The run that the rows make, with loads of that kind. Temperatures and throttle that were left out are
    /// unknown; a battery voltage that was left out is 13.8 V.
    ///
    /// # Errors
    /// [`KeptRunError`] naming the first row that is not finished, out of range or out of order.
    pub fn of_kept(kept: &KeptRun, load: LoadKind) -> Result<Self, KeptRunError> {
        let rows = kept.rows.iter().enumerate().map(|(row, kept)| {
            let there = |value: Option<f64>, column| value.ok_or(KeptRunError::Missing { row, column });
            Ok(Row {
                time_s: there(kept.time_s, "time")?,
                speed_rpm: there(kept.speed_rpm, "speed")?,
                load: there(kept.load, "load")?,
                coolant_c: kept.coolant_c,
                air_c: kept.air_c,
                battery_v: kept.battery_v.unwrap_or(BATTERY_V),
                throttle_pct: kept.throttle_pct,
                launch: kept.launch,
            })
        });
        let rows = rows.collect::<Result<_, KeptRunError>>()?;
        let placed = |reason: RunError| match reason.row() {
            Some(row) => KeptRunError::Row { row, reason },
            None => KeptRunError::Run(reason),
        };
        let run = Self::new(rows).map_err(placed)?;
        run.check_loads(load).map_err(placed)?;
        Ok(if kept.variation > 0.0 { run.unsteady(kept.variation, kept.varies_below_rpm) } else { run })
    }

    /// This run in the form that a project keeps, under a name: its rows and its own variation.
    pub fn to_be_kept(&self, name: String) -> KeptRun {
        let rows = self.rows().iter().map(KeptRow::from).collect();
        let (variation, varies_below_rpm) =
            self.own_variation().map_or((0.0, 0.0), |own| (own.variation, own.below_rpm));
        KeptRun { name, rows, variation, varies_below_rpm }
    }
}

impl From<&Row> for KeptRow {
    fn from(row: &Row) -> Self {
        Self {
            time_s: Some(row.time_s),
            speed_rpm: Some(row.speed_rpm),
            load: Some(row.load),
            coolant_c: row.coolant_c,
            air_c: row.air_c,
            battery_v: Some(row.battery_v),
            throttle_pct: row.throttle_pct,
            launch: row.launch,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;
    use crate::rig::BuiltIn;

    fn kept(rows: &[KeptRow]) -> KeptRun {
        KeptRun { name: "hill".into(), rows: rows.to_vec(), ..KeptRun::default() }
    }

    fn row(time_s: f64) -> KeptRow {
        KeptRow { time_s: Some(time_s), speed_rpm: Some(900.0), load: Some(20.0), ..KeptRow::default() }
    }

    #[test]
    fn what_was_left_out_is_not_known_and_the_battery_charges() {
        let run = Run::of_kept(&kept(&[row(0.0), row(1.5)]), LoadKind::Throttle).unwrap();
        let Row { coolant_c, battery_v, launch, .. } = run.rows()[1];
        assert_eq!((coolant_c, battery_v, launch), (None, 13.8, false));
    }

    #[test]
    fn what_is_wrong_is_told_by_row() {
        let told = |rows: &[KeptRow]| Run::of_kept(&kept(rows), LoadKind::Throttle).unwrap_err().to_string();
        let unfinished = KeptRow { load: None, ..row(1.0) };
        assert_eq!(told(&[row(0.0), unfinished]), "row 2: load: a number is missing");
        assert_eq!(told(&[row(0.0), row(0.0)]), "row 2: time_s 0 is not after 0 of the row before; times must rise");
        let high = KeptRow { load: Some(150.0), ..row(1.0) };
        assert!(told(&[row(0.0), high]).starts_with("row 2: load 150 "), "{}", told(&[row(0.0), high]));
        assert_eq!(told(&[row(0.0)]), "a run needs two rows at least, and there is one");
    }

    #[test]
    fn every_built_in_run_can_be_kept_with_its_variation() {
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            for built_in in BuiltIn::ALL {
                let run = built_in.run(&project).unwrap();
                assert_eq!(run.own_variation().is_some(), built_in == BuiltIn::CrankAndStart);
                let kept = run.to_be_kept("kept".into());
                assert_eq!(Run::of_kept(&kept, project.sensors.load).unwrap(), run);
            }
        }
    }
}
