//! A plug gap too wide for the boost.

use super::check::{Check, Ground};
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::Subject;
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::wording::{Unit, quantity, settle};

const MOST: Threshold = thresholds::PLUG_GAP_MM;
const LESS: Threshold = thresholds::PLUG_GAP_LESS_MM_PER_100_KPA;

pub(super) const CHECK: Check = Check {
    id: "plug_gap",
    title: "Plug gap too wide for the boost",
    reason: "Under pressure a wide gap asks for more voltage than the coil has; the spark fails at full boost, or goes \
             through the cap or the insulation.",
    since: 2,
    sections: &[Section::Engine],
    is_of_map: false,
    grounds: &[Ground::PLUG_GAP, Ground::HIGHEST_PRESSURE],
    thresholds: &[MOST, LESS],
    find,
};

/// For a boosted engine at most 0.9 mm less 0.002 mm for each kPa above 100: common practice, no source.
fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let engine = &subject.engine;
    let above_kpa = (engine.highest_pressure_kpa - 100.0).max(0.0);
    let most_mm = settle(subject.threshold(&MOST) - subject.threshold(&LESS) * above_kpa / 100.0);
    let most = Bound::of(most_mm, Unit::Millimetre);
    if !engine.induction.is_boosted() || !subject.is_over(engine.plug_gap_mm, most) {
        return Vec::new();
    }
    let remedy = if most_mm > 0.0 {
        format!("Set the plugs to {} or less.", quantity(most_mm, Unit::Millimetre))
    } else {
        "No gap is small enough for so much boost with these limits; ask the maker of the coil.".into()
    };
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field("engine.plug_gap_mm", "plug gap"),
        message: format!(
            "the plugs have {} at up to {}",
            quantity(engine.plug_gap_mm, Unit::Millimetre),
            quantity(engine.highest_pressure_kpa, Unit::Kilopascal)
        ),
        remedy,
        value: engine.plug_gap_mm,
        bound: most,
        cure: None,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only, sound_pressure};
    use crate::project::{Induction, Project};

    fn with(gap_mm: f64, highest_kpa: f64) -> Project {
        let change = |parts: &mut crate::project::Parts| {
            let engine = &mut parts.engine;
            (engine.induction, engine.plug_gap_mm) = (Induction::Boosted, gap_mm);
            engine.highest_pressure_kpa = highest_kpa;
        };
        sound_pressure().edit(change).unwrap()
    }

    #[test]
    fn fires_above_what_the_boost_allows() {
        assert_eq!(of(&with(0.8, 150.0), "plug_gap"), []);
        let found = only(&with(0.81, 150.0), "plug_gap");
        assert_eq!((found.severity, found.threshold), (Severity::Warning, 0.8));
        assert_eq!(found.message, "the plugs have 0.81 mm at up to 150 kPa");
        assert_eq!(of(&with(0.6, 250.0), "plug_gap"), []);
        assert_eq!(of(&with(0.65, 250.0), "plug_gap").len(), 1);
        let drawn = with(1.1, 100.0).edit(|parts| parts.engine.induction = Induction::NaturallyAspirated).unwrap();
        assert_eq!(of(&drawn, "plug_gap"), []);
    }
}
