//! What the sheet shows before there is anything: how to begin.

use eframe::egui::{self, Rect, Ui, UiBuilder, vec2};

use crate::window::kit::theme::color;
use crate::window::kit::theme::evidence_sizes::EVIDENCE_SIZES;
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::views::command_buttons::button;
use crate::window::views::view::View;

const BEGIN: &str = "Hold speed and load on the brake, move the advance step by step, and write torque down at each: one row a \
                     reading, with the columns speed_rpm, load, advance_deg, torque_nm and, if you listened, knock. Read \
                     that file here, or paste its rows with Ctrl+V: every operating point gets its curve, best torque with \
                     its interval, and what to read next.";

pub(super) fn show(ui: &mut Ui, rect: Rect, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    let place = Rect::from_min_size(
        rect.min + vec2(0.0, theme.margin),
        vec2(EVIDENCE_SIZES.begin_width.min(rect.width()), rect.height()),
    );
    let mut ui = ui.new_child(UiBuilder::new().max_rect(place).id_salt("no sweeps yet"));
    ui.add(egui::Label::new(BEGIN).wrap().selectable(false));
    ui.add_space(theme.margin);
    ui.horizontal(|ui| {
        button(ui, view, outbox, Command::ReadSweeps, "Read a file…");
        button(ui, view, outbox, Command::SampleSweeps, "Try readings of an invented day");
    });
    ui.add_space(theme.margin);
    let caution = egui::RichText::new(crate::project::cautions::SWEEP).color(color(theme.palette.ink_secondary));
    ui.add(egui::Label::new(caution).wrap().selectable(false));
}
