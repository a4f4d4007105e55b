//! The small forms over the sheets: a snapshot's name and note, and the path of a base.

use eframe::egui::{self, Id, Modal, RichText, TextEdit};

use super::rows::small;
use super::snapshots;
use crate::window::screen::{BaseChoice, Form, SnapshotForm};
use crate::window::theme::{color, strong_label};
use crate::window::{Outbox, View};

/// Width of a form's fields.
const WIDTH: f32 = 380.0;

/// What a form was left with.
enum Left {
    Open,
    Done,
    GivenUp,
}

/// Draws the form that is open.
pub(super) fn show(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let Some(form) = &view.screen.form else {
        return;
    };
    let mut typed = form.clone();
    let frame = egui::Frame::popup(&ctx.global_style()).inner_margin(view.theme.margin);
    let modal = Modal::new(Id::unique("form")).frame(frame).show(ctx, |ui| {
        ui.set_width(WIDTH);
        match &mut typed {
            Form::Snapshot(form) => snapshot(ui, view, form),
            Form::BaseFile { path } => base_file(ui, view, path),
        }
    });
    let left = if modal.should_close() { Left::GivenUp } else { modal.inner };
    match left {
        Left::Open if typed == *form => {}
        Left::Open => outbox.screen(move |screen| screen.form = Some(typed)),
        Left::GivenUp => outbox.screen(|screen| screen.form = None),
        Left::Done => {
            commit(typed, outbox);
            outbox.screen(|screen| screen.form = None);
        }
    }
}

fn commit(form: Form, outbox: &mut Outbox) {
    match form {
        Form::Snapshot(form) => snapshots::commit(&form, outbox),
        Form::BaseFile { path } => {
            let path = std::path::PathBuf::from(path.trim());
            outbox.screen(move |screen| screen.base = BaseChoice::File(path));
        }
    }
}

fn snapshot(ui: &mut egui::Ui, view: &View<'_>, form: &mut SnapshotForm) -> Left {
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

fn base_file(ui: &mut egui::Ui, view: &View<'_>, path: &mut String) -> Left {
    strong_label(ui, "Compare with another project file", view.theme.heading_font());
    ui.label(small("It is only read; nothing is written to it.", view.theme));
    ui.add_space(view.theme.gap);
    let is_done = field(ui, "Path of the file", "", path, true);
    let fault = path.trim().is_empty().then(|| "Type the path of a project file".to_owned());
    end(ui, view, "Compare", fault, is_done)
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

/// The last line of a form: what is wrong, and the two buttons.
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
