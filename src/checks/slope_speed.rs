//! Advance that climbs or falls too quickly with speed.

use super::catalogue::Check;
use super::finding::Noticed;
use super::region::{Region, regions};
use super::subject::{Subject, count};
use super::{Change, Cure, Severity, Threshold};
use crate::compare::words::{degrees, range};
use crate::project::thresholds;
use crate::shaping::Along;
use crate::table::Cell;

const WARNING: Threshold = thresholds::SLOPE_SPEED_DEG_PER_1000_RPM;
/// Finer steps than this are measured together: between breakpoints close to each other the rounding of a cell alone looks
/// steep, and no engine notices. Common practice, no source.
const SHORTEST_RUN_RPM: f64 = 300.0;

pub(super) const CHECK: Check = Check {
    id: "slope_speed",
    title: "Steep along speed",
    reason: "The unit follows the speed with a lag and by whole teeth; where the advance changes quickly, small \
             errors of speed become errors of advance, and the engine surges.",
    thresholds: &[WARNING],
    find,
};

/// From the cell at the lower speed: the column of the upper end and the slope.
fn run_from(subject: &Subject<'_>, cell: Cell) -> Option<(usize, f64)> {
    let speeds = subject.table().speed().breakpoints();
    let from_rpm = subject.speed_rpm(cell.speed);
    let last = speeds.len().checked_sub(1)?;
    let far = speeds.iter().position(|&rpm| rpm >= from_rpm + SHORTEST_RUN_RPM).unwrap_or(last);
    let end = far.max(cell.speed + 1);
    if end > last {
        return None;
    }
    let rise_deg = subject.table().at(Cell::new(cell.load, end)) - subject.table().at(cell);
    let run_rpm = subject.speed_rpm(end) - from_rpm;
    (run_rpm >= SHORTEST_RUN_RPM.min(subject.table().speed().span())).then(|| (end, rise_deg / run_rpm * 1000.0))
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (most, idle_rpm) = (subject.threshold(&WARNING), subject.engine.idle_speed_rpm);
    let steep = subject.table().cells().filter_map(|cell| {
        let (end, slope) = run_from(subject, cell)?;
        (subject.speed_rpm(end) > idle_rpm && slope.abs() > most + 1e-9).then_some((cell, slope))
    });
    regions(steep).iter().map(|region| noticed(subject, region, most)).collect()
}

fn noticed(subject: &Subject<'_>, region: &Region, most: f64) -> Noticed {
    let (cell, slope) = region.worst();
    let end_of = |cell: Cell| run_from(subject, cell).map_or(cell.speed, |(end, _)| end);
    let ends = range((subject.speed_rpm(cell.speed), subject.speed_rpm(end_of(cell))), "rpm");
    let verb = if slope > 0.0 { "climbs" } else { "falls" };
    let at = format!(
        "{verb} by {} per 1000 rpm at {ends}, {}",
        degrees(slope.abs(), 1),
        subject.load_words(subject.load(cell.load))
    );
    let message = match region.faults.len() {
        1 => format!("the advance {at}"),
        many => format!("the advance is steep along speed in {}; most it {at}", count(many, "place")),
    };
    let cells: Vec<Cell> = region
        .cells()
        .flat_map(|cell| (cell.speed..=end_of(cell)).map(move |speed| Cell::new(cell.load, speed)))
        .collect();
    let place = subject.cells(cells);
    let label = format!("Limit the slope along speed to {} per 1000 rpm at {}", degrees(most, 1), place.words);
    let cells = place.cells().to_vec();
    Noticed {
        severity: Severity::Warning,
        message,
        remedy: "Spread the change over more speed, or raise the threshold when the engine was proved to like it."
            .into(),
        value: slope.abs(),
        threshold: most,
        unit: "°/1000 rpm",
        cure: Some(Cure::new(label, Change::LimitSlope { cells, along: Along::Speed, limit: most })),
        place,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_speed, cured, of, only};
    use crate::project::Project;

    /// 16 degrees over 1000 rpm in every row, less or more by `deg`.
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

    #[test]
    fn the_remedy_limits_it() {
        let (_, label) = cured(&steep(3.0), "slope_speed");
        assert_eq!(label, "Limit the slope along speed to 15.0° per 1000 rpm at 2000–3000 rpm, 0–100 %");
    }
}
