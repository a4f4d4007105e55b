//! The trigger wheel and where its sensor sits.

use serde::{Deserialize, Serialize};

use crate::wording::{Unit, fixed, outside, quantity, settle, with_unit};

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

/// The largest zero offset in either direction for a wheel of this pitch, both in degrees: three pitches, rounded up to
/// a thousandth. More than that is no trim: the reference then belongs to another tooth.
pub fn most_zero_offset_deg(pitch_deg: f64) -> f64 {
    settle(3000.0 * pitch_deg).ceil() / 1000.0
}

impl Wheel {
    /// Crank degrees from one tooth place to the next.
    pub fn pitch_deg(self) -> f64 {
        360.0 / f64::from(self.teeth)
    }

    /// The largest zero offset in either direction, in degrees.
    pub fn most_zero_offset_deg(self) -> f64 {
        most_zero_offset_deg(self.pitch_deg())
    }

    /// Why a zero offset is too large for this wheel, if it is, and by how many teeth to move the reference
    /// instead.
    pub(super) fn zero_offset_refusal(self, zero_offset_deg: f64) -> Option<String> {
        let most_deg = self.most_zero_offset_deg();
        if (-most_deg..=most_deg).contains(&zero_offset_deg) {
            return None;
        }
        let words = outside(zero_offset_deg, (-most_deg, most_deg), Unit::Degree);
        let teeth = (zero_offset_deg / self.pitch_deg()).round();
        if !teeth.is_finite() {
            return Some(words);
        }
        let by = with_unit(&fixed(teeth, 0), Unit::Tooth);
        Some(format!(
            "{words}, three pitches of the wheel: move the reference by {by} of {} instead",
            quantity(self.pitch_deg(), Unit::Degree)
        ))
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
    /// Why the wheel is impossible, if it is: the field and the reason.
    pub(super) fn fault(&self) -> Option<(&'static str, String)> {
        let Wheel { teeth, missing } = self.wheel;
        // With fewer teeth the gap could not be told from acceleration.
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
