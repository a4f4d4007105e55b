//! Points of charts by keyboard and by pointer, in every place that has them.

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2, Vec2, vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::table::Cell;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;

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

fn drag(window: &mut Window, name: &str, by: Vec2) {
    let from = window.get_by_role_and_label(Role::Slider, name).rect().center();
    button(window, from, true);
    for share in [0.5, 1.0] {
        window.event(Event::PointerMoved(from + by * share));
        window.run();
    }
    button(window, from + by, false);
}

/// The points of curves, one of each, and the sheet that shows them.
const CURVES: [(Command, &[&str]); 3] = [
    (Command::SheetTrims, &["coolant trim at 40 °C", "coolant trim weight at 100 %", "air trim weight at 50 %"]),
    (Command::SheetEngine, &["dwell at 10 V"]),
    (
        Command::SheetLimits,
        &["full-load line at 4000 rpm", "full-load line less by load at 80 %", "safety margin at 50 %"],
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
            window.key_press(Key::ArrowDown);
            window.run();
            assert_eq!(steps(&window), before + 1, "{name} by a key");
            drag(&mut window, name, vec2(0.0, -24.0));
            assert_eq!(steps(&window), before + 2, "{name} by the pointer");
        }
    }
}

#[test]
fn points_of_both_slices_are_moved_by_keys_and_by_the_pointer() {
    let mut window = on_sheet(Command::SheetAdvance);
    let cursor = |window: &Window| window.state().screen().selection.cursor;
    let names = |window: &Window| {
        let project = window.state().document().project();
        let (table, at) = (project.advance.table(), cursor(window));
        (
            format!("Slice at {} % load", table.load().breakpoints()[at.load]),
            format!("Slice at {} rpm", table.speed().breakpoints()[at.speed]),
        )
    };
    let (along_speed, along_load) = names(&window);
    let was = cursor(&window);
    let name = |window: &Window, starts: &str| {
        window.get_by(|node| node.label().is_some_and(|label| label.starts_with(starts))).rect()
    };
    assert!(name(&window, &along_speed).width() > 100.0);
    window
        .get_by(|node| node.role() == Role::Canvas && node.label().is_some_and(|label| label.starts_with(&along_load)))
        .focus();
    window.run();
    window.key_press(Key::ArrowUp);
    window.run();
    assert_ne!(cursor(&window), was, "arrows go along the slice that has the keyboard");
    let Cell { load, speed } = cursor(&window);
    let before = (steps(&window), window.state().document().project().advance.table().at(Cell::new(load, speed)));
    window.key_press_modifiers(Modifiers::ALT, Key::ArrowUp);
    window.run();
    let after = window.state().document().project().advance.table().at(Cell::new(load, speed));
    assert!(steps(&window) == before.0 + 1 && after > before.1);
    for name in ["2000 rpm, ", "10 %, "] {
        let before = steps(&window);
        let label = window.get_by(|node| {
            node.role() == Role::Slider
                && node.label().is_some_and(|label| label.starts_with(name) && label.ends_with("degrees"))
        });
        let from = label.rect().center();
        button(&mut window, from, true);
        for up in [15.0, 30.0] {
            window.event(Event::PointerMoved(from - vec2(0.0, up)));
            window.run();
        }
        button(&mut window, from - vec2(0.0, 30.0), false);
        assert_eq!(steps(&window), before + 1, "{name}");
    }
}
