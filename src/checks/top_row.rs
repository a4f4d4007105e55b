//! A table that ends below the pressure to expect.

use super::catalogue::Check;
use super::finding::Noticed;
use super::subject::Subject;
use super::{Change, Cure, Severity, Threshold};
use crate::compare::words::{plain, quantity};
use crate::project::{LoadKind, thresholds};
use crate::shaping::Along;
use crate::table::{Cell, settle};

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
    let wanted_kpa = settle(highest_kpa * (100.0 + subject.threshold(&MARGIN)) / 100.0);
    if subject.sensors.load != LoadKind::Pressure || loads.last() >= wanted_kpa - 1e-9 {
        return Vec::new();
    }
    let top = loads.len() - 1;
    let row = (0..subject.table().speed().len()).map(|speed| Cell::new(top, speed)).collect();
    let at = wanted_kpa.ceil();
    let label = format!("Extend the table to {}", quantity(&plain(at), "kPa"));
    vec![Noticed {
        severity: Severity::Warning,
        place: subject.cells(row),
        message: format!(
            "the table ends at {} kPa, but up to {} kPa are expected and some more must be covered",
            plain(loads.last()),
            plain(highest_kpa)
        ),
        remedy: format!("Add a row at {} kPa or more with less advance than the last one.", plain(at)),
        value: loads.last(),
        threshold: wanted_kpa,
        unit: "kPa",
        cure: Some(Cure::new(label, Change::ExtendTo { along: Along::Load, at })),
    }]
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

    #[test]
    fn the_remedy_adds_a_row_that_goes_on_falling() {
        let (after, label) = cured(&to(100.0), "top_row");
        assert_eq!(label, "Extend the table to 115 kPa");
        let table = after.advance.table();
        assert_eq!(table.load().last(), 115.0);
        assert!((table.lookup(4000.0, 115.0) - 18.0).abs() < 1e-9);
    }
}
