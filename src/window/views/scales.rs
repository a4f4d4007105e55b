//! The scales of the table's views. They follow the table step by step, but do not change while something is
//! dragged or proposed, nor when the drag ends: what is under the pointer must not jump away from it.

use crate::document::Revision;
use crate::drawing::{HeightScale, Layer, LayerScale, ModelBox};
use crate::project::Project;
use crate::table::Table;
use crate::window::state::layer_state::LayerState;
use crate::window::tasks::base::Base;

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
}

impl<'a> Scaled<'a> {
    /// Those of a project and its base.
    pub(in crate::window) fn of(project: &'a Project, base: &'a Base, layers: &'a LayerState) -> Self {
        let is_comparable = base.project.sensors.load == project.sensors.load;
        let table = project.advance.table();
        let measured = project.evidence.advances_over(table);
        Self { table, base: base.project.advance.table(), is_comparable, layers, measured }
    }

    fn scales(&self) -> Scales {
        let Self { table, base, layers, measured, .. } = *self;
        let ((low, high), (base_low, base_high)) = (table.extremes(), base.extremes());
        let (least, most) = measured.unwrap_or((low, high));
        let fixed = layers.fixed(Layer::Advance);
        let compared = self.is_comparable.then_some(base);
        Scales {
            heights: LayerScale::over(Layer::Advance, table, None, fixed).heights(),
            layer: LayerScale::over(layers.layer, table, compared, layers.fixed(layers.layer)),
            model: ModelBox::around_with(table, Some(base), measured),
            extremes: fixed.unwrap_or((low.min(base_low).min(least), high.max(base_high).max(most))),
        }
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
            fixed: [layers.layer, Layer::Advance].map(|layer| layers.fixed(layer)),
        }
    }
}

/// Keeps the scales.
pub(in crate::window) struct ScaleKeeper {
    scales: Scales,
    key: Key,
    /// The state that resulted from a drag: for this one the scales stay as they were before it.
    kept_for: Option<Revision>,
}

impl ScaleKeeper {
    /// The scales of a table and its base.
    pub(in crate::window) fn new(of: &Scaled<'_>) -> Self {
        Self { scales: of.scales(), key: Key::of(of), kept_for: None }
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
            return;
        }
        if !dragged {
            self.kept_for = None;
        }
        if key != self.key || !same_axes {
            self.scales = of.scales();
            self.key = key;
        }
    }
}
