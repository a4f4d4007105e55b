//! What changed elsewhere: fields by section, each with its two values.

use eframe::egui::{self, Align, Label, Rect, ScrollArea, pos2};

use super::comparing::Compared;
use super::rows::{column, line, link, second, small, text};
use super::take_back;
use crate::compare::{FieldDifference, FieldDifferences, Section};
use crate::window::kit::marks::arrow;
use crate::window::kit::theme::kit_sizes::ARROW;
use crate::window::kit::theme::table_sheet_sizes::{
    ARROW_WIDTH, LABEL_SHARE, LINK_WIDTH, MOST_BESIDE, SECTION_LINK_WIDTH,
};
use crate::window::kit::theme::{Theme, color, strong_label};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// Marks that the table has for each cell: the beginning of their paths, and their common name.
const MARKS: [(&str, &str); 2] = [("advance.held[", "Held marks"), ("advance.origin[", "Origins")];

/// Draws the heading and the fields. While the pointer is over them, those that were taken back keep their lines.
pub(super) fn show(
    ui: &mut egui::Ui,
    view: &View<'_>,
    compared: Option<&Compared>,
    kept: &mut Option<FieldDifferences>,
    outbox: &mut Outbox,
) {
    let theme = view.theme;
    ui.horizontal(|ui| {
        ui.set_height(theme.compare.header_height);
        strong_label(ui, "What changed elsewhere", theme.heading_font());
    });
    let Some(compared) = compared else {
        return;
    };
    let now = &compared.comparison.fields;
    let is_over = ui.rect_contains_pointer(ui.available_rect_before_wrap());
    let fields = kept.get_or_insert_with(|| now.clone());
    if !is_over || fields.is_empty() {
        *fields = now.clone();
    }
    let fields = &*fields;
    if fields.is_empty() {
        ui.add(Label::new(second("No differences: every field has the base's value.", theme)).wrap());
        return;
    }
    ScrollArea::vertical().id_salt("fields").auto_shrink(false).show_viewport(ui, |ui, seen| {
        ui.spacing_mut().item_spacing.y = 0.0;
        let mut list = List { view, now, seen, top: 0.0, beside: None };
        let is_table = |section: Section| section == Section::Advance;
        for (section, fields) in fields.by_section().filter(|(section, _)| !is_table(*section)) {
            list.section(ui, section, fields, outbox);
        }
        for (section, fields) in fields.by_section().filter(|(section, _)| is_table(*section)) {
            list.section(ui, section, fields, outbox);
        }
        if !fields.marks_compared {
            let told = "Held marks and origins are not compared: the tables differ in size.";
            ui.add(Label::new(small(told, theme)).wrap());
        }
    });
}

/// Draws the lines that are seen and leaves room for the others.
struct List<'a> {
    view: &'a View<'a>,
    /// The present differences, which may be fewer than those with a line.
    now: &'a FieldDifferences,
    seen: Rect,
    top: f32,
    /// The section of the next field, if its name is to be shown beside that field.
    beside: Option<(Section, &'a [FieldDifference])>,
}

impl<'a> List<'a> {
    /// A line of the fields' width, and what is left of it beside.
    fn line(&mut self, ui: &mut egui::Ui, height: f32) -> Option<(Rect, Rect)> {
        let is_seen = self.top + height >= self.seen.top() && self.top <= self.seen.bottom();
        self.top += height;
        let whole = line(ui, height);
        let width =
            if is_wide(whole.width(), self.view.theme) { self.view.theme.compare.fields_width } else { whole.width() };
        let fields = column(whole, 0.0, width);
        is_seen.then_some((fields, column(whole, width, whole.width() - width)))
    }

    /// A section with its fields; marks of many cells in one line.
    fn section(&mut self, ui: &mut egui::Ui, section: Section, fields: &'a [FieldDifference], outbox: &mut Outbox) {
        let theme = self.view.theme;
        if is_wide(ui.available_width(), theme) {
            self.beside = Some((section, fields));
        } else if let Some((line, _)) = self.line(ui, theme.compare.small_line_height + theme.gap) {
            self.name(ui, line, (section, fields), outbox);
        }
        let mark = |field: &FieldDifference| MARKS.iter().position(|(path, _)| field.path.starts_with(path));
        for field in fields.iter().filter(|field| mark(field).is_none()) {
            self.entry(ui, field, outbox);
        }
        for (kind, (_, name)) in MARKS.iter().enumerate() {
            let cells: Vec<FieldDifference> =
                fields.iter().filter(|field| mark(field) == Some(kind)).cloned().collect();
            match cells.as_slice() {
                [] => {}
                [one] => self.entry(ui, one, outbox),
                many => self.marks(ui, name, many, outbox),
            }
        }
    }

    /// The section's name and, where it has several fields, the way to take it back whole.
    fn name(
        &self,
        ui: &mut egui::Ui,
        line: Rect,
        (section, fields): (Section, &[FieldDifference]),
        outbox: &mut Outbox,
    ) {
        let theme = self.view.theme;
        let fields: Vec<FieldDifference> = fields.iter().filter_map(|field| self.is_now(field)).cloned().collect();
        let has_link = fields.len() > 1;
        let width = line.width() - if has_link { SECTION_LINK_WIDTH } else { 0.0 };
        text(ui, column(line, 0.0, width), Align::Min, small(section.name(), theme));
        if !has_link {
            return;
        }
        let name = format!("Take back section {}", section.name());
        if link(ui, right_end(line, SECTION_LINK_WIDTH), "take back section", &name, theme)
            .on_hover_text(name)
            .clicked()
        {
            take_back::section(self.view, section, &fields, outbox);
        }
    }

    /// The section's name beside its first field.
    fn name_beside(&mut self, ui: &mut egui::Ui, rest: Rect, outbox: &mut Outbox) {
        if let Some(section) = self.beside.take() {
            let left = self.view.theme.margin * 2.0;
            // The way back stays near its section, however wide the window is.
            let width = (rest.width() - left).min(MOST_BESIDE);
            self.name(ui, column(rest, left, width), section, outbox);
        }
    }

    /// The present difference; `None` if it was taken back.
    fn is_now(&self, field: &FieldDifference) -> Option<&'a FieldDifference> {
        self.now.list.iter().find(|other| other.path == field.path)
    }

    fn entry(&mut self, ui: &mut egui::Ui, field: &FieldDifference, outbox: &mut Outbox) {
        let theme = self.view.theme;
        let Some((line, rest)) = self.line(ui, theme.compare.line_height) else {
            self.beside = None;
            return;
        };
        self.name_beside(ui, rest, outbox);
        let (label, value) = widths(line, theme);
        let Some(field) = self.is_now(field) else {
            text(ui, column(line, 0.0, label), Align::Min, second(&field.label, theme));
            text(ui, column(line, label, line.width() - label), Align::Max, small("as in the base", theme));
            return;
        };
        text(ui, column(line, 0.0, label), Align::Min, field.label.clone().into());
        text(ui, column(line, label, value), Align::Max, second(&field.base_words, theme));
        let arrow_at = pos2(line.left() + label + value + ARROW_WIDTH / 2.0, line.center().y);
        arrow(ui.painter(), arrow_at, ARROW, color(theme.palette.ink_secondary));
        text(ui, column(line, label + value + ARROW_WIDTH, value), Align::Max, field.edited_words.clone().into());
        let name = format!("Take back {}", field.label);
        if link(ui, right_end(line, LINK_WIDTH), "take back", &name, theme).on_hover_text(name).clicked() {
            take_back::fields(self.view, vec![field.clone()], outbox);
        }
    }

    fn marks(&mut self, ui: &mut egui::Ui, name: &str, fields: &[FieldDifference], outbox: &mut Outbox) {
        let theme = self.view.theme;
        let Some((line, rest)) = self.line(ui, theme.compare.line_height) else {
            self.beside = None;
            return;
        };
        self.name_beside(ui, rest, outbox);
        let (label, value) = widths(line, theme);
        text(ui, column(line, 0.0, label), Align::Min, name.into());
        let fields: Vec<FieldDifference> = fields.iter().filter_map(|field| self.is_now(field)).cloned().collect();
        if fields.is_empty() {
            text(ui, column(line, label, line.width() - label), Align::Max, small("as in the base", theme));
            return;
        }
        let told = second(format!("differ in {} cells", fields.len()), theme);
        text(ui, column(line, label, 2.0 * value + ARROW_WIDTH), Align::Max, told);
        let name = format!("Take back {} of {} cells", name.to_lowercase(), fields.len());
        if link(ui, right_end(line, LINK_WIDTH), "take back", &name, theme).on_hover_text(name).clicked() {
            take_back::fields(self.view, fields.to_vec(), outbox);
        }
    }
}

/// Whether there is room for the sections' names beside the fields.
fn is_wide(width: f32, theme: &Theme) -> bool {
    width >= theme.compare.fields_width + 2.0 * theme.margin + SECTION_LINK_WIDTH + theme.gap
}

/// Widths of a label and of a value.
fn widths(line: Rect, theme: &Theme) -> (f32, f32) {
    let room = line.width() - LINK_WIDTH - ARROW_WIDTH - theme.gap * 2.0;
    let label = room * LABEL_SHARE;
    (label, (room - label) / 2.0)
}

fn right_end(line: Rect, width: f32) -> Rect {
    column(line, line.width() - width, width)
}
