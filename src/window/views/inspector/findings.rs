//! What the checks found at the selected cells, one finding at a time, with its remedy, which is previewed like
//! the sentences. It has a place of its own, so that nothing moves when findings come and go.

use eframe::egui::{self, Align, Rect, Role, Sense, Stroke, StrokeKind, WidgetInfo, pos2, vec2};

use super::field::{tip_beside, to_the_edge};
use crate::checks::{Cure, Finding, check};
use crate::window::kit::marks;
use crate::window::kit::theme::kit_sizes::{HAIRLINE, MARK};
use crate::window::kit::theme::view_sizes::{
    FOUND_MARK_ROOM, FOUND_REMEDY, FOUND_TITLE, NEXT_FINDING_WIDTH, SENTENCE_PADDING,
};
use crate::window::kit::theme::{color, elided, hairline, severity_ink};
use crate::window::state::checks_state::{ChecksMessage, FindingKey};
use crate::window::state::inspector_state::InspectorMessage;
use crate::window::state::outbox::{Action, Outbox};
use crate::window::tasks::checking::Outcome;
use crate::window::views::view::View;
use crate::wording::capital;

/// Draws it into its place; the remedy that is pointed at is previewed.
pub(in crate::window) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, place: Rect) {
    let wanted = show_one(ui, view, outbox, place);
    if view.screen.checks.proposed.as_ref() != wanted {
        outbox.send(ChecksMessage::Propose(wanted.cloned()));
    }
}

/// Draws a finding, its remedy below it and where there is room its message; returns the remedy that is pointed at.
fn show_one<'a>(ui: &mut egui::Ui, view: &View<'a>, outbox: &mut Outbox, place: Rect) -> Option<&'a Cure> {
    let title = place.with_max_y(place.top() + FOUND_TITLE);
    let (table, cells) = (view.settled().advance.table(), &view.selection.cells);
    let here: Vec<&Finding> = view.checked.at(table, cells).collect();
    let shown = view.screen.inspector.finding.as_ref();
    let at = shown.and_then(|(key, _)| here.iter().position(|finding| key.is_of(finding)));
    // A finding that is gone keeps its place while the pointer is there: a second click must not carry out
    // another remedy.
    let is_gone = at.is_none() && shown.is_some_and(|(_, of)| of == cells) && ui.rect_contains_pointer(place);
    if is_gone {
        say(ui, view, title, "Done: no longer found here");
        return None;
    }
    let at = at.unwrap_or(0);
    let Some(&finding) = here.get(at) else {
        let words = if view.checked.is_known() { "No findings at these cells" } else { "Checking\u{2026}" };
        say(ui, view, title, words);
        if shown.is_some() {
            outbox.send(InspectorMessage::Show(None));
        }
        return None;
    };
    if !shown.is_some_and(|(key, of)| key.is_of(finding) && of == cells) {
        turn_to(view, outbox, finding);
    }
    headline(ui, view, finding, title.with_max_x(title.right() - NEXT_FINDING_WIDTH));
    if here.len() > 1
        && next(ui, view, title.with_min_x(title.right() - NEXT_FINDING_WIDTH), (at, here.len()))
        && let Some(other) = here.get((at + 1) % here.len())
    {
        turn_to(view, outbox, other);
    }
    let below = place.with_min_y(title.bottom());
    let button = below.with_max_y(below.top() + FOUND_REMEDY);
    message(ui, view, finding, below.with_min_y(button.bottom() + view.theme.gap));
    let of = finding.cure.as_ref()?;
    remedy(ui, view, of, button, outbox).then_some(of)
}

/// The message of a finding in full, if there is room for it.
fn message(ui: &egui::Ui, view: &View<'_>, finding: &Finding, room: Rect) {
    let theme = view.theme;
    let ink = color(theme.palette.ink_secondary);
    let words = format!("{}.", capital(&finding.message));
    let galley = ui.painter().layout(words, theme.small_font(), ink, room.width());
    if galley.size().y <= room.height() {
        ui.painter().galley(room.min, galley, ink);
    }
}

/// Shows a finding until another is asked for or other cells are selected.
fn turn_to(view: &View<'_>, outbox: &mut Outbox, finding: &Finding) {
    let shown = (FindingKey::of(finding), view.selection.cells.clone());
    outbox.send(InspectorMessage::Show(Some(shown)));
}

/// Says that there is nothing.
fn say(ui: &egui::Ui, view: &View<'_>, title: Rect, words: &str) {
    let theme = view.theme;
    elided(ui, title, words, theme.small_font()).paint(ui, Align::Min, color(theme.palette.ink_secondary));
    let response = ui.interact(title, egui::Id::unique("no finding at the selection"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words));
}

/// The shape of its severity and its title; the tooltip has the message in full.
fn headline(ui: &egui::Ui, view: &View<'_>, finding: &Finding, rect: Rect) {
    let theme = view.theme;
    let palette = theme.palette;
    let id = egui::Id::unique(("finding at the selection", FindingKey::of(finding)));
    let response = ui.interact(rect, id, Sense::hover());
    let words = format!("{}: {}", capital(finding.severity.name()), finding.message);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    let mark = Rect::from_center_size(pos2(rect.left() + MARK.x / 2.0 + HAIRLINE, rect.center().y), MARK);
    let ink = severity_ink(theme, finding.severity);
    ui.painter().add(marks::severity(mark, finding.severity, color(ink)));
    let title = check(finding.id).map_or(finding.id, |check| check.title);
    let line = rect.with_min_x(rect.left() + FOUND_MARK_ROOM);
    elided(ui, line, title, theme.small_font()).paint(ui, Align::Min, color(palette.ink));
    tip_beside(&response, to_the_edge(rect), format!("{}.\n{}\n{}", words, finding.why, finding.remedy));
}

/// The button that switches to the next finding here.
fn next(ui: &egui::Ui, view: &View<'_>, rect: Rect, (at, count): (usize, usize)) -> bool {
    let response = ui.interact(rect, egui::Id::unique("next finding at the selection"), Sense::click());
    let name = format!("Finding {} of {count} at the selection: show the next", at + 1);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    let (theme, palette) = (view.theme, view.theme.palette);
    let is_lit = response.hovered() || response.has_focus();
    let ink = color(if is_lit { palette.ink } else { palette.ink_secondary });
    let words = format!("{} of {count}", at + 1);
    let written = ui.painter().text(rect.right_center(), egui::Align2::RIGHT_CENTER, words, theme.small_font(), ink);
    if is_lit {
        ui.painter().hline(written.x_range(), written.bottom(), hairline(ink));
    }
    response.on_hover_text(name).clicked()
}

/// The button of a remedy; returns whether it is pointed at or has the keyboard focus.
fn remedy(ui: &egui::Ui, view: &View<'_>, of: &Cure, rect: Rect, outbox: &mut Outbox) -> bool {
    let theme = view.theme;
    let palette = theme.palette;
    let id = egui::Id::unique(("remedy at the selection", &of.label));
    let response = ui.interact(rect, id, Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &of.label));
    let is_over = ui.rect_contains_pointer(rect);
    let fill = match () {
        () if response.is_pointer_button_down_on() => palette.field_pressed,
        () if is_over => palette.field_hover,
        () => palette.field,
    };
    let stroke = if response.has_focus() { (2.0, palette.ink) } else { (1.0, palette.rule_strong) };
    let stroke = Stroke::new(stroke.0, color(stroke.1));
    ui.painter().rect(rect, f32::from(theme.radius), color(fill), stroke, StrokeKind::Inside);
    let room = rect.shrink2(vec2(SENTENCE_PADDING, 0.0));
    let ink = color(palette.ink);
    let words = elided(ui, room, brief(of), theme.body_font());
    if words.is_cut() {
        // On two lines of smaller type.
        let galley = ui.painter().layout(brief(of), theme.small_font(), ink, room.width());
        let at = room.left_center() - vec2(0.0, galley.size().y / 2.0);
        ui.painter().with_clip_rect(rect).galley(at, galley, ink);
    } else {
        words.paint(ui, Align::Min, ink);
    }
    tip_beside(&response, to_the_edge(rect), tip(view, of));
    let is_wanted = is_over || response.has_focus();
    if response.clicked() {
        outbox.send(Action::Cure(of.clone()));
    }
    is_wanted
}

/// The label without what the finding next to it already says, so that the place comes early: 'Fair 3800 rpm,
/// 18 %'.
fn brief(cure: &Cure) -> String {
    let label = cure.label.replacen(" from the neighbours", "", 1);
    label.replacen(" 1 cell at", "", 1)
}

fn tip(view: &View<'_>, of: &Cure) -> String {
    let outcome = view.cured.filter(|cured| cured.cure == *of).map(|cured| &cured.outcome);
    match outcome {
        Some(Outcome::Done(_, tally)) => format!("{}. Then: {}.", of.label, tally.words()),
        Some(Outcome::Refused(reason)) => format!("{}. Not now: {reason}.", of.label),
        Some(Outcome::Working) | None => format!("{}.", of.label),
    }
}
