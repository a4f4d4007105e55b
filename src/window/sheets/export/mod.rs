//! The bytes for the flashing tool: the writing, the memory as a map, its items with their fields, every byte and number.

mod adding;
mod bytes;
mod compared;
mod drag;
mod fields;
mod folded;
mod in_unit;
mod kept;
mod list;
mod map;
mod numbers;
mod planned;
mod scale;
mod tint;
mod writing;

use eframe::egui::{self, Align, FontId, Layout, Rect, RichText, Role, UiBuilder, WidgetInfo, pos2, vec2};

use self::bytes::BytesView;
use self::in_unit::UnitKeeper;
use self::kept::{Keeper, Kept};
use self::map::MapView;
use self::numbers::NumbersView;
use self::planned::Planned;
use self::writing::Told;
use crate::window::kit::parts::part;
use crate::window::kit::theme::engine_sheet_sizes::{ITEMS_SHARE, WRITING_SHARE};
use crate::window::kit::theme::{color, hairline, strong_font};
use crate::window::state::export_state::ImageFiles;
use crate::window::state::export_state::{ExportMessage, Shown};
use crate::window::state::outbox::Outbox;
use crate::window::views::surface::{heading, quiet_button};
use crate::window::views::view::View;

/// What the command 'Export the image' writes.
pub fn files_to_write(view: &View<'_>) -> ImageFiles {
    writing::files(view)
}

/// What the sheet's views keep for speed.
#[derive(Default)]
pub struct ExportSheet {
    keeper: Keeper,
    unit: UnitKeeper,
    map: MapView,
    bytes: BytesView,
    numbers: NumbersView,
    planned: Planned,
    /// Whether the project differs from the last export, and the content that this was found for.
    changed: Option<(u64, bool)>,
}

impl ExportSheet {
    /// Draws the sheet.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let theme = view.theme;
        let whole = ui.available_rect_before_wrap();
        let kept = match self.keeper.get(view, ui.ctx()) {
            Ok(Some(kept)) => kept,
            Ok(None) => {
                ui.label("Putting the image together…");
                return;
            }
            Err(why) => {
                ui.label(format!("There is no image: {why}."));
                return;
            }
        };
        self.unit.settle(view, ui.ctx());
        self.planned.settle(view, &kept, &writing::files(view), ui.ctx());
        let sizes = &theme.export;
        let inner = whole.shrink2(vec2(theme.margin, 0.0));
        // What is written comes first, over the whole height.
        let width = sizes.writing_width.min(inner.width() * WRITING_SHARE);
        let writing = Rect::from_min_size(inner.min, vec2(width, inner.height())).shrink2(vec2(0.0, theme.gap));
        let edge = writing.right() + theme.margin;
        ui.painter().vline(edge, whole.y_range(), hairline(color(theme.palette.rule)));
        let beside = inner.with_min_x(edge + theme.margin);
        let is_changed_since = self.is_changed_since_export(view);
        let told = Told { kept: &kept, unit: &self.unit, planned: &self.planned, is_changed_since };
        writing::show(&mut part(ui, writing), view, told, outbox);
        let line = Rect::from_min_size(beside.min, vec2(beside.width(), theme.heading_line));
        self.head(ui, line, view, &kept, outbox);
        let map = Rect::from_min_size(line.left_bottom(), vec2(beside.width(), map::height(theme)));
        let on_map = self.map.show(&mut part(ui, map), view, &kept, outbox);
        let rule = map.bottom() + theme.gap;
        ui.painter().hline(edge..=whole.right(), rule, hairline(color(theme.palette.rule)));
        let below = Rect::from_min_max(pos2(beside.left(), rule + theme.gap), beside.max - vec2(0.0, theme.gap));
        let items_width = sizes.items_width.min(below.width() * ITEMS_SHARE);
        let items = Rect::from_min_size(below.min, vec2(items_width, below.height()));
        let middle = below.with_min_x(items.right() + theme.margin);
        self.items(ui, items, view, &kept, outbox);
        let in_middle = self.middle(&mut part(ui, middle), view, &kept, outbox);
        ui.allocate_rect(whole, egui::Sense::hover());
        outbox.point_at(view.screen, on_map.or(in_middle).unwrap_or_default());
    }

    /// What the image is, and how near the map shows it.
    fn head(&self, ui: &mut egui::Ui, line: Rect, view: &View<'_>, kept: &Kept, outbox: &mut Outbox) {
        let theme = view.theme;
        let (first, end) = kept.ends();
        let title = "Image for the flashing tool";
        let working = if self.keeper.is_working() { "; putting the new one together…" } else { "" };
        let sum = kept
            .image
            .as_ref()
            .map_or_else(|_| "no image: the warnings say why".into(), |image| image.checksum_words(&kept.project));
        let whole = format!("{first:04X}–{:04X}, {} bytes, {sum}{working}", end - 1, end - first);
        // Addresses and size also stand in the first line of the list.
        let short = format!("{sum}{working}");
        let mut row = ui.new_child(UiBuilder::new().max_rect(line).layout(Layout::right_to_left(Align::Center)));
        map::controls(&mut row, view, kept, outbox);
        let weak = color(theme.palette.ink_secondary);
        let width = |text: &str, font: FontId| ui.painter().layout_no_wrap(text.to_owned(), font, weak).size().x;
        let titled = width(title, strong_font(&theme.heading_font())) + theme.gap + theme.margin;
        let room = row.available_width() - titled;
        let detail = width("detail", theme.small_font()) + 2.0 * theme.gap;
        let fits = |text: &str, room: f32| width(text, theme.small_font()) <= room;
        // The name of the buttons goes before the checksum does.
        let has_detail = fits(&short, room - detail);
        let remark = if fits(&whole, room - if has_detail { detail } else { 0.0 }) { whole } else { short };
        if has_detail {
            row.label(RichText::new("detail").size(theme.small).color(weak));
        }
        let rest = row.available_rect_before_wrap();
        let rest = Rect::from_min_max(line.min, pos2(rest.right() - theme.margin, line.bottom()));
        heading(ui, rest, title, &remark, theme);
    }

    /// The list, and below it the fields of what is selected.
    fn items(&self, ui: &mut egui::Ui, rect: Rect, view: &View<'_>, kept: &Kept, outbox: &mut Outbox) {
        let theme = view.theme;
        let buttons = Rect::from_min_size(rect.min, vec2(rect.width(), theme.sentence_height));
        let mut row = ui.new_child(UiBuilder::new().max_rect(buttons).layout(Layout::left_to_right(Align::Center)));
        adding::items(&mut row, view, kept, outbox);
        adding::starting_layouts(&mut row, view, outbox);
        let fields = theme.export.fields_height.min(rect.height() * 0.6);
        let rule = rect.bottom() - fields;
        let list =
            Rect::from_min_max(pos2(rect.left(), buttons.bottom() + theme.gap), pos2(rect.right(), rule - theme.gap));
        list::show(&mut part(ui, list), view, kept, outbox);
        ui.painter().hline(rect.x_range(), rule, hairline(color(theme.palette.rule)));
        let below = Rect::from_min_max(pos2(rect.left(), rule + theme.gap), rect.max);
        let mut below = part(ui, below);
        egui::ScrollArea::vertical().id_salt("fields of the image").auto_shrink(false).show(&mut below, |ui| {
            ui.set_width(rect.width() - theme.gap);
            fields::show(ui, view, kept, outbox);
        });
    }

    /// Bytes, numbers, or the comparison with a file; gives what the pointer is over.
    fn middle(&mut self, ui: &mut egui::Ui, view: &View<'_>, kept: &Kept, outbox: &mut Outbox) -> Option<String> {
        let theme = view.theme;
        let shown = view.screen.export.shown;
        ui.horizontal(|ui| {
            ui.set_height(theme.sentence_height);
            let tabs = [
                (Shown::Bytes, "bytes", "Show every byte of the image."),
                (
                    Shown::Numbers,
                    "numbers",
                    "Show the selected item in numbers: in the project, as counts, in the image.",
                ),
                (Shown::Comparison, "comparison", "Show how a file differs from the project."),
                (Shown::Unit, "in the unit", "Show what the unit makes of the image, and what it does not hold."),
            ];
            for (tab, text, told) in tabs {
                if quiet_button(ui, theme, text, &format!("Show {text}"), shown == tab, told).clicked() {
                    outbox.send(ExportMessage::Show(tab));
                }
            }
            let words = view.screen.export.byte.map_or_else(String::new, |byte| kept.words(byte));
            let width = |text: &str| {
                let ink = color(theme.palette.ink_secondary);
                ui.painter().layout_no_wrap(text.to_owned(), theme.small_font(), ink).size().x
            };
            // All of it where there is room, else without the count, else the address and the byte alone.
            let room = ui.available_width() - theme.gap;
            let without_raw = words.split(" (raw").next().unwrap_or_default();
            let short = words.split(',').next().unwrap_or_default();
            let forms = [words.as_str(), without_raw, short];
            let shown = forms.into_iter().find(|text| width(text) <= room).unwrap_or_default();
            let shown = RichText::new(shown).size(theme.small).color(color(theme.palette.ink_secondary));
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                let label = ui.label(shown);
                label.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
                label.on_hover_text(&words);
            });
        });
        match shown {
            Shown::Bytes => self.bytes.show(ui, view, kept, outbox),
            Shown::Numbers => numbers::show(ui, view, kept, &mut self.numbers, outbox),
            Shown::Comparison => {
                compared::show(ui, view, kept, outbox);
                None
            }
            Shown::Unit => {
                in_unit::show(ui, view, kept, &self.unit, outbox);
                None
            }
        }
    }

    /// Whether the project differs from what was exported last.
    fn is_changed_since_export(&mut self, view: &View<'_>) -> bool {
        if let Some((key, is_changed)) = self.changed
            && key == view.content_key
        {
            return is_changed;
        }
        let is_changed =
            view.project.last_export.as_ref().is_some_and(|last| last.state.as_state() != view.project.as_state());
        self.changed = Some((view.content_key, is_changed));
        is_changed
    }
}
