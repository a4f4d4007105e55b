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
mod sections;
pub mod text_box;

use eframe::egui::{self, Id, ScrollArea, vec2};

pub(in crate::window) use self::bound::Bound;
pub use self::bound::{AsTyped, read};
pub use self::entry::{Amount, Blank, Entry, Meaning, amount, amount_at, blank, blank_at, entry, entry_at, number_at};
pub use self::field::area;
pub use self::row::{RowPlaces, assumed_at, fact, label, note, remark, room, row, row_named, row_of, small};
pub use self::sections::{columns, columns_of, heading};
use crate::window::kit::theme::Theme;
pub use crate::window::kit::theme::view_sizes::{FORM_SIZES, FormSizes};
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

/// Scrolls to a control that got the keyboard focus, clear of the heading that stays above it.
pub(in crate::window) fn show_whole(ui: &egui::Ui, response: &egui::Response) {
    ui.scroll_to_rect(response.rect.expand2(vec2(0.0, FORM_SIZES.heading_height)), None);
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

/// A sheet of rows that scrolls up and down if necessary, with the theme's margin around it.
pub fn page(ui: &mut egui::Ui, theme: &Theme, name: &str, draw: impl FnOnce(&mut egui::Ui)) {
    sections::with_kept_headings(ui, |ui| {
        let shown = ScrollArea::vertical().id_salt(name).auto_shrink(false).show(ui, |ui| {
            egui::Frame::new().inner_margin(theme.margin).show(ui, |ui| {
                ui.set_width(ui.available_width());
                draw(ui);
            });
        });
        shown.inner_rect
    });
}
