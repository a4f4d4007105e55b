//! Points of charts by keyboard and by pointer, in every place that has them.

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2, Vec2, vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::table::Cell;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;
use sparkloft::window::state::selection::CellSelection;

use super::harness::{Window, sample, sized_window};

/// A sheet in a window that is high enough for all its charts.
fn on_sheet(sheet: Command) -> Window {
    let mut window = sized_window(sample("wren-four"), Vec2::new(1280.0, 1900.0), 1.0);
    window.state_mut().ask(Action::Run(sheet));
    window.run();
    window
}

fn steps(window: &Window) -> usize {
    window.state().document().steps().len()
}

fn button(window: &mut Window, pos: Pos2, pressed: bool) {
    window.event(Event::PointerMoved(pos));
    window.event(Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers: Modifiers::NONE });
    window.run();
}

fn drag(window: &mut Window, from: Pos2, by: Vec2) {
    button(window, from, true);
    for share in [0.5, 1.0] {
        window.event(Event::PointerMoved(from + by * share));
        window.run();
    }
    button(window, from + by, false);
}

/// The points of curves, one of each, and the sheet that shows them.
const CURVES: [(Command, &[&str]); 3] = [
    (
        Command::Sheet(Sheet::Trims),
        &["coolant trim at 40 °C", "coolant trim weight at 100 %", "air trim weight at 50 %"],
    ),
    (Command::Sheet(Sheet::Engine), &["dwell at 10 V"]),
    (
        Command::Sheet(Sheet::Limits),
        &["full-load line at 4000 rpm", "full-load line less by load at 100 %", "safety margin at 50 %"],
    ),
];

#[test]
fn points_of_every_curve_are_moved_by_keys_and_by_the_pointer() {
    for (sheet, points) in CURVES {
        let mut window = on_sheet(sheet);
        for name in points {
            let before = steps(&window);
            window.get_by_role_and_label(Role::Slider, name).focus();
            window.run();
            // Nothing is less than none.
            let is_none = name.contains("less") || name.contains("margin");
            window.key_press(if is_none { Key::ArrowUp } else { Key::ArrowDown });
            window.run();
            assert_eq!(steps(&window), before + 1, "{name} by a key");
            let from = window.get_by_role_and_label(Role::Slider, name).rect().center();
            drag(&mut window, from, vec2(0.0, -24.0));
            assert_eq!(steps(&window), before + 2, "{name} by the pointer");
        }
    }
}

#[test]
fn points_of_both_slices_are_moved_by_keys_and_by_the_pointer() {
    let mut window = on_sheet(Command::Sheet(Sheet::Advance));
    let table = window.state().document().project().advance.table().clone();
    let middle = Cell::new(table.load().len() / 2, table.speed().len() / 2);
    window.state_mut().ask(ScreenMessage::Select(CellSelection::cell(&table, middle)));
    window.run();
    let names = [
        format!("Slice at {} rpm", table.speed().breakpoints()[middle.speed]),
        format!("Slice at {} % load", table.load().breakpoints()[middle.load]),
    ];
    let cursor = |window: &Window| window.state().screen().selection.cursor;
    let value = |window: &Window, cell: Cell| window.state().document().project().advance.table().at(cell);
    for along in &names {
        let is_slice = |label: &str| label.starts_with(along.as_str()) && label.contains("dashed");
        window.get_by(|node| node.label().is_some_and(|label| is_slice(&label))).focus();
        window.run();
        let (was, before) = (cursor(&window), steps(&window));
        window.key_press(if along.ends_with("rpm") { Key::ArrowUp } else { Key::ArrowRight });
        window.run();
        let now = cursor(&window);
        assert_ne!(now, was, "{along}: arrows go from point to point");
        let deg = value(&window, now);
        window.key_press_modifiers(Modifiers::ALT, Key::ArrowUp);
        window.run();
        assert!(steps(&window) == before + 1 && value(&window, now) > deg, "{along} by a key");
        // Back to where the names of both slices are known.
        window.key_press(if along.ends_with("rpm") { Key::ArrowDown } else { Key::ArrowLeft });
        window.run();
    }
    for point in ["1500 rpm, ", "10 %, "] {
        let before = steps(&window);
        let is_point = |label: &str| label.starts_with(point) && label.ends_with("degrees");
        let from = window.get_by(|node| node.label().is_some_and(|label| is_point(&label))).rect().center();
        drag(&mut window, from, vec2(0.0, -30.0));
        assert_eq!(steps(&window), before + 1, "{point} by the pointer");
    }
}
