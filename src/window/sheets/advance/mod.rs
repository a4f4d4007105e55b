//! The advance table: grid, surface, slices and inspector together.

mod flashed;

use eframe::egui::{self, Align, Layout, Rect, UiBuilder, pos2};

use self::flashed::FlashedKeeper;
use crate::window::kit::parts::{self, Part};
use crate::window::kit::theme::kit_sizes::TIGHT_GAP;
use crate::window::kit::theme::table_sheet_sizes::{
    FLASHED_BAR_HEIGHT, GRID_HEIGHT_SHARE, GRID_WIDTH_SHARE, INSPECTOR_FROM, INSPECTOR_NARROW, INSPECTOR_SHARE,
    INSPECTOR_WIDTH, LEAST_BELOW, LEAST_GRID, LEAST_SURFACE, STRIP_HEIGHT, SURFACE_HEIGHT_SHARE, TABS_HEIGHT,
};
use crate::window::kit::theme::{color, hairline};
use crate::window::state::commands::Command;
use crate::window::state::grid_state::FlashedGrid;
use crate::window::state::outbox::{Action, Outbox};
use crate::window::state::screen::ScreenMessage;
use crate::window::state::surface_state::SurfaceMessage;
use crate::window::views::grid::{self, GridView, WholeSizes};
use crate::window::views::inspector;
use crate::window::views::layers::{self, Legend};
use crate::window::views::slices::SlicesView;
use crate::window::views::surface::{SurfaceView, quiet_button};
use crate::window::views::view::View;

/// Shown when cells of a table of another size are to be changed.
const ONLY_SHOWN: &str =
    "The unit's table has another size and is only shown here; switch 'as flashed' off (F7) to edit cells";

/// Whether keys would act on a read-only grid.
pub fn only_shows(view: &View<'_>) -> bool {
    view.screen.grid.flashed != FlashedGrid::Off && !flashed::is_own_size(view)
}

/// The keys of the table: arrows, typing, Enter, Tab, Esc, clipboard.
pub fn keys(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    if !only_shows(view) {
        grid::keys(ctx, view, outbox);
    }
}

/// What the sheet's views cache.
#[derive(Default)]
pub struct AdvanceSheet {
    grid: GridView,
    surface: SurfaceView,
    slices: SlicesView,
    flashed: FlashedKeeper,
}

impl AdvanceSheet {
    /// Draws the sheet: the inspector as a column of its own, beside it everything else together, or in a low window
    /// either grid or surface.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let whole = ui.available_rect_before_wrap();
        let column = inspector_width(whole.width());
        let split = (whole.right() - column.unwrap_or(0.0)).round();
        let rest = whole.with_max_x(split);
        part(ui, rest, |ui| {
            if ui.ctx().content_rect().height() >= view.theme.tall_enough {
                self.show_together(ui, view, outbox);
            } else {
                self.show_in_turn(ui, view, outbox);
            }
        });
        match column {
            Some(_) => part(ui, whole.with_min_x(split), |ui| inspector::show(ui, view, outbox)),
            None => inspector::leave(view, outbox),
        }
        ui.advance_cursor_after_rect(whole);
    }

    /// Grid and surface above, slices below. The sizes that the user chose for surface and slices are reduced if the
    /// grid would otherwise have to scroll and need not.
    fn show_together(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let whole = ui.available_rect_before_wrap();
        let splits = view.screen.splits;
        let bar = if view.screen.grid.flashed == FlashedGrid::Off { 0.0 } else { FLASHED_BAR_HEIGHT };
        let grid = GridView::sizes(ui, view, true);
        let width = surface_width(splits.surface_width, whole.width(), &grid);
        let tabs = if width.is_none() { TABS_HEIGHT + view.theme.gap } else { 0.0 };
        let below_height = below_height(splits.below_height, whole.height(), &grid, bar + tabs);
        let rule = (whole.bottom() - below_height).round();
        let above = Rect::from_min_max(whole.min, pos2(whole.right(), rule));
        let below = Rect::from_min_max(pos2(whole.left(), rule), whole.max);
        match width {
            Some(width) => {
                let split = (whole.right() - width).round();
                let left = Rect::from_min_max(above.min, pos2(split, above.bottom()));
                let right = Rect::from_min_max(pos2(split, above.top()), above.max);
                part(ui, left, |ui| self.show_grid(ui, view, outbox, true));
                part(ui, right, |ui| self.surface.show(ui, view, outbox));
                let asked = parts::splitter(ui, view.theme, (Part::Right, right), "Width of the surface", width);
                if let Some(width) = asked {
                    let width = width.clamp(LEAST_SURFACE, (whole.width() - LEAST_GRID).max(LEAST_SURFACE));
                    outbox.send(ScreenMessage::SurfaceWidth(width));
                }
            }
            None => part(ui, above, |ui| self.show_one(ui, view, outbox)),
        }
        part(ui, below, |ui| self.slices.show(ui, view, outbox));
        let name = "Height of the slices";
        if let Some(height) = parts::splitter(ui, view.theme, (Part::Below, below), name, below_height) {
            outbox.send(ScreenMessage::BelowHeight(height.max(LEAST_BELOW)));
        }
    }

    /// The project's table, or on demand the unit's.
    fn show_grid(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, has_words: bool) {
        if view.screen.grid.flashed == FlashedGrid::Off {
            return self.grid.show(ui, view, outbox, has_words);
        }
        self.flashed.settle(view, ui.ctx());
        self.flashed.bar(ui, view, outbox);
        if flashed::is_own_size(view) {
            return self.grid.show(ui, &self.flashed.view(view), outbox, has_words);
        }
        // Requests that refer to cells of another table are not carried out, but the switch and the layers are.
        let whole = ui.available_rect_before_wrap();
        let above = view.theme.heading_line + if has_words { view.theme.small_target } else { 0.0 };
        let rect = whole.with_min_y(whole.top() + above).with_max_y(layers::strip(view, whole).top());
        let pressed = ui.input(|input| input.pointer.primary_pressed().then(|| input.pointer.interact_pos()).flatten());
        let mut ignored = Outbox::default();
        self.grid.show(ui, &self.flashed.view(view), &mut ignored, has_words);
        for action in ignored.take() {
            if matches!(action, Action::Run(Command::AsFlashed) | Action::Screen(ScreenMessage::Layer(_))) {
                outbox.send(action);
            }
        }
        if pressed.is_some_and(|at| rect.contains(at)) {
            outbox.complain(ONLY_SHOWN);
        }
    }

    /// Grid or surface, and the slices as a strip, as high as the grid can spare.
    fn show_in_turn(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let whole = ui.available_rect_before_wrap();
        let (least, most) = STRIP_HEIGHT;
        let room = whole.height() - GridView::sizes(ui, view, false).least.y - TABS_HEIGHT - view.theme.gap;
        let rule = (whole.bottom() - room.clamp(least, most)).round();
        part(ui, whole.with_max_y(rule), |ui| self.show_one(ui, view, outbox));
        part(ui, whole.with_min_y(rule), |ui| self.slices.show(ui, view, outbox));
        ui.painter().hline(whole.x_range(), rule, hairline(color(view.theme.palette.rule)));
    }

    /// The grid or the surface, with the tabs to choose and the words for the layer beside them.
    fn show_one(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let whole = ui.available_rect_before_wrap();
        let line = Rect::from_min_size(whole.min, egui::vec2(whole.width(), TABS_HEIGHT));
        let layout = Layout::left_to_right(Align::Center);
        let line = line.shrink2(egui::vec2(view.theme.margin, 0.0)).translate(egui::vec2(0.0, view.theme.gap));
        ui.scope_builder(UiBuilder::new().max_rect(line).layout(layout), |ui| tabs(ui, view, outbox));
        let rest = Rect::from_min_max(pos2(whole.left(), line.bottom()), whole.max);
        ui.scope_builder(UiBuilder::new().max_rect(rest), |ui| {
            if view.screen.surface.tab {
                // The scale stands where it does under the grid.
                let strip = layers::strip(view, rest);
                part(ui, rest.with_max_y(strip.top() - TIGHT_GAP), |ui| self.surface.show(ui, view, outbox));
                layers::legend(ui, view, outbox, strip, &Legend::of(view));
            } else {
                self.show_grid(ui, view, outbox, false);
            }
        });
    }
}

/// A part of the sheet as a `Ui` of its own.
fn part(ui: &mut egui::Ui, rect: Rect, add: impl FnOnce(&mut egui::Ui)) {
    let mut part = ui.new_child(UiBuilder::new().max_rect(rect));
    part.shrink_clip_rect(rect);
    add(&mut part);
}

/// The width of the inspector; `None` where a side panel leaves no room for it beside the grid.
fn inspector_width(whole: f32) -> Option<f32> {
    let (least, most) = INSPECTOR_WIDTH;
    match whole {
        _ if whole >= INSPECTOR_FROM => Some((whole * INSPECTOR_SHARE).clamp(least, most)),
        _ if whole >= LEAST_GRID + INSPECTOR_NARROW => Some(INSPECTOR_NARROW),
        _ => None,
    }
}

/// The height of the slices: as chosen, or what grid and surface leave; less if that lets the grid show every row.
/// `beside` is what stands above the grid besides its heading.
fn below_height(asked: Option<f32>, whole: f32, grid: &WholeSizes, beside: f32) -> f32 {
    let usual = (whole * GRID_HEIGHT_SHARE).max(grid.usual.y + beside).min(grid.most.y + beside);
    let room = whole - grid.least.y - beside;
    // A grid that scrolls in any case takes no more than its share.
    let (most, by_itself) = match whole * (1.0 - GRID_HEIGHT_SHARE) {
        share if room < LEAST_BELOW => (share, share),
        _ => (room, whole - usual.max(whole * SURFACE_HEIGHT_SHARE)),
    };
    asked.unwrap_or(by_itself).min(most).max(LEAST_BELOW)
}

/// The width of the surface: as chosen, or what the grid leaves; less if that lets the grid show every column, and more
/// if the grid has no use for it. `None` if the grid can show every column only without the surface.
fn surface_width(asked: Option<f32>, whole: f32, grid: &WholeSizes) -> Option<f32> {
    let room = whole - grid.least.x;
    if (0.0..LEAST_SURFACE).contains(&room) {
        return None;
    }
    if room < 0.0 {
        // The grid scrolls in any case.
        let most = (whole - LEAST_GRID).max(LEAST_SURFACE);
        return Some(asked.unwrap_or(whole * (1.0 - GRID_WIDTH_SHARE)).clamp(LEAST_SURFACE, most));
    }
    let by_itself = whole - grid.usual.x.max(whole * GRID_WIDTH_SHARE);
    let least = (whole - grid.most.x).clamp(LEAST_SURFACE, room);
    Some(asked.unwrap_or(by_itself).clamp(least, room))
}

fn tabs(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let tooltip = view.keys.tooltip(Command::SurfaceTab);
    for (text, name, is_surface) in [("grid", "Show the grid", false), ("surface", "Show the surface", true)] {
        let chosen = view.screen.surface.tab == is_surface;
        if quiet_button(ui, view.theme, text, name, chosen, &tooltip).clicked() {
            outbox.send(SurfaceMessage::Tab(is_surface));
        }
    }
    ui.add_space(view.theme.margin);
    let rest = ui.available_rect_before_wrap();
    layers::row(ui, view, outbox, rest);
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A table of 16 × 16, one of 8 × 8, and one that no window shows whole.
    fn sizes([least, usual, most]: [(f32, f32); 3]) -> WholeSizes {
        WholeSizes { least: least.into(), usual: usual.into(), most: most.into() }
    }

    const SIXTEEN: [(f32, f32); 3] = [(548.0, 320.0), (652.0, 466.0), (900.0, 538.0)];
    const EIGHT: [(f32, f32); 3] = [(308.0, 188.0), (360.0, 262.0), (484.0, 298.0)];
    const MANY: [(f32, f32); 3] = [(2000.0, 1500.0), (2500.0, 1700.0), (3400.0, 2000.0)];

    #[test]
    fn the_surface_gives_way_to_a_grid_that_fits_and_takes_what_the_grid_cannot_use() {
        let width = |asked, whole, grid| surface_width(asked, whole, &sizes(grid));
        assert_eq!(width(None, 928.0, SIXTEEN), Some(276.0));
        assert_eq!(width(None, 1528.0, SIXTEEN), Some(628.0));
        assert_eq!(width(Some(528.0), 928.0, SIXTEEN), Some(380.0));
        assert_eq!(width(Some(1.0), 928.0, SIXTEEN), Some(240.0));
        assert_eq!(width(None, 608.0, SIXTEEN), None);
        assert_eq!(width(Some(240.0), 928.0, EIGHT), Some(444.0));
        // A grid that scrolls in any case takes nothing from the surface.
        assert_eq!(width(Some(528.0), 928.0, MANY), Some(528.0));
        assert_eq!(width(Some(5000.0), 928.0, MANY), Some(648.0));
    }

    #[test]
    fn the_slices_give_way_to_a_grid_that_fits() {
        let height = |asked, whole, grid| below_height(asked, whole, &sizes(grid), 0.0);
        assert_eq!(height(None, 730.0, SIXTEEN), 264.0);
        assert_eq!(height(Some(500.0), 730.0, SIXTEEN), 410.0);
        assert_eq!(height(Some(20.0), 730.0, SIXTEEN), 160.0);
        assert_eq!(height(None, 730.0, EIGHT), 365.0);
        assert_eq!(height(None, 1010.0, SIXTEEN), 472.0);
        assert!((height(None, 730.0, MANY) - 277.4).abs() < 0.1);
    }

    #[test]
    fn the_inspector_is_a_column_wherever_the_grid_has_room_beside_it() {
        assert_eq!(inspector_width(1188.0), Some(260.0));
        assert_eq!(inspector_width(1828.0), Some(300.0));
        assert_eq!(inspector_width(808.0), Some(240.0));
        assert_eq!(inspector_width(488.0), None);
    }
}
