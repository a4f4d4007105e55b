//! Timing-light readings as they are typed, rows that may be unfinished over those that are kept; and what the worksheets have
//! found, put into the project.

use crate::project::{Project, TypedReading};
use crate::wording::Refusal;
use crate::worksheet::{CoilAnswer, SenderAnswer, ThrottleAnswer, TimingAnswer, TrueTdc, Unproved, WorksheetError};

/// A change to the typed readings.
#[derive(Clone, Debug, PartialEq)]
pub enum ReadingEdit {
    /// Set one number. Empty rows at the end are dropped, except that one empty row stays if otherwise the kept
    /// readings would reappear.
    Put {
        /// Which row, from 0.
        row: usize,
        /// Commanded, observed, speed.
        column: usize,
        /// The number; `None` clears it.
        value: Option<f64>,
    },
    /// Replace the typed rows by these; if they equal the kept readings, nothing is kept as typed.
    Replace(Vec<TypedReading>),
}

impl ReadingEdit {
    pub(super) fn apply(&self, project: &Project) -> Result<Project, Refusal> {
        let rows = match self {
            Self::Put { row, column, value } => with_reading(project, *row, *column, *value),
            Self::Replace(rows) => rows.clone(),
        };
        let rows = if rows == kept_rows(project) { Vec::new() } else { rows };
        project.edit(|parts| parts.typed_readings = rows).map_err(Refusal::from)
    }
}

/// The rows shown on the sheet: the typed ones if there are any, otherwise the kept ones if they are valid for
/// the present trigger.
pub fn shown_rows(project: &Project) -> Vec<TypedReading> {
    if project.typed_readings.is_empty() { kept_rows(project) } else { project.typed_readings.clone() }
}

/// The kept readings; none if the trigger has changed since, so that an old reading is not taken for a new one.
pub fn kept_rows(project: &Project) -> Vec<TypedReading> {
    if are_stale(project) {
        return Vec::new();
    }
    project.timing_light.readings.iter().cloned().map(TypedReading::from).collect()
}

/// Whether the kept readings were taken with another zero, wheel, sensor or latency.
pub fn are_stale(project: &Project) -> bool {
    let of_now = |missing: &Unproved| {
        matches!(
            missing,
            Unproved::NoReadings
                | Unproved::Mean { .. }
                | Unproved::Each { .. }
                | Unproved::OneAdvance
                | Unproved::Slow
        )
    };
    !Unproved::of(project).iter().all(of_now)
}

fn with_reading(project: &Project, row: usize, column: usize, value: Option<f64>) -> Vec<TypedReading> {
    let mut rows = shown_rows(project);
    if rows.len() <= row {
        rows.resize(row + 1, TypedReading::default());
    }
    if let Some(TypedReading { commanded_deg, observed_deg, speed_rpm }) = rows.get_mut(row)
        && let Some(slot) = [commanded_deg, observed_deg, speed_rpm].into_iter().nth(column)
    {
        *slot = value;
    }
    while rows.last().is_some_and(TypedReading::is_empty) {
        rows.pop();
    }
    if rows.is_empty() && !kept_rows(project).is_empty() {
        rows.push(TypedReading::default());
    }
    rows
}

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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, Parts, TimingReading};

    fn project() -> Project {
        NewProject { name: "t".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 }.create().unwrap()
    }

    fn put(project: &Project, row: usize, column: usize, value: Option<f64>) -> Project {
        ReadingEdit::Put { row, column, value }.apply(project).unwrap()
    }

    #[test]
    fn readings_grow_where_they_are_typed_and_lose_their_empty_end() {
        let typed = put(&project(), 2, 1, Some(14.0));
        let row = TypedReading { observed_deg: Some(14.0), ..TypedReading::default() };
        assert_eq!(typed.typed_readings, [TypedReading::default(), TypedReading::default(), row]);
        assert_eq!(put(&typed, 2, 1, None), project());
    }

    #[test]
    fn applied_readings_are_typed_over_and_come_back_as_they_were() {
        let reading = TimingReading { commanded_deg: 10.0, observed_deg: 14.0, speed_rpm: 1000.0 };
        let keep = |parts: &mut Parts| {
            parts.timing_light.readings.push(reading.clone());
            parts.timing_light.taken_at = "2026-05-02T10:00:00Z".into();
        };
        let applied = project().edit(keep).unwrap();
        let typed = put(&applied, 0, 1, Some(13.5));
        assert_eq!((typed.typed_readings.len(), &typed.timing_light), (1, &applied.timing_light));
        assert_eq!(put(&typed, 0, 1, Some(14.0)), applied);
        let emptied = (0..3).fold(applied, |project, column| put(&project, 0, column, None));
        assert_eq!(shown_rows(&emptied), [TypedReading::default()]);
    }

    #[test]
    fn readings_of_another_zero_are_no_rows_to_go_on_from() {
        let reading = TimingReading { commanded_deg: 10.0, observed_deg: 14.0, speed_rpm: 1000.0 };
        let kept = project().edit(|parts| {
            parts.timing_light.readings.push(reading.clone());
            parts.timing_light.taken_at = "2026-05-02T10:00:00Z".into();
        });
        let moved = kept.unwrap().edit(|parts| parts.trigger.zero_offset_deg = 4.0).unwrap();
        assert_eq!(shown_rows(&moved), []);
        // Taken again, the same numbers are new readings.
        let again = ReadingEdit::Replace(vec![TypedReading::from(reading)]).apply(&moved).unwrap();
        assert_eq!(again.typed_readings.len(), 1);
        assert_eq!(put(&moved, 0, 1, None), moved);
    }
}
