//! The layers that tint the table: the row of words that chooses one, the strip that is its scale, and what is read out.

use std::path::Path;

use eframe::egui::accesskit::Role;
use eframe::egui::{Rect, Vec2, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use image::RgbaImage;
use sparkloft::document::{DataFolder, Document};
use sparkloft::drawing::Layer;
use sparkloft::project::Project;
use sparkloft::shaping::Tool;
use sparkloft::table::{Cell, Selection};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::compare_state::{BaseChoice, CompareMessage};
use sparkloft::window::state::layer_state::{LayerMessage, command_row};
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::{ScreenMessage, Sheet};
use sparkloft::window::tasks::settings_file::SettingsFile;
use sparkloft::window::workbench::{Surroundings, Workbench};

use super::harness::{
    Window, checked, message, new_project, pause, press, sample, sized_window, value, window, workbench_window,
};

/// What the scale under the table reads.
fn scale(window: &Window) -> String {
    window.get_by_label_contains("Scale of ").accesskit_node().value().unwrap_or_default()
}

fn choose(window: &mut Window, layer: Layer) {
    window.get_by_label(command_row(layer)[0]).click();
    window.run();
    assert_eq!(window.state().screen().layers.layer, layer);
}

fn cropped(picture: &RgbaImage, rect: Rect) -> Vec<u8> {
    let rect = rect.shrink(1.0).round();
    let (x, y, width, height) = (rect.left() as u32, rect.top() as u32, rect.width() as u32, rect.height() as u32);
    image::imageops::crop_imm(picture, x, y, width, height).to_image().into_raw()
}

/// Where the cells, the surface and the scale are.
fn places(window: &Window) -> [Rect; 3] {
    let cells = window.query_all_by_role(Role::GridCell).map(|cell| cell.rect());
    let cells = cells.reduce(|all, cell| all.union(cell)).unwrap();
    let surface = window.get_by_label_contains("surface of advance").rect();
    [cells, surface, window.get_by_label_contains("Scale of ").rect()]
}

#[test]
fn each_word_changes_cells_surface_and_scale_and_moves_none_of_them() {
    for size in [vec2(1280.0, 800.0), vec2(1366.0, 768.0)] {
        let mut window = sized_window(sample("tarn-special"), size, 1.0);
        checked(&mut window);
        let at = places(&window);
        let mut seen: Vec<[Vec<u8>; 3]> = Vec::new();
        let mut read = Vec::new();
        for layer in Layer::ALL {
            choose(&mut window, layer);
            assert_eq!(places(&window), at, "{layer:?}");
            assert!(at[2].height() >= 22.0 && at[2].top() >= at[0].bottom());
            let picture = window.render().unwrap();
            let parts = at.map(|rect| cropped(&picture, rect));
            for before in &seen {
                for (part, name) in [(0, "cells"), (1, "surface"), (2, "scale")] {
                    assert!(parts[part] != before[part], "{layer:?}: {name}");
                }
            }
            seen.push(parts);
            read.push(scale(&window));
        }
        assert_eq!(read[0], "Scale of advance: 8° to 40°, contour lines every 2°");
        assert!(
            read[1].starts_with("Scale of difference: less −") && read[1].contains("0 as in the base"),
            "{}",
            read[1]
        );
        assert!(
            read[2].contains(", 0 straight, ") && read[2].ends_with("hatched: a corner has no chord"),
            "{}",
            read[2]
        );
        assert!(
            read[3].starts_with("Scale of origin: typed, measured, ") && read[3].contains(", faired"),
            "{}",
            read[3]
        );
    }
}

#[test]
fn cells_surface_and_status_line_tell_the_value_of_the_layer() {
    let project = sample("tarn-special");
    let mut window = window(project);
    window.run();
    press(&mut window, "Ctrl+Home 1 2 . 5 Enter Up Right");
    let described = |window: &Window| {
        let cell =
            window.query_all_by_role(Role::GridCell).find(|cell| cell.accesskit_node().is_selected() == Some(true));
        cell.unwrap().accesskit_node().description().unwrap_or_default()
    };
    assert!(!described(&window).contains("difference"));
    choose(&mut window, Layer::Difference);
    assert!(described(&window).contains(", difference "), "{}", described(&window));
    window.get_by_label_contains(" · difference ");
    choose(&mut window, Layer::Curvature);
    assert!(described(&window).contains("°/spacing²"), "{}", described(&window));
    let surface = window.get_by_label_contains("surface of advance").accesskit_node().label().unwrap_or_default();
    assert!(surface.contains(", curvature "), "{surface}");
    press(&mut window, "Ctrl+Home");
    window.get_by_label_contains(" · curvature a corner has no chord");
    choose(&mut window, Layer::Origin);
    window.get_by_label_contains(" · origin typed");
}

/// A base whose rows mean something else has no differences: nothing reads as zero.
#[test]
fn without_a_base_to_compare_with_every_difference_is_unknown() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("other.ron");
    let other: Project = sample("larch-six");
    std::fs::write(&path, sparkloft::project::write(&other).unwrap()).unwrap();
    let mut window = window(sample("tarn-special"));
    window.state_mut().ask(CompareMessage::Base(BaseChoice::File(path)));
    window.state_mut().ask(LayerMessage::Choose(Layer::Difference));
    for _ in 0..200 {
        window.run();
        if window.query_by_label_contains("hatched: not in the base").is_some() {
            window.get_by_label_contains(" · difference not in the base");
            return;
        }
        pause(&window);
    }
    panic!("the scale never told: {}", scale(&window));
}

#[test]
fn the_range_is_fixed_by_numbers_and_follows_the_table_again() {
    let mut window = window(sample("tarn-special"));
    window.run();
    let before = value(&window, 0, 0);
    window.get_by_label("Fixed range of the colours").click();
    window.run();
    assert!(scale(&window).ends_with(", fixed range"), "{}", scale(&window));
    let ends = |window: &Window| window.state().screen().layers.fixed(Layer::Advance);
    assert_eq!(ends(&window), Some((8.0, 40.0)), "as it was, so that nothing changes");
    for (name, typed) in [("range from", "5 Enter"), ("range to", "4 5 Enter")] {
        window.get_by_label(name).focus();
        window.run();
        press(&mut window, typed);
        window.run();
    }
    assert_eq!(ends(&window), Some((5.0, 45.0)));
    assert!(scale(&window).starts_with("Scale of advance: 5° to 45°"), "{}", scale(&window));
    window.get_by_label("range from").focus();
    window.run();
    press(&mut window, "6 0 Enter");
    window.run();
    assert_eq!(ends(&window), Some((5.0, 45.0)));
    assert!(message(&window).contains("is no range"), "{}", message(&window));
    assert_eq!(value(&window, 0, 0), before, "nothing was typed into the table");
    window.get_by_label("Fixed range of the colours").click();
    window.run();
    assert_eq!(scale(&window), "Scale of advance: 8° to 40°, contour lines every 2°");
}

#[test]
fn keys_go_through_the_layers_and_back() {
    let mut window = window(new_project(8, 8));
    window.run();
    let layer = |window: &Window| window.state().screen().layers.layer;
    for expected in [Layer::Difference, Layer::Curvature, Layer::Origin, Layer::Sure, Layer::Advance] {
        window.key_press(eframe::egui::Key::Y);
        window.run();
        assert_eq!(layer(&window), expected);
    }
    for expected in [Layer::Origin, Layer::Advance] {
        window.key_press(eframe::egui::Key::O);
        window.run();
        assert_eq!(layer(&window), expected);
    }
    window.state_mut().ask(Command::Layer(Layer::Origin));
    window.state_mut().ask(Command::FixRange);
    window.run();
    assert!(message(&window).contains("no range to fix"), "{}", message(&window));
}

#[test]
fn compare_has_the_scale_of_differences_and_the_same_range() {
    let mut window = window(sample("tarn-special"));
    window.run();
    choose(&mut window, Layer::Difference);
    let on_advance = scale(&window);
    window.state_mut().ask(ScreenMessage::Show(Sheet::Compare));
    window.run();
    assert_eq!(scale(&window), on_advance);
    window.state_mut().ask(LayerMessage::Range(Layer::Difference, (-7.0, 3.0)));
    window.run();
    let expected = "Scale of difference: less −7°, 0 as in the base, more +3°, fixed range";
    assert_eq!(scale(&window), expected);
    window.state_mut().ask(ScreenMessage::Show(Sheet::Advance));
    window.run();
    assert_eq!(scale(&window), expected);
}

/// Cells of Compare that are lower than the shorter end of an uneven range have that end's tint, like those at it.
#[test]
fn no_cell_of_compare_is_tinted_beyond_the_shorter_end_of_a_fixed_range() {
    let mut window = window(new_project(8, 8));
    window.run();
    let table = window.state().document().project().advance.table().clone();
    for (load, deg) in [(2, -2.0), (4, -6.0), (6, -1.0)] {
        let cell = Selection::cell(&table, Cell::new(load, 3));
        window.state_mut().ask(Action::Shape(Tool::Add { deg }, cell));
        window.run();
    }
    window.state_mut().ask(ScreenMessage::Show(Sheet::Compare));
    window.state_mut().ask(LayerMessage::Range(Layer::Difference, (-2.0, 8.0)));
    window.run();
    window.run();
    let picture = window.render().unwrap();
    let [at, beyond, within] = ["2.0", "6.0", "1.0"].map(|deg| {
        let cell = window.get_by_label_contains(&format!("lowered {deg} degrees")).rect();
        // Beside its number, clear of the region's number and outline.
        *picture.get_pixel(cell.right() as u32 - 6, cell.center().y as u32 - 6)
    });
    assert_eq!(beyond, at);
    assert_ne!(within, at);
}

#[test]
fn the_palette_finds_a_layer_by_its_name_before_what_only_has_that_word() {
    for layer in Layer::ALL {
        let mut window = window(new_project(8, 8));
        window.state_mut().ask(Command::Finder);
        window.run();
        window.get_by_label("Search commands").type_text(layer.name());
        window.run();
        press(&mut window, "Enter");
        assert_eq!(window.state().screen().layers.layer, layer);
    }
}

fn remembering(settings: &Path) -> Window {
    let document = Document::untitled_in(&DataFolder::none(), new_project(8, 8), "trial");
    let surroundings = Surroundings { settings: SettingsFile::at(settings), ..Surroundings::none() };
    workbench_window(Workbench::within(document, surroundings), Vec2::new(1280.0, 800.0), 1.0)
}

#[test]
fn the_layer_and_its_range_are_kept_for_the_next_time() {
    let folder = tempfile::tempdir().unwrap();
    let settings = folder.path().join("settings.ron");
    let mut window = remembering(&settings);
    window.run();
    choose(&mut window, Layer::Curvature);
    window.state_mut().ask(LayerMessage::Range(Layer::Curvature, (-2.0, 2.5)));
    window.run();
    window.run();
    drop(window);
    let window = remembering(&settings);
    let layers = &window.state().screen().layers;
    assert_eq!((layers.layer, layers.fixed(Layer::Curvature)), (Layer::Curvature, Some((-2.0, 2.5))));
}
