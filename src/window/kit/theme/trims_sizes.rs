//! Sizes of the Trims sheet, in points.

/// How the sheet is set out.
pub(in crate::window) struct Sizes {
    /// Share of the height for the curves, and the least and greatest height they get.
    pub curves_share: f32,
    pub curves_height: (f32, f32),
    /// Share of a trim's width for its degrees; the weight has the rest.
    pub degrees_share: f32,
    /// Between the two trims, and between a trim's two curves.
    pub between: f32,
    pub between_curves: f32,
    /// Narrower or lower than this the parts stand below each other.
    pub wide_enough: f32,
    pub tall_enough: f32,
    /// Height of the preview then.
    pub preview_height: f32,
    /// Least height of the row as a curve.
    pub least_line_height: f32,
    /// Where the word beside a trim's switch starts.
    pub name_width: f32,
    /// Width of the words beside a switch and a stand-in.
    pub switch_width: f32,
    pub stand_in_width: f32,
    /// Width of the part with the contributions in words.
    pub words_width: f32,
    /// Height of the line with the preview's temperatures.
    pub controls_height: f32,
    /// So many lines have their room in any case.
    pub usual_lines: f32,
    /// Height of a line of words, and where its number ends and its explanation starts.
    pub line_height: f32,
    pub number_end: f32,
    pub words_start: f32,
}

/// The sizes.
pub(in crate::window) const SIZES: Sizes = Sizes {
    curves_share: 0.44,
    curves_height: (236.0, 330.0),
    degrees_share: 0.64,
    between: 30.0,
    between_curves: 14.0,
    wide_enough: 1080.0,
    tall_enough: 600.0,
    preview_height: 380.0,
    least_line_height: 110.0,
    name_width: 96.0,
    switch_width: 176.0,
    stand_in_width: 158.0,
    words_width: 396.0,
    controls_height: 26.0,
    usual_lines: 6.0,
    line_height: 22.0,
    number_end: 190.0,
    words_start: 204.0,
};
