//! Floor 0: axes, tables, curves, lookup and selections. Nothing here knows what the numbers mean.
//!
//! Shape and order, everywhere in this crate: a table holds one value per (load row, speed column); values are
//! stored row by row, lowest load first, lowest speed first within a row. Axes are strictly increasing. A lookup
//! outside the axes clamps its coordinates to them.

mod axis;
#[cfg(test)]
mod changes;
mod lookup;
mod selection;
#[expect(clippy::module_inception, reason = "the table is this room's main noun")]
mod table;

pub use axis::{Axis, AxisError, MAX_BREAKPOINTS, MIN_BREAKPOINTS, Position};
#[cfg(test)]
pub(crate) use changes::Changes;
pub use lookup::{Lookup, blend};
pub use selection::connected;
pub use selection::{Block, Cell, RangeError, Selection};
pub use table::{Curve, CurveError};
pub use table::{Table, TableError};
