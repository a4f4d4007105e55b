//! The locked-timing copy: made from a panel, never in the place of the real project's file, marked everywhere.

use eframe::egui::Key;
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::dialogs::{DialogMessage, Floating};
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;

use super::harness::{Window, sample, window};

fn press(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run();
    window.run();
}

fn locked() -> Window {
    let mut window = window(sample("tarn-special"));
    window.state_mut().ask(Action::Run(Command::LockedTiming));
    window.run();
    window.run();
    window.get_by_label_contains("Ignition voltage can kill");
    window.get_by_label_contains("the cranking advance of 8.0° stands");
    press(&mut window, "Make the copy");
    window.run();
    window
}

#[test]
fn a_copy_opens_without_a_file_and_says_everywhere_what_it_is() {
    let mut window = locked();
    let document = window.state().document();
    assert_eq!((document.path(), document.title().as_str()), (None, "trial-locked-timing-10"));
    assert_eq!(document.project().locked_timing_deg, Some(10.0));
    assert!(document.project().advance.table().values().iter().all(|deg| *deg == 10.0));
    for &sheet in Sheet::ALL {
        window.state_mut().ask(ScreenMessage::Show(sheet));
        window.run();
        window.run();
        window.get_by_label_contains("Locked timing 10°: a copy for the timing light, no map to drive with.");
        window.get_by_label_contains("LOCKED 10° · trial-locked-timing-10");
        window.get_by_label_contains("LOCKED TIMING 10°, no map ·");
    }
    window.state_mut().ask(ScreenMessage::Show(Sheet::Advance));
    window.run();
    window.get_by_label("advance table, locked timing 10°, no map to drive with");
    window.state_mut().ask(ScreenMessage::Show(Sheet::Compare));
    window.run();
    window.run();
    window.get_by_label("base: as opened (locked timing 10°)");
}

#[test]
fn a_copy_of_a_copy_is_refused_with_the_reason() {
    let mut window = locked();
    window.state_mut().ask(Action::Run(Command::LockedTiming));
    window.run();
    let notice = window.state().screen().notice.clone().unwrap();
    assert!(notice.is_error && notice.text.contains("locked-timing copy already"), "{}", notice.text);
}

#[test]
fn unsaved_work_waits_beside_the_copy_which_leads_back_to_it() {
    let mut window = window(sample("tarn-special"));
    window.key_press(Key::R);
    window.run();
    let real = window.state().document().project().clone();
    window.state_mut().ask(Action::Run(Command::LockedTiming));
    window.run();
    window.run();
    press(&mut window, "Make the copy");
    assert_eq!(window.state().document().project().locked_timing_deg, Some(10.0));
    press(&mut window, "Open the real project");
    assert_eq!(window.state().document().project(), &real);
    assert!(window.state().document().is_changed());
}

#[test]
fn an_advance_that_the_clamp_would_move_is_refused() {
    let mut window = window(sample("tarn-special"));
    window.state_mut().ask(DialogMessage::Open(Floating::LockedTiming(80.0)));
    window.run();
    window.run();
    assert!(window.get_by_label("Make the copy").accesskit_node().is_disabled());
}
