//! The sheets, one module each, and what their views keep for speed between frames.

pub mod advance;
pub mod compare;

use eframe::egui;

use super::screen::Sheet;
use super::{Outbox, View};

/// What the views keep for speed between frames; nothing in it is true by itself.
#[derive(Default)]
pub struct Sheets {
    advance: advance::AdvanceSheet,
    compare: compare::CompareSheet,
}

impl Sheets {
    /// Draws the open sheet.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        match view.screen.sheet {
            Sheet::Advance => self.advance.show(ui, view, outbox),
            Sheet::Compare => self.compare.show(ui, view, outbox),
        }
        super::grid::show_question(ui, view, outbox);
    }
}

/// Keys that belong to the table of the open sheet: arrows, typing, Enter, Tab, Esc, clipboard.
pub fn keys(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    match view.screen.sheet {
        Sheet::Advance => super::grid::keys(ctx, view, outbox),
        Sheet::Compare => compare::keys(ctx, view, outbox),
    }
}
