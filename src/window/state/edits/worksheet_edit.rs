//! Putting the results of worksheets into the project.

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
    /// Apply the correction from the timing-light readings, which were taken at this time; clears the typed
    /// readings.
    CorrectTiming(TimingAnswer, String),
    /// Keep the timing-light readings, which were taken at this time, without correcting anything; clears the
    /// typed readings.
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

/// The project with its readings kept, and the typed ones cleared.
fn typed_no_more(done: Result<Project, WorksheetError>) -> Result<Project, Refusal> {
    ReadingEdit::Replace(Vec::new()).apply(&done?)
}
