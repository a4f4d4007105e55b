//! Rejecting a sweep with its reason: its point is kept, told and not used; or using it again.

use eframe::egui::{self, Align, Button, Layout, Rect, TextEdit, Ui, UiBuilder};

use super::kept::Frame;
use crate::project::MeasuredPoint;
use crate::window::kit::theme::{color, elided};
use crate::window::state::edits::EvidenceEdit;
use crate::window::state::evidence_state::EvidenceMessage;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// Draws the line.
pub(super) fn show(ui: &mut Ui, rect: Rect, frame: &Frame, view: &View<'_>, outbox: &mut Outbox) {
    let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).layout(Layout::left_to_right(Align::Center)));
    let state = &view.screen.evidence;
    if let Some(why) = frame.rejected() {
        return rejected(&mut ui, rect, frame, why, view, outbox);
    }
    let points = frame.measured(state.choice);
    if points.is_empty() {
        let words = "It says too little for a point; nothing is to be rejected.";
        _ = elided(&ui, rect, words, view.theme.small_font()).paint(
            &ui,
            Align::Min,
            color(view.theme.palette.ink_secondary),
        );
        return;
    };
    let Some(why) = &state.rejecting else {
        if ui.button("Reject…").on_hover_text("Keep this point, with your reason, but go by it nowhere.").clicked() {
            outbox.send(EvidenceMessage::Reject(Some(String::new())));
            ui.ctx().memory_mut(|memory| memory.request_focus(id()));
        }
        let words = if frame.is_taken() { "among the points" } else { "not taken yet" };
        let rest = rect.with_min_x(ui.cursor().left());
        _ = elided(&ui, rest, words, view.theme.small_font()).paint(
            &ui,
            Align::Max,
            color(view.theme.palette.ink_secondary),
        );
        return;
    };
    reason(&mut ui, (frame, points), why, view, outbox);
}

fn id() -> egui::Id {
    egui::Id::unique("reason for rejecting a sweep")
}

fn rejected(ui: &mut Ui, rect: Rect, frame: &Frame, why: &str, view: &View<'_>, outbox: &mut Outbox) {
    let choice = view.screen.evidence.choice;
    let points = frame.measured(choice);
    if !points.is_empty() && ui.button("Use it again").clicked() {
        outbox.edit(format!("Use {} again", frame.key.point), EvidenceEdit::Put(points.to_vec()));
    }
    let rest = rect.with_min_x(ui.cursor().left());
    let words = elided(ui, rest, format!("Rejected: {why}"), view.theme.body_font());
    _ = words.paint(ui, Align::Min, color(view.theme.palette.ink));
}

fn reason(ui: &mut Ui, (frame, points): (&Frame, &[MeasuredPoint]), why: &str, view: &View<'_>, outbox: &mut Outbox) {
    let mut text = why.to_owned();
    let buttons = 2.0 * view.theme.field_height * 3.0;
    let edit = TextEdit::singleline(&mut text)
        .id(id())
        .hint_text("why it is not to be used")
        .desired_width(ui.available_width() - buttons);
    let response = ui.add(edit);
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, "Reason for rejecting"));
    if response.changed() {
        outbox.send(EvidenceMessage::Reject(Some(text.clone())));
    }
    let is_given = !text.trim().is_empty();
    let (enter, escape) = ui.input(|input| (input.key_pressed(egui::Key::Enter), input.key_pressed(egui::Key::Escape)));
    let rejects =
        ui.add_enabled(is_given, Button::new("Reject")).clicked() || (response.lost_focus() && enter && is_given);
    if rejects {
        let note = text.trim();
        let out = points.iter().map(|point| MeasuredPoint { in_use: false, note: note.to_owned(), ..point.clone() });
        outbox.edit(format!("Reject {}: {note}", frame.key.point), EvidenceEdit::Put(out.collect()));
        outbox.send(EvidenceMessage::Reject(None));
    } else if ui.button("Give up").clicked() || (response.lost_focus() && escape) {
        outbox.send(EvidenceMessage::Reject(None));
    }
}
