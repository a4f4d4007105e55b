//! The advance to use of an operating point, by each choice.

use super::operating_point::SweepPoint;
use super::{Chosen, Counts, DegInterval, SweepChoice, SweepSetting, SweepVerdict};
use crate::wording::settle;
use crate::worksheet::{Gravity, Verdict};

/// The advance of a choice. It is never more than knock allows, nor than the greatest advance that was read.
pub(super) fn choose(point: &SweepPoint, choice: SweepChoice, setting: &SweepSetting) -> Chosen {
    let down = |deg: f64| round_down(deg, setting.step_deg);
    let most_deg = point.knock.most_deg(setting.limits.knock_margin_deg);
    let knock_most_deg = most_deg.map(down);
    let counts = match choice {
        // What was heard to be clean bounds nothing where nothing knocked.
        SweepChoice::Knock => most_deg.map_or(Counts::Nothing, Counts::Knock),
        SweepChoice::Least | SweepChoice::Best => of_torque(point, choice),
    };
    let counts = match (counts, most_deg) {
        (Counts::About { deg, .. }, Some(most_deg)) if most_deg < deg => Counts::Knock(most_deg),
        (Counts::Nothing | Counts::AtLeast(_), Some(most_deg)) => Counts::Knock(most_deg),
        (Counts::AtMost(deg), Some(most_deg)) if most_deg < deg => Counts::Knock(most_deg),
        (counts, _) => counts,
    };
    let greatest_deg = point.read_deg().map_or(f64::NEG_INFINITY, |(_, high_deg)| high_deg);
    // Knock at the least advance that was read: what lies below was never heard to be clean.
    let is_heard = point.knock.from_deg.is_none() || point.knock.clean_to_deg.is_some();
    let is_limited = choice == SweepChoice::Knock || point.is_limited_by_knock() && !has_obstacle(point);
    let used_deg = match counts {
        Counts::About { deg, .. } => Some(deg),
        Counts::Knock(deg) if is_heard && is_limited => Some(deg),
        _ => None,
    };
    let deg = used_deg.map(|deg| down(deg.min(greatest_deg)));
    let torque = |deg: f64| point.curve.as_ref().map(|curve| 100.0 * (1.0 - curve.loss_at(deg)));
    let counts = match counts {
        Counts::Knock(deg) => Counts::Knock(down(deg)),
        counts => counts,
    };
    Chosen { deg, knock_most_deg, torque_pct: deg.and_then(torque), counts }
}

/// What torque alone says about least advance or best torque.
fn of_torque(point: &SweepPoint, choice: SweepChoice) -> Counts {
    let (Some(curve), Some((low_deg, high_deg))) = (&point.curve, point.read_deg()) else { return Counts::Nothing };
    let has_few = point.verdicts.iter().any(|verdict| matches!(verdict, SweepVerdict::TooFew { .. }));
    if has_few || !curve.is_told {
        return Counts::Nothing;
    }
    let is_open = has_obstacle(point);
    let (deg, DegInterval { low_deg: low, high_deg: high }) = match choice {
        SweepChoice::Least => (curve.flat_low_deg, curve.flat_low),
        SweepChoice::Best | SweepChoice::Knock => (Some(curve.best_deg), curve.best),
    };
    let is_beyond = match choice {
        SweepChoice::Least => high.is_none_or(|high| high > high_deg),
        _ => true,
    };
    let (is_above, is_below) = (curve.best_deg > high_deg, curve.best_deg < low_deg);
    let is_barred = is_open || is_below || is_above && is_beyond;
    match (deg, low, high) {
        (Some(deg), Some(low_deg), Some(high_deg)) if !is_barred => Counts::About { deg, low_deg, high_deg },
        (_, Some(low), high) if is_above || high.is_none() => Counts::AtLeast(low),
        (_, _, Some(high)) => Counts::AtMost(high),
        _ => Counts::Nothing,
    }
}

fn has_obstacle(point: &SweepPoint) -> bool {
    point.verdicts.iter().any(|verdict| verdict.gravity() == Gravity::Obstacle)
}

/// Down to a multiple of the step; what is one but for rounding errors stays.
pub(super) fn round_down(deg: f64, step_deg: f64) -> f64 {
    if step_deg <= 0.0 {
        return deg;
    }
    settle((deg / step_deg + 1e-9).floor() * step_deg)
}
