//! One axis of a chart: its range, its round numbers, and where their texts are. Contour levels are round by the
//! same rule.

use super::CHART;
use crate::drawing::label_room::{LINE, text_width};
use crate::drawing::{Palette, Point, Scene};
use crate::wording::{Unit, fixed, with_unit, written};

/// Space between the texts of two numbers: comfortable, tight, and the least. Numbers are set more tightly only
/// where there would otherwise be too few.
const AIR_ALONG: [f32; 3] = [26.0, 14.0, 5.0];
const AIR_UP: [f32; 3] = [21.0, 9.0, 3.0];
/// This many numbers are enough to read by.
const ENOUGH: usize = 4;
/// More numbers than about this are too many, however large the chart is.
const MOST: usize = 12;
/// Space between a unit and the first number.
pub(super) const UNIT_AIR: f32 = 8.0;
/// Numbers beyond this are not shown, so that the span of a range is always finite.
const LARGEST: f64 = 1e300;

/// Which way an axis runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// To the right, with numbers below.
    Along,
    /// Upwards, with numbers at the left.
    Up,
}

/// A labelled number on an axis.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartTick {
    /// The number.
    pub value: f64,
    /// Its text: with the unit if that is degrees, or if it is the uppermost number of an upward axis. Empty where the
    /// number of the axis's start leaves no room for it.
    pub text: String,
    /// The middle of the text on the screen: at the number, or shifted a little at the ends of the space.
    pub middle: f32,
}

/// One of the two axes: converts between numbers and points of the screen.
#[derive(Clone, Debug, PartialEq)]
pub struct ChartAxis {
    /// Shown range: finite and not empty.
    pub range: (f64, f64),
    /// Where the ends of the range are on the screen.
    pub screen: (f32, f32),
    /// Its round numbers, ascending.
    pub ticks: Vec<ChartTick>,
    direction: Direction,
    /// A unit that is written before the numbers, and where it ends.
    unit: Option<(String, f32)>,
    /// Where the texts of numbers may begin.
    from: f32,
}

impl ChartAxis {
    /// An axis with numbers at multiples of 1, 2 or 5 × 10ⁿ. Their texts stay inside `within` on the screen and
    /// do not touch. `unit` may be none. Degrees are written at every number, another unit at the uppermost one
    /// or to the left of all.
    pub fn new(direction: Direction, range: (f64, f64), screen: (f32, f32), within: (f32, f32), unit: Unit) -> Self {
        let range = settled(range);
        let span = range.1 - range.0;
        let finest = nice_step(span, MOST);
        let coarser = |step: &f64| Some(nice_step(step * 1.5, 1));
        let steps: Vec<f64> =
            std::iter::successors(Some(finest), coarser).take_while(|step| *step <= span).take(MOST).collect();
        Self::with_steps(direction, range, screen, within, unit, &steps)
    }

    /// The same with a choice of given steps, finest first, such as parts of a turn.
    pub fn with_steps(
        direction: Direction,
        range: (f64, f64),
        screen: (f32, f32),
        within: (f32, f32),
        unit: Unit,
        steps: &[f64],
    ) -> Self {
        let mut axis = Self { range: settled(range), screen, ticks: Vec::new(), direction, unit: None, from: within.0 };
        let is_before = direction == Direction::Along && !unit.is_none() && unit != Unit::Degree;
        let unit_end = within.0 + text_width(unit.text());
        let within = if is_before { (unit_end + UNIT_AIR, within.1) } else { within };
        axis.from = within.0;
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
            axis.unit = Some((unit.text().to_owned(), unit_end));
            axis.place_unit(unit_end);
        }
        axis
    }

    /// Puts the unit as near to the first number as may be; it cannot end before `least`.
    fn place_unit(&mut self, least: f32) {
        let first = self.ticks.first().map(|tick| tick.middle - text_width(&tick.text) / 2.0 - UNIT_AIR);
        let end = first.unwrap_or(f32::INFINITY).min(self.screen.0 - CHART.number_gap).max(least);
        if let Some(unit) = &mut self.unit {
            unit.1 = end;
        }
    }

    /// Gives the start of an axis to the right a number too, in its own digits. Numbers that would touch it lose their
    /// text.
    pub(in crate::drawing) fn name_start(&mut self) {
        let (start, span) = (self.range.0, self.range.1 - self.range.0);
        if self.ticks.first().is_some_and(|tick| tick.value - start <= span * 1e-9) {
            return;
        }
        let text = written(start);
        let half = text_width(&text) / 2.0;
        let middle = self.screen.0.max(self.from + half);
        for tick in &mut self.ticks {
            if tick.middle - text_width(&tick.text) / 2.0 < middle + half + AIR_ALONG[2] {
                tick.text.clear();
            }
        }
        self.ticks.insert(0, ChartTick { value: start, text, middle });
        self.place_unit(self.from - UNIT_AIR);
    }

    /// Where a number is on the screen; linear also outside the range.
    pub fn to_screen(&self, value: f64) -> f32 {
        let (start, end) = (f64::from(self.screen.0), f64::from(self.screen.1));
        #[expect(clippy::cast_possible_truncation, reason = "screen points are f32")]
        let at = (start + (end - start) * (value - self.range.0) / (self.range.1 - self.range.0)) as f32;
        at
    }

    /// The number at a point of the screen; linear also outside the range.
    pub fn from_screen(&self, at: f32) -> f64 {
        let (start, end) = (f64::from(self.screen.0), f64::from(self.screen.1));
        if start == end {
            return self.range.0;
        }
        self.range.0 + (self.range.1 - self.range.0) * (f64::from(at) - start) / (end - start)
    }

    /// How much room the texts take across the axis, in points.
    pub(super) fn room_across(&self) -> f32 {
        match self.direction {
            Direction::Along => LINE,
            Direction::Up => self.ticks.iter().map(|tick| text_width(&tick.text)).fold(0.0, f32::max),
        }
    }

    /// Draws the numbers of an upward axis left of a plot, with faint lines through the plot; the line of zero
    /// is stronger.
    pub(in crate::drawing) fn draw_up(&self, (left, right): (f32, f32), palette: &Palette, scene: &mut Scene) {
        for tick in &self.ticks {
            let y = self.to_screen(tick.value);
            let rule = if tick.value == 0.0 { palette.rule_strong } else { palette.rule };
            scene.line(Point::new(left, y), Point::new(right, y), CHART.guide, rule);
            let at = Point::new(left - CHART.number_gap, tick.middle);
            scene.note(at, (1.0, 0.5), tick.text.clone(), palette.ink_secondary);
        }
    }

    /// Draws the numbers of an axis to the right, below a plot whose lower edge is at `bottom`.
    pub(in crate::drawing) fn draw_along(&self, bottom: f32, palette: &Palette, scene: &mut Scene) {
        for tick in self.ticks.iter().filter(|tick| !tick.text.is_empty()) {
            let at = Point::new(tick.middle, bottom + CHART.number_gap);
            scene.note(at, (0.5, 0.0), tick.text.clone(), palette.ink_secondary);
        }
        if let Some((unit, end)) = &self.unit {
            let at = Point::new(*end, bottom + CHART.number_gap);
            scene.note(at, (1.0, 0.0), unit.clone(), palette.ink_secondary);
        }
    }

    /// The multiples of a step with their texts, without those whose text does not fit near its number.
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

    /// The size of a text along the axis.
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

/// A range with finite ends that is not empty.
fn settled((low, high): (f64, f64)) -> (f64, f64) {
    if low.is_nan() || high.is_nan() {
        return (0.0, 1.0);
    }
    let (low, high) = (low.clamp(-LARGEST, LARGEST), high.clamp(-LARGEST, LARGEST));
    // Narrower than this, f64 could not tell points of the screen apart.
    let least = low.abs().max(high.abs()) * 1e-9;
    if high - low > least {
        return (low, high);
    }
    let half = least.max(0.5);
    (low - half, low + half)
}

/// The smallest of 1, 2, 5 × 10ⁿ that divides `span` into at most `most` steps.
///
/// Domain: `span` > 0 and finite, `most` ≥ 1; anything else gives 1.
///
/// ```
/// assert_eq!(sparkloft::drawing::nice_step(37.0, 10), 5.0);
/// ```
pub fn nice_step(span: f64, most: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a count of ticks")]
    let least = span / most.max(1) as f64;
    if !least.is_normal() || least < 0.0 {
        return 1.0;
    }
    #[expect(clippy::cast_possible_truncation, reason = "the exponent of an f64")]
    let exponent = least.log10().floor() as i32;
    let candidates = [(1.0, 0), (2.0, 0), (5.0, 0), (1.0, 1)].map(|(digit, more)| scaled(digit, exponent + more));
    let fitting = candidates.into_iter().find(|&step| step >= least * (1.0 - 1e-12));
    fitting.unwrap_or_else(|| scaled(2.0, exponent + 1))
}

/// `digit` × 10^`exponent`, the nearest f64 also for negative exponents.
fn scaled(digit: f64, exponent: i32) -> f64 {
    if exponent >= 0 { digit * 10_f64.powi(exponent) } else { digit / 10_f64.powi(-exponent) }
}

/// Round numbers on an axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Ticks {
    /// The distance between them: 1, 2 or 5 × 10ⁿ.
    pub step: f64,
    /// The multiples of the step within the range, ascending.
    pub values: Vec<f64>,
}

impl Ticks {
    /// The multiples of a round step in `low..=high`, with at most `most` steps; empty if the range is.
    pub fn within(low: f64, high: f64, most: usize) -> Self {
        let step = nice_step(high - low, most);
        Self { step, values: multiples(step, low, high).map(|(_, value)| value).collect() }
    }

    /// The text of a value with the decimals that the step needs; U+2212 for a minus.
    pub fn text(&self, value: f64) -> String {
        fixed(value, decimals(self.step))
    }
}

/// How many decimals it takes to write every multiple of a step of 1, 2 or 5 × 10ⁿ.
pub fn decimals(step: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative, at most 324")]
    let count = (-(step * (1.0 + 1e-9)).log10().floor()).max(0.0) as usize;
    count
}

/// `(k, k × step)` for every whole k whose product is in `low..=high`; the multiples are settled decimals.
pub(in crate::drawing) fn multiples(step: f64, low: f64, high: f64) -> impl Iterator<Item = (i64, f64)> {
    #[expect(clippy::cast_possible_truncation, reason = "saturates")]
    let whole = |x: f64| x as i64;
    let slack = step * 1e-9;
    let (first, last) = (whole(((low - slack) / step).ceil()), whole(((high + slack) / step).floor()));
    (first..=last).map(move |k| (k, multiple(step, k)))
}

/// k × `step` as the f64 nearest to that decimal: computed by division, since a step below one is the
/// reciprocal of a whole number or twice that.
#[expect(clippy::cast_precision_loss, reason = "tick numbers are small")]
pub(in crate::drawing) fn multiple(step: f64, k: i64) -> f64 {
    let per_unit = (1.0 / step).round();
    if step < 1.0 && (per_unit * step - 1.0).abs() < 1e-12 { k as f64 / per_unit } else { k as f64 * step }
}

/// `low..=high` widened to multiples of `step`.
pub fn widened(low: f64, high: f64, step: f64) -> (f64, f64) {
    ((low / step).floor() * step, (high / step).ceil() * step)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn steps_are_the_known_ones() {
        for (span, most, step) in
            [(30.0, 16, 2.0), (7000.0, 5, 2000.0), (100.0, 5, 20.0), (1.0, 10, 0.1), (0.3, 2, 0.2)]
        {
            assert_eq!(nice_step(span, most), step, "{span}/{most}");
        }
        assert_eq!(nice_step(0.0, 5), 1.0);
        assert_eq!(nice_step(f64::NAN, 5), 1.0);
        assert_eq!(nice_step(f64::INFINITY, 5), 1.0);
    }

    #[test]
    fn texts_have_the_decimals_of_the_step() {
        let ticks = Ticks::within(-0.4, 0.4, 8);
        assert_eq!(
            ticks.values.iter().map(|&x| ticks.text(x)).collect::<Vec<_>>(),
            ["−0.4", "−0.3", "−0.2", "−0.1", "0.0", "0.1", "0.2", "0.3", "0.4"]
        );
        assert_eq!(Ticks::within(500.0, 7500.0, 4).values, [2000.0, 4000.0, 6000.0]);
        assert_eq!(Ticks::within(5.0, 1.0, 4).values, [] as [f64; 0]);
    }

    proptest! {
        #[test]
        fn ticks_are_few_and_inside(low in -1e5..1e5, span in 1e-3..1e5, most in 1_usize..20) {
            let ticks = Ticks::within(low, low + span, most);
            prop_assert!(ticks.values.len() <= most + 1);
            let slack = ticks.step * 1e-6;
            for x in &ticks.values {
                prop_assert!(*x >= low - slack && *x <= low + span + slack);
            }
            // With the next finer step there would have been too many.
            prop_assert!(ticks.step * (most as f64) < span * 2.5 * (1.0 + 1e-9));
        }
    }
}
