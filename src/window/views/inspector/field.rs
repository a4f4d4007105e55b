//! A number that can be typed over in the middle of a sentence.

use eframe::egui::{self, Align2, Id, Key, Rect};

use crate::window::kit::slider::steps_up;
use crate::window::kit::theme::view_sizes::{CARET_ROOM, FIELD_PADDING, INSPECTOR_MARGIN, INSPECTOR_TIP_WIDTH};
use crate::window::state::inspector_state::{Field, InspectorMessage};
use crate::window::state::outbox::Outbox;
use crate::window::views::form::text_box::{Behind, TextBox, unit_width};
use crate::window::views::view::View;
use crate::wording::{Unit, capital, exact, written};

/// What happened to a field in this frame.
#[derive(Clone, Copy, Debug, Default)]
pub struct Touched {
    /// Whether it has the keyboard focus.
    pub focused: bool,
    /// Whether Enter was pressed in it.
    pub entered: bool,
}

/// How a field shows its number.
pub fn shown(field: Field, value: f64) -> String {
    match field {
        Field::Breakpoint(..) | Field::InsertAt | Field::Speeds | Field::Loads => written(value),
        Field::Amount(number) if number.plus && value > 0.0 => format!("+{}", exact(value)),
        _ => exact(value),
    }
}

/// The width of a field; the same for all usual numbers, so that nothing jumps.
pub fn width(ui: &egui::Ui, view: &View<'_>, field: Field, value: f64) -> f32 {
    let wider = text_width(ui, view, &shown(field, value)).ceil() + around(ui, view, field);
    usual_width(ui, view, field).max(wider)
}

/// The width of a field with a usual number.
pub fn usual_width(ui: &egui::Ui, view: &View<'_>, field: Field) -> f32 {
    let usual = match field {
        Field::Breakpoint(..) | Field::InsertAt => "00000",
        Field::Speeds | Field::Loads => "00",
        Field::Amount(number) => number.usual,
    };
    text_width(ui, view, usual).ceil() + around(ui, view, field)
}

/// What a field has besides its number.
fn around(ui: &egui::Ui, view: &View<'_>, field: Field) -> f32 {
    2.0 * FIELD_PADDING + unit_width(ui, view.theme, Behind::Unit(unit(view, field))) + CARET_ROOM
}

fn unit(view: &View<'_>, field: Field) -> Unit {
    field.unit(view.project.sensors.load, view.screen.inspector.breakpoints.along)
}

fn text_width(ui: &egui::Ui, view: &View<'_>, text: &str) -> f32 {
    ui.painter().layout_no_wrap(text.to_owned(), view.theme.body_font(), egui::Color32::BLACK).size().x
}

/// The present text of a field: what is being typed, or its number.
fn text(view: &View<'_>, field: Field, value: f64) -> String {
    match &view.screen.inspector.typing {
        Some((typed, text)) if *typed == field => text.clone(),
        _ => shown(field, value),
    }
}

/// Why the text being typed into the field cannot be accepted, if it cannot.
pub fn fault(view: &View<'_>, field: Field) -> Option<String> {
    let (typed, text) = view.screen.inspector.typing.as_ref()?;
    if *typed == field { field.read(text).err().map(String::from) } else { None }
}

/// Draws a field in the first of `places`, its ground standing in by so much above and below, with its tooltip beside the
/// second. Up and Down change it by a step, ten with Shift.
pub fn show(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    (places, inset): ([Rect; 2], f32),
    field: Field,
    value: f64,
) -> Touched {
    let [rect, beside] = places;
    let id = Id::unique(("inspector field", field));
    let mut text = text(view, field, value);
    let before = text.clone();
    if ui.memory(|memory| memory.has_focus(id)) {
        step(ui, view, field, &mut text);
    }
    let unit = unit(view, field);
    let at_fault = fault(view, field).is_some();
    let align = Align2::RIGHT_CENTER;
    let text_box =
        TextBox { id, rect, unit: Behind::Unit(unit), at_fault, align, hint: "", padding: FIELD_PADDING, inset };
    let response = text_box.show(ui, view.theme, &mut text);
    tip_beside(&response, beside, tooltip(view, field));
    ui.ctx().accesskit_node_builder(id, |node| node.set_label(field.name()));
    if text != before || response.gained_focus() {
        outbox.send(InspectorMessage::Type(field, text.clone(), field.read(&text).ok()));
    }
    if response.lost_focus() {
        outbox.send(InspectorMessage::Leave(field));
    }
    let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    let fault = fault(view, field).filter(|_| entered);
    if let Some(fault) = &fault {
        // The last valid number is no longer meant: nothing is applied, and the fault is reported.
        outbox.complain(capital(fault));
    }
    Touched { focused: response.has_focus(), entered: entered && fault.is_none() }
}

fn tooltip(view: &View<'_>, field: Field) -> String {
    let step = written(field.step(view));
    format!(
        "{}: type a number, Enter applies; Up and Down change it by {step}, with Shift ten times that",
        field.name()
    )
}

/// Handles the arrow keys by changing the text by steps.
fn step(ui: &egui::Ui, view: &View<'_>, field: Field, text: &mut String) {
    let steps = steps_up(ui);
    if steps == 0.0 {
        return;
    }
    if let Ok(value) = field.read(text) {
        *text = shown(field, field.stepped(value, steps, view));
    }
}

/// A line out to the edge of the inspector: a tooltip beside that covers nothing of the inspector.
pub(super) fn to_the_edge(line: Rect) -> Rect {
    line.with_min_x(line.left() - INSPECTOR_MARGIN)
}

/// A tooltip to the left of `beside`, where it covers neither the list nor what is below it.
pub(super) fn tip_beside(response: &egui::Response, beside: Rect, text: impl Into<egui::WidgetText>) {
    let mut tip = egui::Tooltip::for_enabled(response).width(INSPECTOR_TIP_WIDTH);
    tip.popup = tip.popup.anchor(beside).align(egui::RectAlign::LEFT_START);
    tip.show(|ui| ui.label(text));
}
