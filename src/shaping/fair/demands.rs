//! What is demanded of a faired table, as data, and what comes from a project for it.

use crate::project::{MeasuredPoint, Parts, PointBound};
use crate::table::{Axis, Cell, Selection, Table};
use crate::wording::settle;

/// What a measured point allows is never narrower than this to either side, degrees: nobody reads timing more closely.
const LEAST_TOLERANCE_DEG: f64 = 0.01;
/// How far a cell may move by the usual demands, degrees.
pub(super) const USUAL_WITHIN_DEG: f64 = 1.0;

/// What a faired table must keep to. Every demand may be left out; without any, fairing is plain smoothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Demands {
    /// No cell moves by more than this, degrees.
    pub within_deg: Option<f64>,
    /// Between rows of which both are at this load or above, nothing rises with load.
    pub not_rising_above: Option<f64>,
    /// Neighbours along speed differ by no more than this, degrees per 1000 rpm.
    pub max_slope_per_1000rpm: Option<f64>,
    /// Neighbours along load differ by no more than this, degrees per % or kPa.
    pub max_slope_per_load: Option<f64>,
    /// The most that each cell may have.
    pub ceiling: Option<Ceiling>,
    /// Measured points that the table must pass.
    pub points: Vec<Target>,
    /// Every cell that may move becomes a multiple of this, degrees.
    pub step_deg: Option<f64>,
    /// Cells in which the engine idles: they are left alone.
    pub idle: Option<Selection>,
}

impl Demands {
    /// The usual demands: within ±1°, idle left alone.
    pub fn usual(project: &Parts) -> Self {
        Self { within_deg: Some(USUAL_WITHIN_DEG), idle: Some(project.idle_cells()), ..Self::default() }
    }
}

/// The most advance that each cell may have.
#[derive(Clone, Debug, PartialEq)]
pub struct Ceiling {
    /// In the order of the table's values, degrees before TDC; infinite where there is no bound.
    most_deg: Vec<f64>,
    /// Between the cells, where line, trims and table can come closest to each other.
    places: Vec<Place>,
}

/// The most advance at a place between the cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    pub(super) speed_rpm: f64,
    pub(super) load: f64,
    pub(super) most_deg: f64,
}

impl Place {
    /// The cells that the table's value there comes from, with the share of each.
    pub(super) fn shares(&self, table: &Table) -> [(usize, f64); 4] {
        shares(table, self.speed_rpm, self.load)
    }
}

impl Ceiling {
    /// The full-load line less what the trims may add, at every breakpoint from its load on and wherever else the checks
    /// hold the table against it; `None` if it is switched off.
    pub fn full_load(project: &Parts) -> Option<Self> {
        let line = &project.full_load_line;
        let (speeds, loads) = (project.advance.table().speed(), project.advance.table().load());
        let most = |cell: Cell| {
            let (speed_rpm, load) = (speeds.breakpoints()[cell.speed], loads.breakpoints()[cell.load]);
            let is_under_it = load >= line.from_load;
            if is_under_it { line.allowed_deg(speed_rpm, load) - project.trims.most_deg(load) } else { f64::INFINITY }
        };
        let is_between =
            |&(speed_rpm, load): &(f64, f64)| speeds.index_of(speed_rpm).is_none() || loads.index_of(load).is_none();
        let place = |(speed_rpm, load)| Place {
            speed_rpm,
            load,
            most_deg: line.allowed_deg(speed_rpm, load) - project.trims.most_deg(load),
        };
        line.enabled.then(|| Self {
            most_deg: project.advance.table().cells().map(most).collect(),
            places: project.full_load_points().into_iter().filter(is_between).map(place).collect(),
        })
    }

    /// As given for every cell, in the order of the table's values.
    pub const fn new(most_deg: Vec<f64>) -> Self {
        Self { most_deg, places: Vec::new() }
    }

    /// The same where no cell may have more than this either, in the order of the table's values.
    #[must_use]
    pub fn under(mut self, most_deg: &[f64]) -> Self {
        self.most_deg.iter_mut().zip(most_deg).for_each(|(own, other)| *own = own.min(*other));
        self
    }

    /// What it bounds between the cells.
    pub(super) fn places(&self) -> &[Place] {
        &self.places
    }

    /// Whether it was made for a table of this size.
    pub(super) fn fits(&self, table: &Table) -> bool {
        self.most_deg.len() == table.values().len()
    }

    /// The bound of a cell by its index into the table's values.
    pub(super) fn of(&self, at: usize) -> f64 {
        self.most_deg.get(at).copied().unwrap_or(f64::INFINITY)
    }
}

/// A measured point: what the advance was found to be, or to have to stay under or over, at a speed and a load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Target {
    /// Where, in rpm.
    pub speed_rpm: f64,
    /// Where, in % or kPa.
    pub load: f64,
    /// What was found, degrees before TDC.
    pub advance_deg: f64,
    /// How far such a reading usually lies from the truth, degrees: its standard deviation.
    pub sd_deg: f64,
    /// What it says of the table.
    pub bound: TargetBound,
}

/// What a measured point says of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TargetBound {
    /// The advance is this, to within a tolerance.
    About {
        /// How much less it may be, degrees.
        below_deg: f64,
        /// How much more it may be, degrees.
        above_deg: f64,
    },
    /// It must not be more.
    AtMost {
        /// How much more it may be after all, since the point is only so sure, degrees.
        beyond_deg: f64,
    },
    /// It must not be less.
    AtLeast {
        /// How much less it may be after all, since the point is only so sure, degrees.
        beyond_deg: f64,
    },
}

impl TargetBound {
    /// The advance is this, to within a tolerance in degrees to either side.
    pub const fn about(tolerance_deg: f64) -> Self {
        Self::About { below_deg: tolerance_deg, above_deg: tolerance_deg }
    }
}

impl Target {
    /// A measured point as fairing and fitting go by it.
    pub(super) fn of(point: &MeasuredPoint) -> Self {
        // What the checks hold the table against, so that a table that passes a point is not told to miss it.
        let (low_deg, high_deg) = point.allowed_deg();
        let (below_deg, above_deg) = (settle(point.advance_deg - low_deg), settle(high_deg - point.advance_deg));
        let bound = match point.bound {
            PointBound::About => TargetBound::About { below_deg, above_deg },
            PointBound::AtMost => TargetBound::AtMost { beyond_deg: above_deg },
            PointBound::AtLeast => TargetBound::AtLeast { beyond_deg: below_deg },
        };
        let MeasuredPoint { speed_rpm, load, advance_deg, .. } = *point;
        Self { speed_rpm, load, advance_deg, sd_deg: point.sigma_deg(), bound }
    }

    /// Whether it lies within a table's axes.
    pub(in crate::shaping) fn is_over(&self, table: &Table) -> bool {
        let covers = |axis: &Axis, at: f64| (axis.first()..=axis.last()).contains(&at);
        covers(table.speed(), self.speed_rpm) && covers(table.load(), self.load)
    }

    /// The cells that its value in the table comes from, as indices into the table's values, with the share of each.
    pub(in crate::shaping) fn shares(&self, table: &Table) -> [(usize, f64); 4] {
        shares(table, self.speed_rpm, self.load)
    }

    /// What the table's value there may be.
    pub(in crate::shaping) fn limits_deg(&self) -> (f64, f64) {
        match self.bound {
            TargetBound::About { below_deg, above_deg } => {
                // An interval that is wide enough stays as it is, though the advance lie at its end.
                let least_deg =
                    if below_deg + above_deg < 2.0 * LEAST_TOLERANCE_DEG { LEAST_TOLERANCE_DEG } else { 0.0 };
                (self.advance_deg - below_deg.max(least_deg), self.advance_deg + above_deg.max(least_deg))
            }
            TargetBound::AtMost { beyond_deg } => (f64::NEG_INFINITY, self.advance_deg + beyond_deg),
            TargetBound::AtLeast { beyond_deg } => (self.advance_deg - beyond_deg, f64::INFINITY),
        }
    }
}

fn shares(table: &Table, speed_rpm: f64, load: f64) -> [(usize, f64); 4] {
    let (column, row) = (table.speed().locate(speed_rpm), table.load().locate(load));
    let (s, t) = (column.fraction, row.fraction);
    let at = |load: usize, speed: usize| table.index(Cell::new(row.index + load, column.index + speed));
    [(at(0, 0), (1.0 - t) * (1.0 - s)), (at(0, 1), (1.0 - t) * s), (at(1, 0), t * (1.0 - s)), (at(1, 1), t * s)]
}

/// The measured points of a project that are in use.
pub fn points_of(project: &Parts) -> Vec<Target> {
    points_in_use(project).map(Target::of).collect()
}

/// The same with their names, in the same order.
pub fn points_in_use(project: &Parts) -> impl Iterator<Item = &MeasuredPoint> {
    project.evidence.points.iter().map(|point| &**point).filter(|point| point.in_use)
}
