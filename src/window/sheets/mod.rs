//! The sheets, one module each, and what their views keep for speed between frames.

pub mod advance;
pub mod checks;
pub mod compare;
pub mod engine;
pub mod export;
pub mod limits;
pub mod rig;
pub mod trims;

use eframe::egui;

use crate::window::state::outbox::Outbox;
use crate::window::state::screen::Sheet;
use crate::window::views::grid::{self, show_question};
use crate::window::views::view::View;

/// What the views keep for speed between frames; nothing in it is true by itself.
#[derive(Default)]
pub struct Sheets {
    engine: engine::EngineSheet,
    advance: advance::AdvanceSheet,
    trims: trims::TrimsSheet,
    limits: limits::LimitsSheet,
    rig: rig::RigSheet,
    compare: compare::CompareSheet,
    checks: checks::ChecksSheet,
    export: export::ExportSheet,
}

impl Sheets {
    /// Draws the open sheet.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        match view.screen.sheet {
            Sheet::Engine => self.engine.show(ui, view, outbox),
            Sheet::Advance => self.advance.show(ui, view, outbox),
            Sheet::Trims => self.trims.show(ui, view, outbox),
            Sheet::Limits => self.limits.show(ui, view, outbox),
            Sheet::Rig => self.rig.show(ui, view, outbox),
            Sheet::Compare => self.compare.show(ui, view, outbox),
            Sheet::Checks => self.checks.show(ui, view, outbox),
            Sheet::Export => self.export.show(ui, view, outbox),
        }
        show_question(ui, view, outbox);
    }
}

/// Keys that belong to the table of the open sheet: arrows, typing, Enter, Tab, Esc, clipboard.
pub fn keys(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    match view.screen.sheet {
        Sheet::Advance if advance::only_shows(view) => {}
        Sheet::Advance => grid::keys(ctx, view, outbox),
        Sheet::Compare => compare::keys(ctx, view, outbox),
        Sheet::Rig => rig::keys(ctx, view, outbox),
        Sheet::Engine | Sheet::Trims | Sheet::Limits | Sheet::Checks | Sheet::Export => {}
    }
}
