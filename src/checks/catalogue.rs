//! Finding checks and thresholds by name, and running them all.

use super::{CHECKS, Check, Finding, Threshold};
use crate::project::Project;
use crate::watch::{Stopped, Watch};

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
    worst_first(meant_for(project).flat_map(|check| check.findings(project)).collect())
}

/// As [`run`]; the watch is asked before every check.
///
/// # Errors
/// [`Stopped`] when the watch has it stop: then there are no findings at all, rather than some of them.
pub fn run_watched(project: &Project, watch: Watch<'_>) -> Result<Vec<Finding>, Stopped> {
    let most = meant_for(project).count();
    let mut findings = Vec::new();
    for (done, check) in meant_for(project).enumerate() {
        watch.round(done, most)?;
        findings.extend(check.findings(project));
    }
    Ok(worst_first(findings))
}

fn meant_for(project: &Project) -> impl Iterator<Item = &'static Check> {
    let is_locked = project.locked_timing_deg.is_some();
    CHECKS.iter().copied().filter(move |check| !(is_locked && check.is_of_map))
}

fn worst_first(mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.sort_by_key(|finding| finding.severity);
    findings
}
