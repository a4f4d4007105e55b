//! Where an engine runs, and from which advance on it knocks there.

/// The load of a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Load {
    /// Manifold pressure in kPa.
    PressureKpa(f64),
    /// Throttle opening in %, of an engine without boost.
    ThrottlePct(f64),
}

/// Where the engine runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Crank speed in rpm.
    pub speed_rpm: f64,
    /// Manifold pressure in kPa.
    pub pressure_kpa: f64,
    /// λ; `None` for that of the description.
    pub lambda: Option<f64>,
}

/// From which advance on it knocks, in degrees before top dead centre.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum KnockLimit {
    /// At any spark of the sweep, −10° included.
    Always,
    /// From here on.
    At(f64),
    /// Not up to 60°, where the sweep ends.
    Beyond,
}

impl KnockLimit {
    /// The limit in degrees, if there is one within the sweep.
    pub const fn deg(self) -> Option<f64> {
        match self {
            Self::At(deg) => Some(deg),
            Self::Always | Self::Beyond => None,
        }
    }
}
