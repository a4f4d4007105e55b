//! What views ask for is data: it can be compared, done again in another window, and written down.

use std::fmt::Debug;
use std::path::Path;

use eframe::egui::Key;
use sparkloft::document::Document;
use sparkloft::shaping::Tool;
use sparkloft::table::Cell;
use sparkloft::window::Surroundings;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::compare_state::{BaseChoice, CompareMessage, SnapshotForm};
use sparkloft::window::state::edits::{CurveEdit, CurveOf, DocumentEdit, OutputEdit, SnapshotEdit};
use sparkloft::window::state::form_state::FormMessage;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;
use sparkloft::window::state::selection::CellSelection;
use sparkloft::window::workbench::{Trace, Workbench};

use super::frame::Place;
use super::frame_files::run;
use super::harness::{Window, sample, window, workbench_window};

/// What no closure can be.
fn is_data<T: Debug + Clone + PartialEq + Send>() {}

#[test]
fn no_message_holds_a_closure() {
    is_data::<Action>();
    is_data::<ScreenMessage>();
    is_data::<DocumentEdit>();
    fn code(folder: &Path, found: &mut String) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            match path.is_dir() {
                true => code(&path, found),
                false => found.push_str(&std::fs::read_to_string(path).unwrap()),
            }
        }
    }
    let mut state = String::new();
    code(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src/window/state"), &mut state);
    assert!(state.contains("enum Action") && !state.contains("dyn Fn"), "the floor of plain data holds closures");
}

fn ask(window: &mut Window, messages: &[Action]) {
    for message in messages {
        window.state_mut().ask(message.clone());
        window.step();
    }
    window.run();
}

#[test]
fn the_same_messages_do_the_same_in_another_window() {
    let table = sample("tarn-special").advance.table().clone();
    let block = CellSelection::block(&table, Cell::new(2, 3), Cell::new(4, 5));
    let form = SnapshotForm { of: None, name: "run 7".into(), note: "fuel 98".into() };
    let take =
        SnapshotEdit::Take { name: "run 7".into(), note: "fuel 98".into(), taken_at: "2026-03-21T17:05:00Z".into() };
    let curve = CurveEdit::Value { index: 0, to: 5.0 };
    let messages: Vec<Action> = vec![
        ScreenMessage::Select(block.clone()).into(),
        Action::Shape(Tool::Add { deg: 1.5 }, block.cells.clone()),
        Action::Edit("Set idle".into(), DocumentEdit::set_field("engine.idle_speed_rpm", "950")),
        Action::Edit("Set a point".into(), DocumentEdit::Curve(CurveOf::CoolantTrim, curve)),
        Action::Edit("Add an output".into(), OutputEdit::AddOther.into()),
        Action::DragEdit("Drag".into(), DocumentEdit::SetReference(61.0)),
        Action::DragEdit("Drag".into(), DocumentEdit::SetReference(62.5)),
        Action::DragEnd,
        CompareMessage::Form(Some(form)).into(),
        Action::Edit("Take snapshot 'run 7'".into(), take.into()),
        CompareMessage::Form(None).into(),
        CompareMessage::Base(BaseChoice::Snapshot("run 7".into())).into(),
        Action::Run(Command::Raise),
        FormMessage::Refuse("name".into(), "x".into(), "no".into()).into(),
        ScreenMessage::Show(Sheet::Compare).into(),
    ];
    let windows = [(); 2].map(|()| {
        let mut window = window(sample("tarn-special"));
        ask(&mut window, &messages);
        window
    });
    let [one, other] = windows.each_ref().map(|window| window.state());
    let project = one.document().project();
    assert_eq!(project, other.document().project());
    assert_eq!(one.document().steps().len(), other.document().steps().len());
    assert_eq!(project.engine.idle_speed_rpm, 950.0);
    assert_eq!((project.trigger.reference_deg, project.trims.coolant.degrees.points().next().unwrap().1), (62.5, 5.0));
    let last = &one.document().steps().last().unwrap().label;
    assert!(last.starts_with("Raise 9 cells"), "{last}");
    for workbench in [one, other] {
        let screen = workbench.screen();
        assert_eq!((screen.sheet, &screen.selection, screen.form.refused()), (Sheet::Compare, &block, 1));
        assert_eq!(screen.compare.base, BaseChoice::Snapshot("run 7".into()));
        assert!(screen.compare.snapshot_form.is_none());
    }
}

fn traced(place: &Place) -> Window {
    let trace = Trace::to(&place.path("trace.txt")).unwrap();
    let document: Document = place.untitled();
    let workbench = Workbench::within(document, Surroundings { trace, ..place.surroundings() });
    workbench_window(workbench, eframe::egui::vec2(1280.0, 800.0), 1.0)
}

#[test]
fn everything_that_is_carried_out_is_written_down() {
    let place = Place::new();
    let mut window = traced(&place);
    window.run();
    window.key_press(Key::ArrowRight);
    window.run();
    run(&mut window, Command::Raise);
    let edit = DocumentEdit::set_field("notes", "one\ntwo\u{202e}");
    window.state_mut().ask(Action::Edit("Set notes".into(), edit));
    window.run();
    let text = std::fs::read_to_string(place.path("trace.txt")).unwrap();
    let lines: Vec<(f64, &str)> = text
        .lines()
        .map(|line| line.split_once(' ').map(|(since_s, told)| (since_s.parse().unwrap(), told)).unwrap())
        .collect();
    assert!(lines.is_sorted_by(|one, next| one.0 <= next.0) && text.ends_with('\n'), "{text}");
    let at = |begin: &str| lines.iter().position(|(_, told)| told.starts_with(begin));
    let (moved, raised) = (at("TypeOver(CellSelection"), at("Run(Raise)"));
    assert!(moved.is_some() && moved < raised, "{text}");
    let noted = "Edit(\"Set notes\", SetFields([(\"notes\", \"one\\ntwo\\u{202e}\")]))";
    assert!(raised < at(noted), "{text}");
}

#[test]
fn a_trace_that_cannot_be_written_is_refused_at_once() {
    let place = Place::new();
    assert!(Trace::to(&place.path("missing/trace.txt")).is_err());
}
