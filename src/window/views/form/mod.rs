//! Forms: rows bound to the fields of the project by path, and their layout on a sheet.
//!
//! A sheet calls [`row`] with a path of the catalogue; name, unit, range and kind of control follow from that.
//! What is typed stays in `Screen` until Enter, Tab or a click elsewhere accepts it as one labelled step; Esc
//! cancels it. A refused text stays where it was typed, marked as an error with the reason, and the document
//! is unchanged.

pub(in crate::window) mod assumed;
mod bound;
pub mod choice;
mod entry;
mod field;
mod line;
mod row;
pub mod text_box;

use eframe::egui::{self, Id, Role, ScrollArea, Sense, UiBuilder, WidgetInfo, pos2, vec2};

pub(in crate::window) use self::bound::Bound;
pub use self::bound::{AsTyped, read};
pub use self::entry::{Amount, Blank, Entry, Meaning, amount, amount_at, blank, blank_at, entry, entry_at, number_at};
pub use self::field::area;
pub use self::row::{RowPlaces, assumed_at, fact, label, note, remark, room, row, row_named, row_of, small};
use crate::window::kit::theme::kit_sizes::ROUNDING;
pub use crate::window::kit::theme::view_sizes::{FORM_SIZES, FormSizes};
use crate::window::kit::theme::{Theme, color};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// The id of the box of a field or entry, for giving it the keyboard focus.
pub fn id(key: &str) -> Id {
    line::id(key)
}

/// The name of the field with a key; the key itself if it is not a field of the project.
pub fn name_of(view: &View<'_>, key: &str) -> String {
    Bound::of(view, key).map_or_else(|| key.to_owned(), |bound| bound.name)
}

/// Draws only a field, in a given rectangle; returns why its text is refused, if it is. `None` for an unknown
/// path.
pub fn field_at(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    rect: egui::Rect,
    path: &str,
) -> Option<String> {
    Bound::of(view, path).and_then(|bound| field::show(ui, view, outbox, rect, &bound))
}

/// The tooltip of a row.
fn tip(response: &egui::Response, text: &str) {
    egui::Tooltip::for_enabled(response).width(FORM_SIZES.tip_width).show(|ui| ui.label(text));
}

/// A heading over a group of rows, with room above it unless it is the first of its column.
pub fn heading(ui: &mut egui::Ui, theme: &Theme, text: &str) {
    if ui.cursor().top() > ui.max_rect().top() + ROUNDING {
        ui.add_space(FORM_SIZES.section_gap);
    }
    let (rect, response) =
        ui.allocate_exact_size(vec2(ui.available_width(), FORM_SIZES.heading_height), Sense::hover());
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
        count * FORM_SIZES.column_width + (count - 1.0) * FORM_SIZES.column_gap <= width
    };
    (1..=most.max(1)).rev().find(fits).unwrap_or(1)
}

/// Draws `count` columns of equal width side by side; they take the height of the longest.
pub fn columns(ui: &mut egui::Ui, count: usize, draw: impl FnMut(&mut egui::Ui, usize)) {
    #[expect(clippy::cast_precision_loss, reason = "a handful of columns")]
    let width = (ui.available_width() - FORM_SIZES.column_gap * (count.max(1) as f32 - 1.0)) / count.max(1) as f32;
    columns_of(ui, &vec![width; count.max(1)], draw);
}

/// Draws columns of these widths side by side; they take the height of the longest.
pub fn columns_of(ui: &mut egui::Ui, widths: &[f32], mut draw: impl FnMut(&mut egui::Ui, usize)) {
    let whole = ui.available_rect_before_wrap();
    let (mut left, mut bottom) = (whole.left(), whole.top());
    for (place, width) in widths.iter().enumerate() {
        let rect = egui::Rect::from_min_max(pos2(left, whole.top()), pos2(left + width, whole.bottom()));
        let mut column = ui.new_child(UiBuilder::new().max_rect(rect).id_salt(("form column", place)));
        column.spacing_mut().item_spacing.y = FORM_SIZES.row_gap;
        draw(&mut column, place);
        bottom = bottom.max(column.min_rect().bottom());
        left += width + FORM_SIZES.column_gap;
    }
    ui.allocate_rect(egui::Rect::from_min_max(whole.min, pos2(whole.right(), bottom)), Sense::hover());
}

/// A sheet of rows that scrolls up and down if necessary, with the theme's margin around it.
pub fn page(ui: &mut egui::Ui, theme: &Theme, name: &str, draw: impl FnOnce(&mut egui::Ui)) {
    ScrollArea::vertical().id_salt(name).auto_shrink(false).show(ui, |ui| {
        egui::Frame::new().inner_margin(theme.margin).show(ui, |ui| {
            ui.set_width(ui.available_width());
            draw(ui);
        });
    });
}
