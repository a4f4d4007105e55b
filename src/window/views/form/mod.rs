//! Forms: rows bound to the fields of the project by path, and their layout on a sheet.
//!
//! A sheet calls [`row`] with a path of the catalogue; name, unit, range and kind of control follow from that.
//! What is typed stays in `Screen` until Enter, Tab or a click elsewhere accepts it as one labelled step; Esc
//! cancels it. A refused text stays where it was typed, marked with a triangle and the reason, and the document
//! is unchanged.

mod area;
mod as_typed;
mod assumed;
mod bound;
pub mod choice;
mod entry;
mod field;
mod layout;
mod line;
mod row;
pub mod text_box;

use eframe::egui::{self, Id};

use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;
use bound::Bound;

pub use crate::window::kit::theme::form_sizes::{FormSizes, SIZES};
pub use area::area;
pub use as_typed::AsTyped;
pub use bound::read;
pub use entry::{Amount, Blank, Entry, Meaning, amount, amount_at, blank, blank_at, entry, entry_at, number_at};
pub use layout::{columns, columns_of, columns_that_fit, heading, page};
pub use row::{RowPlaces, assumed_at, fact, label, note, remark, room, row, row_named, row_of, small};

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
    egui::Tooltip::for_enabled(response).width(SIZES.tip_width).show(|ui| ui.label(text));
}
