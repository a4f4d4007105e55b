//! Numbers from the clipboard that change the cells: told first, then done on Enter.

use eframe::egui::{Event, Key, Modifiers};
use egui_kittest::kittest::Queryable;
use sparkloft::interchange::PasteAs;

use super::harness::{Window, message, new_project, press, value, window, with_held, with_values};

fn opened() -> Window {
    let mut window = window(with_held(&with_values(&new_project(8, 8), |_, _| 20.0), 7, 0));
    window.run();
    press(&mut window, "Ctrl+Home Shift+Right Shift+Down");
    window
}

/// The keys of the command, then the text with which the system answers.
fn paste(window: &mut Window, modifiers: Modifiers, text: &str) {
    window.key_press_modifiers(modifiers, Key::P);
    window.run();
    window.event(Event::Paste(text.to_owned()));
    window.run();
}

#[test]
fn degrees_are_added_once_it_was_said_what_would_change() {
    let mut window = opened();
    paste(&mut window, Modifiers::NONE, "1\t2\n-3\t0,5");
    window.get_by_label_contains("change by \u{2212}3.0° to +2.0°, 1 held stayed");
    assert_eq!((window.state().document().steps().len(), value(&window, 7, 1)), (1, 20.0), "nothing yet");
    press(&mut window, "Enter");
    let values = [value(&window, 7, 0), value(&window, 7, 1), value(&window, 6, 0), value(&window, 6, 1)];
    assert_eq!(values, [20.0, 22.0, 17.0, 20.5]);
    assert_eq!(window.state().document().undo_label(), Some("Add pasted degrees to 3 cells"));
    assert_eq!(window.state().screen().grid.clipboard.how, PasteAs::Values);
    // What is pasted next replaces as ever.
    window.event(Event::Paste("5".to_owned()));
    window.run();
    assert_eq!(value(&window, 7, 1), 5.0);
}

#[test]
fn per_cent_change_and_escape_gives_up() {
    let mut window = opened();
    paste(&mut window, Modifiers::SHIFT, "10");
    window.get_by_label_contains("change by +2.0°");
    press(&mut window, "Escape");
    assert_eq!((message(&window), value(&window, 7, 1)), ("Nothing was pasted", 20.0));
    paste(&mut window, Modifiers::SHIFT, "10");
    window.get_by_label("Change the cells").click();
    window.run();
    assert_eq!((value(&window, 7, 0), value(&window, 6, 1)), (20.0, 22.0));
    assert_eq!(window.state().document().undo_label(), Some("Change 3 cells by pasted per cent"));
}

#[test]
fn an_answer_that_never_came_does_not_turn_a_later_paste_into_changes() {
    let mut window = opened();
    window.key_press(Key::P);
    window.run();
    window.key_press(Key::ControlLeft);
    window.run();
    window.event(Event::Paste("5".to_owned()));
    window.run();
    assert_eq!(value(&window, 7, 1), 5.0);
}

#[test]
fn what_does_not_fit_is_refused_at_once() {
    let mut window = opened();
    paste(&mut window, Modifiers::NONE, "1\t2\t3\t4\t5");
    assert!(message(&window).starts_with("Nothing was pasted: "), "{}", message(&window));
    paste(&mut window, Modifiers::NONE, "80");
    assert!(message(&window).contains("100° at ") && message(&window).contains("outside"), "{}", message(&window));
    assert_eq!(window.state().document().steps().len(), 1);
}
