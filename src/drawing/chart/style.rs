//! Widths, dashes and distances of every chart, in points.

/// How charts are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartStyle {
    /// Width of the main line.
    pub main: f32,
    /// Width of a line beside the main one, such as the base.
    pub thin: f32,
    /// Width of guides.
    pub guide: f32,
    /// Lengths of dashes and gaps for a base, and for whatever else is shown for comparison.
    pub dashes: (f32, f32),
    /// The same for what is only proposed.
    pub proposed_dashes: (f32, f32),
    /// The same for bounds such as a floor or a ceiling.
    pub bound_dashes: (f32, f32),
    /// Distance between the numbers and the plot area.
    pub number_gap: f32,
    /// Room above, right of and below that area: for handles at its edge and a line of numbers.
    pub around: (f32, f32, f32),
    /// The least room left of it for numbers.
    pub gutter: f32,
    /// Radius of a point, of the active one, and the smallest radius where there are many points.
    pub radii: (f32, f32, f32),
    /// Where points are dense, their radius is this share of their mean distance.
    pub spacing_share: f32,
    /// Width of a point's outline.
    pub outline: f32,
    /// Distance of a ring from its point, and its width.
    pub ring: (f32, f32),
}

/// The style of every chart.
pub const CHART: ChartStyle = ChartStyle {
    main: 1.8,
    thin: 1.1,
    guide: 1.0,
    dashes: (4.0, 3.0),
    proposed_dashes: (7.0, 3.0),
    bound_dashes: (2.0, 3.0),
    number_gap: 7.0,
    around: (8.0, 8.0, 20.0),
    gutter: 28.0,
    radii: (3.0, 4.5, 1.5),
    spacing_share: 0.3,
    outline: 1.2,
    ring: (3.0, 1.5),
};
