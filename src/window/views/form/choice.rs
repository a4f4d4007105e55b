//! One of a few names: side by side where there is room, else as a list that opens.

use eframe::egui::{
    self, Align2, Color32, ComboBox, Id, Rect, Role, Sense, StrokeKind, UiBuilder, WidgetInfo, pos2, vec2,
};

use super::tip;
use crate::window::kit::theme::kit_sizes::{HAIRLINE, RING_INSET, ROUNDING};
use crate::window::kit::theme::view_sizes::{CHOICE_PADDING, FORM_SIZES};
use crate::window::kit::theme::{Theme, color, hairline, ring, strong_text};

/// Names to choose from.
pub struct Choice<'a> {
    /// Its id.
    pub key: &'a str,
    /// Its name for people who cannot see where it is.
    pub name: &'a str,
    /// The names.
    pub words: &'a [&'a str],
    /// Which one is chosen now.
    pub now: Option<usize>,
    /// What it is, and its keys.
    pub tooltip: &'a str,
}

/// Draws the names; returns the one that was chosen, unless it was chosen already.
pub fn show(ui: &mut egui::Ui, theme: &Theme, rect: Rect, choice: &Choice<'_>) -> Option<usize> {
    let widths: Vec<f32> = choice.words.iter().map(|word| width(ui, theme, word)).collect();
    let taken = if widths.iter().sum::<f32>() <= rect.width() {
        row(ui, theme, rect, choice, &widths)
    } else {
        list(ui, rect, choice)
    };
    taken.filter(|taken| Some(*taken) != choice.now)
}

/// The same at the right end of a rectangle, where the controls of a form end.
pub fn show_at_end(ui: &mut egui::Ui, theme: &Theme, rect: Rect, choice: &Choice<'_>) -> Option<usize> {
    let row = row_width(ui, theme, choice.words);
    let width = if row <= rect.width() { row } else { list_width(ui, theme, choice.words).min(rect.width()) };
    show(ui, theme, rect.with_min_x(rect.right() - width), choice)
}

/// The width of the names side by side.
pub fn row_width(ui: &egui::Ui, theme: &Theme, words: &[&str]) -> f32 {
    words.iter().map(|word| width(ui, theme, word)).sum()
}

/// The width of the longest name in a list, with its arrow.
pub fn list_width(ui: &egui::Ui, theme: &Theme, words: &[&str]) -> f32 {
    let spacing = ui.spacing();
    let arrow = spacing.icon_width + spacing.icon_spacing + 2.0 * spacing.button_padding.x;
    words.iter().map(|word| width(ui, theme, word)).fold(0.0, f32::max) + arrow
}

fn width(ui: &egui::Ui, theme: &Theme, word: &str) -> f32 {
    let text = ui.painter().layout_no_wrap(word.to_owned(), theme.body_font(), Color32::BLACK).size().x;
    (text + ROUNDING).ceil() + 2.0 * (FORM_SIZES.padding + CHOICE_PADDING)
}

fn row(ui: &mut egui::Ui, theme: &Theme, rect: Rect, choice: &Choice<'_>, widths: &[f32]) -> Option<usize> {
    let palette = theme.palette;
    let whole = Rect::from_min_size(rect.min, vec2(widths.iter().sum(), rect.height()));
    let radius = theme.inner_radius();
    let mut taken = None;
    let mut left = whole.left();
    for (place, (word, width)) in choice.words.iter().zip(widths).enumerate() {
        let part = Rect::from_min_size(pos2(left, whole.top()), vec2(*width, whole.height()));
        left += width;
        let is_now = choice.now == Some(place);
        let response = ui.interact(part, Id::unique(("form choice", choice.key, place)), Sense::click());
        let name = format!("{}: {word}", choice.name);
        response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, is_now, &name));
        tip(&response, choice.tooltip);
        if response.gained_focus() {
            super::show_whole(ui, &response);
        }
        let fill = match () {
            () if is_now => palette.field_pressed,
            () if response.hovered() => palette.field_hover,
            () => palette.paper,
        };
        ui.painter().rect_filled(part.shrink(HAIRLINE), radius, color(fill));
        if response.has_focus() {
            let stroke = ring(color(palette.ink));
            ui.painter().rect_stroke(part.shrink(RING_INSET), radius, stroke, StrokeKind::Inside);
        }
        let font = theme.body_font();
        if is_now {
            strong_text(ui.painter(), part.center(), Align2::CENTER_CENTER, *word, font, color(palette.ink));
        } else {
            ui.painter().text(part.center(), Align2::CENTER_CENTER, *word, font, color(palette.ink_secondary));
        }
        if place > 0 {
            ui.painter().vline(part.left(), part.y_range(), hairline(color(palette.rule_strong)));
        }
        if response.clicked() {
            taken = Some(place);
        }
    }
    ui.painter().rect_stroke(whole, radius, hairline(color(palette.rule_strong)), StrokeKind::Inside);
    taken
}

fn list(ui: &mut egui::Ui, rect: Rect, choice: &Choice<'_>) -> Option<usize> {
    let mut taken = None;
    let mut inner = ui.new_child(UiBuilder::new().max_rect(rect).id_salt(choice.key));
    let now = choice.now.and_then(|now| choice.words.get(now)).copied().unwrap_or_default();
    let list = ComboBox::from_id_salt(("form list", choice.key)).width(rect.width()).selected_text(now).truncate();
    let shown = list.show_ui(&mut inner, |ui| {
        for (place, word) in choice.words.iter().enumerate() {
            if ui.selectable_label(choice.now == Some(place), *word).clicked() {
                taken = Some(place);
            }
        }
    });
    let name = choice.name.to_owned();
    ui.ctx().accesskit_node_builder(shown.response.id, |node| node.set_label(name));
    tip(&shown.response, choice.tooltip);
    taken
}
