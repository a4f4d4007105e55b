//! Floor 2: the rig, a simulated bench: a run turns a trigger wheel, a decoder finds the crank's position from the edge
//! times alone, and the unit charges and fires its coils as [`crate::spark`] commands.
//!
//! Everything is exact in angle: edge times are roots of a quadratic, nothing is stepped or integrated numerically. The
//! same project, run and settings give the same events to the bit.
//!
//! Conventions: the crank angle in degrees counts up without wrapping from 0 at the run's start, when the
//! reference edge passes the sensor. The reference edge is `reference + zero offset` degrees before TDC of the
//! first channel's pair; the other channels follow 720/cylinders degrees apart.

mod built_in;
mod cranking;
mod decoder;
mod detail;
mod edges;
mod layout;
mod motion;
#[cfg(test)]
mod proofs;
mod record;
mod revolution;
mod run;
mod scheduler;
mod signal;
mod simulation;
mod summary;
mod trace;
mod unit;

pub use built_in::{BATTERY_V, BuiltIn, KeptRunError};
pub use cranking::CrankingSparks;
pub use decoder::{Change, Decoder, Loss, Seen};
pub use detail::{Detail, Samples};
pub use edges::EdgeTimes;
pub use layout::Layout;
pub use motion::{Motion, Swing};
pub use record::{Column, Reach, Record, Replay};
pub use revolution::{Coil, CoilEnd, Instant, Revolution, Turn};
pub use run::{Row, Run, RunError, Settings, SettingsError, Unsteady};
pub use signal::{Pulse, TriggerSignal};
pub use simulation::{Drive, Rig};
pub use summary::{OutputTally, Summary};
pub use trace::{Event, Sink, What};
