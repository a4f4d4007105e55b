//! Folding: parts of the evaluation that the unit does not have are put into the cells that are exported. The
//! project's own cells stay unchanged.

use super::ImageError;
use super::assemble::assemble;
use super::decode::decode_as_unit;
use super::number::{physical, quantise};
use crate::project::{Advance, Coverage, Covered, CoveredPart, Item, Origin, Project, Trim, Trims};
use crate::table::{Axis, Table};
use crate::wording::{Unit, point, settle, signed_quantity};

/// What a project folds into its exported table.
#[derive(Default)]
pub(super) struct Folding {
    /// `None` if nothing is folded.
    parts: Option<Project>,
    /// The trims as the image holds them: their weights are in it even where the trim is folded.
    held: Option<Trims>,
}

impl Folding {
    pub(super) fn of(project: &Project) -> Self {
        let any = CoveredPart::ALL.into_iter().any(|part| project.covered(part) == Covered::InTable);
        if !any {
            return Self::default();
        }
        match as_held(project) {
            Some((parts, held)) => Self { parts: Some(parts), held: Some(held) },
            None => Self { parts: Some(project.clone()), held: None },
        }
    }

    /// Whether a field or curve belongs to a trim or margin that is folded into the table, so that its items say
    /// nothing about the project: they are switched off and zero. A trim's weights are the project's own there too.
    pub(super) fn has(&self, path: &str) -> bool {
        let folded = [
            ("trims.coolant.", CoveredPart::CoolantTrim),
            ("trims.air.", CoveredPart::AirTrim),
            ("safety_margin.", CoveredPart::Margin),
        ];
        let is_weight = path.starts_with("trims.coolant.weight") || path.starts_with("trims.air.weight");
        !is_weight && folded.into_iter().any(|(group, part)| path.starts_with(group) && self.folds(part))
    }

    /// Puts the project's own weights in place of those read for a folded trim if the image holds what is exported for
    /// them: the cells were folded with the project's.
    pub(super) fn keep_weights(&self, own: &Trims, read: &mut Trims) {
        let Some(held) = &self.held else {
            return;
        };
        if self.folds(CoveredPart::CoolantTrim) && read.coolant.weight == held.coolant.weight {
            read.coolant.weight.clone_from(&own.coolant.weight);
        }
        if self.folds(CoveredPart::AirTrim) && read.air.weight == held.air.weight {
            read.air.weight.clone_from(&own.air.weight);
        }
    }

    /// The same with the weights that were read: with these the cells are folded again when they are exported.
    pub(super) fn with_weights(&self, read: &Trims) -> Self {
        let with = |parts: &Project| {
            parts.edit(|parts| {
                parts.trims.coolant.weight.clone_from(&read.coolant.weight);
                parts.trims.air.weight.clone_from(&read.air.weight);
            })
        };
        let parts = self.parts.as_ref().map(|parts| with(parts).unwrap_or_else(|_| parts.clone()));
        Self { parts, held: self.held.clone() }
    }

    /// Whether the unit applies a part itself.
    fn is_applied(&self, part: CoveredPart) -> bool {
        self.parts.as_ref().is_some_and(|parts| !matches!(parts.covered(part), Covered::InTable | Covered::NotApplied))
    }

    fn folds(&self, part: CoveredPart) -> bool {
        self.parts.as_ref().is_some_and(|parts| parts.covered(part) == Covered::InTable)
    }

    /// What is added to every cell of a load row, in degrees.
    fn added_deg(&self, load: f64) -> f64 {
        let Some(parts) = &self.parts else {
            return 0.0;
        };
        let margin = &parts.safety_margin;
        let of_trim = |part, trim: &Trim| match parts.image.coverage.of(part).at_c {
            Some(at_c) if trim.enabled && self.folds(part) => trim.degrees.lookup(at_c) * trim.weight.lookup(load),
            _ => 0.0,
        };
        let taken = if margin.enabled && self.folds(CoveredPart::Margin) { margin.degrees.lookup(load) } else { 0.0 };
        of_trim(CoveredPart::CoolantTrim, &parts.trims.coolant) + of_trim(CoveredPart::AirTrim, &parts.trims.air)
            - taken
    }

    /// A cell as it is exported: the addition is applied first, then the full-load line, then floor and
    /// ceiling.
    fn folded_deg(&self, speed_rpm: f64, load: f64, own_deg: f64) -> f64 {
        let Some(parts) = &self.parts else {
            return own_deg;
        };
        let added = self.added_deg(load);
        let mut deg = if added == 0.0 { own_deg } else { settle(own_deg + added) };
        let line = &parts.full_load_line;
        if line.enabled && self.folds(CoveredPart::FullLoadLine) && load >= line.from_load {
            let most = line.most_deg.lookup(speed_rpm) - line.less_deg.lookup(load);
            deg = deg.min(settle(most - self.most_trims_deg(load)));
        }
        if self.folds(CoveredPart::Clamp) {
            let clamp = &parts.limits.clamp;
            deg = deg.max(clamp.floor_deg).min(clamp.ceiling_deg);
        }
        deg
    }

    /// The most that trims which stay in the unit add at a load: the line applies to table and trims together.
    fn most_trims_deg(&self, load: f64) -> f64 {
        let of_trim = |part, trim: &Trim| {
            let is_left = trim.enabled && self.is_applied(part);
            let most = trim.degrees.values().iter().copied().fold(0.0, f64::max);
            if is_left { most * trim.weight.lookup(load) } else { 0.0 }
        };
        self.parts.as_ref().map_or(0.0, |parts| {
            of_trim(CoveredPart::CoolantTrim, &parts.trims.coolant) + of_trim(CoveredPart::AirTrim, &parts.trims.air)
        })
    }

    /// Recovers the project's own cells from those of an image over these axes, row by row. A cell that line,
    /// floor or ceiling cut off keeps the project's value if the image holds what would be exported for it.
    pub(super) fn taken_out(
        &self,
        own: &Table,
        (speed, load): (&Axis, &Axis),
        mut cells: Vec<f64>,
        item: &Item,
    ) -> Vec<f64> {
        if self.parts.is_none() {
            return cells;
        }
        let is_own_size = (speed.len(), load.len()) == (own.speed().len(), own.load().len());
        let places = load.breakpoints().iter().flat_map(|y| speed.breakpoints().iter().map(move |x| (*x, *y)));
        for (index, (cell, (speed_rpm, load))) in cells.iter_mut().zip(places).enumerate() {
            let added = self.added_deg(load);
            let own_deg = own.values().get(index).copied().filter(|_| is_own_size);
            let kept = own_deg.filter(|own_deg| {
                let folded = self.folded_deg(speed_rpm, load, *own_deg);
                let is_cut = (folded - (own_deg + added)).abs() > 1e-9;
                is_cut && quantise(folded, item).is_ok_and(|raw| physical(raw, item).to_bits() == cell.to_bits())
            });
            *cell = kept.unwrap_or_else(|| if added == 0.0 { *cell } else { settle(*cell - added) });
        }
        cells
    }
}

/// The project with its numbers as the image holds them: that is what a unit adds to the folded cells, and what
/// comes back when the image is read. Folded parts have no numbers in the image, apart from the weights of trims, and
/// stay as they are. Also all trims as the image holds them. `None` if the project does not make an image.
fn as_held(project: &Project) -> Option<(Project, Trims)> {
    let plain = project.as_state().edit(|parts| {
        parts.locked_timing_deg = None;
        parts.image.coverage = Coverage::default();
    });
    let plain = plain.ok()?;
    let held = decode_as_unit(&assemble(&plain).ok()?.bytes, &plain).ok()?;
    let is_folded = |part| project.covered(part) == Covered::InTable;
    let trims = held.trims.clone();
    let held = held.edit(|parts| {
        parts.image.coverage = project.image.coverage.clone();
        if is_folded(CoveredPart::CoolantTrim) {
            parts.trims.coolant = project.trims.coolant.clone();
        }
        if is_folded(CoveredPart::AirTrim) {
            parts.trims.air = project.trims.air.clone();
        }
        if is_folded(CoveredPart::Margin) {
            parts.safety_margin = project.safety_margin.clone();
        }
    });
    held.ok().map(|held| (held, trims))
}

/// The project as it is exported: what it folds is in the cells of its table. Trims and a margin that are folded are
/// switched off and have zero degrees.
///
/// # Errors
/// [`ImageError::Folding`] if a folded cell leaves the range of advance.
pub(super) fn as_exported(project: &Project) -> Result<Project, ImageError> {
    let folding = Folding::of(project);
    let Some(parts) = &folding.parts else {
        return Ok(project.clone());
    };
    let (own, held) = (project.advance.table(), parts.advance.table());
    let is_own_size = (held.speed().len(), held.load().len()) == (own.speed().len(), own.load().len());
    let axes = if is_own_size { held } else { own };
    let cells = own.cells().map(|cell| {
        let speed_rpm = axes.speed().breakpoints()[cell.speed];
        folding.folded_deg(speed_rpm, axes.load().breakpoints()[cell.load], own.at(cell))
    });
    let folded = |why: &dyn std::fmt::Display| ImageError::Folding { why: why.to_string() };
    let advance: Advance =
        project.advance.with_values(cells.collect(), Origin::Modelled).map_err(|error| folded(&error))?;
    let exported = project.edit(|parts| {
        parts.advance = advance;
        if folding.folds(CoveredPart::CoolantTrim) {
            parts.trims.coolant.enabled = false;
            parts.trims.coolant.degrees = parts.trims.coolant.degrees.level(0);
        }
        if folding.folds(CoveredPart::AirTrim) {
            parts.trims.air.enabled = false;
            parts.trims.air.degrees = parts.trims.air.degrees.level(0);
        }
        if folding.folds(CoveredPart::Margin) {
            parts.safety_margin.enabled = false;
            parts.safety_margin.degrees = parts.safety_margin.degrees.level(0);
        }
    });
    exported.map_err(|fault| folded(&fault))
}

/// The largest change by folding (exported less own) and where. `None` if nothing is folded or nothing changes.
pub fn largest_folding(project: &Project) -> Result<Option<(f64, f64, f64)>, ImageError> {
    let exported = as_exported(project)?;
    let (own, folded): (&Table, &Table) = (project.advance.table(), exported.advance.table());
    let changes = own.cells().map(|cell| {
        let place = (own.speed().breakpoints()[cell.speed], own.load().breakpoints()[cell.load]);
        (settle(folded.at(cell) - own.at(cell)), place.0, place.1)
    });
    Ok(changes.filter(|(deg, ..)| *deg != 0.0).max_by(|a, b| a.0.abs().total_cmp(&b.0.abs())))
}

/// What [`largest_folding`] found, as a sentence without a full stop.
pub fn folding_words((deg, speed_rpm, load): (f64, f64, f64), load_unit: Unit) -> String {
    let (most, place) = (signed_quantity(deg, Unit::Degree), point(speed_rpm, load, load_unit));
    format!("Folded into the exported cells: most {most} at {place}; the project's own cells stay")
}
