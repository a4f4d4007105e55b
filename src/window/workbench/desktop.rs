//! Opening the window.

use std::panic::{self, AssertUnwindSafe};
use std::path::Path;

use eframe::egui;
use thiserror::Error;

use super::{Workbench, ending};
use crate::document::Document;
use crate::window::workbench::surroundings::Surroundings;

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

/// Opens the window and returns when it is closed. `not_opened` is why another document is shown than was asked
/// for.
///
/// # Errors
/// [`RunError`] when there is no display to open it on, or a library is missing for it.
pub fn run(document: Document, not_opened: Option<String>) -> Result<(), RunError> {
    check_libraries()?;
    ending::watch_for_it();
    let viewport = egui::ViewportBuilder::default()
        .with_title("Sparkloft")
        .with_app_id("sparkloft")
        .with_icon(icon())
        .with_inner_size([1280.0, 800.0])
        .with_min_inner_size([900.0, 560.0]);
    let options = eframe::NativeOptions { viewport, multisampling: 4, ..Default::default() };
    let start = Box::new(move |_: &eframe::CreationContext<'_>| {
        let mut workbench = Workbench::within(document, Surroundings::standard());
        if let Some(why) = not_opened {
            workbench.tell_not_opened(why);
        }
        Ok(Box::new(Shell { workbench, drawn: false }) as Box<dyn eframe::App>)
    });
    // The bindings of the window system panic if a library cannot be used. By then the window's contents have
    // been dropped, which writes a last recovery copy.
    let opened = panic::catch_unwind(AssertUnwindSafe(|| eframe::run_native("sparkloft", options, start)));
    match opened {
        Ok(done) => done.map_err(|error| RunError::NoWindow(reason(&error.to_string()).to_owned())),
        Err(_) => Err(RunError::NoWindow("the window system failed, as said above".to_owned())),
    }
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
}

impl eframe::App for Shell {
    fn logic(&mut self, ctx: &egui::Context, _: &mut eframe::Frame) {
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

#[cfg(test)]
mod tests {
    use super::*;

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
