//! What a project's measured points and kept sweeps tell of best torque and knock.

use std::collections::BTreeSet;

use crate::combustion::{Heard, Load, Measured, MeasuredAs, TorqueReading};
use crate::project::{KeptSweep, MeasuredPoint, PointBound, PointKind, Project};
use crate::worksheet::sweep::{ReadingUse, SweepAnswer, SweepPoint, SweepSetting};

/// What can teach, and what cannot with the reason.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MeasuredOf {
    /// What can.
    pub measured: Vec<Measured>,
    /// The names of points and sweeps that cannot, each with the reason.
    pub left_out: Vec<(String, String)>,
}

/// How sure a best torque is of which nobody says it, as a standard deviation in degrees. Assumed.
const USUAL_BEST_TORQUE_SD_DEG: f64 = 2.0;
/// The same of a knock limit. Assumed.
const USUAL_KNOCK_SD_DEG: f64 = 1.5;
/// In one sweep the mixture differs by no more than this.
const SAME_LAMBDA: f64 = 0.03;

/// What a project has. A point that was taken from a kept sweep says nothing that the sweep's readings do not say better,
/// and is not counted twice; one that somebody rejected takes its readings with it.
pub fn measured_of(project: &Project) -> MeasuredOf {
    let mut found = MeasuredOf::default();
    let sweeps = &project.evidence.sweeps;
    let names: BTreeSet<&str> = sweeps.iter().map(|sweep| sweep.name.as_str()).collect();
    let own = project.points_in_use().filter(|point| !names.contains(point.source.as_str()));
    for point in own {
        match of_point(project, point) {
            Ok(measured) => found.measured.push(measured),
            Err(why) => found.left_out.push((point.name.clone(), why.into())),
        }
    }
    sweeps.iter().for_each(|sweep| add_sweep(project, sweep, &mut found));
    found
}

fn of_point(project: &Project, point: &MeasuredPoint) -> Result<Measured, &'static str> {
    let is_told = point.sd_deg.is_some() || (point.low_deg.is_some() && point.high_deg.is_some());
    let sd_deg = |usual: f64| if is_told { point.sigma_deg() } else { usual };
    let advance_deg = point.advance_deg;
    let found = match (point.kind, point.bound) {
        (PointKind::BestTorque, PointBound::About) => {
            MeasuredAs::BestTorque { advance_deg, sd_deg: sd_deg(USUAL_BEST_TORQUE_SD_DEG) }
        }
        (PointKind::Knock, _) => {
            MeasuredAs::Knock { heard: Heard::Quiet, advance_deg, sd_deg: sd_deg(USUAL_KNOCK_SD_DEG) }
        }
        (PointKind::BestTorque, _) => return Err("it says on which side best torque lies, not where"),
        (PointKind::LeastForBestTorque, _) => {
            return Err("the least advance for best torque is not its place; its readings would tell");
        }
        (PointKind::Light | PointKind::Typed, _) => return Err("it tells nothing of best torque or knock"),
    };
    let load = Load::of(project.sensors.load, point.load);
    Ok(Measured { name: point.name.clone(), speed_rpm: point.speed_rpm, load, lambda: None, found })
}

fn add_sweep(project: &Project, sweep: &KeptSweep, found: &mut MeasuredOf) {
    let setting = SweepSetting::of(project, sweep.torque_kind);
    let answer = match SweepAnswer::of(&sweep.readings, &setting) {
        Ok(answer) => answer,
        Err(error) => return found.left_out.push((sweep.name.clone(), error.to_string())),
    };
    for point in &answer.points {
        let name = answer.name_of(point);
        if is_rejected(project, sweep, &name) {
            found.left_out.push((name, "it was rejected".into()));
            continue;
        }
        let lambda = match lambda_of(sweep, point) {
            Ok(lambda) => lambda,
            Err(why) => {
                found.left_out.push((name, why.into()));
                continue;
            }
        };
        let load = Load::of(project.sensors.load, point.load);
        let measured = |name: String, found| Measured { name, speed_rpm: point.speed_rpm, load, lambda, found };
        found.measured.push(measured(name.clone(), MeasuredAs::Sweep(torque_of(point))));
        found.measured.extend(knock_of(point).map(|knock| measured(format!("{name}, knock"), knock)));
    }
}

/// Whether the project has the point of that name from this sweep and does not go by it.
fn is_rejected(project: &Project, sweep: &KeptSweep, name: &str) -> bool {
    project.evidence.point(name).is_some_and(|point| point.source == sweep.name && !point.in_use)
}

fn torque_of(point: &SweepPoint) -> Vec<TorqueReading> {
    let is_out = |usage: &ReadingUse| matches!(usage, ReadingUse::LeftOut | ReadingUse::LeftOutByHand(_));
    let used = point.readings.iter().filter(|reading| !is_out(&reading.usage));
    used.map(|reading| TorqueReading { advance_deg: reading.advance_deg, torque: reading.torque }).collect()
}

/// λ of the readings of a point; `None` where it was not read.
fn lambda_of(sweep: &KeptSweep, point: &SweepPoint) -> Result<Option<f64>, &'static str> {
    let rows = point.readings.iter().flat_map(|reading| &reading.rows);
    let read = rows.filter_map(|row| sweep.readings.get(row.checked_sub(1)?)?.lambda);
    let lambdas: Vec<f64> = read.collect();
    let (low, high) =
        lambdas.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), own| (low.min(*own), high.max(*own)));
    if lambdas.is_empty() {
        return Ok(None);
    }
    if high - low > SAME_LAMBDA {
        return Err("its mixture was not held: lambda moves by more than 0.03");
    }
    Ok(Some(f64::midpoint(low, high)))
}

/// Between the last clean advance and the first that knocked lies the onset; without knock it was quiet up to the last.
fn knock_of(point: &SweepPoint) -> Option<MeasuredAs> {
    let knock = point.knock;
    let quiet = |advance_deg| MeasuredAs::Knock { heard: Heard::Quiet, advance_deg, sd_deg: USUAL_KNOCK_SD_DEG };
    let Some(from_deg) = knock.from_deg else { return knock.clean_to_deg.map(quiet) };
    let clean_deg = knock.clean_to_deg.unwrap_or(from_deg);
    let sd_deg = (0.5 * (from_deg - clean_deg)).max(USUAL_KNOCK_SD_DEG);
    Some(MeasuredAs::Knock { heard: Heard::Onset, advance_deg: f64::midpoint(clean_deg, from_deg), sd_deg })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, SweepReading};

    fn project(change: impl FnOnce(&mut crate::project::Parts)) -> Project {
        let new = NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Pressure, speeds: 4, loads: 4 };
        new.create().unwrap().edit(change).unwrap()
    }

    fn point(name: &str, kind: PointKind, bound: PointBound) -> MeasuredPoint {
        MeasuredPoint {
            name: name.into(),
            speed_rpm: 3000.0,
            load: 97.0,
            advance_deg: 30.0,
            kind,
            bound,
            in_use: true,
            ..MeasuredPoint::default()
        }
    }

    /// Torque with its top at 30°, heard up to 36°; it knocks from `from_deg` on.
    fn sweep(from_deg: f64, lambda: impl Fn(f64) -> f64) -> KeptSweep {
        let reading = |at: u8| {
            let advance_deg = 18.0 + 3.0 * f64::from(at);
            SweepReading {
                speed_rpm: 3000.0,
                load: 80.0,
                advance_deg,
                torque: 120.0 - 0.05 * (advance_deg - 30.0).powi(2),
                knock: Some(f64::from(u8::from(advance_deg >= from_deg))),
                lambda: Some(lambda(advance_deg)),
                ..SweepReading::default()
            }
        };
        KeptSweep { name: "May".into(), readings: (0..7).map(reading).collect(), ..KeptSweep::default() }
    }

    #[test]
    fn points_tell_by_their_kind_or_are_left_out_with_the_reason() {
        let kinds = [
            point("best", PointKind::BestTorque, PointBound::About),
            point("side", PointKind::BestTorque, PointBound::AtLeast),
            point("least", PointKind::LeastForBestTorque, PointBound::About),
            point("knock", PointKind::Knock, PointBound::AtMost),
            point("light", PointKind::Light, PointBound::About),
            MeasuredPoint { in_use: false, ..point("idle", PointKind::BestTorque, PointBound::About) },
        ];
        let found = measured_of(&project(|parts| parts.evidence.points = kinds.map(Into::into).to_vec()));
        let names: Vec<&str> = found.measured.iter().map(|one| one.name.as_str()).collect();
        assert_eq!(names, ["best", "knock"]);
        assert_eq!(found.measured[0].found, MeasuredAs::BestTorque { advance_deg: 30.0, sd_deg: 2.0 });
        let quiet = MeasuredAs::Knock { heard: Heard::Quiet, advance_deg: 30.0, sd_deg: 1.5 };
        assert_eq!(found.measured[1].found, quiet);
        let left: Vec<&str> = found.left_out.iter().map(|(name, _)| name.as_str()).collect();
        assert_eq!(left, ["side", "least", "light"]);
        let sure = MeasuredPoint { sd_deg: Some(0.8), ..point("best", PointKind::BestTorque, PointBound::About) };
        let found = measured_of(&project(|parts| parts.evidence.points.push(sure.into())));
        assert_eq!(found.measured[0].found, MeasuredAs::BestTorque { advance_deg: 30.0, sd_deg: 0.8 });
    }

    #[test]
    fn a_sweep_tells_torque_mixture_and_knock_and_its_points_are_not_counted_twice() {
        let from = MeasuredPoint { source: "May".into(), ..point("P", PointKind::BestTorque, PointBound::About) };
        let found = measured_of(&project(|parts| {
            parts.evidence.sweeps.push(sweep(33.0, |_| 0.9).into());
            parts.evidence.points.push(from.into());
        }));
        assert_eq!((found.measured.len(), found.left_out.len()), (2, 0));
        let [torque, knock] = &found.measured[..] else { panic!() };
        assert_eq!((torque.load, torque.lambda), (Load::PressureKpa(80.0), Some(0.9)));
        assert!(matches!(&torque.found, MeasuredAs::Sweep(readings) if readings.len() == 7));
        let onset = MeasuredAs::Knock { heard: Heard::Onset, advance_deg: 31.5, sd_deg: 1.5 };
        assert_eq!((&knock.found, knock.lambda), (&onset, Some(0.9)));
        let quiet = measured_of(&project(|parts| parts.evidence.sweeps.push(sweep(90.0, |_| 0.9).into())));
        let until = MeasuredAs::Knock { heard: Heard::Quiet, advance_deg: 36.0, sd_deg: 1.5 };
        assert_eq!(quiet.measured[1].found, until);
    }

    #[test]
    fn a_sweep_whose_mixture_moves_or_that_was_rejected_tells_nothing() {
        let drifting = sweep(90.0, |advance_deg| 0.85 + 0.003 * advance_deg);
        let found = measured_of(&project(|parts| parts.evidence.sweeps.push(drifting.into())));
        assert_eq!(found.measured, []);
        assert!(found.left_out[0].1.contains("lambda moves by more than 0.03"), "{:?}", found.left_out);
        let rejected = MeasuredPoint {
            source: "May".into(),
            in_use: false,
            load: 80.0,
            ..point("3000 rpm, 80 kPa", PointKind::BestTorque, PointBound::About)
        };
        let found = measured_of(&project(|parts| {
            parts.evidence.sweeps.push(sweep(90.0, |_| 0.9).into());
            parts.evidence.points.push(rejected.into());
        }));
        assert_eq!(found.measured, []);
        assert_eq!(found.left_out[0].1, "it was rejected");
    }
}
