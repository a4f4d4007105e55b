//! The three plotted rows: for each point of the screen the extremes of what is there, so that a single sample is never
//! lost; and where sparks really came.

use super::{ChartAxis, LINE_WIDTH, Palette, Point, Scene, Trace, TraceRow};
use crate::drawing::Shape;
use crate::drawing::plot::pointer;
use crate::rig::{Column, Detail, Reach, Record, Samples};

/// Ranges higher than this are drawn as a band, in a lighter colour than a line.
const BAND_FROM: f32 = 4.0;
/// Sparks further apart than this have a ring each.
const RING_APART: f32 = 11.0;
const RING: f32 = 2.8;
/// Nearer ones are drawn in groups so wide, with dots at their extremes where these lie so far off what was commanded.
const GROUP: f32 = 5.0;
const DOT: f32 = 1.5;
const APART: f32 = 1.2;

/// Draws one of the three plotted rows.
pub(super) struct Plotter<'a> {
    pub(super) trace: &'a Trace,
    pub(super) row: &'a TraceRow,
    pub(super) axis: &'a ChartAxis,
    pub(super) palette: &'a Palette,
}

impl Plotter<'_> {
    /// For each point of the screen, draws the range of values there, joined to that of the point before. Where every
    /// sample is known, a value lasts until the next one, from before the left end to beyond the right one.
    pub(super) fn draw(&self, record: &Record, of: fn(&Column) -> Reach, samples: Option<&Samples>, scene: &mut Scene) {
        let (top, bottom) = (self.row.rect.top, self.row.rect.top + self.row.rect.height);
        let (left, right) = self.trace.time.screen;
        let (from_s, to_s) = self.trace.time.range;
        let held = samples.and_then(|samples| samples.before(from_s.next_down()));
        let mut before =
            held.map(|(_, reach)| (Point::new(left, self.axis.to_screen(reach.high).clamp(top, bottom)), reach));
        self.trace.for_each_point(|from_s, to_s, x| {
            // With every sample at hand, only those of this row are looked at.
            let here =
                samples.map_or_else(|| of(&record.between(from_s, to_s)), |samples| samples.between(from_s, to_s));
            if here.is_empty() {
                return;
            }
            let x = x + 0.5;
            let (high, low) = (self.axis.to_screen(here.high), self.axis.to_screen(here.low));
            if high < top - 0.5 {
                pointer(scene, Point::new(x, top), -4.0, self.palette.ink);
            }
            let (high, low) = (high.clamp(top, bottom), low.clamp(top, bottom));
            if let Some((last, reach)) = before {
                let is_held = samples.is_some() && x - last.x > 1.5;
                let last = if is_held {
                    let held = Point::new(x, last.y);
                    scene.line(last, held, LINE_WIDTH, self.palette.ink);
                    held
                } else {
                    last
                };
                // Neighbouring ranges that overlap need no line to join them.
                let apart = here.low > reach.high || here.high < reach.low || x - last.x > 1.5;
                let near = if last.y < high { high } else { last.y.min(low) };
                if apart {
                    scene.line(last, Point::new(x, near), LINE_WIDTH, self.palette.ink);
                }
            }
            let half = LINE_WIDTH / 2.0;
            let color = if low - high > BAND_FROM { self.palette.wire } else { self.palette.ink };
            scene.line(Point::new(x, high - half), Point::new(x, low + half), LINE_WIDTH, color);
            before = Some((Point::new(x, f32::midpoint(high, low)), here));
        });
        let goes_on = samples.is_some_and(|samples| samples.goes_on_after(to_s));
        if let Some((last, _)) = before.filter(|(last, _)| goes_on && last.x < right) {
            scene.line(last, Point::new(right, last.y), LINE_WIDTH, self.palette.ink);
        }
    }

    /// Where sparks really came: a ring each, or where they stand close, dots at the extremes that are off the line.
    pub(super) fn draw_actual(&self, detail: &Detail, scene: &mut Scene) {
        let (from_s, to_s) = self.trace.time.range;
        let (left, right) = self.trace.time.screen;
        #[expect(clippy::cast_precision_loss, reason = "compared with a few hundred points")]
        let room = detail.actual_deg.count(from_s, to_s) as f32 * RING_APART;
        if room <= right - left {
            for (time_s, reach) in detail.actual_deg.within(from_s, to_s) {
                self.dot(self.trace.time.to_screen(time_s), reach.high, RING, scene);
            }
            return;
        }
        let mut x = left;
        while x < right {
            let (from_s, to_s) = (self.trace.time.from_screen(x), self.trace.time.from_screen(x + GROUP).next_down());
            let (actual, commanded) =
                (detail.actual_deg.between(from_s, to_s), detail.commanded_deg.between(from_s, to_s));
            let far = |a: f64, b: f64| (self.axis.to_screen(a) - self.axis.to_screen(b)).abs() > APART;
            let middle = (x + GROUP / 2.0).min(right);
            if !actual.is_empty() && far(actual.low, commanded.low) {
                self.dot(middle, actual.low, DOT, scene);
            }
            if !actual.is_empty() && far(actual.high, commanded.high) {
                self.dot(middle, actual.high, DOT, scene);
            }
            x += GROUP;
        }
    }

    fn dot(&self, x: f32, deg: f64, radius: f32, scene: &mut Scene) {
        let (top, bottom) = (self.row.rect.top, self.row.rect.top + self.row.rect.height);
        let at = Point::new(x, self.axis.to_screen(deg).clamp(top, bottom));
        let fill = if radius == RING { self.palette.paper } else { self.palette.ink };
        scene.shapes.push(Shape::Dot { at, radius, fill, outline: self.palette.ink, outline_width: 1.2 });
    }
}
