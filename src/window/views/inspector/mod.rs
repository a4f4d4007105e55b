//! What is selected, the shaping sentences with their live preview, and the panel of breakpoints.

mod breakpoints;
pub mod facts;
pub mod field;
pub mod fields;
mod findings;
mod hold_buttons;
pub mod proposal_words;
mod row;
pub mod sentences;

use eframe::egui::{self, Rect, Role, ScrollArea, UiBuilder, WidgetInfo, pos2, vec2};

use crate::shaping::{SENTENCES, WhyNot};
use crate::window::kit::theme::color;
use crate::window::kit::theme::kit_sizes::LINE_GAP;
use crate::window::kit::theme::view_sizes::{
    FACT_HEIGHT, FACTS_WIDTH, INSPECTOR_BAR_WIDTH, INSPECTOR_HEADING, SENTENCES_GAP, TWO_LINES,
};
use crate::window::state::commands::Command;
use crate::window::state::inspector_state::{Proposal, Proposer};
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::ScreenMessage;
use crate::window::views::command_buttons::button;
use crate::window::views::view::View;
use row::Interest;
use sentences::sentences;

pub use breakpoints::insert_at_cursor;
pub use breakpoints::show as breakpoints_panel;

/// Where the inspector's parts are.
struct Places {
    facts: Rect,
    hold_buttons: Rect,
    sentences: Rect,
    findings: Rect,
    words: Rect,
}

impl Places {
    fn within(area: Rect, view: &View<'_>) -> Self {
        let theme = view.theme;
        let inner = Rect::from_min_max(
            area.min + vec2(theme.margin, theme.gap),
            area.max - vec2(theme.margin, theme.gap / 2.0),
        );
        let words = Rect::from_min_max(pos2(inner.left(), inner.bottom() - TWO_LINES), inner.max);
        let findings_bottom = words.top() - theme.gap / 2.0;
        let findings =
            Rect::from_x_y_ranges(inner.x_range(), findings_bottom - theme.sentence_height..=findings_bottom);
        let above = findings.top() - theme.gap;
        let left = inner.left() + FACTS_WIDTH;
        let buttons_top = above - theme.hold_button_height;
        Self {
            facts: Rect::from_min_max(inner.min, pos2(left, buttons_top - theme.gap)),
            hold_buttons: Rect::from_min_max(pos2(inner.left(), buttons_top), pos2(left, above)),
            sentences: Rect::from_min_max(
                pos2(left + SENTENCES_GAP, inner.top()),
                pos2(area.right() - theme.margin + INSPECTOR_BAR_WIDTH, above),
            ),
            findings,
            words,
        }
    }
}

/// The control that gets the focus when the keyboard reaches the sentences.
pub fn first_sentence() -> egui::Id {
    row::id(SENTENCES.first().map_or("", |sentence| sentence.key))
}

/// Draws the inspector.
pub fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let places = Places::within(ui.max_rect(), view);
    let mut part = ui.new_child(UiBuilder::new().max_rect(places.facts));
    show_facts(&mut part, view);
    hold_buttons::show(ui, view, outbox, places.hold_buttons);
    let mut part = ui.new_child(UiBuilder::new().max_rect(places.sentences));
    let pointed = show_sentences(&mut part, view, outbox);
    let mut part = ui.new_child(UiBuilder::new().max_rect(places.findings));
    findings::show(&mut part, view, outbox, places.findings);
    let mut part = ui.new_child(UiBuilder::new().max_rect(places.words));
    part.shrink_clip_rect(places.words);
    proposal_words::show(&mut part, view.theme, &proposal_words::of_inspector(view, pointed.as_ref()));
}

fn heading(ui: &mut egui::Ui, view: &View<'_>, text: &str) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), INSPECTOR_HEADING), egui::Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, text));
    let font = view.theme.heading_font();
    ui.painter().text(rect.min, egui::Align2::LEFT_TOP, text, font, color(view.theme.palette.ink));
}

fn show_facts(ui: &mut egui::Ui, view: &View<'_>) {
    ui.spacing_mut().item_spacing.y = 0.0;
    heading(ui, view, &facts::heading(view));
    ScrollArea::vertical().id_salt("facts").auto_shrink(false).show(ui, |ui| {
        for (line, fact) in facts::facts(view).iter().enumerate() {
            let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), FACT_HEIGHT), egui::Sense::hover());
            facts::show(ui, view, rect, fact, line);
        }
        facts::show_origins(ui, view);
    });
}

/// Draws the sentences and proposes the one that wants it most. Returns why that one cannot do anything, if so.
fn show_sentences(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) -> Option<WhyNot> {
    ui.spacing_mut().item_spacing.y = 0.0;
    let single = view.selection.cells.count() == 1;
    heading(ui, view, if single { "Shape it" } else { "Shape them" });
    ui.spacing_mut().item_spacing.y = LINE_GAP;
    let mut wanted = (Interest::None, None);
    let list = ScrollArea::vertical().id_salt("sentences").auto_shrink(false);
    list.show(ui, |ui| {
        ui.set_max_width(ui.available_width() - INSPECTOR_BAR_WIDTH);
        for sentence in sentences(view) {
            let interest = row::show(ui, view, outbox, &sentence);
            if interest > wanted.0 {
                wanted = (interest, Some(sentence.plan));
            }
        }
        button(ui, view, outbox, Command::Breakpoints, "Breakpoints\u{2026}");
    });
    let typed_badly = wanted.0 == Interest::Typed
        && view.screen.inspector.typing.as_ref().is_some_and(|(field, _)| field::fault(view, *field).is_some());
    let (plan, refusal) = match wanted.1 {
        Some(Ok(proposal)) if !typed_badly => (Some(proposal), None),
        Some(Err(refusal)) => (None, Some(refusal)),
        _ => (None, None),
    };
    propose(view, outbox, Proposer::Sentence, plan);
    refusal
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
