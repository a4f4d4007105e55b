//! The Trims sheet: what it says of the table, from the evaluation.

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Rect};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::project::{Project, set_fields};
use sparkloft::spark::{Conditions, Evaluation};
use sparkloft::table::Cell;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;
use sparkloft::window::state::selection::CellSelection;
use sparkloft::window::state::trims_state::TrimsMessage;
use sparkloft::window::views::curve_editor::{CurveOf, point_id};
use sparkloft::wording::fixed;

use super::harness::{Window, sample, sized_window, window};

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

/// Name and place of everything of a role.
fn placed(window: &Window, role: Role) -> Vec<(String, Rect)> {
    let nodes = window.query_all_by_role(role);
    nodes.map(|node| (node.accesskit_node().label().unwrap_or_default(), node.rect())).collect()
}

/// Where grid, cells and scale stand.
fn table_places(window: &Window) -> (Rect, Vec<Rect>, Rect) {
    let cells = placed(window, Role::GridCell).into_iter().map(|(_, rect)| rect).collect();
    (window.get_by_role(Role::Grid).rect(), cells, window.get_by_label_contains("Scale of ").rect())
}

#[test]
fn the_table_stands_where_it_does_on_advance() {
    for name in ["tarn-special", "wren-four", "copse-eight"] {
        for size in [(900.0, 560.0), (1280.0, 800.0), (1366.0, 768.0), (1920.0, 1080.0)] {
            let mut window = sized_window(sample(name), size.into(), 1.0);
            window.run();
            let on_advance = table_places(&window);
            change(&mut window, ScreenMessage::Show(Sheet::Trims));
            for shows_change in [true, false] {
                change(&mut window, TrimsMessage::ShowChange(shows_change));
                let here = table_places(&window);
                assert_eq!(here.0, on_advance.0, "{name} {size:?} grid");
                assert_eq!(here.1, on_advance.1, "{name} {size:?} cells");
                assert_eq!(here.2, on_advance.2, "{name} {size:?} scale");
            }
        }
    }
}

#[test]
fn the_parts_of_the_sum_lead_to_their_curves_and_nothing_moves_with_the_conditions() {
    let mut window = opened(sample("tarn-special"));
    window.get_by_label_contains("Sum at the cell: table ");
    let roles = [Role::Button, Role::TextInput, Role::Slider, Role::GridCell, Role::Heading, Role::Grid];
    let rects = |window: &Window| -> Vec<Rect> {
        roles.iter().flat_map(|role| placed(window, *role)).map(|(_, rect)| rect).collect()
    };
    let before = rects(&window);
    for (coolant_c, air_c) in [(-40.0, -10.0), (110.0, 70.0), (20.0, 45.0)] {
        change(&mut window, TrimsMessage::Coolant(coolant_c));
        change(&mut window, TrimsMessage::Air(air_c));
        assert_eq!(rects(&window), before, "at {coolant_c} and {air_c} °C");
    }
    for (part, of, at_c) in [("Coolant trim: ", CurveOf::CoolantTrim, 20.0), ("Air trim: ", CurveOf::AirTrim, 45.0)] {
        window.get_by_label_contains(part).click();
        window.run();
        let points = of.curve(window.state().document().project()).axis().breakpoints();
        let far = |index: usize| (points[index] - at_c).abs();
        let nearest = (0..points.len()).min_by(|a, b| far(*a).total_cmp(&far(*b))).unwrap();
        assert_eq!(window.ctx.memory(|memory| memory.focused()), Some(point_id(of, nearest)));
    }
    window.get_by_label_contains("Table: ").click();
    window.run();
    assert_eq!(window.state().screen().sheet, Sheet::Advance);
}

#[test]
fn a_curve_out_of_sight_is_scrolled_to() {
    let mut window = sized_window(sample("tarn-special"), (900.0, 560.0).into(), 1.0);
    change(&mut window, ScreenMessage::Show(Sheet::Trims));
    let point = |window: &Window| window.get_by_role_and_label(Role::Slider, "air trim at 40 °C").rect().center().y;
    assert!(point(&window) > 530.0);
    window.get_by_label_contains("Air trim: ").click();
    for _ in 0..4 {
        window.run();
    }
    assert!((50.0..530.0).contains(&point(&window)), "{}", point(&window));
}
