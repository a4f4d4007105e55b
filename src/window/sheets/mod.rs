//! The sheets, one module each, and what their views keep for speed between frames.

pub mod advance;
pub mod checks;
pub mod compare;
pub mod engine;
pub mod evidence;
pub mod export;
pub mod limits;
pub mod rig;
pub mod trims;

use eframe::egui;

use crate::window::state::outbox::Outbox;
use crate::window::state::screen::Sheet;
use crate::window::views::grid::{keys_to_read, show_question};
use crate::window::views::view::View;

/// The only list of views, a row for each sheet: its module, its cache, and its keys.
macro_rules! sheets {
    ($($sheet:ident: $module:ident, $view:ty, $keys:expr;)*) => {
        /// What the views keep between frames: caches and drags in progress, but no state of the project.
        #[derive(Default)]
        pub struct Sheets {
            $($module: $view,)*
        }

        impl Sheets {
            /// Draws the open sheet.
            pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
                match view.screen.sheet {
                    $(Sheet::$sheet => self.$module.show(ui, view, outbox),)*
                }
                show_question(ui, view, outbox);
            }
        }

        /// Keys that belong to the table of the open sheet: arrows, typing, Enter, Tab, Esc, clipboard.
        pub fn keys(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
            let keys: fn(&egui::Context, &View<'_>, &mut Outbox) = match view.screen.sheet {
                $(Sheet::$sheet => $keys,)*
            };
            keys(ctx, view, outbox);
        }
    };
}

sheets! {
    Engine: engine, engine::EngineSheet, no_keys;
    Advance: advance, advance::AdvanceSheet, advance::keys;
    Trims: trims, trims::TrimsSheet, keys_to_read;
    Limits: limits, limits::LimitsSheet, no_keys;
    Evidence: evidence, evidence::EvidenceSheet, no_keys;
    Rig: rig, rig::RigSheet, rig::keys;
    Compare: compare, compare::CompareSheet, keys_to_read;
    Checks: checks, checks::ChecksSheet, checks::keys;
    Export: export, export::ExportSheet, no_keys;
}

/// A sheet without a table.
const fn no_keys(_: &egui::Context, _: &View<'_>, _: &mut Outbox) {}
