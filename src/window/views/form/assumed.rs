//! Assumed values are marked, and confirmed on the spot: by a click on the word, or with Enter in the field.

use eframe::egui::{self, Align, Id, Rect, Role, Sense, WidgetInfo, pos2, vec2};

use super::bound::Bound;
use super::row::RowPlaces;
use super::tip;
use crate::compare::value_words;
use crate::window::kit::theme::view_sizes::{ASSUMED_INSET, FORM_SIZES};
use crate::window::kit::theme::{Theme, color, elided, hairline, ring};
use crate::window::state::edits::DocumentEdit;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;
use crate::wording::lower_first;

/// The word beside a value that nobody has confirmed.
const WORD: &str = "assumed";

/// The width of the word, with the room around it.
fn width(ui: &egui::Ui, theme: &Theme) -> f32 {
    let ink = color(theme.palette.ink);
    let galley = ui.painter().layout_no_wrap(WORD.to_owned(), theme.small_font(), ink);
    galley.size().x.ceil() + 2.0 * FORM_SIZES.padding
}

/// Marks the assumed values among the paths: a dashed outline around the controls, and the word before them, over the
/// end of the label if there is no room.
pub(in crate::window) fn mark(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    places: &RowPlaces,
    controls: &[(Rect, &str)],
) {
    let assumed: Vec<&(Rect, &str)> = controls.iter().filter(|(_, path)| view.project.is_assumed(path)).collect();
    let Some((first, _)) = assumed.first().map(|(rect, path)| (*rect, *path)) else {
        return;
    };
    assumed.iter().for_each(|(rect, _)| outline(ui.painter(), view.theme, *rect));
    let left = controls.iter().map(|(rect, _)| rect.left()).fold(first.left(), f32::min);
    let size = vec2(width(ui, view.theme), places.whole.height());
    let at = pos2(left - FORM_SIZES.gap / 2.0 - size.x, places.whole.top());
    let paths: Vec<String> = assumed.iter().map(|(_, path)| (*path).to_owned()).collect();
    word(ui, view, outbox, Rect::from_min_size(at, size), &paths);
}

/// The clickable word.
fn word(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect, paths: &[String]) {
    let Some(first) = paths.first() else { return };
    let (theme, palette) = (view.theme, view.theme.palette);
    let told: Vec<String> = paths.iter().filter_map(|path| words(view, path)).collect();
    let what = if told.is_empty() { "it".to_owned() } else { told.join(", ") };
    let response = ui.interact(rect, Id::unique(("form assumed", first.as_str())), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Confirm {what}, assumed")));
    let ground = rect.shrink2(vec2(0.0, ASSUMED_INSET));
    if response.hovered() || response.has_focus() {
        ui.painter().rect_filled(ground, theme.inner_radius(), color(palette.field_hover));
    }
    if response.has_focus() {
        let stroke = ring(color(palette.ink));
        ui.painter().rect_stroke(ground, theme.inner_radius(), stroke, egui::StrokeKind::Inside);
        if response.gained_focus() {
            super::show_whole(ui, &response);
        }
    }
    let room = rect.shrink2(vec2(FORM_SIZES.padding, 0.0));
    elided(ui, room, WORD, theme.small_font()).paint(ui, Align::Min, color(palette.ink_secondary));
    let text = format!(
        "{what}\nIt came with the new project, and nobody has confirmed it. Click this word when it is right for your \
         engine, or press Enter in the field; another value is yours at once."
    );
    tip(&response, &text);
    if response.clicked() {
        outbox.edit(format!("Confirm {what}"), DocumentEdit::Confirm(paths.to_owned(), what));
    }
}

/// 'coil resistance: 0.5 Ω'.
fn words(view: &View<'_>, path: &str) -> Option<String> {
    match Bound::of(view, path) {
        Some(bound) => Some(format!("{}: {}", lower_first(&bound.name), value_words(bound.value, bound.unit))),
        None => {
            let list = crate::project::field(&format!("{path}[0]"))?;
            Some(lower_first(list.label))
        }
    }
}

/// A dashed outline in place of the solid one.
pub(in crate::window) fn outline(painter: &egui::Painter, theme: &Theme, rect: Rect) {
    let inside = rect.shrink(0.5);
    let ground = ring(color(theme.palette.paper));
    painter.rect_stroke(rect, theme.inner_radius(), ground, egui::StrokeKind::Inside);
    let stroke = hairline(color(theme.palette.ink));
    let corners =
        [inside.left_top(), inside.right_top(), inside.right_bottom(), inside.left_bottom(), inside.left_top()];
    painter.extend(egui::Shape::dashed_line(&corners, stroke, FORM_SIZES.dash, FORM_SIZES.dash));
}
