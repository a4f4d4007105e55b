//! What is said of an instant of the run, in physical units.

use super::bench::Driven;
use crate::drawing::Trace;
use crate::rig::{CoilEnd, Reach, Revolution, Samples, What};
use crate::spark::State;
use crate::window::views::view::View;
use crate::wording::{Unit, figure, fixed, one_line, signed, with_unit};

/// '7.42 s', with more decimals where a screen shows less than a second.
pub(super) fn time(time_s: f64, shown_s: f64) -> String {
    let decimals = if shown_s > 2.0 { 2 } else { 4 };
    with_unit(&fixed(time_s, decimals), Unit::Second)
}

/// Where the crank stands against the first dead centre: '31.0° before TDC 1'.
pub(super) fn crank(driven: &Driven, crank_deg: f64) -> String {
    let before_deg = driven.layout.before_tdc_deg(0, crank_deg);
    let side = if before_deg < 0.0 { "after" } else { "before" };
    let first = driven.project.engine.channels.first().map_or(1, |channel| channel.cylinders[0]);
    format!("{} {side} TDC {first}", with_unit(&fixed(before_deg.abs(), 1), Unit::Degree))
}

/// What the record says of a stretch of time.
pub(super) fn at_time(driven: &Driven, from_s: f64, to_s: f64, view: &View<'_>) -> String {
    let middle_s = f64::midpoint(from_s, to_s);
    let row = driven.run.at(middle_s);
    let mut column = driven.record.between(from_s, to_s);
    // Looked at closely, nothing may happen at a point: what was last holds.
    if let Some(detail) = driven.record.detail() {
        for (reach, samples) in
            [(&mut column.commanded_deg, &detail.commanded_deg), (&mut column.error_deg, &detail.error_deg)]
        {
            if let Some((_, last)) = samples.before(to_s).filter(|_| reach.is_empty()) {
                *reach = last;
            }
        }
    }
    let (start_s, end_s) = driven.record.span_s();
    let unit = view.project.sensors.load.unit();
    let mut words =
        vec![time(middle_s, end_s - start_s), figure(row.speed_rpm, Unit::Rpm), with_unit(&fixed(row.load, 0), unit)];
    if !column.commanded_deg.is_empty() {
        words.push(format!("commanded {}", with_unit(&reach(column.commanded_deg, 1), Unit::Degree)));
    }
    if !column.error_deg.is_empty() {
        words.push(format!("error {}", with_unit(&reach(column.error_deg, 2), Unit::Degree)));
    }
    if column.cuts > 0 {
        words.push(format!("{} cut", column.cuts));
    }
    words.extend(state_at(driven, middle_s).map(|state| state.words().to_owned()));
    words.push(with_unit(&fixed(row.battery_v, 1), Unit::Volt));
    words.join(" · ")
}

fn reach(reach: Reach, decimals: usize) -> String {
    let (low, high) = (signed_if(reach.low, decimals), signed_if(reach.high, decimals));
    if low == high { low } else { format!("{low} to {high}") }
}

/// Errors carry their sign; advances only a minus.
fn signed_if(value: f64, decimals: usize) -> String {
    if decimals > 1 { signed(value, decimals) } else { fixed(value, decimals) }
}

/// The state at a time.
pub(super) fn state_at(driven: &Driven, time_s: f64) -> Option<State> {
    let changes = driven.record.changes();
    let until = changes.partition_point(|event| event.time_s <= time_s);
    let state = |what: &What| if let What::State(state) = what { Some(*state) } else { None };
    changes.get(..until)?.iter().rev().find_map(|event| state(&event.what))
}

/// What a coil does at an instant: 'coil A charging, 5.2 A after 2.1 ms'.
pub(super) fn coil(driven: &Driven, revolution: &Revolution, channel: usize, time_s: f64) -> String {
    let name = driven.project.engine.channels.get(channel).map_or("", |channel| channel.name.as_str());
    let name = one_line(name);
    let own = || revolution.coils.iter().filter(|coil| coil.channel == channel);
    if let Some(coil) = own().find(|coil| coil.from.0 <= time_s && time_s < coil.to.0) {
        let ms = (time_s - coil.from.0) * 1e3;
        let current_a = driven.project.coil.current_a(ms, coil.battery_v);
        return format!(
            "coil {name} charging, {} after {}",
            figure(current_a, Unit::Ampere),
            figure(ms, Unit::Millisecond)
        );
    }
    let last = own().filter(|coil| coil.to.0 <= time_s).max_by(|a, b| a.to.0.total_cmp(&b.to.0));
    match last.map(|coil| coil.end) {
        Some(CoilEnd::Spark { actual_deg, current_a, energy_mj }) => format!(
            "coil {name} fired at {}, {}, {} stored",
            with_unit(&fixed(actual_deg, 1), Unit::Degree),
            figure(current_a, Unit::Ampere),
            figure(energy_mj, Unit::Millijoule)
        ),
        Some(CoilEnd::LetDown) => format!("coil {name} was let down without a spark"),
        _ => format!("coil {name} idle"),
    }
}

/// The advance commanded last before a time.
pub(super) fn commanded_before(driven: &Driven, time_s: f64) -> Option<f64> {
    driven.record.detail()?.commanded_deg.before(time_s).map(|(_, reach)| reach.high)
}

/// A timing error with the side it is on, unless it rounds to nothing: '0.03° early'.
pub(super) fn error(late_deg: f64) -> String {
    let size = figure(late_deg.abs(), Unit::Degree);
    if size == figure(0.0, Unit::Degree) {
        return size;
    }
    format!("{size} {}", if late_deg < 0.0 { "early" } else { "late" })
}

/// What each lane of a trace reads at a time, by the index of its row: what holds there since the last edge or spark.
pub(super) fn readings(driven: &Driven, time_s: f64, shown_s: f64) -> Vec<(usize, String)> {
    let Some(detail) = driven.record.detail() else { return Vec::new() };
    let last = |samples: &Samples| samples.before(time_s).map(|(_, reach)| reach.high);
    let state = state_at(driven, time_s).map_or(String::new(), |state| format!(" · {}", state.words()));
    let mut readings = vec![(Trace::STATE, format!("{}{state}", time(time_s, shown_s)))];
    readings.extend(last(&detail.speed_rpm).map(|rpm| (Trace::SPEED, figure(rpm, Unit::Rpm))));
    let degrees = |deg: f64| with_unit(&fixed(deg, 1), Unit::Degree);
    if let Some(commanded_deg) = last(&detail.commanded_deg) {
        let actual = last(&detail.actual_deg).map(|deg| format!(", last spark {}", degrees(deg)));
        readings.push((Trace::ADVANCE, format!("{} commanded{}", degrees(commanded_deg), actual.unwrap_or_default())));
    }
    readings.extend(last(&detail.error_deg).map(|deg| (Trace::ERROR, error(deg))));
    readings
}

#[cfg(test)]
mod tests {
    use super::error;

    #[test]
    fn an_error_is_late_or_early_unless_it_rounds_to_nothing() {
        assert_eq!(error(0.4), "0.40° late");
        assert_eq!(error(-0.03), "0.03° early");
        assert_eq!([error(0.004), error(-0.004), error(-0.0)], ["0.00°"; 3]);
    }
}
