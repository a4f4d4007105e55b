//! The breakpoints next to the cells, with those of the cursor emphasised, and the names of both axes.

use eframe::egui::text::{LayoutJob, TextFormat};
use eframe::egui::{self, Align2, Color32, FontId, Painter, Pos2, Rect, Sense, Shape, Vec2, pos2, vec2};

use super::layout::Layout;
use super::spec::{Axis, Contents, Spec};
use crate::shaping::Along;
use crate::window::kit::marks;
use crate::window::kit::theme::kit_sizes::{
    FOUND_INSET, FOUND_MARK, HALF_DIGITS, NAME_ARROW, NAME_ARROW_GAP, NAME_ARROW_HEAD,
};
use crate::window::kit::theme::{Theme, color, hairline, severity_ink, strong_text};
use crate::wording::capital;

/// Paints the visible breakpoints, with marks at those about which something was found.
pub(super) fn paint(ui: &egui::Ui, spec: &Spec<'_>, layout: &Layout, contents: &dyn Contents) {
    let (theme, painter) = (spec.theme, ui.painter());
    let air = theme.grid.beside_cells;
    let corner = layout.corner.shrink2(vec2(air, 0.0)).right_center();
    let second = color(theme.palette.ink_secondary);
    painter.text(corner, Align2::RIGHT_CENTER, spec.loads.title(), theme.small_font(), second);
    let cursor = spec.place_of(spec.selection.cursor);
    let font = theme.breakpoints_font(layout.digits);
    for speed in layout.columns.clone() {
        let Some(span) = layout.column(speed) else { continue };
        let at = pos2(span.center(), layout.speeds.center().y);
        let is_current = cursor.is_some_and(|cursor| cursor.speed == speed);
        breakpoint(painter, (spec, &font), &spec.speeds, speed, (at, Align2::CENTER_CENTER), is_current);
        let heading = Rect::from_x_y_ranges(span, layout.speeds.y_range());
        let bottom = heading.center().y - HALF_DIGITS * font.size - FOUND_INSET;
        let corner = pos2(heading.right() - FOUND_MARK - FOUND_INSET, bottom - FOUND_MARK);
        found(
            ui,
            theme,
            contents,
            (Along::Speed, speed),
            [heading, Rect::from_min_size(corner, Vec2::splat(FOUND_MARK))],
        );
    }
    for load in layout.load_rows() {
        let Some(span) = layout.row(load) else { continue };
        let at = pos2(layout.loads.right() - air, span.center());
        let is_current = cursor.is_some_and(|cursor| cursor.load == load);
        breakpoint(painter, (spec, &font), &spec.loads, load, (at, Align2::RIGHT_CENTER), is_current);
        let heading = Rect::from_x_y_ranges(layout.loads.x_range(), span);
        let middle = heading.right_center() - vec2(air / 2.0, 0.0);
        found(
            ui,
            theme,
            contents,
            (Along::Load, load),
            [heading, Rect::from_center_size(middle, Vec2::splat(FOUND_MARK))],
        );
    }
}

/// The mark at a breakpoint about which something was found, above a speed and right of a load; all of it is told where
/// the pointer rests on the heading.
fn found(ui: &egui::Ui, theme: &Theme, contents: &dyn Contents, line: (Along, usize), [heading, place]: [Rect; 2]) {
    let Some((severity, words)) = contents.found_at_heading(line.0, line.1) else { return };
    ui.painter().add(marks::severity(place, severity, color(severity_ink(theme, severity))));
    let id = ui.scope_id().with(("found at a breakpoint", line));
    ui.interact(heading, id, Sense::hover()).on_hover_text(format!("{}.", capital(&words)));
}

/// One breakpoint; slanted if the table whose cells are selected has none like it.
fn breakpoint(
    painter: &Painter,
    (spec, font): (&Spec<'_>, &FontId),
    axis: &Axis<'_>,
    index: usize,
    (at, align): (Pos2, Align2),
    is_current: bool,
) {
    let (palette, font) = (spec.theme.palette, font.clone());
    if is_current {
        strong_text(painter, at, align, axis.text(index), font, color(palette.ink));
        return;
    }
    let ink = color(palette.ink_secondary);
    if axis.own_at(index).is_some() {
        painter.text(at, align, axis.text(index), font, ink);
        return;
    }
    let format = TextFormat { italics: true, ..TextFormat::simple(font, ink) };
    let galley = painter.layout_job(LayoutJob::single_section(axis.text(index), format));
    painter.galley(align.anchor_size(at, galley.size()).min, galley, ink);
}

/// Paints the name of the horizontal axis above the right end of a grid, with the tip of its arrow at a point:
/// only the unit if there is no room for both between `left` and the tip, or nothing. Returns the area of the
/// name.
pub fn axis_name(ui: &egui::Ui, theme: &Theme, axis: &Axis<'_>, tip: Pos2, left: f32) -> Option<Rect> {
    let ink = color(theme.palette.ink_secondary);
    let end = tip - vec2(NAME_ARROW + NAME_ARROW_GAP, 0.0);
    let texts = [axis.title(), axis.unit.to_string()];
    let mut galleys = texts.into_iter().map(|text| ui.painter().layout_no_wrap(text, theme.small_font(), ink));
    let galley = galleys.find(|galley| end.x - galley.size().x >= left)?;
    arrow(ui.painter(), tip, ink);
    let rect = Align2::RIGHT_CENTER.anchor_size(end, galley.size());
    ui.painter().galley(rect.min, galley, ink);
    Some(rect)
}

/// An arrow to the right; the fonts have none.
fn arrow(painter: &Painter, tip: Pos2, ink: Color32) {
    let stroke = hairline(ink);
    painter.line_segment([tip - vec2(NAME_ARROW, 0.0), tip], stroke);
    painter
        .add(Shape::line(vec![tip - NAME_ARROW_HEAD, tip, tip + vec2(-NAME_ARROW_HEAD.x, NAME_ARROW_HEAD.y)], stroke));
}
