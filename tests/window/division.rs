//! How the Advance sheet is divided: a table that can be seen whole is, and what the user moved is remembered.

use std::path::Path;

use eframe::egui::{Key, Vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::document::{DataFolder, Document};
use sparkloft::drawing::Look;
use sparkloft::window::Surroundings;
use sparkloft::window::state::Sheet;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::Splits;
use sparkloft::window::state::settings::WindowPlace;
use sparkloft::window::tasks::settings_file::SettingsFile;
use sparkloft::window::workbench::Workbench;

use super::harness::{Window, in_look, new_project, sample, sized_window, workbench_window};

fn change(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
    window.run();
    window.run();
}

/// How many cells have a name: those that are seen.
fn cells(window: &Window) -> usize {
    window.query_all_by_role(eframe::egui::Role::GridCell).count()
}

#[test]
fn sixteen_by_sixteen_never_scrolls_with_or_without_a_side_panel() {
    for (width, height) in [(1280.0, 800.0), (1366.0, 768.0), (1920.0, 1080.0)] {
        for look in Look::ALL {
            for name in ["tarn-special", "larch-six"] {
                let mut window = sized_window(sample(name), Vec2::new(width, height), 1.0);
                change(&mut window, in_look(look));
                assert_eq!(cells(&window), 256, "{width} {look:?} {name}");
                change(&mut window, Action::Run(Command::History));
                assert_eq!(cells(&window), 256, "{width} {look:?} {name} with a panel");
            }
        }
    }
}

#[test]
fn a_table_that_scrolls_in_any_case_takes_nothing_from_the_surface() {
    let window = sized_window(new_project(64, 64), Vec2::new(1280.0, 800.0), 1.0);
    let surface = window.get_by_label_contains("surface of advance").rect();
    assert!((surface.width() - 371.0).abs() < 2.0, "{surface:?}");
}

/// A window whose settings are in a file.
fn remembering(settings: &Path) -> Window {
    let document = Document::untitled_in(&DataFolder::none(), new_project(8, 8), "trial");
    let surroundings = Surroundings { settings: SettingsFile::at(settings), ..Surroundings::none() };
    workbench_window(Workbench::within(document, surroundings), Vec2::new(1280.0, 800.0), 1.0)
}

#[test]
fn the_splitters_move_by_keys_and_they_and_the_comb_are_remembered() {
    let folder = tempfile::tempdir().unwrap();
    let settings = folder.path().join("settings.ron");
    let open = || remembering(&settings);
    let mut window = open();
    assert_eq!(window.state().screen().splits, Splits::default());
    let size = |window: &Window, name: &str| window.get_by_label(name).accesskit_node().numeric_value().unwrap();
    let before = ["Width of the surface", "Height of the slices"].map(|name| size(&window, name));
    for (name, key) in [("Width of the surface", Key::ArrowLeft), ("Height of the slices", Key::ArrowUp)] {
        window.get_by_label(name).focus();
        window.run();
        window.key_press(key);
        window.run();
        window.run();
    }
    let splits = window.state().screen().splits;
    let asked = [splits.surface_width, splits.below_height].map(|size| f64::from(size.unwrap()));
    assert_eq!(asked, before.map(|size| size + 16.0));
    assert_eq!(["Width of the surface", "Height of the slices"].map(|name| size(&window, name)), asked);
    assert!(!window.state().screen().slices.hides_comb);
    window.key_press(Key::C);
    window.run();
    drop(window);
    assert_eq!(open().state().screen().splits, splits);
    assert!(open().state().screen().slices.hides_comb, "the comb stays hidden too");
}

#[test]
fn the_window_opens_on_the_sheet_that_it_was_closed_on() {
    let folder = tempfile::tempdir().unwrap();
    let settings = folder.path().join("settings.ron");
    let open = || remembering(&settings);
    let mut window = open();
    change(&mut window, Action::Run(Command::Sheet(Sheet::Limits)));
    let place = WindowPlace { corner: Some((40, 30)), size: (1000, 700), is_maximised: true };
    let ctx = window.ctx.clone();
    window.state_mut().keep_place(&ctx, Some(place));
    drop(window);
    assert_eq!(SettingsFile::at(&settings).read().0.place, Some(place));
    assert_eq!(open().state().screen().sheet, Sheet::Limits);
}

#[test]
fn a_splitter_is_dragged() {
    let mut window = sized_window(new_project(8, 8), Vec2::new(1280.0, 800.0), 1.0);
    let splitter = window.get_by_label("Width of the surface");
    #[expect(clippy::cast_possible_truncation, reason = "points of a screen")]
    let width = splitter.accesskit_node().numeric_value().unwrap() as f32;
    let from = splitter.rect().center();
    window.drag_at(from);
    window.run();
    window.hover_at(from - Vec2::new(60.0, 0.0));
    window.run();
    window.drop_at(from - Vec2::new(60.0, 0.0));
    window.run();
    window.run();
    assert_eq!(window.state().screen().splits.surface_width, Some(width + 60.0));
}
