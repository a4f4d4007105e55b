//! A table that ends below the pressure to expect.

use super::check::{Check, Ground};
use super::cure::reaching;
use super::finding::Noticed;
use super::margin::{Bound, exceeds};
use super::subject::Subject;
use super::{Change, Severity, Threshold};
use crate::compare::Section;
use crate::project::{LoadKind, thresholds};
use crate::shaping::Along;
use crate::table::Cell;
use crate::wording::{Unit, quantity, settle};

const MARGIN: Threshold = thresholds::TOP_ROW_MARGIN_PCT;

pub(super) const CHECK: Check = Check {
    id: "top_row",
    title: "Top row too low or unproved",
    reason: "Above the last row that somebody tried the advance no longer falls, or falls by guess, so that overboost meets \
             the spark of less pressure.",
    since: 1,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[Ground::HIGHEST_PRESSURE],
    thresholds: &[MARGIN],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let highest_kpa = subject.engine.highest_pressure_kpa;
    // No axis can go beyond the range of the signal.
    let highest_row_kpa = LoadKind::Pressure.range().1;
    let wanted_kpa = settle(highest_kpa * (100.0 + subject.threshold(&MARGIN)) / 100.0).min(highest_row_kpa);
    if subject.sensors.load != LoadKind::Pressure {
        return Vec::new();
    }
    if subject.is_under(subject.table().load().last(), Bound::of(wanted_kpa, Unit::Kilopascal)) {
        return vec![too_low(subject, highest_kpa, wanted_kpa, highest_row_kpa)];
    }
    unproved(subject, highest_kpa, wanted_kpa).into_iter().collect()
}

fn too_low(subject: &Subject<'_>, highest_kpa: f64, wanted_kpa: f64, highest_row_kpa: f64) -> Noticed {
    let loads = subject.table().load();
    let top = loads.len() - 1;
    let at = wanted_kpa.ceil();
    let cure = reaching(subject, Along::Load, at, highest_row_kpa);
    let is_moved = cure.as_ref().is_some_and(|cure| matches!(cure.change, Change::StretchTo { .. }));
    let remedy = if is_moved {
        format!(
            "Move the last row to {} or more, with less advance: table or image have no room for another.",
            quantity(at, Unit::Kilopascal)
        )
    } else {
        format!("Add a row at {} or more with less advance than the last one.", quantity(at, Unit::Kilopascal))
    };
    Noticed {
        severity: Severity::Warning,
        place: subject
            .cells((0..subject.table().speed().len()).map(|speed| Cell::new(top, speed)).collect())
            .of_axis(Along::Load),
        message: format!(
            "the table ends at {}, but up to {} are expected and some more must be covered",
            quantity(loads.last(), Unit::Kilopascal),
            quantity(highest_kpa, Unit::Kilopascal)
        ),
        remedy,
        value: loads.last(),
        bound: Bound::of(wanted_kpa, Unit::Kilopascal),
        cure,
    }
}

/// Rows that the engine may reach and that were only extrapolated: a warning if the highest pressure itself is
/// among them, a note if only the margin above it is.
fn unproved(subject: &Subject<'_>, highest_kpa: f64, wanted_kpa: f64) -> Option<Noticed> {
    let (row, cells) = subject.tried_up_to(Along::Load)?;
    let proved_kpa = subject.load(row);
    if cells.is_empty() || !exceeds(wanted_kpa, proved_kpa) {
        return None;
    }
    let is_reached = exceeds(highest_kpa, proved_kpa);
    let (severity, threshold, covered) = match is_reached {
        true => (Severity::Warning, highest_kpa, "are expected"),
        false => (Severity::Note, wanted_kpa, "must be covered"),
    };
    Some(Noticed {
        severity,
        place: subject.cells(cells).of_axis(Along::Load),
        message: format!(
            "above {} the table was only extended, but up to {} {covered}",
            quantity(proved_kpa, Unit::Kilopascal),
            quantity(threshold, Unit::Kilopascal)
        ),
        remedy: "Look at these cells and type what the engine bears there, or hold them once they were measured."
            .into(),
        value: proved_kpa,
        bound: Bound::of(threshold, Unit::Kilopascal),
        cure: None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_load, of, only, sound, sound_pressure};
    use crate::project::{Origin, Project};

    fn to(top_kpa: f64) -> Project {
        along_load(&sound_pressure(), &[30.0, 70.0, top_kpa], &[30.0, 24.0, 20.0])
    }

    /// The project after the remedy, where the row exists but has still to be checked.
    fn extended(start: &Project) -> (Project, String) {
        let cure = only(start, "top_row").cure.unwrap();
        let after = cure.apply(start).unwrap();
        assert_eq!(only(&after, "top_row").cure, None);
        (after, cure.label)
    }

    #[test]
    fn fires_below_fifteen_per_cent_more() {
        assert_eq!(of(&to(115.0), "top_row"), []);
        let found = only(&to(114.5), "top_row");
        assert_eq!((found.severity, found.value, found.threshold), (Severity::Warning, 114.5, 115.0));
        assert_eq!(found.place.words, "1000–7000 rpm, 114.5 kPa");
        assert_eq!(of(&sound(), "top_row"), []);
    }

    /// 460 kPa plus 15 % is 529 kPa, which no axis may have: 500 is enough.
    #[test]
    fn no_more_is_asked_for_than_an_axis_may_hold() {
        let at = |top_kpa: f64| to(top_kpa).edit(|parts| parts.engine.highest_pressure_kpa = 460.0).unwrap();
        assert_eq!(of(&at(500.0), "top_row"), []);
        let (after, label) = extended(&at(460.0));
        assert_eq!((label.as_str(), after.advance.table().load().last()), ("Extend the table to 500 kPa", 500.0));
        let crowded = only(&at(499.9), "top_row").cure.unwrap();
        assert_eq!(crowded.label, "Move the last row to 500 kPa");
    }

    /// A breakpoint 0.06 kPa above the last one would be too close to it.
    #[test]
    fn a_row_that_would_crowd_the_last_one_goes_a_little_further() {
        let (after, _) = extended(&to(114.94));
        assert!((115.0..116.5).contains(&after.advance.table().load().last()));
    }

    /// 10 degrees lost over 5 kPa would be 100 over 50, but below the floor no spark is ever commanded.
    #[test]
    fn the_row_does_not_fall_below_the_floor() {
        let steep = along_load(&sound_pressure(), &[30.0, 60.0, 65.0], &[30.0, 30.0, 20.0]);
        let (after, _) = extended(&steep);
        assert_eq!(after.advance.table().row(3), [-10.0; 3]);
    }

    #[test]
    fn the_remedy_adds_a_row_that_goes_on_falling() {
        let (after, label) = extended(&to(100.0));
        assert_eq!(label, "Extend the table to 115 kPa");
        let table = after.advance.table();
        assert_eq!(table.load().last(), 115.0);
        assert!((table.lookup(4000.0, 115.0) - 18.0).abs() < 1e-9);
    }

    #[test]
    fn rows_that_were_only_extended_are_told_until_somebody_looked_at_them() {
        let (margin, _) = extended(&to(100.0));
        assert_eq!(
            only(&margin, "top_row").message,
            "above 100 kPa the table was only extended, but up to 115 kPa must be covered"
        );
        let more = margin.edit(|parts| parts.engine.highest_pressure_kpa = 100.001).unwrap();
        let boosted = more.edit(|parts| _ = parts.checks.thresholds.insert("top_row_margin_pct".into(), 0.0)).unwrap();
        let found = only(&boosted, "top_row");
        assert_eq!((found.severity, found.place.words.as_str()), (Severity::Warning, "1000–7000 rpm, 115 kPa"));
        let mut values = margin.advance.table().values().to_vec();
        values[9..].iter_mut().for_each(|deg| *deg -= 0.5);
        let typed = margin.with_advance(margin.advance.with_values(values, Origin::Typed).unwrap()).unwrap();
        assert_eq!(of(&typed, "top_row"), []);
    }

    /// A column that was extended from end to end says nothing about rows.
    #[test]
    fn extended_columns_make_no_row_unproved() {
        let start = to(115.0);
        let wider = crate::shaping::extend_axis(&start.advance, Along::Speed, 8000.0, -10.0).unwrap().advance;
        assert_eq!(of(&start.with_advance(wider).unwrap(), "top_row"), []);
    }

    /// Items packed end to end: there is no room for another row.
    #[test]
    fn where_the_image_has_no_room_the_last_row_is_moved() {
        let tight = to(100.0).edit(|parts| {
            let mut address = 0;
            let sizes: Vec<u32> = parts
                .image
                .items
                .iter()
                .map(|item| {
                    let size = parts.content_size(item);
                    u32::try_from(size.speeds * size.loads).unwrap() * 2
                })
                .collect();
            for (item, bytes) in parts.image.items.iter_mut().zip(sizes) {
                item.address = address;
                address += bytes;
            }
        });
        let tight = tight.unwrap();
        let found = only(&tight, "top_row");
        let cure = found.cure.clone().unwrap();
        assert_eq!(cure.label, "Move the last row to 115 kPa");
        assert!(found.remedy.contains("no room for another"), "{}", found.remedy);
        let after = cure.apply(&tight).unwrap();
        assert_eq!(after.advance.table().load().breakpoints(), [30.0, 70.0, 115.0]);
        assert_eq!((after.advance.table().at(Cell::new(2, 0)), after.image.clone()), (18.0, tight.image.clone()));
        let refused = crate::checks::Cure::new("extend", Change::ExtendTo { along: Along::Load, at: 115.0 });
        assert_eq!(refused.apply(&tight), Err(crate::checks::Uncured::ImageSize));
        let last = [Cell::new(2, 1)];
        let mut chosen = crate::table::Selection::none(3, 3);
        chosen.extend(last);
        let held = tight.with_advance(tight.advance.with_held(&chosen, true)).unwrap();
        assert_eq!(only(&held, "top_row").cure, None);
    }
}
