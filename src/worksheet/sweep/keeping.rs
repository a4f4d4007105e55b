//! Putting what sweeps tell into a project: measured points, and the readings they come from.

use std::sync::Arc;

use super::{Counts, SweepAnswer, SweepChoice, SweepPoint};
use crate::project::{KeptSweep, MeasuredPoint, OnTwin, PointBound, PointKind, Project, SweepReading};
use crate::wording::{Unit, count, free_name, quantity, rounded, settle};
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
        self.points.iter().filter(is_wanted).flat_map(|point| self.measured_of(point, keeping)).collect()
    }

    /// The measured points of one operating point of this answer by a choice: none where its readings say nothing that
    /// counts, two where knock lies below its own advance. Whether [`SweepKeeping::only`] wants it is not asked.
    pub fn measured_of(&self, point: &SweepPoint, keeping: &SweepKeeping<'_>) -> Vec<MeasuredPoint> {
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
        let limit = limit.map(|deg| knock(deg, format!("{}, knock", plain.name)));
        std::iter::once(own).chain(limit).collect()
    }

    /// The project with the readings kept as one of its sweeps and with the measured points of a choice, and what to
    /// call that step. A point of an earlier sweep with the same name is replaced; any other of that name is not. What
    /// somebody decided stays: a point that was rejected remains so, with the reason, and of readings that the project
    /// has already those that were left out by hand do not count.
    ///
    /// # Errors
    /// [`WorksheetError`] for a point that is wanted and not there, for one whose name is taken, and if the project cannot
    /// hold as many readings.
    pub fn keep(&self, project: &Project, keeping: &SweepKeeping<'_>) -> Result<(Project, String), WorksheetError> {
        let sweeps = &project.evidence.sweeps;
        let alike = || sweeps.iter().filter(|sweep| sweep.is_of(keeping.readings, self.setting.torque_kind));
        let same = alike().find(|sweep| sweep.readings == keeping.readings).or_else(|| alike().next());
        if let Some(sweep) = same.filter(|sweep| sweep.readings != keeping.readings) {
            let again = Self::of(&sweep.readings, &self.setting)?;
            return again.keep(project, &SweepKeeping { readings: &sweep.readings, ..*keeping });
        }
        let names: Vec<String> = self.points.iter().map(|point| self.name_of(point)).collect();
        if let Some(unknown) = keeping.only.iter().find(|name| !names.contains(name)) {
            let known = names.iter().take(12).cloned().collect::<Vec<_>>().join("; ");
            let message = format!("there is no point '{unknown}' among the readings; there are: {known}");
            return Err(WorksheetError::Contradiction(message));
        }
        let name = same.map_or_else(
            || free_name(keeping.name, |name| sweeps.iter().any(|sweep| sweep.name == name)),
            |sweep| sweep.name.clone(),
        );
        let kept = KeptSweep {
            name: name.clone(),
            taken_at: keeping.taken_at.to_owned(),
            note: String::new(),
            torque_kind: self.setting.torque_kind,
            readings: keeping.readings.to_vec(),
        };
        let mut points = self.measured_points(&SweepKeeping { name: &name, ..*keeping });
        let rejected = keep_rejected(project, &mut points);
        let is_of_a_sweep = |own: &MeasuredPoint| project.evidence.sweeps.iter().any(|sweep| sweep.name == own.source);
        let twins = points.iter().filter_map(|point| project.evidence.point(&point.name));
        let on_twin = if twins.into_iter().all(is_of_a_sweep) { OnTwin::Replace } else { OnTwin::Refuse };
        let is_new = same.is_none();
        let with_readings = project.edit(|parts| {
            if is_new {
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
        let stay = if rejected == 1 { "stays" } else { "stay" };
        let rest = if rejected == 0 { String::new() } else { format!("; {rejected} {stay} rejected") };
        Ok((project, label + &rest))
    }
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

    /// Nobody heard 12° to be clean: that much is remarked.
    #[test]
    fn a_limit_below_knock_that_nobody_heard_clean_says_so() {
        for choice in SweepChoice::ALL {
            let (after, _) = kept(&project(), &readings(3000.0, 14.0, 9), choice).unwrap();
            let at_most = after.evidence.points.last().unwrap();
            assert_eq!((at_most.advance_deg, at_most.bound), (12.0, PointBound::AtMost));
            assert_eq!(at_most.note, "knocked at 14.0°; nothing below was heard to be clean");
        }
        let (after, _) = kept(&project(), &readings(3000.0, 32.0, 9), SweepChoice::Knock).unwrap();
        assert_eq!(after.evidence.points[0].note, "");
        let (_, label) = kept(&project(), &readings(3000.0, 90.0, 9), SweepChoice::Knock).unwrap();
        assert_eq!(label, "Keep 9 readings of timing sweeps; none of their points counts", "nothing knocked");
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
    fn a_point_that_was_rejected_stays_so() {
        let (before, _) = kept(&project(), &readings(3000.0, 90.0, 9), SweepChoice::Least).unwrap();
        let reject = |point: &MeasuredPoint| {
            let note = "belt slipped".into();
            MeasuredPoint { in_use: false, note, ..point.clone() }
        };
        let rejected = before.evidence.points.iter().map(|point| reject(point)).collect();
        let (rejected, _) = before.with_points(rejected, OnTwin::Replace).unwrap();
        let (again, label) = kept(&rejected, &readings(3000.0, 90.0, 9), SweepChoice::Best).unwrap();
        assert_eq!(label, "Keep 9 readings of timing sweeps and 1 measured point from them; 1 stays rejected");
        let point = &again.evidence.points[0];
        assert_eq!((point.in_use, point.note.as_str(), point.kind), (false, "belt slipped", PointKind::BestTorque));
        let (_, label) = kept(&before, &readings(3000.0, 90.0, 9), SweepChoice::Best).unwrap();
        assert!(!label.contains("rejected"), "{label}");
    }

    /// What was left out by hand stays left out, and is no other sweep; readings of power are another than of torque.
    #[test]
    fn readings_are_known_again_though_some_were_left_out() {
        let all = readings(3000.0, 90.0, 9);
        let (before, _) = kept(&project(), &all, SweepChoice::Best).unwrap();
        let (mut by_hand, mut sweep) = (all.clone(), (*before.evidence.sweeps[0]).clone());
        by_hand[0].left_out = Some("belt slipped".into());
        sweep.readings.clone_from(&by_hand);
        let before = before.edit(|parts| parts.evidence.sweeps[0] = Arc::new(sweep)).unwrap();
        let (after, _) = kept(&before, &all, SweepChoice::Best).unwrap();
        assert_eq!((after.evidence.sweeps.len(), &after.evidence.sweeps[0].readings), (1, &by_hand));
        let (without, _) = kept(&project(), &by_hand, SweepChoice::Best).unwrap();
        let ends = |project: &Project| {
            let point = &project.evidence.points[0];
            (point.advance_deg, point.low_deg, point.high_deg)
        };
        assert_eq!(ends(&after), ends(&without));
        let setting = SweepSetting::of(&before, crate::project::TorqueKind::PowerKw);
        let keeping = SweepKeeping { name: "day", taken_at: "", readings: &all, choice: SweepChoice::Best, only: &[] };
        let (after, _) = SweepAnswer::of(&all, &setting).unwrap().keep(&before, &keeping).unwrap();
        let names: Vec<&str> = after.evidence.sweeps.iter().map(|sweep| sweep.name.as_str()).collect();
        assert_eq!(names, ["day", "day 2"]);
    }

    #[test]
    fn one_point_gives_what_all_of_them_give() {
        let two = [readings(3000.0, 32.0, 9), readings(4000.0, 90.0, 9)].concat();
        let answer = SweepAnswer::of(&two, &SweepSetting::of(&project(), Default::default())).unwrap();
        let none = ["nowhere".to_owned()];
        let keeping =
            SweepKeeping { name: "day", taken_at: "", readings: &two, choice: SweepChoice::Least, only: &none };
        let each: Vec<Vec<MeasuredPoint>> =
            answer.points.iter().map(|point| answer.measured_of(point, &keeping)).collect();
        assert_eq!(each.iter().map(Vec::len).collect::<Vec<_>>(), [2, 1]);
        assert_eq!(each.concat(), answer.measured_points(&SweepKeeping { only: &[], ..keeping }));
    }

    #[test]
    fn more_readings_than_a_project_holds_are_refused() {
        let many: Vec<SweepReading> = (0..600).flat_map(|_| readings(3000.0, 90.0, 9)).collect();
        let refused = kept(&project(), &many, SweepChoice::Least).unwrap_err().to_string();
        assert!(refused.contains("keep the longer sweeps as files"), "{refused}");
    }
}
