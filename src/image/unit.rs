//! The unit with an image in it: what it commands, found from the bytes and from how it gets what they do not
//! hold.

use std::sync::Arc;

use super::as_flashed::{AsFlashed, as_flashed_in};
use super::decode::decode_as_unit;
use super::{DecodeError, encode};
use crate::project::{ADVANCE_RANGE_DEG, Content, Covered, CoveredPart, CutPattern, Parts, Project};
use crate::spark::{Evaluation, TableLookup};

/// Which of a unit's features are assumed to be on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Features {
    /// Those that the image or the project says are on.
    AsSaid,
    /// Also those whose switch the image does not hold: a unit that applies everything that it finds numbers
    /// for.
    All,
}

/// The unit with an image in it.
#[derive(Clone, Debug)]
pub struct FlashedUnit {
    project: Project,
    /// The table in the unit's own arithmetic; `None` if cells or axes are floating point, or the image does not hold
    /// all of them.
    table: Option<Arc<AsFlashed>>,
}

impl FlashedUnit {
    /// The unit with the bytes of an image in `project`'s layout. Whatever has an item comes from the bytes,
    /// what is folded is in the cells, what the unit does not apply is left out, and what is set by hand is
    /// assumed to be as in the project.
    ///
    /// # Errors
    /// [`DecodeError`] if the bytes do not make a valid project.
    pub fn with_image(project: &Project, bytes: &[u8], features: Features) -> Result<Self, DecodeError> {
        // A locked-timing copy must have exactly its locked advance in every cell, which rounded cells need not
        // have; so the mark goes.
        let plain = project.as_state().edit(|parts| parts.locked_timing_deg = None)?;
        let table = as_flashed_in(&plain, bytes)?.filter(|table| table.integer().is_some()).map(Arc::new);
        let read = decode_as_unit(bytes, &plain)?;
        let project = read.edit(|parts| {
            CoveredPart::ALL.into_iter().for_each(|part| leave_out(parts, part, &plain));
            if features == Features::All {
                switch_on(parts, &plain);
            }
        })?;
        Ok(Self { project, table })
    }

    /// The unit with the image that the project makes.
    ///
    /// # Errors
    /// [`DecodeError`] if it does not make one.
    pub fn of(project: &Project) -> Result<Self, DecodeError> {
        Self::with_image(project, &encode(project)?.bytes, Features::AsSaid)
    }

    /// The project as the unit has it.
    pub const fn project(&self) -> &Project {
        &self.project
    }

    /// The table in the unit's own arithmetic, if there is one.
    pub fn table(&self) -> Option<&Arc<AsFlashed>> {
        self.table.as_ref()
    }

    /// For the rig: the project as the unit has it, and its table if the unit computes that in its own way.
    pub fn on_the_rig(&self) -> (&Project, Option<Arc<dyn TableLookup>>) {
        (&self.project, self.table.clone().map(|table| table as Arc<dyn TableLookup>))
    }

    /// What it commands.
    pub fn evaluation(&self) -> Evaluation<'_> {
        match &self.table {
            Some(table) => Evaluation::with_table(&self.project, Arc::<AsFlashed>::clone(table)),
            None => Evaluation::new(&self.project),
        }
    }
}

/// Removes what the unit does not apply, or has in its table already. `own` is the project that says so.
fn leave_out(parts: &mut Parts, part: CoveredPart, own: &Parts) {
    let is_folded = match own.covered(part) {
        Covered::InTable => true,
        Covered::NotApplied => false,
        _ => return,
    };
    let limits = &mut parts.limits;
    match part {
        CoveredPart::CoolantTrim => parts.trims.coolant.enabled = false,
        CoveredPart::AirTrim => parts.trims.air.enabled = false,
        // A unit without weights applies its trim in full at every load.
        CoveredPart::CoolantWeight => parts.trims.coolant.weight = parts.trims.coolant.weight.level(1),
        CoveredPart::AirWeight => parts.trims.air.weight = parts.trims.air.weight.level(1),
        CoveredPart::Cranking => {
            let cranking = &mut limits.cranking;
            (cranking.no_spark_below_rpm, cranking.below_rpm) = (0.0, 0.0);
            (cranking.leave_at_rpm, cranking.blend_rpm) = (0.0, 0.0);
        }
        CoveredPart::CrankingBlend => limits.cranking.blend_rpm = 0.0,
        CoveredPart::Launch => limits.launch.enabled = false,
        CoveredPart::Easing => limits.over_speed.eases_by_deg = 0.0,
        // Easing leads up to the cut, so both are off without it.
        CoveredPart::Cut => limits.over_speed.enabled = false,
        CoveredPart::SecondCut => limits.over_speed.pattern = CutPattern::All,
        CoveredPart::Margin => parts.safety_margin.enabled = false,
        CoveredPart::Clamp => {
            // The exported cells are already within a folded bound, but if the bound also has an item, the unit
            // still applies it.
            let has_item = |path: &str| is_folded && holds(own, path);
            if !has_item("limits.clamp.floor_deg") {
                limits.clamp.floor_deg = ADVANCE_RANGE_DEG.0;
            }
            if !has_item("limits.clamp.ceiling_deg") {
                limits.clamp.ceiling_deg = ADVANCE_RANGE_DEG.1;
            }
        }
        CoveredPart::Outputs => parts.outputs.iter_mut().for_each(|output| output.enabled = false),
        CoveredPart::Tachometer => parts.tachometer.enabled = false,
        CoveredPart::Table | CoveredPart::FullLoadLine | CoveredPart::Dwell | CoveredPart::Trigger => {}
    }
}

fn holds(parts: &Parts, path: &str) -> bool {
    parts.image.items.iter().any(|item| item.content == Content::Field && item.field == path)
}

/// Switches on every feature for whose switch the image has no item.
fn switch_on(parts: &mut Parts, own: &Parts) {
    let is_free =
        |part, path| !matches!(own.covered(part), Covered::InTable | Covered::NotApplied) && !holds(own, path);
    let limits = &mut parts.limits;
    let switches = [
        (CoveredPart::CoolantTrim, "trims.coolant.enabled", &mut parts.trims.coolant.enabled),
        (CoveredPart::AirTrim, "trims.air.enabled", &mut parts.trims.air.enabled),
        (CoveredPart::Margin, "safety_margin.enabled", &mut parts.safety_margin.enabled),
        (CoveredPart::Launch, "limits.launch.enabled", &mut limits.launch.enabled),
        (CoveredPart::Cut, "limits.over_speed.enabled", &mut limits.over_speed.enabled),
    ];
    for (part, path, is_on) in switches {
        if is_free(part, path) {
            *is_on = true;
        }
    }
}
