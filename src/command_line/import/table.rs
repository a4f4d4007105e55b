//! The advance table from a spreadsheet's file.

use serde::Serialize;

use super::Import;
use crate::command_line::output::{pinned_note, read_for, read_up_to, save_project, shown};
use crate::command_line::{Answer, Failure};
use crate::interchange::{MAX_FILE_BYTES, TableFile, read_table_as};
use crate::project::Project;

#[derive(Serialize)]
struct Done {
    file: String,
    speeds: usize,
    loads: usize,
}

pub(super) fn run(import: &Import) -> Result<Answer, Failure> {
    let wrong = |source| Failure::TableFile { path: import.file.clone(), source };
    let bytes = read_up_to(&import.file, MAX_FILE_BYTES as u64)?;
    let found = read_table_as(&bytes, import.decimal_mark.map(Into::into)).map_err(wrong)?;
    let advance = found.import().map_err(wrong)?;
    let (project, rewrite) = read_for(&import.into, Some(&import.output))?;
    let imported = project.with_advance(advance).map_err(|fault| placed(import, &found, &project, fault))?;
    let files = save_project(&import.output, &imported, rewrite)?;
    let notes = pinned_note(&project, &imported).into_iter().collect();
    let table = found.table();
    let done = Done { file: shown(&import.output), speeds: table.speed().len(), loads: table.load().len() };
    let text = || format!("imported {} speeds × {} loads\nwrote {}\n", done.speeds, done.loads, done.file);
    Ok(Answer { notes, files, ..import.format.answer(&done, text)? })
}

/// A load that this project's load cannot have, with its line.
fn placed(import: &Import, found: &TableFile, project: &Project, fault: crate::project::Fault) -> Failure {
    let (low, high) = project.sensors.load.range();
    let outside = found.table().load().breakpoints().iter().position(|load| !(low..=high).contains(load));
    match outside.and_then(|load| found.line_of_load(load)) {
        Some(line) => Failure::Load { path: import.file.clone(), line, fault },
        None => fault.into(),
    }
}
