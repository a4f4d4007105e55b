//! What changed elsewhere: fields by section, each with its two values.

use eframe::egui::{self, Align, ScrollArea, pos2};

use super::comparing::Compared;
use super::rows::{arrow, column, line, link, second, small, text};
use super::take_back;
use crate::compare::{FieldDifference, Section};
use crate::window::theme::{color, strong_label};
use crate::window::{Outbox, View};

/// Width of the words 'take back'.
const LINK_WIDTH: f32 = 70.0;
/// Width of 'take back section'.
const SECTION_LINK_WIDTH: f32 = 118.0;
/// Width of the arrow between the values.
const ARROW_WIDTH: f32 = 32.0;
/// Share of the rest that the label has; the two values share what is left.
const LABEL_SHARE: f32 = 0.44;

/// Draws the heading and the fields.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, compared: Option<&Compared>, outbox: &mut Outbox) {
    strong_label(ui, "What changed elsewhere", view.theme.heading_font());
    let Some(compared) = compared else {
        return;
    };
    let fields = &compared.comparison.fields;
    if fields.is_empty() {
        ui.add(egui::Label::new(second(format!("No differences: every field is as in {}.", view.base.name), view.theme)).wrap());
        return;
    }
    ScrollArea::vertical().id_salt("fields").auto_shrink(false).show_viewport(ui, |ui, seen| {
        ui.spacing_mut().item_spacing.y = 0.0;
        let mut list = List { view, seen, top: 0.0 };
        for (section, fields) in fields.by_section() {
            list.heading(ui, section, fields, outbox);
            for difference in fields {
                list.entry(ui, difference, outbox);
            }
        }
        if !fields.marks_compared {
            ui.add(egui::Label::new(small("Held marks and origins are not compared: the tables differ in size.", view.theme)).wrap());
        }
    });
}

/// Draws the lines that are seen, leaves room for the others: a table's origins alone may be thousands.
struct List<'a> {
    view: &'a View<'a>,
    seen: egui::Rect,
    top: f32,
}

impl List<'_> {
    fn line(&mut self, ui: &mut egui::Ui, height: f32) -> Option<egui::Rect> {
        let is_seen = self.top + height >= self.seen.top() && self.top <= self.seen.bottom();
        self.top += height;
        let rect = line(ui, height);
        is_seen.then_some(rect)
    }

    fn heading(&mut self, ui: &mut egui::Ui, section: Section, fields: &[FieldDifference], outbox: &mut Outbox) {
        let theme = self.view.theme;
        let Some(line) = self.line(ui, theme.compare.small_line_height + theme.gap) else {
            return;
        };
        text(ui, column(line, 0.0, line.width() - SECTION_LINK_WIDTH), Align::Min, small(section.name(), theme));
        if fields.len() < 2 {
            return;
        }
        let name = format!("Take back section {}", section.name());
        let at = column(line, line.width() - SECTION_LINK_WIDTH, SECTION_LINK_WIDTH);
        if link(ui, at, "take back section", &name, theme).on_hover_text(name).clicked() {
            take_back::section(self.view, section, fields, outbox);
        }
    }

    fn entry(&mut self, ui: &mut egui::Ui, difference: &FieldDifference, outbox: &mut Outbox) {
        let theme = self.view.theme;
        let Some(line) = self.line(ui, theme.compare.line_height) else {
            return;
        };
        let room = line.width() - LINK_WIDTH - ARROW_WIDTH - theme.gap * 2.0;
        let label = room * LABEL_SHARE;
        let value = (room - label) / 2.0;
        text(ui, column(line, 0.0, label), Align::Min, difference.label.clone().into());
        text(ui, column(line, label, value), Align::Max, second(&difference.base_words, theme));
        let arrow_at = pos2(line.left() + label + value + ARROW_WIDTH / 2.0, line.center().y);
        arrow(ui.painter(), arrow_at, 9.0, color(theme.palette.ink_secondary));
        text(ui, column(line, label + value + ARROW_WIDTH, value), Align::Max, difference.edited_words.clone().into());
        let name = format!("Take back {}", difference.label);
        if link(ui, column(line, line.width() - LINK_WIDTH, LINK_WIDTH), "take back", &name, theme).on_hover_text(name).clicked()
        {
            take_back::field(self.view, difference, outbox);
        }
    }
}
