//! Trims that add advance under boost.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::subject::{Subject, degrees};
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::{LoadKind, Trim, thresholds};
use crate::wording::{Unit, quantity, settle};

const MOST: Threshold = thresholds::BOOST_TRIM_DEG;
const FROM: Threshold = thresholds::BOOST_TRIM_FROM_KPA;

pub(super) const CHECK: Check = Check {
    id: "boost_trim",
    title: "Trims add advance under boost",
    reason: "What a cold engine bears at part load it does not bear under boost, where a few degrees are the whole \
             margin to knock.",
    since: 2,
    sections: &[Section::Trims],
    is_of_map: true,
    grounds: &[],
    thresholds: &[MOST, FROM],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    if !subject.engine.induction.is_boosted() || subject.sensors.load != LoadKind::Pressure {
        return Vec::new();
    }
    let (from_kpa, bound) = (subject.threshold(&FROM), subject.bound(&MOST));
    let mut loads = subject.loads_of_sum();
    loads.retain(|&load| load > from_kpa);
    loads.insert(0, from_kpa);
    let most = |&load: &f64| subject.most_trim_deg(load);
    let Some(load) = loads.into_iter().reduce(|worst, next| if most(&next) > most(&worst) { next } else { worst })
    else {
        return Vec::new();
    };
    let value = settle(most(&load));
    if !subject.is_over(value, bound) {
        return Vec::new();
    }
    let adds = |trim: &Trim| {
        let most_deg = trim.degrees.values().iter().copied().fold(0.0, f64::max);
        if trim.enabled { most_deg * trim.weight.lookup(load) } else { 0.0 }
    };
    let name = if adds(&subject.trims.air) > adds(&subject.trims.coolant) { "air" } else { "coolant" };
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field(format!("trims.{name}.weight"), format!("weight of the {name} trim")),
        message: format!("the trims add up to {} at {}", degrees(value), quantity(load, Unit::Kilopascal)),
        remedy: format!("Bring the weight to nothing from {} on.", quantity(100.0, Unit::Kilopascal)),
        value,
        bound,
        cure: None,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{curve, of, only, sound_pressure};
    use crate::project::{Induction, Project};

    /// The coolant trim adds 4 degrees at −20 °C.
    fn weighed(points: &[(f64, f64)]) -> Project {
        let change = |parts: &mut crate::project::Parts| {
            parts.engine.induction = Induction::Boosted;
            parts.trims.coolant.weight = curve(points);
        };
        sound_pressure().edit(change).unwrap()
    }

    #[test]
    fn fires_above_two_degrees_under_boost() {
        assert_eq!(of(&weighed(&[(90.0, 1.0), (105.0, 0.5), (120.0, 0.5)]), "boost_trim"), []);
        let found = only(&weighed(&[(90.0, 1.0), (105.0, 0.55), (120.0, 0.0)]), "boost_trim");
        assert_eq!((found.severity, found.value), (Severity::Warning, 2.2));
        assert_eq!(found.message, "the trims add up to 2.2° at 105 kPa");
        let rising = only(&weighed(&[(40.0, 0.0), (115.0, 0.0), (130.0, 0.75)]), "boost_trim");
        assert_eq!(rising.message, "the trims add up to 3.0° at 130 kPa");
        let drawn =
            weighed(&[(40.0, 1.0), (120.0, 1.0)]).edit(|parts| parts.engine.induction = Induction::NaturallyAspirated);
        assert_eq!(of(&drawn.unwrap(), "boost_trim"), []);
    }
}
