//! Floor 2: from conditions to spark. What advance is commanded, of what it is made up, whether it fires, and what the
//! switched outputs do.
//!
//! [`Evaluation`] is a project prepared for it. Stateless, [`Evaluation::lookup`] answers for one set of conditions as if
//! the speed were rising; with a [`Memory`] each answer follows from the ones before it, as in a running unit.

mod breakdown;
mod conditions;
mod evaluation;
mod memory;
mod outputs;
mod tachometer;

pub use breakdown::{Breakdown, Contributions, State};
pub use conditions::{Conditions, OutOfRange};
pub use evaluation::{Evaluation, TableLookup};
pub use memory::{Memory, Situation};
pub use outputs::{Outputs, Shown};
pub use tachometer::tachometer_hz;

#[cfg(test)]
mod proofs;
