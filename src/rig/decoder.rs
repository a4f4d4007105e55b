//! From edge times alone to the position of the crank.

use crate::project::{Trigger, Wheel};

/// Finds the gap, counts edges, and knows the angle of the crank.
///
/// A period p is a gap where √(p²/(previous·next)) reaches 1.5 (one tooth missing) or 2.0 (more): comparing
/// with both neighbours tolerates cyclic speed variation up to 0.5, where a ratio to one neighbour fails. A gap
/// is recognised one edge after it ended. In sync, the count of edges says where the gap must be; a gap
/// elsewhere, or none there, loses sync.
#[derive(Clone, Debug)]
pub struct Decoder {
    wheel: Wheel,
    gaps_wanted: u8,
    threshold_squared: f64,
    last_s: Option<f64>,
    /// The last period and the one before it, in seconds; 0 when unknown.
    periods_s: [f64; 2],
    gaps: u8,
    in_sync: bool,
    /// Edges since the reference edge, if that is known.
    tooth: u16,
    turned_deg: f64,
    speed: f64,
}

/// Why sync was lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Loss {
    /// A gap came before all teeth were counted.
    EarlyGap,
    /// All teeth were counted, and no gap came.
    NoGap,
    /// No edge came for too long.
    Stall,
}

impl Loss {
    /// Its name in files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::EarlyGap => "early_gap",
            Self::NoGap => "no_gap",
            Self::Stall => "stall",
        }
    }

    /// The same in words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::EarlyGap => "a gap too early",
            Self::NoGap => "no gap where it is due",
            Self::Stall => "standstill",
        }
    }
}

/// Sync found or lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// The position is known from now on.
    Found,
    /// It is known no longer.
    Lost(Loss),
}

/// What one edge revealed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Seen {
    /// If the edge before this one ended a gap: the ratio by which it was recognised.
    pub gap: Option<f64>,
    /// Whether sync was found or lost.
    pub change: Option<Change>,
}

/// Tolerance, so that a ratio of exactly the threshold counts in spite of rounding.
const ROUNDING: f64 = 1e-9;

/// Stalled means no edge for this many times the last period, and for at least the time below.
const STALL_PERIODS: f64 = 5.0;
const STALL_S: f64 = 0.5;

impl Decoder {
    /// A decoder that has seen no edge.
    pub fn new(trigger: &Trigger) -> Self {
        let threshold: f64 = if trigger.wheel.missing == 1 { 1.5 } else { 2.0 };
        Self {
            wheel: trigger.wheel,
            gaps_wanted: trigger.gaps_to_sync.max(1),
            threshold_squared: threshold * threshold * (1.0 - ROUNDING),
            last_s: None,
            periods_s: [0.0; 2],
            gaps: 0,
            in_sync: false,
            tooth: 0,
            turned_deg: 0.0,
            speed: 0.0,
        }
    }

    /// Whether the position is known.
    pub fn in_sync(&self) -> bool {
        self.in_sync
    }

    /// Crank degrees since the last reference edge before sync was found; meaningful only in sync.
    #[inline]
    pub fn position_deg(&self) -> f64 {
        self.turned_deg + f64::from(self.tooth) * 360.0 / f64::from(self.wheel.teeth)
    }

    /// Crank degrees to the next edge; meaningful only in sync.
    #[inline]
    pub fn to_next_deg(&self) -> f64 {
        if self.tooth + 1 == self.wheel.edges() { self.wheel.gap_deg() } else { self.wheel.pitch_deg() }
    }

    /// Speed in degrees per second over the last period whose angle is known; 0 when there is none. In sync
    /// that is the period just ended; out of sync the one before it, since only the next edge tells a gap from
    /// a pitch.
    #[inline]
    pub fn speed_deg_per_s(&self) -> f64 {
        self.speed
    }

    /// When the crank counts as stalled unless another edge comes.
    #[inline]
    pub fn stalls_at_s(&self) -> Option<f64> {
        self.last_s.map(|last_s| last_s + (STALL_PERIODS * self.periods_s[0]).max(STALL_S))
    }

    /// To be called when no edge came for too long: forgets everything. Returns whether sync was lost.
    pub fn stall(&mut self) -> Option<Change> {
        let change = self.in_sync.then_some(Change::Lost(Loss::Stall));
        (self.last_s, self.periods_s, self.speed) = (None, [0.0; 2], 0.0);
        (self.gaps, self.in_sync, self.tooth) = (0, false, 0);
        change
    }

    /// Takes the next edge. An edge at the same instant as the last one is ignored.
    #[inline]
    pub fn edge(&mut self, time_s: f64) -> Seen {
        let Some(last_s) = self.last_s.replace(time_s) else {
            return Seen::default();
        };
        let period_s = time_s - last_s;
        if period_s <= 0.0 {
            return Seen::default();
        }
        let [middle_s, first_s] = self.periods_s;
        self.periods_s = [period_s, middle_s];
        self.tooth = self.tooth.saturating_add(1);
        let is_judged = first_s > 0.0 && middle_s > 0.0;
        let (square, neighbours) = (middle_s * middle_s, first_s * period_s);
        let is_gap = is_judged && square >= self.threshold_squared * neighbours;
        let change = if self.in_sync { self.follow(is_gap) } else { self.search(is_gap) };
        self.speed = match (self.in_sync, is_judged) {
            (true, _) => self.ended_deg() / period_s,
            (false, true) => (if is_gap { self.wheel.gap_deg() } else { self.wheel.pitch_deg() }) / middle_s,
            (false, false) => 0.0,
        };
        Seen { gap: is_gap.then(|| (square / neighbours).sqrt()), change }
    }

    /// The angle of the period that ended with this edge, going by the count.
    #[inline]
    fn ended_deg(&self) -> f64 {
        if self.tooth == 0 { self.wheel.gap_deg() } else { self.wheel.pitch_deg() }
    }

    #[inline]
    fn follow(&mut self, is_gap: bool) -> Option<Change> {
        if self.tooth == self.wheel.edges() {
            self.tooth = 0;
            self.turned_deg += 360.0;
        }
        let loss = match (is_gap, self.tooth == 1) {
            (true, false) => Loss::EarlyGap,
            (false, true) => Loss::NoGap,
            _ => return None,
        };
        // A gap that contradicted the count never restores sync by itself, since it may not be a gap at all;
        // another must follow.
        self.in_sync = false;
        self.gaps = u8::from(is_gap);
        self.tooth = 1;
        Some(Change::Lost(loss))
    }

    #[inline]
    fn search(&mut self, is_gap: bool) -> Option<Change> {
        if !is_gap {
            return None;
        }
        let is_confirmed = self.gaps > 0 && self.tooth == self.wheel.edges() + 1;
        self.gaps = if is_confirmed { self.gaps + 1 } else { 1 };
        // The gap was ended by the edge before this one, so this is tooth 1.
        self.tooth = 1;
        self.in_sync = self.gaps >= self.gaps_wanted;
        self.turned_deg = 0.0;
        self.in_sync.then_some(Change::Found)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    /// The changes of sync, each with the turn and the tooth of the edge that revealed it, at constant speed on
    /// 36−1. `edit` may drop or add edges, each given as a number of pitches since the start.
    fn changes(gaps_to_sync: u8, edit: impl Fn(&mut Vec<f64>)) -> Vec<(f64, f64, Change)> {
        let new = NewProject { name: "wheel".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let mut trigger = new.create().unwrap().trigger.clone();
        trigger.gaps_to_sync = gaps_to_sync;
        let mut pitches: Vec<f64> = (0..8 * 36).filter(|place| place % 36 != 35).map(f64::from).collect();
        edit(&mut pitches);
        let mut decoder = Decoder::new(&trigger);
        let change =
            |place: f64| Some((place.div_euclid(36.0), place.rem_euclid(36.0), decoder.edge(place * 1e-3).change?));
        pitches.into_iter().filter_map(change).collect()
    }

    #[test]
    fn a_dropped_edge_looks_like_a_gap_too_early() {
        let dropped = |pitches: &mut Vec<f64>| pitches.retain(|&place| place != 3.0 * 36.0 + 10.0);
        let early = Change::Lost(Loss::EarlyGap);
        // The false gap counts as the first of two; the real one after it does not confirm it and becomes the
        // first itself, which the next one confirms.
        let expected = [(2.0, 1.0, Change::Found), (3.0, 12.0, early), (5.0, 1.0, Change::Found)];
        assert_eq!(changes(2, dropped), expected);
        // Where one gap is enough, the next gap restores sync, but never the false one.
        let expected = [(1.0, 1.0, Change::Found), (3.0, 12.0, early), (4.0, 1.0, Change::Found)];
        assert_eq!(changes(1, dropped), expected);
    }

    #[test]
    fn an_extra_edge_fills_the_count_too_soon() {
        let extra = |pitches: &mut Vec<f64>| pitches.insert(3 * 35 + 11, 3.0 * 36.0 + 10.5);
        // Splitting a pitch in two makes no gap, but all teeth are then counted one edge before the gap.
        let expected = [(2.0, 1.0, Change::Found), (4.0, 0.0, Change::Lost(Loss::NoGap)), (5.0, 1.0, Change::Found)];
        assert_eq!(changes(2, extra), expected);
    }

    #[test]
    fn edges_at_one_instant_are_one() {
        assert_eq!(changes(2, |pitches| pitches.insert(80, pitches[80])), changes(2, |_| ()));
    }
}
