//! The changes that can be made to a curve; each is one labelled step.

use crate::project::Project;
use crate::table::{Curve, MAX_BREAKPOINTS, MIN_BREAKPOINTS};
use crate::window::state::edits::curve_kind::{CurveOf, CurveWords};
use crate::wording::{Refusal, count};

/// A change of a curve.
#[derive(Clone, Debug, PartialEq)]
pub enum CurveEdit {
    /// Another value at a point.
    Value {
        /// Which point.
        index: usize,
        /// The new value.
        to: f64,
    },
    /// Move a point along the axis, keeping its value.
    Breakpoint {
        /// Which point.
        index: usize,
        /// The new breakpoint.
        to: f64,
    },
    /// A new point on the curve.
    Insert {
        /// Where.
        at: f64,
    },
    /// Remove a point.
    Remove {
        /// Which.
        index: usize,
    },
    /// Replace all points.
    Replace {
        /// Breakpoints and values.
        points: Vec<(f64, f64)>,
    },
    /// Set the values from a point on.
    Values {
        /// The first point.
        from: usize,
        /// The new values.
        values: Vec<f64>,
    },
    /// Set the breakpoints from a point on.
    Breakpoints {
        /// The first point.
        from: usize,
        /// The new breakpoints.
        values: Vec<f64>,
    },
}

impl CurveEdit {
    /// The project with the change.
    ///
    /// # Errors
    /// Why it is not possible, with the value and what is allowed; the project is unchanged.
    pub fn apply(&self, project: &Project, of: CurveOf) -> Result<Project, Refusal> {
        let words = CurveWords::of(of, project);
        let points = self.points(of.curve(project), &words)?;
        for &(at, value) in &points {
            if let Some(why) = words.at.refusal(at).or_else(|| words.value.refusal(value)) {
                return Err(Refusal::new(why));
            }
        }
        let curve = Curve::from_points(&points)?;
        project.edit(|parts| of.put(parts, curve)).map_err(Refusal::from)
    }

    fn points(&self, curve: &Curve, words: &CurveWords) -> Result<Vec<(f64, f64)>, Refusal> {
        let mut points: Vec<(f64, f64)> = curve.points().collect();
        match self {
            Self::Value { index, to } => points.get_mut(*index).ok_or_else(gone)?.1 = *to,
            Self::Breakpoint { index, to } => move_point(&mut points, *index, *to, words)?,
            Self::Insert { at } => {
                if points.len() >= MAX_BREAKPOINTS {
                    return Err(Refusal::new(format!(
                        "a curve has at most {MAX_BREAKPOINTS} points; remove one first"
                    )));
                }
                if curve.axis().index_of(*at).is_some() {
                    return Err(Refusal::new(format!("there is a point at {} already", words.at_words(*at))));
                }
                let place = points.partition_point(|&(other, _)| other < *at);
                points.insert(place, (*at, curve.lookup(*at)));
            }
            Self::Remove { index } => {
                if points.len() <= MIN_BREAKPOINTS {
                    return Err(Refusal::new(format!(
                        "a curve has at least {MIN_BREAKPOINTS} points; move one instead"
                    )));
                }
                if *index >= points.len() {
                    return Err(gone());
                }
                points.remove(*index);
            }
            Self::Replace { points: others } => points.clone_from(others),
            Self::Values { from, values } | Self::Breakpoints { from, values } => {
                let room = points.len().saturating_sub(*from);
                if values.len() > room {
                    let (count, from) =
                        (values.len(), points.get(*from).map_or_else(String::new, |point| words.at_words(point.0)));
                    let points = if room == 1 { "is 1 point" } else { &format!("are {room} points") };
                    return Err(Refusal::new(format!("{count} numbers do not fit: from {from} on there {points}")));
                }
                let is_value = matches!(self, Self::Values { .. });
                for (point, &number) in points.iter_mut().skip(*from).zip(values) {
                    *(if is_value { &mut point.1 } else { &mut point.0 }) = number;
                }
            }
        }
        Ok(points)
    }

    /// What its step is called: 'Set coolant trim at 20 °C to +3.0°'.
    pub fn label(&self, project: &Project, of: CurveOf) -> String {
        let words = CurveWords::of(of, project);
        let at = |index: usize| of.curve(project).axis().breakpoints().get(index).copied().unwrap_or_default();
        let name = &words.name;
        match self {
            Self::Value { index, to } => format!("Set {} to {}", words.point_name(at(*index)), words.value_words(*to)),
            Self::Breakpoint { index, to } => {
                format!("Move {name} point from {} to {}", words.at_words(at(*index)), words.at_words(*to))
            }
            Self::Insert { at } => format!("Insert {name} point at {}", words.at_words(*at)),
            Self::Remove { index } => format!("Remove {name} point at {}", words.at_words(at(*index))),
            Self::Replace { points } => format!("Paste {} points of {name}", points.len()),
            Self::Values { from, values } => {
                format!("Paste {} of {name} from {}", count(values.len(), "value"), words.at_words(at(*from)))
            }
            Self::Breakpoints { from, values } => {
                format!("Paste {} of {name} from {}", count(values.len(), "breakpoint"), words.at_words(at(*from)))
            }
        }
    }
}

fn gone() -> Refusal {
    Refusal::new("the curve has fewer points now")
}

/// Moves a point between its neighbours; the error names the neighbour that is in the way.
fn move_point(points: &mut [(f64, f64)], index: usize, to: f64, words: &CurveWords) -> Result<(), Refusal> {
    let below = index.checked_sub(1).and_then(|below| points.get(below)).map(|point| point.0);
    let above = points.get(index + 1).map(|point| point.0);
    let (to_words, bound) = (words.at_words(to), |at: f64| words.at_words(at));
    if let Some(below) = below.filter(|&below| to <= below) {
        return Err(Refusal::new(format!("{to_words} is not above the point before it ({})", bound(below))));
    }
    if let Some(above) = above.filter(|&above| to >= above) {
        return Err(Refusal::new(format!("{to_words} is not below the next point ({})", bound(above))));
    }
    points.get_mut(index).ok_or_else(gone)?.0 = to;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    const TRIM: CurveOf = CurveOf::CoolantTrim;

    fn project() -> Project {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let points = vec![(-20.0, 4.0), (20.0, 3.0), (80.0, 0.0)];
        CurveEdit::Replace { points }.apply(&new.create().unwrap(), TRIM).unwrap()
    }

    fn after(edit: CurveEdit) -> (String, Result<Vec<(f64, f64)>, Refusal>) {
        let project = project();
        let label = edit.label(&project, TRIM);
        (label, edit.apply(&project, TRIM).map(|after| TRIM.curve(&after).points().collect()))
    }

    #[test]
    fn every_edit_does_what_its_label_says() {
        let cases = [
            (
                CurveEdit::Value { index: 1, to: 3.5 },
                "Set coolant trim at 20 °C to +3.5°",
                vec![(-20.0, 4.0), (20.0, 3.5), (80.0, 0.0)],
            ),
            (
                CurveEdit::Breakpoint { index: 1, to: 25.0 },
                "Move coolant trim point from 20 °C to 25 °C",
                vec![(-20.0, 4.0), (25.0, 3.0), (80.0, 0.0)],
            ),
            (
                CurveEdit::Insert { at: 50.0 },
                "Insert coolant trim point at 50 °C",
                vec![(-20.0, 4.0), (20.0, 3.0), (50.0, 1.5), (80.0, 0.0)],
            ),
            (
                CurveEdit::Remove { index: 0 },
                "Remove coolant trim point at \u{2212}20 °C",
                vec![(20.0, 3.0), (80.0, 0.0)],
            ),
            (
                CurveEdit::Values { from: 1, values: vec![2.0, -1.0] },
                "Paste 2 values of coolant trim from 20 °C",
                vec![(-20.0, 4.0), (20.0, 2.0), (80.0, -1.0)],
            ),
            (
                CurveEdit::Breakpoints { from: 0, values: vec![-10.0] },
                "Paste 1 breakpoint of coolant trim from \u{2212}20 °C",
                vec![(-10.0, 4.0), (20.0, 3.0), (80.0, 0.0)],
            ),
            (
                CurveEdit::Replace { points: vec![(0.0, 1.0), (9.0, 2.0)] },
                "Paste 2 points of coolant trim",
                vec![(0.0, 1.0), (9.0, 2.0)],
            ),
        ];
        for (edit, label, points) in cases {
            assert_eq!(after(edit), (label.to_owned(), Ok(points)));
        }
    }

    #[test]
    fn refusals_name_value_and_remedy() {
        let why = |edit: CurveEdit| after(edit).1.unwrap_err().to_string();
        assert_eq!(why(CurveEdit::Value { index: 1, to: 70.0 }), "70 is outside −60..60°");
        assert_eq!(why(CurveEdit::Breakpoint { index: 1, to: 80.0 }), "80 °C is not below the next point (80 °C)");
        assert_eq!(
            why(CurveEdit::Breakpoint { index: 1, to: -30.0 }),
            "\u{2212}30 °C is not above the point before it (\u{2212}20 °C)"
        );
        assert_eq!(why(CurveEdit::Insert { at: 20.0 }), "there is a point at 20 °C already");
        assert_eq!(
            why(CurveEdit::Values { from: 2, values: vec![1.0, 2.0] }),
            "2 numbers do not fit: from 80 °C on there is 1 point"
        );
        assert!(why(CurveEdit::Value { index: 9, to: 1.0 }).contains("fewer points"));
        let two = CurveEdit::Remove { index: 0 }.apply(&project(), TRIM).unwrap();
        assert!(
            CurveEdit::Remove { index: 0 }.apply(&two, TRIM).unwrap_err().to_string().contains("at least 2 points")
        );
        assert!(why(CurveEdit::Replace { points: vec![(2.0, 0.0), (1.0, 0.0)] }).contains("not above"));
    }
}
