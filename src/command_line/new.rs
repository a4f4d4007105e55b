//! `new`: a complete project to begin with.

use std::path::{Path, PathBuf};

use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::output::{Format, file_path, save_project, shown};
use super::values::Size;
use super::{Answer, Failure};
use crate::project::{LoadKind, NewProject};

/// Make a new project with sensible settings and a cautious starting table
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Everything in it is common practice to start from, nothing is known of your engine: check firing
order, trigger wheel and reference, and prove the zero with a timing light before trusting a
single degree.

Example:
  sparkloft new --cylinders 4 --load throttle --size 16x16 --name 'hill car' -o hill-car.ron")]
pub(super) struct New {
    /// How many cylinders: 4, 6 or 8, firing evenly with pairs that share a coil
    #[arg(long, value_name = "NUMBER", value_parser = cylinders)]
    cylinders: u8,
    /// What the load rows are
    #[arg(long)]
    load: Load,
    /// Size of the advance table, SPEEDSxLOADS, 2x2 to 64x64
    #[arg(long, default_value = "16x16", value_name = "SPEEDSxLOADS")]
    size: Size,
    /// What the car is called; the file's name when left out
    #[arg(long)]
    name: Option<String>,
    /// The project file to write
    #[arg(short, long, value_name = "P.ron", value_parser = OsStringValueParser::new().try_map(file_path))]
    output: PathBuf,
    #[command(flatten)]
    format: Format,
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Load {
    /// Throttle opening, 0 to 100 %
    Throttle,
    /// Manifold pressure, absolute, in kPa
    Pressure,
}

#[derive(Serialize)]
struct Made {
    file: String,
    name: String,
    cylinders: u8,
    speeds: usize,
    loads: usize,
}

impl New {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let load = match self.load {
            Load::Throttle => LoadKind::Throttle,
            Load::Pressure => LoadKind::Pressure,
        };
        let name = self.name.clone().unwrap_or_else(|| name_of(&self.output));
        let Size { speeds, loads } = self.size;
        let project = NewProject { name, cylinders: self.cylinders, load, speeds, loads }.create()?;
        let files = save_project(&self.output, &project, None)?;
        let name = project.name.clone();
        let made = Made { file: shown(&self.output), name, cylinders: self.cylinders, speeds, loads };
        let text = || {
            let Made { file, name, cylinders, .. } = &made;
            let kind = load.name();
            format!("wrote {file}: '{name}', {cylinders} cylinders, {speeds} speeds × {loads} loads over {kind}\n")
        };
        Ok(Answer { files, ..self.format.answer(&made, text)? })
    }
}

/// Any number, so that what is wrong with it is told by those who know.
fn cylinders(text: &str) -> Result<u8, String> {
    let number: i64 = text.parse().map_err(|_| format!("'{text}' is no whole number"))?;
    u8::try_from(number).map_err(|_| format!("{number} cylinders: choose 4, 6 or 8"))
}

fn name_of(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}
