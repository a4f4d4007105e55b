//! The frame round the sheets: top bar, palette, history, keys, greetings, settings.

use eframe::egui::{self, Key, Modifiers, Vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::document::{DataFolder, Document};
use sparkloft::drawing::Look;
use sparkloft::window::Surroundings;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::edits::DocumentEdit;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::tasks::settings_file::SettingsFile;
use sparkloft::window::workbench::Workbench;
use tempfile::TempDir;

use super::harness::{Window, at_rest, in_look, sample, window, workbench_window};
use sparkloft::wording::Unit;

/// A folder with data and settings of its own.
pub struct Place(pub TempDir);

impl Place {
    pub fn new() -> Self {
        Self(tempfile::tempdir().unwrap())
    }

    pub fn data(&self) -> DataFolder {
        DataFolder::at(self.0.path().join("data"))
    }

    pub fn path(&self, name: &str) -> std::path::PathBuf {
        self.0.path().join(name)
    }

    pub fn surroundings(&self) -> Surroundings {
        let settings = SettingsFile::at(self.path("settings.ron"));
        Surroundings { data: self.data(), settings, ..Surroundings::none() }
    }

    pub fn untitled(&self) -> Document {
        Document::untitled_in(&self.data(), sample("tarn-special"), "tarn-special")
    }

    /// A window on a document in these surroundings.
    pub fn window(&self, document: Document, surroundings: Surroundings) -> Window {
        let workbench = Workbench::within(document, surroundings);
        workbench_window(workbench, Vec2::new(1280.0, 800.0), 1.0)
    }
}

/// Changes the project in one labelled step.
pub fn change(window: &mut Window, label: &str) {
    let notes = format!("{}.", window.state().document().project().notes);
    window.state_mut().ask(Action::Edit(label.into(), DocumentEdit::set_field("notes", notes)));
    window.run();
}

pub fn notice(window: &Window) -> String {
    window
        .state()
        .screen()
        .notice
        .as_ref()
        .map_or_else(String::new, |notice| notice.whole().trim_start_matches("Problem: ").to_owned())
}

pub fn has(window: &Window, label: &str) -> bool {
    window.query_all_by_label_contains(label).next().is_some()
}

pub fn click(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    // A thread may wake the window meanwhile.
    window.run_ok();
}

/// In the sun everything is higher: what does not fit scrolls.
#[test]
fn the_foot_of_a_long_panel_is_seen_in_a_low_window() {
    let place = Place::new();
    for look in Look::ALL {
        let workbench = Workbench::within(place.untitled(), place.surroundings());
        let mut window = workbench_window(workbench, Vec2::new(900.0, 560.0), 1.0);
        window.state_mut().ask(in_look(look));
        window.state_mut().ask(Action::Run(Command::New));
        window.run();
        let foot = window.get_by_label("Start").rect();
        assert!(window.ctx.content_rect().contains_rect(foot), "{look:?}: {foot:?}");
    }
}

#[test]
fn comes_to_rest_and_stays_there() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    change(&mut window, "Set 1 cell to 12.0°");
    assert!(at_rest(&mut window), "something asks for frames for ever");
}

#[test]
fn the_top_bar_stands_still_whatever_it_says() {
    let mut window = window(sample("tarn-special"));
    window.run();
    let places =
        |window: &Window| [Command::Finder.text(), "Save", "Redo"].map(|label| window.get_by_label(label).rect());
    let before = places(&window);
    let long =
        "Limit slope of 256 cells to 12.0° per 1000 rpm and 0.5° per load unit, 3 held cells stayed where they were";
    change(&mut window, long);
    assert_eq!(places(&window), before);
    assert!(has(&window, &format!("Undo {long}")), "whole for who cannot see it");
    let undo = window.get_by_label(&format!("Undo {long}")).rect();
    assert!(undo.right() <= window.get_by_label("Redo").rect().left(), "{undo:?}");
    assert!(has(&window, "trial, unsaved"));
    click(&mut window, &format!("Undo {long}"));
    assert!(has(&window, &format!("Redo {long}")) && !has(&window, "unsaved"));
}

#[test]
fn the_palette_finds_words_in_any_order_and_runs_them() {
    let mut window = window(sample("tarn-special"));
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::K);
    window.run();
    assert!(window.get_by_label("Search commands").is_focused());
    for text in ["dark ", "loo"] {
        window.get_by_label("Search commands").type_text(text);
        window.run();
    }
    window.key_press(Key::Enter);
    window.run();
    assert!(window.state().screen().finder.is_none());
    assert_eq!(
        window.state().screen().look,
        sparkloft::window::state::screen::LookChoice::Fixed(sparkloft::drawing::Look::Dark)
    );
}

#[test]
fn the_palette_says_why_not_and_goes_away_on_escape() {
    let mut window = window(sample("tarn-special"));
    window.run();
    click(&mut window, "Find a command");
    window.get_by_label("Search commands").type_text("redo");
    window.run();
    window.key_press(Key::Enter);
    window.run();
    assert!(notice(&window).contains("nothing to redo"), "{}", notice(&window));
    assert!(window.state().screen().finder.is_some());
    window.key_press(Key::Escape);
    window.run();
    assert!(window.state().screen().finder.is_none());
}

#[test]
fn arrows_move_the_mark_of_the_palette_and_not_the_table() {
    let mut window = window(sample("tarn-special"));
    window.run();
    let cursor = window.state().screen().selection.cursor;
    window.key_press_modifiers(Modifiers::COMMAND, Key::K);
    window.run();
    for (key, row) in [(Key::ArrowDown, 1), (Key::PageDown, 9), (Key::ArrowUp, 8), (Key::PageUp, 0), (Key::ArrowUp, 0)]
    {
        window.key_press(key);
        window.run();
        assert_eq!(window.state().screen().finder.as_ref().unwrap().row, row, "{key:?}");
    }
    assert_eq!(window.state().screen().selection.cursor, cursor);
}

#[test]
fn history_shows_every_step_and_jumps() {
    let mut window = window(sample("tarn-special"));
    for label in ["First", "Second", "Third"] {
        change(&mut window, label);
    }
    window.key_press_modifiers(Modifiers::COMMAND, Key::H);
    window.run();
    assert!(has(&window, "stays as a side branch"));
    let time = sparkloft::window::kit::numbers::time(window.state().document().steps()[1].at);
    click(&mut window, &format!("First, {time}"));
    assert_eq!(window.state().document().current_step(), 1);
    change(&mut window, "Fourth");
    let labels: Vec<_> = window.state().document().steps().iter().map(|step| step.label.clone()).collect();
    assert_eq!(labels, ["New", "First", "Second", "Third", "Fourth"], "nothing but what was done");
    for (aside, label) in [(false, "First"), (true, "Second"), (true, "Third"), (false, "Fourth")] {
        let branch = if aside { ", side branch" } else { "" };
        assert!(has(&window, &format!("{label}{branch}, ")), "{label}");
    }
    click(&mut window, "Close History");
    assert!(!has(&window, "side branch"));
}

/// A number typed, undone and replaced by another elsewhere stays away however often one undoes.
#[test]
fn undo_never_brings_back_what_was_undone_and_replaced() {
    let mut window = window(sample("tarn-special"));
    window.run();
    let start = window.state().document().project().clone();
    let undo = |window: &mut Window| {
        window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
        window.run();
    };
    let type_number = |window: &mut Window, digits: [Key; 2]| {
        for (key, text) in digits.map(|key| (key, key.name())) {
            window.event(egui::Event::Key {
                key,
                physical_key: None,
                pressed: true,
                repeat: false,
                modifiers: Modifiers::NONE,
            });
            window.event(egui::Event::Text(text.into()));
        }
        window.run();
        window.key_press(Key::Enter);
        window.run();
    };
    type_number(&mut window, [Key::Num0, Key::Num5]);
    let five = window.state().document().project().clone();
    assert_ne!(five, start);
    undo(&mut window);
    window.key_press(Key::ArrowDown);
    window.run();
    type_number(&mut window, [Key::Num4, Key::Num4]);
    assert_eq!(window.state().document().steps().len(), 3);
    for _ in 0..4 {
        undo(&mut window);
        assert_eq!(*window.state().document().project(), start);
    }
    assert!(window.state().document().steps().iter().any(|step| step.project == five), "it can be jumped to");
}

#[test]
fn what_changes_nothing_is_refused_in_words() {
    let mut window = window(sample("tarn-special"));
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::D);
    window.run();
    assert_eq!(notice(&window), "Nothing changed: the selected cells are so already");
    window.state_mut().ask(Action::Edit("Nothing".into(), DocumentEdit::SetFields(Vec::new())));
    window.run();
    assert_eq!(notice(&window), "Nothing changed: the project is so already");
    assert!(has(&window, "Problem:") && window.state().document().steps().len() == 1);
    // All that is selected is held.
    for key in [Key::H, Key::R] {
        window.key_press(key);
        window.run();
    }
    assert!(notice(&window).contains("held; release"), "{}", notice(&window));
    assert_eq!(window.state().document().steps().len(), 2);
}

#[test]
fn keys_are_listed_in_groups_and_filtered() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    window.state_mut().ask(Action::Run(Command::Keys));
    window.run();
    window.run();
    let rows = |window: &Window| window.query_all_by_label_contains("Keys of ").count();
    assert_eq!(rows(&window), Command::ALL.len());
    assert!(has(&window, "Selection and clipboard"));
    let filter = |window: &mut Window, text: &str| {
        let field = window.get_by_label("Filter the keys");
        field.focus();
        window.run();
        window.key_press_modifiers(Modifiers::COMMAND, Key::A);
        window.run();
        window.event(egui::Event::Text(text.to_owned()));
        window.run();
        window.run();
    };
    filter(&mut window, "ctrl+y");
    assert!(rows(&window) == 1 && has(&window, "Keys of Redo"));
    filter(&mut window, "Plan");
    assert!(rows(&window) == 1 && has(&window, "Keys of Plan view"));
    filter(&mut window, "looks");
    assert_eq!(rows(&window), 4, "a whole group");
    filter(&mut window, "zzz");
    assert!(rows(&window) == 0 && has(&window, "No command or key has this text."));
}

#[test]
fn keys_are_changed_refused_and_kept() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    window.key_press(Key::F1);
    window.run();
    click(&mut window, "Keys of Undo");
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    window.run();
    assert!(has(&window, "Ctrl+S already runs 'Save'"));
    window.key_press(Key::Num7);
    window.run();
    assert!(has(&window, "7 types a number"));
    window.key_press(Key::F9);
    window.run();
    assert!(!has(&window, "Refused"));
    change(&mut window, "First");
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!(window.state().document().current_step(), 1, "the old keys do nothing");
    window.key_press(Key::F9);
    window.run();
    assert_eq!(window.state().document().current_step(), 0);
    drop(window);
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    window.key_press(Key::F1);
    window.run();
    click(&mut window, "Reset all keys");
    change(&mut window, "First");
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!(window.state().document().current_step(), 0, "as at first");
}

#[test]
fn settings_last_and_a_damaged_file_is_told() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    window.state_mut().ask(Action::Run(Command::LookDark));
    window.run();
    drop(window);
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    assert_eq!(
        window.state().screen().look,
        sparkloft::window::state::screen::LookChoice::Fixed(sparkloft::drawing::Look::Dark)
    );
    drop(window);
    std::fs::write(place.path("settings.ron"), "(look: ").unwrap();
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    assert!(has(&window, "Problem:") && notice(&window).contains("settings.ron"));
    assert_eq!(window.state().screen().look, sparkloft::window::state::screen::LookChoice::System);
}

#[test]
fn the_first_start_greets_and_the_caution_comes_once_for_each_project() {
    let place = Place::new();
    let greeting = || Surroundings { greets: true, ..place.surroundings() };
    let mut window = place.window(place.untitled(), greeting());
    window.run();
    assert!(has(&window, "Caution:") && has(&window, "Three ways on"));
    click(&mut window, "Understood");
    click(&mut window, "Look at the samples…");
    click(&mut window, "Open copse-eight");
    assert_eq!(window.state().document().title(), "copse-eight");
    assert!(has(&window, "Caution:") && !has(&window, "Three ways on"));
    drop(window);
    let mut window = place.window(place.untitled(), greeting());
    window.run();
    assert!(!has(&window, "Caution:") && has(&window, "Three ways on"));
    click(&mut window, "Put away");
    drop(window);
    let mut window = place.window(place.untitled(), greeting());
    window.run();
    assert!(!has(&window, "Caution:") && !has(&window, "Three ways on"));
}

#[test]
fn a_new_project_is_made_in_the_window() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::N);
    window.run();
    assert!(window.get_by_label("Name").is_focused());
    click(&mut window, "6 cylinders");
    click(&mut window, "Pressure, kPa");
    click(&mut window, "boosted");
    click(&mut window, "Confirm Compression");
    click(&mut window, "Start");
    let project = window.state().document().project();
    assert!(project.engine.induction.is_boosted() && project.full_load_line.enabled);
    assert!(!project.is_assumed("engine.induction") && !project.is_assumed("engine.compression_ratio"));
    assert!(project.is_assumed("engine.fuel_octane_ron"));
    assert_eq!((window.state().document().title().as_str(), project.engine.cylinders), ("new car", 6));
    assert_eq!(project.sensors.load.unit(), Unit::Kilopascal);
}

/// A click aimed before a bar comes lands on the same control after it has come, and a bar that stays does not move.
#[test]
fn bars_lie_over_the_sheet_and_move_nothing() {
    let controls = |window: &Window| {
        let contents = window.get_by_label_contains("Hold to lower").rect();
        [window.get_by_label("select the whole table").rect(), contents]
    };
    let place = Place::new();
    let plain = {
        let mut window = place.window(place.untitled(), place.surroundings());
        window.run();
        controls(&window)
    };
    let mut window = place.window(place.untitled(), Surroundings { greets: true, ..place.surroundings() });
    window.run();
    assert!(has(&window, "Caution:") && has(&window, "Three ways on"));
    assert_eq!(controls(&window), plain);
    let caution = window.get_by_label("Understood").rect();
    click(&mut window, "Put away");
    assert!(has(&window, "Caution:") && !has(&window, "Three ways on"));
    assert_eq!(window.get_by_label("Understood").rect(), caution);
}
