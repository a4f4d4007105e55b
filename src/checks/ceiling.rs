//! Table and trims beyond the ceiling.

use super::Severity;
use super::check::Check;
use super::finding::Noticed;
use super::margin::Bound;
use super::subject::{Subject, degrees};
use crate::compare::Section;
use crate::table::Cell;
use crate::wording::Unit;

pub(super) const CHECK: Check = Check {
    id: "ceiling",
    title: "Beyond the ceiling",
    reason: "The unit holds the advance at the ceiling without a word, so that what the table says is not what the \
             engine gets.",
    since: 1,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[],
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (ceiling_deg, table) = (subject.limits.clamp.ceiling_deg, subject.table());
    let most = |&(speed_rpm, load): &(f64, f64)| table.lookup(speed_rpm, load) + subject.most_trim_deg(load);
    let speeds = table.speed().breakpoints();
    let loads = subject.loads_of_sum();
    let points = loads.iter().flat_map(|&load| speeds.iter().map(move |&speed_rpm| (speed_rpm, load)));
    let over: Vec<(f64, f64)> =
        points.filter(|point| subject.is_over(most(point), Bound::of(ceiling_deg, Unit::Degree))).collect();
    let (high, low): (Vec<_>, Vec<_>) = over.into_iter().partition(|(_, load)| *load >= subject.high_load());
    let parts = [(Severity::Warning, high), (Severity::Note, low)];
    let told = parts.into_iter().filter_map(|(severity, over)| {
        let worst = over.iter().copied().reduce(|worst, next| if most(&next) > most(&worst) { next } else { worst })?;
        Some(noticed(subject, severity, &over, (worst, most(&worst))))
    });
    told.collect()
}

fn noticed(
    subject: &Subject<'_>,
    severity: Severity,
    over: &[(f64, f64)],
    ((speed_rpm, load), value): ((f64, f64), f64),
) -> Noticed {
    let table = subject.table();
    let nearest =
        |&(speed_rpm, load): &(f64, f64)| Cell::new(table.load().nearest(load), table.speed().nearest(speed_rpm));
    let threshold = subject.limits.clamp.ceiling_deg;
    Noticed {
        severity,
        place: subject.cells(over.iter().map(nearest).collect()),
        message: format!(
            "table and trims reach {} at {}, beyond the ceiling of {}",
            degrees(value),
            subject.point_words(speed_rpm, load),
            degrees(threshold)
        ),
        remedy: "Lower the table or the trims there, or raise the ceiling when the engine was proved to bear it."
            .into(),
        value,
        bound: Bound::of(threshold, Unit::Degree),
        cure: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_load, of, only, sound};
    use crate::project::Project;

    /// Cold trims add 4 degrees at every load.
    fn reaching(light_deg: f64, full_deg: f64) -> Project {
        along_load(&sound(), &[0.0, 20.0, 50.0, 100.0], &[20.0, light_deg, 30.0, full_deg])
    }

    #[test]
    fn a_warning_at_high_load_and_a_note_elsewhere() {
        assert_eq!(of(&reaching(41.0, 30.0), "ceiling"), []);
        let light = only(&reaching(41.1, 30.0), "ceiling");
        assert_eq!((light.severity, light.place.words.as_str()), (Severity::Note, "1000–7000 rpm, 20 %"));
        let full = only(&reaching(30.0, 41.5), "ceiling");
        assert_eq!((full.severity, full.threshold), (Severity::Warning, 45.0));
        assert_eq!(full.message, "table and trims reach 45.5° at 1000 rpm, 100 %, beyond the ceiling of 45.0°");
    }

    #[test]
    fn trims_that_are_off_do_not_count() {
        let off = reaching(41.1, 30.0).edit(|parts| parts.trims.coolant.enabled = false).unwrap();
        assert_eq!(of(&off, "ceiling"), []);
    }
}
