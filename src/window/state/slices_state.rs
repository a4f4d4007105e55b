//! The screen state of the slices.

/// How the slices are looked at and drawn on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SlicesState {
    /// Whether the curvature comb is hidden.
    pub hides_comb: bool,
    /// Whether a drag over a slice draws its line.
    pub draws: bool,
}
