//! Everything that is in the image, in ascending addresses.

use eframe::egui::{
    self, Align2, Color32, FontId, Id, Key, Modifiers, Rect, Response, Role, ScrollArea, Sense, StrokeKind, WidgetInfo,
    pos2, vec2,
};

use super::kept::{Kept, Span};
use super::scale::placed;
use super::tint;
use crate::image::cell_name;
use crate::window::kit::theme::engine_sheet_sizes::{ITEM_RING_RADIUS, LEAST_ITEM_NAME};
use crate::window::kit::theme::kit_sizes::TIGHT_GAP;
use crate::window::kit::theme::{color, elided_middle, hairline, ring, strong_font};
use crate::window::state::edits::ImageEdit;
use crate::window::state::export_state::{ExportMessage, Part};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// A part that takes less than this share of the detail, as one in so many, is brought nearer.
const LEAST_SHARE: u64 = 40;

/// Draws the list into the rest of `ui`.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, kept: &Kept, outbox: &mut Outbox) {
    ui.spacing_mut().item_spacing.y = 0.0;
    let parts = parts(kept);
    let columns = columns(ui, view, kept, &parts);
    ScrollArea::vertical().id_salt("items of the image").auto_shrink(false).show(ui, |ui| {
        for part in &parts {
            let response = row(ui, view, kept, *part, columns);
            react(ui, view, outbox, (kept, &parts), *part, &response);
        }
    });
}

/// The whole first, then what is in it.
fn parts(kept: &Kept) -> Vec<Part> {
    std::iter::once(Part::Whole).chain(kept.spans.iter().map(|span| span.part)).collect()
}

fn id(part: Part) -> Id {
    let place = match part {
        Part::Whole => usize::MAX,
        Part::Checksum => usize::MAX - 1,
        Part::Item(place) => place,
    };
    Id::unique(("part of the image", place))
}

/// The widths of the addresses and of the types: numbers are whole, and names get the rest.
fn columns(ui: &egui::Ui, view: &View<'_>, kept: &Kept, parts: &[Part]) -> [f32; 2] {
    let width = |text: String, font: FontId| ui.painter().layout_no_wrap(text, font, Color32::BLACK).size().x;
    parts.iter().fold([0.0; 2], |[addresses, types]: [f32; 2], part| {
        let (_, address, kind, _) = words(kept, *part);
        let address = width(address, view.theme.address_font());
        [addresses.max(address), types.max(width(kind, view.theme.small_font()))]
    })
}

fn row(ui: &mut egui::Ui, view: &View<'_>, kept: &Kept, part: Part, [addresses, types]: [f32; 2]) -> Response {
    let theme = view.theme;
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), theme.export.line_height), Sense::hover());
    let response = ui.interact(rect, id(part), Sense::click());
    let is_selected = view.screen.export.part == part;
    if is_selected {
        let shown = id(Part::Whole).with("shown");
        let before: Option<Part> = ui.data(|data| data.get_temp(shown));
        if before != Some(part) {
            // It was selected elsewhere, or by a key.
            ui.data_mut(|data| data.insert_temp(shown, part));
            response.scroll_to_me(None);
        }
    }
    let (name, address, kind, told) = words(kept, part);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_selected, &told));
    let palette = theme.palette;
    if is_selected {
        ui.painter().rect_filled(rect, 0.0, color(palette.selection));
        let mark = Rect::from_min_size(rect.min, vec2(theme.rail_mark, rect.height()));
        ui.painter().rect_filled(mark, 0.0, color(palette.accent));
    } else if response.hovered() {
        ui.painter().rect_filled(rect, 0.0, color(palette.field_hover));
    }
    if response.has_focus() {
        ui.painter().rect_stroke(rect, ITEM_RING_RADIUS, ring(color(palette.ink)), StrokeKind::Inside);
    }
    let left = rect.left() + theme.rail_mark + theme.gap;
    let swatch = Rect::from_center_size(
        pos2(left + theme.export.swatch / 2.0, rect.center().y),
        vec2(theme.export.swatch, theme.export.swatch),
    );
    if let Some(span) = kept.span_of(part) {
        tint::part(ui.painter(), theme, swatch, span.kind);
    }
    ui.painter().rect_stroke(swatch, 0.0, hairline(color(palette.rule_strong)), StrokeKind::Inside);
    let name_left = swatch.right() + theme.gap;
    let end = rect.right() - TIGHT_GAP;
    let has_types = end - types - addresses - 2.0 * theme.gap - name_left >= LEAST_ITEM_NAME;
    let types_left = if has_types { end - types } else { end };
    let addresses_left = if has_types { types_left - theme.gap } else { end } - addresses;
    let room = Rect::from_x_y_ranges(name_left..=(addresses_left - theme.gap).max(name_left), rect.y_range());
    let font = if is_selected { strong_font(&theme.body_font()) } else { theme.body_font() };
    let name = elided_middle(ui, room, name, font);
    name.paint(ui, egui::Align::Min, color(palette.ink));
    let weak = color(palette.ink_secondary);
    let kind = if has_types { kind } else { String::new() };
    for (left, text, font) in [(addresses_left, address, theme.address_font()), (types_left, kind, theme.small_font())]
    {
        ui.painter().text(pos2(left, rect.center().y), Align2::LEFT_CENTER, text, font, weak);
    }
    response.on_hover_text(format!("{told}\nUp and Down go from one to the next, Delete takes an item out."))
}

/// Name, addresses, type and size, and all of it in words.
fn words(kept: &Kept, part: Part) -> (String, String, String, String) {
    let (first, end) = kept.ends();
    let Some(span) = kept.span_of(part) else {
        let size = format!("{} bytes", end - first);
        let told = format!("Image, addresses {first:04X} to {:04X}, {size}", end - 1);
        return ("Image".into(), format!("{first:04X}–{:04X}", end - 1), size, told);
    };
    let address = format!("{:04X}–{:04X}", span.from, span.to.saturating_sub(1));
    let kind = match part {
        Part::Item(place) => {
            let cell = kept.project.image.items.get(place).map_or("", |item| cell_name(item.cell));
            format!("{cell}{}", size_words(span))
        }
        _ => span.label.clone(),
    };
    let last = span.to.saturating_sub(1);
    let told = format!(
        "{}, {}, addresses {:04X} to {last:04X}, {kind}; {}",
        span.name,
        span.kind.words(),
        span.from,
        span.label
    );
    (span.name.clone(), address, kind, told)
}

fn size_words(span: &Span) -> String {
    match span.size {
        (1, 1) => String::new(),
        (count, 1) | (1, count) => format!(", {count}"),
        (speeds, loads) => format!(", {speeds} × {loads}"),
    }
}

fn react(
    ui: &egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    (kept, parts): (&Kept, &[Part]),
    part: Part,
    response: &Response,
) {
    if response.clicked() {
        response.request_focus();
        select(view, kept, part, outbox);
    }
    if !response.has_focus() {
        return;
    }
    ui.memory_mut(|memory| {
        let arrows = egui::EventFilter { vertical_arrows: true, ..egui::EventFilter::default() };
        memory.set_focus_lock_filter(response.id, arrows);
    });
    let pressed = |key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    let at = parts.iter().position(|other| *other == part).unwrap_or_default();
    let next = match () {
        () if pressed(Key::ArrowDown) => parts.get(at + 1),
        () if pressed(Key::ArrowUp) => at.checked_sub(1).and_then(|before| parts.get(before)),
        () => None,
    };
    if let Some(&next) = next {
        ui.memory_mut(|memory| memory.request_focus(id(next)));
        select(view, kept, next, outbox);
    }
    if let Part::Item(place) = part
        && view.screen.export.part == part
        && pressed(Key::Delete)
    {
        remove(kept, place, outbox);
    }
}

/// A stretch of addresses with a third of its size on either side, at least 48 bytes.
pub(super) fn around((from, to): (u64, u64), ends: (u64, u64)) -> (u64, u64) {
    let beside = ((to - from) / 3).max(48);
    placed(from.saturating_sub(beside), to - from + 2 * beside, ends)
}

/// Selects a part with its first byte, and brings the detail of the map to it where it could not be read there.
pub(super) fn select(view: &View<'_>, kept: &Kept, part: Part, outbox: &mut Outbox) {
    let ends = kept.ends();
    let span = kept.span_of(part).map(|span| (span.from, span.to));
    outbox.send(ExportMessage::Select(part, span.map(|span| span.0)));
    let Some((from, to)) = span else { return };
    let (first, end) = view.screen.export.span.unwrap_or(ends);
    // So small a part of the detail cannot be read, and what lies outside cannot be seen.
    if (to - from) * LEAST_SHARE < end - first || from < first || to > end {
        outbox.send(ExportMessage::Detail(Some(around((from, to), ends))));
    }
}

/// Takes an item out, as one step.
pub(super) fn remove(kept: &Kept, place: usize, outbox: &mut Outbox) {
    let Some(item) = kept.project.image.items.get(place) else {
        return;
    };
    let label = format!("Take '{}' out of the image", item.name);
    outbox.edit(label, ImageEdit::Remove(place));
    outbox.send(ExportMessage::Select(Part::Whole, None));
}
