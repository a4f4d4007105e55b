//! Changing the kind of load: what would be reset.

use eframe::egui::{self, Label, RichText};

use super::{close, foot};
use crate::project::LoadKind;
use crate::window::state::edits::DocumentEdit;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, kind: LoadKind) {
    let project = view.document.project();
    let old = project.sensors.load;
    let told = format!(
        "Everything written over load is in {} of {}. In {} of {} the same numbers would mean something else, so none of \
         them is kept. These start anew, as one step that can be undone:",
        unit_words(old),
        old.name(),
        unit_words(kind),
        kind.name()
    );
    ui.add(Label::new(told).wrap());
    let parts = [
        "the advance table: the starting rows over its own speeds",
        "the weights of both trims, and the load at idle",
        "the full-load line's part over load, and the safety margin",
        "the image, where it is one of the ready layouts",
    ];
    for part in parts {
        ui.add(Label::new(format!("\u{2013} {part}")).wrap());
    }
    let kept = "Speeds, limits, coils, trigger and the curves over temperature stay as they are. A project over the old \
                kind can be kept as a snapshot first.";
    ui.add(Label::new(RichText::new(kept).size(view.theme.small)).wrap());
    let made = project.with_load_kind(kind);
    let refusal = match &made {
        Ok(_) if kind == old => Some("the load is of this kind already".to_owned()),
        Ok(_) => None,
        Err(why) => Some(why.to_string()),
    };
    if let Some(why) = &refusal {
        ui.add(Label::new(format!("Not yet: {why}.")).wrap());
    }
    let verb = format!("Start anew over {}", kind.name());
    let clicked =
        foot(ui, outbox, &verb, "Change the load and start what is written over it anew.", refusal.as_deref());
    if let (true, Ok((label, _))) = (clicked, made) {
        outbox.edit(label, DocumentEdit::ChangeLoad(kind));
        close(outbox);
    }
}

const fn unit_words(kind: LoadKind) -> &'static str {
    match kind {
        LoadKind::Throttle => "per cent",
        LoadKind::Pressure => "kilopascals",
    }
}
