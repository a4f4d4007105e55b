//! The screen state of the Trims sheet: at which temperatures it shows the effect, and how.

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
    /// Just started on a hot day: both trims have an effect.
    fn default() -> Self {
        Self { coolant_c: 20.0, air_c: 45.0, shows_change: true }
    }
}

/// What a view may ask of the Trims sheet's state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TrimsMessage {
    /// Coolant temperature, °C.
    Coolant(f64),
    /// Air temperature, °C.
    Air(f64),
    /// Show the change alone, or the table with the trims added.
    ShowChange(bool),
}

impl TrimsState {
    /// Carries out the message.
    pub const fn apply(&mut self, message: TrimsMessage) {
        match message {
            TrimsMessage::Coolant(coolant_c) => self.coolant_c = coolant_c,
            TrimsMessage::Air(air_c) => self.air_c = air_c,
            TrimsMessage::ShowChange(shows_change) => self.shows_change = shows_change,
        }
    }
}
