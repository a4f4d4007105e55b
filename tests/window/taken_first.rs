//! What is typed is taken before a command, and keys go where they belong.

use eframe::egui::{Key, Modifiers, ViewportEvent, ViewportId};
use egui_kittest::kittest::Queryable;
use sparkloft::document::{DataFolder, Document};
use sparkloft::project::read;
use sparkloft::window::Action;
use sparkloft::window::commands::Command;

use super::frame::{Place, change, click, has, notice};
use super::frame_files::{run, wait_until};
use super::harness::{Window, new_project, window};

/// A window on a saved project, on its Engine sheet.
fn on_engine(place: &Place) -> Window {
    let mut document = Document::untitled_in(&place.data(), new_project(4, 4), "trial");
    document.save_as(&place.path("a.ron")).unwrap();
    let mut window = place.window(document, place.surroundings());
    run(&mut window, Command::SheetEngine);
    window
}

fn type_into(window: &mut Window, name: &str, text: &str) {
    let role = eframe::egui::accesskit::Role::TextInput;
    window.get_by_role_and_label(role, name).focus();
    window.run_ok();
    window.event(eframe::egui::Event::Text(text.to_owned()));
    window.run_ok();
}

fn order(project: &sparkloft::project::Project) -> Vec<u8> {
    project.engine.firing_order.clone()
}

#[test]
fn saving_takes_what_is_typed_into_any_box_and_the_keyboard_stays() {
    let place = Place::new();
    let mut window = on_engine(&place);
    let other = if order(window.state().document().project()) == [1, 3, 4, 2] { [1, 2, 4, 3] } else { [1, 3, 4, 2] };
    type_into(&mut window, "Firing order", &other.map(|cylinder| cylinder.to_string()).join("-"));
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    wait_until(&mut window, |window| notice(window).starts_with("Saved"));
    let on_disk = read(&std::fs::read(place.path("a.ron")).unwrap()).unwrap();
    assert_eq!(order(&on_disk), other);
    assert!(!window.state().document().is_changed());
    let role = eframe::egui::accesskit::Role::TextInput;
    assert!(window.get_by_role_and_label(role, "Firing order").is_focused());
}

#[test]
fn nothing_is_saved_without_what_is_refused() {
    let place = Place::new();
    let mut window = on_engine(&place);
    let before = std::fs::read(place.path("a.ron")).unwrap();
    change(&mut window, "First");
    type_into(&mut window, "Firing order", "1-1-1-1");
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    window.run_ok();
    assert!(notice(&window).starts_with("Firing order:"), "{}", notice(&window));
    assert!(window.state().document().is_changed());
    assert_eq!(std::fs::read(place.path("a.ron")).unwrap(), before);
}

#[test]
fn leaving_takes_what_is_typed_and_then_asks() {
    for by_key in [true, false] {
        let place = Place::new();
        let mut window = on_engine(&place);
        type_into(&mut window, "Firing order", "1-2-4-3");
        if by_key {
            window.key_press_modifiers(Modifiers::COMMAND, Key::Q);
        } else {
            let root = window.input_mut().viewports.entry(ViewportId::ROOT).or_default();
            root.events.push(ViewportEvent::Close);
        }
        window.run_ok();
        assert!(has(&window, "has unsaved changes. Before closing the window:"), "by key: {by_key}");
        assert_eq!(order(window.state().document().project()), [1, 2, 4, 3]);
    }
}

#[test]
fn keys_are_waited_for_only_while_their_list_is_open() {
    let mut window = window(new_project(8, 8));
    window.run();
    window.key_press(Key::F1);
    window.run();
    click(&mut window, "Keys of Undo");
    assert!(has(&window, "press keys…") || window.query_by_label("Keys of Undo").is_some());
    click(&mut window, "Close Keys");
    window.key_press(Key::R);
    window.run();
    let document = window.state().document();
    assert!(document.undo_label().is_some_and(|label| label.starts_with("Raise")), "{:?}", document.undo_label());
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!(window.state().document().current_step(), 0, "the keys are as they were");
}

#[test]
fn plain_keys_do_nothing_behind_a_panel_or_a_question() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    let letters = [Key::R, Key::L, Key::H, Key::O];
    let press_all = |window: &mut Window| {
        for key in letters {
            window.key_press(key);
            window.run_ok();
        }
    };
    run(&mut window, Command::OpenSample);
    press_all(&mut window);
    assert_eq!(window.state().document().steps().len(), 1, "{}", notice(&window));
    window.key_press(Key::Escape);
    window.run();
    change(&mut window, "First");
    run(&mut window, Command::Quit);
    press_all(&mut window);
    assert_eq!(window.state().document().steps().len(), 2, "{}", notice(&window));
    click(&mut window, "Cancel");
    window.key_press(Key::R);
    window.run();
    assert_eq!(window.state().document().steps().len(), 3);
}

#[test]
fn a_missing_recovery_copy_is_told_whatever_else_is_said() {
    let document = Document::untitled_in(&DataFolder::none(), new_project(4, 4), "trial");
    let place = Place::new();
    let mut window = place.window(document, place.surroundings());
    window.run();
    assert!(!has(&window, "no recovery copy"), "nothing can be lost yet");
    change(&mut window, "First");
    window.state_mut().ask(Action::Run(Command::DecimalComma));
    window.run();
    assert!(notice(&window).contains("decimal ','") && has(&window, "not saved, no recovery copy"));
}

#[test]
fn what_was_said_goes_with_the_next_key_and_what_went_wrong_stays() {
    let mut window = window(new_project(4, 4));
    run(&mut window, Command::DecimalComma);
    assert!(notice(&window).contains("decimal ','"));
    window.key_press(Key::ArrowRight);
    window.run();
    assert_eq!(notice(&window), "");
    run(&mut window, Command::Redo);
    assert!(notice(&window).contains("nothing to redo"));
    window.key_press(Key::ArrowRight);
    window.run();
    assert!(notice(&window).contains("nothing to redo"));
}
