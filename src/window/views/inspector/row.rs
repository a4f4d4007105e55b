//! Draws one sentence: a button with numbers and choices in it.

use eframe::egui::{self, Align2, Id, Rect, Role, Sense, StrokeKind, WidgetInfo, pos2, vec2};

use super::field;
use super::sentences::{PartNow, SentenceNow};
use crate::drawing::Color;
use crate::shaping::Choice;
use crate::window::kit::theme::kit_sizes::{HAIRLINE, TIGHT_GAP};
use crate::window::kit::theme::view_sizes::{
    CHOICE_AIR, NOTE_MARK, NOTE_WORDS, PART_GAP, PARTS_END, PLAIN_PADDING, SENTENCE_PADDING,
};
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

/// The width that a sentence of a mere verb needs; `None` if it has numbers or choices.
pub(in crate::window) fn plain_width(ui: &egui::Ui, view: &View<'_>, sentence: &SentenceNow) -> Option<f32> {
    let is_plain = sentence.parts.is_empty() && sentence.more.is_none();
    is_plain.then(|| words_width(ui, view, sentence.of.verb) + 2.0 * PLAIN_PADDING)
}

/// Whether a sentence with all its parts fits on one line of a width, whatever is chosen and with usual numbers.
pub(in crate::window) fn fits(ui: &egui::Ui, view: &View<'_>, sentence: &SentenceNow, width: f32) -> bool {
    let widest = |part: &PartNow| match part {
        PartNow::Amount(number, _) => field::usual_width(ui, view, Field::Amount(number)),
        PartNow::Choice { of, .. } => {
            of.options.iter().map(|words| words_width(ui, view, words) + CHOICE_AIR).fold(0.0, f32::max)
        }
        PartNow::Word(_) | PartNow::Arm => part_width(ui, view, part),
    };
    let parts = sentence.parts.iter().chain(sentence.more.iter().flatten());
    let parts: f32 = parts.map(|part| widest(part) + PART_GAP).sum();
    SENTENCE_PADDING + words_width(ui, view, sentence.of.verb) + parts + PARTS_END <= width
}

/// Draws a sentence in its place, on one line or on two, and returns how much it wants to be previewed.
pub(in crate::window) fn show(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    sentence: &SentenceNow,
    rect: Rect,
    is_tall: bool,
) -> Interest {
    let theme = view.theme;
    let response = button(ui, view, sentence, rect);
    let second = if is_tall { theme.second_line } else { 0.0 };
    let line = rect.with_max_y(rect.bottom() - second);
    let ink = color(if sentence.plan.is_ok() { theme.palette.ink } else { theme.palette.ink_disabled });
    let mut touched = field::Touched::default();
    if plain_width(ui, view, sentence).is_some() {
        ui.painter().text(line.center(), Align2::CENTER_CENTER, sentence.of.verb, theme.body_font(), ink);
    } else {
        let mut parts = |ui: &mut egui::Ui, line: Rect, parts: &[PartNow]| {
            let (now, left) = parts_from_right(ui, view, outbox, line, parts);
            touched.focused |= now.focused;
            touched.entered |= now.entered;
            line.with_max_x(left)
        };
        // A sentence that does nothing shows why, in the place of its numbers.
        let free = match (&sentence.plan, &sentence.more, is_tall) {
            (Err(_), _, false) => line,
            (Ok(_), Some(more), false) => {
                let all: Vec<PartNow> = sentence.parts.iter().chain(more).copied().collect();
                parts(ui, line, &all)
            }
            _ => parts(ui, line, &sentence.parts),
        };
        let at = pos2(line.left() + SENTENCE_PADDING, line.center().y);
        let room = Rect::from_x_y_ranges(at.x..=free.right() - PART_GAP, line.y_range());
        let verb = elided(ui, room, sentence.of.verb, theme.body_font());
        verb.paint(ui, egui::Align::Min, ink);
        let beside = room.with_min_x(at.x + words_width(ui, view, sentence.of.verb) + theme.gap);
        if is_tall {
            let below = Rect::from_min_max(pos2(rect.left() + SENTENCE_PADDING, line.bottom() - TIGHT_GAP), rect.max);
            let free = match (&sentence.plan, &sentence.more) {
                (Ok(_), Some(more)) => parts(ui, below.with_max_y(below.top() + theme.second_line), more),
                _ => below,
            };
            note(ui, view, sentence, free.with_max_x(free.right() - PART_GAP), egui::Align::Min);
        } else {
            note(ui, view, sentence, beside, egui::Align::Max);
        }
    }
    if response.clicked() || touched.entered {
        match &sentence.plan {
            Ok(proposal) => outbox.send(Action::Commit(proposal.clone())),
            Err(refusal) => outbox.complain(refusal.long),
        }
    }
    match () {
        () if touched.focused => Interest::Typed,
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
    field::tip_beside(&response, field::to_the_edge(rect), tooltip(view, sentence));
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

/// Lays the parts out so that the last one ends at the right edge of the line; returns where the first begins.
fn parts_from_right(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    line: Rect,
    parts: &[PartNow],
) -> (field::Touched, f32) {
    let gap = PART_GAP;
    let widths: Vec<f32> = parts.iter().map(|part| part_width(ui, view, part)).collect();
    let total: f32 = widths.iter().sum::<f32>() + gap * (parts.len().saturating_sub(1)) as f32;
    let from = line.right() - PARTS_END - total;
    let mut left = from;
    let mut touched = field::Touched::default();
    for (part, width) in parts.iter().zip(widths) {
        let inset = view.theme.parts_inset;
        let rect = Rect::from_min_size(pos2(left, line.top() + inset), vec2(width, line.height() - 2.0 * inset));
        left += width + gap;
        match part {
            PartNow::Word(word) => write(ui, view.theme, rect.left_center(), word, view.theme.palette.ink),
            PartNow::Amount(number, value) => {
                let now = field::show(
                    ui,
                    view,
                    outbox,
                    ([rect.expand2(vec2(0.0, HAIRLINE)), field::to_the_edge(line)], view.theme.parts_ground),
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
    (touched, from)
}

fn words_width(ui: &egui::Ui, view: &View<'_>, text: &str) -> f32 {
    ui.painter().layout_no_wrap(text.to_owned(), view.theme.body_font(), egui::Color32::BLACK).size().x.ceil()
}

fn part_width(ui: &egui::Ui, view: &View<'_>, part: &PartNow) -> f32 {
    let words = |text: &str| words_width(ui, view, text);
    match part {
        PartNow::Word(word) => words(word),
        PartNow::Amount(number, value) => field::width(ui, view, Field::Amount(number), *value),
        PartNow::Choice { of, now, .. } => words(of.words(*now)) + CHOICE_AIR,
        PartNow::Arm => words(ARM) + CHOICE_AIR,
    }
}

const ARM: &str = "drag";

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
    field::tip_beside(&response, field::to_the_edge(line), tip);
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
    let seen = rect.shrink2(vec2(0.0, view.theme.parts_ground));
    ui.painter().rect(seen, view.theme.inner_radius(), color(fill), stroke, StrokeKind::Inside);
    ui.painter().text(rect.center(), Align2::CENTER_CENTER, text, view.theme.body_font(), color(ink));
    response.clicked()
}

/// Small text beside or below the verb: what the sentence acts on, a warning, or why it does not act. What does not fit is
/// left out where it only says what the words below the list say as well.
fn note(ui: &egui::Ui, view: &View<'_>, sentence: &SentenceNow, room: Rect, align: egui::Align) {
    let theme = view.theme;
    let ink = color(theme.palette.ink_secondary);
    let small = |text: &str, room: Rect| elided(ui, room, text, theme.small_font());
    match &sentence.plan {
        Err(refusal) => {
            let room = if align == egui::Align::Max { room.with_max_x(room.right() - PARTS_END) } else { room };
            small(refusal.short, room).paint(ui, align, ink);
        }
        Ok(proposal) if proposal.tool.manner().minds_crowding && crowded(view).is_some() => {
            let scope = sentence.scope();
            let told = small(&format!("crowded axis; {scope}"), room.with_min_x(room.left() + NOTE_WORDS));
            let told = if told.is_cut() { small(&scope, room.with_min_x(room.left() + NOTE_WORDS)) } else { told };
            if told.is_cut() {
                return;
            }
            let left = if align == egui::Align::Max { room.right() - told.width() } else { room.left() + NOTE_WORDS };
            warning_mark(ui, theme, pos2(left - NOTE_WORDS + NOTE_MARK, room.center().y));
            told.paint(ui, align, ink);
        }
        Ok(_) if sentence.tells_scope() => {
            let told = small(&sentence.scope(), room);
            if !told.is_cut() {
                told.paint(ui, align, ink);
            }
        }
        Ok(_) => {}
    }
}

fn write(ui: &egui::Ui, theme: &Theme, at: egui::Pos2, text: &str, ink: Color) {
    ui.painter().text(at, Align2::LEFT_CENTER, text, theme.body_font(), color(ink));
}
