//! Floor 1: what a project is. Plain data that cannot be invalid, its defaults, its fields by path, and its file form.

mod advance;
mod advance_fields;
mod assumed;
pub mod cautions;
mod coil;
mod coverage;
mod covered_parts;
mod defaults;
mod engine;
mod fault;
mod field_ranges;
mod fields;
mod format_version;
mod free_reference;
mod full_load_bound;
mod held_curves;
mod idle;
mod image_layout;
mod installation;
mod known_engine;
mod locate;
mod locked_timing;
#[cfg(test)]
mod mutations;
mod new_project_error;
mod new_tuning;
mod origin;
mod outputs;
mod paths;
mod read_faults;
mod ready_outputs;
mod records;
mod ron_form;
mod ron_text;
mod runs;
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
pub use coverage::{Covered, Needed};
pub use covered_parts::{Coverage, CoveredHow, CoveredPart, PartCoverage};
pub use defaults::NewProject;
pub use engine::{Chamber, CoilChannel, Engine, Induction, Mixture, companions};
pub use fault::Fault;
pub use field_ranges::{kind_at, signal_range};
pub use fields::{DecidedBy, FIELDS, Field, FieldKind, LISTS, field};
pub use format_version::{FORMAT, FormatVersion};
pub use free_reference::{GapPlace, NoFreeReference};
pub use held_curves::{HELD_CURVES, HeldCurve, PinnedItems};
pub use image_layout::{
    AddressRange, ByteOrder, CellOrder, CellType, Checksum, ChecksumKind, Content, ContentSize, Direction, ImageLayout,
    Item,
};
pub use installation::Installed;
pub use known_engine::KnownEngine;
pub use locate::{Step, path_of, pattern_of, steps};
pub use locked_timing::{LOCKED_TIMING_DEG, LockedTimingError};
pub use new_project_error::NewProjectError;
pub use origin::Origin;
pub use outputs::{Combine, Condition, Output, Signal, Tachometer};
pub use paths::{FieldValue, PathError, list_fields, path_by_names};
pub use ready_outputs::ReadyOutput;
pub use records::{
    AcceptedFinding, CheckSettings, FindingPlace, LastExport, Snapshot, TimingLight, TimingReading, TypedReading,
};
pub use ron_form::{LARGEST_FILE_BYTES, ReadError, read, read_upgrading, write};
pub use runs::{KeptRow, KeptRun, MOST_RUN_ROWS};
pub use samples::{SAMPLES, Sample};
pub use sensors::{LinearSensor, LoadKind, Sender, Sensors};
pub use set_fields::set_fields;
pub use starting_layouts::StartingLayout;
pub use thresholds::{Looser, THRESHOLDS, Threshold, retired_threshold, threshold_named};
pub use tree::{Tree, TreeError};
pub use trigger::{Edge, SensorKind, Trigger, Wheel};
pub use trims::{Clamp, Cranking, CutPattern, FullLoadLine, Launch, Limits, OverSpeed, SafetyMargin, Trim, Trims};
pub use upgrade::Upgrade;
#[cfg(test)]
pub(crate) use upgrade::as_version_1;
pub use whole::{Parts, Project};
