//! The catalogue of fields: every value of the setup by path, with its name, unit and range. Ranges are stated
//! nowhere else; reading, editing, comparing and the forms of the window all ask here.

use std::sync::LazyLock;

use super::{Burning, Chamber, Tree};
use crate::wording::{Unit, bounds, outside, written};

/// What a field holds and what it may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FieldKind {
    /// A number in a unit, from `low` to `high`.
    Number {
        /// The unit.
        unit: Unit,
        /// The least value.
        low: f64,
        /// The greatest value.
        high: f64,
    },
    /// A whole number.
    Whole {
        /// The least value.
        low: f64,
        /// The greatest value.
        high: f64,
    },
    /// Yes or no.
    Flag,
    /// Text with a limit on its characters.
    Text {
        /// The most characters.
        most: usize,
    },
    /// One of these names.
    Choice(&'static [&'static str]),
}

/// One kind of field. `[]` in the path stands for any index, `.*` for any key.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Field {
    /// The path.
    pub path: &'static str,
    /// What people call it.
    pub label: &'static str,
    /// What it may be, as far as the catalogue alone knows; [`kind_at`](super::kind_at) gives it for a project.
    pub kind: FieldKind,
    /// What decides its unit and its range.
    pub decided_by: DecidedBy,
}

/// What decides the unit and range of a number. If it is not the catalogue, the kind in the catalogue has the
/// widest range and (zero offsets apart) no unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DecidedBy {
    /// The catalogue: they are the same in every project.
    Catalogue,
    /// What the project's load axis is.
    LoadKind,
    /// What the project's load axis is decides the unit alone: a record may go beyond what the axis allows.
    LoadUnit,
    /// The signal of the condition that the number belongs to.
    Signal,
    /// The trigger wheel.
    Wheel,
}

impl Field {
    const fn new(path: &'static str, label: &'static str, kind: FieldKind) -> Self {
        Self { path, label, kind, decided_by: DecidedBy::Catalogue }
    }

    const fn by(self, decided_by: DecidedBy) -> Self {
        Self { decided_by, ..self }
    }
}

const fn number(path: &'static str, label: &'static str, unit: Unit, low: f64, high: f64) -> Field {
    Field::new(path, label, FieldKind::Number { unit, low, high })
}

/// A number that is a load.
const fn load(path: &'static str, label: &'static str) -> Field {
    number(path, label, Unit::None, 0.0, 500.0).by(DecidedBy::LoadKind)
}

/// A number that is a condition's signal.
const fn signal(path: &'static str, label: &'static str) -> Field {
    number(path, label, Unit::None, -100.0, 30_000.0).by(DecidedBy::Signal)
}

const fn whole(path: &'static str, label: &'static str, low: f64, high: f64) -> Field {
    Field::new(path, label, FieldKind::Whole { low, high })
}

const fn flag(path: &'static str, label: &'static str) -> Field {
    Field::new(path, label, FieldKind::Flag)
}

const fn text(path: &'static str, label: &'static str, most: usize) -> Field {
    Field::new(path, label, FieldKind::Text { most })
}

const fn choice(path: &'static str, label: &'static str, names: &'static [&'static str]) -> Field {
    Field::new(path, label, FieldKind::Choice(names))
}

/// The zero offset, also that of the timing-light readings: at most three pitches of the wheel. [`FIELDS`] has
/// what the coarsest wheel allows; [`kind_at`](super::kind_at) has the range for a project's wheel.
pub(super) const ZERO_OFFSET: &str = "trigger.zero_offset_deg";
pub(super) const ZERO_OFFSET_READ_AT: &str = "timing_light.zero_offset_deg";

/// Every field of the setup except the advance table (see [`super::Advance`]), in the file's order.
#[rustfmt::skip]
pub const FIELDS: &[Field] = &[
    text("name", "Project name", 200),
    text("notes", "Notes for hand-over", 20_000),
    number("step_deg", "Step", Unit::Degree, 0.01, 10.0),
    number("locked_timing_deg", "Locked timing", Unit::Degree, -60.0, 90.0),
    text("assumed[]", "Assumed, path", 200),
    whole("engine.cylinders", "Cylinders", 4.0, 8.0),
    whole("engine.firing_order[]", "Firing order", 1.0, 8.0),
    text("engine.channels[].name", "Coil name", 40),
    whole("engine.channels[].cylinders[]", "Coil cylinders", 1.0, 8.0),
    text("engine.channels[].wiring", "Coil wiring", 400),
    number("engine.displacement_l", "Displacement", Unit::Litre, 0.1, 30.0),
    number("engine.compression_ratio", "Compression ratio", Unit::ToOne, 4.0, 20.0),
    choice("engine.induction", "Induction", &["naturally_aspirated", "boosted", "supercharged"]),
    choice("engine.mixture", "Mixture", &["carburettors", "injection"]),
    number("engine.fuel_octane_ron", "Fuel octane", Unit::Ron, 50.0, 130.0),
    number("engine.idle_speed_rpm", "Idle speed", Unit::Rpm, 200.0, 3_000.0),
    load("engine.idle_load", "Idle load"),
    number("engine.highest_pressure_kpa", "Highest pressure", Unit::Kilopascal, 50.0, 500.0),
    text("engine.plugs", "Plugs", 200),
    number("engine.plug_gap_mm", "Plug gap", Unit::Millimetre, 0.1, 3.0),
    choice("engine.chamber", "Combustion chamber", &Chamber::NAMES),
    number("engine.highest_safe_speed_rpm", "Highest safe speed", Unit::Rpm, 500.0, 30_000.0),
    choice("combustion.burning", "Kind of engine", &Burning::NAMES),
    number("combustion.bore_to_stroke", "Bore over stroke", Unit::None, 0.7, 1.6),
    number("combustion.rod_to_crank", "Rod over crank radius", Unit::None, 2.8, 5.0),
    number("combustion.rated_speed_rpm", "Rated speed", Unit::Rpm, 3_000.0, 12_000.0),
    number("combustion.overlap_deg", "Valve overlap", Unit::Degree, 0.0, 100.0),
    number("combustion.fuel_octane_mon", "Fuel octane, motor", Unit::None, 50.0, 120.0),
    number("combustion.intake_air_c", "Intake air", Unit::Celsius, -30.0, 90.0),
    number("combustion.coolant_c", "Coolant, warm", Unit::Celsius, 0.0, 130.0),
    number("combustion.ambient_kpa", "Ambient pressure", Unit::Kilopascal, 60.0, 105.0),
    number("combustion.lambda.at[]", "Lambda, pressures", Unit::Kilopascal, 0.0, 500.0),
    number("combustion.lambda.value[]", "Lambda", Unit::None, 0.5, 1.5),
    whole("trigger.wheel.teeth", "Wheel teeth", 6.0, 360.0),
    whole("trigger.wheel.missing", "Missing teeth", 1.0, 8.0),
    number("trigger.reference_deg", "Reference", Unit::Degree, 0.0, 360.0),
    number(ZERO_OFFSET, "Zero offset", Unit::Degree, -180.0, 180.0).by(DecidedBy::Wheel),
    choice("trigger.sensor", "Trigger sensor", &["inductive", "hall", "optical"]),
    choice("trigger.edge", "Trigger edge", &["rising", "falling"]),
    number("trigger.latency_us", "Sensor latency", Unit::Microsecond, 0.0, 1_000.0),
    number("trigger.lead_pitches", "Lead", Unit::Pitch, 0.0, 2.0),
    whole("trigger.gaps_to_sync", "Gaps to sync", 1.0, 2.0),
    choice("sensors.load", "Load signal", &["throttle", "pressure"]),
    flag("sensors.throttle.fitted", "Throttle sensor fitted"),
    number("sensors.throttle.first_v", "Throttle sensor, first voltage", Unit::Volt, 0.0, 5.0),
    number("sensors.throttle.first_reads", "Throttle sensor, first reading", Unit::Percent, 0.0, 100.0),
    number("sensors.throttle.second_v", "Throttle sensor, second voltage", Unit::Volt, 0.0, 5.0),
    number("sensors.throttle.second_reads", "Throttle sensor, second reading", Unit::Percent, 0.0, 100.0),
    flag("sensors.pressure.fitted", "Pressure sensor fitted"),
    number("sensors.pressure.first_v", "Pressure sensor, first voltage", Unit::Volt, 0.0, 5.0),
    number("sensors.pressure.first_reads", "Pressure sensor, first reading", Unit::Kilopascal, 0.0, 500.0),
    number("sensors.pressure.second_v", "Pressure sensor, second voltage", Unit::Volt, 0.0, 5.0),
    number("sensors.pressure.second_reads", "Pressure sensor, second reading", Unit::Kilopascal, 0.0, 500.0),
    flag("sensors.coolant.fitted", "Coolant sender fitted"),
    number("sensors.coolant.points_c[]", "Coolant sender, temperatures", Unit::Celsius, -60.0, 300.0),
    number("sensors.coolant.points_ohm[]", "Coolant sender, resistances", Unit::Ohm, 0.1, 10_000_000.0),
    number("sensors.coolant.pull_up_ohm", "Coolant sender, pull-up", Unit::Ohm, 1.0, 1_000_000.0),
    number("sensors.coolant.stand_in_c", "Coolant stand-in", Unit::Celsius, -60.0, 200.0),
    flag("sensors.air.fitted", "Air sender fitted"),
    number("sensors.air.points_c[]", "Air sender, temperatures", Unit::Celsius, -60.0, 300.0),
    number("sensors.air.points_ohm[]", "Air sender, resistances", Unit::Ohm, 0.1, 10_000_000.0),
    number("sensors.air.pull_up_ohm", "Air sender, pull-up", Unit::Ohm, 1.0, 1_000_000.0),
    number("sensors.air.stand_in_c", "Air stand-in", Unit::Celsius, -60.0, 200.0),
    number("sensors.lowest_battery_v", "Lowest battery voltage", Unit::Volt, 4.0, 60.0),
    number("sensors.highest_battery_v", "Highest battery voltage", Unit::Volt, 4.0, 60.0),
    choice("coil.kind", "Coil kind", &["double_ended", "two_singles"]),
    number("coil.resistance_ohm", "Coil resistance", Unit::Ohm, 0.1, 20.0),
    number("coil.temperature_c", "Coil temperature", Unit::Celsius, -40.0, 200.0),
    number("coil.inductance_mh", "Coil inductance", Unit::Millihenry, 0.1, 50.0),
    number("coil.harness_ohm", "Harness resistance", Unit::Ohm, 0.0, 10.0),
    number("coil.driver_drop_v", "Driver voltage drop", Unit::Volt, 0.0, 5.0),
    number("coil.current_limit_a", "Driver current limit", Unit::Ampere, 0.5, 50.0),
    number("coil.rated_current_a", "Coil rated current", Unit::Ampere, 0.5, 50.0),
    number("coil.burn_time_ms", "Burn time", Unit::Millisecond, 0.0, 10.0),
    number("coil.dwell_ms.at[]", "Dwell, voltages", Unit::Volt, 0.0, 60.0),
    number("coil.dwell_ms.value[]", "Dwell", Unit::Millisecond, 0.0, 50.0),
    number("coil.secondary_voltage_kv", "Secondary voltage", Unit::Kilovolt, 1.0, 100.0),
    flag("full_load_line.enabled", "Full-load line checked"),
    load("full_load_line.from_load", "Full-load line, from load"),
    number("full_load_line.most_deg.at[]", "Full-load line, speeds", Unit::Rpm, 0.0, 30_000.0),
    number("full_load_line.most_deg.value[]", "Full-load line", Unit::Degree, -60.0, 90.0),
    load("full_load_line.less_deg.at[]", "Full-load line, loads"),
    number("full_load_line.less_deg.value[]", "Full-load line, less by load", Unit::Degree, 0.0, 90.0),
    flag("safety_margin.enabled", "Safety margin on"),
    load("safety_margin.degrees.at[]", "Safety margin, loads"),
    number("safety_margin.degrees.value[]", "Safety margin", Unit::Degree, 0.0, 60.0),
    flag("trims.coolant.enabled", "Coolant trim on"),
    number("trims.coolant.degrees.at[]", "Coolant trim, temperatures", Unit::Celsius, -60.0, 200.0),
    number("trims.coolant.degrees.value[]", "Coolant trim", Unit::Degree, -60.0, 60.0),
    load("trims.coolant.weight.at[]", "Coolant trim, loads"),
    number("trims.coolant.weight.value[]", "Coolant trim, weight", Unit::None, 0.0, 1.0),
    flag("trims.air.enabled", "Air trim on"),
    number("trims.air.degrees.at[]", "Air trim, temperatures", Unit::Celsius, -60.0, 200.0),
    number("trims.air.degrees.value[]", "Air trim", Unit::Degree, -60.0, 60.0),
    load("trims.air.weight.at[]", "Air trim, loads"),
    number("trims.air.weight.value[]", "Air trim, weight", Unit::None, 0.0, 1.0),
    number("limits.cranking.advance_deg", "Cranking advance", Unit::Degree, -60.0, 90.0),
    number("limits.cranking.no_spark_below_rpm", "No spark below", Unit::Rpm, 0.0, 2_000.0),
    number("limits.cranking.below_rpm", "Cranking below", Unit::Rpm, 0.0, 3_000.0),
    number("limits.cranking.leave_at_rpm", "Cranking left at", Unit::Rpm, 0.0, 3_000.0),
    number("limits.cranking.blend_rpm", "Cranking blend", Unit::Rpm, 0.0, 3_000.0),
    flag("limits.over_speed.enabled", "Over-speed limit on"),
    number("limits.over_speed.eases_from_rpm", "Over-speed eases off from", Unit::Rpm, 0.0, 30_000.0),
    number("limits.over_speed.eases_by_deg", "Over-speed eases off by", Unit::Degree, 0.0, 90.0),
    number("limits.over_speed.cuts_at_rpm", "Over-speed cuts at", Unit::Rpm, 100.0, 30_000.0),
    number("limits.over_speed.fires_again_below_rpm", "Over-speed fires again below", Unit::Rpm, 0.0, 30_000.0),
    number("limits.over_speed.cuts_all_at_rpm", "Over-speed cuts all at", Unit::Rpm, 0.0, 30_000.0),
    choice("limits.over_speed.pattern", "Over-speed cut pattern", &["alternate_coils", "all"]),
    flag("limits.launch.enabled", "Launch on"),
    number("limits.launch.arms_below_rpm", "Launch arms below", Unit::Rpm, 0.0, 30_000.0),
    number("limits.launch.retards_from_rpm", "Launch retards from", Unit::Rpm, 0.0, 30_000.0),
    number("limits.launch.cuts_at_rpm", "Launch cuts at", Unit::Rpm, 0.0, 30_000.0),
    number("limits.launch.resume_drop_rpm", "Launch resume drop", Unit::Rpm, 0.0, 5_000.0),
    number("limits.launch.advance_deg", "Launch advance", Unit::Degree, -60.0, 90.0),
    number("limits.launch.throttle_above_pct", "Launch throttle above", Unit::Percent, 0.0, 100.0),
    number("limits.clamp.floor_deg", "Floor", Unit::Degree, -60.0, 90.0),
    number("limits.clamp.ceiling_deg", "Ceiling", Unit::Degree, -60.0, 90.0),
    flag("tachometer.enabled", "Tachometer on"),
    number("tachometer.pulses_per_revolution", "Tachometer pulses per revolution", Unit::Pulse, 0.1, 60.0),
    text("outputs[].name", "Output name", 80),
    flag("outputs[].enabled", "Output used"),
    choice("outputs[].conditions[].signal", "Output signal", &["speed", "load", "throttle", "pressure", "coolant", "air", "battery", "advance"]),
    signal("outputs[].conditions[].on", "Output on"),
    signal("outputs[].conditions[].off", "Output off"),
    choice("outputs[].combine", "Output conditions combine", &["all", "any"]),
    flag("outputs[].inverted", "Output inverted"),
    number("outputs[].blinks_from_rpm", "Output blinks from", Unit::Rpm, 0.0, 30_000.0),
    whole("image.start", "Image start", 0.0, 4_294_967_295.0),
    whole("image.size", "Image size", 1.0, 16_777_216.0),
    whole("image.fill", "Image fill byte", 0.0, 255.0),
    choice("image.byte_order", "Image byte order", &["little_endian", "big_endian"]),
    text("image.items[].name", "Item name", 60),
    choice("image.items[].content", "Item content", &["advance_cells", "advance_speeds", "advance_loads", "coolant_trim_temperatures", "coolant_trim_degrees", "air_trim_temperatures", "air_trim_degrees", "dwell_voltages", "dwell_times", "coolant_weight_loads", "coolant_weights", "air_weight_loads", "air_weights", "margin_loads", "margin_degrees", "full_load_speeds", "full_load_degrees", "full_load_less_loads", "full_load_less_degrees", "field"]),
    text("image.items[].field", "Item field", 200),
    whole("image.items[].address", "Item address", 0.0, 4_294_967_295.0),
    choice("image.items[].cell", "Item type", &["u8", "i8", "u16", "i16", "u32", "i32", "f32"]),
    number("image.items[].scale", "Item scale", Unit::None, -1_000_000.0, 1_000_000.0),
    number("image.items[].offset", "Item offset", Unit::None, -1_000_000.0, 1_000_000.0),
    choice("image.items[].order", "Item order", &["rows_first", "columns_first"]),
    choice("image.items[].speed_direction", "Item speed direction", &["ascending", "descending"]),
    choice("image.items[].load_direction", "Item load direction", &["ascending", "descending"]),
    whole("image.items[].speeds", "Item speeds", 2.0, 64.0),
    whole("image.items[].loads", "Item loads", 2.0, 64.0),
    choice("image.checksum.kind", "Checksum", &["none", "sum8", "crc16_ccitt_false", "crc16_modbus", "crc32_iso_hdlc"]),
    whole("image.checksum.from", "Checksum from", 0.0, 4_294_967_295.0),
    whole("image.checksum.length", "Checksum length", 0.0, 16_777_216.0),
    whole("image.checksum.stored_at", "Checksum stored at", 0.0, 4_294_967_295.0),
    choice("image.coverage.*.how", "How the unit has it", &["as_held", "in_table", "not_applied"]),
    number("image.coverage.*.at_c", "Folded at", Unit::Celsius, -60.0, 200.0),
    flag("image.coverage.*.set", "Set in the unit"),
    text("image.coverage.*.note", "Note on the unit", 400),
    text("timing_light.taken_at", "Timing light, taken at", 40),
    whole("timing_light.wheel.teeth", "Timing light, wheel teeth", 6.0, 360.0),
    whole("timing_light.wheel.missing", "Timing light, missing teeth", 1.0, 8.0),
    number("timing_light.reference_deg", "Timing light, reference", Unit::Degree, 0.0, 360.0),
    number(ZERO_OFFSET_READ_AT, "Timing light, zero offset", Unit::Degree, -180.0, 180.0).by(DecidedBy::Wheel),
    choice("timing_light.sensor", "Timing light, trigger sensor", &["inductive", "hall", "optical"]),
    number("timing_light.latency_us", "Timing light, sensor latency", Unit::Microsecond, 0.0, 1_000.0),
    number("timing_light.readings[].commanded_deg", "Timing light, commanded", Unit::Degree, -60.0, 90.0),
    number("timing_light.readings[].observed_deg", "Timing light, observed", Unit::Degree, -180.0, 180.0),
    number("timing_light.readings[].speed_rpm", "Timing light, speed", Unit::Rpm, 0.0, 30_000.0),
    number("typed_readings[].commanded_deg", "Typed reading, commanded", Unit::Degree, -60.0, 90.0),
    number("typed_readings[].observed_deg", "Typed reading, observed", Unit::Degree, -180.0, 180.0),
    number("typed_readings[].speed_rpm", "Typed reading, speed", Unit::Rpm, 0.0, 30_000.0),
    text("runs[].name", "Run name", 80),
    number("runs[].variation", "Run, cyclic variation", Unit::None, 0.0, 0.5),
    number("runs[].varies_below_rpm", "Run, varies below", Unit::Rpm, 0.0, 30_000.0),
    number("runs[].rows[].time_s", "Run, time", Unit::Second, -1_000_000.0, 1_000_000.0),
    number("runs[].rows[].speed_rpm", "Run, speed", Unit::Rpm, 0.0, 30_000.0),
    number("runs[].rows[].load", "Run, load", Unit::None, 0.0, 500.0).by(DecidedBy::LoadUnit),
    number("runs[].rows[].coolant_c", "Run, coolant", Unit::Celsius, -60.0, 200.0),
    number("runs[].rows[].air_c", "Run, air", Unit::Celsius, -60.0, 200.0),
    number("runs[].rows[].battery_v", "Run, battery", Unit::Volt, 0.0, 60.0),
    number("runs[].rows[].throttle_pct", "Run, throttle", Unit::Percent, 0.0, 100.0),
    flag("runs[].rows[].launch", "Run, launch switch closed"),
    text("evidence.points[].name", "Measured point, name", 80),
    number("evidence.points[].speed_rpm", "Measured point, speed", Unit::Rpm, 0.0, 30_000.0),
    load("evidence.points[].load", "Measured point, load"),
    number("evidence.points[].advance_deg", "Measured point, advance", Unit::Degree, -60.0, 90.0),
    number("evidence.points[].low_deg", "Measured point, interval from", Unit::Degree, -60.0, 90.0),
    number("evidence.points[].high_deg", "Measured point, interval to", Unit::Degree, -60.0, 90.0),
    number("evidence.points[].sd_deg", "Measured point, standard deviation", Unit::Degree, 0.01, 60.0),
    choice("evidence.points[].bound", "Measured point, bound", &["about", "at_most", "at_least"]),
    choice("evidence.points[].kind", "Measured point, kind", &["best_torque", "least_for_best_torque", "knock", "light", "typed"]),
    text("evidence.points[].source", "Measured point, source", 400),
    text("evidence.points[].taken_at", "Measured point, taken at", 40),
    text("evidence.points[].note", "Measured point, note", 2_000),
    flag("evidence.points[].in_use", "Measured point, in use"),
    text("evidence.sweeps[].name", "Timing sweep, name", 80),
    text("evidence.sweeps[].taken_at", "Timing sweep, taken at", 40),
    text("evidence.sweeps[].note", "Timing sweep, note", 2_000),
    choice("evidence.sweeps[].torque_kind", "Timing sweep, torque is", &["torque_nm", "power_kw", "brake"]),
    choice("evidence.sweeps[].air", "Timing sweep, pulls corrected for the air by", &["sae", "iso", "din"]),
    number("evidence.sweeps[].readings[].speed_rpm", "Timing sweep, speed", Unit::Rpm, 0.0, 30_000.0),
    load("evidence.sweeps[].readings[].load", "Timing sweep, load"),
    number("evidence.sweeps[].readings[].advance_deg", "Timing sweep, advance", Unit::Degree, -60.0, 90.0),
    number("evidence.sweeps[].readings[].torque", "Timing sweep, torque", Unit::None, 0.001, 1_000_000.0),
    number("evidence.sweeps[].readings[].knock", "Timing sweep, knock", Unit::None, 0.0, 1_000_000.0),
    number("evidence.sweeps[].readings[].lambda", "Timing sweep, lambda", Unit::None, 0.5, 2.0),
    number("evidence.sweeps[].readings[].coolant_c", "Timing sweep, coolant", Unit::Celsius, -60.0, 200.0),
    number("evidence.sweeps[].readings[].air_c", "Timing sweep, air", Unit::Celsius, -60.0, 200.0),
    number("evidence.sweeps[].readings[].air_kpa", "Timing sweep, air pressure", Unit::Kilopascal, 10.0, 200.0),
    number("evidence.sweeps[].readings[].humidity_pct", "Timing sweep, humidity", Unit::Percent, 0.0, 100.0),
    number("evidence.sweeps[].readings[].time_s", "Timing sweep, time", Unit::Second, -1_000_000.0, 1_000_000.0),
    text("evidence.sweeps[].readings[].point", "Timing sweep, point", 80),
    whole("evidence.sweeps[].readings[].pull", "Timing sweep, pull", 0.0, 1_000_000.0),
    number("evidence.sweeps[].readings[].torque_sd", "Timing sweep, torque sd", Unit::None, 0.000_001, 1_000_000.0),
    text("evidence.sweeps[].readings[].left_out", "Timing sweep, left out", 400),
    number("checks.thresholds.*", "Check threshold", Unit::None, -1_000_000.0, 1_000_000.0),
    text("checks.threshold_reasons.*", "Reason of a threshold", 2_000),
    text("checks.accepted[].id", "Accepted finding", 80),
    text("checks.accepted[].place.field", "Accepted finding, field", 200),
    text("checks.accepted[].place.of", "Accepted finding, of", 200),
    number("checks.accepted[].place.at", "Accepted finding, at", Unit::None, -1_000_000_000_000.0, 1_000_000_000_000.0),
    number("checks.accepted[].place.from_rpm", "Accepted finding, lowest speed", Unit::Rpm, -1_000_000_000_000.0, 1_000_000_000_000.0),
    number("checks.accepted[].place.to_rpm", "Accepted finding, highest speed", Unit::Rpm, -1_000_000_000_000.0, 1_000_000_000_000.0),
    number("checks.accepted[].place.from_load", "Accepted finding, lowest load", Unit::None, -1_000_000_000_000.0, 1_000_000_000_000.0).by(DecidedBy::LoadUnit),
    number("checks.accepted[].place.to_load", "Accepted finding, highest load", Unit::None, -1_000_000_000_000.0, 1_000_000_000_000.0).by(DecidedBy::LoadUnit),
    number("checks.accepted[].value", "Accepted finding, value", Unit::None, -1_000_000_000_000.0, 1_000_000_000_000.0),
    text("checks.accepted[].reason", "Accepted finding, reason", 2_000),
];

/// The lists of records: their paths, `[]` for any place in a list, and what people call them.
pub const LISTS: [(&str, &str); 11] = [
    ("engine.channels", "Coil channels"),
    ("outputs", "Outputs"),
    ("image.items", "Image items"),
    ("timing_light.readings", "Timing-light readings"),
    ("typed_readings", "Typed readings"),
    ("runs", "Runs"),
    ("runs[].rows", "Rows of a run"),
    ("evidence.points", "Measured points"),
    ("evidence.sweeps", "Timing sweeps"),
    ("evidence.sweeps[].readings", "Readings of a sweep"),
    ("checks.accepted", "Accepted findings"),
];

/// The catalogue in the order of its paths.
static BY_PATH: LazyLock<Vec<&'static Field>> = LazyLock::new(|| {
    let mut fields: Vec<_> = FIELDS.iter().collect();
    fields.sort_by_key(|field| field.path);
    fields
});

/// The field of a path, whatever its indices: `outputs[3].name` gives `outputs[].name`.
pub fn field(path: &str) -> Option<&'static Field> {
    field_of_pattern(&pattern(path))
}

/// The field of a path that already has `[]` for any place in a list.
pub(super) fn field_of_pattern(pattern: &str) -> Option<&'static Field> {
    let at = BY_PATH.binary_search_by(|field| field.path.cmp(pattern)).ok()?;
    BY_PATH.get(at).copied()
}

pub(super) fn pattern(path: &str) -> String {
    let mut pattern = String::with_capacity(path.len());
    let mut rest = path;
    while let Some((before, inside)) = rest.split_once('[') {
        pattern.extend([before, "["]);
        rest = inside.find(['[', ']']).map_or("", |end| &inside[end..]);
    }
    pattern.push_str(rest);
    if let Some((_, field)) = pattern.strip_prefix("image.coverage.").and_then(|rest| rest.split_once('.')) {
        return format!("image.coverage.*.{field}");
    }
    match pattern.rfind('.') {
        Some(dot) if matches!(&pattern[..dot], "checks.thresholds" | "checks.threshold_reasons") => {
            format!("{}.*", &pattern[..dot])
        }
        _ => pattern,
    }
}

impl FieldKind {
    /// What is wrong with a value, if anything is.
    pub fn refusal(self, value: &Tree) -> Option<String> {
        match (self, value) {
            (_, Tree::Absent) => None,
            (kind, Tree::Present(inner)) => kind.refusal(inner),
            (Self::Number { unit, low, high }, Tree::Number(x)) if !(low..=high).contains(x) => {
                Some(outside(*x, (low, high), unit))
            }
            (Self::Whole { low, high }, Tree::Number(x)) if !(low..=high).contains(x) => {
                Some(outside(*x, (low, high), Unit::None))
            }
            (Self::Whole { .. }, Tree::Number(x)) if x.fract() != 0.0 => {
                Some(format!("{} is not a whole number", written(*x)))
            }
            (Self::Text { most }, Tree::Text(text)) if text.chars().count() > most => {
                Some(format!("{} characters are too many; at most {most}", text.chars().count()))
            }
            _ => None,
        }
    }

    /// The values it may have, in words.
    pub fn range(self) -> String {
        match self {
            Self::Whole { low, high } => bounds((low, high), Unit::None),
            Self::Number { unit, low, high } => bounds((low, high), unit),
            Self::Flag => "yes, no".into(),
            Self::Text { most } => format!("text up to {most} characters"),
            Self::Choice(names) => names.join(", "),
        }
    }
}
