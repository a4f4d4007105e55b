//! The scales of the table's views. They follow the table step by step, but do not change while something is
//! dragged or proposed, nor when the drag ends: what is under the pointer must not jump away from it.

use crate::document::Revision;
use crate::drawing::{Against, HeightScale, Layer, LayerScale, ModelBox, Sheet};
use crate::project::Project;
use crate::table::Table;
use crate::window::state::layer_state::LayerState;
use crate::window::state::surface_state::Beside;
use crate::window::tasks::base::Base;
use crate::window::tasks::how_sure::SureShown;

/// The scales shared by the views of a table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scales {
    /// The range of degrees and the levels of contour lines.
    pub heights: HeightScale,
    /// What tints the table, and over which range.
    pub layer: LayerScale,
    /// The box around the surface.
    pub model: ModelBox,
    /// The lowest and the highest degrees, including those of the base and of measured points; as fixed for the layer of advance, if it is.
    pub extremes: (f64, f64),
}

/// What scales are for.
pub(in crate::window) struct Scaled<'a> {
    table: &'a Table,
    base: &'a Table,
    /// Whether rows of the base mean the same.
    is_comparable: bool,
    layers: &'a LayerState,
    /// The least and the greatest degrees that were measured within the axes.
    measured: Option<(f64, f64)>,
    sure: &'a SureShown,
    /// The least and the greatest degrees of the ceiling, while it is shown.
    ceiling: Option<(f64, f64)>,
}

impl<'a> Scaled<'a> {
    /// Those of a project and its base.
    pub(in crate::window) fn of(
        project: &'a Project,
        base: &'a Base,
        layers: &'a LayerState,
        sure: &'a SureShown,
        beside: Beside,
    ) -> Self {
        let is_comparable = base.project.sensors.load == project.sensors.load;
        let table = project.advance.table();
        let measured = project.evidence.advances_over(table);
        let ceiling = Some(project).filter(|_| beside == Beside::Ceiling).and_then(|project| Sheet::ceiling(project));
        let ceiling = ceiling.and_then(|sheet| sheet.extremes());
        Self { table, base: base.project.advance.table(), is_comparable, layers, measured, sure, ceiling }
    }

    /// What the layer goes by: the base, if rows of it mean the same, and how sure the cells are.
    fn against(&self) -> Against<'a> {
        Against { base: self.is_comparable.then_some(self.base), sure: self.sure.of(self.table) }
    }

    fn scales(&self) -> Scales {
        let Self { table, base, layers, measured, ceiling, .. } = *self;
        let ((low, high), (base_low, base_high)) = (table.extremes(), base.extremes());
        let (least, most) = measured.unwrap_or((low, high));
        let fixed = layers.fixed(Layer::Advance);
        Scales {
            heights: LayerScale::over(Layer::Advance, table, Against::default(), fixed).heights(),
            layer: LayerScale::over(layers.layer, table, self.against(), layers.fixed(layers.layer)),
            model: ModelBox::around_with(table, Some(base), both(measured, ceiling)),
            extremes: fixed.unwrap_or((low.min(base_low).min(least), high.max(base_high).max(most))),
        }
    }
}

/// A range that holds two others.
fn both(one: Option<(f64, f64)>, other: Option<(f64, f64)>) -> Option<(f64, f64)> {
    match (one, other) {
        (Some(one), Some(other)) => Some((one.0.min(other.0), one.1.max(other.1))),
        _ => one.or(other),
    }
}

/// What scales were made for.
#[derive(PartialEq)]
struct Key {
    table: Table,
    base: Table,
    is_comparable: bool,
    layer: Layer,
    measured: Option<(f64, f64)>,
    ceiling: Option<(f64, f64)>,
    /// Which answer of how sure the cells are.
    sure: u64,
    /// The ranges that hold: of the chosen layer, and of advance.
    fixed: [Option<(f64, f64)>; 2],
}

impl Key {
    fn of(scaled: &Scaled<'_>) -> Self {
        let layers = scaled.layers;
        Self {
            table: scaled.table.clone(),
            base: scaled.base.clone(),
            is_comparable: scaled.is_comparable,
            layer: layers.layer,
            measured: scaled.measured,
            ceiling: scaled.ceiling,
            sure: scaled.sure.serial,
            fixed: [layers.layer, Layer::Advance].map(|layer| layers.fixed(layer)),
        }
    }
}

/// Keeps the scales.
pub(in crate::window) struct ScaleKeeper {
    scales: Scales,
    key: Key,
    /// The table for which the scale of the layer says what lies beyond its ends.
    told_for: Table,
    /// The state that resulted from a drag: for this one the scales stay as they were before it.
    kept_for: Option<Revision>,
}

impl ScaleKeeper {
    /// The scales of a table and its base.
    pub(in crate::window) fn new(of: &Scaled<'_>) -> Self {
        Self { scales: of.scales(), key: Key::of(of), told_for: of.table.clone(), kept_for: None }
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
    pub(in crate::window) fn settle(&mut self, of: &Scaled<'_>, revision: Revision, dragged: bool) {
        let (speed, load) = (of.table.speed(), of.table.load());
        let model = &self.scales.model;
        let same_axes = model.speed == (speed.first(), speed.last()) && model.load == (load.first(), load.last());
        let is_held = dragged || self.kept_for == Some(revision);
        let key = Key::of(of);
        if is_held && same_axes && (Key { table: self.key.table.clone(), ..Key::of(of) }) == self.key {
            return self.tell_for(of);
        }
        if !dragged {
            self.kept_for = None;
        }
        if key != self.key || !same_axes {
            self.scales = of.scales();
            self.told_for = of.table.clone();
            self.key = key;
        }
    }

    /// The range stays, but not what lies beyond it.
    fn tell_for(&mut self, of: &Scaled<'_>) {
        if self.told_for != *of.table {
            self.scales.layer = self.scales.layer.kept_for(of.table, of.against());
            self.told_for = of.table.clone();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{DataFolder, Document};
    use crate::project::SAMPLES;

    #[test]
    fn a_kept_scale_says_what_lies_beyond_it_during_and_after_a_drag() {
        let project = SAMPLES[0].project().unwrap();
        let revision = Document::untitled_in(&DataFolder::none(), project.clone(), "trial").revision();
        let base = project.advance.table();
        let by = |by_deg: f64| base.with_values(base.values().iter().map(|deg| deg + by_deg).collect()).unwrap();
        let (layers, sure) = (LayerState::default(), SureShown::default());
        let scaled = |table| Scaled {
            table,
            base,
            is_comparable: true,
            layers: &layers,
            measured: None,
            sure: &sure,
            ceiling: None,
        };
        let mut keeper = ScaleKeeper::new(&scaled(base));
        let range = keeper.scales().layer.range;
        let [less, more] = [by(-30.0), by(30.0)];
        let settle = |keeper: &mut ScaleKeeper, table, dragged| {
            keeper.settle(&scaled(table), revision, dragged);
            assert_eq!(keeper.scales().layer.range, range);
            keeper.scales().layer.beyond
        };
        assert_eq!(settle(&mut keeper, &more, true), (false, true));
        assert_eq!(settle(&mut keeper, base, true), (false, false));
        assert_eq!(settle(&mut keeper, &less, true), (true, false));
        keeper.keep_for(revision);
        assert_eq!(settle(&mut keeper, &less, false), (true, false));
        keeper.let_go();
        keeper.settle(&scaled(&less), revision, false);
        assert_eq!((keeper.scales().layer.beyond, keeper.scales().layer.range.0 < range.0), ((false, false), true));
    }
}
