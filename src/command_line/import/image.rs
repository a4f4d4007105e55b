//! An image from a flashing tool's file.

use serde::Serialize;

use super::Import;
use crate::command_line::image_files::read_image;
use crate::command_line::output::{count, pinned_note, read_for, save_project, shown};
use crate::command_line::{Answer, Failure};
use crate::image::{OnMismatch, checksum_name, decode, read_changes};

#[derive(Serialize)]
struct Done {
    file: String,
    format: &'static str,
    speeds: usize,
    loads: usize,
    checksum: &'static str,
    checksum_fits: bool,
    changed_cells: usize,
    changed_fields: Vec<String>,
}

pub(super) fn run(import: &Import) -> Result<Answer, Failure> {
    let (project, rewrite) = read_for(&import.into, Some(&import.output))?;
    let read = read_image(&import.file, &project)?;
    let on_mismatch = if import.accept_wrong_checksum { OnMismatch::Accept } else { OnMismatch::Refuse };
    let decoded = decode(&read.bytes, &project, on_mismatch).map_err(|source| Failure::Decode {
        path: import.file.clone(),
        source,
        can_accept: true,
    })?;
    let mut notes: Vec<String> = read.warnings.iter().map(ToString::to_string).chain(decoded.remarks()).collect();
    let files = save_project(&import.output, &decoded.project, rewrite)?;
    notes.extend(pinned_note(&project, &decoded.project));
    let changes = read_changes(&project, &decoded.project)?;
    let table = decoded.project.advance.table();
    let done = Done {
        file: shown(&import.output),
        format: read.format.name(),
        speeds: table.speed().len(),
        loads: table.load().len(),
        checksum: checksum_name(project.image.checksum.kind),
        checksum_fits: decoded.comparison.mismatch.is_none(),
        changed_cells: changes.cells,
        changed_fields: changes.fields,
    };
    let text = || {
        let (cells, fields) = (count(done.changed_cells, "cell"), count(done.changed_fields.len(), "other field"));
        format!("read {}: {cells} and {fields} changed\nwrote {}\n", done.format, done.file)
    };
    Ok(Answer { notes, files, ..import.format.answer(&done, text)? })
}
