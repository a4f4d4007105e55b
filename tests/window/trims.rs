//! The Trims sheet: what it says of the table, from the evaluation.

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::project::{Project, set_fields};
use sparkloft::spark::{Conditions, Evaluation};
use sparkloft::table::Cell;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;
use sparkloft::window::state::selection::CellSelection;
use sparkloft::wording::fixed;

use super::harness::{Window, sample, window};

fn change(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
    window.run();
}

fn opened(project: Project) -> Window {
    let table = project.advance.table().clone();
    let mut window = window(project);
    window.state_mut().ask(ScreenMessage::Show(Sheet::Trims));
    change(&mut window, ScreenMessage::Select(CellSelection::cell(&table, Cell::new(8, 6))));
    window
}

fn cells(window: &Window) -> Vec<String> {
    let cells = window.query_all_by_role(Role::GridCell);
    cells.map(|cell| cell.accesskit_node().label().unwrap_or_default()).collect()
}

#[test]
fn every_cell_tells_what_the_evaluation_says() {
    let window = opened(sample("tarn-special"));
    let project = window.state().document().project().clone();
    let evaluation = Evaluation::new(&project);
    let table = project.advance.table();
    let named = cells(&window);
    assert_eq!(named.len(), 256);
    for cell in table.cells() {
        let (speed, load) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
        let at = |coolant_c, air_c| Conditions { speed_rpm: speed, load, coolant_c, air_c, ..Conditions::default() };
        let parts = evaluation.table_and_trims(&at(Some(20.0), Some(45.0)));
        let bare = evaluation.table_and_trims(&at(None, None));
        let name = format!("advance with trims {speed} rpm, {load} %, {} degrees, trimmed by ", fixed(parts.sum(), 1));
        let found = named.iter().find(|named| named.starts_with(&name));
        let by = found.unwrap_or_else(|| panic!("no cell is called {name}")).rsplit(' ').next().unwrap();
        let by: f64 = by.replace('\u{2212}', "-").parse().unwrap();
        assert!((parts.sum() - bare.sum() - by).abs() <= 0.05 + 1e-9, "{name}{by}");
    }
}

#[test]
fn the_selected_cell_is_told_in_words() {
    let sets = [
        ("trims.coolant.degrees", "(at: [0, 80], value: [4, 0])"),
        ("trims.coolant.weight", "(at: [0, 100], value: [1, 0])"),
        ("trims.air.enabled", "false"),
    ];
    let mut window = opened(set_fields(&sample("tarn-special"), &sets).unwrap());
    let (load, table) = {
        let table = window.state().document().project().advance.table();
        (table.load().breakpoints()[8], table.at(Cell::new(8, 6)))
    };
    let weight = 1.0 - load / 100.0;
    window.get_by_label(&format!("Coolant trim: +{:.1}°, +3.0° at 20 °C × weight {weight:.2}", 3.0 * weight));
    window.get_by_label("Air trim: 0.0°, switched off");
    window.get_by_label(&format!("Commanded: {:.1}°, before TDC", table + 3.0 * weight));
    window.get_by_role_and_label(Role::TextInput, "Coolant temperature of the preview").focus();
    window.run();
    window.event(Event::Text("80".into()));
    window.run();
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(window.state().screen().trims.coolant_c, 80.0);
    window.get_by_label(&format!("Commanded: {table:.1}°, before TDC"));
    assert_eq!(window.state().document().steps().len(), 1, "a preview is no step");
}

#[test]
fn arrows_move_the_cell_and_clicks_choose_one() {
    let mut window = opened(sample("tarn-special"));
    let name = cells(&window).into_iter().find(|name| name.contains(" 2000 rpm, 34 %")).unwrap();
    let at = window.get_by_label(&name).rect().center();
    window.event(Event::PointerMoved(at));
    for pressed in [true, false] {
        let button = eframe::egui::PointerButton::Primary;
        window.event(Event::PointerButton { pos: at, button, pressed, modifiers: eframe::egui::Modifiers::NONE });
    }
    window.run();
    let table = window.state().document().project().advance.table().clone();
    let cursor = window.state().screen().selection.cursor;
    assert_eq!((table.speed().breakpoints()[cursor.speed], table.load().breakpoints()[cursor.load]), (2000.0, 34.0));
    window.key_press(Key::ArrowUp);
    window.run();
    window.key_press(Key::ArrowLeft);
    window.run();
    let now = window.state().screen().selection.cursor;
    assert_eq!(now, Cell::new(cursor.load + 1, cursor.speed - 1));
}

#[test]
fn switching_a_trim_off_is_one_step_and_takes_its_effect_away() {
    let mut window = opened(sample("tarn-special"));
    for name in ["Coolant trim on", "Air trim on"] {
        window.get_by_role_and_label(Role::CheckBox, name).click();
        window.run();
        window.run();
    }
    assert_eq!(window.state().document().steps().len(), 3);
    assert!(cells(&window).iter().all(|name| name.ends_with("trimmed by 0.0")));
}
