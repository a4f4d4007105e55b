//! Both axes of a chart in their place.

use super::axis::UNIT_AIR;
use super::{CHART, ChartAxis, Direction};
use crate::drawing::chart::axis::{nice_step, widened};
use crate::drawing::label_room::text_width;
use crate::drawing::{Look, Point, Rect, Scene};
use crate::wording::Unit;

/// A plot narrower or lower than this shows nothing useful, in points.
const LEAST: f32 = 20.0;

/// What a chart's scales show.
#[derive(Clone, Copy, Debug)]
pub struct ChartSpec {
    /// Where to draw, including the numbers.
    pub rect: Rect,
    /// Range shown to the right.
    pub along: (f64, f64),
    /// Range shown upwards.
    pub up: (f64, f64),
    /// The unit of each axis; none if it is stated elsewhere.
    pub units: (Unit, Unit),
    /// The least room for numbers at the left; more is used if they need it.
    pub gutter: f32,
    /// Whether the axis to the right has guides too.
    pub is_upright: bool,
    /// Room between the plot and the numbers below it, for rows on the same scale; upright guides run through
    /// it.
    pub rows_below: f32,
}

/// The scales of a chart, laid out.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartFrame {
    /// To the right.
    pub along: ChartAxis,
    /// Upwards.
    pub up: ChartAxis,
    is_upright: bool,
    rows_below: f32,
}

impl ChartFrame {
    /// Lays out the scales; `None` if there is not enough room.
    pub fn new(spec: &ChartSpec) -> Option<Self> {
        let (above, right, below) = CHART.around;
        let rect = spec.rect;
        let (top, bottom) = (rect.top + above, rect.top + rect.height - below - spec.rows_below);
        if bottom - top < LEAST {
            return None;
        }
        let heights = (rect.top, rect.top + rect.height);
        let mut up = ChartAxis::new(Direction::Up, spec.up, (bottom, top), heights, spec.units.1);
        let unit_room = text_width(spec.units.0.text()) + UNIT_AIR;
        let wanted = spec.gutter.max(up.room_across() + CHART.number_gap).max(unit_room);
        // Numbers that would take half of the chart are left out rather than cut off.
        let gutter = if wanted <= rect.width / 2.0 {
            wanted
        } else {
            up.ticks.clear();
            spec.gutter.min(rect.width / 2.0)
        };
        let (left, right) = (rect.left + gutter, rect.left + rect.width - right);
        if right - left < LEAST {
            return None;
        }
        let unit = if unit_room <= gutter { spec.units.0 } else { Unit::None };
        let within = (rect.left, rect.left + rect.width);
        let along = ChartAxis::new(Direction::Along, spec.along, (left, right), within, unit);
        Some(Self { along, up, is_upright: spec.is_upright, rows_below: spec.rows_below })
    }

    /// The plot area.
    pub fn plot(&self) -> Rect {
        let ((left, right), (bottom, top)) = (self.along.screen, self.up.screen);
        Rect { left, top, width: right - left, height: bottom - top }
    }

    /// Where a pair of numbers is on the screen; also outside the plot area.
    pub fn place(&self, (along, up): (f64, f64)) -> Point {
        Point::new(self.along.to_screen(along), self.up.to_screen(up))
    }

    /// Draws guides and numbers.
    pub fn draw(&self, look: Look, scene: &mut Scene) {
        let palette = look.palette();
        let (bottom, top) = (self.up.screen.0 + self.rows_below, self.up.screen.1);
        if self.is_upright {
            for tick in &self.along.ticks {
                let x = self.along.to_screen(tick.value);
                scene.line(Point::new(x, top), Point::new(x, bottom), CHART.guide, palette.rule);
            }
        }
        self.up.draw_up(self.along.screen, palette, scene);
        self.along.draw_along(bottom, palette, scene);
    }
}

/// A range at least `least` wide whose ends are multiples of a round step, with at most about `steps` steps in
/// it.
pub fn round_range((low, high): (f64, f64), least: f64, steps: usize) -> (f64, f64) {
    let short = (least - (high - low)).max(0.0) / 2.0;
    let (low, high) = (low - short, high + short);
    widened(low, high, nice_step(high - low, steps))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::label_room::label_box;
    use crate::drawing::label_room::text_width;
    use proptest::prelude::*;

    fn spec(width: f32, height: f32, along: (f64, f64), up: (f64, f64)) -> ChartSpec {
        let rect = Rect { left: 40.0, top: 70.0, width, height };
        ChartSpec {
            rect,
            along,
            up,
            units: (Unit::Rpm, Unit::Millisecond),
            gutter: CHART.gutter,
            is_upright: true,
            rows_below: 0.0,
        }
    }

    fn drawn(spec: &ChartSpec) -> (ChartFrame, Scene) {
        let frame = ChartFrame::new(spec).unwrap();
        let mut scene = Scene::default();
        frame.draw(Look::Light, &mut scene);
        (frame, scene)
    }

    fn holds(spec: &ChartSpec) -> Result<(), TestCaseError> {
        let (frame, scene) = drawn(spec);
        let (right, bottom) = (spec.rect.left + spec.rect.width, spec.rect.top + spec.rect.height);
        let boxes: Vec<Rect> = scene.labels.iter().map(label_box).collect();
        for (index, one) in boxes.iter().enumerate() {
            let label = &scene.labels[index];
            prop_assert!(one.left >= spec.rect.left - 0.01 && one.left + one.width <= right + 0.01, "{label:?}");
            prop_assert!(one.top >= spec.rect.top - 0.01 && one.top + one.height <= bottom + 0.01, "{label:?}");
            for other in &boxes[index + 1..] {
                let apart = one.left + one.width <= other.left + 0.01
                    || other.left + other.width <= one.left + 0.01
                    || one.top + one.height <= other.top + 0.01
                    || other.top + other.height <= one.top + 0.01;
                prop_assert!(apart, "{one:?} {other:?}");
            }
        }
        for axis in [&frame.along, &frame.up] {
            let (low, high) = axis.range;
            let slack = (high - low) * 1e-6;
            for tick in &axis.ticks {
                prop_assert!((low - slack..=high + slack).contains(&tick.value));
            }
        }
        Ok(())
    }

    /// 1, 2 or 5 times a power of ten.
    fn is_round(step: f64) -> bool {
        let digit = step / 10_f64.powf(step.log10().floor());
        [1.0, 2.0, 5.0, 10.0].iter().any(|round| (digit - round).abs() < 1e-6)
    }

    proptest! {
        #[test]
        fn numbers_are_round_and_inside_and_never_touch_at_any_size(
            width in 60.0_f32..2000.0, height in 60.0_f32..2000.0,
            low in -1e4..1e4, span in 1e-3..1e5, up_low in -100.0..100.0, up_span in 1e-2..1e3,
        ) {
            let spec = spec(width, height, (low, low + span), (up_low, up_low + up_span));
            holds(&spec)?;
            let (frame, _) = drawn(&spec);
            for axis in [&frame.along, &frame.up] {
                for pair in axis.ticks.windows(2) {
                    let step = pair[1].value - pair[0].value;
                    prop_assert!(is_round(step), "{step}");
                    prop_assert!((pair[1].value / step - (pair[1].value / step).round()).abs() < 1e-4);
                }
            }
        }

        #[test]
        fn ranges_of_any_kind_have_a_scale(
            width in 60.0_f32..2000.0, low in any::<f64>(), high in any::<f64>(), is_empty in any::<bool>(),
        ) {
            let range = if is_empty { (low, low) } else { (low.min(high), low.max(high)) };
            let spec = spec(width, 200.0, range, range);
            holds(&spec)?;
            let (frame, _) = drawn(&spec);
            prop_assert!(frame.up.range.0 < frame.up.range.1 && frame.up.to_screen(frame.up.range.1).is_finite());
        }
    }

    #[test]
    fn a_usual_chart_has_numbers_enough_and_names_its_units() {
        let (frame, scene) = drawn(&spec(500.0, 240.0, (500.0, 8000.0), (0.0, 12.0)));
        let texts: Vec<&str> = scene.labels.iter().map(|label| label.text.as_str()).collect();
        let along = ["1000", "2000", "3000", "4000", "5000", "6000", "7000", "8000", "rpm"];
        assert_eq!(texts, [&["0", "2", "4", "6", "8", "10", "12 ms"][..], &along].concat());
        assert_eq!(frame.plot().left, 40.0 + text_width("12 ms") + CHART.number_gap);
    }

    #[test]
    fn degrees_stand_at_every_number_and_a_low_chart_keeps_enough_of_them() {
        let rect = Rect { left: 0.0, top: 0.0, width: 300.0, height: 110.0 };
        let spec =
            ChartSpec { rect, units: (Unit::Celsius, Unit::Degree), ..spec(0.0, 0.0, (-20.0, 100.0), (0.0, 30.0)) };
        let frame = ChartFrame::new(&spec).unwrap();
        let texts: Vec<&str> = frame.up.ticks.iter().map(|tick| tick.text.as_str()).collect();
        assert_eq!(texts, ["0°", "10°", "20°", "30°"]);
    }

    #[test]
    fn without_room_there_is_no_chart() {
        assert!(ChartFrame::new(&spec(300.0, 45.0, (0.0, 1.0), (0.0, 1.0))).is_none());
        assert!(ChartFrame::new(&spec(40.0, 200.0, (0.0, 1.0), (0.0, 1.0))).is_none());
    }

    #[test]
    fn ranges_are_widened_to_round_ends() {
        assert_eq!(round_range((9.0, 39.0), 10.0, 8), (5.0, 40.0));
        assert_eq!(round_range((3.0, 3.0), 4.0, 8), (1.0, 5.0));
    }
}
