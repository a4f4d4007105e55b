//! The window on a desktop: opening it, what it needs of the world outside, and ends of the program that ask nobody: a signal,
//! a panic, a library that ends the process because the display is gone. On each of these roads what is not saved is written
//! to its recovery copy first.

use std::panic::{self, AssertUnwindSafe};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use eframe::egui;
use jiff::Timestamp;
use thiserror::Error;

use crate::document::{DataFolder, Document, ReadOnly, RecentFiles, write_pending_copies};
use crate::project::SAMPLES;
use crate::window::state::settings::WindowPlace;
use crate::window::tasks::paths::{Chooser, system_chooser};
use crate::window::tasks::pictures::{PictureClipboard, no_pictures, system_pictures};
use crate::window::tasks::settings_file::SettingsFile;
use crate::window::workbench::trace::Trace;
use crate::window::workbench::{Workbench, window_place};
use crate::wording::Refusal;

/// Why there is no window.
#[derive(Debug, Error)]
pub enum RunError {
    /// No display, or no way to draw on it.
    #[error("cannot open a window: {0}; without a display use the command line: sparkloft --help")]
    NoWindow(String),
    /// A library of the system that windows need.
    #[error("cannot open a window: {library} is missing; install it: on Debian and its kin, 'apt install {package}'")]
    MissingLibrary {
        /// The file.
        library: &'static str,
        /// What holds it.
        package: &'static str,
    },
}

/// The document that the window opens with, and why it is not the one that it should be, if so: the file that was asked
/// for, otherwise the one last worked on, otherwise the first sample.
///
/// # Errors
/// If not even the sample can be shown, which should not occur.
pub fn first_document(asked: Option<PathBuf>, data: &DataFolder) -> Result<(Document, Option<String>), Refusal> {
    let is_asked = asked.is_some();
    let Some(path) = asked.or_else(|| RecentFiles::new(data).list().into_iter().next()) else {
        return Ok((first_sample(data)?, None));
    };
    match Document::open_in(data, &path) {
        // Nobody asked for this file, and another window has it.
        Ok(document) if !is_asked && document.read_only() == Some(ReadOnly::InUse) => Ok((first_sample(data)?, None)),
        Ok(document) => Ok((document, None)),
        // Whoever opened the file by its icon has no terminal to read the reason in, so the window shows it.
        Err(error) => Ok((first_sample(data)?, Some(error.to_string()))),
    }
}

fn first_sample(data: &DataFolder) -> Result<Document, Refusal> {
    let sample = &SAMPLES[0];
    Ok(Document::untitled_in(data, sample.project()?, sample.name))
}

/// Opens the window and returns when it is closed. `not_opened` is why another document is shown than was asked
/// for.
///
/// # Errors
/// [`RunError`] when there is no display to open it on, or a library is missing for it.
pub fn run(document: Document, not_opened: Option<String>) -> Result<(), RunError> {
    check_libraries()?;
    watch_for_it();
    let mut workbench = Workbench::within(document, Surroundings::standard());
    if let Some(why) = not_opened {
        workbench.tell_not_opened(why);
    }
    let before = workbench.place();
    let options = eframe::NativeOptions { viewport: viewport(before), multisampling: 4, ..Default::default() };
    let start = Box::new(move |cc: &eframe::CreationContext<'_>| {
        window_place::put(cc, before);
        Ok(Box::new(Shell { workbench, drawn: false, place: before }) as Box<dyn eframe::App>)
    });
    // The bindings of the window system panic if a library cannot be used. By then the window's contents have
    // been dropped, which writes a last recovery copy.
    let opened = panic::catch_unwind(AssertUnwindSafe(|| eframe::run_native("sparkloft", options, start)));
    match opened {
        Ok(done) => done.map_err(|error| RunError::NoWindow(reason(&error.to_string()).to_owned())),
        Err(_) => Err(RunError::NoWindow("the window system failed, as said above".to_owned())),
    }
}

/// The window at the size that it was closed with.
fn viewport(before: Option<WindowPlace>) -> egui::ViewportBuilder {
    let (width, height) = before.map_or((1280, 800), |place| place.size);
    egui::ViewportBuilder::default()
        .with_title("Sparkloft")
        .with_app_id("sparkloft")
        .with_icon(icon())
        .with_inner_size([f32::from(width), f32::from(height)])
        .with_min_inner_size([900.0, 560.0])
        .with_maximized(before.is_some_and(|place| place.is_maximised))
}

/// The icon in the window's title and the list of windows. If it were damaged, the system would show its own.
fn icon() -> egui::IconData {
    let Ok(picture) = tiny_skia::Pixmap::decode_png(include_bytes!("../../../assets/sparkloft.png")) else {
        return egui::IconData::default();
    };
    let (width, height) = (picture.width(), picture.height());
    egui::IconData { rgba: picture.take_demultiplied(), width, height }
}

/// The reason, without the position in the bindings' source code.
fn reason(told: &str) -> &str {
    let after = told.rsplit_once(".rs:").and_then(|(_, line)| line.split_once(": "));
    after.map_or(told, |(_, reason)| reason).trim_end_matches('.')
}

/// The library that X windows need for keys. Without this check its absence would be a panic.
const KEYS_LIBRARY: &str = "libxkbcommon-x11.so.0";

/// Looks for the libraries that are loaded at run time.
fn check_libraries() -> Result<(), RunError> {
    let is_set = |name: &str| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    let is_x = cfg!(target_os = "linux") && is_set("DISPLAY") && !is_set("WAYLAND_DISPLAY");
    // If the loader was given other folders, it knows better.
    if !is_x || is_set("LD_LIBRARY_PATH") || has_library(KEYS_LIBRARY) {
        return Ok(());
    }
    Err(RunError::MissingLibrary { library: KEYS_LIBRARY, package: "libxkbcommon-x11-0" })
}

/// Whether a library is in one of the folders where Linux systems keep them; also true if they keep them
/// elsewhere.
fn has_library(name: &str) -> bool {
    let roots = ["/usr/lib", "/lib", "/usr/lib64", "/lib64", "/usr/local/lib"].map(Path::new);
    let inner = roots.iter().filter_map(|root| std::fs::read_dir(root).ok()).flatten().flatten();
    let mut folders = roots.iter().map(|root| root.to_path_buf()).chain(inner.map(|entry| entry.path()));
    let is_here = folders.any(|folder| folder.join(name).exists());
    // Some systems keep nothing in these folders at all.
    is_here || !Path::new("/etc/debian_version").exists()
}

/// The workbench in an eframe window.
struct Shell {
    workbench: Workbench,
    /// Whether the first frame has been logged; the benches wait for that line.
    drawn: bool,
    /// Where the window was last seen.
    place: Option<WindowPlace>,
}

impl eframe::App for Shell {
    fn logic(&mut self, ctx: &egui::Context, _: &mut eframe::Frame) {
        self.place = ctx.input(|input| window_place::seen(input.viewport(), self.place));
        if ctx.input(|input| input.viewport().close_requested()) {
            self.workbench.keep_place(ctx, self.place);
        }
        self.workbench.logic(ctx);
    }

    fn ui(&mut self, ui: &mut egui::Ui, _: &mut eframe::Frame) {
        self.workbench.ui(ui);
        if !self.drawn {
            self.drawn = true;
            log::info!("first frame drawn");
        }
    }

    fn clear_color(&self, visuals: &egui::Visuals) -> [f32; 4] {
        visuals.panel_fill.to_normalized_gamma_f32()
    }
}

/// Makes sure that no end of the process loses unsaved work. Must be called on the window's own thread before
/// any other is started: they all leave the signals to the one that waits for them.
pub fn watch_for_it() {
    wait_for_signals();
    let before = panic::take_hook();
    panic::set_hook(Box::new(move |what| {
        write_pending_copies();
        before(what);
    }));
    AT_EXIT.with(|_| ());
}

/// Dropped when its thread ends, and also when something calls the system's `exit` on it, as the X library does
/// when the display goes away.
struct AtExit;

impl Drop for AtExit {
    fn drop(&mut self) {
        write_pending_copies();
    }
}

thread_local! {
    static AT_EXIT: AtExit = const { AtExit };
}

#[cfg(unix)]
fn wait_for_signals() {
    use nix::sys::signal::{SigSet, Signal, raise};
    let mut awaited = SigSet::empty();
    [Signal::SIGTERM, Signal::SIGHUP, Signal::SIGINT].into_iter().for_each(|signal| awaited.add(signal));
    if let Err(error) = awaited.thread_block() {
        log::warn!("a signal would end the program without a last recovery copy: {error}");
        return;
    }
    let wait = move || {
        let signal = awaited.wait();
        write_pending_copies();
        // Ended as if nobody had waited, so that the sender of the signal sees its effect.
        let _ = awaited.thread_unblock();
        if let Ok(signal) = signal {
            let _ = raise(signal);
        }
        std::process::exit(1);
    };
    if std::thread::Builder::new().name("signals".into()).spawn(wait).is_err() {
        // Better to end without a last copy than not to end.
        let _ = awaited.thread_unblock();
    }
}

#[cfg(not(unix))]
const fn wait_for_signals() {}

/// Folders, settings and the system's dialogs.
pub struct Surroundings {
    /// Where recovery copies, locks and the list of recent files are.
    pub data: DataFolder,
    /// Where the settings are.
    pub settings: SettingsFile,
    /// How a path is asked for.
    pub chooser: Chooser,
    /// Where copied pictures go.
    pub pictures: PictureClipboard,
    /// What time it is.
    pub clock: fn() -> Timestamp,
    /// Where every message that is carried out is written down.
    pub trace: Trace,
    /// Whether the window greets: the caution, the suggestions for a beginning, what a crash left behind.
    pub greets: bool,
}

impl Surroundings {
    /// The user's own.
    pub fn standard() -> Self {
        let (data, settings) = (DataFolder::standard(), SettingsFile::standard());
        let trace = Trace::from_environment();
        let (chooser, pictures) = (system_chooser(), system_pictures());
        Self { data, settings, chooser, pictures, clock: Timestamp::now, trace, greets: true }
    }

    /// Nothing: nothing is kept, no dialogs, no greeting, and a fixed clock.
    pub fn none() -> Self {
        let (data, settings) = (DataFolder::none(), SettingsFile::none());
        let (chooser, pictures): (Chooser, _) = (Arc::new(|_| None), no_pictures());
        Self { data, settings, chooser, pictures, clock: still_clock, trace: Trace::none(), greets: false }
    }
}

/// Noon of the first day of 2026, in whole seconds since 1970.
fn still_clock() -> Timestamp {
    Timestamp::constant(1_767_268_800, 0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::write_project;

    #[test]
    fn the_window_opens_with_the_file_last_worked_on() {
        let folder = tempfile::tempdir().unwrap();
        let data = DataFolder::at(folder.path().join("data"));
        let first = |asked: Option<&Path>| first_document(asked.map(Path::to_owned), &data).unwrap();
        assert_eq!(first(None).0.title(), SAMPLES[0].name, "the very first time");
        let [one, other] = ["one.ron", "other.ron"].map(|name| folder.path().join(name));
        for path in [&one, &other] {
            write_project(path, &SAMPLES[1].project().unwrap()).unwrap();
            RecentFiles::new(&data).add(path);
        }
        assert_eq!(first(None).0.path(), Some(other.as_path()));
        assert_eq!(first(Some(&one)).0.path(), Some(one.as_path()));
        let held = first(None).0;
        let (second, why) = first(None);
        assert_eq!((second.path(), why), (None, None), "another window has it");
        assert_eq!(first(Some(&other)).0.path(), Some(other.as_path()), "asked for, it is shown to be read");
        drop(held);
        std::fs::write(&other, "no project").unwrap();
        let (shown, why) = first(None);
        assert!(shown.path().is_none() && why.unwrap().contains("other.ron"));
        std::fs::remove_file(&other).unwrap();
        assert!(first(None).1.unwrap().contains("other.ron"), "a file that is gone is told");
    }

    #[test]
    fn the_icon_is_whole() {
        let icon = icon();
        assert_eq!((icon.width, icon.height, icon.rgba.len()), (256, 256, 256 * 256 * 4));
    }

    #[test]
    fn a_reason_is_one_plain_clause() {
        let told = "winit EventLoopError: os error at /any/where/linux/mod.rs:765: no display is set.";
        assert_eq!(reason(told), "no display is set");
        assert_eq!(reason("no more handles"), "no more handles");
    }

    #[test]
    fn a_library_that_is_nowhere_is_missed_where_libraries_are_known_to_lie() {
        assert_eq!(has_library("libnowhere-at-all.so.9"), !Path::new("/etc/debian_version").exists());
    }
}
