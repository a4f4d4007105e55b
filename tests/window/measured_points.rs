//! Measured points on the Advance sheet: rings in the grid, pins on the surface, dots on the slices.

use eframe::egui::{Pos2, Rect, Shape, Vec2, pos2, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::drawing::{Look, ModelBox, Viewport};
use sparkloft::project::Project;
use sparkloft::table::Cell;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::selection::CellSelection;
use sparkloft::window::state::surface_state::{Beside, SurfaceMessage};

use super::harness::{Window, colours, in_look, message, pictured, press, sample, sized_window, window, with_points};

const ON_A_CELL: usize = 0;
const BETWEEN: usize = 3;
const LOW: usize = 8;

fn opened(name: &str) -> Window {
    let mut window = window(with_points(&sample(name)));
    window.run();
    window
}

fn project(window: &Window) -> &Project {
    window.state().document().project()
}

/// Where the rings in the grid are.
fn rings(window: &Window) -> Vec<Rect> {
    fn find(shape: &Shape, found: &mut Vec<Rect>) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| find(shape, found)),
            Shape::Mesh(mesh) => {
                let bounds = mesh.calc_bounds();
                let is_ring = (6.0..10.0).contains(&bounds.width()) && (bounds.width() - bounds.height()).abs() < 0.1;
                found.extend(is_ring.then_some(bounds));
            }
            _ => {}
        }
    }
    let mut found = Vec::new();
    window.output().shapes.iter().for_each(|clipped| find(&clipped.shape, &mut found));
    found
}

fn hover(window: &mut Window, at: Pos2) -> Option<usize> {
    window.hover_at(at);
    window.run();
    window.run();
    window.state().screen().pointer.measured
}

/// The words of a point whose table value is known.
fn is_told(window: &Window, words: &str) -> bool {
    window.query_all_by_label_contains(words).next().is_some()
}

#[test]
fn a_ring_says_what_was_measured_and_a_click_on_it_selects_the_cell_as_usual() {
    let mut window = opened("tarn-special");
    let rings = rings(&window);
    assert_eq!(rings.len(), 9, "one of the ten lies beyond the axes");
    let ring = rings[BETWEEN].center();
    assert_eq!(hover(&mut window, ring), Some(BETWEEN));
    let point = project(&window).evidence.points[BETWEEN].clone();
    let words = format!("between: {}, best torque, table ", point.words());
    assert!(is_told(&window, &words), "{words}");
    assert!(is_told(&window, ", from dyno-day.csv"));
    window.get_by_label_contains(" beyond the axes");
    window.drag_at(ring);
    window.drop_at(ring);
    window.run();
    assert_eq!(window.state().screen().selection.cells.count(), 1);
    let [left, top] = [ring.x, ring.y].map(|at| at + 60.0);
    assert_eq!(hover(&mut window, pos2(left, top)), None, "elsewhere nothing is said");
}

#[test]
fn points_on_one_place_do_not_hide_each_other() {
    let mut window = opened("tarn-special");
    let rings = rings(&window);
    for index in ON_A_CELL..ON_A_CELL + 3 {
        assert_eq!(hover(&mut window, rings[index].center()), Some(index));
        assert!(rings[..index].iter().all(|other| !other.shrink(1.0).intersects(rings[index].shrink(1.0))));
    }
}

#[test]
fn the_cell_of_a_point_names_it_for_screen_readers() {
    let window = opened("tarn-special");
    let point = &project(&window).evidence.points[ON_A_CELL];
    let words = format!("measured {} {}", point.name, point.words());
    let has = |node: &egui_kittest::Node<'_>| {
        node.accesskit_node().description().is_some_and(|description| description.contains(&words))
    };
    let cells = window.query_all_by_label_contains("advance ").filter(has);
    assert_eq!(cells.count(), 1);
}

/// Where the head of a pin is.
fn head(window: &Window, index: usize) -> Pos2 {
    let (project, state) = (project(window), window.state());
    let (table, base) = (project.advance.table(), state.base().project.advance.table());
    let model = ModelBox::around_with(table, Some(base), project.evidence.advances_over(table));
    let rect = window.get_by_label_contains("surface of advance").rect();
    let viewport = Viewport { left: rect.left(), top: rect.top(), width: rect.width(), height: rect.height() };
    let point = &project.evidence.points[index];
    let projector = state.screen().surface.camera.projector(&model, &viewport);
    let at = projector.project(model.point(point.speed_rpm, point.load, point.advance_deg));
    pos2(at.x, at.y)
}

#[test]
fn pins_stand_on_the_surface_until_something_else_is_shown_beside() {
    let mut window = opened("tarn-special");
    let at = head(&window, LOW);
    assert_eq!(hover(&mut window, at), Some(LOW));
    window.get_by_label("Base: solid").click();
    window.run();
    assert_eq!(window.state().screen().surface.chosen_beside, Some(Beside::SolidBase));
    assert_eq!(hover(&mut window, at + vec2(1.0, 0.0)), None);
    window.get_by_label("Measured points").click();
    window.run();
    assert_eq!(hover(&mut window, at), Some(LOW));
    let bare = self::window(sample("tarn-special"));
    assert!(bare.query_by_label("Measured points").is_none(), "offered only where there are any");
}

/// The middle of a point of a slice, by how its name begins.
fn cell_at(window: &Window, name: &str) -> Pos2 {
    let is_named = |label: &str| label.starts_with(name) && label.contains(" degrees");
    window.get_by(|node| node.label().is_some_and(|label| is_named(&label))).rect().center()
}

#[test]
fn a_slice_shows_what_was_measured_within_half_a_row() {
    let mut window = opened("tarn-special");
    let table = project(&window).advance.table().clone();
    let point = project(&window).evidence.points[ON_A_CELL].clone();
    let row = table.load().nearest(point.load);
    let select = |window: &mut Window, load: usize| {
        let cell = Cell::new(load, 0);
        window.state_mut().ask(ScreenMessage::Select(CellSelection::cell(&table, cell)));
        window.run();
    };
    select(&mut window, row);
    let speed = |column: usize| table.speed().breakpoints()[column];
    let column = table.speed().nearest(point.speed_rpm);
    let named = |column: usize| format!("{:.0} rpm, ", speed(column));
    let (cell, first) = (cell_at(&window, &named(column)), cell_at(&window, &named(0)));
    // Degrees to points, from two cells of the row.
    let value = |column: usize| table.at(Cell::new(row, column));
    let per_deg = f64::from(first.y - cell.y) / (value(column) - value(0));
    #[expect(clippy::cast_possible_truncation, reason = "a place on the screen")]
    let at = pos2(cell.x, cell.y - ((point.advance_deg - value(column)) * per_deg) as f32);
    assert_eq!(hover(&mut window, at), Some(ON_A_CELL));
    assert!(is_told(&window, "on a cell: "));
    select(&mut window, row + 3);
    assert_eq!(hover(&mut window, at + vec2(0.5, 0.0)), None);
}

#[test]
fn commands_go_to_points_and_select_the_cells_round_them() {
    let mut window = opened("tarn-special");
    let mut met = Vec::new();
    for _ in 0..7 {
        window.state_mut().ask(Command::GoMeasured);
        window.run();
        met.push((window.state().screen().selection.cursor, message(&window).to_owned()));
    }
    assert!(met[0].1.starts_with("at the end: "), "{met:?}");
    let three = met.iter().find(|(_, told)| told.contains("on a cell: ")).unwrap();
    assert!(three.1.contains("there too: ") && three.1.contains(", not in use"), "{three:?}");
    window.state_mut().ask(Command::GoMeasured);
    window.run();
    assert_eq!(window.state().screen().selection.cursor, met[0].0, "round and round");
    window.state_mut().ask(Command::SelectMeasured);
    window.run();
    let selection = &window.state().screen().selection;
    assert!(selection.cells.contains(three.0) && selection.cells.contains(met[0].0));
    assert!(message(&window).ends_with("cells round 8 measured points"), "{}", message(&window));
    let mut bare = self::window(sample("tarn-special"));
    bare.state_mut().ask(Command::GoMeasured);
    bare.run();
    assert!(message(&bare).contains("no point was measured within the axes"), "{}", message(&bare));
    press(&mut bare, "Right");
}

#[test]
fn points_can_be_looked_at_in_every_look() {
    let looks = [("light", Look::Light), ("dark", Look::Dark), ("sunlight", Look::Sunlight)];
    for (name, look) in looks {
        let mut window = sized_window(with_points(&sample("tarn-special")), Vec2::new(1280.0, 800.0), 1.0);
        window.state_mut().ask(in_look(look));
        window.run();
        let table = project(&window).advance.table().clone();
        let cell = Cell::new(table.load().len() / 2, table.speed().len() / 2 + 1);
        window.state_mut().ask(ScreenMessage::Select(CellSelection::cell(&table, cell)));
        window.run();
        assert!(colours(&pictured(&mut window, &format!("points-{name}"))) > 200, "{name}");
    }
    let mut window = sized_window(with_points(&sample("larch-six")), Vec2::new(1366.0, 768.0), 2.0);
    window.run();
    window.state_mut().ask(SurfaceMessage::Look(sparkloft::drawing::Camera::view(sparkloft::drawing::View::Plan)));
    window.state_mut().ask(Command::Marks);
    window.run();
    assert!(colours(&pictured(&mut window, "points-2x")) > 200);
}
