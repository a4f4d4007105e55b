//! `sheet`: the printed setup sheet.

use std::path::PathBuf;

use clap::ValueEnum;
use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::output::{Format, ending, file_path, refuse_taken, save_file, shown, unseen};
use super::{Answer, Failure};
use crate::command_line::output::read_project;
use crate::lettering;
use crate::setup_sheet::{Paper, sheet_file, sheet_pages};
use crate::wording::count;

/// Print the setup sheet for the car's folder as PDF
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Three pages for most projects; where lists or notes are very long there are more, and
nothing is left out. On them stand installation with wheel and firing sequence, the advance table
as a tinted grid with contours, the surface, slices, trims, limits, outputs, timing-light
readings, image layout and checksum, findings and accepted reasons, what changed since the newest
snapshot, what was not tested, cautions, and lines to sign on. Readable in black and white; its
text can be selected. The same project gives the same bytes. A copy with locked timing says so at
the head and foot of every page.

Examples:
  sparkloft sheet P.ron -o sheet.pdf
  sparkloft sheet P.ron -o sheet.pdf --paper letter")]
pub(super) struct Sheet {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// The file to write, .pdf
    #[arg(short, long, value_name = "FILE", value_parser = OsStringValueParser::new().try_map(file_path))]
    output: PathBuf,
    /// The size of the paper
    #[arg(long, value_enum, default_value = "a4")]
    paper: PaperName,
    #[command(flatten)]
    format: Format,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum PaperName {
    /// 210 × 297 mm
    A4,
    /// 8.5 × 11 inches
    Letter,
}

impl From<PaperName> for Paper {
    fn from(name: PaperName) -> Self {
        match name {
            PaperName::A4 => Self::A4,
            PaperName::Letter => Self::Letter,
        }
    }
}

#[derive(Serialize)]
struct Done {
    file: String,
    pages: usize,
}

impl Sheet {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        if ending(&self.output) != "pdf" {
            let reason = format!("{}: a sheet is a PDF, so the ending must be .pdf", shown(&self.output));
            return Err(Failure::Usage(reason, "sheet"));
        }
        refuse_taken("sheet", &self.output, &[("the project", &self.project)])?;
        let project = read_project(&self.project)?;
        let pages = sheet_pages(&project, self.paper.into())?;
        let files = save_file(&self.output, sheet_file(&project, &pages)?)?;
        let texts = pages.iter().flat_map(|page| &page.texts);
        let missing: Vec<char> = texts.flat_map(|text| lettering::missing(&text.text)).collect();
        let notes = unseen(&missing).into_iter().collect();
        let done = Done { file: shown(&self.output), pages: pages.len() };
        let text = || format!("wrote {}: {}\n", done.file, count(done.pages, "page"));
        Ok(Answer { notes, files, ..self.format.answer(&done, text)? })
    }
}
