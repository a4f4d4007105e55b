//! A cell far from its neighbours in both directions.

use super::check::Check;
use super::finding::{Noticed, Region, regions};
use super::margin::{Bound, exceeds};
use super::subject::{Subject, degrees};
use super::{Change, Cure, Severity, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::shaping::stands_out_deg;
use crate::table::Cell;
use crate::wording::count;

const WARNING: Threshold = thresholds::STANDS_OUT_DEG;
const ERROR: Threshold = thresholds::STANDS_OUT_ERROR_DEG;

pub(super) const CHECK: Check = Check {
    id: "stands_out",
    title: "Cell that stands out",
    reason: "A bump or a hole in the surface makes the engine surge there, and a bump under load makes it knock at \
             one speed only.",
    since: 1,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[],
    thresholds: &[WARNING, ERROR],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let table = subject.table();
    let least = least(subject);
    let faults = table.cells().map(|cell| (cell, stands_out_deg(table, cell)));
    regions(faults.filter(|(_, deg)| subject.is_over(deg.abs(), least)))
        .iter()
        .map(|region| noticed(subject, region))
        .collect()
}

fn least(subject: &Subject<'_>) -> Bound {
    subject.bound(&WARNING).lower(subject.bound(&ERROR))
}

fn noticed(subject: &Subject<'_>, region: &Region) -> Noticed {
    let (cell, deg) = region.worst();
    let cells: Vec<Cell> = region.cells().collect();
    let (severity, used) = if exceeds(deg.abs(), subject.threshold(&ERROR)) {
        (Severity::Error, &ERROR)
    } else {
        (Severity::Warning, &WARNING)
    };
    let side = if deg > 0.0 { "above" } else { "below" };
    let at = subject.point_words(subject.speed_rpm(cell.speed), subject.load(cell.load));
    let (own, off) = (degrees(subject.table().at(cell)), degrees(deg.abs()));
    let place = subject.cells(cells.clone());
    let message = match cells.len() {
        1 => format!("{own} at {at} stands {off} {side} its neighbours in both directions"),
        many => format!("{} stand out, most {own} at {at}, {off} {side} its neighbours", count(many, "cell")),
    };
    let label = format!("Fair {} from the neighbours at {}", count(cells.len(), "cell"), place.words);
    Noticed {
        severity,
        message,
        remedy: "Put it back between its neighbours, unless it was measured: then hold it and accept this.".into(),
        value: deg.abs(),
        bound: subject.bound(used),
        cure: Some(Cure::new(label, Change::Fair { cells, within_deg: least(subject).allowed })),
        place,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::Uncured;
    use crate::checks::fixtures::{along_speed, cured, of, only, sound, with_table};
    use crate::project::Project;
    use crate::table::Selection;

    /// Flat except for the cell in the middle.
    fn middle(deg: f64) -> Project {
        let flat = [20.0, 20.0, 20.0, 20.0, 20.0];
        let rows: [&[f64]; 5] = [&flat, &flat, &[20.0, 20.0, deg, 20.0, 20.0], &flat, &flat];
        with_table(&sound(), &[1000.0, 2000.0, 3000.0, 5000.0, 7000.0], &[0.0, 20.0, 50.0, 70.0, 100.0], &rows)
    }

    #[test]
    fn fires_above_its_thresholds_only() {
        assert_eq!(of(&middle(22.5), "stands_out"), []);
        let bump = only(&middle(22.6), "stands_out");
        assert_eq!((bump.severity, bump.threshold), (Severity::Warning, 2.5));
        assert_eq!(bump.place.words, "3000 rpm, 50 %");
        assert_eq!(bump.message, "22.6° at 3000 rpm, 50 % stands 2.6° above its neighbours in both directions");
        assert_eq!(only(&middle(24.0), "stands_out").severity, Severity::Warning);
        let hole = only(&middle(15.9), "stands_out");
        assert_eq!((hole.severity, hole.threshold), (Severity::Error, 4.0));
        assert!(hole.message.contains("4.1° below"), "{}", hole.message);
    }

    /// 0.1 + 0.2 is a little more than 0.3: at its threshold the check is silent, whatever rounding error the
    /// sum has.
    #[test]
    fn at_the_threshold_dust_does_not_count() {
        for base in (0..200).map(|tenth| f64::from(tenth) / 10.0) {
            let flat = [base; 5];
            let rows: [&[f64]; 5] = [&flat, &flat, &[base, base, base + 2.5, base, base], &flat, &flat];
            let speeds = [1000.0, 2000.0, 3000.0, 5000.0, 7000.0];
            let at = with_table(&sound(), &speeds, &[0.0, 20.0, 50.0, 70.0, 100.0], &rows);
            assert_eq!(of(&at, "stands_out"), [], "{base}");
        }
    }

    #[test]
    fn the_edge_of_a_flat_pad_alone_is_none() {
        assert_eq!(of(&along_speed(&[1000.0, 2000.0, 3000.0, 4000.0], &[10.0, 10.0, 24.0, 24.0]), "stands_out"), []);
    }

    #[test]
    fn a_table_of_three_by_three_has_no_neighbourhood() {
        let rows: [&[f64]; 3] = [&[20.0; 3], &[20.0, 26.0, 20.0], &[20.0; 3]];
        assert_eq!(of(&with_table(&sound(), &[1000.0, 4000.0, 7000.0], &[0.0, 50.0, 100.0], &rows), "stands_out"), []);
    }

    #[test]
    fn its_threshold_can_be_moved() {
        let own = middle(24.1).edit(|parts| _ = parts.checks.thresholds.insert("stands_out_error_deg".into(), 6.0));
        assert_eq!(only(&own.unwrap(), "stands_out").severity, Severity::Warning);
    }

    #[test]
    fn the_remedy_fairs_it_unless_it_is_held() {
        let (after, label) = cured(&middle(25.0), "stands_out");
        assert_eq!(label, "Fair 1 cell from the neighbours at 3000 rpm, 50 %");
        let cell = Cell::new(2, 2);
        assert!((after.advance.table().at(cell) - 20.0).abs() < 0.01, "{:?}", after.advance.table().at(cell));
        let start = middle(25.0);
        let held = start.advance.with_held(&Selection::cell(start.advance.table(), cell), true);
        let held = start.with_advance(held).unwrap();
        assert_eq!(only(&held, "stands_out").cure.unwrap().apply(&held), Err(Uncured::Held));
    }
}
