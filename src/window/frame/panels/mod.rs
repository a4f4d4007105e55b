//! Panels over the sheet: new project, samples, a path to type, export, import. The rest of the window stays
//! usable, except while a path is typed: whatever the path is for has to wait.

mod image;
mod load_kind;
mod locked_timing;
mod new;
mod path;
mod table_files;

use eframe::egui::{self, Align2, Area, Frame, Id, Key, Modal, Modifiers, Order, ScrollArea};

use crate::window::kit::theme::frame_sizes::{BAR_HEIGHT, FORM_GAP, PANEL_ABOVE, PANEL_MARGIN, PANEL_WIDTH};
use crate::window::kit::theme::kit_sizes::LINE_GAP;
use crate::window::kit::theme::{color, strong_label};
use crate::window::state::dialogs::{DialogMessage, Floating};
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::view::View;

/// Draws the open panel.
pub(super) fn show(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let Some(panel) = &view.dialogs.panel else {
        return;
    };
    match panel {
        Floating::New(new) => floating(ctx, view, outbox, "New project", |ui, outbox| new::show(ui, view, outbox, new)),
        Floating::LoadKind(kind) => {
            floating(ctx, view, outbox, "Another kind of load", |ui, outbox| load_kind::show(ui, view, outbox, *kind));
        }
        Floating::Samples => floating(ctx, view, outbox, "Samples", |ui, outbox| new::show_samples(ui, view, outbox)),
        Floating::Path(form) => modal(ctx, view, |ui| {
            head(ui, view, form.job.title());
            path::show(ui, view, outbox, form);
        }),
        Floating::Export(options) => {
            floating(ctx, view, outbox, "Export the table", |ui, outbox| {
                table_files::show_export(ui, view, outbox, *options)
            });
        }
        Floating::LockedTiming(deg) => {
            floating(ctx, view, outbox, "Locked timing copy", |ui, outbox| locked_timing::show(ui, view, outbox, *deg));
        }
        Floating::Import(form) => {
            floating(ctx, view, outbox, "Import a table", |ui, outbox| {
                table_files::show_import(ui, view, outbox, form)
            });
        }
        Floating::Marks(form) => floating(ctx, view, outbox, form.what.title(), |ui, outbox| {
            table_files::ask_mark(ui, view, outbox, &form.question, FileAction::ReadMarkedAs);
        }),
        Floating::Image(read) => {
            floating(ctx, view, outbox, "Read an image", |ui, outbox| image::show(ui, view, outbox, read));
        }
    }
}

/// Esc closes the open panel.
pub(super) fn keys(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    if view.dialogs.panel.is_some() && ctx.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape)) {
        close(outbox);
    }
}

fn close(outbox: &mut Outbox) {
    outbox.send(DialogMessage::Close);
}

/// Updates the open panel.
fn replace(outbox: &mut Outbox, panel: Floating) {
    outbox.send(DialogMessage::Open(panel));
}

/// The position of panels: far from the bars, which may explain what the panel is for.
fn place(ctx: &egui::Context, view: &View<'_>) -> egui::Pos2 {
    let top = view.theme.top_bar_height + BAR_HEIGHT + PANEL_ABOVE;
    ctx.content_rect().center_top() + egui::vec2(0.0, top)
}

/// A panel that blocks the rest of the window until it is closed.
fn modal(ctx: &egui::Context, view: &View<'_>, add: impl FnOnce(&mut egui::Ui)) {
    let id = Id::unique("modal panel");
    let area = Area::new(id).kind(egui::UiKind::Modal).order(Order::Foreground).interactable(true);
    let area = area.pivot(Align2::CENTER_TOP).fixed_pos(place(ctx, view));
    let frame = Frame::window(&ctx.global_style()).inner_margin(PANEL_MARGIN);
    Modal::new(id).area(area).backdrop_color(color(view.theme.palette.shadow)).frame(frame).show(ctx, |ui| {
        ui.set_width(PANEL_WIDTH);
        ui.spacing_mut().item_spacing.y = FORM_GAP;
        add(ui);
    });
}

fn head(ui: &mut egui::Ui, view: &View<'_>, title: &str) {
    strong_label(ui, title, egui::FontId::proportional(view.theme.title));
}

fn floating(
    ctx: &egui::Context,
    view: &View<'_>,
    outbox: &mut Outbox,
    title: &str,
    add: impl FnOnce(&mut egui::Ui, &mut Outbox),
) {
    let at = place(ctx, view);
    let id = Id::unique("floating").with((title, view.projects.shown_id()));
    let area = Area::new(id).order(Order::Foreground).pivot(Align2::CENTER_TOP).fixed_pos(at);
    area.show(ctx, |ui| {
        Frame::window(&ctx.global_style()).inner_margin(PANEL_MARGIN).show(ui, |ui| {
            ui.set_width(PANEL_WIDTH);
            ui.spacing_mut().item_spacing.y = FORM_GAP;
            head(ui, view, title);
            add(ui, outbox);
        });
    });
}

/// Draws what may be too high for the window: then it scrolls, and what stands `below` it, so high, is always seen.
fn scrolled(ui: &mut egui::Ui, below: f32, add: impl FnOnce(&mut egui::Ui)) {
    let most = ui.ctx().content_rect().height() - PANEL_MARGIN.sum().y - ui.min_rect().height() - below;
    ScrollArea::vertical().max_height(most).min_scrolled_height(most).show(ui, |ui| {
        ui.set_width(ui.available_width());
        add(ui);
    });
}

/// The row of buttons at a panel's foot: the one that acts, and Cancel. Returns whether the first was clicked.
fn foot(ui: &mut egui::Ui, outbox: &mut Outbox, verb: &str, told: &str, refusal: Option<&str>) -> bool {
    let mut is_clicked = false;
    ui.add_space(LINE_GAP);
    ui.horizontal(|ui| {
        let button = ui.add_enabled(refusal.is_none(), egui::Button::new(verb)).on_hover_text(told);
        is_clicked = button.on_disabled_hover_text(refusal.unwrap_or_default()).clicked();
        if ui.button("Cancel").on_hover_text("Put this away; nothing happens. (Esc)").clicked() {
            close(outbox);
        }
    });
    is_clicked
}
