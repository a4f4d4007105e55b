//! The advance table: grid, surface, slices and inspector together.

mod flashed;

use eframe::egui::{self, Align, CentralPanel, Frame, Layout, Panel, Rect, UiBuilder, pos2};

use self::flashed::FlashedKeeper;
use crate::window::kit::parts::{self, Part};
use crate::window::kit::theme::table_sheet_sizes::{
    BELOW_RANGE, FLASHED_BAR_HEIGHT, INSPECTOR_WIDTH, LEAST_GRID, LEAST_SURFACE, STRIP_HEIGHT, TABS_HEIGHT,
};
use crate::window::state::commands::Command;
use crate::window::state::grid_state::FlashedGrid;
use crate::window::state::outbox::{Action, Outbox};
use crate::window::state::screen::ScreenMessage;
use crate::window::state::surface_state::SurfaceMessage;
use crate::window::views::grid::{self, GridView};
use crate::window::views::inspector;
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
    /// Draws the sheet: everything together, or in a low window either grid or surface.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        if ui.ctx().content_rect().height() >= view.theme.tall_enough {
            self.show_together(ui, view, outbox);
        } else {
            self.show_in_turn(ui, view, outbox);
        }
    }

    /// Grid and surface above, slices and inspector below. The sizes that the user chose for the surface and
    /// the lower part are reduced if the grid would otherwise have to scroll and need not.
    fn show_together(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let whole = ui.available_rect_before_wrap();
        let splits = view.screen.splits;
        let bar = if view.screen.grid.flashed == FlashedGrid::Off { 0.0 } else { FLASHED_BAR_HEIGHT };
        let grid = GridView::whole_size(ui, view) + egui::vec2(0.0, bar);
        let width = surface_width(splits.surface_width, whole.width(), grid.x);
        let tabs = if width.is_none() { TABS_HEIGHT + view.theme.gap } else { 0.0 };
        let below_height = below_height(splits.below_height, whole.height(), grid.y + tabs);
        let rule = whole.bottom() - below_height;
        let above = Rect::from_min_max(whole.min, pos2(whole.right(), rule));
        let below = Rect::from_min_max(pos2(whole.left(), rule), whole.max);
        match width {
            Some(width) => {
                let split = whole.right() - width;
                let left = Rect::from_min_max(above.min, pos2(split, above.bottom()));
                let right = Rect::from_min_max(pos2(split, above.top()), above.max);
                part(ui, left, |ui| self.show_grid(ui, view, outbox));
                part(ui, right, |ui| self.surface.show(ui, view, outbox));
                let asked = parts::splitter(ui, view.theme, (Part::Right, right), "Width of the surface", width);
                if let Some(width) = asked {
                    let width = width.clamp(LEAST_SURFACE, (whole.width() - LEAST_GRID).max(LEAST_SURFACE));
                    outbox.send(ScreenMessage::SurfaceWidth(width));
                }
            }
            None => part(ui, above, |ui| self.show_one(ui, view, outbox)),
        }
        part(ui, below, |ui| {
            Panel::right("inspector")
                .resizable(false)
                .exact_size(INSPECTOR_WIDTH)
                .show_separator_line(false)
                .frame(Frame::new())
                .show(ui, |ui| inspector::show(ui, view, outbox));
            CentralPanel::no_frame().show(ui, |ui| self.slices.show(ui, view, outbox));
        });
        let name = "Height of slices and inspector";
        if let Some(height) = parts::splitter(ui, view.theme, (Part::Below, below), name, below_height) {
            let height = height.clamp(BELOW_RANGE.0, BELOW_RANGE.1);
            outbox.send(ScreenMessage::BelowHeight(height));
        }
        ui.advance_cursor_after_rect(whole);
    }

    /// The project's table, or on demand the unit's.
    fn show_grid(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        if view.screen.grid.flashed == FlashedGrid::Off {
            return self.grid.show(ui, view, outbox);
        }
        self.flashed.settle(view, ui.ctx());
        self.flashed.bar(ui, view, outbox);
        if flashed::is_own_size(view) {
            return self.grid.show(ui, &self.flashed.view(view), outbox);
        }
        // Requests that refer to cells of another table are not carried out, but the switch is.
        let whole = ui.available_rect_before_wrap();
        let rect = whole.with_min_y(whole.top() + view.theme.heading_line);
        let pressed = ui.input(|input| input.pointer.primary_pressed().then(|| input.pointer.interact_pos()).flatten());
        let mut ignored = Outbox::default();
        self.grid.show(ui, &self.flashed.view(view), &mut ignored);
        for action in ignored.take() {
            if let Action::Run(Command::AsFlashed) = action {
                outbox.send(action);
            }
        }
        if pressed.is_some_and(|at| rect.contains(at)) {
            outbox.complain(ONLY_SHOWN);
        }
    }

    fn show_in_turn(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let none = Frame::new();
        Panel::right("inspector beside")
            .resizable(false)
            .exact_size(INSPECTOR_WIDTH)
            .frame(none)
            .show(ui, |ui| inspector::show(ui, view, outbox));
        Panel::bottom("strip")
            .resizable(false)
            .exact_size(STRIP_HEIGHT)
            .frame(none)
            .show(ui, |ui| self.slices.show(ui, view, outbox));
        CentralPanel::no_frame().show(ui, |ui| self.show_one(ui, view, outbox));
    }

    /// The grid or the surface, with the tabs to choose.
    fn show_one(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let whole = ui.available_rect_before_wrap();
        let line = Rect::from_min_size(whole.min, egui::vec2(whole.width(), TABS_HEIGHT));
        let layout = Layout::left_to_right(Align::Center);
        let line = line.shrink2(egui::vec2(view.theme.margin, 0.0)).translate(egui::vec2(0.0, view.theme.gap));
        ui.scope_builder(UiBuilder::new().max_rect(line).layout(layout), |ui| tabs(ui, view, outbox));
        let rest = Rect::from_min_max(pos2(whole.left(), line.bottom()), whole.max);
        ui.scope_builder(UiBuilder::new().max_rect(rest), |ui| {
            if view.screen.surface.tab {
                self.surface.show(ui, view, outbox);
            } else {
                self.show_grid(ui, view, outbox);
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

/// The height of slices and inspector: as chosen, or less if that lets the grid show every row.
fn below_height(asked: f32, whole: f32, grid: f32) -> f32 {
    let (least, most) = BELOW_RANGE;
    let room = whole - grid;
    let asked = asked.clamp(least, most);
    if room >= least { asked.min(room) } else { asked }
}

/// The width of the surface: as chosen, or less if that lets the grid show every column. `None` if the grid can
/// show every column only without the surface.
fn surface_width(asked: f32, whole: f32, grid: f32) -> Option<f32> {
    let room = whole - grid;
    if (0.0..LEAST_SURFACE).contains(&room) {
        return None;
    }
    let most = if room < 0.0 { (whole - LEAST_GRID).max(LEAST_SURFACE) } else { room };
    Some(asked.clamp(LEAST_SURFACE, most))
}

fn tabs(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let tooltip = view.keys.tooltip(Command::SurfaceTab);
    for (text, name, is_surface) in [("grid", "Show the grid", false), ("surface", "Show the surface", true)] {
        let chosen = view.screen.surface.tab == is_surface;
        if quiet_button(ui, view.theme, text, name, chosen, &tooltip).clicked() {
            outbox.send(SurfaceMessage::Tab(is_surface));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_surface_gives_way_to_a_grid_that_fits() {
        assert_eq!(surface_width(528.0, 1188.0, 540.0), Some(528.0));
        assert_eq!(surface_width(528.0, 868.0, 540.0), Some(328.0));
        assert_eq!(surface_width(528.0, 868.0, 640.0), None);
        // A grid that scrolls in any case takes nothing from the surface.
        assert_eq!(surface_width(528.0, 1188.0, 2000.0), Some(528.0));
        assert_eq!(surface_width(5000.0, 1188.0, 2000.0), Some(908.0));
        assert_eq!(surface_width(1.0, 1188.0, 540.0), Some(240.0));
    }

    #[test]
    fn the_part_below_gives_way_to_a_grid_that_fits() {
        assert_eq!(below_height(264.0, 698.0, 314.0), 264.0);
        assert_eq!(below_height(264.0, 630.0, 400.0), 230.0);
        assert_eq!(below_height(264.0, 630.0, 1500.0), 264.0);
        assert_eq!(below_height(5000.0, 1000.0, 400.0), 420.0);
    }
}
