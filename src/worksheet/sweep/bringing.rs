//! Bringing readings into a project that may have some of them, and others at the same places, already.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::answer::check_readings;
use super::{SweepAnswer, SweepChoice, SweepNote, SweepPoint, SweepSetting, keeping};
use crate::project::{KeptPlace, KeptSweep, Project};
use crate::wording::count;
use crate::worksheet::{Verdict, WorksheetError};

/// Readings beside those that a project keeps.
#[derive(Clone, Debug)]
pub struct SweepBringing {
    /// What the points tell that have readings among those that were brought, with the readings that were there.
    pub answer: SweepAnswer,
    /// The project's sweeps, with the new readings as the last of them.
    sweeps: Vec<Arc<KeptSweep>>,
    /// How many readings are new.
    fresh: usize,
}

impl SweepBringing {
    /// Finds which readings of a sweep are new to the project, and what they tell with those that it has.
    ///
    /// # Errors
    /// [`WorksheetError`] as from [`SweepAnswer::of`].
    pub fn new(project: &Project, sweep: KeptSweep) -> Result<Self, WorksheetError> {
        let setting = SweepSetting::of_kept(project, &sweep);
        check_readings(&sweep.readings, &setting)?;
        let (readings, kept) = (sweep.readings.len(), project.evidence.sweeps.len());
        let with = project.evidence.with_sweep(sweep);
        let brought: BTreeSet<KeptPlace> = with.places.iter().copied().collect();
        let touched: BTreeSet<usize> = with.places.iter().map(|(sweep, _)| *sweep).collect();
        let is_brought = |point: &SweepPoint| {
            let mut rows =
                point.readings.iter().flat_map(|own| own.rows.iter().map(|row| (own.sweep, row.saturating_sub(1))));
            rows.any(|place| brought.contains(&place))
        };
        let known = readings - with.fresh;
        let mut notes = Vec::new();
        notes.extend((known > 0).then_some(SweepNote::Known { known, readings }));
        let mut points = Vec::new();
        for (at, answer) in SweepAnswer::of_kept(&with.sweeps, project).into_iter().enumerate() {
            if touched.contains(&at) {
                let own = answer.as_ref().map_err(Clone::clone)?.notes.iter();
                // What joined a point when it was brought is no news.
                let is_old = |note: &&SweepNote| at < kept && matches!(note, SweepNote::Joined { .. });
                notes.extend(own.filter(|note| !is_old(note)).cloned());
            }
            points.extend(answer.into_iter().flat_map(|answer| answer.points).filter(is_brought));
        }
        let answer = SweepAnswer { points, notes, readings, setting };
        Ok(Self { answer, sweeps: with.sweeps, fresh: with.fresh })
    }

    /// What became of the readings beside those that are there: which were known, and which join a sweep; empty where they
    /// are all new and stand by themselves.
    pub fn words(&self) -> String {
        let is_told = |note: &&SweepNote| matches!(note, SweepNote::Joined { .. } | SweepNote::Known { .. });
        let told: Vec<String> = self.answer.notes.iter().filter(is_told).map(Verdict::words).collect();
        told.join(" ")
    }

    /// The project with the new readings kept and with the measured points of a choice, and what to call that step; all
    /// points unless some are named. A point of an earlier sweep with the same name is replaced; any other of that name is
    /// not. What somebody decided stays: a point that was rejected remains so, with the reason, and of readings that the
    /// project has already those that were left out by hand do not count.
    ///
    /// # Errors
    /// [`WorksheetError`] for a point that is wanted and not there, for one whose name is taken, and if the project cannot
    /// hold as many readings.
    pub fn put(
        &self,
        project: &Project,
        choice: SweepChoice,
        only: &[String],
    ) -> Result<(Project, String), WorksheetError> {
        let answer = &self.answer;
        let names: Vec<String> = answer.points.iter().map(|point| answer.name_of(point)).collect();
        if let Some(unknown) = only.iter().find(|name| !names.contains(name)) {
            let known = names.iter().take(12).cloned().collect::<Vec<_>>().join("; ");
            let message = format!("there is no point '{unknown}' among the readings; there are: {known}");
            return Err(WorksheetError::Contradiction(message));
        }
        let wanted = answer.points.iter().zip(&names).filter(|(_, name)| only.is_empty() || only.contains(name));
        let points: Vec<_> = wanted.flat_map(|(point, _)| answer.measured_of(point, choice, &self.sweeps)).collect();
        let number = points.len();
        let with_readings = project.edit(|parts| parts.evidence.sweeps.clone_from(&self.sweeps))?;
        let (project, rejected) = keeping::put(&with_readings, points)?;
        let readings = count(if self.fresh > 0 { self.fresh } else { answer.readings }, "reading");
        let label = match number {
            0 => format!("Keep {readings} of timing sweeps; none of their points counts"),
            _ => format!("Keep {readings} of timing sweeps and {} from them", count(number, "measured point")),
        };
        let stay = if rejected == 1 { "stays" } else { "stay" };
        let rest = if rejected == 0 { String::new() } else { format!("; {rejected} {stay} rejected") };
        Ok((project, label + &rest))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{
        AirStandard, LoadKind, MeasuredPoint, NewProject, OnTwin, PointBound, PointKind, SweepReading, TorqueKind,
    };

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
        SweepBringing::new(project, day(readings)).unwrap().put(project, choice, &[])
    }

    fn day(readings: &[SweepReading]) -> KeptSweep {
        KeptSweep {
            name: "day".into(),
            taken_at: "2026-11-29".into(),
            readings: readings.to_vec(),
            ..KeptSweep::default()
        }
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
        let only = ["2000 rpm, 60.4 %".to_owned()];
        let brought = SweepBringing::new(&own, day(&readings(3000.0, 90.0, 9))).unwrap();
        let refused = brought.put(&own, SweepChoice::Least, &only).unwrap_err().to_string();
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
        let power = KeptSweep { torque_kind: TorqueKind::PowerKw, ..day(&all) };
        let (after, _) = SweepBringing::new(&before, power).unwrap().put(&before, SweepChoice::Best, &[]).unwrap();
        let names: Vec<&str> = after.evidence.sweeps.iter().map(|sweep| sweep.name.as_str()).collect();
        assert_eq!(names, ["day", "day 2"]);
    }

    /// A file that was read again after two more readings were taken, and a paste of such two alone.
    #[test]
    fn two_more_readings_join_their_point_and_move_its_measured_point() {
        let all = readings(3017.0, 90.0, 9);
        let (before, _) = kept(&project(), &all[..7], SweepChoice::Best).unwrap();
        for (brought, wanted) in [
            (
                &all[..],
                "7 of 9 readings are in the project already, and counted once. 2 readings join the sweep at \
                        3017 rpm, 60.4 % (day).",
            ),
            (&all[7..], "2 readings join the sweep at 3017 rpm, 60.4 % (day)."),
        ] {
            let brought = SweepBringing::new(&before, day(brought)).unwrap();
            assert_eq!((brought.words().as_str(), brought.answer.points.len()), (wanted, 1));
            let (after, label) = brought.put(&before, SweepChoice::Best, &[]).unwrap();
            assert_eq!(label, "Keep 2 readings of timing sweeps and 1 measured point from them");
            assert_eq!(told(&after), [("3017 rpm, 60.4 %".into(), "30.2° (30.0–30.5°)".into())]);
            let sweeps: Vec<usize> = after.evidence.sweeps.iter().map(|sweep| sweep.readings.len()).collect();
            assert_eq!((sweeps, after.evidence.points[0].source.as_str()), (vec![7, 2], "day"));
            let again = SweepBringing::new(&after, day(&all)).unwrap();
            assert_eq!(again.words(), "The project has these readings already: they count once.");
            assert_eq!(again.put(&after, SweepChoice::Best, &[]).unwrap().0, after);
        }
    }

    #[test]
    fn how_pulls_are_corrected_is_kept_with_them() {
        let speed_rpm = project().advance.table().speed().breakpoints()[1];
        let row = |(deg, at): (f64, u8)| SweepReading {
            speed_rpm: speed_rpm * (0.97 + 0.01 * f64::from(at)),
            load: 60.0,
            advance_deg: deg,
            torque: 100.0,
            air_c: Some(25.0),
            air_kpa: Some(99.0),
            humidity_pct: Some(0.0),
            pull: Some(u32::from(deg > 20.0)),
            ..SweepReading::default()
        };
        let rows: Vec<SweepReading> =
            [20.0, 24.0].into_iter().flat_map(|deg| (0..7).map(move |at| (deg, at))).map(row).collect();
        let din = KeptSweep { air: Some(AirStandard::Din), ..day(&rows) };
        let brought = SweepBringing::new(&project(), din).unwrap();
        let torques = |answer: &SweepAnswer| -> Vec<f64> {
            answer.points.iter().flat_map(|point| &point.readings).map(|reading| reading.torque).collect()
        };
        // DIN 70020 has 1.031922 for 99 kPa and 25 °C (computed with NumPy).
        assert!(torques(&brought.answer).iter().all(|torque| (torque - 103.1922).abs() < 1e-3));
        let (after, _) = brought.put(&project(), SweepChoice::Best, &[]).unwrap();
        let text = crate::project::write(&after).unwrap();
        let opened = crate::project::read(text.as_bytes()).unwrap();
        let found = SweepAnswer::of_kept(&opened.evidence.sweeps, &opened);
        assert_eq!(torques(found[0].as_ref().unwrap()), torques(&brought.answer));
        // Without a word about it, it stays; with another, it becomes that.
        let again = |air| {
            let sweep = KeptSweep { air, ..day(&rows) };
            SweepBringing::new(&after, sweep).unwrap().put(&after, SweepChoice::Best, &[]).unwrap().0
        };
        assert_eq!(again(None).evidence.sweeps, after.evidence.sweeps);
        assert_eq!(again(Some(AirStandard::Iso)).evidence.sweeps[0].air, Some(AirStandard::Iso));
    }

    #[test]
    fn more_readings_than_a_project_holds_are_refused() {
        let many: Vec<SweepReading> = (0..600).flat_map(|_| readings(3000.0, 90.0, 9)).collect();
        let refused = kept(&project(), &many, SweepChoice::Least).unwrap_err().to_string();
        assert!(refused.contains("keep the longer sweeps as files"), "{refused}");
    }
}
