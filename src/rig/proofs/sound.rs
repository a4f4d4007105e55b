//! The trigger signal as samples.

use super::{WHEELS, bench, run};
use crate::project::Edge;
use crate::rig::{Pulse, Settings, TriggerSignal};

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
    // The first edge stands at the very begin.
    assert_eq!(rises(&signal) + 1, 350);
    assert!(signal[..66].iter().all(|&sample| sample == 32_767));
    assert!(signal[67..133].iter().all(|&sample| sample == -32_767));
    // A fraction of a sample shows in its height: the tooth ends two thirds into sample 66.
    assert_eq!(signal[66], 10_922);
    // In the gap it rests for a pitch and a half: teeth 0 to 34, then 35.5 pitches after the turn began.
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
    // Edge 1 stands a third into sample 133, edge 3 at the begin of sample 400.
    assert!(signal[132] < 0 && signal[133] > 0 && signal[399] < 0 && signal[400] > 0);
    // Silent from half a pitch after the last tooth to half a pitch before the next turn.
    assert!(signal[4_601..4_732].iter().all(|&sample| sample == 0));
}

#[test]
fn standstill_is_level() {
    assert!(samples(Edge::Rising, 0.0, Pulse::Square).windows(2).all(|pair| pair[0] == pair[1]));
    assert!(samples(Edge::Rising, 0.0, Pulse::Smoothed).iter().all(|&sample| sample == 0));
}
