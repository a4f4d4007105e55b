//! What the unit is doing: without memory, or with the hysteresis of a running unit.

use super::{Conditions, State};
use crate::project::{CutPattern, Launch, Parts};

/// What follows from speed, switches and memory alone, before any advance is computed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Situation {
    /// The first state that applies.
    pub state: State,
    /// Which sparks are cut, if any.
    pub cut: Option<CutPattern>,
    /// Whether launch holds the advance back, whatever the state.
    pub launching: bool,
}

/// What the unit remembers from one evaluation to the next. A new one is at standstill with every switch open.
///
/// - Cranking is left above `leave_at_rpm` and comes back only below `below_rpm`.
/// - A cut lasts until the speed falls below its own lower speed.
/// - Launch is armed if the speed is at or below `arms_below_rpm` when its switch closes, and stays so until the
///   switch opens.
///
/// Where a project has the two speeds of a band the wrong way round, the band has no width.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Memory {
    running: bool,
    limit_cut: bool,
    launch_cut: bool,
    switch_closed: bool,
    armed: bool,
}

/// The flags that decide the state.
#[derive(Clone, Copy)]
struct Flags {
    cranking: bool,
    limit_cut: bool,
    launch_cut: bool,
    launching: bool,
}

impl Memory {
    /// Updates the memory with the conditions and returns what the unit is doing now.
    #[inline]
    pub fn observe(&mut self, parts: &Parts, conditions: &Conditions) -> Situation {
        let speed_rpm = conditions.speed_rpm;
        let (cranking, over, launch) = (&parts.limits.cranking, &parts.limits.over_speed, &parts.limits.launch);
        self.running = match self.running {
            true => speed_rpm >= cranking.below_rpm,
            false => speed_rpm > cranking.leave_at_rpm && speed_rpm >= cranking.below_rpm,
        };
        self.running &= speed_rpm >= cranking.no_spark_below_rpm;
        self.limit_cut = over.enabled
            && (speed_rpm >= over.cuts_at_rpm || self.limit_cut && speed_rpm >= over.fires_again_below_rpm);
        if conditions.launch_switch != self.switch_closed {
            self.switch_closed = conditions.launch_switch;
            self.armed = self.switch_closed && speed_rpm <= launch.arms_below_rpm;
        }
        let launching = self.armed && is_asked_for(launch, parts, conditions);
        let resumes_below_rpm = launch.cuts_at_rpm - launch.resume_drop_rpm;
        self.launch_cut =
            launching && (speed_rpm >= launch.cuts_at_rpm || self.launch_cut && speed_rpm >= resumes_below_rpm);
        let flags =
            Flags { cranking: !self.running, limit_cut: self.limit_cut, launch_cut: self.launch_cut, launching };
        flags.situation(parts, speed_rpm)
    }
}

impl Situation {
    /// What a unit without memory does at these conditions, as if its speed were rising: launch armed, running
    /// from `below_rpm`.
    pub fn rising(parts: &Parts, conditions: &Conditions) -> Self {
        let speed_rpm = conditions.speed_rpm;
        let (over, launch) = (&parts.limits.over_speed, &parts.limits.launch);
        let launching = is_asked_for(launch, parts, conditions);
        let flags = Flags {
            cranking: speed_rpm < parts.limits.cranking.below_rpm,
            limit_cut: over.enabled && speed_rpm >= over.cuts_at_rpm,
            launch_cut: launching && speed_rpm >= launch.cuts_at_rpm,
            launching,
        };
        flags.situation(parts, speed_rpm)
    }
}

/// Whether everything except the arming calls for launch.
#[inline]
fn is_asked_for(launch: &Launch, parts: &Parts, conditions: &Conditions) -> bool {
    let open_enough = |throttle_pct| throttle_pct >= launch.throttle_above_pct;
    launch.enabled && conditions.launch_switch && conditions.throttle(parts.sensors.load).is_none_or(open_enough)
}

impl Flags {
    #[inline]
    fn situation(self, parts: &Parts, speed_rpm: f64) -> Situation {
        let over = &parts.limits.over_speed;
        let state = match self {
            _ if speed_rpm < parts.limits.cranking.no_spark_below_rpm => State::Stopped,
            Self { cranking: true, .. } => State::Cranking,
            Self { limit_cut: true, .. } => State::LimitCut,
            Self { launch_cut: true, .. } => State::LaunchCut,
            _ if over.enabled && speed_rpm >= over.eases_from_rpm => State::OverSpeed,
            Self { launching: true, .. } => State::Launch,
            _ => State::Running,
        };
        let limit_pattern = || if speed_rpm >= over.cuts_all_at_rpm { CutPattern::All } else { over.pattern };
        let cut = match state {
            State::LaunchCut => Some(CutPattern::All),
            // Launch cuts every spark even where the over-speed limit would let every other one through.
            State::LimitCut if self.launch_cut => Some(CutPattern::All),
            State::LimitCut => Some(limit_pattern()),
            _ => None,
        };
        Situation { state, cut, launching: self.launching }
    }
}
