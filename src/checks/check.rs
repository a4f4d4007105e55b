//! What a check is: its name, why it matters, its thresholds, and how it finds things.

use super::assumed::{self, Ground};
use super::finding::Noticed;
use super::subject::Subject;
use super::{Finding, Spot, Threshold, accepted};
use crate::compare::Section;
use crate::project::{Project, path_by_names};
use crate::wording::one_line;

/// One check.
#[derive(Debug)]
pub struct Check {
    /// Its name in files; it never changes, since accepted findings refer to it.
    pub id: &'static str,
    /// What people call it.
    pub title: &'static str,
    /// Why what it finds matters, in one sentence.
    pub reason: &'static str,
    /// The format version of project files that introduced it; acceptances in older files never apply to its
    /// findings.
    pub since: u32,
    /// In which sections of the project its findings lie.
    pub sections: &'static [Section],
    /// Whether it is about what an engine is driven with: table, trims and what limits them. A locked-timing
    /// copy is no map to drive with, and has the same advance everywhere on purpose.
    pub is_of_map: bool,
    /// The values that its findings depend on.
    pub(super) grounds: &'static [Ground],
    /// Its thresholds.
    pub thresholds: &'static [Threshold],
    pub(super) find: fn(&Subject<'_>) -> Vec<Noticed>,
}

impl Check {
    /// The findings of this check alone, in its own order.
    pub fn findings(&self, project: &Project) -> Vec<Finding> {
        let noticed = (self.find)(&Subject(project));
        let mut findings: Vec<Finding> = noticed.into_iter().map(|noticed| self.named(project, noticed)).collect();
        findings.iter_mut().for_each(|finding| finding.accepted = accepted::reason(&project.checks, finding));
        findings
    }

    fn named(&self, project: &Project, noticed: Noticed) -> Finding {
        let Noticed { severity, mut place, message, remedy, value, threshold, unit, cure } = noticed;
        if let Spot::Field(path) = &place.spot {
            place.known_by.field = path_by_names(path, project);
        }
        // Names from the project may occur in all three; none of them may be mistaken for a line of its own.
        place.words = one_line(&place.words).into_owned();
        let grounds = assumed::words(project, self.grounds).map(|words| format!(", {words}")).unwrap_or_default();
        let [message, remedy] = [message + &grounds, remedy].map(|text| one_line(&text).into_owned());
        Finding {
            id: self.id,
            severity,
            place,
            message,
            why: self.reason,
            remedy,
            value,
            threshold,
            unit,
            cure,
            accepted: None,
        }
    }
}
