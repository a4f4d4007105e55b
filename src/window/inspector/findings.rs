//! What the checks noticed at the selected cells, with the remedies, previewed like the sentences.

use eframe::egui::{self, Align, Rect, Role, Sense, Stroke, StrokeKind, WidgetInfo, pos2, vec2};

use super::tip_beside;
use crate::checks::{Cure, Finding, check};
use crate::window::checking::Outcome;
use crate::window::frame::marks;
use crate::window::sheets::checks::{FindingKey, cure};
use crate::window::theme::{color, elided, severity_ink};
use crate::window::{Outbox, View};
use crate::wording::capital;

/// Distance of text from an edge, as in the sentences.
const PADDING: f32 = 8.0;
/// A triangle, and the room it takes.
const MARK: egui::Vec2 = vec2(11.0, 10.0);
const MARK_ROOM: f32 = 18.0;

/// Draws a line for each finding at the selected cells and a button for its remedy; the remedy that is pointed at is
/// carried out for show.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let table = view.document.project().advance.table();
    let mut wanted = None;
    for finding in view.checked.at(table, &view.screen.selection.cells) {
        headline(ui, view, finding);
        let Some(cure) = &finding.cure else { continue };
        if remedy(ui, view, finding, cure, outbox) {
            wanted = Some(cure);
        }
    }
    if view.screen.checks.proposed.as_ref() != wanted {
        let wanted = wanted.cloned();
        outbox.screen(move |screen| screen.checks.proposed = wanted);
    }
}

/// The shape of its severity and what was found, cut; the tooltip has all of it.
fn headline(ui: &mut egui::Ui, view: &View<'_>, finding: &Finding) {
    let theme = view.theme;
    let palette = theme.palette;
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), theme.sentence_height - 4.0), Sense::hover());
    let id = egui::Id::unique(("finding at the selection", FindingKey::of(finding)));
    let response = ui.interact(rect, id, Sense::hover());
    let words = format!("{}: {}", capital(finding.severity.name()), finding.message);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    let mark = Rect::from_center_size(pos2(rect.left() + MARK.x / 2.0 + 1.0, rect.center().y), MARK);
    let ink = severity_ink(theme, finding.severity);
    ui.painter().add(marks::severity(mark, finding.severity, color(ink)));
    let title = check(finding.id).map_or(finding.id, |check| check.title);
    let line = Rect::from_min_max(pos2(rect.left() + MARK_ROOM, rect.top()), rect.max);
    elided(ui, line, title, theme.small_font()).paint(ui, Align::Min, color(palette.ink));
    tip_beside(&response, rect, format!("{}.\n{}\n{}", capital(&finding.message), finding.why, finding.remedy));
}

/// The button of a remedy; says whether it is pointed at or has the keyboard.
fn remedy(ui: &mut egui::Ui, view: &View<'_>, finding: &Finding, of: &Cure, outbox: &mut Outbox) -> bool {
    let theme = view.theme;
    let palette = theme.palette;
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), theme.sentence_height), Sense::hover());
    let id = egui::Id::unique(("remedy at the selection", FindingKey::of(finding)));
    let response = ui.interact(rect, id, Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &of.label));
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    let is_over = ui.rect_contains_pointer(rect);
    let fill = match () {
        () if response.is_pointer_button_down_on() => palette.field_pressed,
        () if is_over => palette.field_hover,
        () => palette.field,
    };
    let stroke = if response.has_focus() { (2.0, palette.ink) } else { (1.0, palette.rule_strong) };
    let stroke = Stroke::new(stroke.0, color(stroke.1));
    ui.painter().rect(rect, f32::from(theme.radius), color(fill), stroke, StrokeKind::Inside);
    let room = rect.shrink2(vec2(PADDING, 0.0));
    elided(ui, room, short(of), theme.body_font()).paint(ui, Align::Min, color(palette.ink));
    tip_beside(&response, rect, tip(view, of));
    let is_wanted = is_over || response.has_focus();
    if response.clicked() {
        cure(view, outbox, of);
    }
    is_wanted
}

/// What the button has room for: the place is on the screen already.
fn short(cure: &Cure) -> &str {
    let ends = [" at ", " from the neighbours"].map(|words| cure.label.find(words));
    let end = ends.into_iter().flatten().min();
    end.and_then(|end| cure.label.get(..end)).unwrap_or(&cure.label)
}

fn tip(view: &View<'_>, of: &Cure) -> String {
    let outcome = view.cured.filter(|cured| cured.cure == *of).map(|cured| &cured.outcome);
    match outcome {
        Some(Outcome::Done(_, tally)) => format!("{}. Then: {}.", of.label, tally.words()),
        Some(Outcome::Refused(reason)) => format!("{}. Not now: {reason}.", of.label),
        Some(Outcome::Working) | None => format!("{}.", of.label),
    }
}
