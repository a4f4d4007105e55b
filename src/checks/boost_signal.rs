//! Boost that the load signal does not show, or that the project does not declare.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::{Bound, exceeds};
use super::subject::Subject;
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::{LoadKind, thresholds};
use crate::wording::{Unit, quantity};

const DRAWN: Threshold = thresholds::BOOST_SIGNAL_KPA;

pub(super) const CHECK: Check = Check {
    id: "boost_signal",
    title: "Boost out of sight",
    reason: "With the throttle half open a boosted engine may already be at full boost; spark for which the pressure \
             is not known is spark for cruising at full load.",
    since: 2,
    sections: &[Section::Sensors, Section::Engine],
    is_of_map: false,
    grounds: &[],
    thresholds: &[DRAWN],
    find,
};

/// Atmospheric pressure.
const ATMOSPHERE_KPA: f64 = 100.0;

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (engine, is_boosted) = (&subject.engine, subject.engine.induction.is_boosted());
    let highest_kpa = engine.highest_pressure_kpa;
    let on_throttle = (is_boosted && subject.sensors.load == LoadKind::Throttle).then(|| Noticed {
        severity: Severity::Error,
        place: Place::field("sensors.load", "load signal"),
        message: "a boosted engine has throttle opening as its load, which does not show boost".into(),
        remedy: "Fit a manifold pressure sensor and begin anew with pressure as the load.".into(),
        value: 0.0,
        bound: Bound::of(1.0, Unit::None),
        cure: None,
    });
    let without_boost = (is_boosted && !exceeds(highest_kpa, ATMOSPHERE_KPA)).then(|| Noticed {
        severity: Severity::Warning,
        place: Place::field("engine.highest_pressure_kpa", "highest pressure"),
        message: format!("a boosted engine is said to have {} at most", quantity(highest_kpa, Unit::Kilopascal)),
        remedy: "Say how high the manifold pressure may rise; every check of boost rests on it.".into(),
        value: highest_kpa,
        bound: Bound::of(ATMOSPHERE_KPA, Unit::Kilopascal),
        cure: None,
    });
    let drawn = subject.bound(&DRAWN);
    let untold = (!is_boosted && exceeds(highest_kpa, drawn.allowed)).then(|| Noticed {
        severity: Severity::Warning,
        place: Place::field("engine.induction", "induction"),
        message: format!("up to {} are expected on an engine without boost", quantity(highest_kpa, Unit::Kilopascal)),
        remedy: "Say that the engine is boosted, or correct the highest pressure.".into(),
        value: highest_kpa,
        bound: drawn,
        cure: None,
    });
    [on_throttle, without_boost, untold].into_iter().flatten().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only, sound, sound_pressure};
    use crate::project::{Induction, Project};

    fn with(start: &Project, induction: Induction, highest_kpa: f64) -> Project {
        let change = |parts: &mut crate::project::Parts| {
            (parts.engine.induction, parts.engine.highest_pressure_kpa) = (induction, highest_kpa);
        };
        start.edit(change).unwrap()
    }

    #[test]
    fn boost_on_throttle_load_is_an_error() {
        let found = only(&with(&sound(), Induction::Boosted, 150.0), "boost_signal");
        assert_eq!((found.severity, found.place.words.as_str()), (Severity::Error, "load signal"));
        assert_eq!(of(&with(&sound_pressure(), Induction::Boosted, 150.0), "boost_signal"), []);
    }

    #[test]
    fn boost_without_pressure_and_pressure_without_boost_are_told() {
        let none = only(&with(&sound_pressure(), Induction::Boosted, 100.0), "boost_signal");
        assert_eq!(none.message, "a boosted engine is said to have 100 kPa at most");
        assert_eq!(of(&with(&sound_pressure(), Induction::Boosted, 101.0), "boost_signal"), []);
        assert_eq!(of(&with(&sound_pressure(), Induction::NaturallyAspirated, 110.0), "boost_signal"), []);
        let untold = only(&with(&sound(), Induction::NaturallyAspirated, 111.0), "boost_signal");
        assert_eq!((untold.severity, untold.place.words.as_str()), (Severity::Warning, "induction"));
    }
}
