//! The first advance table of a project: from the distributor that the engine had, from the engine itself, or from the
//! project of one like it.

mod distributor;
mod engine;
mod verdict;

use std::fmt::Write;

use crate::combustion::{Description, UNTESTED};
use crate::project::{Advance, LoadKind, Origin, Project};
use crate::table::{Cell, Selection, Table};
use crate::watch::Watch;
use crate::wording::{Refusal, Unit, count, figure, one_line, quantity, settle, signed_quantity};
use crate::worksheet::{ProjectOpinion, WhatIf};

pub use distributor::{Centrifugal, Depression, Distributor, DistributorParts, Port, Terms, Vacuum};
pub use verdict::FirstTableVerdict;

/// A first table, ready to be one step of a project.
#[derive(Clone, Debug)]
pub struct FirstTable {
    /// The project with it.
    pub project: Project,
    /// What the step is called.
    pub label: String,
    /// What it means, the most serious first.
    pub verdicts: Vec<FirstTableVerdict>,
    /// What was assumed for it, a sentence each.
    pub assumed: Vec<String>,
}

/// Full load gets no more from a distributor. Common practice, no source.
const MOST_AT_FULL_LOAD_DEG: f64 = 36.0;
/// From idle up the engine's own table takes over from the starting table between these speeds above idle, rpm. Common
/// practice, no source.
const TAKES_OVER_RPM: (f64, f64) = (300.0, 1200.0);

impl FirstTable {
    /// The table that a distributor gave.
    ///
    /// # Errors
    /// [`Refusal`] for what is no distributor.
    pub fn from_distributor(project: &Project, own: &Distributor) -> Result<Self, Refusal> {
        own.check()?;
        let fitted = distributor::Fitted::new(own, project);
        let clamp = &project.limits.clamp;
        let line = &project.full_load_line;
        let deg = |speed_rpm: f64, load: f64| {
            let total_deg = fitted.parts(speed_rpm, load).total_deg();
            let most_deg =
                if load >= line.from_load { MOST_AT_FULL_LOAD_DEG.min(clamp.ceiling_deg) } else { clamp.ceiling_deg };
            total_deg.min(most_deg).max(clamp.floor_deg)
        };
        let table = project.advance.table();
        let origins = vec![Origin::Starter; table.values().len()];
        let advance = on_step(project, &deg, origins)?;
        let assumed = assumed_of_distributor(project, own);
        let note = format!(
            "First table from the distributor: initial {} at {}, weights to {} at {}{}.",
            quantity(own.initial_deg, Unit::Degree),
            quantity(own.initial_rpm, Unit::Rpm),
            quantity(settle(own.centrifugal_deg(own.ends_at_rpm())), Unit::Degree),
            quantity(own.ends_at_rpm(), Unit::Rpm),
            if own.vacuum.points.is_empty() { ", no capsule" } else { ", with its capsule" }
        );
        let verdicts = FirstTableVerdict::of_distributor(project, &fitted);
        Self::made(project, advance, "the distributor", &note, verdicts, assumed)
    }

    /// The table that the engine's description gives: what is recommended less 4°, faired under the full-load line and what
    /// is recommended, and near idle and wherever there is no opinion the starting table of a new project.
    ///
    /// # Errors
    /// [`Refusal`] if its watch stops it.
    pub fn from_engine(project: &Project, watch: Watch<'_>) -> Result<Self, Refusal> {
        let opinion = ProjectOpinion::of(project, WhatIf::default(), watch)?;
        let places = opinion.of_table(project, watch)?;
        let starter = project.starting_table()?;
        let (faired, origins) = engine::table(project, &starter, &places, watch)?;
        let advance = fresh(faired.table(), origins)?;
        let refused = places.iter().filter(|place| place.opinion.is_err()).count();
        let far = FirstTableVerdict::far_from_starter(project, &starter, &advance);
        let verdicts = FirstTableVerdict::of_engine(refused, places.len(), far, opinion.calibrated.is_some());
        let mut assumed: Vec<String> = opinion.assumed.iter().map(|own| format!("{}.", own.words)).collect();
        assumed.push(format!("{} below what is recommended.", quantity(engine::BELOW_RECOMMENDED_DEG, Unit::Degree)));
        let tested = if opinion.calibrated.is_some() { "calibrated by measured points" } else { UNTESTED };
        let note = format!("First table from the engine's description by the second opinion, {}", lower_tail(tested));
        Self::made(project, advance, "the engine's description", &note, verdicts, assumed)
    }

    /// The table of another project, looked up at this one's breakpoints.
    ///
    /// # Errors
    /// [`Refusal`] where the other has the other kind of load.
    pub fn from_project(project: &Project, other: &Project) -> Result<Self, Refusal> {
        let (own, theirs) = (project.sensors.load, other.sensors.load);
        if own != theirs {
            let words = format!("the other table is over {}, this one over {}", theirs.name(), own.name());
            let remedy = "convert its load first: sparkloft convert-load";
            return Err(Refusal::new(words).remedy(remedy));
        }
        let source = &other.advance;
        let table = Table::from_fn(
            project.advance.table().speed().clone(),
            project.advance.table().load().clone(),
            |speed_rpm, load| settle(source.table().lookup(speed_rpm, load)),
        );
        let table = table?;
        let origin = |cell: Cell| {
            let (speed_rpm, load) = place_of(&table, cell);
            match source.origin_at(speed_rpm, load) {
                Origin::Extended => Origin::Extended,
                _ => Origin::Starter,
            }
        };
        let origins: Vec<Origin> = table.cells().map(origin).collect();
        let beyond = origins.iter().filter(|origin| **origin == Origin::Extended).count();
        let advance = fresh(&table, origins)?;
        let name = one_line(&other.name).into_owned();
        let verdicts = FirstTableVerdict::of_other(project, other, beyond);
        let note = format!("First table from the project '{name}'.");
        Self::made(project, advance, &format!("'{name}'"), &note, verdicts, Vec::new())
    }

    fn made(
        project: &Project,
        advance: Advance,
        from: &str,
        note: &str,
        verdicts: Vec<FirstTableVerdict>,
        assumed: Vec<String>,
    ) -> Result<Self, Refusal> {
        let notes = noted(&project.notes, note, &assumed);
        let after = project.edit(|parts| {
            parts.advance = advance;
            parts.notes = notes;
        });
        let label = format!("Make the first table from {from}");
        Ok(Self { project: after?, label, verdicts, assumed })
    }
}

/// The most characters of a project's notes.
const MOST_NOTES: usize = 20_000;

/// The notes with where the table came from, which the setup sheet prints. Where there is no room for it they stay.
fn noted(notes: &str, note: &str, assumed: &[String]) -> String {
    let mut text = notes.trim_end().to_owned();
    if !text.is_empty() {
        text.push('\n');
    }
    text.push_str(note);
    if !assumed.is_empty() {
        let _ = write!(text, " Assumed: {}", assumed.join(" "));
    }
    if text.chars().count() > MOST_NOTES { notes.to_owned() } else { text }
}

fn lower_tail(sentence: &str) -> String {
    let ends = if sentence.ends_with('.') { "" } else { "." };
    crate::wording::lower_first(sentence) + ends
}

fn place_of(table: &Table, cell: Cell) -> (f64, f64) {
    (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load])
}

/// Away from advance to the project's step.
fn down(project: &Project, deg: f64) -> f64 {
    settle((deg / project.step_deg + 1e-9).floor() * project.step_deg)
}

/// A table over the project's breakpoints, its cells on the step and none held.
fn on_step(project: &Project, deg: &impl Fn(f64, f64) -> f64, origins: Vec<Origin>) -> Result<Advance, Refusal> {
    let (speeds, loads) = (project.advance.table().speed().clone(), project.advance.table().load().clone());
    let table = Table::from_fn(speeds, loads, |speed_rpm, load| down(project, deg(speed_rpm, load)))?;
    fresh(&table, origins)
}

fn fresh(table: &Table, origins: Vec<Origin>) -> Result<Advance, Refusal> {
    let none = Selection::none(table.load().len(), table.speed().len());
    Ok(Advance::new(table.clone(), none, origins)?)
}

fn assumed_of_distributor(project: &Project, own: &Distributor) -> Vec<String> {
    let mut assumed = Vec::new();
    if project.sensors.load == LoadKind::Throttle {
        assumed.push(
            "How the throttle fills the manifold is guessed from the displacement: fit it from a log.".to_owned(),
        );
    }
    if own.octane_then_ron.is_none() {
        assumed.push("The fuel is no worse than the one the distributor was made for.".to_owned());
    }
    if own.band_deg > 0.0 {
        let half = signed_quantity(own.band_deg / 2.0, Unit::Degree);
        assumed
            .push(format!("The curves are the middle of what the worn unit does; it scatters by {half} either way."));
    }
    assumed
}

/// The largest difference of two tables over the same breakpoints, with its place: first less second, degrees.
fn largest_difference(first: &Table, second: &Table) -> Option<(f64, Cell)> {
    let off = |cell: &Cell| first.at(*cell) - second.at(*cell);
    let cell = first.cells().max_by(|a, b| off(a).abs().total_cmp(&off(b).abs()))?;
    Some((off(&cell), cell))
}

/// What of an engine decides its advance, and differs: 'compression ratio 9.5:1 there, 10.5:1 here'.
fn engine_differences(project: &Project, other: &Project) -> Vec<String> {
    let (own, theirs) = (Description::of(project), Description::of(other));
    let numbers = [
        ("compression ratio", theirs.compression_ratio, own.compression_ratio, Unit::ToOne),
        ("fuel", theirs.octane_ron, own.octane_ron, Unit::Ron),
        ("displacement", theirs.displacement_l, own.displacement_l, Unit::Litre),
        ("valve overlap", theirs.overlap_deg, own.overlap_deg, Unit::Degree),
        ("idle speed", other.engine.idle_speed_rpm, project.engine.idle_speed_rpm, Unit::Rpm),
        ("highest pressure", other.engine.highest_pressure_kpa, project.engine.highest_pressure_kpa, Unit::Kilopascal),
    ];
    let differ = numbers.into_iter().filter(|(_, there, here, _)| there != here);
    let told = |(what, there, here, unit): (&str, f64, f64, Unit)| {
        format!("{what} {} there, {} here", quantity(there, unit), quantity(here, unit))
    };
    let mut differences: Vec<String> = differ.map(told).collect();
    if theirs.chamber != own.chamber {
        differences.push(format!("chamber {} there, {} here", theirs.chamber.words(), own.chamber.words()));
    }
    if theirs.induction != own.induction {
        differences.push("another induction".to_owned());
    }
    differences
}

/// '12 of 256 cells'.
fn share_words(cells: usize, of: usize) -> String {
    format!("{cells} of {}", count(of, "cell"))
}

/// A difference at a place: '+9.50° at 3000 rpm, 60 kPa'.
fn difference_words(project: &Project, (deg, cell): (f64, Cell)) -> String {
    let (speed_rpm, load) = place_of(project.advance.table(), cell);
    let at = crate::wording::point(speed_rpm, load, project.sensors.load.unit());
    format!("{} at {at}", figure(deg.abs(), Unit::Degree))
}
