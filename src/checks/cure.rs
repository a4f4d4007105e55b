//! Remedies that need no thought: the program carries them out as one labelled step.

use thiserror::Error;

use crate::project::{Advance, AdvanceError, Fault, Origin, Parts, PathError, Project, set_fields};
use crate::shaping::{self, Along, Extension, ShapingError, Side};
use crate::table::{Cell, Curve, Selection, shortest};

/// A remedy that the program can carry out.
#[derive(Clone, Debug, PartialEq)]
pub struct Cure {
    /// What it does, the label of the step: 'Set the tachometer to 2 pulses per revolution'.
    pub label: String,
    /// The change.
    pub change: Change,
}

/// A mechanical change to a project.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// Puts cells on a fair surface through their neighbours.
    Fair(Vec<Cell>),
    /// Limits the slope at these cells.
    LimitSlope {
        /// The cells that may move.
        cells: Vec<Cell>,
        /// Along which axis.
        along: Along,
        /// Degrees per 1000 rpm, or per unit of load.
        limit: f64,
    },
    /// Gives cells values, degrees before TDC.
    Cells(Vec<(Cell, f64)>),
    /// Adds a breakpoint beyond the end of an axis: flat along speed, straight on along load where that falls.
    ExtendTo {
        /// Along which axis.
        along: Along,
        /// The new breakpoint, in axis units.
        at: f64,
    },
    /// Sets fields by their paths.
    Fields(Vec<(String, f64)>),
    /// Another coolant trim.
    CoolantTrim(Curve),
    /// Another air trim.
    AirTrim(Curve),
    /// Another dwell.
    Dwell(Curve),
    /// Forgets a threshold that the project has of its own.
    ForgetThreshold(String),
}

/// Why a remedy cannot be carried out. The project is as it was.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum Uncured {
    /// Every cell that would move is held.
    #[error("every cell it would move is held; release the cells first")]
    Held,
    /// It would change nothing.
    #[error("it would change nothing")]
    Nothing,
    /// A tool refuses.
    #[error(transparent)]
    Shaping(#[from] ShapingError),
    /// A cell would leave the range of advance.
    #[error(transparent)]
    Advance(#[from] AdvanceError),
    /// A field refuses.
    #[error(transparent)]
    Field(#[from] PathError),
    /// The project would not be valid.
    #[error(transparent)]
    Fault(#[from] Fault),
}

/// No limit worth the name, in degrees per axis unit: the other axis is left alone.
const UNLIMITED: f64 = 1e6;
/// The strength with which cells are faired: neighbours far beyond the next ones count.
const FAIRING: f64 = 10.0;

impl Cure {
    pub(super) fn new(label: impl Into<String>, change: Change) -> Self {
        Self { label: label.into(), change }
    }

    /// The project after the remedy.
    ///
    /// # Errors
    /// [`Uncured`] when held cells or ranges forbid it.
    pub fn apply(&self, project: &Project) -> Result<Project, Uncured> {
        let cured = self.change.apply(project)?;
        if cured == *project { Err(Uncured::Nothing) } else { Ok(cured) }
    }
}

impl Change {
    /// The cells it moves; none when it changes something else.
    pub fn cells(&self) -> Vec<Cell> {
        match self {
            Self::Fair(cells) | Self::LimitSlope { cells, .. } => cells.clone(),
            Self::Cells(cells) => cells.iter().map(|(cell, _)| *cell).collect(),
            _ => Vec::new(),
        }
    }

    fn apply(&self, project: &Project) -> Result<Project, Uncured> {
        if self.moves_only_held(project) {
            return Err(Uncured::Held);
        }
        let advance = &project.advance;
        let shaped = match self {
            Self::Fair(cells) => shaping::smooth(advance, &selection(advance, cells), FAIRING)?.advance,
            Self::LimitSlope { cells, along: Along::Speed, limit } => {
                shaping::limit_slope(advance, &selection(advance, cells), *limit, UNLIMITED)?.advance
            }
            Self::LimitSlope { cells, along: Along::Load, limit } => {
                shaping::limit_slope(advance, &selection(advance, cells), UNLIMITED, *limit)?.advance
            }
            Self::Cells(cells) => with_cells(advance, cells)?,
            Self::ExtendTo { along, at } => extended(project, *along, *at)?,
            Self::Fields(fields) => {
                let texts: Vec<String> = fields.iter().map(|(_, value)| shortest(*value)).collect();
                let pairs: Vec<(&str, &str)> =
                    fields.iter().zip(&texts).map(|((path, _), text)| (path.as_str(), text.as_str())).collect();
                return Ok(set_fields(project, &pairs)?);
            }
            Self::CoolantTrim(curve) => return edit(project, |parts| parts.trims.coolant.degrees = curve.clone()),
            Self::AirTrim(curve) => return edit(project, |parts| parts.trims.air.degrees = curve.clone()),
            Self::Dwell(curve) => return edit(project, |parts| parts.coil.dwell_ms = curve.clone()),
            Self::ForgetThreshold(name) => {
                return edit(project, |parts| _ = parts.checks.thresholds.remove(name));
            }
        };
        Ok(project.with_advance(shaped)?)
    }

    fn moves_only_held(&self, project: &Project) -> bool {
        let cells = self.cells();
        !cells.is_empty() && cells.iter().all(|&cell| project.advance.held().contains(cell))
    }
}

fn edit(project: &Project, change: impl FnOnce(&mut Parts)) -> Result<Project, Uncured> {
    Ok(project.edit(change)?)
}

fn selection(advance: &Advance, cells: &[Cell]) -> Selection {
    let mut selection = Selection::none(advance.table().load().len(), advance.table().speed().len());
    selection.extend(cells.iter().copied());
    selection
}

/// Held cells stay.
fn with_cells(advance: &Advance, cells: &[(Cell, f64)]) -> Result<Advance, AdvanceError> {
    let mut values = advance.table().values().to_vec();
    for &(cell, deg) in cells.iter().filter(|(cell, _)| !advance.held().contains(*cell)) {
        if let Some(value) = values.get_mut(advance.table().index(cell)) {
            *value = deg;
        }
    }
    advance.with_values(values, Origin::Smoothed)
}

fn extended(project: &Project, along: Along, at: f64) -> Result<Advance, ShapingError> {
    let longer = shaping::insert_breakpoint(&project.advance, along, at)?.advance;
    if along == Along::Speed {
        return Ok(longer);
    }
    // Straight on, but never up: more pressure never bears more advance.
    let table = longer.table();
    let top = table.load().len().saturating_sub(1);
    let mut falling = Selection::none(table.load().len(), table.speed().len());
    let falls = |speed: &usize| top >= 2 && table.at(Cell::new(top - 1, *speed)) < table.at(Cell::new(top - 2, *speed));
    falling.extend((0..table.speed().len()).filter(falls).map(|speed| Cell::new(top, speed)));
    if falling.is_empty() {
        return Ok(longer);
    }
    Ok(shaping::extend(&longer, &falling, Side::HighLoad, Extension::Linear)?.advance)
}
