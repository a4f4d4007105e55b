//! A field of the project with text of several lines.

use eframe::egui::{self, Key, RichText, TextEdit};

use super::bound::Bound;
use super::{field, line};
use crate::window::kit::theme::color;
use crate::window::state::form_state::FormMessage;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// Draws the field over the whole width, `lines` lines high. Its text is accepted when the keyboard focus
/// leaves it; Esc cancels.
pub fn area(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, path: &str, lines: usize) {
    let Some(bound) = Bound::of(view, path) else {
        return;
    };
    let shown = bound.shown();
    let mut text = view.screen.form.typed(path).map_or_else(|| shown.clone(), |typed| typed.text.clone());
    let before = text.clone();
    let theme = view.theme;
    let edit = TextEdit::multiline(&mut text)
        .id(line::id(path))
        .font(theme.body_font())
        .background_color(color(theme.palette.paper))
        .hint_text(RichText::new(&bound.name).color(color(theme.palette.ink_secondary)))
        .desired_rows(lines)
        .desired_width(f32::INFINITY);
    let response = ui.add(edit);
    let name = bound.name.clone();
    ui.ctx().accesskit_node_builder(response.id, |node| node.set_label(name));
    super::tip(
        &response,
        &format!("{}: {}\nTab or a click elsewhere sets it, Esc gives up.\n{path}", bound.name, bound.range()),
    );
    let key = path.to_owned();
    if response.lost_focus() && ui.input(|input| input.key_pressed(Key::Escape)) {
        outbox.send(FormMessage::Drop(key));
    } else if response.lost_focus() && text != shown {
        field::take(view, outbox, &bound, text);
    } else if text != before {
        outbox.send(FormMessage::Type(key, text));
    }
}
