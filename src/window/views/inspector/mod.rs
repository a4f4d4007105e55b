//! What is selected, the shaping sentences with their live preview, and the panel of breakpoints.

mod breakpoints;
pub mod facts;
mod fairing;
pub mod field;
pub mod fields;
mod findings;
pub(in crate::window) mod fit_words;
mod hold_buttons;
mod list;
pub mod proposal_words;
mod row;
pub mod sentences;

use eframe::egui::{self, Align, Align2, Id, Layout, Rect, Role, ScrollArea, UiBuilder, WidgetInfo, pos2, vec2};

use crate::shaping::{Group, SENTENCES, WhyNot};
use crate::window::kit::theme::kit_sizes::HAIRLINE;
use crate::window::kit::theme::view_sizes::{
    FACT_HEIGHT, FACTS, FACTS_IF_LOW, FOUND_MESSAGE, FOUND_REMEDY, FOUND_TITLE, INSPECTOR_BAR_WIDTH, INSPECTOR_HEADING,
    INSPECTOR_MARGIN, LOW_INSPECTOR, TWO_LINES,
};
use crate::window::kit::theme::{color, hairline, strong_text};
use crate::window::state::checks_state::ChecksMessage;
use crate::window::state::commands::Command;
use crate::window::state::inspector_state::{Proposal, Proposer};
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::ScreenMessage;
use crate::window::views::surface::quiet_button;
use crate::window::views::view::View;
use list::{Item, List};
use row::Interest;
use sentences::{SentenceNow, sentences};

pub use breakpoints::insert_at_cursor;
pub use breakpoints::show as breakpoints_panel;
pub use fairing::show as fairing_panel;

/// Where the inspector's parts are: fixed by its size, so that nothing moves when a result arrives.
struct Places {
    heading: Rect,
    facts: Rect,
    hold_buttons: Rect,
    sentences: Rect,
    words: Rect,
    findings: Rect,
}

impl Places {
    /// The places in an area; `list` is the height of all sentences in a given room.
    fn within(area: Rect, view: &View<'_>, list: impl Fn(f32) -> f32) -> Self {
        let theme = view.theme;
        let inner = area.shrink2(vec2(INSPECTOR_MARGIN, theme.gap));
        let mut top = inner.top();
        let mut take = |height: f32, below: f32| {
            let rect = Rect::from_x_y_ranges(inner.x_range(), top..=top + height);
            top += height + below;
            rect
        };
        let heading = take(INSPECTOR_HEADING.max(theme.small_target), 0.0);
        let facts = take(FACT_HEIGHT * facts_shown(area) as f32, theme.gap);
        let hold_buttons = take(theme.hold_button_height, theme.gap);
        let found = FOUND_TITLE + FOUND_REMEDY;
        let room = inner.bottom() - hold_buttons.bottom() - 3.0 * theme.gap - TWO_LINES - found;
        let sentences = take(list(room).min(room), 0.0);
        let words = take(TWO_LINES, 2.0 * theme.gap);
        let left = (inner.bottom() - words.bottom() - 2.0 * theme.gap - found).clamp(0.0, FOUND_MESSAGE);
        let findings = take(found + left, 0.0);
        Self { heading, facts, hold_buttons, sentences, words, findings }
    }
}

/// How many lines of facts an inspector has.
fn facts_shown(area: Rect) -> usize {
    if area.height() < LOW_INSPECTOR { FACTS_IF_LOW } else { FACTS }
}

/// The control that gets the focus when the keyboard reaches the sentences.
pub fn first_sentence() -> Id {
    row::id(SENTENCES.first().map_or("", |sentence| sentence.key))
}

/// Draws the inspector.
pub fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let area = ui.max_rect();
    let rule = hairline(color(view.theme.palette.rule));
    ui.painter().vline(area.left() + 0.5, area.y_range(), rule);
    let sentences = sentences(view);
    let width = area.width() - 2.0 * INSPECTOR_MARGIN;
    let places = Places::within(area, view, |room| List::new(ui, view, &sentences, width, room).height());
    show_heading(ui, view, outbox, places.heading);
    show_facts(ui, view, places.facts);
    hold_buttons::show(ui, view, outbox, places.hold_buttons);
    let pointed = show_sentences(ui, view, outbox, &sentences, places.sentences);
    let mut part = ui.new_child(UiBuilder::new().max_rect(places.words));
    part.shrink_clip_rect(places.words);
    proposal_words::show(&mut part, view.theme, &proposal_words::of_inspector(view, pointed.as_ref()));
    ui.painter().hline(places.findings.x_range(), places.findings.top() - view.theme.gap, rule);
    let mut part = ui.new_child(UiBuilder::new().max_rect(places.findings));
    findings::show(&mut part, view, outbox, places.findings);
}

/// Ends the previews of an inspector that is not shown.
pub fn leave(view: &View<'_>, outbox: &mut Outbox) {
    propose(view, outbox, Proposer::Sentence, None);
    if view.screen.checks.proposed.is_some() {
        outbox.send(ChecksMessage::Propose(None));
    }
}

/// How many cells are selected, and at the right end the way to their breakpoints.
fn show_heading(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    let theme = view.theme;
    let text = facts::heading(view);
    let response = ui.interact(rect, Id::unique("inspector heading"), egui::Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &text));
    let ink = color(theme.palette.ink);
    strong_text(ui.painter(), rect.left_center(), Align2::LEFT_CENTER, text, theme.heading_font(), ink);
    let layout = Layout::right_to_left(Align::Center);
    let mut part = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout));
    way(&mut part, view, outbox, Command::Breakpoints, ["breakpoints\u{2026}", "Breakpoints\u{2026}"]);
}

/// Words that lead to a panel.
fn way(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, command: Command, [text, name]: [&str; 2]) {
    let tooltip = view.keys.tooltip(command);
    if quiet_button(ui, view.theme, text, name, false, &tooltip).clicked() {
        outbox.run(command);
    }
}

fn show_facts(ui: &egui::Ui, view: &View<'_>, area: Rect) {
    let facts = facts::facts(view);
    let lines = (area.height() / FACT_HEIGHT).round();
    for (line, fact) in facts.iter().enumerate().take_while(|(line, _)| (*line as f32) < lines) {
        let top = area.top() + FACT_HEIGHT * line as f32;
        facts::show(ui, view, Rect::from_x_y_ranges(area.x_range(), top..=top + FACT_HEIGHT), fact, line);
    }
}

/// Draws the sentences and proposes the one that wants it most. Returns why that one cannot do anything, if so.
fn show_sentences(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    sentences: &[SentenceNow],
    area: Rect,
) -> Option<WhyNot> {
    let list = List::new(ui, view, sentences, area.width(), area.height());
    let (whole, width) = (list.height(), area.width());
    let mut part = ui.new_child(UiBuilder::new().max_rect(area));
    let wanted = if whole <= area.height() + 0.5 {
        show_list(&mut part, view, outbox, sentences, &list.items(width), area.min)
    } else {
        // Only whole lines are seen, until it is scrolled.
        let width = width - INSPECTOR_BAR_WIDTH;
        let list = List::new(&part, view, sentences, width, 0.0);
        let height = list.whole_lines(area.height());
        let scroll = ScrollArea::vertical().id_salt("sentences").auto_shrink(false).max_height(height);
        let shown = scroll.min_scrolled_height(height).show(&mut part, |ui| {
            let (rect, _) = ui.allocate_exact_size(vec2(width, list.height()), egui::Sense::hover());
            show_list(ui, view, outbox, sentences, &list.items(width), rect.min)
        });
        shown.inner
    };
    let typed_badly = wanted.0 == Interest::Typed
        && view.screen.inspector.typing.as_ref().is_some_and(|(field, _)| field::fault(view, *field).is_some());
    let (plan, refusal) = match wanted.1.and_then(|at| sentences.get(at)).map(|sentence| &sentence.plan) {
        Some(Ok(proposal)) if !typed_badly => (Some(proposal.clone()), None),
        Some(Err(refusal)) => (None, Some(*refusal)),
        _ => (None, None),
    };
    propose(view, outbox, Proposer::Sentence, plan);
    refusal
}

/// Draws the items of the list; returns the sentence that wants its preview most.
fn show_list(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    sentences: &[SentenceNow],
    items: &[Item],
    origin: egui::Pos2,
) -> (Interest, Option<usize>) {
    let mut wanted = (Interest::None, None);
    for item in items {
        match item {
            Item::Caption(group, place) => caption(ui, view, outbox, *group, place.translate(origin.to_vec2())),
            Item::Sentence(at, place, is_tall) => {
                let Some(sentence) = sentences.get(*at) else { continue };
                let place = place.translate(origin.to_vec2());
                let interest = row::show(ui, view, outbox, sentence, place, *is_tall);
                if interest > wanted.0 {
                    wanted = (interest, Some(*at));
                }
            }
        }
    }
    wanted
}

/// The name of a group, with a rule to the right edge; that of fairing leads to its demands.
fn caption(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, group: Group, rect: Rect) {
    let theme = view.theme;
    let response = ui.interact(rect, Id::unique(("group of sentences", group.name())), egui::Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Heading, true, group.name()));
    let ink = color(theme.palette.ink_secondary);
    let at = pos2(rect.left(), rect.center().y);
    let written = ui.painter().text(at, Align2::LEFT_CENTER, group.name(), theme.small_font(), ink);
    let mut end = rect.right();
    if group == Group::Fair {
        let layout = Layout::right_to_left(Align::Center);
        let mut part = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout).id_salt("demands"));
        way(&mut part, view, outbox, Command::Fairing, ["demands\u{2026}", "Fair under demands\u{2026}"]);
        end = part.min_rect().left() - theme.gap;
    }
    let line = written.right() + theme.gap..=end;
    let y = ui.painter().round_to_pixel_center(rect.center().y + HAIRLINE);
    ui.painter().hline(line, y, hairline(color(theme.palette.rule)));
}

/// Requests a preview, or its end, if that is a change.
fn propose(view: &View<'_>, outbox: &mut Outbox, by: Proposer, proposal: Option<Proposal>) {
    let screen = view.screen;
    let own_settled = screen.proposals.settled.as_ref().filter(|settled| settled.by == by);
    let own_preview = screen.proposals.shown.as_ref().filter(|preview| preview.by == by);
    let is_new = match &proposal {
        Some(proposal) => own_settled != Some(proposal) && own_preview != Some(proposal),
        None => own_settled.is_some() || own_preview.is_some(),
    };
    if is_new {
        outbox.send(ScreenMessage::Propose(by, proposal));
    }
}
