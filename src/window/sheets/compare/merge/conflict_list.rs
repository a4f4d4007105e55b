//! What both sides changed differently: each with its three values, one of which can be chosen.

use eframe::egui::{
    self, Align, Button, Rect, Response, RichText, Role, ScrollArea, Sense, Stroke, WidgetInfo, pos2, vec2,
};

use super::super::rows::{column, line, second, small, text};
use super::line_of;
use super::merged_grid::MergedGrid;
use super::merging::Merged;
use crate::compare::{Conflict, ConflictPlace, Section, Version};
use crate::window::kit::marks::arrow;
use crate::window::kit::parts::part;
use crate::window::kit::theme::kit_sizes::ARROW;
use crate::window::kit::theme::table_sheet_sizes::ARROW_WIDTH;
use crate::window::kit::theme::table_sheet_sizes::MergeSizes;
use crate::window::kit::theme::{color, elided, hairline, strong_label};
use crate::window::state::compare_state::CompareMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::view::View;

/// Draws the heading, the choice for all at once, and the conflicts; below them the fields that come from theirs
/// unasked.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, merged: &Merged, grid: &mut MergedGrid, outbox: &mut Outbox) {
    let theme = view.theme;
    let whole = ui.available_rect_before_wrap();
    let conflicts = merged.conflicts();
    ui.horizontal(|ui| {
        ui.set_height(theme.compare.header_height);
        strong_label(ui, "To be decided", theme.heading_font());
        if !conflicts.is_empty() {
            ui.with_layout(egui::Layout::right_to_left(Align::Center), |ui| all(ui, view, merged, outbox));
        }
    });
    let sizes = MergeSizes::of(theme);
    let top = ui.cursor().top();
    #[expect(clippy::cast_precision_loss, reason = "a few thousand conflicts at most")]
    let needed = (conflicts.len() as f32 * sizes.conflict_height).max(theme.compare.line_height);
    let has_fields = !merged.other_fields.is_empty();
    let most = (whole.bottom() - top) * if has_fields { sizes.conflicts_share } else { 1.0 };
    let split = top + needed.min(most);
    let mut above = part(ui, Rect::from_min_max(pos2(whole.left(), top), pos2(whole.right(), split)));
    entries(&mut above, view, merged, grid, outbox);
    if has_fields {
        let below = Rect::from_min_max(pos2(whole.left(), split + theme.margin), whole.max);
        other_fields(&mut part(ui, below), view, merged);
    }
}

fn entries(ui: &mut egui::Ui, view: &View<'_>, merged: &Merged, grid: &mut MergedGrid, outbox: &mut Outbox) {
    let conflicts = merged.conflicts();
    if conflicts.is_empty() {
        let told = "No conflicts: everything that one of you changed fits what the other did.";
        ui.add(egui::Label::new(second(told, view.theme)).truncate());
        return;
    }
    let row = MergeSizes::of(view.theme).conflict_height;
    ui.spacing_mut().item_spacing.y = 0.0;
    let mut area = ScrollArea::vertical().id_salt("conflicts").auto_shrink(false);
    if let Some(number) = grid.show.take() {
        #[expect(clippy::cast_precision_loss, reason = "a few thousand conflicts at most")]
        let above = number.saturating_sub(1) as f32;
        area = area.vertical_scroll_offset(above * row);
    }
    area.show_rows(ui, row, conflicts.len(), |ui, seen| {
        for number in seen {
            if let Some(conflict) = conflicts.get(number) {
                entry(ui, view, merged, (number, conflict), grid, outbox);
            }
        }
    });
}

/// Every field that will differ from this project, with both values.
fn other_fields(ui: &mut egui::Ui, view: &View<'_>, merged: &Merged) {
    let theme = view.theme;
    strong_label(ui, "Fields that will be other than now", theme.heading_font());
    ui.spacing_mut().item_spacing.y = 0.0;
    let (fields, row) = (&merged.other_fields, theme.compare.line_height);
    ScrollArea::vertical().id_salt("other fields").auto_shrink(false).show_rows(ui, row, fields.len(), |ui, seen| {
        for field in fields.get(seen).into_iter().flatten() {
            let rect = line(ui, row);
            let (label, value) = (rect.width() * 0.4, (rect.width() * 0.6 - ARROW_WIDTH) / 2.0);
            text(ui, column(rect, 0.0, label), Align::Min, RichText::new(&field.label));
            text(ui, column(rect, label, value), Align::Max, second(&field.base_words, theme));
            let at = pos2(rect.left() + label + value + ARROW_WIDTH / 2.0, rect.center().y);
            arrow(ui.painter(), at, ARROW, color(theme.palette.ink_secondary));
            let words = RichText::new(&field.edited_words);
            text(ui, column(rect, label + value + ARROW_WIDTH, value - theme.gap), Align::Max, words);
        }
    });
}

/// All conflicts at once.
fn all(ui: &mut egui::Ui, view: &View<'_>, merged: &Merged, outbox: &mut Outbox) {
    // From right to left, so that they end up in the order of the values below.
    for version in [Version::Theirs, Version::Mine, Version::Base] {
        let response = ui.add(Button::new(format!("all {}", version.name())));
        let name = format!("Decide all conflicts: {}", version.name());
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
        let told = format!("Take {} in every conflict", whose(version));
        if response.on_hover_text(told).clicked() {
            let places = merged.conflicts().iter().map(|conflict| merged.decision_key(conflict)).collect();
            outbox.send(CompareMessage::Decide(places, version));
        }
    }
    ui.label(small("decide", view.theme));
}

fn whose(version: Version) -> &'static str {
    match version {
        Version::Base => "the base's value",
        Version::Mine => "this project's value",
        Version::Theirs => "their value",
    }
}

fn entry(
    ui: &mut egui::Ui,
    view: &View<'_>,
    merged: &Merged,
    (number, conflict): (usize, &Conflict),
    grid: &mut MergedGrid,
    outbox: &mut Outbox,
) {
    let (theme, sizes) = (view.theme, MergeSizes::of(view.theme));
    let rect = line(ui, sizes.conflict_height);
    let decided = merged.decision(number);
    let title = Rect::from_min_size(rect.min + vec2(0.0, theme.gap / 2.0), vec2(rect.width(), sizes.title_height));
    name(ui, view, title, (number, conflict), decided, outbox);
    let values = Rect::from_min_size(title.left_bottom(), vec2(rect.width() - theme.gap, sizes.value_height));
    let width = (values.width() - 2.0 * theme.gap) / 3.0;
    for (place, version) in Version::ALL.into_iter().enumerate() {
        let left = f32::from(u8::try_from(place).unwrap_or(0)) * (width + theme.gap);
        let mut part = line_of(ui, column(values, left, width));
        value(&mut part, view, (merged, conflict), (version, decided == Some(version)), outbox);
    }
    if let ConflictPlace::Cell { cell, .. } = conflict.place
        && (grid.is_pointed_at(cell) || view.screen.selection.cursor == cell)
    {
        let frame = hairline(color(theme.palette.ink_secondary));
        ui.painter().vline(rect.left() - theme.gap, title.top()..=values.bottom(), frame);
    }
    let rule = hairline(color(theme.palette.rule));
    ui.painter().hline(rect.x_range(), rect.bottom() - theme.gap / 2.0, rule);
}

/// What the conflict is about; a press selects the cell, or goes nowhere for fields.
fn name(
    ui: &mut egui::Ui,
    view: &View<'_>,
    title: Rect,
    (number, conflict): (usize, &Conflict),
    decided: Option<Version>,
    outbox: &mut Outbox,
) {
    let theme = view.theme;
    let section = conflict.section.filter(|section| *section != Section::Advance).map_or("", |section| section.name());
    let state = decided.map_or_else(|| "to be decided".to_owned(), |version| format!("takes {}", version.name()));
    let state_width = MergeSizes::of(theme).state_width;
    let shown = if section.is_empty() || conflict.label.starts_with(section) {
        RichText::new(&conflict.label)
    } else {
        RichText::new(format!("{section}: {}", conflict.label))
    };
    text(ui, column(title, 0.0, title.width() - state_width), Align::Min, shown);
    let told = if decided.is_some() { small(state, theme) } else { RichText::new(state).size(theme.small) };
    text(ui, column(title, title.width() - state_width, state_width - theme.gap), Align::Max, told);
    let ConflictPlace::Cell { cell, .. } = conflict.place else {
        return;
    };
    let at = column(title, 0.0, title.width() - state_width);
    let response = ui.interact(at, ui.scope_id().with(("conflict", number)), Sense::click());
    let label = format!("Show {}", conflict.label);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &label));
    if response.on_hover_text("Select this cell").clicked() {
        outbox.send(ScreenMessage::Select(CellSelection::cell(view.table(), cell)));
    }
}

/// One of the three values: a press chooses it.
fn value(
    ui: &mut egui::Ui,
    view: &View<'_>,
    (merged, conflict): (&Merged, &Conflict),
    (version, is_chosen): (Version, bool),
    outbox: &mut Outbox,
) {
    let theme = view.theme;
    let words = &conflict.words[version.index()];
    let name = format!("{}, {}: {words}", conflict.label, version.name());
    // Degrees that differ say enough where there is no room for the origin behind them.
    let degrees = |words: &str| words.split(' ').next().unwrap_or_default().to_owned();
    let [base, mine, theirs] = conflict.words.each_ref().map(|words| degrees(words));
    let is_cell = matches!(conflict.place, ConflictPlace::Cell { .. });
    let short = (is_cell && base != mine && mine != theirs && theirs != base).then(|| degrees(words));
    let response = field(ui, view, (version.name(), words, short.as_deref()), is_chosen);
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, is_chosen, &name));
    let response = response.on_hover_text(format!("{}: {words}", version.name()));
    if response.has_focus() {
        let frame = hairline(color(theme.palette.ink));
        ui.painter().rect_stroke(response.rect, f32::from(theme.radius), frame, egui::StrokeKind::Inside);
    }
    if response.clicked() {
        outbox.send(CompareMessage::Decide(vec![merged.decision_key(conflict)], version));
    }
}

/// A field with the version's name small and its value; the chosen one in the accent's frame and with a filled ring.
fn field(
    ui: &mut egui::Ui,
    view: &View<'_>,
    (version, words, short): (&str, &str, Option<&str>),
    is_chosen: bool,
) -> Response {
    let theme = view.theme;
    let palette = theme.palette;
    let (rect, response) = ui.allocate_exact_size(ui.available_size(), Sense::click());
    let fill = if response.hovered() { palette.field_hover } else { palette.field };
    let edge = if is_chosen { palette.accent } else { palette.rule_strong };
    let width = if is_chosen { theme.selection_width } else { 1.0 };
    let stroke = Stroke::new(width, color(edge));
    ui.painter().rect(rect, f32::from(theme.radius), color(fill), stroke, egui::StrokeKind::Inside);
    let sizes = MergeSizes::of(theme);
    let ring = pos2(rect.left() + sizes.ring_left, rect.center().y);
    ui.painter().circle_stroke(ring, sizes.ring.0, hairline(color(palette.ink_secondary)));
    if is_chosen {
        ui.painter().circle_filled(ring, sizes.ring.1, color(palette.ink));
    }
    let ink = color(palette.ink_secondary);
    let tag = ui.painter().layout_no_wrap(version.to_owned(), theme.small_font(), ink);
    let at = pos2(rect.left() + sizes.words_left, rect.center().y - tag.size().y / 2.0);
    let left = at.x + tag.size().x + theme.gap;
    ui.painter().galley(at, tag, ink);
    let room = egui::Rect::from_x_y_ranges(left..=rect.right() - theme.gap, rect.y_range());
    let whole = elided(ui, room, words, theme.body_font());
    let value = match short {
        Some(short) if whole.is_cut() => elided(ui, room, short, theme.body_font()),
        _ => whole,
    };
    value.paint(ui, egui::Align::Min, color(palette.ink));
    value.tip_on(response)
}
