//! Edited against base: the difference as a grid, as a surface, in words and in figures, and the way back.

mod chooser;
mod comparing;
mod delta_grid;
mod field_list;
mod figures_line;
mod forms;
mod keys;
mod names;
mod region_list;
mod rows;
mod snapshots;
mod surface;
mod take_back;

use std::sync::Arc;

use eframe::egui::{self, Align, Align2, Label, Rect, UiBuilder, pos2, vec2};

use self::comparing::{Compared, Comparing};
use self::delta_grid::DeltaGrid;
use self::rows::{arrow, second};
use self::surface::CompareSurface;
use self::take_back::Reasons;
use crate::window::commands::Command;
use crate::window::theme::{color, strong_label};
use crate::window::{Outbox, View};

/// What the sheet's views keep for speed.
#[derive(Default)]
pub struct CompareSheet {
    comparing: Comparing,
    grid: DeltaGrid,
    surface: CompareSurface,
    reasons: Reasons,
}

/// What the status line says on this sheet.
pub fn pointed_at(view: &View<'_>) -> String {
    names::pointed_at(view)
}

/// Keys of this sheet's grid.
pub fn keys(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    keys::take(ctx, view, outbox);
}

/// The forms that open over the sheets.
pub fn forms(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    forms::show(ctx, view, outbox);
}

/// A part of the sheet as a `Ui` of its own.
fn part(ui: &mut egui::Ui, rect: Rect) -> egui::Ui {
    let mut part = ui.new_child(UiBuilder::new().max_rect(rect));
    part.set_clip_rect(rect.expand(1.0).intersect(ui.clip_rect()));
    part
}

impl CompareSheet {
    /// Draws the sheet.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let (theme, sizes) = (view.theme, &view.theme.compare);
        let whole = ui.available_rect_before_wrap();
        let compared = self.comparing.get(view, ui.ctx());
        let fault = compared.as_ref().err().cloned();
        let compared = compared.ok().flatten();
        let lists = (whole.height() * 0.34).clamp(sizes.least_lists_height, sizes.lists_height);
        let rule = whole.bottom() - lists;
        let above = Rect::from_min_max(whole.min, pos2(whole.right(), rule));
        let below = Rect::from_min_max(pos2(whole.left(), rule), whole.max);
        ui.painter().hline(whole.x_range(), rule, egui::Stroke::new(1.0, color(theme.palette.rule)));
        let margin = vec2(theme.margin, 0.0);
        self.tables(&mut part(ui, above.shrink2(margin)), view, compared.as_ref(), fault, outbox);
        self.lists(&mut part(ui, below.shrink2(margin)), view, compared.as_deref(), outbox);
        ui.allocate_rect(whole, egui::Sense::hover());
    }

    /// Grid and surface side by side, or one of them where there is room for one.
    fn tables(
        &mut self,
        ui: &mut egui::Ui,
        view: &View<'_>,
        compared: Option<&Arc<Compared>>,
        fault: Option<String>,
        outbox: &mut Outbox,
    ) {
        let (theme, sizes) = (view.theme, &view.theme.compare);
        let whole = ui.available_rect_before_wrap();
        let Some((compared, table)) = compared.and_then(|compared| Some((compared, compared.table()?))) else {
            let mut ui = part(ui, whole);
            header(&mut ui, view, false, outbox);
            let refusal =
                compared.and_then(|compared| compared.comparison.table.as_ref().err().map(ToString::to_string));
            let why = fault.or(refusal).map_or_else(|| "Comparing…".to_owned(), |why| sentence(&why));
            ui.add_space(theme.margin);
            ui.add(Label::new(second(why, theme)).wrap());
            return;
        };
        let needed = DeltaGrid::least_width(ui, view, compared, table).max(whole.width() * 0.55);
        let both = whole.width() >= needed.min(whole.width() * 0.62) + sizes.least_surface_width + theme.margin;
        let split = whole.left() + needed.min(whole.width() - sizes.least_surface_width - theme.margin);
        let (left, right) = if both {
            (
                Rect::from_min_max(whole.min, pos2(split, whole.bottom())),
                Rect::from_min_max(pos2(split + theme.margin, whole.top()), whole.max),
            )
        } else {
            (whole, whole)
        };
        if both || !view.screen.surface_tab {
            self.grid(&mut part(ui, left), view, compared, !both, outbox);
        }
        if both || view.screen.surface_tab {
            let mut ui = part(ui, right);
            if !both {
                header(&mut ui, view, true, outbox);
            } else {
                ui.add_space(theme.gap + 2.0);
            }
            self.surface.show(&mut ui, view, compared, outbox);
        }
    }

    fn grid(
        &mut self,
        ui: &mut egui::Ui,
        view: &View<'_>,
        compared: &Arc<Compared>,
        has_tab: bool,
        outbox: &mut Outbox,
    ) {
        let theme = view.theme;
        header(ui, view, has_tab, outbox);
        let Some(table) = compared.table() else { return };
        let rest = ui.available_rect_before_wrap();
        let buttons = theme.sentence_height + 2.0 * theme.gap;
        let body = Rect::from_min_max(rest.min, rest.max - vec2(0.0, buttons));
        self.grid.show(&mut part(ui, body), view, (compared, table), outbox);
        let at = Rect::from_min_max(pos2(body.left(), body.bottom() + theme.gap), rest.max);
        let mut row = ui.new_child(UiBuilder::new().max_rect(at).layout(egui::Layout::left_to_right(Align::Min)));
        take_back::buttons(&mut row, view, compared, &mut self.reasons, outbox);
        let is_on = view.screen.difference_as_surface;
        let text = if is_on { "Show both surfaces" } else { "Show difference as surface" };
        if take_back::button(&mut row, text, "What the surface shows: edited over base, or edited minus base.", None) {
            outbox.screen(move |screen| screen.difference_as_surface = !is_on);
        }
    }

    /// Regions, fields, figures.
    fn lists(&mut self, ui: &mut egui::Ui, view: &View<'_>, compared: Option<&Compared>, outbox: &mut Outbox) {
        let (theme, sizes) = (view.theme, &view.theme.compare);
        let whole = ui.available_rect_before_wrap().shrink2(vec2(0.0, theme.gap));
        let table = compared.and_then(Compared::table);
        let lines = table.map_or(0, figures_line::lines);
        #[expect(clippy::cast_precision_loss, reason = "at most four lines")]
        let figures = (lines as f32) * sizes.small_line_height + if lines > 0 { theme.gap } else { 0.0 };
        let lists = Rect::from_min_max(whole.min, whole.max - vec2(0.0, figures));
        let regions_width = sizes.regions_width.min(whole.width() * 0.45);
        let regions = Rect::from_min_size(lists.min, vec2(regions_width, lists.height()));
        let gap = theme.margin * 2.0;
        let fields_left = regions.right() + gap;
        let fields_width = sizes.fields_width.min(lists.right() - fields_left);
        let fields = Rect::from_min_size(pos2(fields_left, lists.top()), vec2(fields_width, lists.height()));
        region_list::show(&mut part(ui, regions), view, compared, &mut self.grid, outbox);
        field_list::show(&mut part(ui, fields), view, compared, outbox);
        if let (Some(compared), Some(table)) = (compared, table) {
            let at = Rect::from_min_max(pos2(whole.left(), lists.bottom() + theme.gap), whole.max);
            figures_line::show(&mut part(ui, at), view, compared, table);
        }
    }
}

/// Heading, choice of the base, and where speed runs.
fn header(ui: &mut egui::Ui, view: &View<'_>, has_tab: bool, outbox: &mut Outbox) {
    let theme = view.theme;
    ui.add_space(theme.gap + 2.0);
    ui.horizontal(|ui| {
        ui.set_height(theme.compare.header_height);
        strong_label(ui, "Difference ° edited \u{2212} base", theme.heading_font());
        ui.add_space(theme.margin);
        chooser::show(ui, view, outbox);
        ui.with_layout(egui::Layout::right_to_left(Align::Center), |ui| {
            if has_tab {
                crate::window::frame::widgets::button(ui, view, outbox, Command::SurfaceTab, "Surface or grid");
                return;
            }
            let rect = ui.available_rect_before_wrap();
            let ink = color(theme.palette.ink_secondary);
            arrow(ui.painter(), pos2(rect.right() - 6.0, rect.center().y), 10.0, ink);
            let at = pos2(rect.right() - 16.0, rect.center().y);
            ui.painter().text(at, Align2::RIGHT_CENTER, "speed rpm", theme.small_font(), ink);
        });
    });
}

/// With a capital and a full stop.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|first| first.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}.", letters.as_str().trim_end_matches('.'))
}
