//! Reading files with the readings of timing sweeps.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::document::read_bounded;
use crate::interchange::{DecimalMark, MAX_SWEEP_BYTES, ReadSweep, read_sweep_as};
use crate::project::{KeptSweep, LoadKind};
use crate::window::state::dialogs::{Doubtful, MarksForm};
use crate::window::state::file_jobs::file_name;
use crate::wording::Refusal;

/// The result of reading a file.
#[derive(Debug)]
pub enum SweepNews {
    /// It was read, or not.
    Read(PathBuf, Result<KeptSweep, Refusal>),
    /// The decimal mark has to be asked for.
    Ask(MarksForm),
}

/// Reads a file.
pub fn read(path: PathBuf, load: LoadKind) -> SweepNews {
    match read_bounded(&path, MAX_SWEEP_BYTES as u64) {
        Ok(bytes) => read_marked(path, bytes.into(), None, load),
        Err(error) => SweepNews::Read(path, Err(error.into())),
    }
}

/// Reads the bytes of a file; if `mark` is `None`, the result may be a question for the decimal mark.
pub fn read_marked(path: PathBuf, bytes: Arc<[u8]>, mark: Option<DecimalMark>, load: LoadKind) -> SweepNews {
    match read_sweep_as(&bytes, mark, Some(load)) {
        Ok(found) => {
            let kept = kept(&path, found);
            SweepNews::Read(path, Ok(kept))
        }
        Err(error) => match error.asks() {
            Some(question) => {
                SweepNews::Ask(MarksForm { question: question.clone(), what: Doubtful::Sweep(path, bytes) })
            }
            None => SweepNews::Read(path, Err(error.into())),
        },
    }
}

/// The readings under the name of their file.
fn kept(path: &Path, found: ReadSweep) -> KeptSweep {
    let ReadSweep { torque_kind, readings, .. } = found;
    // Names stand in brackets and quotes in the paths of fields.
    let name = file_name(path).replace(['[', ']', '"'], "_");
    KeptSweep { name, torque_kind, readings, ..KeptSweep::default() }
}
