//! Sizes of the Limits sheet, in points.

/// How the picture and the forms are set out.
pub(in crate::window) struct Sizes {
    /// Height of the line with the picture's load.
    pub controls_height: f32,
    /// Height of the curve of the advance.
    pub chart_height: f32,
    /// Height of a lane, and of the band in it.
    pub lane_height: f32,
    pub band_height: f32,
    /// Width left of the picture for names and numbers.
    pub gutter: f32,
    /// Between the curve and the lanes, and below the lanes for the speeds.
    pub below_chart: f32,
    pub speeds_height: f32,
    /// The picture stands still above the forms while it takes no more than this share of the sheet.
    pub most_share: f32,
    /// Between a lane's name and the lane, and around its words.
    pub name_air: f32,
    pub words_air: f32,
    /// Distance of hatching lines, of stripes, and of the words from a band.
    pub hatch: f32,
    pub stripe: f32,
    pub words_gap: f32,
    /// Words stand beside the bands of a lane where so much is free.
    pub least_free: f32,
    /// Height of the line with what is out of order.
    pub findings_height: f32,
    /// Height of a curve editor below the forms.
    pub curve_height: f32,
    /// Width of a signal's name and of its thresholds in an output.
    pub signal_width: f32,
    pub threshold_width: f32,
    /// Where the picture's load begins and ends beside the heading, and the width of its field.
    pub load_from: f32,
    pub load_to: f32,
    pub load_width: f32,
    /// Air of the note that stands where the other curves have fields.
    pub note_air: f32,
    /// Width of 'on' and 'off', and of the button that takes a condition away, with the side of its cross.
    pub word_width: f32,
    pub cross_width: f32,
    pub cross: f32,
    /// A closed output is lower by this; its name stands below its top, its words above its bottom.
    pub closed_less: f32,
    pub closed_name: f32,
    pub closed_words: f32,
}

pub(in crate::window) const SIZES: Sizes = Sizes {
    controls_height: 28.0,
    chart_height: 108.0,
    lane_height: 20.0,
    band_height: 12.0,
    gutter: 112.0,
    below_chart: 8.0,
    speeds_height: 20.0,
    most_share: 0.52,
    name_air: 8.0,
    words_air: 4.0,
    hatch: 5.0,
    stripe: 4.0,
    words_gap: 10.0,
    least_free: 160.0,
    findings_height: 24.0,
    curve_height: 262.0,
    signal_width: 88.0,
    threshold_width: 84.0,
    load_from: 250.0,
    load_to: 460.0,
    load_width: 72.0,
    note_air: 12.0,
    word_width: 20.0,
    cross_width: 20.0,
    cross: 8.0,
    closed_less: 8.0,
    closed_name: 11.0,
    closed_words: 10.0,
};
