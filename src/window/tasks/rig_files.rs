//! Reading and writing runs and their events.

use crate::window::state::dialogs::{Doubtful, MarksForm};
use crate::window::state::file_jobs::RigJob;
use crate::window::state::rig_state::{PutOn, RigScreen, RunChoice};
use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::document::{Staged, read_bounded, write_file};
use crate::drawing::{DrivenRun, Look, StripAxis};
use crate::interchange::{DecimalMark, EventRows, MAX_RUN_BYTES, read_run_as, write_run};
use crate::picture::{Plate, RunPicture, png, run_plate, svg};
use crate::project::{LoadKind, Project};
use crate::rig::{Event, Layout, Record, Replay, Revolution, Run, Settings, Turn};
use crate::wording::Refusal;

/// Width and height of an exported picture in points, pixels per point, and columns of the run in it.
const PICTURE: (f32, f32) = (1120.0, 760.0);
const PICTURE_SCALE: f32 = 2.0;
const PICTURE_COLUMNS: usize = 4096;

/// The result of a job.
#[derive(Debug)]
pub enum RigNews {
    /// A run was read, or not.
    Read(PathBuf, Result<Run, Refusal>),
    /// The decimal mark of a run has to be asked for.
    Ask(MarksForm),
    /// Something was written, with remarks, or was not.
    Written(RigJob, PathBuf, Result<Option<String>, Refusal>),
}

/// A job with everything that it needs.
pub type Work = Box<dyn FnOnce() -> RigNews + Send>;

/// Collects what a job needs from the window; the job is then done on a thread.
pub fn do_job(job: RigJob, path: PathBuf, rig: &RigScreen, project: &Project, look: Look) -> Result<Work, Refusal> {
    if job == RigJob::ReadRun {
        let load = project.sensors.load;
        return Ok(Box::new(move || match read_bounded(&path, MAX_RUN_BYTES as u64) {
            Ok(bytes) => read(path, bytes.into(), None, load),
            Err(error) => RigNews::Read(path, Err(error.into())),
        }));
    }
    let run = rig.run.clone()?;
    let (settings, to_put_on) = (rig.settings.clone(), rig.to_put_on(project));
    let (cursor_s, axis, name) = (rig.cursor_s, rig.axis, rig.run_name());
    Ok(Box::new(move || {
        let done = match job {
            RigJob::WritePicture => {
                let looked_at = LookedAt { name, cursor_s, axis, look };
                to_put_on.put().and_then(|put_on| write_picture(&path, &put_on, &run, settings, &looked_at))
            }
            RigJob::WriteEvents => to_put_on.put().and_then(|put_on| write_events(&path, &put_on, &run, settings)),
            RigJob::ReadRun | RigJob::WriteRun => write_file(&path, write_run(&run).as_bytes())
                .map(|warning| warning.map(|warning| warning.to_string()))
                .map_err(Refusal::from),
        };
        RigNews::Written(job, path, done)
    }))
}

/// Reads a run from the bytes of its file; if `mark` is `None`, the result may be a question for the decimal mark.
pub fn read(path: PathBuf, bytes: Arc<[u8]>, mark: Option<DecimalMark>, load: LoadKind) -> RigNews {
    match read_run_as(&bytes, mark, Some(load)) {
        Ok(run) => RigNews::Read(path, Ok(run)),
        Err(error) => match error.asks() {
            Some(question) => RigNews::Ask(MarksForm { question: question.clone(), what: Doubtful::Run(path, bytes) }),
            None => RigNews::Read(path, Err(error.into())),
        },
    }
}

/// Writes row by row while the rig runs, so that a run of any length is possible; the file takes its place when
/// it is complete.
fn write_events(path: &Path, put_on: &PutOn, run: &Arc<Run>, settings: Settings) -> Result<Option<String>, Refusal> {
    let file = Staged::stream(path)?;
    let rig = put_on.rig(settings)?;
    let mut rows = EventRows::new(BufWriter::new(file), &put_on.project);
    rig.run(run, &mut rows);
    let written = rows.finish().and_then(|file| file.into_inner().map_err(std::io::IntoInnerError::into_error));
    let file = written.map_err(|error| Refusal::from(error).at(path.display().to_string()))?;
    file.commit().map(|warning| warning.map(|warning| warning.to_string())).map_err(Refusal::from)
}

/// Work that lays out the picture of the run and the revolution at the cursor.
///
/// # Errors
/// Why there is no run.
pub fn drawing(
    rig: &RigScreen,
    project: &Project,
    look: Look,
) -> Result<impl FnOnce() -> Result<Plate, Refusal> + Send + use<>, Refusal> {
    let run = rig.run.clone()?;
    let (settings, to_put_on) = (rig.settings.clone(), rig.to_put_on(project));
    let looked_at = LookedAt { name: rig.run_name(), cursor_s: rig.cursor_s, axis: rig.axis, look };
    Ok(move || to_put_on.put().and_then(|put_on| plate_of(&put_on, &run, settings, &looked_at)))
}

/// What a picture shows of the run.
struct LookedAt {
    name: String,
    cursor_s: f64,
    axis: StripAxis,
    look: Look,
}

/// Drives the run once more and draws it; the file's ending decides whether it is vectors or pixels.
fn write_picture(
    path: &Path,
    put_on: &PutOn,
    run: &Run,
    settings: Settings,
    looked_at: &LookedAt,
) -> Result<Option<String>, Refusal> {
    let plate = plate_of(put_on, run, settings, looked_at)?;
    let is_png = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("png"));
    let bytes = if is_png { png(&plate, PICTURE_SCALE)? } else { svg(&plate).into_bytes() };
    write_file(path, &bytes).map(|warning| warning.map(|warning| warning.to_string())).map_err(Refusal::from)
}

/// Drives the run once more and lays its picture out.
fn plate_of(put_on: &PutOn, run: &Run, settings: Settings, looked_at: &LookedAt) -> Result<Plate, Refusal> {
    let project = &put_on.project;
    let rig = put_on.rig(settings.clone())?;
    let (motion, layout) = (rig.motion(run), Layout::new(project));
    let mut record = Record::new(run, PICTURE_COLUMNS);
    let replay =
        Replay::new(rig.drive(run, &motion), run, &mut record).ok_or_else(|| Refusal::new("the run was broken off"))?;
    let turn = Turn::at(looked_at.cursor_s, run, &motion, &layout);
    let mut events: Vec<Event> = Vec::new();
    replay.events(turn.wanted_s().0, turn.wanted_s().1, &mut events);
    let revolution = Revolution::new(turn, &events, &motion, &layout);
    let spec = RunPicture {
        project,
        name: &looked_at.name,
        driven: DrivenRun { parts: project, run, motion: &motion, record: &record, settings: &settings },
        revolution: &revolution,
        axis: looked_at.axis,
        look: looked_at.look,
        size: PICTURE,
    };
    Ok(run_plate(&spec)?)
}

/// Chooses a run that was read.
pub fn put_on(rig: &mut RigScreen, path: PathBuf, run: Run) {
    rig.choose(RunChoice::File(path, Arc::new(run)));
}
