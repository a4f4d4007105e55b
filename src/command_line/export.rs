//! `export`: the image for a flashing tool, its description, or the advance table for a spreadsheet.

mod described;
mod image;

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::output::{Format, ending, file_path, shown};
use super::{Answer, Failure};
use crate::checks::{self, Relaxed, relaxed, relaxed_words, run};
use crate::command_line::answer::Pending;
use crate::command_line::output::{locked_note, read_for, refuse_taken};
use crate::document::Staged;
use crate::image::{OutputFormat, RecordWidth};
use crate::interchange::{DecimalMark, LoadOrder, Separator, WriteOptions, read_table, write_table};
use crate::project::Project;
use crate::wording::{Unit, count};

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

/// A reason has at least one word.
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

/// The kind of file, by its ending.
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
            Some(Kind::Table(separator)) => export_table(self, &project, separator),
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

    /// Refuses options that this kind of file does not have, instead of ignoring them.
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

/// A finding that is not accepted.
#[derive(Serialize)]
struct OpenFinding {
    id: &'static str,
    severity: &'static str,
    place: String,
    message: String,
    #[serde(skip)]
    is_error: bool,
}

impl OpenFinding {
    /// The open findings of a project, the worst first.
    fn of(project: &Project) -> Vec<Self> {
        let open = run(project).into_iter().filter(checks::Finding::is_open);
        open.map(|finding| Self {
            is_error: finding.is_open_error(),
            id: finding.id,
            severity: finding.severity.name(),
            place: finding.place.words,
            message: finding.message,
        })
        .collect()
    }
}

/// A limit that lets more pass than by default.
#[derive(Serialize)]
struct RelaxedLimit {
    name: &'static str,
    value: f64,
    default: f64,
    unit: Unit,
    reason: Option<String>,
    #[serde(skip)]
    words: String,
}

impl RelaxedLimit {
    fn of(limit: &Relaxed) -> Self {
        Self {
            name: limit.threshold.name,
            value: limit.value,
            default: limit.threshold.default,
            unit: limit.unit(),
            reason: limit.reason.clone(),
            words: format!("{}; reason: {}", limit.words(), limit.reason_words()),
        }
    }
}

/// What the checks say about what is exported.
#[derive(Serialize)]
struct Checked {
    findings: Vec<OpenFinding>,
    relaxed: Vec<RelaxedLimit>,
    #[serde(skip)]
    relaxed_words: Option<String>,
}

impl Checked {
    fn of(project: &Project) -> Self {
        Self {
            findings: OpenFinding::of(project),
            relaxed: relaxed(project).iter().map(RelaxedLimit::of).collect(),
            relaxed_words: relaxed_words(project),
        }
    }

    fn errors(&self) -> usize {
        self.findings.iter().filter(|finding| finding.is_error).count()
    }

    /// The number of findings, then a line for each.
    fn text(&self) -> String {
        let how_many = match self.findings.len() {
            0 => "Open findings: none".to_owned(),
            open => format!("{} open", count(open, "finding")),
        };
        let beside = self.relaxed_words.as_ref().map_or_else(String::new, |words| format!("; {words}"));
        let end = if self.findings.is_empty() && self.relaxed.is_empty() { "" } else { ":" };
        let findings = self.findings.iter().map(|OpenFinding { id, severity, place, message, .. }| {
            format!("  {severity} {id} at {place}: {message}\n")
        });
        let limits = self.relaxed.iter().map(|limit| format!("  relaxed {}: {}\n", limit.name, limit.words));
        format!("{how_many}{beside}{end}\n{}", findings.chain(limits).collect::<String>())
    }
}

#[derive(Serialize)]
struct Done {
    file: String,
    speeds: usize,
    loads: usize,
}

/// Writes the table, reads it back from disk and compares, before it takes its place.
fn export_table(export: &Export, project: &Project, separator: Separator) -> Result<Answer, Failure> {
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
            Some(Loads::Down) => LoadOrder::Down,
            _ => LoadOrder::Up,
        },
        transposed: export.transposed,
        breakpoints: !export.no_breakpoints,
        decimals: export.decimals,
    }
}

/// The file must have the same bytes; and if it is in the form that import reads, it must contain the same
/// table.
fn check(path: &Path, project: &Project, options: &WriteOptions, text: &str, found: &[u8]) -> Result<(), Failure> {
    let plain = WriteOptions { separator: options.separator, mark: options.mark, ..WriteOptions::default() };
    let is_same = found == text.as_bytes()
        && (*options != plain || read_table(found).is_ok_and(|read| read.table() == project.advance.table()));
    if is_same { Ok(()) } else { Err(Failure::ReadBack { path: path.to_owned() }) }
}
