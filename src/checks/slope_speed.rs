//! Advance that climbs or falls too quickly with speed.

use super::check::Check;
use super::finding::{Noticed, Region, regions};
use super::margin::{Bound, slope as told};
use super::subject::{Subject, degrees};
use super::{Change, Cure, Severity, SlopeLimit, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::table::Cell;
use crate::wording::{Unit, count, range};

const UNIT: Unit = Unit::DegreePer1000Rpm;
const WARNING: Threshold = thresholds::SLOPE_SPEED_DEG_PER_1000_RPM;
/// Shorter intervals are measured together with their neighbours: between close breakpoints, the rounding of
/// one cell alone looks steep, and no engine notices. Common practice, no source.
const SHORTEST_RUN_RPM: f64 = 300.0;

pub(super) const CHECK: Check = Check {
    id: "slope_speed",
    title: "Steep along speed",
    reason: "The unit follows the speed with a lag and by whole teeth; where the advance changes quickly, small \
             errors of speed become errors of advance, and the engine surges.",
    since: 1,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[],
    thresholds: &[WARNING],
    find,
};

/// A part of a row over which the slope is measured.
#[derive(Clone, Copy)]
struct Stretch {
    low_rpm: f64,
    high_rpm: f64,
    /// Degrees per 1000 rpm.
    slope: f64,
}

/// The steepest stretch for the interval from a cell to the next one up: the interval itself, or, if that is
/// too short, the shortest permitted run from its lower end up or from its upper end down. If the row is
/// shorter than that, the whole row is one stretch. Only stretches that end above idle count.
fn steepest(subject: &Subject<'_>, cell: Cell) -> Option<Stretch> {
    let axis = subject.table().speed();
    let (from_rpm, to_rpm) = (*axis.breakpoints().get(cell.speed)?, *axis.breakpoints().get(cell.speed + 1)?);
    let ends = if to_rpm - from_rpm >= SHORTEST_RUN_RPM {
        vec![(from_rpm, to_rpm)]
    } else if axis.span() < SHORTEST_RUN_RPM {
        vec![(axis.first(), axis.last())]
    } else {
        vec![(from_rpm, from_rpm + SHORTEST_RUN_RPM), (to_rpm - SHORTEST_RUN_RPM, to_rpm)]
    };
    let deg = |speed_rpm: f64| subject.table().lookup(speed_rpm, subject.load(cell.load));
    let stretches = ends
        .into_iter()
        .filter(|&(low_rpm, high_rpm)| low_rpm >= axis.first() && high_rpm <= axis.last())
        .filter(|&(_, high_rpm)| high_rpm > subject.engine.idle_speed_rpm)
        .map(|(low_rpm, high_rpm)| {
            let slope = (deg(high_rpm) - deg(low_rpm)) / (high_rpm - low_rpm) * 1000.0;
            Stretch { low_rpm, high_rpm, slope }
        });
    stretches.reduce(|most, next| if next.slope.abs() > most.slope.abs() { next } else { most })
}

/// The cells from the breakpoint at or below the start of a stretch to the one at or above its end.
fn under(subject: &Subject<'_>, load: usize, stretch: Stretch) -> impl Iterator<Item = Cell> {
    let speeds = subject.table().speed().breakpoints();
    let low = speeds.partition_point(|&rpm| rpm <= stretch.low_rpm).saturating_sub(1);
    let high = speeds.partition_point(|&rpm| rpm < stretch.high_rpm).min(speeds.len() - 1);
    (low..=high).map(move |speed| Cell::new(load, speed))
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let most = subject.bound(&WARNING);
    let steep = subject.table().cells().filter_map(|cell| {
        let Stretch { slope, .. } = steepest(subject, cell)?;
        subject.is_over(slope.abs(), most).then_some((cell, slope))
    });
    regions(steep).iter().map(|region| noticed(subject, region, most)).collect()
}

fn noticed(subject: &Subject<'_>, region: &Region, most: Bound) -> Noticed {
    let (cell, slope) = region.worst();
    let ends = steepest(subject, cell).map_or((0.0, 0.0), |stretch| (stretch.low_rpm, stretch.high_rpm));
    let ends = range(ends, Unit::Rpm);
    let verb = if slope > 0.0 { "climbs" } else { "falls" };
    let at = format!(
        "{verb} by {} per 1000 rpm at {ends}, {}",
        told(slope.abs(), most.allowed, UNIT),
        subject.load_words(subject.load(cell.load))
    );
    let message = match region.faults.len() {
        1 => format!("the advance {at}"),
        many => format!("the advance is steep along speed in {}; most it {at}", count(many, "place")),
    };
    let stretches = region.cells().filter_map(|cell| Some((cell.load, steepest(subject, cell)?)));
    let cells: Vec<Cell> = stretches.flat_map(|(load, stretch)| under(subject, load, stretch)).collect();
    let place = subject.cells(cells);
    let label = format!("Limit the slope along speed to {} per 1000 rpm at {}", degrees(most.allowed), place.words);
    let cells = place.cells().to_vec();
    Noticed {
        severity: Severity::Warning,
        message,
        remedy: "Spread the change over more speed, or raise the threshold when the engine was proved to like it."
            .into(),
        value: slope.abs(),
        bound: most,
        cure: Some(Cure::new(label, Change::LimitSlope { cells, limit: SlopeLimit::Speed(most.allowed) })),
        place,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_speed, cured, of, only};
    use crate::project::Project;

    /// 15 degrees over 1000 rpm in every row, plus `deg`.
    fn steep(deg: f64) -> Project {
        along_speed(&[1000.0, 2000.0, 3000.0, 7000.0], &[10.0, 12.0, 27.0 + deg, 29.0])
    }

    #[test]
    fn fires_above_fifteen_only() {
        assert_eq!(of(&steep(0.0), "slope_speed"), []);
        let found = only(&steep(0.1), "slope_speed");
        assert_eq!((found.severity, found.place.words.as_str()), (Severity::Warning, "2000–3000 rpm, 0–100 %"));
        assert!(
            found.message.contains("most it climbs by 15.1° per 1000 rpm at 2000–3000 rpm, 0 %"),
            "{}",
            found.message
        );
        let falling = along_speed(&[1000.0, 2000.0, 3000.0], &[36.0, 36.0, 20.0]);
        assert!(only(&falling, "slope_speed").message.contains("falls by 16.0°"));
    }

    #[test]
    fn below_idle_and_in_the_rounding_of_fine_steps_it_is_silent() {
        let below = along_speed(&[300.0, 800.0, 2000.0], &[0.0, 12.0, 14.0]);
        assert_eq!(of(&below, "slope_speed"), []);
        let fine = along_speed(&[1000.0, 1100.0, 1200.0, 1300.0, 1400.0], &[10.0, 12.0, 13.0, 14.0, 16.0]);
        assert_eq!(of(&fine, "slope_speed"), []);
        let jump = along_speed(&[1000.0, 1100.0, 1200.0, 1300.0, 1400.0], &[10.0, 10.0, 15.0, 15.0, 15.0]);
        assert_eq!(of(&jump, "slope_speed").len(), 1);
    }

    /// 12 degrees in the last 200 rpm: over 300 rpm that is a slope of 40.
    #[test]
    fn a_last_interval_shorter_than_a_run_is_measured_with_what_lies_before() {
        let at = |deg| along_speed(&[1000.0, 6000.0, 6500.0, 6700.0], &[12.0, 28.0, 28.0, deg]);
        assert_eq!(of(&at(32.5), "slope_speed"), []);
        let found = only(&at(40.0), "slope_speed");
        assert!((found.value - 40.0).abs() < 1e-9);
        assert!(found.message.contains("climbs by 40.0° per 1000 rpm at 6400–6700 rpm"), "{}", found.message);
        assert_eq!(found.place.words, "6000–6700 rpm, 0–100 %");
        cured(&at(40.0), "slope_speed");
        let inside = along_speed(&[1000.0, 6000.0, 6500.0, 6700.0, 8000.0], &[12.0, 28.0, 28.0, 34.0, 34.0]);
        assert_eq!(of(&inside, "slope_speed").len(), 1);
        let narrow = along_speed(&[3000.0, 3100.0, 3200.0], &[20.0, 21.0, 23.5]);
        assert!((only(&narrow, "slope_speed").value - 17.5).abs() < 1e-9);
    }

    #[test]
    fn the_remedy_limits_it() {
        let (_, label) = cured(&steep(3.0), "slope_speed");
        assert_eq!(label, "Limit the slope along speed to 15.0° per 1000 rpm at 2000–3000 rpm, 0–100 %");
    }
}
