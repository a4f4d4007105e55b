//! What the unit makes of an image, and what the image does not hold of the project, for text and JSON.

use serde::Serialize;

use super::Failure;
use crate::image::{NotHeld, SparkComparison, SparkPlace, not_held};
use crate::project::{Content, Project};
use crate::wording::{one_line, settle};

/// How the spark of the unit differs from that of the project.
#[derive(Serialize)]
pub(super) struct Spark {
    same: bool,
    largest_difference: Largest,
    states: Option<States>,
    places: usize,
}

#[derive(Serialize)]
struct Largest {
    deg: f64,
    project_deg: f64,
    unit_deg: f64,
    #[serde(flatten)]
    at: At,
}

#[derive(Serialize)]
struct States {
    project: &'static str,
    unit: &'static str,
    #[serde(flatten)]
    at: At,
}

#[derive(Serialize)]
struct At {
    speed_rpm: f64,
    load: f64,
    coolant_c: Option<f64>,
    air_c: Option<f64>,
    throttle_pct: Option<f64>,
    launch: bool,
    falling: bool,
}

impl At {
    fn of(place: &SparkPlace) -> Self {
        let at = &place.conditions;
        Self {
            speed_rpm: at.speed_rpm,
            load: at.load,
            coolant_c: at.coolant_c,
            air_c: at.air_c,
            throttle_pct: at.throttle_pct,
            launch: at.launch_switch,
            falling: place.is_falling,
        }
    }
}

impl Spark {
    pub(super) fn of(comparison: &SparkComparison) -> Self {
        let largest = &comparison.largest;
        Self {
            same: comparison.is_same(),
            largest_difference: Largest {
                deg: largest.deg(),
                project_deg: settle(largest.project_deg),
                unit_deg: settle(largest.unit_deg),
                at: At::of(&largest.place),
            },
            states: comparison.states.map(|states| States {
                project: states.project.name(),
                unit: states.unit.name(),
                at: At::of(&states.place),
            }),
            places: comparison.places,
        }
    }
}

/// A part of the project that the image does not hold completely.
#[derive(Serialize)]
pub(super) struct NotInImage {
    part: &'static str,
    label: &'static str,
    how: &'static str,
    acts: bool,
    set: bool,
    note: String,
    at_c: Option<f64>,
    words: String,
    missing: Vec<Missing>,
}

#[derive(Serialize)]
struct Missing {
    content: Content,
    #[serde(skip_serializing_if = "String::is_empty")]
    field: String,
}

impl NotInImage {
    fn of(part: &NotHeld) -> Self {
        let missing = part.covered.missing().iter();
        Self {
            part: part.part.name(),
            label: part.part.words(),
            how: part.covered.name(),
            acts: part.acts,
            set: part.set,
            note: part.note.clone(),
            at_c: part.at_c,
            words: part.how_words(),
            missing: missing.map(|needed| Missing { content: needed.content, field: needed.field.clone() }).collect(),
        }
    }
}

/// What is in a project and not in its image: for JSON, and as lines of text.
pub(super) fn list(project: &Project) -> Result<(Vec<NotInImage>, String), Failure> {
    let parts = not_held(project)?;
    let lines = parts.iter().map(|part| format!("  {}\n", one_line(&part.words())));
    let lines = lines.collect::<String>();
    let text = match parts.len() {
        0 => "In the project, not in the image: nothing\n".to_owned(),
        _ => format!("In the project, not in the image:\n{lines}"),
    };
    Ok((parts.iter().map(NotInImage::of).collect(), text))
}

/// The result of the comparison, one sentence per line.
pub(super) fn spark_text(comparison: &SparkComparison, project: &Project) -> String {
    let sentences = comparison.sentences(project.sensors.load.unit());
    sentences.into_iter().map(|sentence| format!("{sentence}\n")).collect()
}
