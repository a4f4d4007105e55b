//! Sizes of the lists of the Compare sheet, in points.

/// Least width of the button of the region, so that the one beside it stays when the number changes.
pub(in crate::window) const REGION_WIDTH: f32 = 136.0;
/// Left edge of texts, where the words of buttons begin.
pub(in crate::window) const INDENT: f32 = 10.0;
/// The list of steps scrolls beyond this height.
pub(in crate::window) const STEPS_HEIGHT: f32 = 132.0;
/// Half the width of the triangle that says 'opens a list'.
pub(in crate::window) const TRIANGLE: f32 = 3.5;
/// Width of the fields.
pub(in crate::window) const SNAPSHOT_WIDTH: f32 = 380.0;
/// Width of the words 'take back'.
pub(in crate::window) const LINK_WIDTH: f32 = 70.0;
/// Width of 'take back section'.
pub(in crate::window) const SECTION_LINK_WIDTH: f32 = 112.0;
/// Width of the arrow between the values.
pub(in crate::window) const ARROW_WIDTH: f32 = 32.0;
/// Share of the rest that the label has; the two values share what is left.
pub(in crate::window) const LABEL_SHARE: f32 = 0.44;
/// Width that is kept for the button.
pub(in crate::window) const APPLY_WIDTH: f32 = 130.0;

/// Share of the height that the lists have beside a grid that scrolls.
pub(in crate::window) const LISTS_SHARE: f32 = 0.34;
/// Least width of the button that says what the surface shows, so that it stays as wide when its text changes.
pub(in crate::window) const TOGGLE_WIDTH: f32 = 172.0;
/// Share of the width that the grid has where its cells fit.
pub(in crate::window) const GRID_SHARE: f32 = 0.55;
/// Left edge of the words, right of the badges.
pub(in crate::window) const WORDS_LEFT: f32 = 26.0;
/// Width of the column with the number of cells.
pub(in crate::window) const CELLS_WIDTH: f32 = 70.0;
/// Size of a badge that stands on a corner between cells.
pub(in crate::window) const BETWEEN_CELLS: f32 = 0.75;
