//! What the Limits sheet keeps on the screen: along which load its picture is drawn, and which output is open.

/// The conditions of the picture and the open output.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LimitsState {
    /// The load of the picture; the table's highest when `None`.
    pub load: Option<f64>,
    /// The output whose conditions are shown, by its place.
    pub output: usize,
}

/// What a view may ask of the Limits sheet's state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LimitsMessage {
    /// Draw the picture at this load.
    Load(f64),
    /// Open an output, by its place.
    Open(usize),
}

impl LimitsState {
    /// Does what is asked.
    pub const fn apply(&mut self, message: LimitsMessage) {
        match message {
            LimitsMessage::Load(load) => self.load = Some(load),
            LimitsMessage::Open(output) => self.output = output,
        }
    }
}
