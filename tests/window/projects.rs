//! Several projects open beside one another: their tabs, what each keeps while another is shown, closing and quitting, what
//! a start finds again, and what goes from one to another.

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use eframe::egui::{Event, Modifiers, OutputCommand, PointerButton, Role, ViewportCommand, ViewportEvent, ViewportId};
use egui_kittest::kittest::Queryable;
use sparkloft::document::{Document, Recovery};
use sparkloft::drawing::Look;
use sparkloft::project::{Project, read};
use sparkloft::table::Cell;
use sparkloft::window::Surroundings;
use sparkloft::window::state::Sheet;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::file_jobs::Next;
use sparkloft::window::state::outbox::{Action, FileAction};
use sparkloft::window::state::screen::{Screen, ScreenMessage};
use sparkloft::window::tasks::pictures::PictureClipboard;

use super::frame::{Place, change, click, has, notice};
use super::frame_files::{run, wait_until};
use super::harness::{Window, in_look, press, sample, save, value};

const NEXT: &str = "Ctrl+PageDown";
const PREVIOUS: &str = "Ctrl+PageUp";

/// A sample saved under a name.
fn saved(place: &Place, name: &str, of: &str) -> PathBuf {
    let mut document = Document::untitled_in(&place.data(), sample(of), name);
    document.save_as(&place.path(&format!("{name}.ron"))).unwrap();
    document.close();
    place.path(&format!("{name}.ron"))
}

fn open(window: &mut Window, path: &Path) {
    window.state_mut().ask(Action::File(FileAction::Leave(Next::Open(path.to_owned()))));
    let path = path.to_owned();
    wait_until(window, move |window| window.state().document().path() == Some(&path));
}

/// A window on two projects with files, a and b; b is shown.
fn two(place: &Place) -> (Window, [PathBuf; 2]) {
    let paths = [saved(place, "a", "tarn-special"), saved(place, "b", "wren-four")];
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    paths.iter().for_each(|path| open(&mut window, path));
    (window, paths)
}

fn title(window: &Window) -> String {
    window.state().document().title()
}

fn on_disk(path: &Path) -> Project {
    read(&std::fs::read(path).unwrap()).unwrap()
}

fn close_window(window: &mut Window) {
    let root = window.input_mut().viewports.entry(ViewportId::ROOT).or_default();
    root.events.push(ViewportEvent::Close);
    window.run_ok();
}

fn is_closing(window: &Window) -> bool {
    let commands = &window.output().viewport_output[&ViewportId::ROOT].commands;
    commands.contains(&ViewportCommand::Close)
}

#[test]
fn each_project_keeps_its_steps_its_selection_and_its_sheet_while_another_is_shown() {
    let place = Place::new();
    let (mut window, _) = two(&place);
    assert!(has(&window, "a") && !has(&window, "Close tarn-special"), "the sample of the start gave way");
    press(&mut window, "Right Right Up Alt+Up");
    let (b, selected) = (value(&window, 1, 2), window.state().screen().selection.clone());
    assert_eq!(selected.cursor, Cell::new(1, 2));
    window.state_mut().ask(ScreenMessage::Show(Sheet::Limits));
    window.run();
    click(&mut window, "a");
    assert_eq!((title(&window).as_str(), window.state().screen().sheet), ("a", Sheet::Advance));
    assert!(has(&window, "b, unsaved"));
    for look in Look::ALL {
        window.state_mut().ask(in_look(look));
        window.run();
        save(&mut window, &format!("projects-{look:?}"));
    }
    press(&mut window, "Alt+Up Alt+Up");
    let steps = |window: &Window| window.state().document().steps().len();
    assert_eq!((steps(&window), window.state().screen().selection.cursor), (3, Cell::new(0, 0)));
    press(&mut window, NEXT);
    let screen = window.state().screen();
    assert_eq!((title(&window).as_str(), screen.sheet, &screen.selection), ("b", Sheet::Limits, &selected));
    assert_eq!((value(&window, 1, 2), steps(&window)), (b, 2));
    press(&mut window, "Ctrl+Z");
    assert!(!window.state().document().is_changed());
    press(&mut window, PREVIOUS);
    assert!(title(&window) == "a" && window.state().document().is_changed());
    press(&mut window, "Ctrl+Z Ctrl+Z");
    assert!(!window.state().document().is_changed(), "what was undone in one was not undone in the other");
    assert!(!has(&window, "unsaved"));
    window.state_mut().ask(Action::Run(Command::Finder));
    window.run();
    window.get_by_label("Search commands").type_text("go to b");
    window.run();
    click(&mut window, "Go to b");
    window.run();
    assert_eq!(title(&window), "b");
}

#[test]
fn what_is_half_typed_or_dragged_is_taken_in_its_own_project() {
    let place = Place::new();
    let (mut window, _) = two(&place);
    let before = value(&window, 0, 0);
    press(&mut window, "1 7");
    click(&mut window, "a");
    let untouched = sample("tarn-special").advance.table().at(Cell::new(0, 0));
    assert_eq!((title(&window).as_str(), value(&window, 0, 0)), ("a", untouched));
    press(&mut window, PREVIOUS);
    assert_eq!(value(&window, 0, 0), 17.0);
    assert_ne!(before, 17.0);
    // A number that is refused keeps the project on show.
    press(&mut window, "+");
    assert_eq!(window.state().screen().grid.editor.as_ref().map(|editor| editor.text.as_str()), Some("+"));
    press(&mut window, NEXT);
    assert_eq!(title(&window), "b", "a number that is refused keeps its project on show");
    assert!(window.state().screen().grid.editor.is_some());
    press(&mut window, "Escape");
    // Text in a field of a form.
    window.state_mut().ask(ScreenMessage::Show(Sheet::Engine));
    window.run();
    let field = window.get_by_label_contains("Zero offset");
    field.focus();
    window.run();
    press(&mut window, "Ctrl+A");
    window.event(Event::Text("3.5".into()));
    window.run();
    let real = |window: &Window| window.state().document().project().trigger.zero_offset_deg;
    let of_a = sample("tarn-special").trigger.zero_offset_deg;
    assert_ne!(of_a, 3.5);
    window.get_by_label("a").click();
    window.run();
    window.run();
    assert_eq!((title(&window).as_str(), real(&window)), ("a", of_a));
    press(&mut window, NEXT);
    assert_eq!((title(&window).as_str(), real(&window)), ("b", 3.5));
}

#[test]
fn a_file_that_is_open_is_shown_and_not_written_over() {
    let place = Place::new();
    let (mut window, [a, b]) = two(&place);
    change(&mut window, "First");
    open(&mut window, &a);
    assert!(!window.state().document().is_read_only() && has(&window, "b, unsaved"));
    open(&mut window, &b);
    assert!(window.state().document().is_changed(), "it was not read again");
    let before = std::fs::read(&a).unwrap();
    let save_as = sparkloft::window::state::file_jobs::FileJob::SaveAs { then: None };
    window.state_mut().ask(Action::File(FileAction::Do(save_as, place.path("./a.ron"))));
    wait_until(&mut window, |window| notice(window).contains("a.ron is open here as another project"));
    assert_eq!(std::fs::read(&a).unwrap(), before);
    // Others have changed a file meanwhile: that is told when its project is shown.
    std::fs::write(&a, std::fs::read(&b).unwrap()).unwrap();
    click(&mut window, "a");
    wait_until(&mut window, |window| has(window, "a.ron was changed by another program"));
    click(&mut window, "b, unsaved");
    assert!(!has(&window, "a.ron was changed by another program"));
    click(&mut window, "a");
    assert!(has(&window, "a.ron was changed by another program"), "and again whenever it is");
}

#[test]
fn closing_asks_about_changes_and_the_last_leaves_a_sample() {
    let place = Place::new();
    let (mut window, [a, b]) = two(&place);
    change(&mut window, "First");
    press(&mut window, PREVIOUS);
    // The middle button on a project with changes: it is shown, and asked about.
    let at = window.get_by_label("b, unsaved").rect().center();
    for pressed in [true, false] {
        window.event(Event::PointerMoved(at));
        window.event(Event::PointerButton {
            pos: at,
            button: PointerButton::Middle,
            pressed,
            modifiers: Modifiers::NONE,
        });
        window.step();
    }
    window.run();
    assert_eq!((title(&window).as_str(), notice(&window).as_str()), ("b", ""));
    assert!(has(&window, "'b' has unsaved changes. Before closing the project:"));
    click(&mut window, "a");
    assert!(title(&window) == "b" && notice(&window).contains("Answer the question above first"));
    click(&mut window, "Cancel");
    assert!(window.state().document().is_changed());
    press(&mut window, "Ctrl+W");
    window.get_all_by_label("Save").find(|button| button.is_focused()).unwrap().click();
    wait_until(&mut window, |window| title(window) == "a");
    assert!(on_disk(&b) != sample("wren-four") && !has(&window, "Close b"));
    assert_eq!(on_disk(&a), *window.state().document().project());
    press(&mut window, "Ctrl+W");
    assert!(window.state().document().path().is_none() && !window.state().document().is_changed());
    assert!(Document::open_in(&place.data(), &a).unwrap().read_only().is_none(), "its lock is free");
    open(&mut window, &b);
    assert!(!has(&window, "Close b"), "the sample gave way, and there is no row for a single project");
}

#[test]
fn quitting_asks_for_each_project_with_changes_and_cancel_stops_it() {
    let place = Place::new();
    let (mut window, [a, b]) = two(&place);
    change(&mut window, "First");
    press(&mut window, PREVIOUS);
    change(&mut window, "First");
    press(&mut window, NEXT);
    close_window(&mut window);
    assert!(has(&window, "'b' has unsaved changes. Before closing the window:"));
    click(&mut window, "Don't save");
    assert!(title(&window) == "a" && has(&window, "'a' has unsaved changes. Before closing the window:"));
    click(&mut window, "Cancel");
    assert!(!is_closing(&window) && window.state().document().is_changed());
    press(&mut window, NEXT);
    assert!(window.state().document().is_changed(), "what was given up for quitting is still there");
    run(&mut window, Command::Quit);
    assert!(has(&window, "'b' has unsaved changes"), "it is asked again");
    window.get_all_by_label("Save").find(|button| button.is_focused()).unwrap().click();
    wait_until(&mut window, |window| has(window, "'a' has unsaved changes"));
    assert_ne!(on_disk(&b), sample("wren-four"));
    window.get_by_label("Don't save").click();
    let closes = (0..4).any(|_| {
        window.step();
        is_closing(&window)
    });
    assert!(closes, "it closes");
    assert_eq!(on_disk(&a), sample("tarn-special"));
    drop(window);
    assert!(Recovery::new(&place.data()).list().is_empty(), "what was given up leaves no copy");
}

#[test]
fn recovery_copies_of_all_projects_are_left_by_a_crash_and_take_the_place_of_their_files() {
    let place = Place::new();
    let (mut window, [a, b]) = two(&place);
    change(&mut window, "In b");
    press(&mut window, PREVIOUS);
    // It was parked, so its copy was written without delay.
    let copies = || {
        std::fs::read_dir(place.path("data/recovery")).map_or(0, |entries| {
            entries
                .filter(|entry| entry.as_ref().unwrap().path().extension().is_some_and(|ending| ending == "ron"))
                .count()
        })
    };
    wait_until(&mut window, |_| copies() == 1);
    change(&mut window, "In a");
    drop(window);
    assert_eq!(copies(), 2);
    let greeting = Surroundings { greets: true, ..place.surroundings() };
    let mut window = place.window(Document::open_in(&place.data(), &a).unwrap(), greeting);
    wait_until(&mut window, |window| has(window, "Open the copy") && has(window, "Close b"));
    for _ in 0..2 {
        let offers = window.query_all_by_label_contains("(1 of 2)").count();
        click(&mut window, "Open the copy");
        wait_until(&mut window, |window| {
            window.state().document().is_changed()
                && window.query_all_by_label_contains("(1 of 2)").count() < offers.max(1)
        });
    }
    wait_until(&mut window, |window| !has(window, "Open the copy"));
    for (path, name) in [(&a, "a"), (&b, "b")] {
        let label = format!("{name}, unsaved");
        let tabs: Vec<_> = window.query_all_by_label(&label).collect();
        assert_eq!(tabs.len(), 1, "{name}: the copy took the place of the file");
        tabs[0].click();
        window.run();
        window.run();
        let document = window.state().document();
        assert!(document.path() == Some(path) && document.is_changed() && !document.is_read_only(), "{name}");
        assert!(document.project().notes.ends_with('.'));
    }
}

#[test]
fn the_next_start_opens_the_same_files_and_tells_once_of_one_that_is_gone() {
    let place = Place::new();
    let (mut window, [a, b]) = two(&place);
    let c = saved(&place, "c", "larch-six");
    open(&mut window, &c);
    press(&mut window, PREVIOUS);
    assert_eq!(title(&window), "b");
    run(&mut window, Command::Quit);
    drop(window);
    let mut window = place.window(place.untitled(), place.surroundings());
    wait_until(&mut window, |window| title(window) == "b");
    let left = |window: &Window, name: &str| window.get_by_label(&format!("Close {name}")).rect().left();
    assert!(left(&window, "a") < left(&window, "b") && left(&window, "b") < left(&window, "c"));
    assert!(!has(&window, "Not opened"));
    run(&mut window, Command::Quit);
    drop(window);
    std::fs::remove_file(&a).unwrap();
    // Another window has one of them.
    let held = Document::open_in(&place.data(), &c).unwrap();
    let mut window = place.window(Document::open_in(&place.data(), &b).unwrap(), place.surroundings());
    wait_until(&mut window, |window| has(window, "Not opened"));
    assert!(
        has(&window, "a.ron") && notice(&window).contains("another window has them open: c.ron"),
        "{}",
        notice(&window)
    );
    assert!(title(&window) == "b" && !has(&window, "Close b"));
    drop(held);
}

#[test]
fn many_tabs_stay_in_reach() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    change(&mut window, "First");
    for _ in 0..14 {
        window.state_mut().ask(Action::File(FileAction::Leave(Next::Sample(1))));
        window.run();
    }
    save(&mut window, "projects-many");
    let whole = window.ctx.content_rect();
    let crosses: Vec<_> = window.query_all_by_label("Close larch-six").map(|cross| cross.rect()).collect();
    assert!((4..14).contains(&crosses.len()) && crosses.iter().all(|cross| whole.contains_rect(*cross)));
    assert!(!has(&window, "tarn-special, unsaved"));
    click(&mut window, "all 15 projects");
    window.run();
    click(&mut window, "Go to tarn-special");
    window.run();
    assert!(title(&window) == "tarn-special" && has(&window, "Close tarn-special"));
}

#[test]
fn another_open_project_is_the_base_as_it_was_when_this_one_was_last_shown() {
    let place = Place::new();
    let (mut window, _) = two(&place);
    window.state_mut().ask(ScreenMessage::Show(Sheet::Compare));
    window.run();
    window.get_by_label_contains("base: ").click();
    window.run();
    window.run();
    click(&mut window, "Compare with a");
    window.run();
    assert!(has(&window, "base: a"));
    click(&mut window, "a");
    press(&mut window, "Alt+Up");
    let raised = value(&window, 0, 0);
    press(&mut window, NEXT);
    let base = window.state().base();
    assert_eq!((base.name.as_str(), base.project.advance.table().at(Cell::new(0, 0))), ("a", raised));
    click(&mut window, "Close a");
    wait_until(&mut window, |window| has(window, "'a' has unsaved changes"));
    click(&mut window, "Don't save");
    window.run();
    assert_eq!(title(&window), "b");
    assert_ne!(window.state().base().name, "a");
    assert!(notice(&window).contains("no longer open"), "{}", notice(&window));
}

/// What was asked of the system in the last frame.
fn commands(window: &Window) -> &[OutputCommand] {
    &window.output().platform_output.commands
}

#[test]
fn cells_and_whole_tables_go_to_another_project_each_as_one_step() {
    let place = Place::new();
    let (mut window, _) = two(&place);
    let copied = |window: &mut Window, command| {
        window.state_mut().ask(Action::Run(command));
        window.step();
        let text = commands(window).iter().find_map(|command| match command {
            OutputCommand::CopyText(text) => Some(text.clone()),
            _ => None,
        });
        text.unwrap()
    };
    let paste = |window: &mut Window, text: &str| {
        window.state_mut().ask(Action::Run(Command::PasteTable));
        window.step();
        window.event(Event::Paste(text.to_owned()));
        window.run();
    };
    let table = |window: &Window| window.state().document().project().advance.table().clone();
    let load = |window: &Window| window.state().document().project().sensors.load;
    let steps = |window: &Window| window.state().document().steps().len();
    press(&mut window, "Shift+Right Shift+Up");
    let block = copied(&mut window, Command::Copy);
    let whole = copied(&mut window, Command::CopyTable);
    let (of_b, load_of_b) = (table(&window), load(&window));
    click(&mut window, "a");
    window.run();
    let before = table(&window);
    // Cells without breakpoints are pasted from the cursor on, whatever the axes are.
    press(&mut window, "Shift+Right Shift+Up");
    window.event(Event::Paste(block));
    window.run();
    let one = Cell::new(1, 1);
    assert_eq!((table(&window).at(one), table(&window).speed()), (of_b.at(one), before.speed()));
    press(&mut window, "Ctrl+Z");
    let was = steps(&window);
    paste(&mut window, &whole);
    if load(&window) == load_of_b {
        assert_eq!((steps(&window), table(&window)), (was + 1, of_b));
    } else {
        assert!(notice(&window).contains("the copied loads are in"), "{}", notice(&window));
        assert_eq!((steps(&window), table(&window)), (was, before));
    }
    let was = steps(&window);
    paste(&mut window, "load\t500\t900\n10\t1\t2\n90\t3\t4\n");
    assert_eq!(steps(&window), was + 1, "{}", notice(&window));
    assert_eq!(table(&window).speed().breakpoints(), [500.0, 900.0]);
    assert_eq!(window.state().document().undo_label(), Some("Paste a whole table, 2 × 2"));
    press(&mut window, "Ctrl+Z");
    paste(&mut window, "1\t2\n3\t4\n");
    assert_eq!(steps(&window), was + 1, "that is no table with breakpoints: {}", notice(&window));
    // Nor are some cells that were copied here without theirs, whatever is selected.
    let (whole_before, one) = (table(&window), copied(&mut window, Command::Copy));
    press(&mut window, "Ctrl+A");
    paste(&mut window, &one);
    assert_eq!(table(&window), whole_before);
    assert!(notice(&window).contains("no whole table"), "{}", notice(&window));
}

/// A project that waits is asked about before the window closes if its file is gone, as the one shown is.
#[test]
fn quitting_asks_about_a_waiting_project_whose_file_is_gone() {
    let place = Place::new();
    let (mut window, [a, _]) = two(&place);
    window.run_ok();
    std::fs::remove_file(&a).unwrap();
    wait_until(&mut window, |window| has(window, "a, unsaved"));
    assert_eq!(title(&window), "b");
    close_window(&mut window);
    assert!(title(&window) == "a" && has(&window, "'a' has unsaved changes. Before closing the window:"));
    window.get_all_by_label("Save").find(|button| button.is_focused()).unwrap().click();
    wait_until(&mut window, |_| a.exists());
    assert_eq!(on_disk(&a), sample("tarn-special"));
}

/// A number half typed on one project stays there when a slow file leads to another: the fields of both are alike.
#[test]
fn a_half_typed_number_never_reaches_another_project() {
    let place = Place::new();
    let (mut window, [a, b]) = two(&place);
    for (sheet, field) in [(Sheet::Checks, "Zero offset, at most"), (Sheet::Compare, "Regions from, degrees")] {
        for path in [&a, &b] {
            open(&mut window, path);
            window.state_mut().ask(ScreenMessage::Show(sheet));
            window.run();
        }
        let of_a = |window: &Window| {
            let id = window.state().projects().with_path(&a).unwrap();
            assert_eq!(window.state().projects().shown_id(), Some(id));
            (window.state().document().steps().len(), window.state().screen().compare.region_threshold_deg)
        };
        window.get_by_role_and_label(Role::SpinButton, field).click();
        window.run();
        press(&mut window, "Ctrl+A");
        window.event(Event::Text("4".into()));
        window.run();
        open(&mut window, &a);
        let untouched = Screen::new(sample("tarn-special").advance.table()).compare.region_threshold_deg;
        window.run();
        window.run();
        assert_eq!(of_a(&window), (1, untouched), "{sheet:?}");
    }
}

/// The system's clipboard compresses what it gets, so it must not get it in a frame.
#[test]
fn views_go_to_the_clipboard_as_pictures_off_the_frame() {
    let place = Place::new();
    let copied = Arc::new(Mutex::new(Vec::new()));
    let into = Arc::clone(&copied);
    let pictures: PictureClipboard = Arc::new(move |picture| {
        into.lock().unwrap().push((std::thread::current().id(), picture.size));
        Ok(())
    });
    let mut window = place.window(place.untitled(), Surroundings { pictures, ..place.surroundings() });
    window.run();
    let mut copy = |command| {
        window.state_mut().ask(Action::Run(command));
        wait_until(&mut window, |window| notice(window).contains("is on the clipboard as a picture"));
        let (thread, size) = copied.lock().unwrap().pop().unwrap();
        assert_ne!(thread, std::thread::current().id());
        size
    };
    assert_eq!(copy(Command::PictureOfSurface), [1800, 1280]);
    assert_eq!(copy(Command::PictureOfRow), [1440, 800]);
    assert!(copy(Command::PictureOfGrid)[0] > 700);
}

#[test]
fn a_clipboard_that_takes_no_picture_is_told() {
    let place = Place::new();
    let mut window = place.window(place.untitled(), place.surroundings());
    window.run();
    window.state_mut().ask(Action::Run(Command::PictureOfGrid));
    let told = "There is no picture of the table: there is no clipboard";
    wait_until(&mut window, |window| notice(window).contains(told));
}
