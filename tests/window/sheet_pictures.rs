//! Pictures of the sheets with curves and limits, to be looked at: written where `SPARKLOFT_PICTURES` says; otherwise
//! every state is only laid out, which must not panic and must come to rest.

use eframe::egui::Vec2;
use sparkloft::drawing::Look;
use sparkloft::project::{Project, set_fields};
use sparkloft::table::Cell;
use sparkloft::window::state::limits_state::LimitsMessage;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;
use sparkloft::window::state::selection::CellSelection;
use sparkloft::window::state::trims_state::TrimsMessage;

use super::harness::{Window, in_look, new_project, sample, save, sized_window};

fn opened(project: Project, sheet: Sheet, size: (f32, f32), scale: f32, look: Look) -> Window {
    let table = project.advance.table().clone();
    let cursor = Cell::new(table.load().len() / 2, table.speed().len() / 3);
    let mut window = sized_window(project, Vec2::new(size.0, size.1), scale);
    window.state_mut().ask(in_look(look));
    window.state_mut().ask(ScreenMessage::Show(sheet));
    change(&mut window, ScreenMessage::Select(CellSelection::cell(&table, cursor)));
    window
}

fn change(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
    window.run();
}

#[test]
fn every_look_size_and_sample() {
    for sheet in [Sheet::Trims, Sheet::Limits] {
        for look in Look::ALL {
            let mut window = opened(sample("tarn-special"), sheet, (1280.0, 800.0), 1.0, look);
            save(&mut window, &format!("{sheet:?}-{look:?}"));
        }
        for (name, size, scale) in
            [("1366", (1366.0, 768.0), 1.0), ("900", (900.0, 560.0), 1.0), ("double", (1280.0, 800.0), 2.0)]
        {
            let mut window = opened(sample("larch-six"), sheet, size, scale, Look::Light);
            save(&mut window, &format!("{sheet:?}-{name}"));
        }
        let mut window = opened(new_project(64, 64), sheet, (1280.0, 800.0), 1.0, Look::Light);
        save(&mut window, &format!("{sheet:?}-64"));
    }
}

#[test]
fn the_table_with_trims() {
    for look in Look::ALL {
        let mut window = opened(sample("copse-eight"), Sheet::Trims, (1280.0, 800.0), 1.0, look);
        change(&mut window, TrimsMessage::ShowChange(false));
        save(&mut window, &format!("Trims-with-{look:?}"));
    }
}

#[test]
fn limits_out_of_order_and_many_outputs() {
    let outputs = "[(name: \"shift light\", enabled: true, conditions: [(signal: speed, on: 6800, off: 6600)], combine: all, inverted: false, blinks_from_rpm: Some(7000)), (name: \"fan\", enabled: true, conditions: [(signal: coolant, on: 92, off: 88), (signal: speed, on: 600, off: 500)], combine: all, inverted: false, blinks_from_rpm: None), (name: \"butterfly\", enabled: true, conditions: [(signal: speed, on: 4000, off: 3800)], combine: any, inverted: true, blinks_from_rpm: None), (name: \"warning lamp with a long name\", enabled: false, conditions: [], combine: any, inverted: false, blinks_from_rpm: None)]";
    let sets =
        [("outputs", outputs), ("limits.launch.enabled", "true"), ("limits.over_speed.fires_again_below_rpm", "7900")];
    let project = set_fields(&sample("tarn-special"), &sets).unwrap();
    for look in Look::ALL {
        let mut window = opened(project.clone(), Sheet::Limits, (1280.0, 800.0), 1.0, look);
        change(&mut window, LimitsMessage::Open(1));
        save(&mut window, &format!("Limits-many-{look:?}"));
    }
    let mut window = opened(project, Sheet::Limits, (1280.0, 1400.0), 1.0, Look::Light);
    save(&mut window, "Limits-tall");
}
