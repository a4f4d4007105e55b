//! What was measured on the engine and speaks for or against the table: measured points, and the readings of timing
//! sweeps that such points come from. Facts of the engine: whatever is kept of a project keeps them.

mod bring;
#[cfg(test)]
mod file_proofs;
mod known_readings;
mod point;
mod reading;

use std::collections::BTreeSet;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use super::{Fault, Project};
use crate::table::Table;

pub use bring::{OnTwin, PointsBrought};
pub use known_readings::{KeptPlace, WithSweep};
pub use point::{MeasuredPoint, PointBound, PointKind};
pub use reading::{AirStandard, KeptSweep, SweepReading, TorqueKind};

/// The most measured points that a project has.
pub const MOST_POINTS: usize = 1_000;
/// The most readings that all sweeps of a project have together: every change of a project looks at all of them. A
/// longer sweep stays in a file of its own.
pub const MOST_SWEEP_READINGS: usize = 5_000;

/// What was measured on the engine.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    /// Measured points.
    pub points: Vec<Arc<MeasuredPoint>>,
    /// The readings of timing sweeps.
    pub sweeps: Vec<Arc<KeptSweep>>,
}

impl Evidence {
    /// Whether nothing was measured.
    pub fn is_empty(&self) -> bool {
        self.points.is_empty() && self.sweeps.is_empty()
    }

    /// The point of that name.
    pub fn point(&self, name: &str) -> Option<&MeasuredPoint> {
        self.points.iter().find(|point| point.name == name).map(AsRef::as_ref)
    }

    /// The least and the greatest advance of the points within the axes of a table, degrees; `None` if there are none.
    pub fn advances_over(&self, table: &Table) -> Option<(f64, f64)> {
        let over = self.points.iter().filter(|point| point.is_over(table)).map(|point| point.advance_deg);
        over.map(|deg| (deg, deg)).reduce(|(low, high), (deg, _)| (low.min(deg), high.max(deg)))
    }

    /// What is wrong with it, if anything is. Ranges are checked against the catalogue of fields.
    pub(super) fn fault(&self) -> Option<Fault> {
        let points = self.points.iter().enumerate();
        let sweeps = self.sweeps.iter().enumerate();
        self.too_many()
            .or_else(|| {
                points.map(|(at, point)| point.fault(&format!("evidence.points[{at}]"))).find_map(|fault| fault)
            })
            .or_else(|| {
                sweeps.map(|(at, sweep)| sweep.fault(&format!("evidence.sweeps[{at}]"))).find_map(|fault| fault)
            })
            .or_else(|| twice("evidence.points", "measured points", self.points.iter().map(|point| &point.name)))
            .or_else(|| twice("evidence.sweeps", "timing sweeps", self.sweeps.iter().map(|sweep| &sweep.name)))
    }

    fn too_many(&self) -> Option<Fault> {
        let readings = self.sweeps.iter().map(|sweep| sweep.readings.len()).sum();
        let counts = [
            ("points", "measured points", self.points.len(), MOST_POINTS, "keep one point for each place"),
            ("sweeps", "readings of sweeps", readings, MOST_SWEEP_READINGS, "keep the longer sweeps as files"),
        ];
        let (list, what, count, most, hint) = counts.into_iter().find(|(_, _, count, most, _)| count > most)?;
        let message = format!("{count} {what} are too many; a project has at most {most}");
        Some(Fault { path: format!("evidence.{list}"), message, hint: hint.into() })
    }
}

/// The fault of a list in which a name stands twice.
fn twice<'a>(list: &str, what: &str, names: impl Iterator<Item = &'a String>) -> Option<Fault> {
    let mut met = BTreeSet::new();
    let (at, name) = names.enumerate().find(|(_, name)| !met.insert(*name))?;
    Some(Fault {
        path: format!("{list}[{at}].name"),
        message: format!("two {what} are called '{name}'"),
        hint: String::new(),
    })
}

impl Project {
    /// The measured points that tools and checks go by.
    pub fn points_in_use(&self) -> impl Iterator<Item = &MeasuredPoint> {
        self.evidence.points.iter().map(AsRef::as_ref).filter(|point: &&MeasuredPoint| point.in_use)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, Parts};

    fn started() -> Project {
        NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 4, loads: 4 }.create().unwrap()
    }

    fn point(name: &str) -> MeasuredPoint {
        MeasuredPoint {
            name: name.into(),
            speed_rpm: 3000.0,
            load: 60.0,
            advance_deg: 24.5,
            in_use: true,
            ..MeasuredPoint::default()
        }
    }

    fn reading(torque: f64) -> SweepReading {
        SweepReading { speed_rpm: 3000.0, load: 60.0, advance_deg: 24.0, torque, ..SweepReading::default() }
    }

    fn told(change: impl FnOnce(&mut Parts)) -> String {
        started().edit(change).unwrap_err().to_string()
    }

    #[test]
    fn those_in_use_are_given_in_their_order() {
        let with = |parts: &mut Parts| {
            let idle = MeasuredPoint { in_use: false, ..point("b") };
            parts.evidence.points = vec![point("c").into(), idle.into(), point("a").into()];
        };
        let project = started().edit(with).unwrap();
        assert_eq!(project.points_in_use().map(|point| point.name.as_str()).collect::<Vec<_>>(), ["c", "a"]);
        assert_eq!(project.evidence.point("b").map(|point| point.in_use), Some(false));
        assert_eq!(project.evidence.point("d"), None);
        assert_eq!(project.evidence.advances_over(project.advance.table()), Some((24.5, 24.5)));
    }

    /// They are facts of the engine, whatever the table is.
    #[test]
    fn kept_states_and_locked_timing_copies_have_them_too() {
        let project = Project::new(NewProject::sample_with_everything().unwrap()).unwrap();
        assert!(!project.evidence.is_empty());
        assert_eq!(project.as_state().evidence, project.evidence);
        assert_eq!(project.locked_timing(10.0).unwrap().evidence, project.evidence);
    }

    #[test]
    fn a_name_is_there_once() {
        let twice = told(|parts| parts.evidence.points = vec![point("a").into(), point("b").into(), point("a").into()]);
        assert_eq!(twice, "evidence.points[2].name: two measured points are called 'a'");
        let sweep = |name: &str| Arc::new(KeptSweep { name: name.into(), ..KeptSweep::default() });
        let twice = told(|parts| parts.evidence.sweeps = vec![sweep("a"), sweep("a")]);
        assert_eq!(twice, "evidence.sweeps[1].name: two timing sweeps are called 'a'");
        assert!(told(|parts| parts.evidence.sweeps = vec![sweep("")]).contains("a timing sweep needs a name"));
    }

    #[test]
    fn there_is_an_end_to_what_a_project_keeps() {
        let many = |count: usize| (0..count).map(|at| Arc::new(point(&format!("P{at}")))).collect::<Vec<_>>();
        assert!(started().edit(|parts| parts.evidence.points = many(MOST_POINTS)).is_ok());
        assert_eq!(
            told(|parts| parts.evidence.points = many(MOST_POINTS + 1)),
            "evidence.points: 1001 measured points are too many; a project has at most 1000; keep one point for each place"
        );
        let sweeps = |each: usize| {
            let sweep = |name: &str| KeptSweep {
                name: name.into(),
                readings: vec![reading(100.0); each],
                ..KeptSweep::default()
            };
            vec![Arc::new(sweep("a")), Arc::new(sweep("b"))]
        };
        assert!(started().edit(|parts| parts.evidence.sweeps = sweeps(MOST_SWEEP_READINGS / 2)).is_ok());
        let long = told(|parts| parts.evidence.sweeps = sweeps(MOST_SWEEP_READINGS / 2 + 1));
        assert!(long.ends_with("at most 5000; keep the longer sweeps as files"), "{long}");
    }

    #[test]
    fn ranges_are_those_of_the_catalogue_in_the_projects_load_unit() {
        let with = |change: fn(&mut MeasuredPoint)| {
            let mut changed = point("a");
            change(&mut changed);
            told(|parts| parts.evidence.points = vec![changed.into()])
        };
        assert_eq!(with(|point| point.load = 101.0), "evidence.points[0].load: 101 is outside 0..100 %");
        assert_eq!(with(|point| point.advance_deg = 91.0), "evidence.points[0].advance_deg: 91 is outside −60..90°");
        assert_eq!(with(|point| point.sd_deg = Some(0.0)), "evidence.points[0].sd_deg: 0 is outside 0.01..60°");
        let torque = told(|parts| {
            let readings = vec![reading(90.0), reading(0.0)];
            parts.evidence.sweeps = vec![KeptSweep { name: "a".into(), readings, ..KeptSweep::default() }.into()];
        });
        assert!(torque.starts_with("evidence.sweeps[0].readings[1].torque: 0 is outside 0.001.."), "{torque}");
    }

    #[test]
    fn a_power_needs_a_speed_and_what_is_left_out_a_reason() {
        let with = |torque_kind, reading: SweepReading| {
            let sweep = KeptSweep { name: "a".into(), torque_kind, readings: vec![reading], ..KeptSweep::default() };
            started().edit(|parts| parts.evidence.sweeps = vec![sweep.into()]).map(drop).map_err(|fault| fault.path)
        };
        let still = SweepReading { speed_rpm: 0.0, ..reading(20.0) };
        assert_eq!(with(TorqueKind::TorqueNm, still.clone()), Ok(()));
        assert_eq!(with(TorqueKind::PowerKw, still), Err("evidence.sweeps[0].readings[0].speed_rpm".into()));
        let out = |why: &str| SweepReading { left_out: Some(why.into()), ..reading(20.0) };
        assert_eq!(with(TorqueKind::Brake, out("a slip of the pen")), Ok(()));
        assert_eq!(with(TorqueKind::Brake, out(" ")), Err("evidence.sweeps[0].readings[0].left_out".into()));
        assert!(!out("x").is_used() && reading(20.0).is_used());
    }
}
