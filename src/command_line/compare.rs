//! `compare`: what an edited project changed in its base.

use std::path::PathBuf;

use serde::Serialize;

use super::json::Value;
use super::output::{Format, brief, locked_note};
use super::values::number;
use super::{Answer, Failure};
use crate::command_line::output::read_project;
use crate::compare::{
    Comparison, Extreme, FieldDifference, Figures, Region, Sign, TableComparison, Threshold, UNWEIGHTED_NOTE,
};
use crate::project::{LoadKind, Project};
use crate::watch::Watch;
use crate::wording::{Unit, change, count, one_line, point, step_decimals, with_unit};

/// Compare a project with its base: the tables point by point, everything else field by field
#[derive(Debug, clap::Args)]
#[command(
    override_usage = "sparkloft compare [OPTIONS] BASE EDITED\n       sparkloft compare [OPTIONS] --last-export EDITED"
)]
#[command(after_help = "\
BASE is the project to compare with, EDITED the one that was changed; with --last-export the base
is what was last exported from EDITED in the window.

Points are all breakpoints of either table inside the rectangle that both cover; a delta is edited
minus base, in degrees. The axes are the fields advance.speed_rpm and advance.load; held marks and
origins are fields per cell. Snapshots are not compared.

With --json: points, changed, mean_deg, rms_deg, share_within_half_degree (0 to 1), largest_rise
and largest_fall {deg, speed_rpm, load} or null, regions [{sign (+ or -), cells, speed_rpm, load,
mean_deg, peak_deg}], fields [{path, base, edited}], not_compared (why parts of the tables are
not, in words), load_unit.

Exit codes: 0 nothing differs; 1 a point or a field differs; 2 the projects cannot be compared.

Examples:
  sparkloft compare base.ron mine.ron
  sparkloft compare base.ron mine.ron --threshold 1 --json
  sparkloft compare --last-export mine.ron")]
pub(super) struct Compare {
    /// The project to compare with; left out with --last-export
    #[arg(value_name = "BASE", num_args = 1..=2, required = true, hide = true)]
    projects: Vec<PathBuf>,
    /// Compare EDITED with what was last exported from it
    #[arg(long)]
    last_export: bool,
    /// From how many degrees on a point belongs to a region
    #[arg(long, value_name = "DEG", default_value = "0.5", value_parser = number, allow_hyphen_values = true)]
    threshold: f64,
    #[command(flatten)]
    format: Format,
}

#[derive(Serialize)]
struct Compared<'a> {
    points: usize,
    changed: usize,
    mean_deg: f64,
    rms_deg: f64,
    share_within_half_degree: f64,
    largest_rise: Option<Place>,
    largest_fall: Option<Place>,
    regions: Vec<ComparedRegion>,
    fields: Vec<ComparedField<'a>>,
    not_compared: Vec<String>,
    load_unit: Unit,
}

#[derive(Serialize)]
struct Place {
    deg: f64,
    speed_rpm: f64,
    load: f64,
}

#[derive(Serialize)]
struct ComparedRegion {
    sign: &'static str,
    cells: usize,
    speed_rpm: (f64, f64),
    load: (f64, f64),
    mean_deg: f64,
    peak_deg: f64,
}

#[derive(Serialize)]
struct ComparedField<'a> {
    path: &'a str,
    base: Value<'a>,
    edited: Value<'a>,
}

impl Compare {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let threshold = Threshold::new(self.threshold)?;
        let (base, edited) = self.projects()?;
        let comparison = Comparison::new(&base, &edited, threshold, Watch::NOBODY)?;
        let is_no = comparison.is_different();
        let fields = &comparison.fields.list;
        let table = comparison.table?;
        let mut notes: Vec<String> = table.delta.not_compared().iter().map(ToString::to_string).collect();
        if !comparison.fields.marks_compared {
            notes.push("held marks and origins are not compared: the tables have different sizes".into());
        }
        notes.extend(locked_note(&base, "the base"));
        notes.extend(locked_note(&edited, "the edited project"));
        let load = edited.sensors.load;
        let answer = self.format.answer(&compared(&table, fields, load), || text(&table, fields, &edited))?;
        Ok(Answer { notes, is_no, ..answer })
    }

    /// The base and the edited project.
    fn projects(&self) -> Result<(Project, Project), Failure> {
        match (self.projects.as_slice(), self.last_export) {
            ([base, edited], false) => Ok((read_project(base)?, read_project(edited)?)),
            ([edited], true) => {
                let project = read_project(edited)?;
                let export = project.last_export.clone().ok_or_else(|| Failure::NeverExported(edited.clone()))?;
                Ok((export.state.clone(), project))
            }
            _ => {
                let reason = "give BASE and EDITED, or --last-export and EDITED alone";
                Err(Failure::Usage(reason.into(), "compare"))
            }
        }
    }
}

fn compared<'a>(table: &TableComparison, fields: &'a [FieldDifference], load: LoadKind) -> Compared<'a> {
    let Figures { points, changed, mean_deg, rms_deg, share_within_half_degree, .. } = table.figures;
    let place = |Extreme { deg, speed_rpm, load }| Place { deg, speed_rpm, load };
    let field = |field: &'a FieldDifference| ComparedField {
        path: &field.path,
        base: Value(field.base.as_ref()),
        edited: Value(field.edited.as_ref()),
    };
    Compared {
        points,
        changed,
        mean_deg,
        rms_deg,
        share_within_half_degree,
        largest_rise: table.figures.largest_rise.map(place),
        largest_fall: table.figures.largest_fall.map(place),
        regions: table.regions.iter().map(ComparedRegion::of).collect(),
        fields: fields.iter().map(field).collect(),
        not_compared: table.delta.not_compared().iter().map(ToString::to_string).collect(),
        load_unit: load.unit(),
    }
}

impl ComparedRegion {
    fn of(region: &Region) -> Self {
        Self {
            sign: match region.sign {
                Sign::Raised => "+",
                Sign::Lowered => "-",
            },
            cells: region.cells(),
            speed_rpm: region.speed_rpm,
            load: region.load,
            mean_deg: region.mean_deg,
            peak_deg: region.peak.deg,
        }
    }
}

fn text(table: &TableComparison, fields: &[FieldDifference], edited: &Project) -> String {
    let (load, decimals) = (edited.sensors.load, step_decimals(edited.step_deg));
    let figures = &table.figures;
    let mut lines = vec![figures.words(decimals)];
    let extremes = [("largest rise", figures.largest_rise), ("largest fall", figures.largest_fall)];
    lines.extend(extremes.into_iter().filter_map(|(name, place)| {
        let Extreme { deg, speed_rpm, load: at } = place?;
        Some(format!(
            "{name} {} at {}",
            with_unit(&change(deg, decimals), Unit::Degree),
            point(speed_rpm, at, load.unit())
        ))
    }));
    if figures.changed > 0 {
        lines.push(UNWEIGHTED_NOTE.into());
    }
    let in_cells = |region: &Region| format!("{} ({})", region.words(load, decimals), count(region.cells(), "point"));
    lines.extend(table.regions.iter().map(in_cells));
    lines.push(match fields.len() {
        0 => "no field differs".into(),
        1 => "1 field differs:".into(),
        many => format!("{} differ:", count(many, "field")),
    });
    let field = |field: &FieldDifference| {
        format!(
            "  {}  ({}): {} → {}",
            one_line(&field.path),
            field.label,
            brief(&field.base_words),
            brief(&field.edited_words)
        )
    };
    lines.extend(fields.iter().map(field));
    lines.join("\n") + "\n"
}
