//! What all charts have in common, on the screen, in pictures and on paper: round numbers that neither touch nor leave their
//! place, faint guides, dashes, and points that can be taken hold of.

mod axis;
mod frame;
mod handle;
mod style;

pub use axis::{ChartAxis, ChartTick, Direction};
pub use frame::{ChartFrame, ChartSpec, round_range};
pub use handle::{Handle, handle_radius, nearest};
pub use style::{CHART, ChartStyle};
