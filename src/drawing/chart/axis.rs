//! One direction of a chart: its range, its round numbers, and where their texts stand.

use super::CHART;
use crate::drawing::label_room::{LINE, text_width};
use crate::drawing::ticks::{decimals, multiples, nice_step};
use crate::drawing::{Palette, Point, Scene};
use crate::wording::{Unit, fixed, with_unit};

/// Air between the texts of two numbers: comfortable, close, and the least. Numbers come closer only where they would be
/// too few otherwise.
const AIR_ALONG: [f32; 3] = [26.0, 14.0, 5.0];
const AIR_UP: [f32; 3] = [21.0, 9.0, 3.0];
/// So many numbers are enough to read by.
const ENOUGH: usize = 4;
/// More numbers than about this are too many however large the chart is.
const MOST: usize = 12;
/// Air between a unit and the first number.
pub(super) const UNIT_AIR: f32 = 8.0;
/// What lies beyond is not shown, so that the span of a range is finite.
const LARGEST: f64 = 1e300;

/// Where a direction goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// To the right, numbers below.
    Along,
    /// Upwards, numbers at the left.
    Up,
}

/// A round number of a direction.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartTick {
    /// The number.
    pub value: f64,
    /// Its text, with the unit where it is degrees or the uppermost one.
    pub text: String,
    /// The middle of the text on the screen: over the number, or a little beside it at the end of the place.
    pub middle: f32,
}

/// One of the two directions: from numbers to points of the screen and back.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartAxis {
    /// Shown range: finite and not empty.
    pub range: (f64, f64),
    /// Where its ends lie on the screen.
    pub screen: (f32, f32),
    /// Its round numbers, ascending.
    pub ticks: Vec<ChartTick>,
    direction: Direction,
    /// A unit that stands before the numbers, and where it ends.
    unit: Option<(String, f32)>,
}

impl ChartAxis {
    /// A direction whose numbers are multiples of 1, 2 or 5 × 10ⁿ. Their texts keep within `within` on the screen and stand
    /// clear of each other. `unit` may be none: degrees stand at every number, another unit at the uppermost one or left of
    /// all.
    pub fn new(direction: Direction, range: (f64, f64), screen: (f32, f32), within: (f32, f32), unit: Unit) -> Self {
        let range = settled(range);
        let span = range.1 - range.0;
        let finest = nice_step(span, MOST);
        let coarser = |step: &f64| Some(nice_step(step * 1.5, 1));
        let steps: Vec<f64> =
            std::iter::successors(Some(finest), coarser).take_while(|step| *step <= span).take(MOST).collect();
        Self::with_steps(direction, range, screen, within, unit, &steps)
    }

    /// The same with these steps to choose from, finest first, such as parts of a turn.
    pub fn with_steps(
        direction: Direction,
        range: (f64, f64),
        screen: (f32, f32),
        within: (f32, f32),
        unit: Unit,
        steps: &[f64],
    ) -> Self {
        let mut axis = Self { range: settled(range), screen, ticks: Vec::new(), direction, unit: None };
        let is_before = direction == Direction::Along && !unit.is_none() && unit != Unit::Degree;
        let unit_end = within.0 + text_width(unit.text());
        let within = if is_before { (unit_end + UNIT_AIR, within.1) } else { within };
        let airs = if direction == Direction::Along { AIR_ALONG } else { AIR_UP };
        for air in airs {
            let mut laid = steps.iter().map(|&step| axis.laid(step, within, unit));
            let Some(ticks) = laid.find(|ticks| !ticks.is_empty() && axis.stand_clear(ticks, air)) else { continue };
            if ticks.len() > axis.ticks.len() {
                axis.ticks = ticks;
            }
            if axis.ticks.len() >= ENOUGH {
                break;
            }
        }
        if is_before {
            let first = axis.ticks.first().map(|tick| tick.middle - text_width(&tick.text) / 2.0 - UNIT_AIR);
            let end = first.unwrap_or(f32::INFINITY).min(screen.0 - CHART.number_gap).max(unit_end);
            axis.unit = Some((unit.text().to_owned(), end));
        }
        axis
    }

    /// Where a number lies; linear also outside the range.
    pub fn to_screen(&self, value: f64) -> f32 {
        let (start, end) = (f64::from(self.screen.0), f64::from(self.screen.1));
        #[expect(clippy::cast_possible_truncation, reason = "screen points are f32")]
        let at = (start + (end - start) * (value - self.range.0) / (self.range.1 - self.range.0)) as f32;
        at
    }

    /// The number at a place; linear also outside the range.
    pub fn from_screen(&self, at: f32) -> f64 {
        let (start, end) = (f64::from(self.screen.0), f64::from(self.screen.1));
        if start == end {
            return self.range.0;
        }
        self.range.0 + (self.range.1 - self.range.0) * (f64::from(at) - start) / (end - start)
    }

    /// How much room the texts take across their direction, points.
    pub(super) fn room_across(&self) -> f32 {
        match self.direction {
            Direction::Along => LINE,
            Direction::Up => self.ticks.iter().map(|tick| text_width(&tick.text)).fold(0.0, f32::max),
        }
    }

    /// Draws the numbers of an upward direction left of a plot, with faint lines through it; that of zero is stronger.
    pub(in crate::drawing) fn draw_up(&self, (left, right): (f32, f32), palette: &Palette, scene: &mut Scene) {
        for tick in &self.ticks {
            let y = self.to_screen(tick.value);
            let rule = if tick.value == 0.0 { palette.rule_strong } else { palette.rule };
            scene.line(Point::new(left, y), Point::new(right, y), CHART.guide, rule);
            let at = Point::new(left - CHART.number_gap, tick.middle);
            scene.note(at, (1.0, 0.5), tick.text.clone(), palette.ink_secondary);
        }
    }

    /// Draws the numbers of a direction to the right below a plot that ends at a height.
    pub(in crate::drawing) fn draw_along(&self, bottom: f32, palette: &Palette, scene: &mut Scene) {
        for tick in &self.ticks {
            let at = Point::new(tick.middle, bottom + CHART.number_gap);
            scene.note(at, (0.5, 0.0), tick.text.clone(), palette.ink_secondary);
        }
        if let Some((unit, end)) = &self.unit {
            let at = Point::new(*end, bottom + CHART.number_gap);
            scene.note(at, (1.0, 0.0), unit.clone(), palette.ink_secondary);
        }
    }

    /// The multiples of a step with their texts, but those whose text has no room near its number.
    fn laid(&self, step: f64, within: (f32, f32), unit: Unit) -> Vec<ChartTick> {
        let digits = decimals(step);
        let values: Vec<f64> = multiples(step, self.range.0, self.range.1).map(|(_, value)| value).collect();
        let uppermost = values.len().saturating_sub(1);
        let ticks = values.into_iter().enumerate().filter_map(|(index, value)| {
            let number = fixed(value, digits);
            let has_unit =
                unit == Unit::Degree || (self.direction == Direction::Up && index == uppermost && !unit.is_none());
            let text = if has_unit { with_unit(&number, unit) } else { number };
            let half = self.extent(&text) / 2.0;
            let at = self.to_screen(value);
            let (low, high) = (within.0 + half, within.1 - half);
            let middle = if low <= high { at.clamp(low, high) } else { return None };
            ((middle - at).abs() <= half).then_some(ChartTick { value, text, middle })
        });
        ticks.collect()
    }

    /// The size of a text in the direction.
    fn extent(&self, text: &str) -> f32 {
        if self.direction == Direction::Along { text_width(text) } else { LINE }
    }

    fn stand_clear(&self, ticks: &[ChartTick], air: f32) -> bool {
        ticks.windows(2).all(|pair| {
            let halves = (self.extent(&pair[0].text) + self.extent(&pair[1].text)) / 2.0;
            (pair[0].middle - pair[1].middle).abs() >= halves + air
        })
    }
}

/// A range with finite ends and something between them.
fn settled((low, high): (f64, f64)) -> (f64, f64) {
    if low.is_nan() || high.is_nan() {
        return (0.0, 1.0);
    }
    let (low, high) = (low.clamp(-LARGEST, LARGEST), high.clamp(-LARGEST, LARGEST));
    // Too narrow for f64 to tell points of a screen apart.
    let least = low.abs().max(high.abs()) * 1e-9;
    if high - low > least {
        return (low, high);
    }
    let half = least.max(0.5);
    (low - half, low + half)
}
