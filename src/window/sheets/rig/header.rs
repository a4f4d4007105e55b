//! The run, its controls, and where the cursor is.

use crate::window::kit::theme::engine_sheet_sizes::{
    RIG_CHOOSER, RIG_FAULTS_SHARE, RIG_FORM, RIG_PAUSE_BAR, RIG_PLAY, RIG_PLAY_CORNERS, RIG_RATE,
};
use crate::window::kit::theme::{choose_as_in_forms, color, shortened, strong_label, whole_parts};
use crate::window::sheets::rig::rig_words;
use crate::window::state::commands::Command;
use crate::window::state::file_jobs::{FileJob, RigJob};
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::state::rig_state::{RATES, RigMessage, RunChoice};
use crate::window::views::availability::{Availability, availability};
use crate::window::views::command_buttons::button;
use crate::window::views::view::View;
use eframe::egui::{
    self, Align, Button, ComboBox, Layout, Popup, PopupCloseBehavior, Rect, Role, Sense, Shape, Stroke, WidgetInfo,
    pos2, vec2,
};

use super::bench::Bench;
use super::faults;
use crate::rig::BuiltIn;
use crate::wording::{Unit, figure, fixed, with_unit, written};

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, bench: &Bench, outbox: &mut Outbox) {
    let rect = ui.max_rect();
    let mut line = ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(Layout::left_to_right(Align::Center)));
    let ui = &mut line;
    choose_as_in_forms(ui, view.theme);
    strong_label(ui, "Rig", view.theme.heading_font());
    ui.add_space(view.theme.gap);
    runs(ui, view, outbox);
    play(ui, view, outbox);
    rates(ui, view, outbox);
    ui.add_space(view.theme.gap);
    let rows = ui.add(Button::new("Rows…").selected(view.screen.rig.edits_rows));
    if rows.on_hover_text(view.keys.tooltip(Command::RigRows)).clicked() {
        outbox.run(Command::RigRows);
    }
    let mut as_flashed = view.screen.rig.as_flashed;
    let told = "The unit has what it makes of the project's image: every number as the bytes hold it, what it does not \
                apply left out.";
    if ui.checkbox(&mut as_flashed, "as flashed").on_hover_text(told).changed() {
        outbox.send(RigMessage::AsFlashed(as_flashed));
    }
    popup(ui, "Export…", "Write the events, the run or the picture to a file.", |ui| exports(ui, view, outbox));
    // Last, because its words grow with the faults.
    let shows_faults = view.screen.rig.shows_faults;
    let faults = faults::told(view);
    let button = ui.add(Button::new(faults_shown(ui, &faults, view)).selected(shows_faults));
    button.widget_info(|| WidgetInfo::selected(Role::Button, true, shows_faults, &faults));
    let told = format!("{faults}.\nVariation, latency and faults of the rig, in a form beside the lanes.");
    if button.on_hover_text(told).clicked() {
        outbox.send(RigMessage::ShowFaults(!shows_faults));
    }
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        let text = readout(view, bench);
        let (width, font) = (ui.available_width(), view.theme.body_font());
        let shown = whole_parts(ui, &text, width, &font, &[" · "]);
        let shown = shortened(ui, &shown, width, &font);
        let label = ui.add(egui::Label::new(egui::RichText::new(shown).font(font)).extend());
        label.widget_info(|| WidgetInfo::labeled(Role::Label, true, &text));
        label.on_hover_text(&text);
    });
}

/// The faults, or only how many kinds of them there are where they would leave no room for the readout.
fn faults_shown(ui: &egui::Ui, faults: &str, view: &View<'_>) -> String {
    let room = ui.available_width() * RIG_FAULTS_SHARE - 2.0 * ui.spacing().button_padding.x;
    let galley = ui.painter().layout_no_wrap(faults.to_owned(), view.theme.body_font(), color(view.theme.palette.ink));
    if galley.size().x <= room {
        return faults.to_owned();
    }
    format!("Faults: {}", faults.split(", ").count())
}

/// A button that opens a list.
fn popup(ui: &mut egui::Ui, text: &str, told: &str, add: impl FnOnce(&mut egui::Ui)) {
    let response = ui.button(text).on_hover_text(told);
    Popup::from_toggle_button_response(&response)
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .width(RIG_FORM)
        .show(|ui| {
            ui.set_max_width(RIG_FORM);
            add(ui);
        });
}

fn runs(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let choice = &view.screen.rig.choice;
    let name = view.screen.rig.run_name();
    // Room for the triangle and the padding.
    let room = RIG_CHOOSER - ui.spacing().icon_width - 2.0 * ui.spacing().button_padding.x - view.theme.gap;
    let selected = shortened(ui, &format!("run: {name}"), room, &view.theme.body_font());
    let combo = ComboBox::from_id_salt("run").selected_text(selected).width(RIG_CHOOSER).truncate();
    let shown = combo.show_ui(ui, |ui| {
        for built_in in BuiltIn::ALL {
            let own = RunChoice::BuiltIn(built_in);
            if ui.selectable_label(*choice == own, built_in.label()).clicked() {
                outbox.send(RigMessage::Choose(own));
            }
        }
        if !view.project.runs.is_empty() {
            ui.separator();
        }
        for run in &view.project.runs {
            let own = RunChoice::Kept(run.name.clone());
            let label = ui.selectable_label(*choice == own, &run.name);
            if label.on_hover_text("A run that is kept in the project.").clicked() {
                outbox.send(RigMessage::Choose(own));
            }
        }
        ui.separator();
        if ui.selectable_label(false, "A CSV file…").on_hover_text(view.keys.tooltip(Command::RigReadRun)).clicked() {
            outbox.file(FileAction::Choose(FileJob::Rig(RigJob::ReadRun)));
        }
    });
    let response = shown.response.accessible_name(format!("run: {name}"));
    response.on_hover_text("Which run drives the rig: speed, load, temperatures and voltage over time.");
}

/// A triangle to play, two bars to pause.
fn play(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let is_playing = view.screen.rig.playing.is_some();
    let name = if is_playing { "Pause" } else { "Play" };
    let refusal = match availability(Command::RigPlay, view) {
        Availability::Available => None,
        Availability::Not(reason) => Some(reason),
    };
    let sense = if refusal.is_none() { Sense::click() } else { Sense::hover() };
    let (rect, response) = ui.allocate_exact_size(vec2(RIG_PLAY, view.theme.sentence_height), sense);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, refusal.is_none(), name));
    let visuals = ui.style().interact(&response);
    ui.painter().rect(rect, visuals.corner_radius, visuals.bg_fill, visuals.bg_stroke, egui::StrokeKind::Inside);
    let ink = color(if refusal.is_none() { view.theme.palette.ink } else { view.theme.palette.ink_disabled });
    let at = rect.center();
    if is_playing {
        for x in [-RIG_PAUSE_BAR.x, RIG_PAUSE_BAR.x] {
            let bar = Rect::from_center_size(pos2(at.x + x, at.y), RIG_PAUSE_BAR);
            ui.painter().rect_filled(bar, 0.0, ink);
        }
    } else {
        let corners = RIG_PLAY_CORNERS.map(|(x, y)| pos2(at.x + x, at.y + y)).to_vec();
        ui.painter().add(Shape::convex_polygon(corners, ink, Stroke::NONE));
    }
    let told = refusal.map_or_else(|| format!("{}  (Space)", view.keys.tooltip(Command::RigPlay)), str::to_owned);
    if response.on_hover_text(told).clicked() {
        outbox.run(Command::RigPlay);
    }
}

fn rates(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let shown = |place: usize| RATES.get(place).map_or_else(String::new, |rate| format!("×{}", written(*rate)));
    let rate = view.screen.rig.rate;
    let combo = ComboBox::from_id_salt("speed of playing").selected_text(shown(rate)).width(RIG_RATE);
    let list = combo.show_ui(ui, |ui| {
        for place in 0..RATES.len() {
            if ui.selectable_label(rate == place, shown(place)).clicked() {
                outbox.send(RigMessage::Rate(place));
            }
        }
    });
    let response = list.response.accessible_name(format!("speed of playing {}", shown(rate)));
    response.on_hover_text("How fast it plays: ×1 is as on the car.  (, slower, . faster)");
}

/// '7.42 s of 12.00 s · 6840 rpm · 31.0° commanded · running'.
fn readout(view: &View<'_>, bench: &Bench) -> String {
    let rig = &view.screen.rig;
    if let Err(why) = &rig.run {
        return format!("No run: {why}");
    }
    if let Some(fault) = bench.fault() {
        return format!("No run: {fault}");
    }
    let Some(driven) = bench.driven().filter(|_| bench.is_current()) else {
        return format!("Computing… {}", with_unit(&fixed(100.0 * bench.share(), 0), Unit::Percent));
    };
    let (start_s, end_s) = driven.record.span_s();
    let row = driven.run.at(rig.cursor_s);
    let time = |time_s| rig_words::time(time_s, end_s - start_s);
    let state = rig_words::state_at(driven, rig.cursor_s).map_or("", |state| state.words());
    let commanded = rig_words::commanded_before(driven, rig.cursor_s);
    let commanded = commanded
        .map_or_else(|| "no spark yet".to_owned(), |deg| with_unit(&fixed(deg, 1), Unit::Degree) + " commanded");
    format!("{} of {} · {} · {commanded} · {state}", time(rig.cursor_s), time(end_s), figure(row.speed_rpm, Unit::Rpm))
}

/// What can be written.
fn exports(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let entries = [
        (Command::RigExportEvents, "Events of the run…"),
        (Command::RigExportRun, "The run…"),
        (Command::RigExportPicture, "Picture…"),
    ];
    for (command, text) in entries {
        if button(ui, view, outbox, command, text).clicked() {
            ui.close();
        }
    }
}
