//! What a grid consists of, as described by its owner.

use eframe::egui::{Color32, Id, Rect, Shape};

use super::layout::Layout;
use crate::checks::Severity;
use crate::shaping::Along;
use crate::table::{Axis as Breakpoints, Cell, Table};
use crate::window::kit::theme::Theme;
use crate::window::state::selection::CellSelection;
use crate::wording::{Unit, given, quantity};

/// Breakpoints along one side of the grid.
pub struct Axis<'a> {
    /// What they are: 'speed'.
    pub name: &'static str,
    /// Their unit.
    pub unit: Unit,
    /// The breakpoints, lowest first.
    pub at: &'a [f64],
    /// Those of the table whose cells are selected; others may be shown between them.
    pub own: &'a Breakpoints,
    /// What a screen reader is told about a breakpoint that is not among those.
    pub otherwise: &'static str,
}

impl<'a> Axis<'a> {
    /// The breakpoints of a table, all of them its own.
    pub fn of(name: &'static str, unit: Unit, own: &'a Breakpoints) -> Self {
        Self { name, unit, at: own.breakpoints(), own, otherwise: "" }
    }

    /// The name with the unit: 'load kPa'.
    pub fn title(&self) -> String {
        format!("{} {}", self.name, self.unit)
    }

    /// A breakpoint as it is painted.
    pub fn text(&self, at: usize) -> String {
        self.at.get(at).map_or_else(String::new, |&value| given(value, self.unit))
    }

    /// A breakpoint with its unit.
    pub fn quantity(&self, at: usize) -> String {
        self.at.get(at).map_or_else(String::new, |&value| quantity(value, self.unit))
    }

    /// The row or column of the table at an index of this axis.
    pub fn own_at(&self, at: usize) -> Option<usize> {
        // Usually both are the same axis.
        match (self.at.get(at), self.own.breakpoints().get(at)) {
            (Some(value), Some(own)) if value == own => Some(at),
            (Some(&value), _) => self.own.index_of(value),
            (None, _) => None,
        }
    }

    /// The row or column of the table nearest to an index of this axis.
    fn own_near(&self, at: usize) -> Option<usize> {
        let count = self.at.len();
        (0..count).find_map(|by| self.own_at(at + by).or_else(|| self.own_at(at.checked_sub(by)?)))
    }

    /// The index on this axis of a row or column of the table.
    fn place_of(&self, own: usize) -> Option<usize> {
        let &value = self.own.breakpoints().get(own)?;
        if self.at.get(own) == Some(&value) { Some(own) } else { self.at.iter().position(|&at| at == value) }
    }
}

/// A grid to be shown.
pub struct Spec<'a> {
    /// The widget that gets the keyboard focus.
    pub id: Id,
    /// The name of the whole grid.
    pub name: &'a str,
    /// What each cell is, named before its position: 'advance'.
    pub cell_name: &'a str,
    /// The columns.
    pub speeds: Axis<'a>,
    /// The rows.
    pub loads: Axis<'a>,
    /// The table whose cells are selected; only its size matters.
    pub table: &'a Table,
    /// The selection in that table.
    pub selection: &'a CellSelection,
    /// The cell that the pointer is over in another view.
    pub hovered: Option<Cell>,
    /// What has a screen reader's attention instead of the cursor's cell.
    pub active: Option<Id>,
    /// Sizes, fonts and colours.
    pub theme: &'a Theme,
}

impl Spec<'_> {
    /// How many columns and rows there are.
    pub fn size(&self) -> (usize, usize) {
        (self.speeds.at.len(), self.loads.at.len())
    }

    /// The cell of the table at a cell of the grid; `None` if the table has no such row or column.
    pub fn own_at(&self, place: Cell) -> Option<Cell> {
        Some(Cell::new(self.loads.own_at(place.load)?, self.speeds.own_at(place.speed)?))
    }

    /// The cell of the table nearest to a cell of the grid.
    pub fn own_near(&self, place: Cell) -> Option<Cell> {
        Some(Cell::new(self.loads.own_near(place.load)?, self.speeds.own_near(place.speed)?))
    }

    /// The cell of the grid that shows a cell of the table; `None` if none does.
    pub fn place_of(&self, own: Cell) -> Option<Cell> {
        Some(Cell::new(self.loads.place_of(own.load)?, self.speeds.place_of(own.speed)?))
    }

    /// Whether a cell of the grid is selected.
    pub fn is_selected(&self, place: Cell) -> bool {
        self.own_at(place).is_some_and(|cell| self.selection.cells.contains(cell))
    }
}

/// What is in a cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Text {
    /// A number; the numbers of a grid are right-aligned.
    Number(String),
    /// A number of the second rank, such as one that nobody changed; paler.
    Faint(String),
    /// A number that is only proposed; slanted.
    Proposed(String),
    /// Anything else, centred.
    Word(String),
    /// A dash: there is nothing to show here.
    Nothing,
}

/// How a cell looks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Look {
    /// What is in it.
    pub text: Text,
    /// Its background, if it is not the paper's.
    pub fill: Option<Color32>,
}

/// What a screen reader reads about a cell besides its position.
pub struct Told {
    /// Its content: '28.5 degrees, held'.
    pub words: String,
    /// More about it.
    pub description: String,
}

/// The contents of the cells.
pub trait Contents {
    /// Numbers at least as wide as any that may be in a cell.
    fn widest(&self) -> Vec<String>;

    /// Additional width that a cell needs, for marks at its sides.
    fn beside_number(&self) -> f32 {
        0.0
    }

    /// How a cell looks.
    fn look(&self, place: Cell) -> Look;

    /// What a screen reader reads about a cell.
    fn told(&self, place: Cell) -> Told;

    /// What is painted below the numbers; `digits` gives the box of a cell's number.
    fn below(&self, _layout: &Layout, _digits: &dyn Fn(Cell) -> Option<Rect>) -> Vec<Shape> {
        Vec::new()
    }

    /// What is painted above the numbers, but below the selection.
    fn above(&self, _layout: &Layout) -> Vec<Shape> {
        Vec::new()
    }

    /// The marks, painted above everything else; `digits` gives what the digits of a cell cover, which no mark may.
    fn marks(&self, _layout: &Layout, _digits: &dyn Fn(Cell) -> Option<Rect>) -> Vec<Shape> {
        Vec::new()
    }

    /// How bad the findings about the breakpoint of a column or row are, and all of them in words.
    fn found_at_heading(&self, _along: Along, _line: usize) -> Option<(Severity, String)> {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_and_columns_are_found_among_others() {
        let own = Breakpoints::new(vec![10.0, 20.0, 40.0]).unwrap();
        let at = [5.0, 10.0, 15.0, 20.0, 30.0, 35.0, 40.0];
        let axis = Axis { name: "speed", unit: Unit::Rpm, at: &at, own: &own, otherwise: "only in the base" };
        let found = |find: &dyn Fn(usize) -> Option<usize>, count: usize| (0..count).map(find).collect::<Vec<_>>();
        let own_at = [None, Some(0), None, Some(1), None, None, Some(2)];
        assert_eq!(found(&|place| axis.own_at(place), 7), own_at);
        assert_eq!(found(&|place| axis.own_near(place), 7), [0, 0, 1, 1, 1, 2, 2].map(Some));
        assert_eq!(found(&|own| axis.place_of(own), 4), [Some(1), Some(3), Some(6), None]);
    }
}
