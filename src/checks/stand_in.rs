//! Stand-in temperatures at which a failed sender adds advance.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::subject::{Subject, degrees};
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::{Sender, Trim, thresholds};
use crate::wording::{Unit, quantity, settle};

const MOST: Threshold = thresholds::STAND_IN_DEG;

pub(super) const CHECK: Check = Check {
    id: "stand_in",
    title: "Stand-in adds advance",
    reason: "A sender fails unseen, with the engine hot; a stand-in for a cold one then adds advance for good.",
    since: 2,
    sections: &[Section::Sensors],
    is_of_map: true,
    grounds: &[],
    thresholds: &[MOST],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (sensors, trims) = (&subject.sensors, &subject.trims);
    let coolant = added(subject, "coolant", &sensors.coolant, &trims.coolant);
    coolant.into_iter().chain(added(subject, "air", &sensors.air, &trims.air)).collect()
}

fn added(subject: &Subject<'_>, name: &str, sender: &Sender, trim: &Trim) -> Option<Noticed> {
    let most_weight = trim.weight.values().iter().copied().fold(0.0, f64::max);
    let (value, bound) = (settle(trim.degrees.lookup(sender.stand_in_c) * most_weight), subject.bound(&MOST));
    if !trim.enabled || !subject.is_over(value, bound) {
        return None;
    }
    Some(Noticed {
        severity: Severity::Warning,
        place: Place::field(format!("sensors.{name}.stand_in_c"), format!("{name} stand-in")),
        message: format!(
            "when the {name} sender fails, {} stands in for it and adds {}",
            quantity(sender.stand_in_c, Unit::Celsius),
            degrees(value)
        ),
        remedy: "Choose a temperature at which the trim adds nothing: that of the warm engine or a hot intake.".into(),
        value,
        bound,
        cure: None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{curve, of, only, severity_after, sound};

    /// The coolant trim adds 1 degree at 60 °C and nothing from 75 °C on.
    #[test]
    fn fires_where_the_trim_adds_at_the_stand_in() {
        assert_eq!(severity_after("stand_in", |parts| parts.sensors.coolant.stand_in_c = 75.0), None);
        let cold = sound().edit(|parts| parts.sensors.coolant.stand_in_c = 60.0).unwrap();
        let found = only(&cold, "stand_in");
        assert_eq!((found.severity, found.value), (Severity::Warning, 1.0));
        assert_eq!(found.message, "when the coolant sender fails, 60 °C stands in for it and adds 1.0°");
        let off = cold.edit(|parts| parts.trims.coolant.enabled = false).unwrap();
        assert_eq!(of(&off, "stand_in"), []);
        let weightless = cold.edit(|parts| parts.trims.coolant.weight = curve(&[(0.0, 0.0), (100.0, 0.0)])).unwrap();
        assert_eq!(of(&weightless, "stand_in"), []);
    }
}
