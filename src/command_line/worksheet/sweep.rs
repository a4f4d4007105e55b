//! `worksheet sweep`: from readings of torque at several advances to the advances to use.

use std::path::PathBuf;

use clap::ValueEnum;
use jiff::Timestamp;
use serde::Serialize;

use super::{Target, verdict_lines};
use crate::command_line::output::{file_path, read_up_to, refuse_taken, save_file, shown};
use crate::command_line::values::Mark;
use crate::command_line::{Answer, Failure};
use crate::interchange::{MAX_SWEEP_BYTES, ReadSweep, read_sweep_as, write_sweep_points};
use crate::project::{AirStandard, KeptSweep, Project};
use crate::wording::{Unit, fixed, one_line, quantity, range, rounded, with_unit};
use crate::worksheet::{
    DegInterval, SweepAnswer, SweepBringing, SweepChoice, SweepPoint, SweepRow, SweepSetting, Verdict,
};

/// From readings of torque at several advances to best torque, knock and the advances to use
#[derive(Debug, clap::Args)]
#[command(after_help = "\
FILE.csv has one row for each settled reading, with the columns speed_rpm, load (or load_pct,
load_kpa), advance_deg (commanded) and one of torque_nm, power_kw and brake (any figure
proportional to torque). It may have knock (0, 1 or a count; empty: nobody listened), lambda,
coolant_c, air_c, air_kpa, humidity_pct, time_s, point (a name), pull (a number) and torque_sd.

Readings of one name are one point; without names those within 50 rpm or 1.5 % and within 2 % of
throttle or 2 kPa are. A pull, whose speed rises, is read off at the breakpoints of the project's
table; --air corrects pulls for the air, and nothing else, and is kept with them. These limits and
the others that sweeps are judged by are thresholds of a project: sparkloft set P --list shows
checks.thresholds.sweep_*.

With a project, readings that it has already count once, and those that by themselves do not tell
best torque join the point of an earlier sweep at their place, as read after it. What is told are
the points that readings of FILE.csv belong to.

Torque over advance is h - k·d²·(1 - 0.008·d), d degrees retarded from best torque, by least
squares over readings at 85 % of the top or more; the interval is every place of the top that 95 %
(F) does not refuse, and may be open. The skew is computed, from a burn; the parabola beside it is
a check. Where an advance was read early and late, a drift is fitted too. One reading far off all
others (1 %, Bonferroni) is left out and told.

--choice least: the least advance within 1 % of the top; best: best torque; knock: what was heard
to be clean, and 2° below what knocked, or nothing where nothing did. Never more than knock allows
or than was read, and rounded down to the project's step, or to 0.5°.

--apply keeps the readings in the project and adds measured points, where they were measured; no
cell of the table changes. A point with an open interval counts as at most or at least. Its verdicts
make no exit code: they are 0 whatever the readings tell, and a row that is no reading is 2.

With --json: {summary, readings, points [{point, speed_rpm, load, readings, left_out, mbt_deg,
mbt_low_deg, mbt_high_deg, flat_low_deg, flat_low_low_deg, flat_low_high_deg, flat_high_deg,
top_torque (Nm, or the brake's figure), scatter_pct, drift_pct, parabola_mbt_deg, clean_to_deg,
knock_from_deg, choice, choice_deg, torque_at_choice_pct, verdicts, speed_spread_rpm, load_spread
(half of how far its readings lie apart), next_deg}], notes}; what is not known is null. mbt is best
torque, flat the span within 1 % of it. --csv writes the same columns up to verdicts.

Examples:
  sparkloft worksheet sweep --readings day.csv
  sparkloft worksheet sweep P.ron --readings day.csv --choice best --apply -o P.ron")]
pub(super) struct SweepSheet {
    #[command(flatten)]
    target: Target,
    /// The readings
    #[arg(long, value_name = "FILE.csv")]
    readings: PathBuf,
    /// What stands before decimals in that file, where its numbers do not tell, as 1,000 alone does not
    #[arg(long, value_name = "MARK")]
    decimal_mark: Option<Mark>,
    /// Which advance of each point is wanted
    #[arg(long, value_name = "CHOICE", default_value = "least")]
    choice: Choice,
    /// With --apply: only the point of this name; may be given more than once
    #[arg(long, value_name = "NAME", requires = "apply")]
    point: Vec<String>,
    /// Correct the torque of pulls for the air by a standard
    #[arg(long, value_name = "STANDARD")]
    air: Option<Air>,
    /// Write one row for each point to OUT.csv
    #[arg(long, value_name = "OUT.csv")]
    #[arg(value_parser = clap::builder::TypedValueParser::try_map(clap::builder::OsStringValueParser::new(), file_path))]
    csv: Option<PathBuf>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Choice {
    /// The least advance within 1 % of best torque
    Least,
    /// Best torque
    Best,
    /// What knock allows, less the margin
    Knock,
}

impl From<Choice> for SweepChoice {
    fn from(choice: Choice) -> Self {
        match choice {
            Choice::Least => Self::Least,
            Choice::Best => Self::Best,
            Choice::Knock => Self::Knock,
        }
    }
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Air {
    /// SAE J1349
    Sae,
    /// ISO 1585
    Iso,
    /// DIN 70020
    Din,
}

impl From<Air> for AirStandard {
    fn from(air: Air) -> Self {
        match air {
            Air::Sae => Self::Sae,
            Air::Iso => Self::Iso,
            Air::Din => Self::Din,
        }
    }
}

#[derive(Serialize)]
struct Found {
    summary: String,
    readings: usize,
    points: Vec<SweepRow>,
    notes: Vec<String>,
}

/// What the readings tell.
enum Judged {
    /// By themselves.
    Alone(SweepAnswer),
    /// With those that the project has at the same places.
    Beside(SweepBringing),
}

impl Judged {
    const fn answer(&self) -> &SweepAnswer {
        match self {
            Self::Alone(answer) => answer,
            Self::Beside(brought) => &brought.answer,
        }
    }
}

impl SweepSheet {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        self.refuse_overlaps()?;
        let (project, rewrite) = self.target.read()?;
        let read = self.read(project.as_ref())?;
        let judged = match &project {
            Some(project) => Judged::Beside(SweepBringing::new(project, self.sweep(&read))?),
            None => Judged::Alone(self.alone(&read)?),
        };
        let answer = judged.answer();
        let choice = self.choice.into();
        let rows = answer.rows(choice);
        let csv =
            self.csv.as_deref().map(|path| save_file(path, write_sweep_points(&rows).into_bytes())).transpose()?;
        let notes = answer.notes.iter().map(Verdict::words).collect();
        let found = Found { summary: answer.summary(), readings: answer.readings, points: rows, notes };
        let kept = match (&judged, &project) {
            (Judged::Beside(brought), Some(project)) if self.target.apply => {
                Some(brought.put(project, choice, &self.point)?)
            }
            _ => None,
        };
        let nothing = |project: &Project| (project.clone(), String::new());
        let kept = |project: &Project| kept.clone().unwrap_or_else(|| nothing(project));
        let wrote = self.csv.as_deref().map(|path| format!("wrote {}\n", shown(path))).unwrap_or_default();
        let mut answer = self.target.answer(
            (project.as_ref(), rewrite),
            &found,
            || text(answer, choice) + &wrote,
            |project| kept(project).1,
            |project| Ok(kept(project).0),
        )?;
        answer.files.extend(csv.into_iter().flatten());
        Ok(answer)
    }

    /// The readings under the name of their file.
    fn sweep(&self, read: &ReadSweep) -> KeptSweep {
        let name = self.readings.file_stem().map_or_else(|| "sweep".into(), |stem| stem.to_string_lossy());
        // Names stand in brackets and quotes in the paths of fields.
        let name = name.replace(['[', ']', '"'], " ").trim().to_owned();
        let taken_at = Timestamp::now().round(jiff::Unit::Second).unwrap_or(Timestamp::UNIX_EPOCH).to_string();
        let ReadSweep { torque_kind, readings, .. } = read.clone();
        KeptSweep { name, taken_at, torque_kind, air: self.air.map(Into::into), readings, ..KeptSweep::default() }
    }

    /// What the readings tell without a project.
    fn alone(&self, read: &ReadSweep) -> Result<SweepAnswer, Failure> {
        let air = self.air.map(Into::into);
        let setting = SweepSetting { load: read.load, air, ..SweepSetting::new(read.torque_kind) };
        Ok(SweepAnswer::of(&read.readings, &setting)?)
    }

    fn refuse_overlaps(&self) -> Result<(), Failure> {
        let readings = ("the file of readings", self.readings.as_path());
        if let Some(output) = self.target.output.as_deref() {
            refuse_taken("worksheet sweep", output, &[readings])?;
        }
        let Some(csv) = self.csv.as_deref() else { return Ok(()) };
        let project = self.target.project.as_deref().map(|path| ("the project", path));
        let output = self.target.output.as_deref().map(|path| ("the output", path));
        let taken: Vec<_> = [Some(readings), project, output].into_iter().flatten().collect();
        refuse_taken("worksheet sweep", csv, &taken)
    }

    fn read(&self, project: Option<&Project>) -> Result<ReadSweep, Failure> {
        let bytes = read_up_to(&self.readings, MAX_SWEEP_BYTES as u64)?;
        let load = project.map(|project| project.sensors.load);
        read_sweep_as(&bytes, self.decimal_mark.map(Into::into), load)
            .map_err(|source| Failure::SweepReadings { path: self.readings.clone(), source })
    }
}

/// Degrees to one decimal, as good as they are known; a dash where they are not.
fn deg(value: Option<f64>) -> String {
    value.map_or_else(|| "—".into(), |value| with_unit(&fixed(value, 1), Unit::Degree))
}

/// '30.1–30.5°', 'from 25.5°'; empty without an end.
fn between(interval: DegInterval) -> String {
    let tenth = |value: f64| rounded(value, 1);
    match (interval.low_deg, interval.high_deg) {
        (Some(low_deg), Some(high_deg)) => range((tenth(low_deg), tenth(high_deg)), Unit::Degree),
        (Some(low_deg), None) => format!("from {}", deg(Some(low_deg))),
        (None, Some(high_deg)) => format!("up to {}", deg(Some(high_deg))),
        (None, None) => "anywhere".into(),
    }
}

fn text(answer: &SweepAnswer, choice: SweepChoice) -> String {
    let mut text = format!("{}\n\n", answer.summary());
    text +=
        &line(["point", "readings", "best torque", "95 %", "within 1 %", "knock from", choice.words()].map(Into::into));
    for point in &answer.points {
        text += &line(columns(answer, point, choice));
    }
    for note in &answer.notes {
        text += &format!("\n{}", verdict_lines(std::slice::from_ref(note)));
    }
    for point in &answer.points {
        let (name, held) = (answer.name_of(point), point.held_words(answer.load_unit()));
        text += &format!("\n{}, held within {held}\n{}", one_line(&name), verdict_lines(&point.verdicts));
        if !point.next_deg.is_empty() {
            let next: Vec<String> = point.next_deg.iter().map(|deg| quantity(*deg, Unit::Degree)).collect();
            text += &format!("{:<6}Read next: {}.\n", "", next.join(", "));
        }
    }
    text
}

fn columns(answer: &SweepAnswer, point: &SweepPoint, choice: SweepChoice) -> [String; 7] {
    let curve = point.curve.as_ref();
    let flat = curve.and_then(|curve| curve.flat_low_deg.zip(curve.flat_high_deg));
    let flat = flat.map(|(low, high)| between(DegInterval { low_deg: Some(low), high_deg: Some(high) }));
    [
        one_line(&answer.name_of(point)).into_owned(),
        point.readings.len().to_string(),
        deg(curve.map(|curve| curve.best_deg)),
        curve.map(|curve| between(curve.best)).unwrap_or_default(),
        flat.unwrap_or_default(),
        deg(point.knock.from_deg),
        deg(point.chosen(choice).deg),
    ]
}

fn line(columns: [String; 7]) -> String {
    let [point, readings, best, interval, flat, knock, chosen] = columns;
    let line = format!("{point:<24} {readings:>8} {best:>12} {interval:>14} {flat:>12} {knock:>11} {chosen:>14}");
    line.trim_end().to_owned() + "\n"
}
