//! What makes the run harder: variation, latency, jitter, edges dropped or added.

use eframe::egui::{self, DragValue, Grid, RichText};

use crate::rig::Settings;
use crate::window::kit::still::StillList;
use crate::window::kit::theme::color;
use crate::window::kit::theme::engine_sheet_sizes::FAULTS_GRID;
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::state::rig_state::RigMessage;
use crate::window::views::command_buttons::button;
use crate::window::views::view::View;
use crate::wording::{Unit, figure, fixed, quantity, with_unit};

/// 'Faults: 1 edge dropped', the words of the button.
pub(super) fn told(view: &View<'_>) -> String {
    let Settings { variation, latency_us, jitter_us, dropped_at_s, extra_at_s, .. } = &view.screen.rig.settings;
    let edges = |count: usize, words: &str| (count > 0).then(|| format!("{count} {words}"));
    let parts = [
        edges(dropped_at_s.len(), "dropped"),
        edges(extra_at_s.len(), "extra"),
        (*jitter_us > 0.0).then(|| format!("jitter {}", quantity(*jitter_us, Unit::Microsecond))),
        (*variation > 0.0).then(|| format!("steadiness ±{}", figure(variation * 100.0, Unit::Percent))),
        (*latency_us > 0.0).then(|| format!("latency {}", quantity(*latency_us, Unit::Microsecond))),
        view.screen.rig.one_gap.then(|| "one gap".to_owned()),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.is_empty() { "Faults: none".to_owned() } else { format!("Faults: {}", parts.join(", ")) }
}

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let mut settings = view.screen.rig.settings.clone();
    Grid::new("faults").num_columns(2).spacing(FAULTS_GRID).show(ui, |ui| numbers(ui, view, &mut settings));
    let mut one_gap = view.screen.rig.one_gap;
    ui.checkbox(&mut one_gap, "In sync after one gap").on_hover_text(
        "The unit trusts the first gap it sees instead of waiting for as many as the project says; a fault can then fire a coil in a wrong place.",
    );
    if one_gap != view.screen.rig.one_gap {
        outbox.send(RigMessage::OneGap(one_gap));
    }
    ui.separator();
    ui.horizontal(|ui| {
        button(ui, view, outbox, Command::RigDropEdge, "Drop an edge here");
        button(ui, view, outbox, Command::RigExtraEdge, "Add an edge here");
    });
    let here = format!("'Here' is the cursor, at {}.", with_unit(&fixed(view.screen.rig.cursor_s, 3), Unit::Second));
    let weak = color(view.theme.palette.ink_secondary);
    ui.label(RichText::new(here).size(view.theme.small).color(weak));
    button(ui, view, outbox, Command::RigNoFaults, "No faults");
    list(ui, view, "dropped edge", &mut settings.dropped_at_s);
    list(ui, view, "extra edge", &mut settings.extra_at_s);
    if settings != view.screen.rig.settings {
        outbox.send(RigMessage::Set(settings));
    }
}

fn numbers(ui: &mut egui::Ui, view: &View<'_>, settings: &mut Settings) {
    let mut per_cent = settings.variation * 100.0;
    let number = |ui: &mut egui::Ui, name: &str, told: &str, value: &mut f64, high: f64, unit: &str| {
        let label = ui.label(name);
        let drag = DragValue::new(value).range(0.0..=high).speed(high / 400.0).max_decimals(1).suffix(unit);
        ui.add(drag).labelled_by(label.id).on_hover_text(told);
        ui.end_row();
    };
    let told = "Cyclic speed variation: the crank slows into each compression by up to this share of its speed.";
    number(ui, "Steadiness ±", told, &mut per_cent, 50.0, " %");
    number(
        ui,
        "Jitter ±",
        "The unit sees each edge up to so much early or late.",
        &mut settings.jitter_us,
        1000.0,
        " µs",
    );
    number(ui, "Latency", "The unit sees each edge so much late.", &mut settings.latency_us, 1000.0, " µs");
    if (per_cent / 100.0 - settings.variation).abs() > 1e-12 {
        settings.variation = per_cent / 100.0;
    }
    let of_project = view.project.trigger.latency_us;
    ui.label("");
    let words = format!("As the project: {}", quantity(of_project, Unit::Microsecond));
    if ui.button(words).on_hover_text("The latency that the timing light showed.").clicked() {
        settings.latency_us = of_project;
    }
    ui.end_row();
}

/// The faults of a kind, each with a button that takes it away. While the pointer is over them every line keeps its place.
fn list(ui: &mut egui::Ui, view: &View<'_>, kind: &str, times_s: &mut Vec<f64>) {
    let id = egui::Id::unique(("faults of the rig", kind));
    let (mut kept, drawn): (StillList<f64>, Option<egui::Rect>) = ui.data(|data| data.get_temp(id)).unwrap_or_default();
    let is_over = drawn.is_some_and(|rect| ui.rect_contains_pointer(rect));
    let lines = kept.lines(times_s, is_over, |a, b| a.to_bits() == b.to_bits());
    let mut gone = None;
    let area = ui.scope(|ui| {
        for line in lines {
            let time = with_unit(&fixed(line.shown, 3), Unit::Second);
            ui.horizontal(|ui| {
                ui.label(format!("{kind} at {time}"));
                let name = format!("Take away the {kind} at {time}");
                if line.now.is_none() {
                    ui.label(RichText::new("taken away").size(view.theme.small));
                    return;
                }
                let away = ui.button(RichText::new("take away").size(view.theme.small)).accessible_name(&name);
                if away.on_hover_text(&name).clicked() {
                    gone = Some(line.shown.to_bits());
                }
            });
        }
    });
    ui.data_mut(|data| data.insert_temp(id, (kept, Some(area.response.rect))));
    if let Some(place) = gone.and_then(|gone| times_s.iter().position(|time_s| time_s.to_bits() == gone)) {
        times_s.remove(place);
    }
}
