//! Rows for what is not a single field of the project: text with a meaning of its own, and numbers of the
//! screen.

use eframe::egui::{self, Align2, Rect};

use super::bound::read;
use super::line::{self, Line, Said};
use super::row::{label, remark, room};
use super::text_box::Behind;
use crate::window::kit::theme::view_sizes::FORM_SIZES;
use crate::window::state::edits::DocumentEdit;
use crate::window::state::form_state::FormMessage;
use crate::window::state::notice::Cause;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::ScreenMessage;
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, bounds, exact, outside, settle, written};

/// A row with text.
pub struct Entry<'a> {
    /// The key of its half-typed text; not a path of the catalogue.
    pub key: &'a str,
    /// The label before it.
    pub label: &'a str,
    /// Its name for people who cannot see where it is.
    pub name: &'a str,
    /// Its value as text.
    pub shown: &'a str,
    /// What is shown after it.
    pub unit: Behind<'a>,
    /// Its width; all the room there is if `None`.
    pub width: Option<f32>,
    /// What it is and how it is written.
    pub tooltip: &'a str,
}

/// The meaning of an entry's text.
pub enum Meaning {
    /// Nothing new.
    Same,
    /// A change of the project as one step.
    Step(String, DocumentEdit),
    /// A change of the project as one step, and a change of the screen along with it.
    StepThen(String, DocumentEdit, Box<ScreenMessage>),
}

/// Draws the row. When the text is to be accepted, `read` says what it means or why it is refused.
pub fn entry(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    entry: &Entry<'_>,
    read: impl Fn(&str) -> Result<Meaning, Refusal>,
) {
    let places = room(ui);
    label(ui, view.theme, places.label, entry.label);
    let rect = places.at_end(entry.width.unwrap_or(places.rest.width()));
    if let Some(why) = entry_at(ui, view, outbox, rect, entry, read) {
        remark(ui, view.theme, places.before(rect.left()), entry.key, &why);
    }
}

/// Draws only the box of an entry, in a given rectangle; returns why its text is refused, if it is.
pub fn entry_at(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    rect: Rect,
    entry: &Entry<'_>,
    read: impl Fn(&str) -> Result<Meaning, Refusal>,
) -> Option<String> {
    let align = if entry.unit == Behind::NOTHING { Align2::LEFT_CENTER } else { Align2::RIGHT_CENTER };
    let &Entry { key, name, shown, unit, tooltip, .. } = entry;
    let line = Line { key, name, shown, unit, align, hint: "", tooltip };
    let (_, said, refusal) = line::show(ui, view, outbox, rect, &line, |_, _| None);
    if let Said::Taken(text) = said {
        take(outbox, entry, text, read);
    }
    refusal
}

/// The box of a number whose text has a meaning of its own, right-aligned and without a unit, as in the rows of
/// a curve; `stepped` gives the text after a number of steps of the arrow keys. Returns why its text is
/// refused, if it is.
pub fn number_at(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    rect: Rect,
    entry: &Entry<'_>,
    stepped: impl Fn(&str, f64) -> Option<String>,
    read: impl Fn(&str) -> Result<Meaning, Refusal>,
) -> Option<String> {
    let &Entry { key, name, shown, tooltip, .. } = entry;
    let line = Line { key, name, shown, unit: Behind::NOTHING, align: Align2::RIGHT_CENTER, hint: "", tooltip };
    let (_, said, refusal) = line::show(ui, view, outbox, rect, &line, stepped);
    if let Said::Taken(text) = said {
        take(outbox, entry, text, read);
    }
    refusal
}

fn take(outbox: &mut Outbox, entry: &Entry<'_>, text: String, read: impl Fn(&str) -> Result<Meaning, Refusal>) {
    let key = entry.key.to_owned();
    match read(&text) {
        Ok(meaning) => {
            match meaning {
                Meaning::Same => {}
                Meaning::Step(label, edit) => outbox.edit(label, edit),
                Meaning::StepThen(label, edit, message) => {
                    outbox.edit(label, edit);
                    outbox.send(*message);
                }
            }
            outbox.send(FormMessage::Drop(key));
        }
        Err(why) => {
            outbox.complain_of(Cause::Field(key.clone()), format!("{}: {why}", entry.name));
            outbox.send(FormMessage::Refuse(key, text, why.to_string()));
        }
    }
}

/// A number that belongs to the screen and not to the project, such as an input of a worksheet.
pub struct Amount<'a> {
    /// The key of its half-typed text.
    pub key: &'a str,
    /// The label before it.
    pub label: &'a str,
    /// Its name for people who cannot see where it is.
    pub name: &'a str,
    /// Its unit.
    pub unit: Unit,
    /// Its value.
    pub value: f64,
    /// The least and the greatest value.
    pub range: (f64, f64),
    /// How much the Up and Down keys change it by.
    pub step: f64,
}

/// An amount that may not be there yet: an empty box.
pub struct Blank<'a> {
    /// The key of its half-typed text.
    pub key: &'a str,
    /// The label before it.
    pub label: &'a str,
    /// Its name for people who cannot see where it is.
    pub name: &'a str,
    /// Its unit.
    pub unit: Unit,
    /// Its value, if one was typed.
    pub value: Option<f64>,
    /// The faint text in the empty box.
    pub hint: &'a str,
    /// The least and the greatest value.
    pub range: (f64, f64),
    /// How much the Up and Down keys change it by.
    pub step: f64,
}

/// Draws a row with an amount that may be missing; `put` makes the message for every number in range as it is
/// typed, and for `None` when the box is emptied.
pub fn blank<M: Into<ScreenMessage>>(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    blank: &Blank<'_>,
    put: impl FnOnce(Option<f64>) -> M,
) {
    row_of(ui, view, (blank.label, blank.key), |ui, rect| blank_at(ui, view, outbox, rect, blank, put));
}

/// A row with a label and one box; why its text is refused is shown beside it.
fn row_of(
    ui: &mut egui::Ui,
    view: &View<'_>,
    (words, key): (&str, &str),
    put: impl FnOnce(&mut egui::Ui, Rect) -> Option<String>,
) {
    let places = room(ui);
    let rect = places.at_end(FORM_SIZES.field_width);
    let refused = put(ui, rect);
    let end = if refused.is_some() { places.label.right() } else { rect.left() - FORM_SIZES.gap };
    label(ui, view.theme, places.whole.with_max_x(end), words);
    if let Some(why) = refused {
        remark(ui, view.theme, places.before(rect.left()), key, &why);
    }
}

/// Draws only the box, in a given rectangle; returns why its text is refused, if it is.
pub fn blank_at<M: Into<ScreenMessage>>(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    rect: Rect,
    blank: &Blank<'_>,
    put: impl FnOnce(Option<f64>) -> M,
) -> Option<String> {
    let &Blank { key, label, name, unit, value, hint, range, step } = blank;
    let amount = Amount { key, label, name, unit, value: value.unwrap_or_default(), range, step };
    let shown = value.map(|value| amount.shown(value)).unwrap_or_default();
    let read = |text: &str| if text.trim().is_empty() { Ok(None) } else { amount.read(text).map(Some) };
    number_box(ui, view, outbox, rect, &amount, (&shown, hint), read, put)
}

/// Draws a row with an amount; `put` makes the message for every number in range as it is typed.
pub fn amount<M: Into<ScreenMessage>>(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    amount: &Amount<'_>,
    put: impl FnOnce(f64) -> M,
) {
    row_of(ui, view, (amount.label, amount.key), |ui, rect| amount_at(ui, view, outbox, rect, amount, put));
}

/// Draws only the box of an amount, in a given rectangle; returns why its text is refused, if it is.
pub fn amount_at<M: Into<ScreenMessage>>(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    rect: Rect,
    amount: &Amount<'_>,
    put: impl FnOnce(f64) -> M,
) -> Option<String> {
    let shown = amount.shown(amount.value);
    number_box(ui, view, outbox, rect, amount, (&shown, ""), |text| amount.read(text), put)
}

/// A box with a number; `read` says what its text means or why it is refused.
#[expect(clippy::too_many_arguments, reason = "where it is, what it is, and what becomes of it")]
fn number_box<T, M: Into<ScreenMessage>>(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    rect: Rect,
    amount: &Amount<'_>,
    (shown, hint): (&str, &str),
    read_text: impl Fn(&str) -> Result<T, Refusal>,
    put: impl FnOnce(T) -> M,
) -> Option<String> {
    let tooltip = amount.tooltip();
    let &Amount { key, name, unit, step, range: (low, high), .. } = amount;
    let line =
        Line { key, name, shown, unit: Behind::Unit(unit), align: Align2::RIGHT_CENTER, hint, tooltip: &tooltip };
    let stepped = |text: &str, steps: f64| {
        let value = settle(read(text, unit).ok()? + steps * step).clamp(low, high);
        Some(amount.shown(value))
    };
    let (_, said, refusal) = line::show(ui, view, outbox, rect, &line, stepped);
    match said {
        Said::Nothing | Said::Confirmed(_) => {}
        Said::Typed(text) => {
            if let Ok(value) = read_text(&text) {
                outbox.send(put(value).into());
            }
        }
        Said::Taken(text) => {
            let key = key.to_owned();
            match read_text(&text) {
                Ok(value) => {
                    outbox.send(put(value).into());
                    outbox.send(FormMessage::Drop(key));
                }
                Err(why) => outbox.send(FormMessage::Refuse(key, text, why.to_string())),
            }
        }
    }
    refusal
}

impl Amount<'_> {
    fn shown(&self, value: f64) -> String {
        if self.unit == Unit::Degree { exact(value) } else { written(value) }
    }

    fn range_words(&self) -> String {
        bounds(self.range, self.unit)
    }

    fn read(&self, text: &str) -> Result<f64, Refusal> {
        let value = read(text, self.unit)?;
        let (low, high) = self.range;
        if (low..=high).contains(&value) {
            return Ok(value);
        }
        Err(Refusal::new(outside(value, self.range, self.unit)))
    }

    fn tooltip(&self) -> String {
        let step = written(self.step);
        format!(
            "{}: {}\nUp and Down change it by {step}, with Shift by ten times that. It is not kept in the project.",
            self.name,
            self.range_words()
        )
    }
}
