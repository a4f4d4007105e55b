//! Sizes of the parts that everything else is made of, in points: marks, splitters and rings, charts, grids of numbers.

use eframe::egui::{Margin, Vec2, vec2};

pub use crate::drawing::CHART;

/// How far from its line a splitter can be grasped.
pub(in crate::window) const SPLITTER_REACH: f32 = 4.0;
/// How far an arrow key moves a splitter.
pub(in crate::window) const SPLITTER_STEP: f32 = 16.0;
/// Radius of the running point.
pub(in crate::window) const RUNNING_POINT: f32 = 4.5;
/// So far beyond the edge of a part its contents are still seen: the ring of what has the keyboard.
pub(in crate::window) const FOCUS_RING: f32 = 3.0;
/// Length of an arrow between what was and what is, and of both sides of its head.
pub(in crate::window) const ARROW: f32 = 9.0;
pub(in crate::window) const ARROW_HEAD: f32 = 2.5;
/// Half the length of the dash that says that nothing is different.
pub(in crate::window) const NIL_HALF: f32 = 2.0;
/// Width of the strokes of a sign, and of thin ones.
pub(in crate::window) const SIGN: f32 = 1.4;
/// Distance of the lines of a pattern, along an axis for slanted ones, and the side of its dots.
pub(in crate::window) const PATTERN_STEP: f32 = 4.0;
pub(in crate::window) const SLANTED_STEP: f32 = 6.0;
pub(in crate::window) const PATTERN_DOT: f32 = 1.5;
/// Width of hairlines.
pub(in crate::window) const HAIRLINE: f32 = 1.0;
/// Widths of the ring of the running point: of the paper behind it, and of its ink.
pub(in crate::window) const RUNNING_RING: (f32, f32) = (4.5, 2.0);
/// Width of the line round what has the keyboard or the pointer.
pub(in crate::window) const RING: f32 = 1.5;
/// Widths of a line that stands out, and of one that is hardly to be seen.
pub(in crate::window) const STRONG: f32 = 2.0;
pub(in crate::window) const FAINT: f32 = 0.8;
/// A mark of severity in a line of text, and one in a line of its own.
pub(in crate::window) const MARK: Vec2 = vec2(11.0, 10.0);
pub(in crate::window) const LARGE_MARK: Vec2 = vec2(13.0, 12.0);
/// The ring of what has the keyboard keeps so far from the edge of what it is in.
pub(in crate::window) const RING_INSET: f32 = 2.0;
/// How far the cross that closes a panel keeps from the edge of its button.
pub(in crate::window) const CLOSE_INSET: f32 = 7.5;
/// Where copies of a text stand to make its halo.
pub(in crate::window) const HALO: [(f32, f32); 8] =
    [(-1.4, 0.0), (1.4, 0.0), (0.0, -1.4), (0.0, 1.4), (-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)];

/// What a chart of the window has besides [`CHART`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartSizes {
    /// Radius of a dot that nobody takes hold of.
    pub dot: f32,
    /// How far names stand from their points, the first that is free.
    pub name_distances: [f32; 4],
    /// Air of a name beside its point and its ground.
    pub name_air: f32,
    /// How far the value of a point stands from it.
    pub value_distance: f32,
    /// Corners of grounds and areas.
    pub corner: f32,
    /// Lines are seen so far beyond the plot, to keep their width at its edge.
    pub clip: f32,
    /// How far the corner that marks a held point is from it, to the left and upwards.
    pub held_off: f32,
    /// The mark of a point at which something was found.
    pub found: (f32, f32),
    /// How far the middle of such a mark is above or below its point.
    pub found_away: f32,
    /// Radius of a dot that a lift moves along: least, and what is added at a full share.
    pub falloff: (f32, f32),
}

/// The sizes of every chart.
pub const CHART_SIZES: ChartSizes = ChartSizes {
    dot: 4.0,
    name_distances: [3.0, 9.0, 16.0, 24.0],
    name_air: 2.0,
    value_distance: 8.0,
    corner: 2.0,
    clip: 1.0,
    held_off: 7.5,
    found: (9.0, 9.0),
    found_away: 12.0,
    falloff: (1.2, 2.0),
};

/// Sizes of every grid of numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GridSizes {
    /// Room between neighbouring numbers, and on either side of the breakpoints.
    pub pad: f32,
    /// Size of digits in the least cells; the theme's is the usual one, and they grow up to the greatest.
    pub digits: (f32, f32),
    /// How much digits grow with each point that a cell is wider or higher than need be.
    pub growth: Vec2,
    /// Height that digits take by themselves, as a share of their size: they have no descenders.
    pub digits_height: f32,
    /// Room above and below digits together.
    pub above_and_below: f32,
    /// Cells do not grow beyond this.
    pub largest_cell: Vec2,
    /// Cells are so large where there is room, but other things want it too.
    pub usual_cell: Vec2,
    /// From the load breakpoints to the cells.
    pub beside_cells: f32,
    /// Thickness of a scroll bar with the room beside it.
    pub bar: f32,
    /// Width of a bar's handle.
    pub handle: f32,
}

impl GridSizes {
    /// The sizes; where the sun shines, digits get their room before anything else.
    pub const fn new(is_sunlit: bool) -> Self {
        Self {
            pad: 4.0,
            digits: (12.0, 16.0),
            growth: vec2(0.17, 0.29),
            digits_height: 1.2,
            above_and_below: 2.0,
            largest_cell: vec2(52.0, 30.0),
            usual_cell: if is_sunlit { vec2(38.5, 25.5) } else { vec2(34.5, 25.5) },
            beside_cells: 8.0,
            bar: 12.0,
            handle: 6.0,
        }
    }
}

/// Length of the arrow beside the name of an axis, and its distance from the name.
pub(in crate::window) const NAME_ARROW: f32 = 12.0;
pub(in crate::window) const NAME_ARROW_GAP: f32 = 4.0;
/// Air round digits that lines below them keep free.
pub(in crate::window) const DIGITS_AIR: f32 = 2.0;
/// Width of the frame round the cell that typing goes into.
pub(in crate::window) const CURSOR_LINE: f32 = 1.2;
/// Between lines of words that belong together, and before what follows them.
pub(in crate::window) const LINE_GAP: f32 = 4.0;
/// Between what belongs closely together.
pub(in crate::window) const TIGHT_GAP: f32 = 2.0;
/// Between the lines of one entry or note.
pub(in crate::window) const ENTRY_GAP: f32 = 1.0;
/// Between a mark and the words behind it, and from the edge to the middle of a mark before words.
pub(in crate::window) const MARK_GAP: f32 = 4.0;
pub(in crate::window) const MARK_MIDDLE: f32 = 6.0;
/// How far a mark before words stands in.
pub(in crate::window) const MARK_INSET: f32 = 2.0;
/// Room kept free because sizes are rounded to whole pixels.
pub(in crate::window) const ROUNDING: f32 = 1.0;
/// From small text to the next larger and the next smaller type.
pub(in crate::window) const TYPE_STEP: f32 = 1.0;
/// How much smaller the corner radius is of what lies inside a field or a button.
pub(in crate::window) const WITHIN_RADIUS: f32 = 1.0;
/// Room round the words of a bubble, and between it and what it is about.
pub(in crate::window) const BUBBLE: Vec2 = vec2(6.0, 3.0);
pub(in crate::window) const BUBBLE_AWAY: f32 = 4.0;
/// Room round a list that opens, and at the ends of a bar and of a sheet.
pub(in crate::window) const LIST_MARGIN: Margin = Margin::same(8);
pub(in crate::window) const SHEET_MARGIN: Margin = Margin::symmetric(14, 0);
/// How far the cross hairs of the running point reach inwards and outwards from its ring.
pub(in crate::window) const RUNNING_HAIR: f32 = 3.5;
/// Radius of the dot that marks what is changed from the base, its distance from the left side of a held
/// cell, whose corner it must not touch, and from the sides of any other.
pub(in crate::window) const CHANGED_DOT: f32 = 1.6;
pub(in crate::window) const CHANGED_ASIDE: f32 = 7.5;
pub(in crate::window) const CHANGED_INSET: f32 = 2.0;
/// Side of the corner that marks a held cell.
pub(in crate::window) const HELD_MARK: f32 = 6.0;
/// Side of the mark of a finding in a cell and at a breakpoint, and its distance from the sides of the cell.
pub(in crate::window) const FOUND_MARK: f32 = 8.0;
pub(in crate::window) const FOUND_INSET: f32 = 1.0;
/// Air between digits and the ring of a measured point above or below them, where cells are high enough.
pub(in crate::window) const POINT_AIR: f32 = 1.5;
/// Half the height of digits as a share of the size of their font.
pub(in crate::window) const HALF_DIGITS: f32 = 0.36;
/// Between the running point and its ring.
pub(in crate::window) const RUNNING_RING_OFF: f32 = 1.0;
/// The head of the arrow beside the name of an axis: its length and half its width.
pub(in crate::window) const NAME_ARROW_HEAD: Vec2 = vec2(3.5, 3.0);
/// How far from its track a scroll bar can be grasped.
pub(in crate::window) const SCROLL_REACH: f32 = 3.0;
/// How far beyond its handle a point can be pointed at and grasped.
pub(in crate::window) const HANDLE_BEYOND: f32 = 2.0;
