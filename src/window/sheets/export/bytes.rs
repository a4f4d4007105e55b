//! Every byte of the image, sixteen a row, each with the look of what it belongs to. Long runs of fill are one row, which a
//! press opens.

use std::collections::BTreeSet;
use std::ops::Range;

use eframe::egui::{
    self, Align2, Color32, Id, Key, Modifiers, Painter, Pos2, Rect, Role, ScrollArea, Sense, Shape, Stroke, StrokeKind,
    WidgetInfo, pos2, vec2,
};

use super::folded::{Fill, Folded, Row};
use super::kept::{Kept, pick};
use super::tint;
use crate::window::kit::marks;
use crate::window::kit::theme::engine_sheet_sizes::{
    BYTE_MARK, BYTE_RAISED, BYTE_STRIP, FOLD_TRIANGLE, LEAST_ITEM_NAME,
};
use crate::window::kit::theme::kit_sizes::HAIRLINE;
use crate::window::kit::theme::{color, elided_middle, hairline, ring};
use crate::window::state::export_state::{ExportMessage, Part};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// Bytes in a row, and where there is no room for so many.
const ROW: u64 = 16;
const SHORT_ROW: u64 = 8;
/// Addresses with more digits than this need all of the column.
const SHORT_ADDRESS: u64 = 0x1_0000;
/// Rows of the page keys.
const PAGE: i64 = 16;

/// What the view keeps between frames.
#[derive(Default)]
pub(super) struct BytesView {
    /// The byte that was last brought into view.
    shown: Option<u64>,
    /// The rows that were visible.
    rows: Range<usize>,
}

/// The bytes that have the keyboard.
pub(super) fn id() -> Id {
    Id::unique("bytes of the image")
}

impl BytesView {
    /// Draws the bytes into the rest of `ui`; gives what the pointer is over.
    pub(super) fn show(
        &mut self,
        ui: &mut egui::Ui,
        view: &View<'_>,
        kept: &Kept,
        outbox: &mut Outbox,
    ) -> Option<String> {
        ui.spacing_mut().item_spacing.y = 0.0;
        let (_, end) = kept.ends();
        let address_width = address_width(view, end);
        // With room for names beside them.
        let needed = address_width + ROW as f32 * view.theme.export.byte_width + LEAST_ITEM_NAME;
        let fits = needed <= ui.available_width();
        let per_row = if fits { ROW } else { SHORT_ROW };
        let folded = Folded::new(kept.ends(), per_row, &kept.fill, &view.screen.export.open_fill);
        let height = view.theme.export.row_height;
        let mut area = ScrollArea::vertical().id_salt("bytes").auto_shrink(false);
        if let Some(offset) = self.offset_to(view, &folded, height) {
            area = area.vertical_scroll_offset(offset);
        }
        let marked = marked(view, kept);
        let mut pointed = None;
        area.show_rows(ui, height, folded.rows(), |ui, visible| {
            self.rows = visible.clone();
            let origin = ui.cursor().min;
            #[expect(clippy::cast_precision_loss, reason = "rows on a screen")]
            let size = vec2(ui.available_width(), height * visible.len() as f32);
            let whole = Rect::from_min_size(origin, size);
            let response = ui.interact(whole, id(), Sense::click());
            let selected = view.screen.export.byte.map_or_else(|| "none selected".into(), |byte| kept.words(byte));
            response.widget_info(|| WidgetInfo::labeled(Role::Grid, true, format!("bytes of the image: {selected}")));
            let places = Places { origin, folded: &folded, row: visible.start, per_row, address_width, view };
            let hovered = response.hover_pos().and_then(|at| places.address(at));
            pointed = hovered.map(|address| kept.words(address));
            for row in visible {
                match folded.row(row) {
                    Some(Row::Bytes(addresses)) => places.row(ui, kept, (row, addresses), &marked),
                    Some(Row::Fill(fill)) => pointed = places.fill(ui, kept, (row, &fill), outbox).or(pointed.take()),
                    None => {}
                }
            }
            let clicked = response.interact_pointer_pos().filter(|_| response.clicked());
            if let Some(address) = clicked.and_then(|at| places.address(at)) {
                response.request_focus();
                pick(kept, address, outbox);
            }
            if response.has_focus() {
                keys(ui, view, (kept, &folded), outbox);
            }
            ui.advance_cursor_after_rect(whole);
        });
        pointed
    }

    /// How far to scroll so that a byte just selected is in view; nothing where it is already.
    fn offset_to(&mut self, view: &View<'_>, folded: &Folded, height: f32) -> Option<f32> {
        let byte = view.screen.export.byte;
        if byte == self.shown {
            return None;
        }
        self.shown = byte;
        let row = folded.row_of(byte?)?;
        if self.rows.start < row && row + 1 < self.rows.end {
            return None;
        }
        #[expect(clippy::cast_precision_loss, reason = "a row of the list")]
        let top = row.saturating_sub(3) as f32;
        Some(top * height)
    }
}

fn address_width(view: &View<'_>, end: u64) -> f32 {
    let width = view.theme.export.address_width;
    if end > SHORT_ADDRESS { width } else { width * 0.7 }
}

fn keys(ui: &egui::Ui, view: &View<'_>, (kept, folded): (&Kept, &Folded), outbox: &mut Outbox) {
    ui.memory_mut(|memory| {
        let arrows =
            egui::EventFilter { vertical_arrows: true, horizontal_arrows: true, ..egui::EventFilter::default() };
        memory.set_focus_lock_filter(id(), arrows);
    });
    let (first, end) = kept.ends();
    let from = view.screen.export.byte.unwrap_or(first);
    let pressed = |key| ui.input_mut(|input| input.count_and_consume_key(Modifiers::NONE, key) as i64);
    let along = pressed(Key::ArrowRight) - pressed(Key::ArrowLeft);
    let down = pressed(Key::ArrowDown) - pressed(Key::ArrowUp) + PAGE * (pressed(Key::PageDown) - pressed(Key::PageUp));
    let to = match () {
        () if pressed(Key::Home) > 0 => first,
        () if pressed(Key::End) > 0 => end - 1,
        () => folded.down(folded.along(from, along), down),
    };
    if pressed(Key::Enter) + pressed(Key::Space) > 0
        && let Some(fill) = folded.fill_at(from)
    {
        outbox.send(ExportMessage::OpenFill(fill.key, !fill.is_open));
    }
    if to != from {
        pick(kept, to, outbox);
    }
}

/// The addresses whose bytes differ in the file compared with.
fn marked(view: &View<'_>, kept: &Kept) -> BTreeSet<u64> {
    let Some(compared) = &view.screen.export.compared else {
        return BTreeSet::new();
    };
    let Ok((_, comparison)) = &compared.found else {
        return BTreeSet::new();
    };
    comparison.differences.iter().flat_map(|difference| kept.number_at(difference.address)).collect()
}

/// Where bytes are.
struct Places<'a> {
    origin: Pos2,
    folded: &'a Folded,
    row: usize,
    per_row: u64,
    address_width: f32,
    view: &'a View<'a>,
}

impl Places<'_> {
    #[expect(clippy::cast_precision_loss, reason = "rows on a screen")]
    fn byte(&self, row: usize, column: u64) -> Rect {
        let sizes = &self.view.theme.export;
        let top = self.origin.y + (row - self.row) as f32 * sizes.row_height;
        let left = self.origin.x + self.address_width + column as f32 * sizes.byte_width;
        Rect::from_min_size(pos2(left, top), vec2(sizes.byte_width, sizes.row_height))
    }

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "places on a screen")]
    fn address(&self, at: Pos2) -> Option<u64> {
        let sizes = &self.view.theme.export;
        let column = (at.x - self.origin.x - self.address_width) / sizes.byte_width;
        let row = (at.y - self.origin.y) / sizes.row_height;
        if !(0.0..self.per_row as f32).contains(&column) || row < 0.0 {
            return None;
        }
        match self.folded.row(self.row + row as usize)? {
            Row::Bytes(addresses) => Some(addresses.start + column as u64).filter(|at| addresses.contains(at)),
            Row::Fill(_) => None,
        }
    }

    /// A run of fill in one row: a press shows its bytes, or folds them. Gives its words if the pointer is over it.
    fn fill(&self, ui: &egui::Ui, kept: &Kept, (row, fill): (usize, &Fill), outbox: &mut Outbox) -> Option<String> {
        let theme = self.view.theme;
        let palette = theme.palette;
        let start = self.byte(row, 0);
        let right = (ui.max_rect().right() - theme.gap).max(self.byte(row, self.per_row).left());
        let rect = Rect::from_x_y_ranges(self.origin.x..=right, start.y_range());
        let response = ui.interact(rect, id().with(("fill", fill.key)), Sense::click());
        let (addresses, bytes) = kept.fill_words(&fill.addresses);
        let words = format!("{addresses}, {bytes}");
        let told = format!("{words}, {}", if fill.is_open { "open" } else { "folded" });
        response.widget_info(|| WidgetInfo::labeled(Role::Row, true, &told));
        let ground = if response.hovered() { palette.field_hover } else { palette.panel };
        ui.painter().rect_filled(rect.shrink2(vec2(0.0, HAIRLINE)), 0.0, color(ground));
        let weak = color(palette.ink_secondary);
        let at = pos2(start.left() - theme.gap * 1.5, start.center().y);
        let first = ui.painter().layout_no_wrap(format!("{:04X}", fill.addresses.start), theme.address_font(), weak);
        let left = at.x - first.size().x;
        let mut end = left;
        for (text, font) in [(addresses, theme.address_font()), (format!(", {bytes}"), theme.small_font())] {
            end = ui.painter().text(pos2(end, at.y), Align2::LEFT_CENTER, text, font, weak).right();
        }
        let middle = pos2(end + theme.gap + FOLD_TRIANGLE, at.y);
        ui.painter().add(triangle(middle, fill.is_open, weak));
        let is_selected = self.view.screen.export.byte.is_some_and(|byte| fill.addresses.contains(&byte));
        if is_selected && !fill.is_open {
            let stroke = Stroke::new(theme.selection_width, color(palette.accent));
            ui.painter().rect_stroke(rect, 0.0, stroke, StrokeKind::Inside);
        } else if response.has_focus() {
            ui.painter().rect_stroke(rect, 0.0, ring(color(palette.ink)), StrokeKind::Inside);
        }
        if response.clicked() {
            outbox.send(ExportMessage::OpenFill(fill.key, !fill.is_open));
        }
        response.hovered().then_some(words)
    }

    fn row(&self, ui: &egui::Ui, kept: &Kept, (row, addresses): (usize, Range<u64>), marked: &BTreeSet<u64>) {
        let theme = self.view.theme;
        let from = addresses.start;
        let painter = ui.painter();
        for address in addresses.clone() {
            self.paint(painter, kept, (row, address - from, address), marked);
        }
        self.outline(painter, kept, row, addresses.clone());
        let start = self.byte(row, 0);
        let weak = color(theme.palette.ink_secondary);
        let at = pos2(start.left() - theme.gap * 1.5, start.center().y);
        painter.text(at, Align2::RIGHT_CENTER, format!("{from:04X}"), theme.address_font(), weak);
        let names = names(kept, &addresses, row == self.row);
        let end_x = self.byte(row, self.per_row).left() + theme.gap;
        let right = (ui.max_rect().right() - theme.gap).max(end_x);
        let place = Rect::from_x_y_ranges(end_x..=right, start.y_range());
        let goes_on = self.goes_on_alone(kept, &addresses);
        for (at, part) in self.in_lines(ui, &names, place.width(), goes_on).into_iter().enumerate() {
            let below = if at == 0 { 0.0 } else { theme.export.row_height };
            let line = elided_middle(ui, place.translate(vec2(0.0, below)), part, theme.small_font());
            line.write(ui, egui::Align::Min, weak);
        }
        self.tell(ui, kept, (row, addresses), &names);
    }

    /// Whether a row has one item, and the next row nothing but more of it.
    fn goes_on_alone(&self, kept: &Kept, addresses: &Range<u64>) -> bool {
        let next = addresses.end..addresses.end + self.per_row;
        let starts = |row: &Range<u64>| kept.spans.iter().filter(|span| row.contains(&span.from)).count();
        let goes_on = kept.span_at(addresses.end).is_some_and(|span| span.from < addresses.end);
        goes_on && starts(addresses) <= 1 && starts(&next) == 0
    }

    /// A name in the line that there is room for; in two where it is too long and its next row has no other.
    fn in_lines<'b>(&self, ui: &egui::Ui, name: &'b str, room: f32, has_two: bool) -> Vec<&'b str> {
        let font = self.view.theme.small_font();
        let fits =
            |text: &str| ui.painter().layout_no_wrap(text.to_owned(), font.clone(), Color32::BLACK).size().x <= room;
        if !has_two || fits(name) {
            return vec![name];
        }
        let mut longest_first = name.rmatch_indices('_').map(|(at, mark)| name.split_at(at + mark.len()));
        longest_first.find(|(first, _)| fits(first)).map_or_else(|| vec![name], |(first, rest)| vec![first, rest])
    }

    /// The row for a screen reader.
    fn tell(&self, ui: &egui::Ui, kept: &Kept, (row, addresses): (usize, Range<u64>), names: &str) {
        let rect = self.byte(row, 0).union(self.byte(row, self.per_row - 1));
        let response = ui.interact(rect, id().with(("row", row)), Sense::hover());
        response.widget_info(|| {
            let bytes: Vec<String> = addresses
                .clone()
                .map(|address| kept.byte(address).map_or_else(|| "??".into(), |byte| format!("{byte:02X}")))
                .collect();
            let from = addresses.start;
            WidgetInfo::labeled(Role::Row, true, format!("{from:04X}: {} {names}", bytes.join(" ")))
        });
    }

    fn paint(&self, painter: &Painter, kept: &Kept, (row, column, address): (usize, u64, u64), marked: &BTreeSet<u64>) {
        let theme = self.view.theme;
        let palette = theme.palette;
        let rect = self.byte(row, column);
        let span = kept.span_at(address);
        if let Some(span) = span {
            painter.rect_filled(rect, 0.0, tint::tint(theme, span.kind));
            let strip = Rect::from_min_max(pos2(rect.left(), rect.bottom() - BYTE_STRIP), rect.max);
            tint::hatch(painter, theme, strip, span.kind);
        }
        let (text, ink) = match kept.byte(address) {
            Some(byte) => (format!("{byte:02X}"), if span.is_some() { palette.ink } else { palette.ink_secondary }),
            None => ("··".to_owned(), palette.ink_secondary),
        };
        let at = pos2(rect.center().x, rect.center().y - BYTE_RAISED);
        painter.text(at, Align2::CENTER_CENTER, text, theme.bytes_font(), color(ink));
        if marked.contains(&address) {
            painter.add(marks::changed(rect.right_top() + BYTE_MARK, color(palette.ink)));
        }
    }

    /// Rules where one thing ends and the next begins, and round the selected number.
    fn outline(&self, painter: &Painter, kept: &Kept, row: usize, addresses: Range<u64>) {
        let theme = self.view.theme;
        let rule = hairline(color(theme.palette.contour_minor));
        let from = addresses.start;
        let part = |address: u64| Some(kept.part_at(address)).filter(|part| *part != Part::Whole);
        let selected = Some(self.view.screen.export.part).filter(|part| *part != Part::Whole);
        let accent = ring(color(theme.palette.accent));
        let stroke = |a: Option<Part>, b: Option<Part>| {
            if selected.is_some() && (a == selected || b == selected) { accent } else { rule }
        };
        for address in addresses.clone() {
            let rect = self.byte(row, address - from);
            let own = part(address);
            let before = if address == from { None } else { part(address - 1) };
            if before != own {
                painter.vline(rect.left(), rect.y_range(), stroke(before, own));
            }
            if address + 1 == addresses.end && own.is_some() {
                painter.vline(rect.right(), rect.y_range(), stroke(None, own));
            }
            let above = address.checked_sub(self.per_row).filter(|above| *above >= kept.ends().0).and_then(part);
            if above != own {
                painter.hline(rect.x_range(), rect.top(), stroke(above, own));
            }
        }
        let Some(byte) = self.view.screen.export.byte else { return };
        let number = kept.number_at(byte);
        let shown = number.start.max(addresses.start)..number.end.min(addresses.end);
        if shown.start < shown.end {
            let rect = self.byte(row, shown.start - from).union(self.byte(row, shown.end - 1 - from));
            let stroke = Stroke::new(theme.selection_width, color(theme.palette.accent));
            painter.rect_stroke(rect, 0.0, stroke, StrokeKind::Inside);
        }
    }
}

/// A triangle that points down to what is open, or to the right.
fn triangle(middle: Pos2, is_open: bool, ink: Color32) -> Shape {
    let half = FOLD_TRIANGLE;
    let corners = if is_open {
        [vec2(-half, -half / 2.0), vec2(half, -half / 2.0), vec2(0.0, half)]
    } else {
        [vec2(-half / 2.0, -half), vec2(half, 0.0), vec2(-half / 2.0, half)]
    };
    Shape::convex_polygon(corners.map(|corner| middle + corner).to_vec(), ink, Stroke::NONE)
}

/// The names of what begins in a row; in the first visible one also of what goes on there.
fn names(kept: &Kept, addresses: &Range<u64>, is_first: bool) -> String {
    let begins = |from: u64| addresses.contains(&from);
    let here = kept
        .spans
        .iter()
        .filter(|span| begins(span.from) || (is_first && span.from < addresses.start && span.to > addresses.start));
    here.map(|span| span.name.as_str()).collect::<Vec<_>>().join(", ")
}
