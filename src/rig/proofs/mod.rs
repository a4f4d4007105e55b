//! What must hold for the rig, checked against figures computed elsewhere, closed forms, and the rig itself.

mod built_ins;
mod cuts;
mod every_pair;
mod faults;
mod gaps;
mod views;

use super::{Event, Layout, Motion, Rig, Row, Run, Settings, Summary, What};
use crate::project::{Advance, Edge, LoadKind, NewProject, Origin, Parts, Project, Wheel};
use crate::rig::{Pulse, TriggerSignal};
use crate::table::{Axis, Table};

pub(super) const WHEELS: [Wheel; 2] = [Wheel { teeth: 36, missing: 1 }, Wheel { teeth: 60, missing: 2 }];

/// A new project with the over-speed limit off, so that nothing is cut unless a test wants it.
pub(super) fn bench(cylinders: u8, wheel: Wheel, change: impl FnOnce(&mut Parts)) -> Project {
    let new = NewProject { name: "rig".into(), cylinders, load: LoadKind::Throttle, speeds: 16, loads: 8 };
    let edit = |parts: &mut Parts| {
        parts.trigger.wheel = wheel;
        parts.limits.over_speed.enabled = false;
        change(parts);
    };
    new.create_with_outputs().edit(edit).unwrap()
}

/// Sets the same advance at every speed and load, and while cranking.
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

/// The motion of a run with a variation of that many periods per revolution (2, 3 or 4).
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

fn samples(edge: Edge, speed_rpm: f64, pulse: Pulse) -> Vec<i16> {
    let project = bench(4, WHEELS[0], |parts| parts.trigger.edge = edge);
    TriggerSignal::new(&project, &run(&[(0.0, speed_rpm), (1.0, speed_rpm)]), &Settings::default(), 48_000, pulse)
        .collect()
}

fn rises(samples: &[i16]) -> usize {
    samples.windows(2).filter(|pair| pair[0] < 0 && pair[1] >= 0).count()
}

/// 600 rpm: ten turns a second, a pitch is 133⅓ samples, 35 teeth a turn.
#[test]
fn the_square_wave_has_a_pulse_for_each_tooth() {
    let signal = samples(Edge::Rising, 600.0, Pulse::Square);
    assert_eq!(signal.len(), 48_000);
    // The first edge is at the very start.
    assert_eq!(rises(&signal) + 1, 350);
    assert!(signal[..66].iter().all(|&sample| sample == 32_767));
    assert!(signal[67..133].iter().all(|&sample| sample == -32_767));
    // A fraction of a sample shows in its height: the tooth ends two thirds of the way into sample 66.
    assert_eq!(signal[66], 10_922);
    // In the gap the signal rests for a pitch and a half: teeth 0 to 34, then from 35.5 pitches after the turn
    // began.
    assert!(signal[4_601..4_800].iter().all(|&sample| sample == -32_767));
    let falling = samples(Edge::Falling, 600.0, Pulse::Square);
    assert!(falling.iter().zip(&signal).all(|(a, b)| *a == -b));
}

#[test]
fn the_smoothed_pulse_grows_with_speed_and_crosses_zero_at_the_edge() {
    let highest = |speed_rpm| samples(Edge::Rising, speed_rpm, Pulse::Smoothed).into_iter().max().unwrap();
    assert!((f64::from(highest(600.0)) / f64::from(highest(300.0)) - 2.0).abs() < 0.01);
    assert_eq!(highest(600.0), 3_277);
    let signal = samples(Edge::Rising, 600.0, Pulse::Smoothed);
    // Edge 1 is a third of the way into sample 133, edge 3 at the start of sample 400.
    assert!(signal[132] < 0 && signal[133] > 0 && signal[399] < 0 && signal[400] > 0);
    // Silent from half a pitch after the last tooth to half a pitch before the next turn.
    assert!(signal[4_601..4_732].iter().all(|&sample| sample == 0));
}

#[test]
fn standstill_is_level() {
    assert!(samples(Edge::Rising, 0.0, Pulse::Square).windows(2).all(|pair| pair[0] == pair[1]));
    assert!(samples(Edge::Rising, 0.0, Pulse::Smoothed).iter().all(|&sample| sample == 0));
}
