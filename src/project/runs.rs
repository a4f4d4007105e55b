//! Runs for the rig that are kept in the project, as they were typed.

use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::Fault;

/// The most rows that all runs of a project have together: every change of a project looks at all of them. A
/// longer run stays in a file of its own.
pub const MOST_RUN_ROWS: usize = 2_000;

/// A named run: what drives the rig, row by row. Rows may be unfinished; whether they make a run is checked
/// when it is put on the rig.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptRun {
    /// Its name; no two runs share one.
    pub name: String,
    /// Its rows, in the columns of a run file.
    pub rows: Vec<KeptRow>,
    /// Cyclic variation of the speed, 0..=0.5 of it; 0 for none. A starter turns an engine unevenly.
    #[serde(default)]
    pub variation: f64,
    /// The variation holds where the speed is below this, in rpm.
    #[serde(default)]
    pub varies_below_rpm: f64,
}

/// A row of a run; `None` for values that were not typed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptRow {
    /// When, in seconds.
    pub time_s: Option<f64>,
    /// Crank speed in rpm.
    pub speed_rpm: Option<f64>,
    /// Load in the project's load unit.
    pub load: Option<f64>,
    /// Coolant temperature in °C.
    pub coolant_c: Option<f64>,
    /// Intake air temperature in °C.
    pub air_c: Option<f64>,
    /// Battery voltage in V.
    pub battery_v: Option<f64>,
    /// Throttle opening in %.
    pub throttle_pct: Option<f64>,
    /// Whether the launch switch is closed, from this row to the next.
    pub launch: bool,
}

/// What is wrong among the runs of a project, if anything is.
pub(super) fn check(runs: &[Arc<KeptRun>]) -> Result<(), Fault> {
    for (index, run) in runs.iter().enumerate() {
        let fault = |message: String| Fault::new(format!("runs[{index}].name"), message);
        if run.name.trim().is_empty() {
            return Err(fault("a run needs a name".into()));
        }
        if runs.iter().take(index).any(|other| other.name == run.name) {
            return Err(fault(format!("two runs are called '{}'", run.name)));
        }
    }
    let rows: usize = runs.iter().map(|run| run.rows.len()).sum();
    if rows > MOST_RUN_ROWS {
        return Err(Fault {
            path: "runs".into(),
            message: format!("{rows} rows of runs are too many; a project has at most {MOST_RUN_ROWS}"),
            hint: "keep the longer runs as files".into(),
        });
    }
    Ok(())
}
