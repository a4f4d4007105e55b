//! Pictures of merging, to be looked at, and golden ones in every look.

use eframe::egui::Vec2;
use egui_kittest::kittest::Queryable;
use sparkloft::drawing::Look;
use sparkloft::window::state::outbox::Action;

use super::golden::hold_against;
use super::harness::{Window, in_look, save, until};
use super::merge::{merging, merging_sized};

fn change(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
    window.run();
    window.run();
}

#[test]
fn every_look() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = merging(folder.path());
    window.get_by_label("Ceiling, mine: 44.0°").click();
    until(&mut window, |window| window.query_by_label_contains("1 of 2 conflicts to be decided").is_some());
    for look in Look::ALL {
        change(&mut window, in_look(look));
        hold_against(&mut window, &format!("merge-{look:?}.png").to_lowercase());
        save(&mut window, &format!("merge-{look:?}"));
    }
}

#[test]
fn every_size() {
    let folder = tempfile::tempdir().unwrap();
    for (name, size, scale) in
        [("1366", (1366.0, 768.0), 1.0), ("900", (900.0, 560.0), 1.0), ("double", (1280.0, 800.0), 2.0)]
    {
        let mut window = merging_sized(folder.path(), Vec2::new(size.0, size.1), scale);
        save(&mut window, name);
    }
}
