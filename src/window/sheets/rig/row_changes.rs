//! The rows of the present run, and what texts mean in them. Only rows of the project's runs can be changed:
//! the first change to any other run makes a run of the project from it.

use std::sync::Arc;

use crate::interchange::RUN_COLUMNS;
use crate::project::{FieldKind, KeptRow, KeptRun, field};
use crate::rig::Run;
use crate::window::state::edits::EditedRun;
use crate::window::state::rig_state::RunChoice;
use crate::window::views::form;
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, free_name, outside, written};

/// Name, unit, and how much the arrow keys change it by.
pub(super) const COLUMNS: [(&str, Unit, f64); RUN_COLUMNS.len()] = [
    ("time", Unit::Second, 0.1),
    ("speed", Unit::Rpm, 50.0),
    ("load", Unit::None, 1.0),
    ("coolant", Unit::Celsius, 1.0),
    ("air", Unit::Celsius, 1.0),
    ("battery", Unit::Volt, 0.1),
    ("throttle", Unit::Percent, 1.0),
    ("launch", Unit::Switch, 1.0),
];
/// The column of the launch switch.
pub(super) const LAUNCH: usize = RUN_COLUMNS.len() - 1;

/// The run on the rig, as the rows show it.
pub(super) enum Shown<'a> {
    /// One of the project's.
    Kept(&'a KeptRun),
    /// Another one, and the name that a run of the project made from it would have.
    Other(&'a Arc<Run>, String),
    /// None.
    Nothing,
}

impl Shown<'_> {
    pub(super) fn len(&self) -> usize {
        match self {
            Self::Kept(run) => run.rows.len(),
            Self::Other(run, _) => run.rows().len(),
            Self::Nothing => 0,
        }
    }

    pub(super) fn row(&self, at: usize) -> Option<KeptRow> {
        match self {
            Self::Kept(run) => run.rows.get(at).copied(),
            Self::Other(run, _) => run.rows().get(at).map(KeptRow::from),
            Self::Nothing => None,
        }
    }

    pub(super) fn target(&self) -> Option<EditedRun> {
        match self {
            Self::Kept(run) => Some(EditedRun::Kept(run.name.clone())),
            Self::Other(run, name) => Some(EditedRun::New(name.clone(), Arc::clone(run))),
            Self::Nothing => None,
        }
    }
}

pub(super) fn shown<'a>(view: &View<'a>) -> Shown<'a> {
    let rig = &view.screen.rig;
    if let RunChoice::Kept(name) = &rig.choice {
        return view.project.runs.iter().find(|run| run.name == *name).map_or(Shown::Nothing, |run| Shown::Kept(run));
    }
    rig.run.as_ref().map_or(Shown::Nothing, |run| Shown::Other(run, own_name(view)))
}

/// A name for a run of the project made of another one: that of the file, or 'own idle'.
pub(super) fn own_name(view: &View<'_>) -> String {
    let name = match &view.screen.rig.choice {
        RunChoice::File(path, _) => path.file_stem().unwrap_or_default().to_string_lossy().into_owned(),
        _ => format!("own {}", view.screen.rig.run_name()),
    };
    let short: String = name.chars().take(70).collect();
    free_name(&short, |name| view.project.runs.iter().any(|run| run.name == name))
}

/// The unit of a column.
pub(super) fn unit(column: usize, view: &View<'_>) -> Unit {
    match COLUMNS.get(column) {
        Some(("load", ..)) => view.project.sensors.load.unit(),
        Some((_, unit, _)) => *unit,
        None => Unit::None,
    }
}

/// A field of a row as text; empty where nothing was typed.
pub(super) fn text(row: &KeptRow, column: usize) -> String {
    if column == LAUNCH {
        return if row.launch { "1" } else { "0" }.into();
    }
    number(row, column).map_or_else(String::new, written)
}

pub(super) fn number(row: &KeptRow, column: usize) -> Option<f64> {
    let KeptRow { time_s, speed_rpm, load, coolant_c, air_c, battery_v, throttle_pct, launch: _ } = *row;
    [time_s, speed_rpm, load, coolant_c, air_c, battery_v, throttle_pct].get(column).copied().flatten()
}

/// What a text means in a column.
pub(super) fn read(text: &str, column: usize, unit: Unit) -> Result<Option<f64>, Refusal> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    if column == LAUNCH {
        return match text.trim() {
            "0" => Ok(Some(0.0)),
            "1" => Ok(Some(1.0)),
            other => Err(Refusal::new(format!("launch '{other}' is neither 0 (open) nor 1 (closed)"))),
        };
    }
    let value = form::read(text, unit)?;
    let path = format!("runs[].rows[].{}", RUN_COLUMNS.get(column).copied().unwrap_or_default());
    match field(&path).map(|field| field.kind) {
        Some(FieldKind::Number { unit, low, high }) if !(low..=high).contains(&value) => {
            Err(Refusal::new(outside(value, (low, high), unit)))
        }
        _ => Ok(Some(value)),
    }
}

/// Pasted numbers, if they fit beside each other and are numbers of their columns.
pub(super) fn block(text: &str, column: usize, view: &View<'_>) -> Result<Vec<Vec<Option<f64>>>, Refusal> {
    let rows: Vec<Vec<&str>> = text
        .lines()
        .filter(|line| !line.trim().is_empty())
        .map(|line| line.split('\t').map(str::trim).collect())
        .collect();
    let widest = rows.iter().map(Vec::len).max().unwrap_or(0);
    let room = COLUMNS.len() - column.min(COLUMNS.len());
    if widest > room {
        return Err(Refusal::new(format!(
            "Nothing was pasted: {widest} columns do not fit into the {room} from here to the right"
        )));
    }
    let numbers = |(at, row): (usize, Vec<&str>)| {
        let numbers = row.into_iter().enumerate().map(|(right, text)| {
            let name = COLUMNS.get(column + right).map_or("", |(name, ..)| name);
            read(text, column + right, unit(column + right, view))
                .map_err(|why| Refusal::new(format!("Nothing was pasted: row {} of it, {name}: {why}", at + 1)))
        });
        numbers.collect()
    };
    rows.into_iter().enumerate().map(numbers).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_of_a_column_are_numbers_in_its_range() {
        assert_eq!(read("950,5", 1, Unit::Rpm), Ok(Some(950.5)));
        assert_eq!(read(" ", 3, Unit::Celsius), Ok(None));
        assert!(
            read("1,000", 1, Unit::Rpm).unwrap_err().to_string().starts_with("'1,000': the comma may part thousands")
        );
        assert_eq!(read("-5", 1, Unit::Rpm).unwrap_err().to_string(), "−5 is outside 0..30000 rpm");
        assert_eq!((read("1", LAUNCH, Unit::None), read("0", LAUNCH, Unit::None)), (Ok(Some(1.0)), Ok(Some(0.0))));
        assert_eq!(
            read("2", LAUNCH, Unit::None).unwrap_err().to_string(),
            "launch '2' is neither 0 (open) nor 1 (closed)"
        );
        let row = KeptRow { load: Some(-2.5), launch: true, ..KeptRow::default() };
        assert_eq!([text(&row, 0), text(&row, 2), text(&row, LAUNCH)], ["", "\u{2212}2.5", "1"]);
    }
}
