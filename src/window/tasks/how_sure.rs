//! How sure the cells on show are of a fit to the measured points, found on a thread while the layer of it is on show.

use std::sync::Arc;

use eframe::egui;

use super::task::Task;
use crate::drawing::HowSure;
use crate::project::Project;
use crate::shaping::{Sure, has_readings, how_sure, points_of};
use crate::table::{Cell, Table};
use crate::watch::Watch;

/// The name of the work in messages.
pub(in crate::window) const FINDING: &str = "how sure the cells are";

/// How sure cells are, as far as it is known.
#[derive(Clone, Debug, Default)]
pub struct SureShown {
    /// Of every cell; nothing until it is known, or where there are no points.
    cells: Arc<Vec<Option<Sure>>>,
    /// Number of loads and speeds of the table that they are of.
    size: (usize, usize),
    /// Whether there are points to go by.
    has_points: bool,
    /// Why there is no newer answer.
    pub fault: Option<String>,
    /// How often what is known has changed.
    pub serial: u64,
}

impl SureShown {
    /// As the layer of a table takes it; cells of a table of another size are not known.
    pub fn of(&self, table: &Table) -> HowSure<'_> {
        match self.has_points {
            false => HowSure::NoPoints,
            true if self.size == size(table) && !self.cells.is_empty() => HowSure::Of(&self.cells),
            true => HowSure::NotKnown,
        }
    }

    /// That of a cell of a table.
    pub fn at(&self, table: &Table, cell: Cell) -> Option<Sure> {
        self.of(table).at(table.index(cell))
    }

    /// Whether there are measured points to go by.
    pub const fn has_points(&self) -> bool {
        self.has_points
    }

    fn is_same(&self, other: &Self) -> bool {
        let is_none = self.cells.is_empty() && other.cells.is_empty();
        (is_none || Arc::ptr_eq(&self.cells, &other.cells))
            && (self.size, self.has_points, &self.fault) == (other.size, other.has_points, &other.fault)
    }
}

fn size(table: &Table) -> (usize, usize) {
    (table.load().len(), table.speed().len())
}

/// Keeps it.
#[derive(Default)]
pub(in crate::window) struct SureKeeper {
    found: Task<Project, Vec<Option<Sure>>>,
    shown: SureShown,
}

impl SureKeeper {
    /// What is known.
    pub(in crate::window) const fn shown(&self) -> &SureShown {
        &self.shown
    }

    /// Has it found for a project; what was known before stays on show until then.
    pub(in crate::window) fn settle(&mut self, project: &Project, ctx: &egui::Context) {
        self.found.receive();
        let points = points_of(project);
        let has_points = has_readings(project.advance.table(), &points);
        self.found.give_up_others(project);
        if has_points {
            let advance = project.advance.clone();
            self.found.ask(project, ctx, FINDING, move |link| {
                let goes_on = |share| link.goes_on(share);
                Ok(how_sure(&advance, &points, Watch::new(&goes_on))?)
            });
        }
        let fault = self.found.fault_of(project).filter(|_| has_points).map(ToString::to_string);
        let now = match self.found.newest() {
            Some((of, cells)) if has_points => {
                SureShown { cells: Arc::clone(cells), size: size(of.advance.table()), has_points, fault, serial: 0 }
            }
            _ => SureShown { has_points, fault, ..SureShown::default() },
        };
        self.show(now);
    }

    /// Ends the search while nobody looks at the answer; what is known stays.
    pub(in crate::window) fn leave(&mut self) {
        self.found.give_up();
    }

    /// Forgets what is known of another document.
    pub(in crate::window) fn forget(&mut self) {
        self.found.forget();
        self.show(SureShown::default());
    }

    fn show(&mut self, now: SureShown) {
        if !now.is_same(&self.shown) {
            self.shown = SureShown { serial: self.shown.serial + 1, ..now };
        }
    }
}
