//! Notices when someone else writes the open project's file.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::thread;
use std::time::Duration;

use eframe::egui;
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher as _};

use super::task::{Fault, Task};
use crate::document::folder_to_watch;
use crate::wording::Refusal;

/// Programs write in several steps; the file is looked at after a pause of this length.
const QUIET: Duration = Duration::from_millis(200);

/// Watches the folder of one file for as long as it lives.
#[derive(Debug)]
pub struct Watcher {
    /// Whether something has happened to the file.
    is_touched: Arc<AtomicBool>,
    /// Ends its thread when dropped.
    _system: RecommendedWatcher,
}

impl Watcher {
    /// Whether something has happened to the file since the last call.
    pub fn takes_touch(&self) -> bool {
        self.is_touched.swap(false, Ordering::Relaxed)
    }

    /// Watches the folder of a file; it starts out as touched, because of what may have happened before.
    fn new(ctx: &egui::Context, file: &Path) -> Result<Self, Refusal> {
        let folder = folder_to_watch(file).ok_or_else(|| Refusal::new("it has no folder"))?;
        let is_touched = Arc::new(AtomicBool::new(true));
        let system = watch(ctx, &is_touched, file, &folder)?;
        Ok(Self { is_touched, _system: system })
    }
}

/// The name of starting to watch, in messages.
pub(in crate::window) const WATCHING: &str = "Watching the project's file";

/// Keeps the watcher of the file that is open.
#[derive(Debug, Default)]
pub struct WatcherKeeper {
    watching: Task<PathBuf, Watcher>,
    /// The file that could not be watched; the window then only looks at it on focus and when saving.
    told: Option<PathBuf>,
}

impl WatcherKeeper {
    /// Switches to a file, or to none; returns why a file is not watched, once.
    pub(in crate::window) fn turn_to(&mut self, file: Option<&Path>, ctx: &egui::Context) -> Option<Fault> {
        let Some(file) = file.map(Path::to_owned) else {
            self.watching.forget();
            // Should the file be opened again, it is told again.
            self.told = None;
            return None;
        };
        self.watching.receive();
        self.watching.give_up_others(&file);
        let (of, waking) = (file.clone(), ctx.clone());
        self.watching.ask(&file, ctx, WATCHING, move |_| Watcher::new(&waking, &of));
        let fault = self.watching.fault_of(&file).filter(|_| self.told.as_ref() != Some(&file))?.clone();
        log::warn!("{}: changes by others are noticed late: {fault}", file.display());
        self.told = Some(file);
        // On some drives it is usual that the system cannot watch a folder.
        (!matches!(fault, Fault::Refused(_))).then_some(fault)
    }

    /// Whether something has happened to the file since the last call.
    pub fn takes_touch(&self, file: &Path) -> bool {
        self.watching.shown(&file.to_owned()).is_some_and(|watcher| watcher.takes_touch())
    }
}

fn watch(
    ctx: &egui::Context,
    is_touched: &Arc<AtomicBool>,
    file: &Path,
    folder: &Path,
) -> notify::Result<RecommendedWatcher> {
    let names = names(file);
    let (touched, touches) = mpsc::channel();
    let mut system = notify::recommended_watcher(move |event: notify::Result<Event>| {
        if event.is_ok_and(|event| concerns(&event, &names)) {
            let _ = touched.send(());
        }
    })?;
    let (is_touched, ctx) = (Arc::clone(is_touched), ctx.clone());
    thread::Builder::new().name("file watch".into()).spawn(move || {
        while touches.recv().is_ok() {
            while let Ok(()) = touches.recv_timeout(QUIET) {}
            is_touched.store(true, Ordering::Relaxed);
            ctx.request_repaint();
            if touches.recv_timeout(Duration::ZERO) == Err(RecvTimeoutError::Disconnected) {
                return;
            }
        }
    })?;
    system.watch(folder, RecursiveMode::NonRecursive)?;
    Ok(system)
}

/// The names under which the file can appear: its own, and that of the file that a link leads to.
fn names(file: &Path) -> Vec<OsString> {
    let target = std::fs::canonicalize(file).ok();
    let names = [Some(file), target.as_deref()].into_iter().flatten().filter_map(Path::file_name);
    names.map(OsString::from).collect()
}

/// Reading is not a change; nor is anything that happens to other files in the folder.
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
