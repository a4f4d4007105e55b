//! When the wheel's edges pass the sensor, and when the unit sees them. The noise looks random but is the same
//! every time.

use std::iter::Peekable;

use super::motion::Mark;
use super::{Layout, Motion, Settings};

/// The wheel's edges in a run, in order: the time in seconds and the crank angle in degrees of each.
#[derive(Clone, Debug)]
pub struct EdgeTimes<'a> {
    motion: &'a Motion,
    /// The angle of each tooth within a turn.
    teeth: Vec<Mark>,
    tooth: usize,
    turned_deg: f64,
    span: usize,
}

impl<'a> EdgeTimes<'a> {
    /// From the reference edge at the run's start onwards.
    pub fn new(motion: &'a Motion, layout: &Layout) -> Self {
        let teeth = (0..layout.wheel().edges()).map(|tooth| motion.mark(layout.tooth_deg(tooth))).collect();
        Self { motion, teeth, tooth: 0, turned_deg: 0.0, span: 0 }
    }
}

impl Iterator for EdgeTimes<'_> {
    type Item = (f64, f64);

    #[inline]
    fn next(&mut self) -> Option<(f64, f64)> {
        let tooth = self.teeth.get(self.tooth)?;
        let time_s = self.motion.time_of(&mut self.span, tooth, self.turned_deg)?;
        let crank_deg = self.turned_deg + tooth.crank_deg;
        self.tooth += 1;
        if self.tooth == self.teeth.len() {
            self.tooth = 0;
            self.turned_deg += 360.0;
        }
        Some((time_s, crank_deg))
    }
}

/// An edge as the unit sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct SeenEdge {
    /// When it is seen.
    pub(super) time_s: f64,
    /// The crank angle at that moment, where it is known: for the edge of a tooth seen exactly when it passes.
    pub(super) crank_deg: Option<f64>,
}

/// The edges with latency, jitter and faults, in the order in which they are seen.
#[derive(Clone, Debug)]
pub(super) struct SeenEdges<'a> {
    edges: Peekable<EdgeTimes<'a>>,
    late_s: f64,
    jitter_s: f64,
    seed: u64,
    seen: u64,
    earliest_s: f64,
    /// Times of the faults still to come, here and in the list below, the next one last.
    dropped_at_s: Vec<f64>,
    extra_at_s: Vec<f64>,
}

impl<'a> SeenEdges<'a> {
    pub(super) fn new(edges: EdgeTimes<'a>, start_s: f64, settings: &Settings) -> Self {
        let falling = |times: &[f64], from_s: f64| {
            let mut times: Vec<f64> = times.iter().copied().filter(|time_s| *time_s >= from_s).collect();
            times.sort_by(|a, b| b.total_cmp(a));
            times
        };
        Self {
            edges: edges.peekable(),
            late_s: settings.latency_us / 1e6,
            jitter_s: settings.jitter_us / 1e6,
            seed: settings.seed,
            seen: 0,
            earliest_s: start_s,
            dropped_at_s: falling(&settings.dropped_at_s, f64::NEG_INFINITY),
            extra_at_s: falling(&settings.extra_at_s, start_s),
        }
    }

    /// The next edge to pass the sensor, or fault that looks like one: when, and the crank angle of a real
    /// edge.
    #[inline]
    fn pass(&mut self) -> Option<(f64, Option<f64>)> {
        loop {
            let next_s = self.edges.peek()?.0;
            if let Some(extra_s) = self.extra_at_s.pop_if(|time_s| *time_s < next_s) {
                return Some((extra_s, None));
            }
            let (time_s, crank_deg) = self.edges.next()?;
            if self.dropped_at_s.pop_if(|dropped_s| *dropped_s <= time_s).is_none() {
                return Some((time_s, Some(crank_deg)));
            }
        }
    }
}

impl Iterator for SeenEdges<'_> {
    type Item = SeenEdge;

    #[inline]
    fn next(&mut self) -> Option<SeenEdge> {
        let (passes_s, crank_deg) = self.pass()?;
        let mut time_s = passes_s + self.late_s;
        if self.jitter_s > 0.0 {
            time_s += self.jitter_s * even(self.seed, self.seen);
        }
        // No edge may overtake the one before it.
        time_s = time_s.max(self.earliest_s);
        self.seen += 1;
        self.earliest_s = time_s;
        Some(SeenEdge { time_s, crank_deg: crank_deg.filter(|_| time_s == passes_s) })
    }
}

/// The `index`th number of the sequence `seed`, uniformly distributed over −1..1.
///
/// The mixing function of SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014;
/// constants from memory).
pub(super) fn even(seed: u64, index: u64) -> f64 {
    let mut z = seed.wrapping_add(index.wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15));
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^= z >> 31;
    #[expect(clippy::cast_precision_loss, reason = "53 bits are exact")]
    let share = (z >> 11) as f64 / (1_u64 << 53) as f64;
    2.0 * share - 1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn is_even_and_repeats() {
        let numbers: Vec<f64> = (0..10_000).map(|index| even(7, index)).collect();
        let count = f64::from(10_000);
        let mean = numbers.iter().sum::<f64>() / count;
        let square = numbers.iter().map(|x| x * x).sum::<f64>() / count;
        assert!(mean.abs() < 0.02 && (square - 1.0 / 3.0).abs() < 0.01);
        assert!(numbers.iter().all(|x| (-1.0..1.0).contains(x)));
        assert_eq!(even(7, 3), numbers[3]);
        assert_ne!(even(8, 3), numbers[3]);
    }
}
