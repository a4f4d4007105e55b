//! `export`: the advance table as a file for other programs.

use std::path::PathBuf;

use clap::ValueEnum;
use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::output::{Format, ending, file_path, locked_note, save_file, shown};
use super::{Answer, Failure};
use crate::document::read_project;
use crate::interchange::{DecimalMark, LoadOrder, Separator, WriteOptions, write_table};

/// Export the advance table as CSV or TSV
#[derive(Debug, clap::Args)]
#[command(after_help = "\
The file's ending decides: .csv has commas between the fields (semicolons with --decimal-comma), .tsv has tabs. The
first row holds a corner text and the speeds in rpm, every further row a load and its cells in degrees. Left as it is,
import reads it back to the same table; numbers have every digit that counts.

Examples:
  sparkloft export P.ron -o table.csv
  sparkloft export P.ron -o table.tsv --loads down --decimals 1 --decimal-comma")]
pub(super) struct Export {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// The file to write, .csv or .tsv
    #[arg(short, long, value_name = "FILE", value_parser = OsStringValueParser::new().try_map(file_path))]
    output: PathBuf,
    /// Which way the loads run down the file
    #[arg(long, default_value = "up")]
    loads: Loads,
    /// Speeds down and loads across
    #[arg(long)]
    transposed: bool,
    /// Cells alone
    #[arg(long)]
    no_breakpoints: bool,
    /// Round cells to so many decimals
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(0..=12))]
    decimals: Option<u8>,
    /// Write a comma before decimals
    #[arg(long)]
    decimal_comma: bool,
    #[command(flatten)]
    format: Format,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Loads {
    /// The lowest load first
    Up,
    /// The highest load first
    Down,
}

#[derive(Serialize)]
struct Done {
    file: String,
    speeds: usize,
    loads: usize,
}

impl Export {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let options = self.options()?;
        let project = read_project(&self.project)?;
        let table = project.advance.table();
        let text = write_table(table, &options)?;
        let mut notes = save_file(&self.output, text.as_bytes())?;
        notes.extend(locked_note(&project, "what was exported"));
        let done = Done { file: shown(&self.output), speeds: table.speed().len(), loads: table.load().len() };
        let text = || format!("wrote {}: {} speeds × {} loads\n", done.file, done.speeds, done.loads);
        Ok(Answer { notes, ..self.format.answer(&done, text)? })
    }

    fn options(&self) -> Result<WriteOptions, Failure> {
        Ok(WriteOptions {
            separator: self.separator()?,
            mark: if self.decimal_comma { DecimalMark::Comma } else { DecimalMark::Point },
            loads: match self.loads {
                Loads::Up => LoadOrder::Up,
                Loads::Down => LoadOrder::Down,
            },
            transposed: self.transposed,
            breakpoints: !self.no_breakpoints,
            decimals: self.decimals,
        })
    }

    fn separator(&self) -> Result<Separator, Failure> {
        match ending(&self.output).as_str() {
            "csv" if self.decimal_comma => Ok(Separator::Semicolon),
            "csv" => Ok(Separator::Comma),
            "tsv" => Ok(Separator::Tab),
            _ => {
                let reason =
                    format!("{}: the ending decides the format, and must be .csv or .tsv", shown(&self.output));
                Err(Failure::Usage(reason, "export"))
            }
        }
    }
}
