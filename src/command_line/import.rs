//! `import`: an advance table from a file of another program.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::output::{Format, file_path, pinned_note, save_project, shown};
use super::{Answer, Failure};
use crate::document::read_project;
use crate::interchange::{MAX_FILE_BYTES, TableFile, read_table};
use crate::project::Project;

/// Import the advance table from a CSV or TSV file
#[derive(Debug, clap::Args)]
#[command(after_help = "\
The first row holds any corner text and the speeds in rpm, every further row a load and its cells in degrees; speeds
and loads ascend. Fields are parted by tabs or semicolons when the first row has one, else by commas; decimals may
follow a comma when commas do not part the fields. Axes, size and cells of the project's table are replaced, nothing
is held any more, every origin is 'imported'; all else stays.

Example:
  sparkloft import table.csv --into P.ron -o OUT.ron")]
pub(super) struct Import {
    /// The file to read
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The project whose table is replaced; its file stays as it is unless -o names it
    #[arg(long, value_name = "P")]
    into: PathBuf,
    /// The project file to write; may be P itself
    #[arg(short, long, value_name = "OUT", value_parser = OsStringValueParser::new().try_map(file_path))]
    output: PathBuf,
    #[command(flatten)]
    format: Format,
}

#[derive(Serialize)]
struct Done {
    file: String,
    speeds: usize,
    loads: usize,
}

impl Import {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let wrong = |source| Failure::TableFile { path: self.file.clone(), source };
        let found = read_table(&read(&self.file)?).map_err(wrong)?;
        let advance = found.import().map_err(wrong)?;
        let project = read_project(&self.into)?;
        let imported = project.with_advance(advance).map_err(|fault| self.placed(&found, &project, fault))?;
        let mut notes = save_project(&self.output, &imported)?;
        notes.extend(pinned_note(&project, &imported));
        let table = found.table();
        let done = Done { file: shown(&self.output), speeds: table.speed().len(), loads: table.load().len() };
        let text = || format!("imported {} speeds × {} loads\nwrote {}\n", done.speeds, done.loads, done.file);
        Ok(Answer { notes, ..self.format.answer(&done, text)? })
    }

    /// A load that this project's load cannot have, with its line.
    fn placed(&self, found: &TableFile, project: &Project, fault: crate::project::Fault) -> Failure {
        let (low, high) = project.sensors.load.range();
        let outside = found.table().load().breakpoints().iter().position(|load| !(low..=high).contains(load));
        match outside.and_then(|load| found.line_of_load(load)) {
            Some(line) => Failure::Load { path: self.file.clone(), line, fault },
            None => fault.into(),
        }
    }
}

/// The bytes of a file, one more than allowed at most.
fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    let limit = MAX_FILE_BYTES as u64 + 1;
    let read = File::open(path).and_then(|file| file.take(limit).read_to_end(&mut bytes));
    read.map_err(|source| Failure::Read { path: path.to_owned(), source })?;
    Ok(bytes)
}
