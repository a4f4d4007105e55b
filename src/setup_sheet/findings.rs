//! What the checks found, and what was accepted with a reason.

use super::piece::{Piece, ink};
use super::sizes;
use crate::checks::{Finding, Tally, run};
use crate::lettering::capital;
use crate::project::Project;

const TITLE: &str = "Findings of the checks";
/// A longer list goes on in a further piece.
const HIGHEST: f32 = 330.0;

pub(super) fn findings(project: &Project, room: f32) -> Vec<Piece> {
    let findings = run(project);
    let mut first = Piece::headed(TITLE, room);
    if findings.is_empty() {
        first.paragraph("None: every check is silent.", room, sizes::BODY, ink().ink);
        return vec![first];
    }
    let accepted = findings.iter().filter(|finding| !finding.is_open()).count();
    let accepted = if accepted == 0 { String::new() } else { format!("; {accepted} accepted with a reason") };
    let tally = format!("{}{accepted}.", Tally::of(&findings).words());
    first.paragraph(&tally, room, sizes::SMALL, ink().ink_secondary);
    let mut pieces = vec![first];
    for finding in &findings {
        let told = told(finding, room);
        let is_full = pieces.last().is_some_and(|piece| piece.height + told.height > HIGHEST);
        if is_full {
            pieces.push(Piece::headed(&format!("{TITLE}, continued"), room));
        }
        if let Some(piece) = pieces.last_mut() {
            let y = piece.height;
            piece.put(&told, (0.0, y));
            piece.height += told.height;
        }
    }
    pieces
}

fn told(finding: &Finding, room: f32) -> Piece {
    let mut piece = Piece::default();
    let state = if finding.is_open() { finding.severity.name() } else { "accepted" };
    piece.paragraph(&format!("{}, {}", capital(state), finding.place.words), room, sizes::BODY, ink().ink);
    piece.texts.iter_mut().for_each(|text| text.strong = true);
    let held = finding.figures().map(|[_, threshold]| format!(" Threshold {threshold}.")).unwrap_or_default();
    piece.paragraph(&format!("{}.{held}", capital(&finding.message)), room, sizes::BODY, ink().ink);
    let answer = match &finding.accepted {
        Some(reason) => format!("Accepted: {reason}"),
        None => finding.remedy.clone(),
    };
    piece.paragraph(&answer, room, sizes::SMALL, ink().ink_secondary);
    piece.height += 3.5;
    piece
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::accept;
    use crate::project::SAMPLES;

    fn text(project: &Project) -> String {
        let pieces = findings(project, 240.0);
        pieces.iter().flat_map(|piece| &piece.texts).map(|text| text.text.as_str()).collect::<Vec<_>>().join(" ")
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
