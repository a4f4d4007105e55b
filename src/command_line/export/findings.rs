//! The findings that are open when something is exported, and beside them the limits that let more pass.

use serde::Serialize;

use crate::checks::{self, Relaxed, relaxed, relaxed_words, run};
use crate::project::Project;
use crate::wording::count;

/// A finding that nobody accepted.
#[derive(Serialize)]
struct OpenFinding {
    id: &'static str,
    severity: &'static str,
    place: String,
    message: String,
    #[serde(skip)]
    is_error: bool,
}

impl OpenFinding {
    /// The open findings of a project, the worst first.
    fn of(project: &Project) -> Vec<Self> {
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
}

/// A limit that lets more pass than by default.
#[derive(Serialize)]
struct RelaxedLimit {
    name: &'static str,
    value: f64,
    default: f64,
    unit: &'static str,
    reason: Option<String>,
    #[serde(skip)]
    words: String,
}

impl RelaxedLimit {
    fn of(limit: &Relaxed) -> Self {
        Self {
            name: limit.threshold.name,
            value: limit.value,
            default: limit.threshold.default,
            unit: limit.unit(),
            reason: limit.reason.clone(),
            words: format!("{}; reason: {}", limit.words(), limit.reason_words()),
        }
    }
}

/// What the checks say of what is exported.
#[derive(Serialize)]
pub(super) struct Checked {
    findings: Vec<OpenFinding>,
    relaxed: Vec<RelaxedLimit>,
    #[serde(skip)]
    relaxed_words: Option<String>,
}

impl Checked {
    pub(super) fn of(project: &Project) -> Self {
        Self {
            findings: OpenFinding::of(project),
            relaxed: relaxed(project).iter().map(RelaxedLimit::of).collect(),
            relaxed_words: relaxed_words(project),
        }
    }

    pub(super) fn errors(&self) -> usize {
        self.findings.iter().filter(|finding| finding.is_error).count()
    }

    /// How many, then one line for each.
    pub(super) fn text(&self) -> String {
        let how_many = match self.findings.len() {
            0 => "Open findings: none".to_owned(),
            open => format!("{} open", count(open, "finding")),
        };
        let beside = self.relaxed_words.as_ref().map_or_else(String::new, |words| format!("; {words}"));
        let end = if self.findings.is_empty() && self.relaxed.is_empty() { "" } else { ":" };
        let findings = self.findings.iter().map(|OpenFinding { id, severity, place, message, .. }| {
            format!("  {severity} {id} at {place}: {message}\n")
        });
        let limits = self.relaxed.iter().map(|limit| format!("  relaxed {}: {}\n", limit.name, limit.words));
        format!("{how_many}{beside}{end}\n{}", findings.chain(limits).collect::<String>())
    }
}
