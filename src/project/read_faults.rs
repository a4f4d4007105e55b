//! Turns the parser's errors into a line, a field, and what to do.

use ron::error::SpannedError;

use super::fields::{FIELDS, field};
use super::locate::{locate, value_at};
use super::ron_form::parse;
use super::{DecidedBy, Fault, Project, ReadError};

/// The error of a text, at the field of a path.
pub(super) fn told(text: &str, error: &SpannedError, path: String) -> ReadError {
    let (mut line, mut column) = (error.span.start.line, error.span.start.col);
    match &error.code {
        ron::Error::MissingStructField { field, .. } => {
            // The parser only notices at the end of the record; the place worth showing is where the record
            // begins.
            (line, column) = nearest_place(text, &path);
            let path = if path.is_empty() { (*field).to_owned() } else { format!("{path}.{field}") };
            let (message, hint) = (format!("the field '{field}' is missing"), what_to_write(&path, field));
            return ReadError::Invalid { line, column, path, message, hint };
        }
        ron::Error::Message(_) => {
            if let Some(fault) = fault_in_state(text, &path) {
                return placed(text, &format!("{path}."), fault);
            }
            // A type refuses a value after all of it is read; the place worth showing is where the value
            // begins.
            (line, column) = locate(text, &path).unwrap_or((line, column));
        }
        _ => {}
    }
    ReadError::Invalid { line, column, path, message: error.code.to_string(), hint: hint(&error.code) }
}

/// A fault of parts that were read, below the path `root`, which is empty or ends with a dot.
pub(super) fn placed(text: &str, root: &str, fault: Fault) -> ReadError {
    let path = format!("{root}{}", fault.path);
    // In the file, the rows of the table are called cells.
    let (line, column) = nearest_place(text, &path.replacen("advance.deg[", "advance.cells[", 1));
    ReadError::Invalid { line, column, path, message: fault.message, hint: fault.hint }
}

/// Reads a kept state that was refused as a whole again by itself, to find the field at fault.
fn fault_in_state(text: &str, path: &str) -> Option<Fault> {
    let state = path.ends_with(".state").then(|| value_at(text, path)).flatten()?;
    Project::new(parse(state).ok()?).err()
}

/// What to write for a missing field, as far as the catalogue knows it.
fn what_to_write(path: &str, name: &str) -> String {
    let own = path.rsplit_once(".state.").map_or(path, |(_, own)| own);
    let (field, is_list) = match (field(own), field(&format!("{own}[]"))) {
        (Some(field), _) => (field, false),
        (None, Some(field)) => (field, true),
        (None, None) => {
            let is_part = FIELDS.iter().any(|field| field.path.split(['.', '[']).next() == Some(own));
            let whole = "a file that 'sparkloft new' writes has every field";
            return if is_part || own == "format" { whole.into() } else { String::new() };
        }
    };
    let range = match field.decided_by {
        DecidedBy::LoadKind => "in the load's unit".to_owned(),
        DecidedBy::Signal => "in the signal's unit".to_owned(),
        DecidedBy::Catalogue | DecidedBy::LoadUnit | DecidedBy::Wheel => field.kind.range(),
    };
    let list = if is_list { "a list of " } else { "" };
    format!("write '{name}: ' there with a value: {}, {list}{range}", field.label)
}

fn hint(error: &ron::Error) -> String {
    match error {
        ron::Error::NoSuchStructField { expected, found, .. }
        | ron::Error::NoSuchEnumVariant { expected, found, .. } => {
            nearest(found, expected.iter().copied()).map_or_else(String::new, |name| format!("did you mean '{name}'?"))
        }
        ron::Error::ExpectedOption => "write None, or Some(value)".into(),
        ron::Error::Eof | ron::Error::ExpectedStructLikeEnd | ron::Error::ExpectedArrayEnd => {
            "the file may be cut short".into()
        }
        _ => String::new(),
    }
}

/// The known name most like a misspelt one, by Jaro–Winkler similarity.
pub(super) fn nearest<'a>(found: &str, known: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let likeness = |name: &&str| strsim::jaro_winkler(found, name);
    known.max_by(|a, b| likeness(a).total_cmp(&likeness(b)))
}

/// The place of a field, or of the nearest record around it.
fn nearest_place(text: &str, path: &str) -> (usize, usize) {
    let mut path = path;
    loop {
        if let Some(place) = locate(text, path) {
            return place;
        }
        if path.is_empty() {
            return (1, 1);
        }
        path = path.rfind(['.', '[']).map_or("", |cut| &path[..cut]);
    }
}
