//! The screen state of the layers that tint the table.

use std::collections::BTreeMap;

use crate::drawing::Layer;

/// Which layer tints the table, and over which ranges.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LayerState {
    /// The layer.
    pub layer: Layer,
    /// The ranges that the user has given.
    pub ranges: BTreeMap<Layer, GivenRange>,
    /// What is being typed as an end of the range.
    pub typing: Option<(RangeEnd, String)>,
}

/// A range that the user has given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GivenRange {
    /// Its ends, in the unit of the layer; [`Layer::check_range`] accepts them.
    pub ends: (f64, f64),
    /// Whether it holds; otherwise it is only remembered, and the range follows the table.
    pub is_on: bool,
}

/// An end of a range.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RangeEnd {
    /// The lower one.
    Low,
    /// The upper one.
    High,
}

/// What a view may ask of the layers.
#[derive(Clone, Debug, PartialEq)]
pub enum LayerMessage {
    /// Tint by this layer.
    Choose(Layer),
    /// Fix the range of a layer to the one last given or else to this one, or let it follow the table again.
    Fix(Layer, Option<(f64, f64)>),
    /// Give a layer's range these ends; they are checked already.
    Range(Layer, (f64, f64)),
    /// This is typed as an end of the range; `None` once nothing is.
    Type(Option<(RangeEnd, String)>),
}

impl LayerState {
    /// The range to which a layer is fixed, if it is.
    pub fn fixed(&self, layer: Layer) -> Option<(f64, f64)> {
        self.ranges.get(&layer).filter(|given| given.is_on).map(|given| given.ends)
    }

    /// The layer after the present one, the first after the last.
    pub fn next(&self) -> Layer {
        let place = Layer::ALL.iter().position(|layer| *layer == self.layer).unwrap_or(0);
        Layer::ALL[(place + 1) % Layer::ALL.len()]
    }

    /// Carries out the message.
    pub fn apply(&mut self, message: LayerMessage) {
        match message {
            LayerMessage::Choose(layer) => {
                self.layer = layer;
                self.typing = None;
            }
            LayerMessage::Fix(layer, Some(ends)) => {
                // Where every value is the same, there is no range; one to both sides is the least that shows others.
                let wider = (ends.0 - 1.0, ends.1 + 1.0);
                let ends = [ends, wider].into_iter().find(|&ends| layer.check_range(ends).is_ok());
                if let Some(ends) = ends {
                    self.ranges.entry(layer).or_insert(GivenRange { ends, is_on: true }).is_on = true;
                }
            }
            LayerMessage::Fix(layer, None) => {
                self.typing = None;
                if let Some(given) = self.ranges.get_mut(&layer) {
                    given.is_on = false;
                }
            }
            LayerMessage::Range(layer, ends) => drop(self.ranges.insert(layer, GivenRange { ends, is_on: true })),
            LayerMessage::Type(typing) => self.typing = typing,
        }
    }
}

/// What the command that chooses a layer is called, what it does, and its name in the settings file.
pub const fn command_row(layer: Layer) -> [&'static str; 3] {
    match layer {
        Layer::Advance => ["Tint by advance", "Tint grid and surface by the degrees themselves.", "LayerAdvance"],
        Layer::Difference => [
            "Tint by difference",
            "Tint grid and surface by the difference from the base, or by advance again.",
            "LayerDifference",
        ],
        Layer::Curvature => [
            "Tint by curvature",
            "Tint grid and surface by how far cells stand out from their neighbours, which fairing makes small, or by advance again.",
            "LayerCurvature",
        ],
        // The name that it had when it wrote letters into the cells: keys of then still run it.
        Layer::Origin => [
            "Tint by origin",
            "Tint grid and surface by where each value came from, or by advance again.",
            "ToggleOrigins",
        ],
        Layer::Sure => [
            "Tint by how sure",
            "Tint grid and surface by how sure the cells are of a fit to the measured points, or by advance again.",
            "LayerSure",
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_range_is_fixed_that_has_no_width() {
        let mut state = LayerState::default();
        state.apply(LayerMessage::Fix(Layer::Advance, Some((20.0, 20.0))));
        assert_eq!(state.fixed(Layer::Advance), Some((19.0, 21.0)));
    }

    #[test]
    fn a_range_is_remembered_while_it_does_not_hold() {
        let mut state = LayerState::default();
        state.apply(LayerMessage::Fix(Layer::Advance, Some((8.0, 40.0))));
        state.apply(LayerMessage::Range(Layer::Advance, (5.0, 45.0)));
        state.apply(LayerMessage::Fix(Layer::Advance, None));
        assert_eq!((state.fixed(Layer::Advance), state.fixed(Layer::Difference)), (None, None));
        state.apply(LayerMessage::Fix(Layer::Advance, Some((8.0, 40.0))));
        assert_eq!(state.fixed(Layer::Advance), Some((5.0, 45.0)));
    }

    #[test]
    fn layers_follow_each_other_in_a_ring() {
        let mut state = LayerState::default();
        for layer in Layer::ALL.into_iter().skip(1).chain([Layer::Advance]) {
            state.apply(LayerMessage::Choose(state.next()));
            assert_eq!(state.layer, layer);
        }
    }
}
