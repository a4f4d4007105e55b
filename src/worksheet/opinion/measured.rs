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
