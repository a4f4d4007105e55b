//! The advance of a locked-timing copy, and what such a copy is.

use eframe::egui::{self, DragValue, Label, RichText};

use super::{foot, replace};
use crate::project::{ADVANCE_RANGE_DEG, cautions};
use crate::window::state::dialogs::Floating;
use crate::window::state::file_jobs::{LockedDeg, Next};
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::command_buttons::focus_when_new;
use crate::window::views::view::View;
use crate::wording::{Unit, quantity};

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, before: f64) {
    let project = view.document.project();
    let cranking = &project.limits.cranking;
    let eases_rpm = project.limits.over_speed.eases_from_rpm;
    let [from, eases] = [cranking.leave_at_rpm + cranking.blend_rpm, eases_rpm].map(|speed| quantity(speed, Unit::Rpm));
    let at = quantity(cranking.advance_deg, Unit::Degree);
    let told = format!(
        "A copy of this project that commands the same advance everywhere, for use with the timing light: flat table, trims, \
         safety margin and launch off, over-speed limit on. Below {from} the cranking advance of {at} stands; from \
         {eases} the over-speed limit still eases off. It opens as a \
         project of its own without a file; this one stays as it is."
    );
    ui.add(Label::new(told).wrap());
    let mut deg = before;
    ui.horizontal(|ui| {
        let label = ui.label("Advance");
        let (low, high) = ADVANCE_RANGE_DEG;
        let drag = DragValue::new(&mut deg).range(low..=high).speed(0.1).max_decimals(2).suffix("°");
        let drag = ui.add(drag).labelled_by(label.id);
        focus_when_new(&drag, "locked timing");
        drag.on_hover_text("Degrees before top dead centre, everywhere in the table. 10° is usual.");
        ui.label("before top dead centre");
    });
    let caution = RichText::new(cautions::TIMING_LIGHT).size(view.theme.small);
    ui.add(Label::new(caution).wrap()).on_hover_text(cautions::WHOLE.join("\n"));
    let refusal = project.locked_timing(deg).err().map(|error| error.to_string());
    if foot(ui, outbox, "Make the copy", "Open the copy in place of this project.", refusal.as_deref()) {
        outbox.file(FileAction::Leave(Next::Locked(LockedDeg(deg))));
    }
    if deg.to_bits() != before.to_bits() {
        replace(outbox, Floating::LockedTiming(deg));
    }
}
