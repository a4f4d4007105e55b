//! The name of the axis that runs to the right, with an arrow, over the right end of a grid.

use eframe::egui::{self, Align2, Color32, Painter, Pos2, Rect, Shape, Stroke, vec2};

use super::spec::Axis;
use crate::window::kit::theme::{Theme, color};

/// Length of the arrow and its distance from the name.
const ARROW: f32 = 12.0;
const ARROW_GAP: f32 = 4.0;

/// Paints the name so that its arrow's tip is at a point: the unit alone where from `left` on there is no room for both, or
/// nothing. Gives the area of the name.
pub fn show(ui: &egui::Ui, theme: &Theme, axis: &Axis<'_>, tip: Pos2, left: f32) -> Option<Rect> {
    let ink = color(theme.palette.ink_secondary);
    let end = tip - vec2(ARROW + ARROW_GAP, 0.0);
    let texts = [axis.title(), axis.unit.to_owned()];
    let mut galleys = texts.into_iter().map(|text| ui.painter().layout_no_wrap(text, theme.small_font(), ink));
    let galley = galleys.find(|galley| end.x - galley.size().x >= left)?;
    arrow(ui.painter(), tip, ink);
    let rect = Align2::RIGHT_CENTER.anchor_size(end, galley.size());
    ui.painter().galley(rect.min, galley, ink);
    Some(rect)
}

/// An arrow to the right; the fonts have none.
fn arrow(painter: &Painter, tip: Pos2, ink: Color32) {
    let stroke = Stroke::new(1.0, ink);
    painter.line_segment([tip - vec2(ARROW, 0.0), tip], stroke);
    painter.add(Shape::line(vec![tip + vec2(-3.5, -3.0), tip, tip + vec2(-3.5, 3.0)], stroke));
}
