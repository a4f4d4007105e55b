//! What holds for every evaluation, and worked examples.

use approx::assert_abs_diff_eq;
use proptest::prelude::*;

use super::{Breakdown, Conditions, Evaluation, Memory, State};
use crate::project::{Advance, CutPattern, LoadKind, NewProject, Origin, Parts, Project};
use crate::table::{Axis, Curve, Table};

fn project(change: impl FnOnce(&mut Parts)) -> Project {
    let new = NewProject { name: "bench".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
    new.create().unwrap().edit(change).unwrap()
}

/// 20° everywhere, with the default trims and limits.
fn flat(parts: &mut Parts) {
    let axis = |top: f64| Axis::new(vec![0.0, top]).unwrap();
    let table = Table::from_fn(axis(8000.0), axis(100.0), |_, _| 20.0).unwrap();
    parts.advance = Advance::uniform(table, Origin::Typed).unwrap();
}

fn flat_project(change: impl FnOnce(&mut Parts)) -> Project {
    project(|parts| {
        flat(parts);
        change(parts);
    })
}

fn at(speed_rpm: f64, load: f64) -> Conditions {
    Conditions { speed_rpm, load, ..Conditions::default() }
}

fn lookup(project: &Project, conditions: Conditions) -> Breakdown {
    Evaluation::new(project).lookup(&conditions)
}

fn launching(change: impl FnOnce(&mut Parts)) -> Project {
    flat_project(|parts| {
        parts.limits.launch.enabled = true;
        change(parts);
    })
}

fn on_the_line(speed_rpm: f64) -> Conditions {
    Conditions { launch_switch: true, ..at(speed_rpm, 100.0) }
}

/// A centrifugal advance curve over rpm, in crank degrees with 6° of initial advance: within common practice,
/// no source. The totals at 1300 and 2500 rpm are computed by hand from the neighbouring points.
#[test]
fn a_table_made_from_a_centrifugal_curve_gives_its_totals() {
    let speeds = vec![500.0, 1000.0, 1600.0, 2000.0, 3000.0, 4000.0, 4600.0];
    let totals = [6.0, 8.0, 15.0, 20.0, 27.0, 34.0, 38.0];
    let centrifugal = project(|parts| {
        let load = Axis::new(vec![0.0, 100.0]).unwrap();
        let table = Table::new(Axis::new(speeds).unwrap(), load, [totals, totals].concat()).unwrap();
        parts.advance = Advance::uniform(table, Origin::Typed).unwrap();
    });
    assert_abs_diff_eq!(lookup(&centrifugal, at(1300.0, 30.0)).commanded_deg, 11.5, epsilon = 1e-12);
    assert_abs_diff_eq!(lookup(&centrifugal, at(2500.0, 30.0)).commanded_deg, 23.5, epsilon = 1e-12);
}

#[test]
fn states_follow_the_speed() {
    let project = flat_project(|_| ());
    let state = |speed_rpm| lookup(&project, at(speed_rpm, 50.0)).state;
    assert_eq!([49.9, 50.0, 399.9].map(state), [State::Stopped, State::Cranking, State::Cranking]);
    assert_eq!([400.0, 6249.9].map(state), [State::Running, State::Running]);
    assert_eq!([6250.0, 6499.9, 6500.0].map(state), [State::OverSpeed, State::OverSpeed, State::LimitCut]);
}

#[test]
fn cranking_and_standstill_command_the_cranking_advance_alone() {
    let cold = Conditions { coolant_c: Some(-20.0), air_c: Some(70.0), ..at(200.0, 80.0) };
    let found = lookup(&flat_project(|_| ()), cold);
    assert_eq!((found.commanded_deg, found.fires), (8.0, true));
    assert_eq!(found.contributions.sum(), found.contributions.cranking);
    let found = lookup(&flat_project(|_| ()), at(20.0, 80.0));
    assert_eq!((found.commanded_deg, found.fires), (8.0, false));
    let found = lookup(&flat_project(|parts| parts.limits.clamp.ceiling_deg = 5.0), cold);
    assert_eq!((found.commanded_deg, found.contributions.clamp), (5.0, -3.0));
}

/// w = (speed − 500)/200; blend = (1 − w)·(8 − 20) by hand.
#[test]
fn the_advance_ramps_out_of_cranking() {
    let project = flat_project(|_| ());
    for (speed_rpm, blend, commanded) in
        [(450.0, -12.0, 8.0), (500.0, -12.0, 8.0), (650.0, -3.0, 17.0), (700.0, 0.0, 20.0)]
    {
        let found = lookup(&project, at(speed_rpm, 50.0));
        assert_eq!((found.contributions.blend, found.commanded_deg), (blend, commanded));
    }
}

#[test]
fn trims_are_degrees_times_weight_and_left_out_without_a_temperature() {
    let project = flat_project(|_| ());
    let warm = Conditions { coolant_c: Some(30.0), air_c: Some(60.0), ..at(3000.0, 26.5) };
    let found = lookup(&project, warm);
    // Coolant halfway between 3 and 2 degrees, weight 1; air −4 degrees, weight halfway from 3 to 50 % load.
    assert_eq!(found.contributions.coolant_trim, Some(2.5));
    assert_abs_diff_eq!(found.contributions.air_trim.unwrap(), -2.0, epsilon = 1e-12);
    assert_abs_diff_eq!(found.commanded_deg, 20.5, epsilon = 1e-12);
    let found = lookup(&project, at(3000.0, 26.5));
    assert_eq!((found.contributions.coolant_trim, found.contributions.air_trim), (None, None));
    assert_eq!(found.commanded_deg, 20.0);
    let off = flat_project(|parts| parts.trims.coolant.enabled = false);
    assert_eq!(lookup(&off, warm).contributions.coolant_trim, Some(0.0));
}

#[test]
fn over_speed_eases_off_and_cuts_by_its_pattern() {
    let project = flat_project(|_| ());
    let found = |speed_rpm| lookup(&project, at(speed_rpm, 50.0));
    assert_eq!(found(6375.0).contributions.over_speed, -5.0);
    assert_eq!((found(6500.0).commanded_deg, found(6500.0).fires), (10.0, false));
    assert_eq!(found(6600.0).cut, Some(CutPattern::AlternateCoils));
    assert_eq!(found(6700.0).cut, Some(CutPattern::All));
    let off = flat_project(|parts| parts.limits.over_speed.enabled = false);
    assert_eq!(lookup(&off, at(7000.0, 50.0)).commanded_deg, 20.0);
}

/// w = (speed − 3500)/700, towards 0°.
#[test]
fn launch_holds_back_then_cuts_and_never_adds() {
    let project = launching(|_| ());
    let found = |conditions| lookup(&project, conditions);
    assert_eq!(found(on_the_line(3850.0)).contributions.launch, -10.0);
    assert_eq!(found(on_the_line(3850.0)).state, State::Launch);
    assert_eq!((found(on_the_line(4200.0)).state, found(on_the_line(4200.0)).commanded_deg), (State::LaunchCut, 0.0));
    assert_eq!(found(at(4200.0, 100.0)).state, State::Running);
    let lifted = Conditions { throttle_pct: Some(59.0), ..on_the_line(4200.0) };
    assert_eq!(found(lifted).contributions.launch, 0.0);
    let early = launching(|parts| parts.limits.launch.advance_deg = 35.0);
    assert_eq!(lookup(&early, on_the_line(4200.0)).contributions.launch, 0.0);
}

#[test]
fn with_pressure_load_and_no_throttle_signal_launch_needs_no_throttle() {
    let new = NewProject { name: "blown".into(), cylinders: 6, load: LoadKind::Pressure, speeds: 8, loads: 8 };
    let project = new.create().unwrap().edit(|parts| parts.limits.launch.enabled = true).unwrap();
    let closed = Conditions { launch_switch: true, ..at(4300.0, 40.0) };
    assert_eq!(lookup(&project, closed).state, State::LaunchCut);
    assert_eq!(lookup(&project, Conditions { throttle_pct: Some(10.0), ..closed }).state, State::Running);
}

#[test]
fn the_safety_margin_and_the_clamp_come_last() {
    let project = flat_project(|parts| {
        parts.safety_margin.enabled = true;
        parts.safety_margin.degrees = Curve::from_points(&[(50.0, 0.0), (100.0, 4.0)]).unwrap();
        parts.limits.clamp.floor_deg = 18.0;
    });
    let found = lookup(&project, at(3000.0, 100.0));
    assert_eq!((found.contributions.margin, found.contributions.clamp, found.commanded_deg), (-4.0, 2.0, 18.0));
}

#[test]
fn cranking_is_left_late_and_comes_back_low() {
    let project = flat_project(|_| ());
    let evaluation = Evaluation::new(&project);
    let mut memory = Memory::default();
    let mut state = |speed_rpm| evaluation.step(&mut memory, &at(speed_rpm, 50.0)).state;
    use State::{Cranking, Running, Stopped};
    assert_eq!([0.0, 200.0, 450.0, 500.0].map(&mut state), [Stopped, Cranking, Cranking, Cranking]);
    assert_eq!([500.1, 450.0, 400.0].map(&mut state), [Running, Running, Running]);
    assert_eq!([399.9, 450.0, 501.0, 10.0, 450.0].map(&mut state), [Cranking, Cranking, Running, Stopped, Cranking]);
}

#[test]
fn a_cut_lasts_until_the_speed_has_fallen() {
    let project = launching(|_| ());
    let evaluation = Evaluation::new(&project);
    let mut memory = Memory::default();
    let mut state = |conditions| evaluation.step(&mut memory, &conditions).state;
    use State::{Launch, LaunchCut, LimitCut, OverSpeed, Running};
    assert_eq!(
        [6499.0, 6500.0, 6380.0, 6379.9, 6450.0].map(|s| state(at(s, 50.0))),
        [OverSpeed, LimitCut, LimitCut, OverSpeed, OverSpeed]
    );
    assert_eq!(
        [1500.0, 4200.0, 4050.0, 4049.9, 4100.0].map(|s| state(on_the_line(s))),
        [Launch, LaunchCut, LaunchCut, Launch, Launch]
    );
    assert_eq!(state(at(4100.0, 100.0)), Running);
}

#[test]
fn launch_is_armed_by_closing_the_switch_slowly_enough() {
    let project = launching(|_| ());
    let evaluation = Evaluation::new(&project);
    let mut memory = Memory::default();
    let mut state = |conditions| evaluation.step(&mut memory, &conditions).state;
    assert_eq!(state(on_the_line(1501.0)), State::Running);
    assert_eq!(state(on_the_line(1000.0)), State::Running);
    assert_eq!(state(at(1000.0, 100.0)), State::Running);
    assert_eq!(state(on_the_line(1500.0)), State::Launch);
    assert_eq!(state(on_the_line(4300.0)), State::LaunchCut);
}

/// Any limits that the catalogue allows, in any order.
fn any_project() -> impl Strategy<Value = Project> {
    let speeds = proptest::collection::vec(0.0..3000.0, 3);
    let over = (0.0..9000.0, 0.0..30.0, 100.0..9000.0, 0.0..9000.0, any::<bool>());
    let launch = (0.0..9000.0, 0.0..9000.0, 0.0..5000.0, -30.0..40.0);
    let clamp = (-20.0..10.0, 10.0..50.0);
    let switches = (any::<bool>(), any::<bool>(), any::<bool>());
    (speeds, over, launch, clamp, switches).prop_map(|(cranking, over, launch, clamp, switches)| {
        project(|parts| {
            let limits = &mut parts.limits;
            (limits.cranking.below_rpm, limits.cranking.leave_at_rpm) = (cranking[0], cranking[1]);
            limits.cranking.blend_rpm = cranking[2];
            let (eases_from_rpm, eases_by_deg, cuts_at_rpm, fires_again_below_rpm, enabled) = over;
            limits.over_speed.eases_from_rpm = eases_from_rpm;
            limits.over_speed.eases_by_deg = eases_by_deg;
            limits.over_speed.cuts_at_rpm = cuts_at_rpm;
            limits.over_speed.fires_again_below_rpm = fires_again_below_rpm;
            limits.over_speed.enabled = enabled;
            (limits.launch.retards_from_rpm, limits.launch.cuts_at_rpm) = (launch.0, launch.1);
            (limits.launch.arms_below_rpm, limits.launch.advance_deg) = (launch.2, launch.3);
            (limits.clamp.floor_deg, limits.clamp.ceiling_deg) = clamp;
            (limits.launch.enabled, parts.safety_margin.enabled, parts.trims.air.enabled) = switches;
        })
    })
}

fn any_conditions() -> impl Strategy<Value = Conditions> {
    let temperature = || proptest::option::of(-40.0..130.0);
    (0.0..9500.0, -5.0..110.0, temperature(), temperature(), proptest::option::of(0.0..100.0), any::<bool>()).prop_map(
        |(speed_rpm, load, coolant_c, air_c, throttle_pct, launch_switch)| Conditions {
            speed_rpm,
            load,
            coolant_c,
            air_c,
            battery_v: None,
            throttle_pct,
            launch_switch,
        },
    )
}

fn check(project: &Project, found: &Breakdown) -> Result<(), TestCaseError> {
    let clamp = &project.limits.clamp;
    prop_assert!((found.contributions.sum() - found.commanded_deg).abs() < 1e-9);
    prop_assert!((clamp.floor_deg..=clamp.ceiling_deg).contains(&found.commanded_deg));
    let parts = &found.contributions;
    prop_assert!(parts.launch <= 0.0 && parts.over_speed <= 0.0 && parts.margin <= 0.0);
    prop_assert_eq!(found.fires, found.cut.is_none() && found.state != State::Stopped);
    Ok(())
}

/// How often adjacent entries of a list differ.
fn switches(states: &[bool]) -> usize {
    states.windows(2).filter(|pair| pair[0] != pair[1]).count()
}

proptest! {
    #[test]
    fn contributions_sum_to_the_commanded_advance_within_floor_and_ceiling(
        project in any_project(),
        drive in proptest::collection::vec(any_conditions(), 1..40),
    ) {
        let evaluation = Evaluation::new(&project);
        let mut memory = Memory::default();
        for conditions in &drive {
            check(&project, &evaluation.lookup(conditions))?;
            check(&project, &evaluation.step(&mut memory, conditions))?;
        }
    }

    /// Within a band, whatever the speed does, a cut or cranking begins or ends at most once.
    #[test]
    fn hysteresis_never_switches_twice_inside_its_band(
        start_rpm in 0.0..9000.0,
        over in proptest::collection::vec(6380.0..6500.0, 2..40),
        starting in proptest::collection::vec(400.0..500.0, 2..40),
        on_launch in proptest::collection::vec(4050.0..4200.0, 2..40),
    ) {
        let project = launching(|_| ());
        let evaluation = Evaluation::new(&project);
        let bands: [(Vec<f64>, State); 3] =
            [(over, State::LimitCut), (starting, State::Cranking), (on_launch, State::LaunchCut)];
        for (band, state) in bands {
            let mut memory = Memory::default();
            evaluation.step(&mut memory, &on_the_line(1000.0));
            let speeds_rpm = std::iter::once(&start_rpm).chain(&band);
            let found: Vec<bool> =
                speeds_rpm.map(|&rpm| evaluation.step(&mut memory, &on_the_line(rpm)).state == state).collect();
            prop_assert!(switches(&found) <= 1, "{:?}", found);
            prop_assert_eq!(switches(&found[1..]), 0);
        }
    }

    /// Accelerated from standstill, the unit does what the answer without memory says, except that it leaves
    /// cranking later.
    #[test]
    fn a_rising_unit_agrees_with_the_stateless_answer(top_rpm in 510.0..9000.0, load in 0.0..100.0) {
        let project = project(|_| ());
        let evaluation = Evaluation::new(&project);
        let mut memory = Memory::default();
        for step in 0..=200 {
            let conditions = at(top_rpm * f64::from(step) / 200.0, load);
            let (stepped, rising) = (evaluation.step(&mut memory, &conditions), evaluation.lookup(&conditions));
            if !(400.0..=500.0).contains(&conditions.speed_rpm) {
                prop_assert_eq!(stepped, rising);
            }
        }
    }
}
