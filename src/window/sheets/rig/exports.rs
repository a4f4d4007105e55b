//! The run and its events to and from files.

use std::io::BufWriter;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use atomic_write_file::AtomicWriteFile;
use eframe::egui;

use super::{RigScreen, RunChoice};
use crate::document::{replaceable, write_file};
use crate::interchange::{EventRows, read_run, write_run};
use crate::project::Project;
use crate::rig::{Rig, Run, Settings};
use crate::window::commands::Command;
use crate::window::frame::widgets::button;
use crate::window::{Outbox, View};

/// A job of the rig that needs a path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RigJob {
    /// Read a run.
    ReadRun,
    /// Write the run.
    WriteRun,
    /// Drive the run and write what happens.
    WriteEvents,
}

/// What became of it.
#[derive(Debug)]
pub enum RigNews {
    /// A run was read, or not.
    Read(PathBuf, Result<Run, String>),
    /// Something was written, with what to know about it, or not.
    Written(RigJob, PathBuf, Result<Option<String>, String>),
}

impl RigJob {
    /// What it is called in titles and messages.
    pub const fn title(self) -> &'static str {
        match self {
            Self::ReadRun => "Read a run",
            Self::WriteRun => "Export the run",
            Self::WriteEvents => "Export the events",
        }
    }

    /// What its button says.
    pub const fn verb(self) -> &'static str {
        match self {
            Self::ReadRun => "Read",
            Self::WriteRun | Self::WriteEvents => "Export",
        }
    }

    /// Whether it writes the file.
    pub const fn is_writing(self) -> bool {
        !matches!(self, Self::ReadRun)
    }

    /// What its files are, their endings, and what is added to the project's name.
    pub const fn files(self) -> (&'static str, &'static [&'static str], &'static str) {
        match self {
            Self::ReadRun => ("Runs", &["csv", "tsv", "txt"], ""),
            Self::WriteRun => ("Runs", &["csv"], " run"),
            Self::WriteEvents => ("Events", &["csv"], " events"),
        }
    }
}

/// What can be written.
pub(super) fn menu(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    for (command, text) in [(Command::RigExportEvents, "Events of the run…"), (Command::RigExportRun, "The run…")] {
        if button(ui, view, outbox, command, text).clicked() {
            ui.close();
        }
    }
}

/// What a job needs of the window; it is done on a thread.
pub fn do_job(job: RigJob, path: PathBuf, rig: &RigScreen, project: &Project) -> Result<Box<dyn FnOnce() -> RigNews + Send>, String> {
    if job == RigJob::ReadRun {
        return Ok(Box::new(move || {
            let run = read(&path);
            RigNews::Read(path, run)
        }));
    }
    let run = rig.run.clone()?;
    let (settings, project) = (rig.settings.clone(), rig.on_the_rig(project)?);
    Ok(Box::new(move || {
        let done = match job {
            RigJob::WriteEvents => write_events(&path, &project, &run, settings),
            RigJob::ReadRun | RigJob::WriteRun => write_file(&path, write_run(&run).as_bytes())
                .map(|warning| warning.map(|warning| warning.to_string()))
                .map_err(|error| error.to_string()),
        };
        RigNews::Written(job, path, done)
    }))
}

fn read(path: &Path) -> Result<Run, String> {
    let about = std::fs::metadata(path).map_err(|error| error.to_string())?;
    if !about.is_file() {
        return Err("this is no ordinary file; choose a CSV file".to_owned());
    }
    let bytes = std::fs::read(path).map_err(|error| error.to_string())?;
    read_run(&bytes).map_err(|error| error.to_string())
}

/// Row by row while the rig runs, so that no run is too long; the file takes its place when it is whole.
fn write_events(path: &Path, project: &Project, run: &Arc<Run>, settings: Settings) -> Result<Option<String>, String> {
    let target = replaceable(path).map_err(|error| error.to_string())?;
    let rig = Rig::new(project, settings).map_err(|error| error.to_string())?;
    let written = || {
        let mut rows = EventRows::new(BufWriter::new(AtomicWriteFile::open(&target)?), project);
        rig.run(run, &mut rows);
        let file = rows.finish()?.into_inner().map_err(std::io::IntoInnerError::into_error)?;
        file.commit()
    };
    written().map(|()| None).map_err(|error| format!("{}: {error}", path.display()))
}

/// Puts a run that was read on the rig.
pub fn put_on(rig: &mut RigScreen, path: PathBuf, run: Run) {
    rig.choose(RunChoice::File(path, Arc::new(run)));
}
