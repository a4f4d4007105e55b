//! More primary current than the coil is rated for.

use super::check::{Check, Ground};
use super::finding::{Noticed, Place};
use super::margin::{Bound, found};
use super::subject::Subject;
use super::{Change, Cure, Severity};
use crate::compare::Section;
use crate::project::Coil;
use crate::table::Curve;
use crate::wording::{Unit, quantity, settle};

pub(super) const CHECK: Check = Check {
    id: "coil_current",
    title: "Coil overloaded",
    reason: "Above its rated current the coil saturates, heats and burns out, and its driver with it.",
    since: 1,
    sections: &[Section::Coil],
    is_of_map: false,
    grounds: &[Ground::COIL],
    thresholds: &[],
    find,
};

/// The lowest and highest battery voltage to expect.
fn voltages(subject: &Subject<'_>) -> (f64, f64) {
    (subject.sensors.lowest_battery_v, subject.sensors.highest_battery_v)
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (coil, (low_v, high_v)) = (&subject.coil, voltages(subject));
    let (battery_v, value) = coil.most_current(low_v, high_v);
    let rated = Bound::of(coil.rated_current_a, Unit::Ampere);
    if !subject.is_over(value, rated) {
        return Vec::new();
    }
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field("coil.dwell_ms", "dwell and rating"),
        message: format!(
            "at {} the primary current reaches {}; the coil is rated for {}",
            quantity(battery_v, Unit::Volt),
            found(value, coil.rated_current_a, Unit::Ampere),
            quantity(coil.rated_current_a, Unit::Ampere)
        ),
        remedy: "Shorten the dwell at the higher voltages.".into(),
        value,
        bound: rated,
        cure: shorter(subject),
    }]
}

/// Shortens the dwell to what the rating allows, at every breakpoint and between them.
fn shorter(subject: &Subject<'_>) -> Option<Cure> {
    let coil = &subject.coil;
    let bears_ms = |battery_v: f64| coil.dwell_ms_to(coil.rated_current_a, battery_v);
    // The allowed dwell is a convex curve over voltage: a straight line between two allowed points lies above
    // it, so a little more is taken off until the whole curve fits.
    (0..=20_u8).find_map(|less| {
        let share = 1.0 - f64::from(less) / 100.0;
        let bound = |(battery_v, ms): (f64, f64)| {
            let bound_ms = bears_ms(battery_v).map_or(ms, |most_ms| ms.min((most_ms * share * 100.0).floor() / 100.0));
            (battery_v, settle(bound_ms))
        };
        let curve = Curve::from_points(&coil.dwell_ms.points().map(bound).collect::<Vec<_>>()).ok()?;
        let shortened = Coil { dwell_ms: curve, ..coil.clone() };
        let (low_v, high_v) = voltages(subject);
        let label = format!("Shorten the dwell to the rated {}", quantity(coil.rated_current_a, Unit::Ampere));
        let fits = shortened.overload(low_v, high_v).is_none();
        fits.then(|| Cure::new(label, Change::Dwell(shortened.dwell_ms)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{cured, curve, of, only, sound};
    use crate::project::Project;

    fn rated(rated_a: f64) -> Project {
        sound().edit(|parts| parts.coil.rated_current_a = rated_a).unwrap()
    }

    #[test]
    fn fires_above_the_rating_somewhere_between_the_battery_voltages() {
        let most = only(&rated(5.0), "coil_current").value;
        assert_eq!(of(&rated(most + 0.001), "coil_current"), []);
        assert_eq!(only(&rated(most - 0.001), "coil_current").severity, Severity::Warning);
        assert!((6.5..8.0).contains(&most), "{most}");
    }

    #[test]
    fn voltages_that_never_come_do_not_count() {
        let change = |parts: &mut crate::project::Parts| {
            parts.coil.dwell_ms = curve(&[(6.0, 30.0), (7.9, 30.0), (8.0, 3.0), (16.0, 2.0)]);
        };
        assert_eq!(of(&sound().edit(change).unwrap(), "coil_current"), []);
    }

    #[test]
    fn the_remedy_shortens_the_dwell() {
        let (after, label) = cured(&rated(6.0), "coil_current");
        assert_eq!(label, "Shorten the dwell to the rated 6 A");
        assert!(after.coil.dwell_ms.lookup(12.0) > 2.0);
    }
}
