//! Sizes of the printed sheet, in points of 1/72 inch.

/// Type sizes.
pub(super) const TITLE: f32 = 20.0;
pub(super) const HEADING: f32 = 10.8;
pub(super) const BODY: f32 = 8.2;
pub(super) const SMALL: f32 = 7.2;
/// Line height in type sizes.
pub(super) const LEADING: f32 = 1.36;
/// Thickness of rules.
pub(super) const RULE: f32 = 1.3;
pub(super) const HAIRLINE: f32 = 0.35;
/// White around the page: beside, above, below.
pub(super) const MARGIN: (f32, f32, f32) = (42.0, 40.0, 46.0);
pub(super) const LYING_MARGIN: f32 = 28.0;
/// Between two columns, and between two parts below each other.
pub(super) const GUTTER: f32 = 20.0;
pub(super) const BETWEEN: f32 = 11.0;
/// Scale of drawings made for the screen: their small text comes out at 7 points.
pub(super) const DRAWING: f32 = 0.64;
/// Digits of the advance table: the largest, and the least on a standing page.
pub(super) const DIGITS: (f32, f32) = (9.0, 6.2);
