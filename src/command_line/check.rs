//! `check`: what the checks find in a project.

use std::fmt::Write;
use std::path::PathBuf;

use serde::Serialize;

use super::output::{Format, broken_notes};
use super::{Answer, Failure};
use crate::checks::{
    CHECKS, Finding, Looked, Place, Relaxed, Severity, Spot, Tally, Threshold, assumed_words, check, relaxed,
    relaxed_words, run, run_with_margins,
};
use crate::command_line::output::read_project;
use crate::compare::Section;
use crate::project::{DecidedBy, FindingPlace, Project};
use crate::watch::Watch;
use crate::wording::{Unit, given_load, one_line, quantity, shortest};

/// Check a project: kinks, idle, limits, trigger, coils, outputs, image
#[derive(Debug, clap::Args)]
#[command(after_help = help())]
pub(super) struct Check {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// From which severity on the exit code is 1
    #[arg(long, value_name = "SEVERITY", default_value = "error")]
    fail_on: Level,
    /// List the checks that found nothing too, with what came nearest to its bound
    #[arg(long, conflicts_with = "json")]
    margins: bool,
    #[command(flatten)]
    format: Format,
}

const HELP: &str = "\
Errors harm the engine or make the image useless, warnings are probably wrong, notes are worth
knowing. Thresholds that differ from their default and findings accepted with a reason are kept in
the project; an accepted finding is listed but does not count until its value changes. Limits that
let more pass than by default are listed after the findings with their reason; they are no findings.

With --json: [{id, severity, place: {sheet, words, known_by (as checks.accepted keeps it), cells
[{speed_rpm, load}] or field}, message, why, remedy, value, threshold, unit, thresholds (the names
of the check's own), accepted (the reason or null)}], the worst first. Relaxed limits follow in the
same form, with the id and the severity \"relaxed\": value is what the limit is, threshold what it is by
default, accepted the reason or null.

Exit codes: 0 nothing found at or above the level of --fail-on; 1 something found; 2 the project
cannot be read.

Examples:
  sparkloft check mine.ron
  sparkloft check mine.ron --json --fail-on warning
  sparkloft set mine.ron -o mine.ron checks.thresholds.stands_out_deg=3
  checks.threshold_reasons.stands_out_deg='a race cam, rough by design'
  sparkloft set mine.ron -o mine.ron checks.accepted='[(id: \"tachometer\", value: 1,
  place: (field: \"tachometer.pulses_per_revolution\"), reason: \"an old instrument\")]'

Thresholds, with their defaults:
";

/// The help text with the thresholds.
fn help() -> String {
    let thresholds = CHECKS.iter().flat_map(|check| check.thresholds);
    let line = |threshold: &Threshold| {
        let default = match threshold.decided_by {
            DecidedBy::LoadKind => format!("{}, in the load's unit", given_load(threshold.default)),
            _ => quantity(threshold.default, threshold.unit),
        };
        format!("  {:<36}{}: {default}\n", threshold.name, threshold.label)
    };
    thresholds.fold(HELP.to_owned(), |text, threshold| text + &line(threshold)).trim_end().to_owned()
}

#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Level {
    /// Errors only
    Error,
    /// Errors and warnings
    Warning,
    /// Anything at all
    Note,
}

impl Level {
    const fn severity(self) -> Severity {
        match self {
            Self::Error => Severity::Error,
            Self::Warning => Severity::Warning,
            Self::Note => Severity::Note,
        }
    }
}

#[derive(Serialize)]
struct Found<'a> {
    id: &'static str,
    severity: &'static str,
    place: FoundPlace<'a>,
    message: &'a str,
    why: &'static str,
    remedy: &'a str,
    value: f64,
    threshold: f64,
    unit: Unit,
    thresholds: Vec<&'static str>,
    accepted: Option<&'a str>,
}

#[derive(Serialize)]
struct FoundPlace<'a> {
    sheet: &'static str,
    words: &'a str,
    known_by: &'a FindingPlace,
    #[serde(skip_serializing_if = "Option::is_none")]
    cells: Option<Vec<FoundCell>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    field: Option<&'a str>,
}

#[derive(Serialize)]
struct FoundCell {
    speed_rpm: f64,
    load: f64,
}

impl Check {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let project = read_project(&self.project)?;
        let findings = run(&project);
        let is_no = findings.iter().any(|finding| finding.is_open() && finding.severity <= self.fail_on.severity());
        let limits = relaxed(&project);
        let beside: Vec<(Place, String, String)> = limits.iter().map(beside).collect();
        let told = findings.iter().map(|finding| Found::of(&project, finding));
        let found: Vec<Found<'_>> = told.chain(limits.iter().zip(&beside).map(Found::of_limit)).collect();
        let answer = self.format.answer(&found, || text(&project, &findings) + &self.margins(&project))?;
        Ok(Answer { notes: broken_notes(&self.project), is_no, ..answer })
    }

    /// The checks that found nothing, one a line.
    fn margins(&self, project: &Project) -> String {
        // Nobody stops it.
        let (findings, looked) = run_with_margins(project, Watch::NOBODY).unwrap_or_default();
        let is_wanted =
            |looked: &&Looked| self.margins && !findings.iter().any(|finding| finding.id == looked.check.id);
        looked.iter().filter(is_wanted).fold(String::new(), |text, Looked { check, margin }| {
            let said = margin.map_or_else(|| "none found".to_owned(), |margin| margin.words());
            text + &format!("\npassed {}\n  {}: {said}\n", check.id, check.title)
        })
    }
}

impl<'a> Found<'a> {
    fn of(project: &Project, finding: &'a Finding) -> Self {
        let table = project.advance.table();
        let (cells, field) = match &finding.place.spot {
            Spot::Cells(cells) => {
                let cell = |cell: &crate::table::Cell| FoundCell {
                    speed_rpm: table.speed().breakpoints()[cell.speed],
                    load: table.load().breakpoints()[cell.load],
                };
                (Some(cells.iter().map(cell).collect()), None)
            }
            Spot::Field(path) => (None, Some(path.as_str())),
        };
        let Place { words, known_by, .. } = &finding.place;
        let place = FoundPlace { sheet: sheet(&finding.place), words, known_by, cells, field };
        let Finding { id, severity, ref message, why, ref remedy, value, threshold, unit, .. } = *finding;
        let accepted = finding.accepted.as_deref();
        let thresholds = check(id).map_or(&[][..], |check| check.thresholds);
        let thresholds = thresholds.iter().map(|threshold| threshold.name).collect();
        Self {
            id,
            severity: severity.name(),
            place,
            message,
            why,
            remedy,
            value,
            threshold,
            unit,
            thresholds,
            accepted,
        }
    }

    fn of_limit((limit, (place, message, remedy)): (&'a Relaxed, &'a (Place, String, String))) -> Self {
        let field = match &place.spot {
            Spot::Field(path) => Some(path.as_str()),
            Spot::Cells(_) => None,
        };
        let Place { words, known_by, .. } = place;
        Self {
            id: "relaxed",
            severity: "relaxed",
            place: FoundPlace { sheet: sheet(place), words, known_by, cells: None, field },
            message,
            why: Relaxed::WHY,
            remedy,
            value: limit.value,
            threshold: limit.threshold.default,
            unit: limit.unit(),
            thresholds: vec![limit.threshold.name],
            accepted: limit.reason.as_deref(),
        }
    }
}

/// The name of the part of the setup in which a place lies, as the JSON document has it.
fn sheet(place: &Place) -> &'static str {
    match place.section() {
        Section::Advance | Section::Evidence => "advance",
        Section::Trims => "trims",
        Section::Limits | Section::FullLoadLine | Section::SafetyMargin | Section::Outputs | Section::Tachometer => {
            "limits"
        }
        Section::Checks => "checks",
        Section::Image => "export",
        Section::Runs => "rig",
        Section::Project
        | Section::Engine
        | Section::Trigger
        | Section::Sensors
        | Section::Coil
        | Section::TimingLight => "engine",
    }
}

/// Where a relaxed limit is set, what it lets pass, and what to do.
fn beside(limit: &Relaxed) -> (Place, String, String) {
    let remedy = format!("Set it back to {} unless the reason still holds.", shortest(limit.threshold.default));
    (limit.place(), limit.words(), remedy)
}

fn text(project: &Project, findings: &[Finding]) -> String {
    let mut text = format!("{}: {}", one_line(&project.name), Tally::of(findings).words());
    let accepted = findings.iter().filter(|finding| !finding.is_open()).count();
    if accepted > 0 {
        let _ = write!(text, "; {accepted} accepted");
    }
    for words in [relaxed_words(project), assumed_words(project)].into_iter().flatten() {
        let _ = write!(text, "; {words}");
    }
    text.push('\n');
    for finding in findings {
        let state = if finding.is_open() { finding.severity.name() } else { "accepted" };
        let _ = write!(text, "\n{state} {} at {}\n  {}\n", finding.id, finding.place.words, finding.message);
        if let Some([value, threshold]) = finding.figures() {
            let _ = writeln!(text, "  found {value}, held against {threshold}");
        }
        match &finding.accepted {
            Some(reason) => {
                let _ = writeln!(text, "  accepted: {}", one_line(reason));
            }
            None => {
                let _ = writeln!(text, "  why: {}\n  do: {}", finding.why, finding.remedy);
            }
        }
    }
    for limit in relaxed(project) {
        let (name, words) = (limit.threshold.name, limit.words());
        let _ = write!(text, "\nrelaxed {name}\n  {words}\n  reason: {}\n", limit.reason_words());
    }
    text
}
