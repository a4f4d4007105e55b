//! A fuel that does not tolerate the compression.

use super::check::{Check, Ground};
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::Subject;
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::wording::{Unit, quantity, rounded};

const SHORT: Threshold = thresholds::COMPRESSION_OCTANE_SHORT_RON;

pub(super) const CHECK: Check = Check {
    id: "compression_octane",
    title: "Octane too low",
    reason: "A charge that is pressed together more than its fuel bears knocks at any spark worth having; no table puts \
             that right.",
    since: 2,
    sections: &[Section::Engine],
    is_of_map: false,
    grounds: &[Ground::COMPRESSION],
    thresholds: &[SHORT],
    find,
};

/// The octane number (RON) that a compression ratio needs at the highest manifold pressure in kPa: 91 at 9.5:1,
/// 4 more for each ratio above; boost counts by its square root. Common practice, no source.
fn wanted_ron(ratio: f64, highest_kpa: f64) -> (f64, f64) {
    let effective = ratio * (highest_kpa.max(100.0) / 100.0).sqrt();
    (effective, 91.0 + 4.0 * (effective - 9.5))
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let engine = &subject.engine;
    let (effective, wanted) = wanted_ron(engine.compression_ratio, engine.highest_pressure_kpa);
    let allowed = wanted - subject.threshold(&SHORT);
    if !subject.is_under(engine.fuel_octane_ron, Bound::of(allowed, Unit::Ron)) {
        return Vec::new();
    }
    let ratio = |ratio: f64| format!("{}:1", quantity(rounded(ratio, 1), Unit::None));
    let pressed = match engine.highest_pressure_kpa {
        highest if highest > 100.0 => {
            let at = quantity(highest, Unit::Kilopascal);
            format!("{} at {at} is as much as {} and asks for", ratio(engine.compression_ratio), ratio(effective))
        }
        _ => format!("a compression of {} asks for", ratio(engine.compression_ratio)),
    };
    // Rounded up, so that the number shown never reads as sufficient.
    let up = |ron: f64| (ron * 10.0 - 1e-9).ceil() / 10.0;
    let ron = |value: f64| quantity(value, Unit::Ron);
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field("engine.fuel_octane_ron", "fuel"),
        message: format!("{pressed} {}; the fuel has {}", ron(up(wanted)), ron(engine.fuel_octane_ron)),
        remedy: "Use a better fuel, lower the compression or the boost; else keep well below the full-load line."
            .into(),
        value: engine.fuel_octane_ron,
        bound: Bound::of(up(allowed), Unit::Ron),
        cure: None,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only, sound};
    use crate::project::Project;

    fn with(ratio: f64, highest_kpa: f64, ron: f64) -> Project {
        let change = |parts: &mut crate::project::Parts| {
            let engine = &mut parts.engine;
            (engine.compression_ratio, engine.highest_pressure_kpa) = (ratio, highest_kpa);
            engine.fuel_octane_ron = ron;
        };
        sound().edit(change).unwrap()
    }

    #[test]
    fn fires_below_what_the_ratio_asks_for() {
        assert_eq!(of(&with(9.5, 100.0, 91.0), "compression_octane"), []);
        assert_eq!(of(&with(9.5, 60.0, 91.0), "compression_octane"), []);
        let found = only(&with(9.75, 100.0, 91.9), "compression_octane");
        assert_eq!((found.severity, found.threshold), (Severity::Warning, 92.0));
        let tall = only(&with(12.0, 100.0, 95.0), "compression_octane");
        assert_eq!(tall.message, "a compression of 12:1 asks for 101 RON; the fuel has 95 RON");
    }

    /// 8:1 at 225 kPa counts as 12:1.
    #[test]
    fn boost_counts_as_its_square_root() {
        assert_eq!(of(&with(8.0, 225.0, 101.0), "compression_octane"), []);
        let found = only(&with(8.0, 225.0, 100.0), "compression_octane");
        assert_eq!(found.message, "8:1 at 225 kPa is as much as 12:1 and asks for 101 RON; the fuel has 100 RON");
    }
}
