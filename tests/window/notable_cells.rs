//! Going to the highest cell, the steepest slope and the like, and inserting a breakpoint beside the cursor's.

use eframe::egui::Key;
use eframe::egui::accesskit::Role;
use egui_kittest::kittest::Queryable;
use sparkloft::table::Cell;
use sparkloft::window::state::commands::Command;

use super::harness::{Window, message, new_project, press, sample, window, with_held, with_values};

fn run(window: &mut Window, command: Command) {
    window.state_mut().ask(command);
    window.run();
}

fn selected(window: &Window) -> Vec<(usize, usize)> {
    window.state().screen().selection.cells.cells().map(|cell| (cell.load, cell.speed)).collect()
}

#[test]
fn commands_go_to_notable_cells_and_say_what_they_are() {
    let project = with_values(&new_project(8, 8), |load, speed| match (load, speed) {
        (2, 3) => 31.0,
        (6, 1) | (4, 7) => 19.5,
        _ => 20.0,
    });
    let mut window = window(project);
    window.run();
    run(&mut window, Command::GoHighest);
    assert_eq!(selected(&window), [(2, 3)]);
    assert!(message(&window).starts_with("Highest: 31.0° at "), "{}", message(&window));
    run(&mut window, Command::GoLowest);
    assert_eq!(selected(&window), [(4, 7)], "of two alike the first");
    assert!(message(&window).ends_with(", and so 1 cell"), "{}", message(&window));
    run(&mut window, Command::GoMostBent);
    assert_eq!(selected(&window), [(2, 3)]);
    assert!(message(&window).starts_with("Most bent: 11.0° above the line between its neighbours along "));
    run(&mut window, Command::GoSteepest);
    let cells = selected(&window);
    assert!(cells.len() == 2 && cells.contains(&(2, 3)), "{cells:?}");
    assert!(message(&window).starts_with("Steepest: "), "{}", message(&window));
}

#[test]
fn held_cells_are_gone_through_row_by_row_from_the_top() {
    let project = with_held(&with_held(&with_held(&new_project(8, 8), 6, 5), 6, 2), 1, 0);
    let mut window = window(project);
    window.run();
    press(&mut window, "Ctrl+Home");
    let mut seen = Vec::new();
    for _ in 0..4 {
        press(&mut window, "Shift+H");
        let cursor = window.state().screen().selection.cursor;
        seen.push((cursor.load, cursor.speed));
    }
    assert_eq!(seen, [(6, 2), (6, 5), (1, 0), (6, 2)]);
    assert!(message(&window).ends_with(", 1 of 3 held"), "{}", message(&window));
    let mut none = super::harness::window(new_project(8, 8));
    none.run();
    press(&mut none, "Shift+H");
    assert!(message(&none).ends_with("no cell is held: hold those that were really measured"));
}

#[test]
fn a_breakpoint_beside_the_cursor_leaves_the_surface_as_it_is() {
    let before = sample("tarn-special");
    for (command, speeds, loads) in [(Command::InsertSpeed, 17, 16), (Command::InsertLoad, 16, 17)] {
        for corner in ["Ctrl+Home Right Down", "Ctrl+Home", "Ctrl+End"] {
            let mut window = window(before.clone());
            window.run();
            press(&mut window, corner);
            run(&mut window, command);
            let table = window.state().document().project().advance.table();
            assert_eq!((table.speed().len(), table.load().len()), (speeds, loads), "{command:?} {corner}");
            let old = before.advance.table();
            for at in 0..=200_u32 {
                let share = f64::from(at) / 200.0;
                let speed = old.speed().first() + share * old.speed().span();
                for across in 0..=40_u32 {
                    let load = old.load().first() + f64::from(across) / 40.0 * old.load().span();
                    assert!((table.lookup(speed, load) - old.lookup(speed, load)).abs() < 1e-9);
                }
            }
            assert_eq!(window.state().document().steps().len(), 2);
        }
    }
}

#[test]
fn z_shows_all_cells_of_a_large_table_at_once() {
    for (speeds, loads) in [(40, 32), (64, 64)] {
        let mut window = window(new_project(speeds, loads));
        window.run();
        let cells = |window: &Window| window.query_all_by_role(Role::GridCell).count();
        assert!(cells(&window) < speeds * loads);
        window.key_press(Key::Z);
        window.run();
        assert_eq!(cells(&window), speeds * loads);
        window.key_press(Key::Z);
        window.run();
        assert!(cells(&window) < speeds * loads);
    }
}

#[test]
fn a_full_axis_takes_no_breakpoint_and_says_what_to_do() {
    let mut window = window(new_project(64, 8));
    window.run();
    press(&mut window, "Ctrl+Home");
    run(&mut window, Command::InsertSpeed);
    let told = message(&window);
    assert!(told.starts_with("Nothing was inserted: speed: ") && told.contains("delete one"), "{told}");
    assert_eq!(window.state().document().steps().len(), 1);
    let cursor = window.state().screen().selection.cursor;
    assert_eq!(cursor, Cell::new(7, 0));
}
