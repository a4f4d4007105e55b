//! Putting what sweeps tell into a project: measured points.

use std::sync::Arc;

use super::{Counts, SweepAnswer, SweepChoice, SweepPoint};
use crate::project::{KeptSweep, MeasuredPoint, OnTwin, PointBound, PointKind, Project};
use crate::wording::{Unit, quantity, rounded, settle};
use crate::worksheet::WorksheetError;

/// Advances of measured points are kept to a tenth of a degree: none is known better.
const TENTHS: f64 = 10.0;
/// The range of advances in a project, in degrees.
const RANGE_DEG: (f64, f64) = (-60.0, 90.0);

impl SweepAnswer {
    /// The measured points of one operating point of this answer by a choice, at the speed and the load at which it was
    /// measured: none where its readings say nothing that counts; two where it is limited by knock and its own advance lies
    /// lower, the second of which says so. `sweeps` are those that its readings come from.
    pub fn measured_of(
        &self,
        point: &SweepPoint,
        choice: SweepChoice,
        sweeps: &[Arc<KeptSweep>],
    ) -> Vec<MeasuredPoint> {
        let chosen = point.chosen(choice);
        let plain = MeasuredPoint {
            name: self.name_of(point),
            speed_rpm: settle(rounded(point.speed_rpm, 1)),
            load: settle(rounded(point.load, 2)),
            kind: match choice {
                SweepChoice::Least => PointKind::LeastForBestTorque,
                SweepChoice::Best => PointKind::BestTorque,
                SweepChoice::Knock => PointKind::Knock,
            },
            source: sweeps.get(point.sweep).map_or_else(String::new, |sweep| sweep.name.clone()),
            taken_at: last_taken_at(point, sweeps),
            in_use: true,
            ..MeasuredPoint::default()
        };
        let knock = |advance_deg: f64, name: String| MeasuredPoint {
            name,
            advance_deg: advance_deg.clamp(RANGE_DEG.0, RANGE_DEG.1),
            bound: PointBound::AtMost,
            kind: PointKind::Knock,
            note: knocked_throughout(point).unwrap_or_default(),
            ..plain.clone()
        };
        let own = match chosen.counts {
            Counts::Nothing => return Vec::new(),
            Counts::Knock(deg) => return vec![knock(deg, plain.name.clone())],
            Counts::About { deg, low_deg, high_deg } => MeasuredPoint {
                advance_deg: down(deg),
                low_deg: Some(down(low_deg)),
                high_deg: Some(up(high_deg)),
                ..plain.clone()
            },
            Counts::AtLeast(deg) => MeasuredPoint {
                advance_deg: down(deg),
                low_deg: Some(down(deg)),
                bound: PointBound::AtLeast,
                ..plain.clone()
            },
            Counts::AtMost(deg) => MeasuredPoint {
                advance_deg: up(deg),
                high_deg: Some(up(deg)),
                bound: PointBound::AtMost,
                ..plain.clone()
            },
        };
        let limit = chosen.knock_most_deg.filter(|_| point.is_limited_by_knock());
        let limit = limit.map(|deg| knock(deg, plain.name_of_knock()));
        std::iter::once(own).chain(limit).collect()
    }
}

/// When the last of a point's readings were taken, as far as that is known.
fn last_taken_at(point: &SweepPoint, sweeps: &[Arc<KeptSweep>]) -> String {
    let of = |reading: &super::PointReading| Some(&sweeps.get(reading.sweep)?.taken_at).filter(|at| !at.is_empty());
    point.readings.iter().rev().find_map(of).cloned().unwrap_or_default()
}

/// The project with measured points that sweeps tell. A point of a sweep with the same name is replaced; any other of that
/// name is not. What somebody decided stays: a point that was rejected remains so, with the reason; returned besides is how
/// many did.
pub(super) fn put(project: &Project, mut points: Vec<MeasuredPoint>) -> Result<(Project, usize), WorksheetError> {
    let rejected = keep_rejected(project, &mut points);
    let is_of_a_sweep = |own: &MeasuredPoint| project.evidence.sweeps.iter().any(|sweep| sweep.name == own.source);
    let twins = points.iter().filter_map(|point| project.evidence.point(&point.name));
    let on_twin = if twins.into_iter().all(is_of_a_sweep) { OnTwin::Replace } else { OnTwin::Refuse };
    let (project, _) = project.without_former_choice(&points)?.with_points(points, on_twin)?;
    Ok((project, rejected))
}

/// What to remark on a limit that was not heard to be clean, but lies the margin below what knocked.
fn knocked_throughout(point: &SweepPoint) -> Option<String> {
    let from_deg = point.knock.from_deg.filter(|_| point.knock.clean_to_deg.is_none())?;
    let from = quantity(from_deg, Unit::Degree);
    Some(format!("knocked at {from}; nothing below was heard to be clean"))
}

/// Leaves points unused, with the reason, where the project has them rejected; how many.
fn keep_rejected(project: &Project, points: &mut [MeasuredPoint]) -> usize {
    let mut rejected = 0;
    for point in points {
        let Some(twin) = project.evidence.point(&point.name).filter(|twin| !twin.in_use) else { continue };
        (point.in_use, point.note) = (false, twin.note.clone());
        rejected += 1;
    }
    rejected
}

fn down(deg: f64) -> f64 {
    settle((deg * TENTHS + 1e-9).floor() / TENTHS).clamp(RANGE_DEG.0, RANGE_DEG.1)
}

fn up(deg: f64) -> f64 {
    settle((deg * TENTHS - 1e-9).ceil() / TENTHS).clamp(RANGE_DEG.0, RANGE_DEG.1)
}
