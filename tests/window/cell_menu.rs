//! The menu of the cells: on grid, axes, slices and surface, by the other button and by keys.

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::shaping::Along;
use sparkloft::table::Cell;
use sparkloft::window::state::screen::{MenuOf, ScreenMessage};
use sparkloft::window::state::selection::CellSelection;

use super::harness::{Window, message, new_project, press, sample, value, window, with_values};

fn opened() -> Window {
    let mut window = window(with_values(&new_project(8, 8), |_, _| 20.0));
    window.run();
    press(&mut window, "Ctrl+Home Shift+Right Shift+Right");
    window
}

fn click_with(window: &mut Window, button: PointerButton, pos: Pos2) {
    window.event(Event::PointerMoved(pos));
    for pressed in [true, false] {
        window.event(Event::PointerButton { pos, button, pressed, modifiers: Modifiers::NONE });
    }
    window.run();
}

fn middle(window: &Window, name: &str) -> Pos2 {
    window.get_all_by_label_contains(name).next().unwrap().rect().center()
}

/// The middle of a point of a slice, by how its name begins.
fn point(window: &Window, name: &str) -> Pos2 {
    window.get_by(|node| node.label().is_some_and(|label| label.starts_with(name))).rect().center()
}

fn menu(window: &Window) -> Option<MenuOf> {
    window.state().screen().menu.map(|menu| menu.of)
}

/// The rows of the open menu, and whether each can be run.
fn rows(window: &Window) -> Vec<(String, bool)> {
    let rows = window.query_all_by_role(Role::ListItem);
    rows.map(|row| {
        let node = row.accesskit_node();
        (node.label().unwrap_or_default(), !node.is_disabled())
    })
    .collect()
}

#[test]
fn within_the_selection_it_is_for_the_selection_and_elsewhere_for_what_was_clicked() {
    let mut window = opened();
    let cells: Vec<Pos2> = {
        let cells = window.query_all_by_role(Role::GridCell);
        cells.map(|cell| cell.rect().center()).collect()
    };
    let top = cells.iter().map(|at| at.y).fold(f32::INFINITY, f32::min);
    let mut row: Vec<Pos2> = cells.iter().copied().filter(|at| at.y == top).collect();
    row.sort_by(|a, b| a.x.total_cmp(&b.x));
    click_with(&mut window, PointerButton::Secondary, row[1]);
    assert_eq!((menu(&window), window.state().screen().selection.cells.count()), (Some(MenuOf::Cells), 3));
    let names = rows(&window);
    assert!(names.contains(&("Interpolate along the row".to_owned(), true)), "{names:?}");
    assert!(names.contains(&("Interpolate along the column".to_owned(), false)), "{names:?}");
    press(&mut window, "Escape");
    assert_eq!(menu(&window), None);
    assert_eq!(window.state().screen().selection.cells.count(), 3, "only the menu goes");
    click_with(&mut window, PointerButton::Secondary, row[5]);
    assert_eq!(window.state().screen().selection.cells.cells().collect::<Vec<_>>(), [Cell::new(7, 5)]);
    // A click elsewhere closes it and does what it does.
    click_with(&mut window, PointerButton::Primary, row[2]);
    assert_eq!((menu(&window), window.state().screen().selection.cursor), (None, Cell::new(7, 2)));
}

#[test]
fn a_row_runs_its_command_and_one_that_cannot_be_run_says_why() {
    let mut window = opened();
    press(&mut window, "Shift+F10");
    assert_eq!(menu(&window), Some(MenuOf::Cells));
    let at = window.state().screen().menu.unwrap().at;
    assert!(at.is_some(), "at the cursor");
    window.get_by_role_and_label(Role::ListItem, "Raise by a step").click();
    window.run();
    assert_eq!((value(&window, 7, 0), menu(&window)), (20.5, None));
    press(&mut window, "Shift+F10");
    let names: Vec<String> = rows(&window).into_iter().map(|(name, _)| name).collect();
    let at = names.iter().position(|name| name == "Interpolate along the column").unwrap();
    for _ in 0..at {
        press(&mut window, "Down");
    }
    press(&mut window, "Enter");
    assert!(message(&window).starts_with("Interpolate along the column: nothing lies in between"));
    assert!(menu(&window).is_some());
    let hold = names.iter().position(|name| name == "Hold or release").unwrap();
    for _ in at..hold {
        press(&mut window, "Down");
    }
    press(&mut window, "Enter");
    assert_eq!((window.state().document().project().advance.held().count(), menu(&window)), (3, None));
}

#[test]
fn plain_keys_belong_to_the_open_menu() {
    let mut window = opened();
    press(&mut window, "Shift+F10");
    window.key_press(Key::R);
    window.run();
    press(&mut window, "5 Escape");
    assert_eq!((value(&window, 7, 0), window.state().document().steps().len()), (20.0, 1));
    assert!(window.state().screen().grid.editor.is_none());
}

#[test]
fn axes_slices_and_surface_have_menus_of_their_own() {
    let mut window = window(sample("tarn-special"));
    let table = window.state().document().project().advance.table().clone();
    window.state_mut().ask(ScreenMessage::Select(CellSelection::cell(&table, Cell::new(11, 8))));
    window.run();
    let at = middle(&window, "speed 3200 rpm");
    click_with(&mut window, PointerButton::Secondary, at);
    assert_eq!((menu(&window), window.state().screen().selection.cells.count()), (Some(MenuOf::Speeds), 16));
    window.get_by_role_and_label(Role::ListItem, "Insert a speed here");
    press(&mut window, "Escape");
    let at = middle(&window, "load 56 %");
    click_with(&mut window, PointerButton::Secondary, at);
    assert_eq!(menu(&window), Some(MenuOf::Loads));
    window.get_by_role_and_label(Role::ListItem, "Insert a load here");
    press(&mut window, "Escape Escape");
    let at = point(&window, "3700 rpm, ");
    click_with(&mut window, PointerButton::Secondary, at);
    assert_eq!(menu(&window), Some(MenuOf::Slice(Along::Speed)));
    window.get_by_role_and_label(Role::ListItem, "Copy the slice at this load");
    window.get_by_role_and_label(Role::ListItem, "Paste onto the slice at this load");
    press(&mut window, "Escape");
    let at = point(&window, "66 %, ");
    click_with(&mut window, PointerButton::Secondary, at);
    assert_eq!(menu(&window), Some(MenuOf::Slice(Along::Load)));
    window.get_by_role_and_label(Role::ListItem, "Copy the slice at this speed");
    press(&mut window, "Escape");
    let at = window.get_by_label_contains("surface of advance").rect().center();
    click_with(&mut window, PointerButton::Secondary, at);
    assert_eq!(menu(&window), Some(MenuOf::Surface));
    let before = window.state().screen().surface.camera.azimuth_deg;
    window.get_by_role_and_label(Role::ListItem, "From the other side").click();
    window.run();
    let turned = window.state().screen().surface.camera.azimuth_deg - before;
    assert_eq!(turned.rem_euclid(360.0), 180.0);
}

#[test]
fn the_menu_is_whole_in_a_small_window() {
    let mut window = super::harness::sized_window(sample("tarn-special"), eframe::egui::Vec2::new(1280.0, 720.0), 1.0);
    window.run();
    press(&mut window, "Ctrl+End Shift+F10");
    let whole = window.ctx.content_rect();
    let rows = window.query_all_by_role(Role::ListItem).map(|row| row.rect()).collect::<Vec<_>>();
    assert!(rows.len() > 20 && rows.iter().all(|row| whole.contains_rect(*row)), "{rows:?}");
}
