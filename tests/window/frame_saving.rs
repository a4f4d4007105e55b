//! Saving and opening go on beside the frames: what happens meanwhile is neither lost nor mixed up.

use eframe::egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable;
use sparkloft::document::{Document, RecentFiles};
use sparkloft::project::{Project, read, write};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::edits::DocumentEdit;
use sparkloft::window::state::file_jobs::Next;
use sparkloft::window::state::outbox::{Action, FileAction};

use super::frame::{Place, change, click, has, notice};
use super::frame_files::{run, wait_until};
use super::harness::{Window, sample};

/// A window on a saved project with one change that is not in the file.
fn changed(place: &Place) -> Window {
    let mut document = place.untitled();
    document.save_as(&place.path("a.ron")).unwrap();
    let mut window = place.window(document, place.surroundings());
    change(&mut window, "First");
    window
}

fn on_disk(place: &Place) -> Project {
    read(&std::fs::read(place.path("a.ron")).unwrap()).unwrap()
}

fn edit() -> Action {
    Action::Edit("Later".into(), DocumentEdit::set_field("notes", "changed later"))
}

/// Asks for several things in one frame.
fn ask(window: &mut Window, actions: Vec<Action>) {
    for action in actions {
        window.state_mut().ask(action);
    }
    window.step();
}

fn save() -> Action {
    Action::Run(Command::Save)
}

fn leave() -> Action {
    Action::Run(Command::CloseProject)
}

fn is_saved(window: &Window) -> bool {
    notice(window).starts_with("Saved a.ron")
}

#[test]
fn what_is_changed_while_the_file_is_written_stays_unsaved() {
    let place = Place::new();
    let mut window = changed(&place);
    let first = window.state().document().project().clone();
    ask(&mut window, vec![save(), edit()]);
    wait_until(&mut window, is_saved);
    assert!(on_disk(&place) == first && window.state().document().is_changed());
    run(&mut window, Command::Save);
    wait_until(&mut window, |window| !window.state().document().is_changed());
    assert!(on_disk(&place).notes.ends_with(" later"));
    assert!(!has(&window, "changed by another program"), "its own writing is no conflict");
}

#[test]
fn a_second_save_waits_for_the_first_and_says_so() {
    let place = Place::new();
    let mut window = changed(&place);
    ask(&mut window, vec![save(), save()]);
    assert!(notice(&window).contains("being saved") || is_saved(&window), "{}", notice(&window));
    wait_until(&mut window, is_saved);
}

#[test]
fn leaving_waits_for_the_file_and_asks_only_about_what_came_after() {
    let place = Place::new();
    let mut window = changed(&place);
    ask(&mut window, vec![save(), leave()]);
    wait_until(&mut window, |window| window.state().document().path().is_none());
    assert!(on_disk(&place).notes.ends_with('.') && !has(&window, "unsaved changes"));
    let mut window = changed(&place);
    ask(&mut window, vec![save(), edit(), leave()]);
    wait_until(&mut window, |window| has(window, "Before closing the project"));
    assert!(on_disk(&place).notes.ends_with('.') && window.state().document().project().notes.ends_with(" later"));
}

#[test]
fn an_answer_that_meets_anothers_change_is_remembered() {
    let place = Place::new();
    let mut window = changed(&place);
    let mine = window.state().document().project().clone();
    std::fs::write(place.path("a.ron"), write(&sample("copse-eight")).unwrap()).unwrap();
    window.state_mut().ask(leave());
    wait_until(&mut window, |window| has(window, "Before closing the project"));
    window.state_mut().ask(Action::File(FileAction::SaveAndGoOn));
    wait_until(&mut window, |window| has(window, "Overwrite theirs") && !has(window, "Before closing the project"));
    assert!(window.state().document().path().is_some());
    click(&mut window, "Overwrite theirs");
    wait_until(&mut window, |window| window.state().document().path().is_none());
    assert!(on_disk(&place) == mine);
}

#[test]
fn what_is_changed_while_another_project_is_read_is_not_given_up() {
    let place = Place::new();
    let mut other = Document::untitled_in(&place.data(), sample("wren-four"), "x");
    other.save_as(&place.path("other.ron")).unwrap();
    other.close();
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    let open = Action::File(FileAction::Leave(Next::Open(place.path("other.ron"))));
    ask(&mut window, vec![open, edit()]);
    wait_until(&mut window, |window| window.state().document().title() == "other");
    assert!(!window.state().document().is_changed() && !window.state().document().is_read_only());
    click(&mut window, "tarn-special, unsaved");
    assert!(window.state().document().project().notes.ends_with(" later"));
    click(&mut window, "other");
    assert_eq!(RecentFiles::new(&place.data()).list(), [place.path("other.ron")]);
}

#[cfg(unix)]
#[test]
fn a_write_protected_file_is_called_so() {
    use std::os::unix::fs::PermissionsExt;
    let place = Place::new();
    place.untitled().save_as(&place.path("a.ron")).unwrap();
    std::fs::set_permissions(place.path("a.ron"), std::fs::Permissions::from_mode(0o444)).unwrap();
    let document = Document::open_in(&place.data(), &place.path("a.ron")).unwrap();
    let mut window = place.window(document, place.surroundings());
    window.run();
    run(&mut window, Command::Save);
    assert!(notice(&window).contains("the file is write-protected; use Save as"), "{}", notice(&window));
    assert!(window.query_by_label("Save").is_some());
}

#[test]
fn the_panel_for_a_path_tells_what_went_wrong_with_it_and_nothing_else() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    run(&mut window, Command::Redo);
    run(&mut window, Command::SaveAs);
    wait_until(&mut window, |window| has(window, "no file dialog"));
    let count = |window: &Window, words: &str| window.query_all_by_label_contains(words).count();
    assert_eq!(count(&window, "nothing to redo"), 1, "in the status line alone");
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run_ok();
    window.get_by_label("Path").type_text(&place.path("no/b.ron").to_string_lossy());
    window.run_ok();
    window.key_press(Key::Enter);
    wait_until(&mut window, |window| count(window, "does not exist") == 2);
    window.get_by_label("Path").focus();
    window.run_ok();
    window.get_by_label("Path").type_text("x");
    window.run_ok();
    assert_eq!(count(&window, "does not exist"), 0, "another path is not refused yet");
}

#[test]
fn a_file_of_an_older_version_is_told_at_opening_and_at_saving() {
    let place = Place::new();
    let old = include_str!("../frozen/v1/all-accepted-single-seater.ron");
    std::fs::write(place.path("a.ron"), old).unwrap();
    let document = Document::open_in(&place.data(), &place.path("a.ron")).unwrap();
    assert!(!document.is_changed(), "to be read is no change");
    let mut window = place.window(document, place.surroundings());
    assert!(has(&window, "The file has format version 1; when it is saved, it gets version 4."));
    ask(&mut window, vec![save()]);
    wait_until(&mut window, is_saved);
    let told = notice(&window);
    assert!(told.ends_with("; the file had format version 1 and has version 4 now"), "{told}");
    assert!(!has(&window, "format version 1; when"), "it was told");
    assert!(std::fs::read_to_string(place.path("a.ron")).unwrap().starts_with("(\n    format: 4,\n"));
    assert_eq!(on_disk(&place), read(old.as_bytes()).unwrap());
    change(&mut window, "Later");
    ask(&mut window, vec![save()]);
    wait_until(&mut window, |window| !window.state().document().is_changed());
    assert!(!notice(&window).contains("version"), "{}", notice(&window));
}
