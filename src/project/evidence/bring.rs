//! Bringing measured points into a project and taking them away: all of them, or a refusal.

use std::sync::Arc;

use super::MeasuredPoint;
use crate::project::{Fault, Parts, Project, in_brackets};

/// What happens to a point whose name the project has already.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnTwin {
    /// Nothing is brought in.
    Refuse,
    /// The new one takes its place.
    Replace,
}

/// What became of the points that were brought in, by their names.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PointsBrought {
    /// New ones.
    pub added: Vec<String>,
    /// Those that took the place of one with their name.
    pub replaced: Vec<String>,
    /// Those that were there already, the same in everything.
    pub alike: Vec<String>,
}

impl Project {
    /// This project with more measured points, which stand behind those it has. One that is there already, the same in
    /// everything, is no twin.
    ///
    /// ```
    /// use sparkloft::project::{MeasuredPoint, OnTwin, SAMPLES};
    ///
    /// let project = SAMPLES[0].project()?;
    /// let point = MeasuredPoint { name: "P3".into(), speed_rpm: 3000.0, load: 60.0, advance_deg: 24.5, in_use: true,
    ///     ..MeasuredPoint::default() };
    /// let (after, brought) = project.with_points(vec![point.clone()], OnTwin::Refuse)?;
    /// assert_eq!((after.points_in_use().count(), brought.added.as_slice()), (1, &["P3".to_owned()][..]));
    /// let other = MeasuredPoint { advance_deg: 25.0, ..point };
    /// assert!(after.with_points(vec![other], OnTwin::Refuse).is_err());
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`Fault`] for a point that no project can have, and for one with a name that is taken.
    pub fn with_points(&self, points: Vec<MeasuredPoint>, on_twin: OnTwin) -> Result<(Self, PointsBrought), Fault> {
        let mut brought = PointsBrought::default();
        let mut all = self.evidence.points.clone();
        for point in points {
            let name = point.name.clone();
            match all.iter_mut().find(|own| own.name == name) {
                None => {
                    all.push(Arc::new(point));
                    brought.added.push(name);
                }
                Some(own) if **own == point => brought.alike.push(name),
                Some(_) if on_twin == OnTwin::Refuse => {
                    return Err(Fault {
                        path: format!("evidence.points[{}]", in_brackets(&name)),
                        message: format!("there is a measured point '{name}' already, and it differs"),
                        hint: "give one of them another name, or replace the one that is there".into(),
                    });
                }
                Some(own) => {
                    *own = Arc::new(point);
                    brought.replaced.push(name);
                }
            }
        }
        let after = self.edit(|parts: &mut Parts| parts.evidence.points = all)?;
        Ok((after, brought))
    }

    /// This project without what another choice took of the same sweeps beside these points: what knock allowed goes with
    /// that choice.
    ///
    /// # Errors
    /// [`Fault`] never for a project that exists.
    pub fn without_former_choice(&self, points: &[MeasuredPoint]) -> Result<Self, Fault> {
        let is_beside = |own: &MeasuredPoint, point: &MeasuredPoint| {
            own.source == point.source && own.name == point.name_of_knock()
        };
        let goes = |own: &MeasuredPoint| {
            points.iter().any(|point| is_beside(own, point)) && points.iter().all(|point| point.name != own.name)
        };
        self.edit(|parts| parts.evidence.points.retain(|own| !goes(own)))
    }

    /// This project without the measured points of these names.
    ///
    /// # Errors
    /// [`Fault`] where it has no point of such a name.
    pub fn without_points(&self, names: &[String]) -> Result<Self, Fault> {
        if let Some(name) = names.iter().find(|name| self.evidence.point(name).is_none()) {
            let known: Vec<&str> = self.evidence.points.iter().take(12).map(|point| point.name.as_str()).collect();
            let more = if self.evidence.points.len() > known.len() { " and more" } else { "" };
            let hint =
                if known.is_empty() { "it has none".into() } else { format!("it has {}{more}", known.join(", ")) };
            let path = "evidence.points".into();
            return Err(Fault { path, message: format!("there is no measured point '{name}'"), hint });
        }
        self.edit(|parts| parts.evidence.points.retain(|point| !names.contains(&point.name)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    fn point(name: &str, advance_deg: f64) -> MeasuredPoint {
        MeasuredPoint {
            name: name.into(),
            speed_rpm: 3000.0,
            load: 60.0,
            advance_deg,
            in_use: true,
            ..MeasuredPoint::default()
        }
    }

    fn with_two() -> Project {
        let new = NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 4, loads: 4 };
        let points = vec![point("a", 20.0), point("b", 25.0)];
        new.create().unwrap().with_points(points, OnTwin::Refuse).unwrap().0
    }

    fn names(project: &Project) -> Vec<(&str, f64)> {
        project.evidence.points.iter().map(|point| (point.name.as_str(), point.advance_deg)).collect()
    }

    #[test]
    fn new_ones_stand_behind_and_twins_are_replaced_in_their_place() {
        let more = vec![point("c", 30.0), point("a", 21.0), point("b", 25.0)];
        let told = with_two().with_points(more.clone(), OnTwin::Refuse).unwrap_err().to_string();
        assert!(
            told.starts_with("evidence.points[a]: there is a measured point 'a' already, and it differs"),
            "{told}"
        );
        let (after, brought) = with_two().with_points(more, OnTwin::Replace).unwrap();
        assert_eq!(names(&after), [("a", 21.0), ("b", 25.0), ("c", 30.0)]);
        let wanted = PointsBrought { added: vec!["c".into()], replaced: vec!["a".into()], alike: vec!["b".into()] };
        assert_eq!(brought, wanted);
        let bad = with_two().with_points(vec![point("d", 20.0), point("e", 99.0)], OnTwin::Replace).unwrap_err();
        assert_eq!(bad.path, "evidence.points[3].advance_deg");
        let twice = with_two().with_points(vec![point("d", 1.0), point("d", 2.0)], OnTwin::Refuse);
        assert!(twice.unwrap_err().message.contains("'d' already"));
    }

    #[test]
    fn those_that_are_named_go() {
        assert_eq!(names(&with_two().without_points(&["a".into()]).unwrap()), [("b", 25.0)]);
        let told = with_two().without_points(&["a".into(), "z".into()]).unwrap_err().to_string();
        assert_eq!(told, "evidence.points: there is no measured point 'z'; it has a, b");
    }
}
