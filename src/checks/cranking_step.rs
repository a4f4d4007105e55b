//! A jump of the advance when the engine has started.

use super::check::Check;
use super::finding::Noticed;
use super::subject::{Subject, degrees, rpm};
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::table::Cell;

const WARNING: Threshold = thresholds::CRANKING_STEP_DEG;

pub(super) const CHECK: Check = Check {
    id: "cranking_step",
    title: "Jump after cranking",
    reason: "A large jump from the cranking advance to the table makes the engine stumble or kick just as it begins \
             to run.",
    since: 1,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[],
    thresholds: &[WARNING],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (cranking, idle_load) = (&subject.limits.cranking, subject.engine.idle_load);
    let running_deg = subject.table().lookup(cranking.leave_at_rpm, idle_load);
    let (value, bound) = (running_deg - cranking.advance_deg, subject.bound(&WARNING));
    if !subject.is_over(value, bound) {
        return Vec::new();
    }
    let row = subject.table().load().nearest(idle_load);
    let column = subject.table().speed().nearest(cranking.leave_at_rpm);
    vec![Noticed {
        severity: Severity::Warning,
        place: subject.cells(vec![Cell::new(row, column)]),
        message: format!(
            "at {} the table has {}, {} more than the cranking advance of {}",
            rpm(cranking.leave_at_rpm),
            degrees(running_deg),
            degrees(value),
            degrees(cranking.advance_deg)
        ),
        remedy: "Lower the first columns at idle load, or raise the cranking advance a little.".into(),
        value,
        bound,
        cure: None,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_speed, of, only};

    #[test]
    fn fires_above_six_degrees() {
        let at = |deg| along_speed(&[500.0, 1000.0, 6500.0], &[deg, 15.0, 30.0]);
        assert_eq!(of(&at(14.0), "cranking_step"), []);
        let found = only(&at(14.5), "cranking_step");
        assert_eq!((found.severity, found.place.words.as_str()), (Severity::Warning, "500 rpm, 0 %"));
        assert_eq!(found.message, "at 500 rpm the table has 14.5°, 6.5° more than the cranking advance of 8.0°");
    }
}
