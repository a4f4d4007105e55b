//! What happens in a run, event by event.

use std::ops::ControlFlow;

use super::Loss;
use crate::spark::State;

/// One event.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// When, in seconds of the run.
    pub time_s: f64,
    /// The crank angle at that moment, in degrees since the run's start.
    pub crank_deg: f64,
    /// What happens.
    pub what: What,
}

/// What happens. Channels and outputs are counted from 0 in the project's order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum What {
    /// The unit sees an edge.
    Edge {
        /// The speed that the unit then computes with, in rpm; 0 when it has none.
        speed_rpm: f64,
    },
    /// The unit recognises that the period before the last was a gap.
    Gap {
        /// The ratio √(p²/(previous·next)) by which it recognised it.
        ratio: f64,
    },
    /// The position is known from now on.
    Sync,
    /// The position is known no longer.
    SyncLost(Loss),
    /// A coil begins to charge.
    Charge {
        /// Which channel.
        channel: usize,
        /// The advance latched for its spark, in degrees before TDC.
        commanded_deg: f64,
        /// The dwell planned, in ms.
        dwell_ms: f64,
        /// The dwell that the dwell curve asks for, in ms.
        asked_ms: f64,
        /// The battery voltage that the unit computes with, in V.
        battery_v: f64,
    },
    /// A coil fires.
    Spark {
        /// Which channel.
        channel: usize,
        /// The latched advance, in degrees before TDC.
        commanded_deg: f64,
        /// The true crank angle before the channel's TDC, in degrees.
        actual_deg: f64,
        /// How long it charged, in ms.
        dwell_ms: f64,
        /// The primary current, in A.
        current_a: f64,
        /// The energy stored, in mJ.
        energy_mj: f64,
    },
    /// A coil event is cut by the evaluation.
    Cut {
        /// Which channel.
        channel: usize,
        /// The advance that would have been commanded.
        commanded_deg: f64,
        /// The state that cuts.
        state: State,
    },
    /// A coil event is left out because less than 0.5 ms of dwell is possible.
    Skip {
        /// Which channel.
        channel: usize,
        /// The advance that would have been commanded.
        commanded_deg: f64,
        /// The dwell that was possible, in ms; negative if the moment has passed.
        dwell_ms: f64,
    },
    /// A charging coil is let down softly, without a spark, because sync was lost.
    LetDown {
        /// Which channel.
        channel: usize,
    },
    /// An output comes on.
    OutputOn {
        /// Which output.
        output: usize,
    },
    /// An output goes off.
    OutputOff {
        /// Which output.
        output: usize,
    },
    /// The unit changes to another state.
    State(State),
}

impl What {
    /// Its name in files.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Edge { .. } => "edge",
            Self::Gap { .. } => "gap",
            Self::Sync => "sync",
            Self::SyncLost(_) => "sync_lost",
            Self::Charge { .. } => "charge",
            Self::Spark { .. } => "spark",
            Self::Cut { .. } => "cut",
            Self::Skip { .. } => "skip",
            Self::LetDown { .. } => "let_down",
            Self::OutputOn { .. } => "output_on",
            Self::OutputOff { .. } => "output_off",
            Self::State(_) => "state",
        }
    }

    /// Which coil channel it concerns.
    pub const fn channel(&self) -> Option<usize> {
        match *self {
            Self::Charge { channel, .. }
            | Self::Spark { channel, .. }
            | Self::Cut { channel, .. }
            | Self::Skip { channel, .. }
            | Self::LetDown { channel } => Some(channel),
            _ => None,
        }
    }

    /// Which output it concerns.
    pub const fn output(&self) -> Option<usize> {
        match *self {
            Self::OutputOn { output } | Self::OutputOff { output } => Some(output),
            _ => None,
        }
    }

    /// The commanded advance in degrees before TDC.
    pub const fn commanded_deg(&self) -> Option<f64> {
        match *self {
            Self::Charge { commanded_deg, .. }
            | Self::Spark { commanded_deg, .. }
            | Self::Cut { commanded_deg, .. }
            | Self::Skip { commanded_deg, .. } => Some(commanded_deg),
            _ => None,
        }
    }

    /// The true angle of a spark, in degrees before TDC.
    pub const fn actual_deg(&self) -> Option<f64> {
        match *self {
            Self::Spark { actual_deg, .. } => Some(actual_deg),
            _ => None,
        }
    }

    /// Commanded − actual of a spark, in degrees: positive is late.
    pub const fn error_deg(&self) -> Option<f64> {
        match *self {
            Self::Spark { commanded_deg, actual_deg, .. } => Some(commanded_deg - actual_deg),
            _ => None,
        }
    }
}

/// Receives the events of a run one by one.
pub trait Sink {
    /// Receives one event; `Break` ends the run there.
    fn take(&mut self, event: &Event) -> ControlFlow<()>;
}

/// Ignores every event: for when only the summary is wanted.
impl Sink for () {
    #[inline]
    fn take(&mut self, _: &Event) -> ControlFlow<()> {
        ControlFlow::Continue(())
    }
}

/// Keeps every event.
impl Sink for Vec<Event> {
    fn take(&mut self, event: &Event) -> ControlFlow<()> {
        self.push(*event);
        ControlFlow::Continue(())
    }
}
