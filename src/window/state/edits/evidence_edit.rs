//! Changes to what was measured: sweeps kept and given up, readings left out, points taken from them.

use std::sync::Arc;

use crate::project::{KeptSweep, MeasuredPoint, OnTwin, Project};
use crate::wording::Refusal;
use crate::worksheet::SweepBringing;

/// A change to the evidence of the project.
#[derive(Clone, Debug, PartialEq)]
pub enum EvidenceEdit {
    /// Keep the readings of a sweep that are new; another name is found if it is taken.
    Keep(KeptSweep),
    /// Give a sweep up, by its name. Points that were taken from it stay.
    GiveUp(String),
    /// Leave readings out for a reason, or let them count again.
    LeaveOut {
        /// The name of the sweep.
        sweep: String,
        /// Which readings, from 0.
        readings: Vec<usize>,
        /// Why; `None` lets it count again.
        why: Option<String>,
    },
    /// Put points in; each replaces the one of its name that came from the same source.
    Put(Vec<MeasuredPoint>),
    /// Take points out, by their names.
    Remove(Vec<String>),
}

impl EvidenceEdit {
    pub(super) fn apply(&self, project: &Project) -> Result<Project, Refusal> {
        match self {
            Self::Put(points) => return put(project, points),
            Self::Keep(sweep) if project.evidence.with_sweep(sweep.clone()).fresh == 0 => return Ok(project.clone()),
            _ => {}
        }
        let edited = project.edit(|parts| {
            let evidence = &mut parts.evidence;
            match self {
                Self::Keep(sweep) => evidence.sweeps = evidence.with_sweep(sweep.clone()).sweeps,
                Self::GiveUp(name) => evidence.sweeps.retain(|sweep| sweep.name != *name),
                Self::LeaveOut { sweep, readings, why } => {
                    let kept = evidence.sweeps.iter_mut().find(|kept| kept.name == *sweep);
                    let of = kept.map(Arc::make_mut).map(|kept| kept.readings.iter_mut()).into_iter().flatten();
                    for (_, reading) in of.enumerate().filter(|(at, _)| readings.contains(at)) {
                        reading.left_out.clone_from(why);
                    }
                }
                Self::Put(_) => {}
                Self::Remove(names) => evidence.points.retain(|point| !names.contains(&point.name)),
            }
        });
        edited.map_err(Refusal::from)
    }
}

/// What is said of readings that are kept, and what becomes of them beside those that are there: '2 readings pasted. 2
/// readings join the sweep at 3000 rpm, 60 % (day).'
pub fn brought_words(kept: String, project: &Project, sweep: &KeptSweep) -> String {
    if project.evidence.sweeps.is_empty() {
        return kept;
    }
    let told = SweepBringing::new(project, sweep.clone()).map(|brought| brought.words()).unwrap_or_default();
    if told.is_empty() { kept } else { format!("{kept} {told}") }
}

/// Points replace those that were taken from the same source before; anybody else's of the same name are left alone.
fn put(project: &Project, points: &[MeasuredPoint]) -> Result<Project, Refusal> {
    let is_twice = |at: usize, point: &MeasuredPoint| points.iter().take(at).any(|other| other.name == point.name);
    if let Some((_, point)) = points.iter().enumerate().find(|(at, point)| is_twice(*at, point)) {
        let why = format!("two of these points are called '{}'", point.name);
        return Err(Refusal::new(why).remedy("take them one after the other, or name them in the file"));
    }
    let twin = |point: &MeasuredPoint| project.evidence.point(&point.name);
    let is_own = |point: &MeasuredPoint| twin(point).is_none_or(|twin| twin.source == point.source);
    let on_twin = if points.iter().all(is_own) { OnTwin::Replace } else { OnTwin::Refuse };
    Ok(project.without_former_choice(points)?.with_points(points.to_vec(), on_twin)?.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, SweepReading};

    fn project() -> Project {
        NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 4, loads: 4 }.create().unwrap()
    }

    fn sweep() -> KeptSweep {
        let reading = SweepReading { speed_rpm: 3000.0, load: 60.0, torque: 90.0, ..SweepReading::default() };
        KeptSweep { name: "day".into(), readings: vec![reading; 3], ..KeptSweep::default() }
    }

    fn point(name: &str, advance_deg: f64) -> MeasuredPoint {
        MeasuredPoint { name: name.into(), speed_rpm: 3000.0, load: 60.0, advance_deg, ..MeasuredPoint::default() }
    }

    #[test]
    fn a_sweep_of_the_same_name_gets_another_and_the_same_readings_are_kept_once() {
        let keep = EvidenceEdit::Keep(sweep());
        let once = keep.apply(&project()).unwrap();
        assert!(keep.apply(&once).unwrap().is_same(&once));
        let mut other = sweep();
        other.readings[0].torque = 91.0;
        let twice = EvidenceEdit::Keep(other.clone()).apply(&once).unwrap();
        let kept: Vec<(&str, usize)> =
            twice.evidence.sweeps.iter().map(|sweep| (&*sweep.name, sweep.readings.len())).collect();
        assert_eq!(kept, [("day", 3), ("day 2", 1)], "two of them were known");
        assert!(EvidenceEdit::Keep(other).apply(&twice).unwrap().is_same(&twice));
        let left = EvidenceEdit::GiveUp("day".into()).apply(&twice).unwrap();
        assert_eq!(left.evidence.sweeps.len(), 1);
    }

    #[test]
    fn a_reading_is_left_out_with_its_reason_and_counts_again() {
        let kept = EvidenceEdit::Keep(sweep()).apply(&project()).unwrap();
        let leave = |why: Option<&str>| EvidenceEdit::LeaveOut {
            sweep: "day".into(),
            readings: vec![1],
            why: why.map(str::to_owned),
        };
        let out = leave(Some("a slip")).apply(&kept).unwrap();
        assert_eq!(out.evidence.sweeps[0].readings[1].left_out.as_deref(), Some("a slip"));
        assert_eq!(leave(None).apply(&out).unwrap(), kept);
        assert!(leave(Some(" ")).apply(&kept).is_err(), "a reason is words");
    }

    #[test]
    fn a_point_replaces_the_one_of_its_name() {
        let both = EvidenceEdit::Put(vec![point("a", 20.0), point("b", 21.0)]).apply(&project()).unwrap();
        let again = EvidenceEdit::Put(vec![point("a", 25.0)]).apply(&both).unwrap();
        let degs: Vec<f64> = again.evidence.points.iter().map(|point| point.advance_deg).collect();
        assert_eq!(degs, [25.0, 21.0]);
        assert!(EvidenceEdit::Put(vec![point("c", 20.0), point("c", 21.0)]).apply(&project()).is_err());
        let limited = EvidenceEdit::Put(vec![point("a", 20.0), point("a, knock", 18.0)]).apply(&project()).unwrap();
        let best = EvidenceEdit::Put(vec![point("a", 24.0)]).apply(&limited).unwrap();
        assert_eq!(best.evidence.points.len(), 1, "what knock allowed went with the other choice");
        let none = EvidenceEdit::Remove(vec!["a".into(), "b".into()]).apply(&again).unwrap();
        assert!(none.evidence.is_empty());
        assert!(EvidenceEdit::Put(vec![point("a", 200.0)]).apply(&project()).is_err());
    }
}
