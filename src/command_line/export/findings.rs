//! The findings that are open when something is exported.

use serde::Serialize;

use crate::checks::{Severity, run};
use crate::project::Project;
use crate::wording::count;

/// A finding that nobody accepted.
#[derive(Serialize)]
pub(super) struct OpenFinding {
    id: &'static str,
    severity: &'static str,
    place: String,
    message: String,
    #[serde(skip)]
    pub(super) is_error: bool,
}

impl OpenFinding {
    /// The open findings of a project, the worst first.
    pub(super) fn of(project: &Project) -> Vec<Self> {
        let open = run(project).into_iter().filter(|finding| finding.is_open());
        open.map(|finding| Self {
            id: finding.id,
            severity: finding.severity.name(),
            place: finding.place.words,
            message: finding.message,
            is_error: finding.severity == Severity::Error,
        })
        .collect()
    }

    /// One line for each.
    pub(super) fn text(findings: &[Self]) -> String {
        if findings.is_empty() {
            return "Open findings: none\n".into();
        }
        let lines = findings
            .iter()
            .map(|Self { id, severity, place, message, .. }| format!("  {severity} {id} at {place}: {message}\n"));
        format!("{} open:\n{}", count(findings.len(), "finding"), lines.collect::<String>())
    }
}
