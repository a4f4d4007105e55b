//! The line above the grid: the heading, what is proposed, and the name of the speed axis.

use eframe::egui::{self, Align2, Color32, Pos2, Rect, pos2, vec2};

use super::axes;
use crate::window::kit::grid::axis_name;
use crate::window::kit::theme::view_sizes::{BAND_HEIGHT, GRID_HEADING_MIDDLE, SWITCH_WIDTH};
use crate::window::kit::theme::{color, elided, strong_text};
use crate::window::state::commands::Command;
use crate::window::state::grid_state::FlashedGrid;
use crate::window::state::outbox::Outbox;
use crate::window::views::surface::quiet_button;
use crate::window::views::view::{Flashed, View};

/// What the numbers are.
fn title(view: &View<'_>) -> String {
    let title = match view.flashed {
        None if view.screen.shows_base => "Base ° before TDC",
        None => "Advance ° before TDC",
        Some(Flashed { in_counts: false, .. }) => "As flashed ° before TDC",
        Some(Flashed { in_counts: true, .. }) => "As flashed, counts",
    };
    match view.project.locked_timing_words() {
        Some(words) => format!("{} — no map", words.to_uppercase()),
        None => title.to_owned(),
    }
}

/// The switch between the project's table and the unit's, beside the heading.
fn flashed_switch(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, at: Pos2) -> f32 {
    let size = vec2(SWITCH_WIDTH, 2.0 * GRID_HEADING_MIDDLE);
    let rect = Rect::from_min_size(at - vec2(0.0, GRID_HEADING_MIDDLE), size);
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    let mut ui = ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(layout));
    let command = Command::AsFlashed;
    let is_on = view.screen.grid.flashed != FlashedGrid::Off;
    let response = quiet_button(&mut ui, view.theme, "as flashed", command.text(), is_on, &view.keys.tooltip(command));
    if response.clicked() {
        outbox.run(command);
    }
    response.rect.right()
}

/// Paints everything around the cells.
pub(in crate::window) fn paint(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, line: Rect, right: f32) {
    let middle = line.top() + GRID_HEADING_MIDDLE;
    let font = view.theme.heading_font();
    let width = ui.painter().layout_no_wrap(title(view), font, Color32::BLACK).size().x;
    let switch = flashed_switch(ui, view, outbox, pos2(line.left() + width + 2.0 * view.theme.gap, middle));
    let painter = ui.painter();
    let (theme, palette) = (view.theme, view.theme.palette);
    let ink = color(palette.ink);
    let at = pos2(line.left(), middle);
    strong_text(painter, at, Align2::LEFT_CENTER, title(view), theme.heading_font(), ink);
    let tip = pos2(right, middle);
    axis_name(ui, theme, &axes(view)[0], tip, f32::NEG_INFINITY);
    if let Some(proposed) = view.proposed {
        let whole = line.with_max_x(right);
        paint_band(ui, view, &proposed.label, whole, switch + theme.gap);
    }
}

/// A band above the grid that says what is only proposed, in its colour: behind the heading and its switch, or over them
/// where its words need the room.
fn paint_band(ui: &egui::Ui, view: &View<'_>, label: &str, line: Rect, from: f32) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let middle = line.top() + GRID_HEADING_MIDDLE;
    let band = Rect::from_x_y_ranges(line.x_range(), middle - BAND_HEIGHT / 2.0..=middle + BAND_HEIGHT / 2.0);
    let words = |from: f32| {
        let room = band.with_min_x(from).shrink2(vec2(theme.gap, 0.0));
        elided(ui, room, format!("Proposed: {label}"), theme.body_font())
    };
    let behind = words(from);
    let (band, words) = if behind.is_cut() { (band, words(band.left())) } else { (band.with_min_x(from), behind) };
    ui.painter().rect_filled(band, f32::from(theme.radius), color(palette.proposed));
    words.paint(ui, egui::Align::Min, color(palette.paper));
}
