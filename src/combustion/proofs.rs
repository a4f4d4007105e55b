//! The whole model against values from elsewhere, and properties that any such model must have.

mod calibrated;
mod check_values;
mod outside;
mod trends;

use super::cell::Cell;
use super::geometry::Cylinder;
use super::{Belief, CellOpinion, Corrections, Description, Load, Place, SecondOpinion};
use crate::project::{Chamber, Induction};

/// The engine of the defaults.
fn plain() -> Description {
    Description::default()
}

/// A four-valve engine of a higher ratio.
fn four_valve() -> Description {
    Description { chamber: Chamber::FourValveCentralPlug, compression_ratio: 10.5, ..plain() }
}

/// The same with a turbocharger.
fn turbocharged() -> Description {
    Description { compression_ratio: 8.5, induction: Induction::Boosted, intake_air_c: Some(45.0), ..four_valve() }
}

/// A large six with hemispherical chambers.
fn hemispherical() -> Description {
    Description {
        cylinders: 6,
        displacement_l: 4.2,
        bore_to_stroke: 0.87,
        compression_ratio: 9.0,
        rated_speed_rpm: 5500.0,
        chamber: Chamber::TwoValveHemispherical,
        ..plain()
    }
}

fn opinion(description: Description, speed_rpm: f64, pressure_kpa: f64) -> CellOpinion {
    SecondOpinion::new(description, Belief::untested()).at(speed_rpm, Load::PressureKpa(pressure_kpa), 25.0).unwrap()
}

/// Runs something on the cell of a place.
fn with_cell<T>(description: &Description, place: Place, run: impl FnOnce(&Cell<'_>) -> T) -> T {
    let cylinder = Cylinder::new(description);
    run(&Cell::new(description, &cylinder, place, &Corrections::default()))
}

fn place(speed_rpm: f64, pressure_kpa: f64) -> Place {
    Place { speed_rpm, pressure_kpa, lambda: None }
}
