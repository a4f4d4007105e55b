//! The fields of what is selected: the image, an item, or the checksum.

use eframe::egui::{self, Rect, RichText, pos2, vec2};

use super::drag::size_label;
use super::kept::Kept;
use super::list;
use crate::image::{checksum_name, physical_range, stored_words};
use crate::project::{ChecksumKind, Content, Item};
use crate::window::kit::theme::engine_sheet_sizes::{BETWEEN_FIELDS, FIELD_LABEL, TWO_FIELDS};
use crate::window::kit::theme::view_sizes::FORM_SIZES;
use crate::window::kit::theme::{color, strong_label};
use crate::window::state::edits::{DocumentEdit, ImageEdit};
use crate::window::state::export_state::Part;
use crate::window::state::outbox::Outbox;
use crate::window::views::form::choice::{self, Choice};
use crate::window::views::form::{self, Entry, Meaning};
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit};

/// Draws the fields into the rest of `ui`.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, kept: &Kept, outbox: &mut Outbox) {
    ui.spacing_mut().item_spacing.y = FORM_SIZES.row_gap;
    let mut lines = Lines { view, outbox, refusal: None };
    match view.screen.export.part {
        Part::Whole => whole(ui, &mut lines, kept),
        Part::Checksum => checksum(ui, &mut lines, kept),
        Part::Item(place) => match kept.project.image.items.get(place) {
            Some(one) => item(ui, &mut lines, kept, (place, one)),
            None => whole(ui, &mut lines, kept),
        },
    }
    lines.refused(ui);
}

struct Lines<'a, 'b> {
    view: &'a View<'a>,
    outbox: &'b mut Outbox,
    /// The first field that holds something refused.
    refusal: Option<String>,
}

impl Lines<'_, '_> {
    fn heading(&self, ui: &mut egui::Ui, text: &str) {
        strong_label(ui, text, self.view.theme.heading_font());
    }

    /// The place of one labelled field.
    fn place(&self, ui: &mut egui::Ui) -> Rect {
        let size = vec2(ui.available_width(), self.view.theme.field_height);
        ui.allocate_exact_size(size, egui::Sense::hover()).0
    }

    /// The places of two labelled fields: side by side, or below each other where there is no room.
    fn places(&self, ui: &mut egui::Ui) -> [Rect; 2] {
        let line = self.place(ui);
        if line.width() < TWO_FIELDS {
            return [line, self.place(ui)];
        }
        let width = (line.width() - BETWEEN_FIELDS) / 2.0;
        let left = Rect::from_min_size(line.min, vec2(width, line.height()));
        [left, left.translate(vec2(width + BETWEEN_FIELDS, 0.0))]
    }

    fn label(&self, ui: &egui::Ui, place: Rect, text: &str) -> Rect {
        form::label(ui, self.view.theme, Rect::from_min_size(place.min, vec2(FIELD_LABEL, place.height())), text);
        Rect::from_min_max(pos2(place.left() + FIELD_LABEL, place.top()), place.max)
    }

    /// A list of names by its path. Its label takes no more room than its word, since it may be long.
    fn names(&mut self, ui: &mut egui::Ui, label: &str, path: &str) {
        let theme = self.view.theme;
        let place = self.place(ui);
        let word = ui.painter().layout_no_wrap(label.to_owned(), theme.body_font(), color(theme.palette.ink)).size().x;
        let word = (word + theme.gap).min(FIELD_LABEL);
        form::label(ui, theme, Rect::from_min_size(place.min, vec2(word, place.height())), label);
        let refusal = form::field_at(ui, self.view, self.outbox, place.with_min_x(place.left() + word), path);
        self.say(label, refusal);
    }

    fn say(&mut self, label: &str, refusal: Option<String>) {
        if let Some(why) = refusal {
            self.refusal.get_or_insert_with(|| format!("{label}: {why}"));
        }
    }

    /// A field of the project by its path.
    fn field(&mut self, ui: &mut egui::Ui, place: Rect, label: &str, path: &str) {
        let rect = self.label(ui, place, label);
        let refusal = form::field_at(ui, self.view, self.outbox, rect, path);
        self.say(label, refusal);
    }

    /// A number in hexadecimal, or plain, with a meaning of its own.
    fn number(
        &mut self,
        ui: &mut egui::Ui,
        place: Rect,
        (label, name, tooltip): (&str, &str, &str),
        now: u32,
        step: impl Fn(u32) -> (String, DocumentEdit),
    ) {
        let rect = self.label(ui, place, label);
        let shown = if name == "Image fill byte" { format!("{now:02X}") } else { format!("{now:04X}") };
        let key = format!("export: {name}");
        let entry = Entry {
            key: &key,
            label,
            name,
            shown: &shown,
            unit: form::text_box::Behind::Hexadecimal,
            width: None,
            tooltip,
        };
        let project = self.view.document.project();
        let read = |text: &str| {
            let number = hexadecimal(text)?;
            if number == now {
                return Ok(Meaning::Same);
            }
            let (label, edit) = step(number);
            edit.apply(project)?;
            Ok(Meaning::Step(label, edit))
        };
        let refusal = form::entry_at(ui, self.view, self.outbox, rect, &entry, read);
        self.say(label, refusal);
    }

    /// What is refused, at once and in words, in a place of its own below the fields.
    fn refused(&self, ui: &mut egui::Ui) {
        let words = self.refusal.clone().unwrap_or_default();
        let ink = color(self.view.theme.palette.error);
        if !words.is_empty() {
            let words = RichText::new(format!("Problem: {words}")).size(self.view.theme.small).color(ink);
            ui.add(egui::Label::new(words).wrap());
        }
    }
}

/// Reads an address: hexadecimal, with or without 0x before it.
fn hexadecimal(text: &str) -> Result<u32, Refusal> {
    let bare = text.trim();
    let bare = bare.strip_prefix("0x").or_else(|| bare.strip_prefix("0X")).unwrap_or(bare);
    let bare = bare.strip_suffix("hex").unwrap_or(bare).trim();
    u32::from_str_radix(bare, 16).map_err(|_| match bare {
        "" => Refusal::new("a hexadecimal number is wanted"),
        bare => Refusal::new(format!("'{bare}' is no hexadecimal number up to FFFFFFFF")),
    })
}

fn whole(ui: &mut egui::Ui, lines: &mut Lines<'_, '_>, kept: &Kept) {
    let layout = &kept.project.image;
    lines.heading(ui, "Image");
    let [left, right] = lines.places(ui);
    let told = "The first address of the image. Items and checksum move along.\nEnter or Tab sets it, Esc gives up.";
    lines.number(ui, left, ("Starts at", "Image start", told), layout.start, |start| {
        (format!("Move the image to {start:04X}"), ImageEdit::Rebase(start).into())
    });
    let told =
        "How many bytes the image has. A checksum in the last bytes stays there.\nEnter or Tab sets it, Esc gives up.";
    lines.number(ui, right, ("Bytes", "Image size", told), layout.size, |size| {
        let words = format!("Make the image {size:X} hex bytes large");
        (words, ImageEdit::Size(size).into())
    });
    let left = lines.place(ui);
    let told = "What unused bytes hold; FF reads like erased memory.\nEnter or Tab sets it, Esc gives up.";
    lines.number(ui, left, ("Fill byte", "Image fill byte", told), layout.fill.into(), |fill| {
        (format!("Fill unused bytes with {fill:02X}"), DocumentEdit::set_field("image.fill", fill.to_string()))
    });
    let place = lines.place(ui);
    lines.field(ui, place, "Byte order", "image.byte_order");
    let bytes = format!(
        "{} bytes in all; items take {}.",
        layout.size,
        kept.spans.iter().map(|span| span.to - span.from).sum::<u64>()
    );
    form::note(ui, lines.view.theme, &bytes);
    form::note(ui, lines.view.theme, "Select an item in the list, the map or the bytes to see its fields.");
}

fn checksum(ui: &mut egui::Ui, lines: &mut Lines<'_, '_>, kept: &Kept) {
    const KINDS: [ChecksumKind; 5] = [
        ChecksumKind::None,
        ChecksumKind::Sum8,
        ChecksumKind::Crc16CcittFalse,
        ChecksumKind::Crc16Modbus,
        ChecksumKind::Crc32IsoHdlc,
    ];
    let sum = &kept.project.image.checksum;
    lines.heading(ui, "Checksum");
    let place = lines.place(ui);
    let rect = lines.label(ui, place, "Kind");
    let words = KINDS.map(checksum_name);
    let now = KINDS.iter().position(|kind| *kind == sum.kind);
    let tooltip = "How damage of the image is found. One in the last bytes stays there.";
    let choice = Choice { key: "export checksum kind", name: "Checksum", words: &words, now, tooltip };
    if let Some(kind) =
        choice::show_at_end(ui, lines.view.theme, rect, &choice).and_then(|taken| KINDS.get(taken).copied())
    {
        let label = format!("Set the checksum to {}", checksum_name(kind));
        lines.outbox.edit(label, ImageEdit::Checksum(kind));
    }
    if sum.kind == ChecksumKind::None {
        return form::note(ui, lines.view.theme, "Without a checksum nothing tells a damaged image from a sound one.");
    }
    let put = |path: &'static str, words: &'static str| {
        move |number: u32| (format!("{words} {number:04X}"), DocumentEdit::set_field(path, number.to_string()))
    };
    let [left, right] = lines.places(ui);
    let told = "The first address that the checksum covers.\nEnter or Tab sets it, Esc gives up.";
    lines.number(
        ui,
        left,
        ("Covers from", "Checksum from", told),
        sum.from,
        put("image.checksum.from", "Let the checksum cover from"),
    );
    let told = "How many bytes the checksum covers.\nEnter or Tab sets it, Esc gives up.";
    lines.number(
        ui,
        right,
        ("Bytes", "Checksum length", told),
        sum.length,
        put("image.checksum.length", "Let the checksum cover bytes, hex"),
    );
    let left = lines.place(ui);
    let told = "Where the checksum is stored, outside the bytes it covers, in the image's byte order.\nEnter or Tab sets it, Esc gives up.";
    lines.number(
        ui,
        left,
        ("Stored at", "Checksum stored at", told),
        sum.stored_at,
        put("image.checksum.stored_at", "Store the checksum at"),
    );
    if let Ok(image) = &kept.image {
        form::note(ui, lines.view.theme, &format!("Now {}.", image.checksum_words(&kept.project)));
    }
}

fn item(ui: &mut egui::Ui, lines: &mut Lines<'_, '_>, kept: &Kept, (place, item): (usize, &Item)) {
    let path = |field: &str| format!("image.items[{place}].{field}");
    ui.horizontal(|ui| {
        lines.heading(ui, &format!("Item '{}'", item.name));
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let button = ui
                .button("Take out")
                .on_hover_text("Take this item out of the image, as one step. (Delete in the list)");
            if button.clicked() {
                list::remove(kept, place, lines.outbox);
            }
        });
    });
    let rect = lines.place(ui);
    lines.field(ui, rect, "Name", &path("name"));
    lines.names(ui, "Holds", &path("content"));
    if item.content == Content::Field {
        let rect = lines.place(ui);
        lines.field(ui, rect, "Field", &path("field"));
    }
    let [left, right] = lines.places(ui);
    let (name, told) = (
        item.name.clone(),
        "The first address of the item; it can also be dragged in the map.\nEnter or Tab sets it, Esc gives up.",
    );
    lines.number(ui, left, ("Address", "Item address", told), item.address, move |address| {
        (format!("Move '{name}' to {address:04X}"), ImageEdit::Move { place, address }.into())
    });
    lines.field(ui, right, "Type", &path("cell"));
    let [left, right] = lines.places(ui);
    lines.field(ui, left, "Scale", &path("scale"));
    lines.field(ui, right, "Offset", &path("offset"));
    shape(ui, lines, kept, (place, item));
    let unit = kept
        .project
        .image
        .items
        .get(place)
        .map_or(Unit::None, |item| crate::image::Quantity::of(item, &kept.project).unit);
    let (low, high) = physical_range(item);
    let range = if item.cell == crate::project::CellType::F32 {
        "value = raw × scale + offset, to about seven digits".to_owned()
    } else {
        format!("value = raw × scale + offset: {} to {}", stored_words(low, unit), stored_words(high, unit))
    };
    form::note(ui, lines.view.theme, &range);
}

/// Order, directions and the unit's own size, as far as the item has them.
fn shape(ui: &mut egui::Ui, lines: &mut Lines<'_, '_>, kept: &Kept, (place, item): (usize, &Item)) {
    let path = |field: &str| format!("image.items[{place}].{field}");
    let is_table = item.content == Content::AdvanceCells;
    let has_loads = is_table || item.content == Content::AdvanceLoads;
    let has_speeds = item.content != Content::Field && item.content != Content::AdvanceLoads;
    if !has_loads && !has_speeds {
        return;
    }
    let mut wide = |ui: &mut egui::Ui, label: &str, field: &str| lines.names(ui, label, &path(field));
    if is_table {
        wide(ui, "Order", "order");
    }
    if has_speeds {
        wide(ui, if is_table { "Speeds" } else { "Points" }, "speed_direction");
    }
    if has_loads {
        wide(ui, "Loads", "load_direction");
    }
    // One alone has the whole line: all end on one edge.
    let [left, right] = if has_speeds && has_loads { lines.places(ui) } else { [lines.place(ui); 2] };
    let size = kept.project.content_size(item);
    if has_speeds {
        let label = if is_table || item.content == Content::AdvanceSpeeds { "Own speeds" } else { "Own points" };
        own_size(ui, lines, left, label, (place, item), size.speeds, true);
    }
    if has_loads {
        own_size(ui, lines, right, "Own loads", (place, item), size.loads, false);
    }
}

/// The unit's own number of breakpoints; empty means the project's.
fn own_size(
    ui: &mut egui::Ui,
    lines: &mut Lines<'_, '_>,
    place: Rect,
    label: &str,
    (at, item): (usize, &Item),
    now: usize,
    is_speeds: bool,
) {
    let own = if is_speeds { item.speeds } else { item.loads };
    let rect = lines.label(ui, place, label);
    let shown = own.map_or_else(String::new, |own| own.to_string());
    let tooltip = format!(
        "The unit's own number of breakpoints, 2 to 64; empty: the project's. Now {now}.\nThe table is resampled onto them; its axis items go along. \
         Enter or Tab sets it, Esc gives up."
    );
    let key = format!("export: {label}");
    let unit = if own.is_none() { format!("as project: {now}") } else { String::new() };
    let entry = Entry {
        key: &key,
        label,
        name: label,
        shown: &shown,
        unit: form::text_box::Behind::Words(&unit),
        width: None,
        tooltip: &tooltip,
    };
    let project = lines.view.document.project();
    let (name, speeds, loads) = (item.name.clone(), item.speeds, item.loads);
    let read = |text: &str| {
        let bare = text.trim();
        let count = if bare.is_empty() {
            None
        } else {
            Some(bare.parse().map_err(|_| Refusal::new(format!("'{bare}' is no number from 2 to 64")))?)
        };
        if count == own {
            return Ok(Meaning::Same);
        }
        let size = if is_speeds { (count, loads) } else { (speeds, count) };
        let edit = ImageEdit::Resize { place: at, speeds: size.0, loads: size.1 };
        edit.apply(project)?;
        Ok(Meaning::Step(size_label(&name, size), edit.into()))
    };
    let refusal = form::entry_at(ui, lines.view, lines.outbox, rect, &entry, read);
    lines.say(label, refusal);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_are_hexadecimal() {
        for (text, number) in [("1f0", 0x1F0), (" 0x8000 ", 0x8000), ("FFFFFFFF", u32::MAX), ("20 hex", 0x20)] {
            assert_eq!(hexadecimal(text), Ok(number));
        }
        for text in ["", "0x", "12G", "-1", "100000000"] {
            assert!(hexadecimal(text).is_err(), "{text}");
        }
    }
}
