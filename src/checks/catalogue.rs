//! Finding checks and thresholds by name, and running them all.

use super::subject::Subject;
use super::{CHECKS, Check, Finding, Threshold};
use crate::project::Project;

/// The check of that id.
pub fn check(id: &str) -> Option<&'static Check> {
    CHECKS.iter().find(|check| check.id == id).copied()
}

/// The threshold of that name.
pub fn threshold(name: &str) -> Option<&'static Threshold> {
    CHECKS.iter().flat_map(|check| check.thresholds).find(|threshold| threshold.name == name)
}

/// Runs every check; for a locked-timing copy only those that are not about a map to drive with. The worst
/// findings come first, equally bad ones in the order of [`CHECKS`]; the same project gives the same list.
/// Accepted findings are included, with their reason.
pub fn run(project: &Project) -> Vec<Finding> {
    run_those(project, |_| true)
}

/// The same with some of the checks.
pub(super) fn run_those(project: &Project, is_wanted: impl Fn(&Check) -> bool) -> Vec<Finding> {
    let is_locked = project.locked_timing_deg.is_some();
    let checks = CHECKS.iter().filter(|check| is_wanted(check) && !(is_locked && check.is_of_map));
    let subject = Subject::new(project);
    let mut findings: Vec<Finding> = checks.flat_map(|check| check.findings_of(&subject)).collect();
    findings.sort_by_key(|finding| finding.severity);
    findings
}
