//! The trigger wheel and where its sensor sits.

use serde::{Deserialize, Serialize};

/// What the sensor is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SensorKind {
    /// A coil and magnet whose voltage grows with speed.
    Inductive,
    /// A Hall-effect switch.
    Hall,
    /// A light barrier.
    Optical,
}

/// Which edge of the sensor's signal marks a tooth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Edge {
    /// From low to high.
    Rising,
    /// From high to low.
    Falling,
}

/// A toothed wheel with teeth left out: `teeth` places, `missing` of them empty and next to each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wheel {
    /// Places for teeth around the wheel.
    pub teeth: u16,
    /// Teeth left out.
    pub missing: u16,
}

impl Wheel {
    /// Crank degrees from one tooth place to the next.
    pub fn pitch_deg(self) -> f64 {
        360.0 / f64::from(self.teeth)
    }

    /// Edges per crank revolution.
    pub fn edges(self) -> u16 {
        self.teeth.saturating_sub(self.missing)
    }

    /// Crank degrees between the edges on either side of the gap: (missing + 1) pitches.
    pub fn gap_deg(self) -> f64 {
        f64::from(self.missing + 1) * self.pitch_deg()
    }
}

/// The trigger: wheel, sensor and their place against top dead centre.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Trigger {
    /// The wheel on the crankshaft.
    pub wheel: Wheel,
    /// Crank degrees before top dead centre of the first coil's pair at which the first edge after the gap passes.
    pub reference_deg: f64,
    /// Fine trim of the reference in crank degrees, so that commanded is actual: true reference = reference + this.
    pub zero_offset_deg: f64,
    /// What the sensor is.
    pub sensor: SensorKind,
    /// Which edge marks a tooth.
    pub edge: Edge,
    /// How long the sensor and its circuit take to report an edge.
    pub latency_us: f64,
    /// How far before the spark, in pitches, an edge may still re-time it.
    pub lead_pitches: f64,
    /// Gaps seen before the position is trusted: 1 or 2.
    pub gaps_to_sync: u8,
}

impl Trigger {
    /// Why the wheel is none: the field and the reason.
    pub(super) fn fault(&self) -> Option<(&'static str, String)> {
        let Wheel { teeth, missing } = self.wheel;
        // Fewer edges than twice the gap leave the gap indistinguishable under acceleration.
        if teeth < 3 * missing + 3 {
            let reason = format!(
                "{missing} missing of {teeth} leaves too few teeth to tell the gap: at least {}",
                3 * missing + 3
            );
            return Some(("trigger.wheel.missing", reason));
        }
        None
    }
}
