//! Projects and layouts for the tests of this room.

use proptest::prelude::*;

use crate::project::{
    Advance, ByteOrder, CellOrder, CellType, Checksum, ChecksumKind, Content, Coverage, Direction, ImageLayout, Item,
    LoadKind, NewProject, Origin, Project,
};
use crate::table::{Axis, Table};

pub(super) const ALL_CELL_TYPES: [CellType; 7] =
    [CellType::U8, CellType::I8, CellType::U16, CellType::I16, CellType::U32, CellType::I32, CellType::F32];

/// A new project with a table of 8 × 8 over throttle and two outputs.
pub(super) fn project() -> Project {
    NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 }
        .create_with_outputs()
}

/// One byte per number, scale 1, rows first, ascending, of the project's size.
pub(super) fn item(name: &str, content: Content, address: u32) -> Item {
    Item { address, cell: CellType::U8, ..Item::plain(name, content, "") }
}

pub(super) fn with_table(project: &Project, speed: &[f64], load: &[f64], cells: Vec<f64>) -> Project {
    let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
    let table = Table::new(axis(speed), axis(load), cells).unwrap();
    project.with_advance(Advance::uniform(table, Origin::Typed).unwrap()).unwrap()
}

pub(super) fn with_layout(project: &Project, layout: ImageLayout) -> Project {
    project.edit(|parts| parts.image = layout).unwrap()
}

/// The table of the byte image below, SciPy's bilinear reference: speeds 800 to 4000 rpm, loads 30 to 100 kPa.
pub(super) fn reference_project() -> Project {
    let new = NewProject { name: "reference".into(), cylinders: 4, load: LoadKind::Pressure, speeds: 4, loads: 3 };
    let cells = vec![22.0, 30.0, 36.0, 40.0, 18.0, 25.0, 31.0, 34.0, 10.0, 16.0, 22.0, 27.0];
    let project = with_table(&new.create().unwrap(), &[800.0, 1500.0, 2500.0, 4000.0], &[30.0, 60.0, 100.0], cells);
    let scaled = |item: Item, scale, offset| Item { scale, offset, ..item };
    let items = vec![
        scaled(item("speeds", Content::AdvanceSpeeds, 0x1000), 50.0, 0.0),
        scaled(item("loads", Content::AdvanceLoads, 0x1004), 0.5, 0.0),
        scaled(item("map", Content::AdvanceCells, 0x1010), 0.25, -20.0),
    ];
    let checksum = Checksum { kind: ChecksumKind::Crc32IsoHdlc, from: 0x1010, length: 12, stored_at: 0x101C };
    let byte_order = ByteOrder::BigEndian;
    with_layout(
        &project,
        ImageLayout {
            start: 0x1000,
            size: 0x20,
            fill: 0xFF,
            byte_order,
            items,
            checksum,
            coverage: Coverage::default(),
        },
    )
}

/// A possible way to store numbers: type, scale, offset.
type Storage = (CellType, f64, f64);

const DEGREES: &[Storage] = &[
    (CellType::U8, 0.25, -20.0),
    (CellType::I8, 0.5, 0.0),
    (CellType::U16, 0.1, -100.0),
    (CellType::I16, 0.1, 0.0),
    (CellType::I16, -0.05, 3.0),
    (CellType::U32, 0.001, -100.0),
    (CellType::I32, 0.000_001, 0.0),
    (CellType::F32, 1.0, 0.0),
];
const SPEEDS: &[Storage] = &[
    (CellType::U8, 50.0, 0.0),
    (CellType::U16, 1.0, 0.0),
    (CellType::I16, -0.5, 8000.0),
    (CellType::U32, 0.01, 0.0),
    (CellType::F32, 1.0, 0.0),
];
const LOADS: &[Storage] = &[
    (CellType::U8, 0.5, 0.0),
    (CellType::I8, 1.0, 50.0),
    (CellType::U16, 0.01, 0.0),
    (CellType::I32, 0.1, 0.0),
    (CellType::F32, 0.01, 0.0),
];
const OTHERS: &[Storage] =
    &[(CellType::I16, 0.1, 0.0), (CellType::I32, 0.001, 0.0), (CellType::F32, 1.0, 0.0), (CellType::U16, 0.1, -100.0)];

fn storage(content: Content) -> &'static [Storage] {
    match content {
        Content::AdvanceCells => DEGREES,
        Content::AdvanceSpeeds => SPEEDS,
        Content::AdvanceLoads => LOADS,
        _ => OTHERS,
    }
}

fn direction() -> impl Strategy<Value = Direction> {
    prop_oneof![Just(Direction::Ascending), Just(Direction::Descending)]
}

/// An item stored in any way; its address is at first the gap before it.
fn any_item(
    name: &'static str,
    content: Content,
    field: &'static str,
    own: (Option<u16>, Option<u16>),
) -> BoxedStrategy<Item> {
    let order = prop_oneof![Just(CellOrder::RowsFirst), Just(CellOrder::ColumnsFirst)];
    (proptest::sample::select(storage(content)), order, direction(), direction(), 0..5_u32)
        .prop_map(move |((cell, scale, offset), order, speed_direction, load_direction, gap)| {
            let (speeds, loads) = own;
            let plain = item(name, content, gap);
            let field = field.into();
            Item { cell, scale, offset, order, speed_direction, load_direction, field, speeds, loads, ..plain }
        })
        .boxed()
}

/// Every kind of item, each stored in any way.
fn any_items(own: (Option<u16>, Option<u16>), curve: Option<u16>) -> impl Strategy<Value = Vec<Item>> {
    let (plain, curve) = ((None, None), (curve, None));
    let all = [
        ("map", Content::AdvanceCells, "", own),
        ("speeds", Content::AdvanceSpeeds, "", own),
        ("loads", Content::AdvanceLoads, "", own),
        ("coolant at", Content::CoolantTrimTemperatures, "", curve),
        ("coolant", Content::CoolantTrimDegrees, "", curve),
        ("air at", Content::AirTrimTemperatures, "", plain),
        ("air", Content::AirTrimDegrees, "", plain),
        ("dwell at", Content::DwellVoltages, "", plain),
        ("dwell", Content::DwellTimes, "", plain),
        ("offset", Content::Field, "trigger.zero_offset_deg", plain),
        ("launch", Content::Field, "limits.launch.enabled", plain),
        ("pattern", Content::Field, "limits.over_speed.pattern", plain),
        ("fan on", Content::Field, "outputs[1].conditions[0].on", plain),
    ];
    let items: Vec<_> =
        all.into_iter().map(|(name, content, field, own)| any_item(name, content, field, own)).collect();
    items.prop_shuffle()
}

fn any_axis(start: std::ops::Range<f64>, gap: std::ops::Range<f64>, most: usize) -> impl Strategy<Value = Vec<f64>> {
    (start, proptest::collection::vec(gap, 1..most)).prop_map(|(first, gaps)| {
        let mut x = first;
        let rest = gaps.into_iter().map(|gap| {
            x += gap;
            x
        });
        std::iter::once(first).chain(rest).collect()
    })
}

fn any_checksum() -> impl Strategy<Value = ChecksumKind> {
    prop_oneof![
        Just(ChecksumKind::Sum8),
        Just(ChecksumKind::Crc16CcittFalse),
        Just(ChecksumKind::Crc16Modbus),
        Just(ChecksumKind::Crc32IsoHdlc),
        Just(ChecksumKind::None),
    ]
}

/// Puts the items one after the other, each after its gap, followed by a checksum over all of them.
fn pack(project: &Project, start: u32, byte_order: ByteOrder, kind: ChecksumKind, mut items: Vec<Item>) -> Project {
    let mut next = start;
    for item in &mut items {
        item.address += next;
        let size = project.content_size(item);
        next = item.address + u32::try_from(size.speeds * size.loads).unwrap() * item.cell.size();
    }
    let checksum = Checksum { kind, from: start, length: next - start, stored_at: next };
    let size = next - start + kind.size();
    with_layout(
        project,
        ImageLayout { start, size, fill: 0xFF, byte_order, items, checksum, coverage: Coverage::default() },
    )
}

/// Any table in any layout, of the project's size or with sizes of the unit's own.
pub(super) fn any_project() -> impl Strategy<Value = Project> {
    let own = || proptest::option::weighted(0.3, 2..12_u16);
    let axes = (any_axis(0.0..1000.0, 60.0..500.0, 14), any_axis(0.0..10.0, 1.1..6.0, 14));
    let layout = (any::<bool>(), any_checksum(), prop_oneof![Just(0_u32), 0..0x2_0000_u32, Just(0xFFFF_0000)]);
    (axes, layout, own(), own(), own()).prop_flat_map(|((speed, load), (big, kind, start), speeds, loads, curve)| {
        let cells = proptest::collection::vec(-20.0..43.0, speed.len() * load.len());
        (any_items((speeds, loads), curve), cells).prop_map(move |(items, cells)| {
            let project = project().edit(|parts| parts.image.items.clear()).unwrap();
            let order = if big { ByteOrder::BigEndian } else { ByteOrder::LittleEndian };
            pack(&with_table(&project, &speed, &load, cells), start, order, kind, items)
        })
    })
}
