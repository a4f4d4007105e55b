//! A small project for the tests of this room.

use crate::project::{LoadKind, NewProject, Origin, Project};

pub(super) fn project() -> Project {
    NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 4, loads: 4 }.create().unwrap()
}

pub(super) fn with_cell(project: &Project, cell: usize, advance_deg: f64) -> Project {
    let mut values = project.advance.table().values().to_vec();
    values[cell] = advance_deg;
    project.with_advance(project.advance.with_values(values, Origin::Typed).unwrap()).unwrap()
}
