//! Trims that add advance when it is hot.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::idle_slope::rows;
use super::margin::Bound;
use super::subject::{Subject, degrees};
use super::{Change, Cure, Severity, Threshold};
use crate::compare::Section;
use crate::project::{Trim, thresholds};
use crate::table::Curve;
use crate::wording::{Unit, quantity};

const COOLANT: Threshold = thresholds::HOT_TRIM_COOLANT_C;
const AIR: Threshold = thresholds::HOT_TRIM_AIR_C;

pub(super) const CHECK: Check = Check {
    id: "hot_trim",
    title: "Hot trim adds advance",
    reason: "A hot charge knocks sooner; a trim that adds advance in the heat takes away the margin when it is needed \
             most.",
    since: 1,
    sections: &[Section::Trims],
    is_of_map: true,
    grounds: &[],
    thresholds: &[COOLANT, AIR],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let trims = &subject.trims;
    let coolant = hot(subject, &trims.coolant, "coolant", &COOLANT, Change::CoolantTrim);
    let air = hot(subject, &trims.air, "air", &AIR, Change::AirTrim);
    coolant.into_iter().chain(air).collect()
}

fn hot(
    subject: &Subject<'_>,
    trim: &Trim,
    name: &str,
    from: &Threshold,
    change: fn(Curve) -> Change,
) -> Option<Noticed> {
    let from_c = subject.threshold(from);
    let hot = trim.degrees.points().filter(|(at_c, _)| *at_c > from_c);
    let (at_c, deg) = std::iter::once((from_c, trim.degrees.lookup(from_c)))
        .chain(hot)
        .reduce(|most, next| if next.1 > most.1 { next } else { most })?;
    if !trim.enabled || deg <= 0.0 || !acts_outside_idle(subject, trim) {
        return None;
    }
    let label = format!("Let the {name} trim add nothing above {}", quantity(from_c, Unit::Celsius));
    Some(Noticed {
        severity: Severity::Warning,
        place: Place::field(format!("trims.{name}.degrees"), format!("{name} trim")),
        message: format!("the {name} trim adds {} at {}", degrees(deg), quantity(at_c, Unit::Celsius)),
        remedy: format!("Let the trim take advance away, or add nothing, above {}.", quantity(from_c, Unit::Celsius)),
        value: deg,
        bound: Bound::of(0.0, Unit::Degree),
        cure: cooled(&trim.degrees, from_c).map(|curve| Cure::new(label, change(curve))),
    })
}

/// Whether a trim has any weight above the rows around idle. At idle, some more advance in a hot engine is
/// acceptable, so that its pump and fan turn faster: common practice, no source.
fn acts_outside_idle(subject: &Subject<'_>, trim: &Trim) -> bool {
    let [_, above_idle] = rows(subject);
    let end = subject.load(above_idle);
    trim.weight.lookup(end) > 0.0 || trim.weight.points().any(|(load, weight)| load > end && weight > 0.0)
}

/// The same curve with nothing added from a temperature up; `None` if there is no room for a point at that
/// temperature.
fn cooled(curve: &Curve, from_c: f64) -> Option<Curve> {
    let mut points: Vec<(f64, f64)> = curve.points().filter(|(at_c, _)| *at_c < from_c).collect();
    points.push((from_c, curve.lookup(from_c).min(0.0)));
    points.extend(curve.points().filter(|(at_c, _)| *at_c > from_c).map(|(at_c, deg)| (at_c, deg.min(0.0))));
    Curve::from_points(&points).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{cured, curve, of, only, sound};
    use crate::project::Project;

    fn coolant(points: &[(f64, f64)]) -> Project {
        sound().edit(|parts| parts.trims.coolant.degrees = curve(points)).unwrap()
    }

    #[test]
    fn fires_when_anything_is_added_in_the_heat() {
        assert_eq!(of(&coolant(&[(-20.0, 4.0), (90.0, 0.0), (110.0, -3.0)]), "hot_trim"), []);
        let found = only(&coolant(&[(-20.0, 4.0), (90.0, 0.0), (110.0, 0.5)]), "hot_trim");
        assert_eq!((found.severity, found.place.words.as_str()), (Severity::Warning, "coolant trim"));
        assert_eq!(found.message, "the coolant trim adds 0.5° at 110 °C");
        let air = sound().edit(|parts| parts.trims.air.degrees = curve(&[(30.0, 0.0), (70.0, 1.0)])).unwrap();
        assert_eq!(only(&air, "hot_trim").message, "the air trim adds 1.0° at 70 °C");
        let off = air.edit(|parts| parts.trims.air.enabled = false).unwrap();
        assert_eq!(of(&off, "hot_trim"), []);
    }

    #[test]
    fn the_remedy_leaves_the_cold_side_as_it_is() {
        let (after, label) = cured(&coolant(&[(-20.0, 4.0), (80.0, 2.0), (110.0, 1.0)]), "hot_trim");
        assert_eq!(label, "Let the coolant trim add nothing above 90 °C");
        let curve = &after.trims.coolant.degrees;
        assert_eq!((curve.lookup(-20.0), curve.lookup(80.0), curve.lookup(90.0)), (4.0, 2.0, 0.0));
    }

    /// Idle is at 3 %, between the first two rows.
    #[test]
    fn at_idle_alone_it_may_add() {
        let above_idle = sound().advance.table().load().breakpoints()[1];
        let weighed = |end: f64| {
            let weight = curve(&[(0.0, 1.0), (end, 0.0), (100.0, 0.0)]);
            let hot = coolant(&[(-20.0, 4.0), (90.0, 0.0), (110.0, 2.0)]);
            hot.edit(|parts| parts.trims.coolant.weight = weight).unwrap()
        };
        assert!(above_idle > 3.0);
        assert_eq!(of(&weighed(above_idle), "hot_trim"), []);
        assert_eq!(of(&weighed(above_idle + 1.0), "hot_trim").len(), 1);
    }
}
