//! Where an accepted finding of version 1 is: its place was kept in words, always these.

use std::collections::BTreeMap;

use crate::project::FindingPlace;

/// What the words may name in a project.
pub(super) struct Names {
    pub(super) speeds_rpm: Vec<f64>,
    pub(super) loads: Vec<f64>,
    pub(super) outputs: Vec<String>,
    pub(super) thresholds: BTreeMap<String, f64>,
}

/// The signals of version 1.
const SIGNALS: [&str; 8] = ["speed", "load", "throttle", "pressure", "coolant", "air", "battery", "advance"];

/// Checks whose findings were in the advance table.
pub(super) const IN_THE_TABLE: [&str; 13] = [
    "stands_out",
    "slope_speed",
    "slope_load",
    "load_trend",
    "boost_trend",
    "full_load_line",
    "ceiling",
    "top_row",
    "reach",
    "crowded",
    "idle_slope",
    "idle_rows",
    "cranking_step",
];

/// Checks whose findings each had words of their own for a field: check, words, field.
pub(super) const IN_FIELDS: [(&str, &str, &str); 25] = [
    ("zero_offset", "zero offset", "trigger.zero_offset_deg"),
    ("zero_proof", "zero", "timing_light.readings"),
    ("zero_proof", "zero, other wheel", "timing_light.wheel"),
    ("zero_proof", "zero, trigger moved", "timing_light.reference_deg"),
    ("hot_trim", "coolant trim", "trims.coolant.degrees"),
    ("hot_trim", "air trim", "trims.air.degrees"),
    ("cranking_order", "the first spark comes", "limits.cranking.no_spark_below_rpm"),
    ("cranking_order", "cranking begins again", "limits.cranking.below_rpm"),
    ("cranking_order", "the way out of cranking ends", "limits.cranking.blend_rpm"),
    ("over_speed_order", "over-speed limit", "limits.over_speed.enabled"),
    ("over_speed_order", "over-speed cut", "limits.over_speed.cuts_at_rpm"),
    ("over_speed_order", "over-speed easing", "limits.over_speed.eases_from_rpm"),
    ("over_speed_order", "over-speed hysteresis", "limits.over_speed.fires_again_below_rpm"),
    ("over_speed_order", "over-speed full cut", "limits.over_speed.cuts_all_at_rpm"),
    ("launch_order", "launch arming", "limits.launch.arms_below_rpm"),
    ("launch_order", "launch retard", "limits.launch.retards_from_rpm"),
    ("launch_order", "launch resume drop", "limits.launch.resume_drop_rpm"),
    ("launch_order", "launch cut", "limits.launch.cuts_at_rpm"),
    ("late_launch", "launch advance", "limits.launch.advance_deg"),
    ("clamp_order", "floor and ceiling", "limits.clamp.floor_deg"),
    ("clamp_order", "floor and launch", "limits.launch.advance_deg"),
    ("clamp_order", "floor and cranking", "limits.cranking.advance_deg"),
    ("coil_current", "dwell and rating", "coil.dwell_ms"),
    ("tachometer", "tachometer", "tachometer.pulses_per_revolution"),
    ("locked_timing", "locked timing", "locked_timing_deg"),
];

/// The place that the words of a check meant; `None` where they are not the check's.
pub(super) fn place_of(id: &str, words: &str, names: &Names) -> Option<FindingPlace> {
    if IN_THE_TABLE.contains(&id) {
        return cells(words, names);
    }
    if let Some((.., field)) = IN_FIELDS.iter().find(|(check, own, _)| *check == id && *own == words) {
        return Some(FindingPlace::field(*field));
    }
    match id {
        "gap" => {
            let coils = words.strip_prefix("gap, coils ").or_else(|| words.strip_prefix("gap, coil "))?;
            Some(FindingPlace { of: coils.to_owned(), ..FindingPlace::field("trigger.reference_deg") })
        }
        "cranking_error" => {
            let coil = words.strip_prefix("cranking, coil ")?;
            Some(FindingPlace { of: coil.to_owned(), ..FindingPlace::field("trigger.reference_deg") })
        }
        "dwell_fit" => voltage(words.strip_prefix("dwell at ")?, names),
        "coil_energy" => voltage(words.split_once(", ")?.0, names),
        "chatter" => {
            let (output, signal) = condition(words)?;
            Some(FindingPlace::field(format!("outputs[{output}].conditions[{signal}].off")))
        }
        "output_sense" => Some(FindingPlace::field(output(words, names))),
        "image_holds" => match words.strip_prefix("image item ")? {
            "?" => Some(FindingPlace::field("image.items")),
            item => Some(FindingPlace::field(format!("image.items[{item}]"))),
        },
        "image_loss" => {
            let (item, what) = words.strip_prefix("image item ")?.rsplit_once(", ")?;
            let field = match what {
                "rounding" => "scale",
                "size" => "speeds",
                _ => return None,
            };
            Some(FindingPlace::field(format!("image.items[{item}].{field}")))
        }
        "locked_timing" if words == "last export" => Some(FindingPlace::field("last_export")),
        "settings" => Some(FindingPlace::field(format!("checks.thresholds.{words}"))),
        _ => None,
    }
}

/// '3000–3800 rpm, 40 kPa': the bounds of the cells, each with two decimals at most.
fn cells(words: &str, names: &Names) -> Option<FindingPlace> {
    let (speeds, loads) = words.split_once(", ")?;
    let speeds = range(speeds.strip_suffix(" rpm")?)?;
    let loads = range(loads.split_once(' ')?.0)?;
    let on = |axis: &[f64], (low, high): (f64, f64)| (nearest(axis, low), nearest(axis, high));
    Some(FindingPlace::cells(on(&names.speeds_rpm, speeds), on(&names.loads, loads)))
}

fn range(words: &str) -> Option<(f64, f64)> {
    let (low, high) = words.split_once('–').unwrap_or((words, words));
    Some((number(low)?, number(high)?))
}

fn number(words: &str) -> Option<f64> {
    words.replace('\u{2212}', "-").parse().ok().filter(|value: &f64| value.is_finite())
}

/// The breakpoint that was written with two decimals; the written number where that breakpoint no longer exists.
fn nearest(known: &[f64], told: f64) -> f64 {
    let near = known.iter().copied().filter(|value| (value - told).abs() <= 0.005_000_001);
    near.min_by(|a, b| (a - told).abs().total_cmp(&(b - told).abs())).unwrap_or(told)
}

/// '13.8 V' on the curve of the dwell.
fn voltage(words: &str, names: &Names) -> Option<FindingPlace> {
    let told = number(words.strip_suffix(" V")?)?;
    let own: Vec<f64> = names.thresholds.iter().filter(|(name, _)| name.ends_with("_v")).map(|(_, &v)| v).collect();
    Some(FindingPlace { at: Some(nearest(&own, told)), ..FindingPlace::field("coil.dwell_ms") })
}

/// 'fan, coolant': an output and the signal of its condition.
fn condition(words: &str) -> Option<(&str, &str)> {
    words.rsplit_once(", ").filter(|(_, signal)| SIGNALS.contains(signal))
}

/// 'fan', 'fan, coolant', 'fan, blinking'.
fn output(words: &str, names: &Names) -> String {
    if !names.outputs.iter().any(|output| output == words) {
        if let Some((output, signal)) = condition(words) {
            return format!("outputs[{output}].conditions[{signal}].on");
        }
        if let Some(output) = words.strip_suffix(", blinking") {
            return format!("outputs[{output}].blinks_from_rpm");
        }
    }
    format!("outputs[{words}].conditions")
}
