//! The table as the unit will have it, next to what the project says.

use serde::Serialize;

use crate::command_line::Failure;
use crate::command_line::lookup::one::state_words;
use crate::image::{AsFlashed, FlashedUnit, as_flashed};
use crate::interchange::{CommandedAdvance, Evaluator, Fields, Input, Refusal};
use crate::project::Project;
use crate::spark::{Breakdown, Conditions};
use crate::wording::{Unit, change, fixed, point, settle, with_unit};

/// The advance table after rounding to counts.
pub(super) fn of(project: &Project) -> Result<AsFlashed, Failure> {
    as_flashed(project)
        .map_err(|error| Failure::Export(error.into()))?
        .ok_or_else(|| Failure::Usage("the project's image layout holds no advance table".into(), "lookup"))
}

/// The unit with the project's image in it.
pub(super) fn unit(project: &Project) -> Result<FlashedUnit, Failure> {
    FlashedUnit::of(project).map_err(|source| Failure::Unit(Box::new(source)))
}

/// One point of it.
#[derive(Serialize)]
pub(super) struct FlashedPoint {
    table_deg: f64,
    wanted_deg: f64,
    in_counts: bool,
    largest_difference: Largest,
    #[serde(flatten)]
    breakdown: Breakdown,
    #[serde(skip)]
    commanded_wanted_deg: f64,
    #[serde(skip)]
    decimals: usize,
}

#[derive(Serialize)]
struct Largest {
    deg: f64,
    speed_rpm: f64,
    load: f64,
}

impl FlashedPoint {
    /// What the unit commands at these conditions, where the project commands `wanted_deg`.
    pub(super) fn of(project: &Project, conditions: &Conditions, wanted_deg: f64) -> Result<Self, Failure> {
        let &Conditions { speed_rpm, load, .. } = conditions;
        let breakdown = unit(project)?.evaluation().lookup(conditions);
        let flashed = of(project)?;
        let largest = flashed.largest_difference();
        Ok(Self {
            breakdown,
            commanded_wanted_deg: wanted_deg,
            table_deg: settle(flashed.advance_deg(speed_rpm, load)),
            wanted_deg: project.advance.table().lookup(speed_rpm, load),
            in_counts: flashed.integer().is_some(),
            decimals: flashed.decimals(),
            largest_difference: Largest {
                deg: settle(largest.deg()),
                speed_rpm: largest.speed_rpm,
                load: largest.load,
            },
        })
    }

    pub(super) fn text(&self, load_unit: Unit, decimals: usize) -> String {
        let how = if self.in_counts { "in counts" } else { "in floating point" };
        let degrees = |text: String| with_unit(&text, Unit::Degree);
        let [table, wanted] = [self.table_deg, self.wanted_deg].map(|deg| degrees(fixed(deg, decimals)));
        let Largest { deg, speed_rpm, load } = self.largest_difference;
        let largest = degrees(change(deg, decimals));
        let [commanded, project] =
            [self.breakdown.commanded_deg, self.commanded_wanted_deg].map(|deg| degrees(fixed(deg, decimals)));
        format!(
            "\nAs flashed, {how}, the table gives  {table}  for {wanted}.\nLargest difference {largest} at {}.\n\
             As flashed, the unit commands  {commanded}  for {project}.\n{}\n",
            point(speed_rpm, load, load_unit),
            state_words(&self.breakdown)
        )
    }

    /// The decimals that show every count of the unit's table.
    pub(super) const fn decimals(&self) -> usize {
        self.decimals
    }
}

/// What the project commands, followed by the table as the unit computes it, the unit's state and what the unit
/// commands.
#[derive(Clone)]
pub(super) struct WithFlashed<'a> {
    pub(super) commanded: CommandedAdvance<'a>,
    pub(super) flashed: AsFlashed,
    pub(super) unit: CommandedAdvance<'a>,
}

impl Evaluator for WithFlashed<'_> {
    fn inputs(&self) -> &'static [Input] {
        self.commanded.inputs()
    }

    fn outputs(&self) -> &'static [&'static str] {
        &["table_deg", "state", "commanded_deg", "flashed_deg", "flashed_state", "flashed_commanded_deg"]
    }

    fn evaluate(&self, values: &[Option<f64>], fields: &mut Fields<'_>) -> Result<(), Refusal> {
        self.commanded.evaluate(values, fields)?;
        if let [Some(speed_rpm), Some(load), ..] = *values {
            fields.number(settle(self.flashed.advance_deg(speed_rpm, load)));
        }
        if let Some(found) = self.unit.breakdown(values) {
            fields.word(found.state.name());
            fields.number(settle(found.commanded_deg));
        }
        Ok(())
    }
}
