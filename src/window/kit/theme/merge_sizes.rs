//! Sizes of the merge view, in points.

use crate::window::kit::theme::Theme;

/// Sizes of the merge view.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::window) struct MergeSizes {
    /// Height of the line with heading and choosers.
    pub(in crate::window) head_height: f32,
    /// Height of the line with the summary and the button that applies it.
    pub(in crate::window) foot_height: f32,
    /// Least width of the list of conflicts.
    pub(in crate::window) least_list_width: f32,
    /// Its greatest width.
    pub(in crate::window) most_list_width: f32,
    /// Height of a conflict: its name above its three values.
    pub(in crate::window) conflict_height: f32,
    /// Height of a conflict's name.
    pub(in crate::window) title_height: f32,
    /// Height of the buttons with the values.
    pub(in crate::window) value_height: f32,
    /// Width of the words that say how a conflict stands.
    pub(in crate::window) state_width: f32,
    /// From a value's left edge to the middle of its ring.
    pub(in crate::window) ring_left: f32,
    /// From a value's left edge to its words.
    pub(in crate::window) words_left: f32,
    /// Radius of the ring, and of its filling.
    pub(in crate::window) ring: (f32, f32),
    /// Size of the examples in the key below the grid.
    pub(in crate::window) swatch: eframe::egui::Vec2,
    /// Length of the ends of the brackets that say who changed a cell.
    pub(in crate::window) bracket: f32,
    /// Share of the height that the conflicts have at most, where fields stand below them.
    pub(in crate::window) conflicts_share: f32,
    /// Sentences are not wider than this.
    pub(in crate::window) reading_width: f32,
}

impl MergeSizes {
    /// The sizes of a look.
    pub(in crate::window) fn of(theme: &Theme) -> Self {
        Self {
            head_height: theme.compare.header_height + 3.0 * theme.gap,
            foot_height: theme.sentence_height + 3.0 * theme.gap,
            least_list_width: 430.0,
            most_list_width: 560.0,
            conflict_height: theme.compare.line_height + theme.sentence_height + 2.0 * theme.gap,
            title_height: theme.compare.line_height,
            value_height: theme.sentence_height,
            state_width: 110.0,
            ring_left: 12.0,
            words_left: 21.0,
            ring: (4.5, 2.5),
            swatch: eframe::egui::vec2(16.0, 13.0),
            bracket: 5.0,
            conflicts_share: 0.65,
            reading_width: 620.0,
        }
    }
}
/// Width of the lines of a bracket.
pub(in crate::window) const BRACKET_WIDTH: f32 = 1.6;
/// From the edges of a cell to its bracket.
pub(in crate::window) const BRACKET_INSET: f32 = 1.0;
