//! Tables to and from files of their own.

use egui_kittest::kittest::Queryable;
use sparkloft::interchange::read_table;
use sparkloft::window::Surroundings;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::edits::DocumentEdit;
use sparkloft::window::state::screen::ScreenMessage;

use super::frame::{Place, click, has, notice};
use super::frame_files::{answering, run, wait_until};
use super::harness::{new_project, window};

#[test]
fn an_exported_table_reads_back_and_its_options_are_heeded() {
    let place = Place::new();
    let path = place.path("table.csv");
    let chooser = answering(path.clone());
    let mut window = place.window(place.untitled(), Surroundings { chooser, ..place.surroundings() });
    run(&mut window, Command::ExportTable);
    click(&mut window, "Choose a file…");
    wait_until(&mut window, |window| notice(window).starts_with("Exported"));
    let file = read_table(&std::fs::read(&path).unwrap()).unwrap();
    assert_eq!(file.table(), window.state().document().project().advance.table());
    run(&mut window, Command::ExportTable);
    for option in ["Highest first", "decimal comma", "with breakpoints", "rounded to"] {
        click(&mut window, option);
    }
    std::fs::remove_file(&path).unwrap();
    click(&mut window, "Choose a file…");
    wait_until(&mut window, |_| path.exists());
    let text = std::fs::read_to_string(&path).unwrap();
    let table = window.state().document().project().advance.table();
    let highest: Vec<String> = table.row(15).iter().map(|value| format!("{value:.1}").replace('.', ",")).collect();
    assert_eq!(text.lines().next(), Some(&*highest.join(";")));
    assert_eq!(text.lines().count(), 16);
}

#[test]
fn an_imported_table_is_one_step() {
    let place = Place::new();
    let path = place.path("other.csv");
    std::fs::write(&path, "load,1000,2000\n0,10,20.5\n100,8,15\n").unwrap();
    let chooser = answering(path);
    let mut window = place.window(place.untitled(), Surroundings { chooser, ..place.surroundings() });
    run(&mut window, Command::ImportTable);
    wait_until(&mut window, |window| has(window, "Speeds 1000 to 2000 rpm, 2 breakpoints"));
    click(&mut window, "Import");
    let document = window.state().document();
    assert_eq!(document.undo_label(), Some("Import table from other.csv"), "{}", notice(&window));
    assert_eq!(document.project().advance.table().values(), [10.0, 20.5, 8.0, 15.0]);
    assert!(document.undo_label().is_some() && document.steps().len() == 2);
}

#[test]
fn what_is_wrong_with_a_table_is_shown_with_its_line_and_changes_nothing() {
    let place = Place::new();
    let cases = [
        ("load,1000,2000\n0,10,twelve\n100,8,15\n", "line 2, column 3"),
        ("load,1000,2000\n0,10,20\n400,8,15\n", "400"),
    ];
    for (text, expected) in cases {
        let path = place.path("bad.csv");
        std::fs::write(&path, text).unwrap();
        let chooser = answering(path);
        let mut window = place.window(place.untitled(), Surroundings { chooser, ..place.surroundings() });
        run(&mut window, Command::ImportTable);
        wait_until(&mut window, |window| has(window, "bad.csv"));
        if window.query_by_label("Import").is_some() {
            click(&mut window, "Import");
        }
        assert!(has(&window, expected), "{expected}: {}", notice(&window));
        assert_eq!(window.state().document().steps().len(), 1);
    }
}

#[test]
fn a_mark_that_may_part_thousands_is_asked_for_before_anything_is_read() {
    let place = Place::new();
    let path = place.path("other.tsv");
    std::fs::write(&path, "load\t1,000\t2,000\n0\t10\t20\n100\t8\t15\n").unwrap();
    let chooser = answering(path);
    let mut window = place.window(place.untitled(), Surroundings { chooser, ..place.surroundings() });
    run(&mut window, Command::ImportTable);
    wait_until(&mut window, |window| has(window, "In '1,000' the mark may part thousands or decimals"));
    assert!(window.query_by_label("Import").is_none() && has(&window, "Line 1, column 2"));
    click(&mut window, "It is 1000");
    wait_until(&mut window, |window| has(window, "Speeds 1000 to 2000 rpm, 2 breakpoints"));
    click(&mut window, "Import");
    let speeds = window.state().document().project().advance.table().speed().breakpoints().to_vec();
    assert_eq!(speeds, [1000.0, 2000.0], "{}", notice(&window));
}

#[test]
fn image_items_that_keep_their_size_are_told_once() {
    use sparkloft::window::state::outbox::Action;
    let tight = new_project(8, 8).edit(|parts| {
        for (index, item) in parts.image.items.iter_mut().enumerate() {
            item.address = parts.image.start + u32::try_from(index).unwrap() * 128;
        }
    });
    let mut window = window(tight.unwrap());
    let larger = new_project(16, 16).advance.clone();
    window.state_mut().ask(Action::Edit("Import table".into(), DocumentEdit::ReplaceTable(Box::new(larger))));
    window.run();
    let notice = window.state().screen().notice.clone().unwrap();
    assert!(notice.text.starts_with("Import table; the image has no room for the larger table"), "{}", notice.text);
    assert!(!notice.is_error, "it is no problem, but something to know");
    window.state_mut().ask(ScreenMessage::Tell(None));
    window.state_mut().ask(Action::Run(sparkloft::window::state::commands::Command::Undo));
    window.run();
    window.state_mut().ask(Action::Run(sparkloft::window::state::commands::Command::Redo));
    window.run();
    assert_eq!(window.state().screen().notice, None);
}
