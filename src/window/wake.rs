//! A thread that breaks off wakes the window as one that is done does.

use std::ops::Deref;

use eframe::egui;

/// The window's context on another thread: asks for a frame when it is dropped, however that comes about. It is to be dropped
/// after the way on which the thread answers, so that the window finds that closed.
#[derive(Debug)]
pub(super) struct Wake(pub(super) egui::Context);

impl Drop for Wake {
    fn drop(&mut self) {
        self.0.request_repaint();
    }
}

impl Deref for Wake {
    type Target = egui::Context;

    fn deref(&self) -> &egui::Context {
        &self.0
    }
}
