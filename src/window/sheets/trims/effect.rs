//! What the trims do to each cell of the table, from the evaluation.

use crate::spark::{Breakdown, Conditions, Evaluation};
use crate::table::{Cell, Table};
use crate::window::views::view::View;

/// The trims at work on the table at two temperatures, kept from frame to frame.
#[derive(Default)]
pub(super) struct Effect {
    of: Option<(u64, u64, u64)>,
    with: Vec<f64>,
    change: Vec<f64>,
    /// The lowest and the highest value, and those of the changes.
    extremes: [Trimmed; 2],
    /// The largest change in either direction, at least 1°.
    full_deg: f64,
}

/// Degrees and share of a map for one cell.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Trimmed {
    /// Table and trims together.
    pub with_deg: f64,
    /// The trims alone.
    pub change_deg: f64,
}

/// The conditions of the preview at a cell.
pub(super) fn conditions(view: &View<'_>, cell: Cell) -> Conditions {
    let (table, state) = (view.table(), &view.screen.trims);
    let at = |breakpoints: &[f64], index: usize| breakpoints.get(index).copied().unwrap_or_default();
    Conditions {
        speed_rpm: at(table.speed().breakpoints(), cell.speed),
        load: at(table.load().breakpoints(), cell.load),
        coolant_c: Some(state.coolant_c),
        air_c: Some(state.air_c),
        ..Conditions::default()
    }
}

/// What would be commanded at a cell, with everything that has a part in it.
pub(super) fn breakdown(view: &View<'_>, cell: Cell) -> Breakdown {
    Evaluation::new(view.project).lookup(&conditions(view, cell))
}

impl Effect {
    /// Brings it up to date.
    pub(super) fn settle(&mut self, view: &View<'_>) {
        let state = &view.screen.trims;
        let of = (view.content_key, state.coolant_c.to_bits(), state.air_c.to_bits());
        if self.of == Some(of) {
            return;
        }
        self.of = Some(of);
        let evaluation = Evaluation::new(view.project);
        let table: &Table = view.table();
        let parts = table.cells().map(|cell| evaluation.table_and_trims(&conditions(view, cell)));
        let (with, change): (Vec<f64>, Vec<f64>) = parts
            .map(|parts| (parts.sum(), parts.coolant_trim.unwrap_or_default() + parts.air_trim.unwrap_or_default()))
            .unzip();
        self.full_deg = change.iter().fold(1.0, |full: f64, deg| full.max(deg.abs()));
        let fold =
            |numbers: &[f64], pick: fn(f64, f64) -> f64| numbers.iter().copied().reduce(pick).unwrap_or_default();
        self.extremes =
            [f64::min, f64::max].map(|pick| Trimmed { with_deg: fold(&with, pick), change_deg: fold(&change, pick) });
        (self.with, self.change) = (with, change);
    }

    /// What the trims do to a cell, by its place in the table's order.
    pub(super) fn at(&self, index: usize) -> Trimmed {
        let number = |numbers: &[f64]| numbers.get(index).copied().unwrap_or_default();
        Trimmed { with_deg: number(&self.with), change_deg: number(&self.change) }
    }

    /// The lowest and the highest value of any cell, and the lowest and the highest change.
    pub(super) fn extremes(&self) -> [Trimmed; 2] {
        self.extremes
    }

    /// The largest change in either direction, at least 1°.
    pub(super) fn full_deg(&self) -> f64 {
        self.full_deg
    }
}
