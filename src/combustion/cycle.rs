//! One fired cycle: what a spark gives.

use super::burn::{AT_50_PCT, AT_90_PCT, BurnAngles, Wiebe};
use super::charge::Charge;
use super::gas::end_gas_exponent;
use super::geometry::{Cylinder, FIRST_DEG, STEPS, grid_deg};
use super::knock::FROM_DEG;
use super::motored::{Gas, Motored, MotoredAt, on_grid};

/// Where the pressure's peak is looked for, degrees after top dead centre.
const PEAK_WITHIN_DEG: (f64, f64) = (-40.0, 90.0);
/// Friction grows by this share of the peak pressure. Chen and Flynn, SAE 650733, 1965.
const PEAK_FRICTION: f64 = 0.005;

/// What one cycle gave.
#[derive(Clone, Copy, Debug)]
pub(super) struct Fired {
    /// Indicated mean pressure of the closed cycle, Pa.
    pub(super) indicated_pa: f64,
    /// The same less pumping and the friction that comes from peak pressure: proportional to torque but for a constant.
    pub(super) net_pa: f64,
    /// Where half the charge has burnt, degrees after top dead centre.
    pub(super) half_burnt_deg: f64,
    pub(super) peak_pa: f64,
    /// Where the pressure peaks, degrees after top dead centre.
    pub(super) peak_deg: f64,
    /// The knock integral: it knocks from 1 on.
    pub(super) knock_integral: f64,
    /// How long it burnt.
    pub(super) angles: BurnAngles,
    /// The hottest that the end gas becomes, K.
    pub(super) hottest_k: f64,
    /// Heat lost to the walls, J.
    pub(super) lost_j: f64,
}

impl Fired {
    /// ln of the knock integral; far below any limit where nothing would ever knock.
    pub(super) fn knock_ln(&self) -> f64 {
        self.knock_integral.max(1e-9).ln()
    }
}

/// A cycle underway.
struct Underway {
    gas: Gas,
    burnt: f64,
    work_j: f64,
    lost_j: f64,
    peak: Peak,
    end_gas: EndGas,
}

/// Runs a cycle whose charge is lit at a crank angle in degrees and burns for these angles. Up to the spark it is the
/// motored one; everything after is smooth in the spark. The end gas is followed until 90 % have burnt: what is left then
/// is taken not to knock (assumed).
pub(super) fn fire(
    cylinder: &Cylinder,
    charge: &Charge,
    motored: &Motored,
    spark_at_deg: f64,
    angles: BurnAngles,
    gamma: impl Fn(f64) -> f64 + Copy,
) -> Fired {
    let (first, _) = on_grid(spark_at_deg);
    let wiebe = Wiebe::new(spark_at_deg, angles);
    let ends_deg = wiebe.deg_at(AT_90_PCT);
    let lit = motored.before(first);
    let mut now = Underway {
        gas: lit.gas,
        burnt: 0.0,
        work_j: lit.work_j,
        lost_j: lit.lost_j,
        peak: Peak::before(motored, first),
        end_gas: EndGas::new(lit),
    };
    for at in first..STEPS {
        let over_pa = now.gas.pressure_pa - motored.before(at).gas.pressure_pa;
        let burnt = wiebe.burnt(grid_deg(at + 1));
        let freed_j = charge.heat_j * (burnt - now.burnt);
        let stepped = now.gas.step(&cylinder.steps[at], charge, gamma, over_pa, freed_j);
        if grid_deg(at) < ends_deg {
            now.end_gas.follow(charge, at, spark_at_deg, ends_deg, (&now.gas, &stepped.gas));
        }
        now.peak.see(at, now.gas.pressure_pa, stepped.gas.pressure_pa);
        now.work_j += stepped.work_j;
        now.lost_j += stepped.lost_j;
        (now.gas, now.burnt) = (stepped.gas, burnt);
    }
    now.finished(cylinder, charge, (angles, wiebe))
}

impl Underway {
    fn finished(self, cylinder: &Cylinder, charge: &Charge, (angles, wiebe): (BurnAngles, Wiebe)) -> Fired {
        let last_m3 = cylinder.steps.last().map_or(cylinder.bottom_m3, |step| step.ends_m3);
        // From the opening of the exhaust valve the pressure falls to that of the exhaust.
        let blown_j = 0.5 * (self.gas.pressure_pa + charge.exhaust_pa) * (cylinder.volume_m3(-FIRST_DEG) - last_m3);
        let indicated_pa = (self.work_j + blown_j) / cylinder.swept_m3;
        Fired {
            indicated_pa,
            net_pa: indicated_pa - PEAK_FRICTION * self.peak.pressure_pa - (charge.exhaust_pa - charge.pressure_pa),
            half_burnt_deg: wiebe.deg_at(AT_50_PCT),
            peak_pa: self.peak.pressure_pa,
            peak_deg: self.peak.deg,
            knock_integral: self.end_gas.integral,
            angles,
            hottest_k: self.end_gas.hottest_k,
            lost_j: self.lost_j,
        }
    }
}

/// The highest local maximum of the pressure, by a parabola through three pressures of the grid.
struct Peak {
    before_pa: f64,
    highest_pa: f64,
    pressure_pa: f64,
    deg: f64,
}

impl Peak {
    /// What the motored cycle saw before a step.
    fn before(motored: &Motored, first: usize) -> Self {
        let pressure_pa = |at: usize| motored.before(at).gas.pressure_pa;
        let mut peak = Self { before_pa: pressure_pa(0), highest_pa: 0.0, pressure_pa: 0.0, deg: 0.0 };
        (0..first).for_each(|at| peak.see(at, pressure_pa(at), pressure_pa(at + 1)));
        peak
    }

    fn see(&mut self, at: usize, now_pa: f64, next_pa: f64) {
        let (deg, before_pa) = (grid_deg(at), self.before_pa);
        self.before_pa = now_pa;
        let is_top = now_pa >= before_pa && now_pa > next_pa && now_pa > self.highest_pa;
        if !is_top || deg <= PEAK_WITHIN_DEG.0 || deg >= PEAK_WITHIN_DEG.1 {
            return;
        }
        let share = 0.5 * (before_pa - next_pa) / (before_pa - 2.0 * now_pa + next_pa);
        self.highest_pa = now_pa;
        self.pressure_pa = now_pa - 0.25 * (before_pa - next_pa) * share;
        self.deg = deg + share;
    }
}

/// The unburnt gas and its knock integral.
struct EndGas {
    temperature_ln: f64,
    temperature_k: f64,
    rate: f64,
    integral: f64,
    hottest_k: f64,
}

impl EndGas {
    fn new(lit: &MotoredAt) -> Self {
        let temperature_k = lit.gas.temperature_k;
        Self {
            temperature_ln: temperature_k.ln(),
            temperature_k,
            rate: lit.knock_rate,
            integral: lit.knock,
            hottest_k: temperature_k,
        }
    }

    /// One degree: compressed without loss after the spark, as all of the charge before it, and no further than to where
    /// the gas has burnt.
    fn follow(&mut self, charge: &Charge, at: usize, spark_at_deg: f64, ends_deg: f64, (from, to): (&Gas, &Gas)) {
        let lit = (grid_deg(at + 1) - spark_at_deg).clamp(0.0, 1.0);
        self.temperature_ln += lit * end_gas_exponent(self.temperature_k) * (to.pressure_ln - from.pressure_ln);
        if lit < 1.0 {
            self.temperature_ln += (1.0 - lit) * (to.temperature_k / from.temperature_k).ln();
        }
        self.temperature_k = self.temperature_ln.exp();
        if grid_deg(at + 1) <= FROM_DEG {
            return;
        }
        let share = (ends_deg - grid_deg(at)).min(1.0);
        let rate = charge.knock.per_s(to.pressure_ln, self.temperature_k);
        self.integral += (self.rate + 0.5 * share * (rate - self.rate)) * share * charge.degree_s;
        self.rate = rate;
        self.hottest_k = self.hottest_k.max(self.temperature_k);
    }
}
