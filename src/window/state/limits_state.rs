//! The screen state of the Limits sheet: for which load its picture is drawn, and which output is open.

/// The conditions of the picture and the open output.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LimitsState {
    /// The load of the picture; the table's highest if `None`.
    pub load: Option<f64>,
    /// The output whose conditions are shown, by its index.
    pub output: usize,
}

/// What a view may ask of the Limits sheet's state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LimitsMessage {
    /// Draw the picture for this load.
    Load(f64),
    /// Open an output, by its index.
    Open(usize),
}

impl LimitsState {
    /// Carries out the message.
    pub const fn apply(&mut self, message: LimitsMessage) {
        match message {
            LimitsMessage::Load(load) => self.load = Some(load),
            LimitsMessage::Open(output) => self.output = output,
        }
    }
}
