//! What the system refuses: the work is kept, and the error says what to do.

use std::fs;
use std::os::unix::fs::{MetadataExt, PermissionsExt, chown};
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::Command;

use sparkloft::document::{DataFolder, Document, OpenError, SaveError, SaveWarning};
use sparkloft::project::{Fault, LoadKind, NewProject, Project, write};

use crate::child;

fn project() -> Project {
    NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 }.create().unwrap()
}

fn rename(project: &Project) -> Result<Project, Fault> {
    project.edit(|parts| parts.name = "renamed".into())
}

fn run(mut command: Command) {
    let output = command.output().unwrap();
    let (out, err) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    assert!(output.status.success() && out.contains("1 passed"), "{out}{err}");
}

fn mode(path: &Path, mode: u32) {
    fs::set_permissions(path, fs::Permissions::from_mode(mode)).unwrap();
}

/// The system administrator may write everywhere, so that the test must run as somebody else.
const SOMEBODY: u32 = 65_534;

#[test]
fn places_that_are_not_to_be_written() {
    let folder = tempfile::tempdir().unwrap();
    let inside = folder.path().join("closed");
    fs::create_dir(&inside).unwrap();
    fs::write(inside.join("open.ron"), write(&project()).unwrap()).unwrap();
    fs::write(inside.join("secret.ron"), write(&project()).unwrap()).unwrap();
    fs::create_dir(folder.path().join("data")).unwrap();
    let test = "document_refusals::writes_where_it_may_not";
    let mut command = child::command(test, folder.path());
    if fs::metadata(folder.path()).unwrap().uid() == 0 {
        // Where this program lies nobody else may be allowed to go.
        let program = folder.path().join("program");
        fs::copy(command.get_program(), &program).unwrap();
        command = child::command_of(&program, test, folder.path());
        command.current_dir(folder.path());
        let places = ["", "closed", "closed/open.ron", "closed/secret.ron", "data"];
        places.iter().for_each(|place| chown(folder.path().join(place), Some(SOMEBODY), Some(SOMEBODY)).unwrap());
        command.uid(SOMEBODY).gid(SOMEBODY);
    }
    mode(&inside.join("secret.ron"), 0o200);
    mode(&inside, 0o500);
    run(command);
    mode(&inside, 0o700);
    let text = fs::read_to_string(inside.join("open.ron")).unwrap();
    assert_eq!(text, write(&rename(&project()).unwrap()).unwrap());
}

#[test]
#[ignore = "runs in a process of its own"]
fn writes_where_it_may_not() {
    let Some(folder) = child::folder() else {
        return;
    };
    let (data, inside) = (DataFolder::at(folder.join("data")), folder.join("closed"));
    assert!(matches!(Document::open_in(&data, &inside.join("secret.ron")), Err(OpenError::Denied { .. })));
    let mut document = Document::open_in(&data, &inside.join("open.ron")).unwrap();
    document.apply("Rename", None, rename).unwrap();
    let error = document.save_as(&inside.join("new.ron")).unwrap_err();
    assert!(matches!(error, SaveError::Denied { .. }) && error.to_string().contains("another folder"), "{error}");
    assert_eq!(document.path(), Some(&*inside.join("open.ron")));
    assert!(document.is_changed());
    // The file itself may be written, though nothing can take its place.
    let saved = document.save().unwrap();
    assert!(matches!(&saved.warnings[..], [SaveWarning::WrittenInPlace { .. }]), "{saved:?}");
    drop(document);
    assert_eq!(fs::read_dir(folder.join("data/recovery")).unwrap().count(), 0, "the copy made before is gone");
    // Without a place for that copy the file is left alone.
    let mut document = Document::open_in(&DataFolder::at("/proc/nowhere"), &inside.join("open.ron")).unwrap();
    assert!(document.note().unwrap().contains("not be noticed"));
    let error = document.save().unwrap_err();
    assert!(matches!(error, SaveError::NoCopy { .. }), "{error}");
    assert!(document.recovery_fault().is_some());
}

#[test]
fn a_full_disk() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("car.ron");
    fs::write(&path, write(&project()).unwrap()).unwrap();
    let child = child::command("document_refusals::writes_without_room", folder.path());
    // No room for a single byte, without the signal that would end the process.
    let mut command = Command::new("sh");
    command.args(["-c", "trap '' XFSZ; ulimit -f 0; exec \"$@\"", "sh"]);
    command.arg(child.get_program()).args(child.get_args());
    command.envs(child.get_envs().filter_map(|(name, value)| Some((name, value?))));
    run(command);
    assert_eq!(fs::read_to_string(&path).unwrap(), write(&project()).unwrap());
    let left: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(left.len(), 2, "the file and the data folder, nothing half-written: {left:?}");
    assert_eq!(fs::read_dir(folder.path().join("data/recovery")).unwrap().count(), 0);
}

#[test]
#[ignore = "runs in a process of its own"]
fn writes_without_room() {
    let Some(folder) = child::folder() else {
        return;
    };
    let mut document = Document::open_in(&DataFolder::at(folder.join("data")), &folder.join("car.ron")).unwrap();
    document.apply("Rename", None, rename).unwrap();
    for error in [document.save().unwrap_err(), document.save_as(&folder.join("new.ron")).unwrap_err()] {
        assert!(matches!(error, SaveError::Full { .. }) && error.to_string().contains("make room"), "{error}");
    }
    assert!(document.is_changed() && document.path() == Some(&*folder.join("car.ron")));
    assert_eq!(document.project().name, "renamed");
}
