//! A box whose half-typed text is kept by key until it is accepted or cancelled.

use eframe::egui::{self, Align2, Id, Key, Rect, Response, accesskit};

use super::text_box::{Behind, TextBox, select_all};
use crate::window::kit::slider::steps_up;
use crate::window::kit::theme::view_sizes::FORM_SIZES;
use crate::window::state::form_state::{FormMessage, NOT_SET};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// A box to type into.
pub(in crate::window) struct Line<'a> {
    /// The key of its text.
    pub(in crate::window) key: &'a str,
    /// Its name for people who cannot see where it is.
    pub(in crate::window) name: &'a str,
    /// Its value as text.
    pub(in crate::window) shown: &'a str,
    /// The unit after it.
    pub(in crate::window) unit: Behind<'a>,
    /// The alignment of short text.
    pub(in crate::window) align: Align2,
    /// The faint text while it is empty.
    pub(in crate::window) hint: &'a str,
    /// What it is, its range and its keys.
    pub(in crate::window) tooltip: &'a str,
}

/// What happened to the text in this frame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::window) enum Said {
    /// Nothing.
    Nothing,
    /// It is being typed.
    Typed(String),
    /// It is to be accepted: Enter, Tab, or a click elsewhere.
    Taken(String),
    /// Enter was pressed, and the text is unchanged.
    Confirmed(String),
}

/// The id of the box with a key.
pub(in crate::window) fn id(key: &str) -> Id {
    Id::unique(("form", key))
}

/// Draws the box; `stepped` gives the text after a number of steps of the arrow keys. The second result is why
/// its text is not a value, if it is not.
pub(in crate::window) fn show(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    rect: Rect,
    line: &Line<'_>,
    stepped: impl Fn(&str, f64) -> Option<String>,
) -> (Response, Said, Option<String>) {
    let id = id(line.key);
    let has_focus = ui.memory(|memory| memory.has_focus(id));
    let typed = view.screen.form.typed(line.key);
    let mut text = typed.map_or_else(|| line.shown.to_owned(), |typed| typed.text.clone());
    let before = text.clone();
    if has_focus {
        let steps = steps_up(ui);
        if steps != 0.0
            && let Some(stepped) = stepped(&text, steps)
        {
            text = stepped;
        }
    }
    let refused = typed.and_then(|typed| typed.refusal.clone());
    let (unit, align, hint, at_fault) = (line.unit, line.align, line.hint, refused.is_some());
    let text_box = TextBox { id, rect, unit, at_fault, align, hint, padding: FORM_SIZES.padding, inset: 0.0 };
    let response = text_box.show(ui, view.theme, &mut text);
    // The user left the sheet while this was being typed.
    let is_left_over = typed.is_some() && !response.has_focus() && !response.lost_focus();
    let refusal = refused.or_else(|| is_left_over.then(|| NOT_SET.to_owned()));
    let words = refusal.clone();
    ui.ctx().accesskit_node_builder(id, |node| {
        node.set_label(line.name);
        if let Some(words) = words {
            node.set_invalid(accesskit::Invalid::True);
            node.set_description(words);
        }
    });
    super::tip(&response, line.tooltip);
    let said = said(ui, view, outbox, line, &response, [before, text]);
    (response, said, refusal)
}

fn said(
    ui: &egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    line: &Line<'_>,
    response: &Response,
    [before, text]: [String; 2],
) -> Said {
    let key = line.key.to_owned();
    let is_kept = view.screen.form.typed(line.key).is_some();
    let pressed = |key| ui.input(|input| input.key_pressed(key));
    if response.lost_focus() && pressed(Key::Escape) {
        outbox.send(FormMessage::Drop(key));
        return Said::Nothing;
    }
    if response.lost_focus() {
        if pressed(Key::Enter) {
            // The focus stays, so that Tab continues from here and the next digits replace the whole text.
            response.request_focus();
            select_all(ui.ctx(), response.id);
        }
        if text != line.shown {
            return Said::Taken(text);
        }
        if is_kept {
            outbox.send(FormMessage::Drop(key));
        }
        return if pressed(Key::Enter) { Said::Confirmed(text) } else { Said::Nothing };
    }
    if text == before {
        return Said::Nothing;
    }
    outbox.send(FormMessage::Type(key, text.clone()));
    Said::Typed(text)
}
