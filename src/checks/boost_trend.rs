//! Advance that rises with boost.

use super::check::Check;
use super::finding::{Noticed, Region, regions};
use super::load_trend::levelled;
use super::margin::Bound;
use super::subject::{Subject, degrees, rpm};
use super::{Change, Cure, Severity, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::table::Cell;
use crate::wording::range;

const ERROR: Threshold = thresholds::BOOST_TREND_DEG;

pub(super) const CHECK: Check = Check {
    id: "boost_trend",
    title: "Rises with boost",
    reason: "Above atmospheric pressure every kilopascal brings the charge nearer to knock; a rise there breaks \
             pistons.",
    since: 1,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[],
    thresholds: &[ERROR],
    find,
};

/// How much more advance the next row up has, if that row is above atmospheric pressure.
fn rise(subject: &Subject<'_>, cell: Cell) -> Option<f64> {
    let above = Cell::new(cell.load + 1, cell.speed);
    let is_boost = above.load < subject.table().load().len() && subject.is_boost(subject.load(above.load));
    is_boost.then(|| subject.table().at(above) - subject.table().at(cell))
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let most = subject.bound(&ERROR);
    let faults = subject.table().cells().filter_map(|cell| Some((cell, rise(subject, cell)?)));
    regions(faults.filter(|(_, deg)| subject.is_over(*deg, most)))
        .iter()
        .map(|region| noticed(subject, region, most))
        .collect()
}

fn noticed(subject: &Subject<'_>, region: &Region, most: Bound) -> Noticed {
    let (cell, value) = region.worst();
    let loads = range((subject.load(cell.load), subject.load(cell.load + 1)), subject.sensors.load.unit());
    let place = subject.cells(region.cells().flat_map(|cell| [cell, Cell::new(cell.load + 1, cell.speed)]).collect());
    let mut columns: Vec<usize> = region.cells().map(|cell| cell.speed).collect();
    columns.sort_unstable();
    columns.dedup();
    let rows = subject.table().load().breakpoints();
    let from = rows.partition_point(|&load| !subject.is_boost(load)).saturating_sub(1);
    let label = format!("Take the rise with boost out at {}", place.words);
    Noticed {
        severity: Severity::Error,
        message: format!(
            "the advance rises by {} from {loads} at {}",
            degrees(value),
            rpm(subject.speed_rpm(cell.speed))
        ),
        remedy: "Lower the rows above until the advance falls with pressure.".into(),
        value,
        bound: most,
        cure: Some(Cure::new(label, Change::Cells(levelled(subject, &columns, from)))),
        place,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_load, cured, of, only, sound, sound_pressure};
    use crate::project::Project;

    fn boosted(loads: &[f64], deg: f64) -> Project {
        along_load(&sound_pressure(), loads, &[30.0, 22.0, 18.0, 18.0 + deg])
    }

    #[test]
    fn fires_above_half_a_degree_from_row_to_row() {
        let loads = [40.0, 100.0, 130.0, 160.0];
        assert_eq!(of(&boosted(&loads, 0.5), "boost_trend"), []);
        let found = only(&boosted(&loads, 0.6), "boost_trend");
        assert_eq!((found.severity, found.place.words.as_str()), (Severity::Error, "1000–7000 rpm, 130–160 kPa"));
        assert_eq!(found.message, "the advance rises by 0.6° from 130–160 kPa at 1000 rpm");
    }

    #[test]
    fn below_atmospheric_pressure_and_over_throttle_it_is_silent() {
        assert_eq!(of(&boosted(&[30.0, 60.0, 80.0, 99.0], 2.0), "boost_trend"), []);
        let throttle = along_load(&sound(), &[0.0, 50.0, 90.0, 100.0], &[30.0, 22.0, 18.0, 20.0]);
        assert_eq!(of(&throttle, "boost_trend"), []);
    }

    #[test]
    fn a_step_across_atmospheric_pressure_counts() {
        let across = |deg| along_load(&sound_pressure(), &[40.0, 95.0, 140.0, 200.0], &[30.0, 22.0, 22.0 + deg, 16.0]);
        assert_eq!(of(&across(0.5), "boost_trend"), []);
        let found = only(&across(8.0), "boost_trend");
        assert_eq!(found.message, "the advance rises by 8.0° from 95–140 kPa at 1000 rpm");
        let (after, _) = cured(&across(8.0), "boost_trend");
        assert_eq!(after.advance.table().column(0).collect::<Vec<_>>(), [30.0, 22.0, 22.0, 16.0]);
        let up_to = along_load(&sound_pressure(), &[30.0, 60.0, 100.0], &[30.0, 22.0, 25.0]);
        assert_eq!(of(&up_to, "boost_trend"), []);
    }

    #[test]
    fn the_remedy_levels_it() {
        let (after, _) = cured(&boosted(&[40.0, 100.0, 130.0, 160.0], 3.0), "boost_trend");
        assert_eq!(after.advance.table().column(0).collect::<Vec<_>>(), [30.0, 22.0, 18.0, 18.0]);
    }
}
