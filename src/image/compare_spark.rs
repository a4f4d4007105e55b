//! Compares what the unit commands with what the project commands, at all points where either may bend.
//!
//! Table and trims are linear in each direction between the breakpoints of both, so their largest difference is
//! at one of those. Points halfway between are examined too, because floor, ceiling and minima of two curves
//! bend elsewhere, and so are points where the unit's own arithmetic is furthest off. For each trim the
//! temperatures are used at which it is largest or smallest on either side, or differs most. Speeds go up from
//! standstill and down again, so that the effects of hysteresis are seen.

use super::FlashedUnit;
use crate::project::{CutPattern, LoadKind, Parts, Project, Trim};
use crate::spark::{Breakdown, Conditions, Evaluation, Memory, Situation, State};
use crate::wording::{Unit, change, fixed, point, quantity, settle, with_unit};

/// Differences up to this are binary rounding error.
const DUST_DEG: f64 = 1e-9;
/// Decimals of degrees in words.
const DECIMALS: usize = 2;

/// A set of conditions, and in which direction the speed was changing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SparkPlace {
    /// The conditions.
    pub conditions: Conditions,
    /// Whether the speed was falling.
    pub is_falling: bool,
}

impl SparkPlace {
    /// '2500 rpm, 45 kPa, coolant −20 °C, air 70 °C, launch switch closed, speed falling'.
    pub fn words(&self, load_unit: Unit) -> String {
        let Conditions { speed_rpm, load, coolant_c, air_c, throttle_pct, launch_switch, .. } = self.conditions;
        let mut words = vec![point(speed_rpm, load, load_unit)];
        let temperatures = [("coolant", coolant_c), ("air", air_c)];
        words.extend(
            temperatures.iter().filter_map(|(name, c)| Some(format!("{name} {}", quantity((*c)?, Unit::Celsius)))),
        );
        words.extend(throttle_pct.map(|pct| format!("throttle {}", quantity(pct, Unit::Percent))));
        words.extend(launch_switch.then(|| "launch switch closed".to_owned()));
        words.extend(self.is_falling.then(|| "speed falling".to_owned()));
        words.join(", ")
    }
}

/// The largest difference in degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SparkDifference {
    /// What the project commands.
    pub project_deg: f64,
    /// What the unit commands.
    pub unit_deg: f64,
    /// Where.
    pub place: SparkPlace,
}

impl SparkDifference {
    /// Unit less project, in degrees: positive is more advance.
    pub fn deg(&self) -> f64 {
        settle(self.unit_deg - self.project_deg)
    }
}

/// A place where one sparks and the other cuts, or one cranks while the other runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StateDifference {
    /// What the project does.
    pub project: State,
    /// What the unit does.
    pub unit: State,
    /// Which sparks the project cuts.
    pub project_cut: Option<CutPattern>,
    /// Which sparks the unit cuts.
    pub unit_cut: Option<CutPattern>,
    /// The first place where it was found.
    pub place: SparkPlace,
}

/// How the spark of a unit differs from that of a project.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SparkComparison {
    /// The largest difference in degrees where either of them sparks.
    pub largest: SparkDifference,
    /// Where they cut, crank or run differently, if they do.
    pub states: Option<StateDifference>,
    /// How many places were examined.
    pub places: usize,
}

impl SparkComparison {
    /// Whether both command the same spark at all places examined.
    pub fn is_same(&self) -> bool {
        self.largest.deg().abs() <= DUST_DEG && self.states.is_none()
    }

    /// The result in sentences without a full stop.
    pub fn sentences(&self, load_unit: Unit) -> Vec<String> {
        if self.is_same() {
            return vec!["The unit's spark is the project's wherever they were compared".into()];
        }
        let SparkDifference { project_deg, unit_deg, place } = self.largest;
        let degrees = |deg: f64| with_unit(&fixed(deg, DECIMALS), Unit::Degree);
        let mut sentences = Vec::new();
        if self.largest.deg().abs() > DUST_DEG {
            sentences.push(format!(
                "The unit's spark differs from the project's by at most {} ({} for {}) at {}",
                with_unit(&change(self.largest.deg(), DECIMALS), Unit::Degree),
                degrees(unit_deg),
                degrees(project_deg),
                place.words(load_unit)
            ));
        }
        sentences.extend(self.states.map(|states| {
            format!(
                "At {} the project's state is '{}', the unit's '{}'",
                states.place.words(load_unit),
                doing(states.project, states.project_cut),
                doing(states.unit, states.unit_cut)
            )
        }));
        sentences
    }
}

fn doing(state: State, cut: Option<CutPattern>) -> String {
    match cut {
        Some(CutPattern::AlternateCoils) => format!("{}, every other spark", state.words()),
        Some(CutPattern::All) => format!("{}, every spark", state.words()),
        None => state.words().to_owned(),
    }
}

/// Compares the spark of a unit with that of the project.
pub fn compare_spark(project: &Project, unit: &FlashedUnit) -> SparkComparison {
    let [speeds, loads] = unit.table().map_or_else(Default::default, |table| table.farthest_off());
    let mut search = Search::new(project, unit, speeds);
    let both = search.both;
    for load in both.loads(loads) {
        for switch in both.switches() {
            search.up_and_down(load, switch);
        }
        search.arming(load);
    }
    let none = SparkDifference {
        project_deg: 0.0,
        unit_deg: 0.0,
        place: SparkPlace { conditions: Conditions::default(), is_falling: false },
    };
    SparkComparison { largest: search.largest.unwrap_or(none), states: search.states, places: search.places }
}

/// The launch switch, with the throttle that goes with it.
#[derive(Clone, Copy, PartialEq)]
struct Switch {
    closed: bool,
    throttle_pct: Option<f64>,
}

/// The parts of the project and those of the unit.
#[derive(Clone, Copy)]
struct Both<'a>([&'a Parts; 2]);

impl Both<'_> {
    /// Every value of both, ascending and without repetition, with the midpoints between neighbours.
    fn spread(self, of: impl Fn(&Parts) -> Vec<f64>, range: (f64, f64), extra: Vec<f64>) -> Vec<f64> {
        let mut values: Vec<f64> = self.0.iter().flat_map(|parts| of(parts)).collect();
        values.retain(|value| (range.0..=range.1).contains(value));
        values.sort_by(f64::total_cmp);
        values.dedup();
        let between: Vec<f64> = values.windows(2).map(|pair| f64::midpoint(pair[0], pair[1])).collect();
        values.extend(between);
        values.extend(extra.into_iter().filter(|value| (range.0..=range.1).contains(value)));
        values.sort_by(f64::total_cmp);
        values.dedup();
        values
    }

    /// The speeds to compare at; `arithmetic` are those of the unit's arithmetic.
    fn speeds(self, arithmetic: Vec<f64>) -> Vec<f64> {
        let of = |parts: &Parts| {
            let (cranking, over, launch) = (&parts.limits.cranking, &parts.limits.over_speed, &parts.limits.launch);
            let left_rpm = cranking.leave_at_rpm + cranking.blend_rpm;
            let mut speeds =
                vec![0.0, cranking.no_spark_below_rpm, cranking.below_rpm, cranking.leave_at_rpm, left_rpm];
            if over.enabled {
                speeds.extend([
                    over.eases_from_rpm,
                    over.cuts_at_rpm,
                    over.fires_again_below_rpm,
                    over.cuts_all_at_rpm,
                ]);
            }
            if launch.enabled {
                let resumes_rpm = launch.cuts_at_rpm - launch.resume_drop_rpm;
                speeds.extend([launch.arms_below_rpm, launch.retards_from_rpm, launch.cuts_at_rpm, resumes_rpm]);
            }
            speeds.extend(parts.advance.table().speed().breakpoints());
            speeds
        };
        self.spread(of, crate::project::SPEED_RANGE_RPM, arithmetic)
    }

    /// The same for loads.
    fn loads(self, arithmetic: Vec<f64>) -> Vec<f64> {
        let kind = self.0[0].sensors.load;
        let of = |parts: &Parts| {
            let axes = [
                parts.advance.table().load(),
                parts.trims.coolant.weight.axis(),
                parts.trims.air.weight.axis(),
                parts.safety_margin.degrees.axis(),
            ];
            let mut loads: Vec<f64> = axes.iter().flat_map(|axis| axis.breakpoints()).copied().collect();
            if kind == LoadKind::Throttle && parts.limits.launch.enabled {
                loads.push(parts.limits.launch.throttle_above_pct);
            }
            loads
        };
        self.spread(of, kind.range(), arithmetic)
    }

    /// The temperatures at which a trim is largest or smallest on either side, or differs most.
    fn temperatures(self, trim: impl Fn(&Parts) -> &Trim) -> Vec<f64> {
        let [project, unit] = self.0.map(trim);
        let temperatures = project.degrees.axis().union(unit.degrees.axis());
        let at = |trim: &Trim, c: f64| if trim.enabled { trim.degrees.lookup(c) } else { 0.0 };
        // Each trim by itself and their difference, in full and where a weight halves one of them.
        const SHARES: [(f64, f64); 5] = [(0.0, 1.0), (1.0, 0.0), (1.0, -1.0), (1.0, -0.5), (0.5, -1.0)];
        let mut corners = Vec::new();
        for (of_project, of_unit) in SHARES {
            let figure = |c: f64| of_project * at(project, c) + of_unit * at(unit, c);
            let by = |a: &&f64, b: &&f64| figure(**a).total_cmp(&figure(**b));
            corners.extend(temperatures.iter().min_by(by));
            corners.extend(temperatures.iter().max_by(by));
        }
        corners.sort_by(f64::total_cmp);
        corners.dedup();
        corners
    }

    /// Open; closed if either has launch; if load is not throttle, also closed at the lower of two throttle
    /// openings.
    fn switches(self) -> Vec<Switch> {
        let mut switches = vec![Switch { closed: false, throttle_pct: None }];
        let launches = self.0.map(|parts| &parts.limits.launch);
        if launches.iter().any(|launch| launch.enabled) {
            switches.push(Switch { closed: true, throttle_pct: None });
            let [project, unit] = launches.map(|launch| launch.throttle_above_pct);
            if project != unit && self.0[0].sensors.load == LoadKind::Pressure {
                switches.push(Switch { closed: true, throttle_pct: Some(project.min(unit)) });
            }
        }
        switches
    }
}

struct Search<'a> {
    both: Both<'a>,
    evaluations: [Evaluation<'a>; 2],
    speeds: Vec<f64>,
    temperatures: Vec<(f64, f64)>,
    largest: Option<SparkDifference>,
    /// The size of the largest, in degrees.
    most_deg: f64,
    states: Option<StateDifference>,
    places: usize,
}

impl<'a> Search<'a> {
    fn new(project: &'a Project, unit: &'a FlashedUnit, arithmetic: Vec<f64>) -> Self {
        let both = Both([project, unit.project()]);
        let air = both.temperatures(|parts| &parts.trims.air);
        let coolant = both.temperatures(|parts| &parts.trims.coolant);
        let temperatures = coolant.iter().flat_map(|coolant| air.iter().map(move |air| (*coolant, *air))).collect();
        Self {
            both,
            evaluations: [Evaluation::new(project), unit.evaluation()],
            speeds: both.speeds(arithmetic),
            temperatures,
            largest: None,
            most_deg: f64::NEG_INFINITY,
            states: None,
            places: 0,
        }
    }

    /// Up from standstill and down again at one load. On the way down, only what differs from the way up is
    /// examined.
    fn up_and_down(&mut self, load: f64, switch: Switch) {
        let mut memories = [Memory::default(); 2];
        let speeds = std::mem::take(&mut self.speeds);
        let conditions = |speed_rpm| Conditions {
            speed_rpm,
            load,
            throttle_pct: switch.throttle_pct,
            launch_switch: switch.closed,
            ..Conditions::default()
        };
        let up: Vec<[Situation; 2]> =
            speeds.iter().map(|speed| self.observe(&mut memories, &conditions(*speed))).collect();
        for (speed, situations) in speeds.iter().zip(&up) {
            self.look(&conditions(*speed), *situations, false);
        }
        for (speed, before) in speeds.iter().zip(&up).rev() {
            let situations = self.observe(&mut memories, &conditions(*speed));
            if situations != *before {
                self.look(&conditions(*speed), situations, true);
            }
        }
        self.speeds = speeds;
    }

    /// For different arming speeds: the switch closes at the higher of the two, then the speed rises to where
    /// launch acts.
    fn arming(&mut self, load: f64) {
        let launches = self.both.0.map(|parts| &parts.limits.launch);
        let [project, unit] = launches;
        if !(project.enabled && unit.enabled) || project.arms_below_rpm == unit.arms_below_rpm {
            return;
        }
        let acts_rpm = project.cuts_at_rpm.max(unit.cuts_at_rpm);
        let arms_rpm = project.arms_below_rpm.max(unit.arms_below_rpm);
        let at = |speed_rpm| Conditions { speed_rpm, load, launch_switch: true, ..Conditions::default() };
        let mut memories = [Memory::default(); 2];
        _ = self.observe(&mut memories, &at(arms_rpm));
        let situations = self.observe(&mut memories, &at(acts_rpm));
        self.look(&at(acts_rpm), situations, false);
    }

    fn observe(&self, memories: &mut [Memory; 2], conditions: &Conditions) -> [Situation; 2] {
        let [project, unit] = self.both.0;
        let [of_project, of_unit] = memories;
        [of_project.observe(project, conditions), of_unit.observe(unit, conditions)]
    }

    /// Compares at every pair of temperatures.
    fn look(&mut self, conditions: &Conditions, situations: [Situation; 2], is_falling: bool) {
        // Temperatures do not move the table's own degrees, which are the dearest part of a breakdown.
        let tables = [0, 1].map(|of: usize| self.evaluations[of].table_deg(conditions.speed_rpm, conditions.load));
        for at in 0..self.temperatures.len() {
            let (coolant_c, air_c) = self.temperatures[at];
            let conditions = Conditions { coolant_c: Some(coolant_c), air_c: Some(air_c), ..*conditions };
            let [project, unit] = &self.evaluations;
            let found = [
                project.breakdown_over(tables[0], &conditions, situations[0]),
                unit.breakdown_over(tables[1], &conditions, situations[1]),
            ];
            self.take(found, SparkPlace { conditions, is_falling });
        }
    }

    fn take(&mut self, [project, unit]: [Breakdown; 2], place: SparkPlace) {
        self.places += 1;
        if self.states.is_none() && (project.state, project.cut) != (unit.state, unit.cut) {
            self.states = Some(StateDifference {
                project: project.state,
                unit: unit.state,
                project_cut: project.cut,
                unit_cut: unit.cut,
                place,
            });
        }
        if !sparks(&project) && !sparks(&unit) {
            return;
        }
        let found = SparkDifference { project_deg: project.commanded_deg, unit_deg: unit.commanded_deg, place };
        let deg = found.deg().abs();
        if deg > self.most_deg {
            (self.largest, self.most_deg) = (Some(found), deg);
        }
    }
}

/// Whether any coil fires.
fn sparks(breakdown: &Breakdown) -> bool {
    breakdown.fires || breakdown.cut == Some(CutPattern::AlternateCoils)
}
