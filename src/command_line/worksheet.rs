//! `worksheet`: the arithmetic for setting up the ignition at the car.

use std::path::PathBuf;

use clap::Subcommand;
use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::output::{Format, file_path, read_for, save_project, shown};
use super::{Answer, Failure};
use crate::document::Rewrite;
use crate::project::Project;
use crate::worksheet::{Gravity, Verdict, WorksheetError};

mod coil;
mod first_start;
mod sender;
mod sweep;
mod throttle;
mod timing_light;
mod true_tdc;

/// Work out the installation and what was measured: true TDC, first start, timing light, sensors, coil, timing sweeps
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Every worksheet gives figures and what they mean. With a project P it starts from what stands
there, and --apply -o OUT writes the project with the result as one step; a result that must not
be applied is refused with the reason.

Examples:
  sparkloft worksheet timing-light --readings light.csv
  sparkloft worksheet throttle P.ron --closed 0.52 --open 4.41 --apply -o P.ron
  sparkloft worksheet coil P.ron --json")]
pub(super) struct Worksheet {
    #[command(subcommand)]
    sheet: Sheet,
}

#[derive(Debug, Subcommand)]
enum Sheet {
    FirstStart(first_start::FirstStartSheet),
    TimingLight(timing_light::TimingLight),
    TrueTdc(true_tdc::TrueTdcSheet),
    Throttle(throttle::Throttle),
    Sender(sender::SenderSheet),
    Coil(coil::CoilSheet),
    Sweep(sweep::SweepSheet),
}

impl Worksheet {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        match &self.sheet {
            Sheet::FirstStart(sheet) => sheet.run(),
            Sheet::TimingLight(sheet) => sheet.run(),
            Sheet::TrueTdc(sheet) => sheet.run(),
            Sheet::Throttle(sheet) => sheet.run(),
            Sheet::Sender(sheet) => sheet.run(),
            Sheet::Coil(sheet) => sheet.run(),
            Sheet::Sweep(sheet) => sheet.run(),
        }
    }
}

/// The project that a worksheet starts from, and the one it writes.
#[derive(Debug, clap::Args)]
struct Target {
    /// The project file to start from
    #[arg(value_name = "P")]
    project: Option<PathBuf>,
    /// Apply the result to the project and write it to OUT
    #[arg(long, requires = "project", requires = "output")]
    apply: bool,
    /// The project file to write; may be P itself
    #[arg(short, long, value_name = "OUT", requires = "apply")]
    #[arg(value_parser = OsStringValueParser::new().try_map(file_path))]
    output: Option<PathBuf>,
    #[command(flatten)]
    format: Format,
}

impl Target {
    /// The project, if there is one, and the lock to rewrite it if it is also the output.
    fn read(&self) -> Result<(Option<Project>, Option<Rewrite>), Failure> {
        let Some(path) = &self.project else {
            return Ok((None, None));
        };
        let (project, rewrite) = read_for(path, self.output.as_deref())?;
        Ok((Some(project), rewrite))
    }

    /// Applies the answer if that is asked for, and reports it. Only what was really done is reported as done.
    fn answer(
        &self,
        (project, rewrite): (Option<&Project>, Option<Rewrite>),
        value: &impl Serialize,
        text: impl FnOnce() -> String,
        label: impl FnOnce(&Project) -> String,
        apply: impl FnOnce(&Project) -> Result<Project, WorksheetError>,
    ) -> Result<Answer, Failure> {
        let (Some(project), Some(output)) = (project, &self.output) else {
            return self.format.answer(value, text);
        };
        let applied = apply(project)?;
        let files = save_project(output, &applied, rewrite)?;
        let label = if applied == *project { "nothing changed".to_owned() } else { label(project) };
        let words = || format!("{}\n{label}\nwrote {}\n", text(), shown(output));
        Ok(Answer { files, ..self.format.answer(value, words)? })
    }
}

/// Verdicts, one per line, each after a word for how serious it is.
pub(super) fn verdict_lines<V: Verdict>(verdicts: &[V]) -> String {
    let line = |verdict: &V| {
        let mark = match verdict.gravity() {
            Gravity::Good => "",
            Gravity::Note => "note",
            Gravity::Warning => "WARN",
            Gravity::Obstacle => "STOP",
        };
        format!("{mark:<6}{}\n", verdict.words())
    };
    verdicts.iter().map(line).collect()
}

/// A line with the name of a figure and its value.
pub(super) fn row(name: &str, value: &str) -> String {
    format!("{name:<22}{value}\n")
}
