//! The thresholds of every check and of timing sweeps, which can be changed and reset.

use std::cell::RefCell;
use std::sync::Arc;

use eframe::egui::{
    self, Align, DragValue, Galley, Label, Layout, RichText, Role, ScrollArea, Sense, WidgetInfo, pos2, vec2,
};

use crate::checks::{CHECKS, Finding, NO_REASON, Threshold};
use crate::project::{Looser, Project};
use crate::window::kit::slider::is_given_up;
use crate::window::kit::theme::engine_sheet_sizes::CHECKS_SIZES;
use crate::window::kit::theme::kit_sizes::TIGHT_GAP;
use crate::window::kit::theme::{color, strong_label};
use crate::window::state::checks_state::{ChecksMessage, Relaxing};
use crate::window::state::edits::DocumentEdit;
use crate::window::state::outbox::{Action, Outbox};
use crate::window::views::form::read;
use crate::window::views::view::View;
use crate::wording::{given, quantity, rounded, with_unit};
use crate::worksheet::SWEEP_THRESHOLDS;

/// One pixel of a drag changes a threshold by this share of its default.
const DRAG_SHARE: f64 = 0.01;

/// Draws the heading and the list; the check of the finding shown in detail is emphasised, and scrolled into view when
/// one is chosen.
pub(super) fn show(
    ui: &mut egui::Ui,
    view: &View<'_>,
    looked_at: Option<&Finding>,
    scrolled_to: &mut Option<&'static str>,
    outbox: &mut Outbox,
) {
    ui.horizontal(|ui| {
        ui.set_height(view.theme.heading_line);
        strong_label(ui, "Thresholds", view.theme.heading_font());
        let own = view.document.project().checks.thresholds.len();
        let words = if own == 0 { "all as they come".to_owned() } else { format!("{own} of this project's own") };
        let weak = color(view.theme.palette.ink_secondary);
        ui.add(Label::new(RichText::new(words).size(view.theme.small).color(weak)).selectable(false));
    });
    ScrollArea::vertical().id_salt("thresholds").auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        for check in CHECKS.iter().filter(|check| !check.thresholds.is_empty()) {
            let is_meant = looked_at.is_some_and(|finding| finding.id == check.id);
            let shown = ui.scope(|ui| {
                name(ui, view, (check.title, check.reason), is_meant);
                lines(ui, view, check.thresholds, outbox);
            });
            let is_chosen = is_meant && view.screen.checks.looked_at.is_some();
            if is_chosen && *scrolled_to != Some(check.id) {
                *scrolled_to = Some(check.id);
                shown.response.scroll_to_me(None);
            }
        }
        name(ui, view, OF_SWEEPS, false);
        lines(ui, view, SWEEP_THRESHOLDS, outbox);
    });
}

/// What sweeps are judged by, and why it matters.
const OF_SWEEPS: (&str, &str) = (
    "Timing sweeps",
    "Which readings are one point, what is told of them, and how far below knock the advance to use stays.",
);

fn name(ui: &mut egui::Ui, view: &View<'_>, (title, reason): (&str, &str), is_meant: bool) {
    ui.add_space(view.theme.gap);
    if is_meant {
        strong_label(ui, title, view.theme.small_font());
        return;
    }
    let text = RichText::new(title).size(view.theme.small).color(color(view.theme.palette.ink_secondary));
    ui.add(Label::new(text).truncate().selectable(false)).on_hover_text(reason);
}

fn lines(ui: &mut egui::Ui, view: &View<'_>, thresholds: &'static [Threshold], outbox: &mut Outbox) {
    for threshold in thresholds {
        line(ui, view, threshold, outbox);
        reason(ui, view, threshold, outbox);
    }
}

fn line(ui: &mut egui::Ui, view: &View<'_>, threshold: &'static Threshold, outbox: &mut Outbox) {
    let room = ui.available_width()
        - CHECKS_SIZES.field_width
        - CHECKS_SIZES.reset_width
        - 2.0 * view.theme.gap
        - CHECKS_SIZES.bar_width;
    let name = label(ui, view, threshold.label, room);
    let height = CHECKS_SIZES.line_height.max(name.size().y + 2.0 * TIGHT_GAP).max(ui.spacing().interact_size.y);
    ui.horizontal(|ui| {
        ui.set_height(height);
        let (rect, response) = ui.allocate_exact_size(vec2(room, height), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, threshold.label));
        let at = pos2(rect.left(), rect.center().y - name.size().y / 2.0);
        ui.painter().galley(at, name, color(view.theme.palette.ink));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(CHECKS_SIZES.bar_width);
            reset(ui, view, threshold, outbox);
            field(ui, view, threshold, outbox);
        });
    });
}

/// The name of a threshold, never cut: on two lines of small text if one line has no room.
fn label(ui: &egui::Ui, view: &View<'_>, text: &str, room: f32) -> Arc<Galley> {
    let (theme, ink) = (view.theme, color(view.theme.palette.ink));
    let line = ui.painter().layout_no_wrap(text.to_owned(), theme.body_font(), ink);
    let fits = line.size().x <= room;
    if fits { line } else { ui.painter().layout(text.to_owned(), theme.small_font(), ink, room) }
}

fn field(ui: &mut egui::Ui, view: &View<'_>, threshold: &'static Threshold, outbox: &mut Outbox) {
    let project = view.document.project();
    let mut value = shown(view, threshold);
    let unit = threshold.unit_in(project);
    let suffix = with_unit("", unit);
    let refused = RefCell::new(None);
    let drag = DragValue::new(&mut value)
        .range(threshold.low..=threshold.high)
        .speed(threshold.default.abs().max(1.0) * DRAG_SHARE)
        .custom_formatter(|value, _| given(value, unit))
        .custom_parser(|text| read(text, unit).map_err(|why| refused.replace(Some(why))).ok())
        .update_while_editing(false)
        .suffix(suffix);
    let response = ui.add_sized(vec2(CHECKS_SIZES.field_width, ui.spacing().interact_size.y), drag);
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(Role::SpinButton, true, threshold.label);
        info.value = Some(value);
        info
    });
    let is_given_up = is_given_up(ui, &response);
    if let Some(why) = refused.into_inner().filter(|_| !is_given_up) {
        outbox.complain(format!("{}: {why}", threshold.label));
    }
    if response.changed() && !is_given_up {
        changed(view, threshold, rounded(value, 2), response.dragged(), outbox);
    }
    if response.drag_stopped() {
        outbox.end_drag();
    }
    let default = quantity(threshold.default, unit);
    let side = match threshold.looser {
        Looser::Above => "More",
        Looser::Below => "Less",
    };
    response.on_hover_text(format!(
        "{}; {default} unless changed. {side} lets more pass and needs a reason. Drag, or click to type.",
        threshold.label
    ));
}

/// Sets the threshold at once if it lets no more pass than before; otherwise the reason is asked for first. A drag counts
/// from where it began.
pub(super) fn changed(
    view: &View<'_>,
    threshold: &'static Threshold,
    value: f64,
    is_dragged: bool,
    outbox: &mut Outbox,
) {
    let start = before_drag(view);
    let reason = reason_in(start, threshold);
    let asks =
        threshold.is_relaxed_at(value) && (threshold.is_looser(value, threshold.of(start)) || reason.trim().is_empty());
    if asks {
        if is_dragged && view.document.gesture_open() {
            put_back(threshold, start, outbox);
        }
        let (reason, is_new) =
            relaxing(view, threshold).map_or((reason, true), |asked| (asked.reason.clone(), asked.is_new));
        let asked = Relaxing { name: threshold.name, value, reason, is_new };
        outbox.send(ChecksMessage::Relax(Some(asked)));
        return;
    }
    forget(view, threshold, outbox);
    let label = threshold.set(start, value, &reason).map_or_else(|_| threshold.label.into(), |(_, label)| label);
    let edit = DocumentEdit::SetThreshold(threshold, value, reason);
    if is_dragged {
        outbox.drag_edit(label, edit);
    } else {
        outbox.edit(label, edit);
    }
}

/// The project as the history has it, without the drag that is going on.
fn before_drag<'a>(view: &View<'a>) -> &'a Project {
    let document = view.document;
    document.steps().get(document.current_step()).map_or_else(|| document.project(), |step| &step.project)
}

fn reason_in(project: &Project, threshold: &Threshold) -> String {
    project.checks.threshold_reasons.get(threshold.name).cloned().unwrap_or_default()
}

/// Leaves the threshold as it was before the drag: until the reason is given, nothing of it is a step.
fn put_back(threshold: &'static Threshold, start: &Project, outbox: &mut Outbox) {
    let (value, reason) = (threshold.of(start), reason_in(start, threshold));
    match threshold.set(start, value, &reason) {
        Ok((_, label)) => outbox.drag_edit(label, DocumentEdit::SetThreshold(threshold, value, reason)),
        // Older files may have no reason for it.
        Err(_) => outbox.send(Action::DragCancel),
    }
}

/// The value to show: the one that it is about to get while a reason is asked for, otherwise the present one.
pub(super) fn shown(view: &View<'_>, threshold: &Threshold) -> f64 {
    relaxing(view, threshold).map_or_else(|| threshold.of(view.document.project()), |asked| asked.value)
}

/// The value that the threshold is about to get while its reason is asked for.
fn relaxing<'a>(view: &View<'a>, threshold: &Threshold) -> Option<&'a Relaxing> {
    view.screen.checks.relaxing.as_ref().filter(|asked| asked.name == threshold.name)
}

/// Asks no longer why the threshold may let more pass.
pub(super) fn forget(view: &View<'_>, threshold: &Threshold, outbox: &mut Outbox) {
    if relaxing(view, threshold).is_some() {
        outbox.send(ChecksMessage::Relax(None));
    }
}

/// Below a threshold that lets more pass: its reason, or the question for it.
fn reason(ui: &mut egui::Ui, view: &View<'_>, threshold: &'static Threshold, outbox: &mut Outbox) {
    let project = view.document.project();
    if let Some(asked) = relaxing(view, threshold) {
        ask(ui, view, threshold, asked, outbox);
        return;
    }
    if !threshold.is_relaxed_at(threshold.of(project)) {
        return;
    }
    let reason = project.checks.threshold_reasons.get(threshold.name).map(|reason| reason.trim());
    let words = format!("Reason: {}", reason.filter(|reason| !reason.is_empty()).unwrap_or(NO_REASON));
    let text = RichText::new(&words).size(view.theme.small).color(color(view.theme.palette.ink_secondary));
    ui.add(Label::new(text).wrap().selectable(false));
}

/// The reason, while it is typed. Enter relaxes the limit, Esc cancels.
fn ask(ui: &mut egui::Ui, view: &View<'_>, threshold: &'static Threshold, asked: &Relaxing, outbox: &mut Outbox) {
    let mut text = asked.reason.clone();
    let to = quantity(asked.value, threshold.unit_in(view.document.project()));
    let field = egui::TextEdit::singleline(&mut text)
        .id(egui::Id::unique("reason to relax"))
        .hint_text(format!("Why {to} may pass"))
        .align(egui::Align2::LEFT_CENTER)
        .desired_width(ui.available_width() - CHECKS_SIZES.bar_width - view.theme.gap);
    let response = ui.add(field);
    response.widget_info(|| {
        let mut info = WidgetInfo::text_edit(true, &asked.reason, &text, "");
        info.label = Some(format!("Reason to relax {}", threshold.label));
        info
    });
    if asked.is_new && ui.ctx().dragged_id().is_none() {
        response.request_focus();
        outbox.send(ChecksMessage::SeeRelaxing);
    }
    if response.changed() {
        outbox.send(ChecksMessage::TypeRelaxReason(text.clone()));
    }
    let key = |key: egui::Key| response.lost_focus() && ui.input(|input| input.key_pressed(key));
    let (entered, given_up) = (key(egui::Key::Enter), key(egui::Key::Escape));
    let has_reason = !text.trim().is_empty();
    ui.horizontal(|ui| {
        ui.set_height(CHECKS_SIZES.line_height);
        let relax = ui.add_enabled(has_reason, egui::Button::new(format!("Relax to {to}")));
        let relax = relax.on_hover_text("Let more pass, for this reason (Enter). It is told beside the findings.");
        let relax = relax.on_disabled_hover_text("Write a reason first.");
        let cancel = ui.button("Cancel").on_hover_text("Leave the limit as it is (Esc).");
        if relax.clicked() || entered && has_reason {
            forget(view, threshold, outbox);
            let (value, reason) = (asked.value, text.clone());
            let label = threshold.set(view.document.project(), value, &reason);
            let label = label.map_or_else(|_| threshold.label.into(), |(_, label)| label);
            outbox.edit(label, DocumentEdit::SetThreshold(threshold, value, reason));
        } else if cancel.clicked() || given_up {
            forget(view, threshold, outbox);
        }
    });
}

fn reset(ui: &mut egui::Ui, view: &View<'_>, threshold: &'static Threshold, outbox: &mut Outbox) {
    let is_own = view.document.project().checks.thresholds.contains_key(threshold.name);
    let default = quantity(threshold.default, threshold.unit_in(view.document.project()));
    let size = vec2(CHECKS_SIZES.reset_width, ui.spacing().interact_size.y);
    let response = ui.add_enabled_ui(is_own, |ui| ui.add_sized(size, egui::Button::new("reset")));
    let response = response.inner;
    response.widget_info(|| WidgetInfo::labeled(Role::Button, is_own, format!("Reset {}", threshold.label)));
    let response = response.on_hover_text(format!("Back to {default}."));
    let response = response.on_disabled_hover_text(format!("It is {default}, as it comes."));
    if response.clicked() {
        forget(view, threshold, outbox);
        let label = threshold.set(view.document.project(), threshold.default, "");
        let label = label.map_or_else(|_| threshold.label.into(), |(_, label)| label);
        outbox.edit(label, DocumentEdit::SetThreshold(threshold, threshold.default, String::new()));
    }
}

#[cfg(test)]
mod tests {
    use crate::drawing::Look;
    use crate::lettering::wrapped;
    use crate::project::THRESHOLDS;
    use crate::window::kit::theme::Theme;
    use crate::window::kit::theme::engine_sheet_sizes::CHECKS_SIZES;

    /// Names that were cut looked alike; none is cut in the narrowest column.
    #[test]
    fn every_name_fits_on_two_lines_in_the_narrowest_column() {
        for look in [Look::Light, Look::Sunlight] {
            let theme = Theme::of(look);
            let other = CHECKS_SIZES.field_width + CHECKS_SIZES.reset_width + 2.0 * theme.gap + CHECKS_SIZES.bar_width;
            for threshold in THRESHOLDS {
                let lines = wrapped(threshold.label, theme.small, CHECKS_SIZES.side_width.0 - other);
                assert!(lines.len() <= 2, "{lines:?}");
            }
        }
    }
}
