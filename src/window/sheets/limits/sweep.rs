//! The speed swept up and down through the evaluation: what is commanded, cut and switched on the way.

use crate::project::{Cranking, CutPattern, Project, Signal};
use crate::spark::{Breakdown, Conditions, Evaluation, Memory, Outputs, Shown, State};

/// Speeds are this many steps apart, besides the ones where something is set to happen.
const STEPS: u16 = 500;
/// How far on both sides of a set speed the sweep looks, rpm.
const BESIDE_RPM: f64 = 0.01;

/// What the unit does at one speed.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Moment {
    pub speed_rpm: f64,
    pub breakdown: Breakdown,
    /// One each for the project's outputs.
    pub shown: Vec<Shown>,
}

/// One sweep from standstill to the top and back, in rising order both.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Sweep {
    pub rising: Vec<Moment>,
    pub falling: Vec<Moment>,
}

/// What is done to the sparks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Doing {
    /// Nothing out of the ordinary.
    #[default]
    Nothing,
    /// Too slow for any spark.
    NoSpark,
    /// The cranking advance alone.
    Cranking,
    /// From the cranking advance to the table's.
    Blending,
    /// Advance is taken away.
    Retarding,
    /// Every other spark is cut.
    CutsHalf,
    /// Every spark is cut.
    CutsAll,
    /// An output is on.
    On,
    /// An output blinks.
    Blinks,
}

impl Moment {
    /// What cranking does.
    pub(super) fn cranking(&self, cranking: &Cranking) -> Doing {
        match self.breakdown.state {
            State::Stopped => Doing::NoSpark,
            State::Cranking => Doing::Cranking,
            // Not decided by degrees: if the table equals the cranking advance there is no difference.
            _ if self.speed_rpm < cranking.leave_at_rpm + cranking.blend_rpm => Doing::Blending,
            _ => Doing::Nothing,
        }
    }

    /// What the over-speed limit does.
    pub(super) fn over_speed(&self) -> Doing {
        let state = self.breakdown.state;
        match (state, self.breakdown.cut) {
            (State::LimitCut, Some(CutPattern::All)) => Doing::CutsAll,
            (State::LimitCut, _) => Doing::CutsHalf,
            _ if self.breakdown.contributions.over_speed < 0.0 => Doing::Retarding,
            _ => Doing::Nothing,
        }
    }

    /// What launch does.
    pub(super) fn launch(&self) -> Doing {
        let retards = self.breakdown.contributions.launch < 0.0;
        match (self.breakdown.state, self.breakdown.cut) {
            (State::LaunchCut, _) => Doing::CutsAll,
            // Above the over-speed limit both cut, and the state is named after the limit.
            (State::LimitCut, Some(CutPattern::All)) if retards => Doing::CutsAll,
            _ if retards => Doing::Retarding,
            _ => Doing::Nothing,
        }
    }

    /// What an output does.
    pub(super) fn output(&self, index: usize) -> Doing {
        match self.shown.get(index) {
            Some(Shown::On) => Doing::On,
            Some(Shown::Blinking) => Doing::Blinks,
            _ => Doing::Nothing,
        }
    }
}

/// The highest speed worth showing: above the table, every limit and every output that watches the speed.
pub(super) fn top_rpm(project: &Project) -> f64 {
    let set = set_speeds(project).into_iter().fold(project.advance.table().speed().last(), f64::max);
    (set * 1.03 / 250.0).ceil() * 250.0
}

/// Every speed at which something is set to happen.
fn set_speeds(project: &Project) -> Vec<f64> {
    let limits = &project.limits;
    let (cranking, over, launch) = (&limits.cranking, &limits.over_speed, &limits.launch);
    let mut speeds = vec![
        cranking.no_spark_below_rpm,
        cranking.below_rpm,
        cranking.leave_at_rpm,
        cranking.leave_at_rpm + cranking.blend_rpm,
    ];
    if over.enabled {
        speeds.extend([over.eases_from_rpm, over.cuts_at_rpm, over.fires_again_below_rpm, over.cuts_all_at_rpm]);
    }
    if launch.enabled {
        let resumes_rpm = launch.cuts_at_rpm - launch.resume_drop_rpm;
        speeds.extend([launch.retards_from_rpm, launch.cuts_at_rpm, resumes_rpm]);
    }
    for output in project.outputs.iter().filter(|output| output.enabled) {
        speeds.extend(output.blinks_from_rpm);
        let watched = output.conditions.iter().filter(|condition| condition.signal == Signal::Speed);
        speeds.extend(watched.flat_map(|condition| [condition.on, condition.off]));
    }
    speeds.retain(|speed| *speed >= 0.0);
    speeds
}

/// The speeds of a sweep, ascending: evenly spaced, and close by on both sides of every set speed.
fn speeds(project: &Project) -> Vec<f64> {
    let top = top_rpm(project);
    let even = (0..=STEPS).map(|step| top * f64::from(step) / f64::from(STEPS));
    let set = set_speeds(project).into_iter().flat_map(|speed| [speed - BESIDE_RPM, speed, speed + BESIDE_RPM]);
    let mut speeds: Vec<f64> = even.chain(set).filter(|speed| (0.0..=top).contains(speed)).collect();
    speeds.sort_by(f64::total_cmp);
    speeds.dedup();
    speeds
}

impl Sweep {
    /// Sweeps the speed under otherwise unchanging conditions.
    pub(super) fn new(project: &Project, conditions: &Conditions) -> Self {
        let evaluation = Evaluation::new(project);
        let (mut memory, mut outputs) = (Memory::default(), Outputs::new(project));
        let mut moment = |speed_rpm: f64| {
            let conditions = Conditions { speed_rpm, ..*conditions };
            let breakdown = evaluation.step(&mut memory, &conditions);
            outputs.update(&conditions, Some(breakdown.commanded_deg), |_, _, _| ());
            Moment { speed_rpm, breakdown, shown: outputs.shown().collect() }
        };
        let speeds = speeds(project);
        let rising = speeds.iter().map(|&speed| moment(speed)).collect();
        let mut falling: Vec<Moment> = speeds.iter().rev().map(|&speed| moment(speed)).collect();
        falling.reverse();
        Self { rising, falling }
    }

    /// The moment on the way up that is nearest below a speed.
    pub(super) fn at(&self, speed_rpm: f64) -> Option<&Moment> {
        let above = self.rising.partition_point(|moment| moment.speed_rpm <= speed_rpm);
        self.rising.get(above.saturating_sub(1))
    }
}

/// A stretch of speeds over which the same is done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Band {
    pub from_rpm: f64,
    pub to_rpm: f64,
    /// What is done while the speed rises, and while it falls: where they differ, hysteresis is at work.
    pub rising: Doing,
    pub falling: Doing,
}

/// The bands of one lane, those in which nothing is done left out.
pub(super) fn bands(sweep: &Sweep, doing: impl Fn(&Moment) -> Doing) -> Vec<Band> {
    let mut bands: Vec<Band> = Vec::new();
    for (up, down) in sweep.rising.iter().zip(&sweep.falling) {
        let (speed_rpm, rising, falling) = (up.speed_rpm, doing(up), doing(down));
        if let Some(last) = bands.last_mut() {
            last.to_rpm = speed_rpm;
            if (last.rising, last.falling) == (rising, falling) {
                continue;
            }
        }
        bands.push(Band { from_rpm: speed_rpm, to_rpm: speed_rpm, rising, falling });
    }
    bands.retain(|band| (band.rising, band.falling) != (Doing::Nothing, Doing::Nothing) && band.to_rpm > band.from_rpm);
    bands
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, set_fields};

    fn project() -> Project {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let sets = [
            ("limits.cranking.no_spark_below_rpm", "50"),
            ("limits.over_speed.eases_from_rpm", "6000"),
            ("limits.over_speed.fires_again_below_rpm", "6100"),
            ("limits.over_speed.cuts_at_rpm", "6250"),
            ("limits.over_speed.cuts_all_at_rpm", "6400"),
            ("outputs[0].conditions[0].on", "5800"),
            ("outputs[0].conditions[0].off", "5600"),
            ("outputs[0].blinks_from_rpm", "none"),
        ];
        set_fields(&new.create_with_outputs(), &sets).unwrap()
    }

    fn near(band: &Band, from: f64, to: f64) -> bool {
        (band.from_rpm - from).abs() < 0.05 && (band.to_rpm - to).abs() < 0.05
    }

    #[test]
    fn the_over_speed_lane_has_its_bands_where_they_are_set() {
        let project = project();
        let sweep = Sweep::new(&project, &Conditions { load: 100.0, ..Conditions::default() });
        let found = bands(&sweep, Moment::over_speed);
        let doings: Vec<(Doing, Doing)> = found.iter().map(|band| (band.rising, band.falling)).collect();
        use Doing::{CutsAll, CutsHalf, Retarding};
        assert_eq!(doings, [(Retarding, Retarding), (Retarding, CutsHalf), (CutsHalf, CutsHalf), (CutsAll, CutsAll)]);
        let top = top_rpm(&project);
        for (band, (from, to)) in
            found.iter().zip([(6000.0, 6100.0), (6100.0, 6250.0), (6250.0, 6400.0), (6400.0, top)])
        {
            assert!(near(band, from, to), "{band:?} is not {from}..{to}");
        }
    }

    #[test]
    fn cranking_and_outputs_show_their_hysteresis() {
        let project = project();
        let sweep = Sweep::new(&project, &Conditions { load: 100.0, ..Conditions::default() });
        use Doing::{Blending, Cranking, NoSpark, Nothing, On};
        let doings = |bands: &[Band]| bands.iter().map(|band| (band.rising, band.falling)).collect::<Vec<_>>();
        let cranking = bands(&sweep, |moment| moment.cranking(&project.limits.cranking));
        assert_eq!(doings(&cranking)[..2], [(NoSpark, NoSpark), (Cranking, Cranking)]);
        assert!(doings(&cranking).contains(&(Blending, Blending)));
        let output = bands(&sweep, |moment| moment.output(0));
        assert_eq!(doings(&output), [(Nothing, On), (On, On)]);
        assert!(near(&output[0], 5600.0, 5800.0), "{output:?}");
    }

    #[test]
    fn nothing_is_cut_below_the_limit_and_every_moment_is_the_evaluation() {
        let project = project();
        let conditions = Conditions { load: 60.0, coolant_c: Some(80.0), ..Conditions::default() };
        let sweep = Sweep::new(&project, &conditions);
        let evaluation = Evaluation::new(&project);
        for moment in sweep.rising.iter().filter(|moment| moment.speed_rpm > 800.0) {
            let expected = evaluation.lookup(&Conditions { speed_rpm: moment.speed_rpm, ..conditions });
            assert_eq!(moment.breakdown, expected, "{}", moment.speed_rpm);
        }
        assert!(sweep.rising.is_sorted_by(|a, b| a.speed_rpm < b.speed_rpm));
    }
}
