//! The sweeps that a project keeps, judged together: readings that were taken later complete a point that is there.

use std::sync::Arc;

use super::grouping::{self, Group, medians};
use super::pulls::{self, Taken};
use super::{Stray, SweepAnswer, SweepNote, SweepPoint, SweepSetting, SweepState, judging, note};
use crate::project::{KeptSweep, Parts, SweepReading};
use crate::worksheet::WorksheetError;

/// The readings of one sweep, and which of them are one point.
pub(super) struct Part {
    taken: Vec<Taken>,
    groups: Vec<Group>,
    notes: Vec<SweepNote>,
}

impl Part {
    /// The readings of one sweep, by themselves.
    pub(super) fn of(readings: &[SweepReading], setting: &SweepSetting) -> Result<Self, WorksheetError> {
        let (taken, read) = pulls::take(readings, setting)?;
        let plain: Vec<SweepReading> = taken.iter().map(|taken| taken.reading.clone()).collect();
        let (groups, strays) = grouping::group(&plain, &setting.limits);
        let load_unit = setting.load_unit();
        let stray = |at: usize| {
            let taken = taken.get(at)?;
            let (speed_rpm, load) = (taken.reading.speed_rpm, taken.reading.load);
            Some(SweepNote::Stray { stray: Stray { row: taken.row, speed_rpm, load }, load_unit })
        };
        let mut notes: Vec<SweepNote> = strays.into_iter().filter_map(stray).collect();
        notes.extend(note::of_pulls(&read, setting));
        Ok(Self { taken, groups, notes })
    }

    /// Its points and what is to be said of it, with no other sweep beside it.
    pub(super) fn alone(self, setting: &SweepSetting) -> (Vec<SweepPoint>, Vec<SweepNote>) {
        let point = |(number, group)| judging::point(number, group, &self.taken, setting);
        ((1..).zip(&self.groups).map(point).collect(), self.notes)
    }
}

/// An operating point of one sweep, with the readings of later ones that complete it.
struct Joint {
    /// The place of its sweep among the kept ones.
    home: usize,
    group: Group,
    /// The sweeps that readings came from, and how many.
    joined: Vec<(usize, usize)>,
}

impl SweepAnswer {
    /// What each of the sweeps tells that a project keeps, in their order. Readings join the point of an earlier sweep at
    /// their place, of the same kind of torque and of no other name, if by themselves they do not tell best torque: that
    /// point is told with the earlier sweep, and they count as taken after its own. Two sweeps that both tell it stay two:
    /// torque differs from day to day, and a curve through both would have the scatter of the weather.
    pub fn of_kept(sweeps: &[Arc<KeptSweep>], parts: &Parts) -> Vec<Result<Self, WorksheetError>> {
        let settings: Vec<SweepSetting> = sweeps.iter().map(|sweep| SweepSetting::of_kept(parts, sweep)).collect();
        let part = |(sweep, setting): (&Arc<KeptSweep>, &SweepSetting)| {
            super::answer::check_readings(&sweep.readings, setting)?;
            Part::of(&sweep.readings, setting)
        };
        let alone: Vec<Result<Part, WorksheetError>> = sweeps.iter().zip(&settings).map(part).collect();
        let (all, joints) = join(&alone, sweeps, &settings);
        let mut answers: Vec<Result<Self, WorksheetError>> = Vec::with_capacity(sweeps.len());
        for (home, (part, (sweep, setting))) in alone.into_iter().zip(sweeps.iter().zip(&settings)).enumerate() {
            let own = joints.iter().filter(|joint| joint.home == home);
            let point = |(number, joint): (usize, &Joint)| judging::point(number, &joint.group, &all, setting);
            answers.push(part.map(|part| Self {
                points: (1..).zip(own).map(point).collect(),
                notes: part.notes,
                readings: sweep.readings.len(),
                setting: setting.clone(),
            }));
        }
        tell_joined(&joints, sweeps, &mut answers);
        answers
    }
}

/// The readings of all sweeps one after the other, and their points.
fn join(
    parts: &[Result<Part, WorksheetError>],
    sweeps: &[Arc<KeptSweep>],
    settings: &[SweepSetting],
) -> (Vec<Taken>, Vec<Joint>) {
    let (mut all, mut joints): (Vec<Taken>, Vec<Joint>) = (Vec::new(), Vec::new());
    for (at, ((part, sweep), setting)) in parts.iter().zip(sweeps).zip(settings).enumerate() {
        let Ok(part) = part else { continue };
        let (read_before, found_before) = (all.len(), joints.len());
        all.extend(part.taken.iter().map(|taken| Taken { sweep: at, ..taken.clone() }));
        for group in &part.groups {
            let rows = group.rows.iter().map(|row| read_before + row).collect();
            let group = Group { rows, ..group.clone() };
            let earlier = joints.get(..found_before).unwrap_or_default();
            let is_of_kind =
                |joint: &Joint| settings.get(joint.home).is_some_and(|own| own.torque_kind == setting.torque_kind);
            let home = nearest(earlier, is_of_kind, &group, setting).filter(|_| is_open(&group, &all, setting));
            let Some(joint) = home.and_then(|home| joints.get_mut(home)) else {
                joints.push(Joint { home: at, group, joined: Vec::new() });
                continue;
            };
            for &row in &group.rows {
                all.get_mut(row).into_iter().for_each(|taken| taken.of = Some(sweep.name.clone()));
            }
            joint.take_in(group, at, &all);
        }
    }
    (all, joints)
}

/// The point at the place of a group: the nearest within tolerance that has no other name.
fn nearest(
    joints: &[Joint],
    is_of_kind: impl Fn(&Joint) -> bool,
    group: &Group,
    setting: &SweepSetting,
) -> Option<usize> {
    let may = |joint: &Joint| match (&joint.group.name, &group.name) {
        (Some(own), Some(other)) => own == other && is_of_kind(joint),
        _ => is_of_kind(joint),
    };
    let near = |(at, joint): (usize, &Joint)| {
        let far = setting.limits.distance(group.place(), joint.group.place()).filter(|_| may(joint))?;
        Some((far, at))
    };
    let all = joints.iter().enumerate().filter_map(near);
    all.min_by(|(a, _), (b, _)| a.total_cmp(b)).map(|(_, at)| at)
}

/// Whether readings do not tell best torque by themselves, nor that knock comes before it.
fn is_open(group: &Group, all: &[Taken], setting: &SweepSetting) -> bool {
    let point = judging::point(1, group, all, setting);
    point.state() == SweepState::Open || point.has_few()
}

impl Joint {
    fn take_in(&mut self, group: Group, sweep: usize, all: &[Taken]) {
        self.joined.push((sweep, group.rows.len()));
        self.group.rows.extend(group.rows);
        self.group.name = self.group.name.take().or(group.name);
        let place = |row: usize| all.get(row).map(|taken| (taken.reading.speed_rpm, taken.reading.load));
        (self.group.speed_rpm, self.group.load) = medians(&self.group.rows, &place);
    }
}

/// Says with the later sweeps which points their readings joined.
fn tell_joined(joints: &[Joint], sweeps: &[Arc<KeptSweep>], answers: &mut [Result<SweepAnswer, WorksheetError>]) {
    for (home, sweep) in sweeps.iter().enumerate() {
        let Some(Ok(answer)) = answers.get(home) else { continue };
        let own = joints.iter().filter(|joint| joint.home == home).zip(&answer.points);
        let notes: Vec<(usize, SweepNote)> = own
            .flat_map(|(joint, point)| {
                let note = |&(from, readings): &(usize, usize)| {
                    let (point, sweep) = (answer.name_of(point), sweep.name.clone());
                    (from, SweepNote::Joined { readings, point, sweep })
                };
                joint.joined.iter().map(note).collect::<Vec<_>>()
            })
            .collect();
        for (from, note) in notes {
            if let Some(Ok(later)) = answers.get_mut(from) {
                later.notes.push(note);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{AirStandard, LoadKind, NewProject, Project, TorqueKind};
    use crate::worksheet::{SweepVerdict, Verdict};

    /// Torque with its top at 27° and `level` of it, as it was read at some advances.
    fn read(speed_rpm: f64, level: f64, advances_deg: &[f64]) -> Vec<SweepReading> {
        let reading = |(&advance_deg, at): (&f64, u8)| {
            let torque = level - 0.05 * (advance_deg - 27.0).powi(2) + if at % 2 == 0 { 0.05 } else { -0.05 };
            SweepReading { speed_rpm, load: 60.0, advance_deg, torque, ..SweepReading::default() }
        };
        advances_deg.iter().zip(0..).map(reading).collect()
    }

    fn sweep(name: &str, readings: Vec<SweepReading>) -> KeptSweep {
        KeptSweep { name: name.into(), readings, ..KeptSweep::default() }
    }

    fn project() -> Project {
        NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 4 }.create().unwrap()
    }

    /// The readings of each point, by sweep and row, for every sweep.
    fn told(sweeps: &[KeptSweep]) -> Vec<Vec<Vec<(usize, usize)>>> {
        let rows = |point: &SweepPoint| point.readings.iter().map(|own| (own.sweep, own.row)).collect();
        answers(sweeps).iter().map(|answer| answer.points.iter().map(rows).collect()).collect()
    }

    fn answers(sweeps: &[KeptSweep]) -> Vec<SweepAnswer> {
        let kept: Vec<Arc<KeptSweep>> = sweeps.iter().cloned().map(Arc::new).collect();
        SweepAnswer::of_kept(&kept, &project()).into_iter().map(Result::unwrap).collect()
    }

    const WIDE: [f64; 8] = [14.0, 17.0, 20.0, 23.0, 26.0, 29.0, 32.0, 35.0];

    #[test]
    fn later_readings_complete_the_point_at_their_place() {
        let day = sweep("day", read(3000.0, 150.0, &WIDE[..5]));
        let more = sweep("more", read(3010.0, 150.0, &[29.0, 32.0]));
        let alone = answers(std::slice::from_ref(&day)).remove(0).points.remove(0);
        let found = answers(&[day.clone(), more.clone()]);
        let point = &found[0].points[0];
        assert_eq!((point.readings.len(), point.state(), alone.state()), (7, SweepState::Known, SweepState::Open));
        assert_eq!((point.sweep, found[0].name_of(point).as_str()), (0, "3000 rpm, 60 %"));
        assert_eq!(point.readings[6].of.as_deref(), Some("more"));
        assert!(found[1].points.is_empty());
        let words: Vec<String> = found[1].notes.iter().map(Verdict::words).collect();
        assert_eq!(words, ["2 readings join the sweep at 3000 rpm, 60 % (day)."]);
        // As if they had been read in one go.
        let whole = sweep("whole", [day.readings, more.readings].concat());
        let together = &answers(&[whole])[0].points[0];
        let best = |point: &SweepPoint| point.curve.as_ref().map(|curve| (curve.best_deg, curve.best));
        assert_eq!(best(together), best(point));
    }

    #[test]
    fn only_the_same_place_torque_and_name_is_joined() {
        let day = sweep("day", read(3000.0, 150.0, &WIDE));
        let named = |name: &str, mut sweep: KeptSweep| {
            sweep.readings.iter_mut().for_each(|reading| reading.point = Some(name.into()));
            sweep
        };
        let more = || sweep("more", read(3000.0, 150.0, &[28.0, 30.0]));
        let joins = |sweeps: &[KeptSweep]| told(sweeps)[1].is_empty();
        assert!(joins(&[day.clone(), more()]));
        assert!(!joins(&[day.clone(), sweep("far", read(3060.0, 150.0, &[28.0, 30.0]))]));
        assert!(!joins(&[day.clone(), KeptSweep { torque_kind: TorqueKind::Brake, ..more() }]));
        assert!(joins(&[named("P3", day.clone()), more()]) && joins(&[day.clone(), named("P3", more())]));
        assert!(joins(&[named("P3", day.clone()), named("P3", more())]));
        assert!(!joins(&[named("P3", day.clone()), named("P4", more())]));
        // Another day that tells its own top, with another torque, stays by itself.
        assert!(!joins(&[day.clone(), sweep("day 2", read(3000.0, 146.0, &WIDE))]));
        let third = sweep("third", read(3000.0, 146.0, &[28.0]));
        let wanted: Vec<(usize, usize)> = (1..=8).map(|row| (0, row)).chain([(1, 1), (1, 2), (2, 1)]).collect();
        assert_eq!(told(&[day, more(), third])[0], [wanted]);
    }

    /// A clock that began anew in the second file would put its readings before those of the first.
    #[test]
    fn what_was_kept_later_was_read_later() {
        let timed = |mut sweep: KeptSweep, from_s: f64| {
            sweep.readings.iter_mut().zip(0..).for_each(|(own, at)| own.time_s = Some(from_s + 60.0 * f64::from(at)));
            sweep
        };
        let day = sweep("day", read(3000.0, 150.0, &WIDE));
        let again = sweep("again", read(3000.0, 146.0, &[14.0, 20.0, 26.0]));
        for from_s in [0.0, 300.0, 480.0] {
            let found = answers(&[timed(day.clone(), 0.0), timed(again.clone(), from_s)]);
            let moments: Vec<f64> = found[0].points[0].readings.iter().map(|reading| reading.moment).collect();
            assert!(moments.is_sorted() && (moments[10] - moments[0] - 1.0).abs() < 1e-12, "{moments:?}");
        }
        let found = answers(&[timed(day, 0.0), timed(again, 0.0)]);
        let curve = found[0].points[0].curve.as_ref().unwrap();
        assert!((curve.best_deg - 27.0).abs() < 0.5 && curve.drift.unwrap() < -3.0, "{curve:?}");
        let verdicts = &found[0].points[0].verdicts;
        assert!(verdicts.iter().any(|verdict| matches!(verdict, SweepVerdict::Drift { .. })), "{verdicts:?}");
    }

    /// Pulls of two files with the same number are two pulls, each corrected for the air by its own standard.
    #[test]
    fn pulls_of_two_sweeps_stay_apart_and_keep_their_air() {
        let speed_rpm = project().advance.table().speed().breakpoints()[3];
        let pull = |advance_deg: f64| -> Vec<SweepReading> {
            let at = |step: u8| speed_rpm * (0.97 + 0.01 * f64::from(step));
            let row = |rpm: f64| SweepReading {
                speed_rpm: rpm,
                load: 60.0,
                advance_deg,
                torque: 100.0,
                air_c: Some(25.0),
                air_kpa: Some(99.0),
                humidity_pct: Some(0.0),
                pull: Some(1),
                ..SweepReading::default()
            };
            (0..7).map(at).map(row).collect()
        };
        let air = |name: &str, standard, advance_deg| KeptSweep { air: standard, ..sweep(name, pull(advance_deg)) };
        let sweeps =
            [air("a", Some(AirStandard::Din), 20.0), air("b", Some(AirStandard::Sae), 24.0), air("c", None, 28.0)];
        let found = answers(&sweeps);
        let torques: Vec<f64> = found[0].points[0].readings.iter().map(|reading| reading.torque).collect();
        // DIN 70020 has 1.031922 for 99 kPa and 25 °C, and SAE J1349 has 1 (computed with NumPy).
        for (torque, wanted) in torques.iter().zip([103.1922, 100.0, 100.0]) {
            assert!((torque - wanted).abs() < 1e-3, "{torques:?}");
        }
        assert_eq!(torques.len(), 3);
    }
}
