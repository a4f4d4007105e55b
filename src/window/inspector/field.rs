//! A number that can be typed over in the middle of a sentence.

use eframe::egui::text::{CCursor, CCursorRange};
use eframe::egui::text_edit::TextEditState;
use eframe::egui::{self, Align2, Id, Key, Margin, Modifiers, Rect, TextEdit, UiBuilder, pos2, vec2};

use super::fields::Field;
use crate::table::shortest;
use crate::window::theme::color;
use crate::window::{Outbox, View};

/// What happened to a field in this frame.
#[derive(Clone, Copy, Debug, Default)]
pub struct Touched {
    /// Whether it has the keyboard.
    pub focused: bool,
    /// Whether Enter was pressed in it.
    pub entered: bool,
}

/// Distance of text from a field's edge.
const PADDING: f32 = 3.0;

/// A number exactly, with at least one decimal and a true minus sign.
pub fn exact(value: f64) -> String {
    let text = shortest(value);
    let text = if text.contains(['.', 'e']) { text } else { format!("{text}.0") };
    text.replace('-', "\u{2212}")
}

/// How a field shows its number.
pub fn shown(field: Field, value: f64) -> String {
    match field {
        Field::Breakpoint(..) | Field::InsertAt | Field::Speeds | Field::Loads => {
            shortest(value).replace('-', "\u{2212}")
        }
        Field::Repeat if value > 0.0 => format!("+{}", exact(value)),
        _ => exact(value),
    }
}

/// How wide a field must be; the same for all usual numbers, so that nothing jumps.
pub fn width(ui: &egui::Ui, view: &View<'_>, field: Field, value: f64) -> f32 {
    let usual = match field {
        Field::Breakpoint(..) | Field::InsertAt => "00000",
        Field::Repeat | Field::Raise => "+0.0",
        Field::Fair | Field::LiftRadius | Field::LiftBy => "0.0",
        Field::Speeds | Field::Loads => "00",
        _ => "00.0",
    };
    let number = text_width(ui, view, usual).max(text_width(ui, view, &shown(field, value)));
    let unit = unit_width(ui, view, &unit(view, field));
    2.0 * PADDING + number.ceil() + unit + 2.0
}

fn unit(view: &View<'_>, field: Field) -> String {
    field.unit(view.project.sensors.load, view.screen.inspector.breakpoints.along)
}

fn text_width(ui: &egui::Ui, view: &View<'_>, text: &str) -> f32 {
    ui.painter().layout_no_wrap(text.to_owned(), view.theme.body_font(), egui::Color32::BLACK).size().x
}

fn unit_width(ui: &egui::Ui, view: &View<'_>, unit: &str) -> f32 {
    if unit.is_empty() {
        return 0.0;
    }
    let font = if unit == "°" { view.theme.body_font() } else { view.theme.small_font() };
    let gap = if unit.starts_with('°') { 0.0 } else { 3.0 };
    ui.painter().layout_no_wrap(unit.to_owned(), font, egui::Color32::BLACK).size().x.ceil() + gap
}

/// The text a field holds now: what is being typed, or its number.
fn text(view: &View<'_>, field: Field, value: f64) -> String {
    match &view.screen.inspector.typing {
        Some((typed, text)) if *typed == field => text.clone(),
        _ => shown(field, value),
    }
}

/// Whether what is being typed into the field is no number it can take; why.
pub fn fault(view: &View<'_>, field: Field) -> Option<String> {
    let (typed, text) = view.screen.inspector.typing.as_ref()?;
    if *typed == field { field.read(text).err() } else { None }
}

/// Draws a field in the first of `places`, its tooltip beside the second. Up and Down step it, ten steps with Shift.
pub fn show(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    places: [Rect; 2],
    field: Field,
    value: f64,
) -> Touched {
    let [rect, beside] = places;
    let id = Id::unique(("inspector field", field));
    let has_focus = ui.memory(|memory| memory.has_focus(id));
    let mut text = text(view, field, value);
    let before = text.clone();
    if has_focus {
        step(ui, view, field, &mut text);
    }
    paint_ground(ui, view, rect, has_focus, fault(view, field).is_some());
    let unit = unit(view, field);
    let text_rect = Rect::from_min_max(
        pos2(rect.left() + PADDING, rect.top()),
        pos2(rect.right() - PADDING - unit_width(ui, view, &unit), rect.bottom()),
    );
    let edit = TextEdit::singleline(&mut text)
        .id(id)
        .frame(egui::Frame::NONE)
        .margin(Margin::ZERO)
        .font(view.theme.body_font())
        .align(Align2::RIGHT_CENTER)
        .min_size(text_rect.size())
        .desired_width(text_rect.width());
    let mut inside = ui.new_child(UiBuilder::new().max_rect(text_rect));
    inside.spacing_mut().interact_size.y = 0.0;
    let response = inside.add(edit);
    super::tip_beside(&response, beside, tooltip(view, field));
    ui.ctx().accesskit_node_builder(id, |node| node.set_label(field.name()));
    paint_unit(ui, view, rect, &unit);
    if response.gained_focus() {
        select_all(ui.ctx(), id, &text);
        response.scroll_to_me(None);
    }
    if text != before || response.gained_focus() {
        let typed = text.clone();
        let value = field.read(&text).ok();
        outbox.screen(move |screen| {
            screen.inspector.typing = Some((field, typed));
            if let Some(value) = value {
                field.put(screen, value);
            }
        });
    }
    if response.lost_focus() {
        outbox.screen(move |screen| drop(screen.inspector.typing.take_if(|(typed, _)| *typed == field)));
    }
    let entered = response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter));
    Touched { focused: response.has_focus(), entered }
}

fn tooltip(view: &View<'_>, field: Field) -> String {
    let step = shortest(field.step(view));
    format!(
        "{}: type a number, Enter applies; Up and Down change it by {step}, with Shift ten times that",
        field.name()
    )
}

/// Takes the arrow keys and changes the text by steps.
fn step(ui: &egui::Ui, view: &View<'_>, field: Field, text: &mut String) {
    let pressed = |modifiers, key| ui.input_mut(|input| input.count_and_consume_key(modifiers, key));
    let steps = [
        (pressed(Modifiers::SHIFT, Key::ArrowUp), 10.0),
        (pressed(Modifiers::SHIFT, Key::ArrowDown), -10.0),
        (pressed(Modifiers::NONE, Key::ArrowUp), 1.0),
        (pressed(Modifiers::NONE, Key::ArrowDown), -1.0),
    ];
    for (times, steps) in steps {
        for _ in 0..times {
            if let Ok(value) = field.read(text) {
                *text = shown(field, field.stepped(value, steps, view));
            }
        }
    }
}

fn select_all(ctx: &egui::Context, id: Id, text: &str) {
    let mut state = TextEditState::load(ctx, id).unwrap_or_default();
    let end = CCursor::new(text.chars().count());
    state.cursor.set_char_range(Some(CCursorRange::two(CCursor::new(0), end)));
    state.store(ctx, id);
}

fn paint_ground(ui: &egui::Ui, view: &View<'_>, rect: Rect, has_focus: bool, at_fault: bool) {
    let palette = view.theme.palette;
    let (width, rule) = match (at_fault, has_focus) {
        (true, _) => (2.0, palette.error),
        (false, true) => (1.5, palette.ink),
        (false, false) => (1.0, palette.rule_strong),
    };
    let stroke = egui::Stroke::new(width, color(rule));
    ui.painter().rect(rect, f32::from(view.theme.radius) - 1.0, color(palette.paper), stroke, egui::StrokeKind::Inside);
}

fn paint_unit(ui: &egui::Ui, view: &View<'_>, rect: Rect, unit: &str) {
    let font = if unit == "°" { view.theme.body_font() } else { view.theme.small_font() };
    let at = rect.right_center() - vec2(PADDING, 0.0);
    ui.painter().text(at, Align2::RIGHT_CENTER, unit, font, color(view.theme.palette.ink_secondary));
}
