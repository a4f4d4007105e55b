//! The advance table: grid, surface, slices and inspector together.

mod flashed;

use eframe::egui::{self, Align, Layout, Rect, UiBuilder};

use self::flashed::FlashedKeeper;
use crate::window::kit::parts::{self, Part};
use crate::window::kit::theme::kit_sizes::TIGHT_GAP;
use crate::window::kit::theme::table_sheet_sizes::{FLASHED_BAR_HEIGHT, LEAST_BELOW, LEAST_GRID, LEAST_SURFACE};
use crate::window::kit::theme::{color, hairline};
use crate::window::state::commands::Command;
use crate::window::state::grid_state::FlashedGrid;
use crate::window::state::outbox::{Action, Outbox};
use crate::window::state::screen::ScreenMessage;
use crate::window::state::surface_state::SurfaceMessage;
use crate::window::views::grid::{self, GridView};
use crate::window::views::inspector;
use crate::window::views::layers::{self, Legend};
use crate::window::views::slices::SlicesView;
use crate::window::views::surface::{SurfaceView, quiet_button};
use crate::window::views::table_layout::TableLayout;
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
        let bar = if view.screen.grid.flashed == FlashedGrid::Off { 0.0 } else { FLASHED_BAR_HEIGHT };
        let at = TableLayout::of(ui, view, whole, bar);
        match (at.tabs, at.surface) {
            (None, Some(surface)) => self.show_both(ui, (at.grid, surface), view, outbox),
            (tabs, _) => {
                let above = at.grid.with_min_y(tabs.map_or(at.grid.top(), |_| whole.top()));
                part(ui, above, |ui| self.show_one(ui, (tabs, at.grid), view, outbox));
            }
        }
        part(ui, at.below, |ui| self.slices.show(ui, view, outbox));
        if at.is_tall {
            let asked =
                parts::splitter(ui, view.theme, (Part::Below, at.below), "Height of the slices", at.below.height());
            if let Some(height) = asked {
                outbox.send(ScreenMessage::BelowHeight(height.max(LEAST_BELOW)));
            }
        } else {
            ui.painter().hline(at.below.x_range(), at.below.top(), hairline(color(view.theme.palette.rule)));
        }
        match at.inspector {
            Some(column) => part(ui, column, |ui| inspector::show(ui, view, outbox)),
            None => inspector::leave(view, outbox),
        }
        ui.advance_cursor_after_rect(whole);
    }

    /// Grid and surface beside each other.
    fn show_both(&mut self, ui: &mut egui::Ui, (grid, surface): (Rect, Rect), view: &View<'_>, outbox: &mut Outbox) {
        part(ui, grid, |ui| self.show_grid(ui, view, outbox, true));
        part(ui, surface, |ui| self.surface.show(ui, view, outbox));
        let place = (Part::Right, surface);
        if let Some(width) = parts::splitter(ui, view.theme, place, "Width of the surface", surface.width()) {
            let most = (grid.width() + surface.width() - LEAST_GRID).max(LEAST_SURFACE);
            outbox.send(ScreenMessage::SurfaceWidth(width.clamp(LEAST_SURFACE, most)));
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

    /// The grid or the surface, with the tabs to choose and the words for the layer beside them.
    fn show_one(
        &mut self,
        ui: &mut egui::Ui,
        (line, rest): (Option<Rect>, Rect),
        view: &View<'_>,
        outbox: &mut Outbox,
    ) {
        if let Some(line) = line {
            let layout = Layout::left_to_right(Align::Center);
            ui.scope_builder(UiBuilder::new().max_rect(line).layout(layout), |ui| tabs(ui, view, outbox));
        }
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
