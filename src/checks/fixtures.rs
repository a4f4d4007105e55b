//! Small projects that are easy to understand.

use super::check::run_those;
use super::{Finding, Severity};
use crate::project::{Advance, LoadKind, NewProject, Origin, Parts, Project, TimingReading};
use crate::table::{Axis, Curve, Table};

/// A new four-cylinder project over throttle, with its zero proved and nothing assumed: no check finds
/// anything.
pub(super) fn sound() -> Project {
    proved(new(4, LoadKind::Throttle))
}

/// The same over manifold pressure.
pub(super) fn sound_pressure() -> Project {
    proved(new(4, LoadKind::Pressure))
}

fn new(cylinders: u8, load: LoadKind) -> Project {
    NewProject { name: "sound".into(), cylinders, load, speeds: 12, loads: 10 }.create_with_outputs()
}

fn proved(project: Project) -> Project {
    let prove = |parts: &mut Parts| {
        parts.assumed.clear();
        // The expected values of the coil's checks are for this temperature.
        parts.coil.temperature_c = 60.0;
        parts.timing_light.taken_at = "2026-05-02T10:00:00Z".into();
        let rows = [(10.0, 900.0), (10.0, 2000.0), (10.0, 3000.0), (20.0, 1500.0)];
        let reading = |(deg, speed_rpm)| TimingReading { commanded_deg: deg, observed_deg: deg, speed_rpm };
        parts.timing_light.readings = rows.map(reading).to_vec();
    };
    project.edit(prove).unwrap()
}

/// A project with this table, one row of cells per load, lowest first.
pub(super) fn with_table(project: &Project, speeds: &[f64], loads: &[f64], rows: &[&[f64]]) -> Project {
    let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
    let table = Table::new(axis(speeds), axis(loads), rows.concat()).unwrap();
    project.with_advance(Advance::uniform(table, Origin::Typed).unwrap()).unwrap()
}

/// A throttle project with one row's cells repeated at 0, 50 and 100 %.
pub(super) fn along_speed(speeds: &[f64], cells: &[f64]) -> Project {
    with_table(&sound(), speeds, &[0.0, 50.0, 100.0], &[cells, cells, cells])
}

/// A project with one column's cells repeated at 1000, 4000 and 7000 rpm.
pub(super) fn along_load(project: &Project, loads: &[f64], cells: &[f64]) -> Project {
    let rows: Vec<[f64; 3]> = cells.iter().map(|&deg| [deg; 3]).collect();
    let rows: Vec<&[f64]> = rows.iter().map(<[f64; 3]>::as_slice).collect();
    with_table(project, &[1000.0, 4000.0, 7000.0], loads, &rows)
}

pub(super) fn curve(points: &[(f64, f64)]) -> Curve {
    Curve::from_points(points).unwrap()
}

/// The findings of one check.
pub(super) fn of(project: &Project, id: &str) -> Vec<Finding> {
    run_those(project, |check| check.id == id)
}

/// The one finding of a check.
pub(super) fn only(project: &Project, id: &str) -> Finding {
    let mut found = of(project, id);
    assert_eq!(found.len(), 1, "{id}: {found:?}");
    found.remove(0)
}

/// How severe the check's finding is after a change to a sound project, if it finds anything.
pub(super) fn severity_after(id: &str, change: impl FnOnce(&mut Parts)) -> Option<Severity> {
    of(&sound().edit(change).unwrap(), id).first().map(|finding| finding.severity)
}

/// The project after a finding's remedy, where the check must find nothing any more; and the label.
pub(super) fn cured(project: &Project, id: &str) -> (Project, String) {
    let cure = only(project, id).cure.unwrap();
    let after = cure.apply(project).unwrap();
    assert_eq!(of(&after, id), [], "{id}: {}", cure.label);
    (after, cure.label)
}

/// Projects with measured points.
pub(super) mod measured {
    use super::along_speed;
    use crate::project::{MeasuredPoint, OnTwin, Project};

    /// 23 degrees, typed, where the table of [`with`] has 25: half way between its breakpoints.
    pub(in crate::checks) fn point() -> MeasuredPoint {
        MeasuredPoint {
            name: "P3".into(),
            speed_rpm: 2500.0,
            load: 75.0,
            advance_deg: 23.0,
            in_use: true,
            ..MeasuredPoint::default()
        }
    }

    /// 20, 30 and 35 degrees at 1000, 4000 and 7000 rpm, with these points.
    pub(in crate::checks) fn with(points: &[MeasuredPoint]) -> Project {
        let table = along_speed(&[1000.0, 4000.0, 7000.0], &[20.0, 30.0, 35.0]);
        table.with_points(points.to_vec(), OnTwin::Refuse).unwrap().0
    }
}
