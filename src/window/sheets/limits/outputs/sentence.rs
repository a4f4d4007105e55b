//! An output's conditions read back as a sentence.

use crate::project::{Combine, Condition, LoadKind, Output};
use crate::table::shortest;

fn quantity(value: f64, condition: &Condition, load: LoadKind) -> String {
    let number = shortest(value).replace('-', "\u{2212}");
    match condition.signal.unit(load) {
        "°" => format!("{number}°"),
        unit => format!("{number} {unit}"),
    }
}

/// 'on above 92 °C, off below 88 °C'; several conditions with their signals' names; an inverted output the other way
/// about.
pub(in super::super) fn sentence(output: &Output, load: LoadKind) -> String {
    if !output.enabled {
        return "not used".into();
    }
    let [on, off] = if output.inverted { ["off", "on"] } else { ["on", "off"] };
    let conditions: Vec<String> = match output.conditions.as_slice() {
        [] => return format!("always {off}: it waits for nothing"),
        [one] => vec![alone(one, load, [on, off])],
        several => several.iter().map(|condition| among(condition, load)).collect(),
    };
    let told = match (conditions.len(), output.combine) {
        (1, _) => conditions.concat(),
        (_, Combine::All) => format!("{on} while {}", conditions.join(" and ")),
        (_, Combine::Any) => format!("{on} while {}", conditions.join(" or ")),
    };
    match output.blinks_from_rpm {
        Some(from_rpm) => format!("{told}; blinks from {} rpm", shortest(from_rpm)),
        None => told,
    }
}

fn alone(condition: &Condition, load: LoadKind, [on, off]: [&str; 2]) -> String {
    let [rise, fall] = if condition.on > condition.off { ["above", "below"] } else { ["below", "above"] };
    let [at_on, at_off] = [condition.on, condition.off].map(|value| quantity(value, condition, load));
    format!("{on} {rise} {at_on}, {off} {fall} {at_off}")
}

fn among(condition: &Condition, load: LoadKind) -> String {
    let [rise, fall] = if condition.on > condition.off { ["above", "below"] } else { ["below", "above"] };
    let [at_on, at_off] = [condition.on, condition.off].map(|value| quantity(value, condition, load));
    format!("{} goes {rise} {at_on} (until {fall} {at_off})", condition.signal.name())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::Signal;

    fn output(conditions: &[(Signal, f64, f64)]) -> Output {
        let condition = |&(signal, on, off): &(Signal, f64, f64)| Condition { signal, on, off };
        Output {
            name: "fan".into(),
            enabled: true,
            conditions: conditions.iter().map(condition).collect(),
            combine: Combine::All,
            inverted: false,
            blinks_from_rpm: None,
        }
    }

    #[test]
    fn conditions_are_read_back_in_words() {
        let tell = |output: &Output| sentence(output, LoadKind::Throttle);
        let fan = output(&[(Signal::Coolant, 92.0, 88.0)]);
        assert_eq!(tell(&fan), "on above 92 °C, off below 88 °C");
        assert_eq!(tell(&Output { inverted: true, ..fan.clone() }), "off above 92 °C, on below 88 °C");
        assert_eq!(tell(&output(&[(Signal::Battery, 11.5, 12.0)])), "on below 11.5 V, off above 12 V");
        let light = Output { blinks_from_rpm: Some(6400.0), ..output(&[(Signal::Speed, 6100.0, 5950.0)]) };
        assert_eq!(tell(&light), "on above 6100 rpm, off below 5950 rpm; blinks from 6400 rpm");
        let both = output(&[(Signal::Speed, 3000.0, 2800.0), (Signal::Load, 60.0, 50.0)]);
        assert_eq!(
            tell(&both),
            "on while speed goes above 3000 rpm (until below 2800 rpm) and load goes above 60 % (until below 50 %)"
        );
        assert!(tell(&Output { combine: Combine::Any, ..both }).contains(" or load"));
        assert_eq!(tell(&output(&[])), "always off: it waits for nothing");
        assert_eq!(tell(&Output { inverted: true, ..output(&[]) }), "always on: it waits for nothing");
        assert_eq!(tell(&Output { enabled: false, ..fan }), "not used");
    }
}
