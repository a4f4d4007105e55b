//! The chosen finding: what it is, why it matters, what to do, and the buttons for it.

use eframe::egui::{self, Align, Button, Label, Layout, Rect, RichText, Role, ScrollArea, UiBuilder, WidgetInfo, vec2};

use crate::checks::{Finding, Spot, accept, take_back_acceptance};
use crate::table::{Selection, Table};
use crate::window::kit::theme::engine_sheet_sizes::CHECKS_SIZES;
use crate::window::kit::theme::kit_sizes::ENTRY_GAP;
use crate::window::kit::theme::{color, strong_label};
use crate::window::state::checks_state::{ChecksMessage, FindingKey};
use crate::window::state::edits::DocumentEdit;
use crate::window::state::outbox::{Action, Outbox};
use crate::window::state::screen::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::form;
use crate::window::views::view::View;
use crate::wording::capital;

/// Draws the chosen finding into a fixed height: its words scroll, its buttons stay where they are.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, finding: Option<&Finding>, outbox: &mut Outbox) {
    let theme = view.theme;
    let size = vec2(ui.available_width(), CHECKS_SIZES.detail_height);
    let (rect, _) = ui.allocate_exact_size(size, egui::Sense::hover());
    let head = rect.with_max_y(rect.top() + theme.heading_line);
    let line_height = CHECKS_SIZES.line_height.max(ui.spacing().interact_size.y);
    let buttons_height = CHECKS_SIZES.remedy_button_height + line_height + ENTRY_GAP;
    let buttons_at = rect.with_min_y(rect.bottom() - buttons_height);
    let words_at = Rect::from_x_y_ranges(rect.x_range(), head.bottom()..=buttons_at.top() - theme.gap / 2.0);
    let mut part = |rect: Rect, name: &str| ui.new_child(UiBuilder::new().id_salt(name).max_rect(rect));
    let (mut head, mut words, mut below) = (part(head, "head"), part(words_at, "words"), part(buttons_at, "buttons"));
    let Some(finding) = finding else {
        let told = if view.checked.findings.is_empty() { "No finding" } else { "No finding chosen" };
        head.horizontal_centered(|ui| strong_label(ui, told, theme.heading_font()));
        return;
    };
    let title = crate::checks::check(finding.id).map_or(finding.id, |check| check.title);
    head.horizontal_centered(|ui| strong_label(ui, title, theme.heading_font()));
    ScrollArea::vertical().id_salt("words").auto_shrink(false).show(&mut words, |ui| {
        ui.set_max_width(ui.available_width() - CHECKS_SIZES.bar_width);
        tell(ui, view, finding);
    });
    below.spacing_mut().item_spacing.y = ENTRY_GAP;
    let key = FindingKey::of(finding);
    match &view.screen.checks.accepting {
        Some((of, reason)) if *of == key => accepting(&mut below, view, finding, reason, outbox),
        _ => buttons(&mut below, view, finding, &key, outbox),
    }
}

fn tell(ui: &mut egui::Ui, view: &View<'_>, finding: &Finding) {
    let theme = view.theme;
    let weak = color(theme.palette.ink_secondary);
    ui.add(Label::new(format!("{}.", capital(&finding.message))).wrap().selectable(false));
    if let Some(reason) = &finding.accepted {
        ui.add(Label::new(format!("Accepted: {reason}")).wrap().selectable(false));
    }
    ui.add(Label::new(RichText::new(finding.why).size(theme.small).color(weak)).wrap().selectable(false));
}

pub(super) fn go_to(ctx: &egui::Context, view: &View<'_>, finding: &Finding, outbox: &mut Outbox) {
    focus(ctx, finding);
    outbox.send(go(view.document.project().advance.table(), finding));
}

/// The remedy on lines of its own, which are kept where there is none, and below it what else can be done.
fn buttons(ui: &mut egui::Ui, view: &View<'_>, finding: &Finding, key: &FindingKey, outbox: &mut Outbox) {
    let lines = vec2(ui.available_width(), CHECKS_SIZES.remedy_button_height);
    ui.allocate_ui_with_layout(lines, Layout::bottom_up(Align::Min), |ui| {
        ui.set_min_size(lines);
        if let Some(cure) = finding.cure.as_ref().filter(|_| finding.is_open()) {
            let response = ui.add(Button::new(RichText::new(&cure.label).size(view.theme.small)).wrap());
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &cure.label));
            let tip = "Carry this remedy out as one step; what it would do is shown below.";
            if response.on_hover_text(format!("{}. {tip}", cure.label)).clicked() {
                outbox.send(Action::Cure(cure.clone()));
            }
        }
    });
    ui.horizontal(|ui| {
        let button = |ui: &mut egui::Ui, text: &str, name: &str, tip: &str| {
            let response = ui.button(text);
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
            response.on_hover_text(tip).clicked()
        };
        let place = &finding.place.words;
        if button(ui, "Go there", &format!("Go to {place}: {}", finding.id), "Open its sheet and select its cells.") {
            go_to(ui.ctx(), view, finding, outbox);
        }
        if finding.is_open() {
            let tip = "Say why it is right as it is; it counts again when its value changes.";
            if button(ui, "Accept\u{2026}", &format!("Accept {}: {place}", finding.id), tip) {
                outbox.send(ChecksMessage::Accept(Some(key.clone())));
            }
        } else if button(
            ui,
            "No longer accept",
            &format!("No longer accept {}: {place}", finding.id),
            "Let this finding count again.",
        ) {
            take_back(outbox, view, finding);
        }
    });
}

/// The reason, while it is typed. Enter accepts the finding, Esc cancels.
fn accepting(ui: &mut egui::Ui, view: &View<'_>, finding: &Finding, reason: &str, outbox: &mut Outbox) {
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
