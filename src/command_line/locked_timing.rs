//! `locked-timing`: a marked copy with a flat table, for use with the timing light.

use std::path::PathBuf;

use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::output::{Format, file_path, same_place, save_project, shown};
use super::values::number;
use super::{Answer, Failure};
use crate::command_line::output::read_project;
use crate::project::{LOCKED_TIMING_DEG, cautions};
use crate::wording::{Unit, quantity};

/// Make a marked copy with a flat table, for use with the timing light
#[derive(Debug, clap::Args)]
#[command(after_help = "\
The copy commands one advance wherever the engine runs: the table is flat, trims, safety margin
and launch are off, the over-speed limit is on. So is its image: the curves of trims and margin are
zero, launch has the locked advance and the over-speed limit eases off by nothing, so that a unit
that applies every number it finds commands that one advance too. While cranking, the cranking
advance stands. What is not in the image stays in the unit as it was set. The copy is marked in
its name and wherever it is shown, holds no snapshots, and can be given no other advance. It is no
map to drive with.

With --json: file, locked_timing_deg, cranking_advance_deg, left_at_rpm, eases_from_rpm (null:
nothing eases off).

Examples:
  sparkloft locked-timing P.ron -o locked.ron
  sparkloft locked-timing P.ron --advance 15 -o locked.ron")]
pub(super) struct LockedTiming {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// The advance everywhere, in degrees before TDC [default: 10]
    #[arg(long, value_name = "DEG", value_parser = number, allow_hyphen_values = true)]
    advance: Option<f64>,
    /// The project file to write; never P itself
    #[arg(short, long, value_name = "OUT", value_parser = OsStringValueParser::new().try_map(file_path))]
    output: PathBuf,
    #[command(flatten)]
    format: Format,
}

#[derive(Serialize)]
struct Done {
    file: String,
    locked_timing_deg: f64,
    cranking_advance_deg: f64,
    left_at_rpm: f64,
    eases_from_rpm: Option<f64>,
}

impl LockedTiming {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let real = read_project(&self.project)?;
        if same_place(&self.project, &self.output) {
            let reason = format!("{}: the copy must not take the place of the real project", shown(&self.output));
            return Err(Failure::Usage(reason, "locked-timing"));
        }
        let advance_deg = self.advance.unwrap_or(LOCKED_TIMING_DEG);
        let copy = real.locked_timing(advance_deg)?;
        let files = save_project(&self.output, &copy, None)?;
        let notes = vec![cautions::TIMING_LIGHT.into()];
        let cranking = &copy.limits.cranking;
        let done = Done {
            file: shown(&self.output),
            locked_timing_deg: advance_deg,
            cranking_advance_deg: cranking.advance_deg,
            left_at_rpm: cranking.leave_at_rpm + cranking.blend_rpm,
            eases_from_rpm: Some(copy.limits.over_speed.eases_from_rpm)
                .filter(|_| copy.limits.over_speed.eases_by_deg > 0.0),
        };
        let (_, list) = super::held::list(&copy)?;
        let text = || {
            let [advance, cranking] =
                [done.locked_timing_deg, done.cranking_advance_deg].map(|deg| quantity(deg, Unit::Degree));
            let left = quantity(done.left_at_rpm, Unit::Rpm);
            format!(
                "locked timing {advance} from {left} on; while cranking {cranking}; trims, safety margin and launch off, \
                 over-speed limit on and not easing off\n{list}wrote {}\n",
                done.file
            )
        };
        Ok(Answer { notes, files, ..self.format.answer(&done, text)? })
    }
}
