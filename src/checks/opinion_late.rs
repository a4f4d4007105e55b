//! Much less advance at part load than gives best torque by the second opinion.

use super::check::Check;
use super::finding::Noticed;
use super::subject::{Subject, degrees};
use super::{Severity, Threshold};
use crate::combustion::Load;
use crate::compare::Section;
use crate::project::thresholds;
use crate::table::Cell;
use crate::wording::rounded;
use crate::worksheet::ProjectOpinion;

const MOST: Threshold = thresholds::OPINION_LATE_DEG;

pub(super) const CHECK: Check = Check {
    id: "opinion_late",
    title: "Late of the second opinion's best torque",
    reason: "At part load a late spark costs fuel and heats the exhaust, and nothing there knocks that it would have to \
             keep clear of.",
    since: 4,
    sections: &[Section::Advance, Section::Engine],
    is_of_map: true,
    grounds: &[],
    thresholds: &[MOST],
    find,
};

/// Part load is below this share of the pressure around. Common practice, no source.
const PART_LOAD: f64 = 0.8;
/// Where a spark as early as that would come near knock, it is rightly later.
const NEAR_KNOCK: f64 = 0.7;

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let Some(opinion) = subject.opinion() else { return Vec::new() };
    let bound = subject.bound(&MOST);
    let idle = subject.idle_cells();
    let cells = subject.table().cells().filter(|cell| !idle.contains(*cell));
    let late = cells.filter_map(|cell| Some((cell, late_deg(subject, opinion, cell)?)));
    let late: Vec<(Cell, f64)> = late.filter(|(_, late_deg)| subject.is_over(*late_deg, bound)).collect();
    let worst = late.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    worst.map(|worst| noticed(subject, opinion, &late, *worst)).into_iter().collect()
}

/// How much later than best torque the table is in a cell at part load where no knock is near.
fn late_deg(subject: &Subject<'_>, opinion: &ProjectOpinion, cell: Cell) -> Option<f64> {
    let (speed_rpm, load) = (subject.speed_rpm(cell.speed), subject.load(cell.load));
    let place = Load::of(subject.sensors.load, load);
    let (best_deg, pressure_kpa) = opinion.opinion.best_torque(speed_rpm, place).ok()?;
    let is_part_load = pressure_kpa <= PART_LOAD * opinion.opinion.description().ambient_kpa;
    let integral = opinion.opinion.knock_integral(speed_rpm, place, best_deg).ok()?;
    (is_part_load && integral < NEAR_KNOCK).then(|| best_deg - subject.table().at(cell))
}

fn noticed(
    subject: &Subject<'_>,
    opinion: &ProjectOpinion,
    late: &[(Cell, f64)],
    (cell, late_deg): (Cell, f64),
) -> Noticed {
    let (speed_rpm, load) = (subject.speed_rpm(cell.speed), subject.load(cell.load));
    let table_deg = subject.table().at(cell);
    let tested = opinion.tested_words();
    Noticed {
        severity: Severity::Note,
        message: format!(
            "the table has {} at {}, {} later than the second opinion's best torque; {tested}",
            degrees(table_deg),
            subject.point_words(speed_rpm, load),
            degrees(rounded(late_deg, 1))
        ),
        remedy: "Measure a timing sweep there and see what it tells; it is no permission to advance without listening."
            .into(),
        value: late_deg,
        bound: subject.bound(&MOST),
        cure: None,
        place: subject.cells(late.iter().map(|(cell, _)| *cell).collect()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only};
    use crate::project::{LoadKind, NewProject, Origin, Project, set_fields};

    /// A pressure table with one advance at every place, its engine described.
    fn level(advance_deg: f64) -> Project {
        let new = NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Pressure, speeds: 3, loads: 3 };
        let set = [
            ("advance.speed_rpm", "1500,2000,2500"),
            ("advance.load", "60,75,97"),
            ("engine.compression_ratio", "9.5"),
            ("combustion.overlap_deg", "25"),
        ];
        let project = set_fields(&new.create().unwrap(), &set).unwrap();
        project.with_advance(project.advance.with_values(vec![advance_deg; 9], Origin::Typed).unwrap()).unwrap()
    }

    /// At 2500 rpm and 60 kPa the model has its latest best torque: 38.3 degrees.
    #[test]
    fn more_than_eight_degrees_at_part_load_are_noted() {
        assert_eq!(of(&level(30.5), "opinion_late"), []);
        let found = only(&level(30.2), "opinion_late");
        assert_eq!(found.severity, Severity::Note);
        assert!(
            found.message.starts_with(
                "the table has 30.2° at 2500 rpm, 60 kPa, 8.1° later than the second opinion's best torque; untested"
            ),
            "{}",
            found.message
        );
    }

    #[test]
    fn full_load_is_not_judged() {
        let late = only(&level(5.0), "opinion_late");
        assert_eq!(late.place.words, "2000–2500 rpm, 60 kPa", "elsewhere knock is near, or load is full");
    }
}
