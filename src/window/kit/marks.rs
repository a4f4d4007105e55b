//! Symbols that the default fonts lack, painted as shapes.

use eframe::egui::epaint::CircleShape;
use eframe::egui::{Color32, Painter, Pos2, Rangef, Rect, Shape, Stroke, Vec2, pos2, vec2};

use crate::checks::Severity;
use crate::drawing::MarkShape;
use crate::window::kit::scene_painter::{pos, viewport};
use crate::window::kit::theme::engine_sheet_sizes::CHECKS_SIZES;
use crate::window::kit::theme::kit_sizes::{
    ARROW_HEAD, CHANGED_DOT, HAIRLINE, NIL_HALF, RUNNING_HAIR, RUNNING_POINT, RUNNING_RING, RUNNING_RING_OFF, SIGN,
    STRONG,
};
use crate::window::kit::theme::{Theme, color};

/// The mark of a severity: an error is a filled octagon, a warning a hollow triangle, a note a ring. Nothing else has
/// these shapes, so that they can be distinguished without colours.
pub fn severity(rect: Rect, severity: Severity, ink: Color32) -> Shape {
    severity_on(rect, severity, ink, Color32::TRANSPARENT)
}

/// The same with a ground inside a hollow shape, over tints.
pub fn severity_on(rect: Rect, severity: Severity, ink: Color32, ground: Color32) -> Shape {
    let (shape, place) = (severity.shape(), viewport(rect));
    let stroke = Stroke::new(MarkShape::line_width(&place), ink);
    let corners = || shape.corners(&place).into_iter().map(pos).collect();
    match shape {
        MarkShape::Octagon => Shape::convex_polygon(corners(), ink, Stroke::NONE),
        MarkShape::Triangle => Shape::convex_polygon(corners(), ground, stroke),
        MarkShape::Ring => {
            CircleShape { center: rect.center(), radius: MarkShape::radius(&place), fill: ground, stroke }.into()
        }
    }
}

/// The mark of something held: a filled corner, at the upper left of a cell or a point.
pub fn held(corners: [Pos2; 3], ink: Color32) -> Shape {
    Shape::convex_polygon(corners.to_vec(), ink, Stroke::NONE)
}

/// The mark of something changed from the base: a dot.
pub fn changed(at: Pos2, ink: Color32) -> Shape {
    Shape::circle_filled(at, CHANGED_DOT, ink)
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

/// The running point on the advance table: cross hairs in a ring, in ink on a ground of paper, visible on any tint.
pub fn running_point(painter: &Painter, at: Pos2, theme: &Theme) {
    let radius = RUNNING_POINT + RUNNING_RING_OFF;
    let (inner, outer) = (radius - RUNNING_HAIR, radius + RUNNING_HAIR);
    let inks = [(RUNNING_RING.0, theme.palette.paper), (RUNNING_RING.1, theme.palette.ink)];
    for (width, ink) in inks {
        let stroke = Stroke::new(width, color(ink));
        painter.circle_stroke(at, radius, stroke);
        for along in [Vec2::RIGHT, Vec2::LEFT, Vec2::DOWN, Vec2::UP] {
            painter.line_segment([at + inner * along, at + outer * along], stroke);
        }
    }
}

/// The track of a bar that holds what was measured against what is allowed.
pub fn track(painter: &Painter, rect: Rect, ink: Color32) {
    thick(painter, rect, CHECKS_SIZES.track, ink);
}

/// What was measured on such a track.
pub fn measured(painter: &Painter, rect: Rect, ink: Color32) {
    thick(painter, rect, CHECKS_SIZES.measured, ink);
}

/// A line of some thickness through the middle of a rectangle.
fn thick(painter: &Painter, rect: Rect, thickness: f32, ink: Color32) {
    let half = thickness / 2.0;
    let line = Rect::from_x_y_ranges(rect.x_range(), rect.center().y - half..=rect.center().y + half);
    painter.rect_filled(line, 0.0, ink);
}

/// What is allowed, across such a track; the foot points to where the bound is not kept.
pub fn bound(painter: &Painter, at: Pos2, is_most: bool, ink: Color32) {
    let (x, half) = (painter.round_to_pixel_center(at.x), CHECKS_SIZES.tick / 2.0);
    painter.vline(x, at.y - half..=at.y + half, Stroke::new(STRONG, ink));
    let side = if is_most { 1.0 } else { -1.0 };
    let foot = Rangef::new(x, x + side * CHECKS_SIZES.tick_foot).as_positive();
    painter.hline(foot, at.y + half, Stroke::new(HAIRLINE, ink));
}

/// A check mark in a rectangle.
pub fn tick(painter: &Painter, rect: Rect, stroke: Stroke) {
    let at = |x: f32, y: f32| pos2(rect.left() + x * rect.width(), rect.top() + y * rect.height());
    painter.add(Shape::line(vec![at(0.05, 0.55), at(0.38, 0.9), at(0.95, 0.1)], stroke));
}
