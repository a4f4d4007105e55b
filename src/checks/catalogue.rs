//! Finding checks and thresholds by name, and running them all.

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
    let is_locked = project.locked_timing_deg.is_some();
    let checks = CHECKS.iter().filter(|check| !(is_locked && check.is_of_map));
    let mut findings: Vec<Finding> = checks.flat_map(|check| check.findings(project)).collect();
    findings.sort_by_key(|finding| finding.severity);
    findings
}
