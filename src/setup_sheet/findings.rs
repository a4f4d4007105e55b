//! What the checks found, and what was accepted with a reason.

use super::piece::{Paragraph, Piece, ink, prose, rule};
use super::rows::Rows;
use super::sizes;
use crate::checks::{Finding, Tally, assumed_words, run};
use crate::project::Project;
use crate::wording::capital;

const TITLE: &str = "Findings of the checks";

pub(super) fn findings(project: &Project, room: f32) -> Rows {
    let findings = run(project);
    if findings.is_empty() {
        let none = format!("None: every check is silent{}.", beside(project));
        return prose(TITLE, &[Paragraph::plain(none)], room);
    }
    let accepted = findings.iter().filter(|finding| !finding.is_open()).count();
    let accepted = if accepted == 0 { String::new() } else { format!("; {accepted} accepted with a reason") };
    let tally = format!("{}{accepted}{}.", Tally::of(&findings).words(), beside(project));
    let mut rows = prose(TITLE, &[Paragraph::small(tally)], room);
    findings.iter().for_each(|finding| rows.push(told(finding, room)));
    rows
}

/// What stands beside the findings and is none.
fn beside(project: &Project) -> String {
    assumed_words(project).map(|words| format!("; {words}")).unwrap_or_default()
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
}
