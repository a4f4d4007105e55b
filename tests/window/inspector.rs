//! The inspector: facts, sentences with live preview, hold buttons.

use eframe::egui::{Key, Vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::drawing::Look;
use sparkloft::shaping::{Number, numbers};
use sparkloft::table::{Block, Cell, Selection};
use sparkloft::window::state::inspector_state::{Field, InspectorMessage};
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::selection::CellSelection;

use super::harness::{Window, in_look, pause, pictured, sample, sized_window, window};

/// A window on the first sample with the rows and columns between two cells selected.
pub fn selected(a: Cell, b: Cell) -> Window {
    let mut window = window(sample("tarn-special"));
    select(&mut window, a, b);
    window
}

pub fn select(window: &mut Window, a: Cell, b: Cell) {
    let table = window.state().document().project().advance.table().clone();
    let selection = CellSelection { cells: Selection::block(&table, &Block::between(a, b)), cursor: b, anchor: a };
    change_screen(window, ScreenMessage::Select(selection));
    window.run();
}

pub fn change_screen(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
}

/// The number of that name in a sentence.
fn number(name: &str) -> &'static Number {
    numbers().find(|number| number.name == name).unwrap()
}

/// Puts a number into a sentence, as typing it does.
pub fn set_amount(window: &mut Window, name: &str, amount: f64) {
    let field = Field::Amount(number(name));
    change_screen(window, InspectorMessage::Type(field, String::new(), Some(amount)));
    change_screen(window, InspectorMessage::Leave(field));
}

#[test]
fn looks_right_in_every_look() {
    for (name, look) in [("light", Look::Light), ("dark", Look::Dark), ("sunlight", Look::Sunlight)] {
        let mut window = selected(Cell::new(8, 7), Cell::new(11, 9));
        change_screen(&mut window, in_look(look));
        window.run();
        window.get_by_label_contains("Fair within").hover();
        window.run();
        pictured(&mut window, &format!("inspector-{name}"));
    }
}

#[test]
fn looks_right_at_other_sizes() {
    for (name, size, scale) in [
        ("1366", Vec2::new(1366.0, 768.0), 1.0),
        ("2x", Vec2::new(1280.0, 800.0), 2.0),
        ("low", Vec2::new(1280.0, 700.0), 1.0),
    ] {
        let mut window = sized_window(sample("larch-six"), size, scale);
        select(&mut window, Cell::new(4, 4), Cell::new(4, 4));
        window.key_press(Key::Tab);
        window.run();
        pictured(&mut window, &format!("inspector-{name}"));
    }
}

/// What the history says was done last.
pub fn last_step(window: &Window) -> String {
    let document = window.state().document();
    document.steps()[document.current_step()].label.clone()
}

pub fn steps(window: &Window) -> usize {
    window.state().document().steps().len()
}

fn value(window: &Window, load: usize, speed: usize) -> f64 {
    window.state().document().project().advance.table().at(Cell::new(load, speed))
}

/// Rows 8 to 11 and columns 7 to 9: twelve free cells.
fn twelve() -> Window {
    let mut project = sample("tarn-special");
    let free = project.advance.with_held(&Selection::all(project.advance.table()), false);
    project = project.with_advance(free).unwrap();
    let mut window = window(project);
    select(&mut window, Cell::new(8, 7), Cell::new(11, 9));
    window
}

#[test]
fn pointing_previews_and_a_click_applies_once() {
    let mut window = twelve();
    let before = value(&window, 8, 7);
    window.get_by_label("Raise or lower by 1.0").hover();
    window.run();
    assert!(window.query_by_label("Changes 12 cells, largest change +1.0°.").is_some());
    assert_eq!(value(&window, 8, 7), before);
    assert_eq!(steps(&window), 1);
    window.get_by_label("Raise or lower by 1.0").click();
    window.run();
    assert_eq!(last_step(&window), "Raise 12 cells by 1.0°");
    assert_eq!((steps(&window), value(&window, 8, 7)), (2, before + 1.0));
    // Still under the pointer, but not previewed again before the pointer has been elsewhere.
    assert!(window.state().screen().proposals.shown.is_none());
    window.get_by_label("Set to 20.0").hover();
    window.run();
    assert!(window.state().screen().proposals.shown.is_some());
    window.remove_cursor();
    window.run();
    assert!(window.state().screen().proposals.shown.is_none());
}

#[test]
fn amounts_take_a_comma_and_enter_applies_them() {
    let mut window = twelve();
    window.get_by_label("raise or lower by").focus();
    window.run();
    window.get_by_label("raise or lower by").type_text("1,5");
    window.run();
    assert!(window.query_by_label("Changes 12 cells, largest change +1.5°.").is_some());
    window.key_press(Key::ArrowUp);
    window.run();
    let step = window.state().document().project().step_deg;
    assert_eq!(window.state().screen().inspector.amounts.of(number("raise or lower by")), 1.5 + step);
    window.key_press(Key::ArrowDown);
    window.run();
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(last_step(&window), "Raise 12 cells by 1.5°");
    assert_eq!(steps(&window), 2);
}

#[test]
fn a_bad_amount_is_told_and_changes_nothing() {
    let mut window = twelve();
    window.get_by_label("fair within").focus();
    window.run();
    window.get_by_label("fair within").type_text("151");
    window.run();
    assert!(window.query_by_label("fair within 151 is outside 0..150").is_some());
    assert!(window.state().screen().proposals.shown.is_none());
    // Nor is what it read as one key before.
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(steps(&window), 1);
    assert!(window.query_by_label_contains("Fair within 151 is outside 0..150").is_some());
}

#[test]
fn escape_takes_the_preview_away() {
    let mut window = twelve();
    window.get_by_label("Set to 20.0").hover();
    window.run();
    assert!(window.state().screen().proposals.shown.is_some());
    window.key_press(Key::Escape);
    window.run();
    assert!(window.state().screen().proposals.shown.is_none());
    assert_eq!(steps(&window), 1);
}

#[test]
fn a_focused_sentence_previews_and_enter_applies() {
    let mut window = twelve();
    window.get_by_label("Set to 20.0").focus();
    window.run();
    assert!(window.query_by_label_contains("Changes 12 cells").is_some());
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(last_step(&window), "Set 12 cells to 20.0°");
}

#[test]
fn held_cells_stay_and_it_is_said() {
    let mut window = twelve();
    let cell = Cell::new(9, 8);
    let table = window.state().document().project().advance.table().clone();
    window
        .state_mut()
        .ask(Action::Shape(sparkloft::shaping::Tool::Hold { measured: false }, Selection::cell(&table, cell)));
    window.run();
    let before = value(&window, 9, 8);
    assert!(window.query_by_label("12 cells, 1 held").is_some());
    window.get_by_label("Set to 20.0").hover();
    window.run();
    assert!(window.query_by_label_contains("Changes 11 cells, 1 held stays").is_some());
    window.get_by_label("Set to 20.0").click();
    window.run();
    assert_eq!((value(&window, 9, 8), value(&window, 9, 9)), (before, 20.0));
}

#[test]
fn one_cell_means_the_whole_table_where_it_says_so() {
    let mut window = twelve();
    select(&mut window, Cell::new(5, 5), Cell::new(5, 5));
    window.get_by_label("Fair within ± 1.0, whole table").click();
    window.run();
    let label = last_step(&window);
    assert!(label.starts_with("Fair ") && label.ends_with(" cells within ±1.0°, idle left alone"), "{label}");
    assert!(window.query_by_label("Raise or lower by 1.0").is_some());
}

#[test]
fn a_sentence_that_can_do_nothing_says_why() {
    let mut window = twelve();
    let table = window.state().document().project().advance.table().clone();
    let mut cells = Selection::cell(&table, Cell::new(2, 2));
    cells.set(Cell::new(4, 4), true);
    let selection = CellSelection { cells, ..window.state().screen().selection.clone() };
    change_screen(&mut window, ScreenMessage::Select(selection));
    window.run();
    let name = "Fill between edges: The selection is no block: select a rectangle of cells.";
    window.get_by_label(name).hover();
    window.run();
    assert!(window.query_by_label("The selection is no block: select a rectangle of cells.").is_some());
    window.get_by_label(name).click();
    window.run();
    assert_eq!(steps(&window), 1);
}

#[test]
fn choices_go_round_and_are_applied() {
    let mut window = twelve();
    window.get_by_label_contains("edges; click for").click();
    window.run();
    window.get_by_label("Fill between corners").click();
    window.run();
    assert!(last_step(&window).ends_with("between corners"), "{}", last_step(&window));
}

#[test]
fn a_held_button_is_one_step_however_long() {
    let mut window = twelve();
    let before = value(&window, 8, 7);
    let step = window.state().document().project().step_deg;
    let at = window.get_by_label_contains("Hold to raise").rect().center();
    assert!(window.get_by_label_contains("Hold to raise").rect().height() >= 44.0);
    window.drag_at(at);
    for _ in 0..40 {
        window.step();
    }
    window.drop_at(at);
    window.run();
    let raised = value(&window, 8, 7) - before;
    assert!(raised >= 2.0 * step, "{raised}");
    assert_eq!(steps(&window), 2);
    window.key_press_modifiers(eframe::egui::Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!(value(&window, 8, 7), before);
}

#[test]
fn a_click_on_a_hold_button_is_one_step_of_one_step() {
    let mut window = twelve();
    let before = value(&window, 8, 7);
    let step = window.state().document().project().step_deg;
    window.get_by_label_contains("Hold to lower").click();
    window.run();
    assert_eq!((value(&window, 8, 7), steps(&window)), (before - step, 2));
    window.get_by_label_contains("Hold to lower").click_accesskit();
    window.run();
    assert_eq!((value(&window, 8, 7), steps(&window)), (before - 2.0 * step, 3));
}

#[test]
fn what_takes_long_is_computed_aside_and_applied_when_it_is_there() {
    let mut window = window(super::harness::new_project(40, 40));
    let table = window.state().document().project().advance.table().clone();
    let selection = CellSelection { cells: Selection::all(&table), ..window.state().screen().selection.clone() };
    change_screen(&mut window, ScreenMessage::Select(selection));
    set_amount(&mut window, "slope limit along speed", 2.0);
    window.run();
    window.get_by_label("Limit slope 0.5 2.0").click_accesskit();
    for _ in 0..600 {
        window.step();
        if steps(&window) > 1 {
            break;
        }
        pause(&window);
    }
    assert!(last_step(&window).starts_with("Limit slope of"), "{}", last_step(&window));
    assert_eq!(steps(&window), 2);
}

#[test]
fn the_keyboard_alone_reaches_and_applies_sentences() {
    let mut window = twelve();
    window.key_press(Key::S);
    window.run();
    assert!(window.get_by_label("Raise or lower by 1.0").is_focused());
    window.key_press(Key::Tab);
    window.key_press(Key::Tab);
    window.run();
    let chosen = window.state().screen().selection.clone();
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(last_step(&window), "Set 12 cells to 20.0°");
    assert_eq!(window.state().screen().selection, chosen);
}
