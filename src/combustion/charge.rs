//! What is trapped in a cylinder when compression begins.

use super::belief::{Corrections, Unknown};
use super::description::ZERO_CELSIUS_K;
use super::gas::GAS_CONSTANT;
use super::geometry::Cylinder;
use super::heat_loss::HeatLoss;
use super::knock::{KnockRate, STOICHIOMETRIC, effective_octane};
use super::{Description, Place};
use crate::project::Induction;

/// Lower heating value of petrol in J/kg. Heywood, from memory.
const HEATING_VALUE: f64 = 44.0e6;
/// The share of the fuel that burns. Heywood, from memory.
const BURNS: f64 = 0.95;
/// Valve lift times diameter over bore squared, in the overlap factor of the residual gas. Assumed.
const VALVE_SIZE: f64 = 0.05;
/// Shares of residual gas that the model keeps to, whatever the correlation says.
const RESIDUALS: (f64, f64) = (0.02, 0.45);

/// The charge of one cycle and what is prepared for it.
#[derive(Clone, Debug)]
pub(super) struct Charge {
    /// Pressure in the manifold, and in the cylinder at −180°: neither ram nor late closing. Assumed.
    pub(super) pressure_pa: f64,
    pub(super) exhaust_pa: f64,
    pub(super) lambda: f64,
    pub(super) equivalence: f64,
    /// Mass share of residual gas.
    pub(super) residual: f64,
    /// The same as the correlation has it.
    pub(super) residual_unbounded: f64,
    /// Temperature at −180° in K.
    pub(super) temperature_k: f64,
    pub(super) mass_kg: f64,
    /// Heat that burning sets free, J.
    pub(super) heat_j: f64,
    /// How long a degree takes, s.
    pub(super) degree_s: f64,
    /// The octane number that counts.
    pub(super) octane: f64,
    pub(super) loss: HeatLoss,
    pub(super) knock: KnockRate,
}

impl Charge {
    /// The charge of an engine at a place, with corrections of the model.
    pub(super) fn new(description: &Description, cylinder: &Cylinder, place: Place, corrections: &Corrections) -> Self {
        let Place { speed_rpm, pressure_kpa, lambda } = place;
        let lambda = lambda.unwrap_or_else(|| description.lambda.lookup(pressure_kpa));
        let (pressure_pa, equivalence) = (pressure_kpa * 1e3, 1.0 / lambda);
        let exhaust_pa = exhaust_pa(description, speed_rpm, pressure_pa);
        let residual_unbounded =
            residual(description, cylinder, speed_rpm, pressure_pa / exhaust_pa, exhaust_pa, equivalence)
                * corrections.of(Unknown::Residual).exp();
        let residual = residual_unbounded.clamp(RESIDUALS.0, RESIDUALS.1);
        let temperature_k =
            trapped_k(description, speed_rpm, pressure_pa, residual) + corrections.of(Unknown::ChargeTemperature);
        let mass_kg = pressure_pa * cylinder.bottom_m3 / (GAS_CONSTANT * temperature_k);
        let air_kg = mass_kg * (1.0 - residual) / (1.0 + equivalence / STOICHIOMETRIC);
        let octane = effective_octane(description, lambda);
        let trapped_k_pa = cylinder.swept_m3 * temperature_k / (pressure_pa * cylinder.bottom_m3);
        Self {
            pressure_pa,
            exhaust_pa,
            lambda,
            equivalence,
            residual,
            residual_unbounded,
            temperature_k,
            mass_kg,
            heat_j: air_kg * HEATING_VALUE / STOICHIOMETRIC / lambda.max(1.0) * BURNS,
            degree_s: 1.0 / (6.0 * speed_rpm),
            octane,
            loss: HeatLoss::new(cylinder, speed_rpm, trapped_k_pa, corrections.of(Unknown::HeatLoss)),
            knock: KnockRate::new(octane, corrections.of(Unknown::KnockTime)),
        }
    }
}

/// Pressure in the exhaust, Pa: p₀ + 1 kPa + 20 kPa·(N/N rated)²·(p/p₀)², and before a turbine as much more as the boost.
/// Assumed.
fn exhaust_pa(description: &Description, speed_rpm: f64, pressure_pa: f64) -> f64 {
    let ambient_pa = description.ambient_pa();
    let flow = (speed_rpm / description.rated_speed_rpm * (pressure_pa / ambient_pa)).powi(2);
    let turbine_pa = match description.induction {
        Induction::Boosted => (pressure_pa - ambient_pa).max(0.0),
        Induction::NaturallyAspirated | Induction::Supercharged => 0.0,
    };
    ambient_pa + 1000.0 + 20_000.0 * flow + turbine_pa
}

/// Mass share of residual gas; `ratio` is manifold over exhaust pressure.
///
/// Fox, Cheng and Heywood, SAE 931025, 1993, from memory: what flows back during overlap and what fills the clearance. Only
/// its size was checked: 7.7 % at full load, 18 % at 40 kPa, 30 % at idle.
fn residual(
    description: &Description,
    cylinder: &Cylinder,
    speed_rpm: f64,
    ratio: f64,
    exhaust_pa: f64,
    equivalence: f64,
) -> f64 {
    let overlap = description.overlap_deg;
    let per_m = 1.45 / (cylinder.bore_m * 1e3) * (107.0 + 7.8 * overlap + overlap * overlap) * VALVE_SIZE;
    let across_bar = exhaust_pa * (1.0 - ratio) / 1e5;
    let flows_back =
        if across_bar > 0.0 { 1.266 * per_m / (speed_rpm / 60.0) * ratio.powf(-0.87) * across_bar.sqrt() } else { 0.0 };
    flows_back + 0.632 * equivalence.min(1.0) * ratio.powf(-0.74) / description.compression_ratio
}

/// Temperature in K of fresh charge, warmed a quarter of the way to the coolant and cooled 12 K by its fuel, mixed with
/// residual gas of a specific heat 1.15 times its own. Assumed.
fn trapped_k(description: &Description, speed_rpm: f64, pressure_pa: f64, residual: f64) -> f64 {
    let (intake_k, coolant_k) = (description.intake_air_k(), description.coolant_c + ZERO_CELSIUS_K);
    let fresh_k = intake_k + 0.25 * (coolant_k - intake_k) - 12.0;
    let residual_k = (600.0 + 250.0 * (pressure_pa / 1e5).sqrt() + 50.0 * speed_rpm / 1000.0).min(1300.0);
    let (fresh, old) = (1.0 - residual, 1.15 * residual);
    (fresh * fresh_k + old * residual_k) / (fresh + old)
}
