//! Advance beyond the knock limit of the second opinion.

use super::check::Check;
use super::finding::Noticed;
use super::subject::{Subject, degrees};
use super::{Severity, Threshold};
use crate::combustion::Load;
use crate::compare::Section;
use crate::project::thresholds;
use crate::table::Cell;
use crate::wording::{fixed, rounded};
use crate::worksheet::ProjectOpinion;

const MOST: Threshold = thresholds::OPINION_KNOCK_INTEGRAL;

pub(super) const CHECK: Check = Check {
    id: "opinion_knock",
    title: "Beyond the second opinion's knock limit",
    reason: "Where the end gas has the time to light itself before the flame reaches it, the engine knocks; the opinion \
             reckons with a mean cycle of a warm, clean engine, and the worst cylinder knocks before that.",
    since: 4,
    sections: &[Section::Advance, Section::Engine],
    is_of_map: true,
    grounds: &[],
    thresholds: &[MOST],
    find,
};

/// A cell with what table and trims reach there at most, and its knock integral.
struct Beyond {
    cell: Cell,
    most_deg: f64,
    integral: f64,
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let Some(opinion) = subject.opinion() else { return Vec::new() };
    let bound = subject.bound(&MOST);
    let cells = subject.table().cells().filter_map(|cell| looked_at(subject, opinion, cell));
    let beyond: Vec<Beyond> = cells.filter(|found| subject.is_over(found.integral, bound)).collect();
    let worst = beyond.iter().max_by(|a, b| a.integral.total_cmp(&b.integral));
    worst.map(|worst| noticed(subject, opinion, &beyond, worst)).into_iter().collect()
}

fn looked_at(subject: &Subject<'_>, opinion: &ProjectOpinion, cell: Cell) -> Option<Beyond> {
    let (speed_rpm, load) = (subject.speed_rpm(cell.speed), subject.load(cell.load));
    let most_deg = subject.table().at(cell) + subject.most_trim_deg(load);
    let place = Load::of(subject.sensors.load, load);
    let integral = opinion.opinion.knock_integral(speed_rpm, place, most_deg).ok()?;
    Some(Beyond { cell, most_deg, integral })
}

fn noticed(subject: &Subject<'_>, opinion: &ProjectOpinion, beyond: &[Beyond], worst: &Beyond) -> Noticed {
    let (speed_rpm, load) = (subject.speed_rpm(worst.cell.speed), subject.load(worst.cell.load));
    let found = opinion.at(subject.project, speed_rpm, load).opinion.ok();
    let limit_deg = found.and_then(|found| found.knock.deg()).map(|deg| rounded(deg, 1));
    let limit = limit_deg.map_or_else(
        || "it knocks at any spark".to_owned(),
        |limit_deg| {
            format!("{} beyond its limit of {}", degrees(rounded(worst.most_deg - limit_deg, 1)), degrees(limit_deg))
        },
    );
    let severity = if opinion.calibrated.is_some() { Severity::Warning } else { Severity::Note };
    let tested = opinion.tested_words();
    Noticed {
        severity,
        message: format!(
            "table and trims reach {} at {}, where the second opinion has a knock integral of {}, {limit}; {tested}",
            degrees(rounded(worst.most_deg, 2)),
            subject.point_words(speed_rpm, load),
            fixed(worst.integral, 2)
        ),
        remedy: "Listen for knock there before you trust either; lower the table if in doubt, or give the opinion \
                 measured points."
            .into(),
        value: worst.integral,
        bound: subject.bound(&MOST),
        cure: None,
        place: subject.cells(beyond.iter().map(|found| found.cell).collect()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only};
    use crate::project::{LoadKind, MeasuredPoint, NewProject, Origin, PointBound, PointKind, Project, set_fields};

    /// A pressure table with one advance at every place.
    fn level(advance_deg: f64) -> Project {
        let new = NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Pressure, speeds: 4, loads: 4 };
        let axes = [
            ("advance.speed_rpm", "1000,2000,3000,4000"),
            ("advance.load", "30,50,75,97"),
            ("engine.compression_ratio", "9.5"),
            ("trims.coolant.enabled", "no"),
        ];
        let project = set_fields(&new.create().unwrap(), &axes).unwrap();
        let values = vec![advance_deg; 16];
        project.with_advance(project.advance.with_values(values, Origin::Typed).unwrap()).unwrap()
    }

    fn described(advance_deg: f64) -> Project {
        set_fields(&level(advance_deg), &[("combustion.overlap_deg", "25")]).unwrap()
    }

    #[test]
    fn it_says_nothing_until_the_engine_is_described_for_it() {
        assert_eq!(of(&level(40.0), "opinion_knock"), []);
        assert_eq!(of(&described(40.0), "opinion_knock").len(), 1);
    }

    /// At 1000 rpm and 97 kPa the model's limit is 6.6 degrees.
    #[test]
    fn the_limit_is_where_the_integral_is_one() {
        assert_eq!(of(&described(6.5), "opinion_knock"), []);
        let found = only(&described(7.0), "opinion_knock");
        assert_eq!(found.severity, Severity::Note);
        assert_eq!(
            found.message,
            "table and trims reach 7.0° at 1000 rpm, 97 kPa, where the second opinion has a knock integral of 1.03, 0.4° \
             beyond its limit of 6.6°; untested: order of magnitude and shape only"
        );
    }

    #[test]
    fn trims_count_too_and_the_threshold_can_be_set() {
        let warm = set_fields(&described(6.5), &[("trims.coolant.enabled", "yes")]).unwrap();
        assert_eq!(of(&warm, "opinion_knock").len(), 1);
        let lax = set_fields(
            &described(7.0),
            &[
                ("checks.thresholds.opinion_knock_integral", "1.2"),
                ("checks.threshold_reasons.opinion_knock_integral", "heard to be clean"),
            ],
        );
        assert_eq!(of(&lax.unwrap(), "opinion_knock"), []);
    }

    #[test]
    fn calibrated_it_is_a_warning() {
        let point = MeasuredPoint {
            name: "P1".into(),
            speed_rpm: 3000.0,
            load: 97.0,
            advance_deg: 32.0,
            kind: PointKind::BestTorque,
            bound: PointBound::About,
            in_use: true,
            ..MeasuredPoint::default()
        };
        let project = described(40.0).edit(|parts| parts.evidence.points = vec![point.into()]).unwrap();
        let found = only(&project, "opinion_knock");
        assert_eq!(found.severity, Severity::Warning);
        assert!(found.message.ends_with("; calibrated by 1 measurement"), "{}", found.message);
    }
}
