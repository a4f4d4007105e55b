//! A load that nothing measures.

use super::Severity;
use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::Subject;
use crate::compare::Section;
use crate::project::LoadKind;
use crate::wording::{Unit, quantity, settle};

pub(super) const CHECK: Check = Check {
    id: "load_sensor",
    title: "Load not measured",
    reason: "A unit that does not see the load fires every cylinder with the spark of one row, at full load too.",
    since: 2,
    sections: &[Section::Sensors],
    is_of_map: false,
    grounds: &[],
    thresholds: &[],
    find,
};

/// A calibration over a smaller voltage range is useless.
const LEAST_V: f64 = 0.1;

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let sensors = &subject.sensors;
    let sensor = match sensors.load {
        LoadKind::Throttle => &sensors.throttle,
        LoadKind::Pressure => &sensors.pressure,
    };
    let name = sensors.load.name();
    let told = |field: &str, message: String, remedy: String, (value, bound): (f64, Bound)| {
        let path = format!("sensors.{name}.{field}");
        let place = Place::field(path, format!("{name} sensor"));
        vec![Noticed { severity: Severity::Error, place, message, remedy, value, bound, cure: None }]
    };
    if !sensor.fitted {
        let message = format!("the load is {name}, but no {name} sensor is fitted");
        return told(
            "fitted",
            message,
            format!("Fit the {name} sensor and say so."),
            (0.0, Bound::of(1.0, Unit::None)),
        );
    }
    let (apart_v, reads_apart) =
        (settle((sensor.second_v - sensor.first_v).abs()), (sensor.second_reads - sensor.first_reads).abs());
    if apart_v < LEAST_V || reads_apart <= 0.0 {
        let unit = sensors.load.unit();
        let message = format!(
            "the {name} sensor is calibrated from {} at {} to {} at {}, which tells no load from another",
            quantity(sensor.first_reads, unit),
            quantity(sensor.first_v, Unit::Volt),
            quantity(sensor.second_reads, unit),
            quantity(sensor.second_v, Unit::Volt)
        );
        let remedy = format!("Calibrate the {name} sensor at two loads far apart.");
        return told("second_v", message, remedy, (apart_v, Bound::of(LEAST_V, Unit::Volt)));
    }
    Vec::new()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only, sound, sound_pressure};

    #[test]
    fn the_sensor_of_the_load_must_be_fitted() {
        assert_eq!(of(&sound(), "load_sensor"), []);
        let without = sound_pressure().edit(|parts| parts.sensors.pressure.fitted = false).unwrap();
        let found = only(&without, "load_sensor");
        assert_eq!(found.severity, Severity::Error);
        assert_eq!(found.message, "the load is pressure, but no pressure sensor is fitted");
        let other = sound_pressure().edit(|parts| parts.sensors.throttle.fitted = false).unwrap();
        assert_eq!(of(&other, "load_sensor"), []);
    }

    #[test]
    fn it_must_tell_loads_apart() {
        let at = |second_v: f64| sound().edit(|parts| parts.sensors.throttle.second_v = second_v).unwrap();
        assert_eq!(of(&at(0.6), "load_sensor"), []);
        assert_eq!(of(&at(0.59), "load_sensor").len(), 1);
        let same = sound().edit(|parts| parts.sensors.throttle.second_reads = 0.0).unwrap();
        assert!(only(&same, "load_sensor").message.ends_with("to 0 % at 4.5 V, which tells no load from another"));
    }
}
