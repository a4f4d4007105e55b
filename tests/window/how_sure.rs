//! The layer of how sure the cells are of a fit to the measured points, and what a fit tells of its readings.

use eframe::egui::accesskit::Role;
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::drawing::{Layer, Look};
use sparkloft::project::{LoadKind, NewProject, Project};
use sparkloft::table::{Cell, Selection};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::edits::DocumentEdit;
use sparkloft::window::state::layer_state::LayerMessage;
use sparkloft::window::state::outbox::Action;

use super::harness::{Window, in_look, message, pause, pictured, press, sample, window, with_held, with_points};

const LAYER: Command = Command::Layer(Layer::Sure);

fn scale(window: &Window) -> String {
    window.get_by_label_contains("Scale of how sure").accesskit_node().value().unwrap_or_default()
}

/// What a screen reader tells of every cell beside its name.
fn descriptions(window: &Window) -> Vec<String> {
    let cells = window.query_all_by_role(Role::GridCell);
    cells.map(|cell| cell.accesskit_node().description().unwrap_or_default()).collect()
}

fn until_known(window: &mut Window) {
    for _ in 0..600 {
        window.run_ok();
        if !scale(window).contains("not known yet") && !scale(window).contains("being found") {
            return;
        }
        pause(window);
    }
    panic!("it never became known: {}", scale(window));
}

/// A sample with points within its axes only.
fn measured(name: &str) -> Project {
    let within = |project: &Project| {
        let table = project.advance.table().clone();
        project.edit(|parts| parts.evidence.points.retain(|point| point.is_over(&table))).unwrap()
    };
    within(&with_points(&sample(name)))
}

#[test]
fn without_points_every_cell_is_unknown_and_the_scale_says_how_to_get_some() {
    let mut window = window(sample("tarn-special"));
    window.state_mut().ask(LAYER);
    window.run();
    assert_eq!(message(&window), "Grid and surface are tinted by how sure");
    let told = scale(&window);
    assert!(told.contains("hatched: no measured points"), "{told}");
    assert!(told.ends_with("take points from sweeps on the Evidence sheet, or bring them in"), "{told}");
    let cells = descriptions(&window);
    assert_eq!(cells.len(), 256);
    assert!(cells.iter().all(|told| told.contains(", how sure no measured points")), "{}", cells[0]);
    window.get_by_label_contains(" · how sure no measured points");
}

#[test]
fn with_points_every_cell_tells_how_sure_it_is_and_what_it_rests_on() {
    let project = with_held(&with_points(&sample("tarn-special")), 2, 3);
    let mut window = window(project);
    window.run();
    let plain = window.render().unwrap();
    window.state_mut().ask(LAYER);
    window.run_ok();
    until_known(&mut window);
    let cells = descriptions(&window);
    let with = |words: &str| cells.iter().filter(|told| told.contains(words)).count();
    assert_eq!(with(", how sure \u{b1}"), 256 - with(", how sure held"));
    assert!(with(", how sure held") >= 1);
    let [measured, leaning, today] = [", measured", ", leans on measurements", ", today's table"].map(with);
    assert!(measured > 0 && leaning > 0 && today > 100, "{measured} {leaning} {today}");
    let told = scale(&window);
    for words in [
        "about nine times in ten",
        "hatched: held",
        "falling lines in pairs: today's table",
        "level lines: leans on",
        "plain: measured",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    let surface = window.get_by_label_contains("surface of advance").accesskit_node().label().unwrap_or_default();
    assert!(surface.contains(", how sure \u{b1}"), "{surface}");
    for look in [Look::Light, Look::Dark, Look::Sunlight] {
        window.state_mut().ask(in_look(look));
        window.run();
        let picture = pictured(&mut window, &format!("how-sure-{}", format!("{look:?}").to_lowercase()));
        assert!(picture != plain);
    }
    // As it was before: none of that is told.
    window.state_mut().ask(LAYER);
    window.run();
    assert!(descriptions(&window).iter().all(|told| !told.contains("how sure")));
}

/// Found on a thread: the first frame has no answer yet, and after an edit the former one stays until the next is there.
#[test]
fn it_is_never_found_in_the_frame() {
    let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 32, loads: 32 };
    let mut window = window(with_points(&new.create().unwrap()));
    window.run();
    window.state_mut().ask(LayerMessage::Choose(Layer::Sure));
    window.step();
    window.step();
    assert!(scale(&window).contains("hatched: not known yet"), "{}", scale(&window));
    until_known(&mut window);
    let before = scale(&window);
    assert!(!before.contains("hatched"), "{before}");
    let one = Selection::cell(window.state().document().project().advance.table(), Cell::new(30, 30));
    window.state_mut().ask(Action::Shape(sparkloft::shaping::Tool::Hold { measured: false }, one));
    window.step();
    window.step();
    assert!(!scale(&window).contains("hatched"), "the former answer stays: {}", scale(&window));
    for _ in 0..600 {
        window.run_ok();
        if scale(&window).contains("hatched: held") {
            return;
        }
        pause(&window);
    }
    panic!("the held cell never became one: {}", scale(&window));
}

#[test]
fn points_that_come_and_go_are_followed() {
    let mut window = window(with_points(&sample("wren-four")));
    window.state_mut().ask(LAYER);
    window.run_ok();
    until_known(&mut window);
    assert!(scale(&window).contains("plain: measured"));
    let points = &window.state().document().project().evidence.points;
    let out = points.iter().map(|point| (format!("evidence.points[{}].in_use", point.name), "no".to_owned())).collect();
    window.state_mut().ask(Action::Edit("Leave the points out".into(), DocumentEdit::SetFields(out)));
    window.run();
    assert!(scale(&window).contains("hatched: no measured points"), "{}", scale(&window));
    press(&mut window, "Ctrl+Z");
    until_known(&mut window);
    assert!(scale(&window).contains("plain: measured"), "{}", scale(&window));
}

#[test]
fn a_fit_tells_its_cells_its_largest_residual_and_lists_the_others() {
    let mut window = window(measured("tarn-special"));
    window.run();
    press(&mut window, "Ctrl+A");
    window.get_by_label_contains("Fit to measured points").hover();
    for _ in 0..300 {
        window.run_ok();
        if window.query_by_label_contains("Fits ").is_some() {
            break;
        }
        pause(&window);
    }
    let node = window.get_by_label_contains("Fits ");
    let (words, more) = (node.accesskit_node().value(), node.accesskit_node().description());
    let (words, more) = (words.unwrap_or_default(), more.unwrap_or_default());
    assert!(words.starts_with("Fits ") && words.contains(" measured, "), "{words}");
    assert!(words.contains("; largest residual ") && words.ends_with('.'), "{words}");
    assert!(more.contains("Residuals, measured less fitted:\n") && more.contains("between at "), "{more}");
    assert!(!more.contains("left out"), "{more}");
    pictured(&mut window, "how-sure-fit");
    window.get_by_label_contains("Fit to measured points").click();
    window.run();
    assert!(
        message(&window).starts_with("Fit ") && message(&window).contains("; largest residual "),
        "{}",
        message(&window)
    );
}
