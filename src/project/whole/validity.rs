//! The rules that hold between the parts of a project, and how a project comes to be and is changed under them.

use std::sync::Arc;

use super::{Parts, Project};
use crate::project::{Advance, ContentSize, Fault, coverage, locked_timing, outputs, range_check, records};

impl TryFrom<Parts> for Project {
    type Error = Fault;

    fn try_from(parts: Parts) -> Result<Self, Fault> {
        Self::new(parts)
    }
}

impl Project {
    /// Checks the parts and makes a project of them.
    ///
    /// # Errors
    /// [`Fault`] naming the first field that is out of range or does not fit the others.
    pub fn new(parts: Parts) -> Result<Self, Fault> {
        range_check::check_ranges(&parts)?;
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
        records::check_runs(&parts.runs)?;
        parts.evidence.fault().map_or(Ok(()), Err)?;
        check_records(&parts)?;
        Ok(Self(Arc::new(parts)))
    }

    /// This project with a change. What was assumed and is changed is confirmed by that.
    /// Ticks 'set in the unit' whose numbers change are taken away with it.
    ///
    /// ```
    /// use sparkloft::project::SAMPLES;
    ///
    /// let project = SAMPLES[0].project()?;
    /// assert_eq!(project.edit(|parts| parts.step_deg = 0.5)?.step_deg, 0.5);
    /// assert_eq!(project.edit(|parts| parts.step_deg = 0.0).unwrap_err().path, "step_deg");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
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
