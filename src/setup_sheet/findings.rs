//! What the checks found, and what was accepted with a reason.

use super::piece::{Paragraph, Piece, ink, prose, rule};
use super::rows::Rows;
use super::sizes;
use crate::checks::{Finding, Relaxed, Tally, assumed_words, relaxed, relaxed_words, run};
use crate::project::Project;
use crate::wording::capital;

const TITLE: &str = "Findings of the checks";

pub(super) fn findings(project: &Project, room: f32) -> Rows {
    let (findings, limits) = (run(project), relaxed(project));
    let mut rows = if findings.is_empty() && limits.is_empty() && project.assumed.is_empty() {
        prose(TITLE, &[Paragraph::plain("None: every check is silent.")], room)
    } else {
        prose(TITLE, &[Paragraph::small(tally(project, &findings))], room)
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
    piece.paragraph("Relaxed limit", room, sizes::BODY * 1.1, ink().ink);
    piece.paragraph(&format!("{}.", capital(&limit.words())), room, sizes::BODY, ink().ink);
    piece.paragraph(&format!("Reason: {}", limit.reason_words()), room, sizes::SMALL, ink().ink_secondary);
    piece.height += 2.5;
    piece
}

fn told(finding: &Finding, room: f32) -> Piece {
    let mut piece = Piece::default();
    let state = if finding.is_open() { finding.severity.name() } else { "accepted" };
    piece.height = 1.5;
    piece.line((0.0, 0.0), (room, 0.0), sizes::HAIRLINE, rule());
    piece.paragraph(&format!("{}, {}", capital(state), finding.place.words), room, sizes::BODY * 1.1, ink().ink);
    let held = finding.figures().map(|[_, threshold]| format!(" Threshold {threshold}.")).unwrap_or_default();
    piece.paragraph(&format!("{}.{held}", capital(&finding.message)), room, sizes::BODY, ink().ink);
    let answer = match &finding.accepted {
        Some(reason) => format!("Accepted: {reason}"),
        None => finding.remedy.clone(),
    };
    piece.paragraph(&answer, room, sizes::SMALL, ink().ink_secondary);
    piece.height += 2.5;
    piece
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::accept;
    use crate::project::SAMPLES;

    fn text(project: &Project) -> String {
        let piece = findings(project, 240.0).whole(240.0);
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
