//! Sparks with too little energy.

use super::check::{Check, Ground};
use super::dwell_fit::available_ms;
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::{Subject, rpm};
use super::{Change, Cure, Severity, Threshold};
use crate::compare::Section;
use crate::project::{Coil, thresholds};
use crate::table::Curve;
use crate::wording::{Unit, quantity, settle};

const LEAST: Threshold = thresholds::COIL_ENERGY_MJ;
const BOOSTED: Threshold = thresholds::COIL_ENERGY_BOOSTED_MJ;
const RUNNING: Threshold = thresholds::COIL_ENERGY_RUNNING_V;
const CRANKING: Threshold = thresholds::COIL_ENERGY_CRANKING_V;
const CRANKING_RPM: Threshold = thresholds::COIL_ENERGY_CRANKING_RPM;

pub(super) const CHECK: Check = Check {
    id: "coil_energy",
    title: "Weak spark",
    reason: "A weak spark fails first where the mixture is hardest to light: cold while cranking, and under load at \
             high speed. Of what a coil stores only a part arrives, and the two plugs of a pair share it.",
    since: 1,
    sections: &[Section::Coil],
    is_of_map: false,
    grounds: &[Ground::COIL],
    thresholds: &[LEAST, BOOSTED, RUNNING, CRANKING, CRANKING_RPM],
    find,
};

/// At the limit with a tired alternator, and while cranking with a cold battery; never both at once.
fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let boosted = subject.engine.induction.is_boosted();
    let least = subject.bound(if boosted { &BOOSTED } else { &LEAST });
    let cases = [
        (subject.threshold(&RUNNING), subject.top_speed_rpm()),
        (subject.threshold(&CRANKING), subject.threshold(&CRANKING_RPM)),
    ];
    let told = cases.into_iter().filter_map(|(battery_v, speed_rpm)| {
        let dwell_ms = subject.coil.dwell_ms.lookup(battery_v).min(available_ms(subject, speed_rpm));
        let energy_mj = subject.coil.energy_mj(subject.coil.current_a(dwell_ms, battery_v));
        subject.is_under(energy_mj, least).then(|| noticed(subject, battery_v, speed_rpm, energy_mj, least))
    });
    told.collect()
}

fn noticed(subject: &Subject<'_>, battery_v: f64, speed_rpm: f64, energy_mj: f64, least: Bound) -> Noticed {
    Noticed {
        severity: Severity::Warning,
        place: Place::field("coil.dwell_ms", format!("{}, {}", quantity(battery_v, Unit::Volt), rpm(speed_rpm)))
            .at(battery_v),
        message: format!(
            "at {} and {} the coil has {} stored",
            quantity(battery_v, Unit::Volt),
            rpm(speed_rpm),
            quantity(energy_mj, Unit::Millijoule)
        ),
        remedy: format!(
            "Charge longer at {}, or fit stronger coils; {} stored are wanted.",
            quantity(battery_v, Unit::Volt),
            quantity(least.allowed, Unit::Millijoule)
        ),
        value: energy_mj,
        bound: least,
        cure: longer(subject, battery_v, speed_rpm, least.allowed),
    }
}

/// The dwell at a voltage, raised to what the energy needs, in tenths of a millisecond; `None` if the coil, its
/// rating or the available time does not allow it.
fn longer(subject: &Subject<'_>, battery_v: f64, speed_rpm: f64, least_mj: f64) -> Option<Cure> {
    let coil = &subject.coil;
    let current_a = current_for(coil, least_mj);
    let dwell_ms = settle((coil.dwell_ms_to(current_a, battery_v)? * 10.0).ceil() / 10.0);
    let is_borne = coil.current_a(dwell_ms, battery_v) <= coil.rated_current_a;
    if !is_borne || dwell_ms > available_ms(subject, speed_rpm) {
        return None;
    }
    let curve = with_point(&coil.dwell_ms, battery_v, dwell_ms)?;
    let label =
        format!("Set the dwell at {} to {}", quantity(battery_v, Unit::Volt), quantity(dwell_ms, Unit::Millisecond));
    Some(Cure::new(label, Change::Dwell(curve)))
}

/// The primary current at which the coil stores that energy: E = ½·L·i².
fn current_for(coil: &Coil, energy_mj: f64) -> f64 {
    (2.0 * energy_mj / coil.inductance_mh).sqrt()
}

/// The curve with one point set or added.
fn with_point(curve: &Curve, x: f64, y: f64) -> Option<Curve> {
    let mut points: Vec<(f64, f64)> = curve.points().filter(|(at, _)| *at != x).collect();
    points.push((x, y));
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    Curve::from_points(&points).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{cured, curve, of, only, sound};
    use crate::project::{Induction, Project};

    /// The fixture's coil: 0.5 Ω at 20 °C and 60 °C in service, harness 0.15 Ω, 3.7 mH, driver 1.2 V.
    fn dwell(at_8_v_ms: f64, at_12_v_ms: f64) -> Project {
        sound().edit(|parts| parts.coil.dwell_ms = curve(&[(8.0, at_8_v_ms), (12.0, at_12_v_ms)])).unwrap()
    }

    /// 30 mJ in 3.7 mH are 4.0269 A: 2.8669 ms at 8 V and 1.6096 ms at 12 V, computed independently with Python.
    #[test]
    fn fires_below_thirty_millijoules_at_either_voltage() {
        assert_eq!(of(&dwell(2.87, 1.61), "coil_energy"), []);
        let cranking = only(&dwell(2.86, 1.61), "coil_energy");
        assert_eq!((cranking.severity, cranking.place.words.as_str()), (Severity::Warning, "8 V, 200 rpm"));
        let running = only(&dwell(2.87, 1.6), "coil_energy");
        assert_eq!(running.place.words, "12 V, 6700 rpm");
        assert!(running.value > 29.0 && running.value < 30.0, "{}", running.value);
    }

    /// 2.1928 ms at 12 V, computed independently with Python.
    #[test]
    fn boost_wants_fifty() {
        let boosted = |ms| dwell(4.5, ms).edit(|parts| parts.engine.induction = Induction::Boosted).unwrap();
        assert_eq!((of(&boosted(2.2), "coil_energy").len(), of(&boosted(2.19), "coil_energy").len()), (0, 1));
    }

    #[test]
    fn the_remedy_charges_longer_or_there_is_none() {
        let (after, label) = cured(&dwell(2.0, 1.62), "coil_energy");
        assert_eq!(label, "Set the dwell at 8 V to 2.9 ms");
        assert_eq!(after.coil.dwell_ms.lookup(12.0), 1.62);
        let weak = dwell(2.0, 1.62).edit(|parts| parts.coil.rated_current_a = 3.5).unwrap();
        assert!(only(&weak, "coil_energy").cure.is_none());
    }
}
