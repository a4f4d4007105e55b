//! Cells to and from the clipboard: nothing is guessed, nothing is half done.

use eframe::egui::{Event, Key, Modifiers, OutputCommand};
use egui_kittest::kittest::Queryable;
use sparkloft::table::{Block, Cell, Selection};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::selection::CellSelection;
use sparkloft::window::workbench::Workbench;

use super::harness::{Window, new_project, window};

fn small() -> Window {
    let project = new_project(8, 8);
    let table = project.advance.table();
    let values = table.cells().map(|cell| (cell.load * 10 + cell.speed) as f64 / 2.0).collect();
    let advance = project.advance.with_values(values, sparkloft::project::Origin::Typed).unwrap();
    let mut window = window(project.with_advance(advance).unwrap());
    window.run();
    window
}

fn select(window: &mut Window, cells: Selection) {
    let selection = window.state().screen().selection.with_cells(cells);
    window.state_mut().ask(ScreenMessage::Select(selection));
    window.run();
}

fn select_block(window: &mut Window, block: &Block) {
    let cells = Selection::block(window.state().document().project().advance.table(), block);
    select(window, cells);
}

fn select_cell(window: &mut Window, load: usize, speed: usize) {
    select_block(window, &Block::between(Cell::new(load, speed), Cell::new(load, speed)));
}

/// Sends an event and gives the text that went to the clipboard.
fn copied(window: &mut Window, event: Event) -> Option<String> {
    window.event(event);
    window.step();
    let commands = &window.output().platform_output.commands;
    let text = commands.iter().rev().find_map(|command| match command {
        OutputCommand::CopyText(text) => Some(text.clone()),
        _ => None,
    });
    window.run();
    text
}

fn paste(window: &mut Window, text: &str) {
    window.event(Event::Paste(text.into()));
    window.run();
}

fn run(window: &mut Window, command: Command) {
    window.state_mut().ask(Action::Run(command));
    window.run();
}

fn at(window: &Window, load: usize, speed: usize) -> f64 {
    window.state().document().project().advance.table().at(Cell::new(load, speed))
}

fn notice(window: &Window) -> String {
    window.state().screen().notice.as_ref().map_or(String::new(), |notice| notice.text.clone())
}

fn steps(workbench: &Workbench) -> usize {
    workbench.document().steps().len()
}

#[test]
fn a_block_goes_out_as_the_grid_shows_it_and_comes_back_the_same() {
    let mut window = small();
    select_block(&mut window, &Block { loads: 2..4, speeds: 1..3 });
    let text = copied(&mut window, Event::Copy).unwrap();
    assert_eq!(text, "15.5\t16\n10.5\t11\n");
    paste(&mut window, &text);
    assert_eq!(steps(window.state()), 1, "pasting what was copied changes nothing");
    select_cell(&mut window, 5, 4);
    paste(&mut window, &text.replace('\n', "\r\n"));
    let corner = [at(&window, 5, 4), at(&window, 5, 5), at(&window, 4, 4), at(&window, 4, 5)];
    assert_eq!(corner, [15.5, 16.0, 10.5, 11.0], "the selected cell has the upper left corner");
    assert_eq!(window.state().document().undo_label(), Some("Paste 4 cells"));
    assert!(notice(&window).starts_with("4 cells pasted at "), "{}", notice(&window));
    assert_eq!(window.state().screen().selection.cells.count(), 4);
}

#[test]
fn a_selection_that_is_no_block_is_not_copied_and_says_why() {
    let mut window = small();
    let mut cells = Selection::none(8, 8);
    cells.extend([Cell::new(0, 0), Cell::new(2, 2)]);
    select(&mut window, cells);
    assert_eq!(copied(&mut window, Event::Copy), None);
    assert!(notice(&window).contains("block"), "{}", notice(&window));
}

#[test]
fn cutting_copies_and_says_that_a_table_has_no_empty_cells() {
    let mut window = small();
    select_cell(&mut window, 1, 1);
    assert_eq!(copied(&mut window, Event::Cut).as_deref(), Some("5.5\n"));
    assert_eq!((at(&window, 1, 1), steps(window.state())), (5.5, 1));
    assert!(notice(&window).contains("no empty cells"), "{}", notice(&window));
}

#[test]
fn breakpoints_go_along_with_shift_and_find_their_cells_again() {
    let mut window = small();
    select_block(&mut window, &Block { loads: 2..4, speeds: 1..3 });
    let shift_c = Event::Key {
        key: eframe::egui::Key::C,
        physical_key: None,
        pressed: true,
        repeat: false,
        modifiers: Modifiers::COMMAND | Modifiers::SHIFT,
    };
    let text = copied(&mut window, shift_c).unwrap();
    assert_eq!(text.lines().count(), 3);
    let table = window.state().document().project().advance.table().clone();
    assert!(text.lines().next().unwrap().contains(&table.speed().breakpoints()[1].to_string()), "{text}");
    select_cell(&mut window, 7, 7);
    paste(&mut window, &text.replace("15.5", "33"));
    assert_eq!((at(&window, 3, 1), at(&window, 7, 7)), (33.0, 38.5));
    assert!(notice(&window).contains("with breakpoints, rows turned"), "{}", notice(&window));
}

#[test]
fn a_paste_that_does_not_fit_says_what_and_changes_nothing() {
    let mut window = small();
    let cases = [
        ((7, 7), "1\t2\n3\t4", "do not fit"),
        ((0, 0), "1\tx", "not a number"),
        ((0, 0), "1\t2\n3", "number is missing"),
        ((0, 0), "999", "outside"),
        ((0, 0), "", "no numbers"),
    ];
    for ((load, speed), text, reason) in cases {
        select_cell(&mut window, load, speed);
        paste(&mut window, text);
        assert!(notice(&window).starts_with("Nothing was pasted: "), "{}", notice(&window));
        assert!(notice(&window).contains(reason), "{text:?}: {}", notice(&window));
        assert_eq!(steps(window.state()), 1);
    }
}

#[test]
fn held_cells_stay_and_are_counted() {
    let project = new_project(8, 8);
    let one = Selection::cell(project.advance.table(), Cell::new(3, 3));
    let before = project.advance.table().at(Cell::new(3, 3));
    let mut window = window(project.with_advance(project.advance.with_held(&one, true)).unwrap());
    window.run();
    select_block(&mut window, &Block { loads: 3..5, speeds: 3..5 });
    paste(&mut window, "1\t2\n3\t4");
    assert_eq!((at(&window, 3, 3), at(&window, 4, 3)), (before, 1.0));
    assert!(
        notice(&window).contains("3 cells pasted") && notice(&window).contains("1 held stayed"),
        "{}",
        notice(&window)
    );
}

#[test]
fn an_ambiguous_mark_is_asked_about_and_escape_pastes_nothing() {
    for (answer, value) in [("It is 1.234", Some(1.234)), ("Paste nothing", None)] {
        let mut window = small();
        select_cell(&mut window, 1, 1);
        paste(&mut window, "1.234");
        window.get_by_label_contains("What does it mean?");
        assert_eq!(steps(window.state()), 1);
        window.get_by_label(answer).click();
        window.run();
        assert_eq!(at(&window, 1, 1), value.unwrap_or(5.5));
        assert!(window.query_by_label(answer).is_none());
    }
    let mut window = small();
    paste(&mut window, "1.234");
    window.key_press(eframe::egui::Key::Escape);
    window.run();
    assert!(window.query_by_label("Paste nothing").is_none());
    assert_eq!(notice(&window), "Nothing was pasted");
}

#[test]
fn breakpoints_that_may_be_cells_are_asked_about() {
    let project = new_project(8, 8);
    let axis = |values: [f64; 8]| sparkloft::table::Axis::new(values.to_vec()).unwrap();
    let table = sparkloft::table::Table::from_fn(
        axis([10.0, 20.0, 30.0, 40.0, 50.0, 1000.0, 2000.0, 3000.0]),
        axis([0.0, 10.0, 20.0, 30.0, 40.0, 60.0, 80.0, 100.0]),
        |_, _| 5.0,
    );
    let advance = sparkloft::project::Advance::uniform(table.unwrap(), sparkloft::project::Origin::Typed).unwrap();
    for (answer, place) in [("With breakpoints", (0, 0)), ("Without breakpoints", (5, 5))] {
        let mut window = window(project.with_advance(advance.clone()).unwrap());
        window.run();
        select_cell(&mut window, 5, 5);
        let text = if answer == "With breakpoints" { "0\t10\t20\n0\t1\t2\n10\t3\t4" } else { "7\t10\n0\t2" };
        paste(&mut window, text);
        window.get_by_label(answer).click();
        window.run();
        assert_ne!(at(&window, place.0, place.1), 5.0, "{answer}: {}", notice(&window));
    }
}

#[test]
fn other_breakpoints_offer_to_replace_the_whole_table() {
    let text = "load\t700\t900\n10\t1\t2\n90\t3\t4\n";
    let mut window = small();
    paste(&mut window, text);
    window.get_by_label("Replace the whole table").click();
    window.run();
    let table = window.state().document().project().advance.table();
    assert_eq!((table.speed().breakpoints(), table.values()), (&[700.0, 900.0][..], &[1.0, 2.0, 3.0, 4.0][..]));
    assert_eq!(window.state().document().undo_label(), Some("Paste a whole table, 2 speeds × 2 loads"));
    run(&mut window, Command::Undo);
    assert_eq!(window.state().document().project().advance.table().values().len(), 64);
}

#[test]
fn a_decimal_comma_and_the_lowest_load_first_can_be_had() {
    let mut window = small();
    run(&mut window, Command::DecimalComma);
    run(&mut window, Command::LowestLoadFirst);
    select_block(&mut window, &Block { loads: 2..4, speeds: 1..3 });
    let text = copied(&mut window, Event::Copy).unwrap();
    assert_eq!(text, "10,5\t11\n15,5\t16\n");
    paste(&mut window, &text);
    assert_eq!(steps(window.state()), 1);
}

#[test]
fn while_a_number_is_typed_the_clipboard_is_the_editors() {
    let mut window = small();
    select_cell(&mut window, 1, 1);
    window.event(Event::Text("1".into()));
    window.run();
    paste(&mut window, "2.5\n9");
    assert_eq!(window.state().screen().grid.editor.as_ref().unwrap().text, "12.5");
    assert_eq!(copied(&mut window, Event::Copy).as_deref(), Some("12.5"));
    assert_eq!(steps(window.state()), 1);
}

#[test]
fn one_value_fills_any_selection() {
    let mut window = small();
    let table = window.state().document().project().advance.table().clone();
    let mut cells = CellSelection::cell(&table, Cell::new(0, 0)).cells;
    cells.set(Cell::new(4, 4), true);
    select(&mut window, cells);
    paste(&mut window, "\u{2212}2,5");
    assert_eq!((at(&window, 0, 0), at(&window, 4, 4)), (-2.5, -2.5));
}

#[test]
fn a_slice_is_copied_whole_and_pasted_onto_other_slices() {
    let mut window = small();
    select_cell(&mut window, 2, 5);
    let keys = |key, modifiers| Event::Key { key, physical_key: None, pressed: true, repeat: false, modifiers };
    let text = copied(&mut window, keys(Key::C, Modifiers::ALT)).unwrap();
    assert_eq!(text, "10\t10.5\t11\t11.5\t12\t12.5\t13\t13.5\n");
    assert_eq!(notice(&window), "8 cells copied");
    // Onto each row that has selected cells, side by side or not.
    let mut cells = Selection::cell(window.state().document().project().advance.table(), Cell::new(4, 1));
    cells.extend([Cell::new(6, 0), Cell::new(6, 3)]);
    select(&mut window, cells);
    run(&mut window, Command::PasteRow);
    let before = steps(window.state());
    paste(&mut window, &text);
    assert_eq!(steps(window.state()), before + 1);
    assert_eq!([at(&window, 4, 0), at(&window, 4, 7), at(&window, 6, 7)], [10.0, 13.5, 13.5]);
    assert_eq!((at(&window, 5, 0), at(&window, 5, 7)), (25.0, 28.5));
    assert_eq!(notice(&window), "16 cells pasted");
    assert_eq!(window.state().screen().selection.cells.count(), 16);
    // A column onto a column, in the order of the grid.
    select_cell(&mut window, 3, 0);
    let column = copied(&mut window, keys(Key::C, Modifiers::ALT | Modifiers::SHIFT)).unwrap();
    assert_eq!(column.lines().next(), Some("35"));
    select_cell(&mut window, 3, 2);
    run(&mut window, Command::PasteColumn);
    paste(&mut window, &column);
    assert_eq!([at(&window, 7, 2), at(&window, 0, 2), at(&window, 3, 2)], [35.0, 0.0, 15.0]);
    assert_eq!(at(&window, 3, 3), 16.5, "and nothing else");
}
