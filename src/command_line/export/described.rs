//! The items of the image: what lies where, and how.

use std::fmt::Write;

use serde::Serialize;

use crate::image::{ItemDescription, cell_name, checksum_name, describe};
use crate::project::{AddressRange, ByteOrder, CellOrder, Checksum, ChecksumKind, Content, Direction, Project};
use crate::wording::{Unit, count, one_line, with_unit, written};

/// A summary of an image.
#[derive(Serialize)]
pub(super) struct Described<'a> {
    start: u32,
    size: u32,
    fill: u8,
    byte_order: ByteOrder,
    checksum: &'a Checksum,
    items: Vec<DescribedItem<'a>>,
}

#[derive(Serialize)]
struct DescribedItem<'a> {
    name: &'a str,
    content: Content,
    #[serde(skip_serializing_if = "str::is_empty")]
    field: &'a str,
    label: &'static str,
    unit: Unit,
    address: u32,
    last: u64,
    r#type: &'static str,
    scale: f64,
    offset: f64,
    order: CellOrder,
    speed_direction: Direction,
    load_direction: Direction,
    count: usize,
    speeds: usize,
    loads: usize,
}

impl<'a> DescribedItem<'a> {
    fn of(description: &ItemDescription<'a>) -> Self {
        let item = description.item;
        Self {
            name: &item.name,
            content: item.content,
            field: &item.field,
            label: description.quantity.label,
            unit: description.quantity.unit,
            address: item.address,
            last: description.end.saturating_sub(1),
            r#type: cell_name(item.cell),
            scale: item.scale,
            offset: item.offset,
            order: item.order,
            speed_direction: item.speed_direction,
            load_direction: item.load_direction,
            count: description.size.speeds * description.size.loads,
            speeds: description.size.speeds,
            loads: description.size.loads,
        }
    }
}

pub(super) fn described(project: &Project) -> Described<'_> {
    let layout = &project.image;
    Described {
        start: layout.start,
        size: layout.size,
        fill: layout.fill,
        byte_order: layout.byte_order,
        checksum: &layout.checksum,
        items: describe(project).iter().map(DescribedItem::of).collect(),
    }
}

/// The same for people, one item per line.
pub(super) fn text(project: &Project) -> String {
    let layout = &project.image;
    let end = u64::from(layout.start) + u64::from(layout.size);
    let order = match layout.byte_order {
        ByteOrder::LittleEndian => "least significant byte first",
        ByteOrder::BigEndian => "most significant byte first",
    };
    let addresses = AddressRange::new(layout.start.into(), end);
    let size = count(layout.size as usize, "byte");
    let mut text = format!("image {addresses}, {size}, {order}, fill {:02X}\n", layout.fill);
    let Checksum { kind, from, length, stored_at } = layout.checksum;
    if kind == ChecksumKind::None {
        text += "no checksum\n";
    } else {
        let covered = AddressRange::new(from.into(), u64::from(from) + u64::from(length));
        let _ = writeln!(text, "checksum {} over {covered}, stored at {stored_at:X}", checksum_name(kind));
    }
    text += "address            item                       type  numbers  value = raw × scale + offset   order\n";
    for description in describe(project) {
        line(&mut text, &description);
    }
    text
}

fn line(text: &mut String, description: &ItemDescription<'_>) {
    let (item, size) = (description.item, description.size);
    let numbers = match (size.speeds, size.loads) {
        (count, 1) | (1, count) => count.to_string(),
        (speeds, loads) => format!("{speeds}×{loads}"),
    };
    let value = format!(
        "raw × {} {} {}",
        written(item.scale),
        if item.offset < 0.0 { '−' } else { '+' },
        with_unit(&written(item.offset.abs()), description.quantity.unit)
    );
    let is_down = |direction| direction == Direction::Descending;
    let mut order = Vec::new();
    if size.loads > 1 && size.speeds > 1 {
        order.push(match item.order {
            CellOrder::RowsFirst => "load rows",
            CellOrder::ColumnsFirst => "speed columns",
        });
    }
    if size.speeds > 1 && is_down(item.speed_direction) {
        order.push(if size.loads > 1 { "speeds falling" } else { "falling" });
    }
    if size.loads > 1 && is_down(item.load_direction) {
        order.push("loads falling");
    }
    let address = AddressRange::new(item.address.into(), description.end).to_string();
    let (name, kind, order) = (one_line(&item.name), cell_name(item.cell), order.join(", "));
    let line = format!("{address:<18} {name:<26} {kind:<4} {numbers:>8}  {value:<30} {order}");
    let _ = writeln!(text, "{}", line.trim_end());
}
