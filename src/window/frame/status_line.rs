//! What the pointer is over, what is selected, what was just said.

use eframe::egui::{self, Align, Layout, RichText};

use crate::table::shortest;
use crate::window::screen::Sheet;
use crate::window::sheets::compare;
use crate::window::theme::color;
use crate::window::{Outbox, View};

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, _outbox: &mut Outbox) {
    let theme = view.theme;
    let small = |text: String| RichText::new(text).size(theme.small);
    ui.horizontal_centered(|ui| {
        ui.add_space(theme.margin);
        ui.label(small(pointed_at(view)));
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(theme.margin);
            if let Some(notice) = &view.screen.notice {
                let ink = if notice.is_error { theme.palette.error } else { theme.palette.ink_secondary };
                ui.label(small(notice.text.clone()).color(color(ink)));
            }
        });
    });
}

fn pointed_at(view: &View<'_>) -> String {
    if view.screen.sheet == Sheet::Compare {
        return compare::pointed_at(view);
    }
    let cell = view.screen.hover.unwrap_or(view.screen.selection.cursor);
    let table = view.table();
    let speed = shortest(table.speed().breakpoints()[cell.speed]);
    let load = shortest(table.load().breakpoints()[cell.load]);
    let unit = view.project.sensors.load.unit();
    format!("{speed} rpm · {load} {unit} · {}° before TDC", view.degrees(table.at(cell)))
}
