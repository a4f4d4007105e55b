//! A table that ends below the pressure to expect.

use super::catalogue::Check;
use super::cure::extension;
use super::finding::Noticed;
use super::subject::Subject;
use super::threshold::exceeds;
use super::{Change, Cure, Severity, Threshold};
use crate::project::{LoadKind, thresholds};
use crate::shaping::Along;
use crate::table::Cell;
use crate::wording::{quantity, settle};

const MARGIN: Threshold = thresholds::TOP_ROW_MARGIN_PCT;

pub(super) const CHECK: Check = Check {
    id: "top_row",
    title: "Top row too low",
    reason: "Above the last row the advance no longer falls, so that overboost meets the spark of the last row.",
    thresholds: &[MARGIN],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let loads = subject.table().load();
    let highest_kpa = subject.engine.highest_pressure_kpa;
    // No axis goes beyond the range of the signal.
    let highest_row_kpa = LoadKind::Pressure.range().1;
    let wanted_kpa = settle(highest_kpa * (100.0 + subject.threshold(&MARGIN)) / 100.0).min(highest_row_kpa);
    if subject.sensors.load != LoadKind::Pressure || !exceeds(wanted_kpa, loads.last()) {
        return Vec::new();
    }
    let top = loads.len() - 1;
    let row = (0..subject.table().speed().len()).map(|speed| Cell::new(top, speed)).collect();
    let at = wanted_kpa.ceil();
    vec![Noticed {
        severity: Severity::Warning,
        place: subject.cells(row),
        message: format!(
            "the table ends at {}, but up to {} are expected and some more must be covered",
            quantity(loads.last(), "kPa"),
            quantity(highest_kpa, "kPa")
        ),
        remedy: format!("Add a row at {} or more with less advance than the last one.", quantity(at, "kPa")),
        value: loads.last(),
        threshold: wanted_kpa,
        unit: "kPa",
        cure: longer(subject, at, highest_row_kpa),
    }]
}

/// A row at a pressure, or as little above as the axis takes; `None` where it takes no row.
fn longer(subject: &Subject<'_>, at: f64, highest: f64) -> Option<Cure> {
    let at = extension(subject.table().load(), at, highest)?;
    let label = format!("Extend the table to {}", quantity(at, "kPa"));
    Some(Cure::new(label, Change::ExtendTo { along: Along::Load, at }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_load, cured, of, only, sound, sound_pressure};
    use crate::project::Project;

    fn to(top_kpa: f64) -> Project {
        along_load(&sound_pressure(), &[30.0, 70.0, top_kpa], &[30.0, 24.0, 20.0])
    }

    #[test]
    fn fires_below_fifteen_per_cent_more() {
        assert_eq!(of(&to(115.0), "top_row"), []);
        let found = only(&to(114.5), "top_row");
        assert_eq!((found.severity, found.value, found.threshold), (Severity::Warning, 114.5, 115.0));
        assert_eq!(found.place.words, "1000–7000 rpm, 114.5 kPa");
        assert_eq!(of(&sound(), "top_row"), []);
    }

    /// 460 kPa and 15 % are 529 kPa, which no axis may hold: 500 is enough.
    #[test]
    fn no_more_is_asked_for_than_an_axis_may_hold() {
        let at = |top_kpa: f64| to(top_kpa).edit(|parts| parts.engine.highest_pressure_kpa = 460.0).unwrap();
        assert_eq!(of(&at(500.0), "top_row"), []);
        let (after, label) = cured(&at(460.0), "top_row");
        assert_eq!((label.as_str(), after.advance.table().load().last()), ("Extend the table to 500 kPa", 500.0));
        assert_eq!(only(&at(499.9), "top_row").cure, None);
    }

    /// A breakpoint 0.06 kPa above the last one would crowd it.
    #[test]
    fn a_row_that_would_crowd_the_last_one_goes_a_little_further() {
        let (after, _) = cured(&to(114.94), "top_row");
        assert!((115.0..116.5).contains(&after.advance.table().load().last()));
    }

    /// 10 degrees lost over 5 kPa would be 100 over 50: below the floor no spark ever comes.
    #[test]
    fn the_row_does_not_fall_below_the_floor() {
        let steep = along_load(&sound_pressure(), &[30.0, 60.0, 65.0], &[30.0, 30.0, 20.0]);
        let (after, _) = cured(&steep, "top_row");
        assert_eq!(after.advance.table().row(3), [-10.0; 3]);
    }

    #[test]
    fn the_remedy_adds_a_row_that_goes_on_falling() {
        let (after, label) = cured(&to(100.0), "top_row");
        assert_eq!(label, "Extend the table to 115 kPa");
        let table = after.advance.table();
        assert_eq!(table.load().last(), 115.0);
        assert!((table.lookup(4000.0, 115.0) - 18.0).abs() < 1e-9);
    }
}
