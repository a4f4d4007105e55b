//! Sizes of the Advance sheet, in points.

/// Height of the words over the grid.
pub(in crate::window) const FLASHED_BAR_HEIGHT: f32 = 62.0;
/// Width of the inspector.
pub(in crate::window) const INSPECTOR_WIDTH: f32 = 352.0;
/// Least widths of both sides of the split.
pub(in crate::window) const LEAST_SURFACE: f32 = 240.0;
pub(in crate::window) const LEAST_GRID: f32 = 280.0;
/// Height that slices and inspector may have, and that of the strip of slices in a low window.
pub(in crate::window) const BELOW_RANGE: (f32, f32) = (160.0, 420.0);
pub(in crate::window) const STRIP_HEIGHT: f32 = 124.0;
/// Height of the line with the two tabs.
pub(in crate::window) const TABS_HEIGHT: f32 = 24.0;

pub(in crate::window) const EDITOR_PAD: f32 = 4.0;
/// A level piece of line shorter than this could be a minus sign, points.
pub(in crate::window) const LONGEST_MINUS: f32 = 14.0;
