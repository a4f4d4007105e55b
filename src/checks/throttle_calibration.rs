//! A throttle sensor wired so that its voltage falls as the throttle opens.

use super::Severity;
use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::Subject;
use crate::compare::Section;
use crate::project::LoadKind;
use crate::wording::{Unit, quantity};

pub(super) const CHECK: Check = Check {
    id: "throttle_calibration",
    title: "Throttle the wrong way about",
    reason: "A throttle sensor whose voltage falls has its end wires swapped; a broken signal wire then reads as a \
             throttle that is wide open or shut.",
    since: 2,
    sections: &[Section::Sensors],
    is_of_map: false,
    grounds: &[],
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let sensor = &subject.sensors.throttle;
    let (apart_v, apart_pct) = (sensor.second_v - sensor.first_v, sensor.second_reads - sensor.first_reads);
    if !sensor.fitted || apart_v * apart_pct >= 0.0 {
        return Vec::new();
    }
    let (closed_v, open_v) =
        if apart_pct > 0.0 { (sensor.first_v, sensor.second_v) } else { (sensor.second_v, sensor.first_v) };
    let is_load = subject.sensors.load == LoadKind::Throttle;
    vec![Noticed {
        severity: if is_load { Severity::Error } else { Severity::Warning },
        place: Place::field("sensors.throttle.first_v", "throttle sensor"),
        message: format!(
            "the throttle sensor's voltage falls from {} to {} as the throttle opens",
            quantity(closed_v, Unit::Volt),
            quantity(open_v, Unit::Volt)
        ),
        remedy: "Swap the two end wires of the sensor, then calibrate it again on its worksheet.".into(),
        value: open_v,
        bound: Bound::of(closed_v, Unit::Volt),
        cure: None,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{only, severity_after, sound, sound_pressure};

    #[test]
    fn fires_where_the_voltage_falls() {
        let id = "throttle_calibration";
        assert_eq!(severity_after(id, |parts| parts.sensors.throttle.second_v = 0.6), None);
        assert_eq!(severity_after(id, |parts| parts.sensors.throttle.second_v = 0.4), Some(Severity::Error));
        let both = |parts: &mut crate::project::Parts| {
            let throttle = &mut parts.sensors.throttle;
            (throttle.first_reads, throttle.second_reads) = (100.0, 0.0);
        };
        let found = only(&sound().edit(both).unwrap(), id);
        assert_eq!(found.message, "the throttle sensor's voltage falls from 4.5 V to 0.5 V as the throttle opens");
        assert_eq!(only(&sound_pressure().edit(both).unwrap(), id).severity, Severity::Warning);
        let gone = |parts: &mut crate::project::Parts| {
            both(parts);
            parts.sensors.throttle.fitted = false;
        };
        assert_eq!(severity_after(id, gone), None);
    }
}
