//! Sizes of the slices, in points.

/// How the two slices are set out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlicesSizes {
    /// Share of the width for the slice along speed, which has the longer axis.
    pub speed_share: f32,
    /// Distance between the two slices.
    pub between: f32,
    /// Height of the line with the heading.
    pub heading: f32,
    /// A point is taken hold of so far beyond its touch area.
    pub pick_beyond: f32,
}

/// The sizes of the slices.
pub const SIZES: SlicesSizes = SlicesSizes { speed_share: 0.57, between: 20.0, heading: 28.0, pick_beyond: 2.0 };
