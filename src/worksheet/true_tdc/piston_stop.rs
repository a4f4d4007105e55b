//! Dead centre from a piston stop: halfway between the two angles at which the piston touches it.

use serde::Serialize;

use crate::project::Project;
use crate::wording::{Unit, figure, settle};
use crate::worksheet::{Gravity, Verdict, WorksheetError, as_words, check};

/// Readings of a degree wheel on the crank that counts 0..360 in the direction of rotation and has its zero at
/// the engine's timing mark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PistonStop {
    /// Where the piston touches the stop when the crank is turned one way, in degrees.
    pub first_deg: f64,
    /// Where it touches when the crank is turned the other way, in degrees.
    pub second_deg: f64,
    /// The reading when the first edge after the gap is at the sensor, if it was taken.
    pub edge_deg: Option<f64>,
}

/// Marks closer to dead centre than this are imprecise, since the piston hardly moves there; common practice,
/// no source.
const LEAST_HALF_SPAN_DEG: f64 = 10.0;
/// Further apart than this, top and bottom dead centre are easily confused; common practice, no source.
const MOST_HALF_SPAN_DEG: f64 = 75.0;
/// A timing mark is rarely wrong by more than this; common practice, no source.
const MOST_MARK_ERROR_DEG: f64 = 20.0;
/// Errors of the mark smaller than this cannot be read.
const NOTHING_DEG: f64 = 0.25;

/// What the marks mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TdcVerdict {
    /// The stop touches too close to dead centre.
    TooClose {
        /// Half the angle between the marks.
        half_span_deg: f64,
    },
    /// The stop touches so far down that top and bottom may be confused.
    TooFar {
        /// Half the angle between the marks.
        half_span_deg: f64,
    },
    /// The timing mark is so far off that another cylinder's may have been used.
    FarOff {
        /// How far dead centre comes after the mark.
        mark_error_deg: f64,
    },
    /// The timing mark is wrong.
    MarkOff {
        /// How far dead centre comes after the mark.
        mark_error_deg: f64,
    },
    /// The timing mark is right.
    MarkRight,
}

impl Verdict for TdcVerdict {
    fn gravity(&self) -> Gravity {
        match self {
            Self::TooClose { .. } | Self::TooFar { .. } | Self::FarOff { .. } => Gravity::Warning,
            Self::MarkOff { .. } => Gravity::Note,
            Self::MarkRight => Gravity::Good,
        }
    }

    fn words(&self) -> String {
        match *self {
            Self::TooClose { half_span_deg } => format!(
                "The marks stand only {} either side of dead centre, where the piston hardly moves: let the stop reach \
                 in further.",
                figure(half_span_deg, Unit::Degree)
            ),
            Self::TooFar { half_span_deg } => format!(
                "The marks stand {} either side: make sure that this is top dead centre and not the bottom, or draw the \
                 stop back.",
                figure(half_span_deg, Unit::Degree)
            ),
            Self::FarOff { mark_error_deg } => format!(
                "True top dead centre comes {}: so much is rarely the mark alone. Make sure of the cylinder and of the \
                 way the degree wheel counts.",
                after_mark(mark_error_deg)
            ),
            Self::MarkOff { mark_error_deg } => format!(
                "True top dead centre comes {}: a light read against this mark shows {} too {}.",
                after_mark(mark_error_deg),
                figure(mark_error_deg.abs(), Unit::Degree),
                if mark_error_deg > 0.0 { "little" } else { "much" }
            ),
            Self::MarkRight => "The timing mark is right.".into(),
        }
    }
}

fn after_mark(mark_error_deg: f64) -> String {
    let side = if mark_error_deg > 0.0 { "after" } else { "before" };
    format!("{} {side} the timing mark", figure(mark_error_deg.abs(), Unit::Degree))
}

/// Where dead centre is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TrueTdc {
    /// Top dead centre on the degree wheel, 0..360.
    pub tdc_deg: f64,
    /// Half the angle between the marks.
    pub half_span_deg: f64,
    /// How many degrees of rotation after the timing mark dead centre comes, −180..180.
    pub mark_error_deg: f64,
    /// The trigger's reference, if the first edge was read: degrees from that edge to top dead centre.
    pub reference_deg: Option<f64>,
    /// What it means; the most serious first.
    #[serde(serialize_with = "as_words")]
    pub verdicts: Vec<TdcVerdict>,
}

impl TrueTdc {
    /// Dead centre is halfway between the marks, on the side where they are closer: the stop keeps the piston
    /// from the top.
    ///
    /// # Errors
    /// [`WorksheetError`] for readings outside 0..360 and for marks that coincide or are opposite each other.
    pub fn of(stop: &PistonStop) -> Result<Self, WorksheetError> {
        check("first mark", stop.first_deg, 0.0, 360.0, Unit::Degree)?;
        check("second mark", stop.second_deg, 0.0, 360.0, Unit::Degree)?;
        stop.edge_deg.map_or(Ok(()), |edge_deg| check("edge", edge_deg, 0.0, 360.0, Unit::Degree))?;
        let ahead_deg = wrap(settle(stop.second_deg - stop.first_deg));
        if ahead_deg == 0.0 || ahead_deg == 180.0 {
            let what = if ahead_deg == 0.0 { "at the same place" } else { "opposite each other" };
            return Err(WorksheetError::Contradiction(format!(
                "the two marks are {what}: halfway between them is no one place"
            )));
        }
        let (from_deg, span_deg) = match ahead_deg < 180.0 {
            true => (stop.first_deg, ahead_deg),
            false => (stop.second_deg, 360.0 - ahead_deg),
        };
        let tdc_deg = wrap(settle(from_deg + 0.5 * span_deg));
        let mark_error_deg = if tdc_deg > 180.0 { settle(tdc_deg - 360.0) } else { tdc_deg };
        let reference_deg = stop.edge_deg.map(|edge_deg| wrap(settle(tdc_deg - edge_deg)));
        let half_span_deg = settle(0.5 * span_deg);
        let verdicts = conclude(half_span_deg, mark_error_deg);
        Ok(Self { tdc_deg, half_span_deg, mark_error_deg, reference_deg, verdicts })
    }

    /// The reference that the project gets: the measured one, or its own moved by the mark's error. Degrees,
    /// 0..360.
    pub fn new_reference_deg(&self, project: &Project) -> f64 {
        self.reference_deg.unwrap_or_else(|| wrap(settle(project.trigger.reference_deg + self.mark_error_deg)))
    }

    /// The name of the step that applies it.
    pub fn label(&self, project: &Project) -> String {
        let zero = if self.reference_deg.is_some() { ", zero offset to 0.00°" } else { "" };
        format!("Set reference to {}{zero}", figure(self.new_reference_deg(project), Unit::Degree))
    }

    /// The project with the reference corrected. A measured reference replaces the old one together with its
    /// trim, so the zero offset starts again at 0.
    ///
    /// # Errors
    /// [`WorksheetError`] never for a valid project.
    pub fn apply(&self, project: &Project) -> Result<Project, WorksheetError> {
        let reference_deg = self.new_reference_deg(project);
        Ok(project.edit(|parts| {
            parts.trigger.reference_deg = reference_deg;
            if self.reference_deg.is_some() {
                parts.trigger.zero_offset_deg = 0.0;
            }
        })?)
    }
}

fn wrap(deg: f64) -> f64 {
    let wrapped = deg.rem_euclid(360.0);
    if wrapped >= 360.0 { 0.0 } else { wrapped }
}

fn conclude(half_span_deg: f64, mark_error_deg: f64) -> Vec<TdcVerdict> {
    let mut verdicts = Vec::new();
    if half_span_deg < LEAST_HALF_SPAN_DEG {
        verdicts.push(TdcVerdict::TooClose { half_span_deg });
    }
    if half_span_deg > MOST_HALF_SPAN_DEG {
        verdicts.push(TdcVerdict::TooFar { half_span_deg });
    }
    verdicts.push(match mark_error_deg.abs() {
        error if error < NOTHING_DEG => TdcVerdict::MarkRight,
        error if error > MOST_MARK_ERROR_DEG => TdcVerdict::FarOff { mark_error_deg },
        _ => TdcVerdict::MarkOff { mark_error_deg },
    });
    verdicts.sort_by_key(|verdict| std::cmp::Reverse(verdict.gravity()));
    verdicts
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::project::{LoadKind, NewProject};

    fn tdc(first_deg: f64, second_deg: f64, edge_deg: Option<f64>) -> TrueTdc {
        TrueTdc::of(&PistonStop { first_deg, second_deg, edge_deg }).unwrap()
    }

    /// Halfway, by hand.
    #[test]
    fn is_halfway_between_the_marks() {
        let found = tdc(28.0, 329.0, None);
        assert_eq!((found.tdc_deg, found.mark_error_deg, found.half_span_deg), (358.5, -1.5, 29.5));
        assert!(found.verdicts[0].words().starts_with("True top dead centre comes 1.50° before the timing mark"));
        // The mark passes late: the spark is further before it than before dead centre.
        assert!(found.verdicts[0].words().ends_with("a light read against this mark shows 1.50° too much."));
        assert_eq!(tdc(329.0, 28.0, None), found);
        assert_eq!(tdc(330.0, 30.0, None).verdicts, [TdcVerdict::MarkRight]);
        assert_eq!(tdc(340.0, 50.0, Some(300.0)).reference_deg, Some(75.0));
    }

    #[test]
    fn poor_marks_are_told() {
        assert!(matches!(tdc(356.0, 4.0, None).verdicts[0], TdcVerdict::TooClose { .. }));
        assert!(matches!(tdc(280.0, 80.0, None).verdicts[0], TdcVerdict::TooFar { .. }));
        assert!(matches!(tdc(20.0, 90.0, None).verdicts[0], TdcVerdict::FarOff { .. }));
        let error = |first_deg, second_deg| {
            TrueTdc::of(&PistonStop { first_deg, second_deg, edge_deg: None }).unwrap_err().to_string()
        };
        assert!(error(76.0, 256.0).contains("opposite") && error(76.1, 256.1).contains("opposite"));
        assert!(error(256.3, 76.3).contains("opposite") && error(0.0, 360.0).contains("at the same place"));
        assert!(error(10.0, 10.0).contains("at the same place") && error(10.0, 190.0).contains("opposite"));
        assert_eq!(error(-1.0, 10.0), "first mark: −1 is outside 0..360°");
    }

    #[test]
    fn the_reference_follows() {
        let new = NewProject { name: "t".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let project = new.create().unwrap().edit(|parts| parts.trigger.zero_offset_deg = 2.0).unwrap();
        let moved = tdc(28.0, 329.0, None);
        assert_eq!(moved.label(&project), "Set reference to 98.50°");
        let trigger = &moved.apply(&project).unwrap().trigger;
        assert_eq!((trigger.reference_deg, trigger.zero_offset_deg), (98.5, 2.0));
        let measured = tdc(340.0, 50.0, Some(300.0));
        assert_eq!(measured.label(&project), "Set reference to 75.00°, zero offset to 0.00°");
        let trigger = &measured.apply(&project).unwrap().trigger;
        assert_eq!((trigger.reference_deg, trigger.zero_offset_deg), (75.0, 0.0));
    }

    proptest! {
        #[test]
        fn the_middle_is_found_wherever_it_is(middle in 0.0..360.0, half in 1.0..89.0, swapped in any::<bool>()) {
            let (before, after) = (wrap(middle - half), wrap(middle + half));
            let found = if swapped { tdc(after, before, None) } else { tdc(before, after, None) };
            let error: f64 = found.tdc_deg - middle;
            prop_assert!(error.abs().min(360.0 - error.abs()) < 1e-9);
            let error: f64 = found.half_span_deg - half;
            prop_assert!(error.abs() < 1e-9);
            prop_assert!((0.0..360.0).contains(&found.tdc_deg) && (-180.0..=180.0).contains(&found.mark_error_deg));
        }
    }
}
