//! Every change to the document that a view may ask for, as data: what is to be done, not how it was typed or
//! clicked.

mod compare_edit;
mod curve_edit;
mod curve_kind;
mod evidence_edit;
mod image_edit;
mod output_edit;
mod reading_edit;
mod run_edit;

pub use compare_edit::SnapshotEdit;
pub use compare_edit::{MergeEdit, TakeBackEdit, TakenParts, cell_key, decision_key, resolve};
pub use curve_edit::CurveEdit;
pub use curve_kind::{CurveOf, CurveWords, Direction};
pub use evidence_edit::{EvidenceEdit, brought_words};
pub use image_edit::ImageEdit;
pub use output_edit::OutputEdit;
pub use reading_edit::WorksheetEdit;
pub use reading_edit::{ReadingEdit, are_stale, kept_rows, shown_rows};
pub use run_edit::{EditedRun, RowsEdit, RunEdit};

use crate::checks::{Finding, Threshold, accept, take_back_acceptance};
use crate::project::{Advance, LoadKind, Project, set_fields};
use crate::wording::Refusal;

/// A change to the document, to become one labelled step.
#[derive(Clone, Debug, PartialEq)]
pub enum DocumentEdit {
    /// Plain values for fields, given by path.
    SetFields(Vec<(String, String)>),
    /// Confirm the assumed values at these paths, which are called this in words.
    Confirm(Vec<String>, String),
    /// A whole table in the place of the old one.
    ReplaceTable(Box<Advance>),
    /// The other kind of load, which resets what is defined over load.
    ChangeLoad(LoadKind),
    /// The number of cylinders, with whatever depends on it.
    SetCylinders(u8),
    /// Another firing order, with the coil pairs that follow from it.
    SetFiringOrder(Vec<u8>),
    /// A wheel with that many tooth places, that many of them missing.
    SetWheel(u16, u16),
    /// The reference of the trigger, degrees.
    SetReference(f64),
    /// The full-load line computed from the engine's figures.
    ComputeLine,
    /// The value of a threshold, and why it may let more pass.
    SetThreshold(&'static Threshold, f64, String),
    /// Accept a finding, with a reason.
    AcceptFinding(Box<Finding>, String),
    /// Make an accepted finding count again.
    TakeBackAcceptance(Box<Finding>),
    /// The result of a worksheet.
    Worksheet(Box<WorksheetEdit>),
    /// Timing-light readings.
    Readings(ReadingEdit),
    /// A change to a curve.
    Curve(CurveOf, CurveEdit),
    /// Switched outputs.
    Outputs(OutputEdit),
    /// The layout of the image, and how each part reaches the unit.
    Image(ImageEdit),
    /// Runs of the project.
    Runs(RunEdit),
    /// What was measured on the engine.
    Evidence(EvidenceEdit),
    /// Snapshots.
    Snapshots(SnapshotEdit),
    /// Take parts of the base back.
    TakeBack(Box<TakeBackEdit>),
    /// Merge another version into the project.
    Merge(Box<MergeEdit>),
}

impl DocumentEdit {
    /// A field by its path, and its plain value.
    pub fn set_field(path: impl Into<String>, plain: impl Into<String>) -> Self {
        Self::SetFields(vec![(path.into(), plain.into())])
    }

    /// The project with the change.
    ///
    /// # Errors
    /// Why it is not possible, with the value and what is allowed; the project is unchanged.
    pub fn apply(&self, project: &Project) -> Result<Project, Refusal> {
        match self {
            Self::SetFields(values) => {
                let values: Vec<(&str, &str)> = values.iter().map(|(path, plain)| (&**path, &**plain)).collect();
                set_fields(project, &values).map_err(Refusal::from)
            }
            Self::Confirm(paths, what) => {
                let paths: Vec<&str> = paths.iter().map(String::as_str).collect();
                let confirmed = project.with_confirmed(&paths, what);
                confirmed.map(|(_, after)| after).ok_or_else(|| Refusal::new(format!("{what} is confirmed already")))
            }
            Self::ReplaceTable(table) => project.with_advance(Advance::clone(table)).map_err(Refusal::from),
            Self::ChangeLoad(kind) => project.with_load_kind(*kind).map(|made| made.1),
            Self::SetCylinders(count) => project.with_cylinders(*count).map(|made| made.1),
            Self::SetFiringOrder(order) => project.with_firing_order(order).map(|made| made.1),
            Self::SetWheel(teeth, missing) => {
                let edited = project.edit(|parts| {
                    (parts.trigger.wheel.teeth, parts.trigger.wheel.missing) = (*teeth, *missing);
                });
                edited.map_err(|fault| Refusal::new(fault.message))
            }
            Self::SetReference(deg) => project.edit(|parts| parts.trigger.reference_deg = *deg).map_err(Refusal::from),
            Self::ComputeLine => {
                let computed = project.with_computed_line()?;
                computed.map(|made| made.1).ok_or_else(|| Refusal::new("the line is computed already"))
            }
            Self::SetThreshold(threshold, value, reason) => {
                threshold.set(project, *value, reason).map(|(after, _)| after).map_err(Refusal::from)
            }
            Self::AcceptFinding(finding, reason) => {
                accept(project, finding, reason).map(|(after, _)| after).map_err(Refusal::from)
            }
            Self::TakeBackAcceptance(finding) => {
                take_back_acceptance(project, finding).map(|(after, _)| after).map_err(Refusal::from)
            }
            Self::Worksheet(edit) => edit.apply(project),
            Self::Readings(edit) => edit.apply(project),
            Self::Curve(of, edit) => edit.apply(project, *of),
            Self::Outputs(edit) => edit.apply(project),
            Self::Image(edit) => edit.apply(project),
            Self::Runs(edit) => edit.apply(project),
            Self::Evidence(edit) => edit.apply(project),
            Self::Snapshots(edit) => edit.apply(project),
            Self::TakeBack(edit) => edit.apply(project),
            Self::Merge(edit) => edit.apply(project),
        }
    }
}

/// Conversions from each kind of edit, so that a view names only its own kind.
macro_rules! edits {
    ($($variant:ident($edit:ty)),*) => {$(
        impl From<$edit> for DocumentEdit {
            fn from(edit: $edit) -> Self {
                Self::$variant(edit.into())
            }
        }
    )*};
}

edits!(
    Worksheet(WorksheetEdit),
    Readings(ReadingEdit),
    Outputs(OutputEdit),
    Image(ImageEdit),
    Runs(RunEdit),
    Evidence(EvidenceEdit),
    Snapshots(SnapshotEdit),
    TakeBack(TakeBackEdit),
    Merge(MergeEdit)
);
