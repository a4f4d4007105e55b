//! What a fit comes to, as data: how sure each cell is and what it rests on, and how far each reading lies from the table.

/// What a fit came to, beside the table.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// How far the correction bends from cell to cell, degrees per squared cell.
    pub bend_deg: f64,
    /// How sure each cell is, in the order of the table's values; `None` where the cell may not move.
    pub cells: Vec<Option<Sure>>,
    /// The readings, in the order in which they were given; points that only bound the table are none.
    pub readings: Vec<Reading>,
}

/// How sure a cell is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sure {
    /// Its standard deviation, degrees; about nine cells in ten lie within twice that of the truth.
    pub sd_deg: f64,
    /// How much of what is known of it comes from the readings, 0 to 1.
    pub share: f64,
    /// What it rests on.
    pub rests_on: RestsOn,
}

/// What [`Sure::within_deg`] is, in words.
pub const SURE_MEANS: &str = "\u{b1} about nine times in ten";

impl Sure {
    /// Twice its standard deviation, degrees: the ± within which the truth lies about nine times in ten.
    pub const fn within_deg(&self) -> f64 {
        2.0 * self.sd_deg
    }
}

/// What a cell rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RestsOn {
    /// Today's table: it does not move.
    Today,
    /// In part on readings.
    Leaning,
    /// On readings.
    Measured,
}

impl RestsOn {
    /// By the share of what is known that comes from readings.
    pub(super) fn of(share: f64) -> Self {
        match share {
            share if share >= 0.9 => Self::Measured,
            share if share >= 0.5 => Self::Leaning,
            _ => Self::Today,
        }
    }

    /// All of them, those that know least first.
    pub const ALL: [Self; 3] = [Self::Today, Self::Leaning, Self::Measured];

    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Today => "today's table",
            Self::Leaning => "leans on measurements",
            Self::Measured => "measured",
        }
    }
}

/// How a reading lies to the fitted table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Which of the points.
    pub point: usize,
    /// How far it lies above the table, degrees.
    pub residual_deg: f64,
    /// The same in units of what is usual for a reading of its kind there.
    pub standardised: f64,
    /// How much the table follows this reading alone, 0 to 1.
    pub leverage: f64,
}

/// A reading farther from the table than this, in what is usual, stands apart.
const APART: f64 = 3.0;
/// A reading that the table follows by more than this has nothing nearby that checks it.
const ALONE: f64 = 0.9;

impl Reading {
    /// Whether it is far from what the others say.
    pub fn stands_apart(&self) -> bool {
        self.standardised.abs() > APART
    }

    /// Whether nothing nearby checks it.
    pub fn is_alone(&self) -> bool {
        self.leverage > ALONE
    }

    /// What is to be said of it; `None` if nothing is.
    pub fn words(&self) -> Option<&'static str> {
        match (self.stands_apart(), self.is_alone()) {
            (true, _) => Some("stands apart"),
            (_, true) => Some("nothing nearby checks this reading"),
            _ => None,
        }
    }
}
