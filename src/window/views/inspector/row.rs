//! Draws one sentence: a button with numbers and choices in it.

use eframe::egui::{self, Align2, Id, Rect, Role, Sense, StrokeKind, WidgetInfo, pos2, vec2};

use super::field;
use super::sentences::{PartNow, SentenceNow};
use crate::drawing::Color;
use crate::shaping::Choice;
use crate::window::kit::theme::kit_sizes::{HAIRLINE, TIGHT_GAP};
use crate::window::kit::theme::view_sizes::{NOTE_MARK, NOTE_WORDS, PARTS_END, PARTS_INSET, SENTENCE_PADDING};
use crate::window::kit::theme::{Theme, color, elided, hairline, ring, strong_line};
use crate::window::state::commands::Command;
use crate::window::state::inspector_state::{Field, InspectorMessage};
use crate::window::state::outbox::{Action, Outbox};
use crate::window::views::inspector::proposal_words::{crowded, warning_mark};
use crate::window::views::view::View;

/// How much a sentence wants to be previewed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::window) enum Interest {
    /// Not at all.
    #[default]
    None,
    /// Its button has the keyboard focus.
    Focused,
    /// The pointer is over it.
    Pointed,
    /// One of its numbers is being typed.
    Typed,
}

impl Interest {
    /// The interest of a button, from pointer and keyboard focus.
    pub(in crate::window) fn of(ui: &egui::Ui, response: &egui::Response) -> Self {
        match () {
            () if ui.rect_contains_pointer(response.rect) => Self::Pointed,
            () if response.has_focus() => Self::Focused,
            () => Self::None,
        }
    }
}

/// The id of a sentence's button.
pub(in crate::window) fn id(key: &str) -> Id {
    Id::unique(("sentence", key))
}

/// Draws a sentence as wide as there is room and returns how much it wants to be previewed.
pub(in crate::window) fn show(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    sentence: &SentenceNow,
) -> Interest {
    let theme = view.theme;
    let second = if sentence.more.is_some() { theme.second_line } else { 0.0 };
    let size = vec2(ui.available_width(), theme.sentence_height + second);
    let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
    let response = button(ui, view, sentence, rect);
    let line = Rect::from_min_size(rect.min, vec2(size.x, theme.sentence_height));
    let ink = if sentence.plan.is_ok() { theme.palette.ink } else { theme.palette.ink_disabled };
    write(ui, theme, pos2(rect.left() + SENTENCE_PADDING, line.center().y), sentence.of.verb, ink);
    let mut typing = false;
    let mut entered = false;
    let mut parts = |ui: &mut egui::Ui, line: Rect, parts: &[PartNow]| {
        let touched = parts_from_right(ui, view, outbox, line, parts);
        typing |= touched.focused;
        entered |= touched.entered;
    };
    match (&sentence.plan, &sentence.more) {
        (Err(refusal), None) if !refusal.short.is_empty() => remark(ui, theme, line, sentence.of.verb, refusal.short),
        _ => parts(ui, line, &sentence.parts),
    }
    if let Some(more) = &sentence.more {
        let below = Rect::from_min_size(line.left_bottom() - vec2(0.0, TIGHT_GAP), vec2(size.x, theme.second_line));
        // A refused sentence shows why, instead.
        if sentence.plan.is_ok() {
            parts(ui, below, more);
        }
        note(ui, view, sentence, below);
    }
    if response.clicked() || entered {
        match &sentence.plan {
            Ok(proposal) => outbox.send(Action::Commit(proposal.clone())),
            Err(refusal) => outbox.complain(refusal.long),
        }
    }
    match () {
        () if typing => Interest::Typed,
        () if ui.rect_contains_pointer(rect) => Interest::Pointed,
        () if response.has_focus() => Interest::Focused,
        () => Interest::None,
    }
}

fn button(ui: &egui::Ui, view: &View<'_>, sentence: &SentenceNow, rect: Rect) -> egui::Response {
    let enabled = sentence.plan.is_ok();
    let sense = if enabled { Sense::click() } else { Sense::hover() };
    let response = ui.interact(rect, id(sentence.of.key), sense);
    let name = sentence.name();
    response.widget_info(|| match &sentence.plan {
        Ok(_) => WidgetInfo::labeled(Role::Button, true, &name),
        Err(refusal) => WidgetInfo::labeled(Role::Button, false, format!("{name}: {}", refusal.long)),
    });
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    let palette = view.theme.palette;
    let fill = match () {
        () if !enabled => palette.paper,
        () if response.is_pointer_button_down_on() => palette.field_pressed,
        () if ui.rect_contains_pointer(rect) => palette.field_hover,
        () => palette.field,
    };
    let stroke = match () {
        () if response.has_focus() => strong_line(color(palette.ink)),
        () if enabled => hairline(color(palette.rule_strong)),
        () => hairline(color(palette.rule)),
    };
    ui.painter().rect(rect, f32::from(view.theme.radius), color(fill), stroke, StrokeKind::Inside);
    field::tip_beside(&response, field::with_facts(rect), tooltip(view, sentence));
    response
}

fn tooltip(view: &View<'_>, sentence: &SentenceNow) -> String {
    let keys = sentence.command.map(|command| view.keys.of(command)).unwrap_or_default();
    let keys: Vec<String> = keys.iter().map(|shortcut| shortcut.text()).collect();
    let mut text = sentence.of.tip.to_owned();
    if !keys.is_empty() {
        text = format!("{text}  ({})", keys.join(" or "));
    }
    match &sentence.plan {
        Err(refusal) => format!("{text}\n{}", refusal.long),
        Ok(_) => sentence.limits().map_or_else(|| text.clone(), |limits| format!("{text}\n{limits}")),
    }
}

/// Lays the parts out so that the last one ends at the right edge of the line.
fn parts_from_right(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    line: Rect,
    parts: &[PartNow],
) -> field::Touched {
    let gap = view.theme.gap - TIGHT_GAP;
    let widths: Vec<f32> = parts.iter().map(|part| part_width(ui, view, part)).collect();
    let total: f32 = widths.iter().sum::<f32>() + gap * (parts.len().saturating_sub(1)) as f32;
    let mut left = line.right() - PARTS_END - total;
    let mut touched = field::Touched::default();
    for (part, width) in parts.iter().zip(widths) {
        let rect =
            Rect::from_min_size(pos2(left, line.top() + PARTS_INSET), vec2(width, line.height() - 2.0 * PARTS_INSET));
        left += width + gap;
        match part {
            PartNow::Word(word) => write(ui, view.theme, rect.left_center(), word, view.theme.palette.ink),
            PartNow::Amount(number, value) => {
                let now = field::show(
                    ui,
                    view,
                    outbox,
                    [rect.expand2(vec2(0.0, HAIRLINE)), field::with_facts(line)],
                    Field::Amount(number),
                    *value,
                );
                touched.focused |= now.focused;
                touched.entered |= now.entered;
            }
            PartNow::Choice { of, now, next } => choice(ui, view, outbox, [rect, line], of, [*now, *next]),
            PartNow::Arm => arm(ui, view, outbox, [rect, line]),
        }
    }
    touched
}

fn part_width(ui: &egui::Ui, view: &View<'_>, part: &PartNow) -> f32 {
    let words = |text: &str| {
        ui.painter().layout_no_wrap(text.to_owned(), view.theme.body_font(), egui::Color32::BLACK).size().x.ceil()
    };
    match part {
        PartNow::Word(word) => words(word),
        PartNow::Amount(number, value) => field::width(ui, view, Field::Amount(number), *value),
        PartNow::Choice { of, now, .. } => words(of.words(*now)) + 10.0,
        PartNow::Arm => words(ARM) + 10.0,
    }
}

const ARM: &str = "drag on the surface";

/// A small button for a choice: a click takes the next option.
fn choice(
    ui: &egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    places: [Rect; 2],
    of: &'static Choice,
    [now, next]: [usize; 2],
) {
    let id = Id::unique(("choice", of.name));
    let words = of.words(now);
    let tip = if now == next {
        "there is no other choice here".to_owned()
    } else {
        format!("click for '{}'", of.words(next))
    };
    let name = format!("{words}; {tip}");
    if small_button(ui, view, places, id, [words, &name, &tip], false) && now != next {
        outbox.send(InspectorMessage::Take(of, next));
    }
}

fn arm(ui: &egui::Ui, view: &View<'_>, outbox: &mut Outbox, places: [Rect; 2]) {
    let is_on = view.screen.surface.lift_armed;
    let tip = view.keys.tooltip(Command::ArmLift);
    let name = if is_on { "Lift by dragging on the surface: on" } else { "Lift by dragging on the surface: off" };
    if small_button(ui, view, places, Id::unique("arm lift"), [ARM, name, &tip], is_on) {
        outbox.run(Command::ArmLift);
    }
}

/// A button within a sentence, given its rectangle and that of its line, its text, its name and its tooltip.
fn small_button(ui: &egui::Ui, view: &View<'_>, places: [Rect; 2], id: Id, texts: [&str; 3], is_on: bool) -> bool {
    let palette = view.theme.palette;
    let [rect, line] = places;
    let [text, name, tip] = texts;
    let rect = rect.expand2(vec2(0.0, HAIRLINE));
    let response = ui.interact(rect, id, Sense::click());
    field::tip_beside(&response, field::with_facts(line), tip);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_on, name));
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    let (fill, ink) = match () {
        () if is_on => (palette.ink, palette.paper),
        () if response.hovered() => (palette.field_pressed, palette.ink),
        () => (palette.paper, palette.ink),
    };
    let stroke = if response.has_focus() { ring(color(palette.ink)) } else { hairline(color(palette.rule_strong)) };
    ui.painter().rect(rect, view.theme.inner_radius(), color(fill), stroke, StrokeKind::Inside);
    ui.painter().text(rect.center(), Align2::CENTER_CENTER, text, view.theme.body_font(), color(ink));
    response.clicked()
}

/// The small text on a second line: what the sentence acts on, a warning, or why it does not act.
fn note(ui: &egui::Ui, view: &View<'_>, sentence: &SentenceNow, line: Rect) {
    let theme = view.theme;
    let at = line.left_center() + vec2(SENTENCE_PADDING, -HAIRLINE);
    let small = |text: &str, ink: Color, at: egui::Pos2| {
        ui.painter().text(at, Align2::LEFT_CENTER, text, theme.small_font(), color(ink))
    };
    match &sentence.plan {
        Err(refusal) => {
            small(refusal.short, theme.palette.ink_secondary, at);
        }
        Ok(proposal) if proposal.tool.manner().minds_crowding && crowded(view).is_some() => {
            warning_mark(ui, view.theme, at + vec2(NOTE_MARK, 0.0));
            let text = format!("crowded axis; {}", sentence.scope());
            small(&text, theme.palette.ink_secondary, at + vec2(NOTE_WORDS, 0.0));
        }
        Ok(_) if sentence.tells_scope() => {
            small(&sentence.scope(), theme.palette.ink_secondary, at);
        }
        Ok(_) => {}
    }
}

/// Why a sentence of one line does nothing, in place of its numbers; cut if its verb leaves no room, and in
/// full in the tooltip.
fn remark(ui: &egui::Ui, theme: &Theme, line: Rect, verb: &str, text: &str) {
    let taken = ui.painter().layout_no_wrap(verb.to_owned(), theme.body_font(), egui::Color32::BLACK).size().x;
    let right = line.right() - SENTENCE_PADDING;
    let room = Rect::from_x_y_ranges((line.left() + taken + 2.0 * SENTENCE_PADDING).min(right)..=right, line.y_range());
    elided(ui, room, text, theme.small_font()).paint(ui, egui::Align::Max, color(theme.palette.ink_secondary));
}

fn write(ui: &egui::Ui, theme: &Theme, at: egui::Pos2, text: &str, ink: Color) {
    ui.painter().text(at, Align2::LEFT_CENTER, text, theme.body_font(), color(ink));
}
