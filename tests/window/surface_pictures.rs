//! Pictures of surface and slices in every look and size, written where SPARKLOFT_PICTURES says.

use eframe::egui::{Vec2, vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::drawing::{Camera, Look, View};
use sparkloft::project::Project;
use sparkloft::table::Cell;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::selection::CellSelection;
use sparkloft::window::state::surface_state::{Beside, SurfaceMessage};

use super::harness::{Window, colours, in_look, new_project, pictured, sample, sized_window};

fn show(project: Project, size: Vec2, scale: f32, look: Look) -> Window {
    let mut window = sized_window(project, size, scale);
    let table = window.state().document().project().advance.table().clone();
    let (loads, speeds) = (table.load().len(), table.speed().len());
    window.state_mut().ask(in_look(look));
    let (from, to) = (Cell::new(loads * 9 / 16, speeds * 7 / 16), Cell::new(loads * 11 / 16, speeds / 2));
    window.state_mut().ask(ScreenMessage::Select(CellSelection::block(&table, from, to)));
    window.run();
    window
}

#[test]
fn every_look_and_size_shows_a_surface() {
    let usual = vec2(1280.0, 800.0);
    let shown = [
        ("light", usual, 1.0, Look::Light),
        ("dark", usual, 1.0, Look::Dark),
        ("sunlight", usual, 1.0, Look::Sunlight),
        ("1366x768", vec2(1366.0, 768.0), 1.0, Look::Light),
        ("2x", usual, 2.0, Look::Light),
        ("low", vec2(1280.0, 700.0), 1.0, Look::Dark),
    ];
    for (name, size, scale, look) in shown {
        let mut window = show(sample("tarn-special"), size, scale, look);
        let colors = colours(&pictured(&mut window, &format!("surface-{name}")));
        assert!(colors > 200, "{name}: {colors} colours");
    }
}

#[test]
fn every_table_size_shows_a_surface() {
    for (speeds, loads) in [(2, 2), (8, 8), (64, 64)] {
        let mut window = show(new_project(speeds, loads), vec2(1280.0, 800.0), 1.0, Look::Light);
        let colors = colours(&pictured(&mut window, &format!("surface-{speeds}x{loads}")));
        assert!(colors > 200, "{speeds}x{loads}: {colors} colours");
    }
}

/// The base in its three ways, from every fixed side; a lift in the middle of its drag.
#[test]
fn both_surfaces_and_a_lift_can_be_seen() {
    for (name, style, view) in [
        ("solid", Beside::SolidBase, View::ThreeQuarter),
        ("wire", Beside::WireBase, View::Front),
        ("plan", Beside::Nothing, View::Plan),
        ("side", Beside::SolidBase, View::Side),
    ] {
        let mut window = show(sample("larch-six"), vec2(1280.0, 800.0), 1.0, Look::Light);
        window.state_mut().ask(SurfaceMessage::Beside(style));
        window.state_mut().ask(SurfaceMessage::Look(Camera::view(view)));
        window.run();
        assert!(colours(&pictured(&mut window, &format!("surface-base-{name}"))) > 200);
    }
    let mut window = show(sample("tarn-special"), vec2(1280.0, 800.0), 1.0, Look::Light);
    let from = window.get_by_label("lift 3200 rpm, 56 %").rect().center();
    window.drag_at(from);
    window.hover_at(from - vec2(0.0, 30.0));
    window.hover_at(from - vec2(0.0, 70.0));
    window.run();
    let still = window.state().document().project().advance.table().at(Cell::new(11, 8));
    assert!(still > 28.0, "{still}");
    assert!(colours(&pictured(&mut window, "surface-lift")) > 200);
}
