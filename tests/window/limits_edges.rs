//! Bands of the Limits sheet lead to their fields, and their edges can be dragged.

use eframe::egui::accesskit::Role;
use eframe::egui::{CursorIcon, Event, Key, Modifiers, PointerButton, Pos2, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::Sheet;

use super::harness::{Window, sample, window};

fn opened() -> Window {
    let mut window = window(sample("tarn-special"));
    window.state_mut().ask(Action::Run(Command::Sheet(Sheet::Limits)));
    window.run();
    window
}

fn labels(window: &Window) -> Vec<String> {
    window.state().document().steps().iter().map(|step| step.label.clone()).collect()
}

fn cuts_at_rpm(window: &Window) -> f64 {
    window.state().document().project().limits.over_speed.cuts_at_rpm
}

fn button(pos: Pos2, pressed: bool, modifiers: Modifiers) -> Event {
    Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers }
}

/// Takes hold of an edge and moves it sideways, in two frames.
fn hold(window: &mut Window, name: &str, by: f32, modifiers: Modifiers) -> Pos2 {
    let from = window.get_by_role_and_label(Role::Slider, name).rect().center();
    window.event(Event::PointerMoved(from));
    window.step();
    window.event_modifiers(button(from, true, modifiers), modifiers);
    window.step();
    for share in [0.5, 1.0] {
        window.event_modifiers(Event::PointerMoved(from + vec2(by * share, 0.0)), modifiers);
        window.step();
    }
    window.step();
    from + vec2(by, 0.0)
}

fn let_go(window: &mut Window, at: Pos2) {
    window.event(button(at, false, Modifiers::NONE));
    window.step();
    window.run();
}

#[test]
fn an_edge_is_dragged_as_one_step_and_esc_gives_it_up() {
    let mut window = opened();
    let (name, before) = ("Edge: over-speed cuts at", cuts_at_rpm(&window));
    let steps = labels(&window).len();
    let at = hold(&mut window, name, -8.0, Modifiers::NONE);
    let dragged = cuts_at_rpm(&window);
    assert!((30.0..90.0).contains(&(before - dragged)) && dragged % 10.0 == 0.0, "{before} {dragged}");
    assert_eq!(window.output().platform_output.cursor_icon, CursorIcon::ResizeHorizontal);
    assert_eq!(labels(&window).len(), steps, "it is one step when it is let go");
    let_go(&mut window, at);
    assert_eq!((cuts_at_rpm(&window), labels(&window).len()), (dragged, steps + 1));
    assert_eq!(labels(&window).last().unwrap(), &format!("Set over-speed cuts at to {dragged:.0} rpm"));
    // With Shift the edge follows by a fifth.
    let at = hold(&mut window, name, -30.0, Modifiers::SHIFT);
    let fine = dragged - cuts_at_rpm(&window);
    let_go(&mut window, at);
    assert!((20.0..80.0).contains(&fine), "{fine}");
    let now = cuts_at_rpm(&window);
    let at = hold(&mut window, name, -12.0, Modifiers::NONE);
    assert_ne!(cuts_at_rpm(&window), now);
    window.key_press(Key::Escape);
    window.step();
    window.step();
    let_go(&mut window, at);
    assert_eq!((cuts_at_rpm(&window), labels(&window).len()), (now, steps + 2));
}

#[test]
fn a_drag_ends_at_the_catalogues_range_and_keys_move_an_edge() {
    let mut window = opened();
    let no_spark = "Edge: no spark below";
    // Far to the left: the field's least value is 0 rpm.
    let at = hold(&mut window, no_spark, -300.0, Modifiers::NONE);
    let_go(&mut window, at);
    let limits = || &window.state().document().project().limits;
    assert_eq!(limits().cranking.no_spark_below_rpm, 0.0);
    let before = limits().launch.resume_drop_rpm;
    // Right moves the edge right: the drop below the cut becomes smaller.
    window.get_by_role_and_label(Role::Slider, "Edge: launch resume drop").focus();
    window.run();
    window.key_press(Key::ArrowRight);
    window.run();
    assert_eq!(window.state().document().project().limits.launch.resume_drop_rpm, before - 50.0);
    assert_eq!(labels(&window).last().unwrap(), &format!("Set launch resume drop to {:.0} rpm", before - 50.0));
}

#[test]
fn a_band_leads_to_its_field() {
    let mut window = opened();
    let has_focus =
        |window: &Window, name: &str| window.get_by_role_and_label(Role::TextInput, name).accesskit_node().is_focused();
    for (band, field) in [
        ("Band: over-speed cuts all at", "Over-speed cuts all at"),
        ("Band: launch retards from", "Launch retards from"),
    ] {
        window.query_all_by_label(band).next().unwrap().click();
        window.run();
        window.run();
        assert!(has_focus(&window, field), "{band}");
    }
    // Another output is opened for it.
    window.query_all_by_label("Band: shift light, on").next().unwrap().click();
    window.run();
    window.run();
    assert!(has_focus(&window, "Shift light, on"));
    assert_eq!(labels(&window).len(), 1, "nothing was changed");
    // The shapes are explained once.
    assert_eq!(window.query_all_by_label_contains("Slanting lines:").count(), 1);
}
