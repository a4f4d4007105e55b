//! The project file: read completely or not at all, and written.

use std::cell::Cell;
use std::fmt;

use serde::de::{Deserializer, Error as _, IgnoredAny, MapAccess, Visitor};
use thiserror::Error;

use super::{FORMAT, Parts, Project, Tree, TreeError, Upgrade, read_faults, ron_text, upgrade};

/// Files larger than this are refused.
pub const LARGEST_FILE_BYTES: u64 = 16 * 1024 * 1024;

/// Why a text is not a project.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum ReadError {
    /// More than 16 MB.
    #[error("the file has {bytes} bytes; a project has at most {LARGEST_FILE_BYTES}")]
    TooLarge {
        /// How large it is.
        bytes: u64,
    },
    /// Written by a later Sparkloft.
    #[error(
        "the file has format version {found}; this Sparkloft reads up to version {FORMAT}: a newer Sparkloft wrote it, open it with that one"
    )]
    Newer {
        /// The version found.
        found: u32,
    },
    /// Not a project; says where and why.
    #[error("line {line}:{column}{}: {message}{}", in_field(.path), with_hint(.hint))]
    Invalid {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// The dotted path of the field; empty when there is none.
        path: String,
        /// What is wrong.
        message: String,
        /// What to do; may be empty.
        hint: String,
    },
}

fn in_field(path: &str) -> String {
    if path.is_empty() { String::new() } else { format!(", field {path}") }
}

fn with_hint(hint: &str) -> String {
    if hint.is_empty() { String::new() } else { format!("; {hint}") }
}

/// Reads a project file of any version.
///
/// # Errors
/// [`ReadError`] with line, column, field and hint; nothing partial ever comes back.
pub fn read(bytes: &[u8]) -> Result<Project, ReadError> {
    read_upgrading(bytes).map(|(project, _)| project)
}

/// Reads a project file of any version, with remarks when it is of an older one.
///
/// # Errors
/// [`ReadError`] with line, column, field and hint, always for the file as given and not as upgraded; nothing
/// partial ever comes back.
pub fn read_upgrading(bytes: &[u8]) -> Result<(Project, Option<Upgrade>), ReadError> {
    let length = bytes.len() as u64;
    if length > LARGEST_FILE_BYTES {
        return Err(ReadError::TooLarge { bytes: length });
    }
    let text = std::str::from_utf8(bytes).map_err(|error| not_utf8(bytes, error.valid_up_to()))?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    match version(text) {
        Some(found) if found > FORMAT => Err(ReadError::Newer { found }),
        Some(found) if (upgrade::OLDEST..FORMAT).contains(&found) => {
            let today = upgrade::to_today(text, found)?;
            let project = project_of(today.text()).map_err(|error| today.in_the_file(error))?;
            Ok((project, Some(today.told())))
        }
        _ => Ok((project_of(text)?, None)),
    }
}

/// Writes a project file; the same project gives the same bytes.
///
/// ```
/// use sparkloft::project::{SAMPLES, read, write};
///
/// let project = SAMPLES[0].project()?;
/// assert_eq!(read(write(&project)?.as_bytes())?, project);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`TreeError`] never for a project that exists; it says which type this program forgot.
pub fn write(project: &Project) -> Result<String, TreeError> {
    Ok(ron_text::print(&Tree::of(project)?))
}

/// The version that a text declares, whatever comes after it.
fn version(text: &str) -> Option<u32> {
    struct Head<'a>(&'a Cell<Option<u32>>);

    impl<'de> Visitor<'de> for Head<'_> {
        type Value = ();

        fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
            formatter.write_str("a project")
        }

        fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
            while let Some(key) = map.next_key::<String>()? {
                if key == "format" {
                    self.0.set(Some(map.next_value()?));
                    return Err(A::Error::custom("the version is known"));
                }
                map.next_value::<IgnoredAny>()?;
            }
            Ok(())
        }
    }

    let found = Cell::new(None);
    let mut parser = ron::Deserializer::from_str_with_options(text, &ron_text::options()).ok()?;
    // The visitor stops the parser with an error once it has read the head, so the result is ignored.
    let _ = parser.deserialize_any(Head(&found));
    found.get()
}

fn project_of(text: &str) -> Result<Project, ReadError> {
    let parts = parse(text)?;
    Project::new(parts).map_err(|fault| read_faults::placed(text, "", fault))
}

/// Reads parts in today's form, without checking that they fit together.
pub(super) fn parse(text: &str) -> Result<Parts, ReadError> {
    let mut parser = ron::Deserializer::from_str_with_options(text, &ron_text::options())
        .map_err(|error| read_faults::told(text, &error, String::new()))?;
    let parts = serde_path_to_error::deserialize::<_, Parts>(&mut parser).map_err(|error| {
        // The parser writes a question mark where it could not name a field.
        let path = error.path().to_string();
        let path = path.trim_end_matches('?').trim_end_matches('.').to_owned();
        read_faults::told(text, &parser.span_error(error.into_inner()), path)
    })?;
    parser.end().map_err(|error| read_faults::told(text, &parser.span_error(error), String::new()))?;
    Ok(parts)
}

fn not_utf8(bytes: &[u8], valid: usize) -> ReadError {
    let before = bytes.get(..valid).unwrap_or_default();
    let line = before.iter().filter(|&&byte| byte == b'\n').count() + 1;
    let column = before.iter().rev().take_while(|&&byte| byte != b'\n').count() + 1;
    let hint = "save the file as UTF-8 text".into();
    ReadError::Invalid { line, column, path: String::new(), message: "the file is not UTF-8 text".into(), hint }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LastExport, LoadKind, NewProject, Snapshot};
    use crate::table::{Cell, Selection};
    use proptest::prelude::*;
    use std::sync::Arc;

    fn project(speeds: usize, loads: usize) -> Project {
        NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds, loads }.create_with_outputs()
    }

    /// A project with every optional part filled, a snapshot and a last export.
    fn everything() -> Project {
        let bare = Project::new(NewProject::sample_with_everything().unwrap()).unwrap();
        bare.edit(|parts| {
            let state = bare.as_state();
            let taken_at = "2026-05-04T10:00:00Z".to_owned();
            let snapshot = Snapshot {
                name: "run 7".into(),
                note: "fuel 98,\n\"air\" 24 °C".into(),
                taken_at: taken_at.clone(),
                state: state.clone(),
            };
            parts.snapshots.push(Arc::new(snapshot));
            let export = LastExport {
                file_name: "a.hex".into(),
                written_at: taken_at,
                checksum: "29B1".into(),
                despite_errors: None,
                state,
            };
            parts.last_export = Some(Arc::new(export));
        })
        .unwrap()
    }

    fn text(project: &Project) -> String {
        write(project).unwrap()
    }

    fn invalid(text: &str) -> (usize, String, String, String) {
        match read(text.as_bytes()).unwrap_err() {
            ReadError::Invalid { line, path, message, hint, .. } => (line, path, message, hint),
            other => panic!("{other}"),
        }
    }

    #[test]
    fn what_is_written_reads_back_the_same_and_writes_the_same_bytes() {
        let project = everything();
        let first = text(&project);
        let again = read(first.as_bytes()).unwrap();
        assert_eq!(again, project);
        assert_eq!(text(&again), first);
        assert!(first.starts_with(&format!("(\n    format: {FORMAT},\n")));
    }

    #[test]
    fn changing_one_cell_changes_at_most_two_lines() {
        let before = project(16, 16);
        let mut values = before.advance.table().values().to_vec();
        values[37] = -12.345_678;
        let cell = Selection::cell(before.advance.table(), Cell::new(2, 5));
        let advance = before.advance.with_values(values, crate::project::Origin::Typed).unwrap().with_held(&cell, true);
        let after = before.with_advance(advance).unwrap();
        let (before, after) = (text(&before), text(&after));
        assert_eq!(before.lines().count(), after.lines().count());
        assert_eq!(before.lines().zip(after.lines()).filter(|(a, b)| a != b).count(), 2);
    }

    #[test]
    fn an_unknown_field_is_named_with_the_nearest_known_one() {
        let wrong = text(&project(8, 8)).replacen("idle_speed_rpm: ", "idle_sped_rpm: ", 1);
        let (line, path, message, hint) = invalid(&wrong);
        assert_eq!(wrong.lines().position(|line| line.contains("idle_sped_rpm")).unwrap() + 1, line);
        assert!(path.starts_with("engine"), "{path}");
        assert!(message.contains("idle_sped_rpm"), "{message}");
        assert_eq!(hint, "did you mean 'idle_speed_rpm'?");
    }

    #[test]
    fn a_value_out_of_range_is_placed() {
        let wrong = text(&project(8, 8)).replacen("zero_offset_deg: 0", "zero_offset_deg: 55", 1);
        let (line, path, message, _) = invalid(&wrong);
        assert_eq!(wrong.lines().position(|line| line.contains(": 55")).unwrap() + 1, line);
        assert_eq!(
            (path.as_str(), message.as_str()),
            (
                "trigger.zero_offset_deg",
                "55 is outside −30..30°, three pitches of the wheel: move the reference by 6 teeth of 10.0° instead"
            )
        );
    }

    #[test]
    fn a_missing_field_is_named_where_it_is_missing() {
        let good = text(&everything());
        let line_of = |part: &str| good.lines().position(|line| line.contains(part)).unwrap() + 1;
        let without = |part: &str| {
            assert!(good.contains(part), "{part}");
            invalid(&good.replacen(part, "", 1))
        };
        let (line, path, message, hint) = without("        latency_us: 0,\n");
        assert_eq!((line, path.as_str()), (line_of("    trigger: ("), "trigger.latency_us"));
        assert_eq!(message, "the field 'latency_us' is missing");
        assert_eq!(hint, "write 'latency_us: ' there with a value: Sensor latency, 0..1000 µs");
        let (line, path, ..) = without("missing: 1");
        assert_eq!((line, path.as_str()), (line_of("wheel: ("), "trigger.wheel.missing"));
        let (line, path, _, hint) = without("    step_deg: 0.5,\n");
        assert_eq!((line, path.as_str()), (1, "step_deg"));
        assert!(hint.contains("Step, 0.01..10°"), "{hint}");
        let (line, path, ..) = without("            combine: all,\n");
        assert_eq!((line, path.as_str()), (line_of("    outputs: [") + 1, "outputs[0].combine"));
        let order = "        firing_order: [1, 3, 4, 2],\n";
        assert!(without(order).3.ends_with("with a value: Firing order, a list of 1..8"), "{}", without(order).3);
        let tail = good.find("    snapshots: [").unwrap();
        let inside = good[tail..].replacen("                    latency_us: 0,\n", "", 1);
        let (line, path, ..) = invalid(&format!("{}{inside}", &good[..tail]));
        assert_eq!(path, "snapshots[0].state.trigger.latency_us");
        let trigger = good[tail..].lines().position(|line| line.contains(" trigger: (")).unwrap();
        assert_eq!(line, good[..tail].lines().count() + trigger + 1);
    }

    #[test]
    fn faults_inside_kept_states_are_told_at_their_own_line() {
        let good = text(&everything());
        for part in ["    last_export: ", "    snapshots: ["] {
            let from = good.find(part).unwrap();
            let told = |what: &str, instead: &str| {
                assert!(good[from..].contains(what), "{what}");
                let wrong = format!("{}{}", &good[..from], good[from..].replacen(what, instead, 1));
                let at = wrong.lines().zip(good.lines()).position(|(now, then)| now != then).unwrap() + 1;
                let (line, path, message, _) = invalid(&wrong);
                // The points of a curve are refused as a whole, on the curve's first line.
                let line = if path.ends_with("dwell_ms") { line + 1 } else { line };
                assert_eq!(line, at, "{path}: {message}");
                (path.split_once(".state.").unwrap().1.to_owned(), message)
            };
            assert_eq!(
                told("zero_offset_deg: 0,", "zero_offset_deg: 55,").1,
                "55 is outside −30..30°, three pitches of the wheel: move the reference by 6 teeth of 10.0° instead"
            );
            assert_eq!(told("firing_order: [1, 3, 4, 2]", "firing_order: [1, 3, 4, 4]").0, "engine.firing_order");
            assert_eq!(told("off: 5900", "off: 6050").0, "outputs[0].conditions[0].off");
            assert_eq!(told("at: [6, 8,", "at: [6, 5,").0, "coil.dwell_ms");
        }
    }

    #[test]
    fn infinities_and_rests_of_text_are_refused() {
        let good = text(&project(8, 8));
        for bad in ["inf", "NaN", "-inf"] {
            let wrong = good.replacen("zero_offset_deg: 0", &format!("zero_offset_deg: {bad}"), 1);
            assert!(invalid(&wrong).2.contains("not finite"));
        }
        assert!(read(format!("{good} more").as_bytes()).is_err());
        for cut in [0, 1, 100, good.len() / 2, good.len() - 3] {
            assert!(read(&good.as_bytes()[..cut]).is_err());
        }
    }

    #[test]
    fn later_formats_large_files_and_other_encodings_are_refused_in_words() {
        let later = text(&project(8, 8)).replacen(&format!("format: {FORMAT}"), "format: 99", 1);
        assert_eq!(read(later.as_bytes()).unwrap_err(), ReadError::Newer { found: 99 });
        assert_eq!(read(&later.as_bytes()[..60]).unwrap_err(), ReadError::Newer { found: 99 });
        let large = vec![b' '; usize::try_from(LARGEST_FILE_BYTES).unwrap() + 1];
        assert!(matches!(read(&large), Err(ReadError::TooLarge { .. })));
        assert_eq!(
            read(b"(\n\xff").unwrap_err().to_string(),
            "line 2:1: the file is not UTF-8 text; save the file as UTF-8 text"
        );
    }

    #[test]
    fn rules_between_fields_hold() {
        let wrong = text(&project(8, 8)).replacen("firing_order: [1, 3, 4, 2]", "firing_order: [1, 3, 4, 4]", 1);
        assert_eq!(invalid(&wrong).1, "engine.firing_order");
        let wrong = text(&project(8, 8)).replacen("cylinders: (1, 4)", "cylinders: (1, 3)", 1);
        assert_eq!(invalid(&wrong).1, "engine.channels");
        let wrong = text(&project(8, 8)).replacen("off: 5900", "off: 6050", 1);
        assert_eq!(invalid(&wrong).1, "outputs[0].conditions[0].off");
    }

    proptest! {
        #[test]
        fn save_and_load_is_the_identity_for_every_size(speeds in 2_usize..=64, loads in 2_usize..=64, seed in any::<u64>()) {
            let before = project(speeds, loads);
            let mut changes = crate::table::Changes::new(seed | 1);
            let values = before.advance.table().values().iter().map(|_| (changes.any() % 150_000) as f64 / 1000.0 - 60.0 + 0.0).collect();
            let advance = before.advance.with_values(values, crate::project::Origin::Measured).unwrap();
            let after = before.with_advance(advance).unwrap();
            prop_assert_eq!(read(text(&after).as_bytes()).unwrap(), after);
        }
    }
}
