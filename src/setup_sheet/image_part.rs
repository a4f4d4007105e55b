//! What the unit holds: image layout, checksum, and the last export.

use super::installation::date;
use super::piece::{Paragraph, Piece, prose};
use super::rows::Rows;
use super::tables::{facts, left, table};
use crate::image::{self, FlashedUnit, compare_spark};
use crate::image::{checksum_digits, checksum_name, describe, encode};
use crate::project::{AddressRange, ByteOrder, ChecksumKind, Project, TreeError};
use crate::wording::{Refusal, Unit, with_unit, written};

/// The image's checksum in words, or why there is none.
pub(super) fn checksum(project: &Project) -> Result<String, Refusal> {
    let kind = project.image.checksum.kind;
    let image = encode(project)?;
    let name = checksum_name(kind);
    Ok(image
        .checksum
        .map_or_else(|| "none".into(), |sum| format!("{sum:0digits$X} ({name})", digits = checksum_digits(kind))))
}

pub(super) fn image(project: &Project, room: f32) -> Piece {
    let layout = &project.image;
    let end = u64::from(layout.start) + u64::from(layout.size);
    let order = match layout.byte_order {
        ByteOrder::LittleEndian => "least significant byte first",
        ByteOrder::BigEndian => "most significant byte first",
    };
    let mut rows = vec![
        ("Addresses".to_owned(), format!("{}, {} bytes", AddressRange::new(layout.start.into(), end), layout.size)),
        ("Byte order".into(), order.into()),
        ("Unused bytes".into(), format!("{:02X}", layout.fill)),
    ];
    match checksum(project) {
        Ok(sum) => rows.push(("Checksum".into(), sum)),
        Err(why) => rows.push(("Image".into(), format!("CANNOT BE MADE: {why}"))),
    }
    if layout.checksum.kind != ChecksumKind::None {
        let covered = u64::from(layout.checksum.from) + u64::from(layout.checksum.length);
        let text = format!(
            "bytes {}, stored at {:X}",
            AddressRange::new(layout.checksum.from.into(), covered),
            layout.checksum.stored_at
        );
        rows.push(("It covers".into(), text));
    }
    rows.push(("As flashed".into(), spark(project).join(". ")));
    rows.push(("Last export".into(), last_export(project)));
    facts("Image for the flashing tool", &rows, room)
}

fn last_export(project: &Project) -> String {
    let Some(export) = &project.last_export else {
        return "none from this project".into();
    };
    let locked = export
        .state
        .locked_timing_deg
        .map_or_else(String::new, |deg| format!(", LOCKED TIMING {}", with_unit(&written(deg), Unit::Degree)));
    let same = if export.state == project.as_state() {
        "the project as printed here"
    } else {
        "ANOTHER STATE than printed here"
    };
    let despite = export
        .despite_errors
        .as_ref()
        .map_or_else(String::new, |reason| format!(". WRITTEN DESPITE OPEN ERRORS, for: {reason}"));
    format!("{}, {}, checksum {}{locked}: {same}{despite}", export.file_name, date(&export.written_at), export.checksum)
}

/// What is in the project and not in the image: how it reaches the unit, and whether it was set there by hand.
pub(super) fn not_held(project: &Project, room: f32) -> Result<Rows, TreeError> {
    const TITLE: &str = "Not in the image";
    let list = image::not_held(project)?;
    if list.is_empty() {
        return Ok(prose(TITLE, &[Paragraph::plain("Nothing: the image holds every number of the project.")], room));
    }
    let mut paragraphs = Vec::new();
    for part in &list {
        let words = format!("{}: {}", part.part.words(), part.how_words());
        let paragraph = if part.is_by_hand() { Paragraph::to_tick(words, part.set) } else { Paragraph::plain(words) };
        paragraphs.push(paragraph);
        if !part.note.trim().is_empty() {
            paragraphs.push(Paragraph::quiet(part.note.trim().to_owned()));
        }
    }
    Ok(prose(TITLE, &paragraphs, room))
}

/// How the spark of the unit differs from that of the project, in sentences.
pub(super) fn spark(project: &Project) -> Vec<String> {
    match FlashedUnit::of(project) {
        Ok(unit) => compare_spark(project, &unit).sentences(project.sensors.load.unit()),
        Err(why) => vec![format!("What the unit would command cannot be told: {why}")],
    }
}

/// What a number of an item is worth: '× 0.1 °C', '× 1 − 40 °C'.
fn worth(scale: f64, offset: f64, unit: Unit) -> String {
    let scaled = format!("× {}", written(scale));
    let moved = match offset {
        0.0 => scaled,
        _ if offset < 0.0 => format!("{scaled} − {}", written(-offset)),
        _ => format!("{scaled} + {}", written(offset)),
    };
    if unit.is_none() { moved } else { with_unit(&moved, unit) }
}

pub(super) fn items(project: &Project, room: f32) -> Rows {
    let descriptions = describe(project);
    if descriptions.is_empty() {
        return prose("Image items", &[Paragraph::plain("None: the layout is empty.")], room);
    }
    let last = descriptions.iter().map(|description| description.end).max().unwrap_or(0);
    let digits = format!("{last:X}").len();
    let rows: Vec<Vec<String>> = descriptions
        .iter()
        .map(|description| {
            let (item, size) = (description.item, description.size);
            let count = match (size.speeds, size.loads) {
                (1, 1) => "1".to_owned(),
                (speeds, 1) => speeds.to_string(),
                (1, loads) => loads.to_string(),
                (speeds, loads) => format!("{speeds} × {loads}"),
            };
            vec![
                format!("{:0digits$X}–{:0digits$X}", item.address, description.end.saturating_sub(1)),
                item.name.clone(),
                crate::image::cell_name(item.cell).into(),
                count,
                worth(item.scale, item.offset, description.quantity.unit),
            ]
        })
        .collect();
    let columns = [left("address"), left("item"), left("type"), left("count"), left("worth")];
    table("Image items", &columns, &rows, room)
}
