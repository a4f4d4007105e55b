//! Sizes of the printed sheet, in points of 1/72 inch.

/// Type sizes.
pub(super) const TITLE: f32 = 20.0;
pub(super) const HEADING: f32 = 10.8;
pub(super) const BODY: f32 = 8.2;
pub(super) const SMALL: f32 = 7.2;
/// Line height, as a multiple of the type size.
pub(super) const LEADING: f32 = 1.36;
/// Thickness of lines.
pub(super) const RULE: f32 = 1.3;
pub(super) const HAIRLINE: f32 = 0.35;
/// Margins of the page: at the sides, above, below.
pub(super) const MARGIN: (f32, f32, f32) = (42.0, 40.0, 46.0);
pub(super) const LYING_MARGIN: f32 = 28.0;
/// Space between two columns, and between two parts one below the other.
pub(super) const GUTTER: f32 = 20.0;
pub(super) const BETWEEN: f32 = 11.0;
/// Scale of drawings made for the screen: it turns their small text into 7 points.
pub(super) const DRAWING: f32 = 0.64;
/// Type size of the digits of the advance table: the largest, and the smallest on a portrait page.
pub(super) const DIGITS: (f32, f32) = (9.0, 6.2);
