//! Pictures of the Export sheet, to be looked at: written where `SPARKLOFT_PICTURES` says; otherwise every state is only
//! laid out, which must not panic and must come to rest.

use eframe::egui::Vec2;
use egui_kittest::kittest::Queryable;
use sparkloft::drawing::Look;
use sparkloft::project::{Project, StartingLayout};
use sparkloft::window::state::export_state::{ExportMessage, Part, Shown};
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;

use super::harness::{Window, in_look, new_project, sample, save, sized_window};

fn opened(project: Project, size: (f32, f32), scale: f32, look: Look) -> Window {
    let mut window = sized_window(project, Vec2::new(size.0, size.1), scale);
    change(&mut window, in_look(look));
    change(&mut window, ScreenMessage::Show(Sheet::Export));
    window
}

fn change(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
    window.run();
}

fn select(window: &mut Window, name: &str) {
    let items = &window.state().document().project().image.items;
    let place = items.iter().position(|item| item.name == name).unwrap();
    let byte = u64::from(items[place].address) + 1;
    change(window, ExportMessage::Select(Part::Item(place), Some(byte)));
}

#[test]
fn looks() {
    for look in Look::ALL {
        let mut window = opened(sample("tarn-special"), (1280.0, 800.0), 1.0, look);
        save(&mut window, &format!("export-{look:?}"));
        select(&mut window, "advance");
        change(&mut window, ExportMessage::Detail(Some((0, 0x300))));
        save(&mut window, &format!("export-{look:?}-item"));
        change(&mut window, ExportMessage::Show(Shown::Numbers));
        save(&mut window, &format!("export-{look:?}-numbers"));
    }
}

#[test]
fn sizes() {
    for (name, size, scale) in [
        ("1366", (1366.0, 768.0), 1.0),
        ("1920", (1920.0, 1080.0), 1.0),
        ("900", (900.0, 560.0), 1.0),
        ("double", (1280.0, 800.0), 2.0),
    ] {
        let mut window = opened(sample("larch-six"), size, scale, Look::Light);
        select(&mut window, "coolant_trim");
        save(&mut window, name);
    }
}

#[test]
fn layouts() {
    for layout in StartingLayout::ALL {
        let project = sample("copse-eight");
        let project = project.edit(|parts| parts.image = layout.layout(project.sensors.load)).unwrap();
        let mut window = opened(project, (1280.0, 800.0), 1.0, Look::Light);
        select(&mut window, "advance_speeds");
        save(&mut window, &format!("export-{layout:?}"));
    }
    let locked = new_project(8, 8).locked_timing(10.0).unwrap();
    let mut window = opened(locked, (1280.0, 800.0), 1.0, Look::Light);
    change(&mut window, ExportMessage::Select(Part::Checksum, None));
    save(&mut window, "export-locked");
    let empty = new_project(8, 8).edit(|parts| parts.image.items.clear()).unwrap();
    let mut window = opened(empty, (1280.0, 800.0), 1.0, Look::Dark);
    change(&mut window, ExportMessage::Show(Shown::Comparison));
    save(&mut window, "export-empty");
}

/// In a narrow window what does not fit beside goes below; it used to be cut at the window's edge.
#[test]
fn what_the_unit_has_keeps_within_a_narrow_window() {
    for look in Look::ALL {
        let mut window = opened(sample("tarn-special"), (900.0, 560.0), 1.0, look);
        change(&mut window, ExportMessage::Show(Shown::Unit));
        let choices = window.get_all_by_label_contains("how the unit has it: not applied");
        let rects: Vec<_> =
            choices.chain([window.get_by_label("Add what is missing")]).map(|node| node.rect()).collect();
        assert!(rects.len() > 3, "{look:?}: {rects:?}");
        assert!(rects.iter().all(|rect| rect.right() <= 900.0), "{look:?}: {rects:?}");
    }
}
