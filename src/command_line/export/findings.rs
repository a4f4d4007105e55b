//! The findings that are open when something is exported.

use serde::Serialize;

use crate::checks::{self, run};
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
        let open = run(project).into_iter().filter(checks::Finding::is_open);
        open.map(|finding| Self {
            is_error: finding.is_open_error(),
            id: finding.id,
            severity: finding.severity.name(),
            place: finding.place.words,
            message: finding.message,
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
