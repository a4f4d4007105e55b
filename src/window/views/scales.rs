//! The scales of the table's views. They follow the table step by step, but do not change while something is
//! dragged or proposed, nor when the drag ends: what is under the pointer must not jump away from it.

use crate::document::Revision;
use crate::drawing::{HeightScale, ModelBox};
use crate::table::Table;

/// The scales shared by the views of a table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scales {
    /// The range of the tints and the levels of contour lines.
    pub heights: HeightScale,
    /// The box around the surface.
    pub model: ModelBox,
    /// The lowest and the highest degrees, including those of the base.
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
    /// The state that resulted from a drag: for this one the scales stay as they were before it.
    kept_for: Option<Revision>,
}

impl ScaleKeeper {
    /// The scales of a table and its base.
    pub(in crate::window) fn new(table: &Table, base: &Table) -> Self {
        Self { scales: Scales::of(table, base), base: base.clone(), kept_for: None }
    }

    /// The present scales.
    pub(in crate::window) const fn scales(&self) -> Scales {
        self.scales
    }

    /// Keeps the scales although a drag led to this state.
    pub(in crate::window) const fn keep_for(&mut self, revision: Revision) {
        self.kept_for = Some(revision);
    }

    /// Fits the scales to the table at the next opportunity, such as when another view is asked for.
    pub(in crate::window) const fn let_go(&mut self) {
        self.kept_for = None;
    }

    /// Updates them to the table at a revision; `dragged` says that this is only an intermediate state of a
    /// drag.
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
