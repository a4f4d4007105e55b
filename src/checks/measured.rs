//! Measured points against the table: what the three checks about them have in common.

use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::{Subject, degrees};
use super::{Severity, Threshold};
use crate::project::MeasuredPoint;
use crate::table::Cell;
use crate::wording::one_line;

/// What the table has where a point was measured, beyond its axes that of the edge, as in the unit; and how far that is
/// beyond what agrees with the point, negative within it.
pub(super) struct Miss<'a> {
    pub(super) point: &'a MeasuredPoint,
    pub(super) table_deg: f64,
    pub(super) by_deg: f64,
}

impl<'a> Miss<'a> {
    pub(super) fn of(subject: &Subject<'_>, point: &'a MeasuredPoint) -> Self {
        let table_deg = subject.table().lookup(point.speed_rpm, point.load);
        Self { point, table_deg, by_deg: point.missed_by_deg(table_deg) }
    }

    /// 'the table has 27.0° at P3 (3000 rpm, 60 %), 1.8° more than 24.5° (23.9–25.2°) allows'.
    pub(super) fn words(&self, subject: &Subject<'_>) -> String {
        let side = if self.table_deg > self.point.advance_deg { "more" } else { "less" };
        format!(
            "the table has {} at {} ({}), {} {side} than {} allows",
            degrees(self.table_deg),
            one_line(&self.point.name),
            subject.point_words(self.point.speed_rpm, self.point.load),
            degrees(self.by_deg),
            self.point.words()
        )
    }

    pub(super) fn noticed(
        &self,
        subject: &Subject<'_>,
        (severity, bound): (Severity, Bound),
        place: Place,
        remedy: &str,
    ) -> Noticed {
        Noticed {
            severity,
            place,
            message: self.words(subject),
            remedy: remedy.into(),
            value: self.by_deg,
            bound,
            cure: None,
        }
    }
}

/// The points that the table misses by more than a threshold, each noticed with the same severity and remedy.
pub(super) fn missed<'a>(
    subject: &Subject<'_>,
    points: impl Iterator<Item = &'a MeasuredPoint>,
    (severity, most): (Severity, &'static Threshold),
    remedy: &str,
) -> Vec<Noticed> {
    let most = subject.bound(most);
    points
        .map(|point| Miss::of(subject, point))
        .filter(|miss| subject.is_over(miss.by_deg, most))
        .map(|miss| miss.noticed(subject, (severity, most), place(subject, miss.point), remedy))
        .collect()
}

/// The place of a point: its advance, known by its name.
pub(super) fn place(subject: &Subject<'_>, point: &MeasuredPoint) -> Place {
    let index = subject.evidence.points.iter().position(|own| own.name == point.name).unwrap_or_default();
    let words = format!("{}, {}", point.name, subject.point_words(point.speed_rpm, point.load));
    Place::field(format!("evidence.points[{index}].advance_deg"), words)
}

/// The cell nearest to a point, if it is held: no tool brings the table nearer to the point then.
pub(super) fn held_cell(subject: &Subject<'_>, point: &MeasuredPoint) -> Option<Cell> {
    let table = subject.table();
    let cell = Cell::new(table.load().nearest(point.load), table.speed().nearest(point.speed_rpm));
    subject.advance.held().contains(cell).then_some(cell)
}
