//! Lines of the sheet's lists: texts in columns, links, arrows.

use eframe::egui::{self, Align, Button, Layout, Rect, Response, RichText, Role, UiBuilder, WidgetInfo, pos2, vec2};

use crate::window::kit::theme::gaps::LINK_PADDING;
use crate::window::kit::theme::{Theme, color, label_in_middle};

/// A text in a rectangle, cut in its middle where there is no room, with the whole text as tooltip.
pub(super) fn text(ui: &mut egui::Ui, rect: Rect, align: Align, text: RichText) -> Response {
    let layout = match align {
        Align::Max => Layout::right_to_left(Align::Center),
        _ => Layout::left_to_right(Align::Center),
    };
    let mut inner = ui.new_child(UiBuilder::new().max_rect(rect).layout(layout));
    label_in_middle(&mut inner, text)
}

/// A button that looks like a word, at the right end of a rectangle; `name` says what it does.
pub(super) fn link(ui: &mut egui::Ui, rect: Rect, word: &str, name: &str, theme: &Theme) -> Response {
    let mut inner = ui.new_child(UiBuilder::new().max_rect(rect).layout(Layout::right_to_left(Align::Center)));
    inner.spacing_mut().button_padding = LINK_PADDING;
    let button = Button::new(RichText::new(word).color(color(theme.palette.ink)).underline()).frame(false);
    let response = inner.add(button);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, name));
    response
}

/// A column of a line.
pub(super) fn column(line: Rect, left: f32, width: f32) -> Rect {
    Rect::from_min_size(pos2(line.left() + left, line.top()), vec2(width.max(0.0), line.height()))
}

/// A line of a list: all of the width, so high.
pub(super) fn line(ui: &mut egui::Ui, height: f32) -> Rect {
    ui.allocate_exact_size(vec2(ui.available_width(), height), egui::Sense::hover()).0
}

/// Second-rank text.
pub(super) fn second(text: impl Into<String>, theme: &Theme) -> RichText {
    RichText::new(text).color(color(theme.palette.ink_secondary))
}

/// Small second-rank text.
pub(super) fn small(text: impl Into<String>, theme: &Theme) -> RichText {
    second(text, theme).size(theme.small)
}
