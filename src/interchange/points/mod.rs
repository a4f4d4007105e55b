//! Rows of operating points in, the same rows with computed columns appended out: any number of them, in constant
//! memory.
//!
//! [`Chunks`] parts the input between rows; [`Rows`] turns one chunk into its output and needs nothing of any other, so
//! chunks may be worked on in any order and at the same time.

mod chunks;
mod commanded;
mod decimal;
mod error;
mod evaluator;
mod fast_number;
mod marks_ahead;
mod quoted;
mod rows;
mod utf16;

pub(super) use decimal::push_shortest;

pub use chunks::{CHUNK_BYTES, Chunks, MAX_ROW_BYTES};
pub use commanded::CommandedAdvance;
pub use error::{PointsError, PointsFault, StreamError};
pub use evaluator::{Evaluator, Fields, Input, Refusal};
pub use rows::{Processed, Rows};
