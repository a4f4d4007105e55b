//! Opening, saving, leaving, and what others do to the file.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, mpsc};
use std::thread;
use std::time::{Duration, Instant};

use eframe::egui::{self, Key, Modifiers, ViewportEvent, ViewportId};
use egui_kittest::kittest::Queryable;
use sparkloft::document::{Document, RecentFiles};
use sparkloft::project::{read, write};
use sparkloft::window::Surroundings;
use sparkloft::window::state::Sheet;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::compare_state::BaseChoice;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::tasks::paths::Chooser;

use super::frame::{Place, change, click, has, notice};
use super::harness::{Window, at_rest, pause, sample};

/// Runs frames until something is so. Threads of the window take their time.
pub fn wait_until(window: &mut Window, is_so: impl Fn(&Window) -> bool) {
    let began = Instant::now();
    loop {
        window.run_ok();
        if is_so(window) {
            return;
        }
        assert!(began.elapsed() < Duration::from_secs(30), "it never came to be; notice: {}", notice(window));
        pause(window);
    }
}

pub fn run(window: &mut Window, command: Command) {
    window.state_mut().ask(Action::Run(command));
    // Saving wakes the watcher of the file, whenever that is.
    window.run_ok();
}

/// A dialog that answers with a path.
pub fn answering(path: PathBuf) -> Chooser {
    Arc::new(move |_| Some(path.clone()))
}

fn saved(place: &Place, name: &str) -> PathBuf {
    let mut document = place.untitled();
    document.save_as(&place.path(name)).unwrap();
    document.close();
    place.path(name)
}

fn open(place: &Place, path: &Path) -> Window {
    let document = Document::open_in(&place.data(), path).unwrap();
    let mut window = place.window(document, place.surroundings());
    window.run();
    window
}

/// A changed project whose file another program has changed too, as the window has noticed.
fn changed_on_both_sides(place: &Place) -> (PathBuf, Window) {
    let path = saved(place, "a.ron");
    let mut window = open(place, &path);
    change(&mut window, "Mine");
    std::fs::write(&path, other_text()).unwrap();
    wait_until(&mut window, |window| has(window, "a.ron was changed by another program"));
    (path, window)
}

fn other_text() -> String {
    write(&sample("copse-eight")).unwrap()
}

#[test]
fn saving_asks_for_a_name_once() {
    let place = Place::new();
    let chooser = answering(place.path("mine"));
    let mut window = place.window(place.untitled(), Surroundings { chooser, ..place.surroundings() });
    change(&mut window, "First");
    run(&mut window, Command::Save);
    wait_until(&mut window, |window| !window.state().document().is_changed());
    assert_eq!(window.state().document().path(), Some(&*place.path("mine.ron")));
    change(&mut window, "Second");
    run(&mut window, Command::Save);
    wait_until(&mut window, |window| !window.state().document().is_changed());
    assert!(notice(&window).starts_with("Saved mine.ron at"), "{}", notice(&window));
    assert_eq!(RecentFiles::new(&place.data()).list(), [place.path("mine.ron")]);
}

#[test]
fn without_a_file_dialog_the_path_is_typed_and_replacing_is_asked() {
    let place = Place::new();
    let path = saved(&place, "b.ron");
    let mut window = place.window(place.untitled(), place.surroundings());
    change(&mut window, "First");
    run(&mut window, Command::Save);
    wait_until(&mut window, |window| has(window, "no file dialog"));
    let field = window.get_by_label("Path");
    assert!(field.is_focused());
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    window.get_by_label("Path").type_text(&path.to_string_lossy());
    window.run();
    window.key_press(Key::Enter);
    wait_until(&mut window, |window| has(window, "b.ron exists. Replace it?"));
    assert!(window.state().document().is_changed());
    click(&mut window, "Replace it");
    wait_until(&mut window, |window| !window.state().document().is_changed());
    let text = std::fs::read(&path).unwrap();
    assert_eq!(read(&text).unwrap(), *window.state().document().project());
    assert!(!has(&window, "Replace it"));
}

#[test]
fn a_dialog_that_answers_wakes_the_window_and_the_window_rests_meanwhile() {
    let place = Place::new();
    let path = saved(&place, "b.ron");
    let (answer, question) = mpsc::channel::<PathBuf>();
    let question = Mutex::new(question);
    let chooser: Chooser = Arc::new(move |_| question.lock().unwrap().recv().ok());
    let mut window = place.window(place.untitled(), Surroundings { chooser, ..place.surroundings() });
    window.run();
    run(&mut window, Command::Open);
    assert!(at_rest(&mut window));
    assert!(has(&window, "Type the path here"));
    let wakings = Arc::new(AtomicUsize::new(0));
    let count = wakings.clone();
    window.ctx.set_request_repaint_callback(move |_| {
        count.fetch_add(1, Ordering::SeqCst);
    });
    answer.send(path.clone()).unwrap();
    let began = Instant::now();
    while wakings.load(Ordering::SeqCst) == 0 {
        assert!(began.elapsed() < Duration::from_secs(30));
        thread::sleep(Duration::from_millis(1));
    }
    wait_until(&mut window, |window| window.state().document().path() == Some(&*path));
}

#[test]
fn work_is_not_lost_unasked() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    change(&mut window, "First");
    let close = |window: &mut Window| {
        let root = window.input_mut().viewports.entry(ViewportId::ROOT).or_default();
        root.events.push(ViewportEvent::Close);
        window.run();
    };
    close(&mut window);
    assert!(has(&window, "'tarn-special' has unsaved changes. Before closing the window:"));
    assert!(window.get_by_label("Cancel").rect().left() > window.get_by_label("Don't save").rect().left());
    click(&mut window, "Cancel");
    assert!(!has(&window, "unsaved changes"));
    run(&mut window, Command::OpenSample);
    click(&mut window, "Open wren-four");
    assert_eq!(window.state().document().title(), "wren-four");
    click(&mut window, "Close tarn-special");
    assert!(has(&window, "'tarn-special' has unsaved changes. Before closing the project:"));
    click(&mut window, "Don't save");
    assert_eq!(window.state().document().title(), "wren-four");
    // Its copy is given up too.
    wait_until(&mut window, |_| std::fs::read_dir(place.path("data/recovery")).map_or(0, Iterator::count) == 0);
}

#[test]
fn saving_before_leaving_goes_on_when_it_is_done() {
    let place = Place::new();
    let path = saved(&place, "a.ron");
    let mut window = open(&place, &path);
    change(&mut window, "First");
    run(&mut window, Command::CloseProject);
    let button = window.query_all_by_label("Save").find(|button| button.is_focused());
    assert!(button.is_some(), "the question has the keyboard");
    window.key_press(Key::Enter);
    wait_until(&mut window, |window| window.state().document().path().is_none());
    let on_disk = read(&std::fs::read(&path).unwrap()).unwrap();
    assert!(on_disk.notes.ends_with('.'));
}

#[test]
fn a_file_that_cannot_be_opened_changes_nothing() {
    let place = Place::new();
    std::fs::write(place.path("bad.ron"), "(format: 1").unwrap();
    let chooser = answering(place.path("bad.ron"));
    let mut window = place.window(place.untitled(), Surroundings { chooser, ..place.surroundings() });
    run(&mut window, Command::Open);
    wait_until(&mut window, |window| !notice(window).is_empty());
    assert!(notice(&window).contains("bad.ron"), "{}", notice(&window));
    assert_eq!(window.state().document().title(), "tarn-special");
}

#[test]
fn someone_elses_change_is_noticed_by_itself_and_each_way_on_works() {
    let place = Place::new();
    let (path, mut window) = changed_on_both_sides(&place);
    click(&mut window, "Not now");
    run(&mut window, Command::Save);
    wait_until(&mut window, |window| has(window, "changed by someone else"));
    click(&mut window, "Reload theirs");
    wait_until(&mut window, |window| notice(window).starts_with("Took over what is in the file"));
    assert!(!has(&window, "Overwrite theirs"));
    assert_eq!(write(window.state().document().project()).unwrap(), other_text());
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert!(window.state().document().project().notes.ends_with('.'), "mine is an undo away");
    std::fs::write(&path, write(&sample("wren-four")).unwrap()).unwrap();
    wait_until(&mut window, |window| has(window, "Overwrite theirs"));
    click(&mut window, "Overwrite theirs");
    wait_until(&mut window, |window| !window.state().document().is_changed() && !has(window, "Overwrite theirs"));
    let on_disk = read(&std::fs::read(&path).unwrap()).unwrap();
    assert_eq!(on_disk, *window.state().document().project());
}

#[test]
fn someone_elses_change_is_compared_and_merged() {
    let place = Place::new();
    let (path, mut window) = changed_on_both_sides(&place);
    click(&mut window, "Compare both");
    let theirs = BaseChoice::File(path);
    wait_until(&mut window, |window| window.state().screen().sheet == Sheet::Compare);
    assert_eq!(window.state().screen().compare.base, theirs);
    assert!(has(&window, "a.ron was changed by another program"), "it still has to be decided");
    click(&mut window, "Merge both\u{2026}");
    wait_until(&mut window, |window| window.state().screen().compare.merging.is_some());
    let screen = window.state().screen();
    assert_eq!(screen.compare.merging.as_ref().and_then(|merging| merging.theirs.clone()), Some(theirs));
}

#[test]
fn a_locked_copy_leads_back_to_the_real_project() {
    let place = Place::new();
    let path = saved(&place, "a.ron");
    let mut window = open(&place, &path);
    run(&mut window, Command::LockedTiming);
    assert!(!has(&window, "Open the real project"));
    click(&mut window, "Make the copy");
    wait_until(&mut window, |window| window.state().document().project().locked_timing_deg.is_some());
    assert_eq!(window.state().document().path(), None);
    click(&mut window, "Open the real project");
    wait_until(&mut window, |window| window.state().document().path() == Some(path.as_path()));
    assert_eq!(window.state().document().project().locked_timing_deg, None);
    assert!(!has(&window, "no map to drive with"));
}

#[test]
fn coming_back_to_the_window_looks_at_the_file() {
    let place = Place::new();
    let path = saved(&place, "a.ron");
    let mut window = open(&place, &path);
    std::fs::remove_file(&path).unwrap();
    window.event(egui::Event::WindowFocused(true));
    wait_until(&mut window, |window| notice(window).contains("moved or deleted"));
    assert!(window.state().document().is_changed());
}

#[test]
fn what_a_crash_left_is_offered() {
    let place = Place::new();
    let path = saved(&place, "a.ron");
    let mut window = open(&place, &path);
    change(&mut window, "Unsaved");
    drop(window);
    let greeting = || Surroundings { greets: true, ..place.surroundings() };
    let mut window = place.window(place.untitled(), greeting());
    wait_until(&mut window, |window| has(window, "'a' was not closed properly"));
    assert!(has(&window, "its file is from"));
    click(&mut window, "Later");
    drop(window);
    let mut window = place.window(place.untitled(), greeting());
    wait_until(&mut window, |window| has(window, "Open the copy"));
    // The file itself is open again, and gives way to its copy.
    wait_until(&mut window, |window| window.state().document().path() == Some(&*path));
    click(&mut window, "Open the copy");
    wait_until(&mut window, |window| window.state().document().is_changed());
    assert_eq!(window.state().document().path(), Some(&*path));
    assert!(!window.state().document().is_read_only() && !has(&window, "Close a"));
    assert!(window.state().document().is_changed() && !has(&window, "not closed properly"));
}

#[cfg(unix)]
#[test]
fn a_name_that_is_no_text_is_no_obstacle() {
    use std::os::unix::ffi::OsStrExt;
    let place = Place::new();
    let path = place.0.path().join(std::ffi::OsStr::from_bytes(b"caf\xe9.ron"));
    let mut document = place.untitled();
    document.save_as(&path).unwrap();
    document.close();
    let chooser = answering(path.clone());
    let mut window = place.window(place.untitled(), Surroundings { chooser, ..place.surroundings() });
    // What is no text is shown as a box, as in the real window.
    window.ctx.set_missing_glyph_policy(egui::MissingGlyphPolicy::Tofu);
    window.run();
    run(&mut window, Command::Open);
    wait_until(&mut window, |window| window.state().document().path().is_some());
    change(&mut window, "First");
    run(&mut window, Command::Save);
    wait_until(&mut window, |window| !window.state().document().is_changed());
    assert_eq!(RecentFiles::new(&place.data()).list(), [path]);
}

#[derive(Debug)]
struct Dropped(PathBuf);

impl egui::DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        std::fs::read(&self.0).map_err(|error| error.to_string())
    }
}

#[test]
fn a_dropped_project_is_opened() {
    let place = Place::new();
    let path = saved(&place, "a.ron");
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    window.input_mut().dropped_files.push(Arc::new(Dropped(path.clone())));
    wait_until(&mut window, |window| window.state().document().path() == Some(&*path));
}
