//! A run at a glance: extremes in narrow columns of time, so that no spike is lost however long the run is, and
//! the moments at which something changed. Also the run recorded once so that any stretch can be replayed in
//! detail.

use std::ops::ControlFlow;

use super::detail::Detail;
use super::{Drive, Event, Run, Sink, Summary, What};

/// The range from the lowest to the highest value seen; empty at first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// The lowest.
    pub low: f64,
    /// The highest.
    pub high: f64,
}

impl Default for Reach {
    fn default() -> Self {
        Self { low: f64::INFINITY, high: f64::NEG_INFINITY }
    }
}

impl Reach {
    /// Whether no value was seen.
    pub fn is_empty(&self) -> bool {
        self.low > self.high
    }

    /// Includes a value.
    #[inline]
    pub fn add(&mut self, value: f64) {
        self.low = self.low.min(value);
        self.high = self.high.max(value);
    }

    /// Includes everything that another range includes.
    pub fn join(&mut self, other: &Self) {
        self.low = self.low.min(other.low);
        self.high = self.high.max(other.high);
    }
}

/// What happened in a stretch of time.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Column {
    /// The speeds that the unit measured, in rpm, where it had one.
    pub speed_rpm: Reach,
    /// The advance commanded for each coil event, including suppressed ones, in degrees before TDC.
    pub commanded_deg: Reach,
    /// The timing errors of sparks, in degrees: positive is late.
    pub error_deg: Reach,
    /// How many sparks.
    pub sparks: u32,
    /// How many coil events were suppressed.
    pub cuts: u32,
}

impl Column {
    /// Includes everything that another column holds.
    pub fn join(&mut self, other: &Self) {
        self.speed_rpm.join(&other.speed_rpm);
        self.commanded_deg.join(&other.commanded_deg);
        self.error_deg.join(&other.error_deg);
        self.sparks = self.sparks.saturating_add(other.sparks);
        self.cuts = self.cuts.saturating_add(other.cuts);
    }
}

/// Changes beyond this many are only counted: it bounds the memory that a run takes.
const MOST_CHANGES: usize = 200_000;

/// A run at a glance. A [`Sink`]: give it to [`super::Rig::run`] or [`super::Drive::until`].
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    start_s: f64,
    end_s: f64,
    columns: Vec<Column>,
    per_s: f64,
    changes: Vec<Event>,
    left_out: u64,
    /// Sorted.
    outputs_used: Vec<usize>,
    is_sync_lost: bool,
    first_spark: Option<Event>,
    largest_error: Option<Event>,
    least_energy: Option<Event>,
    longest_dwell: Option<Event>,
    shortest_dwell: Option<Event>,
    detail: Option<Detail>,
}

impl Record {
    /// An empty record for a run, with that many columns (at least one) of equal width.
    pub fn new(run: &Run, columns: usize) -> Self {
        let columns = columns.max(1);
        let (start_s, end_s) = (run.start_s(), run.end_s());
        #[expect(clippy::cast_precision_loss, reason = "thousands at most")]
        let per_s = columns as f64 / (end_s - start_s);
        Self {
            start_s,
            end_s,
            columns: vec![Column::default(); columns],
            per_s,
            changes: Vec::new(),
            left_out: 0,
            outputs_used: Vec::new(),
            is_sync_lost: false,
            first_spark: None,
            largest_error: None,
            least_energy: None,
            longest_dwell: None,
            shortest_dwell: None,
            detail: None,
        }
    }

    /// The same, keeping every sample besides, so that any stretch can be looked at closely.
    #[must_use]
    pub fn in_detail(self) -> Self {
        Self { detail: Some(Detail::default()), ..self }
    }

    /// Every sample, if they were kept.
    pub fn detail(&self) -> Option<&Detail> {
        self.detail.as_ref()
    }

    /// When the run begins and ends, in seconds.
    pub fn span_s(&self) -> (f64, f64) {
        (self.start_s, self.end_s)
    }

    /// What happened in a stretch of time: exactly that if every sample was kept, otherwise all columns that overlap
    /// it, joined; these cover the whole stretch, and up to one column more at each end.
    pub fn between(&self, from_s: f64, to_s: f64) -> Column {
        if let Some(detail) = &self.detail {
            return detail.between(from_s, to_s);
        }
        let mut all = Column::default();
        if let Some(columns) = self.columns.get(self.place(from_s)..=self.place(to_s)) {
            columns.iter().for_each(|column| all.join(column));
        }
        all
    }

    /// Whether a coil event was suppressed in a stretch of time, seen as by [`Self::between`].
    pub fn has_cuts(&self, from_s: f64, to_s: f64) -> bool {
        match &self.detail {
            Some(detail) => detail.cuts.count(from_s, to_s) > 0,
            None => self.between(from_s, to_s).cuts > 0,
        }
    }

    /// All columns, joined.
    pub fn whole(&self) -> Column {
        let mut all = Column::default();
        self.columns.iter().for_each(|column| all.join(column));
        all
    }

    /// Sync found and lost, states, outputs switched, coil events cut, skipped or let down, in order of time.
    pub fn changes(&self) -> &[Event] {
        &self.changes
    }

    /// How many changes beyond those kept there were.
    pub fn changes_left_out(&self) -> u64 {
        self.left_out
    }

    /// The first spark.
    pub fn first_spark(&self) -> Option<&Event> {
        self.first_spark.as_ref()
    }

    /// The spark with the largest timing error in either direction; of equal ones the first, here and below.
    pub fn largest_error(&self) -> Option<&Event> {
        self.largest_error.as_ref()
    }

    /// The spark with the least energy in its coil.
    pub fn least_energy(&self) -> Option<&Event> {
        self.least_energy.as_ref()
    }

    /// The spark with the longest dwell.
    pub fn longest_dwell(&self) -> Option<&Event> {
        self.longest_dwell.as_ref()
    }

    /// The spark with the shortest dwell.
    pub fn shortest_dwell(&self) -> Option<&Event> {
        self.shortest_dwell.as_ref()
    }

    /// The outputs that come on at some time, by their index in the project.
    pub fn outputs_used(&self) -> &[usize] {
        &self.outputs_used
    }

    /// Whether sync was lost at some time.
    pub fn is_sync_lost(&self) -> bool {
        self.is_sync_lost
    }

    /// The stretches of time in which something was in a given condition, in order: those that overlap a wider stretch,
    /// cut to it. `told` returns the condition from a change on, or `None` if the change has no bearing on it.
    pub fn stretches_within<T>(
        &self,
        (from_s, to_s): (f64, f64),
        told: impl Fn(&What) -> Option<T>,
    ) -> Vec<(f64, f64, T)> {
        let from = self.changes.partition_point(|event| event.time_s <= from_s);
        let to = self.changes.partition_point(|event| event.time_s <= to_s).max(from);
        let (before, inside) = (self.changes.get(..from), self.changes.get(from..to));
        let before = before.and_then(|before| before.iter().rev().find_map(|event| told(&event.what)));
        let mut stretches: Vec<(f64, f64, T)> = before.map(|value| (from_s, to_s, value)).into_iter().collect();
        let inside = inside.unwrap_or_default().iter();
        for (time_s, value) in inside.filter_map(|event| Some((event.time_s, told(&event.what)?))) {
            if let Some(last) = stretches.last_mut() {
                last.1 = time_s;
            }
            stretches.push((time_s, to_s, value));
        }
        stretches
    }

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not below 0, and bounded after")]
    fn place(&self, time_s: f64) -> usize {
        (((time_s - self.start_s) * self.per_s).max(0.0) as usize).min(self.columns.len() - 1)
    }

    fn spark(&mut self, event: &Event) {
        let What::Spark { dwell_ms, energy_mj, .. } = event.what else { return };
        let keep = |kept: &mut Option<Event>, value: fn(&What) -> f64, own: f64| {
            if kept.as_ref().is_none_or(|kept| own > value(&kept.what)) {
                *kept = Some(*event);
            }
        };
        self.first_spark.get_or_insert(*event);
        keep(&mut self.largest_error, error_either_way, error_either_way(&event.what));
        keep(&mut self.least_energy, |what| -energy(what), -energy_mj);
        keep(&mut self.longest_dwell, dwell, dwell_ms);
        keep(&mut self.shortest_dwell, |what| -dwell(what), -dwell_ms);
    }

    fn change(&mut self, event: &Event) {
        if self.changes.len() == MOST_CHANGES {
            self.left_out += 1;
            return;
        }
        self.changes.push(*event);
        self.is_sync_lost |= matches!(event.what, What::SyncLost(_));
        if let What::OutputOn { output } = event.what
            && let Err(place) = self.outputs_used.binary_search(&output)
        {
            self.outputs_used.insert(place, output);
        }
    }
}

fn error_either_way(what: &What) -> f64 {
    what.error_deg().unwrap_or(0.0).abs()
}

fn energy(what: &What) -> f64 {
    if let What::Spark { energy_mj, .. } = what { *energy_mj } else { 0.0 }
}

fn dwell(what: &What) -> f64 {
    if let What::Spark { dwell_ms, .. } = what { *dwell_ms } else { 0.0 }
}

impl Sink for Record {
    fn take(&mut self, event: &Event) -> ControlFlow<()> {
        if let Some(detail) = &mut self.detail {
            detail.take(event)?;
        }
        let place = self.place(event.time_s);
        if let Some(column) = self.columns.get_mut(place) {
            match event.what {
                What::Edge { speed_rpm } if speed_rpm > 0.0 => column.speed_rpm.add(speed_rpm),
                What::Spark { .. } => column.sparks += 1,
                What::Cut { .. } => column.cuts += 1,
                _ => {}
            }
            if let (Some(deg), What::Spark { .. } | What::Cut { .. }) = (event.what.commanded_deg(), event.what) {
                column.commanded_deg.add(deg);
            }
            if let Some(deg) = event.what.error_deg() {
                column.error_deg.add(deg);
            }
        }
        match event.what {
            What::Edge { .. } | What::Gap { .. } | What::Charge { .. } => {}
            What::Spark { .. } => self.spark(event),
            _ => self.change(event),
        }
        ControlFlow::Continue(())
    }
}

/// How many places are kept to continue from.
const PLACES: u16 = 512;

/// Copies of a drive at places throughout a run, so that any stretch can be driven again.
#[derive(Clone, Debug)]
pub struct Replay<'a> {
    /// In order of time; the first is at the start.
    places: Vec<Drive<'a>>,
    summary: Summary,
}

/// Passes on what happens from `from_s` on; the drive itself stops at the end of the stretch.
struct Stretch<'s, S> {
    from_s: f64,
    sink: &'s mut S,
}

impl<S: Sink> Sink for Stretch<'_, S> {
    fn take(&mut self, event: &Event) -> ControlFlow<()> {
        if event.time_s < self.from_s { ControlFlow::Continue(()) } else { self.sink.take(event) }
    }
}

impl<'a> Replay<'a> {
    /// Drives a run from its start to its end, giving every event to `sink`. `None` if the sink stopped it.
    pub fn new(start: Drive<'a>, run: &Run, sink: &mut impl Sink) -> Option<Self> {
        let mut drive = start;
        let mut places = Vec::with_capacity(usize::from(PLACES));
        let duration_s = run.end_s() - run.start_s();
        for place in 1..=PLACES {
            places.push(drive.clone());
            let until_s = run.start_s() + duration_s * f64::from(place) / f64::from(PLACES);
            let until_s = if place == PLACES { run.end_s() } else { until_s };
            if drive.until(until_s, sink).is_break() {
                return None;
            }
        }
        Some(Self { places, summary: drive.summary() })
    }

    /// The summary of the run.
    pub fn summary(&self) -> &Summary {
        &self.summary
    }

    /// Gives every event from `from_s` to `to_s`, both inclusive, to `sink`: the same as in the whole run, to
    /// the bit.
    pub fn events(&self, from_s: f64, to_s: f64, sink: &mut impl Sink) {
        // An event at exactly the time of a place was reported before that place.
        let place = self.places.partition_point(|place| place.reached_s() < from_s).saturating_sub(1);
        if let Some(mut drive) = self.places.get(place).cloned() {
            // The result is ignored: the caller's sink knows whether it stopped the drive.
            let _ = drive.until(to_s, &mut Stretch { from_s, sink });
        }
    }
}
