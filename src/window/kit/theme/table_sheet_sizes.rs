//! Sizes of the sheets round the table, in points: Advance, Trims, Compare with its lists, and the merge.

use eframe::egui::{Margin, Vec2, vec2};

use crate::window::kit::theme::Theme;

/// Height of the words over the grid.
pub(in crate::window) const FLASHED_BAR_HEIGHT: f32 = 62.0;
/// Width of the inspector: in a sheet of less than the first width, and its least and greatest in wider ones, of which it
/// takes a share.
pub(in crate::window) const INSPECTOR_FROM: f32 = 1180.0;
pub(in crate::window) const INSPECTOR_NARROW: f32 = 240.0;
pub(in crate::window) const INSPECTOR_WIDTH: (f32, f32) = (260.0, 300.0);
pub(in crate::window) const INSPECTOR_SHARE: f32 = 0.17;
/// Shares of the width and of the height that the grid gets by itself, of those that it has in any case where its cells
/// have not all room, and of the height that the surface has at least.
pub(in crate::window) const GRID_WIDTH_SHARE: f32 = 0.6;
pub(in crate::window) const GRID_HEIGHT_SHARE: f32 = 0.62;
pub(in crate::window) const SURFACE_HEIGHT_SHARE: f32 = 0.5;
/// Least widths of both sides of the split.
pub(in crate::window) const LEAST_SURFACE: f32 = 240.0;
pub(in crate::window) const LEAST_GRID: f32 = 280.0;
/// Least height of the slices, and the least and greatest of the strip that they are in a low window.
pub(in crate::window) const LEAST_BELOW: f32 = 160.0;
pub(in crate::window) const STRIP_HEIGHT: (f32, f32) = (84.0, 150.0);
/// Height of the line with the two tabs.
pub(in crate::window) const TABS_HEIGHT: f32 = 24.0;

/// How the sheet is set out.
pub(in crate::window) struct TrimsSizes {
    /// Least and greatest height of a trim with its curves beside each other.
    pub curves_height: (f32, f32),
    /// A trim's curves stand beside each other from this width on, and its degrees have this share of it.
    pub both_curves: f32,
    pub degrees_share: f32,
    pub between_curves: f32,
    /// Least width of the curves beside the table; all is below each other where there is less.
    pub least_column: f32,
    /// Height of the table then.
    pub preview_height: f32,
    /// Least height of the row as a curve, its greatest share of the column's height, and the least at which it is drawn.
    pub row_height: f32,
    pub row_share: f32,
    pub least_line_height: f32,
    /// Where the word beside a trim's switch starts.
    pub name_width: f32,
    /// Width of the words beside a switch and a stand-in.
    pub switch_width: f32,
    pub stand_in_width: f32,
    /// Height of the line with a heading.
    pub controls_height: f32,
    /// So many lines of the sum have their room in any case: more are rare.
    pub usual_lines: f32,
    /// Where lines would be lower than this, in a low window, the heading is left out.
    pub low_line: f32,
    /// Height of a line of the sum where there is room, and where its number ends.
    pub line_height: f32,
    pub number_end: f32,
    /// Where the bars start, and their least and greatest width.
    pub bar_start: f32,
    pub least_bar: f32,
    pub most_bar: f32,
    pub bar_height: f32,
    /// Width of the explanations, and their greatest share of the whole.
    pub why_width: f32,
    pub why_share: f32,
}

/// The sizes.
pub(in crate::window) const TRIMS_SIZES: TrimsSizes = TrimsSizes {
    curves_height: (236.0, 460.0),
    both_curves: 460.0,
    degrees_share: 0.652,
    between_curves: 14.0,
    least_column: 236.0,
    preview_height: 440.0,
    row_height: 136.0,
    row_share: 0.26,
    least_line_height: 110.0,
    name_width: 96.0,
    switch_width: 176.0,
    stand_in_width: 158.0,
    controls_height: 26.0,
    usual_lines: 5.0,
    low_line: 18.0,
    line_height: 24.0,
    number_end: 172.0,
    bar_start: 190.0,
    least_bar: 120.0,
    most_bar: 460.0,
    bar_height: 10.0,
    why_width: 212.0,
    why_share: 0.34,
};

/// Sizes of the Compare sheet, in points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CompareSizes {
    /// Height of the row with the heading and the choice of the base.
    pub header_height: f32,
    /// Width of the field with the base's name.
    pub chooser_width: f32,
    /// Width of the list that the field opens.
    pub chooser_list_width: f32,
    /// Radius of a region's badge.
    pub badge_radius: f32,
    /// Width of a region's outline.
    pub outline_width: f32,
    /// The surface gets at least this width, or a tab of its own.
    pub least_surface_width: f32,
    /// Height of the lists below the grid.
    pub lists_height: f32,
    /// Least height of the lists.
    pub least_lists_height: f32,
    /// Width of the list of regions.
    pub regions_width: f32,
    /// Width of the list of fields where the names of their sections stand beside it.
    pub fields_width: f32,
    /// Height of a line of a list.
    pub line_height: f32,
    /// Height of a second-rank line of a list.
    pub small_line_height: f32,
}

impl CompareSizes {
    /// The sizes; outlines of the sunlight look are stronger, and its lines larger targets.
    pub const fn new(is_sunlit: bool) -> Self {
        Self {
            header_height: if is_sunlit { 32.0 } else { 24.0 },
            chooser_width: 190.0,
            chooser_list_width: 360.0,
            badge_radius: 8.0,
            outline_width: if is_sunlit { 2.0 } else { 1.5 },
            least_surface_width: 360.0,
            lists_height: 232.0,
            least_lists_height: 120.0,
            regions_width: 416.0,
            fields_width: 500.0,
            line_height: if is_sunlit { 28.0 } else { 22.0 },
            small_line_height: 16.0,
        }
    }
}

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
/// Greatest width of a section's name with that link beside its fields.
pub(in crate::window) const MOST_BESIDE: f32 = 260.0;
/// Least width of the scale below the compared cells, where these are few.
pub(in crate::window) const LEAST_SCALE: f32 = 480.0;
/// Width of the arrow between the values.
pub(in crate::window) const ARROW_WIDTH: f32 = 32.0;
/// Share of the rest that the label has; the two values share what is left.
pub(in crate::window) const LABEL_SHARE: f32 = 0.48;
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
/// Least size of a region's number on a corner between cells, and the share of a line's width and height that its digits
/// take.
pub(in crate::window) const BETWEEN_CELLS: f32 = 0.75;
pub(in crate::window) const DIGITS_SHARE: Vec2 = vec2(1.0, 0.65);
/// From a region's number to the ring that marks it as chosen, and how far beyond it a press still counts.
pub(in crate::window) const BADGE_RING: f32 = 2.0;
pub(in crate::window) const BADGE_TARGET: f32 = 3.0;
/// A region's number on the surface: how high it stands over its peak, and the radius of its foot.
pub(in crate::window) const BADGE_STEM: f32 = 18.0;
pub(in crate::window) const BADGE_FOOT: f32 = 1.6;
/// Width of the bar before what is chosen in a list.
pub(in crate::window) const CHOSEN_BAR: f32 = 3.0;

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
    pub(in crate::window) swatch: Vec2,
    /// Length of the ends of the brackets that say who changed a cell.
    pub(in crate::window) bracket: f32,
    /// Height of a region with its choice, and the share of the height that the regions have at most.
    pub(in crate::window) region_height: f32,
    pub(in crate::window) regions_share: f32,
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
            least_list_width: 384.0,
            most_list_width: 560.0,
            conflict_height: theme.compare.line_height + theme.sentence_height + 2.0 * theme.gap,
            title_height: theme.compare.line_height,
            value_height: theme.sentence_height,
            state_width: 110.0,
            ring_left: 12.0,
            words_left: 21.0,
            ring: (4.5, 2.5),
            swatch: vec2(16.0, 13.0),
            bracket: 5.0,
            region_height: theme.compare.line_height + theme.compare.small_line_height + theme.gap,
            regions_share: 0.36,
            conflicts_share: 0.65,
            reading_width: 620.0,
        }
    }
}
/// Width of the lines of a bracket.
pub(in crate::window) const BRACKET_WIDTH: f32 = 1.6;
/// From the edges of a cell to its bracket.
pub(in crate::window) const BRACKET_INSET: f32 = 1.0;
/// Words over the grid as flashed: the room round them, and that of their mark.
pub(in crate::window) const FLASHED_MARGIN: Margin = Margin::symmetric(14, 4);
pub(in crate::window) const FLASHED_MARK_ROOM: Vec2 = vec2(12.0, 18.0);
/// The table with trims: room for its heading, and for that and the temperatures behind it; width of a temperature's field.
pub(in crate::window) const EFFECT_HEADING: f32 = 140.0;
pub(in crate::window) const EFFECT_CONTROLS: f32 = 400.0;
pub(in crate::window) const EFFECT_FIELD: f32 = 64.0;
/// The field of the base: so much more than a gap at the ends of its name.
pub(in crate::window) const CHOOSER_INSET: f32 = 2.0;
/// How far the ground of a row that is pointed at reaches beyond its words.
pub(in crate::window) const ROW_GROUND: Vec2 = vec2(3.0, 1.0);
/// Room round words that can be clicked within a line.
pub(in crate::window) const LINK_PADDING: Vec2 = vec2(2.0, 1.0);
