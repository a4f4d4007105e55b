//! The reader of project files under mutated input: it either refuses a file or reads it completely, and never
//! panics.

use std::sync::Arc;

use super::{
    AcceptedFinding, Content, FindingPlace, LastExport, LoadKind, NewProject, Parts, Project, Snapshot, as_version_1,
    read, write,
};
use crate::table::Changes;

/// Pieces of text that tend to upset a RON reader.
const PIECES: [&str; 24] = [
    "(",
    ")",
    "[",
    "]",
    "{",
    "}",
    ",",
    ":",
    "\"",
    "None",
    "Some(",
    "inf",
    "-inf",
    "NaN",
    "1e999",
    "-",
    "0x",
    "/*",
    "//",
    "r#\"",
    "\\u{110000}",
    "\u{feff}",
    "\u{2212}",
    "99999999999999999999",
];

fn mutate(random: &mut Changes, good: &[u8]) -> Vec<u8> {
    let mut bytes = good.to_vec();
    for _ in 0..=random.below(3) {
        let at = random.below(bytes.len().max(1));
        let piece = PIECES[random.below(PIECES.len())].bytes();
        match random.below(6) {
            0 => bytes.truncate(at),
            1 => drop(bytes.splice(at..at, piece)),
            2 => drop(bytes.splice(at..(at + random.below(12)).min(bytes.len()), piece)),
            3 => drop(bytes.drain(at..(at + random.below(40)).min(bytes.len()))),
            4 => {
                let copy = bytes[at..(at + random.below(60)).min(bytes.len())].to_vec();
                let to = random.below(bytes.len().max(1));
                bytes.splice(to..to, copy);
            }
            _ => {
                let byte = u8::try_from(random.below(256)).unwrap();
                if let Some(slot) = bytes.get_mut(at) {
                    *slot = byte;
                }
            }
        }
    }
    bytes
}

/// With the advance table in its image, one field and one curve: more items of the same form would only draw mutations
/// away from everything else.
fn small() -> Project {
    let new = NewProject { name: "m".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 2, loads: 2 };
    let few_items = |parts: &mut Parts| {
        let (mut fields, mut curves) = (0, 0);
        parts.image.items.retain(|item| {
            let count = match item.content {
                Content::Field => &mut fields,
                of_curve if of_curve.curve().is_some() => &mut curves,
                _ => return true,
            };
            *count += 1;
            *count <= if item.content == Content::Field { 1 } else { 2 }
        });
    };
    new.create_with_outputs().edit(few_items).unwrap().edit(measured).unwrap()
}

/// One point and one reading, with all their values.
fn measured(parts: &mut Parts) {
    parts.evidence = NewProject::sample_with_everything().unwrap().evidence;
    Arc::make_mut(&mut parts.evidence.sweeps[0]).readings.truncate(1);
}

/// A small project of version 1 with everything that the upgrade looks at, in itself and in its kept states.
fn of_version_1() -> Vec<u8> {
    let accept = |id: &str, place| AcceptedFinding { id: id.into(), place, value: 1.0, reason: "so it is".into() };
    let project = small().edit(|parts| {
        parts.checks.accepted = vec![
            accept("stands_out", FindingPlace::cells((500.0, 7000.0), (0.0, 100.0))),
            accept("chatter", FindingPlace::field("outputs[fan].conditions[coolant].off")),
            accept("dwell_fit", FindingPlace { at: Some(13.8), ..FindingPlace::field("coil.dwell_ms") }),
            accept("gap", FindingPlace { of: "A, B".into(), ..FindingPlace::field("trigger.reference_deg") }),
        ];
    });
    let state = project.unwrap();
    let kept = state.edit(|parts| {
        let (name, note, at) = ("s".to_owned(), String::new(), "2026-05-04T10:00:00Z".to_owned());
        parts.snapshots.push(Arc::new(Snapshot { name, note, taken_at: at.clone(), state: state.clone() }));
        let (file_name, checksum) = ("a.hex".into(), "29B1".into());
        let last = LastExport { file_name, written_at: at, checksum, despite_errors: None, state: state.clone() };
        parts.last_export = Some(Arc::new(last));
    });
    as_version_1(&kept.unwrap()).into_bytes()
}

fn shake(good: &[u8], rounds: usize, seed: u64) {
    let mut random = Changes::new(seed);
    let mut refused = 0;
    assert!(read(good).is_ok());
    for _ in 0..rounds {
        let bytes = mutate(&mut random, good);
        match read(&bytes) {
            Err(error) => {
                refused += 1;
                assert!(error.to_string().contains("line ") || error.to_string().contains("version"), "{error}");
            }
            Ok(project) => assert_whole(&project),
        }
    }
    assert!(refused > rounds / 2, "only {refused} of {rounds} were refused: the mutations do too little");
}

/// Whatever was read is a complete project: it can be written, and reads back the same.
fn assert_whole(project: &Project) {
    let text = write(project).unwrap();
    assert_eq!(read(text.as_bytes()).as_ref(), Ok(project));
}

#[test]
fn twenty_thousand_mutated_files_are_refused_or_read_whole() {
    shake(write(&small()).unwrap().as_bytes(), 20_000, 0x5EED_CAFE);
}

/// Fewer, since behind the steps from version to version stands the reader of the test above; and each takes five times
/// as long.
#[test]
fn five_thousand_mutated_files_of_version_1_are_refused_or_read_whole() {
    shake(&of_version_1(), 5_000, 0x01D_5EED);
}

#[test]
#[ignore = "minutes; run with --release"]
fn a_million_mutated_files_are_refused_or_read_whole() {
    shake(write(&small()).unwrap().as_bytes(), 1_000_000, 0x0DD5_EED5);
}

#[test]
#[ignore = "minutes; run with --release"]
fn a_million_mutated_files_of_version_1_are_refused_or_read_whole() {
    shake(&of_version_1(), 1_000_000, 0x0123_5EED);
}
