//! What is to be known before signing: what the checks found and what was accepted with a reason, what was changed,
//! what has not been tested, cautions; and the lines to sign on.

use super::installation::{date, zero_is_proved};
use super::piece::{Paragraph, Piece, ink, prose, rule};
use super::rows::Rows;
use super::sizes;
use crate::checks::{Finding, Relaxed, Tally, assumed_words, relaxed, relaxed_words};
use crate::compare::{Comparison, FieldDifference, Threshold};
use crate::project::{Origin, Project, Snapshot, cautions};
use crate::watch::Watch;
use crate::wording::{Unit, brief, capital, quantity, step_decimals};
use crate::worksheet::Unproved;

/// A point whose delta reaches this many degrees belongs to a changed region.
const THRESHOLD_DEG: f64 = 0.5;
/// Regions and fields beyond this many are counted, not listed.
const MOST_REGIONS: usize = 14;
const MOST_FIELDS: usize = 36;
/// Longer values are cut.
const MOST_CHARACTERS: usize = 90;

/// What changed since the base, in words.
pub(super) fn changes(project: &Project, base: Option<&Snapshot>, room: f32) -> Rows {
    let Some(base) = base else {
        let text = Paragraph::plain("There is no base: the project keeps no snapshot to compare with.");
        return prose("Changed since the base", &[text], room);
    };
    let note = if base.note.is_empty() { String::new() } else { format!(": {}", base.note) };
    let mut paragraphs = vec![Paragraph::quiet(format!("Kept {}{note}", date(&base.taken_at)))];
    paragraphs.extend(change_lines(project, base).into_iter().map(Paragraph::item));
    prose(&format!("Changed since '{}'", brief(&base.name, MOST_CHARACTERS)), &paragraphs, room)
}

fn change_lines(project: &Project, base: &Snapshot) -> Vec<String> {
    let compared =
        Threshold::new(THRESHOLD_DEG).ok().and_then(|by| Comparison::new(&base.state, project, by, Watch::NOBODY).ok());
    let Some(comparison) = compared else {
        return vec!["The two cannot be compared.".into()];
    };
    let mut lines = Vec::new();
    match &comparison.table {
        Err(refusal) => lines.push(format!("Advance table: {refusal}")),
        Ok(table) if table.figures.changed == 0 => lines.push("Advance table: nothing.".into()),
        Ok(table) => {
            let decimals = step_decimals(project.step_deg);
            lines.push(format!("Advance table: {}.", table.figures.words(decimals)));
            let load = project.sensors.load;
            let shown = table.regions.iter().take(MOST_REGIONS);
            lines.extend(shown.map(|region| format!("{}.", region.words(load, decimals))));
            let more = table.regions.len().saturating_sub(MOST_REGIONS);
            if more > 0 {
                lines.push(format!("{more} smaller regions more."));
            }
            lines.extend(table.delta.not_compared().iter().map(|part| format!("{part}.")));
        }
    }
    lines.extend(field_lines(&comparison.fields.list));
    lines
}

/// Marks of single cells are counted, everything else is listed.
fn field_lines(fields: &[FieldDifference]) -> Vec<String> {
    let is_mark =
        |field: &&FieldDifference| field.path.starts_with("advance.held[") || field.path.starts_with("advance.origin[");
    let (marks, others): (Vec<&FieldDifference>, Vec<&FieldDifference>) = fields.iter().partition(is_mark);
    let tell = |field: &&FieldDifference| {
        format!(
            "{}: {} → {}.",
            field.label,
            brief(&field.base_words, MOST_CHARACTERS),
            brief(&field.edited_words, MOST_CHARACTERS)
        )
    };
    let mut lines: Vec<String> = others.iter().take(MOST_FIELDS).map(tell).collect();
    let more = others.len().saturating_sub(MOST_FIELDS);
    if more > 0 {
        lines.push(format!("{more} settings more."));
    }
    if !marks.is_empty() {
        lines.push(format!("Held marks or origins of cells: {} changed.", marks.len()));
    }
    if fields.is_empty() {
        lines.push("Settings: nothing.".into());
    }
    lines
}

/// What nobody has shown to be right yet.
pub(super) fn not_tested(project: &Project, room: f32) -> Rows {
    let paragraphs: Vec<Paragraph> = not_tested_lines(project).into_iter().map(Paragraph::item).collect();
    prose("Not tested", &paragraphs, room)
}

fn not_tested_lines(project: &Project) -> Vec<String> {
    let origins = project.advance.origins();
    let count = |origin: Origin| origins.iter().filter(|&&other| other == origin).count();
    let measured = count(Origin::Measured);
    let others: Vec<String> = Origin::ALL
        .iter()
        .filter(|&&origin| origin != Origin::Measured && count(origin) > 0)
        .map(|&origin| format!("{} {}", count(origin), origin.name()))
        .collect();
    let mut lines = Vec::new();
    if !zero_is_proved(project) {
        lines.push(format!("{}.", capital(&Unproved::all_words(&Unproved::of(project)))));
        lines.push(format!("True top dead centre, wherever it was not looked for. {}", cautions::TRUE_TDC));
    }
    let assumed = project.assumed.len();
    if assumed > 0 {
        lines.push(format!(
            "{} that came with the project and {} never confirmed for this engine, marked (assumed).",
            crate::wording::count(assumed, "value"),
            if assumed == 1 { "was" } else { "were" }
        ));
    }
    if measured < origins.len() {
        let cells = origins.len();
        lines.push(format!(
            "{} of {cells} cells of the advance table were not measured on the engine: {}.",
            cells - measured,
            others.join(", ")
        ));
    }
    if let Some(deg) = project.locked_timing_deg {
        lines.push(format!("The map itself: this copy holds the spark at {}.", quantity(deg, Unit::Degree)));
    }
    let trims = &project.trims;
    if trims.coolant.enabled || trims.air.enabled {
        lines.push("The trims away from the temperatures at which the engine was run.".into());
    }
    lines.push("Knock, exhaust temperature and mixture under load: nothing in this program measures them.".into());
    lines.push("Cable lengths, plug caps, shielding and earths: to be looked at on the car.".into());
    lines
}

/// The cautions in plain words, on every sheet.
fn cautions(column: f32) -> Rows {
    prose("Cautions", &cautions::WHOLE.map(|caution| Paragraph::item(caution).unparted()), column)
}

/// The project's notes, in lines of a column's width.
pub(super) fn notes(project: &Project, column: f32) -> Option<Rows> {
    let notes = project.notes.trim();
    (!notes.is_empty()).then(|| prose("Notes for hand-over", &[Paragraph::plain(notes)], column))
}

/// The cautions in one piece with the lines to sign on: whoever signs has them before their eyes.
pub(super) fn cautions_and_signatures(column: f32, room: f32) -> Piece {
    let cautions = cautions(column).take_columns(room, column, sizes::COLUMNS, f32::MAX);
    let mut piece = cautions.unwrap_or_default();
    let signatures = signatures(room);
    piece.put(&signatures, (0.0, piece.height + sizes::BETWEEN));
    piece.height += sizes::BETWEEN + signatures.height;
    piece
}

/// Lines for pen and ink.
fn signatures(room: f32) -> Piece {
    let mut piece = Piece::headed("Set up and handed over", room);
    piece.height -= 6.0;
    let rows = [
        ["Set up by", "Date", "Signature"],
        ["Handed over to", "Date", "Signature"],
        ["Odometer or hours", "Fuel in the tank", "Place"],
    ];
    for row in rows {
        piece.height += 17.0;
        let shares = [(0.0, 0.36), (0.38, 0.58), (0.60, 1.0)];
        for (label, (from, to)) in row.into_iter().zip(shares) {
            let (from, to) = (from * room, to * room);
            piece.line((from, piece.height), (to, piece.height), sizes::HAIRLINE, ink().ink);
            piece.text((from, piece.height + 1.5), label, sizes::BODY, ink().ink_secondary);
        }
        piece.height += sizes::BODY * sizes::LEADING + 2.0;
    }
    piece
}

const TITLE: &str = "Findings of the checks";

pub(super) fn findings(project: &Project, findings: &[Finding], room: f32) -> Rows {
    let limits = relaxed(project);
    let mut rows = if findings.is_empty() && limits.is_empty() && project.assumed.is_empty() {
        prose(TITLE, &[Paragraph::plain("None: every check is silent.")], room)
    } else {
        prose(TITLE, &[Paragraph::quiet(tally(project, findings))], room)
    };
    findings.iter().for_each(|finding| rows.push(told(finding, room)));
    limits.iter().for_each(|limit| rows.push(told_beside(limit, room)));
    rows
}

/// '2 warnings; 1 accepted with a reason; 3 limits relaxed.'
fn tally(project: &Project, findings: &[Finding]) -> String {
    let accepted = findings.iter().filter(|finding| !finding.is_open()).count();
    let accepted = (accepted > 0).then(|| format!("{accepted} accepted with a reason"));
    let parts = [Some(Tally::of(findings).words()), accepted, relaxed_words(project), assumed_words(project)];
    format!("{}.", parts.into_iter().flatten().collect::<Vec<_>>().join("; "))
}

/// A limit that lets more pass, and why.
fn told_beside(limit: &Relaxed, room: f32) -> Piece {
    let mut piece = Piece { height: 1.5, ..Piece::default() };
    piece.line((0.0, 0.0), (room, 0.0), sizes::HAIRLINE, rule());
    piece.emphasised("Relaxed limit", room);
    piece.paragraph(&format!("{}.", capital(&limit.words())), room, sizes::BODY, ink().ink);
    piece.paragraph(&format!("Reason: {}", limit.reason_words()), room, sizes::BODY, ink().ink_secondary);
    piece.height += 2.5;
    piece
}

fn told(finding: &Finding, room: f32) -> Piece {
    let mut piece = Piece::default();
    let state = if finding.is_open() { finding.severity.name() } else { "accepted" };
    piece.height = 1.5;
    piece.line((0.0, 0.0), (room, 0.0), sizes::HAIRLINE, rule());
    piece.emphasised(&format!("{}, {}", capital(state), finding.place.words), room);
    let held = finding.figures().map(|[_, threshold]| format!(" Threshold {threshold}.")).unwrap_or_default();
    piece.paragraph(&format!("{}.{held}", capital(&finding.message)), room, sizes::BODY, ink().ink);
    let answer = match &finding.accepted {
        Some(reason) => format!("Accepted: {reason}"),
        None => finding.remedy.clone(),
    };
    piece.paragraph(&answer, room, sizes::BODY, ink().ink_secondary);
    piece.height += 2.5;
    piece
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::{accept, run};
    use crate::project::SAMPLES;

    #[test]
    fn changes_are_told_region_by_region_and_field_by_field() {
        let project = SAMPLES[0].project().unwrap();
        let base = project.snapshots.iter().find(|snapshot| snapshot.name == "start of season").unwrap();
        let lines = change_lines(&project, base);
        assert!(lines.iter().any(|line| line.starts_with("Lowered by ")), "{lines:#?}");
        assert!(lines.iter().any(|line| line.starts_with("Raised by ")), "{lines:#?}");
        assert!(lines.iter().any(|line| line.starts_with("Over-speed cuts at: ") && line.contains('→')), "{lines:#?}");
        let same = Snapshot { state: project.as_state(), ..Snapshot::clone(base) };
        assert_eq!(change_lines(&project, &same), ["Advance table: nothing.", "Settings: nothing."]);
    }

    #[test]
    fn what_is_assumed_is_not_tested() {
        let one = SAMPLES[3].project().unwrap().edit(|parts| parts.assumed = ["coil.kind".to_owned()].into()).unwrap();
        let told = "1 value that came with the project and was never confirmed for this engine, marked (assumed).";
        assert!(not_tested_lines(&one).contains(&told.to_owned()));
    }

    #[test]
    fn what_was_not_tested_counts_the_cells() {
        let lines = not_tested_lines(&SAMPLES[3].project().unwrap());
        assert_eq!(lines[0], "The zero was never proved with a timing light.");
        assert!(lines[1].contains("turn by hand, never with the starter"), "{}", lines[1]);
        assert!(lines[2].contains(" of 64 cells of the advance table were not measured"), "{}", lines[2]);
    }

    fn text(project: &Project) -> String {
        let piece = findings(project, &run(project), 240.0).whole(240.0);
        piece.texts.iter().map(|text| text.text.as_str()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn every_finding_is_told_and_an_accepted_one_with_its_reason() {
        let project = SAMPLES[3].project().unwrap();
        let found = run(&project);
        let words = text(&project);
        for finding in &found {
            let place: Vec<&str> = finding.place.words.split(' ').collect();
            assert!(words.contains(place[0]), "{finding:?}");
        }
        assert!(words.contains(&Tally::of(&found).words()), "{words}");
        let (accepted, _) = accept(&project, &found[0], "measured twice on the engine").unwrap();
        let words = text(&accepted);
        assert!(words.contains("1 accepted with a reason") && words.contains("Accepted: measured twice on the engine"));
    }

    #[test]
    fn relaxed_limits_are_told_with_their_reason() {
        let silent = SAMPLES[0].project().unwrap();
        let relaxed = silent.edit(|parts| _ = parts.checks.thresholds.insert("stands_out_deg".into(), 4.0)).unwrap();
        let words = text(&relaxed);
        assert!(
            words.contains("no findings; 1 limit relaxed.") && words.contains("Reason: no reason given"),
            "{words}"
        );
        assert!(words.contains("Stands out, warning from: 4.0° instead of 2.5°."), "{words}");
    }
}
