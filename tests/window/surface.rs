//! The surface by pointer and by name.

use eframe::egui::{
    Event, Key, Modifiers, MouseWheelSource, MouseWheelUnit, PointerButton, Pos2, Rect, TouchPhase, vec2,
};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::drawing::{Camera, View};
use sparkloft::project::set_fields;
use sparkloft::table::Cell;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::selection::CellSelection;
use sparkloft::window::state::surface_state::Beside;
use sparkloft::window::views::surface;

use super::harness::{Window, checked, new_project, sample, window, with_points};

const CURSOR: Cell = Cell::new(11, 8);

/// A window whose cursor stands on a free cell in the middle.
fn opened() -> Window {
    let mut window = window(sample("tarn-special"));
    select(&mut window, CURSOR, CURSOR);
    window.run();
    window
}

/// Selects the block between two cells.
fn select(window: &mut Window, anchor: Cell, cursor: Cell) {
    let selection = CellSelection::block(window.state().document().project().advance.table(), anchor, cursor);
    window.state_mut().ask(ScreenMessage::Select(selection));
}

fn value(window: &Window, cell: Cell) -> f64 {
    window.state().document().project().advance.table().at(cell)
}

fn camera(window: &Window) -> Camera {
    window.state().screen().surface.camera
}

/// The middle of the selected vertex's handle.
fn handle(window: &Window) -> Pos2 {
    window
        .get_by(|node| node.label().is_some_and(|label| label.starts_with("lift ") && label.contains("rpm")))
        .rect()
        .center()
}

/// A place on the canvas off the surface.
fn beside(window: &Window) -> Pos2 {
    window.get_by_label_contains("surface of advance").rect().right_bottom() - vec2(30.0, 20.0)
}

fn press(window: &mut Window, at: Pos2, button: PointerButton, pressed: bool, modifiers: Modifiers) {
    window.event(Event::PointerMoved(at));
    window.event(Event::PointerButton { pos: at, button, pressed, modifiers });
    window.run();
}

/// Presses and releases without a pause.
fn click(window: &mut Window, pos: Pos2, times: usize, modifiers: Modifiers) {
    // A test's frames are further apart than clicks of a hand.
    window.ctx.options_mut(|options| options.input_options.max_double_click_delay = 60.0);
    window.event(Event::PointerMoved(pos));
    window.event(Event::ModifiersChanged(modifiers));
    for pressed in [true, false].repeat(times) {
        window.event(Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers });
    }
    window.event(Event::ModifiersChanged(Modifiers::NONE));
    window.run();
}

fn move_to(window: &mut Window, at: Pos2) {
    window.event(Event::PointerMoved(at));
    window.run();
}

/// Presses, moves in three strokes, and leaves the button down.
fn drag(window: &mut Window, from: Pos2, to: Pos2, button: PointerButton, modifiers: Modifiers) {
    window.event(Event::ModifiersChanged(modifiers));
    press(window, from, button, true, modifiers);
    for share in [0.3, 0.7, 1.0] {
        move_to(window, from + (to - from) * share);
    }
}

#[test]
fn it_says_what_it_shows() {
    let window = opened();
    window.get_by_label("surface of advance, three-quarter, cursor 3200 rpm, 56 %, 24.0 degrees");
    let handle = window.get_by_label("lift 3200 rpm, 56 %");
    assert_eq!(handle.accesskit_node().numeric_value(), Some(24.0));
}

#[test]
fn fixed_views_are_on_buttons_and_keys() {
    let mut window = opened();
    for (name, key, view) in [
        ("View from the front", Key::Num1, View::Front),
        ("View from the side", Key::Num2, View::Side),
        ("Plan view", Key::Num3, View::Plan),
        ("Three-quarter view", Key::Num4, View::ThreeQuarter),
    ] {
        window.get_by_label(name).click();
        window.run();
        assert_eq!(camera(&window), Camera::view(view));
        window.key_press_modifiers(Modifiers::COMMAND, Key::Num4);
        window.key_press_modifiers(Modifiers::COMMAND, key);
        window.run();
        assert_eq!(camera(&window), Camera::view(view), "{key:?}");
    }
}

#[test]
fn a_drag_orbits_and_a_double_click_resets() {
    let mut window = opened();
    let from = beside(&window);
    drag(&mut window, from, from - vec2(100.0, 20.0), PointerButton::Primary, Modifiers::NONE);
    press(&mut window, from - vec2(100.0, 20.0), PointerButton::Primary, false, Modifiers::NONE);
    let turned = camera(&window);
    assert!(turned.azimuth_deg != Camera::default().azimuth_deg && turned.elevation_deg < 36.5, "{turned:?}");
    assert_eq!((turned.pan, turned.zoom), ((0.0, 0.0), 1.0));
    assert!(!window.state().document().is_changed());
    click(&mut window, from, 2, Modifiers::NONE);
    assert_eq!(camera(&window), Camera::default());
}

#[test]
fn shift_middle_and_right_drags_pan() {
    for (button, modifiers) in [
        (PointerButton::Primary, Modifiers::SHIFT),
        (PointerButton::Middle, Modifiers::NONE),
        (PointerButton::Secondary, Modifiers::NONE),
    ] {
        let mut window = opened();
        let from = beside(&window);
        drag(&mut window, from, from - vec2(60.0, 30.0), button, modifiers);
        let seen = camera(&window);
        assert!(seen.pan.0 < -20.0 && seen.pan.1 < -10.0, "{button:?}: {seen:?}");
        assert_eq!(seen.azimuth_deg, Camera::default().azimuth_deg);
    }
}

#[test]
fn the_wheel_zooms_about_the_pointer() {
    let mut window = opened();
    let at = handle(&window);
    move_to(&mut window, at);
    window.event(Event::MouseWheel {
        unit: MouseWheelUnit::Point,
        delta: vec2(0.0, 60.0),
        phase: TouchPhase::Move,
        modifiers: Modifiers::NONE,
        source: MouseWheelSource::Wheel,
    });
    window.run_steps(30);
    assert!(camera(&window).zoom > 1.1, "{:?}", camera(&window));
    assert!((handle(&window) - at).length() < 1.0, "the vertex under the pointer stays there");
}

#[test]
fn dragging_the_handle_lifts_with_falloff_in_steps_as_one_step() {
    let mut window = opened();
    let (from, steps) = (handle(&window), window.state().document().steps().len());
    drag(&mut window, from, from - vec2(0.0, 40.0), PointerButton::Primary, Modifiers::NONE);
    let lifted = value(&window, CURSOR);
    assert!(lifted > 25.0 && (lifted * 2.0).fract() == 0.0, "{lifted}");
    let neighbour = value(&window, Cell::new(11, 9));
    assert!(neighbour > 25.5 && neighbour - 25.5 < lifted - 24.0, "{neighbour}");
    let seen = handle(&window);
    assert!((seen.y - (from.y - 40.0)).abs() < 6.0 && (seen.x - from.x).abs() < 0.5, "it follows: {seen:?}");
    assert_eq!(window.state().document().steps().len(), steps);
    press(&mut window, from - vec2(0.0, 40.0), PointerButton::Primary, false, Modifiers::NONE);
    assert_eq!(window.state().document().steps().len(), steps + 1);
    assert!((handle(&window) - seen).length() < 0.01, "the scale stands when it is let go");
    let start = sample("tarn-special").advance.table().clone();
    let off_step = start
        .cells()
        .filter(|&cell| value(&window, cell) != start.at(cell) && (value(&window, cell) * 2.0).fract() != 0.0);
    assert_eq!(off_step.count(), 0, "neighbours keep to the step too");
    let label = window.state().document().undo_label().unwrap().to_owned();
    assert!(label.starts_with("Lift ") && label.contains("around 3200 rpm, load 56"), "{label}");
    assert_eq!(value(&window, CURSOR), lifted);
}

#[test]
fn with_shift_a_lift_is_finer() {
    let mut window = opened();
    let from = handle(&window);
    drag(&mut window, from, from - vec2(0.0, 60.0), PointerButton::Primary, Modifiers::NONE);
    let plain = value(&window, CURSOR) - 24.0;
    // On from there: a fifth of it, without a jump.
    window.event(Event::ModifiersChanged(Modifiers::SHIFT));
    move_to(&mut window, from - vec2(0.0, 60.0));
    assert_eq!(value(&window, CURSOR) - 24.0, plain);
    move_to(&mut window, from - vec2(0.0, 120.0));
    let fine = value(&window, CURSOR) - 24.0 - plain;
    assert!(plain >= 4.0 && (fine - plain / 5.0).abs() <= 0.5 && fine > 0.0, "{plain} {fine}");
    window.event(Event::ModifiersChanged(Modifiers::NONE));
    press(&mut window, from - vec2(0.0, 120.0), PointerButton::Primary, false, Modifiers::NONE);
}

#[test]
fn with_shift_from_the_start_the_handle_still_lifts() {
    let lifted = |window: &mut Window, height: f32, held: Modifiers| {
        let (from, before) = (handle(window), camera(window));
        drag(window, from, from - vec2(0.0, height), PointerButton::Primary, held);
        assert_eq!(camera(window), before);
        value(window, CURSOR) - 24.0
    };
    let plain = lifted(&mut opened(), 20.0, Modifiers::NONE);
    let mut window = opened();
    let from = handle(&window);
    let fine = lifted(&mut window, 60.0, Modifiers::SHIFT);
    // Three times as far at a fifth of the gain, in steps of half a degree.
    assert!(plain >= 4.0 && (fine - plain * 3.0 / 5.0).abs() <= 1.0, "{plain} {fine}");
    window.event(Event::ModifiersChanged(Modifiers::NONE));
    press(&mut window, from, PointerButton::Primary, false, Modifiers::NONE);
}

fn type_text(window: &mut Window, text: &str) {
    for letter in text.chars() {
        window.event(Event::Text(letter.to_string()));
    }
    window.run();
}

#[test]
fn degrees_are_typed_while_a_vertex_is_dragged() {
    let mut window = opened();
    let (from, steps) = (handle(&window), window.state().document().steps().len());
    drag(&mut window, from, from - vec2(0.0, 40.0), PointerButton::Primary, Modifiers::NONE);
    type_text(&mut window, "27.3");
    assert_eq!(value(&window, CURSOR), 27.3);
    assert!(window.state().screen().grid.editor.is_none(), "no editor opens");
    move_to(&mut window, from - vec2(0.0, 90.0));
    assert_eq!(value(&window, CURSOR), 27.3, "what is typed counts");
    window.key_press(Key::Backspace);
    window.key_press(Key::Backspace);
    window.run();
    assert_eq!(value(&window, CURSOR), 27.0);
    assert!(value(&window, Cell::new(11, 9)) > 25.5, "neighbours follow");
    type_text(&mut window, "0");
    assert_eq!(value(&window, CURSOR), 24.0, "270° is out of range and changes nothing");
    window.key_press(Key::Backspace);
    window.run();
    press(&mut window, from - vec2(0.0, 90.0), PointerButton::Primary, false, Modifiers::NONE);
    assert_eq!((value(&window, CURSOR), window.state().document().steps().len()), (27.0, steps + 1));
    type_text(&mut window, "2");
    assert!(window.state().screen().grid.editor.is_some(), "let go, numbers are the table's again");
}

#[test]
fn degrees_are_typed_while_the_handle_is_pressed() {
    let mut window = opened();
    let (from, steps) = (handle(&window), window.state().document().steps().len());
    press(&mut window, from, PointerButton::Primary, true, Modifiers::NONE);
    type_text(&mut window, "26");
    assert_eq!(value(&window, CURSOR), 26.0);
    window.key_press(Key::Enter);
    window.run();
    assert_eq!((value(&window, CURSOR), window.state().document().steps().len()), (26.0, steps + 1));
    move_to(&mut window, from - vec2(0.0, 90.0));
    assert_eq!(value(&window, CURSOR), 26.0, "Enter was done with it");
    press(&mut window, from - vec2(0.0, 90.0), PointerButton::Primary, false, Modifiers::NONE);
    assert_eq!((value(&window, CURSOR), window.state().document().steps().len()), (26.0, steps + 1));
}

#[test]
fn turning_stays_above_the_floor() {
    let mut window = opened();
    let at = beside(&window);
    drag(&mut window, at, at - vec2(0.0, 400.0), PointerButton::Primary, Modifiers::NONE);
    assert_eq!(camera(&window).elevation_deg, 0.0);
    press(&mut window, at - vec2(0.0, 400.0), PointerButton::Primary, false, Modifiers::NONE);
}

#[test]
fn with_alt_a_lift_lets_go_of_the_step() {
    let mut window = opened();
    let from = handle(&window);
    drag(&mut window, from, from - vec2(0.0, 40.0), PointerButton::Primary, Modifiers::ALT);
    let start = sample("tarn-special").advance.table().clone();
    let off_step = start.cells().filter(|&cell| (value(&window, cell) * 2.0).fract() != 0.0);
    assert!(off_step.count() > 5);
    press(&mut window, from - vec2(0.0, 40.0), PointerButton::Primary, false, Modifiers::NONE);
}

#[test]
fn a_lift_moves_selected_cells_only_where_several_are_selected() {
    let mut window = opened();
    select(&mut window, Cell::new(11, 7), CURSOR);
    window.run();
    let from = handle(&window);
    drag(&mut window, from, from - vec2(0.0, 40.0), PointerButton::Primary, Modifiers::NONE);
    let start = sample("tarn-special").advance.table().clone();
    let moved: Vec<Cell> = start.cells().filter(|&cell| value(&window, cell) != start.at(cell)).collect();
    assert_eq!(moved, [Cell::new(11, 7), CURSOR]);
    press(&mut window, from - vec2(0.0, 40.0), PointerButton::Primary, false, Modifiers::NONE);
}

#[test]
fn several_selected_cells_keep_their_shape_when_one_is_dragged() {
    let mut window = opened();
    select(&mut window, Cell::new(9, 6), CURSOR);
    window.run();
    let (from, steps) = (handle(&window), window.state().document().steps().len());
    let start = sample("tarn-special").advance.table().clone();
    drag(&mut window, from, from - vec2(0.0, 40.0), PointerButton::Primary, Modifiers::NONE);
    let by = value(&window, CURSOR) - start.at(CURSOR);
    assert!(by > 0.9, "{by}");
    let held = sample("tarn-special").advance.held().clone();
    let block = window.state().screen().selection.cells.clone();
    for cell in start.cells() {
        let expected = if block.contains(cell) && !held.contains(cell) { by } else { 0.0 };
        assert!((value(&window, cell) - start.at(cell) - expected).abs() < 1e-9, "{cell:?}");
    }
    press(&mut window, from - vec2(0.0, 40.0), PointerButton::Primary, false, Modifiers::NONE);
    assert_eq!(window.state().document().steps().len(), steps + 1);
    assert!(window.state().document().undo_label().unwrap().starts_with("Raise "));
    let again = handle(&window);
    drag(&mut window, again, from - vec2(0.0, 120.0), PointerButton::Primary, Modifiers::NONE);
    window.key_press(Key::Escape);
    window.run();
    press(&mut window, from - vec2(0.0, 120.0), PointerButton::Primary, false, Modifiers::NONE);
    assert_eq!(window.state().document().steps().len(), steps + 1, "Esc gives it up");
}

#[test]
fn escape_gives_a_lift_up_for_good() {
    let mut window = opened();
    let (from, steps) = (handle(&window), window.state().document().steps().len());
    drag(&mut window, from, from - vec2(0.0, 40.0), PointerButton::Primary, Modifiers::NONE);
    assert!(value(&window, CURSOR) > 24.0);
    window.key_press(Key::Escape);
    window.run();
    assert_eq!(value(&window, CURSOR), 24.0);
    move_to(&mut window, from - vec2(0.0, 80.0));
    assert_eq!(value(&window, CURSOR), 24.0, "moving on takes hold of nothing");
    press(&mut window, from - vec2(0.0, 80.0), PointerButton::Primary, false, Modifiers::NONE);
    assert_eq!((value(&window, CURSOR), window.state().document().steps().len()), (24.0, steps));
}

#[test]
fn armed_any_vertex_can_be_lifted() {
    let mut window = opened();
    let from = handle(&window);
    select(&mut window, Cell::new(3, 3), Cell::new(3, 3));
    window.run();
    drag(&mut window, from, from - vec2(0.0, 40.0), PointerButton::Primary, Modifiers::NONE);
    assert_eq!(value(&window, CURSOR), 24.0, "unarmed it orbits");
    press(&mut window, from, PointerButton::Primary, false, Modifiers::NONE);
    window.key_press_modifiers(Modifiers::COMMAND, Key::Num4);
    window.get_by_label("Lift on the surface").click();
    window.run();
    assert!(window.state().screen().surface.lift_armed);
    drag(&mut window, from, from - vec2(0.0, 40.0), PointerButton::Primary, Modifiers::NONE);
    assert!(value(&window, CURSOR) > 25.0);
    assert_eq!(window.state().screen().selection.cursor, CURSOR);
}

#[test]
fn a_held_vertex_says_why_it_stays() {
    let mut window = opened();
    window.key_press(Key::H);
    window.run();
    let from = handle(&window);
    drag(&mut window, from, from - vec2(0.0, 40.0), PointerButton::Primary, Modifiers::NONE);
    assert_eq!(value(&window, CURSOR), 24.0);
    let notice = window.state().screen().notice.clone().unwrap();
    assert_eq!(notice.text, "3200 rpm, 56 % is held: release it to move it");
}

#[test]
fn from_above_nothing_lifts() {
    let mut window = opened();
    window.key_press_modifiers(Modifiers::COMMAND, Key::Num3);
    window.run();
    let from = handle(&window);
    drag(&mut window, from, from - vec2(0.0, 40.0), PointerButton::Primary, Modifiers::NONE);
    assert_eq!(value(&window, CURSOR), 24.0);
}

#[test]
fn clicks_select_and_hovering_shows_on_both_sides() {
    let mut window = opened();
    let at = handle(&window);
    select(&mut window, Cell::new(9, 6), Cell::new(9, 6));
    window.run();
    move_to(&mut window, at);
    assert_eq!(window.state().screen().pointer.cell, Some(CURSOR));
    click(&mut window, at, 1, Modifiers::SHIFT);
    let selection = window.state().screen().selection.clone();
    assert_eq!((selection.cursor, selection.anchor, selection.cells.count()), (CURSOR, Cell::new(9, 6), 9));
    click(&mut window, at, 1, Modifiers::NONE);
    assert_eq!(window.state().screen().selection.cells.count(), 1);
    move_to(&mut window, Pos2::new(400.0, 20.0));
    assert_eq!(window.state().screen().pointer.cell, None);
}

#[test]
fn arrows_move_the_cursor_while_it_has_the_keyboard() {
    let mut window = opened();
    window.ctx.memory_mut(|memory| memory.request_focus(surface::id()));
    window.run();
    window.key_press(Key::ArrowRight);
    window.run();
    assert_eq!(window.state().screen().selection.cursor, Cell::new(11, 9));
    window.key_press_modifiers(Modifiers::ALT, Key::ArrowUp);
    window.run();
    assert_eq!(value(&window, Cell::new(11, 9)), 26.0);
}

#[test]
fn a_screen_reader_moves_the_vertex_by_steps() {
    let mut window = opened();
    window.get_by_label("lift 3200 rpm, 56 %").increment_accesskit();
    window.run();
    assert_eq!(value(&window, CURSOR), 24.5);
    window.get_by_label("lift 3200 rpm, 56 %").set_value_accesskit(22.2);
    window.run();
    assert_eq!(value(&window, CURSOR), 22.0);
}

#[test]
fn the_base_can_be_shown_in_two_ways_or_hidden() {
    let mut window = opened();
    for (name, style) in
        [("Base: solid", Beside::SolidBase), ("Base: wire", Beside::WireBase), ("Base: hidden", Beside::Nothing)]
    {
        window.get_by_label(name).click();
        window.run();
        assert_eq!(window.state().screen().surface.chosen_beside, Some(style));
    }
}

/// Words for what the project does not have are not there; what is chosen says what its lines are.
#[test]
fn ceiling_and_how_sure_are_shown_where_the_project_has_them() {
    let offered = |window: &Window| {
        ["Measured points", "How sure the cells are", "Ceiling: full-load line"]
            .map(|name| window.query_by_label(name).is_some())
    };
    let with_line = |on: &str| set_fields(&with_points(&sample("tarn-special")), &[("full_load_line.enabled", on)]);
    assert_eq!(offered(&window(with_line("false").unwrap())), [true, true, false]);
    let mut window = window(with_line("true").unwrap());
    assert_eq!(offered(&window), [true, true, true]);
    for (name, beside, key) in [
        ("Ceiling: full-load line", Beside::Ceiling, "hatched: ceiling"),
        ("How sure the cells are", Beside::Sure, "dashed: ± nine times in ten"),
    ] {
        let before = window.render().unwrap();
        window.get_by_label(name).click();
        checked(&mut window);
        for _ in 0..600 {
            if window.query_by_label_contains(key).is_some() {
                break;
            }
            std::thread::sleep(std::time::Duration::from_millis(5));
            window.run_ok();
        }
        window.get_by_label_contains(key);
        assert_eq!(window.state().screen().surface.chosen_beside, Some(beside));
        assert_ne!(window.render().unwrap(), before, "{name}");
    }
    let words = ["Base: hidden", "Base: solid", "Base: wire", "Measured points", "How sure the cells are"];
    let words: Vec<Rect> = words.iter().map(|name| window.get_by_label(name).rect()).collect();
    let pane = window.get_by_label_contains("surface of advance").rect();
    assert!(words.iter().all(|word| word.left() >= pane.left() && word.right() <= pane.right()), "{words:?} {pane:?}");
    assert!(words.iter().all(|word| word.bottom() <= pane.top() + 0.5), "{words:?} {pane:?}");
}

#[test]
fn in_a_low_window_surface_and_grid_take_turns() {
    let mut window = opened();
    window.set_size(vec2(1280.0, 700.0));
    window.run();
    assert!(window.query_by_label_contains("surface of advance").is_none());
    window.get_by_label("Show the surface").click();
    window.run();
    window.get_by_label_contains("surface of advance");
    window.get_by_label("Show the grid").click();
    window.run();
    assert!(window.query_by_label_contains("surface of advance").is_none());
}

#[test]
fn contours_and_tints_keep_their_scale_while_a_vertex_is_lifted() {
    let mut window = window(new_project(4, 3));
    window.get_by_label_contains("contours 2°");
    let one = sparkloft::table::Selection::cell(
        window.state().document().project().advance.table(),
        sparkloft::table::Cell::new(0, 0),
    );
    // A span of more than twice as many degrees asks for a larger step, but not while it is dragged, nor when it is let go.
    window.state_mut().ask(Action::Drag(sparkloft::shaping::Tool::Add { deg: 60.0 }, one));
    window.run();
    window.run();
    window.get_by_label_contains("contours 2°");
    window.state_mut().ask(Action::DragEnd);
    window.run();
    window.run();
    window.get_by_label_contains("contours 2°");
    window.key_press_modifiers(Modifiers::COMMAND, Key::Num4);
    window.run();
    window.get_by_label_contains("contours 5°");
}

/// Where the vertices of cells are seen, with the cursor back where it was.
fn places(window: &mut Window, cells: &[Cell]) -> Vec<Pos2> {
    let before = window.state().screen().selection.clone();
    let seen = cells.iter().map(|&cell| {
        select(window, cell, cell);
        window.run();
        handle(window)
    });
    let seen = seen.collect();
    window.state_mut().ask(ScreenMessage::Select(before));
    window.run();
    seen
}

fn selected(window: &Window) -> Vec<Cell> {
    window.state().screen().selection.cells.cells().collect()
}

#[test]
fn a_box_selects_the_vertices_in_it_and_adds_and_takes_away() {
    let mut window = opened();
    window.key_press_modifiers(Modifiers::COMMAND, Key::Num3);
    window.run();
    // From above nothing is hidden, and a box is a block.
    let [low, high] = places(&mut window, &[Cell::new(3, 4), Cell::new(5, 6)])[..] else { panic!() };
    let (from, to) = (Pos2::new(low.x - 3.0, low.y + 3.0), Pos2::new(high.x + 3.0, high.y - 3.0));
    let plain = camera(&window);
    window.get_by_label("Select by a box on the surface").click();
    window.run();
    drag(&mut window, from, to, PointerButton::Primary, Modifiers::NONE);
    assert_eq!(selected(&window).len(), 9, "while it is drawn");
    press(&mut window, to, PointerButton::Primary, false, Modifiers::NONE);
    let block: Vec<Cell> = (3..6).flat_map(|load| (4..7).map(move |speed| Cell::new(load, speed))).collect();
    assert_eq!(selected(&window), block);
    let [other] = places(&mut window, &[Cell::new(8, 9)])[..] else { panic!() };
    let around = vec2(4.0, 4.0);
    drag(&mut window, other - around, other + around, PointerButton::Primary, Modifiers::SHIFT);
    press(&mut window, other + around, PointerButton::Primary, false, Modifiers::SHIFT);
    assert_eq!(selected(&window), [&block[..], &[Cell::new(8, 9)]].concat(), "Shift adds");
    drag(&mut window, low - around, low + around, PointerButton::Primary, Modifiers::COMMAND);
    press(&mut window, low + around, PointerButton::Primary, false, Modifiers::COMMAND);
    assert_eq!(selected(&window), [&block[1..], &[Cell::new(8, 9)]].concat(), "Ctrl takes away");
    // Esc gives a box up, then the mode; then a drag turns again, but with Alt it draws a box.
    window.event(Event::ModifiersChanged(Modifiers::NONE));
    let before = selected(&window);
    drag(&mut window, from, to, PointerButton::Primary, Modifiers::NONE);
    assert_eq!(selected(&window), block);
    window.key_press(Key::Escape);
    window.run();
    move_to(&mut window, to);
    press(&mut window, to, PointerButton::Primary, false, Modifiers::NONE);
    assert_eq!(selected(&window), before);
    assert!(window.state().screen().surface.box_armed && !window.state().screen().surface.boxing);
    window.key_press(Key::Escape);
    window.run();
    assert!(!window.state().screen().surface.box_armed);
    select(&mut window, CURSOR, CURSOR);
    window.run();
    drag(&mut window, from, to, PointerButton::Primary, Modifiers::ALT);
    press(&mut window, to, PointerButton::Primary, false, Modifiers::ALT);
    window.event(Event::ModifiersChanged(Modifiers::NONE));
    assert_eq!((selected(&window), camera(&window)), (block, plain));
    drag(&mut window, from, to, PointerButton::Primary, Modifiers::NONE);
    press(&mut window, to, PointerButton::Primary, false, Modifiers::NONE);
    assert_ne!(camera(&window), plain);
}

#[test]
fn a_box_takes_no_vertex_that_is_hidden() {
    // A ridge in front of everything else.
    let ridge = super::harness::with_values(&new_project(8, 8), |load, _| if load == 1 { 60.0 } else { 10.0 });
    let mut window = window(ridge);
    window.state_mut().ask(sparkloft::window::state::surface_state::SurfaceMessage::Look(Camera {
        elevation_deg: 15.0,
        azimuth_deg: 0.0,
        ..Camera::default()
    }));
    window.key_press(Key::X);
    window.run();
    let canvas = window.get_by_label_contains("surface of advance").rect().shrink(12.0);
    drag(&mut window, canvas.left_top(), canvas.right_bottom(), PointerButton::Primary, Modifiers::NONE);
    press(&mut window, canvas.right_bottom(), PointerButton::Primary, false, Modifiers::NONE);
    let loads: Vec<usize> = selected(&window).iter().map(|cell| cell.load).collect();
    assert!(loads.contains(&0) && loads.contains(&1), "{loads:?}");
    assert!(!loads.contains(&2) && !loads.contains(&3), "{loads:?}");
}
