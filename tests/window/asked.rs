//! Questions that stay until they are answered, what breaks off, and what a start finds in its folders.

use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use eframe::egui::{self, Key, Modifiers, ViewportEvent, ViewportId};
use egui_kittest::kittest::Queryable;
use sparkloft::document::Document;
use sparkloft::window::Surroundings;
use sparkloft::window::state::commands::Command;

use super::frame::{Place, change, click, has, notice};
use super::frame_files::{answering, run, wait_until};
use super::harness::Window;

const QUESTION: &str = "has unsaved changes. Before closing the window:";

fn close(window: &mut Window) {
    let root = window.input_mut().viewports.entry(ViewportId::ROOT).or_default();
    root.events.push(ViewportEvent::Close);
    window.run_ok();
}

/// A window that is asked to close with a change unsaved, and asks back.
fn asking(place: &Place) -> Window {
    let mut window = place.window(place.untitled(), place.surroundings());
    change(&mut window, "First");
    close(&mut window);
    assert!(has(&window, QUESTION));
    window
}

fn save_has_keyboard(window: &Window) -> bool {
    window.query_all_by_label("Save").any(|button| button.is_focused())
}

#[test]
fn nothing_but_an_answer_takes_the_question_away() {
    let place = Place::new();
    let mut window = asking(&place);
    for _ in 0..2 {
        window.key_press(Key::Escape);
        window.run();
        assert!(has(&window, QUESTION) && save_has_keyboard(&window));
    }
    for (modifiers, key) in [(Modifiers::COMMAND, Key::O), (Modifiers::COMMAND, Key::N)] {
        window.key_press_modifiers(modifiers, key);
        window.run_ok();
        assert!(has(&window, QUESTION) && !has(&window, "Path"), "{key:?}");
    }
    for command in [Command::Open, Command::SaveAs, Command::New, Command::OpenSample, Command::ImportTable] {
        run(&mut window, command);
        assert!(has(&window, QUESTION), "{command:?}");
        assert!(notice(&window).contains("answer first whether the changes are to be saved"), "{}", notice(&window));
    }
    // A file last worked on, from the list of commands.
    window.state_mut().ask(sparkloft::window::state::outbox::Action::File(
        sparkloft::window::state::outbox::FileAction::Leave(sparkloft::window::state::file_jobs::Next::Sample(1)),
    ));
    window.run_ok();
    assert!(has(&window, QUESTION) && notice(&window).contains("Answer the question above first"));
    close(&mut window);
    assert!(has(&window, QUESTION));
    click(&mut window, "Cancel");
    assert!(!has(&window, QUESTION) && window.state().document().is_changed());
}

#[test]
fn giving_the_path_up_asks_again() {
    let place = Place::new();
    let mut window = asking(&place);
    window.key_press(Key::Enter);
    wait_until(&mut window, |window| has(window, "no file dialog"));
    assert!(!has(&window, QUESTION));
    window.key_press(Key::Escape);
    window.run_ok();
    assert!(has(&window, QUESTION) && !has(&window, "no file dialog"));
    // The same where the system's dialog is given up.
    let slow: sparkloft::window::tasks::paths::Chooser = Arc::new(|_| {
        std::thread::sleep(Duration::from_millis(400));
        None
    });
    let place = Place::new();
    let mut window = place.window(place.untitled(), Surroundings { chooser: slow, ..place.surroundings() });
    change(&mut window, "First");
    close(&mut window);
    window.key_press(Key::Enter);
    window.run_ok();
    assert!(!has(&window, QUESTION));
    wait_until(&mut window, |window| has(window, QUESTION));
}

#[test]
fn a_save_that_fails_before_going_on_asks_again() {
    let place = Place::new();
    let chooser = answering(place.path("no/such/folder.ron"));
    let mut window = place.window(place.untitled(), Surroundings { chooser, ..place.surroundings() });
    change(&mut window, "First");
    close(&mut window);
    window.key_press(Key::Enter);
    wait_until(&mut window, |window| has(window, QUESTION));
    assert!(notice(&window).contains("does not exist"), "{}", notice(&window));
}

#[test]
fn while_a_path_is_typed_nothing_else_goes_on() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    change(&mut window, "First");
    run(&mut window, Command::SaveAs);
    wait_until(&mut window, |window| has(window, "no file dialog"));
    let before = window.state().screen().selection.clone();
    let steps = (window.state().document().steps().len(), window.state().document().current_step());
    for (modifiers, key) in [
        (Modifiers::COMMAND, Key::Z),
        (Modifiers::COMMAND, Key::O),
        (Modifiers::ALT, Key::ArrowUp),
        (Modifiers::ALT, Key::Num5),
    ] {
        window.key_press_modifiers(modifiers, key);
        window.run_ok();
        assert!(has(&window, "no file dialog") && window.get_by_label("Path").is_focused(), "{key:?}");
    }
    let cell = egui::pos2(300.0, 400.0);
    window.hover_at(cell);
    window.run_ok();
    for pressed in [true, false] {
        let modifiers = Modifiers::NONE;
        window.event(egui::Event::PointerButton {
            pos: cell,
            button: egui::PointerButton::Primary,
            pressed,
            modifiers,
        });
        window.run_ok();
    }
    let document = window.state().document();
    assert_eq!((document.steps().len(), document.current_step()), steps);
    assert_eq!(window.state().screen().selection.cells, before.cells);
    assert!(has(&window, "no file dialog"));
    close(&mut window);
    assert!(has(&window, QUESTION) && !has(&window, "no file dialog"), "closing asks instead");
}

#[test]
fn a_file_dialog_that_breaks_off_frees_the_window() {
    let place = Place::new();
    let broken: sparkloft::window::tasks::paths::Chooser = Arc::new(|_| std::panic::resume_unwind(Box::new("broken")));
    let mut window = place.window(place.untitled(), Surroundings { chooser: broken, ..place.surroundings() });
    window.run();
    run(&mut window, Command::Open);
    wait_until(&mut window, |window| has(window, "The system's file dialog broke off: type the path."));
    assert!(notice(&window).contains("broken off by a mistake in this program"), "{}", notice(&window));
    window.key_press(Key::Escape);
    window.run_ok();
    run(&mut window, Command::Open);
    wait_until(&mut window, |window| has(window, "The system's file dialog broke off: type the path."));
}

#[test]
fn a_recovered_copy_of_the_open_file_is_not_read_only() {
    let place = Place::new();
    let path = place.path("a.ron");
    let mut document = place.untitled();
    document.save_as(&path).unwrap();
    document.apply("Name", None, |project| project.edit(|parts| parts.name = "unsaved".into())).unwrap();
    drop(document);
    let named = Document::open_in(&place.data(), &path).unwrap();
    let mut window = place.window(named, Surroundings { greets: true, ..place.surroundings() });
    wait_until(&mut window, |window| has(window, "Open the copy"));
    click(&mut window, "Open the copy");
    wait_until(&mut window, |window| window.state().document().project().name == "unsaved");
    assert_eq!((window.state().document().read_only(), window.state().document().note()), (None, None));
    run(&mut window, Command::Save);
    wait_until(&mut window, |window| !window.state().document().is_changed());
    assert!(std::fs::read_to_string(&path).unwrap().contains("unsaved"));
    assert!(Document::open_in(&place.data(), &path).unwrap().is_read_only(), "the lock is this window's");
}

#[test]
fn a_file_that_cannot_be_opened_at_the_start_is_told_in_the_window() {
    let place = Place::new();
    let mut workbench = sparkloft::window::workbench::Workbench::within(place.untitled(), place.surroundings());
    workbench.tell_not_opened("/cars/bad.ron: line 3: no such field".into());
    let mut window = super::harness::workbench_window(workbench, egui::Vec2::new(1280.0, 800.0), 1.0);
    window.run();
    assert!(has(&window, "Not opened: /cars/bad.ron: line 3: no such field") && has(&window, "Open another"));
    click(&mut window, "Put away");
    assert!(!has(&window, "Not opened"));
}

#[cfg(unix)]
#[test]
fn a_start_waits_for_nothing_odd_in_its_folders_and_tells_of_it() {
    let place = Place::new();
    let pipe = |path: PathBuf| assert!(std::process::Command::new("mkfifo").arg(path).status().unwrap().success());
    for folder in ["data/recovery", "data/locks"] {
        std::fs::create_dir_all(place.path(folder)).unwrap();
    }
    pipe(place.path("settings.ron"));
    std::os::unix::fs::symlink("/dev/zero", place.path("data/recent-files")).unwrap();
    pipe(place.path("data/recovery/1-1-1.ron"));
    std::fs::File::create(place.path("data/recovery/2-2-2.ron")).unwrap().set_len(1 << 40).unwrap();
    let mut window = place.window(place.untitled(), Surroundings { greets: true, ..place.surroundings() });
    window.run();
    assert!(notice(&window).contains("settings.ron: the settings cannot be read"), "{}", notice(&window));
    wait_until(&mut window, |window| has(window, "A recovery copy cannot be read (1 of 2)"));
    window.query_all_by_label("Put away").next().unwrap().click();
    window.run_ok();
    assert!(!has(&window, "cannot be read (1"));
}

#[test]
fn a_copy_that_cannot_be_written_wakes_the_window() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    std::fs::create_dir_all(place.path("data")).unwrap();
    std::fs::write(place.path("data/recovery"), "in the way").unwrap();
    window.run_ok();
    let wakings = Arc::new(AtomicUsize::new(0));
    let count = wakings.clone();
    window.ctx.set_request_repaint_callback(move |_| _ = count.fetch_add(1, Ordering::SeqCst));
    // Draws only when somebody woke the window, as the real one does; others than the copy's writer may wake it too.
    let woken_until = |window: &mut Window, is_seen: &dyn Fn(&Window) -> bool| {
        let (began, mut drawn_for) = (Instant::now(), 0);
        while !is_seen(window) {
            assert!(began.elapsed() < Duration::from_secs(60), "nobody wakes the window");
            match wakings.load(Ordering::SeqCst) {
                now if now == drawn_for => std::thread::sleep(Duration::from_millis(5)),
                now => {
                    drawn_for = now;
                    window.run_ok();
                }
            }
        }
    };
    change(&mut window, "First");
    let is_told = |window: &Window| has(window, "not saved, no recovery copy");
    woken_until(&mut window, &is_told);
    std::fs::remove_file(place.path("data/recovery")).unwrap();
    woken_until(&mut window, &|window| !is_told(window));
}
