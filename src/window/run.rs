//! Opening the window.

use eframe::egui;
use thiserror::Error;

use super::Workbench;
use crate::document::Document;

/// Why there is no window.
#[derive(Debug, Error)]
pub enum RunError {
    /// No display, or no way to draw on it.
    #[error("cannot open a window: {0}; without a display use the command line: sparkloft --help")]
    NoWindow(String),
}

/// Opens the window and stays until it is closed.
///
/// # Errors
/// [`RunError`] when there is no display to open it on.
pub fn run(document: Document) -> Result<(), RunError> {
    let viewport = egui::ViewportBuilder::default()
        .with_title("Sparkloft")
        .with_app_id("sparkloft")
        .with_inner_size([1280.0, 800.0])
        .with_min_inner_size([900.0, 560.0]);
    let options = eframe::NativeOptions { viewport, multisampling: 4, ..Default::default() };
    let start = Box::new(move |_: &eframe::CreationContext<'_>| {
        Ok(Box::new(Shell(Workbench::new(document))) as Box<dyn eframe::App>)
    });
    eframe::run_native("sparkloft", options, start).map_err(|error| RunError::NoWindow(error.to_string()))
}

/// The workbench in an eframe window.
struct Shell(Workbench);

impl eframe::App for Shell {
    fn logic(&mut self, ctx: &egui::Context, _: &mut eframe::Frame) {
        self.0.logic(ctx);
    }

    fn ui(&mut self, ui: &mut egui::Ui, _: &mut eframe::Frame) {
        self.0.ui(ui);
    }

    fn clear_color(&self, visuals: &egui::Visuals) -> [f32; 4] {
        visuals.panel_fill.to_normalized_gamma_f32()
    }
}
