//! The selected item in numbers: the project's value, the count that stands for it, and what the unit reads. The decimal
//! points of a column stand below each other.

use eframe::egui::{
    self, Align, Align2, Color32, FontId, Painter, Pos2, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, WidgetInfo,
    pos2, vec2,
};

use super::kept::{Kept, Span, pick};
use crate::image::{EncodedItem, Quantity};
use crate::project::Project;
use crate::window::kit::theme::{color, elided};
use crate::window::state::export_state::Part;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;
use crate::wording::{Unit, one_line, settle, signed, with_unit, written};

/// Right edges of the columns as shares of the width; the first is left-aligned.
const COLUMNS: [(&str, f32); 5] =
    [("project", 0.48), ("raw", 0.60), ("in the image", 0.745), ("change", 0.90), ("at", 1.0)];

/// What the view keeps between frames: the lines of the selected item.
#[derive(Default)]
pub(super) struct NumbersView {
    of: Option<(Project, Part)>,
    lines: Vec<Line>,
    /// The longest text from the decimal point on, of each column.
    fractions: [String; 5],
}

impl NumbersView {
    fn settle(&mut self, kept: &Kept, part: Part, encoded: &EncodedItem) {
        if self.of.as_ref().is_some_and(|(of, at)| of.is_same(&kept.project) && *at == part) {
            return;
        }
        self.lines = (0..encoded.raws.len()).map(|index| Line::of(encoded, index)).collect();
        self.fractions = std::array::from_fn(|column| {
            let all = self.lines.iter().filter_map(|line| Some(at_point(line.columns.get(column)?).1));
            all.max_by_key(|fraction| fraction.chars().count()).unwrap_or_default().to_owned()
        });
        self.of = Some((kept.project.clone(), part));
    }
}

/// A number before its decimal point, and from it on.
fn at_point(number: &str) -> (&str, &str) {
    number.split_at(number.find('.').unwrap_or(number.len()))
}

/// Paints a number with its decimal point at a place.
fn paint_at_point(painter: &Painter, point: Pos2, number: &str, font: &FontId, ink: Color32) {
    let (whole, fraction) = at_point(number);
    painter.text(point, Align2::RIGHT_CENTER, whole, font.clone(), ink);
    painter.text(point, Align2::LEFT_CENTER, fraction, font.clone(), ink);
}

/// The name of a column with its unit, or as much of it as there is room for.
fn column_name(ui: &egui::Ui, view: &View<'_>, (name, unit): (&str, Unit), width: f32) -> String {
    let has_unit = !matches!(name, "raw" | "at") && !unit.is_none();
    let whole = if has_unit { format!("{name} {unit}") } else { name.to_owned() };
    let short = name.rsplit(' ').next().unwrap_or(name).to_owned();
    let font = view.theme.small_font();
    let fits =
        |text: &String| ui.painter().layout_no_wrap(text.clone(), font.clone(), Color32::PLACEHOLDER).size().x <= width;
    [whole, name.to_owned()].into_iter().find(fits).unwrap_or(short)
}

/// Draws the numbers into the rest of `ui`; gives what the pointer is over.
pub(super) fn show(
    ui: &mut egui::Ui,
    view: &View<'_>,
    kept: &Kept,
    numbers: &mut NumbersView,
    outbox: &mut Outbox,
) -> Option<String> {
    ui.spacing_mut().item_spacing.y = 0.0;
    let theme = view.theme;
    let Some((span, encoded)) = selected(view, kept) else {
        let words = match &kept.image {
            Err(error) => format!("There is no image: {error}."),
            Ok(_) => "Select an item to see its numbers.".to_owned(),
        };
        ui.add(egui::Label::new(words).wrap());
        return None;
    };
    let unit = Quantity::of(&encoded.item, &kept.project).unit;
    let (head, _) = ui.allocate_exact_size(vec2(ui.available_width(), theme.export.line_height), Sense::hover());
    let right = |rect: Rect, share: f32| rect.left() + share * (rect.width() - theme.margin);
    let weak = color(theme.palette.ink_secondary);
    let mut from = head.left() + theme.gap;
    for (place, (name, share)) in COLUMNS.into_iter().enumerate() {
        let end = right(head, share);
        let name = column_name(ui, view, (name, unit), end - from - theme.gap);
        let text = Rect::from_min_max(pos2(from + theme.gap, head.top()), pos2(end, head.bottom()));
        let own = elided(ui, text, name, theme.small_font()).paint(ui, Align::Max, weak);
        if place == 0 {
            let rest = head.with_min_x(from).with_max_x(own.left() - theme.gap);
            elided(ui, rest, span.name.as_str(), theme.small_font()).paint(ui, Align::Min, weak);
        }
        from = end;
    }
    numbers.settle(kept, span.part, encoded);
    let fonts = COLUMNS.map(|(name, _)| if name == "at" { theme.address_font() } else { theme.body_font() });
    let after_point: [f32; 5] = std::array::from_fn(|column| {
        let text = numbers.fractions[column].clone();
        ui.painter().layout_no_wrap(text, fonts[column].clone(), weak).size().x
    });
    let mut pointed = None;
    let height = theme.export.line_height;
    ScrollArea::vertical().id_salt("numbers of the item").auto_shrink(false).show_rows(
        ui,
        height,
        numbers.lines.len(),
        |ui, rows| {
            for (index, line) in numbers.lines.iter().enumerate().skip(rows.start).take(rows.len()) {
                let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::click());
                let address = encoded.address_of(index);
                let is_selected = view.screen.export.byte.is_some_and(|byte| kept.number_at(byte).start == address);
                let told = line.told(span, unit);
                response.widget_info(|| WidgetInfo::selected(Role::ListItem, true, is_selected, &told));
                if response.hovered() {
                    ui.painter().rect_filled(rect, 0.0, color(theme.palette.field_hover));
                    pointed = Some(kept.words(address));
                }
                if is_selected {
                    ui.painter().rect_filled(rect, 0.0, color(theme.palette.selection));
                    let stroke = Stroke::new(theme.selection_width, color(theme.palette.accent));
                    ui.painter().rect_stroke(rect, 0.0, stroke, StrokeKind::Inside);
                }
                let ink = color(theme.palette.ink);
                let at = pos2(rect.left() + theme.gap, rect.center().y);
                ui.painter().text(at, Align2::LEFT_CENTER, &line.place, theme.body_font(), ink);
                for (column, text) in line.columns.iter().enumerate() {
                    let point = pos2(right(rect, COLUMNS[column].1) - after_point[column], rect.center().y);
                    paint_at_point(ui.painter(), point, text, &fonts[column], ink);
                }
                if response.clicked() {
                    pick(kept, address, outbox);
                }
            }
        },
    );
    pointed
}

fn selected<'a>(view: &View<'_>, kept: &'a Kept) -> Option<(&'a Span, &'a EncodedItem)> {
    let Part::Item(place) = view.screen.export.part else {
        return None;
    };
    let span = kept.span_of(Part::Item(place))?;
    Some((span, kept.image.as_ref().ok()?.items.get(place)?))
}

struct Line {
    place: String,
    columns: [String; 5],
}

impl Line {
    fn of(encoded: &EncodedItem, index: usize) -> Self {
        let number = |value: f64| written(settle(value));
        let (wanted, stored) = (encoded.wanted.get(index).copied().unwrap_or(f64::NAN), encoded.value(index));
        let change = stored - wanted;
        let change = if change.abs() <= 1e-9 { String::new() } else { signed(change, decimals(change)) };
        let raw = encoded.raws.get(index).map_or_else(String::new, ToString::to_string);
        let place = encoded.place(index).to_string();
        let place = place.trim_start_matches([',', ' ']).trim_start_matches("at ").to_owned();
        let place = if place.is_empty() { "value".to_owned() } else { place };
        Self {
            place,
            columns: [number(wanted), raw, number(stored), change, format!("{:04X}", encoded.address_of(index))],
        }
    }

    fn told(&self, span: &Span, unit: Unit) -> String {
        let [wanted, raw, stored, _, address] = &self.columns;
        format!(
            "{} {}: {} in the project, raw {raw}, {} in the image, at {address}",
            one_line(&span.name),
            self.place,
            with_unit(wanted, unit),
            with_unit(stored, unit)
        )
    }
}

/// Enough decimals to see a change.
fn decimals(change: f64) -> usize {
    match change.abs() {
        size if size >= 0.095 => 2,
        size if size >= 0.000_95 => 4,
        _ => 7,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_parted_at_its_point() {
        for (number, parts) in [("12", ("12", "")), ("12.25", ("12", ".25")), ("+0.5", ("+0", ".5")), ("", ("", ""))] {
            assert_eq!(at_point(number), parts);
        }
    }
}
