//! A process killed at any moment leaves a whole project file, and its unsaved changes in a recovery copy.

use std::convert::Infallible;
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Stdio};
use std::thread::sleep;
use std::time::Duration;

use sparkloft::document::{DataFolder, Document, Recovery};
use sparkloft::project::{Advance, LoadKind, NewProject, Origin, Project, read, write};

use crate::child;

const READY: &str = "the other process is ready";

fn project() -> Project {
    NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 16, loads: 16 }.create().unwrap()
}

/// The project with every cell at a value, so that no mixture of two such files is one of them.
fn flat(project: &Project, advance_deg: f64) -> Result<Project, Infallible> {
    let cells = project.advance.table().values().len();
    let flat = project.advance.with_values(vec![advance_deg; cells], Origin::Typed).unwrap();
    // Cells that had the value already would keep their origin.
    let typed = Advance::uniform(flat.table().clone(), Origin::Typed).unwrap();
    Ok(project.with_advance(typed).unwrap())
}

fn file(folder: &Path) -> std::path::PathBuf {
    folder.join("car.ron")
}

fn data(folder: &Path) -> DataFolder {
    DataFolder::at(folder.join("data"))
}

/// A folder with a project in it, flat at 10°.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let project = flat(&project(), 10.0).unwrap();
    Document::untitled_in(&data(folder.path()), project, "car").save_as(&file(folder.path())).unwrap();
    folder
}

/// Starts a process and waits for it to say that it is ready.
fn start(test: &str, folder: &Path) -> Child {
    let mut child = child::command(test, folder).stdout(Stdio::piped()).spawn().unwrap();
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    assert!(lines.map_while(Result::ok).any(|line| line.ends_with(READY)), "the other process ended early");
    child
}

fn kill(mut child: Child) {
    child.kill().unwrap();
    child.wait().unwrap();
}

#[test]
fn a_file_is_whole_whenever_its_writer_is_killed() {
    let folder = folder();
    let versions = [10.0, 20.0].map(|deg| write(&flat(&project(), deg).unwrap()).unwrap());
    let mut seen = [0; 2];
    let mut random = 0x9e37_79b9_7f4a_7c15_u64;
    for round in 0..300 {
        let child = start("document_kill::saves_in_a_loop", folder.path());
        // Marsaglia's xorshift; the system adds its own chance.
        random ^= random << 13;
        random ^= random >> 7;
        random ^= random << 17;
        sleep(Duration::from_micros(random % 20_000));
        kill(child);
        let text = fs::read_to_string(file(folder.path())).unwrap();
        read(text.as_bytes()).unwrap_or_else(|error| panic!("round {round}: {error}"));
        let version = versions.iter().position(|version| *version == text);
        seen[version.unwrap_or_else(|| panic!("round {round}: a mixture of both versions"))] += 1;
    }
    assert!(seen.iter().all(|&count| count > 0), "the kills came before the first save: {seen:?}");
    let unfinished = fs::read_dir(folder.path()).unwrap().count() - 2;
    println!("seen {seen:?}; {unfinished} kills struck while a file was being written");
}

#[test]
#[ignore = "runs in the process that is killed"]
fn saves_in_a_loop() {
    let Some(folder) = child::folder() else {
        return;
    };
    let mut document = Document::open_in(&data(&folder), &file(&folder)).unwrap();
    assert!(!document.is_read_only(), "the lock of a killed process must be free");
    let is_first = document.project() == &flat(document.project(), 10.0).unwrap();
    println!("{READY}");
    loop {
        for deg in if is_first { [20.0, 10.0] } else { [10.0, 20.0] } {
            document.apply("Flatten", None, |project| flat(project, deg)).unwrap();
            document.save().unwrap();
        }
    }
}

#[test]
fn changes_of_a_killed_process_are_offered() {
    let folder = folder();
    let child = start("document_kill::changes_and_waits", folder.path());
    assert!(Recovery::new(&data(folder.path())).list().is_empty(), "it still lives");
    let mut second = Document::open_in(&data(folder.path()), &file(folder.path())).unwrap();
    assert!(second.is_read_only());
    kill(child);
    second.check_disk();
    assert!(!second.is_read_only());
    second.close();
    let mut offers = Recovery::new(&data(folder.path())).list();
    assert_eq!(offers.len(), 1);
    let document = offers.remove(0).open().unwrap();
    assert_eq!(document.project(), &flat(&project(), 30.0).unwrap());
    assert!(document.is_changed() && !document.is_read_only());
}

#[test]
#[ignore = "runs in the process that is killed"]
fn changes_and_waits() {
    let Some(folder) = child::folder() else {
        return;
    };
    let mut document = Document::open_in(&data(&folder), &file(&folder)).unwrap();
    document.apply("Flatten", None, |project| flat(project, 30.0)).unwrap();
    let copies = folder.join("data/recovery");
    let is_there =
        || fs::read_dir(&copies).is_ok_and(|mut files| files.any(|f| f.unwrap().path().extension().unwrap() == "ron"));
    while !is_there() {
        sleep(Duration::from_millis(10));
    }
    println!("{READY}");
    loop {
        sleep(Duration::from_secs(1));
    }
}
