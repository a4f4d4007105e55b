//! The advance table as CSV or TSV.

use std::path::Path;

use serde::Serialize;

use super::Export;
use crate::command_line::output::{locked_note, shown};
use crate::command_line::paths::refuse_taken;
use crate::command_line::pending::Pending;
use crate::command_line::{Answer, Failure};
use crate::document::Staged;
use crate::interchange::{DecimalMark, LoadOrder, Separator, WriteOptions, read_table, write_table};
use crate::project::Project;

#[derive(Serialize)]
struct Done {
    file: String,
    speeds: usize,
    loads: usize,
}

/// Writes the table, reads it back from the disk and compares, before it takes its place.
pub(super) fn run(export: &Export, project: &Project, separator: Separator) -> Result<Answer, Failure> {
    let path = export.file()?;
    refuse_taken("export", path, &[("the project", &export.project)])?;
    let options = options(export, separator);
    let table = project.advance.table();
    let text = write_table(table, &options)?;
    let mut file = Staged::file(path, text.as_bytes().to_vec())?.reading_back();
    let found = file.read_back().map_err(|source| Failure::Read { path: path.to_owned(), source })?;
    check(path, project, &options, &text, &found)?;
    let notes = locked_note(project, "what was exported").into_iter().collect();
    let done = Done { file: shown(path), speeds: table.speed().len(), loads: table.load().len() };
    let text = || format!("wrote and read back {}: {} speeds × {} loads\n", done.file, done.speeds, done.loads);
    Ok(Answer { notes, files: vec![Pending::Files(vec![file])], ..export.format.answer(&done, text)? })
}

fn options(export: &Export, separator: Separator) -> WriteOptions {
    WriteOptions {
        separator,
        mark: if export.decimal_comma { DecimalMark::Comma } else { DecimalMark::Point },
        loads: match export.loads {
            Some(super::Loads::Down) => LoadOrder::Down,
            _ => LoadOrder::Up,
        },
        transposed: export.transposed,
        breakpoints: !export.no_breakpoints,
        decimals: export.decimals,
    }
}

/// The same bytes; and in the form that import reads, the same table.
fn check(path: &Path, project: &Project, options: &WriteOptions, text: &str, found: &[u8]) -> Result<(), Failure> {
    let plain = WriteOptions { separator: options.separator, mark: options.mark, ..WriteOptions::default() };
    let is_same = found == text.as_bytes()
        && (*options != plain || read_table(found).is_ok_and(|read| read.table() == project.advance.table()));
    if is_same { Ok(()) } else { Err(Failure::ReadBack { path: path.to_owned() }) }
}
