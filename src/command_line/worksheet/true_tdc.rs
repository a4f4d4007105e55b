//! `worksheet true-tdc`: piston-stop marks, degrees on a pulley, a degree strip.

use std::path::PathBuf;

use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::{Target, row, verdict_lines};
use crate::command_line::output::{file_path, refuse_taken, save_file, shown};
use crate::command_line::values::number as parse_number;
use crate::command_line::{Answer, Failure};
use crate::project::cautions;
use crate::wording::{Unit, figure, fixed, signed_figure, with_unit};
use crate::worksheet::{PistonStop, STRIP_DEG, Strip, TrueTdc, WorksheetError, pulley_deg, pulley_mm};

/// True top dead centre from piston-stop marks; degrees on a pulley in millimetres; a degree strip to print
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Marks are read from a degree wheel on the crank that counts 0 to 360 in the direction of rotation,
its zero at the engine's timing mark. Battery off, plugs out, and turn by hand, never with the
starter, until the piston touches the stop, one way and then the other: top dead centre is halfway. --edge is the reading
with the first edge after the gap at the sensor.

Applied, the reference becomes the one measured with --edge, and the zero offset 0; without --edge
the project's reference moves by the timing mark's error.

With --json: {tdc: {tdc_deg, half_span_deg, mark_error_deg, reference_deg, verdicts} or null,
pulley: {diameter_mm, mm_per_deg, angle_deg, length_mm} or null, strip: file or null}.

Examples:
  sparkloft worksheet true-tdc --first 28 --second 329 --edge 270
  sparkloft worksheet true-tdc --diameter 150 --angle 10
  sparkloft worksheet true-tdc --diameter 150 --strip strip.svg --from -10 --to 60")]
pub(super) struct TrueTdcSheet {
    #[command(flatten)]
    target: Target,
    /// Where the piston touches the stop, turned one way, in degrees
    #[arg(long, value_name = "DEG", value_parser = parse_number, requires = "second")]
    #[arg(required_unless_present = "diameter")]
    first: Option<f64>,
    /// Where it touches, turned the other way
    #[arg(long, value_name = "DEG", value_parser = parse_number, requires = "first")]
    #[arg(required_if_eq("apply", "true"))]
    second: Option<f64>,
    /// The reading with the first edge after the gap at the sensor
    #[arg(long, value_name = "DEG", value_parser = parse_number, requires = "first")]
    edge: Option<f64>,
    /// The pulley's diameter in mm
    #[arg(long, value_name = "MM", value_parser = parse_number)]
    diameter: Option<f64>,
    /// Degrees of crank to find on the pulley's rim
    #[arg(long, value_name = "DEG", value_parser = parse_number, allow_hyphen_values = true, requires = "diameter")]
    #[arg(conflicts_with = "length")]
    angle: Option<f64>,
    /// Millimetres along the pulley's rim to find in degrees
    #[arg(long, value_name = "MM", value_parser = parse_number, allow_hyphen_values = true, requires = "diameter")]
    length: Option<f64>,
    /// Write a strip of degrees for the pulley, to print at full size
    #[arg(long, value_name = "OUT.svg", requires = "diameter", conflicts_with = "apply")]
    #[arg(value_parser = OsStringValueParser::new().try_map(file_path))]
    strip: Option<PathBuf>,
    /// The strip's first degree before top dead centre
    #[arg(long, value_name = "DEG", default_value_t = STRIP_DEG.0, allow_hyphen_values = true, requires = "strip")]
    from: i16,
    /// The strip's last degree
    #[arg(long, value_name = "DEG", default_value_t = STRIP_DEG.1, allow_hyphen_values = true, requires = "strip")]
    to: i16,
}

#[derive(Serialize)]
struct Found {
    tdc: Option<TrueTdc>,
    pulley: Option<Pulley>,
    strip: Option<String>,
}

#[derive(Serialize)]
struct Pulley {
    diameter_mm: f64,
    mm_per_deg: f64,
    angle_deg: Option<f64>,
    length_mm: Option<f64>,
}

impl TrueTdcSheet {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        if let Some((strip, project)) = self.strip.as_deref().zip(self.target.project.as_deref()) {
            refuse_taken("worksheet true-tdc", strip, &[("the project", project)])?;
        }
        let (project, rewrite) = self.target.read()?;
        let stop = self.first.zip(self.second).map(|(first_deg, second_deg)| PistonStop {
            first_deg,
            second_deg,
            edge_deg: self.edge,
        });
        let tdc = stop.map(|stop| TrueTdc::of(&stop)).transpose()?;
        let pulley = self.diameter.map(|diameter_mm| self.pulley(diameter_mm)).transpose()?;
        let drawing = match self.diameter.filter(|_| self.strip.is_some()) {
            Some(diameter_mm) => Some(Strip::new(diameter_mm, self.from, self.to)?.svg()),
            None => None,
        };
        let found = Found { tdc, pulley, strip: self.strip.as_deref().map(shown) };
        let no_marks = || WorksheetError::Contradiction("there are no piston-stop marks to apply".into());
        let mut answer = self.target.answer(
            (project.as_ref(), rewrite),
            &found,
            || text(&found),
            |project| found.tdc.as_ref().map(|tdc| tdc.label(project)).unwrap_or_default(),
            |project| found.tdc.as_ref().ok_or_else(no_marks)?.apply(project),
        )?;
        if let Some((path, drawing)) = self.strip.as_deref().zip(drawing) {
            answer.files.extend(save_file(path, drawing.into_bytes())?);
        }
        Ok(answer)
    }

    fn pulley(&self, diameter_mm: f64) -> Result<Pulley, WorksheetError> {
        let length_mm = self.angle.map(|angle| pulley_mm(diameter_mm, angle)).transpose()?.or(self.length);
        let angle_deg = self.length.map(|length| pulley_deg(diameter_mm, length)).transpose()?.or(self.angle);
        Ok(Pulley { diameter_mm, mm_per_deg: pulley_mm(diameter_mm, 1.0)?, angle_deg, length_mm })
    }
}

fn text(found: &Found) -> String {
    let mut text = String::new();
    if let Some(tdc) = &found.tdc {
        text += &row("top dead centre", &format!("{} on the degree wheel", figure(tdc.tdc_deg, Unit::Degree)));
        text += &row("after the mark", &signed_figure(tdc.mark_error_deg, Unit::Degree));
        if let Some(reference_deg) = tdc.reference_deg {
            text += &row("reference", &figure(reference_deg, Unit::Degree));
        }
        text += &verdict_lines(&tdc.verdicts);
        text += &format!("Caution: {}\n", cautions::TRUE_TDC);
    }
    if let Some(pulley) = &found.pulley {
        text +=
            &row("pulley", &format!("{} for each degree", with_unit(&fixed(pulley.mm_per_deg, 3), Unit::Millimetre)));
        if let Some((angle_deg, length_mm)) = pulley.angle_deg.zip(pulley.length_mm) {
            text += &row(
                "along the rim",
                &format!("{} = {}", figure(angle_deg, Unit::Degree), figure(length_mm, Unit::Millimetre)),
            );
        }
    }
    if let Some(strip) = &found.strip {
        text += &format!("wrote {strip}: print it at full size, and hold a rule against its line of 100 mm\n");
    }
    text
}
