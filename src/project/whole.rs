//! The project as a whole: its parts, and the rules that hold between them.

use std::collections::BTreeSet;
use std::ops::Deref;
use std::sync::Arc;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::{
    Advance, CheckSettings, Coil, Content, ContentSize, Engine, FormatVersion, FullLoadLine, ImageLayout, Item,
    KeptRun, LastExport, Limits, Output, SafetyMargin, Sensors, Snapshot, Tachometer, TimingLight, Trigger, Trims,
    TypedReading, coverage, fields, locked_timing, outputs, runs,
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

impl Deref for Project {
    type Target = Parts;

    fn deref(&self) -> &Parts {
        &self.0
    }
}

impl TryFrom<Parts> for Project {
    type Error = Fault;

    fn try_from(parts: Parts) -> Result<Self, Fault> {
        Self::new(parts)
    }
}

impl From<Project> for Arc<Parts> {
    fn from(project: Project) -> Self {
        project.0
    }
}

impl Project {
    /// Checks the parts and makes a project of them.
    ///
    /// # Errors
    /// [`Fault`] naming the first field that is out of range or does not fit the others.
    pub fn new(parts: Parts) -> Result<Self, Fault> {
        fields::check_ranges(&parts)?;
        check_load_axis(&parts)?;
        parts.sensors.fault().map_or(Ok(()), Err)?;
        parts.engine.fault().map_or(Ok(()), Err)?;
        if let Some((path, message)) = parts.trigger.fault() {
            return Err(Fault::new(path, message));
        }
        if let Some((path, message)) = outputs::fault(&parts.outputs) {
            return Err(Fault::new(path, message));
        }
        if let Some((path, message)) = parts.image.fault(|item| parts.content_size(item)) {
            return Err(Fault::new(path, message));
        }
        coverage::check(&parts)?;
        locked_timing::check(&parts)?;
        runs::check(&parts.runs)?;
        check_records(&parts)?;
        Ok(Self(Arc::new(parts)))
    }

    /// This project with a change. What was assumed and is changed is confirmed by that.
    /// Ticks 'set in the unit' whose numbers change are taken away with it.
    ///
    /// # Errors
    /// [`Fault`] when the change leaves it invalid; this project is as it was.
    pub fn edit(&self, change: impl FnOnce(&mut Parts)) -> Result<Self, Fault> {
        let mut parts = Parts::clone(&self.0);
        change(&mut parts);
        parts.confirm_changes_since(&self.0);
        coverage::withdraw_ticks(&self.0, &mut parts, |_| false);
        Self::new(parts)
    }

    /// This project with another advance table. Quick: the table has checked itself, only what depends on it is checked.
    ///
    /// Where the image has no room for a larger table, its items of the advance table keep their old size: the unit did
    /// not grow, and an export resamples. [`Project::pinned_since`] tells of it.
    ///
    /// # Errors
    /// [`Fault`] when the load axis does not fit the load kind, or this is a locked-timing copy and a cell would differ.
    pub fn with_advance(&self, advance: Advance) -> Result<Self, Fault> {
        let (before, after) = (self.advance.table(), advance.table());
        let same_axes = after.load() == before.load() && after.speed() == before.speed();
        let mut parts = Parts::clone(&self.0);
        parts.advance = advance;
        coverage::withdraw_ticks(&self.0, &mut parts, |_| false);
        if same_axes {
            locked_timing::check(&parts)?;
            return Ok(Self(Arc::new(parts)));
        }
        if parts.image.fault(|item| parts.content_size(item)).is_some() {
            let size = ContentSize { speeds: before.speed().len(), loads: before.load().len() };
            parts.image.items.iter_mut().for_each(|item| item.keep_size(size));
        }
        Self::new(parts)
    }

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
}

/// The loads of the table: they stand in no list of fields.
fn check_load_axis(parts: &Parts) -> Result<(), Fault> {
    let kind = parts.sensors.load;
    let (low, high) = kind.range();
    let outside = parts.advance.table().load().breakpoints().iter().find(|x| !(low..=high).contains(*x));
    outside.map_or(Ok(()), |x| {
        let message = format!("load {}", crate::wording::outside(*x, (low, high), kind.unit()));
        Err(Fault::new("advance.load", message))
    })
}

fn check_records(parts: &Parts) -> Result<(), Fault> {
    for (index, snapshot) in parts.snapshots.iter().enumerate() {
        if parts.snapshots[..index].iter().any(|other| other.name == snapshot.name) {
            return Err(Fault::new(
                format!("snapshots[{index}].name"),
                format!("two snapshots are called '{}'", snapshot.name),
            ));
        }
        check_state(&format!("snapshots[{index}].state"), &snapshot.state)?;
    }
    parts.last_export.as_ref().map_or(Ok(()), |export| check_state("last_export.state", &export.state))
}

fn check_state(path: &str, state: &Project) -> Result<(), Fault> {
    if state.snapshots.is_empty() && state.last_export.is_none() {
        return Ok(());
    }
    Err(Fault::new(path, "a kept state holds neither snapshots nor a last export of its own"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, Origin};
    use crate::table::{Axis, Table};

    fn project() -> Project {
        NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 }
            .create()
            .unwrap()
    }

    fn larger() -> Advance {
        let axis = |top: f64| Axis::new((0..64).map(|i| top * f64::from(i) / 63.0).collect()).unwrap();
        let table = Table::from_fn(axis(9000.0), axis(100.0), |_, _| 20.0).unwrap();
        Advance::uniform(table, Origin::Imported).unwrap()
    }

    #[test]
    fn a_new_projects_image_has_room_for_the_largest_table() {
        let before = project();
        let after = before.with_advance(larger()).unwrap();
        assert_eq!(after.image, before.image);
    }

    #[test]
    fn a_tight_image_keeps_the_size_of_its_items() {
        let tight = project().edit(|parts| {
            for (index, item) in parts.image.items.iter_mut().enumerate() {
                item.address = u32::try_from(index).unwrap() * 128;
            }
        });
        let tight = tight.unwrap();
        let after = tight.with_advance(larger()).unwrap();
        let cells = &after.image.items[2];
        assert_eq!((cells.speeds, cells.loads), (Some(8), Some(8)));
        let told = after.pinned_since(&tight).unwrap().to_string();
        assert!(told.contains("keep 8 × 8, and an export resamples"), "{told}");
        assert_eq!(after.pinned_since(&after), None);
    }

    #[test]
    fn a_scale_of_zero_is_refused() {
        let fault = project().edit(|parts| parts.image.items[1].scale = 0.0).unwrap_err();
        assert_eq!(
            fault.to_string(),
            "image.items[1].scale: 'advance_loads' has the scale 0, with which no value could be told"
        );
    }

    #[test]
    fn loads_that_the_sensor_cannot_read_are_refused() {
        let axis = |top: f64| Axis::new(vec![0.0, top]).unwrap();
        let table = Table::from_fn(axis(1000.0), axis(150.0), |_, _| 1.0).unwrap();
        let fault = project().with_advance(Advance::uniform(table, Origin::Typed).unwrap()).unwrap_err();
        assert_eq!(fault.to_string(), "advance.load: load 150 is outside 0..100 %");
    }
}
