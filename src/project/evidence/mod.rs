//! What was measured on the engine and speaks for or against the table: measured points, and the readings of timing
//! sweeps that such points come from.

mod reading;

pub use reading::{KeptSweep, SweepReading, TorqueKind};
