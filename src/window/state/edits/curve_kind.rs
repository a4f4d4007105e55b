//! The curves of a project that can be edited, and what their numbers mean.

use crate::project::{FieldKind, Parts, Project, field, kind_at};
use crate::table::Curve;
use crate::wording::{
    Unit, exact, fixed, given, lower_first, outside, quantity, settle, signed, step_decimals, with_unit, written,
};

/// A curve of the project.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CurveOf {
    /// Degrees added over coolant temperature.
    CoolantTrim,
    /// Weight of the coolant trim over load.
    CoolantWeight,
    /// Degrees added over air temperature.
    AirTrim,
    /// Weight of the air trim over load.
    AirWeight,
    /// Dwell over battery voltage.
    Dwell,
    /// The most advance at full load over speed.
    FullLoad,
    /// How much less at full load over load.
    FullLoadLess,
    /// Degrees taken off over load.
    SafetyMargin,
}

impl CurveOf {
    /// Every curve.
    pub const ALL: [Self; 8] = [
        Self::CoolantTrim,
        Self::CoolantWeight,
        Self::AirTrim,
        Self::AirWeight,
        Self::Dwell,
        Self::FullLoad,
        Self::FullLoadLess,
        Self::SafetyMargin,
    ];

    /// Its path in the project.
    pub const fn path(self) -> &'static str {
        match self {
            Self::CoolantTrim => "trims.coolant.degrees",
            Self::CoolantWeight => "trims.coolant.weight",
            Self::AirTrim => "trims.air.degrees",
            Self::AirWeight => "trims.air.weight",
            Self::Dwell => "coil.dwell_ms",
            Self::FullLoad => "full_load_line.most_deg",
            Self::FullLoadLess => "full_load_line.less_deg",
            Self::SafetyMargin => "safety_margin.degrees",
        }
    }

    /// The curve itself.
    pub fn curve(self, parts: &Parts) -> &Curve {
        match self {
            Self::CoolantTrim => &parts.trims.coolant.degrees,
            Self::CoolantWeight => &parts.trims.coolant.weight,
            Self::AirTrim => &parts.trims.air.degrees,
            Self::AirWeight => &parts.trims.air.weight,
            Self::Dwell => &parts.coil.dwell_ms,
            Self::FullLoad => &parts.full_load_line.most_deg,
            Self::FullLoadLess => &parts.full_load_line.less_deg,
            Self::SafetyMargin => &parts.safety_margin.degrees,
        }
    }

    pub(super) fn put(self, parts: &mut Parts, curve: Curve) {
        let place = match self {
            Self::CoolantTrim => &mut parts.trims.coolant.degrees,
            Self::CoolantWeight => &mut parts.trims.coolant.weight,
            Self::AirTrim => &mut parts.trims.air.degrees,
            Self::AirWeight => &mut parts.trims.air.weight,
            Self::Dwell => &mut parts.coil.dwell_ms,
            Self::FullLoad => &mut parts.full_load_line.most_deg,
            Self::FullLoadLess => &mut parts.full_load_line.less_deg,
            Self::SafetyMargin => &mut parts.safety_margin.degrees,
        };
        *place = curve;
    }

    /// Whether its values are changes, which always show their sign.
    const fn is_change(self) -> bool {
        matches!(self, Self::CoolantTrim | Self::AirTrim)
    }
}

/// The meaning of the numbers along one axis of a curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Direction {
    /// Their unit, if they have one.
    pub unit: Unit,
    /// The range that the catalogue allows.
    pub range: (f64, f64),
    /// The step that a drag snaps to and the arrow keys use.
    pub step: f64,
}

impl Direction {
    fn of(path: &str, project: &Project) -> Self {
        let (unit, range) = match kind_at(path, project) {
            Some(FieldKind::Number { unit, low, high }) => (unit, (low, high)),
            _ => (Unit::None, (f64::MIN, f64::MAX)),
        };
        let step = match unit {
            Unit::Degree => project.step_deg,
            Unit::Rpm => 50.0,
            Unit::None => 0.05,
            Unit::Millisecond | Unit::Volt => 0.1,
            _ => 1.0,
        };
        Self { unit, range, step }
    }

    /// The multiple of the step nearest to a value, within the range.
    pub fn snapped(&self, value: f64) -> f64 {
        settle((value / self.step).round() * self.step).clamp(self.range.0, self.range.1)
    }

    /// A value plus that many steps, within the range.
    pub fn stepped(&self, value: f64, steps: f64) -> f64 {
        settle(value + steps * self.step).clamp(self.range.0, self.range.1)
    }

    /// Why a value is refused, if it is.
    pub fn refusal(&self, value: f64) -> Option<String> {
        let (low, high) = self.range;
        (!(low..=high).contains(&value)).then(|| outside(value, self.range, self.unit))
    }
}

/// The words for a curve.
#[derive(Clone, Debug, PartialEq)]
pub struct CurveWords {
    /// Its name, for use in the middle of a sentence.
    pub name: String,
    /// The breakpoints.
    pub at: Direction,
    /// The values.
    pub value: Direction,
    is_change: bool,
}

impl CurveWords {
    /// The words of a curve in a project.
    pub fn of(of: CurveOf, project: &Project) -> Self {
        let (at, value) = (format!("{}.at[]", of.path()), format!("{}.value[]", of.path()));
        let label = field(&value).map_or(of.path(), |field| field.label);
        Self {
            name: lower_first(label).replace(", ", " "),
            at: Direction::of(&at, project),
            value: Direction::of(&value, project),
            is_change: of.is_change(),
        }
    }

    /// A breakpoint as a box shows it.
    pub fn at_text(&self, at: f64) -> String {
        written(at)
    }

    /// A value as a box shows it: exact, and changes with their sign.
    pub fn value_text(&self, value: f64) -> String {
        let text = if self.value.unit == Unit::Degree || self.value.unit == Unit::Millisecond {
            exact(value)
        } else {
            written(value)
        };
        if self.is_change && value > 0.0 { format!("+{text}") } else { text }
    }

    /// '20 °C'.
    pub fn at_words(&self, at: f64) -> String {
        quantity(at, self.at.unit)
    }

    /// '+3.0°'.
    pub fn value_words(&self, value: f64) -> String {
        let text = given(value, self.value.unit);
        with_unit(&if self.is_change && value > 0.0 { format!("+{text}") } else { text }, self.value.unit)
    }

    /// A value with the decimals of the step, for the chart: '+3.0'.
    pub fn rounded(&self, value: f64) -> String {
        let decimals = step_decimals(self.value.step);
        if self.is_change { signed(value, decimals) } else { fixed(value, decimals) }
    }

    /// The same with its unit: '+3.0°'.
    pub fn rounded_words(&self, value: f64) -> String {
        with_unit(&self.rounded(value), self.value.unit)
    }

    /// 'coolant trim at 20 °C': the name of a point.
    pub fn point_name(&self, at: f64) -> String {
        format!("{} at {}", self.name, self.at_words(at))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    fn project() -> Project {
        NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Pressure, speeds: 8, loads: 8 }
            .create()
            .unwrap()
    }

    #[test]
    fn every_curve_is_in_the_catalogue_with_its_units() {
        let project = project();
        let units: Vec<_> = CurveOf::ALL
            .map(|of| {
                let words = CurveWords::of(of, &project);
                assert!(words.at.range.1 < f64::MAX && words.value.range.1 < f64::MAX, "{of:?}");
                (words.at.unit.text(), words.value.unit.text())
            })
            .into();
        let expected =
            [("°C", "°"), ("kPa", ""), ("°C", "°"), ("kPa", ""), ("V", "ms"), ("rpm", "°"), ("kPa", "°"), ("kPa", "°")];
        assert_eq!(units, expected);
    }

    #[test]
    fn points_are_named_as_people_say_them() {
        let words = CurveWords::of(CurveOf::CoolantTrim, &project());
        assert_eq!(words.point_name(-20.0), "coolant trim at \u{2212}20 °C");
        assert_eq!(words.value_words(3.0), "+3.0°");
        assert_eq!(words.value_words(0.0), "0.0°");
        let words = CurveWords::of(CurveOf::AirWeight, &project());
        assert_eq!(
            (words.point_name(60.0), words.value_words(0.5)),
            ("air trim weight at 60 kPa".into(), "0.5".into())
        );
    }

    #[test]
    fn values_snap_to_the_step_within_their_range() {
        let words = CurveWords::of(CurveOf::CoolantWeight, &project());
        assert_eq!(words.value.snapped(0.31), 0.3);
        assert_eq!(words.value.snapped(1.4), 1.0);
        assert_eq!(words.value.stepped(0.1, 1.0), 0.15);
        assert_eq!(words.value.refusal(1.5).unwrap(), "1.5 is outside 0..1");
        assert_eq!(words.at.refusal(600.0).unwrap(), "600 is outside 1..500 kPa");
    }
}
