//! Notices that someone else writes the open project's file.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::thread;
use std::time::Duration;

use eframe::egui;
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher as _};

use crate::window::tasks::worker::{News, Worker};

/// Programs write in several steps; the file is looked at when they have been quiet for so long.
const QUIET: Duration = Duration::from_millis(200);

/// Watches the folder of one file for as long as it lives.
#[derive(Debug)]
pub struct Watcher {
    file: PathBuf,
    /// Ends its thread when dropped; none when the system does not watch here, and then focus and saving still look.
    _system: Option<RecommendedWatcher>,
}

impl Watcher {
    /// Watches `folder` for what happens to `file`.
    pub fn new(ctx: &egui::Context, worker: &Worker, file: &Path, folder: &Path) -> Self {
        let system = watch(ctx, worker, file, folder);
        if let Err(error) = &system {
            log::warn!("{}: changes by others are noticed late: {error}", folder.display());
        }
        Self { file: file.to_owned(), _system: system.ok() }
    }

    /// The file it was made for.
    pub fn file(&self) -> &Path {
        &self.file
    }
}

fn watch(ctx: &egui::Context, worker: &Worker, file: &Path, folder: &Path) -> notify::Result<RecommendedWatcher> {
    let names = names(file);
    let (touched, touches) = mpsc::channel();
    let mut system = notify::recommended_watcher(move |event: notify::Result<Event>| {
        if event.is_ok_and(|event| concerns(&event, &names)) {
            let _ = touched.send(());
        }
    })?;
    let bell = worker.bell(ctx);
    thread::Builder::new().name("file watch".into()).spawn(move || {
        while touches.recv().is_ok() {
            while let Ok(()) = touches.recv_timeout(QUIET) {}
            bell(News::FileTouched);
            if touches.recv_timeout(Duration::ZERO) == Err(RecvTimeoutError::Disconnected) {
                return;
            }
        }
    })?;
    system.watch(folder, RecursiveMode::NonRecursive)?;
    Ok(system)
}

/// The names under which the file is met: its own, and that of the file a link leads to.
fn names(file: &Path) -> Vec<OsString> {
    let target = std::fs::canonicalize(file).ok();
    let names = [Some(file), target.as_deref()].into_iter().flatten().filter_map(Path::file_name);
    names.map(OsString::from).collect()
}

/// Reading is no change; nor is anything that happens to other files of the folder.
fn concerns(event: &Event, names: &[OsString]) -> bool {
    let is_change = !matches!(event.kind, EventKind::Access(_));
    is_change && event.paths.iter().filter_map(|path| path.file_name()).any(|name| names.iter().any(|own| own == name))
}

#[cfg(test)]
mod tests {
    use notify::event::{AccessKind, ModifyKind};

    use super::*;

    #[test]
    fn only_changes_of_the_file_itself_concern() {
        let names = [OsString::from("a.ron")];
        let event = |kind, path: &str| Event::new(kind).add_path(PathBuf::from(path));
        assert!(concerns(&event(EventKind::Modify(ModifyKind::Any), "/x/a.ron"), &names));
        assert!(!concerns(&event(EventKind::Access(AccessKind::Any), "/x/a.ron"), &names));
        assert!(!concerns(&event(EventKind::Modify(ModifyKind::Any), "/x/b.ron"), &names));
    }
}
