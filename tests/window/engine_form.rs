//! Rows bound to fields of the project: typing, taking, giving up, refusing.

use eframe::egui::accesskit::Role;
use eframe::egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::Sheet;

use super::harness::{Window, new_project, window};

fn engine_window() -> Window {
    let mut window = window(new_project(4, 4));
    window.state_mut().ask(Action::Run(Command::Sheet(Sheet::Engine)));
    window.run();
    window
}

fn focus(window: &mut Window, name: &str) {
    window.get_by_role_and_label(Role::TextInput, name).focus();
    window.run();
}

fn type_text(window: &mut Window, text: &str) {
    window.event(eframe::egui::Event::Text(text.to_owned()));
    window.run();
}

fn value(window: &Window, name: &str) -> String {
    window.get_by_role_and_label(Role::TextInput, name).accesskit_node().value().unwrap_or_default()
}

fn steps(window: &Window) -> Vec<String> {
    window.state().document().steps().iter().map(|step| step.label.clone()).collect()
}

#[test]
fn enter_makes_one_labelled_step_and_a_decimal_comma_is_read() {
    let mut window = engine_window();
    focus(&mut window, "Zero offset");
    type_text(&mut window, "4,5");
    assert_eq!(window.state().document().project().trigger.zero_offset_deg, 0.0);
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(window.state().document().project().trigger.zero_offset_deg, 4.5);
    assert_eq!(steps(&window).last().unwrap(), "Set zero offset to 4.5°");
    assert_eq!(steps(&window).len(), 2);
    assert_eq!(value(&window, "Zero offset"), "4.5");
    // The keyboard has stayed, and the next digits replace all of it.
    type_text(&mut window, "6");
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(window.state().document().project().trigger.zero_offset_deg, 6.0);
}

#[test]
fn escape_gives_up_and_tab_takes() {
    let mut window = engine_window();
    focus(&mut window, "Displacement");
    type_text(&mut window, "2.5");
    window.key_press(Key::Escape);
    window.run();
    assert_eq!(steps(&window).len(), 1);
    focus(&mut window, "Displacement");
    type_text(&mut window, "2.4 l");
    window.key_press(Key::Tab);
    window.run();
    assert_eq!(steps(&window).last().unwrap(), "Set displacement to 2.4 l");
}

#[test]
fn arrow_keys_step_and_are_taken_as_one_step() {
    let mut window = engine_window();
    focus(&mut window, "Idle speed");
    let before = window.state().document().project().engine.idle_speed_rpm;
    window.key_press(Key::ArrowUp);
    window.run();
    window.key_press_modifiers(Modifiers::SHIFT, Key::ArrowUp);
    window.run();
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(window.state().document().project().engine.idle_speed_rpm, before + 550.0);
    assert_eq!(steps(&window).len(), 2);
}

#[test]
fn what_is_refused_stays_typed_with_the_reason() {
    let mut window = engine_window();
    focus(&mut window, "Zero offset");
    type_text(&mut window, "50");
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(steps(&window).len(), 1);
    assert_eq!(value(&window, "Zero offset"), "50");
    assert!(
        window
            .query_all_by_label_contains(
                "50 is outside −30..30°, three pitches of the wheel: move the reference by 5 teeth"
            )
            .next()
            .is_some()
    );
    let notice = window.state().screen().notice.clone().unwrap();
    assert!(notice.is_error && notice.text.starts_with("Zero offset: 50 is outside"), "{}", notice.text);
    window.key_press(Key::Escape);
    window.run();
    assert_eq!(value(&window, "Zero offset"), "0.0");
}

#[test]
fn a_command_takes_what_is_being_typed_first() {
    let mut window = engine_window();
    focus(&mut window, "Zero offset");
    type_text(&mut window, "3");
    window.key_press_modifiers(Modifiers::COMMAND, Key::B);
    window.run();
    assert_eq!(window.state().document().project().trigger.zero_offset_deg, 3.0);
    assert_eq!(steps(&window).last().unwrap(), "Set zero offset to 3.0°");
}

#[test]
fn a_sheet_that_is_left_by_a_click_takes_what_was_typed() {
    let mut window = engine_window();
    focus(&mut window, "Zero offset");
    type_text(&mut window, "2");
    window.get_by_label("Advance").click();
    window.run();
    assert_eq!(window.state().document().project().trigger.zero_offset_deg, 2.0);
}

#[test]
fn names_and_flags_are_chosen_in_one_step_each() {
    let mut window = engine_window();
    window.get_by_label("Trigger sensor: hall").click();
    window.run();
    assert_eq!(steps(&window).last().unwrap(), "Set trigger sensor to hall");
    let fitted = window.state().document().project().sensors.coolant.fitted;
    window.get_by_role_and_label(Role::CheckBox, "Coolant sender fitted").click();
    window.run();
    assert_eq!(window.state().document().project().sensors.coolant.fitted, !fitted);
    assert!(steps(&window).last().unwrap().starts_with("Coolant sender fitted: "));
}

#[test]
fn what_is_assumed_is_confirmed_by_a_click_or_with_enter() {
    let mut window = engine_window();
    let is_assumed = |window: &Window, path: &str| window.state().document().project().is_assumed(path);
    assert!(is_assumed(&window, "engine.displacement_l") && is_assumed(&window, "engine.compression_ratio"));
    let before = window.state().document().project().engine.clone();
    window.get_by_label("Confirm displacement: 2 l, assumed").click();
    window.run();
    assert_eq!(steps(&window).last().unwrap(), "Confirm displacement: 2 l");
    focus(&mut window, "Compression ratio");
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(steps(&window).last().unwrap(), "Confirm compression ratio: 9:1");
    assert!(!is_assumed(&window, "engine.displacement_l") && !is_assumed(&window, "engine.compression_ratio"));
    assert_eq!(window.state().document().project().engine, before);
    // Enter once more says nothing new.
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(steps(&window).len(), 3);
    window.state_mut().ask(Action::Run(Command::Undo));
    window.run();
    assert!(is_assumed(&window, "engine.compression_ratio"));
}

#[test]
fn another_value_is_confirmed_by_itself() {
    let mut window = engine_window();
    focus(&mut window, "Displacement");
    type_text(&mut window, "2.5");
    window.key_press(Key::Enter);
    window.run();
    assert!(!window.state().document().project().is_assumed("engine.displacement_l"));
    assert!(window.query_by_label("Confirm displacement: 2.5 l, assumed").is_none());
}

#[test]
fn the_full_load_line_is_offered_anew_when_the_engine_changes() {
    let mut window = engine_window();
    assert!(window.get_by_label("Compute anew").accesskit_node().is_disabled());
    focus(&mut window, "Compression ratio");
    type_text(&mut window, "11");
    window.key_press(Key::Enter);
    window.run();
    let project = window.state().document().project();
    assert_eq!(project.full_load_line.most_deg.lookup(4000.0), 33.6);
    window.get_by_label("Compute anew").click();
    window.run();
    assert_eq!(window.state().document().project().full_load_line.most_deg.lookup(4000.0), 29.6);
    assert_eq!(steps(&window).last().unwrap(), "Compute the full-load line from the engine: 29.6° from 3000 rpm");
    assert!(window.get_by_label("Compute anew").accesskit_node().is_disabled());
}
