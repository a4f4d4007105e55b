//! Every sample of a run in order of time, with extremes over groups, groups of groups and so on: what a stretch of any
//! length holds is found in a few steps, so that a view drawn at any zoom loses no spike and looks at few samples.

use std::ops::ControlFlow;

use super::record::{Column, Reach};
use super::{Event, Sink, What};

/// So many entries of a level make one of the level above.
const FAN: usize = 16;
/// Beyond so many entries, samples are kept in twos, then in fours …: it bounds the memory that a run takes.
const MOST_ENTRIES: usize = 1 << 21;

/// Samples in order of time.
#[derive(Clone, Debug, PartialEq)]
pub struct Samples {
    /// When each entry of the lowest level begins.
    times_s: Vec<f64>,
    /// The extremes of each entry, then those of every [`FAN`] of them, and so on.
    levels: Vec<Vec<Reach>>,
    /// So many samples make an entry; more than one only in very long runs.
    per_entry: usize,
    /// How many samples the last entry has.
    in_last: usize,
    most_entries: usize,
}

impl Default for Samples {
    fn default() -> Self {
        Self::with_room_for(MOST_ENTRIES)
    }
}

impl Samples {
    /// None yet, with room for an even number of entries.
    fn with_room_for(most_entries: usize) -> Self {
        Self { times_s: Vec::new(), levels: vec![Vec::new()], per_entry: 1, in_last: 0, most_entries }
    }

    /// Adds a sample that is not before the last one.
    pub fn add(&mut self, time_s: f64, value: f64) {
        let begins = self.times_s.is_empty() || self.in_last == self.per_entry;
        if begins && self.times_s.len() == self.most_entries {
            self.halve();
        }
        if begins {
            self.times_s.push(time_s);
            self.in_last = 0;
        }
        self.in_last += 1;
        let mut at = self.times_s.len() - 1;
        let mut level = 0;
        while let Some(reaches) = self.levels.get_mut(level) {
            match reaches.get_mut(at) {
                Some(reach) => reach.add(value),
                None => reaches.push(Reach { low: value, high: value }),
            }
            if reaches.len() < FAN {
                break;
            }
            let first = (level + 1 == self.levels.len()).then(|| joined(&self.levels[level]));
            self.levels.extend(first.map(|reach| vec![reach]));
            (level, at) = (level + 1, at / FAN);
        }
    }

    /// Puts every two entries together.
    fn halve(&mut self) {
        self.times_s = self.times_s.iter().copied().step_by(2).collect();
        let lowest: Vec<Reach> =
            self.levels.first().map_or_else(Vec::new, |lowest| lowest.chunks(2).map(joined).collect());
        self.levels = vec![lowest];
        while let Some(last) = self.levels.last().filter(|last| last.len() >= FAN) {
            let above = last.chunks(FAN).map(joined).collect();
            self.levels.push(above);
        }
        self.per_entry *= 2;
        self.in_last = self.per_entry;
    }

    /// The entries that a stretch of time, both ends included, overlaps.
    fn entries(&self, (from_s, to_s): (f64, f64)) -> (usize, usize) {
        let from = self.times_s.partition_point(|&at| at < from_s);
        let to = self.times_s.partition_point(|&at| at <= to_s);
        // The entry before may reach into the stretch.
        let from = if self.per_entry > 1 { from.saturating_sub(1) } else { from };
        (from, to.max(from))
    }

    /// The extremes in a stretch of time, both ends included. In a run so long that entries have several samples, up to
    /// one entry before the stretch counts as well.
    pub fn between(&self, from_s: f64, to_s: f64) -> Reach {
        let (mut from, mut to) = self.entries((from_s, to_s));
        let mut all = Reach::default();
        for level in &self.levels {
            let mut join = |at: usize| level.get(at).into_iter().for_each(|reach| all.join(reach));
            while from < to && !from.is_multiple_of(FAN) {
                join(from);
                from += 1;
            }
            while from < to && !to.is_multiple_of(FAN) {
                to -= 1;
                join(to);
            }
            (from, to) = (from / FAN, to / FAN);
        }
        all
    }

    /// About how many samples there are in a stretch of time: exactly so many, unless entries have several.
    pub fn count(&self, from_s: f64, to_s: f64) -> usize {
        let (from, to) = self.entries((from_s, to_s));
        (to - from) * self.per_entry
    }

    /// The samples in a stretch of time, both ends included, each with its time.
    pub fn within(&self, from_s: f64, to_s: f64) -> impl Iterator<Item = (f64, Reach)> {
        let (from, to) = self.entries((from_s, to_s));
        let reaches = self.levels.first().and_then(|lowest| lowest.get(from..to)).unwrap_or_default();
        self.times_s.get(from..to).unwrap_or_default().iter().copied().zip(reaches.iter().copied())
    }

    /// The last sample up to a time, with its own time.
    pub fn before(&self, time_s: f64) -> Option<(f64, Reach)> {
        let at = self.times_s.partition_point(|&at| at <= time_s).checked_sub(1)?;
        Some((*self.times_s.get(at)?, *self.levels.first()?.get(at)?))
    }

    /// Whether there is any sample after a time.
    pub fn goes_on_after(&self, time_s: f64) -> bool {
        self.times_s.last().is_some_and(|&last| last > time_s)
    }
}

fn joined(reaches: impl AsRef<[Reach]>) -> Reach {
    let mut all = Reach::default();
    reaches.as_ref().iter().for_each(|reach| all.join(reach));
    all
}

/// What a run can be looked at closely with.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Detail {
    /// The speed that the unit measured at each edge, in rpm, where it had one.
    pub speed_rpm: Samples,
    /// The advance commanded for each coil event, including suppressed ones, in degrees before TDC.
    pub commanded_deg: Samples,
    /// Where each spark really came, in degrees before TDC.
    pub actual_deg: Samples,
    /// The timing error of each spark, in degrees: positive is late.
    pub error_deg: Samples,
    /// The suppressed coil events, with the advance that would have been commanded.
    pub cuts: Samples,
}

impl Detail {
    /// What happened in a stretch of time, both ends included.
    pub fn between(&self, from_s: f64, to_s: f64) -> Column {
        let count = |samples: &Samples| u32::try_from(samples.count(from_s, to_s)).unwrap_or(u32::MAX);
        Column {
            speed_rpm: self.speed_rpm.between(from_s, to_s),
            commanded_deg: self.commanded_deg.between(from_s, to_s),
            error_deg: self.error_deg.between(from_s, to_s),
            sparks: count(&self.error_deg),
            cuts: count(&self.cuts),
        }
    }
}

impl Sink for Detail {
    fn take(&mut self, event: &Event) -> ControlFlow<()> {
        let at_s = event.time_s;
        match event.what {
            What::Edge { speed_rpm } if speed_rpm > 0.0 => self.speed_rpm.add(at_s, speed_rpm),
            What::Spark { commanded_deg, actual_deg, .. } => {
                self.commanded_deg.add(at_s, commanded_deg);
                self.actual_deg.add(at_s, actual_deg);
                self.error_deg.add(at_s, commanded_deg - actual_deg);
            }
            What::Cut { commanded_deg, .. } => {
                self.commanded_deg.add(at_s, commanded_deg);
                self.cuts.add(at_s, commanded_deg);
            }
            _ => {}
        }
        ControlFlow::Continue(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn of(samples: &[(f64, f64)], most: usize) -> Samples {
        let mut all = Samples::with_room_for(most);
        samples.iter().for_each(|&(at_s, value)| all.add(at_s, value));
        all
    }

    fn brute(samples: &[(f64, f64)], from_s: f64, to_s: f64) -> Reach {
        let mut all = Reach::default();
        samples.iter().filter(|(at_s, _)| (from_s..=to_s).contains(at_s)).for_each(|(_, value)| all.add(*value));
        all
    }

    /// Times that rise, several of them equal.
    fn samples() -> impl Strategy<Value = Vec<(f64, f64)>> {
        prop::collection::vec((0_u8..4, -50_i16..50), 0..900).prop_map(|steps| {
            let mut at_s = 0.0;
            let sample = |(step, value): (u8, i16)| {
                at_s += f64::from(step) * 0.25;
                (at_s, f64::from(value))
            };
            steps.into_iter().map(sample).collect()
        })
    }

    proptest! {
        #[test]
        fn the_extremes_of_a_stretch_are_those_of_its_samples(all in samples(), from in -2_i16..1300, width in 0_i16..1300) {
            let (from_s, to_s) = (f64::from(from) * 0.25, f64::from(from + width) * 0.25);
            let kept = of(&all, 1 << 12);
            prop_assert_eq!(kept.between(from_s, to_s), brute(&all, from_s, to_s));
            let inside = all.iter().filter(|(at_s, _)| (from_s..=to_s).contains(at_s)).count();
            prop_assert_eq!(kept.count(from_s, to_s), inside);
            let last = all.iter().rev().find(|(at_s, _)| *at_s <= from_s).copied();
            prop_assert_eq!(kept.before(from_s).map(|(at_s, reach)| (at_s, reach.low)), last);
        }

        /// One pixel after the other, as a lane is drawn: no sample falls between two of them.
        #[test]
        fn neighbouring_stretches_lose_no_spike(all in samples(), spike in 0_usize..900, pixels in 1_u16..400) {
            let mut all = all;
            if let Some(sample) = all.get_mut(spike) {
                sample.1 = 1e6;
                let end_s = all.last().map_or(0.0, |last| last.0) + 0.1;
                let edge = |pixel: u16| end_s * f64::from(pixel) / f64::from(pixels);
                let kept = of(&all, 1 << 12);
                let highest = (0..pixels).map(|pixel| kept.between(edge(pixel), edge(pixel + 1).next_down()).high);
                prop_assert_eq!(highest.fold(0.0, f64::max), 1e6);
            }
        }

        #[test]
        fn samples_kept_in_groups_still_hold_every_extreme(all in samples(), from in 0_i16..800, width in 0_i16..400) {
            let (from_s, to_s) = (f64::from(from) * 0.25, f64::from(from + width) * 0.25);
            let kept = of(&all, 32);
            let (found, wanted) = (kept.between(from_s, to_s), brute(&all, from_s, to_s));
            prop_assert!(found.low <= wanted.low && found.high >= wanted.high);
            prop_assert_eq!(kept.between(-1.0, 1e9), brute(&all, -1.0, 1e9));
            prop_assert!(kept.times_s.len() <= 32);
        }
    }
}
