//! Plugs that need more voltage than the coil gives.

use super::check::{Check, Ground};
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::Subject;
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::{CoilKind, LoadKind, thresholds};
use crate::wording::{Unit, quantity, rounded};

const RESERVE: Threshold = thresholds::PLUG_VOLTAGE_RESERVE_PCT;

pub(super) const CHECK: Check = Check {
    id: "plug_voltage",
    title: "Voltage at the plugs",
    reason: "A gap that asks for more than the coil gives does not fire: first at full load, where the charge is \
             densest, and sooner as the plugs wear.",
    since: 1,
    sections: &[Section::Coil],
    is_of_map: false,
    grounds: &[Ground::PLUG_GAP, Ground::HIGHEST_PRESSURE],
    thresholds: &[RESERVE],
    find,
};

/// The gas between the electrodes: the temperature of the charge as it comes in, and temperature and pressure
/// of the exhaust in which the other plug of a pair fires. Common practice, no source.
const INTAKE_K: f64 = 320.0;
const EXHAUST_K: f64 = 1000.0;
const EXHAUST_KPA: f64 = 110.0;
/// The air that the constants of the formula are for.
const REFERENCE_KPA: f64 = 101.3;
const REFERENCE_K: f64 = 293.0;
/// Length of the connecting rod relative to the crank's radius. Common practice, no source.
const ROD_TO_CRANK: f64 = 3.5;

/// The voltage in kV at which a gap breaks down in a gas of that density: 24.22·δd + 6.08·√(δd), δ relative to
/// air at 20 °C and 101.3 kPa, d in cm. E. Kuffel and W. S. Zaengl, "High Voltage Engineering: Fundamentals",
/// Pergamon, 1984, for air between even electrodes; the constants are from memory. Sharp, new electrodes need
/// less, worn ones more.
fn breakdown_kv(relative_density: f64, gap_mm: f64) -> f64 {
    let length = relative_density * gap_mm / 10.0;
    24.22 * length + 6.08 * length.sqrt()
}

/// How many times denser the charge is at a spark that many degrees before TDC than at the beginning of
/// compression.
fn compression(ratio: f64, advance_deg: f64) -> f64 {
    let (sine, cosine) = advance_deg.to_radians().sin_cos();
    let travel = ROD_TO_CRANK + 1.0 - cosine - (ROD_TO_CRANK.powi(2) - sine.powi(2)).sqrt();
    ratio / (1.0 + (ratio - 1.0) / 2.0 * travel)
}

/// What the two plugs of a pair need, in kV: the one under compression, and the one on its exhaust stroke.
fn asked_kv(subject: &Subject<'_>, advance_deg: f64) -> [f64; 2] {
    let engine = &subject.engine;
    let intake = engine.highest_pressure_kpa / REFERENCE_KPA * REFERENCE_K / INTAKE_K;
    let exhaust = EXHAUST_KPA / REFERENCE_KPA * REFERENCE_K / EXHAUST_K;
    let charge = intake * compression(engine.compression_ratio, advance_deg);
    [charge, exhaust].map(|density| breakdown_kv(density, engine.plug_gap_mm))
}

/// The latest spark at full load from idle up, with the trims that take most away: the closer to TDC, the
/// denser the charge.
fn latest_deg(subject: &Subject<'_>) -> f64 {
    let table = subject.table();
    let load = match subject.sensors.load {
        LoadKind::Throttle => table.load().last(),
        LoadKind::Pressure => subject.engine.highest_pressure_kpa.min(table.load().last()),
    };
    let trims_deg = subject.trims.coolant.least_deg(load) + subject.trims.air.least_deg(load);
    let speeds = table.speed().breakpoints().iter().filter(|rpm| **rpm >= subject.engine.idle_speed_rpm);
    let latest = speeds.map(|&rpm| table.lookup(rpm, load)).fold(f64::INFINITY, f64::min);
    let latest_deg = if latest.is_finite() { latest } else { table.lookup(table.speed().last(), load) };
    (latest_deg + trims_deg).max(0.0)
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let Some(given_kv) = subject.coil.secondary_voltage_kv else {
        return Vec::new();
    };
    let [compressed_kv, wasted_kv] = asked_kv(subject, latest_deg(subject));
    // A coil with two ends fires both plugs in series; with two single coils each plug has its own.
    let (asked_kv, shares) = match subject.coil.kind {
        CoilKind::DoubleEnded => (
            compressed_kv + wasted_kv,
            format!(
                ", {} of it for the plug under compression and {} for the one on its exhaust stroke",
                quantity(rounded(compressed_kv, 1), Unit::Kilovolt),
                quantity(rounded(wasted_kv, 1), Unit::Kilovolt)
            ),
        ),
        CoilKind::TwoSingles => (compressed_kv, String::new()),
    };
    let wanted_kv = asked_kv * (1.0 + subject.threshold(&RESERVE) / 100.0);
    if !subject.is_under(given_kv, Bound::of(wanted_kv, Unit::Kilovolt)) {
        return Vec::new();
    }
    let (gap, pressure) = (subject.engine.plug_gap_mm, subject.engine.highest_pressure_kpa);
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field("coil.secondary_voltage_kv", "secondary voltage"),
        message: format!(
            "over {} at {} in the manifold the coil is asked for about {}{shares}; with reserve for wear {} are \
             wanted, and it gives {}",
            quantity(gap, Unit::Millimetre),
            quantity(pressure, Unit::Kilopascal),
            quantity(rounded(asked_kv, 1), Unit::Kilovolt),
            quantity(rounded(wanted_kv, 1), Unit::Kilovolt),
            quantity(given_kv, Unit::Kilovolt)
        ),
        remedy: "Close the gap as far as idle allows it, or fit coils that give more.".into(),
        value: given_kv,
        bound: Bound::of(rounded(wanted_kv, 3), Unit::Kilovolt),
        cure: None,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only, sound};
    use crate::project::{Induction, Project};

    fn given(kv: f64) -> Project {
        sound().edit(|parts| parts.coil.secondary_voltage_kv = Some(kv)).unwrap()
    }

    /// 30.3 kV over a centimetre of air, from the same book (from memory).
    #[test]
    fn a_centimetre_of_air_takes_thirty_kilovolts() {
        assert!((breakdown_kv(1.0, 10.0) - 30.3).abs() < 1e-9);
    }

    /// Half a turn before TDC nothing is compressed, at TDC everything; at 20 degrees the factor is 6.8795 with
    /// a rod of 3.5 cranks: 1 + 4·(4.5 − 0.93969 − √(12.25 − 0.11698)) = 1.30823 into 9.
    #[test]
    fn the_charge_is_densest_at_dead_centre() {
        assert!((compression(9.0, 180.0) - 1.0).abs() < 1e-12 && (compression(9.0, 0.0) - 9.0).abs() < 1e-12);
        assert!((compression(9.0, 20.0) - 6.8795).abs() < 1e-3, "{}", compression(9.0, 20.0));
        assert!(compression(9.0, 30.0) < compression(9.0, 20.0));
    }

    #[test]
    fn it_is_silent_where_nobody_gave_the_voltage_and_where_there_is_enough() {
        assert_eq!(of(&sound(), "plug_voltage"), []);
        assert_eq!(of(&given(40.0), "plug_voltage"), []);
        let found = only(&given(20.0), "plug_voltage");
        assert_eq!((found.severity, found.value, found.unit), (Severity::Warning, 20.0, Unit::Kilovolt));
        let threshold = found.threshold;
        assert_eq!(of(&given(threshold + 0.001), "plug_voltage"), []);
        assert_eq!(of(&given(threshold - 0.001), "plug_voltage").len(), 1);
    }

    #[test]
    fn boost_and_a_wide_gap_ask_for_more_and_two_coils_share_the_pair() {
        let wanted = |project: &Project| only(project, "plug_voltage").threshold;
        let start = given(5.0);
        let boosted = start.edit(|parts| {
            parts.engine.induction = Induction::Boosted;
            parts.engine.highest_pressure_kpa = 150.0;
        });
        let wide = start.edit(|parts| parts.engine.plug_gap_mm = 1.1).unwrap();
        let singles = start.edit(|parts| parts.coil.kind = CoilKind::TwoSingles).unwrap();
        assert!(wanted(&boosted.unwrap()) > 1.25 * wanted(&start));
        assert!(wanted(&wide) > 1.2 * wanted(&start));
        assert!(wanted(&singles) < wanted(&start));
        assert!(only(&start, "plug_voltage").message.contains("for the one on its exhaust stroke"));
    }
}
