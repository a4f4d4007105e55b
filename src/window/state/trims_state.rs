//! What the Trims sheet keeps on the screen: at which temperatures it shows the effect, and how.

/// The conditions of the preview.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrimsState {
    /// Coolant temperature, °C.
    pub coolant_c: f64,
    /// Air temperature, °C.
    pub air_c: f64,
    /// Whether the change alone is shown instead of the table with the trims added.
    pub shows_change: bool,
}

impl Default for TrimsState {
    /// Just started on a hot day: both trims have something to say.
    fn default() -> Self {
        Self { coolant_c: 20.0, air_c: 45.0, shows_change: true }
    }
}
