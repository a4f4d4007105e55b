//! Trims that leave too little advance at a hot idle.

use super::check::{Check, Ground};
use super::finding::{Noticed, Place};
use super::subject::{Subject, degrees};
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::wording::{Unit, quantity, settle};

const LEAST: Threshold = thresholds::HOT_IDLE_DEG;
const HOT: Threshold = thresholds::HOT_TRIM_COOLANT_C;

pub(super) const CHECK: Check = Check {
    id: "hot_idle",
    title: "Late at a hot idle",
    reason: "An engine that idles late heats its exhaust and its coolant; a trim that retards a hot idle makes it \
             hotter until it boils.",
    since: 2,
    sections: &[Section::Trims],
    is_of_map: true,
    grounds: &[Ground::IDLE],
    thresholds: &[LEAST],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (engine, trims) = (&subject.engine, &subject.trims);
    let (coolant, from_c) = (&trims.coolant, subject.threshold(&HOT));
    let hot = coolant.degrees.points().filter(|(at_c, _)| *at_c > from_c);
    let all = std::iter::once((from_c, coolant.degrees.lookup(from_c))).chain(hot);
    let Some((at_c, deg)) = all.reduce(|least, next| if next.1 < least.1 { next } else { least }) else {
        return Vec::new();
    };
    let weight = coolant.weight.lookup(engine.idle_load);
    let table_deg = subject.table().lookup(engine.idle_speed_rpm, engine.idle_load);
    // What the air trim takes away is added: a hot engine stands in hot air.
    let least_air_deg = trims.air.degrees.values().iter().copied().fold(0.0, f64::min);
    let air_deg = if trims.air.enabled { least_air_deg * trims.air.weight.lookup(engine.idle_load) } else { 0.0 };
    let (taken_deg, bound) = (deg * weight, subject.bound(&LEAST));
    let value = settle(table_deg + taken_deg + air_deg);
    if !coolant.enabled || taken_deg >= 0.0 || !subject.is_under(value, bound) {
        return Vec::new();
    }
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field("trims.coolant.weight", "coolant trim at idle"),
        message: format!("at {} the trims leave {} at idle", quantity(at_c, Unit::Celsius), degrees(value)),
        remedy: format!(
            "Lower the weight of the coolant trim at idle load until {} are left, or let it retard less.",
            degrees(bound.allowed)
        ),
        value,
        bound,
        cure: None,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_speed, curve, of, only};
    use crate::project::Project;

    /// Idle is at 900 rpm; the coolant trim takes 5 degrees away at 115 °C.
    fn idle(deg: f64) -> Project {
        along_speed(&[500.0, 900.0, 6500.0], &[deg, deg, 30.0])
    }

    #[test]
    fn fires_below_four_degrees_left() {
        assert_eq!(of(&idle(9.0), "hot_idle"), []);
        let found = only(&idle(8.5), "hot_idle");
        assert_eq!((found.severity, found.value, found.threshold), (Severity::Warning, 3.5, 4.0));
        assert_eq!(found.message, "at 115 °C the trims leave 3.5° at idle");
        let light = idle(8.5).edit(|parts| parts.trims.coolant.weight = curve(&[(3.0, 0.5), (100.0, 1.0)])).unwrap();
        assert_eq!(of(&light, "hot_idle"), []);
        let air = idle(9.0).edit(|parts| parts.trims.air.weight = curve(&[(3.0, 0.5), (50.0, 1.0)])).unwrap();
        assert_eq!(only(&air, "hot_idle").value, 1.0);
    }

    #[test]
    fn a_late_idle_without_a_trim_is_no_matter_of_the_trim() {
        let off = idle(3.0).edit(|parts| parts.trims.coolant.enabled = false).unwrap();
        assert_eq!(of(&off, "hot_idle"), []);
    }
}
