//! The project as a whole: its parts, and that only valid ones make a project.

mod validity;

use std::collections::BTreeSet;
use std::ops::Deref;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::{
    Advance, CheckSettings, Coil, Combustion, Content, ContentSize, CutPattern, Engine, Evidence, FormatVersion,
    FullLoadLine, ImageLayout, Item, KeptRun, LastExport, Limits, Output, SafetyMargin, Sensors, Snapshot, Tachometer,
    TimingLight, Trigger, Trims, TypedReading,
};

/// Everything a project holds, as plain data. Only a [`Project`] is known to be valid.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Parts {
    /// The version of the file format.
    pub format: FormatVersion,
    /// What the car is called.
    pub name: String,
    /// Notes for hand-over.
    pub notes: String,
    /// The step of nudging and of display, in degrees.
    pub step_deg: f64,
    /// Whether this is a marked copy for use with the timing light: its locked advance. Every cell has it then, and
    /// nothing is on that would move it.
    pub locked_timing_deg: Option<f64>,
    /// Paths of fields whose values came with a new project, or with an upgrade, and were never confirmed.
    pub assumed: BTreeSet<String>,
    /// The engine and its coil channels.
    pub engine: Engine,
    /// What the second opinion goes by, beyond the engine's figures.
    #[serde(default)]
    pub combustion: Combustion,
    /// Wheel, sensor, reference and zero offset.
    pub trigger: Trigger,
    /// Load, temperatures, battery.
    pub sensors: Sensors,
    /// The coils and the dwell.
    pub coil: Coil,
    /// The advance table.
    pub advance: Advance,
    /// The line never to be exceeded at full load.
    pub full_load_line: FullLoadLine,
    /// The reduction kept apart from the table.
    pub safety_margin: SafetyMargin,
    /// Coolant and air temperature.
    pub trims: Trims,
    /// Cranking, over-speed, launch, clamp.
    pub limits: Limits,
    /// The tachometer signal.
    pub tachometer: Tachometer,
    /// Switched outputs.
    pub outputs: Vec<Output>,
    /// What sits where in the image.
    pub image: ImageLayout,
    /// The readings that prove the zero.
    pub timing_light: TimingLight,
    /// Readings that are typed and not applied; none while the sheet shows those that were.
    pub typed_readings: Vec<TypedReading>,
    /// Runs for the rig.
    pub runs: Vec<Arc<KeptRun>>,
    /// What was measured on the engine: points, and the readings of timing sweeps.
    pub evidence: Evidence,
    /// Thresholds and accepted findings.
    pub checks: CheckSettings,
    /// What was last written for the flashing tool.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last_export: Option<Arc<LastExport>>,
    /// Named states, oldest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub snapshots: Vec<Arc<Snapshot>>,
}

/// A valid project. Reading goes through `Deref` to its [`Parts`]; changing goes through [`Project::edit`].
///
/// Cloning shares the contents.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Parts", into = "Arc<Parts>")]
pub struct Project(Arc<Parts>);

impl Deref for Project {
    type Target = Parts;

    fn deref(&self) -> &Parts {
        &self.0
    }
}

impl From<Project> for Arc<Parts> {
    fn from(project: Project) -> Self {
        project.0
    }
}

impl Project {
    /// This project as a state to be kept: without snapshots and without the last export.
    pub fn as_state(&self) -> Self {
        if self.snapshots.is_empty() && self.last_export.is_none() {
            return self.clone();
        }
        let mut parts = Parts::clone(&self.0);
        parts.snapshots.clear();
        parts.last_export = None;
        Self(Arc::new(parts))
    }

    /// Whether both are the same project in memory.
    pub fn is_same(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

impl Parts {
    /// How many numbers an item of the image has.
    pub fn content_size(&self, item: &Item) -> ContentSize {
        let table = self.advance.table();
        let (speeds, loads) = match item.content {
            Content::AdvanceCells => (table.speed().len(), table.load().len()),
            Content::AdvanceSpeeds => (table.speed().len(), 1),
            Content::AdvanceLoads => (1, table.load().len()),
            Content::Field => (1, 1),
            of_curve => (of_curve.curve().map_or(1, |curve| curve.of(self).axis().len()), 1),
        };
        let own = |own: Option<u16>, project: usize| own.map_or(project, usize::from);
        match item.content {
            Content::AdvanceCells => ContentSize { speeds: own(item.speeds, speeds), loads: own(item.loads, loads) },
            Content::AdvanceLoads => ContentSize { speeds: 1, loads: own(item.loads, loads) },
            Content::Field => ContentSize { speeds: 1, loads: 1 },
            _ => ContentSize { speeds: own(item.speeds, speeds), loads: 1 },
        }
    }

    /// The highest speed in rpm at which a coil still fires: the last cut, or the end of the table where nothing is cut.
    pub fn top_speed_rpm(&self) -> f64 {
        let over = &self.limits.over_speed;
        match over.pattern {
            _ if !over.enabled => self.advance.table().speed().last(),
            CutPattern::AlternateCoils => over.cuts_at_rpm.max(over.cuts_all_at_rpm),
            CutPattern::All => over.cuts_at_rpm,
        }
    }
}
