//! What the Limits sheet keeps on the screen: along which load its picture is drawn, and which output is open.

/// The conditions of the picture and the open output.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LimitsState {
    /// The load of the picture; the table's highest when `None`.
    pub load: Option<f64>,
    /// The output whose conditions are shown, by its place.
    pub output: usize,
}
