//! Conditions → breakdown.

use std::fmt;
use std::sync::Arc;

use super::{Breakdown, Conditions, Contributions, Memory, Situation};
use crate::project::{Limits, Parts, Project, Trim};
use crate::table::Lookup;

/// A project prepared for many evaluations.
#[derive(Clone, Debug)]
pub struct Evaluation<'a> {
    parts: &'a Parts,
    table: TableAt,
}

/// A table that computes in its own way, as a control unit does.
pub trait TableLookup: fmt::Debug + Send + Sync {
    /// The advance in degrees before TDC at a speed in rpm and a load, both clamped to the axes.
    fn table_deg(&self, speed_rpm: f64, load: f64) -> f64;
}

#[derive(Clone, Debug)]
enum TableAt {
    /// Bilinear between the project's cells.
    Exact(Lookup),
    /// As a control unit computes it.
    Unit(Arc<dyn TableLookup>),
}

impl<'a> Evaluation<'a> {
    /// Prepares a project.
    pub fn new(project: &'a Project) -> Self {
        Self { parts: project, table: TableAt::Exact(Lookup::new(project.advance.table())) }
    }

    /// Prepares a project whose table is looked up as a control unit computes it.
    pub fn with_table(project: &'a Project, table: Arc<dyn TableLookup>) -> Self {
        Self { parts: project, table: TableAt::Unit(table) }
    }

    /// The project's parts.
    pub fn parts(&self) -> &'a Parts {
        self.parts
    }

    /// The spark at these conditions for a unit without memory: as if the speed were rising and launch armed.
    ///
    /// ```
    /// use sparkloft::project::SAMPLES;
    /// use sparkloft::spark::{Conditions, Evaluation};
    ///
    /// let project = SAMPLES[0].project()?;
    /// let conditions = Conditions { speed_rpm: 3000.0, load: 60.0, coolant_c: Some(85.0), ..Conditions::default() };
    /// let spark = Evaluation::new(&project).lookup(&conditions);
    /// assert!(spark.fires && (spark.contributions.sum() - spark.commanded_deg).abs() < 1e-9);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn lookup(&self, conditions: &Conditions) -> Breakdown {
        self.breakdown(conditions, Situation::rising(self.parts, conditions))
    }

    /// The spark at these conditions for a unit that remembers what came before.
    pub fn step(&self, memory: &mut Memory, conditions: &Conditions) -> Breakdown {
        let situation = memory.observe(self.parts, conditions);
        self.breakdown(conditions, situation)
    }

    /// The spark in a situation already known.
    ///
    /// Running: table, trims, ramp out of cranking, launch, over-speed, safety margin; otherwise the cranking
    /// advance alone. The sum is then limited to floor and ceiling; if those were the wrong way round the
    /// ceiling would win, since too much advance breaks engines.
    pub fn breakdown(&self, conditions: &Conditions, situation: Situation) -> Breakdown {
        self.breakdown_over(self.table_deg(conditions.speed_rpm, conditions.load), conditions, situation)
    }

    /// The same where [`Evaluation::table_deg`] at the speed and load is known: for many temperatures at one point.
    pub fn breakdown_over(&self, table_deg: f64, conditions: &Conditions, situation: Situation) -> Breakdown {
        let limits = &self.parts.limits;
        let mut contributions = if situation.state.is_cranking_or_stopped() {
            cranking_alone(limits)
        } else {
            self.running(table_deg, conditions, situation.launching)
        };
        let sum = contributions.sum();
        let commanded_deg = sum.max(limits.clamp.floor_deg).min(limits.clamp.ceiling_deg);
        contributions.clamp = commanded_deg - sum;
        let Situation { state, cut, .. } = situation;
        Breakdown { state, fires: state.fires(), cut, contributions, commanded_deg }
    }

    /// Table and trims alone at these conditions, whatever the state and the limits: the part of the advance
    /// before any limit.
    pub fn table_and_trims(&self, conditions: &Conditions) -> Contributions {
        self.trims_over(self.table_deg(conditions.speed_rpm, conditions.load), conditions)
    }

    fn trims_over(&self, table_deg: f64, conditions: &Conditions) -> Contributions {
        let load = conditions.load;
        let trims = &self.parts.trims;
        Contributions {
            table: table_deg,
            coolant_trim: trim_deg(&trims.coolant, conditions.coolant_c, load),
            air_trim: trim_deg(&trims.air, conditions.air_c, load),
            ..Contributions::default()
        }
    }

    /// The table alone at a speed in rpm and a load, in degrees before TDC.
    #[inline]
    pub fn table_deg(&self, speed_rpm: f64, load: f64) -> f64 {
        match &self.table {
            TableAt::Exact(table) => table.at(speed_rpm, load),
            TableAt::Unit(table) => table.table_deg(speed_rpm, load),
        }
    }

    fn running(&self, table_deg: f64, conditions: &Conditions, launching: bool) -> Contributions {
        let &Conditions { speed_rpm, load, .. } = conditions;
        let limits = &self.parts.limits;
        let mut sum = self.trims_over(table_deg, conditions);
        let cranking = &limits.cranking;
        let left = ramp(speed_rpm, cranking.leave_at_rpm, cranking.leave_at_rpm + cranking.blend_rpm);
        sum.blend = (1.0 - left) * (cranking.advance_deg - sum.sum());
        if launching {
            let launch = &limits.launch;
            let held_back = ramp(speed_rpm, launch.retards_from_rpm, launch.cuts_at_rpm);
            sum.launch = (held_back * (launch.advance_deg - sum.sum())).min(0.0);
        }
        let over = &limits.over_speed;
        if over.enabled {
            sum.over_speed = -(over.eases_by_deg * ramp(speed_rpm, over.eases_from_rpm, over.cuts_at_rpm));
        }
        let margin = &self.parts.safety_margin;
        if margin.enabled {
            sum.margin = -margin.degrees.lookup(load);
        }
        sum
    }
}

fn cranking_alone(limits: &Limits) -> Contributions {
    Contributions {
        cranking: limits.cranking.advance_deg,
        coolant_trim: Some(0.0),
        air_trim: Some(0.0),
        ..Contributions::default()
    }
}

/// Degrees at the temperature × weight at the load; `None` without a temperature, 0 when switched off.
fn trim_deg(trim: &Trim, temperature_c: Option<f64>, load: f64) -> Option<f64> {
    if !trim.enabled {
        return Some(0.0);
    }
    temperature_c.map(|temperature_c| trim.degrees.lookup(temperature_c) * trim.weight.lookup(load))
}

/// 0 up to `from`, 1 from `to`, linear between; where `to` is not above `from` a step at `to`.
fn ramp(x: f64, from: f64, to: f64) -> f64 {
    if to > from { ((x - from) / (to - from)).clamp(0.0, 1.0) } else { f64::from(u8::from(x >= to)) }
}
