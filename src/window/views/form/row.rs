//! A row: label, control, and what is wrong with its text.

use eframe::egui::{self, Align, Align2, Rect, Role, Sense, WidgetInfo, pos2, vec2};

use super::bound::Bound;
use super::{assumed, field, tip};
use crate::checks::Severity;
use crate::project::FieldKind;
use crate::window::kit::marks;
use crate::window::kit::theme::kit_sizes::{MARK, MARK_GAP};
use crate::window::kit::theme::view_sizes::FORM_SIZES;
use crate::window::kit::theme::{Theme, color, elided, elided_middle};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// Where the parts of a row are.
#[derive(Clone, Copy, Debug)]
pub struct RowPlaces {
    /// All of it.
    pub whole: Rect,
    /// The label.
    pub label: Rect,
    /// Everything to the right of the label.
    pub rest: Rect,
}

impl RowPlaces {
    /// A control of a width: all controls of a column end on its right edge.
    pub fn at_end(&self, width: f32) -> Rect {
        self.whole.with_min_x(self.whole.right() - width)
    }

    /// Where something is said of a control that begins at `left`: before it, and after the usual label if there is room.
    pub fn before(&self, left: f32) -> Rect {
        let right = left - FORM_SIZES.gap;
        self.whole.with_min_x(self.label.right().min(right - MARK.x - FORM_SIZES.gap)).with_max_x(right)
    }
}

/// Allocates the space of a row. In a wide column it ends before the column does, so that a control stays near its label.
pub fn room(ui: &mut egui::Ui) -> RowPlaces {
    let width = ui.available_width().min(FORM_SIZES.most_row);
    let (whole, _) = ui.allocate_exact_size(vec2(width, ui.spacing().interact_size.y), Sense::hover());
    let split = whole.left() + FORM_SIZES.label_width;
    RowPlaces {
        whole,
        label: Rect::from_min_max(whole.min, pos2(split, whole.bottom())),
        rest: Rect::from_min_max(pos2(split + FORM_SIZES.gap, whole.top()), whole.max),
    }
}

/// Draws a label, left-aligned, shortened in the middle if there is no room.
pub fn label(ui: &egui::Ui, theme: &Theme, rect: Rect, text: &str) {
    elided_middle(ui, rect, text, theme.body_font()).write(ui, Align::Min, color(theme.palette.ink));
}

/// The mark of an error and words beside a refused value; the full words are its tooltip.
pub fn remark(ui: &mut egui::Ui, theme: &Theme, rect: Rect, key: &str, words: &str) {
    let ink = color(theme.palette.error);
    let mark = Rect::from_center_size(pos2(rect.left() + MARK.x / 2.0, rect.center().y), MARK);
    ui.painter().add(marks::severity(mark, Severity::Error, ink));
    let left = mark.right() + MARK_GAP;
    let room = Rect::from_min_max(pos2(left, rect.top()), rect.max);
    elided(ui, room, words, theme.small_font()).paint(ui, Align::Min, ink);
    let response = ui.interact(rect, egui::Id::unique(("form remark", key)), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words));
    tip(&response, words);
}

/// A row for a field of the project by its path, with the label of the catalogue.
pub fn row(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, path: &str) {
    let name = crate::project::field(path).map_or(path, |field| field.label);
    row_named(ui, view, outbox, path, name);
}

/// The same with another label, for where a heading says the rest of the name.
pub fn row_named(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, path: &str, text: &str) {
    row_of(ui, view, outbox, text, &[path]);
}

/// One label and several fields side by side, such as a voltage and what it stands for.
pub fn row_of(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, text: &str, paths: &[&str]) {
    let places = room(ui);
    let mut refused = None;
    let mut fields = Vec::new();
    for path in paths {
        match Bound::of(view, path) {
            Some(bound) => fields.push((width(ui, view.theme, &bound, places.rest.width()), *path, bound)),
            None => refused = Some(((*path).to_owned(), "there is no such field".to_owned())),
        }
    }
    let gaps = FORM_SIZES.gap * fields.len().saturating_sub(1) as f32;
    let first = places.whole.right() - fields.iter().map(|(width, ..)| width).sum::<f32>() - gaps;
    let mut left = first;
    let mut controls = Vec::new();
    for (width, path, bound) in &fields {
        let rect = Rect::from_min_size(pos2(left, places.rest.top()), vec2(*width, places.rest.height()));
        left = rect.right() + FORM_SIZES.gap;
        controls.push((rect, *path));
        if let Some(why) = field::show(ui, view, outbox, rect, bound) {
            refused = Some(((*path).to_owned(), why));
        }
    }
    let is_marked = refused.is_some() || paths.iter().any(|path| view.project.is_assumed(path));
    let end = if is_marked { places.label.right().min(first - FORM_SIZES.gap) } else { first - FORM_SIZES.gap };
    label(ui, view.theme, places.whole.with_max_x(end), text);
    if let Some((key, words)) = refused {
        remark(ui, view.theme, places.before(first), &key, &words);
    } else {
        assumed::mark(ui, view, outbox, &places, &controls);
    }
}

/// Marks those controls of a row whose values are assumed; each comes with the path of its field.
pub fn assumed_at(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    places: &RowPlaces,
    controls: &[(Rect, &str)],
) {
    assumed::mark(ui, view, outbox, places, controls);
}

fn width(ui: &egui::Ui, theme: &Theme, bound: &Bound<'_>, room: f32) -> f32 {
    match bound.kind {
        FieldKind::Text { .. } => room,
        FieldKind::Flag => ui.spacing().icon_width,
        FieldKind::Choice(names) => {
            let words: Vec<String> = names.iter().map(|name| name.replace('_', " ")).collect();
            let words: Vec<&str> = words.iter().map(String::as_str).collect();
            let row = super::choice::row_width(ui, theme, &words);
            if row <= room { row } else { room.min(super::choice::list_width(ui, theme, &words)) }
        }
        _ => FORM_SIZES.field_width,
    }
}

/// A row with something that cannot be changed here: a label and text.
pub fn fact(ui: &mut egui::Ui, theme: &Theme, text: &str, value: &str) {
    let places = room(ui);
    let ink = color(theme.palette.ink);
    let named = elided_middle(ui, places.label, text, theme.body_font()).paint(ui, Align::Min, ink);
    let rest = places.whole.with_min_x(named.right() + FORM_SIZES.gap);
    elided(ui, rest, value, theme.body_font()).paint(ui, Align::Max, ink);
    let response = ui.interact(places.whole, ui.scope_id().with(("form fact", text)), Sense::hover());
    let words = format!("{text}: {value}");
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    tip(&response, &words);
}

/// Small secondary words below rows, on as many lines as they need.
pub fn note(ui: &mut egui::Ui, theme: &Theme, words: &str) {
    let ink = color(theme.palette.ink_secondary);
    ui.add_space(FORM_SIZES.row_gap);
    ui.add(egui::Label::new(egui::RichText::new(words).size(theme.small).color(ink)).wrap().selectable(false));
}

/// A unit or word in small text after a control.
pub fn small(ui: &egui::Ui, theme: &Theme, at: egui::Pos2, words: &str) {
    ui.painter().text(at, Align2::LEFT_CENTER, words, theme.small_font(), color(theme.palette.ink_secondary));
}
