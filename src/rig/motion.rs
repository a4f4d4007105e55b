//! How the crank turns in a run: conversion between time and crank angle, exact even with cyclic speed
//! variation, where the crank slows into each compression and speeds up after it.

use super::{Layout, Row, Run, Settings};

/// A stretch between two rows: the even angle (see [`Swing`]) is a quadratic in time.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Span {
    start_s: f64,
    end_s: f64,
    /// Degrees per second at the start.
    speed: f64,
    /// Degrees per second squared.
    acceleration: f64,
    from_deg: f64,
    to_deg: f64,
    pace: Pace,
    /// By how much the swing's even angle exceeds that of the run, so that the crank does not jump between
    /// spans.
    lead_deg: f64,
}

/// Which of a motion's two variations applies in a span.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Pace {
    /// The general variation.
    Usual,
    /// The run's own variation at low speed.
    Slow,
}

/// The crank's motion in a run, with or without cyclic variation.
#[derive(Clone, Debug, PartialEq)]
pub struct Motion {
    spans: Vec<Span>,
    swings: Swings,
    /// What rounding has taken from the sum of the spans' angles so far.
    lost_deg: f64,
}

/// The general variation, and that of low speed.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Swings {
    usual: Option<Swing>,
    slow: Option<Swing>,
}

impl Swings {
    fn of(&self, pace: Pace) -> Option<Swing> {
        match pace {
            Pace::Usual => self.usual,
            Pace::Slow => self.slow,
        }
    }

    /// The crank angle at an even angle of the swing.
    #[inline]
    fn crank_deg(&self, pace: Pace, even_deg: f64) -> f64 {
        self.of(pace).map_or(even_deg, |swing| swing.crank_deg(even_deg))
    }

    /// The swing's even angle at a crank angle.
    #[inline]
    fn even_deg(&self, pace: Pace, crank_deg: f64) -> f64 {
        self.of(pace).map_or(crank_deg, |swing| swing.even_deg(crank_deg))
    }
}

/// An angle on the wheel, prepared for a motion: the crank angle, and the even angle under either variation.
#[derive(Clone, Copy, Debug)]
pub(super) struct Mark {
    pub(super) crank_deg: f64,
    usual_deg: f64,
    slow_deg: f64,
}

/// Degrees per second in one rpm.
pub(super) const DEG_PER_S: f64 = 6.0;

impl Span {
    /// When the even angle is reached: the root 2d/(v + √(v² + 2ad)) of the quadratic d = vt + at²/2, a form that loses
    /// no digits when a is small. `deg` lies within the span.
    #[inline]
    fn time_s(&self, deg: f64) -> f64 {
        let ahead_deg = deg - self.from_deg;
        let square = self.speed * self.speed + 2.0 * self.acceleration * ahead_deg;
        let divisor = self.speed + square.max(0.0).sqrt();
        if divisor <= 0.0 {
            return if ahead_deg > 0.0 { self.end_s } else { self.start_s };
        }
        (self.start_s + 2.0 * ahead_deg / divisor).clamp(self.start_s, self.end_s)
    }

    fn deg(&self, time_s: f64) -> f64 {
        let since_s = time_s - self.start_s;
        self.from_deg + (self.speed + 0.5 * self.acceleration * since_s) * since_s
    }
}

impl Motion {
    /// The motion of a run with the variation of the settings, or the run's own where that is larger.
    pub fn new(run: &Run, settings: &Settings, layout: &Layout) -> Self {
        let usual = settings.swing(layout);
        let own = run.own_variation().filter(|own| own.variation > settings.variation);
        let slow = own.and_then(|own| settings.swing_of(own.variation, layout));
        let swings = Swings { usual, slow: slow.or(usual) };
        let slow_below_rpm = own.map_or(0.0, |own| own.below_rpm);
        let mut motion = Self { spans: Vec::with_capacity(run.rows().len()), swings, lost_deg: 0.0 };
        for pair in run.rows().windows(2) {
            match crossing(&pair[0], &pair[1], slow_below_rpm) {
                Some(middle) => {
                    motion.add(&pair[0], &middle, slow_below_rpm);
                    motion.add(&middle, &pair[1], slow_below_rpm);
                }
                None => motion.add(&pair[0], &pair[1], slow_below_rpm),
            }
        }
        motion
    }

    fn add(&mut self, from: &Row, to: &Row, slow_below_rpm: f64) {
        let pace = if from.speed_rpm.min(to.speed_rpm) < slow_below_rpm { Pace::Slow } else { Pace::Usual };
        let (start_s, end_s) = (from.time_s, to.time_s);
        let (speed, end_speed) = (from.speed_rpm * DEG_PER_S, to.speed_rpm * DEG_PER_S);
        let duration_s = end_s - start_s;
        let (from_deg, lead_deg) = match self.spans.last() {
            None => (0.0, self.swings.even_deg(pace, 0.0)),
            Some(last) if last.pace == pace => (last.to_deg, last.lead_deg),
            Some(last) => {
                let crank_deg = self.swings.crank_deg(last.pace, last.to_deg + last.lead_deg);
                (last.to_deg, self.swings.even_deg(pace, crank_deg) - last.to_deg)
            }
        };
        // A compensated sum (W. Kahan, "Further Remarks on Reducing Truncation Errors", Communications of the ACM 8, 1965;
        // from memory): a run of many rows would otherwise be off by tenths of a degree after days.
        let angle_deg = 0.5 * (speed + end_speed) * duration_s + self.lost_deg;
        let to_deg = from_deg + angle_deg;
        self.lost_deg = angle_deg - (to_deg - from_deg);
        let acceleration = (end_speed - speed) / duration_s;
        self.spans.push(Span { start_s, end_s, speed, acceleration, from_deg, to_deg, pace, lead_deg });
    }

    /// The crank angle in degrees at a time within the run; before and after it as at its ends.
    pub fn crank_deg(&self, time_s: f64) -> f64 {
        let mut place = self.spans.partition_point(|span| span.end_s < time_s);
        self.crank_deg_from(&mut place, time_s)
    }

    /// The same for non-decreasing times: `place` remembers the span, and is 0 at first.
    #[inline]
    pub(super) fn crank_deg_from(&self, place: &mut usize, time_s: f64) -> f64 {
        while *place + 1 < self.spans.len() && self.spans[*place].end_s < time_s {
            *place += 1;
        }
        let span = &self.spans[(*place).min(self.spans.len() - 1)];
        let even_deg = span.deg(time_s.clamp(span.start_s, span.end_s));
        self.swings.crank_deg(span.pace, even_deg + span.lead_deg)
    }

    /// When the crank reaches an angle, in seconds; if it stops there, the first such instant. `None` when the
    /// run ends before that or began after it.
    pub fn time_s(&self, crank_deg: f64) -> Option<f64> {
        let mark = self.mark(crank_deg);
        if self.spans.first().is_some_and(|first| mark.even_deg(first, 0.0) < 0.0) {
            return None;
        }
        self.time_of(&mut self.spans.partition_point(|span| span.to_deg < mark.even_deg(span, 0.0)), &mark, 0.0)
    }

    /// A crank angle within the first turn, prepared for [`time_of`](Self::time_of) in any turn.
    pub(super) fn mark(&self, crank_deg: f64) -> Mark {
        let [usual_deg, slow_deg] = [Pace::Usual, Pace::Slow].map(|pace| self.swings.even_deg(pace, crank_deg));
        Mark { crank_deg, usual_deg, slow_deg }
    }

    /// When the angle of a mark plus whole turns of `turned_deg` is reached, for non-decreasing angles: `place`
    /// remembers the span, and is 0 at first.
    #[inline]
    pub(super) fn time_of(&self, place: &mut usize, mark: &Mark, turned_deg: f64) -> Option<f64> {
        loop {
            let span = self.spans.get(*place)?;
            let even_deg = mark.even_deg(span, turned_deg);
            if even_deg <= span.to_deg {
                return Some(span.time_s(even_deg));
            }
            *place += 1;
        }
    }
}

impl Mark {
    /// The run's even angle in a span.
    #[inline]
    fn even_deg(&self, span: &Span, turned_deg: f64) -> f64 {
        let even_deg = if span.pace == Pace::Slow { self.slow_deg } else { self.usual_deg };
        turned_deg + (even_deg - span.lead_deg)
    }
}

/// Where the speed passes a threshold between two rows.
fn crossing(from: &Row, to: &Row, threshold_rpm: f64) -> Option<Row> {
    let share = (threshold_rpm - from.speed_rpm) / (to.speed_rpm - from.speed_rpm);
    let middle = Row { speed_rpm: threshold_rpm, ..from.toward(to, share) };
    (share > 0.0 && share < 1.0 && from.time_s < middle.time_s && middle.time_s < to.time_s).then_some(middle)
}

/// Cyclic speed variation: ω(θ) = ω̄·(1 + c·cos(k(θ − θ0))) with ω̄ = mean/√(1 − c²), so that the run's speed
/// is the mean over time.
///
/// Its *even angle* is where the crank would be without the variation, so it grows at the run's speed. Writing
/// ψ = k(θ − θ0), dψ/(1 + c·cos ψ) integrates to 2/√(1 − c²)·atan(√((1 − c)/(1 + c))·tan(ψ/2)) (any table of
/// integrals), so the phase of the even angle is 2·atan(√((1 − c)/(1 + c))·tan(ψ/2)); the inverse has the
/// reciprocal root.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swing {
    periods: f64,
    fastest_deg: f64,
    root: f64,
}

impl Swing {
    /// A variation of `depth` (0..=0.5) with `periods` to a revolution, fastest at `fastest_deg` of crank.
    pub fn new(depth: f64, periods: u8, fastest_deg: f64) -> Self {
        Self { periods: f64::from(periods.max(1)), fastest_deg, root: ((1.0 - depth) / (1.0 + depth)).sqrt() }
    }

    /// The even angle at a crank angle, both in degrees.
    pub fn even_deg(&self, crank_deg: f64) -> f64 {
        self.turned(crank_deg, self.root)
    }

    /// The crank angle at an even angle, both in degrees.
    pub fn crank_deg(&self, even_deg: f64) -> f64 {
        self.turned(even_deg, 1.0 / self.root)
    }

    /// Computes only the small difference, so that many turns before it cost no precision.
    fn turned(&self, deg: f64, root: f64) -> f64 {
        let phase_deg = self.periods * (deg - self.fastest_deg);
        let phase = (phase_deg - 360.0 * (phase_deg / 360.0).round()).to_radians();
        let (sine, cosine) = (phase / 2.0).sin_cos();
        deg + (2.0 * (root * sine).atan2(cosine) - phase).to_degrees() / self.periods
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// The closed form against Simpson's rule over dθ/(1 + c·cos(k(θ − θ0))), times √(1 − c²).
    #[test]
    fn agrees_with_the_integral() {
        let (depth, fastest_deg) = (0.5_f64, 33.0);
        let swing = Swing::new(depth, 3, fastest_deg);
        let slowness = |deg: f64| 1.0 / (1.0 + depth * (3.0 * (deg - fastest_deg)).to_radians().cos());
        let (steps, width) = (20_000, 500.0 / 20_000.0);
        let weight = |step: i32| if step == 0 || step == steps { 1.0 } else { f64::from(2 + 2 * (step % 2)) };
        let sum: f64 = (0..=steps).map(|step| weight(step) * slowness(f64::from(step) * width)).sum();
        let integral = sum * width / 3.0 * (1.0 - depth * depth).sqrt();
        assert_abs_diff_eq!(swing.even_deg(500.0) - swing.even_deg(0.0), integral, epsilon = 1e-9);
    }

    /// The longest run at the highest speed in many spans, whose angles are no binary fractions.
    #[test]
    fn the_angle_of_a_long_run_is_good_to_a_ten_thousandth_of_a_degree() {
        let (rows, step_s, speed_rpm) = (40_000_u32, 49.9, 29_999.7);
        let project = crate::project::SAMPLES[0].project().unwrap();
        let row = |at: u32| Row {
            time_s: f64::from(at) * step_s - 998_000.0,
            speed_rpm,
            load: 50.0,
            coolant_c: None,
            air_c: None,
            battery_v: 13.8,
            throttle_pct: None,
            launch: false,
        };
        let run = Run::new((0..=rows).map(row).collect()).unwrap();
        let motion = Motion::new(&run, &Settings::default(), &Layout::new(&project));
        let wanted_deg = speed_rpm * DEG_PER_S * (run.end_s() - run.start_s());
        let off_deg = motion.crank_deg(run.end_s()) - wanted_deg;
        assert!(off_deg.abs() < 1e-4, "{off_deg}");
    }

    proptest! {
        #[test]
        fn is_undone_exactly_and_keeps_whole_turns(
            depth in 0.0..0.5, periods in 2_u8..5, fastest_deg in -360.0..720.0, deg in -1e5..1e6,
        ) {
            let swing = Swing::new(depth, periods, fastest_deg);
            prop_assert!((swing.crank_deg(swing.even_deg(deg)) - deg).abs() < 1e-9);
            prop_assert!((swing.even_deg(deg + 360.0) - swing.even_deg(deg) - 360.0).abs() < 1e-9);
        }
    }
}
