//! Sizes of the views that several sheets show, in points: forms, curve editor, slices, surface, inspector, and what the
//! cells of the advance table have besides digits.

use eframe::egui::{Vec2, vec2};

/// How rows, columns and headings of a form are set out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FormSizes {
    /// Between two rows.
    pub row_gap: f32,
    /// Width of the labels, left-aligned, before the fields.
    pub label_width: f32,
    /// Width of a field with a number and its unit.
    pub field_width: f32,
    /// Between a label, its fields and what is said of them.
    pub gap: f32,
    /// Distance of text from a field's edge.
    pub padding: f32,
    /// What is left of it before a number gets a smaller type.
    pub least_padding: f32,
    /// Height of a heading with the room below it.
    pub heading_height: f32,
    /// Room above a heading that is not the first.
    pub section_gap: f32,
    /// A column is at least so wide.
    pub column_width: f32,
    /// Between two columns.
    pub column_gap: f32,
    /// A row is at most so wide, however wide its column is.
    pub most_row: f32,
    /// Width of a row's tooltip.
    pub tip_width: f32,
    /// The smallest type of a number that would not fit.
    pub least_type: f32,
    /// Length of the dashes round what nobody has confirmed, and of their gaps.
    pub dash: f32,
}

/// The sizes of every form.
pub const FORM_SIZES: FormSizes = FormSizes {
    row_gap: 3.0,
    label_width: 128.0,
    field_width: 96.0,
    gap: 8.0,
    padding: 5.0,
    least_padding: 2.0,
    heading_height: 26.0,
    section_gap: 16.0,
    column_width: 330.0,
    column_gap: 36.0,
    most_row: 364.0,
    tip_width: 280.0,
    least_type: 7.0,
    dash: 3.0,
};

/// How chart and numbers of a curve are set out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveSizes {
    /// Height of the line with the curve's name.
    pub heading_height: f32,
    /// Room left of the chart's lines for the numbers of the scale, and of the boxes for their unit.
    pub left: f32,
    /// The same where a unit of several letters stands with a number.
    pub wide_left: f32,
    /// A box is no narrower and no wider.
    pub box_width: (f32, f32),
    /// Between the numbers of the chart's scale and the boxes.
    pub above_boxes: f32,
    /// Between the two rows of boxes, and between neighbours.
    pub box_gap: f32,
    /// Room below the boxes.
    pub below_boxes: f32,
    /// Where an editor is narrower, the words below the boxes begin at its edge.
    pub words_below: f32,
}

/// The sizes of every curve editor.
pub const CURVE_SIZES: CurveSizes = CurveSizes {
    heading_height: 24.0,
    left: 34.0,
    wide_left: 40.0,
    box_width: (32.0, 60.0),
    above_boxes: 4.0,
    box_gap: 2.0,
    below_boxes: 6.0,
    words_below: 204.0,
};

/// How the two slices are set out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlicesSizes {
    /// Share of the width for the slice along speed, which has the longer axis.
    pub speed_share: f32,
    /// Distance between the two slices.
    pub between: f32,
    /// Height of the line with the heading.
    pub heading: f32,
    /// The longest tooth of the comb takes at most this share of a slice's height.
    pub comb_share: f32,
    /// And no more than this, so that the curve stays the main thing in a high slice.
    pub most_comb: f32,
}

/// The sizes of the slices.
pub const SLICES_SIZES: SlicesSizes =
    SlicesSizes { speed_share: 0.57, between: 20.0, heading: 28.0, comb_share: 0.22, most_comb: 40.0 };

/// How the strip under a table that is the scale of its layer is set out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LegendSizes {
    /// Height of the bar of colours and of swatches.
    pub bar_height: f32,
    /// The bar's share of the width that the rest leaves.
    pub bar_share: f32,
    /// Its greatest width.
    pub most_bar: f32,
    /// The same where patterns are explained beside it.
    pub most_bar_beside_rests: f32,
    /// Room for the number and the word at each end of the bar.
    pub slot: f32,
    /// Width of a box with an end of the range.
    pub field: f32,
    /// Room for the switch at the right end.
    pub switch: f32,
    /// Room for what is not known.
    pub unknown: f32,
    /// Between parts that belong together.
    pub gap: f32,
    /// Between other parts.
    pub apart: f32,
    /// Width of a swatch.
    pub swatch: f32,
    /// Height of a tick in the bar.
    pub tick: f32,
    /// How far the line of zero stands out of the bar.
    pub zero_beyond: f32,
}

/// The sizes of the scale under a table.
pub const LEGEND_SIZES: LegendSizes = LegendSizes {
    bar_height: 14.0,
    bar_share: 0.55,
    most_bar: 240.0,
    most_bar_beside_rests: 84.0,
    slot: 84.0,
    field: 46.0,
    switch: 54.0,
    unknown: 76.0,
    gap: 4.0,
    apart: 10.0,
    swatch: 18.0,
    tick: 4.0,
    zero_beyond: 3.0,
};

/// Two groups of buttons stand in one line from this width on.
pub(in crate::window) const ROOM_FOR_BOTH_GROUPS: f32 = 470.0;
/// Room for one more short word in such a line.
pub(in crate::window) const ROOM_FOR_BOX: f32 = 30.0;
/// Distance of contents from the grid at the left.
pub(in crate::window) const SURFACE_LEFT_MARGIN: f32 = 9.0;
/// How far that line reaches into the heading's, so that it is level with the grid's speed breakpoints.
pub(in crate::window) const SURFACE_CONTROLS_OVERLAP: f32 = 4.0;
/// Side of the square round a vertex that is only proposed, and length and distance of its dashes.
pub(in crate::window) const PROPOSED_VERTEX_SIDE: f32 = 9.0;
pub(in crate::window) const PROPOSED_VERTEX_DASHES: (f32, f32) = (3.0, 1.5);

/// Length and distance of the dashes of a band's nets, where their meaning is told.
pub(in crate::window) const BAND_DASHES: (f32, f32) = (8.0, 4.0);

/// Height of a line of facts, how many there are, and how many in an inspector lower than this.
pub(in crate::window) const FACT_HEIGHT: f32 = 16.0;
pub(in crate::window) const FACTS: usize = 6;
pub(in crate::window) const FACTS_IF_LOW: usize = 3;
pub(in crate::window) const LOW_INSPECTOR: f32 = 600.0;
/// Height of a heading with the room below it.
pub(in crate::window) const INSPECTOR_HEADING: f32 = 24.0;
/// From the edges of the inspector to what is in it.
pub(in crate::window) const INSPECTOR_MARGIN: f32 = 12.0;
/// Height of a caption over a group of sentences, and between two of them.
pub(in crate::window) const GROUP_CAPTION: f32 = 14.0;
pub(in crate::window) const SENTENCE_GAP: f32 = 3.0;
/// The greatest height of a sentence's line, if there is room for it; the least is in the theme.
pub(in crate::window) const MOST_SENTENCE: f32 = 28.0;
/// Height of two lines of small text.
pub(in crate::window) const TWO_LINES: f32 = 28.0;
/// Height of what was found at the selection: its title, its remedy in one line or two, and its message below, where there
/// is room.
pub(in crate::window) const FOUND_TITLE: f32 = 18.0;
pub(in crate::window) const FOUND_REMEDY: f32 = 32.0;
pub(in crate::window) const FOUND_MESSAGE: f32 = 120.0;
/// Width of a tooltip that wraps.
pub(in crate::window) const INSPECTOR_TIP_WIDTH: f32 = 240.0;
/// Room for the scroll bar right of the sentences.
pub(in crate::window) const INSPECTOR_BAR_WIDTH: f32 = 8.0;
/// Distance of text from a field's edge.
pub(in crate::window) const FIELD_PADDING: f32 = 3.0;
/// Room that the mark of a finding takes.
pub(in crate::window) const FOUND_MARK_ROOM: f32 = 18.0;
/// Width of the button that goes from finding to finding; its room is always kept.
pub(in crate::window) const NEXT_FINDING_WIDTH: f32 = 38.0;
/// Distance of text from a sentence's edge, as in all buttons, and of one that shares its line with others.
pub(in crate::window) const SENTENCE_PADDING: f32 = 8.0;
pub(in crate::window) const PLAIN_PADDING: f32 = 6.0;
/// Between the parts of a sentence, and round the words of a choice.
pub(in crate::window) const PART_GAP: f32 = 4.0;
pub(in crate::window) const CHOICE_AIR: f32 = 10.0;
/// Height of what stands below the list, besides two lines with fields.
pub(in crate::window) const BELOW_BREAKPOINTS: f32 = 100.0;
/// Height of three lines of small text.
pub(in crate::window) const THREE_LINES: f32 = 46.0;
/// Least height of the list of breakpoints, and width of the button that replaces them.
pub(in crate::window) const LEAST_BREAKPOINTS: f32 = 72.0;
pub(in crate::window) const REPLACE_WIDTH: f32 = 78.0;

/// From the edge of a cell to the digits that are typed into it.
pub(in crate::window) const EDITOR_PAD: f32 = 4.0;
/// A level piece of line shorter than this could be a minus sign, points.
pub(in crate::window) const LONGEST_MINUS: f32 = 14.0;
/// Height of the line.
pub(in crate::window) const GRID_HEADING: f32 = 30.0;
/// Where the middle of the heading is, below the upper edge: level with the headings beside it.
pub(in crate::window) const GRID_HEADING_MIDDLE: f32 = 17.0;
/// Height of the band that says what is proposed.
pub(in crate::window) const BAND_HEIGHT: f32 = 22.0;
/// Room for the switch beside the heading.
pub(in crate::window) const SWITCH_WIDTH: f32 = 76.0;
/// The width of a clause's number in the panel of fairing, in heights of a field.
pub(in crate::window) const CLAUSE_NUMBER: f32 = 4.9;
/// The bar at the foot of a cell that a demand keeps from being smoother: its share of the cell's width, and its height.
pub(in crate::window) const STANDING_BAR: (f32, f32) = (0.5, 2.5);
/// Length and distance of the dashes round cells that are only proposed.
pub(in crate::window) const PROPOSED_CELL_DASHES: (f32, f32) = (4.0, 3.0);
/// Between a unit and the number before it.
pub(in crate::window) const UNIT_GAP: f32 = 3.0;
/// The ground of a value that nobody has confirmed is lower than its row by this at both ends.
pub(in crate::window) const ASSUMED_INSET: f32 = 3.0;
/// A word of a choice has so much more room at its ends than one in a field.
pub(in crate::window) const CHOICE_PADDING: f32 = 1.0;
/// The line under the point at the cursor: how far below its fields, and how far it stands in at its ends.
pub(in crate::window) const CURSOR_MARK_BELOW: f32 = 3.5;
pub(in crate::window) const CURSOR_MARK_ENDS: (f32, f32) = (1.0, 3.0);
/// Width of the numbers of breakpoints in their list, and how much lower a field there is than a sentence.
pub(in crate::window) const BREAKPOINT_NUMBER: f32 = 18.0;
pub(in crate::window) const FIELD_LOWER: f32 = 2.0;
/// From the middle of a button to hold to its two lines.
pub(in crate::window) const HOLD_LINES: (f32, f32) = (8.0, 9.0);
/// The triangle before words that warn of a proposal, and the room for it.
pub(in crate::window) const PROPOSAL_MARK: Vec2 = vec2(10.0, 9.0);
pub(in crate::window) const PROPOSAL_MARK_ROOM: Vec2 = vec2(10.0, 14.0);
/// Room behind the parts of a sentence.
pub(in crate::window) const PARTS_END: f32 = 4.0;
/// A note beside or below a sentence: from its left edge to the middle of its mark, and to its words.
pub(in crate::window) const NOTE_MARK: f32 = 4.0;
pub(in crate::window) const NOTE_WORDS: f32 = 13.0;
/// The number editor: room for its caret.
pub(in crate::window) const CARET_ROOM: f32 = 2.0;
/// A question over the grid is no wider than this.
pub(in crate::window) const QUESTION_WIDTH: f32 = 620.0;
