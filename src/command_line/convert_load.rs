//! `convert-load`: a project whose loads are throttle openings as one of manifold pressures, or back.

use std::path::PathBuf;

use clap::ValueEnum;
use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::output::{Format, file_path, read_for, read_up_to, refuse_taken, save_project, shown};
use super::values::Mark;
use super::worksheet::{row, verdict_lines};
use super::{Answer, Failure};
use crate::interchange::{MAX_FILLING_BYTES, read_filling};
use crate::project::{LoadKind, Project};
use crate::wording::{Unit, figure, fixed, outside, point, quantity, with_unit};
use crate::worksheet::{
    ConvertedCell, FillingVerdict, FittedFilling, LoadConversion, STANDARD_ATMOSPHERE_KPA, Verdict, settled,
};

/// Convert a project's loads from throttle to manifold pressure, or back, by a log that has both
#[derive(Debug, clap::Args)]
#[command(after_help = "\
LOG.csv has a first row of names, with speed_rpm, throttle_pct and pressure_kpa, and time_s if it
was logged: then only rows about which all three stay settled for a second count. Thirty settled
rows are needed, some of them at part throttle.

K(n)·f(x)·Ψ(r) = n·r is fitted to them: Ψ the flow of a nozzle, f the free area of a plate with a
leak, K a size that goes with a power of speed. The table is looked up at the mapped loads; idle
load, runs, measured points and sweeps are mapped at their own speeds; curves over load, which know
no speed, at one in the middle. Conditions on load become conditions on the signal that it was.
Held cells are released, since they stood between the new rows. It is one step.

From pressure to throttle, rows above the pressure around are refused: throttle tells no boost.

With --json: {label, filling: {size_rpm, leak, exponent, ambient_kpa}, rms_kpa, worst_kpa, pairs,
verdicts, curves_at_rpm, worst_error_deg, median_error_deg, cells: [{speed_rpm, load, was_load,
advance_deg, error_deg, is_outside}], remarks, file}.

Example:
  sparkloft convert-load P.ron --to pressure --pairs drive.csv -o Q.ron")]
pub(super) struct ConvertLoad {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// What the load is to be
    #[arg(long, value_name = "KIND")]
    to: To,
    /// A log that has both signals
    #[arg(long, value_name = "LOG.csv")]
    pairs: PathBuf,
    /// The project file to write; may be P itself
    #[arg(short, long, value_name = "OUT")]
    #[arg(value_parser = OsStringValueParser::new().try_map(file_path))]
    output: PathBuf,
    /// Pressure of the air around while it was logged, kPa; else combustion.ambient_kpa, or 101.325
    #[arg(long, value_name = "KPA")]
    ambient: Option<f64>,
    /// What stands before decimals in the log, where its numbers do not tell, as 1,000 alone does not
    #[arg(long, value_name = "MARK")]
    decimal_mark: Option<Mark>,
    #[command(flatten)]
    format: Format,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum To {
    /// Manifold pressure in kPa
    Pressure,
    /// Throttle opening in %
    Throttle,
}

#[derive(Serialize)]
struct Done<'a> {
    label: &'a str,
    #[serde(flatten)]
    fitted: &'a FittedFilling,
    pairs: usize,
    verdicts: Vec<String>,
    curves_at_rpm: f64,
    worst_error_deg: f64,
    median_error_deg: f64,
    cells: &'a [ConvertedCell],
    remarks: &'a [String],
    file: String,
}

impl ConvertLoad {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        refuse_taken("convert-load", &self.output, &[("the log", self.pairs.as_path())])?;
        let (project, rewrite) = read_for(&self.project, Some(&self.output))?;
        let fitted = self.fitted(&project)?;
        let to = match self.to {
            To::Pressure => LoadKind::Pressure,
            To::Throttle => LoadKind::Throttle,
        };
        let conversion = LoadConversion::of(&project, &fitted, to)?;
        let mut verdicts = FillingVerdict::of_fit(&fitted);
        verdicts.extend(FillingVerdict::of_conversion(&conversion));
        let files = save_project(&self.output, &conversion.project, rewrite)?;
        let worst_error_deg = conversion.worst().map_or(0.0, |cell| cell.error_deg);
        let done = Done {
            label: &conversion.label,
            fitted: &fitted,
            pairs: fitted.pairs.len(),
            verdicts: verdicts.iter().map(Verdict::words).collect(),
            curves_at_rpm: conversion.curves_at_rpm,
            worst_error_deg,
            median_error_deg: conversion.median_error_deg(),
            cells: &conversion.cells,
            remarks: &conversion.remarks,
            file: shown(&self.output),
        };
        let answer = self.format.answer(&done, || text(&fitted, &conversion, &verdicts, &done.file))?;
        Ok(Answer { files, ..answer })
    }

    fn fitted(&self, project: &Project) -> Result<FittedFilling, Failure> {
        let known = self.ambient.or(project.combustion.ambient_kpa).unwrap_or(STANDARD_ATMOSPHERE_KPA);
        if !(60.0..=110.0).contains(&known) {
            let words = outside(known, (60.0, 110.0), Unit::Kilopascal);
            return Err(Failure::Usage(format!("--ambient: {words}"), "convert-load"));
        }
        let bytes = read_up_to(&self.pairs, MAX_FILLING_BYTES as u64)?;
        let rows = read_filling(&bytes, self.decimal_mark.map(Into::into))
            .map_err(|source| Failure::FillingFile { path: self.pairs.clone(), source })?;
        FittedFilling::to(&settled(&rows), known)
            .map_err(|reason| Failure::Filling { path: self.pairs.clone(), reason })
    }
}

fn text(fitted: &FittedFilling, conversion: &LoadConversion, verdicts: &[FillingVerdict], file: &str) -> String {
    let filling = fitted.filling;
    let mut text = row("settled rows", &fitted.pairs.len().to_string());
    text += &row("size K at 2500 rpm", &figure(filling.size_rpm, Unit::Rpm));
    text += &row("leak", &figure(100.0 * filling.leak, Unit::Percent));
    text += &row("power of speed", &fixed(filling.exponent, 2));
    text += &row("about the fit", &with_unit(&fixed(fitted.rms_kpa, 2), Unit::Kilopascal));
    text += &row("curves converted at", &quantity(conversion.curves_at_rpm, Unit::Rpm));
    let unit = conversion.project.sensors.load.unit();
    if let Some(worst) = conversion.worst() {
        let at = point(worst.speed_rpm, worst.load, unit);
        text += &row("scatter moves a cell", &format!("up to {} at {at}", figure(worst.error_deg, Unit::Degree)));
    }
    text += &row("in the median", &figure(conversion.median_error_deg(), Unit::Degree));
    text += &format!("\n{}", verdict_lines(verdicts));
    conversion.remarks.iter().for_each(|remark| text += &format!("{:<6}{remark}\n", "note"));
    format!("{text}\n{}\nwrote {file}\n", conversion.label)
}
