//! A process that ends without closing its documents leaves what was not saved in a recovery copy, whatever ended it.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};

use sparkloft::document::{DataFolder, Document, Recovery};
use sparkloft::project::{Fault, LoadKind, NewProject, Project};
use sparkloft::window::workbench::desktop::watch_for_it;

use crate::child;

const READY: &str = "the other process is ready";

fn rename(project: &Project) -> Result<Project, Fault> {
    project.edit(|parts| parts.name = "renamed".into())
}

fn data(folder: &Path) -> DataFolder {
    DataFolder::at(folder.join("data"))
}

/// A document with a change that is in no copy yet.
fn changed(folder: &Path) -> Document {
    let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 4, loads: 4 };
    let mut document = Document::untitled_in(&data(folder), new.create().unwrap(), "trial");
    document.apply("Rename", None, rename).unwrap();
    assert!(Recovery::new(&data(folder)).list().is_empty());
    document
}

/// Runs a test in a process of its own until it is ready or has ended.
fn start(test: &str, folder: &Path) -> Child {
    // The threads of the test program itself must leave the signals to the one that waits for them.
    let command = child::command(test, folder);
    let mut blocked = Command::new("env");
    blocked.arg("--block-signal=TERM,HUP,INT").arg(command.get_program()).args(command.get_args());
    blocked.envs(command.get_envs().filter_map(|(name, value)| Some((name, value?))));
    let mut child = blocked.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let _ = lines.map_while(Result::ok).any(|line| line.ends_with(READY));
    child
}

/// The name of the project in the one copy that a process left.
fn left(folder: &Path) -> String {
    let mut offers = Recovery::new(&data(folder)).list();
    assert_eq!(offers.len(), 1, "{:?}", fs::read_dir(folder.join("data/recovery")).map(Iterator::count));
    offers.remove(0).open().unwrap().project().name.clone()
}

#[test]
fn a_signal_lets_the_copy_be_written_and_then_ends_the_process() {
    use std::os::unix::process::ExitStatusExt;
    for (name, number) in [("TERM", 15), ("HUP", 1), ("INT", 2)] {
        let folder = tempfile::tempdir().unwrap();
        let mut child = start("document_ending::changes_and_waits", folder.path());
        let process = child.id().to_string();
        assert!(Command::new("kill").args(["-s", name, &process]).status().unwrap().success());
        assert_eq!(child.wait().unwrap().signal(), Some(number), "{name}");
        assert_eq!(left(folder.path()), "renamed", "{name}");
    }
}

#[test]
#[ignore = "runs in the process that is ended"]
fn changes_and_waits() {
    let Some(folder) = child::folder() else {
        return;
    };
    watch_for_it();
    let _document = changed(&folder);
    println!("{READY}");
    loop {
        std::thread::park();
    }
}

#[test]
fn a_library_that_ends_the_process_does_not_lose_the_work() {
    let folder = tempfile::tempdir().unwrap();
    let mut child = start("document_ending::exits", folder.path());
    assert_eq!(child.wait().unwrap().code(), Some(1));
    assert_eq!(left(folder.path()), "renamed");
}

#[test]
#[ignore = "runs in the process that is ended"]
fn exits() {
    let Some(folder) = child::folder() else {
        return;
    };
    watch_for_it();
    let _document = changed(&folder);
    // As the X library does where its display is gone: no destructor of this function runs.
    std::process::exit(1);
}

#[test]
fn a_panic_that_nothing_survives_does_not_lose_the_work() {
    let folder = tempfile::tempdir().unwrap();
    let mut child = start("document_ending::panics_twice", folder.path());
    assert!(!child.wait().unwrap().success());
    assert_eq!(left(folder.path()), "renamed");
}

#[test]
#[ignore = "runs in the process that is ended"]
fn panics_twice() {
    struct Again;
    impl Drop for Again {
        fn drop(&mut self) {
            panic!("and again, which ends the process");
        }
    }
    let Some(folder) = child::folder() else {
        return;
    };
    watch_for_it();
    let _document = changed(&folder);
    let _again = Again;
    panic!("once");
}
