//! Floor 2: the tools that reshape an advance table.
//!
//! Every tool is a pure function of a table, a selection and its parameters; it gives a new table or an error, and
//! on an error the table is as it was. Held and unselected cells keep their bits. The one exception is
//! [`Tool::Type`] into exactly one held cell. A result outside the range of cells is refused, never clamped.
//! Distances are in axis units, except in [`lift`], which counts cells. What may take long asks a [`Watch`] before every
//! round whether to go on.
//!
//! [`Tool`] is the one list of tools with their parameters, for the window, the command line and the history.

mod amounts;
mod breakpoints;
mod error;
mod hold;
mod interpolate;
mod label;
mod lift;
mod lines;
mod local;
mod onward;
mod resize;
mod shaped;
mod side;
mod slope;
mod smooth;
mod tool;
mod watch;

pub use amounts::{add, clamp, round, scale, set, type_into};
pub use breakpoints::{Keep, change_axes, delete_breakpoint, insert_breakpoint, move_breakpoint};
pub use error::{Place, ShapingError};
pub use hold::{hold, release};
pub use interpolate::{interpolate, interpolate_corners, interpolate_edges};
pub use lift::{lift, lift_share, nearest_cell};
pub use lines::{Extension, extend, fill, repeat};
pub use local::{Bend, Slope, bend, most_bent, slope_after, slope_before, steepest};
pub use onward::{extend_axis, stretch_axis};
pub use resize::resized;
pub use shaped::{Deviation, Shaped};
pub use side::{Along, Side};
pub use slope::{Bound, limit_slope, limit_slope_by, limit_slope_watched};
pub use smooth::{STRENGTH_RANGE, Smoother, smooth, smooth_watched};
pub use tool::{Tool, Way};
pub use watch::Watch;

#[cfg(test)]
mod sample;
