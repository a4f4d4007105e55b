//! The panel of breakpoints.

use eframe::egui::{Key, Modifiers, Vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::drawing::Look;
use sparkloft::shaping::Along;
use sparkloft::window::state::inspector_state::Proposer;

use super::harness::{Window, in_look, new_project, pictured, sample, sized_window, window};
use super::inspector::{change_screen, last_step, steps};

fn panel() -> Window {
    let mut window = window(sample("tarn-special"));
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::B);
    window.run();
    window
}

fn axis(window: &Window, along: Along) -> Vec<f64> {
    along.axis(window.state().document().project().advance.table()).breakpoints().to_vec()
}

#[test]
fn looks_right_in_every_look() {
    for (name, look) in [("light", Look::Light), ("dark", Look::Dark), ("sunlight", Look::Sunlight)] {
        let mut window = panel();
        change_screen(&mut window, in_look(look));
        window.run();
        window.get_by_label("Delete speed breakpoint 9").hover();
        window.run();
        pictured(&mut window, &format!("breakpoints-{name}"));
    }
    let mut window = sized_window(sample("wren-four"), Vec2::new(1366.0, 768.0), 1.0);
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::B);
    window.run();
    pictured(&mut window, "breakpoints-1366");
}

#[test]
fn deleting_tells_the_largest_change_and_is_one_step() {
    let mut window = panel();
    let before = axis(&window, Along::Speed);
    window.get_by_label("Delete speed breakpoint 9").hover();
    window.run();
    assert!(window.query_by_label_contains("15 speeds × 16 loads: the surface changes most at").is_some());
    assert_eq!(axis(&window, Along::Speed), before);
    window.get_by_label("Delete speed breakpoint 9").click();
    window.run();
    assert_eq!(last_step(&window), "Delete speed breakpoint 9");
    assert_eq!((axis(&window, Along::Speed).len(), steps(&window)), (15, 2));
}

#[test]
fn inserting_changes_the_surface_nowhere() {
    let mut window = panel();
    let before = window.state().document().project().advance.table().clone();
    window.get_by_label("insert breakpoint at").focus();
    window.run();
    window.get_by_label("insert breakpoint at").type_text("3000");
    window.run();
    assert!(window.query_by_label("17 speeds × 16 loads: the surface changes nowhere.").is_some());
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(last_step(&window), "Insert speed breakpoint 3000");
    let after = window.state().document().project().advance.table().clone();
    assert!(after.speed().index_of(3000.0).is_some());
    assert!((after.lookup(3100.0, 40.0) - before.lookup(3100.0, 40.0)).abs() < 1e-9);
}

#[test]
fn an_image_without_room_is_told_before_it_is_applied_and_with_what_was_done() {
    // Items so close that the 8 × 8 cells fill all there is up to the next.
    let tight = new_project(8, 8).edit(|parts| {
        for (index, item) in parts.image.items.iter_mut().enumerate() {
            item.address = parts.image.start + u32::try_from(index).unwrap() * 128;
        }
    });
    let mut window = window(tight.unwrap());
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::B);
    window.run();
    window.get_by_label("insert breakpoint at").focus();
    window.run();
    window.get_by_label("insert breakpoint at").type_text("3100");
    window.run();
    let told = "9 speeds × 8 loads: the surface changes nowhere. The image has no room for the larger table: ";
    assert!(window.query_by_label_contains(told).is_some());
    window.key_press(Key::Enter);
    window.run();
    let notice = window.state().screen().notice.clone().unwrap();
    assert!(notice.text.starts_with("Insert speed breakpoint 3100; the image has no room"), "{}", notice.text);
    assert!(!notice.is_error, "it is no problem, but something to know");
}

#[test]
fn a_breakpoint_is_moved_keeping_what_was_chosen() {
    let mut window = panel();
    let values = window.state().document().project().advance.table().values().to_vec();
    window.get_by_label("the numbers").click();
    window.run();
    window.get_by_label("speed breakpoint 2").focus();
    window.run();
    window.get_by_label("speed breakpoint 2").type_text("850");
    window.run();
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(axis(&window, Along::Speed)[1], 850.0);
    assert_eq!(window.state().document().project().advance.table().values(), values);
    assert!(last_step(&window).ends_with("keeping the numbers"), "{}", last_step(&window));
}

#[test]
fn a_breakpoint_that_passes_its_neighbour_is_refused_by_name() {
    let mut window = panel();
    window.get_by_label("speed breakpoint 2").focus();
    window.run();
    window.get_by_label("speed breakpoint 2").type_text("400");
    window.run();
    assert!(window.query_by_label_contains("speed: breakpoint 2 (400) is not above the one before it (500)").is_some());
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(steps(&window), 1);
}

#[test]
fn all_breakpoints_are_replaced_by_a_list() {
    let mut window = panel();
    window.get_by_label("Loads, %").click();
    window.run();
    window.get_by_label("all load breakpoints").focus();
    window.run();
    window.get_by_label("all load breakpoints").type_text("0 2,5 10 50 100");
    window.run();
    assert!(window.query_by_label_contains("16 speeds × 5 loads").is_some());
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(axis(&window, Along::Load), [0.0, 2.5, 10.0, 50.0, 100.0]);
    assert_eq!(last_step(&window), "New breakpoints, 16 × 5, keeping the surface");
}

#[test]
fn resizing_proposes_breakpoints() {
    let mut window = panel();
    window.get_by_label("number of speeds").focus();
    window.run();
    window.get_by_label("number of speeds").type_text("12");
    window.run();
    assert!(window.query_by_label_contains("12 speeds × 16 loads").is_some());
    window.get_by_label("Resize").click();
    window.run();
    assert_eq!((axis(&window, Along::Speed).len(), steps(&window)), (12, 2));
    // The cursor is where there is a cell.
    assert!(window.state().screen().selection.cells.fits(window.state().document().project().advance.table()));
}

#[test]
fn closing_the_panel_takes_its_preview_away() {
    let mut window = panel();
    window.get_by_label("Delete speed breakpoint 9").hover();
    window.run();
    assert!(window.state().screen().proposals.shown.is_some());
    window.key_press_modifiers(Modifiers::COMMAND, Key::B);
    window.run();
    // The pointer is now over the inspector, which may propose something of its own.
    let shown = window.state().screen().proposals.shown.as_ref();
    assert!(shown.is_none_or(|proposal| proposal.by != Proposer::Breakpoints));
    assert_eq!(steps(&window), 1);
}
