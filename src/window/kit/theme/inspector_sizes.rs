//! Sizes of the inspector, in points.

/// Height of a line of facts.
pub(in crate::window) const FACT_HEIGHT: f32 = 17.0;
/// Height of a heading with the room below it.
pub(in crate::window) const HEADING_HEIGHT: f32 = 24.0;
/// Height of two lines of small text.
pub(in crate::window) const TWO_LINES: f32 = 30.0;
/// Width of the column of facts.
pub(in crate::window) const FACTS_WIDTH: f32 = 148.0;
/// Distance of the sentences from the facts.
pub(in crate::window) const SENTENCES_GAP: f32 = 14.0;
/// Width of a tooltip that wraps.
pub(in crate::window) const TIP_WIDTH: f32 = 240.0;
/// Room for the scroll bar right of the sentences.
pub(in crate::window) const BAR_WIDTH: f32 = 8.0;
/// Distance of text from a field's edge.
pub(in crate::window) const FIELD_PADDING: f32 = 3.0;
/// Room that the mark of a finding takes.
pub(in crate::window) const MARK_ROOM: f32 = 18.0;
/// Width of the button that goes from finding to finding; its room is always kept.
pub(in crate::window) const NEXT_WIDTH: f32 = 46.0;
/// Share of the line that a remedy takes.
pub(in crate::window) const REMEDY_SHARE: f32 = 0.52;
/// Height of the second line of a sentence.
pub(in crate::window) const SECOND_LINE: f32 = 20.0;
/// Distance of text from a sentence's edge, as in all buttons.
pub(in crate::window) const PADDING: f32 = 8.0;
/// Height of what stands below the list.
pub(in crate::window) const BELOW_LIST: f32 = 148.0;
/// Height of three lines of small text.
pub(in crate::window) const THREE_LINES: f32 = 46.0;
/// Least height of the list of breakpoints, and width of the button that replaces them.
pub(in crate::window) const LEAST_LIST: f32 = 72.0;
pub(in crate::window) const REPLACE_WIDTH: f32 = 78.0;
