//! Advance that changes too quickly with load.

use super::check::Check;
use super::finding::{Noticed, Region, regions};
use super::margin::{Bound, slope as told};
use super::subject::{Subject, degrees, rpm};
use super::{Change, Cure, Severity, SlopeLimit, Threshold};
use crate::compare::Section;
use crate::project::{LoadKind, thresholds};
use crate::table::Cell;
use crate::wording::{count, range};

const PRESSURE: Threshold = thresholds::SLOPE_LOAD_DEG_PER_KPA;
const SMALL: Threshold = thresholds::SLOPE_LOAD_SMALL_THROTTLE_DEG_PER_PCT;
const LARGE: Threshold = thresholds::SLOPE_LOAD_DEG_PER_PCT;
const SMALL_UP_TO: Threshold = thresholds::SLOPE_LOAD_SMALL_THROTTLE_UP_TO_PCT;

pub(super) const CHECK: Check = Check {
    id: "slope_load",
    title: "Steep along load",
    reason: "Load signals ripple with every intake stroke; where the advance changes quickly with load, the spark \
             wanders with the ripple.",
    since: 1,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[],
    thresholds: &[PRESSURE, SMALL, LARGE, SMALL_UP_TO],
    find,
};

/// The limits of slope: at a small throttle opening most of the charge changes, so more is allowed there.
fn limit(subject: &Subject<'_>) -> SlopeLimit {
    if subject.sensors.load == LoadKind::Pressure {
        let per_kpa = subject.threshold(&PRESSURE);
        return SlopeLimit::Load { corner: 0.0, below: per_kpa, above: per_kpa };
    }
    let [corner, below, above] = [&SMALL_UP_TO, &SMALL, &LARGE].map(|threshold| subject.threshold(threshold));
    SlopeLimit::Load { corner, below, above }
}

/// What a slope between two loads is held against.
fn bound(subject: &Subject<'_>, low: f64, high: f64) -> Bound {
    let corner = subject.threshold(&SMALL_UP_TO);
    match subject.sensors.load {
        LoadKind::Pressure => subject.bound(&PRESSURE),
        LoadKind::Throttle if high <= corner => subject.bound(&SMALL),
        LoadKind::Throttle if low >= corner => subject.bound(&LARGE),
        LoadKind::Throttle => {
            let allowed = limit(subject).allowed_deg(low, high) / (high - low);
            Bound::of(allowed, subject.sensors.load.slope_unit())
        }
    }
}

/// Degrees per unit of load from the row to the next one up, and how many are allowed.
fn slope(subject: &Subject<'_>, cell: Cell) -> Option<(f64, Bound)> {
    let loads = subject.table().load().breakpoints();
    let (low, high) = (*loads.get(cell.load)?, *loads.get(cell.load + 1)?);
    let rise_deg = subject.table().at(Cell::new(cell.load + 1, cell.speed)) - subject.table().at(cell);
    Some((rise_deg / (high - low), bound(subject, low, high)))
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let steep = subject.table().cells().filter_map(|cell| {
        let (slope, bound) = slope(subject, cell)?;
        subject.is_over(slope.abs(), bound).then_some((cell, slope))
    });
    regions(steep).iter().map(|region| noticed(subject, region)).collect()
}

fn noticed(subject: &Subject<'_>, region: &Region) -> Noticed {
    let (cell, worst) = region.worst();
    let unit = subject.sensors.load.unit();
    let of_slope = subject.sensors.load.slope_unit();
    let bound = slope(subject, cell).map_or(Bound::of(0.0, of_slope), |(_, bound)| bound);
    let ends = range((subject.load(cell.load), subject.load(cell.load + 1)), unit);
    let verb = if worst > 0.0 { "climbs" } else { "falls" };
    let slope_words = told(worst.abs(), bound.allowed, of_slope);
    let at = format!("{verb} by {slope_words} per {unit} at {}, {ends}", rpm(subject.speed_rpm(cell.speed)));
    let message = match region.faults.len() {
        1 => format!("the advance {at}"),
        many => format!("the advance is steep along load in {}; most it {at}", count(many, "place")),
    };
    let place = subject.cells(region.cells().flat_map(|cell| [cell, Cell::new(cell.load + 1, cell.speed)]).collect());
    let limits = region.cells().filter_map(|cell| slope(subject, cell));
    let least = limits.map(|(_, bound)| bound.allowed).fold(f64::INFINITY, f64::min);
    let label = format!("Limit the slope along load to {} per {unit} at {}", degrees(least), place.words);
    let change = Change::LimitSlope { cells: place.cells().to_vec(), limit: limit(subject) };
    Noticed {
        severity: Severity::Warning,
        message,
        remedy: "Spread the change over more load, or add a row where the engine needs it.".into(),
        value: worst.abs(),
        bound,
        cure: Some(Cure::new(label, change)),
        place,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_load, cured, of, only, sound, sound_pressure};
    use crate::wording::Unit;

    #[test]
    fn pressure_may_change_it_by_six_tenths_per_kilopascal() {
        let at = |deg| along_load(&sound_pressure(), &[30.0, 60.0, 115.0], &[30.0, deg, 10.0]);
        assert_eq!(of(&at(12.0), "slope_load"), []);
        let found = only(&at(11.9), "slope_load");
        assert_eq!((found.severity, found.threshold, found.unit), (Severity::Warning, 0.6, Unit::DegreePerKilopascal));
        assert_eq!(found.place.words, "1000–7000 rpm, 30–60 kPa");
    }

    /// 2 °/% up to 15 %, 0.6 above: from 10 to 20 % that allows 13 degrees, 1.3 °/%.
    #[test]
    fn a_small_throttle_opening_may_change_it_more() {
        let at = |deg| along_load(&sound(), &[0.0, 10.0, 20.0, 100.0], &[10.0, 30.0, deg, deg]);
        assert_eq!(of(&at(17.0), "slope_load"), []);
        let found = only(&at(16.9), "slope_load");
        assert!((found.threshold - 1.3).abs() < 1e-12 && (found.value - 1.31).abs() < 1e-9);
        let open = |deg| along_load(&sound(), &[0.0, 20.0, 40.0, 100.0], &[30.0, 30.0, deg, deg]);
        assert_eq!((of(&open(18.0), "slope_load").len(), of(&open(17.9), "slope_load").len()), (0, 1));
    }

    /// 0.6 °/% from 20 to 40 % takes nothing from the 2 °/% that the small opening before it may have.
    #[test]
    fn the_remedy_leaves_a_small_throttle_opening_its_own_limit() {
        let start = along_load(&sound(), &[0.0, 10.0, 20.0, 40.0, 100.0], &[0.0, 20.0, 33.0, 16.0, 14.0]);
        let (after, _) = cured(&start, "slope_load");
        let column: Vec<f64> = after.advance.table().column(0).collect();
        assert_eq!((column[0], column[1]), (0.0, 20.0));
        assert!(column[2] > 30.0 && column[3] > 18.0, "{column:?}");
    }

    #[test]
    fn the_remedy_limits_it() {
        let start = along_load(&sound(), &[0.0, 20.0, 40.0, 100.0], &[30.0, 30.0, 15.0, 14.0]);
        let (_, label) = cured(&start, "slope_load");
        assert_eq!(label, "Limit the slope along load to 0.6° per % at 1000–7000 rpm, 20–40 %");
    }
}
