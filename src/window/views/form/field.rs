//! The control of one field of the project: a box, a box to tick, names to choose from, or text of several lines.

use eframe::egui::{self, Align2, Checkbox, Key, Rect, RichText, TextEdit, UiBuilder};

use crate::project::{FieldKind, Tree};
use crate::window::kit::theme::color;
use crate::window::state::edits::DocumentEdit;
use crate::window::state::form_state::FormMessage;
use crate::window::state::notice::Cause;
use crate::window::state::outbox::Outbox;
use crate::window::views::form::bound::{Bound, NONE};
use crate::window::views::form::line::{Line, Said};
use crate::window::views::form::text_box::Behind;
use crate::window::views::form::{choice, line, tip};
use crate::window::views::view::View;

/// Draws the control of a field in a rectangle; returns why its text is not a value, if it is not.
pub(in crate::window) fn show(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    rect: Rect,
    bound: &Bound<'_>,
) -> Option<String> {
    match bound.kind {
        FieldKind::Flag => flag(ui, view, outbox, rect, bound),
        FieldKind::Choice(names) => names_to_choose(ui, view, outbox, rect, bound, names),
        _ => return text(ui, view, outbox, rect, bound),
    }
    None
}

fn text(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect, bound: &Bound<'_>) -> Option<String> {
    let step_deg = view.project.step_deg;
    let (shown, tooltip) = (bound.shown(), bound.tooltip(step_deg));
    let align = if matches!(bound.kind, FieldKind::Text { .. }) { Align2::LEFT_CENTER } else { Align2::RIGHT_CENTER };
    let hint = if bound.is_optional() { NONE } else { "" };
    let line = Line {
        key: bound.path,
        name: &bound.name,
        shown: &shown,
        unit: Behind::Unit(bound.unit),
        align,
        hint,
        tooltip: &tooltip,
    };
    let stepped = |text: &str, steps: f64| bound.stepped(text, steps, step_deg);
    let (_, said, refusal) = line::show(ui, view, outbox, rect, &line, stepped);
    match said {
        Said::Taken(text) => take(view, outbox, bound, text),
        Said::Confirmed(text) if view.project.is_assumed(bound.path) => take(view, outbox, bound, text),
        Said::Nothing | Said::Typed(_) | Said::Confirmed(_) => {}
    }
    refusal
}

/// Makes a step of what was typed, or marks it as refused.
pub(in crate::window) fn take(view: &View<'_>, outbox: &mut Outbox, bound: &Bound<'_>, text: String) {
    let key = bound.path.to_owned();
    match bound.set(view.document.project(), &text) {
        Ok(set) => {
            if let Some((label, _)) = set
                && let Ok(plain) = bound.plain(&text)
            {
                outbox.edit(label, DocumentEdit::set_field(bound.path, plain));
            }
            outbox.send(FormMessage::Drop(key));
        }
        Err(why) => {
            outbox.complain_of(Cause::Field(key.clone()), format!("{}: {why}", bound.name));
            outbox.send(FormMessage::Refuse(key, text, why.to_string()));
        }
    }
}

fn flag(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect, bound: &Bound<'_>) {
    let was = matches!(bound.value, Tree::Flag(true));
    let mut is_on = was;
    let mut inner = ui.new_child(UiBuilder::new().max_rect(rect).id_salt(bound.path));
    let response = inner.add(Checkbox::without_text(&mut is_on));
    let name = bound.name.clone();
    ui.ctx().accesskit_node_builder(response.id, |node| node.set_label(name));
    tip(&response, &bound.tooltip(view.project.step_deg));
    if response.gained_focus() {
        super::show_whole(ui, &response);
    }
    if is_on != was {
        take(view, outbox, bound, is_on.to_string());
    }
}

fn names_to_choose(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    rect: Rect,
    bound: &Bound<'_>,
    names: &'static [&'static str],
) {
    let words: Vec<String> = names.iter().map(|name| name.replace('_', " ")).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let now = names.iter().position(|name| matches!(bound.value, Tree::Name(value) if value == name));
    let tooltip = bound.tooltip(view.project.step_deg);
    let choice = choice::Choice { key: bound.path, name: &bound.name, words: &words, now, tooltip: &tooltip };
    if let Some(name) = choice::show_at_end(ui, view.theme, rect, &choice).and_then(|taken| names.get(taken)) {
        take(view, outbox, bound, (*name).to_owned());
    }
}

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
        take(view, outbox, &bound, text);
    } else if text != before {
        outbox.send(FormMessage::Type(key, text));
    }
}
