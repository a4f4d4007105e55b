//! What the project remembers besides the setup: snapshots, timing-light readings, findings answered, the last export.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Project, Wheel};

/// A named state kept in the project.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Snapshot {
    /// Its name; no two snapshots share one.
    pub name: String,
    /// What there is to say about it.
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

/// The timing-light readings that prove the zero, and the trigger they were taken with.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TimingLight {
    /// When they were taken, RFC 3339; empty when never.
    pub taken_at: String,
    /// The wheel at that time.
    pub wheel: Wheel,
    /// The reference at that time.
    pub reference_deg: f64,
    /// The zero offset that they led to.
    pub zero_offset_deg: f64,
    /// The readings.
    pub readings: Vec<TimingReading>,
}

/// A finding accepted with a reason.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct AcceptedFinding {
    /// The check's id.
    pub id: String,
    /// Where, in the check's own words.
    pub place: String,
    /// The value accepted; the finding comes back when it changes.
    pub value: f64,
    /// Why it is right as it is.
    pub reason: String,
}

/// How the checks are set and what was answered to them.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CheckSettings {
    /// Thresholds that differ from their default, by name.
    pub thresholds: BTreeMap<String, f64>,
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
    /// The project at that time, without snapshots of its own.
    pub state: Project,
}
