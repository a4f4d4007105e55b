//! How a form is set out: headings, and columns without boxes.

use eframe::egui::{self, Role, ScrollArea, Sense, UiBuilder, WidgetInfo, pos2, vec2};

use crate::window::kit::theme::form_sizes::SIZES;
use crate::window::kit::theme::{Theme, color};

/// A heading over a group of rows, with room above it unless it is the first of its column.
pub fn heading(ui: &mut egui::Ui, theme: &Theme, text: &str) {
    if ui.cursor().top() > ui.max_rect().top() + 1.0 {
        ui.add_space(SIZES.section_gap);
    }
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), SIZES.heading_height), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Heading, true, text));
    let ink = color(theme.palette.ink);
    let galley = ui.painter().layout_no_wrap(text.to_owned(), theme.heading_font(), ink);
    ui.painter().galley(rect.min, galley, ink);
}

/// How many columns fit side by side, from one to `most`.
pub fn columns_that_fit(width: f32, most: usize) -> usize {
    let fits = |count: &usize| {
        #[expect(clippy::cast_precision_loss, reason = "a handful of columns")]
        let count = *count as f32;
        count * SIZES.column_width + (count - 1.0) * SIZES.column_gap <= width
    };
    (1..=most.max(1)).rev().find(fits).unwrap_or(1)
}

/// Draws `count` columns of equal width side by side; the room of the longest is taken.
pub fn columns(ui: &mut egui::Ui, count: usize, draw: impl FnMut(&mut egui::Ui, usize)) {
    #[expect(clippy::cast_precision_loss, reason = "a handful of columns")]
    let width = (ui.available_width() - SIZES.column_gap * (count.max(1) as f32 - 1.0)) / count.max(1) as f32;
    columns_of(ui, &vec![width; count.max(1)], draw);
}

/// Draws columns of these widths side by side; the room of the longest is taken.
pub fn columns_of(ui: &mut egui::Ui, widths: &[f32], mut draw: impl FnMut(&mut egui::Ui, usize)) {
    let whole = ui.available_rect_before_wrap();
    let (mut left, mut bottom) = (whole.left(), whole.top());
    for (place, width) in widths.iter().enumerate() {
        let rect = egui::Rect::from_min_max(pos2(left, whole.top()), pos2(left + width, whole.bottom()));
        let mut column = ui.new_child(UiBuilder::new().max_rect(rect).id_salt(("form column", place)));
        column.spacing_mut().item_spacing.y = SIZES.row_gap;
        draw(&mut column, place);
        bottom = bottom.max(column.min_rect().bottom());
        left += width + SIZES.column_gap;
    }
    ui.allocate_rect(egui::Rect::from_min_max(whole.min, pos2(whole.right(), bottom)), Sense::hover());
}

/// A sheet of rows that scrolls up and down where it must, with the theme's margin round it.
pub fn page(ui: &mut egui::Ui, theme: &Theme, name: &str, draw: impl FnOnce(&mut egui::Ui)) {
    ScrollArea::vertical().id_salt(name).auto_shrink(false).show(ui, |ui| {
        egui::Frame::new().inner_margin(theme.margin).show(ui, |ui| {
            ui.set_width(ui.available_width());
            draw(ui);
        });
    });
}
