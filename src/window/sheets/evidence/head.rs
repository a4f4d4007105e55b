//! The first line of the sheet: the sweeps that are kept, what they come to, and which advance is taken from them.

use eframe::egui::{self, Align, Layout, Rect, RichText, Sense, Ui, UiBuilder, WidgetInfo, vec2};

use super::kept::Kept;
use crate::window::kit::theme::evidence_sizes::EVIDENCE_SIZES;
use crate::window::kit::theme::{color, shortened, strong_label};
use crate::window::state::commands::Command;
use crate::window::state::edits::EvidenceEdit;
use crate::window::state::evidence_state::EvidenceMessage;
use crate::window::state::outbox::Outbox;
use crate::window::views::command_buttons::button;
use crate::window::views::surface::quiet_button;
use crate::window::views::view::View;
use crate::wording::count;
use crate::worksheet::SweepChoice;

pub(super) fn show(ui: &mut Ui, line: Rect, kept: Option<&Kept>, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    let mut ui = ui.new_child(UiBuilder::new().max_rect(line).layout(Layout::left_to_right(Align::Center)));
    ui.spacing_mut().item_spacing.x = theme.gap;
    strong_label(&mut ui, "Timing sweeps", theme.heading_font());
    ui.add_space(theme.gap);
    for sweep in &view.project.evidence.sweeps {
        sweep_button(&mut ui, &sweep.name, sweep.readings.len(), view, outbox);
    }
    button(&mut ui, view, outbox, Command::ReadSweeps, "Read a file…");
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        for choice in SweepChoice::ALL.into_iter().rev() {
            let chosen = view.screen.evidence.choice == choice;
            if quiet_button(ui, theme, choice.words(), &format!("Choice: {}", choice.words()), chosen, tip(choice))
                .clicked()
            {
                outbox.send(EvidenceMessage::Choose(choice));
            }
        }
        if let Some(kept) = kept.filter(|kept| !kept.frames.is_empty()) {
            let text = kept.words();
            let room = ui.available_width() - theme.gap;
            let shown = shortened(ui, &text, room, &theme.body_font());
            let label = ui.add(egui::Label::new(RichText::new(shown)).selectable(false));
            label.on_hover_text(text);
        }
    });
}

const fn tip(choice: SweepChoice) -> &'static str {
    match choice {
        SweepChoice::Least => {
            "Take the least advance that loses no more than 1 % of torque: what most engines are happiest with."
        }
        SweepChoice::Best => "Take the advance for best torque.",
        SweepChoice::Knock => "Take what knock allows, less the margin.",
    }
}

/// The name of a kept sweep with a cross that gives it up.
fn sweep_button(ui: &mut Ui, name: &str, readings: usize, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    let shown = shortened(ui, name, EVIDENCE_SIZES.name_width, &theme.body_font());
    let label = ui.add(egui::Label::new(RichText::new(&shown)).selectable(false));
    label.on_hover_text(format!("{name}: {} in the project.", count(readings, "reading")));
    let (rect, response) = ui.allocate_exact_size(vec2(theme.cross, theme.cross), Sense::click());
    let words = format!("Give up {name}");
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Button, true, &words));
    let lit = response.hovered() || response.has_focus();
    let ink = color(if lit { theme.palette.ink } else { theme.palette.ink_secondary });
    ui.painter().text(rect.center(), egui::Align2::CENTER_CENTER, "×", theme.body_font(), ink);
    if response.clicked() {
        outbox.edit(words.clone(), EvidenceEdit::GiveUp(name.to_owned()));
    }
    response.on_hover_text(format!("{words}: its readings leave the project; points taken from it stay."));
}
