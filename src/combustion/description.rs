//! What is known of an engine: everything that the second opinion goes by, besides the place on the table.

use crate::project::{Burning, Chamber, Combustion, Induction};
use crate::table::Curve;

/// Valve overlaps at 0.15 mm of lift in degrees, and what each is called.
pub const OVERLAPS_DEG: [(&str, f64); 4] = [("small", 10.0), ("ordinary", 25.0), ("sporting", 45.0), ("racing", 70.0)];
/// An engine as the second opinion sees it. What it needs and cannot assume has no default elsewhere than here, where the
/// numbers are those of the engine that the check values are about.
#[derive(Clone, Debug, PartialEq)]
pub struct Description {
    /// 1 to 16.
    pub cylinders: u8,
    /// Swept volume of all cylinders in litres, 0.1 to 10.
    pub displacement_l: f64,
    /// Compression ratio to one, 6 to 14.
    pub compression_ratio: f64,
    /// Bore over stroke, 0.7 to 1.6.
    pub bore_to_stroke: f64,
    /// Length of the rod over the radius of the crank, 2.8 to 5.
    pub rod_to_crank: f64,
    /// The speed of most power in rpm, 3000 to 12 000.
    pub rated_speed_rpm: f64,
    /// The combustion chamber.
    pub chamber: Chamber,
    /// Valve overlap at 0.15 mm of lift in degrees, 0 to 100; see [`OVERLAPS_DEG`].
    pub overlap_deg: f64,
    /// How the charge reaches the cylinders.
    pub induction: Induction,
    /// Research octane number, 80 to 105.
    pub octane_ron: f64,
    /// Motor octane number, 70 to 105 and no more than the research one.
    pub octane_mon: f64,
    /// Temperature of the air that the engine draws in, in °C, after the cooler where there is one, −30 to 90; `None` for
    /// the usual one, which a boosted engine does not have.
    pub intake_air_c: Option<f64>,
    /// Coolant in °C, 0 to 130.
    pub coolant_c: f64,
    /// Pressure of the air around in kPa, 60 to 105.
    pub ambient_kpa: f64,
    /// λ over manifold pressure in kPa.
    pub lambda: Curve,
    /// Below this speed the unit cranks, in rpm: the table is not used there.
    pub cranking_below_rpm: f64,
    /// What kind of engine it is: the model is for four-strokes on petrol.
    pub burning: Burning,
}

impl Default for Description {
    fn default() -> Self {
        Self {
            cylinders: 4,
            displacement_l: 2.0,
            compression_ratio: 9.5,
            bore_to_stroke: 1.0,
            rod_to_crank: 3.5,
            rated_speed_rpm: 6000.0,
            chamber: Chamber::TwoValveSidePlug,
            overlap_deg: 25.0,
            induction: Induction::NaturallyAspirated,
            octane_ron: 95.0,
            octane_mon: 85.0,
            intake_air_c: None,
            coolant_c: 90.0,
            ambient_kpa: 100.0,
            lambda: Combustion::default().lambda,
            cranking_below_rpm: 400.0,
            burning: Burning::FourStrokePetrol,
        }
    }
}

impl Description {
    /// The motor octane number of a fuel of which only the research one is known. Assumed.
    pub fn usual_mon(octane_ron: f64) -> f64 {
        octane_ron - 10.0
    }

    /// The temperature of the air that an engine without boost draws in, where nobody says, in °C. Assumed.
    pub const USUAL_INTAKE_AIR_C: f64 = 25.0;

    pub(super) fn intake_air_k(&self) -> f64 {
        self.intake_air_c.unwrap_or(Self::USUAL_INTAKE_AIR_C) + ZERO_CELSIUS_K
    }

    pub(super) fn ambient_pa(&self) -> f64 {
        self.ambient_kpa * 1e3
    }
}

/// 0 °C in K.
pub(super) const ZERO_CELSIUS_K: f64 = 273.15;
