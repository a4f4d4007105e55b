//! Ready-made image layouts to start from: neutral, of no unit in particular. Common practice, no source.
//!
//! Items follow one another without needless gaps; every item has room for the largest table or curve, so that
//! new breakpoints never move its neighbours. Unused bytes are FF, as in erased flash memory. The last bytes
//! are a checksum of everything before them.

use super::{ByteOrder, CellType, Checksum, ChecksumKind, Content, Coverage, ImageLayout, Item, LoadKind};

/// A ready-made layout.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum StartingLayout {
    /// One byte per number wherever that holds common values.
    Compact,
    /// Two bytes per number.
    Words,
    /// 32-bit IEEE 754 numbers in their own units.
    Float,
}

/// How many items the layouts had before they held every number of the evaluation.
const FIRST_ITEMS: usize = 17;

/// How each kind of number is stored: type, scale, offset.
struct Storage {
    speeds: Form,
    loads: Form,
    cells: Form,
    temperatures: Form,
    trims: Form,
    voltages: Form,
    times: Form,
    teeth: Form,
    reference: Form,
    zero_offset: Form,
    degrees: Form,
    limits: Form,
    weights: Form,
    reductions: Form,
    rpm: Form,
    throttle: Form,
    pulses: Form,
    names: Form,
    micros: Form,
}

type Form = (CellType, f64, f64);

impl StartingLayout {
    /// All of them, the one for new projects included.
    pub const ALL: [Self; 3] = [Self::Compact, Self::Words, Self::Float];

    /// What people call it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Compact => "8-bit compact",
            Self::Words => "16-bit",
            Self::Float => "float",
        }
    }

    /// What it holds, in one line.
    pub const fn description(self) -> &'static str {
        match self {
            Self::Compact => "speed in steps of 50 rpm to 12750, advance in half degrees from -64 to 63.5, one CRC",
            Self::Words => "speed in rpm, advance and load in tenths, big-endian, one CRC",
            Self::Float => "every number as it is in the project, to seven digits, little-endian, one CRC",
        }
    }

    /// The layout, from address 0, for a kind of load.
    pub fn layout(self, load: LoadKind) -> ImageLayout {
        let storage = self.storage(load);
        let mut items = [first_items(&storage), other_items(&storage)].concat();
        let mut next = 0;
        for item in &mut items {
            item.address = next;
            next += self.room(item);
        }
        let kind = self.checksum();
        let size = (next + kind.size()).next_power_of_two();
        let stored_at = size - kind.size();
        let checksum = Checksum { kind, from: 0, length: stored_at, stored_at };
        let coverage = Coverage::default();
        ImageLayout { start: 0, size, fill: 0xFF, byte_order: self.byte_order(), items, checksum, coverage }
    }

    /// The starting layout for another kind of load, if `image` is one for the kind `before`: either as made
    /// here or as it was when the layouts only had their first items. `None` otherwise. The coverage is kept.
    pub(super) fn carried_over(image: &ImageLayout, before: LoadKind, load: LoadKind) -> Option<ImageLayout> {
        let count = image.items.len();
        let made = |layout: Self, load| {
            let mut made = ImageLayout { coverage: image.coverage.clone(), ..layout.layout(load) };
            made.items.truncate(count);
            made
        };
        let is_edition = |layout: &Self| count == FIRST_ITEMS || count == layout.layout(load).items.len();
        let known = Self::ALL.into_iter().filter(is_edition).find(|layout| made(*layout, before) == *image)?;
        Some(made(known, load))
    }

    /// Bytes to reserve for an item. Single numbers lie far enough apart for easily read addresses.
    const fn room(self, item: &Item) -> u32 {
        let apart = match self {
            Self::Compact => 4,
            Self::Words | Self::Float => 16,
        };
        match item.content {
            Content::AdvanceCells => 64 * 64 * item.cell.size(),
            Content::Field => apart,
            _ => 64 * item.cell.size(),
        }
    }

    const fn byte_order(self) -> ByteOrder {
        match self {
            Self::Compact | Self::Words => ByteOrder::BigEndian,
            Self::Float => ByteOrder::LittleEndian,
        }
    }

    const fn checksum(self) -> ChecksumKind {
        match self {
            Self::Compact | Self::Words => ChecksumKind::Crc16CcittFalse,
            Self::Float => ChecksumKind::Crc32IsoHdlc,
        }
    }

    const fn storage(self, load: LoadKind) -> Storage {
        match self {
            Self::Compact => compact(load),
            Self::Words => words(),
            Self::Float => float(),
        }
    }
}

/// What every unit has: the table, the degrees of the trims, the dwell, the trigger, and one number of each
/// limit.
fn first_items(of: &Storage) -> Vec<Item> {
    vec![
        item("advance_speeds", Content::AdvanceSpeeds, "", of.speeds),
        item("advance_loads", Content::AdvanceLoads, "", of.loads),
        item("advance", Content::AdvanceCells, "", of.cells),
        item("coolant_trim_temperatures", Content::CoolantTrimTemperatures, "", of.temperatures),
        item("coolant_trim", Content::CoolantTrimDegrees, "", of.trims),
        item("air_trim_temperatures", Content::AirTrimTemperatures, "", of.temperatures),
        item("air_trim", Content::AirTrimDegrees, "", of.trims),
        item("dwell_voltages", Content::DwellVoltages, "", of.voltages),
        item("dwell", Content::DwellTimes, "", of.times),
        item("wheel_teeth", Content::Field, "trigger.wheel.teeth", of.teeth),
        item("wheel_missing", Content::Field, "trigger.wheel.missing", of.teeth),
        item("reference", Content::Field, "trigger.reference_deg", of.reference),
        item("zero_offset", Content::Field, "trigger.zero_offset_deg", of.zero_offset),
        item("cranking_advance", Content::Field, "limits.cranking.advance_deg", of.degrees),
        item("over_speed_cuts_at", Content::Field, "limits.over_speed.cuts_at_rpm", of.limits),
        item("launch_cuts_at", Content::Field, "limits.launch.cuts_at_rpm", of.limits),
        item("launch_advance", Content::Field, "limits.launch.advance_deg", of.degrees),
    ]
}

/// Every other number of the evaluation.
fn other_items(of: &Storage) -> Vec<Item> {
    vec![
        item("coolant_weight_loads", Content::CoolantWeightLoads, "", of.loads),
        item("coolant_weight", Content::CoolantWeights, "", of.weights),
        item("air_weight_loads", Content::AirWeightLoads, "", of.loads),
        item("air_weight", Content::AirWeights, "", of.weights),
        item("margin_loads", Content::MarginLoads, "", of.loads),
        item("margin", Content::MarginDegrees, "", of.reductions),
        item("full_load_speeds", Content::FullLoadSpeeds, "", of.speeds),
        item("full_load_most", Content::FullLoadDegrees, "", of.cells),
        item("full_load_less_loads", Content::FullLoadLessLoads, "", of.loads),
        item("full_load_less", Content::FullLoadLessDegrees, "", of.reductions),
        item("coolant_trim_on", Content::Field, "trims.coolant.enabled", of.names),
        item("air_trim_on", Content::Field, "trims.air.enabled", of.names),
        item("margin_on", Content::Field, "safety_margin.enabled", of.names),
        item("full_load_line_on", Content::Field, "full_load_line.enabled", of.names),
        item("full_load_from", Content::Field, "full_load_line.from_load", of.loads),
        item("no_spark_below", Content::Field, "limits.cranking.no_spark_below_rpm", of.rpm),
        item("cranking_below", Content::Field, "limits.cranking.below_rpm", of.rpm),
        item("cranking_left_at", Content::Field, "limits.cranking.leave_at_rpm", of.rpm),
        item("cranking_blend", Content::Field, "limits.cranking.blend_rpm", of.rpm),
        item("over_speed_on", Content::Field, "limits.over_speed.enabled", of.names),
        item("over_speed_eases_from", Content::Field, "limits.over_speed.eases_from_rpm", of.rpm),
        item("over_speed_eases_by", Content::Field, "limits.over_speed.eases_by_deg", of.reductions),
        item("over_speed_fires_again", Content::Field, "limits.over_speed.fires_again_below_rpm", of.rpm),
        item("over_speed_cuts_all", Content::Field, "limits.over_speed.cuts_all_at_rpm", of.rpm),
        item("over_speed_pattern", Content::Field, "limits.over_speed.pattern", of.names),
        item("launch_on", Content::Field, "limits.launch.enabled", of.names),
        item("launch_arms_below", Content::Field, "limits.launch.arms_below_rpm", of.rpm),
        item("launch_retards_from", Content::Field, "limits.launch.retards_from_rpm", of.rpm),
        item("launch_resume_drop", Content::Field, "limits.launch.resume_drop_rpm", of.rpm),
        item("launch_throttle", Content::Field, "limits.launch.throttle_above_pct", of.throttle),
        item("floor", Content::Field, "limits.clamp.floor_deg", of.degrees),
        item("ceiling", Content::Field, "limits.clamp.ceiling_deg", of.degrees),
        item("tachometer_on", Content::Field, "tachometer.enabled", of.names),
        item("tachometer_pulses", Content::Field, "tachometer.pulses_per_revolution", of.pulses),
        item("trigger_edge", Content::Field, "trigger.edge", of.names),
        item("sensor_latency", Content::Field, "trigger.latency_us", of.micros),
    ]
}

/// Pressure up to 255 kPa in whole kPa, throttle in half per cent; two bytes where finer steps are needed or a
/// signed byte is too small.
const fn compact(load: LoadKind) -> Storage {
    let load_scale = match load {
        LoadKind::Throttle => 0.5,
        LoadKind::Pressure => 1.0,
    };
    let tenths = (CellType::I16, 0.1, 0.0);
    let half_degrees = (CellType::I8, 0.5, 0.0);
    Storage {
        speeds: (CellType::U8, 50.0, 0.0),
        loads: (CellType::U8, load_scale, 0.0),
        cells: half_degrees,
        temperatures: (CellType::U8, 1.0, -60.0),
        trims: (CellType::I8, 0.25, 0.0),
        voltages: (CellType::U8, 0.1, 0.0),
        times: (CellType::U8, 0.1, 0.0),
        teeth: (CellType::U8, 1.0, 0.0),
        reference: tenths,
        zero_offset: tenths,
        degrees: half_degrees,
        limits: (CellType::U8, 50.0, 0.0),
        weights: (CellType::U8, 0.005, 0.0),
        reductions: (CellType::U8, 0.25, 0.0),
        rpm: (CellType::U16, 1.0, 0.0),
        throttle: (CellType::U8, 0.5, 0.0),
        pulses: (CellType::U8, 0.25, 0.0),
        names: (CellType::U8, 1.0, 0.0),
        micros: (CellType::U16, 0.1, 0.0),
    }
}

const fn words() -> Storage {
    let tenths = (CellType::I16, 0.1, 0.0);
    let whole = (CellType::U16, 1.0, 0.0);
    let hundredths = (CellType::U16, 0.01, 0.0);
    Storage {
        speeds: whole,
        loads: (CellType::U16, 0.1, 0.0),
        cells: tenths,
        temperatures: tenths,
        trims: tenths,
        voltages: hundredths,
        times: hundredths,
        teeth: whole,
        reference: (CellType::U16, 0.1, 0.0),
        zero_offset: tenths,
        degrees: tenths,
        limits: whole,
        weights: (CellType::U16, 0.001, 0.0),
        reductions: (CellType::U16, 0.1, 0.0),
        rpm: whole,
        throttle: (CellType::U16, 0.1, 0.0),
        pulses: hundredths,
        names: whole,
        micros: (CellType::U16, 0.1, 0.0),
    }
}

const fn float() -> Storage {
    let float = (CellType::F32, 1.0, 0.0);
    Storage {
        speeds: float,
        loads: float,
        cells: float,
        temperatures: float,
        trims: float,
        voltages: float,
        times: float,
        teeth: (CellType::U32, 1.0, 0.0),
        reference: float,
        zero_offset: float,
        degrees: float,
        limits: float,
        weights: float,
        reductions: float,
        rpm: float,
        throttle: float,
        pulses: float,
        names: (CellType::U32, 1.0, 0.0),
        micros: float,
    }
}

fn item(name: &str, content: Content, field: &str, (cell, scale, offset): Form) -> Item {
    Item { cell, scale, offset, ..Item::plain(name, content, field) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::NewProject;

    #[test]
    fn each_is_valid_for_every_new_project() {
        for layout in StartingLayout::ALL {
            for load in [LoadKind::Throttle, LoadKind::Pressure] {
                for size in [2, 16, 64] {
                    let new = NewProject { name: "new".into(), cylinders: 4, load, speeds: size, loads: size };
                    let project = new.create().unwrap().edit(|parts| parts.image = layout.layout(load));
                    assert!(project.is_ok(), "{}: {project:?}", layout.name());
                }
            }
        }
    }

    #[test]
    fn new_projects_start_from_words() {
        let new = NewProject { name: "new".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        assert_eq!(new.create().unwrap().image, StartingLayout::Words.layout(LoadKind::Throttle));
    }
}
