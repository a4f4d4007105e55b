//! A measured point: what was found out about the best or the greatest advance at one speed and load.

use serde::{Deserialize, Serialize};

use crate::project::Fault;
use crate::table::{Axis, Table};
use crate::wording::{Unit, figure, quantity, range};

/// What an advance of which nobody knows how sure it is may be off by, as a standard deviation. Common practice, no
/// source.
const USUAL_SIGMA_DEG: f64 = 0.5;
/// No measurement on an engine is surer than this, as a standard deviation. Common practice, no source.
const LEAST_SIGMA_DEG: f64 = 0.3;
/// A 95 % interval of a normal distribution reaches so many standard deviations to either side.
const SIGMAS_OF_95_PCT: f64 = 1.96;

/// How an advance that was measured speaks of the advance that is right.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PointBound {
    /// It is this, within its interval.
    #[default]
    About,
    /// It is this or less.
    AtMost,
    /// It is this or more.
    AtLeast,
}

impl PointBound {
    /// Every bound.
    pub const ALL: [Self; 3] = [Self::About, Self::AtMost, Self::AtLeast];

    /// Its name in files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::About => "about",
            Self::AtMost => "at_most",
            Self::AtLeast => "at_least",
        }
    }

    /// What people say: 'about', 'at most', 'at least'.
    pub const fn words(self) -> &'static str {
        match self {
            Self::About => "about",
            Self::AtMost => "at most",
            Self::AtLeast => "at least",
        }
    }
}

/// What a measured point was found by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PointKind {
    /// The advance that gives the most torque.
    BestTorque,
    /// The least advance that still gives all but 1 % of it.
    LeastForBestTorque,
    /// The most advance that was heard to be free of knock.
    Knock,
    /// The advance that a timing light showed.
    Light,
    /// Somebody knew it and typed it.
    #[default]
    Typed,
}

impl PointKind {
    /// Every kind.
    pub const ALL: [Self; 5] = [Self::BestTorque, Self::LeastForBestTorque, Self::Knock, Self::Light, Self::Typed];

    /// Its name in files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::BestTorque => "best_torque",
            Self::LeastForBestTorque => "least_for_best_torque",
            Self::Knock => "knock",
            Self::Light => "light",
            Self::Typed => "typed",
        }
    }

    /// What people call it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::BestTorque => "best torque",
            Self::LeastForBestTorque => "least advance for best torque",
            Self::Knock => "knock",
            Self::Light => "timing light",
            Self::Typed => "typed",
        }
    }
}

/// What was measured at one speed and load. It is a fact of the engine and not of the table: it lies where it was
/// measured, on a breakpoint or between them.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeasuredPoint {
    /// What people call it; no two points of a project share a name.
    pub name: String,
    /// Crank speed in rpm.
    pub speed_rpm: f64,
    /// Load in the project's load unit.
    pub load: f64,
    /// The advance, degrees before TDC.
    pub advance_deg: f64,
    /// Where its 95 % interval begins; `None` where that is open or not known.
    pub low_deg: Option<f64>,
    /// Where its 95 % interval ends; `None` where that is open or not known.
    pub high_deg: Option<f64>,
    /// Its standard deviation in degrees, more than 0; `None` where the interval tells, or nothing does.
    pub sd_deg: Option<f64>,
    /// How it speaks of the right advance.
    pub bound: PointBound,
    /// What it was found by.
    pub kind: PointKind,
    /// Where it comes from: a sweep, a brake, a book.
    pub source: String,
    /// When it was measured, RFC 3339 or a date; may be empty.
    pub taken_at: String,
    /// Remarks.
    pub note: String,
    /// Whether tools and checks go by it.
    pub in_use: bool,
}

impl MeasuredPoint {
    /// How sure it is, as a standard deviation in degrees: its own, or that of its interval, or the usual one.
    pub fn sigma_deg(&self) -> f64 {
        let of_interval = || {
            let width_deg = self.high_deg? - self.low_deg?;
            Some((width_deg / (2.0 * SIGMAS_OF_95_PCT)).max(LEAST_SIGMA_DEG))
        };
        self.sd_deg.or_else(of_interval).unwrap_or(USUAL_SIGMA_DEG)
    }

    /// Half the width of a 95 % interval about it, in degrees.
    pub fn tolerance_deg(&self) -> f64 {
        SIGMAS_OF_95_PCT * self.sigma_deg()
    }

    /// The advances that agree with it, in degrees before TDC: within its interval, or on that side of it that its
    /// bound allows. Beyond what was free of knock nothing agrees, however sure it is.
    pub fn allowed_deg(&self) -> (f64, f64) {
        let low_deg = self.low_deg.unwrap_or(self.advance_deg - self.tolerance_deg());
        let high_deg = self.high_deg.unwrap_or(self.advance_deg + self.tolerance_deg());
        match self.bound {
            PointBound::About => (low_deg, high_deg),
            PointBound::AtMost if self.kind == PointKind::Knock => (f64::NEG_INFINITY, self.advance_deg),
            PointBound::AtMost => (f64::NEG_INFINITY, high_deg),
            PointBound::AtLeast => (low_deg, f64::INFINITY),
        }
    }

    /// Whether it lies within the axes of a table; beyond them the table says nothing about it.
    pub fn is_over(&self, table: &Table) -> bool {
        let covers = |axis: &Axis, at: f64| (axis.first()..=axis.last()).contains(&at);
        covers(table.speed(), self.speed_rpm) && covers(table.load(), self.load)
    }

    /// How far an advance lies beyond those that agree with it, in degrees; negative by how far it lies within them.
    pub fn missed_by_deg(&self, advance_deg: f64) -> f64 {
        let (low_deg, high_deg) = self.allowed_deg();
        (low_deg - advance_deg).max(advance_deg - high_deg)
    }

    /// What it says: '24.5° (23.9–25.2°)', 'at most 26.0°'.
    pub fn words(&self) -> String {
        let advance = quantity(self.advance_deg, Unit::Degree);
        let advance = match self.bound {
            PointBound::About => advance,
            bound => format!("{} {advance}", bound.words()),
        };
        match self.interval_words() {
            Some(interval) => format!("{advance} ({interval})"),
            None => advance,
        }
    }

    /// How sure it is as it was given: '23.9–25.2°', 'from 22.7°', '±0.6°'; `None` where nobody knows.
    pub fn interval_words(&self) -> Option<String> {
        let degrees = |deg| quantity(deg, Unit::Degree);
        match (self.low_deg, self.high_deg, self.sd_deg) {
            (Some(low_deg), Some(high_deg), _) => Some(range((low_deg, high_deg), Unit::Degree)),
            (Some(low_deg), None, _) => Some(format!("from {}", degrees(low_deg))),
            (None, Some(high_deg), _) => Some(format!("up to {}", degrees(high_deg))),
            (None, None, Some(_)) => Some(format!("±{}", figure(self.tolerance_deg(), Unit::Degree))),
            (None, None, None) => None,
        }
    }

    /// The name of the point beside it that says what knock allows there.
    pub fn name_of_knock(&self) -> String {
        format!("{}, knock", self.name)
    }

    /// What is wrong with it by itself, with `path` before its fields; the ranges of its numbers are the catalogue's.
    pub fn fault(&self, path: &str) -> Option<Fault> {
        let fault = |field: &str, message: String, hint: &str| {
            Some(Fault { path: format!("{path}.{field}"), message, hint: hint.into() })
        };
        if let Some(fault) = name_fault(path, &self.name, "a measured point") {
            return Some(fault);
        }
        let degrees = |deg| quantity(deg, Unit::Degree);
        let (own, about) = (degrees(self.advance_deg), self.bound == PointBound::About);
        match (self.low_deg, self.high_deg) {
            (Some(low_deg), _) if low_deg > self.advance_deg => {
                let message = format!("the interval begins at {}, above the advance of {own}", degrees(low_deg));
                fault("low_deg", message, "give an interval with the advance inside it")
            }
            (_, Some(high_deg)) if high_deg < self.advance_deg => {
                let message = format!("the interval ends at {}, below the advance of {own}", degrees(high_deg));
                fault("high_deg", message, "give an interval with the advance inside it")
            }
            (Some(low_deg), None) if about => {
                let message = format!("from {} the interval is open: it does not say about what", degrees(low_deg));
                fault("bound", message, "let it say at_least, or give high_deg too")
            }
            (None, Some(high_deg)) if about => {
                let message = format!("up to {} the interval is open: it does not say about what", degrees(high_deg));
                fault("bound", message, "let it say at_most, or give low_deg too")
            }
            _ if self.kind == PointKind::Knock && self.bound != PointBound::AtMost => {
                let message = format!("knock says what is allowed at most, not {}", self.bound.words());
                fault("bound", message, "let it say at_most")
            }
            _ => None,
        }
    }
}

/// What is wrong with the name of an entry at `path`, which stands in brackets in the paths of its fields.
pub(super) fn name_fault(path: &str, name: &str, what: &str) -> Option<Fault> {
    let fault = |message: String, hint: &str| Some(Fault { path: format!("{path}.name"), message, hint: hint.into() });
    if name.trim().is_empty() {
        return fault(format!("{what} needs a name"), "");
    }
    if name != name.trim() {
        return fault(format!("'{name}' begins or ends with a blank"), "leave the blank out");
    }
    match name.chars().find(|&sign| matches!(sign, '[' | ']' | '"') || sign.is_control()) {
        Some(sign) => fault(
            format!("'{}' stands in the name", sign.escape_debug()),
            "a name has no brackets, quotes or line breaks",
        ),
        None => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(low_deg: Option<f64>, high_deg: Option<f64>, bound: PointBound) -> MeasuredPoint {
        MeasuredPoint {
            name: "P3".into(),
            speed_rpm: 3000.0,
            load: 60.0,
            advance_deg: 24.5,
            low_deg,
            high_deg,
            bound,
            in_use: true,
            ..MeasuredPoint::default()
        }
    }

    #[test]
    fn how_sure_it_is_comes_from_what_was_given() {
        let about = PointBound::About;
        let interval = point(Some(23.0), Some(26.0), about);
        assert!((interval.sigma_deg() - 3.0 / 3.92).abs() < 1e-12);
        assert!((interval.tolerance_deg() - 1.5).abs() < 1e-12);
        assert_eq!(point(Some(24.4), Some(24.6), about).sigma_deg(), 0.3, "none is surer");
        assert_eq!(MeasuredPoint { sd_deg: Some(0.1), ..interval }.sigma_deg(), 0.1, "its own counts");
        for open in [point(None, None, about), point(Some(24.0), None, PointBound::AtLeast)] {
            assert_eq!(open.sigma_deg(), 0.5);
        }
    }

    #[test]
    fn what_agrees_lies_within_the_interval_or_on_the_side_of_the_bound() {
        let missed = |point: &MeasuredPoint, deg: f64| (point.missed_by_deg(deg) * 1e9).round() / 1e9;
        let about = point(Some(23.0), Some(25.0), PointBound::About);
        assert_eq!([22.0, 23.0, 24.5, 27.0].map(|deg| missed(&about, deg)), [1.0, 0.0, -0.5, 2.0]);
        let typed = point(None, None, PointBound::About);
        assert_eq!((missed(&typed, 24.5), missed(&typed, 26.0)), (-0.98, 0.52));
        let most = point(None, Some(25.0), PointBound::AtMost);
        assert_eq!((missed(&most, -10.0), missed(&most, 25.5)), (-35.0, 0.5));
        let least = point(Some(23.0), None, PointBound::AtLeast);
        assert_eq!((missed(&least, 60.0), missed(&least, 22.5)), (-37.0, 0.5));
        let knock = MeasuredPoint { kind: PointKind::Knock, ..most };
        assert_eq!((missed(&knock, 24.5), missed(&knock, 25.0)), (0.0, 0.5), "the interval allows nothing");
    }

    #[test]
    fn a_point_beyond_an_end_of_an_axis_is_not_over_the_table() {
        let axis = |ends: [f64; 2]| Axis::new(ends.to_vec()).unwrap();
        let table = Table::from_fn(axis([1000.0, 3000.0]), axis([20.0, 60.0]), |_, _| 20.0).unwrap();
        let at = |speed_rpm, load| MeasuredPoint { speed_rpm, load, ..point(None, None, PointBound::About) };
        assert!(at(3000.0, 60.0).is_over(&table) && at(1000.0, 20.0).is_over(&table));
        assert!(!at(3001.0, 60.0).is_over(&table) && !at(3000.0, 19.9).is_over(&table));
    }

    #[test]
    fn an_open_interval_says_at_most_or_at_least() {
        let told = |point: &MeasuredPoint| point.fault("evidence.points[0]").map(|fault| fault.to_string());
        for bound in PointBound::ALL {
            assert_eq!(told(&point(Some(24.0), Some(25.0), bound)), None);
            assert_eq!(told(&point(None, None, bound)), None);
            let open = point(Some(22.7), None, bound);
            assert_eq!(told(&open).is_some(), bound == PointBound::About);
            let open = point(None, Some(25.7), bound);
            assert_eq!(told(&open).is_some(), bound == PointBound::About);
        }
        assert_eq!(
            told(&point(Some(22.7), None, PointBound::About)).unwrap(),
            "evidence.points[0].bound: from 22.7° the interval is open: it does not say about what; let it say at_least, \
             or give high_deg too"
        );
    }

    #[test]
    fn what_contradicts_itself_is_refused_with_its_field() {
        let told = |point: MeasuredPoint| point.fault("p").unwrap().to_string();
        assert_eq!(
            told(point(Some(25.0), Some(26.0), PointBound::About)),
            "p.low_deg: the interval begins at 25.0°, above the advance of 24.5°; give an interval with the advance \
             inside it"
        );
        assert!(told(point(Some(23.0), Some(24.0), PointBound::About)).starts_with("p.high_deg: the interval ends"));
        let knock = MeasuredPoint { kind: PointKind::Knock, ..point(None, None, PointBound::About) };
        assert_eq!(told(knock), "p.bound: knock says what is allowed at most, not about; let it say at_most");
        let named = |name: &str| MeasuredPoint { name: name.into(), ..point(None, None, PointBound::About) };
        assert_eq!(told(named(" ")), "p.name: a measured point needs a name");
        for name in ["P3 ", "P[3]", "a\nb", "\"P\""] {
            assert!(told(named(name)).starts_with("p.name: '"), "{name}");
        }
        assert_eq!(named("3.5 k, full").fault("p"), None);
    }

    #[test]
    fn its_words_tell_advance_and_interval() {
        assert_eq!(point(Some(23.9), Some(25.2), PointBound::About).words(), "24.5° (23.9–25.2°)");
        assert_eq!(point(Some(22.7), None, PointBound::AtLeast).words(), "at least 24.5° (from 22.7°)");
        assert_eq!(point(None, None, PointBound::AtMost).words(), "at most 24.5°");
        let sd = MeasuredPoint { sd_deg: Some(0.5), ..point(None, None, PointBound::About) };
        assert_eq!(sd.words(), "24.5° (±0.98°)");
    }

    #[test]
    fn names_in_files_are_those_of_the_form() {
        for bound in PointBound::ALL {
            assert_eq!(ron::to_string(&bound).unwrap(), bound.name());
        }
        for kind in PointKind::ALL {
            assert_eq!(ron::to_string(&kind).unwrap(), kind.name());
        }
    }
}
