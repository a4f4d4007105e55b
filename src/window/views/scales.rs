//! The scales of the table's views. They follow the table step by step, but stand still while something is dragged or
//! proposed, and when the drag is let go: what is under the pointer must not jump away from it.

use crate::document::Revision;
use crate::drawing::{HeightScale, ModelBox};
use crate::table::Table;

/// What the views of a table measure it by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scales {
    /// What the tints stand for and where contour lines run.
    pub heights: HeightScale,
    /// The box around the surface.
    pub model: ModelBox,
    /// The lowest and the highest degrees, those of the base included.
    pub extremes: (f64, f64),
}

impl Scales {
    fn of(table: &Table, base: &Table) -> Self {
        let ((low, high), (base_low, base_high)) = (table.extremes(), base.extremes());
        Self {
            heights: HeightScale::over(table),
            model: ModelBox::around(table, Some(base)),
            extremes: (low.min(base_low), high.max(base_high)),
        }
    }
}

/// Keeps the scales.
pub(in crate::window) struct ScaleKeeper {
    scales: Scales,
    base: Table,
    /// The state that a drag led to: for this one they stay as they were before it.
    kept_for: Option<Revision>,
}

impl ScaleKeeper {
    /// The scales of a table and its base.
    pub(in crate::window) fn new(table: &Table, base: &Table) -> Self {
        Self { scales: Scales::of(table, base), base: base.clone(), kept_for: None }
    }

    /// The scales of the moment.
    pub(in crate::window) const fn scales(&self) -> Scales {
        self.scales
    }

    /// Lets the scales stand although a drag led to this state.
    pub(in crate::window) const fn keep_for(&mut self, revision: Revision) {
        self.kept_for = Some(revision);
    }

    /// Fits the scales to the table at the next chance, such as when another view is asked for.
    pub(in crate::window) const fn let_go(&mut self) {
        self.kept_for = None;
    }

    /// Brings them up to date with the table at a revision; `dragged` tells that it is only where a drag has got to.
    pub(in crate::window) fn settle(&mut self, table: &Table, base: &Table, revision: Revision, dragged: bool) {
        let (speed, load) = (table.speed(), table.load());
        let model = &self.scales.model;
        let same_axes = model.speed == (speed.first(), speed.last()) && model.load == (load.first(), load.last());
        let stands = (dragged || self.kept_for == Some(revision)) && same_axes && self.base == *base;
        if stands {
            return;
        }
        if !dragged {
            self.kept_for = None;
        }
        if self.base != *base {
            self.base = base.clone();
        }
        self.scales = Scales::of(table, base);
    }
}
