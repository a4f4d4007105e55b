//! `import`: an image from a flashing tool, or an advance table from a spreadsheet.

use std::path::{Path, PathBuf};

use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::output::{Format, ending, file_path, refuse_taken};
use super::values::Mark;
use super::{Answer, Failure};
use crate::command_line::output::{pinned_note, read_for, read_image, read_up_to, save_project, shown};
use crate::image::{OnMismatch, checksum_name, decode, read_changes};
use crate::interchange::{MAX_FILE_BYTES, TableFile, read_table_as};
use crate::project::Project;
use crate::wording::count;

/// Import an image by the project's layout, or the advance table from a CSV or TSV file
#[derive(Debug, clap::Args)]
#[command(after_help = "\
The file's ending decides: .hex, .s19, .s28, .s37 and .bin are images, everything else is a table.

Of an image, whichever of the three formats its content has, every item of P's layout is read:
tables, curves and single numbers. Cells that differ get the origin 'imported'; held marks, and
all that the image does not hold, stay. A damaged record is refused with its line; a stored
checksum that does not fit is refused unless --accept-wrong-checksum is given.

Of a table the first row holds any corner text and the speeds in rpm, every further row a load and
its cells in degrees; speeds and loads ascend. Fields are parted by tabs or semicolons when the
first row has one, else by commas; decimals may follow a comma when commas do not part the fields.
Where every mark may part thousands or decimals, as in 1,000, nothing is guessed: the file is
refused until --decimal-mark tells. Axes, size and cells of the project's table are replaced,
nothing is held any more, every origin is 'imported'; all else stays.

With --json: file, speeds, loads; of an image also format, checksum, checksum_fits, changed_cells,
changed_fields.

Examples:
  sparkloft import unit.hex --into P.ron -o OUT.ron
  sparkloft import table.csv --into P.ron -o OUT.ron
  sparkloft import table.tsv --into P.ron -o OUT.ron --decimal-mark point")]
pub(super) struct Import {
    /// The file to read
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The project whose values are replaced; its file stays as it is unless -o names it
    #[arg(long, value_name = "P")]
    into: PathBuf,
    /// The project file to write; may be P itself
    #[arg(short, long, value_name = "OUT", value_parser = OsStringValueParser::new().try_map(file_path))]
    output: PathBuf,
    /// Read an image even though its stored checksum is not the one of its bytes
    #[arg(long)]
    accept_wrong_checksum: bool,
    /// What stands before decimals in the file, where its numbers do not tell, as 1,000 alone does not
    #[arg(long, value_name = "MARK")]
    decimal_mark: Option<Mark>,
    #[command(flatten)]
    format: Format,
}

impl Import {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        refuse_taken("import", &self.output, &[("the file to read", &self.file)])?;
        if is_image(&self.file) {
            if self.decimal_mark.is_some() {
                return Err(Failure::Usage("--decimal-mark is for tables; an image has no marks".into(), "import"));
            }
            return run_image(self);
        }
        if self.accept_wrong_checksum {
            let reason = "--accept-wrong-checksum is for images; a table has no checksum";
            return Err(Failure::Usage(reason.into(), "import"));
        }
        run_table(self)
    }
}

fn is_image(path: &Path) -> bool {
    matches!(ending(path).as_str(), "hex" | "s19" | "s28" | "s37" | "bin")
}

#[derive(Serialize)]
struct DoneTable {
    file: String,
    speeds: usize,
    loads: usize,
}

fn run_table(import: &Import) -> Result<Answer, Failure> {
    let wrong = |source| Failure::TableFile { path: import.file.clone(), source };
    let bytes = read_up_to(&import.file, MAX_FILE_BYTES as u64)?;
    let found = read_table_as(&bytes, import.decimal_mark.map(Into::into)).map_err(wrong)?;
    let advance = found.import().map_err(wrong)?;
    let (project, rewrite) = read_for(&import.into, Some(&import.output))?;
    let imported = project.with_advance(advance).map_err(|fault| placed(import, &found, &project, fault))?;
    let files = save_project(&import.output, &imported, rewrite)?;
    let notes = pinned_note(&project, &imported).into_iter().collect();
    let table = found.table();
    let done = DoneTable { file: shown(&import.output), speeds: table.speed().len(), loads: table.load().len() };
    let text = || format!("imported {} speeds × {} loads\nwrote {}\n", done.speeds, done.loads, done.file);
    Ok(Answer { notes, files, ..import.format.answer(&done, text)? })
}

/// The error for a load that this project's kind of load does not allow, with its line.
fn placed(import: &Import, found: &TableFile, project: &Project, fault: crate::project::Fault) -> Failure {
    let (low, high) = project.sensors.load.range();
    let outside = found.table().load().breakpoints().iter().position(|load| !(low..=high).contains(load));
    match outside.and_then(|load| found.line_of_load(load)) {
        Some(line) => Failure::Load { path: import.file.clone(), line, fault },
        None => fault.into(),
    }
}

#[derive(Serialize)]
struct DoneImage {
    file: String,
    format: &'static str,
    speeds: usize,
    loads: usize,
    checksum: &'static str,
    checksum_fits: bool,
    changed_cells: usize,
    changed_fields: Vec<String>,
}

fn run_image(import: &Import) -> Result<Answer, Failure> {
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
    let done = DoneImage {
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
