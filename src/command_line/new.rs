//! `new`: a complete project to begin with.

use std::path::{Path, PathBuf};

use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::output::{Format, file_path, save_project, shown};
use super::values::Size;
use super::{Answer, Failure};
use crate::project::{Chamber, Induction, KnownEngine, LoadKind, NewProject};
use crate::wording::{Refusal, count};

/// Make a new project with sensible settings and a cautious starting table
#[derive(Debug, clap::Args)]
#[command(after_help = "\
What is said of the engine decides the full-load line, the starting table under it, the trims and
the limits. What is left out gets a usual value and is marked as assumed until somebody sets or
confirms it: 'sparkloft set P --list' shows which. All of it is common practice to start from: check
firing order, trigger wheel and reference, and prove the zero with a timing light before trusting a
single degree.

Examples:
  sparkloft new --cylinders 4 --load throttle --size 16x16 --name 'hill car' -o hill-car.ron
  sparkloft new --cylinders 6 --load pressure --displacement 2.7 --compression 8.2 --octane 98 \\
    --chamber two-valve-hemispherical --induction boosted --highest-pressure 150 \\
    --idle 850 --safe-speed 6300 -o estate.ron")]
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
    engine: EngineFlags,
    #[command(flatten)]
    format: Format,
}

/// What is known of the engine.
#[derive(Debug, clap::Args)]
#[command(next_help_heading = "The engine, as far as it is known")]
struct EngineFlags {
    /// Swept volume of all cylinders
    #[arg(long, value_name = "LITRES")]
    displacement: Option<f64>,
    /// Compression ratio, to one
    #[arg(long, value_name = "RATIO")]
    compression: Option<f64>,
    /// Research octane number of the fuel
    #[arg(long, value_name = "RON")]
    octane: Option<f64>,
    /// The combustion chamber
    #[arg(long)]
    chamber: Option<Chamber>,
    /// How the charge reaches the cylinders
    #[arg(long)]
    induction: Option<Induction>,
    /// The highest pressure in the manifold, absolute
    #[arg(long, value_name = "KPA")]
    highest_pressure: Option<f64>,
    /// Warm idle speed
    #[arg(long, value_name = "RPM")]
    idle: Option<f64>,
    /// The highest speed that the engine itself stands; every spark is cut there at the latest
    #[arg(long, value_name = "RPM")]
    safe_speed: Option<f64>,
}

impl EngineFlags {
    fn known(&self) -> KnownEngine {
        KnownEngine {
            displacement_l: self.displacement,
            compression_ratio: self.compression,
            fuel_octane_ron: self.octane,
            chamber: self.chamber,
            induction: self.induction,
            highest_pressure_kpa: self.highest_pressure,
            idle_speed_rpm: self.idle,
            highest_safe_speed_rpm: self.safe_speed,
        }
    }
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
    assumed: Vec<String>,
}

impl New {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let load = match self.load {
            Load::Throttle => LoadKind::Throttle,
            Load::Pressure => LoadKind::Pressure,
        };
        let name = self.name.clone().unwrap_or_else(|| name_of(&self.output));
        let Size { speeds, loads } = self.size;
        let project =
            NewProject { name, cylinders: self.cylinders, load, speeds, loads }.create_for(&self.engine.known())?;
        let files = save_project(&self.output, &project, None)?;
        let name = project.name.clone();
        let assumed = project.assumed.iter().cloned().collect();
        let made = Made { file: shown(&self.output), name, cylinders: self.cylinders, speeds, loads, assumed };
        let text = || {
            let Made { file, name, cylinders, assumed, .. } = &made;
            let kind = load.name();
            format!(
                "wrote {file}: '{name}', {cylinders} cylinders, {speeds} speeds × {loads} loads over {kind}\n\
                 {} assumed until you set or confirm them: 'sparkloft set {file} --list' marks them\n",
                count(assumed.len(), "value")
            )
        };
        Ok(Answer { files, ..self.format.answer(&made, text)? })
    }
}

/// Accepts any number, so that the project says what is wrong with it.
fn cylinders(text: &str) -> Result<u8, Refusal> {
    let number: i64 = text.parse().map_err(|_| Refusal::new(format!("'{text}' is no whole number")))?;
    u8::try_from(number).map_err(|_| Refusal::new(format!("{number} cylinders")).remedy("choose 4, 6 or 8"))
}

fn name_of(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}
