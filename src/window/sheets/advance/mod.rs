//! The advance table: grid, surface, slices and inspector together.

mod flashed;

use eframe::egui::{self, Align, CentralPanel, Frame, Layout, Panel, Rect, UiBuilder};

use self::flashed::FlashedKeeper;
use crate::window::commands::Command;
use crate::window::grid::GridView;
use crate::window::inspector;
use crate::window::slices::SlicesView;
use crate::window::surface::{SurfaceView, quiet_button};
use crate::window::screen::FlashedGrid;
use crate::window::{Action, Outbox, View};

/// Said when cells of a table of another size are to be changed.
const ONLY_SHOWN: &str = "The unit's table has another size and is only shown here; switch 'as flashed' off (F7) to edit cells";

/// Whether keys would act on a grid that only shows.
pub fn only_shows(view: &View<'_>) -> bool {
    view.screen.flashed != FlashedGrid::Off && !flashed::is_own_size(view)
}

/// Width of the inspector.
const INSPECTOR_WIDTH: f32 = 352.0;
/// Width of the surface, and least widths of both sides of the split.
const SURFACE_WIDTH: f32 = 528.0;
const LEAST_SURFACE: f32 = 240.0;
const LEAST_GRID: f32 = 280.0;
/// Height of slices and inspector, and of the strip of slices in a low window.
const BELOW_HEIGHT: f32 = 264.0;
const BELOW_RANGE: (f32, f32) = (160.0, 420.0);
const STRIP_HEIGHT: f32 = 124.0;
/// Height of the line with the two tabs.
const TABS_HEIGHT: f32 = 24.0;

/// What the sheet's views keep for speed.
#[derive(Default)]
pub struct AdvanceSheet {
    grid: GridView,
    surface: SurfaceView,
    slices: SlicesView,
    flashed: FlashedKeeper,
}

impl AdvanceSheet {
    /// Draws the sheet: everything together, or in a low window grid and surface in turn.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        if ui.ctx().content_rect().height() >= view.theme.tall_enough {
            self.show_together(ui, view, outbox);
        } else {
            self.show_in_turn(ui, view, outbox);
        }
    }

    fn show_together(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let none = Frame::new();
        let (low, high) = BELOW_RANGE;
        Panel::bottom("below").resizable(true).default_size(BELOW_HEIGHT).size_range(low..=high).frame(none).show(
            ui,
            |ui| {
                Panel::right("inspector")
                    .resizable(false)
                    .exact_size(INSPECTOR_WIDTH)
                    .show_separator_line(false)
                    .frame(none)
                    .show(ui, |ui| inspector::show(ui, view, outbox));
                CentralPanel::no_frame().show(ui, |ui| self.slices.show(ui, view, outbox));
            },
        );
        let most = (ui.available_width() - LEAST_GRID).max(LEAST_SURFACE);
        Panel::right("surface")
            .resizable(true)
            .default_size(SURFACE_WIDTH)
            .size_range(LEAST_SURFACE..=most)
            .show_separator_line(false)
            .frame(none)
            .show(ui, |ui| self.surface.show(ui, view, outbox));
        CentralPanel::no_frame().show(ui, |ui| self.show_grid(ui, view, outbox));
    }

    /// The project's table, or on demand the one that the unit will have.
    fn show_grid(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        if view.screen.flashed == FlashedGrid::Off {
            return self.grid.show(ui, view, outbox);
        }
        self.flashed.settle(view, ui.ctx());
        self.flashed.bar(ui, view, outbox);
        if flashed::is_own_size(view) {
            return self.grid.show(ui, &self.flashed.view(view), outbox);
        }
        // What is asked for by cells of another table is not carried out, but the switch is.
        let whole = ui.available_rect_before_wrap();
        let rect = whole.with_min_y(whole.top() + view.theme.heading_line);
        let pressed = ui.input(|input| input.pointer.primary_pressed().then(|| input.pointer.interact_pos()).flatten());
        let mut ignored = Outbox::default();
        self.grid.show(ui, &self.flashed.view(view), &mut ignored);
        for action in ignored.take() {
            if let Action::Run(Command::AsFlashed) = action {
                outbox.push(action);
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
        CentralPanel::no_frame().show(ui, |ui| {
            let whole = ui.available_rect_before_wrap();
            let line = Rect::from_min_size(whole.min, egui::vec2(whole.width(), TABS_HEIGHT));
            let layout = Layout::left_to_right(Align::Center);
            let line = line.shrink2(egui::vec2(view.theme.margin, 0.0)).translate(egui::vec2(0.0, view.theme.gap));
            ui.scope_builder(UiBuilder::new().max_rect(line).layout(layout), |ui| tabs(ui, view, outbox));
            let rest = Rect::from_min_max(egui::pos2(whole.left(), line.bottom()), whole.max);
            ui.scope_builder(UiBuilder::new().max_rect(rest), |ui| {
                if view.screen.surface_tab {
                    self.surface.show(ui, view, outbox);
                } else {
                    self.show_grid(ui, view, outbox);
                }
            });
        });
    }
}

fn tabs(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let tooltip = view.keys.tooltip(Command::SurfaceTab);
    for (text, name, is_surface) in [("grid", "Show the grid", false), ("surface", "Show the surface", true)] {
        let chosen = view.screen.surface_tab == is_surface;
        if quiet_button(ui, view.theme, text, name, chosen, &tooltip).clicked() {
            outbox.screen(move |screen| screen.surface_tab = is_surface);
        }
    }
}
