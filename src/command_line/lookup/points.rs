//! Many points, from file to file.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use serde::Serialize;

use super::flashed::{self, WithFlashed};
use super::workers;
use crate::command_line::answer::unless_closed;
use crate::command_line::output::{Format, locked_note, refuse_taken, shown};
use crate::command_line::pending::Pending;
use crate::command_line::stream::{Output, is_dash};
use crate::command_line::{Answer, Failure};
use crate::interchange::{Chunks, CommandedAdvance, DecimalMark, Evaluator, StreamError};
use crate::project::Project;
use crate::wording::count;

#[derive(Serialize)]
struct Done {
    file: String,
    rows: usize,
    locked_timing_deg: Option<f64>,
}

/// Copies the rows of `points` to `output` with what the unit would command.
pub(super) fn look_up(
    (path, project): (&Path, &Project),
    points: &Path,
    output: &Path,
    mark: Option<DecimalMark>,
    as_flashed: bool,
    format: Format,
) -> Result<Answer, Failure> {
    if is_dash(output) && format.json {
        return Err(Failure::Usage("with --json stdout is taken: -o needs a file".into(), "lookup"));
    }
    let commanded = CommandedAdvance::new(project);
    if !is_dash(output) {
        refuse_taken("lookup", output, &[("the project", path)])?;
    }
    let (rows, files) = if as_flashed {
        let unit = flashed::unit(project)?;
        let with =
            WithFlashed { commanded, flashed: flashed::of(project)?, unit: CommandedAdvance::of(unit.evaluation()) };
        append(&with, points, output, mark)?
    } else {
        append(&commanded, points, output, mark)?
    };
    let notes = Vec::from_iter(locked_note(project, "the project"));
    if is_dash(output) {
        return Ok(Answer { notes, ..Answer::default() });
    }
    let done = Done { file: shown(output), rows, locked_timing_deg: project.locked_timing_deg };
    let answer = format.answer(&done, || format!("looked up {}\nwrote {}\n", count(rows, "point"), done.file))?;
    Ok(Answer { notes, files: files.into_iter().collect(), ..answer })
}

fn append(
    evaluator: &(impl Evaluator + Clone + Sync + Send),
    points: &Path,
    path: &Path,
    mark: Option<DecimalMark>,
) -> Result<(usize, Option<Pending>), Failure> {
    let chunks = Chunks::new(open(points)?);
    let unwritable = |source| Failure::Output { path: path.to_owned(), source };
    let mut output = Output::to(path)?;
    match workers::append_columns(chunks, &mut output, evaluator, mark) {
        Ok(rows) => output.finish().map_err(unwritable).map(|file| (rows, file)),
        Err(StreamError::Write(source)) => unless_closed(Err(source)).map_err(unwritable).map(|()| (0, None)),
        Err(source) => Err(Failure::Points { path: points.to_owned(), source }),
    }
}

fn open(points: &Path) -> Result<Box<dyn Read + Send>, Failure> {
    if is_dash(points) {
        return Ok(Box::new(io::stdin()));
    }
    let opened = File::open(points).map_err(|source| Failure::Read { path: points.to_owned(), source })?;
    Ok(Box::new(opened))
}
