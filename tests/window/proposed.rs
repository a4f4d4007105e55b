//! What is only proposed looks like it, and is never told as what is.

use eframe::egui::{Key, Modifiers, Pos2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::document::Document;
use sparkloft::drawing::Look;
use sparkloft::project::Origin;
use sparkloft::table::{Cell, Selection};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::inspector_state::InspectorMessage;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;
use sparkloft::window::state::selection::{CellEditor, CellSelection};

use super::frame::has;
use super::frame_files::{run, wait_until};
use super::harness::{Window, in_look, pictured, sample, window};
use super::inspector::{change_screen, last_step, select, set_amount, steps};

/// The first sample with nothing held and four cells selected.
fn four() -> Window {
    let project = sample("tarn-special");
    let free = project.advance.with_held(&Selection::all(project.advance.table()), false);
    let mut window = window(project.with_advance(free).unwrap());
    select(&mut window, Cell::new(8, 7), Cell::new(9, 8));
    window
}

fn document(window: &Window) -> &Document {
    window.state().document()
}

fn point_at(window: &mut Window, label: &str) {
    window.get_by_label(label).hover();
    window.run();
}

fn place(window: &Window, label: &str) -> Pos2 {
    window.get_by_label(label).rect().center()
}

/// The name of a cell with its value at present.
fn name(window: &Window, cell: Cell) -> String {
    let project = document(window).project();
    let table = project.advance.table();
    let (speed, load) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
    format!("advance {speed} rpm, {load} %, {:.1} degrees", table.at(cell))
}

#[test]
fn a_preview_is_told_as_proposed_everywhere_and_the_facts_stay() {
    let mut window = four();
    let cell = name(&window, Cell::new(8, 7));
    let facts = FACTS.map(|start| label_with(&window, start));
    let statistics = label_with(&window, "4 cells  mean ");
    point_at(&mut window, "Raise or lower by 1.0");
    assert!(has(&window, "Proposed: Raise 4 cells by 1.0°; click to apply"));
    assert!(has(&window, &format!("{cell}, proposed ")));
    assert_eq!(FACTS.map(|start| label_with(&window, start)), facts);
    assert!(label_with(&window, "Value ").contains("° becomes "));
    assert_eq!(label_with(&window, "4 cells  mean "), statistics);
    window.remove_cursor();
    window.run();
    assert!(!has(&window, "Proposed: ") && !has(&window, ", proposed "));
    assert_eq!(steps(&window), 1);
}

/// How the lines of the inspector's facts begin.
const FACTS: [&str; 4] = ["From base ", "Steepest ", "From chord ", "Origin: "];

/// The first label that begins so.
fn label_with(window: &Window, start: &str) -> String {
    let mut texts = window.query_all_by_label_contains(start).map(|node| {
        let node = node.accesskit_node();
        node.label().or_else(|| node.value()).unwrap_or_default()
    });
    texts.find(|text| text.starts_with(start)).unwrap_or_else(|| panic!("no '{start}'"))
}

#[test]
fn one_cell_tells_what_it_becomes() {
    let mut window = four();
    select(&mut window, Cell::new(8, 7), Cell::new(8, 7));
    let now = document(&window).project().advance.table().at(Cell::new(8, 7));
    point_at(&mut window, "Raise or lower by 1.0");
    let words = format!("Value {now:.1}° becomes {:.1}°, degrees before top dead centre", now + 1.0);
    assert!(has(&window, &words), "{}", label_with(&window, "Value "));
    let told = format!("· {now:.1}° before TDC, proposed {:.1}°", now + 1.0);
    assert!(has(&window, &told));
}

#[test]
fn scales_stand_still_while_something_is_proposed() {
    let mut window = four();
    let far = ["500 rpm, ", "8000 rpm, "].map(|start| label_with(&window, start));
    let before: Vec<Pos2> = far.iter().map(|label| place(&window, label)).collect();
    set_amount(&mut window, "set to", 80.0);
    window.run();
    point_at(&mut window, "Set to 80.0");
    assert!(has(&window, "Proposed: Set 4 cells to 80.0°"));
    let after: Vec<Pos2> = far.iter().map(|label| place(&window, label)).collect();
    assert_eq!(after, before);
}

#[test]
fn what_is_flashed_is_never_what_is_proposed() {
    let mut window = four();
    run(&mut window, Command::AsFlashed);
    wait_until(&mut window, |window| has(window, "as flashed, advance"));
    let told = label_with(&window, "Largest difference");
    let cell = label_with(&window, &format!("as flashed, {}", name(&window, Cell::new(8, 7))));
    set_amount(&mut window, "raise or lower by", 7.3);
    window.run();
    point_at(&mut window, "Raise or lower by 7.3");
    assert!(has(&window, "Proposed: Raise 4 cells by 7.3°"));
    for _ in 0..20 {
        window.run();
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    assert!(has(&window, &cell), "the unit's number stays");
    assert_eq!(label_with(&window, "Largest difference"), told);
}

#[test]
fn other_sheets_never_show_what_is_proposed() {
    let mut window = four();
    change_screen(&mut window, Action::Run(Command::Breakpoints));
    change_screen(&mut window, InspectorMessage::TypeList("500 1000 2000 4000 6000 7500".into()));
    window.run();
    point_at(&mut window, "Replace");
    assert!(has(&window, "Proposed: New breakpoints"));
    change_screen(&mut window, ScreenMessage::Show(Sheet::Export));
    window.run();
    assert!(!has(&window, "Proposed: "));
}

#[test]
fn a_preview_has_its_own_look_in_every_look() {
    for (name, look) in [("light", Look::Light), ("dark", Look::Dark), ("sunlight", Look::Sunlight)] {
        let mut window = four();
        change_screen(&mut window, in_look(look));
        window.run();
        let plain = window.render().unwrap();
        point_at(&mut window, "Raise or lower by 1.0");
        let shown = window.render().unwrap();
        pictured(&mut window, &format!("proposed-{name}"));
        let ink = look.palette().proposed;
        let count =
            |picture: &image::RgbaImage| picture.pixels().filter(|pixel| pixel.0[..3] == [ink.r, ink.g, ink.b]).count();
        assert!(count(&shown) > count(&plain) + 100, "{name}: {} {}", count(&shown), count(&plain));
    }
}

#[test]
fn keys_and_sentence_are_one_command_with_one_scope() {
    let one = Cell::new(5, 5);
    let mut by_sentence = four();
    select(&mut by_sentence, one, one);
    by_sentence.get_by_label("Fair, strength 2.0 within 1.0, whole table").click();
    by_sentence.run();
    let mut by_keys = four();
    select(&mut by_keys, one, one);
    by_keys.key_press_modifiers(Modifiers::COMMAND, Key::F);
    by_keys.run();
    assert_eq!(last_step(&by_keys), last_step(&by_sentence));
    assert!(last_step(&by_keys).starts_with("Fair "), "{}", last_step(&by_keys));
    assert_eq!(document(&by_keys).project().advance, document(&by_sentence).project().advance);
    let faired = document(&by_keys).project().advance.origins().iter().filter(|origin| **origin == Origin::Faired);
    assert!(faired.count() > 100);
    assert_eq!(Origin::Faired.name(), "faired");

    let mut by_sentence = four();
    select(&mut by_sentence, one, one);
    by_sentence.get_by_label("Fill between edges, whole table").click();
    by_sentence.run();
    let mut by_keys = four();
    select(&mut by_keys, one, one);
    by_keys.key_press_modifiers(Modifiers::COMMAND, Key::E);
    by_keys.run();
    assert_eq!(last_step(&by_keys), last_step(&by_sentence));
    assert!(last_step(&by_keys).starts_with("Fill the whole table ("), "{}", last_step(&by_keys));
}

#[test]
fn a_single_row_is_filled_between_its_ends() {
    let mut window = four();
    select(&mut window, Cell::new(8, 4), Cell::new(8, 9));
    window.key_press_modifiers(Modifiers::COMMAND, Key::E);
    window.run();
    assert!(last_step(&window).ends_with("cells between edges"), "{}", last_step(&window));
    let table = document(&window).project().advance.table().clone();
    let (x, z) = (table.speed().breakpoints(), |speed| table.at(Cell::new(8, speed)));
    let straight = z(4) + (z(9) - z(4)) * (x[6] - x[4]) / (x[9] - x[4]);
    assert!((z(6) - straight).abs() < 1e-9);
    select(&mut window, Cell::new(8, 4), Cell::new(8, 5));
    window.key_press_modifiers(Modifiers::COMMAND, Key::E);
    window.run();
    assert_eq!(steps(&window), 2);
    assert!(window.state().screen().notice.as_ref().unwrap().text.starts_with("The block has no cells in between"));
}

#[test]
fn the_status_line_says_what_enter_will_do() {
    let mut window = four();
    let selection = window.state().screen().selection.clone();
    change_screen(&mut window, Action::TypeOver(selection, Some(CellEditor::typing("21"))));
    window.run();
    assert!(has(&window, "Enter sets 4 cells, Esc does not"));
}

#[test]
fn origins_are_told_in_full() {
    let mut window = window(sample("wren-four"));
    let table = document(&window).project().advance.table().clone();
    let first = Cell::new(0, 0);
    let selection = CellSelection { cells: Selection::all(&table), cursor: first, anchor: first };
    change_screen(&mut window, ScreenMessage::Select(selection));
    window.run();
    let words = label_with(&window, "Origin: ");
    let project = sample("wren-four");
    for origin in Origin::ALL {
        let cells = project.advance.origins().iter().filter(|other| **other == origin).count();
        assert_eq!(words.contains(&format!("{} {cells}", origin.name())), cells > 0, "{words}");
    }
}

#[test]
fn the_marks_have_a_legend_on_every_sheet() {
    let mut window = four();
    for &sheet in Sheet::ALL {
        change_screen(&mut window, ScreenMessage::Show(sheet));
        window.run();
        window.get_by_label("What the marks mean").click();
        window.run();
        let own: &[&str] = match sheet {
            Sheet::Advance => &["held: no tool moves this cell", "changed from the base", "a cell: drag it up or down"],
            Sheet::Engine => &["done, or as it should be", "assumed: nobody has confirmed it"],
            Sheet::Compare => &["a region of changes, by its number in the list"],
            Sheet::Rig => &["where the run on the rig is at present"],
            Sheet::Export => &["differs from the file compared with"],
            Sheet::Trims => &["the trims change nothing here", "assumed: nobody has confirmed it"],
            Sheet::Limits => &["assumed: nobody has confirmed it"],
            Sheet::Evidence => &["measured, but not in use"],
            Sheet::Checks => &["a cell as it would be", "what is allowed: its foot points to what is not; drag it"],
        };
        for words in own.iter().chain(&["a warning: probably wrong, look into it"]) {
            assert!(window.query_by_label(words).is_some(), "{sheet:?}: {words}");
        }
        assert_eq!(has(&window, "held: no tool moves this cell"), sheet == Sheet::Advance, "{sheet:?}");
        if sheet == Sheet::Advance {
            pictured(&mut window, "legend");
        }
        window.key_press_modifiers(Modifiers::SHIFT, Key::F1);
        window.run();
        assert!(!has(&window, "a warning: probably wrong, look into it"), "{sheet:?}");
    }
}
