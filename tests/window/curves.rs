//! Curves by pointer, keys, typing and clipboard, on the sheets that show them.

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, OutputCommand, PointerButton, Pos2, Vec2, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::project::{Project, set_fields};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::Sheet;

use super::harness::{Window, new_project, sized_window};

/// A trim with three points, so that every number of a test is known.
fn project() -> Project {
    let sets = [("trims.coolant.degrees", "(at: [-20, 20, 80], value: [4, 3, 0])")];
    set_fields(&new_project(4, 4), &sets).unwrap()
}

fn trims() -> Window {
    let mut window = sized_window(project(), Vec2::new(1280.0, 800.0), 1.0);
    window.state_mut().ask(Action::Run(Command::Sheet(Sheet::Trims)));
    window.run();
    assert_eq!(window.state().screen().sheet, Sheet::Trims);
    window
}

fn points(window: &Window) -> Vec<(f64, f64)> {
    window.state().document().project().trims.coolant.degrees.points().collect()
}

fn steps(window: &Window) -> Vec<String> {
    window.state().document().steps().iter().map(|step| step.label.clone()).collect()
}

fn last(window: &Window) -> String {
    steps(window).pop().unwrap()
}

fn notice(window: &Window) -> String {
    window.state().screen().notice.as_ref().map(|notice| notice.text.clone()).unwrap_or_default()
}

fn focus(window: &mut Window, name: &str) {
    window.get_by_role_and_label(Role::Slider, name).focus();
    window.run();
}

fn focus_box(window: &mut Window, name: &str) {
    window.get_by_role_and_label(Role::TextInput, name).focus();
    window.run();
}

fn type_text(window: &mut Window, text: &str) {
    for letter in text.chars() {
        window.event(Event::Text(letter.to_string()));
        window.run();
    }
}

fn press(window: &mut Window, key: Key) {
    window.key_press(key);
    window.run();
}

fn paste(window: &mut Window, text: &str) {
    window.event(Event::Paste(text.to_owned()));
    window.run();
}

/// What a point with the keyboard gives to the clipboard.
fn copied(window: &mut Window) -> Option<String> {
    window.event(Event::Copy);
    let text = |window: &Window| {
        window.output().platform_output.commands.iter().find_map(|command| match command {
            OutputCommand::CopyText(text) => Some(text.clone()),
            _ => None,
        })
    };
    (0..4).find_map(|_| {
        window.step();
        text(window)
    })
}

fn button(window: &mut Window, pos: Pos2, pressed: bool) {
    window.event(Event::PointerMoved(pos));
    window.event(Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers: Modifiers::NONE });
    window.run();
}

fn drag(window: &mut Window, name: &str, by: Vec2) -> Pos2 {
    let from = window.get_by_role_and_label(Role::Slider, name).rect().center();
    button(window, from, true);
    for share in [0.4, 1.0] {
        window.event(Event::PointerMoved(from + by * share));
        window.run();
    }
    from + by
}

#[test]
fn every_point_and_every_number_has_a_name() {
    let window = trims();
    for name in ["coolant trim at \u{2212}20 °C", "coolant trim at 20 °C", "coolant trim at 80 °C"] {
        window.get_by_role_and_label(Role::Slider, name);
        window.get_by_role_and_label(Role::TextInput, &format!("{name}, value"));
    }
    window.get_by_role_and_label(Role::TextInput, "coolant trim, breakpoint 3");
    window.get_by_label("coolant trim, ° over °C");
    assert!(window.query_all_by_role(Role::Slider).count() >= 3 + 5 + 2 + 2);
}

#[test]
fn dragging_moves_a_point_as_one_step_and_escape_gives_it_up() {
    let mut window = trims();
    let at = drag(&mut window, "coolant trim at 20 °C", vec2(0.0, -24.0));
    let during = points(&window)[1].1;
    assert!(during > 3.0 && (during * 2.0).fract() == 0.0, "{during}");
    button(&mut window, at, false);
    assert_eq!(steps(&window).len(), 2);
    assert_eq!(last(&window), format!("Set coolant trim at 20 °C to +{during:.1}°"));
    let at = drag(&mut window, "coolant trim at 80 °C", vec2(0.0, 40.0));
    assert!(points(&window)[2].1 < 0.0);
    press(&mut window, Key::Escape);
    button(&mut window, at, false);
    assert_eq!((points(&window)[2], steps(&window).len()), ((80.0, 0.0), 2));
}

#[test]
fn keys_go_from_point_to_point_and_move_them() {
    let mut window = trims();
    focus(&mut window, "coolant trim at \u{2212}20 °C");
    press(&mut window, Key::ArrowRight);
    press(&mut window, Key::ArrowUp);
    window.run();
    assert_eq!((points(&window)[1], last(&window).as_str()), ((20.0, 3.5), "Set coolant trim at 20 °C to +3.5°"));
    window.key_press_modifiers(Modifiers::SHIFT, Key::ArrowDown);
    window.run();
    window.run();
    assert_eq!(points(&window)[1], (20.0, -1.5));
    window.key_press_modifiers(Modifiers::COMMAND, Key::ArrowRight);
    window.run();
    window.run();
    assert_eq!((points(&window)[1].0, last(&window).as_str()), (21.0, "Move coolant trim point from 20 °C to 21 °C"));
    press(&mut window, Key::Tab);
    assert!(window.get_by_role_and_label(Role::Slider, "coolant trim at 80 °C").accesskit_node().is_focused());
}

#[test]
fn a_typed_number_replaces_the_value_of_the_point() {
    let mut window = trims();
    focus(&mut window, "coolant trim at 20 °C");
    type_text(&mut window, "2,5");
    press(&mut window, Key::Enter);
    assert_eq!((points(&window)[1], steps(&window).len()), ((20.0, 2.5), 2));
    assert_eq!(last(&window), "Set coolant trim at 20 °C to +2.5°");
}

#[test]
fn what_is_refused_is_marked_and_changes_nothing() {
    let mut window = trims();
    focus_box(&mut window, "coolant trim at 20 °C, value");
    type_text(&mut window, "70");
    press(&mut window, Key::Enter);
    assert_eq!((points(&window)[1], steps(&window).len()), ((20.0, 3.0), 1));
    window.get_by_label("70 is outside −60..60°");
    focus_box(&mut window, "coolant trim, breakpoint 2");
    type_text(&mut window, "90");
    press(&mut window, Key::Enter);
    assert_eq!(steps(&window).len(), 1);
    assert!(notice(&window).contains("90 °C is not below the next point (80 °C)"), "{}", notice(&window));
    press(&mut window, Key::Escape);
    focus_box(&mut window, "coolant trim, breakpoint 2");
    type_text(&mut window, "30");
    press(&mut window, Key::Enter);
    assert_eq!(last(&window), "Move coolant trim point from 20 °C to 30 °C");
}

#[test]
fn points_are_added_and_removed() {
    let mut window = trims();
    focus(&mut window, "coolant trim at 20 °C");
    press(&mut window, Key::Insert);
    assert_eq!((points(&window)[2], last(&window).as_str()), ((50.0, 1.5), "Insert coolant trim point at 50 °C"));
    focus(&mut window, "coolant trim at \u{2212}20 °C");
    press(&mut window, Key::Delete);
    assert_eq!(points(&window), [(20.0, 3.0), (50.0, 1.5), (80.0, 0.0)]);
    window.get_by_label("Remove a point of coolant trim").click();
    window.run();
    assert_eq!(points(&window).len(), 2);
    window.get_by_label("Remove a point of coolant trim").click();
    window.run();
    window.run();
    assert!(notice(&window).contains("at least 2 points"), "{}", notice(&window));
}

#[test]
fn the_clipboard_takes_rows_columns_and_lines_and_refuses_the_rest() {
    let mut window = trims();
    focus(&mut window, "coolant trim at 20 °C");
    let text = copied(&mut window).unwrap();
    assert_eq!(text, "-20\t20\t80\n4\t3\t0\n");
    paste(&mut window, &text);
    assert_eq!(steps(&window).len(), 1, "pasting what was copied changes nothing");
    paste(&mut window, "0\t2,5\r\n40\t1,5\r\n60\t0\r\n");
    assert_eq!(points(&window), [(0.0, 2.5), (40.0, 1.5), (60.0, 0.0)]);
    assert_eq!(last(&window), "Paste 3 points of coolant trim");
    focus_box(&mut window, "coolant trim at 0 °C, value");
    paste(&mut window, "1\t0.5\n");
    assert_eq!(points(&window), [(0.0, 1.0), (40.0, 0.5), (60.0, 0.0)]);
    assert_eq!(last(&window), "Paste 2 values of coolant trim from 0 °C");
    let before = steps(&window).len();
    focus(&mut window, "coolant trim at 40 °C");
    for (text, reason) in [
        ("1\t2\t3", "3 numbers do not fit"),
        ("20\t10\n1\t2", "not above"),
        ("a\tb", "not a number"),
        ("1.5\t2,5", "decimal comma"),
    ] {
        paste(&mut window, text);
        assert!(
            notice(&window).contains("Nothing was pasted") && notice(&window).contains(reason),
            "{}",
            notice(&window)
        );
    }
    assert_eq!(steps(&window).len(), before);
}
