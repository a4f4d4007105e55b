//! The tools with their parameters.

use super::{Along, Demands, Side, Target};
use crate::table::{Axis, Cell};

/// What a selection is interpolated between.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Way {
    /// Between the ends of each run in every row or column.
    Line(Along),
    /// Between the block's corners.
    Corners,
    /// Between the block's edges.
    Edges,
}

/// How values are continued towards an edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Extension {
    /// Along the slope, in axis units, of the last third of the cells before; along load never rising in the
    /// upper half.
    Linear,
    /// With the value of the cell before.
    Flat,
}

/// What is kept when the breakpoints change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Keep {
    /// The surface: new cells are looked up in it (beyond the old axes it is flat, as in every lookup).
    Surface,
    /// The numbers, with their hold marks and origins, each in its row and column; those that now lie beyond
    /// the old axes and are not held become extended.
    Numbers,
}

/// A tool with its parameters.
#[derive(Clone, Debug, PartialEq)]
pub enum Tool {
    /// [`super::set`].
    Set {
        /// The new value, degrees before TDC.
        deg: f64,
    },
    /// [`super::type_into`].
    Type {
        /// The new value, degrees before TDC.
        deg: f64,
    },
    /// [`super::add`].
    Add {
        /// How much, degrees.
        deg: f64,
    },
    /// [`super::scale`].
    Scale {
        /// By how much; 10 multiplies by 1.10.
        percent: f64,
    },
    /// [`super::clamp`].
    Clamp {
        /// The lower bound, degrees before TDC.
        low_deg: f64,
        /// The upper bound, degrees before TDC.
        high_deg: f64,
    },
    /// [`super::round`].
    Round {
        /// To multiples of this, degrees.
        step_deg: f64,
    },
    /// [`super::interpolate`], [`super::interpolate_corners`], [`super::interpolate_edges`].
    Interpolate(Way),
    /// [`super::smooth`].
    Smooth {
        /// 0 to 10.
        strength: f64,
        /// No cell moves further than this, degrees.
        most_deg: f64,
    },
    /// [`super::fair`].
    Fair {
        /// What the table must keep to.
        demands: Demands,
    },
    /// [`super::fit`].
    Fit {
        /// The measured points.
        points: Vec<Target>,
    },
    /// [`super::lift`].
    Lift {
        /// The cell that moves most.
        centre: Cell,
        /// How far it moves, degrees.
        amount_deg: f64,
        /// Cells this far away stay.
        radius_cells: f64,
        /// The results are multiples of this, in degrees; `None` moves every cell by exactly its share.
        step_deg: Option<f64>,
    },
    /// [`super::draw`].
    Draw {
        /// Along which axis the line runs.
        along: Along,
        /// Which row or column it is, counted from 0.
        line: usize,
        /// The new value at each breakpoint of that axis, degrees before TDC; `None` where the line stays.
        degs: Vec<Option<f64>>,
    },
    /// [`super::limit_slope`].
    LimitSlope {
        /// Degrees per 1000 rpm.
        per_1000rpm: f64,
        /// Degrees per unit of load.
        per_load_unit: f64,
    },
    /// [`super::repeat`].
    Repeat {
        /// Towards which edge the line to repeat lies.
        from: Side,
        /// What each further line adds, degrees.
        offset_deg: f64,
    },
    /// [`super::extend`].
    Extend {
        /// To which edge.
        to: Side,
        /// How.
        how: Extension,
    },
    /// [`super::fill`].
    Fill {
        /// At which edge of the block the line to copy lies.
        from: Side,
    },
    /// [`super::hold`].
    Hold {
        /// Whether the values were found on the engine.
        measured: bool,
    },
    /// [`super::release`].
    Release,
    /// [`super::change_axes`]; the selection does not matter.
    Axes {
        /// The new speed breakpoints, rpm.
        speed: Axis,
        /// The new load breakpoints, % or kPa.
        load: Axis,
        /// What is kept.
        keep: Keep,
    },
    /// [`super::insert_breakpoint`]; the selection does not matter.
    InsertBreakpoint {
        /// On which axis.
        along: Along,
        /// In axis units.
        at: f64,
    },
    /// [`super::delete_breakpoint`]; the selection does not matter.
    DeleteBreakpoint {
        /// On which axis.
        along: Along,
        /// Which, counted from 0.
        index: usize,
    },
    /// [`super::move_breakpoint`]; the selection does not matter.
    MoveBreakpoint {
        /// On which axis.
        along: Along,
        /// Which, counted from 0.
        index: usize,
        /// Its new place in axis units.
        to: f64,
        /// What is kept.
        keep: Keep,
    },
}
