//! The readings of timing sweeps: speed and load are held, the advance is moved step by step, and torque is read at
//! each. The project keeps them, so that what was made of them can be judged again.

use serde::{Deserialize, Serialize};

use super::point::name_fault;
use crate::project::Fault;

/// What stands for the torque in a sweep's readings.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TorqueKind {
    /// Torque in Nm.
    #[default]
    TorqueNm,
    /// Power in kW; the torque follows from it and the speed.
    PowerKw,
    /// Any figure that is proportional to torque, such as the load on the brake's arm: it gives advances and per
    /// cent, never Nm.
    Brake,
}

impl TorqueKind {
    /// Every kind.
    pub const ALL: [Self; 3] = [Self::TorqueNm, Self::PowerKw, Self::Brake];

    /// Its name in files, and that of its column.
    pub const fn name(self) -> &'static str {
        match self {
            Self::TorqueNm => "torque_nm",
            Self::PowerKw => "power_kw",
            Self::Brake => "brake",
        }
    }

    /// A figure of this kind as torque: in Nm, but of a brake in its own unit.
    pub fn torque(self, figure: f64, speed_rpm: f64) -> f64 {
        match self {
            Self::TorqueNm | Self::Brake => figure,
            // Power is torque times angular speed: 60 000 / 2π between kW, rpm and Nm.
            Self::PowerKw => 30_000.0 / std::f64::consts::PI * figure / speed_rpm,
        }
    }
}

/// By which standard the torque of pulls is corrected for the air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AirStandard {
    /// SAE J1349, for spark ignition without boost.
    Sae,
    /// ISO 1585 (UN R85), for spark ignition without boost.
    Iso,
    /// DIN 70020.
    Din,
}

impl AirStandard {
    /// Every standard.
    pub const ALL: [Self; 3] = [Self::Sae, Self::Iso, Self::Din];

    /// Its name in files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Sae => "sae",
            Self::Iso => "iso",
            Self::Din => "din",
        }
    }

    /// What people call it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Sae => "SAE J1349",
            Self::Iso => "ISO 1585",
            Self::Din => "DIN 70020",
        }
    }
}

/// One settled reading of a sweep.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SweepReading {
    /// Crank speed in rpm.
    pub speed_rpm: f64,
    /// Load in the project's load unit.
    pub load: f64,
    /// What the unit commanded, degrees before TDC.
    pub advance_deg: f64,
    /// More than 0; what it is says the sweep's [`TorqueKind`].
    pub torque: f64,
    /// How often it knocked, or 1 and 0 for yes and no; `None` when nobody listened.
    pub knock: Option<f64>,
    /// Air-fuel ratio over the stoichiometric one.
    pub lambda: Option<f64>,
    /// Coolant temperature in °C.
    pub coolant_c: Option<f64>,
    /// Intake air temperature in °C.
    pub air_c: Option<f64>,
    /// Pressure of the air around, in kPa.
    pub air_kpa: Option<f64>,
    /// Relative humidity of the air around, in %.
    pub humidity_pct: Option<f64>,
    /// When it was read, in seconds; without it the order of the readings stands for the time.
    pub time_s: Option<f64>,
    /// What its operating point is called; without it speed and load say which one it is.
    pub point: Option<String>,
    /// The number of the pull that it comes from, when the speed was not held but ran up.
    pub pull: Option<u32>,
    /// Standard deviation of the torque, in its unit; more than 0.
    pub torque_sd: Option<f64>,
    /// Why somebody left it out; `None` while it is used.
    pub left_out: Option<String>,
}

impl SweepReading {
    /// Whether it is used.
    pub const fn is_used(&self) -> bool {
        self.left_out.is_none()
    }
}

/// The readings of timing sweeps that were taken together.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptSweep {
    /// Its name; no two sweeps of a project share one.
    pub name: String,
    /// When the readings were taken, RFC 3339 or a date; may be empty.
    pub taken_at: String,
    /// Remarks.
    pub note: String,
    /// What its readings have for torque.
    pub torque_kind: TorqueKind,
    /// By which standard the torque of its pulls is corrected for the air; `None` leaves it as it was read.
    pub air: Option<AirStandard>,
    /// The readings in the order in which they were taken.
    pub readings: Vec<SweepReading>,
}

impl KeptSweep {
    /// What is wrong with it by itself, with `path` before its fields.
    pub(super) fn fault(&self, path: &str) -> Option<Fault> {
        if let Some(fault) = name_fault(path, &self.name, "a timing sweep") {
            return Some(fault);
        }
        let mut readings = self.readings.iter().enumerate();
        readings.find_map(|(at, reading)| reading.fault(&format!("{path}.readings[{at}]"), self.torque_kind))
    }
}

impl SweepReading {
    fn fault(&self, path: &str, kind: TorqueKind) -> Option<Fault> {
        let fault = |field: &str, message: &str, hint: &str| {
            Some(Fault { path: format!("{path}.{field}"), message: message.into(), hint: hint.into() })
        };
        if kind == TorqueKind::PowerKw && self.speed_rpm <= 0.0 {
            return fault("speed_rpm", "without a speed there is no torque in a power", "leave the reading out");
        }
        if self.left_out.as_ref().is_some_and(|why| why.trim().is_empty()) {
            return fault("left_out", "a reading that is left out needs a reason", "write why, or take none for used");
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kilowatt_is_torque_times_speed_and_names_in_files_are_those_of_the_form() {
        // 100 kW at 9549.296586 rpm are 100 Nm.
        assert!((TorqueKind::PowerKw.torque(100.0, 9_549.296_586) - 100.0).abs() < 1e-7);
        assert_eq!(TorqueKind::TorqueNm.torque(123.0, 3000.0), 123.0);
        assert_eq!(TorqueKind::Brake.torque(12.5, 3000.0), 12.5);
        for kind in TorqueKind::ALL {
            assert_eq!(ron::to_string(&kind).unwrap(), kind.name());
        }
        for standard in AirStandard::ALL {
            assert_eq!(ron::to_string(&standard).unwrap(), standard.name());
        }
    }
}
