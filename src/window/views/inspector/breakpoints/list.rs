//! The breakpoints of an axis, each to edit or delete.

use eframe::egui::{self, RichText, ScrollArea, vec2};

use super::{Interest, Plan, Wanted, commit, number, plans};
use crate::window::kit::theme::color;
use crate::window::kit::theme::form_sizes::SIZES as FORM;
use crate::window::kit::theme::gaps::BREAKPOINT_NUMBER;
use crate::window::state::inspector_state::Field;
use crate::window::state::outbox::Outbox;
use crate::window::views::inspector::field::tip_beside;
use crate::window::views::view::View;

pub(in crate::window) fn show(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    wanted: &mut Wanted,
    height: f32,
) {
    let along = view.screen.inspector.breakpoints.along;
    let axis = along.axis(view.document.project().advance.table()).clone();
    ScrollArea::vertical()
        .id_salt(("breakpoints", along))
        .max_height(height)
        .min_scrolled_height(height)
        .auto_shrink(false)
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = FORM.row_gap;
            for (index, &value) in axis.breakpoints().iter().enumerate() {
                ui.horizontal(|ui| {
                    place(ui, view, index);
                    let field = Field::Breakpoint(along, index);
                    let plan = plans::shift(view, along, index, value);
                    number(ui, view, outbox, field, value, &plan, wanted);
                    delete(ui, view, outbox, index, plans::delete(view, along, index), wanted);
                });
            }
        });
}

fn place(ui: &mut egui::Ui, view: &View<'_>, index: usize) {
    let text = RichText::new(format!("{}", index + 1)).size(view.theme.small);
    let ink = color(view.theme.palette.ink_secondary);
    ui.allocate_ui_with_layout(
        vec2(BREAKPOINT_NUMBER, view.theme.sentence_height),
        egui::Layout::right_to_left(egui::Align::Center),
        |ui| ui.label(text.color(ink)),
    );
}

fn delete(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, index: usize, plan: Plan, wanted: &mut Wanted) {
    let along = view.screen.inspector.breakpoints.along;
    let response =
        ui.push_id(("delete", along, index), |ui| ui.add_enabled(plan.is_ok(), egui::Button::new("Delete"))).inner;
    let name = format!("Delete {along} breakpoint {}", index + 1);
    ui.ctx().accesskit_node_builder(response.id, |node| node.set_label(name));
    let tip = "Takes the breakpoint away with its cells; all other cells stay.";
    tip_beside(&response, response.rect.with_min_x(ui.max_rect().left()), tip);
    if response.clicked() {
        commit(outbox, plan.as_ref());
    }
    wanted.offer(Interest::of(ui, &response), Some(plan));
}
