//! What ends a drag or a held button from outside, and answers that come when another project is open.

use std::path::PathBuf;
use std::sync::{Arc, Mutex, mpsc};
use std::thread;
use std::time::Duration;

use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2, vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::document::Document;
use sparkloft::image::{OutputFormat, RecordWidth};
use sparkloft::project::read;
use sparkloft::shaping::Tool;
use sparkloft::table::{Cell, Selection};
use sparkloft::window::Surroundings;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::export_state::ImageFiles;
use sparkloft::window::state::export_state::{ExportMessage, Formats};
use sparkloft::window::state::file_jobs::{FileJob, Next};
use sparkloft::window::state::outbox::{Action, FileAction};
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::selection::CellSelection;
use sparkloft::window::tasks::paths::Chooser;

use super::frame::{Place, change, click, has, notice};
use super::frame_files::{answering, run, wait_until};
use super::harness::{Window, new_project};

/// A window on a saved project without held cells.
fn opened(place: &Place) -> Window {
    let mut document = Document::untitled_in(&place.data(), new_project(8, 8), "trial");
    document.save_as(&place.path("a.ron")).unwrap();
    let mut window = place.window(document, place.surroundings());
    window.run();
    window
}

fn value(window: &Window, cell: Cell) -> f64 {
    window.state().document().project().advance.table().at(cell)
}

fn steps(window: &Window) -> usize {
    window.state().document().steps().len()
}

fn press(window: &mut Window, pos: Pos2, pressed: bool) {
    window.event(Event::PointerMoved(pos));
    window.event(Event::PointerButton { pos, button: PointerButton::Primary, pressed, modifiers: Modifiers::NONE });
    window.step();
}

fn image(place: &Place) -> FileAction {
    let formats = vec![OutputFormat::IntelHex];
    let files = ImageFiles { formats, width: RecordWidth::Sixteen, name: "unit".into(), despite_errors: None };
    FileAction::WriteImage(files, place.path("unit.hex"))
}

/// Lets threads answer and takes in what they say.
fn let_time_pass(window: &mut Window) {
    for _ in 0..20 {
        window.run_ok();
        thread::sleep(Duration::from_millis(5));
    }
}

#[test]
fn saving_while_a_button_is_held_ends_it_and_adds_nothing_twice() {
    let place = Place::new();
    let mut window = opened(&place);
    let (cell, step) = (window.state().screen().selection.cursor, window.state().document().project().step_deg);
    let before = value(&window, cell);
    let at = window.get_by_label_contains("Hold to raise").rect().center();
    press(&mut window, at, true);
    for _ in 0..12 {
        window.step();
    }
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    while window.state().document().gesture_open() {
        window.step();
    }
    let raised = value(&window, cell) - before;
    assert!(raised >= 3.0 * step, "it repeats: {raised}");
    for _ in 0..12 {
        window.step();
    }
    assert_eq!((value(&window, cell) - before, steps(&window)), (raised, 2));
    press(&mut window, at, false);
    wait_until(&mut window, |window| !window.state().document().is_changed());
    assert_eq!((value(&window, cell) - before, steps(&window)), (raised, 2));
    let on_disk = read(&std::fs::read(place.path("a.ron")).unwrap()).unwrap();
    assert_eq!(on_disk.advance.table().at(cell) - before, raised);
}

#[test]
fn saving_while_a_vertex_is_dragged_ends_the_drag_as_one_step() {
    let place = Place::new();
    let mut window = opened(&place);
    let cell = Cell::new(4, 4);
    let selection = CellSelection { cursor: cell, ..window.state().screen().selection.clone() };
    window.state_mut().ask(ScreenMessage::Select(selection));
    window.run();
    let is_handle = |label: &str| label.starts_with("lift ") && label.contains("rpm");
    let handle = window.get_by(|node| node.label().is_some_and(|label| is_handle(&label))).rect().center();
    press(&mut window, handle, true);
    for up in [10.0, 20.0, 30.0] {
        window.event(Event::PointerMoved(handle - vec2(0.0, up)));
        window.step();
    }
    assert!(window.state().document().gesture_open());
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    while window.state().document().gesture_open() {
        window.step();
    }
    let lifted = window.state().document().project().clone();
    for up in [40.0, 50.0] {
        window.event(Event::PointerMoved(handle - vec2(0.0, up)));
        window.step();
    }
    press(&mut window, handle - vec2(0.0, 50.0), false);
    wait_until(&mut window, |window| !window.state().document().is_changed());
    assert_eq!(steps(&window), 2);
    assert!(window.state().document().project().is_same(&lifted));
}

#[test]
fn what_a_drag_still_asks_for_after_it_was_ended_is_not_done() {
    let place = Place::new();
    let mut window = opened(&place);
    let table = window.state().document().project().advance.table().clone();
    let (cell, before) = (Cell::new(0, 0), table.at(Cell::new(0, 0)));
    let drag = |deg| Action::Drag(Tool::Add { deg }, Selection::all(&table));
    press(&mut window, Pos2::new(640.0, 5.0), true);
    window.state_mut().ask(drag(1.0));
    window.step();
    change(&mut window, "Meanwhile");
    for deg in [2.0, 3.0] {
        window.state_mut().ask(drag(deg));
        window.step();
    }
    press(&mut window, Pos2::new(640.0, 5.0), false);
    // The pointer's last place is told after it was released.
    window.state_mut().ask(drag(4.0));
    window.state_mut().ask(Action::DragEnd);
    window.step();
    window.step();
    assert_eq!((value(&window, cell), steps(&window)), (before + 1.0, 3));
    window.state_mut().ask(drag(2.0));
    window.state_mut().ask(Action::DragEnd);
    window.run();
    assert_eq!((value(&window, cell), steps(&window)), (before + 3.0, 4), "the next drag is heard");
}

#[test]
fn an_export_that_is_done_during_a_drag_is_remembered_after_it() {
    let place = Place::new();
    let mut window = opened(&place);
    let table = window.state().document().project().advance.table().clone();
    let before = value(&window, Cell::new(0, 0));
    press(&mut window, Pos2::new(640.0, 5.0), true);
    window.state_mut().ask(Action::File(image(&place)));
    for deg in [1.0, 2.0] {
        window.state_mut().ask(Action::Drag(Tool::Add { deg }, Selection::all(&table)));
        window.step();
    }
    wait_until(&mut window, |_| place.path("unit.hex").exists());
    let_time_pass(&mut window);
    assert!(window.state().document().gesture_open() && steps(&window) == 1);
    window.state_mut().ask(Action::Drag(Tool::Add { deg: 3.0 }, Selection::all(&table)));
    window.state_mut().ask(Action::DragEnd);
    press(&mut window, Pos2::new(640.0, 5.0), false);
    wait_until(&mut window, |window| window.state().document().project().last_export.is_some());
    assert_eq!((value(&window, Cell::new(0, 0)), steps(&window)), (before + 3.0, 3));
}

#[test]
fn an_export_is_remembered_in_its_own_project_once_that_is_shown_again() {
    let place = Place::new();
    let mut window = opened(&place);
    window.state_mut().ask(Action::File(image(&place)));
    window.state_mut().ask(Action::File(FileAction::Leave(Next::Sample(1))));
    wait_until(&mut window, |_| place.path("unit.hex").exists());
    let_time_pass(&mut window);
    let document = window.state().document();
    assert!(document.path().is_none() && document.project().last_export.is_none() && document.steps().len() == 1);
    assert!(!window.state().screen().export.is_busy);
    // Nor can it be closed before what was written is remembered.
    click(&mut window, "Close a");
    assert!(notice(&window).contains("is still reading or writing a file") || window.state().document().is_changed());
    wait_until(&mut window, |window| window.state().document().project().last_export.is_some());
    assert!(window.state().document().path().is_some());
}

#[test]
fn another_project_is_not_shown_while_a_file_dialog_is_open() {
    let place = Place::new();
    let (answer, question) = mpsc::channel::<PathBuf>();
    let question = Mutex::new(question);
    let chooser: Chooser = Arc::new(move |_| question.lock().unwrap().recv().ok());
    let mut window = place.window(place.untitled(), Surroundings { chooser, ..place.surroundings() });
    window.run();
    run(&mut window, Command::SaveAs);
    window.state_mut().ask(Action::File(FileAction::Leave(Next::Sample(1))));
    window.run_ok();
    assert!(notice(&window).contains("A file dialog is open: 'Save the project as'"), "{}", notice(&window));
    assert_eq!(window.state().document().title(), "tarn-special");
    answer.send(place.path("mine.ron")).unwrap();
    wait_until(&mut window, |window| window.state().document().path().is_some());
    assert!(place.path("mine.ron").exists());
}

#[test]
fn an_ending_that_is_added_is_part_of_the_question() {
    let place = Place::new();
    std::fs::write(place.path("table 1.5.csv"), "mine").unwrap();
    let chooser = answering(place.path("table 1.5"));
    let mut window = place.window(place.untitled(), Surroundings { chooser, ..place.surroundings() });
    run(&mut window, Command::ExportTable);
    click(&mut window, "Choose a file…");
    wait_until(&mut window, |window| has(window, "table 1.5.csv exists. Replace it?"));
    let_time_pass(&mut window);
    assert_eq!(std::fs::read_to_string(place.path("table 1.5.csv")).unwrap(), "mine");
    click(&mut window, "Replace it");
    wait_until(&mut window, |window| notice(window).starts_with("Exported the table to table 1.5.csv"));
    assert_ne!(std::fs::read_to_string(place.path("table 1.5.csv")).unwrap(), "mine");
}

#[test]
fn nothing_else_is_written_over_the_open_project() {
    let place = Place::new();
    let mut window = opened(&place);
    let before = std::fs::read(place.path("a.ron")).unwrap();
    for job in [FileJob::ExportTable(Default::default()), FileJob::SetupSheet(sparkloft::setup_sheet::Paper::A4)] {
        window.state_mut().ask(Action::File(FileAction::Do(job, place.path("./a.ron"))));
        wait_until(&mut window, |window| notice(window).contains("a.ron is the open project's own file"));
        // Something else is said before the next is refused.
        run(&mut window, Command::DecimalComma);
        assert!(notice(&window).contains("Copied numbers"), "{}", notice(&window));
        let_time_pass(&mut window);
    }
    assert_eq!(std::fs::read(place.path("a.ron")).unwrap(), before);
}

#[test]
fn replacing_writes_the_files_that_were_asked_about() {
    let place = Place::new();
    std::fs::write(place.path("unit.a2l"), "mine").unwrap();
    let chooser = answering(place.path("unit"));
    let mut window = place.window(place.untitled(), Surroundings { chooser, ..place.surroundings() });
    run(&mut window, Command::ExportImage);
    wait_until(&mut window, |window| has(window, "There already: unit.a2l. Replace?"));
    std::fs::write(place.path("unit.bin"), "mine").unwrap();
    let formats = Formats { binary: true, ..window.state().screen().export.formats };
    window.state_mut().ask(ExportMessage::Formats(formats));
    window.run_ok();
    click(&mut window, "Replace");
    wait_until(&mut window, |window| window.state().screen().export.written.is_some());
    assert_eq!(std::fs::read_to_string(place.path("unit.bin")).unwrap(), "mine");
    assert!(place.path("unit.hex").exists());
}
