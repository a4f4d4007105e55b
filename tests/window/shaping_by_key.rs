//! Shaping by a key each: along rows and columns, and fairing that keeps to its limit and away from idle.

use egui_kittest::kittest::Queryable;
use sparkloft::project::{Advance, Origin, Project};
use sparkloft::shaping::Tool;
use sparkloft::table::{Axis, Cell, Table};
use sparkloft::window::state::inspector_state::{Proposal, Proposer};
use sparkloft::window::state::screen::ScreenMessage;

use super::harness::{Window, message, new_project, press, sample, value, window, with_held, with_values};

/// Four uneven speeds and loads; only one end of the top row and of the first column is not zero.
fn uneven() -> Project {
    let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
    let (speed, load) = (axis(&[500.0, 1000.0, 3000.0, 4500.0]), axis(&[0.0, 10.0, 40.0, 100.0]));
    let table = Table::from_fn(speed, load, |x, y| if (x, y) == (4500.0, 100.0) { 40.0 } else { 0.0 }).unwrap();
    new_project(8, 8).with_advance(Advance::uniform(table, Origin::Typed).unwrap()).unwrap()
}

fn row(window: &Window, load: usize) -> Vec<f64> {
    (0..4).map(|speed| value(window, load, speed)).collect()
}

#[test]
fn e_draws_along_rows_by_speed_and_shift_e_along_columns_by_load() {
    let mut window = window(uneven());
    window.run();
    press(&mut window, "Ctrl+Home Ctrl+Shift+Right");
    press(&mut window, "E");
    assert_eq!(row(&window, 3), [0.0, 0.0, 0.0, 40.0], "a plain letter is text, not a key");
    key(&mut window, "e");
    assert_eq!(row(&window, 3), [0.0, 5.0, 25.0, 40.0]);
    assert_eq!(window.state().document().undo_label(), Some("Interpolate 2 cells along speed"));
    press(&mut window, "Ctrl+Home Ctrl+Right Ctrl+Shift+Down Shift+E");
    assert_eq!((value(&window, 2, 3), value(&window, 1, 3)), (16.0, 4.0));
    assert_eq!(window.state().document().undo_label(), Some("Interpolate 2 cells along load"));
}

/// A letter without modifiers as a key, which `press` types as text.
fn key(window: &mut Window, letter: &str) {
    let key = eframe::egui::Key::from_name(&letter.to_uppercase()).unwrap();
    window.key_press(key);
    window.run();
}

#[test]
fn a_held_cell_stays_and_fewer_than_three_are_refused_with_what_to_select() {
    let mut window = window(with_held(&uneven(), 3, 1));
    window.run();
    press(&mut window, "Ctrl+Home Ctrl+Shift+Right");
    key(&mut window, "e");
    assert_eq!(row(&window, 3), [0.0, 0.0, 25.0, 40.0]);
    press(&mut window, "Shift+E");
    let told = "Interpolate along the column: nothing lies in between: select at least three cells one above the other in a \
                column";
    assert_eq!(message(&window), told);
    press(&mut window, "Ctrl+Home");
    key(&mut window, "e");
    assert!(message(&window).ends_with("select at least three cells side by side in a row"), "{}", message(&window));
    assert_eq!(window.state().document().steps().len(), 2);
}

#[test]
fn fairing_leaves_idle_alone_and_keeps_to_its_limit() {
    let project = with_values(&sample("tarn-special"), |load, speed| if (load + speed) % 2 == 0 { 30.0 } else { 20.0 });
    let idle = project.idle_cells();
    assert!(idle.count() >= 4);
    let mut window = window(project.clone());
    window.run();
    press(&mut window, "Ctrl+Home");
    key(&mut window, "f");
    let (before, after) = (project.advance.table(), window.state().document().project().advance.table());
    let moved: Vec<(Cell, f64)> = before.cells().map(|cell| (cell, (after.at(cell) - before.at(cell)).abs())).collect();
    assert!(moved.iter().all(|&(cell, by)| by <= 1.0 + 1e-9 && (by == 0.0 || !idle.contains(cell))));
    assert!(moved.iter().any(|&(_, by)| by > 0.99));
    let label = window.state().document().undo_label().unwrap();
    assert!(label.starts_with("Fair ") && label.ends_with(" cells within ±1.0°, idle left alone"), "{label}");
}

#[test]
fn the_sentence_says_what_fairing_keeps_to() {
    let project = sample("tarn-special");
    let (idle, count) = (project.idle_cells(), project.advance.table().values().len());
    let mut window = window(project);
    window.run();
    window.get_by_label("Fair within ± 1.0, whole table").hover();
    super::harness::checked(&mut window);
    let told = format!("Leaves {} idle cells alone; moves no cell by more than 1.0°.", idle.count());
    assert!(window.query_all_by_label_contains(&told).next().is_some(), "{told}");
    // Only idle cells are selected: there is nothing to fair.
    let table = window.state().document().project().advance.table().clone();
    let cells: Vec<Cell> = idle.cells().collect();
    let block = sparkloft::window::state::selection::CellSelection::block(&table, cells[0], *cells.last().unwrap());
    window.state_mut().ask(ScreenMessage::Select(block));
    window.run();
    key(&mut window, "f");
    assert!(
        message(&window).starts_with("Every selected cell is one in which the engine idles"),
        "{}",
        message(&window)
    );
    assert_eq!((window.state().document().steps().len(), count), (1, 256));
}

#[test]
fn the_limit_is_a_number_of_the_tool() {
    let mut window =
        window(with_values(&new_project(8, 8), |load, speed| if (load, speed) == (4, 4) { 30.0 } else { 20.0 }));
    window.run();
    let table = window.state().document().project().advance.table().clone();
    let tool = Tool::Smooth { strength: 2.0, most_deg: 0.5 };
    let proposal = Proposal { by: Proposer::Sentence, tool, cells: sparkloft::table::Selection::all(&table) };
    window.state_mut().ask(sparkloft::window::state::outbox::Action::Commit(proposal));
    window.run();
    assert_eq!(value(&window, 4, 4), 29.5);
}
