//! A pressure sensor whose range ends below the pressure to expect.

use super::Severity;
use super::check::{Check, Ground};
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::Subject;
use crate::compare::Section;
use crate::project::LoadKind;
use crate::wording::{Unit, quantity};

pub(super) const CHECK: Check = Check {
    id: "sensor_range",
    title: "Pressure sensor too short",
    reason: "Above the end of its range a sensor stands still, and so does the spark, however far the boost rises.",
    since: 2,
    sections: &[Section::Sensors],
    is_of_map: false,
    grounds: &[Ground::HIGHEST_PRESSURE],
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (sensor, highest_kpa) = (&subject.sensors.pressure, subject.engine.highest_pressure_kpa);
    let up_to_kpa = sensor.first_reads.max(sensor.second_reads);
    let is_load = subject.sensors.load == LoadKind::Pressure && sensor.fitted;
    if !is_load || !subject.is_over(highest_kpa, Bound::of(up_to_kpa, Unit::Kilopascal)) {
        return Vec::new();
    }
    let field = if sensor.first_reads > sensor.second_reads { "first_reads" } else { "second_reads" };
    let severity = if subject.engine.induction.is_boosted() { Severity::Error } else { Severity::Warning };
    vec![Noticed {
        severity,
        place: Place::field(format!("sensors.pressure.{field}"), "pressure sensor"),
        message: format!(
            "the pressure sensor reads up to {}, but up to {} are expected",
            quantity(up_to_kpa, Unit::Kilopascal),
            quantity(highest_kpa, Unit::Kilopascal)
        ),
        remedy: "Fit a sensor with a longer range, or give the ends of its range as its calibration.".into(),
        value: up_to_kpa,
        bound: Bound::of(highest_kpa, Unit::Kilopascal),
        cure: None,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only, sound, sound_pressure};
    use crate::project::{Induction, Project};

    fn up_to(kpa: f64) -> Project {
        sound_pressure().edit(|parts| parts.sensors.pressure.second_reads = kpa).unwrap()
    }

    #[test]
    fn fires_below_the_highest_pressure() {
        assert_eq!(of(&up_to(100.0), "sensor_range"), []);
        assert_eq!(only(&up_to(99.0), "sensor_range").severity, Severity::Warning);
        let boost = |parts: &mut crate::project::Parts| {
            (parts.engine.induction, parts.engine.highest_pressure_kpa) = (Induction::Boosted, 150.0);
        };
        let found = only(&up_to(115.0).edit(boost).unwrap(), "sensor_range");
        assert_eq!(found.severity, Severity::Error);
        assert_eq!(found.message, "the pressure sensor reads up to 115 kPa, but up to 150 kPa are expected");
    }

    #[test]
    fn a_falling_sensor_ends_at_its_first_point_and_others_do_not_matter() {
        let falling = up_to(20.0).edit(|parts| parts.sensors.pressure.first_reads = 250.0).unwrap();
        assert_eq!(of(&falling, "sensor_range"), []);
        let throttle = sound().edit(|parts| parts.sensors.pressure.second_reads = 50.0).unwrap();
        assert_eq!(of(&throttle, "sensor_range"), []);
    }
}
