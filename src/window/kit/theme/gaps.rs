//! Small distances, in points: between lines, beside marks, round words.

use eframe::egui::{Margin, Vec2, vec2};

/// Between lines of words that belong together, and before what follows them.
pub(in crate::window) const LINE_GAP: f32 = 4.0;
/// Between what belongs closely together.
pub(in crate::window) const TIGHT_GAP: f32 = 2.0;
/// Between the lines of one entry or note.
pub(in crate::window) const ENTRY_GAP: f32 = 1.0;
/// Before the next group of a form.
pub(in crate::window) const GROUP_GAP: f32 = 6.0;
/// Between a mark and the words behind it, and from the edge to the middle of a mark before words.
pub(in crate::window) const MARK_GAP: f32 = 4.0;
pub(in crate::window) const MARK_MIDDLE: f32 = 6.0;
/// How far a mark before words stands in, and by how much a triangle is lower than wide.
pub(in crate::window) const MARK_INSET: f32 = 2.0;
pub(in crate::window) const MARK_FLATTER: f32 = 1.0;
/// So much room is kept for what rounding to whole pixels takes.
pub(in crate::window) const ROUNDING: f32 = 1.0;
/// From small text to the next larger and the next smaller type.
pub(in crate::window) const TYPE_STEP: f32 = 1.0;
/// What stands in a field or a button has a corner radius smaller by this.
pub(in crate::window) const WITHIN_RADIUS: f32 = 1.0;
/// How far the ground of a row that is pointed at reaches beyond its words.
pub(in crate::window) const ROW_GROUND: Vec2 = vec2(3.0, 1.0);
/// Room round words that can be clicked within a line, and round a fact.
pub(in crate::window) const LINK_PADDING: Vec2 = vec2(2.0, 1.0);
pub(in crate::window) const FACT_PADDING: Vec2 = vec2(0.0, 1.0);
/// Room round the words of a bubble, and between it and what it is about.
pub(in crate::window) const BUBBLE: Vec2 = vec2(6.0, 3.0);
pub(in crate::window) const BUBBLE_AWAY: f32 = 4.0;
/// Between a unit and the number before it.
pub(in crate::window) const UNIT_GAP: f32 = 3.0;
/// From a grid to the words beside it and below it.
pub(in crate::window) const AXIS_WORDS: Vec2 = vec2(4.0, 2.0);
/// Between columns and rows of forms: of an export, of a new project, of the faults of a run.
pub(in crate::window) const EXPORT_GRID: Vec2 = vec2(20.0, 8.0);
pub(in crate::window) const NEW_GRID: Vec2 = vec2(8.0, 6.0);
pub(in crate::window) const FAULTS_GRID: Vec2 = vec2(16.0, 6.0);
/// Width of the name of a new project, and the most that a question over the grid has.
pub(in crate::window) const NEW_NAME_WIDTH: f32 = 280.0;
pub(in crate::window) const QUESTION_WIDTH: f32 = 620.0;
/// A letter of origin: from the lower left corner of its sample, and of its cell.
pub(in crate::window) const ORIGIN_SAMPLE: Vec2 = vec2(4.0, -2.0);
pub(in crate::window) const ORIGIN_LETTER: Vec2 = vec2(2.0, 1.0);
/// From a cell's corner to the dot that says that it was changed, in the legend.
pub(in crate::window) const CHANGED_SAMPLE: Vec2 = vec2(-4.0, 4.0);
/// The rings of the area of lifting in the legend: from the middle, and their radii.
pub(in crate::window) const RING_SAMPLES: [(f32, f32); 3] = [(-8.0, 4.0), (1.0, 2.8), (8.0, 1.6)];
/// The head of the arrow behind an axis's name: its length and half its width.
pub(in crate::window) const NAME_ARROW_HEAD: Vec2 = vec2(3.5, 3.0);
/// How far from its track a scroll bar can be grasped.
pub(in crate::window) const SCROLL_REACH: f32 = 3.0;
/// The ring of the running point stands off it by this.
pub(in crate::window) const RUNNING_RING_OFF: f32 = 1.0;
/// Room at the ends of a bar and of a sheet.
pub(in crate::window) const SHEET_MARGIN: Margin = Margin::symmetric(14, 0);
/// Room round what a panel over the sheet holds, and round a list that opens.
pub(in crate::window) const PANEL_MARGIN: Margin = Margin::same(16);
pub(in crate::window) const LIST_MARGIN: Margin = Margin::same(8);
/// Words over the grid as flashed: the room round them, and that of their mark.
pub(in crate::window) const FLASHED_MARGIN: Margin = Margin::symmetric(14, 4);
pub(in crate::window) const FLASHED_MARK_ROOM: Vec2 = vec2(12.0, 18.0);
/// The field of the base: so much more than a gap at the ends of its name.
pub(in crate::window) const CHOOSER_INSET: f32 = 2.0;
/// Length of the ticks of a piston stop; radius of a remark's dot; between a figure and its column's end.
pub(in crate::window) const STOP_TICK: f32 = 5.0;
pub(in crate::window) const REMARK_DOT: f32 = 2.2;
pub(in crate::window) const COLUMN_INSET: f32 = 4.0;
/// Digits of a byte stand so far above the middle of its field.
pub(in crate::window) const BYTE_RAISED: f32 = 1.0;
/// Parts of the map: the least width of one that stands there, that is shown to be meant, that can be grasped, and that
/// has an outline.
pub(in crate::window) const LEAST_PART: f32 = 1.5;
pub(in crate::window) const LEAST_MEANT: f32 = 2.0;
pub(in crate::window) const LEAST_GRASPED: f32 = 3.0;
pub(in crate::window) const LEAST_OUTLINED: f32 = 3.0;
/// An item that is dragged is seen so far beyond the map, and the detail can be grasped so far beyond its edges.
pub(in crate::window) const DRAG_BEYOND: f32 = 4.0;
pub(in crate::window) const DETAIL_REACH: f32 = 2.0;
/// An item's name in the map: how far it stands in, and how far its ground reaches beyond it.
pub(in crate::window) const ITEM_NAME_INSET: f32 = 4.0;
pub(in crate::window) const ITEM_NAME_GROUND: f32 = 2.0;
/// Between the strips of the map and the lines that lead from one to the other.
pub(in crate::window) const LENS_GAP: f32 = 2.0;
/// The bracket of the checksum: how far above the strip it is and its feet end; its arrow's length; room beside its
/// words.
pub(in crate::window) const BRACKET_ABOVE: f32 = 7.0;
pub(in crate::window) const BRACKET_FOOT: f32 = 2.0;
pub(in crate::window) const BRACKET_ARROW: f32 = 6.0;
pub(in crate::window) const BRACKET_WORDS: f32 = 5.0;
/// Addresses below the map: length of a tick, from the map to the words, half the room that they take.
pub(in crate::window) const ADDRESS_TICK: f32 = 4.0;
pub(in crate::window) const ADDRESS_BELOW: f32 = 3.0;
pub(in crate::window) const ADDRESS_HALF: f32 = 18.0;
/// Radius of a dot of a pattern.
pub(in crate::window) const HATCH_DOT: f32 = 1.0;
/// Width of the temperature for which a part is folded, and corner radius of the ring round an item of the list.
pub(in crate::window) const FOLDED_AT_WIDTH: f32 = 80.0;
pub(in crate::window) const ITEM_RING_RADIUS: f32 = 2.0;
/// Least room at both ends of a word in a band, together.
pub(in crate::window) const BAND_WORDS: f32 = 6.0;
/// Between the number of a row of a run and its fields.
pub(in crate::window) const ROW_NUMBER_GAP: f32 = 6.0;
/// Between the names of a trace's rows and the plots, and how far beyond a plot its cursor is drawn.
pub(in crate::window) const TRACE_NAME_GAP: f32 = 4.0;
pub(in crate::window) const TRACE_BEYOND: f32 = 2.0;
/// The effect of the trims: room for its heading, and width of a temperature's field.
pub(in crate::window) const EFFECT_HEADING: f32 = 150.0;
pub(in crate::window) const EFFECT_FIELD: f32 = 64.0;
/// The line under the point at the cursor: how far below its fields, and how far it stands in at its ends.
pub(in crate::window) const CURSOR_MARK_BELOW: f32 = 3.5;
pub(in crate::window) const CURSOR_MARK_ENDS: (f32, f32) = (1.0, 3.0);
/// The ground of a value that nobody has confirmed is lower than its row by this at both ends.
pub(in crate::window) const ASSUMED_INSET: f32 = 3.0;
/// A word of a choice has so much more room at its ends than one in a field.
pub(in crate::window) const CHOICE_PADDING: f32 = 2.0;
/// The number editor: room for its caret.
pub(in crate::window) const CARET_ROOM: f32 = 2.0;
/// The sample of proposed cells over the grid, and the dashes round it.
pub(in crate::window) const PROPOSED_SAMPLE: Vec2 = vec2(14.0, 11.0);
pub(in crate::window) const PROPOSED_SAMPLE_DASHES: (f32, f32) = (3.0, 2.0);
/// A list of breakpoints: width of their numbers, and by how much a field is lower than a sentence.
pub(in crate::window) const BREAKPOINT_NUMBER: f32 = 18.0;
pub(in crate::window) const FIELD_LOWER: f32 = 2.0;
/// From the middle of a button to hold to its two lines.
pub(in crate::window) const HOLD_LINES: (f32, f32) = (8.0, 9.0);
/// The triangle before words of a warning: the room for it, and its corners about its middle.
pub(in crate::window) const WARNING_ROOM: Vec2 = vec2(10.0, 14.0);
pub(in crate::window) const WARNING_CORNERS: [(f32, f32); 3] = [(0.0, -4.5), (5.0, 4.0), (-5.0, 4.0)];
/// The parts of a sentence: room behind them, and above and below.
pub(in crate::window) const PARTS_END: f32 = 4.0;
pub(in crate::window) const PARTS_INSET: f32 = 3.0;
/// A note below a sentence: from its left to the middle of its mark, and to the words behind that.
pub(in crate::window) const NOTE_MARK: f32 = 4.0;
pub(in crate::window) const NOTE_WORDS: f32 = 13.0;
/// Height of the switches over the surface at most; a vertex can be pointed at and grasped so far beyond its handle.
pub(in crate::window) const SWITCH_HEIGHT: f32 = 22.0;
pub(in crate::window) const HANDLE_BEYOND: f32 = 2.0;
