//! For a new project.

use eframe::egui::{self, DragValue, Grid, TextEdit};

use super::{foot, replace};
use crate::project::{LoadKind, NewProject};
use crate::table::{MAX_BREAKPOINTS, MIN_BREAKPOINTS};
use crate::window::dialogs::Floating;
use crate::window::files::Next;
use crate::window::{FileAction, Outbox};

pub(super) fn show(ui: &mut egui::Ui, outbox: &mut Outbox, before: &NewProject) {
    let mut new = before.clone();
    Grid::new("new project").num_columns(2).spacing([20.0, 8.0]).show(ui, |ui| {
        let label = ui.label("Name");
        let field = ui.add(TextEdit::singleline(&mut new.name).desired_width(280.0)).labelled_by(label.id);
        super::super::focus_when_new(&field, "new project");
        ui.end_row();
        ui.label("Cylinders");
        ui.horizontal(|ui| {
            for cylinders in [4, 6, 8] {
                ui.selectable_value(&mut new.cylinders, cylinders, format!("{cylinders} cylinders"))
                    .on_hover_text("Wasted spark pairs cylinders that share top dead centre.");
            }
        });
        ui.end_row();
        ui.label("Load");
        ui.horizontal(|ui| {
            ui.selectable_value(&mut new.load, LoadKind::Throttle, "Throttle, %")
                .on_hover_text("Load is the throttle opening: for individual throttles and carburettors.");
            ui.selectable_value(&mut new.load, LoadKind::Pressure, "Pressure, kPa")
                .on_hover_text("Load is the absolute manifold pressure: for a plenum, and for boost.");
        });
        ui.end_row();
        ui.label("Table");
        ui.horizontal(|ui| {
            size(ui, &mut new.speeds, "Speeds");
            ui.label("speeds ×");
            size(ui, &mut new.loads, "Loads");
            ui.label("loads");
        });
        ui.end_row();
    });
    let refusal = new.name.trim().is_empty().then_some("give the project a name");
    if foot(ui, outbox, "Start", "Make the project, with a table to start and warm the engine.", refusal) {
        outbox.file(FileAction::Leave(Next::Create(new.clone())));
    }
    if new != *before {
        replace(outbox, Floating::New(new));
    }
}

fn size(ui: &mut egui::Ui, breakpoints: &mut usize, name: &str) {
    let drag = DragValue::new(breakpoints).range(MIN_BREAKPOINTS..=MAX_BREAKPOINTS);
    let told = format!("{name}: {MIN_BREAKPOINTS} to {MAX_BREAKPOINTS} breakpoints; 16 is usual. Drag or type.");
    ui.add(drag).accessible_name(name).on_hover_text(told);
}
