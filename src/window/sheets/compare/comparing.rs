//! The comparison that the sheet shows, computed once for each content and base.

use std::sync::Arc;

use eframe::egui;

use crate::compare::{Comparison, Region, TableComparison, Threshold};
use crate::drawing::{Layer, LayerScale};
use crate::project::Project;
use crate::table::{Cell, Selection, Table};
use crate::watch::Watch;
use crate::window::tasks::task::{Same, Task};
use crate::window::views::view::View;
use crate::wording::{Refusal, step_decimals};

/// Tables with more cells than this are compared on a thread. With that many, all changed, comparing takes some
/// 15 ms in an unoptimised build, a small part of a frame in an optimised one; 64 × 64 takes ten times that.
const CELLS_AT_ONCE: usize = 1024;

/// What a comparison depends on. Equal keys share the projects in memory, so they are equal in content.
#[derive(Clone)]
struct Key {
    base: Project,
    edited: Project,
    threshold: Threshold,
    /// The range to which the colours of differences are fixed.
    fixed: Option<(f64, f64)>,
}

impl Key {
    fn of(view: &View<'_>) -> Self {
        Self {
            base: view.base.project.clone(),
            edited: view.project.clone(),
            threshold: Threshold::new(view.screen.compare.region_threshold_deg).unwrap_or_default(),
            fixed: view.screen.layers.fixed(Layer::Difference),
        }
    }

    fn cells(&self) -> usize {
        self.base.advance.table().values().len().max(self.edited.advance.table().values().len())
    }
}

impl Same for Key {
    fn is_same(&self, other: &Self) -> bool {
        self.base.is_same(&other.base)
            && self.edited.is_same(&other.edited)
            && (self.threshold, self.fixed) == (other.threshold, other.fixed)
    }
}

/// A comparison with the two projects it was made from, and what else the sheet needs.
pub(super) struct Compared {
    key: Key,
    pub(super) comparison: Comparison,
    /// The region of each point of the delta, by its place among the regions.
    region_of: Vec<Option<usize>>,
    /// The scale of the tints.
    pub(super) scale: LayerScale,
}

impl Compared {
    fn new(key: Key, watch: Watch<'_>) -> Result<Self, Refusal> {
        let comparison = Comparison::new(&key.base, &key.edited, key.threshold, watch)?;
        let mut region_of = Vec::new();
        let mut scale = LayerScale::of_differences(&[], key.fixed);
        if let Ok(table) = &comparison.table {
            scale = LayerScale::of_differences(table.delta.deg(), key.fixed);
            region_of.resize(table.delta.deg().len(), None);
            let columns = table.delta.speed_rpm().len();
            for (number, region) in table.regions.iter().enumerate() {
                region.points.iter().for_each(|point| region_of[point.load * columns + point.speed] = Some(number));
            }
        }
        Ok(Self { key, comparison, region_of, scale })
    }

    /// The base it was made from.
    pub(super) fn base(&self) -> &Project {
        &self.key.base
    }

    /// The edited project it was made from.
    pub(super) fn edited(&self) -> &Project {
        &self.key.edited
    }

    /// The comparison of the tables, when they can be compared.
    pub(super) fn table(&self) -> Option<&TableComparison> {
        self.comparison.table.as_ref().ok()
    }

    /// The place among the regions of the one that holds a point.
    pub(super) fn region_of(&self, point: Cell) -> Option<usize> {
        let columns = self.table()?.delta.speed_rpm().len();
        *self.region_of.get(point.load * columns + point.speed)?
    }

    /// The cell of the edited table at a point of the delta; none where only the base has breakpoints.
    pub(super) fn cell_at(&self, point: Cell) -> Option<Cell> {
        let delta = &self.table()?.delta;
        let edited: &Table = self.edited().advance.table();
        let (speed_rpm, load) = (*delta.speed_rpm().get(point.speed)?, *delta.load().get(point.load)?);
        Some(Cell::new(edited.load().index_of(load)?, edited.speed().index_of(speed_rpm)?))
    }

    /// The point of the delta at a cell of the edited table; none outside the common rectangle.
    pub(super) fn point_of(&self, cell: Cell) -> Option<Cell> {
        let edited = self.edited().advance.table();
        let speed_rpm = *edited.speed().breakpoints().get(cell.speed)?;
        let load = *edited.load().breakpoints().get(cell.load)?;
        self.table()?.delta.point_at(speed_rpm, load)
    }

    /// The cells of the edited table in a region.
    pub(super) fn cells_of(&self, region: &Region) -> Selection {
        let edited = self.edited().advance.table();
        let none = || Selection::none(edited.load().len(), edited.speed().len());
        self.table().map_or_else(none, |table| region.in_table(&table.delta, edited))
    }

    /// The place among the regions of the one that the cursor is in: the one that is marked as chosen.
    pub(super) fn chosen_region(&self, cursor: Cell) -> Option<usize> {
        self.point_of(cursor).and_then(|point| self.region_of(point))
    }

    /// What happened in a region, and where.
    pub(super) fn region_words(&self, region: &Region) -> String {
        region.words(self.edited().sensors.load, step_decimals(self.edited().step_deg))
    }

    /// The region that buttons refer to: that of the cursor, otherwise the largest.
    pub(super) fn meant_region(&self, cursor: Cell) -> Option<(usize, &Region)> {
        let number = self.chosen_region(cursor).unwrap_or(0);
        Some((number, self.table()?.regions.get(number)?))
    }

    /// Whether two comparisons are one and the same.
    pub(super) fn is_same(&self, other: &Self) -> bool {
        self.key.is_same(&other.key)
    }
}

/// Keeps the latest comparison, and the one being computed.
#[derive(Default)]
pub(super) struct Comparing {
    newest: Task<Key, Compared>,
}

impl Comparing {
    /// The comparison to show; during a computation, the previous one. An error if there is none.
    pub(super) fn get(&mut self, view: &View<'_>, ctx: &egui::Context) -> Result<Option<Arc<Compared>>, Refusal> {
        self.of(Key::of(view), ctx)
    }

    fn of(&mut self, key: Key, ctx: &egui::Context) -> Result<Option<Arc<Compared>>, Refusal> {
        self.newest.receive();
        if key.cells() <= CELLS_AT_ONCE && !self.newest.is_known(&key) {
            self.newest.put(key.clone(), Compared::new(key.clone(), Watch::NOBODY));
        }
        let wanted = key.clone();
        self.newest.give_up_others(&key);
        self.newest.ask(&key, ctx, "the comparison", move |link| {
            let goes_on = |_| !link.is_stopped();
            Compared::new(wanted, Watch::new(&goes_on))
        });
        match self.newest.fault_of(&key) {
            Some(fault) => Err(fault.clone().into()),
            None => Ok(self.newest.newest().map(|(_, compared)| Arc::clone(compared))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;

    #[test]
    fn an_outdated_comparison_ends() {
        let project = SAMPLES[0].project().unwrap();
        let key = |gap_mm: f64| {
            let edited = project.edit(|parts| parts.engine.plug_gap_mm = gap_mm).unwrap();
            Key { base: project.clone(), edited, threshold: Threshold::default(), fixed: None }
        };
        let (mut comparing, ctx) = (Comparing::default(), egui::Context::default());
        let (outdated, newer) = (key(0.65), key(0.75));
        let wanted = outdated.clone();
        let held = comparing.newest.ask_held(&outdated, &ctx, |link| {
            let goes_on = |_| !link.is_stopped();
            Compared::new(wanted, Watch::new(&goes_on))
        });
        comparing.of(newer.clone(), &ctx).unwrap();
        assert_eq!(held.let_go(), Some(Refusal::new("stopped")));
        comparing.newest.wait();
        assert!(comparing.newest.shown(&newer).is_some());
    }
}
