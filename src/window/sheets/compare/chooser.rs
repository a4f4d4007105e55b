//! Choosing the base: a field with its name that opens a list of snapshots, steps and files.

use eframe::egui::{
    self, Align, Popup, PopupCloseBehavior, Response, RichText, Role, ScrollArea, Sense, Shape, Stroke, WidgetInfo,
    pos2, vec2,
};

use super::rows::{column, line, second, small, text};
use super::snapshots;
use crate::window::commands::Command;
use crate::window::files::FileJob;
use crate::window::outbox::FileAction;
use crate::window::screen::BaseChoice;
use crate::window::theme::{Theme, color};
use crate::window::{Outbox, View};

/// Left edge of texts, where the words of buttons begin.
const INDENT: f32 = 10.0;
/// The list of steps scrolls beyond this height.
const STEPS_HEIGHT: f32 = 132.0;
/// Half the width of the triangle that says 'opens a list'.
const TRIANGLE: f32 = 3.5;

/// Draws the field; a press opens the list.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let response = field(ui, &format!("base: {}", view.base.name), view.theme);
    let opened = response.clicked();
    let response = response.on_hover_text("What this project is compared with");
    Popup::from_toggle_button_response(&response)
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .width(view.theme.compare.chooser_list_width)
        .accessible_name("Bases")
        .show(|ui| {
            ui.set_max_width(view.theme.compare.chooser_list_width);
            list(ui, view, outbox, opened);
        });
}

fn field(ui: &mut egui::Ui, text: &str, theme: &Theme) -> Response {
    let sizes = &theme.compare;
    let (rect, response) = ui.allocate_exact_size(vec2(sizes.chooser_width, theme.sentence_height), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, text));
    let visuals = ui.style().interact(&response);
    let fill = if response.hovered() { theme.palette.field_hover } else { theme.palette.field };
    let ink = visuals.text_color();
    ui.painter().rect(rect, visuals.corner_radius, color(fill), visuals.bg_stroke, egui::StrokeKind::Inside);
    let room = rect.width() - 2.0 * theme.gap - 5.0 * TRIANGLE;
    let label = egui::WidgetText::from(text).into_galley(
        ui,
        Some(egui::TextWrapMode::Truncate),
        room,
        egui::FontSelection::FontId(theme.body_font()),
    );
    ui.painter().galley(pos2(rect.left() + theme.gap + 2.0, rect.center().y - label.size().y / 2.0), label, ink);
    let tip = pos2(rect.right() - theme.gap - 2.0 * TRIANGLE, rect.center().y);
    let corners =
        vec![tip + vec2(-TRIANGLE, -TRIANGLE / 2.0), tip + vec2(TRIANGLE, -TRIANGLE / 2.0), tip + vec2(0.0, TRIANGLE)];
    ui.painter().add(Shape::convex_polygon(corners, color(theme.palette.ink_secondary), Stroke::NONE));
    response
}

fn list(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, opened: bool) {
    let theme = view.theme;
    ui.spacing_mut().item_spacing.y = 2.0;
    let newest = if view.document.project().snapshots.is_empty() { "as opened" } else { "newest snapshot" };
    entry(ui, view, outbox, (BaseChoice::Automatic, format!("Automatic: {newest}")), opened);
    heading(ui, "Snapshots", theme);
    if view.document.project().snapshots.is_empty() {
        let line = line(ui, theme.compare.small_line_height);
        text(ui, column(line, INDENT, line.width()), Align::Min, second("none yet", theme));
    }
    for snapshot in view.document.project().snapshots.iter().rev() {
        ui.horizontal(|ui| {
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                snapshots::buttons(ui, view, snapshot, outbox);
                ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                    let choice = BaseChoice::Snapshot(snapshot.name.clone());
                    entry(ui, view, outbox, (choice, snapshot.name.clone()), opened);
                });
            });
        });
        let told = line(ui, theme.compare.small_line_height);
        text(ui, column(told, INDENT, told.width() - INDENT), Align::Min, small(snapshots::told(snapshot), theme));
        ui.add_space(2.0);
    }
    let take = action(ui, "Take a snapshot…");
    if take.on_hover_text(view.keys.tooltip(Command::TakeSnapshot)).clicked() {
        outbox.run(Command::TakeSnapshot);
        ui.close();
    }
    heading(ui, "Earlier", theme);
    entry(ui, view, outbox, (BaseChoice::Step(0), "As opened".into()), opened);
    steps(ui, view, outbox, opened);
    let file = action(ui, "Another project file…");
    if file.on_hover_text("Compare with a project file on this computer").clicked() {
        outbox.file(FileAction::Choose(FileJob::Base));
        ui.close();
    }
}

fn heading(ui: &mut egui::Ui, name: &str, theme: &Theme) {
    ui.add_space(theme.gap);
    let line = line(ui, theme.compare.small_line_height);
    text(ui, column(line, INDENT, line.width()), Align::Min, small(name, theme));
}

fn action(ui: &mut egui::Ui, name: &str) -> Response {
    ui.add(egui::Button::selectable(false, name))
}

/// The steps after the first, newest first; the present one is what is compared, not what it is compared with.
fn steps(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, opened: bool) {
    let current = view.document.current_step();
    let all: Vec<usize> = (1..view.document.steps().len()).rev().filter(|step| *step != current).collect();
    let row = ui.spacing().interact_size.y;
    ScrollArea::vertical().id_salt("base steps").max_height(STEPS_HEIGHT).show_rows(ui, row, all.len(), |ui, seen| {
        for &step in all.get(seen).into_iter().flatten() {
            let label = &view.document.steps()[step].label;
            entry(ui, view, outbox, (BaseChoice::Step(step), format!("{step}  {label}")), opened);
        }
    });
}

/// One base in the list. When the list has just opened, the keys start at the present base.
fn entry(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, (choice, name): (BaseChoice, String), opened: bool) {
    let is_chosen = choice == view.screen.base;
    let response = ui.add(egui::Button::selectable(is_chosen, RichText::new(&name)).truncate());
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, is_chosen, &name));
    if opened && is_chosen {
        response.request_focus();
    }
    if response.clicked() {
        outbox.screen(move |screen| screen.base = choice);
        ui.close();
    }
}
