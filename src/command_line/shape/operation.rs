//! The tools of `shape` as they stand on the command line.

use clap::{Args, Subcommand, ValueEnum};

use crate::command_line::Failure;
use crate::command_line::values::{Edge, number};
use crate::shaping::{Along, Extension, Keep, Side, Tool, Way, nearest_cell};
use crate::table::{Axis, Selection, Table};
use crate::wording::{bounds, written};

/// One tool with its parameters.
#[derive(Debug, Subcommand)]
pub(super) enum Operation {
    /// Set the cells to V degrees
    Set(Amount),
    /// Add V degrees to the cells; negative takes advance out
    Add(Amount),
    /// Scale the cells by PERCENT: 10 multiplies by 1.10, -10 by 0.90
    Scale {
        /// By how many per cent
        #[arg(value_name = "PERCENT", value_parser = number, allow_hyphen_values = true)]
        percent: f64,
    },
    /// Bring cells below LO up to it and cells above HI down to it, in degrees
    Clamp {
        /// The lower bound, degrees
        #[arg(value_name = "LO", value_parser = number, allow_hyphen_values = true)]
        low: f64,
        /// The upper bound, degrees
        #[arg(value_name = "HI", value_parser = number, allow_hyphen_values = true)]
        high: f64,
    },
    /// Round the cells to multiples of STEP degrees
    Round {
        /// The step, degrees
        #[arg(value_name = "STEP", value_parser = number, allow_hyphen_values = true)]
        step: f64,
    },
    /// Fill the cells between the ends of each row (speed) or column (load), the block's corners, or its edges
    Interpolate {
        /// Between what
        between: Between,
    },
    /// Smooth the cells: STRENGTH 0 (nothing) to 10; a bump of about 1.4 × STRENGTH cells is halved
    Smooth {
        /// 0 to 10
        #[arg(value_name = "STRENGTH", value_parser = number, allow_hyphen_values = true)]
        strength: f64,
    },
    /// Lift the cell nearest to SPEED and LOAD by AMOUNT degrees, and its neighbours with a falloff over RADIUS cells
    Lift(Lift),
    /// Hold the cells: no tool changes them any more
    Hold {
        /// Mark them as measured on the engine, too
        #[arg(long)]
        measured: bool,
    },
    /// Release held cells
    Release,
    /// Bring neighbours closer, with the least change, until none differ by more than the limits; cells that are not
    /// selected are not looked at
    LimitSlope {
        /// Most degrees per 1000 rpm
        #[arg(value_name = "PER_1000RPM", value_parser = number, allow_hyphen_values = true)]
        per_1000rpm: f64,
        /// Most degrees per % or kPa
        #[arg(value_name = "PER_LOAD_UNIT", value_parser = number, allow_hyphen_values = true)]
        per_load_unit: f64,
    },
    /// Repeat the row or column beside the selection over the selected cells
    Repeat(Repeat),
    /// Extend the surface over the selected cells to the table's edge that they reach
    Extend(Extend),
    /// Give the table new breakpoints
    Axes(Axes),
}

#[derive(Debug, Args)]
pub(super) struct Amount {
    /// Degrees
    #[arg(value_name = "V", value_parser = number, allow_hyphen_values = true)]
    deg: f64,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
pub(super) enum Between {
    /// Along speed, between the ends of each selected run in a row
    Speed,
    /// Along load, between the ends of each selected run in a column
    Load,
    /// Between the four corners of the block
    Corners,
    /// Between the four edges of the block
    Edges,
}

#[derive(Debug, Args)]
pub(super) struct Lift {
    /// Speed of the centre, rpm
    #[arg(value_name = "SPEED", value_parser = number, allow_hyphen_values = true)]
    centre_rpm: f64,
    /// Load of the centre, % or kPa
    #[arg(value_name = "LOAD", value_parser = number, allow_hyphen_values = true)]
    centre_load: f64,
    /// How far the centre moves, degrees
    #[arg(value_name = "AMOUNT", value_parser = number, allow_hyphen_values = true)]
    amount: f64,
    /// Cells this far away stay where they are, counted in cells
    #[arg(value_name = "RADIUS", value_parser = number, allow_hyphen_values = true)]
    radius: f64,
}

#[derive(Debug, Args)]
pub(super) struct Repeat {
    /// On which side of the selection the row or column to repeat lies. When left out: the row below it (low-load) if
    /// --load is given, else the column of the next lower speed (low-speed)
    #[arg(long, value_name = "SIDE")]
    from: Option<Edge>,
    /// Degrees to add with every row or column further away: the nearest gets it once, the next twice
    #[arg(long, value_name = "DEG", default_value = "0", value_parser = number, allow_hyphen_values = true)]
    offset: f64,
}

#[derive(Debug, Args)]
pub(super) struct Extend {
    /// To which edge. When left out: the one edge of the table that the selection reaches
    #[arg(long, value_name = "SIDE")]
    to: Option<Edge>,
    /// linear goes on with the robust slope of the last third of the cells before the selection, with load never up from the middle on; flat with the value of the one before
    #[arg(long, value_name = "HOW", default_value = "linear")]
    how: How,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum How {
    /// On the straight line through the two cells before
    Linear,
    /// At the value of the cell before
    Flat,
}

#[derive(Debug, Args)]
pub(super) struct Axes {
    /// The new speed breakpoints in rpm, ascending, such as 500,1000,2000; the present ones when left out
    #[arg(long, value_name = "a,b,…", value_parser = number, value_delimiter = ',', allow_hyphen_values = true)]
    #[arg(required_unless_present = "new_load")]
    new_speed: Vec<f64>,
    /// The new load breakpoints in % or kPa, ascending; the present ones when left out
    #[arg(long, value_name = "a,b,…", value_parser = number, value_delimiter = ',', allow_hyphen_values = true)]
    new_load: Vec<f64>,
    /// What stays: the surface, looked up at the new breakpoints, or the numbers, under as many new breakpoints
    #[arg(long, default_value = "surface")]
    keep: Kept,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Kept {
    /// The surface; new cells are looked up in it, flat beyond its edges
    Surface,
    /// The numbers in their rows and columns, with hold marks and origins
    Numbers,
}

impl Operation {
    /// Whether a selection would mean nothing to it.
    pub(super) fn takes_whole_table(&self) -> bool {
        matches!(self, Self::Axes(_))
    }

    /// The tool for this selection of a table.
    pub(super) fn tool(&self, table: &Table, selection: &Selection, rows_chosen: bool) -> Result<Tool, Failure> {
        Ok(match *self {
            Self::Set(Amount { deg }) => Tool::Set { deg },
            Self::Add(Amount { deg }) => Tool::Add { deg },
            Self::Scale { percent } => Tool::Scale { percent },
            Self::Clamp { low, high } => Tool::Clamp { low_deg: low, high_deg: high },
            Self::Round { step } => Tool::Round { step_deg: step },
            Self::Interpolate { between } => Tool::Interpolate(between.way()),
            Self::Smooth { strength } => Tool::Smooth { strength },
            Self::Lift(ref lift) => lift.tool(table)?,
            Self::Hold { measured } => Tool::Hold { measured },
            Self::Release => Tool::Release,
            Self::LimitSlope { per_1000rpm, per_load_unit } => Tool::LimitSlope { per_1000rpm, per_load_unit },
            Self::Repeat(Repeat { from, offset }) => {
                let usual = if rows_chosen { Side::LowLoad } else { Side::LowSpeed };
                Tool::Repeat { from: from.map_or(usual, Side::from), offset_deg: offset }
            }
            Self::Extend(ref extend) => extend.tool(selection)?,
            Self::Axes(ref axes) => axes.tool(table)?,
        })
    }
}

impl Between {
    const fn way(self) -> Way {
        match self {
            Self::Speed => Way::Line(Along::Speed),
            Self::Load => Way::Line(Along::Load),
            Self::Corners => Way::Corners,
            Self::Edges => Way::Edges,
        }
    }
}

impl Lift {
    fn tool(&self, table: &Table) -> Result<Tool, Failure> {
        within("SPEED", self.centre_rpm, table.speed())?;
        within("LOAD", self.centre_load, table.load())?;
        let centre = nearest_cell(table, self.centre_rpm, self.centre_load);
        Ok(Tool::Lift { centre, amount_deg: self.amount, radius_cells: self.radius, step_deg: None })
    }
}

fn within(what: &str, value: f64, axis: &Axis) -> Result<(), Failure> {
    if (axis.first()..=axis.last()).contains(&value) {
        return Ok(());
    }
    let ends = bounds((axis.first(), axis.last()), "");
    Err(Failure::Usage(format!("lift: {what} {} lies outside the table's {ends}", written(value)), "shape"))
}

impl Extend {
    fn tool(&self, selection: &Selection) -> Result<Tool, Failure> {
        let how = match self.how {
            How::Linear => Extension::Linear,
            How::Flat => Extension::Flat,
        };
        let to = match (self.to, Side::reached_by(selection).as_slice()) {
            (Some(edge), _) => edge.into(),
            (None, [side]) => *side,
            (None, []) => {
                let reason = "extend: the selection reaches no edge from which unselected cells lie inwards; choose it with --speed or --load";
                return Err(Failure::Usage(reason.into(), "shape"));
            }
            (None, _) => {
                let reason = "extend: the selection reaches more than one edge; choose one with --to";
                return Err(Failure::Usage(reason.into(), "shape"));
            }
        };
        Ok(Tool::Extend { to, how })
    }
}

impl Axes {
    fn tool(&self, table: &Table) -> Result<Tool, Failure> {
        let keep = match self.keep {
            Kept::Surface => Keep::Surface,
            Kept::Numbers => Keep::Numbers,
        };
        let speed = new_axis("speed", &self.new_speed, table.speed())?;
        Ok(Tool::Axes { speed, load: new_axis("load", &self.new_load, table.load())?, keep })
    }
}

/// The axis of these breakpoints; the present one when there are none.
fn new_axis(axis: &'static str, breakpoints: &[f64], present: &Axis) -> Result<Axis, Failure> {
    if breakpoints.is_empty() {
        return Ok(present.clone());
    }
    Axis::new(breakpoints.to_vec()).map_err(|reason| Failure::NewAxis { axis, reason })
}
