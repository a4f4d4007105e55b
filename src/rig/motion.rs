//! How the crank turns in a run: time ↔ crank angle, exactly.

use super::{Run, Swing};

/// Between two rows the even angle is a quadratic of time.
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
}

/// The crank's motion in a run, with or without cyclic variation.
#[derive(Clone, Debug, PartialEq)]
pub struct Motion {
    spans: Vec<Span>,
    swing: Option<Swing>,
    /// The even angle at crank angle 0.
    zero_deg: f64,
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
    /// The motion of a run.
    pub fn new(run: &Run, swing: Option<Swing>) -> Self {
        let mut from_deg = 0.0;
        let spans = run.rows().windows(2).map(|pair| {
            let (start_s, end_s) = (pair[0].time_s, pair[1].time_s);
            let (speed, end_speed) = (pair[0].speed_rpm * DEG_PER_S, pair[1].speed_rpm * DEG_PER_S);
            let duration_s = end_s - start_s;
            let to_deg = from_deg + 0.5 * (speed + end_speed) * duration_s;
            let span = Span { start_s, end_s, speed, acceleration: (end_speed - speed) / duration_s, from_deg, to_deg };
            from_deg = to_deg;
            span
        });
        Self { spans: spans.collect(), swing, zero_deg: swing.map_or(0.0, |swing| swing.even_deg(0.0)) }
    }

    /// The crank angle in degrees at a time within the run; before and after it as at its ends.
    pub fn crank_deg(&self, time_s: f64) -> f64 {
        let mut place = self.spans.partition_point(|span| span.end_s < time_s);
        self.crank_deg_from(&mut place, time_s)
    }

    /// The same for times that grow: `place` remembers the span, and begins at 0.
    #[inline]
    pub(super) fn crank_deg_from(&self, place: &mut usize, time_s: f64) -> f64 {
        while *place + 1 < self.spans.len() && self.spans[*place].end_s < time_s {
            *place += 1;
        }
        let span = &self.spans[(*place).min(self.spans.len() - 1)];
        let even_deg = span.deg(time_s.clamp(span.start_s, span.end_s));
        self.swing.map_or(even_deg, |swing| swing.crank_deg(even_deg + self.zero_deg))
    }

    /// When the crank reaches an angle, in seconds: the first instant where it stands still there. `None` when the run
    /// ends before, or began after.
    pub fn time_s(&self, crank_deg: f64) -> Option<f64> {
        let even_deg = self.even_deg(crank_deg);
        if even_deg < 0.0 {
            return None;
        }
        self.time_of_even(&mut self.spans.partition_point(|span| span.to_deg < even_deg), even_deg)
    }

    /// The even angle at a crank angle, both from the run's start.
    pub(super) fn even_deg(&self, crank_deg: f64) -> f64 {
        self.swing.map_or(crank_deg, |swing| swing.even_deg(crank_deg) - self.zero_deg)
    }

    /// When the even angle is reached, for angles that grow: `place` remembers the span, and begins at 0.
    #[inline]
    pub(super) fn time_of_even(&self, place: &mut usize, even_deg: f64) -> Option<f64> {
        let mut span = self.spans.get(*place)?;
        while span.to_deg < even_deg {
            *place += 1;
            span = self.spans.get(*place)?;
        }
        Some(span.time_s(even_deg))
    }
}
