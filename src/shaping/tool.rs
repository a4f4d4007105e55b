//! The one list of tools.

use super::{
    Along, Extension, Keep, Shaped, ShapingError, Side, Watch, add, change_axes, clamp, delete_breakpoint, extend,
    fill, hold, insert_breakpoint, interpolate, interpolate_corners, interpolate_edges, lift, limit_slope_watched,
    move_breakpoint, release, repeat, round, scale, set, smooth_watched, type_into,
};
use crate::project::Advance;
use crate::table::{Axis, Cell, Selection};

/// Between what a selection is interpolated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Way {
    /// Between the ends of each run in every row or column.
    Line(Along),
    /// Between the block's corners.
    Corners,
    /// Between the block's edges.
    Edges,
}

/// A tool with its parameters.
#[derive(Clone, Debug, PartialEq)]
pub enum Tool {
    /// [`set`].
    Set {
        /// The new value, degrees before TDC.
        deg: f64,
    },
    /// [`type_into`].
    Type {
        /// The new value, degrees before TDC.
        deg: f64,
    },
    /// [`add`].
    Add {
        /// How much, degrees.
        deg: f64,
    },
    /// [`scale`].
    Scale {
        /// By how much; 10 multiplies by 1.10.
        percent: f64,
    },
    /// [`clamp`].
    Clamp {
        /// The lower bound, degrees before TDC.
        low_deg: f64,
        /// The upper bound, degrees before TDC.
        high_deg: f64,
    },
    /// [`round`].
    Round {
        /// To multiples of this, degrees.
        step_deg: f64,
    },
    /// [`interpolate`], [`interpolate_corners`], [`interpolate_edges`].
    Interpolate(Way),
    /// [`smooth`].
    Smooth {
        /// 0 to 10.
        strength: f64,
    },
    /// [`lift`].
    Lift {
        /// The cell that moves most.
        centre: Cell,
        /// How far it moves, degrees.
        amount_deg: f64,
        /// Cells this far away stay.
        radius_cells: f64,
        /// The results are multiples of this, degrees; `None` moves every cell exactly by its share.
        step_deg: Option<f64>,
    },
    /// [`limit_slope`].
    LimitSlope {
        /// Degrees per 1000 rpm.
        per_1000rpm: f64,
        /// Degrees per unit of load.
        per_load_unit: f64,
    },
    /// [`repeat`].
    Repeat {
        /// Towards which edge the line to repeat lies.
        from: Side,
        /// What each line adds, degrees.
        offset_deg: f64,
    },
    /// [`extend`].
    Extend {
        /// To which edge.
        to: Side,
        /// In what way.
        how: Extension,
    },
    /// [`fill`].
    Fill {
        /// At which edge of the block the line to copy lies.
        from: Side,
    },
    /// [`hold`].
    Hold {
        /// Whether the cells were found on the engine.
        measured: bool,
    },
    /// [`release`].
    Release,
    /// [`change_axes`]; the selection does not matter.
    Axes {
        /// The new speed breakpoints, rpm.
        speed: Axis,
        /// The new load breakpoints, % or kPa.
        load: Axis,
        /// What stays.
        keep: Keep,
    },
    /// [`insert_breakpoint`]; the selection does not matter.
    InsertBreakpoint {
        /// On which axis.
        along: Along,
        /// In axis units.
        at: f64,
    },
    /// [`delete_breakpoint`]; the selection does not matter.
    DeleteBreakpoint {
        /// On which axis.
        along: Along,
        /// Which, counted from 0.
        index: usize,
    },
    /// [`move_breakpoint`]; the selection does not matter.
    MoveBreakpoint {
        /// On which axis.
        along: Along,
        /// Which, counted from 0.
        index: usize,
        /// Its new place in axis units.
        to: f64,
        /// What stays.
        keep: Keep,
    },
}

impl Tool {
    /// Uses the tool on the selected cells of a table.
    ///
    /// # Errors
    /// [`ShapingError`] of the tool in question.
    pub fn apply(&self, advance: &Advance, selection: &Selection) -> Result<Shaped, ShapingError> {
        self.apply_watched(advance, selection, Watch::NOBODY)
    }

    /// As [`apply`](Self::apply), watched: a tool that may take long asks before every round whether to go on.
    ///
    /// # Errors
    /// As from [`apply`](Self::apply), and [`ShapingError::Stopped`].
    pub fn apply_watched(
        &self,
        advance: &Advance,
        selection: &Selection,
        watch: Watch<'_>,
    ) -> Result<Shaped, ShapingError> {
        match *self {
            Self::Set { deg } => set(advance, selection, deg),
            Self::Type { deg } => type_into(advance, selection, deg),
            Self::Add { deg } => add(advance, selection, deg),
            Self::Scale { percent } => scale(advance, selection, percent),
            Self::Clamp { low_deg, high_deg } => clamp(advance, selection, low_deg, high_deg),
            Self::Round { step_deg } => round(advance, selection, step_deg),
            Self::Interpolate(way) => way.apply(advance, selection),
            Self::Smooth { strength } => smooth_watched(advance, selection, strength, watch),
            Self::Lift { centre, amount_deg, radius_cells, step_deg } => {
                lift(advance, selection, centre, amount_deg, radius_cells, step_deg)
            }
            Self::LimitSlope { per_1000rpm, per_load_unit } => {
                limit_slope_watched(advance, selection, (per_1000rpm, per_load_unit), watch)
            }
            Self::Repeat { from, offset_deg } => repeat(advance, selection, from, offset_deg),
            Self::Extend { to, how } => extend(advance, selection, to, how),
            Self::Fill { from } => fill(advance, selection, from),
            Self::Hold { measured } => hold(advance, selection, measured),
            Self::Release => release(advance, selection),
            Self::Axes { ref speed, ref load, keep } => change_axes(advance, speed.clone(), load.clone(), keep),
            Self::InsertBreakpoint { along, at } => insert_breakpoint(advance, along, at),
            Self::DeleteBreakpoint { along, index } => delete_breakpoint(advance, along, index),
            Self::MoveBreakpoint { along, index, to, keep } => move_breakpoint(advance, along, index, to, keep),
        }
    }
}

impl Way {
    fn apply(self, advance: &Advance, selection: &Selection) -> Result<Shaped, ShapingError> {
        match self {
            Self::Line(along) => interpolate(advance, selection, along),
            Self::Corners => interpolate_corners(advance, selection),
            Self::Edges => interpolate_edges(advance, selection),
        }
    }
}
