//! Floor 1: what a project is. Plain data that cannot be invalid, its defaults, its fields by path, and its file form.

mod advance;
mod advance_fields;
mod assumed;
pub mod cautions;
mod coil;
mod coverage;
mod defaults;
mod engine;
mod fields;
mod free_reference;
mod full_load_bound;
mod held_curves;
mod image_layout;
mod installation;
mod known_engine;
mod limits;
mod locate;
mod locked_timing;
#[cfg(test)]
mod mutations;
mod new_project_error;
mod new_tuning;
mod origin;
mod outputs;
mod paths;
mod pinned;
mod read_faults;
mod ready_outputs;
mod records;
mod ron_form;
mod ron_text;
mod runs;
mod samples;
mod sensors;
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
pub use coverage::{Coverage, Covered, CoveredHow, CoveredPart, Needed, PartCoverage};
pub use defaults::NewProject;
pub use engine::{Chamber, CoilChannel, Engine, Induction, Mixture, companions};
pub use fields::{FIELDS, Field, FieldKind, LISTS, field, kind_at, signal_range};
pub use free_reference::{GapPlace, NoFreeReference};
pub use held_curves::{HELD_CURVES, HeldCurve};
pub use image_layout::{
    AddressRange, ByteOrder, CellOrder, CellType, Checksum, ChecksumKind, Content, ContentSize, Direction, ImageLayout,
    Item,
};
pub use installation::Installed;
pub use known_engine::KnownEngine;
pub use limits::{Clamp, Cranking, CutPattern, Launch, Limits, OverSpeed};
pub use locate::{Step, path_of, pattern_of, steps};
pub use locked_timing::{LOCKED_TIMING_DEG, LockedTimingError};
pub use new_project_error::NewProjectError;
pub use origin::Origin;
pub use outputs::{Combine, Condition, Output, Signal, Tachometer};
pub use paths::{FieldValue, PathError, list_fields, path_by_names, set_fields};
pub use pinned::PinnedItems;
pub use ready_outputs::ReadyOutput;
pub use records::{
    AcceptedFinding, CheckSettings, FindingPlace, LastExport, Snapshot, TimingLight, TimingReading, TypedReading,
};
pub use ron_form::{FORMAT, FormatVersion, LARGEST_FILE_BYTES, ReadError, read, read_upgrading, write};
pub use runs::{KeptRow, KeptRun, MOST_RUN_ROWS};
pub use samples::{SAMPLES, Sample};
pub use sensors::{LinearSensor, LoadKind, Sender, Sensors};
pub use starting_layouts::StartingLayout;
pub use thresholds::{Looser, THRESHOLDS, Threshold, retired_threshold, threshold_named};
pub use tree::{Tree, TreeError};
pub use trigger::{Edge, SensorKind, Trigger, Wheel};
pub use trims::{FullLoadLine, SafetyMargin, Trim, Trims};
pub use upgrade::Upgrade;
#[cfg(test)]
pub(crate) use upgrade::as_version_1;
pub use whole::{Fault, Parts, Project};
