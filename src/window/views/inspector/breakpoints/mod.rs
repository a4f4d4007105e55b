//! The panel of breakpoints: edit, insert, delete, replace and resize, each previewed before it is applied.

mod plans;

use eframe::egui::{self, Button, RichText, ScrollArea, TextEdit, UiBuilder, vec2};

pub use self::plans::insert_at_cursor;
use crate::shaping::{Along, Keep};
use crate::window::kit::theme::color;
use crate::window::kit::theme::view_sizes::{
    BELOW_BREAKPOINTS, BREAKPOINT_NUMBER, FIELD_LOWER, FORM_SIZES, LEAST_BREAKPOINTS, REPLACE_WIDTH, THREE_LINES,
};
use crate::window::state::commands::Command;
use crate::window::state::inspector_state::{Field, InspectorMessage, Proposal, Proposer};
use crate::window::state::outbox::{Action, Outbox};
use crate::window::views::command_buttons::panel_head;
use crate::window::views::inspector::field::tip_beside;
use crate::window::views::inspector::proposal_words::Words;
use crate::window::views::inspector::row::Interest;
use crate::window::views::inspector::{field, proposal_words};
use crate::window::views::surface::quiet_button;
use crate::window::views::view::View;
use crate::wording::Refusal;

/// What a control would do, or why it cannot.
type Plan = Result<Proposal, Refusal>;

/// The control whose preview is wanted most, and what it would do.
#[derive(Default)]
struct Wanted {
    interest: Interest,
    plan: Option<Plan>,
}

impl Wanted {
    fn offer(&mut self, interest: Interest, plan: Option<Plan>) {
        if interest > self.interest {
            *self = Self { interest, plan };
        }
    }
}

/// Draws the panel.
pub fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let mut wanted = Wanted::default();
    panel_head(ui, view, outbox, "Breakpoints", Command::Breakpoints);
    axis_and_keep(ui, view, outbox);
    ui.add_space(view.theme.gap);
    insert(ui, view, outbox, &mut wanted);
    let below = BELOW_BREAKPOINTS + 2.0 * view.theme.field_height;
    let height = (ui.available_height() - below).max(LEAST_BREAKPOINTS);
    show_list(ui, view, outbox, &mut wanted, height);
    ui.add_space(view.theme.gap);
    replace(ui, view, outbox, &mut wanted);
    resize(ui, view, outbox, &mut wanted);
    ui.add_space(view.theme.gap);
    tell(ui, view, &wanted);
    let proposal = wanted.plan.and_then(Result::ok);
    super::propose(view, outbox, Proposer::Breakpoints, proposal);
}

fn axis_and_keep(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let form = &view.screen.inspector.breakpoints;
    ui.horizontal(|ui| {
        for along in [Along::Speed, Along::Load] {
            let name = if along == Along::Speed { "Speeds" } else { "Loads" };
            let text = format!("{name}, {}", proposal_words::axis_unit(view, along));
            let tip = format!("Show the breakpoints along {along}.");
            if quiet_button(ui, view.theme, &text, &text, form.along == along, &tip).clicked() {
                outbox.send(InspectorMessage::List(along));
            }
        }
    });
    ui.horizontal(|ui| {
        ui.label(RichText::new("A change keeps").color(color(view.theme.palette.ink_secondary)));
        for (keep, text, tip) in [
            (Keep::Surface, "the surface", "New cells are looked up in the surface as it is."),
            (Keep::Numbers, "the numbers", "Every number stays in its row and column; the surface changes."),
        ] {
            if quiet_button(ui, view.theme, text, text, form.keep == keep, tip).clicked() {
                outbox.send(InspectorMessage::Keep(keep));
            }
        }
    });
}

fn insert(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, wanted: &mut Wanted) {
    let at = plans::insert_at(view);
    let plan = plans::insert(view, at);
    ui.horizontal(|ui| {
        ui.label("Insert at");
        number(ui, view, outbox, Field::InsertAt, at, &plan, wanted);
        action(
            ui,
            view,
            outbox,
            "Insert",
            "Adds a breakpoint; between the ends the surface changes nowhere.",
            plan,
            wanted,
        );
    });
}

fn replace(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, wanted: &mut Wanted) {
    let form = &view.screen.inspector.breakpoints;
    let plan = plans::replace(view);
    let along = form.along;
    ui.label(
        RichText::new(format!("All {along} breakpoints, typed or pasted"))
            .color(color(view.theme.palette.ink_secondary)),
    );
    ui.horizontal(|ui| {
        let mut text = form.list.clone();
        let width = ui.available_width() - REPLACE_WIDTH;
        let edit = TextEdit::singleline(&mut text)
            .align(egui::Align2::LEFT_CENTER)
            .desired_width(width)
            .hint_text("500 800 1000\u{2026}");
        let tip = "Numbers from low to high with blanks, tabs or semicolons between them; Enter replaces.";
        let response = ui.add(edit).on_hover_text(tip);
        ui.ctx().accesskit_node_builder(response.id, |node| node.set_label(format!("all {along} breakpoints")));
        if response.changed() {
            outbox.send(InspectorMessage::TypeList(text.clone()));
        }
        let entered = response.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
        if entered {
            commit(outbox, plan.as_ref());
        }
        let typed = response.has_focus() && !text.trim().is_empty();
        wanted.offer(if typed { Interest::Typed } else { Interest::None }, Some(plan.clone()));
        action(ui, view, outbox, "Replace", "Puts the table on these breakpoints.", plan, wanted);
    });
}

fn resize(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, wanted: &mut Wanted) {
    let (speeds, loads) = plans::sizes(view);
    let plan = plans::resize(view, speeds, loads);
    ui.horizontal(|ui| {
        ui.label("Resize to");
        number(ui, view, outbox, Field::Speeds, speeds, &plan, wanted);
        ui.label("speeds ×");
        number(ui, view, outbox, Field::Loads, loads, &plan, wanted);
        ui.label("loads");
        action(
            ui,
            view,
            outbox,
            "Resize",
            "Proposes breakpoints, dense where they are dense now, and keeps the surface.",
            plan,
            wanted,
        );
    });
}

/// Says what that control does, or what is wrong.
fn tell(ui: &mut egui::Ui, view: &View<'_>, wanted: &Wanted) {
    let typed = view.screen.inspector.typing.as_ref().and_then(|(field, _)| field::fault(view, *field));
    let refused = wanted.plan.as_ref().and_then(|plan| plan.as_ref().err().cloned());
    let words = match (typed, refused) {
        (Some(fault), _) if wanted.interest == Interest::Typed => Words::warning(fault),
        (_, Some(reason)) => Words::warning(reason),
        _ => proposal_words::of_preview(view, Proposer::Breakpoints).unwrap_or_else(|| at_rest(view)),
    };
    let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), THREE_LINES), egui::Sense::hover());
    let mut child = ui.new_child(UiBuilder::new().max_rect(rect));
    proposal_words::show(&mut child, view.theme, &words);
}

fn at_rest(view: &View<'_>) -> Words {
    match proposal_words::crowded(view) {
        Some(text) => Words::warning(format!("Warning: {text}.")),
        None => Words::plain("Point at a button or type a number to see what it would do; click or Enter applies it."),
    }
}

/// A number, with the plan that results from typing it.
fn number(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    field: Field,
    value: f64,
    plan: &Plan,
    wanted: &mut Wanted,
) {
    let size = vec2(field::width(ui, view, field, value), view.theme.sentence_height - FIELD_LOWER);
    let (rect, _) = ui.allocate_exact_size(size, egui::Sense::hover());
    let touched = field::show(ui, view, outbox, ([rect, rect], 0.0), field, value);
    if touched.entered {
        commit(outbox, plan.as_ref());
    }
    if touched.focused {
        let is_fault = field::fault(view, field).is_some();
        wanted.offer(Interest::Typed, (!is_fault).then(|| plan.clone()));
    }
}

/// A button that carries out a plan; disabled with the reason if there is none.
fn action(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    text: &str,
    tip: &str,
    plan: Plan,
    wanted: &mut Wanted,
) {
    let button = Button::new(RichText::new(text).size(view.theme.body));
    let response = ui.add_enabled(plan.is_ok(), button).on_hover_text(tip);
    let response = match &plan {
        Err(reason) => response.on_disabled_hover_text(reason.to_string()),
        Ok(_) => response,
    };
    if response.clicked() {
        commit(outbox, plan.as_ref());
    }
    wanted.offer(Interest::of(ui, &response), Some(plan));
}

fn commit(outbox: &mut Outbox, plan: Result<&Proposal, &Refusal>) {
    match plan {
        Ok(proposal) => outbox.send(Action::Commit(proposal.clone())),
        Err(reason) => outbox.complain(reason.to_string()),
    }
}

fn show_list(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, wanted: &mut Wanted, height: f32) {
    let along = view.screen.inspector.breakpoints.along;
    let axis = along.axis(view.document.project().advance.table()).clone();
    ScrollArea::vertical()
        .id_salt(("breakpoints", along))
        .max_height(height)
        .min_scrolled_height(height)
        .auto_shrink(false)
        .show(ui, |ui| {
            ui.spacing_mut().item_spacing.y = FORM_SIZES.row_gap;
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
