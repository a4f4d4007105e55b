//! What must hold of the rig, against figures computed elsewhere, closed forms and itself.

mod built_ins;
mod coils;
mod cuts;
mod every_pair;
mod faults;
mod gaps;
mod motion;
mod parts;
mod prediction;
mod sound;
mod views;

use super::{Event, Layout, Motion, Rig, Row, Run, Settings, Summary, What};
use crate::project::{Advance, LoadKind, NewProject, Origin, Parts, Project, Wheel};
use crate::table::{Axis, Table};

pub(super) const WHEELS: [Wheel; 2] = [Wheel { teeth: 36, missing: 1 }, Wheel { teeth: 60, missing: 2 }];

/// A new project with the over-speed limit off, so that nothing is cut unless a proof says so.
pub(super) fn bench(cylinders: u8, wheel: Wheel, change: impl FnOnce(&mut Parts)) -> Project {
    let new = NewProject { name: "rig".into(), cylinders, load: LoadKind::Throttle, speeds: 16, loads: 8 };
    let edit = |parts: &mut Parts| {
        parts.trigger.wheel = wheel;
        parts.limits.over_speed.enabled = false;
        change(parts);
    };
    new.create_with_outputs().edit(edit).unwrap()
}

/// The same advance at every speed and load, cranking too.
pub(super) fn lock(parts: &mut Parts, advance_deg: f64) {
    let axis = |top: f64| Axis::new(vec![0.0, top]).unwrap();
    let table = Table::from_fn(axis(9000.0), axis(100.0), |_, _| advance_deg).unwrap();
    parts.advance = Advance::uniform(table, Origin::Typed).unwrap();
    parts.limits.cranking.advance_deg = advance_deg;
    (parts.trims.coolant.enabled, parts.trims.air.enabled) = (false, false);
}

pub(super) fn row(time_s: f64, speed_rpm: f64) -> Row {
    Row {
        time_s,
        speed_rpm,
        load: 50.0,
        coolant_c: Some(85.0),
        air_c: Some(20.0),
        battery_v: 14.0,
        throttle_pct: None,
        launch: false,
    }
}

pub(super) fn run(points: &[(f64, f64)]) -> Run {
    Run::new(points.iter().map(|&(time_s, speed_rpm)| row(time_s, speed_rpm)).collect()).unwrap()
}

/// The motion of a run with a variation of so many periods a revolution (2, 3 or 4).
pub(super) fn swinging(run: &Run, variation: f64, periods: u8, fastest_deg: f64) -> Motion {
    let layout = Layout::new(&bench(2 * periods, WHEELS[0], |_| ()));
    Motion::new(run, &Settings { variation, fastest_deg: Some(fastest_deg), ..Settings::default() }, &layout)
}

/// The motion of a run without variation.
pub(super) fn steady(run: &Run) -> Motion {
    swinging(run, 0.0, 2, 0.0)
}

pub(super) fn trace(project: &Project, run: &Run, settings: Settings) -> (Vec<Event>, Summary) {
    let mut events = Vec::new();
    let summary = Rig::new(project, settings).unwrap().run(run, &mut events);
    (events, summary)
}

pub(super) fn is_edge(event: &&Event) -> bool {
    matches!(event.what, What::Edge { .. })
}

pub(super) fn is_spark(event: &&Event) -> bool {
    matches!(event.what, What::Spark { .. })
}

pub(super) fn count(events: &[Event], name: &str) -> usize {
    events.iter().filter(|event| event.what.name() == name).count()
}
