//! The whole story of the Evidence sheet with the keyboard alone: no event of the pointer is ever sent.

use std::collections::BTreeSet;

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::document::Document;
use sparkloft::drawing::Layer;
use sparkloft::project::{Origin, PointKind, Project};
use sparkloft::shaping::{FAIR_SLOPE_SPEED, FAIR_WITHIN};
use sparkloft::window::state::inspector_state::FairClause;
use sparkloft::window::state::screen::Sheet;
use sparkloft::window::state::surface_state::Beside;

use super::frame::Place;
use super::frame_files::wait_until;
use super::harness::{Window, at_rest, message, new_project, press};

const DAY: &str = include_str!("../../sample-projects/dyno-day.csv");
/// More controls than any sheet with its panel has.
const MOST_TABS: usize = 400;

fn project(window: &Window) -> &Project {
    window.state().document().project()
}

/// The name of what has the keyboard.
fn focused(window: &Window) -> Option<String> {
    window.query_by(|node| node.is_focused() && node.role() != Role::Window)?.accesskit_node().label()
}

/// Goes on by Tab until something has the keyboard whose name begins so.
fn tab_to(window: &mut Window, name: &str) {
    tab_until(window, name, |label| label.starts_with(name));
}

fn tab_until(window: &mut Window, name: &str, is_meant: impl Fn(&str) -> bool) {
    let mut seen = Vec::new();
    for _ in 0..MOST_TABS {
        // In the table Tab goes from cell to cell; F6 leads out of it.
        let in_table = focused(window).is_some_and(|label| label.starts_with("advance "));
        press(window, if in_table { "F6" } else { "Tab" });
        let now = focused(window);
        if now.as_deref().is_some_and(&is_meant) {
            return;
        }
        seen.push(now);
    }
    panic!("no key leads to '{name}': {seen:#?}");
}

fn types(window: &mut Window, text: &str) {
    window.event(Event::Text(text.into()));
    window.run();
}

fn rests(window: &mut Window) {
    assert!(at_rest(window));
}

fn undo_all(window: &mut Window) -> usize {
    (0..99)
        .take_while(|_| is_pressed(window, "Ctrl+Z", |window| window.state().document().undo_label().is_some()))
        .count()
}

/// Presses a key if something is so.
fn is_pressed(window: &mut Window, keys: &str, is_so: impl Fn(&Window) -> bool) -> bool {
    let goes = is_so(window);
    if goes {
        press(window, keys);
    }
    goes
}

#[test]
fn from_pasted_readings_to_a_printed_sheet_without_a_pointer() {
    let place = Place::new();
    let mut window =
        place.window(Document::untitled_in(&place.data(), new_project(16, 16), "trial"), place.surroundings());
    rests(&mut window);
    let start = project(&window).clone();

    go_to(&mut window, Sheet::Evidence);
    window.event(Event::Paste(DAY.into()));
    wait_until(&mut window, |window| window.query_all_by_label_contains("Sweep at ").count() >= 14);
    rests(&mut window);
    walk_the_sweeps(&mut window);
    reject(&mut window, "the oil was too hot");
    take(&mut window);
    assert_eq!(project(&window).advance, start.advance, "no point is a cell");

    go_to(&mut window, Sheet::Advance);
    fit(&mut window);
    how_sure(&mut window);
    let fitted = project(&window).advance.clone();
    demand(&mut window);
    assert_eq!(project(&window).advance, fitted, "nothing is relaxed in silence");
    remedy(&mut window);
    let faired = project(&window).clone();
    assert_ne!(faired.advance, fitted);

    press(&mut window, "Escape");
    let steps = undo_all(&mut window);
    assert_eq!((steps, project(&window)), (5, &start));
    (0..steps).for_each(|_| press(&mut window, "Ctrl+Y"));
    assert_eq!(*project(&window), faired);
    print(&mut window, &place);
}

fn go_to(window: &mut Window, sheet: Sheet) {
    window.key_press_modifiers(Modifiers::ALT, sheet.row().key);
    rests(window);
    assert_eq!(window.state().screen().sheet, sheet);
}

/// Every frame is reached by arrows, and shown large when it is.
fn walk_the_sweeps(window: &mut Window) {
    tab_to(window, "Sweep at ");
    press(window, "Enter");
    let chosen = |window: &Window| window.state().screen().evidence.chosen.clone().unwrap().point;
    let mut seen = BTreeSet::from([chosen(window)]);
    for row in 0..6 {
        for _ in 0..6 {
            press(window, if row % 2 == 0 { "Right" } else { "Left" });
            seen.insert(chosen(window));
        }
        press(window, "Down");
        seen.insert(chosen(window));
    }
    assert_eq!(seen.len(), 14, "{seen:?}");
    // Arrows keep to their row or column, over its gaps.
    for direction in ["Up", "Right", "Up", "Right"] {
        (0..6).for_each(|_| press(window, direction));
    }
    assert_eq!(chosen(window), "5697 rpm, 94 %");
}

fn reject(window: &mut Window, why: &str) {
    tab_to(window, "Reject…");
    press(window, "Enter");
    rests(window);
    assert_eq!(focused(window).unwrap(), "Reason for rejecting");
    types(window, why);
    press(window, "Enter");
    rests(window);
    let point = project(window).evidence.point("5697 rpm, 94 %").unwrap();
    assert_eq!((point.in_use, point.note.as_str()), (false, why));
}

fn take(window: &mut Window) {
    tab_to(window, "Take 13 into the points");
    press(window, "Enter");
    rests(window);
    let points = &project(window).evidence.points;
    let in_use = points.iter().filter(|point| point.in_use).count();
    assert_eq!((points.len() - in_use, points.iter().filter(|point| point.kind == PointKind::Knock).count()), (1, 2));
}

fn fit(window: &mut Window) {
    press(window, "Ctrl+A");
    window.key_press(Key::S);
    window.run();
    tab_to(window, "Fit to measured points");
    press(window, "Enter");
    rests(window);
    let fitted = project(window).advance.origins().iter().filter(|own| **own == Origin::Fitted).count();
    assert!((10..256).contains(&fitted), "{fitted}: {}", message(window));
}

/// As the layer of grid and surface, and as two nets beside the table.
fn how_sure(window: &mut Window) {
    press(window, "Escape");
    let layers = Layer::ALL.iter().position(|layer| *layer == Layer::Sure).unwrap();
    for _ in 0..layers {
        window.key_press(Key::Y);
        window.run();
    }
    rests(window);
    assert_eq!(window.state().screen().layers.layer, Layer::Sure);
    tab_to(window, "How sure the cells are");
    press(window, "Enter");
    rests(window);
    assert_eq!(window.state().screen().surface.chosen_beside, Some(Beside::Sure));
}

/// Three clauses, one of them too hard to keep; Esc gives a number up that is being typed.
fn demand(window: &mut Window) {
    press(window, "Shift+F");
    rests(window);
    tab_to(window, "never rising");
    press(window, "Space");
    tab_to(window, "at most, along speed");
    press(window, "Space");
    rests(window);
    for clause in [FairClause::Within, FairClause::NotRising, FairClause::SlopeSpeed] {
        assert!(window.state().screen().inspector.fairing.has(clause), "{clause:?}");
    }
    let slope = |window: &Window| window.state().screen().inspector.amounts.of(&FAIR_SLOPE_SPEED);
    let before = slope(window);
    press(window, "Tab");
    press(window, "Ctrl+A");
    types(window, "0.5");
    press(window, "Escape");
    rests(window);
    assert_eq!(slope(window), before, "Esc restores the number");
    tab_to(window, "at most, along speed");
    press(window, "Tab");
    press(window, "Ctrl+A");
    types(window, "0.5");
    press(window, "Enter");
    rests(window);
    assert_eq!((slope(window), window.state().screen().inspector.amounts.of(&FAIR_WITHIN)), (0.5, 1.0));
    assert!(window.query_by_label_contains("cannot all be kept").is_some());
}

/// A clause of the contradiction is left out by its button, and the sentence is applied.
fn remedy(window: &mut Window) {
    for _ in 0..4 {
        if window.query_by_label_contains("cannot all be kept").is_none() {
            break;
        }
        tab_to(window, "Leave it out");
        press(window, "Space");
        rests(window);
    }
    assert!(window.query_by_label_contains("cannot all be kept").is_none());
    tab_until(window, "Fair", |label| label == "Fair");
    press(window, "Space");
    rests(window);
}

fn print(window: &mut Window, place: &Place) {
    press(window, "Ctrl+K");
    types(window, "Setup sheet (PDF");
    press(window, "Enter");
    wait_until(window, |window| window.query_by_label("Path").is_some());
    press(window, "Ctrl+A");
    let path = place.path("sheet.pdf");
    types(window, &path.to_string_lossy());
    press(window, "Enter");
    wait_until(window, |_| path.exists());
    assert!(std::fs::read(&path).unwrap().starts_with(b"%PDF"));
}
