//! The two buttons that raise and lower as long as they are held.

use eframe::egui::{self, Align2, Id, Rect, Role, Sense, StrokeKind, WidgetInfo, vec2};

use crate::shaping::Tool;
use crate::window::kit::theme::view_sizes::HOLD_LINES;
use crate::window::kit::theme::{color, hairline, strong_line};
use crate::window::state::commands::Command;
use crate::window::state::outbox::{Action, Outbox};
use crate::window::views::view::View;
use crate::wording::{Unit, with_unit};

/// Draws 'Lower' and 'Raise' side by side in `rect`; ten steps while Shift is down.
pub(in crate::window) fn show(ui: &egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    let shift = ui.input(|input| input.modifiers.shift);
    let step = view.project.step_deg * if shift { 10.0 } else { 1.0 };
    let (lower, raise) = if shift { (Command::LowerTen, Command::RaiseTen) } else { (Command::Lower, Command::Raise) };
    let width = (rect.width() - view.theme.gap) / 2.0;
    let size = vec2(width, rect.height());
    button(ui, view, outbox, Rect::from_min_size(rect.min, size), lower, -step);
    let right = Rect::from_min_size(rect.min + vec2(width + view.theme.gap, 0.0), size);
    button(ui, view, outbox, right, raise, step);
}

fn button(ui: &egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect, command: Command, by_deg: f64) {
    let verb = if by_deg < 0.0 { "Lower" } else { "Raise" };
    let response = ui.interact(rect, Id::unique(("hold button", verb)), Sense::click());
    let amount = with_unit(&view.degrees(by_deg.abs()), Unit::Degree);
    let name = format!("Hold to {} by {amount}", verb.to_lowercase());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    paint(ui, view, rect, &response, [verb, &amount]);
    let (pressed, released) = ui.input(|input| (input.pointer.primary_pressed(), input.pointer.primary_released()));
    if pressed && response.is_pointer_button_down_on() {
        outbox.send(Action::NudgeStart(by_deg));
    } else if response.clicked() && (pressed || !released) {
        // Pressed and released within one frame, or pressed by the keyboard or a screen reader.
        outbox.shape(Tool::Add { deg: by_deg }, view.selection.cells.clone());
    }
    let keys = view.keys.tooltip(command);
    response.on_hover_text(format!("{keys}\nHold to go on; it is one step. Shift: ten steps."));
}

fn paint(ui: &egui::Ui, view: &View<'_>, rect: Rect, response: &egui::Response, lines: [&str; 2]) {
    let theme = view.theme;
    let palette = theme.palette;
    let fill = match () {
        () if response.is_pointer_button_down_on() => palette.field_pressed,
        () if response.hovered() => palette.field_hover,
        () => palette.field,
    };
    let stroke =
        if response.has_focus() { strong_line(color(palette.ink)) } else { hairline(color(palette.rule_strong)) };
    ui.painter().rect(rect, f32::from(theme.radius), color(fill), stroke, StrokeKind::Inside);
    let centre = rect.center();
    let body = theme.body_font();
    ui.painter().text(centre - vec2(0.0, HOLD_LINES.0), Align2::CENTER_CENTER, lines[0], body, color(palette.ink));
    let second = color(palette.ink_secondary);
    ui.painter().text(centre + vec2(0.0, HOLD_LINES.1), Align2::CENTER_CENTER, lines[1], theme.small_font(), second);
}
