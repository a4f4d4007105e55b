//! Boost that takes too little advance away.

use super::check::{Check, Ground};
use super::finding::Noticed;
use super::margin::Bound;
use super::subject::{Subject, degrees, rpm};
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::{LoadKind, thresholds};
use crate::table::Cell;
use crate::wording::{Unit, quantity, range, settle};

const LEAST: Threshold = thresholds::BOOST_RETARD_DEG_PER_10_KPA;
const FROM: Threshold = thresholds::BOOST_RETARD_FROM_RPM;

pub(super) const CHECK: Check = Check {
    id: "boost_retard",
    title: "Boost hardly retards",
    reason: "Pressed together more, the charge burns faster and knocks sooner; a table that does not retard with boost \
             breaks pistons.",
    since: 2,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[Ground::HIGHEST_PRESSURE],
    thresholds: &[LEAST, FROM],
    find,
};

/// Atmospheric pressure, above which there is boost.
const ATMOSPHERE_KPA: f64 = 100.0;

/// The range of boost that is examined.
struct Span {
    /// From the row nearest to atmospheric pressure.
    from: usize,
    /// Up to this row.
    to: usize,
    /// Up to this pressure, in kPa: that of the row, or the highest to expect if no row lies in between.
    to_kpa: f64,
}

fn span(subject: &Subject<'_>) -> Option<Span> {
    let (loads, highest_kpa) = (subject.table().load(), subject.engine.highest_pressure_kpa);
    let from = loads.nearest(ATMOSPHERE_KPA);
    let last = loads.breakpoints().partition_point(|&load| load <= highest_kpa).saturating_sub(1);
    let span = if last > from {
        Span { from, to: last, to_kpa: subject.load(last) }
    } else {
        let next = (from + 1).min(loads.len() - 1);
        Span { from, to: next, to_kpa: highest_kpa.min(loads.last()) }
    };
    (span.to_kpa > subject.load(from).max(ATMOSPHERE_KPA)).then_some(span)
}

/// Degrees taken away in a column from one end of the span to the other.
fn retard_deg(subject: &Subject<'_>, span: &Span, column: usize) -> f64 {
    let at = |load: f64| subject.table().lookup(subject.speed_rpm(column), load);
    at(subject.load(span.from)) - at(span.to_kpa)
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    if !subject.engine.induction.is_boosted() || subject.sensors.load != LoadKind::Pressure {
        return Vec::new();
    }
    let Some(span) = span(subject) else {
        return Vec::new();
    };
    let wanted_deg = settle(subject.threshold(&LEAST) * (span.to_kpa - subject.load(span.from)) / 10.0);
    let from_rpm = subject.threshold(&FROM);
    let is_short = |&column: &usize| {
        subject.speed_rpm(column) >= from_rpm
            && subject.is_under(retard_deg(subject, &span, column), Bound::of(wanted_deg, Unit::Degree))
    };
    let columns: Vec<usize> = (0..subject.table().speed().len()).filter(is_short).collect();
    let runs = columns.chunk_by(|a, b| a + 1 == *b);
    runs.map(|columns| noticed(subject, &span, columns, wanted_deg)).collect()
}

fn noticed(subject: &Subject<'_>, span: &Span, columns: &[usize], threshold: f64) -> Noticed {
    let retard = |column: &usize| retard_deg(subject, span, *column);
    let worst = columns.iter().copied().min_by(|a, b| retard(a).total_cmp(&retard(b))).unwrap_or_default();
    let value = settle(retard(&worst));
    let rows = span.from..=span.to;
    let cells = columns.iter().flat_map(|&speed| rows.clone().map(move |load| Cell::new(load, speed))).collect();
    let over = range((subject.load(span.from), span.to_kpa), Unit::Kilopascal);
    let speed = rpm(subject.speed_rpm(worst));
    let message = if value > 0.0 {
        format!("boost takes only {} away over {over} at {speed}", degrees(value))
    } else {
        format!("boost takes nothing away over {over} at {speed}")
    };
    Noticed {
        severity: if value > 0.0 { Severity::Warning } else { Severity::Error },
        place: subject.cells(cells),
        message,
        remedy: format!(
            "Lower the rows above {} until they have taken {} away at {}.",
            quantity(ATMOSPHERE_KPA, Unit::Kilopascal),
            degrees(threshold),
            quantity(span.to_kpa, Unit::Kilopascal)
        ),
        value,
        bound: Bound::of(threshold, Unit::Degree),
        cure: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only, sound, sound_pressure, with_table};
    use crate::project::{Induction, Project};

    const SPEEDS: [f64; 4] = [1000.0, 2490.0, 2500.0, 6000.0];

    fn boosted(highest_kpa: f64, loads: &[f64], cells: &[f64]) -> Project {
        let rows: Vec<[f64; 4]> = cells.iter().map(|&deg| [20.0, 20.0, deg, deg]).collect();
        let rows: Vec<&[f64]> = rows.iter().map(<[f64; 4]>::as_slice).collect();
        let boost = |parts: &mut crate::project::Parts| {
            (parts.engine.induction, parts.engine.highest_pressure_kpa) = (Induction::Boosted, highest_kpa);
        };
        with_table(&sound_pressure(), &SPEEDS, loads, &rows).edit(boost).unwrap()
    }

    #[test]
    fn fires_below_a_degree_per_ten_kilopascal_in_total() {
        let loads = [40.0, 100.0, 120.0, 150.0, 180.0];
        assert_eq!(of(&boosted(160.0, &loads, &[35.0, 28.0, 27.5, 23.0, 18.0]), "boost_retard"), []);
        let found = only(&boosted(160.0, &loads, &[35.0, 28.0, 25.0, 23.5, 18.0]), "boost_retard");
        assert_eq!((found.severity, found.value, found.threshold), (Severity::Warning, 4.5, 5.0));
        assert_eq!(found.place.words, "2500–6000 rpm, 100–150 kPa");
        assert_eq!(found.message, "boost takes only 4.5° away over 100–150 kPa at 2500 rpm");
        let flat = only(&boosted(160.0, &loads, &[35.0, 28.0, 28.0, 28.0, 28.0]), "boost_retard");
        assert_eq!(
            (flat.severity, flat.message.as_str()),
            (Severity::Error, "boost takes nothing away over 100–150 kPa at 2500 rpm")
        );
    }

    #[test]
    fn where_no_row_lies_below_the_highest_pressure_that_pressure_counts() {
        let found = only(&boosted(150.0, &[40.0, 95.0, 205.0], &[35.0, 28.0, 18.0]), "boost_retard");
        assert_eq!((found.value, found.threshold), (5.0, 5.5));
        assert_eq!(of(&boosted(150.0, &[40.0, 95.0, 205.0], &[35.0, 28.0, 17.0]), "boost_retard"), []);
    }

    #[test]
    fn engines_without_boost_and_other_loads_are_left_alone() {
        let flat = boosted(150.0, &[40.0, 100.0, 150.0], &[28.0; 3]);
        let drawn = flat.edit(|parts| parts.engine.induction = Induction::NaturallyAspirated).unwrap();
        assert_eq!(of(&drawn, "boost_retard"), []);
        let throttle = sound().edit(|parts| parts.engine.induction = Induction::Boosted).unwrap();
        assert_eq!(of(&throttle, "boost_retard"), []);
        assert_eq!(of(&boosted(100.0, &[40.0, 100.0, 150.0], &[28.0; 3]), "boost_retard"), []);
    }
}
