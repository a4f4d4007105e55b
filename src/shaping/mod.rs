//! Floor 2: the tools that reshape an advance table.
//!
//! Every tool is a pure function of a table, a selection and its parameters; it gives a new table, or an error
//! that leaves the table as it was. Held and unselected cells keep their bits; the one exception is
//! [`Tool::Type`] into exactly one held cell. A result outside the range of cells is refused, never clamped.
//! Distances are in axis units, except in [`lift`], which counts cells. A tool that may take long asks a
//! [`Watch`] before every round whether to go on.
//!
//! [`Tool`] is a tool with its parameters. This file has the one list of tools: what each does, what it is
//! called in the history, and in which order the window and the command line offer them.

mod amounts;
mod bounds;
mod breakpoints;
mod draw;
mod error;
mod extend;
mod fair;
mod fit;
mod hold;
mod interpolate;
mod lift;
mod lines;
mod local;
mod offer;
mod onward;
mod operation;
mod shaped;
mod side;
mod slope;
mod smooth;
#[cfg(test)]
mod stopping;
mod tool;

pub use amounts::{add, scale, set, type_into};
pub use bounds::{clamp, round};
pub use breakpoints::{change_axes, delete_breakpoint, insert_breakpoint, move_breakpoint, resized};
pub use draw::{draw, passed};
pub use error::{Place, ShapingError};
pub use extend::extend;
pub use fair::{
    Ceiling, Clash, Contradiction, DemandKind, Demands, Faired, Fairer, Near, Standing, Target, TargetBound, fair,
    points_in_use, points_of,
};
pub use fair::{
    NOT_RISING as FAIR_NOT_RISING, SLOPE_LOAD as FAIR_SLOPE_LOAD, SLOPE_SPEED as FAIR_SLOPE_SPEED, STEP as FAIR_STEP,
    WITHIN as FAIR_WITHIN,
};
pub use fit::{Fitted, Reading, RestsOn, SURE_MEANS, Sure, fit, has_readings, how_sure};
pub use hold::{hold, release};
pub use interpolate::{interpolate, interpolate_corners, interpolate_edges};
pub use lift::{LIFT_RADIUS, lift, lift_share, nearest_cell};
pub use lines::{fill, repeat};
pub use local::{
    Bend, Slope, bend, curvature, larger_bend, larger_curvature, most_bent, slope_after, slope_before, stands_out_deg,
    steepest,
};
pub use offer::{Asked, Choice, Deed, Does, Group, Manner, Number, Part, Sentence, Step, WhyNot};
pub use onward::{extend_axis, stretch_axis};
pub use operation::{Argument, Given, Operation, OperationError, Takes, Word};
pub use shaped::{Deviation, Shaped};
pub use side::{Along, Side};
pub use slope::{Bound, limit_slope, limit_slope_by, limit_slope_watched};
pub use smooth::{Smoother, bends, smooth, smooth_watched, smooth_within};
pub use tool::{Extension, Keep, Tool, Way};

use crate::project::Advance;
use crate::table::Selection;
use crate::watch::Watch;
use crate::wording::count;

#[cfg(test)]
mod sample;

/// The sentences of the inspector, in their order: those of a group together.
pub const SENTENCES: &[Sentence] = &[
    amounts::RAISE_SENTENCE,
    amounts::SET_SENTENCE,
    amounts::SCALE_SENTENCE,
    bounds::CLAMP_SENTENCE,
    bounds::ROUND_SENTENCE,
    hold::HOLD_SENTENCE,
    hold::HOLD_MEASURED_SENTENCE,
    hold::RELEASE_SENTENCE,
    interpolate::FILL_SENTENCE,
    interpolate::INTERPOLATE_SENTENCE,
    fair::SENTENCE,
    fit::SENTENCE,
    lift::LIFT_SENTENCE,
    slope::SLOPE_SENTENCE,
    lines::REPEAT_SENTENCE,
    extend::EXTEND_SENTENCE,
    lines::FILL_SENTENCE,
];

/// The operations of the command line, in the order of its help.
pub const OPERATIONS: &[Operation] = &[
    amounts::SET,
    amounts::ADD,
    amounts::SCALE,
    bounds::CLAMP,
    bounds::ROUND,
    interpolate::INTERPOLATE,
    smooth::SMOOTH,
    fair::FAIR,
    fit::FIT,
    lift::LIFT,
    draw::DRAW,
    hold::HOLD,
    hold::RELEASE,
    slope::LIMIT_SLOPE,
    lines::REPEAT,
    extend::EXTEND,
    breakpoints::AXES,
];

/// The tools that are also commands, in the order of the palette.
pub const DEEDS: &[Deed] = &[
    lines::FILL_DOWN,
    lines::FILL_RIGHT,
    interpolate::FILL_BETWEEN_DEED,
    interpolate::ROW_DEED,
    interpolate::COLUMN_DEED,
    fair::DEED,
    fit::DEED,
    hold::TOGGLE_HOLD,
];

/// Every number that occurs in a sentence.
pub fn numbers() -> impl Iterator<Item = &'static Number> {
    let parts = SENTENCES.iter().flat_map(Sentence::all_parts);
    parts.filter_map(|part| if let Part::Number(number) = part { Some(number) } else { None })
}

impl Tool {
    /// Applies the tool to the selected cells of a table.
    ///
    /// ```
    /// use sparkloft::project::{LoadKind, NewProject};
    /// use sparkloft::shaping::Tool;
    /// use sparkloft::table::{Cell, Selection};
    ///
    /// let new = NewProject { name: "Heron".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
    /// let advance = &new.create()?.advance;
    /// let cell = Cell::new(3, 4);
    /// let shaped = Tool::Add { deg: -1.0 }.apply(advance, &Selection::cell(advance.table(), cell))?;
    /// assert_eq!(shaped.changed, 1);
    /// assert_eq!(shaped.advance.table().at(cell), advance.table().at(cell) - 1.0);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`ShapingError`] of the particular tool.
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
            Self::Smooth { strength, most_deg } => smooth_within(advance, selection, (strength, most_deg), watch),
            Self::Fair { ref demands } => fair(advance, selection, demands, watch),
            Self::Fit { ref points } => fit(advance, selection, points, watch),
            Self::Lift { centre, amount_deg, radius_cells, step_deg } => {
                lift(advance, selection, centre, amount_deg, radius_cells, step_deg)
            }
            Self::Draw { along, line, ref degs } => draw(advance, selection, along, line, degs),
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

    /// The label of the step in the history: what was done, to how many cells.
    pub fn label(&self, done: &Shaped) -> String {
        let cells = &count(done.changed, "cell");
        // Some tools act on the whole table if only one cell is selected; the history says so when they did.
        let is_whole = done.selected > 1 && done.selected == done.advance.table().values().len();
        let scope = || if is_whole { format!("the whole table ({cells})") } else { cells.clone() };
        match *self {
            Self::Set { deg } => amounts::set_label(deg, cells),
            Self::Type { deg } => amounts::type_label(deg, cells, done.into_held),
            Self::Add { deg } => amounts::add_label(deg, cells),
            Self::Scale { percent } => amounts::scale_label(percent, cells),
            Self::Clamp { low_deg, high_deg } => bounds::clamp_label(low_deg, high_deg, cells),
            Self::Round { step_deg } => bounds::round_label(step_deg, cells),
            Self::Interpolate(way) => way.label(&scope()),
            Self::Smooth { strength, most_deg } => smooth::label(strength, most_deg, &scope()),
            Self::Fair { ref demands } => fair::label(demands, &scope()),
            Self::Fit { ref points } => fit::label(points, &scope()),
            Self::Lift { centre, amount_deg, radius_cells, .. } => {
                lift::lift_label(done, centre, amount_deg, radius_cells)
            }
            Self::Draw { along, line, .. } => draw::draw_label(done, along, line, cells),
            Self::LimitSlope { per_1000rpm, per_load_unit } => slope::label(per_1000rpm, per_load_unit, &scope()),
            Self::Repeat { from, offset_deg } => lines::repeat_label(from, offset_deg, cells),
            Self::Extend { to, how } => extend::extend_label(to, how, cells),
            Self::Fill { from } => lines::fill_label(from, cells),
            Self::Hold { measured } => hold::hold_label(measured, cells),
            Self::Release => hold::release_label(cells),
            Self::Axes { ref speed, ref load, keep } => breakpoints::axes_label(speed, load, keep),
            Self::InsertBreakpoint { along, at } => breakpoints::insert_label(along, at),
            Self::DeleteBreakpoint { along, index } => breakpoints::delete_label(along, index),
            Self::MoveBreakpoint { along, index, to, keep } => breakpoints::move_label(along, index, to, keep),
        }
    }

    /// The limit that it sets to how far a cell moves, degrees; `None` if it has none.
    pub const fn most_deg(&self) -> Option<f64> {
        match self {
            Self::Smooth { most_deg, .. } => Some(*most_deg),
            Self::Fair { demands } => demands.within_deg,
            _ => None,
        }
    }

    /// What else callers need to know about the tool.
    pub const fn manner(&self) -> Manner {
        match self {
            Self::Smooth { .. } => smooth::MANNER,
            Self::Fair { .. } => fair::MANNER,
            Self::Fit { .. } => fit::MANNER,
            Self::LimitSlope { .. } => slope::MANNER,
            Self::Hold { .. } => hold::HOLDS,
            Self::Release => hold::RELEASES,
            _ => Manner::PLAIN,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::sample::{advance, all, held, one};
    use crate::table::{Axis, Cell};

    fn label(tool: &Tool, cells: usize) -> Result<String, ShapingError> {
        let start = advance(6, 6, |x, y| x * x + y * y);
        let mut chosen = Selection::none(6, 6);
        chosen.extend(all(&start).cells().take(cells));
        Ok(tool.label(&tool.apply(&start, &chosen)?))
    }

    #[test]
    fn tells_what_was_done() {
        let axis = || Axis::new(vec![0.0, 5.0]).unwrap();
        let centre = Cell::new(2, 3);
        let cases = [
            (Tool::Add { deg: 1.0 }, 12, "Raise 12 cells by 1.0°"),
            (Tool::Add { deg: -0.25 }, 1, "Lower 1 cell by 0.25°"),
            (Tool::Add { deg: 2.0 / 3.0 }, 2, "Raise 2 cells by 0.667°"),
            (Tool::Smooth { strength: 2.0, most_deg: 150.0 }, 12, "Smooth 12 cells, strength 2.0"),
            (Tool::Smooth { strength: 2.0, most_deg: 0.25 }, 12, "Smooth 12 cells, strength 2.0, within 0.25°"),
            (Tool::Set { deg: 77.0 }, 3, "Set 3 cells to 77.0°"),
            (Tool::Type { deg: 77.0 }, 3, "Type 77.0° into 3 cells"),
            (Tool::Scale { percent: 10.0 }, 4, "Scale 3 cells by +10 %"),
            (Tool::Clamp { low_deg: 5.0, high_deg: 6.0 }, 2, "Clamp 2 cells to 5.0..6.0°"),
            (Tool::Interpolate(Way::Line(Along::Speed)), 4, "Interpolate 2 cells along speed"),
            (Tool::Interpolate(Way::Corners), 36, "Fill the whole table (32 cells) between corners"),
            (
                Tool::Lift { centre, amount_deg: 2.0, radius_cells: 1.0, step_deg: None },
                36,
                "Lift 1 cell by 2.0° around 3 rpm, load 2, radius 1",
            ),
            (Tool::Draw { along: Along::Speed, line: 1, degs: vec![Some(7.5); 3] }, 12, "Draw 6 cells at load 1"),
            (Tool::Fill { from: Side::LowLoad }, 12, "Fill 6 cells from the row"),
            (Tool::Repeat { from: Side::HighLoad, offset_deg: -1.5 }, 6, "Repeat the row beside 6 cells with −1.5°"),
            (Tool::Extend { to: Side::LowLoad, how: Extension::Flat }, 6, "Extend 6 cells to the lowest load, flat"),
            (Tool::Hold { measured: true }, 2, "Hold 2 cells as measured"),
            (Tool::Release, 2, "Release 0 cells"),
            (
                Tool::Axes { speed: axis(), load: axis(), keep: Keep::Surface },
                1,
                "New breakpoints, 2 × 2, keeping the surface",
            ),
            (Tool::InsertBreakpoint { along: Along::Speed, at: 2.5 }, 1, "Insert speed breakpoint 2.5"),
            (Tool::DeleteBreakpoint { along: Along::Load, index: 0 }, 1, "Delete load breakpoint 1"),
        ];
        for (tool, cells, expected) in cases {
            assert_eq!(label(&tool, cells).unwrap(), expected);
        }
    }

    #[test]
    fn says_that_a_held_cell_was_typed_into() {
        let cell = Cell::new(1, 1);
        let start = held(&advance(3, 3, |x, _| x), &[cell]);
        let tool = Tool::Type { deg: 12.5 };
        let done = tool.apply(&start, &one(&start, cell)).unwrap();
        assert_eq!(tool.label(&done), "Type 12.5° into a held cell");
    }
}
