//! Installation, trigger, sensors, coils and the worksheets.

use eframe::egui;

use crate::window::form;
use crate::window::{Outbox, View};

/// What the sheet's views keep for speed.
#[derive(Default)]
pub struct EngineSheet;

impl EngineSheet {
    /// Draws the sheet.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        form::page(ui, view.theme, "engine", |ui| {
            let columns = form::columns_that_fit(ui.available_width(), 3);
            form::columns(ui, columns, |ui, column| match column {
                0 => {
                    form::heading(ui, view.theme, "Trigger");
                    form::row(ui, view, outbox, "trigger.zero_offset_deg");
                    form::row(ui, view, outbox, "trigger.sensor");
                    form::heading(ui, view.theme, "Coolant sender");
                    form::row_named(ui, view, outbox, "sensors.coolant.fitted", "Fitted");
                }
                _ => {
                    form::heading(ui, view.theme, "Engine");
                    form::row(ui, view, outbox, "engine.displacement_l");
                    form::row(ui, view, outbox, "engine.idle_speed_rpm");
                    form::row(ui, view, outbox, "engine.plugs");
                }
            });
        });
    }
}
