//! What is cut at the limits, and what the outputs do meanwhile.

use super::{WHEELS, bench, count, lock, row, run, trace};
use crate::project::{CutPattern, Output, Parts, Project};
use crate::rig::{Event, Row, Run, Settings, What};
use crate::spark::State;

fn limited(pattern: CutPattern) -> Project {
    bench(4, WHEELS[0], |parts| {
        lock(parts, 20.0);
        (parts.limits.over_speed.enabled, parts.limits.over_speed.pattern) = (true, pattern);
    })
}

/// Whether each coil event from the first cut to the last was suppressed.
fn pattern(events: &[Event]) -> Vec<bool> {
    let mut pattern: Vec<bool> = events
        .iter()
        .skip_while(|event| event.what.name() != "cut")
        // Whether a coil event is cut is decided when its charge would be set.
        .filter_map(|event| match event.what {
            What::Cut { .. } => Some(true),
            What::Charge { .. } => Some(false),
            _ => None,
        })
        .collect();
    pattern.truncate(pattern.iter().rposition(|&cut| cut).map_or(0, |last| last + 1));
    pattern
}

/// For each cylinder, of the power strokes that were decided at the limit: how many were cut, and how many
/// fired.
fn shares(cylinders: u8, events: &[Event]) -> Vec<[u32; 2]> {
    let coils = usize::from(cylinders) / 2;
    let mut turns = vec![0_usize; coils];
    let mut shares = vec![[0; 2]; usize::from(cylinders)];
    for event in events {
        let (channel, is_fired) = match event.what {
            What::Cut { channel, .. } => (channel, 0),
            What::Charge { channel, .. } => (channel, 1),
            _ => continue,
        };
        // A coil serves its two cylinders in turn, a revolution apart.
        let cylinder = channel + coils * (turns[channel] % 2);
        turns[channel] += 1;
        shares[cylinder][is_fired] += 1;
    }
    shares
}

/// Every cylinder loses the same share of its power strokes, both while the limit is held and while the engine
/// hunts around it in cuts shorter than two cycles.
#[test]
fn the_alternate_pattern_takes_the_same_share_from_every_cylinder() {
    for cylinders in [4, 6, 8] {
        let project = bench(cylinders, WHEELS[0], |parts| {
            lock(parts, 20.0);
            (parts.limits.over_speed.enabled, parts.limits.over_speed.pattern) = (true, CutPattern::AlternateCoils);
        });
        let over = &project.limits.over_speed;
        let (low, high) = (over.fires_again_below_rpm - 20.0, over.cuts_at_rpm + 20.0);
        // More than a hundred cycles at the limit.
        let held = run(&[(0.0, low), (0.1, high), (0.1 + 130.0 * 120.0 / high, high)]);
        let (events, summary) = trace(&project, &held, Settings::default());
        let from = events.iter().position(|event| event.what == What::State(State::LimitCut)).unwrap();
        let shares_held = shares(cylinders, &events[from..]);
        assert!(shares_held.iter().all(|[cut, fired]| cut + fired >= 100), "{shares_held:?}");
        assert!(shares_held.iter().all(|[cut, fired]| cut.abs_diff(*fired) <= 1), "{cylinders}: {shares_held:?}");
        assert_eq!(summary.cuts, u64::from(shares_held.iter().map(|[cut, _]| cut).sum::<u32>()));
        let bounce = (0..400).map(|step| (0.02 * f64::from(step), if step % 2 == 0 { low } else { high }));
        let (events, _) = trace(&project, &run(&bounce.collect::<Vec<_>>()), Settings::default());
        let cuts = |channel: usize| {
            events.iter().filter(|event| matches!(event.what, What::Cut { channel: of, .. } if of == channel)).count()
        };
        let cuts: Vec<usize> = (0..usize::from(cylinders) / 2).map(cuts).collect();
        let (least, most) = (cuts.iter().min().unwrap(), cuts.iter().max().unwrap());
        assert!(*least > 20 && *most - *least <= *most / 5, "{cylinders}: {cuts:?}");
    }
}

#[test]
fn states_follow_one_another_through_a_cut() {
    let over = run(&[(0.0, 6000.0), (0.5, 6550.0), (1.0, 6550.0), (1.2, 6000.0)]);
    let (events, summary) = trace(&limited(CutPattern::AlternateCoils), &over, Settings::default());
    let pattern = pattern(&events);
    let cut = pattern.iter().filter(|cut| **cut).count();
    assert!(pattern.len() > 100 && (2 * cut).abs_diff(pattern.len()) <= 4, "{pattern:?}");
    assert_eq!(summary.cuts, cut as u64);
    let states: Vec<State> = events.iter().filter_map(state_of).collect();
    use State::{LimitCut, OverSpeed, Running, Stopped};
    assert_eq!(states, [Stopped, Running, OverSpeed, LimitCut, OverSpeed, Running]);
}

fn state_of(event: &Event) -> Option<State> {
    if let What::State(state) = event.what { Some(state) } else { None }
}

#[test]
fn all_are_cut_further_up_and_with_the_other_pattern() {
    let over = run(&[(0.0, 6000.0), (0.5, 6800.0), (1.0, 6800.0), (1.2, 6000.0)]);
    let (events, _) = trace(&limited(CutPattern::All), &over, Settings::default());
    assert!(pattern(&events).iter().all(|&cut| cut));
    let (events, _) = trace(&limited(CutPattern::AlternateCoils), &over, Settings::default());
    let between = |event: &&Event| (0.6..1.0).contains(&event.time_s);
    let middle: Vec<Event> = events.iter().filter(between).copied().collect();
    assert_eq!((count(&middle, "charge"), count(&middle, "spark")), (0, 0));
    // 0.4 s at 6800 rpm are 90.7 coil events.
    assert!((90..=91).contains(&count(&middle, "cut")));
}

/// A coil that is already charging when the cut begins still fires.
#[test]
fn a_coil_already_charging_is_fired() {
    let mut fired = 0;
    for place in 0..12 {
        let drive = run(&[(0.0, 6490.0), (2.0 + f64::from(place) / 777.0, 6510.0)]);
        let (events, summary) = trace(&limited(CutPattern::All), &drive, Settings::default());
        let cut = events.iter().position(|event| event.what == What::State(State::LimitCut)).unwrap();
        let charging = count(&events[..cut], "charge") - count(&events[..cut], "spark");
        let (charges, sparks) = (count(&events[cut..], "charge"), count(&events[cut..], "spark"));
        // A charge that was set at the edge before may still begin.
        assert!(charges <= 1 && sparks == charging + charges && summary.let_downs == 0);
        fired += charging;
    }
    assert!(fired > 0);
}

#[test]
fn launch_cuts_until_the_speed_has_fallen_and_the_switch_opens() {
    let project = bench(4, WHEELS[0], |parts| {
        lock(parts, 20.0);
        parts.limits.launch.enabled = true;
    });
    let on = |time_s, speed_rpm| Row { launch: true, load: 100.0, ..row(time_s, speed_rpm) };
    let off = |time_s, speed_rpm| Row { load: 100.0, ..row(time_s, speed_rpm) };
    let rows = vec![
        off(0.0, 1000.0),
        on(1.0, 1000.0),
        on(1.5, 4250.0),
        on(1.7, 4000.0),
        on(1.9, 4250.0),
        off(2.0, 4250.0),
        off(2.5, 4250.0),
    ];
    let (events, summary) = trace(&project, &Run::new(rows).unwrap(), Settings::default());
    let states: Vec<State> = events.iter().filter_map(state_of).collect();
    use State::{Launch, LaunchCut, Running, Stopped};
    assert_eq!(states, [Stopped, Running, Launch, LaunchCut, Launch, LaunchCut, Running]);
    let is_of_launch = |event: &Event| !matches!(event.what, What::Cut { state, .. } if state != LaunchCut);
    assert!(summary.cuts > 10 && events.iter().all(is_of_launch));
    let held_back = events.iter().filter_map(|event| event.what.commanded_deg()).fold(f64::MAX, f64::min);
    assert!((0.0..1.0).contains(&held_back), "{held_back}");
}

/// A run that begins at speed with the switch closed: while the speed is unknown, nobody can say whether launch
/// may arm.
#[test]
fn launch_is_not_armed_by_a_speed_that_is_not_known() {
    let project = bench(4, WHEELS[0], |parts| parts.limits.launch.enabled = true);
    let states = |speed_rpm| {
        let on = |time_s| Row { launch: true, load: 100.0, ..row(time_s, speed_rpm) };
        let (events, _) = trace(&project, &Run::new(vec![on(0.0), on(1.0)]).unwrap(), Settings::default());
        events.iter().filter_map(state_of).collect::<Vec<_>>()
    };
    use State::{Launch, Running, Stopped};
    assert_eq!(states(4000.0), [Stopped, Running]);
    assert_eq!(states(1400.0), [Stopped, Launch]);
}

/// Armed at idle, stalled on the line with the switch closed, started again: launch is still armed.
#[test]
fn a_stall_with_the_switch_closed_leaves_launch_armed() {
    let project = bench(4, WHEELS[0], |parts| parts.limits.launch.enabled = true);
    let on = |time_s, speed_rpm| Row { launch: true, load: 100.0, ..row(time_s, speed_rpm) };
    let rows = vec![on(0.0, 1000.0), on(1.0, 1000.0), on(1.1, 0.0), on(3.0, 0.0), on(3.1, 3000.0), on(4.0, 3000.0)];
    let (events, _) = trace(&project, &Run::new(rows).unwrap(), Settings::default());
    assert_eq!(events.iter().filter_map(state_of).next_back(), Some(State::Launch));
}

#[test]
fn an_output_for_low_speed_does_not_flash_when_a_run_begins_fast() {
    let lamp = |inverted| {
        let project = bench(4, WHEELS[0], |parts: &mut Parts| {
            let output = &mut parts.outputs[0];
            (output.inverted, output.blinks_from_rpm) = (inverted, None);
            let condition = &mut output.conditions[0];
            (condition.signal, condition.on, condition.off) = (crate::project::Signal::Speed, 800.0, 900.0);
        });
        let (events, summary) = trace(&project, &run(&[(0.0, 6000.0), (1.0, 6000.0)]), Settings::default());
        (summary.outputs[0].switches, count(&events, "output_on"))
    };
    assert_eq!((lamp(false), lamp(true)), ((0, 0), (1, 1)));
}

#[test]
fn outputs_come_on_and_go_off_and_are_summed() {
    let project = bench(4, WHEELS[0], |parts: &mut Parts| {
        lock(parts, 20.0);
        let light = &mut parts.outputs[0];
        light.blinks_from_rpm = None;
        (light.conditions[0].on, light.conditions[0].off) = (6100.0, 5950.0);
        let pump = Output { name: "pump".into(), inverted: true, conditions: Vec::new(), ..parts.outputs[0].clone() };
        parts.outputs.push(pump);
    });
    let over = run(&[(0.0, 5000.0), (1.0, 6200.0), (2.0, 6200.0), (3.0, 5000.0)]);
    let (events, summary) = trace(&project, &over, Settings::default());
    let [shift, fan, pump] = &summary.outputs[..] else { panic!("three outputs") };
    // On from 6100 rpm at 0.91667 s to 5950 rpm at 2.20833 s; both are noticed a period or two later.
    assert_eq!((shift.switches, fan.switches, pump.switches), (1, 0, 1));
    assert!((shift.on_s - 1.29167).abs() < 0.002, "{}", shift.on_s);
    assert_eq!((fan.on_s, pump.on_s), (0.0, 3.0));
    assert_eq!((count(&events, "output_on"), count(&events, "output_off")), (2, 1));
}

#[test]
fn an_output_may_watch_the_advance() {
    let project = bench(4, WHEELS[0], |parts: &mut Parts| {
        let condition = &mut parts.outputs[0].conditions[0];
        (condition.signal, condition.on, condition.off) = (crate::project::Signal::Advance, 9.0, 7.0);
    });
    let (events, summary) = trace(&project, &run(&[(0.0, 200.0), (2.0, 200.0), (3.0, 2000.0)]), Settings::default());
    assert_eq!(summary.outputs[0].switches, 1);
    let on = events.iter().find(|event| event.what.name() == "output_on").unwrap();
    assert!(on.time_s > 2.1, "{}", on.time_s);
}
