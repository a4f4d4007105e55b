//! The Evidence sheet: from readings to points, and from points into the table.

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::project::{Origin, PointKind, Project};
use sparkloft::table::Cell;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::edits::DocumentEdit;
use sparkloft::window::state::evidence_state::{EvidenceMessage, SweptPoint};
use sparkloft::window::state::inspector_state::{FairClause, InspectorMessage, Proposer};
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::{ScreenMessage, Sheet};
use sparkloft::window::state::selection::CellSelection;
use sparkloft::worksheet::SWEEP_THRESHOLDS;

use super::column::texts;
use super::harness::{Window, at_rest, message, new_project, sample, save, sized_window, window};

const DAY: &str = include_str!("../../sample-projects/dyno-day.csv");

fn ask(window: &mut Window, action: impl Into<Action>) {
    window.state_mut().ask(action);
    settle(window);
}

/// Waits for the window to rest, and for the sweeps to be judged where they are shown: a thread does that.
fn settle(window: &mut Window) {
    for _ in 0..500 {
        assert!(at_rest(window));
        let waits = window.state().screen().sheet == Sheet::Evidence && !project(window).evidence.sweeps.is_empty();
        if !waits || !frames(window).is_empty() {
            return;
        }
    }
    panic!("the sweeps were not judged");
}

/// The sheet of a project, once its sweeps are judged.
fn evidence(project: Project) -> Window {
    let mut window = window(project);
    ask(&mut window, ScreenMessage::Show(Sheet::Evidence));
    window
}

fn project(window: &Window) -> &Project {
    window.state().document().project()
}

fn paste(window: &mut Window, text: &str) {
    window.event(Event::Paste(text.into()));
    settle(window);
}

fn frames(window: &Window) -> Vec<String> {
    let named = |node: &egui_kittest::Node<'_>| node.accesskit_node().label().unwrap_or_default();
    let all = window.query_all_by_role(Role::Button).map(|node| named(&node));
    let mut frames: Vec<String> = all.filter(|name| name.starts_with("Sweep at ")).collect();
    frames.sort();
    frames.dedup();
    frames
}

#[test]
fn an_empty_sheet_says_how_to_begin_and_pasted_rows_begin_it() {
    let mut window = evidence(new_project(12, 12));
    assert!(window.query_by_label_contains("Hold speed and load on the brake").is_some());
    paste(&mut window, DAY);
    assert!(window.query_by_label_contains("14 points: 11 known, 2 limited by knock, 1 open").is_some());
    assert_eq!(frames(&window).len(), 14);
    assert_eq!(project(&window).evidence.sweeps[0].readings.len(), 196);
    assert!(window.query_all_by_label_contains("Best torque at").next().is_some(), "the first is shown in words");
    window.state_mut().ask(Command::Undo);
    assert!(at_rest(&mut window));
    assert!(project(&window).evidence.is_empty());
}

#[test]
fn what_is_no_sweep_is_refused_and_changes_nothing() {
    let mut window = evidence(new_project(12, 12));
    let before = project(&window).clone();
    for (text, why) in [
        ("hello", "column"),
        ("speed_rpm,load,advance_deg,torque_nm\n3000,60,20,0\n", "torque_nm"),
        ("speed_rpm,load_kpa,advance_deg,torque_nm\n3000,60,20,90\n", "nothing converts"),
        ("speed_rpm,load,advance_deg\n3000,60,20\n", "torque"),
        ("speed_rpm,load,advance_deg,torque_nm\n3000,sixty,20,90\n", "sixty"),
    ] {
        paste(&mut window, text);
        assert!(message(&window).contains(why), "{text}: {}", message(&window));
        assert!(project(&window).is_same(&before));
    }
}

/// Seven readings, then two more at their place: one point, one step each, and the same rows again are no step at all.
#[test]
fn later_readings_join_the_sweep_that_they_complete() {
    let torques = [110.9, 115.6, 119.1, 122.2, 124.0, 124.9, 124.6, 123.6, 121.3];
    let rows = |range: std::ops::Range<usize>| {
        let row = |at: usize| format!("3000,60,{},{}\n", 14 + 3 * at, torques[at]);
        String::from("speed_rpm,load,advance_deg,torque_nm\n") + &range.map(row).collect::<String>()
    };
    let mut window = evidence(new_project(12, 12));
    paste(&mut window, &rows(0..7));
    paste(&mut window, &rows(7..9));
    let joined = "2 readings pasted. 2 readings join the sweep at 3000 rpm, 60 % (pasted readings).";
    assert_eq!(message(&window), joined);
    assert_eq!(frames(&window).len(), 1);
    let row = "Reading 2 of pasted readings 2: 38.0°";
    window.get_by_label_contains(row).click();
    assert!(at_rest(&mut window));
    let left_out = |window: &Window| project(window).evidence.sweeps[1].readings[1].left_out.clone();
    assert_eq!(left_out(&window).as_deref(), Some("left out by hand"));
    let steps = window.state().document().steps().len();
    paste(&mut window, &rows(0..9));
    assert!(message(&window).contains("has these readings already"), "{}", message(&window));
    assert_eq!(window.state().document().steps().len(), steps);
    for left in [2, 1, 0] {
        window.state_mut().ask(Command::Undo);
        assert!(at_rest(&mut window));
        assert_eq!(project(&window).evidence.sweeps.len(), left);
    }
}

#[test]
fn a_limit_of_sweeps_is_set_with_those_of_the_checks() {
    let mut window = evidence(sample("tarn-special"));
    assert!(window.query_by_label_contains("14 points: 11 known").is_some());
    ask(&mut window, ScreenMessage::Show(Sheet::Checks));
    let field = window.get_by_role_and_label(Role::SpinButton, "Best torque is known to ±, at most");
    assert_eq!(field.accesskit_node().numeric_value(), Some(1.5));
    let threshold = SWEEP_THRESHOLDS.iter().find(|own| own.name == "sweep_half_width_deg").unwrap();
    ask(&mut window, Action::Edit("x".into(), DocumentEdit::SetThreshold(threshold, 0.3, String::new())));
    ask(&mut window, ScreenMessage::Show(Sheet::Evidence));
    for _ in 0..500 {
        assert!(at_rest(&mut window));
        if window.query_by_label_contains("14 points: 11 known").is_none() {
            return;
        }
    }
    panic!("the sweeps were not judged by the new limit");
}

#[test]
fn a_reading_is_left_out_by_a_click_and_counts_again() {
    let mut window = evidence(sample("tarn-special"));
    let reading = |window: &Window| project(window).evidence.sweeps[0].readings[2].left_out.clone();
    let row = "Reading 3: 16.0°";
    window.get_by_label_contains(row).click();
    assert!(at_rest(&mut window));
    assert_eq!(reading(&window).as_deref(), Some("left out by hand"));
    window.get_by_label_contains(row).click();
    assert!(at_rest(&mut window));
    assert_eq!(reading(&window), None);
}

#[test]
fn frames_are_reached_by_keys() {
    let mut window = evidence(sample("tarn-special"));
    let first = frames(&window).into_iter().next().unwrap();
    window.get_all_by_label(&first).next().unwrap().focus();
    window.run();
    window.key_press(Key::ArrowRight);
    window.run();
    let chosen = window.state().screen().evidence.chosen.clone().unwrap();
    assert!(!first.contains(&chosen.point), "{chosen:?}");
    window.key_press(Key::Space);
    window.run();
    assert_eq!(window.state().screen().evidence.gathered.len(), 1);
    window.get_by_label_contains("Take 1 into the points").click();
    assert!(at_rest(&mut window));
    assert!(!project(&window).evidence.points.is_empty());
    assert!(window.state().screen().evidence.gathered.is_empty());
}

/// Twelve sweeps and two more: one is rejected with its reason, the others are taken; the table is fitted, then faired
/// under three demands; a contradiction is met and ended; all of it is undone and done again.
#[test]
fn from_readings_to_a_faired_table_and_back() {
    let mut window = evidence(new_project(16, 16));
    let start = project(&window).clone();
    paste(&mut window, DAY);
    let rejected = SweptPoint { sweep: "pasted readings".into(), point: "5697 rpm, 94 %".into() };
    ask(&mut window, EvidenceMessage::Look(rejected.clone()));
    ask(&mut window, EvidenceMessage::Reject(Some("the oil was too hot".into())));
    window.get_by_label("Reject").click();
    assert!(at_rest(&mut window));
    let point = project(&window).evidence.point(&rejected.point).unwrap();
    assert_eq!((point.in_use, point.note.as_str()), (false, "the oil was too hot"));
    window.get_by_label("Take 13 into the points").click();
    assert!(at_rest(&mut window));
    let points = &project(&window).evidence.points;
    let in_use = points.iter().filter(|point| point.in_use).count();
    assert_eq!((points.len() - in_use, points.iter().filter(|point| point.kind == PointKind::Knock).count()), (1, 2));
    assert_eq!(project(&window).advance, start.advance, "no point is a cell");

    ask(&mut window, ScreenMessage::Show(Sheet::Advance));
    let table = project(&window).advance.table().clone();
    let (first, last) = (Cell::new(0, 0), Cell::new(table.load().len() - 1, table.speed().len() - 1));
    ask(&mut window, ScreenMessage::Select(CellSelection::block(&table, first, last)));
    window.get_by_label_contains("Fit to measured points").click();
    assert!(at_rest(&mut window));
    let fitted = project(&window).advance.clone();
    let count = |origin: Origin| fitted.origins().iter().filter(|own| **own == origin).count();
    assert!((10..256).contains(&count(Origin::Fitted)), "{}", count(Origin::Fitted));

    ask(&mut window, Command::Fairing);
    for clause in [FairClause::NotRising, FairClause::SlopeSpeed] {
        ask(&mut window, InspectorMessage::SwitchClause(clause));
    }
    ask(&mut window, InspectorMessage::SetClause(FairClause::SlopeSpeed, &sparkloft::shaping::FAIR_SLOPE_SPEED, 0.5));
    assert!(at_rest(&mut window));
    assert!(window.query_by_label_contains("cannot all be kept").is_some(), "half a degree is too flat");
    assert_eq!(project(&window).advance, fitted, "nothing is relaxed in silence");
    ask(&mut window, InspectorMessage::SetClause(FairClause::SlopeSpeed, &sparkloft::shaping::FAIR_SLOPE_SPEED, 60.0));
    window.get_by_role_and_label(Role::Button, "Fair").click();
    assert!(at_rest(&mut window));
    let faired = project(&window).clone();
    assert_ne!(faired.advance, fitted);
    let (was, is) = (fitted.table(), faired.advance.table());
    let moved = was.cells().map(|cell| (is.at(cell) - was.at(cell)).abs()).fold(0.0, f64::max);
    assert!(moved <= 1.0 + 1e-9, "{moved}");

    for _ in 0..10 {
        ask(&mut window, Command::Undo);
    }
    assert_eq!(*project(&window), start);
    for _ in 0..10 {
        ask(&mut window, Command::Redo);
    }
    assert_eq!(*project(&window), faired);
}

/// Twenty speeds at twenty loads: what is out of sight is not painted, and comes into sight when the keyboard reaches it.
#[test]
fn of_many_sweeps_those_in_sight_are_painted() {
    let mut rows = "speed_rpm,load,advance_deg,torque_nm\n".to_owned();
    for (speed, load) in (0..20).flat_map(|speed| (0..20).map(move |load| (speed, load))) {
        let (speed_rpm, load) = (1000 + 350 * speed, 5 * load + 4);
        let best_deg = 16.0 + f64::from(speed);
        for by_deg in [-8.0, -4.0, 0.0, 4.0, 8.0] {
            let torque_nm = 100.0 - 0.05 * by_deg * by_deg;
            rows += &format!("{speed_rpm},{load},{},{torque_nm}\n", best_deg + by_deg);
        }
    }
    let mut window = evidence(new_project(12, 12));
    paste(&mut window, &rows);
    assert_eq!(frames(&window).len(), 400);
    let unseen = texts(&window).iter().filter(|text| !text.clip.intersects(text.place)).count();
    assert!(unseen < 40, "{unseen} texts are painted that nobody sees");
    let first = frames(&window).into_iter().next().unwrap();
    window.get_all_by_label(&first).next().unwrap().focus();
    window.run();
    for key in [Key::ArrowDown, Key::ArrowRight] {
        for _ in 0..20 {
            window.key_press(key);
            window.run();
        }
    }
    assert!(at_rest(&mut window));
    let chosen = window.state().screen().evidence.chosen.clone().unwrap().point;
    let frame = window.get_all_by_label_contains(&format!("Sweep at {chosen}")).next().unwrap().rect();
    assert!(window.ctx.content_rect().contains_rect(frame), "{chosen}: {frame:?}");
}

#[test]
fn every_size_has_its_picture() {
    for (name, size) in [("900", (900.0, 560.0)), ("1280", (1280.0, 800.0)), ("1920", (1920.0, 1080.0))] {
        let mut window = sized_window(sample("tarn-special"), size.into(), 1.0);
        ask(&mut window, ScreenMessage::Show(Sheet::Evidence));
        assert_eq!(frames(&window).len(), 14, "{name}");
        save(&mut window, &format!("evidence-{name}"));
    }
}

#[test]
fn a_file_dropped_on_the_sheet_is_read_as_readings() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("may.csv");
    std::fs::write(&path, DAY).unwrap();
    let mut window = evidence(new_project(12, 12));
    window.state_mut().ask(Action::File(sparkloft::window::state::outbox::FileAction::Do(
        sparkloft::window::state::file_jobs::FileJob::ReadSweeps,
        path,
    )));
    settle(&mut window);
    assert_eq!(project(&window).evidence.sweeps[0].name, "may.csv");
    assert!(message(&window).contains("196 readings kept"), "{}", message(&window));
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    assert!(at_rest(&mut window));
    assert!(project(&window).evidence.is_empty());
}

/// A sentence that is pointed at while the panel of demands is open is previewed instead, and the window comes to rest.
#[test]
fn the_panel_of_demands_yields_to_a_sentence_that_is_pointed_at() {
    let mut window = sized_window(sample("tarn-special"), (1920.0, 1080.0).into(), 1.0);
    window.run();
    ask(&mut window, Command::Fairing);
    let proposer = |window: &Window| window.state().screen().proposals.shown.as_ref().map(|shown| shown.by);
    assert_eq!(proposer(&window), Some(Proposer::Fairing));
    window.get_by_label("Fair within ± 1.0, whole table").hover();
    assert!(at_rest(&mut window));
    assert_eq!(proposer(&window), Some(Proposer::Sentence));
    window.get_by_label("Fair under demands").hover();
    assert!(at_rest(&mut window));
    assert_eq!(proposer(&window), Some(Proposer::Fairing));
    window.get_by_role_and_label(Role::Button, "Fair").click();
    assert!(at_rest(&mut window));
    assert_eq!(window.state().document().steps().len(), 2);
    window.get_by_label("See it once more").click();
    assert!(at_rest(&mut window));
    assert_eq!(proposer(&window), Some(Proposer::Fairing));
}
