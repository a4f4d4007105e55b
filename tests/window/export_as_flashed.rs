//! The advance table as the unit will have it, on the Advance sheet.

use eframe::egui::Key;
use egui_kittest::kittest::Queryable;
use sparkloft::image::as_flashed;
use sparkloft::project::{Project, set_fields};
use sparkloft::table::Cell;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::grid_state::FlashedGrid;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::selection::CellSelection;

use super::frame::{click, has, notice};
use super::frame_files::{run, wait_until};
use super::harness::{Window, sample, window};

/// The sample with a table in whole degrees.
fn coarse() -> Project {
    let project = sample("tarn-special");
    let place = project.image.items.iter().position(|item| item.name == "advance").unwrap();
    let path = format!("image.items[{place}].scale");
    set_fields(&project, &[(&path, "1"), ("advance.deg[4][4]", "21.4")]).unwrap()
}

fn flashed(project: Project) -> Window {
    let mut window = window(project);
    window.run();
    run(&mut window, Command::AsFlashed);
    wait_until(&mut window, |window| has(window, "as flashed, advance"));
    window
}

#[test]
fn the_switch_shows_what_the_unit_has_and_says_so() {
    let project = coarse();
    let mut window = window(project.clone());
    window.run();
    assert!(!has(&window, "as flashed, advance"));
    window.key_press(Key::F7);
    wait_until(&mut window, |window| has(window, "as flashed, advance"));
    assert!(has(&window, "Not the project's numbers: the table as the unit will have it."));
    let unit = as_flashed(&project).unwrap().unwrap();
    let cell = Cell::new(4, 4);
    assert_eq!(unit.table().at(cell), 21.0);
    assert!(has(&window, "21.0 degrees, count 21"));
    let by = unit.largest_difference().deg();
    let words = format!("Largest difference {}{:.2}°", if by < 0.0 { "\u{2212}" } else { "+" }, by.abs());
    assert!(has(&window, &words), "{words}");
    assert!(has(&window, "integer arithmetic alone"));
    click(&mut window, "As flashed: counts");
    assert_eq!(window.state().screen().grid.flashed, FlashedGrid::Counts);
    run(&mut window, Command::AsFlashed);
    assert_eq!(window.state().screen().grid.flashed, FlashedGrid::Off);
    assert!(!has(&window, "as flashed, advance") && has(&window, "advance 500 rpm"));
}

#[test]
fn editing_goes_on_with_the_projects_own_numbers() {
    let mut window = flashed(coarse());
    let table = window.state().document().project().advance.table().clone();
    window.state_mut().ask(ScreenMessage::Select(CellSelection::cell(&table, Cell::new(4, 4))));
    window.run_ok();
    run(&mut window, Command::Raise);
    let step = window.state().document().project().step_deg;
    let now = window.state().document().project().advance.table().at(Cell::new(4, 4));
    assert!((now - (21.4 + step)).abs() < 1e-9, "{now}: raised from the project's number, not from the unit's");
    wait_until(&mut window, |window| has(window, "22.0 degrees, count 22"));
}

#[test]
fn a_table_of_another_size_is_only_shown() {
    let project = coarse();
    let place = |name: &str| project.image.items.iter().position(|item| item.name == name).unwrap();
    let [cells, speeds] = ["advance", "advance_speeds"].map(place);
    let sized = sparkloft::image::resize_item(&project, cells, Some(9), None).unwrap();
    assert_eq!(sized.image.items[speeds].speeds, Some(9));
    let mut window = flashed(sized);
    assert!(has(&window, "The unit has its own size 9 × 16"));
    let before = window.state().screen().selection.clone();
    let cell = window.query_all_by_label_contains("as flashed, advance").nth(20).unwrap().rect().center();
    window.event(eframe::egui::Event::PointerMoved(cell));
    for pressed in [true, false] {
        let (button, modifiers) = (eframe::egui::PointerButton::Primary, eframe::egui::Modifiers::NONE);
        window.event(eframe::egui::Event::PointerButton { pos: cell, button, pressed, modifiers });
        window.run_ok();
    }
    assert_eq!(window.state().screen().selection, before);
    assert!(notice(&window).contains("another size"), "{}", notice(&window));
    click(&mut window, "As flashed in the grid");
    assert_eq!(window.state().screen().grid.flashed, FlashedGrid::Off);
}
