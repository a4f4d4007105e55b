//! Changes typed over cells and into the boxes of a curve: told before Enter, then done.

use eframe::egui::Event;
use eframe::egui::accesskit::Role;
use egui_kittest::kittest::Queryable;
use sparkloft::window::state::screen::{ScreenMessage, Sheet};

use super::harness::{Window, message, new_project, press, sample, value, window, with_held, with_values};

/// A window on 8 × 8 cells of 20 degrees, the upper left 2 × 2 selected.
fn four() -> Window {
    let mut window = window(with_values(&new_project(8, 8), |_, _| 20.0));
    window.run();
    press(&mut window, "Ctrl+Home Shift+Right Shift+Down");
    window
}

fn says(window: &Window, words: &str) -> bool {
    window.query_all_by_label(words).next().is_some()
}

#[test]
fn changes_are_told_before_enter_and_then_made() {
    let cases = [
        ("+ 1", "Enter adds 1.0° to 4 cells, Esc does not", 21.0, "Raise 4 cells by 1.0°"),
        ("+ = 2 , 5", "Enter adds 2.5° to 4 cells, Esc does not", 22.5, "Raise 4 cells by 2.5°"),
        ("- = 1 . 5", "Enter takes 1.5° off 4 cells, Esc does not", 18.5, "Lower 4 cells by 1.5°"),
        ("* 1 . 0 5", "Enter changes 4 cells by +5 %, Esc does not", 21.0, "Scale 4 cells by +5 %"),
        ("+ 5 %", "Enter changes 4 cells by +5 %, Esc does not", 21.0, "Scale 4 cells by +5 %"),
    ];
    for (typed, told, after, label) in cases {
        let mut window = four();
        press(&mut window, typed);
        assert!(says(&window, told), "{typed}: {told}");
        assert_eq!(window.state().document().steps().len(), 1, "{typed}: nothing before Enter");
        press(&mut window, "Enter");
        assert_eq!((value(&window, 7, 0), value(&window, 6, 1), value(&window, 5, 0)), (after, after, 20.0), "{typed}");
        assert_eq!(window.state().document().undo_label(), Some(label));
        press(&mut window, "Ctrl+Z");
        assert_eq!(value(&window, 7, 0), 20.0);
    }
}

#[test]
fn a_minus_alone_sets_and_offers_to_lower() {
    let mut window = four();
    press(&mut window, "- 2");
    assert!(says(&window, "Enter sets 4 cells to \u{2212}2.0°, Alt+Enter lowers by 2.0°, Esc does neither"));
    press(&mut window, "Enter");
    assert_eq!(value(&window, 7, 0), -2.0);
    press(&mut window, "Ctrl+Z - 2 Alt+Enter");
    assert_eq!((value(&window, 7, 0), value(&window, 6, 1)), (18.0, 18.0));
    assert_eq!(window.state().document().undo_label(), Some("Lower 4 cells by 2.0°"));
    assert!(window.state().screen().grid.editor.is_none());
}

#[test]
fn what_cannot_be_done_is_said_before_enter_and_stays_in_the_editor() {
    let mut window = four();
    press(&mut window, "+ 8 0");
    window.get_by_label_contains("number for the selected cells; Enter the result 100°");
    press(&mut window, "Enter");
    assert!(message(&window).starts_with("the result 100° at "), "{}", message(&window));
    assert!(message(&window).ends_with("select fewer cells, ask for less, or hold what must stay"));
    assert_eq!((window.state().document().steps().len(), value(&window, 7, 0)), (1, 20.0));
    press(&mut window, "Escape 5 % Enter");
    assert_eq!(message(&window), "'5%' has no sign; type +5% for more or -5% for less");
    press(&mut window, "Escape 7 Alt+Enter");
    assert_eq!(message(&window), "Alt+Enter lowers by a number with a minus: type a plus to raise");
    assert_eq!(window.state().document().steps().len(), 1);
}

#[test]
fn held_cells_stay_but_one_alone_takes_a_change() {
    let mut window = window(with_held(&with_values(&new_project(8, 8), |_, _| 20.0), 7, 0));
    window.run();
    press(&mut window, "Ctrl+Home Shift+Right + 1");
    assert!(says(&window, "Enter adds 1.0° to 1 of 2 cells, 1 held, Esc does not"));
    press(&mut window, "Enter Ctrl+Home + 3");
    assert!(says(&window, "Enter adds 3.0° to the held cell, which stays held, Esc does not"));
    press(&mut window, "Enter");
    assert_eq!((value(&window, 7, 0), value(&window, 7, 1)), (23.0, 21.0));
    assert_eq!(window.state().document().project().advance.held().count(), 1);
}

#[test]
fn boxes_of_a_curve_take_changes_in_their_own_unit() {
    let mut window = window(sample("tarn-special"));
    window.state_mut().ask(ScreenMessage::Show(Sheet::Trims));
    window.run();
    let coolant = |window: &Window| {
        window.state().document().project().trims.coolant.degrees.points().next().expect("a curve has points")
    };
    let (at, before) = coolant(&window);
    let name =
        format!("coolant trim at {} °C, value", if at < 0.0 { format!("\u{2212}{}", -at) } else { at.to_string() });
    let enter = |window: &mut Window, text: &str| {
        window.get_by_role_and_label(Role::TextInput, &name).focus();
        window.run();
        window.event(Event::Text(text.to_owned()));
        window.run();
    };
    enter(&mut window, "+=1.5");
    window.get_by_label_contains("Enter takes coolant trim at ");
    assert_eq!(coolant(&window).1, before);
    press(&mut window, "Enter");
    assert_eq!(coolant(&window).1, before + 1.5);
    enter(&mut window, "-=");
    assert!(says(&window, "type an amount after '-='"));
    press(&mut window, "Enter Escape");
    enter(&mut window, "+3");
    press(&mut window, "Enter");
    assert_eq!(coolant(&window).1, 3.0, "where values have signs a plus belongs to the number");
    enter(&mut window, "*0,5");
    press(&mut window, "Enter");
    assert_eq!(coolant(&window).1, 1.5);
}
