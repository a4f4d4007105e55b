//! Widths, dashes and distances of every chart, in points.

/// How charts are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartStyle {
    /// Width of a main line, of another line, and of a guide.
    pub main: f32,
    /// Width of a line beside the main one: a base, an end that goes on flat.
    pub thin: f32,
    /// Width of guides.
    pub guide: f32,
    /// Length of dashes and of the gaps between them: of a base, and of all that is meant for comparison.
    pub dashes: (f32, f32),
    /// The same of what is only proposed.
    pub proposed_dashes: (f32, f32),
    /// The same of bounds such as a floor or a ceiling.
    pub bound_dashes: (f32, f32),
    /// Numbers keep so far from the area in which is plotted.
    pub number_gap: f32,
    /// Room above, right of and below that area: a handle at its edge, a line of numbers.
    pub around: (f32, f32, f32),
    /// Room left of it for numbers, at least.
    pub gutter: f32,
    /// Radius of a point, of the one that is active, and the least where points are many.
    pub radii: (f32, f32, f32),
    /// Points of a dense line are smaller: this share of their mean distance.
    pub spacing_share: f32,
    /// Width of a point's outline.
    pub outline: f32,
    /// How far a ring stands off its point, and its width.
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
