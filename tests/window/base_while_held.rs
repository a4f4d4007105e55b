//! The base in the place of the table as long as its key is held.

use eframe::egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use sparkloft::window::state::screen::{ScreenMessage, Sheet};

use super::harness::{Window, message, new_project, press, value, window, with_values};

/// A window on 8 × 8 cells of 20 degrees, of which the upper left was set to 30 since.
fn edited() -> Window {
    let mut window = window(with_values(&new_project(8, 8), |_, _| 20.0));
    window.run();
    press(&mut window, "Ctrl+Home 3 0 Enter Ctrl+Home");
    assert_eq!(value(&window, 7, 0), 30.0);
    window
}

fn shows(window: &Window, words: &str) -> bool {
    window.query_all_by_label_contains(words).next().is_some()
}

#[test]
fn every_view_shows_the_base_until_the_key_is_let_go() {
    let mut window = edited();
    assert!(shows(&window, "30.0 degrees"));
    window.key_down(Key::B);
    window.run();
    assert!(window.state().screen().shows_base);
    assert!(!shows(&window, "30.0 degrees"), "grid, surface and slices");
    assert!(shows(&window, "is shown until the key is let go; nothing is changed"));
    window.key_up(Key::B);
    window.run();
    assert!(!window.state().screen().shows_base && shows(&window, "30.0 degrees"));
    assert!(!shows(&window, "is shown until the key is let go"));
}

#[test]
fn keys_and_clicks_change_nothing_meanwhile() {
    let mut window = edited();
    let (steps, selection) = (window.state().document().steps().len(), window.state().screen().selection.clone());
    window.key_down(Key::B);
    window.run();
    press(&mut window, "Alt+Up Ctrl+Z Right 5 Enter Ctrl+D Shift+E Delete");
    window.key_press(Key::R);
    window.run();
    let raise = window.get_by_label_contains("Hold to raise").rect().center();
    for pressed in [true, false] {
        window.event(eframe::egui::Event::PointerMoved(raise));
        let (button, modifiers) = (eframe::egui::PointerButton::Primary, Modifiers::NONE);
        window.event(eframe::egui::Event::PointerButton { pos: raise, button, pressed, modifiers });
        window.run();
    }
    window.get_by_label_contains("advance 500 rpm, 0 %").click();
    window.run();
    assert_eq!(window.state().document().steps().len(), steps);
    assert_eq!((value(&window, 7, 0), &window.state().screen().selection), (30.0, &selection));
    assert!(window.state().screen().grid.editor.is_none());
    window.key_up(Key::B);
    window.run();
    press(&mut window, "Alt+Up");
    assert_eq!(value(&window, 7, 0), 30.5, "afterwards everything goes on");
}

#[test]
fn a_base_of_another_size_is_shown_whole() {
    let mut window = edited();
    press(&mut window, "Ctrl+End");
    let tool = sparkloft::shaping::Tool::InsertBreakpoint { along: sparkloft::shaping::Along::Speed, at: 640.0 };
    let cells = window.state().screen().selection.cells.clone();
    window.state_mut().ask(sparkloft::window::state::outbox::Action::Shape(tool, cells));
    window.run();
    assert!(shows(&window, "advance 640 rpm"));
    window.key_down(Key::B);
    window.run();
    assert!(!shows(&window, "advance 640 rpm") && window.state().screen().shows_base);
    window.key_up(Key::B);
    window.run();
    assert!(shows(&window, "advance 640 rpm"));
}

#[test]
fn compare_shows_the_base_in_place_of_the_difference() {
    let mut window = edited();
    window.state_mut().ask(ScreenMessage::Show(Sheet::Compare));
    window.run();
    assert!(shows(&window, "raised 10.0 degrees to 30.0"));
    window.key_down(Key::B);
    window.run();
    assert!(shows(&window, "20.0 degrees in the base") && !shows(&window, "raised 10.0 degrees to 30.0"));
    window.key_up(Key::B);
    window.run();
    assert!(shows(&window, "raised 10.0 degrees to 30.0"));
}

#[test]
fn without_a_held_key_the_command_says_how() {
    let mut window = edited();
    window.state_mut().ask(sparkloft::window::state::commands::Command::ShowBase);
    window.run();
    assert_eq!(message(&window), "Hold B to see the base; it goes when the key is let go");
    assert!(!window.state().screen().shows_base);
}
