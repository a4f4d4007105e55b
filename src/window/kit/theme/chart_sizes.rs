//! Sizes of charts, in points: those that pictures and paper share, and what only the window has.

pub use crate::drawing::CHART;

/// What a chart of the window has besides [`CHART`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartSizes {
    /// Radius of a dot that nobody takes hold of.
    pub dot: f32,
    /// How far names stand from their points, the first that is free.
    pub name_distances: [f32; 4],
    /// Air of a name beside its point and its ground.
    pub name_air: f32,
    /// How far the value of a point stands from it.
    pub value_distance: f32,
    /// Corners of grounds and areas.
    pub corner: f32,
    /// Lines are seen so far beyond the plot, to keep their width at its edge.
    pub clip: f32,
    /// Half the side of the square that marks a held point, and of the one that is active.
    pub held: (f32, f32),
    /// Width of the outline of such a square.
    pub held_outline: f32,
    /// A triangle over a point at which something was found.
    pub found: (f32, f32),
    /// How far the middle of such a triangle stands above its point.
    pub found_above: f32,
    /// Radius of a dot that a lift moves along: least, and what is added at a full share.
    pub falloff: (f32, f32),
}

/// The sizes of every chart.
pub const SIZES: ChartSizes = ChartSizes {
    dot: 4.0,
    name_distances: [3.0, 9.0, 16.0, 24.0],
    name_air: 2.0,
    value_distance: 8.0,
    corner: 2.0,
    clip: 1.0,
    held: (3.2, 5.0),
    held_outline: 1.3,
    found: (10.0, 9.0),
    found_above: 12.0,
    falloff: (1.2, 2.0),
};
