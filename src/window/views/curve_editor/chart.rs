//! The chart of a curve: its scales, and how it is painted.

use eframe::egui::{Align2, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use super::CurveSpec;
use crate::drawing::{Color, SliceAxis, nice_step, widened};
use crate::table::Curve;
use crate::window::kit::theme::curve_sizes::SIZES;
use crate::window::kit::theme::{Theme, color};
use crate::window::state::edits::CurveWords;

/// A curve laid out on the screen.
pub(in crate::window) struct Chart {
    /// Along the axis, to the right.
    pub at: SliceAxis,
    /// Values, upwards.
    pub value: SliceAxis,
    /// Between the scales.
    pub plot: Rect,
    /// Where its points are seen.
    pub points: Vec<Pos2>,
}

/// The ranges of both scales.
pub(in crate::window) type Ranges = [(f64, f64); 2];

/// The ranges that hold a curve: along the axis a little more than its points, upwards round numbers.
pub(in crate::window) fn ranges(curve: &Curve, words: &CurveWords, spec: &CurveSpec) -> Ranges {
    let axis = curve.axis();
    let (low, high) = spec.reach.unwrap_or((axis.first(), axis.last()));
    let (low, high) = (low.min(axis.first()), high.max(axis.last()));
    let air = if spec.reach.is_some() { 0.0 } else { (high - low) * 0.04 };
    let at = ((low - air).max(words.at.range.0), (high + air).min(words.at.range.1));
    let (low, high) = curve.values().iter().fold(spec.shows, |(low, high), &y| (low.min(y), high.max(y)));
    let short = (spec.least_span - (high - low)).max(0.0) / 2.0;
    // What lacks is added on both sides, but on none where no value is allowed.
    let (least, most) = words.value.range;
    let low_end = (low - short).max(least);
    let high_end = (low_end + (high - low).max(spec.least_span)).min(most.max(high));
    let (low, high) = (low_end.min(low), high_end.max(high));
    [at, widened(low, high, nice_step(high - low, 6))]
}

impl Chart {
    /// Lays a curve out in a place; `None` without room.
    pub(in crate::window) fn new(curve: &Curve, [at, value]: Ranges, rect: Rect) -> Option<Self> {
        let (above, right, below) = SIZES.around;
        let plot = Rect::from_min_max(rect.min + vec2(SIZES.left, above), rect.max - vec2(right, below));
        if plot.width() < 20.0 || plot.height() < 20.0 {
            return None;
        }
        let at = SliceAxis::new(at, (plot.left(), plot.right()), SIZES.tick_room.0);
        let value = SliceAxis::new(value, (plot.bottom(), plot.top()), SIZES.tick_room.1);
        let points = curve.points().map(|(x, y)| pos2(at.to_screen(x), value.to_screen(y))).collect();
        Some(Self { at, value, plot, points })
    }

    /// The area in which a point is taken hold of: no neighbour is nearer there.
    pub(in crate::window) fn touch(&self, index: usize, size: f32) -> Rect {
        let Some(&here) = self.points.get(index) else { return Rect::NOTHING };
        let half = size / 2.0;
        let reach = |other: Option<&Pos2>| other.map_or(half, |other| ((here.x - other.x).abs() / 2.0).min(half));
        let before = reach(index.checked_sub(1).and_then(|before| self.points.get(before)));
        let after = reach(self.points.get(index + 1));
        Rect::from_min_max(here - vec2(before, half), here + vec2(after, half))
    }

    /// Paints scales and curve.
    pub(in crate::window) fn paint(&self, painter: &Painter, curve: &Curve, spec: &CurveSpec, theme: &Theme) {
        self.paint_scales(painter, theme);
        let palette = theme.palette;
        let ink = color(if spec.is_off { palette.ink_secondary } else { palette.ink });
        let (width, thin) = SIZES.line_widths;
        let (dash, gap) = SIZES.dashes;
        if let (Some(&first), Some(&last)) = (self.points.first(), self.points.last()) {
            let ends = [[pos2(self.plot.left(), first.y), first], [last, pos2(self.plot.right(), last.y)]];
            for end in ends {
                painter.extend(Shape::dashed_line(&end, Stroke::new(thin, ink), dash, gap));
            }
        }
        painter.add(Shape::line(self.points.clone(), Stroke::new(width, ink)));
        if let Some(mark) = spec.mark {
            let x = painter.round_to_pixel_center(self.at.to_screen(mark).clamp(self.plot.left(), self.plot.right()));
            let line = [pos2(x, self.plot.top()), pos2(x, self.plot.bottom())];
            let stroke = Stroke::new(thin, color(palette.ink_secondary));
            painter.extend(Shape::dashed_line(&line, stroke, dash, gap));
            let on_curve = pos2(x, self.value.to_screen(curve.lookup(mark)));
            let diamond = [vec2(0.0, -4.5), vec2(4.5, 0.0), vec2(0.0, 4.5), vec2(-4.5, 0.0)].map(|by| on_curve + by);
            painter.add(Shape::convex_polygon(diamond.to_vec(), color(palette.paper), Stroke::new(1.3, ink)));
        }
    }

    fn paint_scales(&self, painter: &Painter, theme: &Theme) {
        let palette = theme.palette;
        let ink = color(palette.ink_secondary);
        for &value in &self.value.ticks.values {
            let y = painter.round_to_pixel_center(self.value.to_screen(value));
            let rule = if value == 0.0 { palette.rule_strong } else { palette.rule };
            painter.hline(self.plot.x_range(), y, Stroke::new(1.0, color(rule)));
            let at = pos2(self.plot.left() - 7.0, y);
            painter.text(at, Align2::RIGHT_CENTER, self.value.ticks.text(value), theme.small_font(), ink);
        }
        for &at in &self.at.ticks.values {
            let place = pos2(self.at.to_screen(at), self.plot.bottom() + 5.0);
            painter.text(place, Align2::CENTER_TOP, self.at.ticks.text(at), theme.small_font(), ink);
        }
    }

    /// Paints one point; `ring` is drawn round it.
    pub(in crate::window) fn paint_point(
        &self,
        painter: &Painter,
        index: usize,
        is_current: bool,
        ring: Option<Color>,
        theme: &Theme,
    ) {
        let Some(&at) = self.points.get(index) else { return };
        let palette = theme.palette;
        let (usual, current) = SIZES.radii;
        let (radius, fill) = if is_current { (current, palette.accent) } else { (usual, palette.handle) };
        painter.circle(at, radius, color(fill), Stroke::new(SIZES.outline, color(palette.ink)));
        if let Some(ring) = ring {
            painter.circle_stroke(at, radius + 3.0, Stroke::new(1.5, color(ring)));
        }
    }

    /// Writes a value beside a point, inside the chart, over a ground that keeps it readable.
    pub(in crate::window) fn paint_value(&self, painter: &Painter, index: usize, text: String, theme: &Theme) {
        let Some(&at) = self.points.get(index) else { return };
        let palette = theme.palette;
        let galley = painter.layout_no_wrap(text, theme.body_font(), color(palette.ink));
        let size = galley.size();
        let above = at.y - self.plot.top() > size.y + 8.0;
        let top = if above { at.y - 8.0 - size.y } else { at.y + 8.0 };
        let left = (at.x - size.x / 2.0).clamp(self.plot.left(), (self.plot.right() - size.x).max(self.plot.left()));
        let ground = Rect::from_min_size(pos2(left, top), size).expand2(vec2(2.0, 0.0));
        painter.rect_filled(ground, 2.0, color(palette.paper.with_alpha(225)));
        painter.galley(pos2(left, top), galley, color(palette.ink));
    }
}
