//! What the views of a run show is what happens in it.

use proptest::prelude::*;

use super::{WHEELS, bench, is_edge, is_spark, row, run, trace};
use crate::rig::{
    BuiltIn, CoilEnd, Event, Layout, Record, Replay, Revolution, Rig, Run, Settings, Summary, Turn, What,
};
use crate::spark::State;

fn recorded(project: &crate::project::Project, run: &Run, settings: &Settings, columns: usize) -> (Record, Summary) {
    let mut record = Record::new(run, columns);
    let summary = Rig::new(project, settings.clone()).unwrap().run(run, &mut record);
    (record, summary)
}

#[test]
fn the_record_agrees_with_summary_and_events() {
    let project = bench(4, WHEELS[1], |parts| parts.limits.over_speed.enabled = true);
    let run = BuiltIn::SweepToTheLimit.run(&project).unwrap();
    let settings = Settings { dropped_at_s: vec![2.0], variation: 0.1, ..Settings::default() };
    let (record, summary) = recorded(&project, &run, &settings, 300);
    let (events, _) = trace(&project, &run, settings);
    let whole = record.whole();
    assert_eq!((u64::from(whole.sparks), u64::from(whole.cuts)), (summary.sparks, summary.cuts));
    let largest = record.largest_error().unwrap();
    assert_eq!(largest.what.error_deg().map(f64::abs), summary.max_abs_error_deg);
    assert!(
        whole.error_deg.high == summary.max_abs_error_deg.unwrap()
            || -whole.error_deg.low == summary.max_abs_error_deg.unwrap()
    );
    let energy = |event: &Event| if let What::Spark { energy_mj, .. } = event.what { Some(energy_mj) } else { None };
    assert_eq!(energy(record.least_energy().unwrap()), summary.min_energy_mj);
    let dwell = |event: &Event| if let What::Spark { dwell_ms, .. } = event.what { Some(dwell_ms) } else { None };
    assert_eq!(dwell(record.longest_dwell().unwrap()), summary.max_dwell_ms);
    assert_eq!(dwell(record.shortest_dwell().unwrap()), summary.min_dwell_ms);
    assert_eq!(record.first_spark(), events.iter().find(is_spark));
    let rare = |event: &&Event| {
        !matches!(event.what, What::Edge { .. } | What::Gap { .. } | What::Charge { .. } | What::Spark { .. })
    };
    assert!(record.changes().iter().eq(events.iter().filter(rare)) && record.changes_left_out() == 0);
    let states = record
        .stretches_within(record.span_s(), |what| if let What::State(state) = what { Some(*state) } else { None });
    for state in State::ALL {
        let lasted: f64 = states.iter().filter(|stretch| stretch.2 == state).map(|stretch| stretch.1 - stretch.0).sum();
        assert!((lasted - summary.state_s(state)).abs() < 1e-9, "{state:?}");
    }
}

/// A dropped edge halves the unit's speed for one period of a long run: reducing the run to columns must not
/// hide it.
#[test]
fn one_bad_period_of_an_hour_is_seen() {
    let project = bench(4, WHEELS[0], |_| ());
    let run = run(&[(0.0, 600.0), (3600.0, 600.0)]);
    let settings = Settings { dropped_at_s: vec![1234.5], ..Settings::default() };
    let (record, summary) = recorded(&project, &run, &settings, 500);
    assert_eq!(summary.sync_losses, 1);
    let around = record.between(1234.4, 1234.7).speed_rpm;
    assert!(around.low < 320.0 && around.high < 601.0, "{around:?}");
    assert!(record.between(1300.0, 3600.0).speed_rpm.low > 599.9);
}

#[test]
fn coil_currents_end_at_the_sparks_own() {
    let project = bench(6, WHEELS[0], |_| ());
    let run = Run::new(vec![row(0.0, 3000.0), crate::rig::Row { battery_v: 9.0, ..row(2.0, 3000.0) }]).unwrap();
    let rig = Rig::new(&project, Settings::default()).unwrap();
    let (motion, layout) = (rig.motion(&run), Layout::new(&project));
    let replay = Replay::new(rig.drive(&run, &motion), &run, &mut ()).unwrap();
    let turn = Turn::at(1.0, &run, &motion, &layout);
    let mut events = Vec::new();
    replay.events(turn.wanted_s().0, turn.wanted_s().1, &mut events);
    let revolution = Revolution::new(turn, &events, &motion, &layout);
    // Over 390° three coils fire once, and one of them perhaps a second time.
    let fired = revolution.coils.iter().filter(|coil| matches!(coil.end, CoilEnd::Spark { .. })).count();
    assert!((3..=4).contains(&fired), "{fired}");
    for coil in &revolution.coils {
        let curve = coil.current_curve(&project.coil, 16);
        assert!(curve.len() == 17 && curve.windows(2).all(|pair| pair[0].1 < pair[1].1) && curve[0] == (0.0, 0.0));
        if let CoilEnd::Spark { current_a, actual_deg, .. } = coil.end {
            assert!((curve[16].1 - current_a).abs() < 1e-9);
            assert!((layout.before_tdc_deg(coil.channel, coil.to.1) - actual_deg).abs() < 1e-9);
        }
    }
    let gaps = revolution.dead_centres.windows(2).map(|pair| pair[1].1.1 - pair[0].1.1);
    assert!(gaps.into_iter().all(|deg| (deg - 120.0).abs() < 1e-9) && revolution.dead_centres.len() == 4);
    let own = (0, (motion.time_s(turn.tdc_deg).unwrap(), turn.tdc_deg));
    assert!(revolution.dead_centres.contains(&own), "{:?}", revolution.dead_centres);
    let (first_s, last_s) = (revolution.next_s(turn.time_s.0).unwrap(), revolution.previous_s(turn.time_s.1).unwrap());
    assert!(turn.time_s.0 < first_s && first_s < last_s && last_s < turn.time_s.1);
    assert!(
        revolution.previous_s(first_s).unwrap() < turn.time_s.0 && revolution.next_s(last_s).unwrap() > turn.time_s.1
    );
    let fired_s: Vec<f64> = events.iter().filter(is_spark).map(|event| event.time_s).collect();
    let mut walked_s = vec![fired_s[0]];
    while let Some(next_s) = revolution.next_s(walked_s[walked_s.len() - 1]) {
        walked_s.push(next_s);
    }
    assert_eq!(walked_s, fired_s);
}

#[test]
fn a_turn_holds_its_time_and_keeps_to_the_run() {
    let project = bench(4, WHEELS[1], |_| ());
    let run = run(&[(0.0, 900.0), (1.0, 900.0), (2.0, 0.0), (5.0, 0.0)]);
    let rig = Rig::new(&project, Settings::default()).unwrap();
    let (motion, layout) = (rig.motion(&run), Layout::new(&project));
    for time_s in [0.0, 0.001, 0.5, 1.7, 2.0, 4.9, 5.0] {
        let turn = Turn::at(time_s, &run, &motion, &layout);
        let crank_deg = motion.crank_deg(time_s);
        assert!(turn.deg.0 <= crank_deg && crank_deg < turn.deg.0 + 360.0, "{time_s}");
        assert!(turn.time_s.0 <= time_s && time_s <= turn.time_s.1 && turn.time_s.0 >= 0.0 && turn.time_s.1 <= 5.0);
        assert!((turn.deg.1 - turn.deg.0 - 390.0).abs() < 1e-9 && turn.number >= 0);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// Any stretch of a run, replayed from the nearest kept place, has the same events as the whole run, to the
    /// bit.
    #[test]
    fn a_stretch_is_cut_out_of_the_whole(
        speeds in proptest::collection::vec(0.0..8000.0, 3..6),
        from in 0.0..1.0_f64, share in 0.0..0.2_f64, jitter_us in 0.0..20.0, dropped in 0.0..1.0_f64,
    ) {
        let project = bench(4, WHEELS[0], |parts| parts.limits.over_speed.enabled = true);
        let points: Vec<(f64, f64)> = speeds.iter().enumerate().map(|(at, &rpm)| (at as f64 * 0.4, rpm)).collect();
        let run = run(&points);
        let settings = Settings { jitter_us, dropped_at_s: vec![dropped], ..Settings::default() };
        let (whole, sums) = trace(&project, &run, settings.clone());
        let rig = Rig::new(&project, settings).unwrap();
        let motion = rig.motion(&run);
        let mut all = Vec::new();
        let replay = Replay::new(rig.drive(&run, &motion), &run, &mut all).unwrap();
        prop_assert_eq!(&all, &whole);
        prop_assert_eq!(replay.summary(), &sums);
        let (from_s, to_s) = (from * run.end_s(), (from + share) * run.end_s());
        let mut part = Vec::new();
        replay.events(from_s, to_s, &mut part);
        let expected: Vec<Event> =
            whole.iter().filter(|event| (from_s..=to_s).contains(&event.time_s)).copied().collect();
        prop_assert_eq!(part, expected);
        prop_assert!(whole.iter().filter(is_edge).count() > 0);
    }
}
