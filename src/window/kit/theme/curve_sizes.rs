//! Sizes of the curve editor, in points.

/// How chart and numbers of a curve are set out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveSizes {
    /// Height of the line with the curve's name.
    pub heading_height: f32,
    /// Room left of the chart's lines for the numbers of the scale, and of the boxes for their unit.
    pub left: f32,
    /// Room above, right of and below the lines of the chart.
    pub around: (f32, f32, f32),
    /// Height of a box with a number.
    pub box_height: f32,
    /// A box is no narrower and no wider.
    pub box_width: (f32, f32),
    /// Height of the line with the buttons.
    pub foot_height: f32,
    /// Points of the screen for one number of a scale, along and up.
    pub tick_room: (f32, f32),
    /// Width of the curve, and of its flat ends.
    pub line_widths: (f32, f32),
    /// Radius of a point, and of the one with the keyboard.
    pub radii: (f32, f32),
    /// Width of a point's outline.
    pub outline: f32,
    /// Dashes of the flat ends and of the mark.
    pub dashes: (f32, f32),
}

/// The sizes of every curve editor.
pub const SIZES: CurveSizes = CurveSizes {
    heading_height: 24.0,
    left: 34.0,
    around: (12.0, 12.0, 19.0),
    box_height: 22.0,
    box_width: (38.0, 60.0),
    foot_height: 24.0,
    tick_room: (56.0, 26.0),
    line_widths: (1.8, 1.1),
    radii: (3.2, 4.5),
    outline: 1.2,
    dashes: (4.0, 3.0),
};
