//! Random keys, clicks, drags and pastes in a window with two projects: whatever comes, each stays whole, the screen fits
//! the one shown, and undo leads each back to its first state. Where that fails, the shortest list of inputs found that fails is printed, as a file of them is
//! written; `SPARKLOFT_MONKEY=FILE cargo test --test all a_file_of_inputs -- --ignored --nocapture` does it again.
//!
//! Left out are only the keys that open or write files, the top bar with its buttons for the same, and the page on which
//! any key could be given to them.

use std::any::Any;
use std::cell::Cell;
use std::panic::{self, AssertUnwindSafe};
use std::sync::Once;
use std::time::{Duration, Instant};

use eframe::egui::{Key, Vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::project::Project;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::dialogs::{DialogMessage, Told};
use sparkloft::window::state::edits::DocumentEdit;
use sparkloft::window::state::file_jobs::Next;
use sparkloft::window::state::outbox::{Action, FileAction};

use super::harness::{Window, new_project, sample, sized_window};
use super::monkey_inputs::{Input, Random, let_go, read, written};
use super::shrinking::shortest;

const SIZE: Vec2 = Vec2::new(1000.0, 760.0);

/// The sample that is open beside the project.
const SECOND: usize = 1;

/// A failing list is made shorter for so long.
const SHRINK_FOR: Duration = Duration::from_secs(600);

/// The file with inputs to be done again: the project on the first line, one input on each of the others.
const FILE: &str = "SPARKLOFT_MONKEY";

/// What a window is opened on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Start {
    /// A new project with six speeds and five loads.
    New,
    /// A sample by its name.
    Sample(&'static str),
}

impl Start {
    const ALL: [Self; 4] =
        [Self::New, Self::Sample("wren-four"), Self::Sample("larch-six"), Self::Sample("tarn-special")];

    const fn name(self) -> &'static str {
        match self {
            Self::New => "new project",
            Self::Sample(name) => name,
        }
    }

    fn project(self) -> Project {
        match self {
            Self::New => new_project(6, 5),
            Self::Sample(name) => sample(name),
        }
    }
}

/// What must hold after every input.
fn check(window: &Window) {
    let workbench = window.state();
    let project = workbench.document().project();
    let table = project.advance.table();
    let selection = &workbench.screen().selection;
    assert!(selection.cells.fits(table), "the selection is for another table");
    assert!(!selection.cells.is_empty(), "nothing is selected");
    assert!(selection.cursor.load < table.load().len() && selection.cursor.speed < table.speed().len());
    if let Err(fault) = Project::new((**project).clone()) {
        panic!("the project is invalid: {fault}");
    }
}

/// Does all inputs in a fresh window; counts those that are done. Gives how many steps were made.
fn carry_out(start: Start, inputs: &[Input], done: &Cell<usize>) -> usize {
    let project = start.project();
    let mut window = sized_window(project.clone(), SIZE, 1.0);
    // A project in which nothing was done would give way to the second one.
    window.state_mut().ask(Action::Edit("Begin".into(), DocumentEdit::set_field("notes", "begun")));
    window.state_mut().ask(Action::File(FileAction::Leave(Next::Sample(SECOND))));
    window.step();
    window.step();
    for (count, input) in inputs.iter().enumerate() {
        done.set(count);
        input.carry_out(&mut window);
        // The monkey writes no files: Enter would take the proposed path.
        if window.query_by_label("Path").is_some() {
            window.key_press(Key::Escape);
            window.step();
        }
        // The whole check takes as long as a frame; a broken state does not mend itself in between.
        if count % 4 == 0 {
            check(&window);
        }
    }
    done.set(inputs.len());
    check(&window);
    let_go(&mut window);
    for _ in 0..3 {
        window.key_press(Key::Escape);
        window.step();
    }
    window.state_mut().ask(DialogMessage::PutAway(Told::Question));
    let mut steps = 0;
    for _ in 0..window.state().projects().list.len() {
        steps += window.state().document().steps().len();
        leads_back(&mut window, &project);
        window.state_mut().ask(Action::Run(Command::NextProject));
        window.step();
        window.step();
    }
    steps
}

/// Undoes everything in the project shown, which is again as it was at first.
fn leads_back(window: &mut Window, first: &Project) {
    for _ in 0..window.state().document().steps().len() {
        window.state_mut().ask(Action::Run(Command::Undo));
    }
    window.step();
    window.step();
    let document = window.state().document();
    assert_eq!(document.undo_label(), None);
    let title = document.title();
    let first = if title == "trial" { first.clone() } else { sample(&title) };
    assert_eq!(*document.project(), first, "undo does not lead {title} back to its first state");
}

thread_local! {
    /// Whether this thread keeps silent about a panic: it has been told already.
    static IS_SILENT: Cell<bool> = const { Cell::new(false) };
}

/// Whether the inputs fail, without a word about it.
fn fails(start: Start, inputs: &[Input]) -> bool {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| {
        let loud = panic::take_hook();
        panic::set_hook(Box::new(move |told| {
            if !IS_SILENT.get() {
                loud(told);
            }
        }));
    });
    IS_SILENT.set(true);
    let done = panic::catch_unwind(AssertUnwindSafe(|| carry_out(start, inputs, &Cell::new(0))));
    IS_SILENT.set(false);
    done.is_err()
}

/// Prints the shortest list of inputs found that fails, and fails as it did.
fn tell_shortest(start: Start, inputs: &[Input], why: Box<dyn Any + Send>) -> ! {
    let began = Instant::now();
    let short = shortest(inputs, |inputs| fails(start, inputs), || began.elapsed() < SHRINK_FOR);
    eprintln!("{} inputs fail, as a file for {FILE}:\n{}\n{}", short.len(), start.name(), written(&short));
    panic::resume_unwind(why)
}

fn play(start: Start, count: usize, seed: u64) {
    let mut random = Random(seed);
    let inputs: Vec<Input> = (0..count).map(|_| Input::any(&mut random)).collect();
    let done = Cell::new(0);
    match panic::catch_unwind(AssertUnwindSafe(|| carry_out(start, &inputs, &done))) {
        Ok(steps) => assert!(steps > count / 100, "the monkey hardly changed anything"),
        Err(why) => tell_shortest(start, &inputs[..count.min(done.get() + 1)], why),
    }
}

#[test]
fn two_thousand_random_inputs_do_no_harm() {
    play(Start::New, 1_500, 0x0BAD_5EED);
    play(Start::Sample("wren-four"), 500, 0xC0FF_EE11);
}

#[test]
#[ignore = "minutes; run with --release"]
fn twenty_thousand_random_inputs_do_no_harm() {
    play(Start::New, 10_000, 0x1234_5678);
    play(Start::Sample("wren-four"), 5_000, 0x8765_4321);
    play(Start::Sample("larch-six"), 5_000, 0x2468_ACE1);
}

#[test]
#[ignore = "needs SPARKLOFT_MONKEY=FILE"]
fn a_file_of_inputs_is_done_again() {
    let path = std::env::var_os(FILE).unwrap_or_else(|| panic!("{FILE} names no file"));
    let text = std::fs::read_to_string(path).unwrap();
    let (name, inputs) = text.split_once('\n').unwrap_or((&text, ""));
    let start = Start::ALL.into_iter().find(|start| start.name() == name.trim());
    let start = start.unwrap_or_else(|| panic!("there is no project '{name}' to begin with"));
    let steps = carry_out(start, &read(inputs), &Cell::new(0));
    eprintln!("no harm was done in {steps} steps");
}
