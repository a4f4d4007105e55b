//! Snapshots: what is told about them, and what is asked for to make, change and delete them. Each is one step.

use eframe::egui::{self, Id, Modal, RichText, TextEdit};
use jiff::{Timestamp, Unit};

use crate::project::{Project, Snapshot};
use crate::window::kit::numbers::date_and_time;
use crate::window::kit::theme::table_sheet_sizes::SNAPSHOT_WIDTH;
use crate::window::kit::theme::{color, strong_label};
use crate::window::sheets::compare::rows::small;
use crate::window::state::compare_state::{CompareMessage, SnapshotForm};
use crate::window::state::edits::SnapshotEdit;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// When it was taken and its note: '2026-03-21 18:05 · run 7, fuel 98'.
pub(super) fn told(snapshot: &Snapshot) -> String {
    let taken_at = snapshot.taken_at.parse().map_or_else(|_| snapshot.taken_at.clone(), date_and_time);
    let mark = snapshot.state.locked_timing_words();
    let told = [Some(taken_at), mark, (!snapshot.note.is_empty()).then(|| snapshot.note.clone())];
    told.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// 'edit' and 'delete' for a snapshot, from the right.
pub(super) fn buttons(ui: &mut egui::Ui, view: &View<'_>, snapshot: &Snapshot, outbox: &mut Outbox) {
    let name = &snapshot.name;
    let link = |ui: &mut egui::Ui, word: &str, what: &str| {
        let ink = color(view.theme.palette.ink_secondary);
        let button = egui::Button::new(egui::RichText::new(word).color(ink).size(view.theme.small)).frame(false);
        let response = ui.add(button);
        let name = format!("{what} {name}");
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, &name));
        response.on_hover_text(name).clicked()
    };
    if link(ui, "delete", "Delete snapshot") {
        delete(name, outbox);
        ui.close();
    }
    if link(ui, "rename", "Rename or annotate snapshot") {
        let form = SnapshotForm { of: Some(name.clone()), name: name.clone(), note: snapshot.note.clone() };
        outbox.send(CompareMessage::Form(Some(form)));
        ui.close();
    }
}

/// Why a snapshot cannot have this name, if so; `of` is its present name if it has one.
pub(super) fn name_fault(project: &Project, of: Option<&str>, name: &str) -> Option<String> {
    let name = name.trim();
    if name.is_empty() {
        return Some("A snapshot needs a name, such as 'run 7'".into());
    }
    let is_taken = project.snapshots.iter().any(|other| other.name == name) && of != Some(name);
    is_taken.then(|| format!("There is a snapshot '{name}' already; choose another name"))
}

/// Takes a new snapshot or changes one, as typed into the form.
pub(super) fn commit(form: &SnapshotForm, outbox: &mut Outbox) {
    let (name, note) = (form.name.trim().to_owned(), form.note.trim().to_owned());
    let Some(of) = form.of.clone() else {
        let label = format!("Take snapshot '{name}'");
        let now = Timestamp::now();
        let taken_at = now.round(Unit::Second).unwrap_or(now).to_string();
        return outbox.edit(label, SnapshotEdit::Take { name, note, taken_at });
    };
    let label =
        if of == name { format!("Annotate snapshot '{of}'") } else { format!("Rename snapshot '{of}' to '{name}'") };
    outbox.edit(label, SnapshotEdit::Change { of: of.clone(), name: name.clone(), note });
    outbox.send(CompareMessage::Follow(of, Some(name)));
}

fn delete(name: &str, outbox: &mut Outbox) {
    outbox.edit(format!("Delete snapshot '{name}'"), SnapshotEdit::Delete(name.to_owned()));
    outbox.send(CompareMessage::Follow(name.to_owned(), None));
}

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
    let backdrop = color(view.theme.palette.shadow);
    let modal = Modal::new(Id::unique("snapshot form")).backdrop_color(backdrop).frame(frame).show(ctx, |ui| {
        ui.set_width(SNAPSHOT_WIDTH);
        fields(ui, view, &mut typed)
    });
    match if modal.should_close() { Left::GivenUp } else { modal.inner } {
        Left::Open if typed == *form => {}
        Left::Open => outbox.send(CompareMessage::Form(Some(typed))),
        Left::GivenUp => outbox.send(CompareMessage::Form(None)),
        Left::Done => {
            commit(&typed, outbox);
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
    let fault = name_fault(view.document.project(), of.as_deref(), &form.name);
    let button = if of.is_some() { "Change" } else { "Take snapshot" };
    end(ui, view, button, fault, name_is_done || note_is_done)
}

/// A named text field; the first one takes the keys when the form opens. Says whether Enter ended it.
fn field(ui: &mut egui::Ui, name: &str, hint: &str, text: &mut String, is_first: bool) -> bool {
    let label = ui.label(name);
    let edit = ui
        .add(TextEdit::singleline(text).align(egui::Align2::LEFT_CENTER).hint_text(hint).desired_width(f32::INFINITY))
        .labelled_by(label.id);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    fn project() -> Project {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        new.create().unwrap()
    }

    #[test]
    fn a_locked_state_is_told_as_such() {
        let state = project().locked_timing(10.0).unwrap();
        let kept = Snapshot { name: "light".into(), note: "zero".into(), taken_at: "then".into(), state };
        assert_eq!(told(&kept), "then · locked timing 10° · zero");
    }

    #[test]
    fn names_are_there_and_unlike() {
        let one = SnapshotEdit::Take { name: "run 7".into(), note: String::new(), taken_at: String::new() };
        let one = one.apply(&project()).unwrap();
        assert!(name_fault(&one, None, "  ").is_some());
        assert!(name_fault(&one, None, " run 7 ").is_some());
        assert_eq!(name_fault(&one, Some("run 7"), "run 7"), None);
        assert_eq!(name_fault(&one, None, "run 8"), None);
    }
}
