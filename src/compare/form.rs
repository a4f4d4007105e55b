//! Projects as trees that can be taken apart, and the way back.

use crate::project::{Advance, Fault, Project, ReadError, Step, Tree, TreeError, read};

/// The forms of three projects, without their snapshots and last exports.
///
/// # Errors
/// [`TreeError`] never for projects that exist.
pub(super) fn of_each(projects: &[Project; 3]) -> Result<[Tree; 3], TreeError> {
    let [a, b, c] = projects;
    Ok([Tree::of(&a.as_state())?, Tree::of(&b.as_state())?, Tree::of(&c.as_state())?])
}

/// The project of a form, with this advance table.
///
/// # Errors
/// [`Fault`] when the values do not fit together.
pub(super) fn project(form: Option<Tree>, advance: &Advance) -> Result<Project, Fault> {
    let internal = |what: &str| Fault::new("", format!("the project's form has no {what}"));
    let mut form = form.ok_or_else(|| internal("fields"))?;
    let place = form.at_mut(&[Step::Field("advance".into())]).ok_or_else(|| internal("advance table"))?;
    *place = Tree::of(advance).map_err(|error| Fault::new("advance", error.to_string()))?;
    read(form.to_string().as_bytes()).map_err(fault)
}

/// The place in the printed form means nothing to anyone; the field and the reason do.
fn fault(error: ReadError) -> Fault {
    match error {
        ReadError::Invalid { path, message, hint, .. } => Fault { path, message, hint },
        other => Fault::new("", other.to_string()),
    }
}
