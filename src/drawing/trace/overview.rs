//! The whole run in one low strip: how fast the engine turns, and where sparks are cut.

use super::band_color;
use crate::drawing::chart::{ChartAxis, Direction};
use crate::drawing::plot::{DrivenRun, NAMES_WIDTH, RIGHT, fill};
use crate::drawing::{Look, Point, Rect, Scene};
use crate::wording::Unit;

/// Height of the line on which cut sparks are marked.
const CUTS: f32 = 3.0;
/// What the unit measures is a line at least so thick.
const THICK: f32 = 1.2;
/// The ground under the speed is so faint.
const ALPHA: u8 = 90;

/// The whole run laid out along the same columns as a [`super::Trace`].
#[derive(Clone, Debug, PartialEq)]
pub struct Overview {
    /// Time in seconds, to the right; all of the run.
    pub time: ChartAxis,
    /// Where it is drawn, without the names.
    pub plot: Rect,
    top_rpm: f64,
}

impl Overview {
    /// Lays it out; `None` if there is not enough room.
    pub fn new(driven: &DrivenRun<'_>, rect: Rect) -> Option<Self> {
        let plot = Rect { left: rect.left + NAMES_WIDTH, width: rect.width - NAMES_WIDTH - RIGHT, ..rect };
        if plot.width < 60.0 || plot.height < 2.0 * CUTS {
            return None;
        }
        let screen = (plot.left, plot.left + plot.width);
        let time = ChartAxis::new(Direction::Along, driven.record.span_s(), screen, screen, Unit::None);
        let of_run = driven.run.rows().iter().map(|row| row.speed_rpm).fold(100.0, f64::max);
        Some(Self { time, plot, top_rpm: of_run * 1.1 })
    }

    /// Where the name is written.
    pub fn name_rect(&self) -> Rect {
        Rect { left: self.plot.left - NAMES_WIDTH, width: NAMES_WIDTH, ..self.plot }
    }

    /// Replaces the contents of `scene` with the run: for each point the extremes of the speed.
    pub fn draw(&self, driven: &DrivenRun<'_>, look: Look, scene: &mut Scene) {
        scene.clear();
        let palette = look.palette();
        let (base, ground) = (self.plot.top + self.plot.height - CUTS, band_color(look).with_alpha(ALPHA));
        let y = |rpm: f64| {
            #[expect(clippy::cast_possible_truncation, reason = "a share of the height")]
            let share = (rpm / self.top_rpm).clamp(0.0, 1.0) as f32;
            base - share * (base - self.plot.top)
        };
        let (mut x, right) = self.time.screen;
        while x < right {
            let width = (right - x).min(1.0);
            let (from_s, to_s) = (self.time.from_screen(x), self.time.from_screen(x + 1.0).next_down());
            let here = driven.record.between(from_s, to_s);
            if !here.speed_rpm.is_empty() {
                let (high, low) = (y(here.speed_rpm.high), y(here.speed_rpm.low));
                fill(scene, Rect { left: x, top: low, width, height: base - low }, ground);
                let middle = x + width / 2.0;
                let ends = [Point::new(middle, high - THICK / 2.0), Point::new(middle, low + THICK / 2.0)];
                scene.line(ends[0], ends[1], width, palette.ink_secondary);
            }
            if here.cuts > 0 {
                fill(scene, Rect { left: x, top: base, width, height: CUTS }, palette.ink);
            }
            x += 1.0;
        }
    }
}
