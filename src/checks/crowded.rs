//! Breakpoints so close that smoothing and slopes lose their meaning.

use super::check::Check;
use super::finding::Noticed;
use super::margin::found;
use super::subject::Subject;
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::shaping::Along;
use crate::table::Cell;
use crate::wording::{Unit, range};

const CLOSEST: Threshold = thresholds::CROWDED_PCT;

pub(super) const CHECK: Check = Check {
    id: "crowded",
    title: "Breakpoints crowd",
    reason: "Between breakpoints very close together the rounding of a cell is a cliff, and smoothing bends \
             everything around it.",
    since: 1,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[],
    thresholds: &[CLOSEST],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    [Along::Speed, Along::Load].into_iter().flat_map(|along| crowded(subject, along)).collect()
}

fn crowded(subject: &Subject<'_>, along: Along) -> Vec<Noticed> {
    let (table, bound) = (subject.table(), subject.bound(&CLOSEST));
    let axis = along.axis(table);
    let unit = if along == Along::Speed { Unit::Rpm } else { subject.sensors.load.unit() };
    let share = |pair: &[f64]| (pair[1] - pair[0]) / axis.span() * 100.0;
    let close = axis.breakpoints().windows(2).enumerate().filter(|(_, pair)| subject.is_under(share(pair), bound));
    let tell = |(index, pair): (usize, &[f64])| {
        let lines = [index, index + 1];
        let cells: Vec<Cell> = match along {
            Along::Speed => {
                (0..table.load().len()).flat_map(|load| lines.map(|speed| Cell::new(load, speed))).collect()
            }
            Along::Load => {
                (0..table.speed().len()).flat_map(|speed| lines.map(|load| Cell::new(load, speed))).collect()
            }
        };
        Noticed {
            severity: Severity::Warning,
            place: subject.cells(cells).of_axis(along),
            message: format!(
                "the {along} breakpoints {} stand {} of the axis apart",
                range((pair[0], pair[1]), unit),
                found(share(pair), bound.allowed, Unit::Percent)
            ),
            remedy: "Move one of them away or delete it.".into(),
            value: share(pair),
            bound,
            cure: None,
        }
    };
    close.map(tell).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_load, along_speed, of, only, sound};

    #[test]
    fn fires_below_one_per_cent_of_either_axis() {
        let speeds = |second_rpm| along_speed(&[1000.0, second_rpm, 7000.0], &[12.0, 12.0, 25.0]);
        assert_eq!(of(&speeds(1060.0), "crowded"), []);
        let found = only(&speeds(1059.0), "crowded");
        assert_eq!((found.severity, found.place.words.as_str()), (Severity::Warning, "1000–1059 rpm, 0–100 %"));
        assert_eq!(found.message, "the speed breakpoints 1000–1059 rpm stand 0.98 % of the axis apart");
        let loads = |second| along_load(&sound(), &[0.0, second, 100.0], &[25.0, 25.0, 20.0]);
        assert_eq!((of(&loads(1.0), "crowded").len(), of(&loads(0.9), "crowded").len()), (0, 1));
    }
}
