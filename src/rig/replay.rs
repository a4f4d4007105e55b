//! A run driven once, to be looked at anywhere: what happens in any short stretch of it, without driving all that came
//! before again.

use std::ops::ControlFlow;

use super::{Drive, Event, Run, Sink, Summary};

/// So many places to go on from are kept.
const PLACES: u16 = 512;

/// Copies of a drive on its way through a run.
#[derive(Clone, Debug)]
pub struct Replay<'a> {
    /// In order of time; the first is at the start.
    places: Vec<Drive<'a>>,
    summary: Summary,
}

/// Gives on what happens in a stretch of time, and ends after it.
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
    /// Drives a run from its start to its end, giving every event to `sink`. `None` when the sink broke it off.
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

    /// What the run came to.
    pub fn summary(&self) -> &Summary {
        &self.summary
    }

    /// Gives every event from `from_s` to `to_s`, both with it, to `sink`: the same as in the whole run, to the bit.
    pub fn events(&self, from_s: f64, to_s: f64, sink: &mut impl Sink) {
        // An event at the very time of a place was given before it.
        let place = self.places.partition_point(|place| place.reached_s() < from_s).saturating_sub(1);
        if let Some(mut drive) = self.places.get(place).cloned() {
            // The caller's sink knows when it breaks off.
            let _ = drive.until(to_s, &mut Stretch { from_s, sink });
        }
    }
}
