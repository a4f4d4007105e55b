//! `export`: the image for a flashing tool, its description, or the advance table for a spreadsheet.

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use clap::builder::{OsStringValueParser, TypedValueParser};

use super::output::{Format, ending, file_path, shown};
use super::{Answer, Failure};
use crate::command_line::output::read_for;
use crate::image::{OutputFormat, RecordWidth};
use crate::interchange::Separator;

mod described;
mod findings;
mod image;
mod table;

/// Export the image for a flashing tool, its description, or the advance table
#[derive(Debug, clap::Args)]
#[command(after_help = "\
The file's ending decides:
  .hex              Intel HEX
  .s19 .s28 .s37    Motorola S-record; the type is the least and grows with the addresses
  .bin              the bytes of the image
  .a2l              what sits where, as ASAM MCD-2 MC 1.7
  .csv .tsv         the advance table for a spreadsheet

The project's image layout says which number stands at which address; every format holds the whole
image, fill and checksum included. A file is called written only when it was read back from the
disk, decoded and compared with the project. Values that the image does not hold exactly are told
on stderr, with the largest change and its place. Then the spark that a unit makes of the bytes is
held against the project's (see verify), and what is in the project and not in the image is listed
with how the unit has it: by hand, folded into the exported cells, or not at all. These are fields
of the project, such as image.coverage.safety_margin.how=in_table (as_held, in_table, not_applied),
.at_c (the temperature at which a trim is folded), .set and .note.

An image of a project in which the checks find errors that nobody accepted is not written, unless
--despite-errors gives a reason: that is kept in P beside what was exported, and stands on the setup
sheet. Tables and a description alone need none.

Of a table the first row holds a corner text and the speeds in rpm, every further row a load and
its cells in degrees; .csv has commas between the fields (semicolons with --decimal-comma), .tsv
has tabs. Left as it is, import reads it back to the same table.

With --json: file, format, files [{file, format, bytes, s_record_type}], start, size, checksum
{words, stored}, locked_timing_deg, changes [{item, kind (rounded or resampled), largest_change,
unit, place, …}], spark and not_in_image (see verify), findings [{id, severity, place, message}],
those that are open, relaxed [{name, value, default, unit, reason}], the limits of the checks that
let more pass than by default, despite_errors. Where nothing is written for open errors: file null,
files [], refused, findings, relaxed. --describe gives start, size, fill, byte_order, checksum and
items [{name, content, address, last, type, scale, offset, order, speed_direction, load_direction,
count, …}] alone, or beside an export as image; last is the address of the last byte; addresses are
decimal in JSON.

Exit codes: 0 written; 1 not written, for errors are open; 2 it cannot be.

Examples:
  sparkloft export P.ron -o unit.hex --with-description
  sparkloft export P.ron -o unit.s19 --record-bytes 32
  sparkloft export P.ron --describe --json
  sparkloft export P.ron -o table.tsv --loads down --decimals 1 --decimal-comma")]
pub(super) struct Export {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// The file to write, .hex, .s19, .s28, .s37, .bin, .a2l, .csv or .tsv
    #[arg(short, long, value_name = "FILE", required_unless_present = "describe",
        value_parser = OsStringValueParser::new().try_map(file_path))]
    output: Option<PathBuf>,
    /// Print the items of the image: address, type, scale, offset, order, count
    #[arg(long)]
    describe: bool,
    /// Write the A2L description beside the file
    #[arg(long, requires = "output")]
    with_description: bool,
    /// Data bytes in a record of .hex, .s19, .s28 and .s37 [default: 16]
    #[arg(long, value_name = "N", requires = "output")]
    record_bytes: Option<RecordBytes>,
    /// Why an image is written although the checks find errors: without a reason none is
    #[arg(long, value_name = "TEXT", requires = "output", value_parser = reason)]
    despite_errors: Option<String>,
    /// Which way the loads run down the table [default: up]
    #[arg(long, requires = "output")]
    loads: Option<Loads>,
    /// Speeds down and loads across
    #[arg(long, requires = "output")]
    transposed: bool,
    /// Cells alone
    #[arg(long, requires = "output")]
    no_breakpoints: bool,
    /// Round cells of the table to so many decimals
    #[arg(long, value_name = "N", requires = "output", value_parser = clap::value_parser!(u8).range(0..=12))]
    decimals: Option<u8>,
    /// Write a comma before decimals
    #[arg(long, requires = "output")]
    decimal_comma: bool,
    #[command(flatten)]
    format: Format,
}

/// A reason is at least a word.
fn reason(text: &str) -> Result<String, &'static str> {
    let text = text.trim();
    if text.is_empty() { Err("give the reason in words") } else { Ok(text.to_owned()) }
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Loads {
    /// The lowest load first
    Up,
    /// The highest load first
    Down,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum RecordBytes {
    /// 16 bytes
    #[value(name = "16")]
    Sixteen,
    /// 32 bytes
    #[value(name = "32")]
    ThirtyTwo,
}

/// What the ending asks for.
enum Kind {
    Image(OutputFormat),
    Table(Separator),
}

impl Export {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let kind = self.output.as_deref().map(|path| self.kind(path)).transpose()?;
        if let Some(kind) = &kind {
            self.check_options(kind)?;
        }
        // The reason is kept in the project.
        let is_image = matches!(kind, Some(Kind::Image(format)) if format != OutputFormat::Description);
        let kept_in = self.despite_errors.as_ref().filter(|_| is_image).map(|_| self.project.as_path());
        let (project, rewrite) = read_for(&self.project, kept_in)?;
        match kind {
            None => self.format.answer(&described::described(&project), || described::text(&project)),
            Some(Kind::Image(format)) => image::run(self, &project, format, rewrite),
            Some(Kind::Table(separator)) => table::run(self, &project, separator),
        }
    }

    /// The file to write.
    fn file(&self) -> Result<&Path, Failure> {
        let missing = || Failure::Usage("-o FILE is missing".into(), "export");
        self.output.as_deref().ok_or_else(missing)
    }

    fn width(&self) -> RecordWidth {
        match self.record_bytes {
            Some(RecordBytes::ThirtyTwo) => RecordWidth::ThirtyTwo,
            _ => RecordWidth::Sixteen,
        }
    }

    fn kind(&self, path: &Path) -> Result<Kind, Failure> {
        match ending(path).as_str() {
            "csv" if self.decimal_comma => Ok(Kind::Table(Separator::Semicolon)),
            "csv" => Ok(Kind::Table(Separator::Comma)),
            "tsv" => Ok(Kind::Table(Separator::Tab)),
            ending => OutputFormat::of_ending(ending).map(Kind::Image).ok_or_else(|| {
                let endings = ".hex, .s19, .s28, .s37, .bin, .a2l, .csv or .tsv";
                let reason = format!("{}: the ending decides the format, and must be {endings}", shown(path));
                Failure::Usage(reason, "export")
            }),
        }
    }

    /// Options that this kind of file does not have are refused, not passed over.
    fn check_options(&self, kind: &Kind) -> Result<(), Failure> {
        let of_tables = [
            ("--loads", self.loads.is_some()),
            ("--transposed", self.transposed),
            ("--no-breakpoints", self.no_breakpoints),
            ("--decimals", self.decimals.is_some()),
            ("--decimal-comma", self.decimal_comma),
        ];
        let of_images = [
            ("--with-description", self.with_description),
            ("--describe", self.describe),
            ("--despite-errors", self.despite_errors.is_some()),
        ];
        let records = ("--record-bytes", self.record_bytes.is_some());
        let mut wrong = match kind {
            Kind::Image(format) if format.has_records() => of_tables.to_vec(),
            Kind::Image(_) => [of_tables.as_slice(), &[records]].concat(),
            Kind::Table(_) => [of_images.as_slice(), &[records]].concat(),
        }
        .into_iter();
        wrong.find(|(_, is_given)| *is_given).map_or(Ok(()), |(option, _)| {
            let ending = self.output.as_deref().and_then(Path::extension).unwrap_or_default().to_string_lossy();
            Err(Failure::Usage(format!("{option} says nothing about a .{ending} file"), "export"))
        })
    }
}
