//! What makes the run harder: variation, latency, jitter, edges dropped or added.

use eframe::egui::{self, Align, Checkbox, Layout, RichText, ScrollArea, UiBuilder};

use crate::rig::Settings;
use crate::window::kit::still::StillList;
use crate::window::kit::theme::engine_sheet_sizes::FAULTS_BAR;
use crate::window::kit::theme::strong_label;
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::state::rig_state::RigMessage;
use crate::window::views::command_buttons::button;
use crate::window::views::form::{self, Amount};
use crate::window::views::surface::quiet_button;
use crate::window::views::view::View;
use crate::wording::{Unit, capital, figure, fixed, quantity, settle, with_unit};

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

/// Draws the form into a part beside the lanes; it scrolls where it is too high.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    ScrollArea::vertical().id_salt("faults").auto_shrink(false).show(ui, |ui| {
        ui.set_width(ui.available_width() - FAULTS_BAR);
        ui.spacing_mut().item_spacing.y = form::FORM_SIZES.row_gap;
        rows(ui, view, outbox);
    });
}

fn rows(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    let places = form::room(ui);
    let mut line = ui.new_child(UiBuilder::new().max_rect(places.whole).layout(Layout::left_to_right(Align::Center)));
    strong_label(&mut line, "Faults of the rig", theme.heading_font());
    line.with_layout(Layout::right_to_left(Align::Center), |ui| {
        if quiet_button(ui, theme, "close", "Close the form of the faults", false, "The faults stay.").clicked() {
            outbox.send(RigMessage::ShowFaults(false));
        }
    });
    numbers(ui, view, outbox);
    one_gap(ui, view, outbox);
    ui.add_space(theme.gap);
    ui.horizontal(|ui| {
        button(ui, view, outbox, Command::RigDropEdge, "Drop an edge here");
        button(ui, view, outbox, Command::RigExtraEdge, "Add one here");
    });
    let here = format!("'Here' is the cursor, at {}.", with_unit(&fixed(view.screen.rig.cursor_s, 3), Unit::Second));
    form::note(ui, theme, &here);
    let mut settings = view.screen.rig.settings.clone();
    list(ui, view, "dropped edge", &mut settings.dropped_at_s);
    list(ui, view, "extra edge", &mut settings.extra_at_s);
    if settings != view.screen.rig.settings {
        outbox.send(RigMessage::Set(settings));
    }
    ui.add_space(theme.gap);
    button(ui, view, outbox, Command::RigNoFaults, "No faults");
}

fn numbers(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let settings = &view.screen.rig.settings;
    let amount =
        |key, label, name, unit, value, high, step| Amount { key, label, name, unit, value, range: (0.0, high), step };
    let told = |ui: &mut egui::Ui, words: &str| form::note(ui, view.theme, words);
    let variation = settle(settings.variation * 100.0);
    let name = "Steadiness: cyclic variation of the speed";
    let row = amount("rig variation", "Steadiness ±", name, Unit::Percent, variation, 50.0, 1.0);
    form::amount(ui, view, outbox, &row, |per_cent| {
        RigMessage::Set(Settings { variation: per_cent / 100.0, ..settings.clone() })
    });
    told(ui, "The crank slows into each compression by up to this share of its speed.");
    let name = "Jitter of the edges";
    let row = amount("rig jitter", "Jitter ±", name, Unit::Microsecond, settings.jitter_us, 1000.0, 1.0);
    form::amount(ui, view, outbox, &row, |jitter_us| RigMessage::Set(Settings { jitter_us, ..settings.clone() }));
    told(ui, "The unit sees each edge up to so much early or late.");
    let name = "Latency of the edges";
    let row = amount("rig latency", "Latency", name, Unit::Microsecond, settings.latency_us, 1000.0, 5.0);
    form::amount(ui, view, outbox, &row, |latency_us| RigMessage::Set(Settings { latency_us, ..settings.clone() }));
    told(ui, "The unit sees each edge so much late.");
    let latency_us = view.project.trigger.latency_us;
    let words = format!("As the project: {}", quantity(latency_us, Unit::Microsecond));
    if ui.button(words).on_hover_text("The latency that the timing light showed.").clicked() {
        outbox.send(RigMessage::Set(Settings { latency_us, ..settings.clone() }));
    }
}

fn one_gap(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let name = "In sync after one gap";
    let places = form::room(ui);
    let place = places.at_end(ui.spacing().icon_width);
    form::label(ui, view.theme, places.whole.with_max_x(place.left() - form::FORM_SIZES.gap), name);
    let mut is_on = view.screen.rig.one_gap;
    let response = ui.put(place, Checkbox::without_text(&mut is_on));
    ui.ctx().accesskit_node_builder(response.id, |node| node.set_label(name));
    let told = "The unit trusts the first gap it sees instead of waiting for as many as the project says; a fault can \
                then fire a coil in a wrong place.";
    if response.on_hover_text(told).changed() {
        outbox.send(RigMessage::OneGap(is_on));
    }
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
            let places = form::room(ui);
            form::label(ui, view.theme, places.whole, &format!("{} at {time}", capital(kind)));
            let mut end =
                ui.new_child(UiBuilder::new().max_rect(places.whole).layout(Layout::right_to_left(Align::Center)));
            let name = format!("Take away the {kind} at {time}");
            if line.now.is_none() {
                end.label(RichText::new("taken away").size(view.theme.small));
            } else if quiet_button(&mut end, view.theme, "take away", &name, false, &name).clicked() {
                gone = Some(line.shown.to_bits());
            }
        }
    });
    ui.data_mut(|data| data.insert_temp(id, (kept, Some(area.response.rect))));
    if let Some(place) = gone.and_then(|gone| times_s.iter().position(|time_s| time_s.to_bits() == gone)) {
        times_s.remove(place);
    }
}
