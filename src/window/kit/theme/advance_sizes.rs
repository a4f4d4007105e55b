//! Sizes of the Advance sheet, in points.

use eframe::egui::{Vec2, vec2};

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
/// Height of the line.
pub(in crate::window) const GRID_HEADING: f32 = 30.0;
/// Where the middle of the heading is, below the upper edge: level with the headings beside it.
pub(in crate::window) const GRID_HEADING_MIDDLE: f32 = 17.0;
/// Room for the switch beside the heading.
pub(in crate::window) const SWITCH_WIDTH: f32 = 76.0;
/// Side of the triangle that marks a held cell.
pub(in crate::window) const HELD_MARK: f32 = 6.0;
/// Radius of the dot that marks a cell changed from base.
pub(in crate::window) const CHANGED_DOT: f32 = 1.6;
/// Length and distance of the dashes round cells that are only proposed.
pub(in crate::window) const PROPOSED_DASHES: (f32, f32) = (4.0, 3.0);
/// A triangle that marks a finding, and its distance from the cell's corner.
pub(in crate::window) const FOUND_MARK: Vec2 = vec2(8.0, 7.0);
pub(in crate::window) const FOUND_MARK_INSET: f32 = 2.0;
