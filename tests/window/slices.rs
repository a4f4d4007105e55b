//! Slices by pointer and by name.

use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::table::Cell;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::selection::CellSelection;

use super::harness::{Window, sample, window};

const CURSOR: Cell = Cell::new(11, 8);

fn opened() -> Window {
    let mut window = window(sample("tarn-special"));
    let table = window.state().document().project().advance.table().clone();
    window.state_mut().ask(ScreenMessage::Select(CellSelection::cell(&table, CURSOR)));
    window.run();
    window
}

fn value(window: &Window, cell: Cell) -> f64 {
    window.state().document().project().advance.table().at(cell)
}

/// The middle of a point, by its name or how that begins.
fn at(window: &Window, name: &str) -> Pos2 {
    let is_point = |label: &str| if name.ends_with(", ") { label.starts_with(name) } else { label == name };
    let is_named = |label: &str| is_point(label) && label.contains(" degrees");
    window.get_by(|node| node.label().is_some_and(|label| is_named(&label))).rect().center()
}

fn button(window: &mut Window, pos: Pos2, pressed: bool) {
    window.event(Event::PointerMoved(pos));
    window.event(Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers: Modifiers::NONE });
    window.run();
}

fn drag(window: &mut Window, from: Pos2, up: f32) {
    button(window, from, true);
    for share in [0.4, 1.0] {
        window.event(Event::PointerMoved(from - vec2(0.0, up * share)));
        window.run();
    }
}

#[test]
fn every_point_has_a_name() {
    let window = opened();
    window.get_by_label("3200 rpm, 24.0 degrees");
    window.get_by_label("56 %, 24.0 degrees");
    window.get_by_label("500 rpm, 9.5 degrees");
    window.get_by_label("100 %, 21.0 degrees, held");
    window.get_by_label("Slice at 56 % load");
    window.get_by_label("Slice at 3200 rpm");
}

#[test]
fn dragging_a_point_moves_its_cell_alone_as_one_step() {
    let mut window = opened();
    let (from, steps) = (at(&window, "3700 rpm, 25.5 degrees"), window.state().document().steps().len());
    drag(&mut window, from, 30.0);
    let cell = Cell::new(11, 9);
    let lifted = value(&window, cell);
    assert!(lifted > 27.0 && (lifted * 2.0).fract() == 0.0, "{lifted}");
    assert_eq!(value(&window, CURSOR), 24.0);
    button(&mut window, from - vec2(0.0, 30.0), false);
    assert_eq!(window.state().document().steps().len(), steps + 1);
    assert!(window.state().document().undo_label().unwrap().starts_with("Raise 1 cell"));
    assert_eq!(window.state().screen().selection.cursor, cell);
}

#[test]
fn escape_gives_a_drag_up() {
    let mut window = opened();
    let (from, steps) = (at(&window, "56 %, 24.0 degrees"), window.state().document().steps().len());
    drag(&mut window, from, -30.0);
    assert!(value(&window, CURSOR) < 24.0);
    window.key_press(Key::Escape);
    window.run();
    button(&mut window, from, false);
    assert_eq!((value(&window, CURSOR), window.state().document().steps().len()), (24.0, steps));
}

#[test]
fn armed_the_neighbours_move_along() {
    let mut window = opened();
    window.key_press(Key::G);
    window.run();
    let from = at(&window, "3200 rpm, 24.0 degrees");
    drag(&mut window, from, 30.0);
    assert!(value(&window, CURSOR) > 25.0 && value(&window, Cell::new(12, 8)) > 23.0);
}

#[test]
fn a_held_point_says_why_it_stays() {
    let mut window = opened();
    let from = at(&window, "100 %, 21.0 degrees, held");
    drag(&mut window, from, 30.0);
    assert_eq!(value(&window, Cell::new(15, 8)), 21.0);
    assert_eq!(window.state().screen().notice.clone().unwrap().text, "3200 rpm, 100 % is held: release it to move it");
}

#[test]
fn hovering_a_point_tells_all_about_it() {
    let mut window = opened();
    let point = at(&window, "3200 rpm, 24.0 degrees");
    window.event(Event::PointerMoved(point));
    window.run();
    assert_eq!(window.state().screen().pointer.cell, Some(CURSOR));
    window.get_by_label_contains("24.0° in the base (0.0)");
}

#[test]
fn clicking_a_point_selects_its_cell() {
    let mut window = opened();
    let point = at(&window, "5300 rpm, 29.0 degrees");
    window.event(Event::PointerMoved(point));
    for pressed in [true, false] {
        let (button, modifiers) = (PointerButton::Primary, Modifiers::NONE);
        window.event(Event::PointerButton { pos: point, button, pressed, modifiers });
    }
    window.run();
    assert_eq!(window.state().screen().selection.cursor, Cell::new(11, 12));
    window.get_by_label("Slice at 5300 rpm");
}

#[test]
fn a_screen_reader_moves_points_by_steps() {
    let mut window = opened();
    window.get_by_label("3200 rpm, 24.0 degrees").decrement_accesskit();
    window.run();
    assert_eq!(value(&window, CURSOR), 23.5);
}

#[test]
fn dragging_one_of_several_selected_points_moves_them_all() {
    let mut window = opened();
    let table = window.state().document().project().advance.table().clone();
    let (first, last) = (Cell::new(10, 8), Cell::new(11, 10));
    window.state_mut().ask(ScreenMessage::Select(CellSelection::block(&table, first, last)));
    window.run();
    let before: Vec<f64> = [first, CURSOR, last].map(|cell| value(&window, cell)).into();
    let from = at(&window, "3700 rpm, 25.5 degrees");
    let other = at(&window, "8000 rpm, 31.5 degrees");
    drag(&mut window, from, 30.0);
    button(&mut window, from - vec2(0.0, 30.0), false);
    let raised: Vec<f64> =
        [first, CURSOR, last].iter().zip(&before).map(|(&cell, before)| value(&window, cell) - before).collect();
    assert!(raised[0] >= 1.5 && raised.iter().all(|by| (by - raised[0]).abs() < 1e-9), "{raised:?}");
    assert!(window.state().document().undo_label().unwrap().starts_with("Raise 6 cells"));
    assert_eq!(window.state().screen().selection.cells.count(), 6);
    assert_eq!(at(&window, "8000 rpm, 31.5 degrees"), other);
}

#[test]
fn the_scale_stands_while_a_point_is_dragged_beyond_it_and_when_it_is_let_go() {
    let mut window = opened();
    let from = at(&window, "3200 rpm, 24.0 degrees");
    let other = at(&window, "8000 rpm, 31.5 degrees");
    drag(&mut window, from, 400.0);
    assert!(value(&window, CURSOR) > 45.0, "{}", value(&window, CURSOR));
    assert_eq!(at(&window, "8000 rpm, 31.5 degrees"), other);
    button(&mut window, from - vec2(0.0, 400.0), false);
    window.run();
    assert_eq!(at(&window, "8000 rpm, 31.5 degrees"), other);
    // Another view is asked for: now it fits.
    window.key_press_modifiers(Modifiers::COMMAND, Key::Num4);
    window.run();
    assert_ne!(at(&window, "8000 rpm, 31.5 degrees"), other);
}

#[test]
fn alt_lets_go_of_the_step() {
    let mut window = opened();
    let from = at(&window, "3700 rpm, 25.5 degrees");
    let off = |deg: f64| ((deg * 2.0) - (deg * 2.0).round()).abs();
    drag(&mut window, from, 31.0);
    assert!(off(value(&window, Cell::new(11, 9))) < 1e-9);
    window.event(Event::ModifiersChanged(Modifiers::ALT));
    window.event(Event::PointerMoved(from - vec2(0.0, 32.3)));
    window.run();
    assert!(off(value(&window, Cell::new(11, 9))) > 1e-3, "{}", value(&window, Cell::new(11, 9)));
    window.event(Event::ModifiersChanged(Modifiers::NONE));
    button(&mut window, from - vec2(0.0, 32.3), false);
}

/// The label of a slice by its title.
fn told(window: &Window, title: &str) -> String {
    let is_canvas = |label: &str| label.starts_with(title) && label.contains("dashed");
    let node = window.get_by(|node| node.label().is_some_and(|label| is_canvas(&label)));
    node.accesskit_node().label().unwrap_or_default()
}

#[test]
fn the_comb_tells_its_scale_stands_during_a_drag_and_is_switched_by_a_key() {
    let mut window = opened();
    let (title, speed) = ("Slice at 56 % load", told(&window, "Slice at 56 % load"));
    assert!(speed.contains("comb 10 px = ") && told(&window, "Slice at 3200 rpm").contains("comb 10 px = "), "{speed}");
    assert_eq!(window.get_all_by_label_contains("comb: 10 px = ").count(), 2, "in words beside each heading");
    let from = at(&window, "3700 rpm, 25.5 degrees");
    drag(&mut window, from, 60.0);
    assert!(value(&window, Cell::new(11, 9)) > 29.0);
    assert_eq!(told(&window, title), speed, "teeth grow in a scale that stands");
    button(&mut window, from - vec2(0.0, 60.0), false);
    window.run();
    assert_ne!(told(&window, title), speed, "and it is fitted anew");
    for has in [false, true] {
        window.key_press(Key::C);
        window.run();
        assert_eq!(told(&window, title).contains("comb"), has);
    }
}

/// Presses, passes all places and lets go.
fn stroke(window: &mut Window, places: &[Pos2]) {
    button(window, places[0], true);
    for &place in &places[1..] {
        window.event(Event::PointerMoved(place));
        window.run();
    }
    button(window, places[places.len() - 1], false);
}

#[test]
fn a_stroke_gives_the_breakpoints_that_it_passes_its_degrees() {
    let mut window = opened();
    let before: Vec<f64> = (0..16).map(|speed| value(&window, Cell::new(11, speed))).collect();
    let steps = window.state().document().steps().len();
    let height = at(&window, "3700 rpm, 25.5 degrees").y;
    let lower = at(&window, "3200 rpm, 24.0 degrees").y;
    let x = |window: &Window, name: &str| at(window, name).x;
    let (first, turn, last) = (x(&window, "2000 rpm, "), x(&window, "4200 rpm, "), x(&window, "2800 rpm, "));
    window.key_press(Key::D);
    window.run();
    assert!(window.state().screen().slices.draws);
    assert!(window.get_all_by_label_contains("drag to draw, Esc ends").count() >= 1);
    // There on one height, and back on another as far as 2800 rpm: the last pass counts.
    let [a, b, c, d] = [(first - 3.0, height), (turn + 5.0, height), (turn + 5.0, lower), (last - 3.0, lower)]
        .map(|(x, y)| Pos2::new(x, y));
    button(&mut window, a, true);
    for place in [b, c, d] {
        window.event(Event::PointerMoved(place));
    }
    window.run();
    let expected = |speed: usize| match speed {
        5 | 6 => 25.5,
        7..=10 => 24.0,
        _ => before[speed],
    };
    for speed in 0..16 {
        assert_eq!(value(&window, Cell::new(11, speed)), expected(speed), "{speed}");
    }
    assert_eq!(window.state().document().steps().len(), steps, "previewed while it is drawn");
    button(&mut window, d, false);
    assert_eq!(window.state().document().steps().len(), steps + 1);
    let label = window.state().document().undo_label().unwrap().to_owned();
    assert!(label.starts_with("Draw ") && label.ends_with(" cells at load 56"), "{label}");
    assert_eq!(value(&window, Cell::new(10, 7)), sample("tarn-special").advance.table().at(Cell::new(10, 7)));
    // Along load held cells stay, and it is said how many.
    let (from, to) = (at(&window, "48 %, "), at(&window, "100 %, 21.0 degrees, held"));
    let level = at(&window, "56 %, 24.0 degrees").y;
    stroke(&mut window, &[Pos2::new(from.x - 2.0, level), Pos2::new(to.x + 4.0, level)]);
    let column: Vec<f64> = (10..16).map(|load| value(&window, Cell::new(load, 8))).collect();
    assert_eq!(column, [24.0, 24.0, 24.0, 22.0, 21.5, 21.0]);
    let told = window.state().screen().notice.clone().unwrap().text;
    assert!(told.starts_with("Draw 2 cells at 3200 rpm") && told.ends_with("3 held cells stayed"), "{told}");
    // Esc gives a stroke up, and then the mode.
    let steps = window.state().document().steps().len();
    button(&mut window, a, true);
    window.event(Event::PointerMoved(Pos2::new(b.x, b.y - 30.0)));
    window.run();
    assert!(value(&window, Cell::new(11, 7)) > 25.0);
    window.key_press(Key::Escape);
    window.run();
    window.event(Event::PointerMoved(c));
    window.run();
    button(&mut window, c, false);
    assert_eq!((value(&window, Cell::new(11, 7)), window.state().document().steps().len()), (24.0, steps));
    assert!(window.state().screen().slices.draws);
    window.key_press(Key::Escape);
    window.run();
    assert!(!window.state().screen().slices.draws);
}

#[test]
fn what_is_selected_together_with_a_drawn_line_keeps_its_shape() {
    let mut window = opened();
    let table = window.state().document().project().advance.table().clone();
    window.state_mut().ask(ScreenMessage::Select(CellSelection::block(&table, Cell::new(10, 8), Cell::new(11, 9))));
    window.run();
    let before: Vec<f64> = [8, 9, 10].map(|speed| value(&window, Cell::new(10, speed))).into();
    let (level, from, to) = (at(&window, "4800 rpm, "), at(&window, "3200 rpm, "), at(&window, "4200 rpm, "));
    let drawn = value(&window, Cell::new(11, 11));
    let was: Vec<f64> = [8, 9, 10].map(|speed| value(&window, Cell::new(11, speed))).into();
    window.key_press(Key::D);
    window.run();
    stroke(&mut window, &[Pos2::new(from.x - 2.0, level.y), Pos2::new(to.x + 2.0, level.y)]);
    for (place, speed) in [8, 9, 10].into_iter().enumerate() {
        assert_eq!(value(&window, Cell::new(11, speed)), drawn);
        let by = if speed == 10 { 0.0 } else { drawn - was[place] };
        assert!((value(&window, Cell::new(10, speed)) - before[place] - by).abs() < 1e-9, "{speed}");
    }
}
