//! Numbers as the image stores them: rounding to counts, the bytes of a count, and what an item's numbers
//! measure.

use crate::project::{
    ADVANCE_RANGE_DEG, ByteOrder, CellType, Content, DecidedBy, FieldKind, Item, Parts, SPEED_RANGE_RPM, field,
};
use crate::wording::{Unit, settle};

/// A raw value this close to a half, relative to the larger of 1 and the raw value, counts as that half: the
/// quotient of two decimals that should be a half rarely is one in binary.
const HALF_TOLERANCE: f64 = 1e-9;

/// A number as it is stored in the image.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Raw {
    /// A whole number of counts.
    Count(i64),
    /// A 32-bit IEEE 754 number.
    Float(f32),
}

impl Raw {
    /// The same number as an f64: exact.
    pub fn number(self) -> f64 {
        match self {
            #[expect(clippy::cast_precision_loss, reason = "counts have at most 32 bits")]
            Self::Count(count) => count as f64,
            Self::Float(float) => f64::from(float),
        }
    }
}

impl std::fmt::Display for Raw {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Count(count) => count.fmt(formatter),
            Self::Float(float) => float.fmt(formatter),
        }
    }
}

/// The least and the greatest count of a type; `None` for floating point.
pub const fn count_range(cell: CellType) -> Option<(i64, i64)> {
    match cell {
        CellType::U8 => Some((0, 0xFF)),
        CellType::I8 => Some((-0x80, 0x7F)),
        CellType::U16 => Some((0, 0xFFFF)),
        CellType::I16 => Some((-0x8000, 0x7FFF)),
        CellType::U32 => Some((0, 0xFFFF_FFFF)),
        CellType::I32 => Some((-0x8000_0000, 0x7FFF_FFFF)),
        CellType::F32 => None,
    }
}

/// The least and the greatest physical value an item can hold, in the item's unit.
pub fn physical_range(item: &Item) -> (f64, f64) {
    let ends = count_range(item.cell)
        .map_or((Raw::Float(f32::MIN), Raw::Float(f32::MAX)), |(low, high)| (Raw::Count(low), Raw::Count(high)));
    let (first, last) = (physical(ends.0, item), physical(ends.1, item));
    (first.min(last), first.max(last))
}

/// A physical value in counts: raw = (value − offset) / scale, rounded half away from zero; a raw value that is
/// a half except for rounding error counts as one. For a floating-point item the nearest f32, ties to even.
///
/// # Errors
/// The exact raw value, if the item's type cannot hold it.
pub(super) fn quantise(value: f64, item: &Item) -> Result<Raw, f64> {
    let raw = (value - item.offset) / item.scale;
    let Some((low, high)) = count_range(item.cell) else {
        #[expect(clippy::cast_possible_truncation, reason = "the nearest f32 is what is wanted")]
        let float = raw as f32 + 0.0;
        return if float.is_finite() { Ok(Raw::Float(float)) } else { Err(raw) };
    };
    let half = (raw * 2.0).round() / 2.0;
    let settled = if (raw - half).abs() < HALF_TOLERANCE * raw.abs().max(1.0) { half } else { raw };
    let rounded = settled.round();
    #[expect(clippy::cast_precision_loss, reason = "counts have at most 32 bits")]
    let (least, most) = (low as f64, high as f64);
    if !(least..=most).contains(&rounded) {
        return Err(raw);
    }
    #[expect(clippy::cast_possible_truncation, reason = "a whole number within 32 bits")]
    Ok(Raw::Count(rounded as i64))
}

/// The physical value of a raw one: raw × scale + offset, without the rounding error of the product if the
/// settled number gives the same count. Floating-point numbers are given exactly.
pub(super) fn physical(raw: Raw, item: &Item) -> f64 {
    let value = raw.number() * item.scale + item.offset;
    let settled = settle(value);
    match raw {
        Raw::Count(_) if quantise(settled, item) == Ok(raw) => settled,
        _ => value + 0.0,
    }
}

/// The bytes of a number, in the order of the image.
pub(super) fn bytes_of(raw: Raw, cell: CellType, order: ByteOrder) -> Vec<u8> {
    let size = cell.size() as usize;
    match raw {
        Raw::Count(count) => ordered(&count.to_le_bytes()[..size], order),
        Raw::Float(float) => ordered(&float.to_le_bytes(), order),
    }
}

/// Puts bytes given least significant first into the order of the image.
pub(super) fn ordered(little_endian: &[u8], order: ByteOrder) -> Vec<u8> {
    let mut bytes = little_endian.to_vec();
    if order == ByteOrder::BigEndian {
        bytes.reverse();
    }
    bytes
}

/// The number stored in `bytes`, which are as many as the item's type needs.
pub(super) fn number_in(bytes: &[u8], cell: CellType, order: ByteOrder) -> Raw {
    let unsigned = whole_number_in(bytes, order);
    let signed = |bits: u32| {
        let sign = 1_i64 << (bits - 1);
        (i64::from(unsigned) ^ sign) - sign
    };
    match cell {
        CellType::U8 | CellType::U16 | CellType::U32 => Raw::Count(i64::from(unsigned)),
        CellType::I8 => Raw::Count(signed(8)),
        CellType::I16 => Raw::Count(signed(16)),
        CellType::I32 => Raw::Count(signed(32)),
        CellType::F32 => Raw::Float(f32::from_bits(unsigned)),
    }
}

/// The unsigned number in up to four bytes.
pub(super) fn whole_number_in(bytes: &[u8], order: ByteOrder) -> u32 {
    let join = |number: u32, byte: &u8| number << 8 | u32::from(*byte);
    match order {
        ByteOrder::BigEndian => bytes.iter().fold(0, join),
        ByteOrder::LittleEndian => bytes.iter().rev().fold(0, join),
    }
}

/// What the numbers of an item measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// What people call it.
    pub label: &'static str,
    /// Its unit; none for a plain number, a yes or no, or an index into a list of names.
    pub unit: Unit,
    /// The least value a project may have.
    pub low: f64,
    /// The greatest value a project may have.
    pub high: f64,
}

impl Quantity {
    /// What an item measures. A field that does not exist counts as a plain number without limits.
    pub fn of(item: &Item, project: &Parts) -> Self {
        match item.content {
            Content::AdvanceCells => quantity("Advance", Unit::Degree, ADVANCE_RANGE_DEG),
            Content::AdvanceSpeeds => quantity("Advance, speeds", Unit::Rpm, SPEED_RANGE_RPM),
            Content::AdvanceLoads => {
                quantity("Advance, loads", project.sensors.load.unit(), project.sensors.load.range())
            }
            Content::Field => listed(&item.field, project),
            of_curve => match of_curve.curve() {
                Some(curve) if curve.axis == of_curve => listed(&curve.breakpoint_path(0), project),
                Some(curve) => listed(&curve.value_path(0), project),
                None => listed(&item.field, project),
            },
        }
    }
}

const fn quantity(label: &'static str, unit: Unit, (low, high): (f64, f64)) -> Quantity {
    Quantity { label, unit, low, high }
}

/// From the catalogue of fields.
fn listed(path: &str, project: &Parts) -> Quantity {
    let Some(field) = field(path) else {
        return quantity("Field", Unit::None, (f64::MIN, f64::MAX));
    };
    let of_load = field.decided_by == DecidedBy::LoadKind;
    match field.kind {
        FieldKind::Number { low, high, .. } if of_load => {
            quantity(field.label, project.sensors.load.unit(), (low, high))
        }
        FieldKind::Number { unit, low, high } => quantity(field.label, unit, (low, high)),
        FieldKind::Whole { low, high } => quantity(field.label, Unit::None, (low, high)),
        FieldKind::Flag | FieldKind::Text { .. } => quantity(field.label, Unit::None, (0.0, 1.0)),
        #[expect(clippy::cast_precision_loss, reason = "a handful of names")]
        FieldKind::Choice(names) => quantity(field.label, Unit::None, (0.0, names.len().saturating_sub(1) as f64)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::image::samples::{ALL_CELL_TYPES, item, project};
    use crate::project::Content;
    use proptest::prelude::*;

    fn scaled(cell: CellType, scale: f64, offset: f64) -> Item {
        Item { cell, scale, offset, ..item("x", Content::Field, 0) }
    }

    fn count(value: f64, item: &Item) -> i64 {
        match quantise(value, item) {
            Ok(Raw::Count(count)) => count,
            other => panic!("{value}: {other:?}"),
        }
    }

    #[test]
    fn halves_go_away_from_zero_in_spite_of_binary_dust() {
        let tenths = scaled(CellType::I16, 0.1, 0.0);
        // 0.35 / 0.1 is 3.4999999999999996 in binary; as decimals it is 3.5.
        assert_eq!((count(0.35, &tenths), count(-0.35, &tenths)), (4, -4));
        assert_eq!((count(0.25, &tenths), count(-0.25, &tenths)), (3, -3));
        assert_eq!((count(0.349_999, &tenths), count(0.34, &tenths)), (3, 3));
        assert_eq!(count(28.7, &tenths), 287);
        let quarter = scaled(CellType::U8, 0.25, -20.0);
        assert_eq!((count(22.0, &quarter), count(-20.0, &quarter), count(43.75, &quarter)), (168, 0, 255));
        assert_eq!(count(22.125, &quarter), 169);
    }

    #[test]
    fn large_counts_stay_themselves() {
        let whole = scaled(CellType::U32, 1.0, 0.0);
        for number in [600_000_000.0, 4_294_967_295.0, 4_294_967_294.0] {
            assert_eq!(Raw::Count(count(number, &whole)).number(), number);
        }
    }

    #[test]
    fn what_the_type_cannot_hold_is_refused() {
        let quarter = scaled(CellType::U8, 0.25, -20.0);
        assert_eq!(quantise(44.0, &quarter), Err(256.0));
        assert_eq!(quantise(-20.2, &quarter), Err((-20.2 + 20.0) / 0.25));
        assert_eq!(count(43.87, &quarter), 255);
        assert!(quantise(43.875, &quarter).is_err());
        assert!(quantise(1.0, &scaled(CellType::F32, 1e-39, 0.0)).is_err());
        assert!(quantise(1.0, &scaled(CellType::I32, 0.0, 0.0)).is_err());
        assert!(quantise(0.0, &scaled(CellType::I32, 0.0, 0.0)).is_err());
        assert_eq!(physical_range(&quarter), (-20.0, 43.75));
        assert_eq!(physical_range(&scaled(CellType::I8, -0.5, 0.0)), (-63.5, 64.0));
    }

    #[test]
    fn bytes_stand_in_the_order_asked_for() {
        let bytes = |raw, cell, order| bytes_of(raw, cell, order);
        assert_eq!(bytes(Raw::Count(-2), CellType::I16, ByteOrder::BigEndian), [0xFF, 0xFE]);
        assert_eq!(bytes(Raw::Count(-2), CellType::I16, ByteOrder::LittleEndian), [0xFE, 0xFF]);
        assert_eq!(bytes(Raw::Count(0x0102_0304), CellType::U32, ByteOrder::BigEndian), [1, 2, 3, 4]);
        // 1.0 is 3F800000 in IEEE 754.
        assert_eq!(bytes(Raw::Float(1.0), CellType::F32, ByteOrder::BigEndian), [0x3F, 0x80, 0, 0]);
    }

    proptest! {
        #[test]
        fn every_count_survives_its_physical_value(
            type_index in 0..6_usize,
            bits: u32,
            scale in prop_oneof![Just(0.1), Just(0.25), Just(0.01), Just(-0.5), Just(50.0), 1e-6..1e3],
            offset in prop_oneof![Just(0.0), Just(-20.0), Just(-0.1), -1e3..1e3],
        ) {
            let cell = ALL_CELL_TYPES[type_index];
            let (low, high) = count_range(cell).unwrap();
            let raw = Raw::Count(low + i64::from(bits) % (high - low + 1));
            let item = scaled(cell, scale, offset);
            prop_assert_eq!(quantise(physical(raw, &item), &item), Ok(raw));
        }

        #[test]
        fn every_number_survives_its_bytes(type_index in 0..7_usize, bits: u32, big: bool) {
            let order = if big { ByteOrder::BigEndian } else { ByteOrder::LittleEndian };
            let cell = ALL_CELL_TYPES[type_index];
            let bytes = ordered(&bits.to_le_bytes()[..cell.size() as usize], order);
            let raw = number_in(&bytes, cell, order);
            prop_assert_eq!(bytes_of(raw, cell, order), bytes);
        }

        #[test]
        fn a_rounded_value_is_within_half_a_count(value in -3000.0..3000.0) {
            let item = scaled(CellType::I16, 0.1, 0.0);
            let raw = quantise(value, &item).unwrap();
            prop_assert!((physical(raw, &item) - value).abs() <= 0.05 + 1e-8);
        }
    }

    #[test]
    fn every_item_of_a_new_project_is_known() {
        let project = project();
        for item in &project.image.items {
            let quantity = Quantity::of(item, &project);
            assert!(quantity.label != "Field" && quantity.low < quantity.high, "{}", item.name);
        }
        let known = |name: &str| {
            let item = project.image.items.iter().find(|item| item.name == name).unwrap();
            Quantity::of(item, &project)
        };
        assert_eq!(known("dwell_voltages").unit, Unit::Volt);
        assert_eq!(known("coolant_trim_temperatures").unit, Unit::Celsius);
        assert_eq!(known("advance_loads"), quantity("Advance, loads", Unit::Percent, (0.0, 100.0)));
    }
}
