//! Symbols that the default fonts lack, painted as shapes.

use eframe::egui::{Color32, Painter, Pos2, Rect, Shape, Stroke, Vec2, pos2, vec2};

use crate::checks::Severity;
use crate::window::kit::theme::kit_sizes::{
    ARROW_HEAD, HAIRLINE, NIL_HALF, RUNNING_POINT, RUNNING_RING, RUNNING_RING_OFF, SIGN,
};
use crate::window::kit::theme::{Theme, color};

/// A problem, or something to be read first: a filled triangle with an exclamation mark cut out of it.
pub fn warning(painter: &Painter, rect: Rect, ink: Color32, paper: Color32) {
    let corners = vec![rect.center_top(), rect.right_bottom(), rect.left_bottom()];
    painter.add(Shape::convex_polygon(corners, ink, Stroke::NONE));
    let (x, height) = (rect.center().x, rect.height());
    let at = |part: f32| pos2(x, rect.top() + part * height);
    painter.line_segment([at(0.36), at(0.66)], Stroke::new(height * 0.11, paper));
    painter.circle_filled(at(0.82), height * 0.07, paper);
}

/// The shape of a severity: an error is a filled octagon, a warning a hollow triangle, a note a ring. Nothing
/// else has these shapes, so that they can be distinguished without colours.
pub fn severity(rect: Rect, severity: Severity, ink: Color32) -> Shape {
    let stroke = Stroke::new((rect.height() * 0.13).max(1.2), ink);
    let inside = rect.shrink(stroke.width / 2.0);
    match severity {
        Severity::Error => {
            let radius = rect.height().min(rect.width()) / 2.0 / (std::f32::consts::PI / 8.0).cos();
            let corner = |eighth: u8| Vec2::angled(std::f32::consts::PI * (f32::from(eighth) + 0.5) / 4.0);
            let corners = (0..8).map(|eighth| rect.center() + radius * corner(eighth)).collect();
            Shape::convex_polygon(corners, ink, Stroke::NONE)
        }
        Severity::Warning => {
            Shape::closed_line(vec![inside.center_top(), inside.right_bottom(), inside.left_bottom()], stroke)
        }
        Severity::Note => {
            let radius = inside.height().min(inside.width()) / 2.0;
            Shape::circle_stroke(rect.center(), radius, stroke)
        }
    }
}

/// An arrow that bends back to the left; mirrored, to the right.
pub fn back(painter: &Painter, rect: Rect, ink: Color32, is_mirrored: bool) {
    let side = if is_mirrored { -1.0 } else { 1.0 };
    let at = |x: f32, y: f32| rect.center() + vec2(side * x * rect.width() / 2.0, y * rect.height() / 2.0);
    let stroke = Stroke::new(SIGN, ink);
    // From the head along a straight line, then half a circle round the right end.
    let mut line = vec![at(-0.8, -0.3), at(0.25, -0.3)];
    let turn = |step: u8| {
        let angle = std::f32::consts::PI * (f32::from(step) / 10.0 - 0.5);
        at(0.25 + 0.55 * angle.cos(), 0.25 + 0.55 * angle.sin())
    };
    line.extend((0..=10).map(turn));
    line.push(at(-0.3, 0.8));
    painter.add(Shape::line(line, stroke));
    painter.add(Shape::line(vec![at(-0.35, -0.8), at(-0.8, -0.3), at(-0.35, 0.2)], stroke));
}

/// A cross, to close something.
pub fn cross(painter: &Painter, rect: Rect, ink: Color32) {
    let stroke = Stroke::new(SIGN, ink);
    painter.line_segment([rect.left_top(), rect.right_bottom()], stroke);
    painter.line_segment([rect.right_top(), rect.left_bottom()], stroke);
}

/// An arrow to the right, centred at a point.
pub fn arrow(painter: &Painter, at: Pos2, length: f32, ink: Color32) {
    let stroke = Stroke::new(HAIRLINE, ink);
    let (tail, tip) = (at - vec2(length / 2.0, 0.0), at + vec2(length / 2.0, 0.0));
    painter.line_segment([tail, tip], stroke);
    painter.line_segment([tip - vec2(ARROW_HEAD, ARROW_HEAD), tip], stroke);
    painter.line_segment([tip - vec2(ARROW_HEAD, -ARROW_HEAD), tip], stroke);
}

/// A dash in place of a number: there is no difference here.
pub fn nil(painter: &Painter, at: Pos2, ink: Color32) {
    painter.hline(at.x - NIL_HALF..=at.x + NIL_HALF, painter.round_to_pixel_center(at.y), Stroke::new(HAIRLINE, ink));
}

/// A dot: something has not been saved.
pub fn dot(painter: &Painter, at: Pos2, radius: f32, ink: Color32) {
    painter.circle_filled(at, radius, ink);
}

/// The running point on the advance table: a ring of ink on a ring of paper, visible on any tint.
pub fn running_point(painter: &Painter, at: Pos2, theme: &Theme) {
    painter.circle_stroke(
        at,
        RUNNING_POINT + RUNNING_RING_OFF,
        Stroke::new(RUNNING_RING.0, color(theme.palette.paper)),
    );
    painter.circle_stroke(at, RUNNING_POINT + RUNNING_RING_OFF, Stroke::new(RUNNING_RING.1, color(theme.palette.ink)));
}

/// A check mark in a rectangle.
pub fn tick(painter: &Painter, rect: Rect, stroke: Stroke) {
    let at = |x: f32, y: f32| pos2(rect.left() + x * rect.width(), rect.top() + y * rect.height());
    painter.add(Shape::line(vec![at(0.05, 0.55), at(0.38, 0.9), at(0.95, 0.1)], stroke));
}
