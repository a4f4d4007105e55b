//! The second opinion on one place of the table, with how far it may be off.

use super::belief::{Belief, Corrections, SIGMAS_OF_8_IN_10, UNKNOWNS, Unknown};
use super::cell::{Cell, SWEEP_DEG};
use super::charge::Charge;
use super::cycle::Fired;
use super::geometry::Cylinder;
use super::throttle;
use super::{Description, KnockLimit, Load, NoOpinion, Place};

/// What bounds the recommended advance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitedBy {
    /// Best torque.
    Torque,
    /// Knock.
    Knock,
}

impl LimitedBy {
    /// Its name in files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Torque => "torque",
            Self::Knock => "knock",
        }
    }
}

/// What one spark gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SparkGives {
    /// The spark, degrees before top dead centre.
    pub advance_deg: f64,
    /// The share of the best torque that it loses, 0 to 1.
    pub loss: f64,
    /// Where half of the charge has burnt, degrees after top dead centre.
    pub half_burnt_deg: f64,
    /// Where the pressure peaks, degrees after top dead centre.
    pub peak_pressure_deg: f64,
    /// The peak of the pressure in kPa.
    pub peak_pressure_kpa: f64,
    /// The knock integral; it knocks from 1 on.
    pub knock_integral: f64,
    /// Crank angle from the spark until a tenth has burnt, degrees.
    pub burn_delay_deg: f64,
    /// Crank angle from there until nine tenths have burnt, degrees.
    pub burn_main_deg: f64,
    /// The hottest that the end gas becomes, K.
    pub hottest_end_gas_k: f64,
    /// The share of the heat that the walls take, 0 to 1.
    pub heat_lost: f64,
}

/// The opinion on one place of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellOpinion {
    /// Manifold pressure in kPa.
    pub pressure_kpa: f64,
    /// λ that was reckoned with.
    pub lambda: f64,
    /// Mass share of residual gas.
    pub residual: f64,
    /// Temperature of the charge before compression, K.
    pub charge_temperature_k: f64,
    /// Mass of the charge in one cylinder, mg.
    pub charge_mg: f64,
    /// The octane number that counts, corrected for induction and mixture.
    pub octane: f64,
    /// Indicated mean pressure of the closed cycle at best torque, kPa.
    pub indicated_kpa: f64,
    /// Advance of best torque, degrees before top dead centre.
    pub best_torque_deg: f64,
    /// How far that may be off, as a standard deviation in degrees.
    pub best_torque_sigma_deg: f64,
    /// The knock limit.
    pub knock: KnockLimit,
    /// How far ln of the knock integral may be off, as a standard deviation.
    pub knock_sigma_ln: f64,
    /// The knock limit if the knock integral is one standard deviation larger.
    pub knock_lower: KnockLimit,
    /// Between these the limit lies in 8 cases of 10.
    pub knock_band: (KnockLimit, KnockLimit),
    /// 1° less than best torque, 3° less than the knock limit, and no more than its lower bound; degrees before top dead
    /// centre.
    pub recommended_deg: f64,
    /// What bounds it.
    pub limited_by: LimitedBy,
    /// What the spark of best torque gives.
    pub at_best: SparkGives,
    /// What the table's own spark gives.
    pub own: SparkGives,
}

impl CellOpinion {
    /// Between these, in degrees, best torque lies in 8 cases of 10.
    pub fn best_torque_band(&self) -> (f64, f64) {
        let reach = SIGMAS_OF_8_IN_10 * self.best_torque_sigma_deg;
        (self.best_torque_deg - reach, self.best_torque_deg + reach)
    }

    /// Degrees in hand: the lower knock limit less the greatest advance that the engine gets there. `None` where nothing
    /// knocks.
    pub fn in_hand_deg(&self, most_advance_deg: f64) -> Option<f64> {
        self.knock_lower.deg().map(|limit_deg| limit_deg - most_advance_deg)
    }
}

/// So much less than best torque is recommended: it costs less than 0.1 % of torque.
const BELOW_BEST_DEG: f64 = 1.0;
/// So much less than the knock limit is recommended at least. Assumed.
const BELOW_KNOCK_DEG: f64 = 3.0;
/// A correction is moved by so many of its standard deviations.
const MOVED_SIGMAS: f64 = 0.5;
/// Pressure by throttle may be off by this factor either way, as a standard deviation. Assumed.
const THROTTLE_FACTOR: f64 = 1.15;
/// Above this pressure in kPa ln of the knock integral may be off by so much more. Assumed.
const MUCH_BOOST: (f64, f64) = (150.0, 0.10);
/// Above this share of residual gas best torque may be off by twice as much. Assumed.
const MUCH_RESIDUAL: f64 = 0.22;
/// Half burnt at best torque is here in most engines, degrees after top dead centre; half of what the model differs from
/// it counts as its error. Heywood, 1988, ch. 9, from memory; the half is assumed.
const USUAL_HALF_BURNT_DEG: f64 = 9.0;

/// A second opinion on an engine.
#[derive(Clone, Debug)]
pub struct SecondOpinion {
    description: Description,
    cylinder: Cylinder,
    belief: Belief,
    refusal: Option<NoOpinion>,
}

impl SecondOpinion {
    /// On a described engine, with what is believed of it. Where the description itself allows no opinion, every place is
    /// refused with that reason.
    pub fn new(description: Description, belief: Belief) -> Self {
        let refusal = NoOpinion::on_engine(&description);
        let cylinder = Cylinder::new(&description);
        Self { description, cylinder, belief, refusal }
    }

    /// Whether measured points stand behind it.
    pub fn is_calibrated(&self) -> bool {
        self.belief.is_calibrated()
    }

    /// What is believed of the engine.
    pub const fn belief(&self) -> &Belief {
        &self.belief
    }

    /// The engine that it is on.
    pub const fn description(&self) -> &Description {
        &self.description
    }

    /// The opinion on a speed and a load, and on a spark there in degrees before top dead centre.
    ///
    /// # Errors
    /// [`NoOpinion`] where the model has nothing to say, with the reason.
    pub fn at(&self, speed_rpm: f64, load: Load, own_deg: f64) -> Result<CellOpinion, NoOpinion> {
        let place = self.place(speed_rpm, load)?;
        let cell = self.cell(place, &self.belief.mean);
        NoOpinion::on_charge(&cell.charge)?;
        let sweep = cell.sweep();
        let best_torque_deg = cell.best_torque_deg(&sweep);
        NoOpinion::on_best_torque(best_torque_deg)?;
        let at_best = cell.fire(best_torque_deg);
        NoOpinion::on_peak_pressure(at_best.peak_pa)?;
        let knock = cell.knock_limit(&sweep);
        let looked_at = Looked { best_torque_deg, knock_deg: knock_looked_at_deg(knock, best_torque_deg) };
        let (best_torque_sigma_deg, knock_sigma_ln) = self.sigmas(place, load, &cell, looked_at, &at_best);
        let bound = |sigmas: f64| sweep.knock_limit(sigmas * knock_sigma_ln);
        let knock_lower = bound(-1.0);
        let (recommended_deg, limited_by) = recommended(best_torque_deg, knock, knock_lower)?;
        let gives = |advance_deg: f64, fired: Fired| gives(advance_deg, &fired, at_best.net_pa, &cell.charge);
        Ok(CellOpinion {
            pressure_kpa: place.pressure_kpa,
            lambda: cell.charge.lambda,
            residual: cell.charge.residual,
            charge_temperature_k: cell.charge.temperature_k,
            charge_mg: 1e6 * cell.charge.mass_kg,
            octane: cell.charge.octane,
            indicated_kpa: at_best.indicated_pa / 1e3,
            best_torque_deg,
            best_torque_sigma_deg,
            knock,
            knock_sigma_ln,
            knock_lower,
            knock_band: (bound(-SIGMAS_OF_8_IN_10), bound(SIGMAS_OF_8_IN_10)),
            recommended_deg,
            limited_by,
            at_best: gives(best_torque_deg, at_best),
            own: gives(own_deg, cell.fire(own_deg)),
        })
    }

    /// The knock integral of a spark in degrees before top dead centre: it knocks from 1 on.
    ///
    /// # Errors
    /// [`NoOpinion`] where the model has nothing to say of the place.
    pub fn knock_integral(&self, speed_rpm: f64, load: Load, advance_deg: f64) -> Result<f64, NoOpinion> {
        let cell = self.cell(self.place(speed_rpm, load)?, &self.belief.mean);
        NoOpinion::on_charge(&cell.charge)?;
        Ok(cell.fire(advance_deg).knock_integral)
    }

    /// The advance of best torque in degrees before top dead centre, and the manifold pressure in kPa, alone.
    ///
    /// # Errors
    /// [`NoOpinion`] where the model has nothing to say.
    pub fn best_torque(&self, speed_rpm: f64, load: Load) -> Result<(f64, f64), NoOpinion> {
        let place = self.place(speed_rpm, load)?;
        let cell = self.cell(place, &self.belief.mean);
        NoOpinion::on_charge(&cell.charge)?;
        let best_torque_deg = cell.best_torque_deg(&cell.sweep());
        NoOpinion::on_best_torque(best_torque_deg)?;
        Ok((best_torque_deg, place.pressure_kpa))
    }

    /// The place of a speed and a load.
    ///
    /// # Errors
    /// [`NoOpinion`] for an engine, a speed or a load on which there is no opinion.
    pub(super) fn place(&self, speed_rpm: f64, load: Load) -> Result<Place, NoOpinion> {
        if let Some(refusal) = &self.refusal {
            return Err(refusal.clone());
        }
        let pressure_kpa = match load {
            Load::PressureKpa(pressure_kpa) => pressure_kpa,
            Load::ThrottlePct(_) if self.description.induction.is_boosted() => return Err(NoOpinion::ThrottleOfBoost),
            Load::ThrottlePct(opening_pct) => {
                throttle::pressure_kpa(&self.description, opening_pct, speed_rpm).ok_or(NoOpinion::ThrottleClosed)?
            }
        };
        NoOpinion::on_place(&self.description, speed_rpm, pressure_kpa)?;
        Ok(Place { speed_rpm, pressure_kpa, lambda: None })
    }

    pub(super) fn cell(&self, place: Place, corrections: &Corrections) -> Cell<'_> {
        Cell::new(&self.description, &self.cylinder, place, corrections)
    }

    /// How far best torque in degrees and ln of the knock integral may be off.
    fn sigmas(&self, place: Place, load: Load, cell: &Cell<'_>, at: Looked, at_best: &Fired) -> (f64, f64) {
        let base = at.seen(cell, Some(at_best));
        let (mut best_slopes, mut knock_slopes) = ([0.0; UNKNOWNS.len()], [0.0; UNKNOWNS.len()]);
        for unknown in UNKNOWNS {
            let by = MOVED_SIGMAS * unknown.prior_sigma();
            let slot = unknown.index();
            if unknown == Unknown::KnockTime {
                // Exactly so: the integral is inversely proportional to the delay.
                knock_slopes[slot] = -1.0;
                continue;
            }
            let seen = at.seen(&self.cell(place, &self.belief.mean.moved(unknown, by)), None);
            best_slopes[slot] = (seen.best_torque_deg - base.best_torque_deg) / by;
            knock_slopes[slot] = (seen.knock_ln - base.knock_ln) / by;
        }
        let belief = &self.belief;
        let (by_throttle_deg, by_throttle_ln) = self.throttle_spread(place, load, at);
        let best = belief.variance_along(&best_slopes)
            + belief.best_torque_discrepancy(place.speed_rpm, place.pressure_kpa)
            + (0.5 * (at_best.half_burnt_deg - USUAL_HALF_BURNT_DEG)).powi(2)
            + by_throttle_deg.powi(2);
        let knock = belief.variance_along(&knock_slopes)
            + belief.knock_discrepancy(place.speed_rpm, place.pressure_kpa)
            + by_throttle_ln.powi(2);
        let doubled = if cell.charge.residual > MUCH_RESIDUAL { 2.0 } else { 1.0 };
        let boosted = if place.pressure_kpa > MUCH_BOOST.0 { MUCH_BOOST.1 } else { 0.0 };
        (doubled * best.sqrt(), knock.sqrt() + boosted)
    }

    /// How far both are apart if the pressure that stands for a throttle opening is off either way, halved.
    fn throttle_spread(&self, place: Place, load: Load, at: Looked) -> (f64, f64) {
        if matches!(load, Load::PressureKpa(_)) {
            return (0.0, 0.0);
        }
        let seen = |pressure_kpa: f64| at.seen(&self.cell(Place { pressure_kpa, ..place }, &self.belief.mean), None);
        let (low, high) = (seen(place.pressure_kpa / THROTTLE_FACTOR), seen(place.pressure_kpa * THROTTLE_FACTOR));
        (0.5 * (high.best_torque_deg - low.best_torque_deg).abs(), 0.5 * (high.knock_ln - low.knock_ln).abs())
    }
}

/// Where knock is looked at: at its limit, or at best torque where there is none.
fn knock_looked_at_deg(knock: KnockLimit, best_torque_deg: f64) -> f64 {
    let (first, last) = (SWEEP_DEG[0], SWEEP_DEG[SWEEP_DEG.len() - 1]);
    knock.deg().map_or(best_torque_deg, |deg| deg.clamp(first, last))
}

/// The advances in whose cycles the effect of a correction is looked at.
#[derive(Clone, Copy, Debug)]
struct Looked {
    best_torque_deg: f64,
    knock_deg: f64,
}

/// What was seen there.
struct Seen {
    best_torque_deg: f64,
    knock_ln: f64,
}

impl Looked {
    /// `at_best` is the middle cycle if it was run before.
    fn seen(self, cell: &Cell<'_>, at_best: Option<&Fired>) -> Seen {
        let at_best = at_best.copied().unwrap_or_else(|| cell.fire(self.best_torque_deg));
        Seen {
            best_torque_deg: cell.best_torque_around_deg(self.best_torque_deg, &at_best),
            knock_ln: cell.fire(self.knock_deg).knock_ln(),
        }
    }
}

/// The recommended advance and what bounds it.
fn recommended(best_torque_deg: f64, knock: KnockLimit, lower: KnockLimit) -> Result<(f64, LimitedBy), NoOpinion> {
    if knock == KnockLimit::Always {
        return Err(NoOpinion::KnocksAlways);
    }
    if lower == KnockLimit::Always {
        return Err(NoOpinion::MayKnockAlways);
    }
    let for_torque = best_torque_deg - BELOW_BEST_DEG;
    let below_limit = knock.deg().map_or(f64::INFINITY, |deg| deg - BELOW_KNOCK_DEG);
    let for_knock = lower.deg().map_or(below_limit, |deg| deg.min(below_limit));
    if for_knock < for_torque { Ok((for_knock, LimitedBy::Knock)) } else { Ok((for_torque, LimitedBy::Torque)) }
}

fn gives(advance_deg: f64, fired: &Fired, best_pa: f64, charge: &Charge) -> SparkGives {
    SparkGives {
        advance_deg,
        loss: 1.0 - fired.net_pa / best_pa,
        half_burnt_deg: fired.half_burnt_deg,
        peak_pressure_deg: fired.peak_deg,
        peak_pressure_kpa: fired.peak_pa / 1e3,
        knock_integral: fired.knock_integral,
        burn_delay_deg: fired.angles.delay_deg,
        burn_main_deg: fired.angles.main_deg,
        hottest_end_gas_k: fired.hottest_k,
        heat_lost: fired.lost_j / charge.heat_j,
    }
}
