//! Putting what sweeps tell into a project: measured points, and the readings they come from.

use std::sync::Arc;

use super::{Counts, SweepAnswer, SweepChoice, SweepPoint};
use crate::project::{KeptSweep, MeasuredPoint, OnTwin, PointBound, PointKind, Project, SweepReading};
use crate::wording::{count, rounded, settle};
use crate::worksheet::WorksheetError;

/// Advances of measured points are kept to a tenth of a degree: none is known better.
const TENTHS: f64 = 10.0;
/// The range of advances in a project, in degrees.
const RANGE_DEG: (f64, f64) = (-60.0, 90.0);

/// What of an answer goes into a project.
#[derive(Clone, Copy, Debug)]
pub struct SweepKeeping<'a> {
    /// What the sweep is called; where that name is taken, a number is added.
    pub name: &'a str,
    /// When the readings were taken, RFC 3339 or a date.
    pub taken_at: &'a str,
    /// The readings, as they were given to [`SweepAnswer::of`].
    pub readings: &'a [SweepReading],
    /// Which advance of each point.
    pub choice: SweepChoice,
    /// The names of the points that are wanted; all of them if there is none.
    pub only: &'a [String],
}

impl SweepAnswer {
    /// The measured points of a choice, at the speeds and loads at which they were measured. A point that is limited by
    /// knock gives a second one, which says so, where its own advance lies lower.
    pub fn measured_points(&self, keeping: &SweepKeeping<'_>) -> Vec<MeasuredPoint> {
        let is_wanted = |point: &&SweepPoint| {
            keeping.only.is_empty() || keeping.only.iter().any(|name| *name == self.name_of(point))
        };
        self.points.iter().filter(is_wanted).flat_map(|point| self.measured(point, keeping)).collect()
    }

    fn measured(&self, point: &SweepPoint, keeping: &SweepKeeping<'_>) -> Vec<MeasuredPoint> {
        let chosen = point.chosen(keeping.choice);
        let plain = MeasuredPoint {
            name: self.name_of(point),
            speed_rpm: settle(rounded(point.speed_rpm, 1)),
            load: settle(rounded(point.load, 2)),
            kind: match keeping.choice {
                SweepChoice::Least => PointKind::LeastForBestTorque,
                SweepChoice::Best => PointKind::BestTorque,
                SweepChoice::Knock => PointKind::Knock,
            },
            source: keeping.name.to_owned(),
            taken_at: keeping.taken_at.to_owned(),
            in_use: true,
            ..MeasuredPoint::default()
        };
        let knock = |advance_deg: f64, name: String| MeasuredPoint {
            name,
            advance_deg: advance_deg.clamp(RANGE_DEG.0, RANGE_DEG.1),
            bound: PointBound::AtMost,
            kind: PointKind::Knock,
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
        let limit = limit.map(|deg| knock(deg, format!("{}, knock", plain.name)));
        std::iter::once(own).chain(limit).collect()
    }

    /// The project with the readings kept as one of its sweeps and with the measured points of a choice, and what to
    /// call that step. A point of an earlier sweep with the same name is replaced; any other of that name is not.
    ///
    /// # Errors
    /// [`WorksheetError`] for a point that is wanted and not there, for one whose name is taken, and if the project cannot
    /// hold as many readings.
    pub fn keep(&self, project: &Project, keeping: &SweepKeeping<'_>) -> Result<(Project, String), WorksheetError> {
        let names: Vec<String> = self.points.iter().map(|point| self.name_of(point)).collect();
        if let Some(unknown) = keeping.only.iter().find(|name| !names.contains(name)) {
            let known = names.iter().take(12).cloned().collect::<Vec<_>>().join("; ");
            let message = format!("there is no point '{unknown}' among the readings; there are: {known}");
            return Err(WorksheetError::Contradiction(message));
        }
        let name = free_name(project, keeping);
        let kept = KeptSweep {
            name: name.clone(),
            taken_at: keeping.taken_at.to_owned(),
            note: String::new(),
            torque_kind: self.setting.torque_kind,
            readings: keeping.readings.to_vec(),
        };
        let points = self.measured_points(&SweepKeeping { name: &name, ..*keeping });
        let is_of_a_sweep = |own: &MeasuredPoint| project.evidence.sweeps.iter().any(|sweep| sweep.name == own.source);
        let twins = points.iter().filter_map(|point| project.evidence.point(&point.name));
        let on_twin = if twins.into_iter().all(is_of_a_sweep) { OnTwin::Replace } else { OnTwin::Refuse };
        let has_it = project.evidence.sweeps.iter().any(|sweep| sweep.name == name);
        let with_readings = project.edit(|parts| {
            if !has_it {
                parts.evidence.sweeps.push(Arc::new(kept));
            }
        })?;
        let number = points.len();
        let (project, _) = with_readings.with_points(points, on_twin)?;
        let readings = count(keeping.readings.len(), "reading");
        let label = match number {
            0 => format!("Keep {readings} of timing sweeps; none of their points counts"),
            _ => format!("Keep {readings} of timing sweeps and {} from them", count(number, "measured point")),
        };
        Ok((project, label))
    }
}

/// The name under which the readings are kept: that of a sweep with just these readings if there is one, else the first
/// that is free.
fn free_name(project: &Project, keeping: &SweepKeeping<'_>) -> String {
    let sweeps = &project.evidence.sweeps;
    if let Some(same) = sweeps.iter().find(|sweep| sweep.readings == keeping.readings) {
        return same.name.clone();
    }
    let is_free = |name: &String| sweeps.iter().all(|sweep| sweep.name != *name);
    let numbered = (2_u32..).map(|number| format!("{} {number}", keeping.name));
    std::iter::once(keeping.name.to_owned()).chain(numbered).find(is_free).unwrap_or_default()
}

fn down(deg: f64) -> f64 {
    settle((deg * TENTHS + 1e-9).floor() / TENTHS).clamp(RANGE_DEG.0, RANGE_DEG.1)
}

fn up(deg: f64) -> f64 {
    settle((deg * TENTHS - 1e-9).ceil() / TENTHS).clamp(RANGE_DEG.0, RANGE_DEG.1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};
    use crate::worksheet::SweepSetting;

    const NINE: [f64; 9] = [110.9, 115.6, 119.1, 122.2, 124.0, 124.9, 124.6, 123.6, 121.3];

    fn readings(speed_rpm: f64, knock_from_deg: f64, count: usize) -> Vec<SweepReading> {
        let reading = |(&torque, at): (&f64, u8)| {
            let advance_deg = 14.0 + 3.0 * f64::from(at);
            let knock = Some(f64::from(u8::from(advance_deg >= knock_from_deg)));
            SweepReading { speed_rpm, load: 60.4, advance_deg, torque, knock, ..SweepReading::default() }
        };
        NINE.iter().take(count).zip(0..).map(reading).collect()
    }

    fn project() -> Project {
        NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 4, loads: 4 }.create().unwrap()
    }

    fn kept(
        project: &Project,
        readings: &[SweepReading],
        choice: SweepChoice,
    ) -> Result<(Project, String), WorksheetError> {
        let answer =
            SweepAnswer::of(readings, &SweepSetting::of(project, crate::project::TorqueKind::TorqueNm)).unwrap();
        answer.keep(project, &SweepKeeping { name: "day", taken_at: "2026-11-29", readings, choice, only: &[] })
    }

    fn told(project: &Project) -> Vec<(String, String)> {
        project.evidence.points.iter().map(|point| (point.name.clone(), point.words())).collect()
    }

    #[test]
    fn known_points_keep_their_interval_and_place() {
        let before = project();
        let (after, label) = kept(&before, &readings(3017.0, 90.0, 9), SweepChoice::Least).unwrap();
        assert_eq!(label, "Keep 9 readings of timing sweeps and 1 measured point from them");
        assert_eq!(told(&after), [("3017 rpm, 60.4 %".into(), "25.6° (25.4–25.9°)".into())]);
        let point = &after.evidence.points[0];
        assert_eq!((point.speed_rpm, point.load, point.kind), (3017.0, 60.4, PointKind::LeastForBestTorque));
        assert_eq!((after.evidence.sweeps[0].name.as_str(), after.evidence.sweeps[0].readings.len()), ("day", 9));
        assert_eq!(before.advance, after.advance, "no cell moves");
        // Again by another choice: the same readings stay one sweep, and the point is replaced.
        let (again, _) = kept(&after, &readings(3017.0, 90.0, 9), SweepChoice::Best).unwrap();
        assert_eq!(told(&again), [("3017 rpm, 60.4 %".into(), "30.2° (30.0–30.5°)".into())]);
        assert_eq!(again.evidence.sweeps.len(), 1);
    }

    #[test]
    fn knock_says_at_most() {
        let (after, _) = kept(&project(), &readings(3000.0, 35.0, 9), SweepChoice::Best).unwrap();
        assert_eq!(told(&after), [("3000 rpm, 60.4 %".into(), "30.2° (30.0–30.5°)".into())]);
        let (after, _) = kept(&project(), &readings(3000.0, 32.0, 9), SweepChoice::Best).unwrap();
        assert_eq!(told(&after), [("3000 rpm, 60.4 %".into(), "at most 29.0°".into())]);
        let (after, _) = kept(&project(), &readings(3000.0, 32.0, 9), SweepChoice::Least).unwrap();
        let wanted = ["3000 rpm, 60.4 %", "3000 rpm, 60.4 %, knock"].map(str::to_owned);
        assert_eq!(told(&after).into_iter().map(|(name, _)| name).collect::<Vec<_>>(), wanted);
        assert_eq!(told(&after)[1].1, "at most 29.0°");
    }

    #[test]
    fn an_open_interval_says_at_least() {
        let (after, _) = kept(&project(), &readings(3000.0, 90.0, 5), SweepChoice::Best).unwrap();
        let point = &after.evidence.points[0];
        assert_eq!((point.bound, point.high_deg), (PointBound::AtLeast, None));
        assert_eq!(point.low_deg, Some(point.advance_deg));
    }

    #[test]
    fn a_point_that_somebody_typed_is_not_replaced() {
        let typed = MeasuredPoint {
            name: "3000 rpm, 60.4 %".into(),
            speed_rpm: 3000.0,
            load: 60.0,
            advance_deg: 20.0,
            ..MeasuredPoint::default()
        };
        let (own, _) = project().with_points(vec![typed], OnTwin::Refuse).unwrap();
        let refused = kept(&own, &readings(3000.0, 90.0, 9), SweepChoice::Least).unwrap_err().to_string();
        assert!(refused.contains("there is a measured point '3000 rpm, 60.4 %' already"), "{refused}");
        let answer = SweepAnswer::of(&readings(3000.0, 90.0, 9), &SweepSetting::of(&own, Default::default())).unwrap();
        let only = ["2000 rpm, 60.4 %".to_owned()];
        let keeping =
            SweepKeeping { name: "day", taken_at: "", readings: &[], choice: SweepChoice::Least, only: &only };
        let refused = answer.keep(&own, &keeping).unwrap_err().to_string();
        assert!(refused.contains("there is no point '2000 rpm, 60.4 %'"), "{refused}");
    }

    #[test]
    fn more_readings_than_a_project_holds_are_refused() {
        let many: Vec<SweepReading> = (0..600).flat_map(|_| readings(3000.0, 90.0, 9)).collect();
        let refused = kept(&project(), &many, SweepChoice::Least).unwrap_err().to_string();
        assert!(refused.contains("keep the longer sweeps as files"), "{refused}");
    }
}
