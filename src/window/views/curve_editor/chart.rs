//! The chart of a curve: its ranges, and how curve and points are painted.

use eframe::egui::{Painter, Pos2, Rect};

use super::CurveSpec;
use super::row::left;
use crate::drawing::{ChartSpec, Color, Handle, handle_radius, round_range};
use crate::table::Curve;
use crate::window::kit::chart::{Chart, Line, paint_handles, touch};
use crate::window::kit::scene_painter::{point, viewport};
use crate::window::kit::theme::Theme;
use crate::window::state::edits::CurveWords;
use crate::wording::Unit;

/// A curve laid out on the screen.
pub(in crate::window) struct CurveChart<'a> {
    /// Its scales: the axis to the right, values upwards.
    pub chart: Chart<'a>,
    /// Where its points are on the screen.
    pub points: Vec<Pos2>,
    theme: &'a Theme,
}

/// The ranges of both scales.
pub(in crate::window) type Ranges = [(f64, f64); 2];

/// The ranges that contain a curve: along the axis a little more than its points, upwards to round numbers.
pub(in crate::window) fn ranges(curve: &Curve, words: &CurveWords, spec: &CurveSpec) -> Ranges {
    let axis = curve.axis();
    let (low, high) = spec.reach.unwrap_or((axis.first(), axis.last()));
    let (low, high) = (low.min(axis.first()), high.max(axis.last()));
    let air = if spec.reach.is_some() { 0.0 } else { (high - low) * 0.04 };
    let at = ((low - air).max(words.at.range.0), (high + air).min(words.at.range.1));
    let (low, high) = curve.values().iter().fold(spec.shows, |(low, high), &y| (low.min(y), high.max(y)));
    let short = (spec.least_span - (high - low)).max(0.0) / 2.0;
    // What is missing is added on both sides, but not where no value is allowed.
    let (least, most) = words.value.range;
    let low_end = (low - short).max(least);
    let high_end = (low_end + (high - low).max(spec.least_span)).min(most.max(high));
    [at, round_range((low_end.min(low), high_end.max(high)), 0.0, 6)]
}

impl<'a> CurveChart<'a> {
    /// Lays a curve out in a rectangle; `None` if there is not enough room.
    pub(in crate::window) fn new(
        painter: &Painter,
        curve: &Curve,
        words: &CurveWords,
        [along, up]: Ranges,
        rect: Rect,
        theme: &'a Theme,
    ) -> Option<Self> {
        // The boxes below state the unit of the axis, in the same gutter.
        let units = (Unit::None, words.value.unit);
        let (rect, gutter) = (viewport(rect), left(words));
        let spec = ChartSpec { rect, along, up, units, gutter, is_upright: false, rows_below: 0.0 };
        let chart = Chart::new(painter, theme, &spec)?;
        let points = curve.points().map(|at| chart.place(at)).collect();
        Some(Self { chart, points, theme })
    }

    /// The area in which the pointer can grab a point.
    pub(in crate::window) fn touch(&self, index: usize) -> Rect {
        touch(&self.points, index, self.theme.handle_size)
    }

    /// Paints scales and curve.
    pub(in crate::window) fn paint(&mut self, curve: &Curve, spec: &CurveSpec) {
        self.chart.paint_scales();
        let palette = self.theme.palette;
        let ink = if spec.is_off { palette.ink_secondary } else { palette.ink };
        let points: Vec<(f64, f64)> = curve.points().collect();
        if let (Some(&first), Some(&last)) = (points.first(), points.last()) {
            let (left, right) = self.chart.frame().along.range;
            self.chart.line_in(&[(left, first.1), first], Line::Compared, ink);
            self.chart.line_in(&[last, (right, last.1)], Line::Compared, ink);
        }
        self.chart.line_in(&points, Line::Main, ink);
        if let Some(mark) = spec.mark {
            self.chart.upright(mark);
            let (left, right) = self.chart.frame().along.range;
            self.chart.diamond((mark.clamp(left, right), curve.lookup(mark)));
        }
    }

    /// Paints the points, the one at `cursor` last; `ring` gives the colour of the ring around a point, if it
    /// has one.
    pub(in crate::window) fn paint_points(
        &self,
        painter: &Painter,
        cursor: usize,
        ring: impl Fn(usize) -> Option<Color>,
    ) {
        let rim = self.theme.palette.ink;
        let handle = |index: usize| {
            let at = point(*self.points.get(index)?);
            Some(Handle { at, is_active: index == cursor, is_selected: false, rim, ring: ring(index) })
        };
        let count = self.points.len();
        let order = (0..count).filter(|&index| index != cursor).chain([cursor]);
        let radius = handle_radius(self.chart.plot().width(), count);
        paint_handles(painter, order.filter_map(handle), radius, self.theme);
    }
}
