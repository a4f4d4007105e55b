//! Where the teeth of the wheel and the dead centres are relative to each other.

use crate::project::{Parts, Wheel};

/// The positions of teeth and dead centres in crank degrees after the reference edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layout {
    wheel: Wheel,
    reference_deg: f64,
    spacing_deg: f64,
    channels: usize,
}

impl Layout {
    /// The layout of a project: the true reference is reference plus zero offset, channels are 720/cylinders
    /// degrees apart.
    pub fn new(parts: &Parts) -> Self {
        let trigger = &parts.trigger;
        Self {
            wheel: trigger.wheel,
            reference_deg: trigger.reference_deg + trigger.zero_offset_deg,
            spacing_deg: 720.0 / f64::from(parts.engine.cylinders),
            channels: parts.engine.channels.len(),
        }
    }

    /// The wheel.
    pub fn wheel(&self) -> Wheel {
        self.wheel
    }

    /// How many coil channels there are.
    pub fn channels(&self) -> usize {
        self.channels
    }

    /// Crank degrees from the reference edge to a tooth's edge; tooth 0 is the reference.
    pub fn tooth_deg(&self, tooth: u16) -> f64 {
        f64::from(tooth) * 360.0 / f64::from(self.wheel.teeth)
    }

    /// A crank angle at which a channel's pair is at top dead centre; the others follow every 360°.
    pub fn tdc_deg(&self, channel: usize) -> f64 {
        let places = u16::try_from(channel).unwrap_or(u16::MAX);
        self.reference_deg + f64::from(places) * self.spacing_deg
    }

    /// How far a crank angle lies before a channel's nearest dead centre, −180..=180 degrees.
    pub fn before_tdc_deg(&self, channel: usize, crank_deg: f64) -> f64 {
        let before_deg = self.tdc_deg(channel) - crank_deg;
        before_deg - 360.0 * (before_deg / 360.0).round()
    }

    /// Compressions per revolution: half the number of cylinders.
    pub(super) fn compressions(&self) -> u8 {
        u8::try_from(self.channels).unwrap_or(u8::MAX)
    }

    /// The crank angle halfway between two compressions, where the crank turns fastest unless told otherwise.
    pub(super) fn fastest_deg(&self) -> f64 {
        self.reference_deg + 0.5 * self.spacing_deg
    }
}
