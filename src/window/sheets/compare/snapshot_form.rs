//! The small form over the sheets for a snapshot's name and note.

use eframe::egui::{self, Id, Modal, RichText, TextEdit};

use super::rows::small;
use super::snapshots;
use crate::window::kit::theme::table_sheet_sizes::SNAPSHOT_WIDTH;
use crate::window::kit::theme::{color, strong_label};
use crate::window::state::compare_state::{CompareMessage, SnapshotForm};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// What the form was left with.
enum Left {
    Open,
    Done,
    GivenUp,
}

/// Draws the form while it is open.
pub(super) fn show(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let Some(form) = &view.screen.compare.snapshot_form else {
        return;
    };
    let mut typed = form.clone();
    let frame = egui::Frame::popup(&ctx.global_style()).inner_margin(view.theme.margin);
    let modal = Modal::new(Id::unique("snapshot form")).frame(frame).show(ctx, |ui| {
        ui.set_width(SNAPSHOT_WIDTH);
        fields(ui, view, &mut typed)
    });
    match if modal.should_close() { Left::GivenUp } else { modal.inner } {
        Left::Open if typed == *form => {}
        Left::Open => outbox.send(CompareMessage::Form(Some(typed))),
        Left::GivenUp => outbox.send(CompareMessage::Form(None)),
        Left::Done => {
            snapshots::commit(&typed, outbox);
            outbox.send(CompareMessage::Form(None));
        }
    }
}

fn fields(ui: &mut egui::Ui, view: &View<'_>, form: &mut SnapshotForm) -> Left {
    let of = form.of.clone();
    let title = of.as_ref().map_or_else(|| "Take a snapshot".to_owned(), |name| format!("Snapshot '{name}'"));
    strong_label(ui, title, view.theme.heading_font());
    ui.label(small("The whole project as it is now, kept in its file under a name.", view.theme));
    ui.add_space(view.theme.gap);
    let name_is_done = field(ui, "Name", "run 7", &mut form.name, true);
    let note_is_done = field(ui, "Note", "fuel 98, air 24 °C", &mut form.note, false);
    let fault = snapshots::name_fault(view.document.project(), of.as_deref(), &form.name);
    let button = if of.is_some() { "Change" } else { "Take snapshot" };
    end(ui, view, button, fault, name_is_done || note_is_done)
}

/// A named text field; the first one takes the keys when the form opens. Says whether Enter ended it.
fn field(ui: &mut egui::Ui, name: &str, hint: &str, text: &mut String, is_first: bool) -> bool {
    let label = ui.label(name);
    let edit = ui.add(TextEdit::singleline(text).hint_text(hint).desired_width(f32::INFINITY)).labelled_by(label.id);
    let nothing_has_keys = ui.memory(|memory| memory.focused().is_none());
    let enter = edit.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
    if is_first && nothing_has_keys && !enter {
        edit.request_focus();
    }
    enter
}

/// The last line of the form: what is wrong, and the two buttons.
fn end(ui: &mut egui::Ui, view: &View<'_>, button: &str, fault: Option<String>, entered: bool) -> Left {
    ui.add_space(view.theme.gap);
    if let Some(fault) = &fault {
        ui.label(RichText::new(fault).size(view.theme.small).color(color(view.theme.palette.ink_secondary)));
    }
    ui.horizontal(|ui| {
        let done = ui.add_enabled(fault.is_none(), egui::Button::new(button));
        let done = done.on_disabled_hover_text(fault.clone().unwrap_or_default());
        let cancel = ui.button("Cancel").on_hover_text("Leave everything as it is  (Esc)");
        if done.clicked() || (entered && fault.is_none()) {
            Left::Done
        } else if cancel.clicked() {
            Left::GivenUp
        } else {
            Left::Open
        }
    })
    .inner
}
