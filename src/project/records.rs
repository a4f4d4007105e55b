//! What the project remembers besides the setup: snapshots, timing-light readings, accepted findings, the last
//! export, and runs for the rig as they were typed.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::{Fault, Project, SensorKind, Wheel};
use crate::wording::written;

/// A named state kept in the project.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Snapshot {
    /// Its name; no two snapshots share one.
    pub name: String,
    /// Remarks.
    pub note: String,
    /// When it was taken, RFC 3339.
    pub taken_at: String,
    /// The project at that time, without snapshots of its own.
    pub state: Project,
}

/// One reading of the timing light.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TimingReading {
    /// What the unit commanded, degrees before TDC.
    pub commanded_deg: f64,
    /// What the light showed, degrees before TDC.
    pub observed_deg: f64,
    /// At which speed.
    pub speed_rpm: f64,
}

/// The timing-light readings that are to prove the zero, and the trigger settings they were taken with.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TimingLight {
    /// When they were taken, RFC 3339; empty when never.
    pub taken_at: String,
    /// The wheel at that time.
    pub wheel: Wheel,
    /// The reference at that time.
    pub reference_deg: f64,
    /// The zero offset that they were taken with; in files from before version 3, the one that they led to.
    pub zero_offset_deg: f64,
    /// The sensor at that time.
    pub sensor: SensorKind,
    /// Its latency at that time.
    pub latency_us: f64,
    /// The readings.
    pub readings: Vec<TimingReading>,
}

/// A row of timing-light readings as typed: it may be unfinished, and the zero offset does not depend on it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TypedReading {
    /// What the unit commanded, degrees before TDC.
    pub commanded_deg: Option<f64>,
    /// What the light showed, degrees before TDC.
    pub observed_deg: Option<f64>,
    /// At which speed.
    pub speed_rpm: Option<f64>,
}

impl TypedReading {
    /// The reading, when the row is finished.
    pub fn finished(&self) -> Option<TimingReading> {
        let Self { commanded_deg, observed_deg, speed_rpm } = *self;
        Some(TimingReading { commanded_deg: commanded_deg?, observed_deg: observed_deg?, speed_rpm: speed_rpm? })
    }

    /// Whether nothing stands in it.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl From<TimingReading> for TypedReading {
    fn from(reading: TimingReading) -> Self {
        let TimingReading { commanded_deg, observed_deg, speed_rpm } = reading;
        Self { commanded_deg: Some(commanded_deg), observed_deg: Some(observed_deg), speed_rpm: Some(speed_rpm) }
    }
}

/// Where a finding is, as data. Place and check id together identify the finding, whatever words describe the
/// place.
///
/// A finding in the advance table is identified by the lowest and the highest speed and load of its cells, as
/// breakpoints and not as indices: adding, deleting or moving other breakpoints, outside or between these, does
/// not affect it. If one of the four moves, it is a finding at another place. Two findings of one check never
/// share all four: two regions of cells that do not touch cannot both reach all four sides of one rectangle.
///
/// Any other finding is identified by the path of its field, in which entries of lists are given by name (a
/// condition of an output by its signal) and not by index: outputs, image items and coils may be reordered.
/// Something renamed is another place. `of` and `at` tell findings of one field apart.
///
/// The same place is not enough: a finding is accepted at the value that it had.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct FindingPlace {
    /// The path of the field, such as `outputs[fan].conditions[coolant].off`; `advance` for cells of the table.
    pub field: String,
    /// What it belongs to where the field does not say: the coil of a reference angle. May be empty.
    pub of: String,
    /// Where on a curve, in the unit of its breakpoints.
    pub at: Option<f64>,
    /// The lowest speed of the cells, rpm.
    pub from_rpm: Option<f64>,
    /// The highest speed of the cells, rpm.
    pub to_rpm: Option<f64>,
    /// The lowest load of the cells.
    pub from_load: Option<f64>,
    /// The highest load of the cells.
    pub to_load: Option<f64>,
}

impl FindingPlace {
    /// The place of a field.
    pub fn field(path: impl Into<String>) -> Self {
        Self { field: path.into(), ..Self::default() }
    }

    /// The place of cells of the advance table, by their lowest and highest speed and load.
    pub fn cells((from_rpm, to_rpm): (f64, f64), (from_load, to_load): (f64, f64)) -> Self {
        Self {
            field: "advance".into(),
            from_rpm: Some(from_rpm),
            to_rpm: Some(to_rpm),
            from_load: Some(from_load),
            to_load: Some(to_load),
            ..Self::default()
        }
    }
}

/// The place for people who know the fields: `advance, 3000..3800 rpm, load 40..60`, `coil.dwell_ms at 12`.
/// Exact: two different places never read alike.
impl fmt::Display for FindingPlace {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.field)?;
        if !self.of.is_empty() {
            write!(formatter, " of {}", self.of)?;
        }
        if let Some(at) = self.at {
            write!(formatter, " at {}", written(at))?;
        }
        let end = |end: Option<f64>| end.map_or_else(|| "?".to_owned(), written);
        if self.from_rpm.is_some() || self.to_rpm.is_some() {
            write!(formatter, ", {}..{} rpm", end(self.from_rpm), end(self.to_rpm))?;
        }
        if self.from_load.is_some() || self.to_load.is_some() {
            write!(formatter, ", load {}..{}", end(self.from_load), end(self.to_load))?;
        }
        Ok(())
    }
}

/// A finding accepted with a reason.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AcceptedFinding {
    /// The check's id.
    pub id: String,
    /// Where.
    pub place: FindingPlace,
    /// The value accepted; the finding comes back when it changes.
    pub value: f64,
    /// Why it is right as it is.
    pub reason: String,
}

/// How the checks are set up, and which findings were accepted.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CheckSettings {
    /// Thresholds that differ from their default, by name.
    pub thresholds: BTreeMap<String, f64>,
    /// Why a threshold lets more pass than its default does, by the threshold's name.
    pub threshold_reasons: BTreeMap<String, String>,
    /// Findings accepted with a reason.
    pub accepted: Vec<AcceptedFinding>,
}

/// What was last written for the flashing tool.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LastExport {
    /// The file's name, without its folder.
    pub file_name: String,
    /// When, RFC 3339.
    pub written_at: String,
    /// The image's checksum as text.
    pub checksum: String,
    /// Why it was written although the checks found errors; `None` where they found none.
    pub despite_errors: Option<String>,
    /// The project at that time, without snapshots of its own.
    pub state: Project,
}

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
pub(super) fn check_runs(runs: &[Arc<KeptRun>]) -> Result<(), Fault> {
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
