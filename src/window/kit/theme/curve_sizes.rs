//! Sizes of the curve editor, in points.

/// How chart and numbers of a curve are set out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveSizes {
    /// Height of the line with the curve's name.
    pub heading_height: f32,
    /// Room left of the chart's lines for the numbers of the scale, and of the boxes for their unit.
    pub left: f32,
    /// The same where a unit of several letters stands with a number.
    pub wide_left: f32,
    /// Height of a box with a number.
    pub box_height: f32,
    /// A box is no narrower and no wider.
    pub box_width: (f32, f32),
    /// Height of the line with the buttons.
    pub foot_height: f32,
    /// Between the two rows of boxes, and between neighbours.
    pub box_gap: f32,
    /// Room below the boxes.
    pub below_boxes: f32,
}

/// The sizes of every curve editor.
pub const SIZES: CurveSizes = CurveSizes {
    heading_height: 24.0,
    left: 34.0,
    wide_left: 40.0,
    box_height: 22.0,
    box_width: (38.0, 60.0),
    foot_height: 24.0,
    box_gap: 2.0,
    below_boxes: 6.0,
};
