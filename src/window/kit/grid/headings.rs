//! The breakpoints beside the cells and the name of the load axis above its own; those of the cursor are emphasised.

use eframe::egui::text::{LayoutJob, TextFormat};
use eframe::egui::{self, Align2, Painter, Pos2, pos2, vec2};

use super::layout::Layout;
use super::spec::{Axis, Spec};
use crate::window::kit::theme::{color, strong_text};

/// Paints the breakpoints that are seen.
pub(super) fn paint(ui: &egui::Ui, spec: &Spec<'_>, layout: &Layout) {
    let (theme, painter) = (spec.theme, ui.painter());
    let air = theme.grid.beside_cells;
    let corner = layout.corner.shrink2(vec2(air, 0.0)).right_center();
    let second = color(theme.palette.ink_secondary);
    painter.text(corner, Align2::RIGHT_CENTER, spec.loads.title(), theme.small_font(), second);
    let cursor = spec.place_of(spec.selection.cursor);
    for speed in layout.columns.clone() {
        let Some(span) = layout.column(speed) else { continue };
        let at = pos2(span.center(), layout.speeds.center().y);
        let is_current = cursor.is_some_and(|cursor| cursor.speed == speed);
        breakpoint(painter, spec, &spec.speeds, speed, (at, Align2::CENTER_CENTER), is_current);
    }
    for load in layout.load_rows() {
        let Some(span) = layout.row(load) else { continue };
        let at = pos2(layout.loads.right() - air, span.center());
        let is_current = cursor.is_some_and(|cursor| cursor.load == load);
        breakpoint(painter, spec, &spec.loads, load, (at, Align2::RIGHT_CENTER), is_current);
    }
}

/// One breakpoint; slanted where the table whose cells are selected has none like it.
fn breakpoint(
    painter: &Painter,
    spec: &Spec<'_>,
    axis: &Axis<'_>,
    index: usize,
    (at, align): (Pos2, Align2),
    is_current: bool,
) {
    let (palette, font) = (spec.theme.palette, spec.theme.small_font());
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
