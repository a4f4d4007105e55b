//! The second opinion on a project: its description, what was measured on the engine, and every cell of its table.

mod measured;

use crate::combustion::{
    Belief, Calibrated, CalibrationError, CellOpinion, Description, LIMITS_OF_THE_MODEL, LearntOf, Load, NoOpinion,
    SecondOpinion, UNTESTED,
};
use crate::project::{FieldKind, Project, field};
use crate::watch::{Stopped, Watch};
use crate::wording::{Unit, count, lower_first, one_line, quantity};

pub use measured::{MeasuredOf, measured_of};

/// What is tried in place of the project's own values, each if it is there.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct WhatIf {
    /// Research octane number of another fuel; its motor octane number moves by as much.
    pub octane_ron: Option<f64>,
    /// Intake air in °C.
    pub intake_air_c: Option<f64>,
    /// Compression ratio.
    pub compression_ratio: Option<f64>,
    /// So much more or less manifold pressure at every place, in kPa; where the load is a throttle opening it means
    /// nothing.
    pub more_pressure_kpa: f64,
}

/// The opinion on one place of a project's table.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceOpinion {
    /// Crank speed in rpm.
    pub speed_rpm: f64,
    /// Load in the project's unit.
    pub load: f64,
    /// The table's advance there, degrees before top dead centre.
    pub table_deg: f64,
    /// The same with what trims add at most.
    pub most_deg: f64,
    /// The opinion, or why there is none.
    pub opinion: Result<CellOpinion, NoOpinion>,
}

impl PlaceOpinion {
    /// Degrees in hand with the worst trims; `None` where nothing knocks, or there is no opinion.
    pub fn in_hand_deg(&self) -> Option<f64> {
        self.opinion.as_ref().ok()?.in_hand_deg(self.most_deg)
    }
}

/// The second opinion on a project.
#[derive(Clone, Debug)]
pub struct ProjectOpinion {
    /// The opinion on its engine.
    pub opinion: SecondOpinion,
    /// What the measured points taught; `None` where there are none that teach.
    pub calibrated: Option<Calibrated>,
    /// Points and sweeps that teach nothing, each with the reason.
    pub left_out: Vec<(String, String)>,
    /// Paths of what nobody has given, and what is used instead.
    pub assumed: Vec<Assumed>,
    what_if: WhatIf,
}

/// A value that nobody has given.
#[derive(Clone, Debug, PartialEq)]
pub struct Assumed {
    /// The path of its field.
    pub path: &'static str,
    /// What is used, as words.
    pub words: String,
}

impl ProjectOpinion {
    /// Learns from what was measured on the engine as it is, and gives the opinion on it as it would be.
    ///
    /// # Errors
    /// [`Stopped`] if its watch stops it.
    pub fn of(project: &Project, what_if: WhatIf, watch: Watch<'_>) -> Result<Self, Stopped> {
        let description = Description::of(project);
        let MeasuredOf { measured, mut left_out } = measured_of(project);
        let own = SecondOpinion::new(description.clone(), Belief::untested());
        let calibrated = match own.learn(&measured, watch) {
            Ok(calibrated) => Some(calibrated),
            Err(CalibrationError::Stopped(stopped)) => return Err(stopped),
            Err(CalibrationError::NoPoints { left_out: unusable }) => {
                left_out.extend(unusable);
                None
            }
            Err(CalibrationError::Unsolvable) => {
                left_out.extend(measured.into_iter().map(|one| (one.name, CalibrationError::Unsolvable.to_string())));
                None
            }
        };
        left_out.extend(calibrated.iter().flat_map(|calibrated| calibrated.left_out.clone()));
        let belief = calibrated.as_ref().map_or_else(Belief::untested, |calibrated| calibrated.belief.clone());
        let assumed = assumed(project, &description, what_if);
        let opinion = SecondOpinion::new(with(description, what_if), belief);
        Ok(Self { opinion, calibrated, left_out, assumed, what_if })
    }

    /// The opinion on a speed in rpm and a load in the project's unit.
    pub fn at(&self, project: &Project, speed_rpm: f64, load: f64) -> PlaceOpinion {
        let table_deg = project.advance.table().lookup(speed_rpm, load);
        let most_deg = table_deg + project.trims.most_deg(load);
        let tried = match Load::of(project.sensors.load, load) {
            Load::PressureKpa(pressure_kpa) => Load::PressureKpa(pressure_kpa + self.what_if.more_pressure_kpa),
            throttle @ Load::ThrottlePct(_) => throttle,
        };
        PlaceOpinion { speed_rpm, load, table_deg, most_deg, opinion: self.opinion.at(speed_rpm, tried, table_deg) }
    }

    /// The opinion on every cell of the project's table, row by row, lowest first.
    ///
    /// # Errors
    /// [`Stopped`] if its watch stops it.
    pub fn of_table(&self, project: &Project, watch: Watch<'_>) -> Result<Vec<PlaceOpinion>, Stopped> {
        let table = project.advance.table();
        let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
        let mut places = Vec::with_capacity(speeds.len() * loads.len());
        for (row, load) in loads.iter().enumerate() {
            watch.round(row, loads.len())?;
            places.extend(speeds.iter().map(|speed_rpm| self.at(project, *speed_rpm, *load)));
        }
        Ok(places)
    }

    /// What is known of the four unknowns that people are shown.
    pub fn learnt(&self) -> Vec<LearntOf> {
        self.opinion.belief().learnt()
    }

    /// What is tried in place of the project's own values.
    pub const fn what_if(&self) -> WhatIf {
        self.what_if
    }

    /// What must be said wherever its figures are shown, a sentence each: how far it was tested, and what it leaves out.
    pub fn caution_lines(&self) -> Vec<String> {
        let tested = match &self.calibrated {
            None => UNTESTED.to_owned(),
            Some(calibrated) => {
                let used = count(calibrated.used.len(), "measurement");
                format!("Tested by {used} on this engine; far from them it is shape and order only.")
            }
        };
        std::iter::once(tested).chain(LIMITS_OF_THE_MODEL.map(str::to_owned)).collect()
    }

    /// How far it was tested, to end a sentence with.
    pub fn tested_words(&self) -> String {
        match &self.calibrated {
            Some(calibrated) => format!("calibrated by {}", count(calibrated.used.len(), "measurement")),
            None => lower_first(UNTESTED.trim_end_matches('.')),
        }
    }

    /// The points that stand apart from the others, as a sentence; `None` where none does.
    pub fn apart_words(&self) -> Option<String> {
        let calibrated = self.calibrated.as_ref()?;
        let names: Vec<String> = calibrated.apart().map(|name| format!("'{}'", one_line(name))).collect();
        let (stand, them) = if names.len() == 1 { ("stands", "it") } else { ("stand", "them") };
        let words = format!(
            "{} {stand} apart from the rest and still pulls on it: read {them} again, or take {them} out of use.",
            names.join(", ")
        );
        (!names.is_empty()).then_some(words)
    }
}

/// The engine with what is tried.
fn with(description: Description, what_if: WhatIf) -> Description {
    let octane_ron = what_if.octane_ron.unwrap_or(description.octane_ron);
    Description {
        octane_ron,
        octane_mon: description.octane_mon + octane_ron - description.octane_ron,
        intake_air_c: what_if.intake_air_c.or(description.intake_air_c),
        compression_ratio: what_if.compression_ratio.unwrap_or(description.compression_ratio),
        ..description
    }
}

/// What nobody has given and nothing is tried for.
fn assumed(project: &Project, description: &Description, what_if: WhatIf) -> Vec<Assumed> {
    let is_tried = |path: &str| match path {
        "engine.fuel_octane_ron" => what_if.octane_ron.is_some(),
        "combustion.intake_air_c" => what_if.intake_air_c.is_some(),
        "engine.compression_ratio" => what_if.compression_ratio.is_some(),
        _ => false,
    };
    let paths = project.assumed_of_combustion().into_iter().filter(|path| !is_tried(path));
    paths.map(|path| Assumed { path, words: assumed_words(project, description, path) }).collect()
}

fn assumed_words(project: &Project, description: &Description, path: &str) -> String {
    let label = field(path).map_or(path, |field| field.label);
    let value = match (path, description.assumed_number(path)) {
        ("engine.chamber", _) => project.engine.chamber.words(),
        ("engine.induction", _) if project.engine.induction.is_boosted() => "boosted".into(),
        ("engine.induction", _) => "naturally aspirated".into(),
        ("combustion.lambda", _) => return "Lambda: 1 at part load, rich at full load".into(),
        (_, Some(number)) => quantity(number, unit_of(path)),
        (_, None) => "not given".into(),
    };
    format!("{label}: {value}")
}

fn unit_of(path: &str) -> Unit {
    match field(path).map(|field| field.kind) {
        Some(FieldKind::Number { unit, .. }) => unit,
        _ => Unit::None,
    }
}
