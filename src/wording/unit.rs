//! The units of numbers.

use std::fmt;

use serde::{Serialize, Serializer};

/// The unit of a number. Its text stands after the number; [`Unit::None`] has none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// No unit: a factor, a share, a number of things.
    None,
    /// Degrees of the crank.
    Degree,
    /// Degrees per 1000 rpm.
    DegreePer1000Rpm,
    /// Degrees per squared mean spacing of an axis: of a curvature.
    DegreePerSpacing2,
    /// Degrees per kPa.
    DegreePerKilopascal,
    /// Degrees per 10 kPa.
    DegreePer10Kilopascal,
    /// Degrees per % of throttle.
    DegreePerPercent,
    /// Revolutions of the crank per minute.
    Rpm,
    /// kPa, absolute.
    Kilopascal,
    /// Per cent.
    Percent,
    /// Per cent of throttle per volt.
    PercentPerVolt,
    /// °C.
    Celsius,
    /// K.
    Kelvin,
    /// Hz.
    Hertz,
    /// s.
    Second,
    /// ms.
    Millisecond,
    /// µs.
    Microsecond,
    /// V.
    Volt,
    /// kV.
    Kilovolt,
    /// A.
    Ampere,
    /// Ω.
    Ohm,
    /// mH.
    Millihenry,
    /// mJ.
    Millijoule,
    /// mm.
    Millimetre,
    /// Millimetres per 100 kPa.
    MillimetrePer100Kilopascal,
    /// Litres.
    Litre,
    /// Research octane number.
    Ron,
    /// A ratio to one: '10.8:1'.
    ToOne,
    /// Pitches of the trigger wheel.
    Pitch,
    /// Teeth of the trigger wheel.
    Tooth,
    /// Missing teeth of the trigger wheel.
    MissingTooth,
    /// Pulses of the tachometer.
    Pulse,
    /// Counts of a stored number.
    Count,
    /// Readings that were taken.
    Reading,
    /// Conditions of an output.
    Condition,
    /// Bits of a converter.
    Bit,
    /// A switch as a number: 0 open, 1 closed.
    Switch,
    /// Pixels of a picture per point.
    PixelPerPoint,
    /// Pulses of the tachometer per revolution of the crank.
    PerRevolution,
}

impl Unit {
    /// Its text as it stands after a number other than one; empty for [`Unit::None`].
    pub const fn text(self) -> &'static str {
        match self {
            Self::None => "",
            Self::Degree => "°",
            Self::DegreePer1000Rpm => "°/1000 rpm",
            Self::DegreePerSpacing2 => "°/spacing²",
            Self::DegreePerKilopascal => "°/kPa",
            Self::DegreePer10Kilopascal => "°/10 kPa",
            Self::DegreePerPercent => "°/%",
            Self::Rpm => "rpm",
            Self::Kilopascal => "kPa",
            Self::Percent => "%",
            Self::PercentPerVolt => "%/V",
            Self::Celsius => "°C",
            Self::Kelvin => "K",
            Self::Hertz => "Hz",
            Self::Second => "s",
            Self::Millisecond => "ms",
            Self::Microsecond => "µs",
            Self::Volt => "V",
            Self::Kilovolt => "kV",
            Self::Ampere => "A",
            Self::Ohm => "Ω",
            Self::Millihenry => "mH",
            Self::Millijoule => "mJ",
            Self::Millimetre => "mm",
            Self::MillimetrePer100Kilopascal => "mm/100 kPa",
            Self::Litre => "l",
            Self::Ron => "RON",
            Self::ToOne => ":1",
            Self::Pitch => "pitches",
            Self::Tooth => "teeth",
            Self::MissingTooth => "missing teeth",
            Self::Pulse => "pulses",
            Self::Count => "counts",
            Self::Reading => "readings",
            Self::Condition => "conditions",
            Self::Bit => "bits",
            Self::Switch => "0 or 1",
            Self::PixelPerPoint => "pixels per point",
            Self::PerRevolution => "per revolution",
        }
    }

    /// Its text after the number one: 'pulse'.
    pub(super) const fn text_of_one(self) -> &'static str {
        match self {
            Self::Pitch => "pitch",
            Self::Tooth => "tooth",
            Self::Pulse => "pulse",
            Self::Count => "count",
            Self::Reading => "reading",
            Self::Condition => "condition",
            other => other.text(),
        }
    }

    /// Whether there is none.
    pub fn is_none(self) -> bool {
        self == Self::None
    }

    /// Degrees per something.
    pub const fn is_slope(self) -> bool {
        matches!(
            self,
            Self::DegreePer1000Rpm | Self::DegreePerKilopascal | Self::DegreePer10Kilopascal | Self::DegreePerPercent
        )
    }

    /// Degrees, or degrees per something.
    pub(super) fn is_degrees(self) -> bool {
        matches!(self, Self::Degree | Self::DegreePerSpacing2) || self.is_slope()
    }

    /// Whether it stands after its number without a space.
    pub(super) fn stands_close(self) -> bool {
        self.is_degrees() || matches!(self, Self::None | Self::ToOne)
    }

    /// How many decimals are shown at most of a number that was given; numbers without a unit are factors and
    /// shown in full.
    pub(super) const fn most_decimals(self) -> usize {
        match self {
            Self::Millijoule | Self::Microsecond => 1,
            _ => 3,
        }
    }

    /// How many decimals a number that was computed is shown with.
    pub(super) fn decimals(self) -> usize {
        match self {
            Self::Rpm | Self::Kilopascal => 0,
            Self::Celsius | Self::Millisecond | Self::Second | Self::Millimetre => 2,
            Self::Volt => 3,
            unit if unit.is_degrees() => 2,
            _ => 1,
        }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.text())
    }
}

impl Serialize for Unit {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.text())
    }
}
