//! `points`: the measured points of a project: listing them, bringing them in from a file, taking them away.

use std::path::{Path, PathBuf};

use clap::builder::{OsStringValueParser, TypedValueParser};
use serde::Serialize;

use super::output::{Format, brief, file_path, read_for, read_up_to, refuse_taken, save_project, shown};
use super::values::Mark;
use super::{Answer, Failure};
use crate::document::Rewrite;
use crate::interchange::{MAX_POINTS_BYTES, read_measured_as, write_measured};
use crate::project::{MeasuredPoint, OnTwin, PointsBrought, Project};
use crate::wording::{count, one_line, point};

/// List the measured points of a project, bring more in from a CSV file, or take some away
#[derive(Debug, clap::Args)]
#[command(
    override_usage = "sparkloft points P [--csv]\n       sparkloft points P -o OUT [--add FILE.csv [--replace]] [--remove NAME]…"
)]
#[command(after_help = "\
A measured point says what the advance is at one speed and load, as found on the engine: about so
much, at most, or at least. Tools and checks go by the points in use; a point is no cell and moves
none by itself.

FILE.csv has a first row of names: name, speed_rpm, load, advance_deg; if wanted low_deg, high_deg
(a 95 % interval), sd_deg (a standard deviation), bound (about, at_most, at_least), kind
(best_torque, least_for_best_torque, knock, light, typed), source, taken_at, note, in_use (yes, no).
The load may be called load_pct or load_kpa, and is refused where the project's load is the other.
Knock is always at_most, and an interval with one end never about. What --csv prints can be read
again. A name that is there already is refused, unless the point is the same or --replace is given.
What --remove names goes first.

One value of a point is set by its name: sparkloft set P -o P 'evidence.points[P3].in_use=no'.

With --json: the list of points with the names of those columns; with -o: file, added, replaced,
alike, removed.

Examples:
  sparkloft points P.ron
  sparkloft points P.ron --csv > points.csv
  sparkloft points P.ron -o P.ron --add brake.csv --replace
  sparkloft points P.ron -o P.ron --remove P3 --remove P4")]
pub(super) struct Points {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// The project file to write; may be P itself
    #[arg(short, long, value_name = "OUT", conflicts_with = "csv")]
    #[arg(value_parser = OsStringValueParser::new().try_map(file_path))]
    output: Option<PathBuf>,
    /// Bring in the points of this file
    #[arg(long, value_name = "FILE.csv", requires = "output")]
    add: Option<PathBuf>,
    /// With --add: a point of the file takes the place of one with its name
    #[arg(long, requires = "add")]
    replace: bool,
    /// Take away the point of this name; may be given more than once
    #[arg(long, value_name = "NAME", requires = "output")]
    remove: Vec<String>,
    /// What stands before decimals in the file, where its numbers do not tell, as 1,000 alone does not
    #[arg(long, value_name = "MARK", requires = "add")]
    decimal_mark: Option<Mark>,
    /// Print the points as CSV
    #[arg(long, conflicts_with = "json")]
    csv: bool,
    #[command(flatten)]
    format: Format,
}

#[derive(Serialize)]
struct Done {
    file: String,
    added: Vec<String>,
    replaced: Vec<String>,
    alike: Vec<String>,
    removed: Vec<String>,
}

impl Points {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        if let Some((output, file)) = self.output.as_deref().zip(self.add.as_deref()) {
            refuse_taken("points", output, &[("the file to read", file)])?;
        }
        let (project, rewrite) = read_for(&self.project, self.output.as_deref())?;
        match &self.output {
            Some(output) => self.change(&project, rewrite, output),
            None => self.list(&project),
        }
    }

    fn list(&self, project: &Project) -> Result<Answer, Failure> {
        let points = &project.evidence.points;
        if self.csv {
            return Ok(Answer::text(write_measured(points, project.sensors.load)));
        }
        let text = || match points.as_slice() {
            [] => "no measured points\n".to_owned(),
            points => points.iter().map(|point| line(project, point)).collect(),
        };
        self.format.answer(&points.iter().map(AsRef::as_ref).collect::<Vec<&MeasuredPoint>>(), text)
    }

    fn change(&self, project: &Project, rewrite: Option<Rewrite>, output: &Path) -> Result<Answer, Failure> {
        if self.add.is_none() && self.remove.is_empty() {
            return Err(Failure::Usage("-o is for what --add or --remove makes".into(), "points"));
        }
        let mut changed = project.without_points(&self.remove)?;
        let mut brought = PointsBrought::default();
        if let Some(file) = &self.add {
            let bytes = read_up_to(file, MAX_POINTS_BYTES as u64)?;
            let points = read_measured_as(&bytes, self.decimal_mark.map(Into::into), project.sensors.load);
            let points = points.map_err(|source| Failure::MeasuredFile { path: file.clone(), source })?;
            let on_twin = if self.replace { OnTwin::Replace } else { OnTwin::Refuse };
            (changed, brought) = changed.with_points(points, on_twin)?;
        }
        let files = save_project(output, &changed, rewrite)?;
        let PointsBrought { added, replaced, alike } = brought;
        let done = Done { file: shown(output), added, replaced, alike, removed: self.remove.clone() };
        Ok(Answer { files, ..self.format.answer(&done, || done.text())? })
    }
}

impl Done {
    /// '2 points added: P3, P4', and so on.
    fn text(&self) -> String {
        let what = [
            ("removed", &self.removed),
            ("added", &self.added),
            ("replaced", &self.replaced),
            ("there already, the same", &self.alike),
        ];
        let lines = what.into_iter().filter(|(_, names)| !names.is_empty());
        let lines: String = lines
            .map(|(verb, names)| format!("{} {verb}: {}\n", count(names.len(), "point"), brief(&names.join(", "))))
            .collect();
        let nothing = if lines.is_empty() { "nothing changed\n" } else { "" };
        format!("{lines}{nothing}wrote {}\n", self.file)
    }
}

/// 'P3: 24.5° (23.9–25.2°) at 3000 rpm, 60 %; best torque; May sweep, 2026-05-04'.
fn line(project: &Project, measured: &MeasuredPoint) -> String {
    let at = point(measured.speed_rpm, measured.load, project.sensors.load.unit());
    let from = [&measured.source, &measured.taken_at].map(String::as_str);
    let from: Vec<&str> = from.into_iter().filter(|text| !text.is_empty()).collect();
    let rest = [from.join(", "), measured.note.clone(), if measured.in_use { "" } else { "not in use" }.into()];
    let rest: String = rest.iter().filter(|text| !text.is_empty()).map(|text| format!("; {text}")).collect();
    let words = format!("{}: {} at {at}; {}{rest}", measured.name, measured.words(), measured.kind.words());
    format!("{}\n", one_line(&words))
}
