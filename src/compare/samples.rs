//! Small projects for this room's tests.

use proptest::prelude::*;

use crate::project::{Advance, LoadKind, NewProject, Origin, Parts, Project, list_fields, set_fields};
use crate::table::{Axis, Selection, Table};

/// An advance table from breakpoints and cells, with one origin throughout.
pub(super) fn advance((speeds, loads): (&[f64], &[f64]), cells: &[f64], origin: Origin) -> Advance {
    let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
    Advance::uniform(Table::new(axis(speeds), axis(loads), cells.to_vec()).unwrap(), origin).unwrap()
}

/// A project over throttle with this advance table, and without image items that it would have to fit.
pub(super) fn project(advance: Advance) -> Project {
    let place = |parts: &mut Parts| {
        parts.image.items.clear();
        parts.advance = advance;
    };
    started(LoadKind::Throttle).edit(place).unwrap()
}

/// A new project over pressure.
pub(super) fn over_pressure() -> Project {
    started(LoadKind::Pressure)
}

/// A project in which every list has an entry.
pub(super) fn everything() -> Project {
    Project::new(NewProject::sample_with_everything().unwrap()).unwrap()
}

fn started(load: LoadKind) -> Project {
    NewProject { name: "trial".into(), cylinders: 4, load, speeds: 8, loads: 8 }.create_with_outputs()
}

fn any_axis(low: f64, high: f64) -> impl Strategy<Value = Axis> {
    (low..low + (high - low) * 0.3, proptest::collection::vec(0.2..1.0, 1..12)).prop_filter_map(
        "crowded",
        move |(start, gaps): (f64, Vec<f64>)| {
            let share = (high - start) / gaps.iter().sum::<f64>() * 0.999;
            let mut breakpoints = vec![start];
            breakpoints.extend(gaps.iter().scan(start, |x, gap| {
                *x += gap * share;
                Some(*x)
            }));
            Axis::new(breakpoints).ok()
        },
    )
}

/// Advance tables of any small size over throttle, with held cells and all origins.
pub(super) fn any_advance() -> impl Strategy<Value = Advance> {
    (any_axis(500.0, 7000.0), any_axis(0.0, 100.0)).prop_flat_map(|(speed, load)| {
        let count = speed.len() * load.len();
        let cells = proptest::collection::vec((-60.0..90.0, any::<bool>(), 0..Origin::ALL.len()), count);
        cells.prop_map(move |cells| {
            let values = cells.iter().map(|cell| cell.0).collect();
            let table = Table::new(speed.clone(), load.clone(), values).unwrap();
            let held = table.cells().zip(&cells).filter(|(_, cell)| cell.1).map(|(at, _)| at);
            let mut marks = Selection::none(load.len(), speed.len());
            marks.extend(held);
            Advance::new(table, marks, cells.iter().map(|cell| Origin::ALL[cell.2]).collect()).unwrap()
        })
    })
}

/// Any project: another number of cylinders, load kind or size, and fields set to other values they allow.
pub(crate) fn any_project() -> impl Strategy<Value = Project> {
    any_size().prop_flat_map(any_project_of)
}

/// Any two projects whose tables have the same size.
pub(super) fn any_two_of_one_size() -> impl Strategy<Value = (Project, Project)> {
    any_size().prop_flat_map(|size| (any_project_of(size), any_project_of(size)))
}

fn any_size() -> impl Strategy<Value = (usize, usize)> {
    prop_oneof![(2..10_usize, 2..10_usize), Just((16, 16))]
}

/// Any project whose table has this size.
pub(super) fn any_project_of((speeds, loads): (usize, usize)) -> impl Strategy<Value = Project> {
    let new = (prop_oneof![Just(4_u8), Just(6), Just(8)], any::<bool>(), any::<bool>());
    let start = new.prop_map(move |(cylinders, throttle, with_everything)| {
        let load = if throttle { LoadKind::Throttle } else { LoadKind::Pressure };
        let new = NewProject { name: "any".into(), cylinders, load, speeds, loads };
        if with_everything && (speeds, loads) == (16, 16) { everything() } else { new.create_with_outputs() }
    });
    (start, proptest::collection::vec((any::<prop::sample::Index>(), 0..CANDIDATES.len()), 0..12)).prop_map(
        |(project, changes)| {
            let fields = list_fields(&project).unwrap();
            changes.into_iter().fold(project, |project, (field, candidate)| {
                let path = &fields[field.index(fields.len())].path;
                set_fields(&project, &[(path, CANDIDATES[candidate])]).unwrap_or(project)
            })
        },
    )
}

/// Candidate values, at least one of which suits most fields.
pub(super) const CANDIDATES: [&str; 12] =
    ["1", "2.5", "40", "1200", "true", "false", "none", " spaced \"text\"\n", "hall", "[]", "0,1,2", "inductive"];
