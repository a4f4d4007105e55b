//! What fairing under demands comes to, as data: at which demand a cell stands, or which demands cannot all be kept.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use crate::table::Cell;
use crate::wording::{Unit, figure, quantity};

/// What a limit comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DemandKind {
    /// The cell is held.
    Held,
    /// The cell is not selected.
    NotSelected,
    /// The engine idles in the cell, and idle is left alone.
    Idle,
    /// No cell moves further than this.
    Within,
    /// Never rising with load.
    NotRising,
    /// The slope along speed.
    SlopeSpeed,
    /// The slope along load.
    SlopeLoad,
    /// The full-load line.
    FullLoadLine,
    /// A measured point.
    Point,
    /// Multiples of a step.
    Step,
}

impl DemandKind {
    /// Its name in documents.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Held => "held",
            Self::NotSelected => "not_selected",
            Self::Idle => "idle",
            Self::Within => "within",
            Self::NotRising => "not_rising",
            Self::SlopeSpeed => "slope_speed",
            Self::SlopeLoad => "slope_load",
            Self::FullLoadLine => "full_load_line",
            Self::Point => "point",
            Self::Step => "step",
        }
    }
}

/// What fairing came to, beside the table.
#[derive(Clone, Debug, PartialEq)]
pub struct Faired {
    /// Cells that a demand keeps from being smoother, in the order of the table's values.
    pub standing: Vec<Standing>,
    /// How far the cell that moved farthest did, degrees.
    pub largest_change_deg: f64,
    /// Measured points that take no part, since nothing around them may move.
    pub points_among_fixed: Vec<usize>,
    /// Measured points that rounding left outside their tolerance: which, and by how much, degrees.
    pub points_out: Vec<(usize, f64)>,
}

impl Faired {
    /// How many cells stand at each kind of demand; one between two slopes counts once.
    pub fn standing_counts(&self) -> Vec<(DemandKind, usize)> {
        let mut cells: BTreeMap<DemandKind, BTreeSet<Cell>> = BTreeMap::new();
        for standing in &self.standing {
            cells.entry(standing.at).or_default().insert(standing.cell);
        }
        cells.into_iter().map(|(kind, cells)| (kind, cells.len())).collect()
    }
}

/// A cell that stands at a demand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// Which cell.
    pub cell: Cell,
    /// At which demand.
    pub at: DemandKind,
    /// How far the cell would go on if the demand let it and its neighbours stayed, degrees.
    pub onward_deg: f64,
}

/// Demands that cannot all be kept, none of them to spare: without any one the others can.
#[derive(Clone, Debug, PartialEq)]
pub struct Contradiction {
    /// By how much they miss each other, degrees.
    pub short_by_deg: f64,
    /// What they are.
    pub demands: Vec<Clash>,
    /// The step on which alone they cannot be kept, degrees; `None` if they cannot be kept at all.
    pub only_on_step_deg: Option<f64>,
}

/// A demand of a contradiction.
#[derive(Clone, Debug, PartialEq)]
pub struct Clash {
    /// What it comes from.
    pub kind: DemandKind,
    /// The cells in which it counts.
    pub cells: Vec<Cell>,
    /// What it says, with its numbers.
    pub words: String,
    /// What would end the contradiction; another one may stand behind it. Empty where nothing can be said to suffice.
    pub remedy: String,
}

impl fmt::Display for Contradiction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.heading())?;
        let words: Vec<&str> = self.demands.iter().map(|demand| demand.words.as_str()).collect();
        let mut remedies: Vec<&str> = Vec::new();
        for demand in &self.demands {
            if !demand.remedy.is_empty() && !remedies.contains(&demand.remedy.as_str()) {
                remedies.push(&demand.remedy);
            }
        }
        write!(f, ": {}. Any one of these ends it: {}", words.join(" · "), remedies.join("; "))
    }
}

impl Contradiction {
    /// That it cannot be, and by how much.
    pub fn heading(&self) -> String {
        let short_by = figure(up(self.short_by_deg, 100.0), Unit::Degree);
        match self.only_on_step_deg {
            None => format!("these cannot all be kept; short by {short_by}"),
            Some(step_deg) => {
                let step = quantity(step_deg, Unit::Degree);
                format!("no table on the {step} step keeps these; short by {short_by}")
            }
        }
    }
}

/// Rounds up, so that what is told suffices.
pub(super) fn up(value: f64, per_unit: f64) -> f64 {
    (value * per_unit - 1e-7).ceil() / per_unit
}
