//! From version 3 to 4: the project keeps what was measured on the engine. Older files have nothing of it. Kept states are
//! projects of their own and are turned with it.

use ron::error::SpannedError;
use ron::value::RawValue;
use serde::Deserialize;

use super::turn::{Step, Turn, read, turn_all};

/// What of a project this step looks at; the rest is as it was.
#[derive(Deserialize)]
struct Outline<'a> {
    #[serde(borrow, default)]
    format: Option<&'a RawValue>,
}

/// Turns a text of version 3.
///
/// # Errors
/// What the parser says of a text that is not RON.
pub(super) fn step(text: &str) -> Result<Step, SpannedError> {
    turn_all(text, project)
}

fn project(turn: &mut Turn<'_>, outline: &Outline<'_>, _: &str) {
    if let Some(format) = outline.format.filter(|format| read(Some(format)) == Some(3)) {
        turn.replace(format, "4, evidence: (points: [], sweeps: [])".into());
    }
}
