//! The brush over the whole run, the readings along the hairline, and the marks of what is bad.

use eframe::egui::{
    Event, Key, Modifiers, MouseWheelSource, MouseWheelUnit, PointerButton, Pos2, TouchPhase, pos2, vec2,
};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::rig::Settings;
use sparkloft::window::state::rig_state::RigMessage;

use super::harness::{Window, sample, until};
use super::rig::{change, opened, opened_at};

fn shown_s(window: &Window) -> (f64, f64) {
    window.state().screen().rig.shown_s().unwrap()
}

fn width_s(window: &Window) -> f64 {
    shown_s(window).1 - shown_s(window).0
}

fn button(pos: Pos2, pressed: bool) -> Event {
    Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers: Modifiers::NONE }
}

/// Moves the pointer there and presses; then to each place, one frame each; then lets go.
fn drag(window: &mut Window, from: Pos2, to: &[Pos2]) {
    let moves = to.iter().map(|&at| Event::PointerMoved(at));
    let end = button(to.last().copied().unwrap_or(from), false);
    for event in [Event::PointerMoved(from), button(from, true)].into_iter().chain(moves).chain([end]) {
        window.event(event);
        window.step();
    }
    window.run();
}

/// Where a time is on the overview.
fn at(window: &Window, time_s: f64) -> Pos2 {
    let body = window.get_by_label("Shown stretch, middle in seconds").rect();
    let (start_s, end_s) = window.state().screen().rig.span_s().unwrap();
    // The strip can be taken hold of a little beyond its ends.
    let (left, right) = (body.left() + 6.0, body.right() - 6.0);
    let share = ((time_s - start_s) / (end_s - start_s)) as f32;
    pos2(left + share * (right - left), body.center().y)
}

fn near(found: (f64, f64), wanted: (f64, f64)) {
    assert!((found.0 - wanted.0).abs() < 0.05 && (found.1 - wanted.1).abs() < 0.05, "{found:?} is not {wanted:?}");
}

#[test]
fn a_brush_is_drawn_moved_widened_and_given_up() {
    let mut window = opened(sample("tarn-special"));
    let whole = window.state().screen().rig.span_s().unwrap();
    assert_eq!(shown_s(&window), whole);
    // With all of the run shown, a drag takes out a stretch.
    let (a, b) = (at(&window, 4.0), at(&window, 6.0));
    drag(&mut window, a, &[b - vec2(30.0, 0.0), b]);
    near(shown_s(&window), (4.0, 6.0));
    // Inside of it, the drag moves it along.
    let (a, b) = (at(&window, 5.0), at(&window, 8.0));
    drag(&mut window, a, &[b]);
    near(shown_s(&window), (7.0, 9.0));
    // By an edge.
    let (a, b) = (at(&window, 9.0), at(&window, 10.0));
    drag(&mut window, a, &[b]);
    near(shown_s(&window), (7.0, 10.0));
    let (a, b) = (at(&window, 7.0), at(&window, 6.5));
    drag(&mut window, a, &[b]);
    near(shown_s(&window), (6.5, 10.0));
    // Esc gives a drag up.
    let before = shown_s(&window);
    let (a, b) = (at(&window, 8.0), at(&window, 11.0));
    for event in [Event::PointerMoved(a), button(a, true), Event::PointerMoved(b)] {
        window.event(event);
        window.step();
    }
    window.step();
    assert_ne!(shown_s(&window), before);
    window.key_press(Key::Escape);
    window.run();
    window.event(Event::PointerMoved(b + vec2(20.0, 0.0)));
    window.step();
    window.event(button(b, false));
    window.run();
    assert_eq!(shown_s(&window), before);
    // No edge of the history, and the lanes scrub what is shown.
    assert_eq!(window.state().document().undo_label(), None);
    let lanes = window.get_by_label("Time in the run, seconds").rect();
    drag(&mut window, lanes.center() - vec2(50.0, 0.0), &[lanes.center()]);
    let cursor_s = window.state().screen().rig.cursor_s;
    assert!((cursor_s - f64::midpoint(before.0, before.1)).abs() < 0.02, "{cursor_s}");
    window.get_by_label("Show all of the run").click();
    window.run();
    assert_eq!(shown_s(&window), whole);
}

#[test]
fn wheel_keys_and_buttons_zoom_from_all_to_two_revolutions() {
    let mut window = opened(sample("tarn-special"));
    let whole_s = width_s(&window);
    let lanes = window.get_by_label("Time in the run, seconds").rect();
    let pointer = lanes.center() + vec2(lanes.width() / 4.0, 0.0);
    window.event(Event::PointerMoved(pointer));
    window.run();
    let delta = vec2(0.0, 100.0);
    window.event(Event::MouseWheel {
        unit: MouseWheelUnit::Point,
        delta,
        phase: TouchPhase::Move,
        modifiers: Modifiers::NONE,
        source: MouseWheelSource::Wheel,
    });
    window.run();
    let (from_s, to_s) = shown_s(&window);
    assert!(to_s - from_s < 0.9 * whole_s);
    // The time under the pointer stays there.
    assert!(((from_s + 0.75 * (to_s - from_s)) / whole_s - 0.75).abs() < 0.01);
    let before_s = width_s(&window);
    window.key_press(Key::ArrowUp);
    window.run();
    assert!((width_s(&window) / before_s - 1.0 / 1.5).abs() < 1e-6);
    window.key_press(Key::ArrowDown);
    window.run();
    assert!((width_s(&window) / before_s - 1.0).abs() < 1e-6);
    window.key_press_modifiers(Modifiers::SHIFT, Key::ArrowUp);
    window.run();
    let rig = &window.state().screen().rig;
    let turn_s = 60.0 / rig.run.as_ref().unwrap().at(rig.cursor_s).speed_rpm;
    assert!((width_s(&window) / turn_s - 2.0).abs() < 0.01, "{}", width_s(&window));
    assert!((f64::midpoint(shown_s(&window).0, shown_s(&window).1) - rig.cursor_s).abs() < 1e-6);
    // The arrows walk from spark to spark as before, and what is shown goes along.
    for _ in 0..6 {
        let cursor_s = window.state().screen().rig.cursor_s;
        until(&mut window, move |window| window.state().screen().rig.beside_s.1 > cursor_s);
        window.key_press(Key::ArrowRight);
        window.run();
        let rig = &window.state().screen().rig;
        assert!(rig.cursor_s > cursor_s && rig.cursor_s <= shown_s(&window).1);
    }
    window.key_press_modifiers(Modifiers::SHIFT, Key::ArrowDown);
    window.run();
    assert_eq!(width_s(&window), whole_s);
    window.get_by_label("Show one revolution on each side of the point").click();
    window.run();
    assert!(width_s(&window) < 0.1);
    // The edge of the brush has keys of its own.
    let before = shown_s(&window);
    window.get_by_label("Shown to, seconds").focus();
    window.run();
    window.key_press(Key::ArrowRight);
    window.run();
    assert!(shown_s(&window).0 == before.0 && shown_s(&window).1 > before.1);
}

#[test]
fn what_is_bad_is_marked_on_the_overview_and_leads_there() {
    let mut window = opened(sample("tarn-special"));
    let settings = Settings { dropped_at_s: vec![3.0, 9.0], ..Settings::default() };
    change(&mut window, RigMessage::Set(settings));
    until(&mut window, |window| window.query_by_label_contains("error at 9.0").is_some());
    change(&mut window, RigMessage::ShowStretch((4.0, 6.0)));
    let mark = window.get_by_label_contains("error at 3.0").rect();
    assert!((mark.center().x - at(&window, 3.0).x).abs() < 2.0);
    window.get_by_label_contains("error at 9.0").click();
    window.run();
    let cursor_s = window.state().screen().rig.cursor_s;
    assert!((9.0..9.1).contains(&cursor_s), "{cursor_s}");
    // What is shown goes along, as wide as before.
    near(shown_s(&window), (cursor_s - 1.0, cursor_s + 1.0));
    window.get_by_label_contains("lost 2 times").click();
    window.run();
    let cursor_s = window.state().screen().rig.cursor_s;
    assert!((3.0..3.1).contains(&cursor_s) && shown_s(&window).0 < 3.0 && shown_s(&window).1 > 3.0);
    let lanes = window.get_by_label("Time in the run, seconds");
    let told = lanes.accesskit_node().description().unwrap_or_default();
    assert!(told.starts_with("3.0") && told.contains(" rpm · "), "{told}");
}

#[test]
fn the_form_of_faults_stands_beside_the_lanes_and_takes_numbers_like_any_form() {
    let mut window = opened(sample("tarn-special"));
    let before = window.get_by_label("Time in the run, seconds").rect();
    window.get_by_label("Faults: none").click();
    window.run();
    let lanes = window.get_by_label("Time in the run, seconds").rect();
    let field = window.get_by_label("Jitter of the edges").rect();
    assert!(lanes.right() < field.left() && lanes.width() < before.width());
    window.get_by_label("Jitter of the edges").focus();
    window.run();
    window.event(Event::Text("2000".into()));
    window.run();
    window.key_press(Key::Enter);
    window.run();
    // Beyond its range it is refused where it was typed.
    assert_eq!(window.state().screen().rig.settings.jitter_us, 0.0);
    window.event(Event::Text("20".into()));
    window.run();
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(window.state().screen().rig.settings.jitter_us, 20.0);
    window.get_by_label("Close the form of the faults").click();
    window.run();
    assert_eq!(window.get_by_label("Time in the run, seconds").rect(), before);
    window.get_by_label_contains("Faults: jitter 20");
}

/// The least window: the faults leave room for the readout, and lanes, strip and facts keep their heights and scroll.
#[test]
fn in_the_least_window_nothing_is_cut_and_lanes_stay_readable() {
    let mut window = opened_at(sample("copse-eight"), eframe::egui::vec2(900.0, 560.0));
    let settings = Settings { dropped_at_s: vec![3.0], variation: 0.02, jitter_us: 5.0, ..Settings::default() };
    change(&mut window, RigMessage::Set(settings));
    until(&mut window, |window| window.query_by_label_contains("Computing").is_none());
    let faults = window.get_by_label_contains("Faults: 1 dropped, jitter").rect();
    let readout = window.get_by_label_contains(" commanded · ").rect();
    assert!(faults.right() < readout.left() && readout.right() <= 900.0, "{faults:?} {readout:?}");
    assert!(readout.width() > 60.0, "{readout:?}");
    let lanes = window.get_by_label("Time in the run, seconds").rect();
    assert!(lanes.height() > 200.0, "{lanes:?}");
}
