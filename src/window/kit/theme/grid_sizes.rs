//! Sizes of grids of numbers, in points.

use eframe::egui::{Vec2, vec2};

/// Sizes of every grid of numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GridSizes {
    /// Room between neighbouring numbers, and on either side of the breakpoints.
    pub pad: f32,
    /// Height that digits take by themselves: they have no descenders.
    pub digits_height: f32,
    /// Room above and below digits together.
    pub above_and_below: f32,
    /// Cells of small tables do not grow beyond this.
    pub largest_cell: Vec2,
    /// From the load breakpoints to the cells.
    pub beside_cells: f32,
    /// Thickness of a scroll bar with the room beside it.
    pub bar: f32,
    /// Width of a bar's handle.
    pub handle: f32,
}

impl GridSizes {
    /// The sizes for digits of a size.
    pub const fn new(digits: f32) -> Self {
        Self {
            pad: 4.0,
            digits_height: digits * 1.2,
            above_and_below: 2.0,
            largest_cell: vec2(96.0, 56.0),
            beside_cells: 8.0,
            bar: 12.0,
            handle: 6.0,
        }
    }
}
/// Length of the arrow and its distance from the name.
pub(in crate::window) const NAME_ARROW: f32 = 12.0;
pub(in crate::window) const NAME_ARROW_GAP: f32 = 4.0;
/// Width of the lines between cells.
pub(in crate::window) const CELL_LINE: f32 = 1.0;
/// Air round digits that lines below them keep free.
pub(in crate::window) const DIGITS_AIR: f32 = 2.0;
/// Width of the frame round the cell that typing goes into.
pub(in crate::window) const CURSOR_LINE: f32 = 1.2;
