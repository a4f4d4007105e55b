//! What the worksheets have found, put into the project.

use super::reading_edit::ReadingEdit;
use crate::project::Project;
use crate::wording::Refusal;
use crate::worksheet::{CoilAnswer, SenderAnswer, ThrottleAnswer, TimingAnswer, TrueTdc, WorksheetError};

/// The answer of a worksheet that becomes one step.
#[derive(Clone, Debug, PartialEq)]
pub enum WorksheetEdit {
    /// Dead centre from a piston stop.
    TrueTdc(TrueTdc),
    /// The throttle sensor's calibration.
    Throttle(ThrottleAnswer),
    /// A temperature sender.
    Sender(SenderAnswer),
    /// The dwell.
    Coil(CoilAnswer),
    /// What the timing-light readings correct, and when they were taken; they are typed no more.
    CorrectTiming(TimingAnswer, String),
    /// The timing-light readings without correcting anything, and when they were taken; they are typed no more.
    KeepReadings(TimingAnswer, String),
}

impl WorksheetEdit {
    pub(super) fn apply(&self, project: &Project) -> Result<Project, Refusal> {
        let done = match self {
            Self::TrueTdc(found) => found.apply(project),
            Self::Throttle(found) => found.apply(project),
            Self::Sender(found) => found.apply(project),
            Self::Coil(found) => found.apply(project),
            Self::CorrectTiming(found, taken_at) => return typed_no_more(found.apply(project, taken_at)),
            Self::KeepReadings(found, taken_at) => return typed_no_more(found.keep(project, taken_at)),
        };
        done.map_err(Refusal::from)
    }
}

/// The project with its readings kept, which are typed no more.
fn typed_no_more(done: Result<Project, WorksheetError>) -> Result<Project, Refusal> {
    ReadingEdit::Replace(Vec::new()).apply(&done?)
}
