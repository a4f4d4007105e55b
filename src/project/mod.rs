//! Floor 1: what a project is.
mod advance;
mod origin;
pub use advance::{ADVANCE_RANGE_DEG, Advance, AdvanceError, SPEED_RANGE_RPM};
pub use origin::Origin;
