//! One finding: what, why, what to do, and the buttons for it.

use eframe::egui::{self, Align, Label, Layout, Rect, RichText, Role, Sense, UiBuilder, WidgetInfo, vec2};

use crate::checks::{Finding, Spot, accept, take_back_acceptance};
use crate::table::{Selection, Table};
use crate::window::kit::marks;
use crate::window::kit::theme::engine_sheet_sizes::CHECKS_SIZES;
use crate::window::kit::theme::kit_sizes::{ENTRY_GAP, HAIRLINE, LARGE_MARK, LINE_GAP, MARK_INSET, TIGHT_GAP};
use crate::window::kit::theme::{color, elided, hairline, severity_ink};
use crate::window::state::checks_state::{ChecksMessage, FindingKey};
use crate::window::state::edits::DocumentEdit;
use crate::window::state::outbox::{Action, Outbox};
use crate::window::state::screen::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::form;
use crate::window::views::view::View;
use crate::wording::capital;

/// Draws a finding; returns whether it is pointed at or has the keyboard focus. With `is_still`, a card never
/// becomes lower, so that those below it do not move either.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, finding: &Finding, is_still: bool, outbox: &mut Outbox) -> bool {
    let key = FindingKey::of(finding);
    let card = UiBuilder::new().id_salt(&key).sense(Sense::click());
    let inner = ui.scope_builder(card, |ui| {
        ui.set_width(ui.available_width());
        if is_still {
            ui.set_min_height(height(ui, &key));
        }
        let rect = ui.max_rect();
        let is_over = ui.rect_contains_pointer(Rect::from_min_size(rect.min, vec2(rect.width(), height(ui, &key))));
        if is_over || ui.response().has_focus() {
            let back = Rect::from_min_size(rect.min, vec2(rect.width(), height(ui, &key)));
            ui.painter().rect_filled(back, f32::from(view.theme.radius), color(view.theme.palette.panel));
        }
        ui.spacing_mut().item_spacing.y = ENTRY_GAP;
        ui.add_space(TIGHT_GAP);
        let focused = contents(ui, view, finding, &key, outbox);
        ui.add_space(LINE_GAP);
        is_over || focused
    });
    let response = inner.response;
    remember_height(ui, &key, response.rect.height());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Go to finding: {}", finding.message)));
    let rule = hairline(color(view.theme.palette.rule));
    ui.painter().hline(response.rect.x_range(), response.rect.bottom() + HAIRLINE, rule);
    ui.add_space(TIGHT_GAP);
    if response.clicked() {
        go_to(ui.ctx(), view, finding, outbox);
    }
    inner.inner || response.has_focus()
}

/// Draws a finding that no longer exists in the place that it had.
pub(super) fn show_gone(ui: &mut egui::Ui, view: &View<'_>, finding: &Finding) {
    let theme = view.theme;
    let key = FindingKey::of(finding);
    let size = vec2(ui.available_width(), height(ui, &key));
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let words = format!("No longer found: {}.", finding.message);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    let line = Rect::from_min_size(
        rect.min + vec2(CHECKS_SIZES.mark_width + theme.gap, TIGHT_GAP),
        vec2(0.0, theme.sentence_height),
    );
    let line = line.with_max_x(rect.right());
    elided(ui, line, words, theme.body_font()).paint(ui, Align::Min, color(theme.palette.ink_secondary));
    let rule = hairline(color(theme.palette.rule));
    ui.painter().hline(rect.x_range(), rect.bottom() + HAIRLINE, rule);
    ui.add_space(TIGHT_GAP);
}

/// The height of a card when last drawn.
fn height(ui: &egui::Ui, key: &FindingKey) -> f32 {
    ui.data(|data| data.get_temp(height_id(key))).unwrap_or(0.0)
}

fn remember_height(ui: &egui::Ui, key: &FindingKey, height: f32) {
    ui.data_mut(|data| data.insert_temp(height_id(key), height));
}

fn height_id(key: &FindingKey) -> egui::Id {
    egui::Id::unique(("height of a finding", key))
}

fn go_to(ctx: &egui::Context, view: &View<'_>, finding: &Finding, outbox: &mut Outbox) {
    focus(ctx, finding);
    outbox.send(go(view.document.project().advance.table(), finding));
}

fn contents(ui: &mut egui::Ui, view: &View<'_>, finding: &Finding, key: &FindingKey, outbox: &mut Outbox) -> bool {
    let theme = view.theme;
    let (ink, weak) = (color(theme.palette.ink), color(theme.palette.ink_secondary));
    ui.horizontal(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(CHECKS_SIZES.mark_width, theme.sentence_height), Sense::hover());
        let mark = Rect::from_center_size(rect.left_center() + vec2(LARGE_MARK.x / 2.0 + MARK_INSET, 0.0), LARGE_MARK);
        let worst = color(severity_ink(view.theme, finding.severity));
        ui.painter().add(marks::severity(mark, finding.severity, worst));
        let message = format!("{}.", capital(&finding.message));
        let message = Label::new(RichText::new(message).color(ink)).selectable(false);
        if ui.available_width() < CHECKS_SIZES.least_width_with_figures {
            ui.add(message.wrap());
            return;
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            figures(ui, view, finding);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.add(message.truncate());
            });
        });
    });
    let indent = |ui: &mut egui::Ui, add: &mut dyn FnMut(&mut egui::Ui)| {
        ui.horizontal(|ui| {
            ui.add_space(CHECKS_SIZES.mark_width + theme.gap);
            ui.vertical(|ui| add(ui));
        });
    };
    indent(ui, &mut |ui| {
        let words = match &finding.accepted {
            Some(reason) => format!("Accepted: {reason}"),
            None => format!("{} {}", finding.why, finding.remedy),
        };
        ui.add(Label::new(RichText::new(words).size(theme.small).color(weak)).wrap().selectable(false));
    });
    let mut focused = false;
    indent(ui, &mut |ui| {
        focused = match &view.screen.checks.accepting {
            Some((of, reason)) if of == key => accepting(ui, view, finding, reason, outbox),
            _ => buttons(ui, view, finding, key, outbox),
        };
    });
    focused
}

fn buttons(ui: &mut egui::Ui, view: &View<'_>, finding: &Finding, key: &FindingKey, outbox: &mut Outbox) -> bool {
    let mut focused = false;
    ui.horizontal_wrapped(|ui| {
        let mut button = |ui: &mut egui::Ui, text: &str, name: &str, tip: &str| {
            let response = ui.button(text);
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
            focused |= response.has_focus();
            response.on_hover_text(tip).clicked()
        };
        let place = &finding.place.words;
        if button(ui, "Go there", &format!("Go to {place}: {}", finding.id), "Open its sheet and select its cells.") {
            go_to(ui.ctx(), view, finding, outbox);
        }
        if !finding.is_open() {
            let name = format!("No longer accept {}: {place}", finding.id);
            if button(ui, "No longer accept", &name, "Let this finding count again.") {
                take_back(outbox, view, finding);
            }
        } else {
            if let Some(cure) = &finding.cure {
                let tip = "Carry this remedy out as one step; what it would do is shown beside.";
                if button(ui, &cure.label, &cure.label, tip) {
                    outbox.send(Action::Cure(cure.clone()));
                }
            }
            let name = format!("Accept {}: {place}", finding.id);
            if button(
                ui,
                "Accept\u{2026}",
                &name,
                "Say why it is right as it is; it counts again when its value changes.",
            ) {
                outbox.send(ChecksMessage::Accept(Some(key.clone())));
            }
        }
    });
    focused
}

/// The value found and the threshold, at the right end of the line.
fn figures(ui: &mut egui::Ui, view: &View<'_>, finding: &Finding) {
    let Some([value, threshold]) = finding.figures() else {
        return;
    };
    let text = RichText::new(format!("{value} against {threshold}")).size(view.theme.small);
    let text = text.color(color(view.theme.palette.ink_secondary));
    ui.add(Label::new(text).selectable(false)).on_hover_text("What was found, and what it was held against.");
}

/// The reason, while it is typed. Enter accepts the finding, Esc cancels.
fn accepting(ui: &mut egui::Ui, view: &View<'_>, finding: &Finding, reason: &str, outbox: &mut Outbox) -> bool {
    let mut text = reason.to_owned();
    ui.horizontal(|ui| {
        let field = egui::TextEdit::singleline(&mut text)
            .id(egui::Id::unique("reason to accept"))
            .hint_text("Why it is right as it is")
            .align(egui::Align2::LEFT_CENTER)
            .desired_width((ui.available_width() - CHECKS_SIZES.beside_reason).max(CHECKS_SIZES.least_reason));
        let response = ui.add(field);
        response.widget_info(|| {
            let mut info = WidgetInfo::text_edit(true, reason, &text, "");
            info.label = Some("Reason to accept".into());
            info
        });
        if reason.is_empty() && !response.has_focus() && !response.lost_focus() {
            response.request_focus();
        }
        if response.changed() {
            outbox.send(ChecksMessage::TypeReason(text.clone()));
        }
        let entered = response.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
        let given_up = response.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Escape));
        let has_reason = !text.trim().is_empty();
        let accept = ui.add_enabled(has_reason, egui::Button::new("Accept"));
        let accept = accept.on_hover_text("Accept the finding for this reason (Enter).");
        let accept = accept.on_disabled_hover_text("Write a reason first.");
        let cancel = ui.button("Cancel").on_hover_text("Leave it open (Esc).");
        if accept.clicked() || entered && has_reason {
            accept_for(outbox, view, finding, &text);
        } else if cancel.clicked() || given_up {
            outbox.send(ChecksMessage::Accept(None));
        }
    });
    true
}

/// The message for going to a finding's place: its sheet, with its cells selected if they fit the table.
pub fn go(table: &Table, finding: &Finding) -> ScreenMessage {
    let cells = finding.place.cells();
    let fits = cells.iter().all(|cell| cell.load < table.load().len() && cell.speed < table.speed().len());
    let first = cells.first().copied().filter(|_| fits);
    let selection = first.map(|first| {
        let mut selected = Selection::none(table.load().len(), table.speed().len());
        selected.extend(cells.iter().copied());
        CellSelection { cells: selected, cursor: first, anchor: first }
    });
    ScreenMessage::GoTo(Box::new(finding.clone()), selection)
}

/// Gives the keyboard focus to the field at a finding's place, as soon as its sheet shows one.
pub fn focus(ctx: &egui::Context, finding: &Finding) {
    if let Spot::Field(path) = &finding.place.spot {
        ctx.memory_mut(|memory| memory.request_focus(form::id(path)));
    }
}

/// Accepts a finding for a reason.
pub(in crate::window) fn accept_for(outbox: &mut Outbox, view: &View<'_>, finding: &Finding, reason: &str) {
    match accept(view.document.project(), finding, reason) {
        Ok((_, label)) => {
            outbox.send(ChecksMessage::Accept(None));
            outbox.say(label.clone());
            outbox.edit(label, DocumentEdit::AcceptFinding(Box::new(finding.clone()), reason.to_owned()));
        }
        Err(error) => outbox.complain(capital(&error.to_string())),
    }
}

/// Makes an accepted finding count again.
pub(in crate::window) fn take_back(outbox: &mut Outbox, view: &View<'_>, finding: &Finding) {
    match take_back_acceptance(view.document.project(), finding) {
        Ok((_, label)) => {
            outbox.say(label.clone());
            outbox.edit(label, DocumentEdit::TakeBackAcceptance(Box::new(finding.clone())));
        }
        Err(fault) => outbox.complain(fault.to_string()),
    }
}
