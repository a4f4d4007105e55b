//! Remedies that need no judgement: the program carries them out as one labelled step.

use thiserror::Error;

use super::margin::exceeds;
use crate::project::{Advance, AdvanceError, Content, Fault, Item, Origin, Parts, PathError, Project, set_fields};
use crate::shaping::{self, Along, Bound, ShapingError};
use crate::table::{Axis, Cell, Curve, Selection, Table};
use crate::watch::Watch;
use crate::wording::{Unit, quantity, settle, shortest};

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
    /// Moves cells onto a smooth surface through their neighbours; if one still stands out, onto the chords
    /// between its neighbours.
    Fair {
        /// The cells that may move.
        cells: Vec<Cell>,
        /// How far, in degrees, a cell may lie from the chords between its neighbours, with the same sign in
        /// both directions.
        within_deg: f64,
    },
    /// Limits the slope at these cells.
    LimitSlope {
        /// The cells that may move; if that leaves no room for the limit, their whole rows or columns.
        cells: Vec<Cell>,
        /// How steep they may be.
        limit: SlopeLimit,
    },
    /// Gives cells values, degrees before TDC.
    Cells(Vec<(Cell, f64)>),
    /// Adds a breakpoint beyond the end of an axis: flat along speed; along load continuing the last rows, but
    /// never upwards.
    ExtendTo {
        /// Along which axis.
        along: Along,
        /// The new breakpoint, in axis units.
        at: f64,
    },
    /// Moves the last breakpoint of an axis to this point, with the values that [`Change::ExtendTo`] would put
    /// there.
    StretchTo {
        /// Along which axis.
        along: Along,
        /// The breakpoint, in axis units.
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
    /// Puts a threshold that the project has set back to its default.
    ForgetThreshold(String),
}

/// How steep a table may be along one axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SlopeLimit {
    /// Along speed, in degrees per 1000 rpm.
    Speed(f64),
    /// Along load, in degrees per unit of load: one limit below a certain load, another above it.
    Load {
        /// The load at which the limit changes.
        corner: f64,
        /// The limit below it.
        below: f64,
        /// The limit above it.
        above: f64,
    },
}

impl SlopeLimit {
    /// By how many degrees cells at two breakpoints of the axis may differ.
    pub(super) fn allowed_deg(self, low: f64, high: f64) -> f64 {
        match self {
            Self::Speed(per_1000rpm) => per_1000rpm * (high - low) / 1000.0,
            Self::Load { corner, below, above } => {
                let corner = corner.clamp(low, high);
                below * (corner - low) + above * (high - corner)
            }
        }
    }

    const fn along(self) -> Along {
        match self {
            Self::Speed(_) => Along::Speed,
            Self::Load { .. } => Along::Load,
        }
    }
}

/// Why a remedy cannot be carried out. The project is unchanged.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum Uncured {
    /// Every cell that would move is held.
    #[error("every cell it would move is held; release the cells first")]
    Held,
    /// The image has no room for a longer table.
    #[error("the image has no room for a longer table; move the last row or column instead, or make room in the image")]
    ImageSize,
    /// It would change nothing.
    #[error("it would change nothing")]
    Nothing,
    /// A tool refuses.
    #[error(transparent)]
    Shaping(#[from] ShapingError),
    /// A cell would leave the range of advance.
    #[error(transparent)]
    Advance(#[from] AdvanceError),
    /// A field does not accept its value.
    #[error(transparent)]
    Field(#[from] PathError),
    /// The project would be invalid.
    #[error(transparent)]
    Fault(#[from] Fault),
}

/// The strength with which cells are smoothed: high enough for neighbours far beyond the next ones to have an
/// influence.
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
        self.apply_watched(project, Watch::NOBODY)
    }

    /// As [`apply`](Self::apply), watched: long work asks before every round whether to go on.
    ///
    /// # Errors
    /// As from [`apply`](Self::apply), and [`ShapingError::Stopped`].
    pub fn apply_watched(&self, project: &Project, watch: Watch<'_>) -> Result<Project, Uncured> {
        let cured = self.change.apply(project, watch)?;
        if cured == *project { Err(Uncured::Nothing) } else { Ok(cured) }
    }
}

impl Change {
    /// The cells that it moves; none if it changes something else.
    pub fn cells(&self) -> Vec<Cell> {
        match self {
            Self::Fair { cells, .. } | Self::LimitSlope { cells, .. } => cells.clone(),
            Self::Cells(cells) => cells.iter().map(|(cell, _)| *cell).collect(),
            _ => Vec::new(),
        }
    }

    fn apply(&self, project: &Project, watch: Watch<'_>) -> Result<Project, Uncured> {
        if self.moves_only_held(project) {
            return Err(Uncured::Held);
        }
        let advance = &project.advance;
        let shaped = match self {
            Self::Fair { cells, within_deg } => faired(advance, cells, *within_deg, watch)?,
            Self::LimitSlope { cells, limit } => limited(advance, cells, *limit, watch)?,
            Self::Cells(cells) => with_cells(advance, cells)?,
            Self::ExtendTo { along, at } => {
                let longer = shaping::extend_axis(advance, *along, *at, project.limits.clamp.floor_deg)?;
                let after = project.with_advance(longer.advance)?;
                return if outgrows_image(project, &after) { Err(Uncured::ImageSize) } else { Ok(after) };
            }
            Self::StretchTo { along, at } => {
                shaping::stretch_axis(advance, *along, *at, project.limits.clamp.floor_deg)?.advance
            }
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

/// Smoothed first, which preserves the curvature of the surface; if a cell still stands out, the mean of the
/// chords is used.
fn faired(advance: &Advance, cells: &[Cell], within_deg: f64, watch: Watch<'_>) -> Result<Advance, Uncured> {
    let free = || cells.iter().filter(|cell| !advance.held().contains(**cell));
    let is_in = |smooth: &Advance| {
        free().all(|&cell| !exceeds(shaping::stands_out_deg(smooth.table(), cell).abs(), within_deg))
    };
    match shaping::smooth_watched(advance, &selection(advance, cells), FAIRING, watch) {
        Ok(smooth) if is_in(&smooth.advance) => return Ok(smooth.advance),
        Err(ShapingError::Stopped(stopped)) => return Err(ShapingError::from(stopped).into()),
        Ok(_) | Err(_) => {}
    }
    let free: Vec<Cell> = free().copied().collect();
    Ok(advance.with_values(between(advance.table(), &free, watch)?, Origin::Faired)?)
}

/// The values with these cells on the mean of the chords between their neighbours along speed and load, so that
/// none of them lies on the same side of both. Each cell in turn until nothing moves (Gauss and Seidel).
fn between(table: &Table, cells: &[Cell], watch: Watch<'_>) -> Result<Vec<f64>, ShapingError> {
    const MOST_SWEEPS: usize = 20_000;
    const STILL_DEG: f64 = 1e-11;
    let mut values = table.values().to_vec();
    // The neighbours of a cell with their weights in the mean.
    let around: Vec<(usize, Vec<(usize, f64)>)> =
        cells.iter().map(|&cell| (table.index(cell), neighbour_shares(table, cell))).collect();
    for sweep in 0..MOST_SWEEPS {
        watch.round(sweep, MOST_SWEEPS)?;
        let mut moved_deg: f64 = 0.0;
        for (at, shares) in &around {
            let mean: f64 = shares.iter().map(|(other, share)| share * values[*other]).sum();
            moved_deg = moved_deg.max((mean - values[*at]).abs());
            values[*at] = mean;
        }
        if moved_deg < STILL_DEG {
            break;
        }
    }
    around.iter().for_each(|(at, _)| values[*at] = settle(values[*at]));
    Ok(values)
}

/// The neighbours of a cell along both axes, with weights that average the two chords; the cell itself, with
/// weight 1, if it lies at an end of either axis and so lacks a chord.
fn neighbour_shares(table: &Table, cell: Cell) -> Vec<(usize, f64)> {
    let Cell { load, speed } = cell;
    let chord = |axis: &Axis, at: usize| {
        let around = axis.breakpoints().get(at.checked_sub(1)?..=at + 1)?;
        Some((around[1] - around[0]) / (around[2] - around[0]))
    };
    let (Some(along_speed), Some(along_load)) = (chord(table.speed(), speed), chord(table.load(), load)) else {
        return vec![(table.index(cell), 1.0)];
    };
    let half = |cell: Cell, share: f64| (table.index(cell), 0.5 * share);
    vec![
        half(Cell::new(load, speed - 1), 1.0 - along_speed),
        half(Cell::new(load, speed + 1), along_speed),
        half(Cell::new(load - 1, speed), 1.0 - along_load),
        half(Cell::new(load + 1, speed), along_load),
    ]
}

/// If possible only the cells asked for move; if neighbours that stay are too far apart for that, the whole
/// rows or columns of the cells asked for may move.
fn limited(advance: &Advance, cells: &[Cell], limit: SlopeLimit, watch: Watch<'_>) -> Result<Advance, ShapingError> {
    let allowed = |along: Along, low: f64, high: f64| {
        if along == limit.along() { limit.allowed_deg(low, high) } else { f64::INFINITY }
    };
    let only = selection(advance, cells);
    let shaped = match shaping::limit_slope_by(advance, &only, Bound::AndNeighbours, allowed, watch) {
        Err(ShapingError::SlopeForbidden { .. }) => {
            let is_in_line = |cell: &Cell| match limit.along() {
                Along::Speed => cells.iter().any(|of| of.load == cell.load),
                Along::Load => cells.iter().any(|of| of.speed == cell.speed),
            };
            let lines: Vec<Cell> = advance.table().cells().filter(is_in_line).collect();
            shaping::limit_slope_by(advance, &selection(advance, &lines), Bound::AndNeighbours, allowed, watch)
        }
        first => first,
    };
    Ok(shaped?.advance)
}

fn selection(advance: &Advance, cells: &[Cell]) -> Selection {
    let mut selection = Selection::none(advance.table().load().len(), advance.table().speed().len());
    selection.extend(cells.iter().copied());
    selection
}

/// Gives cells values; held cells keep theirs.
fn with_cells(advance: &Advance, cells: &[(Cell, f64)]) -> Result<Advance, AdvanceError> {
    let mut values = advance.table().values().to_vec();
    for &(cell, deg) in cells.iter().filter(|(cell, _)| !advance.held().contains(*cell)) {
        if let Some(value) = values.get_mut(advance.table().index(cell)) {
            *value = deg;
        }
    }
    advance.with_values(values, Origin::Faired)
}

/// Where an axis can get a breakpoint beyond its end: at `wanted`, or just far enough above it not to be too
/// close to the last one; `None` if the axis is full, or if that would be above `highest`.
fn extension(axis: &Axis, wanted: f64, highest: f64) -> Option<f64> {
    // Just over a hundredth of the span, so that even on the longer axis it is not too close.
    let clear = settle(axis.last() + axis.span() * 0.0101);
    [wanted, clear].into_iter().find(|&at| at <= highest && at >= wanted && axis.with_inserted(at).is_ok())
}

/// The remedy for a table that should reach a breakpoint: one more row or column there, or just above, if axis
/// and image have room; otherwise the last one is moved there. `None` if that would be above `highest`, or if
/// cells of the last one are held.
pub(super) fn reaching(project: &Project, along: Along, wanted: f64, highest: f64) -> Option<Cure> {
    let table = project.advance.table();
    let (axis, unit, line) = match along {
        Along::Speed => (table.speed(), Unit::Rpm, "column"),
        Along::Load => (table.load(), project.sensors.load.unit(), "row"),
    };
    if let Some(at) = extension(axis, wanted, highest) {
        let change = Change::ExtendTo { along, at };
        if !matches!(change.apply(project, Watch::NOBODY), Err(Uncured::ImageSize)) {
            return Some(Cure::new(format!("Extend the table to {}", quantity(at, unit)), change));
        }
    }
    let last = axis.len() - 1;
    let is_last = |cell: Cell| if along == Along::Speed { cell.speed == last } else { cell.load == last };
    if wanted > highest || project.advance.held().cells().any(is_last) || axis.with_moved(last, wanted).is_err() {
        return None;
    }
    let label = format!("Move the last {line} to {}", quantity(wanted, unit));
    Some(Cure::new(label, Change::StretchTo { along, at: wanted }))
}

/// Whether a longer table no longer fits the image as it is: its items would keep their size, and an export
/// would resample.
pub(super) fn outgrows_image(before: &Project, after: &Project) -> bool {
    let is_of_table =
        |item: &&Item| matches!(item.content, Content::AdvanceCells | Content::AdvanceSpeeds | Content::AdvanceLoads);
    let holds = |project: &Project, item: &Item| {
        let (size, table) = (project.content_size(item), project.advance.table());
        match item.content {
            Content::AdvanceSpeeds => size.speeds >= table.speed().len(),
            Content::AdvanceLoads => size.loads >= table.load().len(),
            _ => size.speeds >= table.speed().len() && size.loads >= table.load().len(),
        }
    };
    let mut items = before.image.items.iter().zip(&after.image.items).filter(|(item, _)| is_of_table(item));
    items.any(|(was, is)| holds(before, was) && !holds(after, is))
}
