//! Sizes of the printed sheet, in points of 1/72 inch.

/// Type sizes: nothing that can be avoided is set smaller than `BODY`.
pub(super) const TITLE: f32 = 20.0;
pub(super) const HEADING: f32 = 10.4;
pub(super) const BODY: f32 = 8.0;
/// Line height, as a multiple of the type size.
pub(super) const LEADING: f32 = 1.26;
/// Thickness of lines.
pub(super) const RULE: f32 = 1.2;
pub(super) const HAIRLINE: f32 = 0.35;
/// Margins of the page: at the sides, above, below.
pub(super) const MARGIN: (f32, f32, f32) = (36.0, 34.0, 42.0);
/// How many columns a page has, the space between them, and between two parts one below the other.
pub(super) const COLUMNS: usize = 3;
pub(super) const GUTTER: f32 = 16.0;
pub(super) const BETWEEN: f32 = 9.0;
/// Scale of drawings made for the screen: it turns their small text, of 11 points, into body text.
pub(super) const DRAWING: f32 = BODY / 11.0;
/// Largest type size of the digits of the advance table; the smallest is that of the text.
pub(super) const DIGITS: f32 = 8.6;
/// How clear of a digit a contour stays: 3 pixels at 96 to the inch.
pub(super) const CLEAR: f32 = 2.25;
