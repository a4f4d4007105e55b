//! Readings of sweeps from the clipboard.

use eframe::egui;

use crate::interchange::{DecimalMark, ReadSweep, read_sweep_as};
use crate::project::KeptSweep;
use crate::window::state::dialogs::{DialogMessage, Doubtful, Floating, MarksForm};
use crate::window::state::edits::{EvidenceEdit, brought_words};
use crate::window::state::outbox::Outbox;
use crate::window::views::form::text_box::take_pasted;
use crate::window::views::view::View;
use crate::wording::count;

/// What readings are called that came without a file.
const PASTED: &str = "pasted readings";

/// Takes rows of text that were pasted, unless a field is to have them.
pub(super) fn take(ui: &egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let in_field = ui.ctx().text_edit_focused();
    if let Some(text) = take_pasted(ui.ctx(), |_| !in_field) {
        paste(&text, None, view, outbox);
    }
}

/// Keeps pasted readings in the project; if `mark` is `None`, this may end in a question for the decimal mark.
pub fn paste(text: &str, mark: Option<DecimalMark>, view: &View<'_>, outbox: &mut Outbox) {
    match read_sweep_as(text.as_bytes(), mark, Some(view.project.sensors.load)) {
        Ok(found) => keep(PASTED, found, view, outbox),
        Err(error) => match error.asks() {
            Some(question) => {
                let form = MarksForm { question: question.clone(), what: Doubtful::SweepRows(text.into()) };
                outbox.send(DialogMessage::Open(Floating::Marks(form)));
            }
            None => outbox.complain(format!("Nothing was pasted: {error}")),
        },
    }
}

fn keep(name: &str, found: ReadSweep, view: &View<'_>, outbox: &mut Outbox) {
    let ReadSweep { torque_kind, readings, .. } = found;
    let counted = count(readings.len(), "reading");
    let sweep = KeptSweep { name: name.to_owned(), torque_kind, readings, ..KeptSweep::default() };
    if view.document.project().evidence.with_sweep(sweep.clone()).fresh == 0 {
        return outbox.complain("Nothing was pasted: the project has these readings already");
    }
    outbox.say(brought_words(format!("{counted} pasted."), view.document.project(), &sweep));
    outbox.edit(format!("Paste {counted} of sweeps"), EvidenceEdit::Keep(sweep));
}
