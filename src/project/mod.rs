//! Floor 1: what a project is. Plain data that cannot be invalid, its defaults, its fields by path, and its file form.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::wording::Refusal;

mod advance;
mod advance_fields;
mod assumed;
pub mod cautions;
mod coil;
mod combustion;
mod coverage;
mod covered_parts;
mod defaults;
mod engine;
mod evidence;
mod field_ranges;
mod fields;
mod free_reference;
mod full_load_bound;
mod held_curves;
mod idle;
mod image_layout;
mod installation;
mod known_engine;
mod load_unit;
mod locate;
mod locked_timing;
#[cfg(test)]
mod mutations;
mod new_project_error;
mod new_tuning;
mod origin;
mod outputs;
mod paths;
mod range_check;
mod read_faults;
mod records;
mod ron_form;
mod ron_text;
mod samples;
mod sensors;
mod set_fields;
mod starter;
mod starting_layouts;
mod threshold_fields;
pub mod thresholds;
mod tree;
mod trigger;
mod trims;
mod upgrade;
mod whole;

pub use advance::{ADVANCE_RANGE_DEG, Advance, AdvanceError, SPEED_RANGE_RPM};
pub use assumed::lie_together;
pub use coil::{Coil, CoilKind};
pub use combustion::{Burning, Combustion};
pub use coverage::{Covered, Needed};
pub use covered_parts::{Coverage, CoveredHow, CoveredPart, PartCoverage};
pub use defaults::NewProject;
pub use engine::{Chamber, CoilChannel, Engine, Induction, Mixture, companions};
pub use evidence::{
    AirStandard, Evidence, KeptPlace, KeptSweep, MOST_POINTS, MOST_SWEEP_READINGS, MeasuredPoint, OnTwin, PointBound,
    PointKind, PointsBrought, SweepReading, TorqueKind, WithSweep,
};
pub use field_ranges::{kind_at, signal_range};
pub use fields::{DecidedBy, FIELDS, Field, FieldKind, LISTS, field};
pub use free_reference::{GapPlace, NoFreeReference};
pub use held_curves::{HELD_CURVES, HeldCurve, PinnedItems};
pub use image_layout::{
    AddressRange, ByteOrder, CellOrder, CellType, Checksum, ChecksumKind, Content, ContentSize, Direction, ImageLayout,
    Item,
};
pub use installation::Installed;
pub use known_engine::KnownEngine;
pub use load_unit::{is_in_load_unit, parts_in_load_unit};
use locate::in_brackets;
pub use locate::{Step, path_of, pattern_of, steps};
pub use locked_timing::{LOCKED_TIMING_DEG, LockedTimingError};
pub use new_project_error::NewProjectError;
pub use origin::Origin;
pub use outputs::{Combine, Condition, Output, ReadyOutput, Signal, Tachometer};
pub use paths::{FieldValue, PathError, list_fields, path_by_names};
pub use records::{
    AcceptedFinding, CheckSettings, FindingPlace, KeptRow, KeptRun, LastExport, MOST_RUN_ROWS, Snapshot, TimingLight,
    TimingReading, TypedReading,
};
pub use ron_form::{LARGEST_FILE_BYTES, ReadError, read, read_upgrading, write};
pub use samples::{SAMPLES, Sample, sample_sweep};
pub use sensors::{LinearSensor, LoadKind, Sender, Sensors};
pub use set_fields::set_fields;
pub use starting_layouts::StartingLayout;
pub use thresholds::{Looser, THRESHOLDS, Threshold, retired_threshold, threshold_named};
pub use tree::{Tree, TreeError};
pub use trigger::{Edge, SensorKind, Trigger, Wheel, most_zero_offset_deg};
pub use trims::{Clamp, Cranking, CutPattern, FullLoadLine, Launch, Limits, OverSpeed, SafetyMargin, Trim, Trims};
pub use upgrade::Upgrade;
#[cfg(test)]
pub(crate) use upgrade::as_version_1;
pub use whole::{Parts, Project};

/// Why parts make no project: which field, what is wrong and what to do.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{path}: {message}{}", if .hint.is_empty() { String::new() } else { format!("; {}", .hint) })]
pub struct Fault {
    /// The dotted path of the field.
    pub path: String,
    /// What is wrong, with the value and the range allowed.
    pub message: String,
    /// What to do; may be empty.
    pub hint: String,
}

impl Fault {
    /// A fault in the field at `path`, without a hint.
    pub fn new(path: impl Into<String>, message: impl Into<String>) -> Self {
        Self { path: path.into(), message: message.into(), hint: String::new() }
    }
}

/// The version of the file format that this program writes. Files of every earlier version are read, too.
pub const FORMAT: u32 = 4;

/// The format version inside a project; only [`FORMAT`] can exist in memory.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "u32", into = "u32")]
pub struct FormatVersion;

impl TryFrom<u32> for FormatVersion {
    type Error = Refusal;

    fn try_from(found: u32) -> Result<Self, Refusal> {
        if found == FORMAT {
            Ok(Self)
        } else {
            Err(Refusal::new(format!("there is no format version {found}; the current one is {FORMAT}")))
        }
    }
}

impl From<FormatVersion> for u32 {
    fn from(_: FormatVersion) -> Self {
        FORMAT
    }
}
