//! The questions of a paste: a small panel over the table that blocks nothing else.

use eframe::egui::{self, Align2, Area, Frame, Id, Order, RichText};

use crate::interchange::{Answers, DecimalMark};
use crate::project::Advance;
use crate::window::kit::theme::color;
use crate::window::kit::theme::view_sizes::QUESTION_WIDTH;
use crate::window::state::edits::DocumentEdit;
use crate::window::state::grid_state::{GridMessage, Question};
use crate::window::state::outbox::{Action, Outbox};
use crate::window::views::view::View;
use crate::wording::written;

/// Shows the open question, if there is one, at the lower edge of the sheet.
pub fn show(ui: &egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let Some(question) = &view.screen.grid.clipboard.question else {
        return;
    };
    let theme = view.theme;
    let at = ui.max_rect().center_bottom() - egui::vec2(0.0, theme.margin);
    Area::new(Id::unique("question about the clipboard"))
        .order(Order::Foreground)
        .pivot(Align2::CENTER_BOTTOM)
        .fixed_pos(at)
        .show(ui.ctx(), |ui| {
            Frame::popup(ui.style()).fill(color(theme.palette.paper)).inner_margin(theme.margin).show(ui, |ui| {
                ui.set_max_width(QUESTION_WIDTH);
                ui.label(RichText::new(asked(question)).size(theme.body));
                ui.horizontal(|ui| answers(ui, question, outbox));
            });
        });
}

fn asked(question: &Question) -> String {
    match question {
        Question::Mark { number, .. } => mark_question(number),
        Question::Breakpoints { .. } => "The first row and column look like breakpoints of this table, but could be \
             cells too. Which are they?"
            .into(),
        Question::Axes(table) => format!(
            "The copied numbers have breakpoints that are not this table's: {}. Replace the whole table by them?",
            size(table)
        ),
    }
}

/// The question about a mark that may separate thousands or decimals.
pub fn mark_question(number: &str) -> String {
    format!("In '{number}' the mark may part thousands or decimals. What does it mean?")
}

/// Two buttons with the possible values; returns the decimal mark that gives the chosen one.
pub fn mark_buttons(ui: &mut egui::Ui, point: f64, comma: f64) -> Option<DecimalMark> {
    let mut chosen = None;
    for (mark, value) in [(DecimalMark::Point, point), (DecimalMark::Comma, comma)] {
        let tip = format!("Read '{}' as the decimal mark of every number.", mark.character());
        if ui.button(format!("It is {}", written(value))).on_hover_text(tip).clicked() {
            chosen = Some(mark);
        }
    }
    chosen
}

fn answers(ui: &mut egui::Ui, question: &Question, outbox: &mut Outbox) {
    match question {
        Question::Mark { text, answers, point, comma, .. } => {
            if let Some(mark) = mark_buttons(ui, *point, *comma) {
                outbox.send(Action::Paste(text.clone(), Answers { mark: Some(mark), ..*answers }));
            }
        }
        Question::Breakpoints { text, answers } => {
            let choices = [
                ("With breakpoints", true, "Paste onto the cells of these breakpoints."),
                ("Without breakpoints", false, "Paste every number as a cell."),
            ];
            for (name, breakpoints, tip) in choices {
                if ui.button(name).on_hover_text(tip).clicked() {
                    let answers = Answers { breakpoints: Some(breakpoints), ..*answers };
                    outbox.send(Action::Paste(text.clone(), answers));
                }
            }
        }
        Question::Axes(table) => {
            let tip =
                "Replace breakpoints and cells; what was held is released. One step, to be undone like any other.";
            if ui.button("Replace the whole table").on_hover_text(tip).clicked() {
                replace(table.clone(), outbox);
            }
        }
    }
    if ui.button("Paste nothing").on_hover_text("Leave the table as it is.  (Esc)").clicked() {
        outbox.send(GridMessage::CloseQuestion);
        outbox.say("Nothing was pasted");
    }
}

fn replace(table: Advance, outbox: &mut Outbox) {
    outbox.send(GridMessage::CloseQuestion);
    let label = format!("Paste a whole table, {}", size(&table));
    outbox.edit(label, DocumentEdit::ReplaceTable(Box::new(table)));
}

fn size(advance: &Advance) -> String {
    format!("{} speeds \u{d7} {} loads", advance.table().speed().len(), advance.table().load().len())
}
