//! What all charts have in common, on the screen, in pictures and on paper: round numbers whose texts neither
//! touch nor leave their space, faint guides, dashes, and points that can be dragged.

mod axis;
mod frame;
mod handle;
mod style;

pub use axis::{ChartAxis, ChartTick, Direction};
pub use frame::{ChartFrame, ChartSpec, round_range};
pub use handle::{Handle, handle_radius, nearest};
pub use style::{CHART, ChartStyle};
