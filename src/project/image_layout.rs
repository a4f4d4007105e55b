//! What lies at which address of the image for the flashing tool.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::Coverage;

/// The order of a number's bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ByteOrder {
    /// Least significant byte first.
    LittleEndian,
    /// Most significant byte first.
    BigEndian,
}

/// How a number is stored.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CellType {
    /// Unsigned, 8 bit.
    U8,
    /// Signed, 8 bit.
    I8,
    /// Unsigned, 16 bit.
    U16,
    /// Signed, 16 bit.
    I16,
    /// Unsigned, 32 bit.
    U32,
    /// Signed, 32 bit.
    I32,
    /// IEEE 754, 32 bit.
    F32,
}

impl CellType {
    /// Bytes per number.
    pub const fn size(self) -> u32 {
        match self {
            Self::U8 | Self::I8 => 1,
            Self::U16 | Self::I16 => 2,
            Self::U32 | Self::I32 | Self::F32 => 4,
        }
    }
}

/// In which order the cells of a table follow one another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CellOrder {
    /// One load row after the other.
    RowsFirst,
    /// One speed column after the other.
    ColumnsFirst,
}

/// In which direction an axis runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Direction {
    /// Lowest breakpoint first.
    Ascending,
    /// Highest breakpoint first.
    Descending,
}

/// What an item holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Content {
    /// The cells of the advance table.
    AdvanceCells,
    /// The speed breakpoints of the advance table.
    AdvanceSpeeds,
    /// The load breakpoints of the advance table.
    AdvanceLoads,
    /// The temperatures of the coolant trim.
    CoolantTrimTemperatures,
    /// The degrees of the coolant trim.
    CoolantTrimDegrees,
    /// The temperatures of the air trim.
    AirTrimTemperatures,
    /// The degrees of the air trim.
    AirTrimDegrees,
    /// The voltages of the dwell curve.
    DwellVoltages,
    /// The dwell times in ms.
    DwellTimes,
    /// The loads of the coolant trim's weight.
    CoolantWeightLoads,
    /// The coolant trim's weights.
    CoolantWeights,
    /// The loads of the air trim's weight.
    AirWeightLoads,
    /// The air trim's weights.
    AirWeights,
    /// The loads of the safety margin.
    MarginLoads,
    /// The degrees of the safety margin.
    MarginDegrees,
    /// The speeds of the full-load line.
    FullLoadSpeeds,
    /// The degrees of the full-load line.
    FullLoadDegrees,
    /// The loads over which the full-load line allows less.
    FullLoadLessLoads,
    /// The degrees that it allows less there.
    FullLoadLessDegrees,
    /// One number of the project, named by its path in [`Item::field`].
    Field,
}

/// One item of the image.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Item {
    /// Its name in the description that goes with the image; no two items share one.
    pub name: String,
    /// What it holds.
    pub content: Content,
    /// The dotted path of the number, for [`Content::Field`]; empty otherwise.
    pub field: String,
    /// Its first address.
    pub address: u32,
    /// How each number is stored.
    pub cell: CellType,
    /// Physical value = raw × scale + offset.
    pub scale: f64,
    /// Physical value = raw × scale + offset.
    pub offset: f64,
    /// The order of a table's cells.
    pub order: CellOrder,
    /// The direction of the speed axis (or of the only axis).
    pub speed_direction: Direction,
    /// The direction of the load axis.
    pub load_direction: Direction,
    /// The unit's own number of speeds (or points), where it is not the project's.
    pub speeds: Option<u16>,
    /// The unit's own number of loads, where it is not the project's.
    pub loads: Option<u16>,
}

impl Item {
    /// An item of numbers without scale and offset, at the first address: other items are told by what differs from
    /// this.
    pub(crate) fn plain(name: impl Into<String>, content: Content, field: &str) -> Self {
        Self {
            name: name.into(),
            content,
            field: field.into(),
            address: 0,
            cell: CellType::F32,
            scale: 1.0,
            offset: 0.0,
            order: CellOrder::RowsFirst,
            speed_direction: Direction::Ascending,
            load_direction: Direction::Ascending,
            speeds: None,
            loads: None,
        }
    }

    /// Fixes the size of an item of the advance table that took its size from the project.
    pub(super) fn keep_size(&mut self, size: ContentSize) {
        let narrow = |count: usize| u16::try_from(count).ok();
        if matches!(self.content, Content::AdvanceCells | Content::AdvanceSpeeds) {
            self.speeds = self.speeds.or(narrow(size.speeds));
        }
        if matches!(self.content, Content::AdvanceCells | Content::AdvanceLoads) {
            self.loads = self.loads.or(narrow(size.loads));
        }
    }
}

/// How the image is protected against damage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ChecksumKind {
    /// Not at all.
    None,
    /// The low eight bits of the sum of the bytes.
    Sum8,
    /// CRC-16/IBM-3740, also called CCITT-FALSE.
    Crc16CcittFalse,
    /// CRC-16/MODBUS.
    Crc16Modbus,
    /// CRC-32/ISO-HDLC.
    Crc32IsoHdlc,
}

impl ChecksumKind {
    /// Bytes of the stored checksum.
    pub const fn size(self) -> u32 {
        match self {
            Self::None => 0,
            Self::Sum8 => 1,
            Self::Crc16CcittFalse | Self::Crc16Modbus => 2,
            Self::Crc32IsoHdlc => 4,
        }
    }
}

/// The checksum: over which bytes and where it is stored, outside of them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Checksum {
    /// How it is computed.
    pub kind: ChecksumKind,
    /// The first address it covers.
    pub from: u32,
    /// How many bytes it covers.
    pub length: u32,
    /// Where it is stored, in the image's byte order.
    pub stored_at: u32,
}

/// The image for the flashing tool.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ImageLayout {
    /// The first address.
    pub start: u32,
    /// How many bytes.
    pub size: u32,
    /// What unused bytes hold.
    pub fill: u8,
    /// The byte order of every number.
    pub byte_order: ByteOrder,
    /// What lies where.
    pub items: Vec<Item>,
    /// Its protection.
    pub checksum: Checksum,
    /// How values without an item reach the unit.
    #[serde(default)]
    pub coverage: Coverage,
}

/// How many numbers of the project an item's content has, and of what shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ContentSize {
    /// Speeds, points or 1.
    pub speeds: usize,
    /// Loads or 1.
    pub loads: usize,
}

/// A stretch of addresses with a name, to find overlaps.
struct Span {
    path: String,
    name: String,
    from: u64,
    to: u64,
}

impl ImageLayout {
    /// Why the layout is not allowed: the path of the field and the reason. `size_of` gives an item's size in
    /// numbers.
    pub(super) fn fault(&self, size_of: impl Fn(&Item) -> ContentSize) -> Option<(String, String)> {
        let end = u64::from(self.start) + u64::from(self.size);
        if end > 1 << 32 {
            return Some(("image.size".into(), "the image ends beyond the 32-bit address range".into()));
        }
        if let Some(fault) = self.repeated_name() {
            return Some(fault);
        }
        if let Some(index) = self.items.iter().position(|item| item.scale == 0.0) {
            let reason = format!("'{}' has the scale 0, with which no value could be told", self.items[index].name);
            return Some((format!("image.items[{index}].scale"), reason));
        }
        let mut spans: Vec<Span> =
            self.items.iter().enumerate().map(|(index, item)| span(index, item, size_of(item))).collect();
        if self.checksum.kind != ChecksumKind::None {
            if let Some(fault) = self.checksum_fault(end) {
                return Some(fault);
            }
            let from = u64::from(self.checksum.stored_at);
            let to = from + u64::from(self.checksum.kind.size());
            spans.push(Span { path: "image.checksum.stored_at".into(), name: "the checksum".into(), from, to });
        }
        if let Some(outside) = spans.iter().find(|span| span.from < u64::from(self.start) || span.to > end) {
            let reason = format!(
                "{} at {} leaves the image {}",
                outside.name,
                AddressRange::new(outside.from, outside.to),
                AddressRange::new(self.start.into(), end)
            );
            return Some((outside.path.clone(), reason));
        }
        spans.sort_by_key(|span| span.from);
        let clash = spans.windows(2).find(|pair| pair[1].from < pair[0].to)?;
        let reason = format!("{} and {} share addresses from {:X}", clash[0].name, clash[1].name, clash[1].from);
        Some((clash[1].path.clone(), reason))
    }

    fn repeated_name(&self) -> Option<(String, String)> {
        let repeated = |index: usize| self.items[..index].iter().any(|other| other.name == self.items[index].name);
        let index = (0..self.items.len()).find(|&index| repeated(index))?;
        Some((format!("image.items[{index}].name"), format!("two items are called '{}'", self.items[index].name)))
    }

    fn checksum_fault(&self, end: u64) -> Option<(String, String)> {
        let Checksum { from, length, stored_at, kind } = self.checksum;
        let covered = u64::from(from)..u64::from(from) + u64::from(length);
        if covered.start < u64::from(self.start) || covered.end > end {
            return Some(("image.checksum.length".into(), "the checksum covers bytes outside the image".into()));
        }
        let stored = u64::from(stored_at)..u64::from(stored_at) + u64::from(kind.size());
        if stored.start < covered.end && covered.start < stored.end {
            return Some((
                "image.checksum.stored_at".into(),
                "the checksum must be stored outside the bytes it covers".into(),
            ));
        }
        None
    }
}

/// Addresses in words, both ends included: '8000 to 9FFF'; one address stands alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct AddressRange {
    first: u64,
    last: u64,
}

impl AddressRange {
    /// From the first address to the one before `end`.
    pub const fn new(first: u64, end: u64) -> Self {
        Self { first, last: end.saturating_sub(1) }
    }
}

impl fmt::Display for AddressRange {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { first, last } = self;
        if last <= first { write!(formatter, "{first:X}") } else { write!(formatter, "{first:X} to {last:X}") }
    }
}

fn span(index: usize, item: &Item, size: ContentSize) -> Span {
    let numbers = (size.speeds * size.loads) as u64;
    let from = u64::from(item.address);
    let to = from + numbers * u64::from(item.cell.size());
    Span { path: format!("image.items[{index}].address"), name: format!("'{}'", item.name), from, to }
}
