//! The rows of the sheet: cranking, over-speed, launch, clamp, tachometer.

use eframe::egui::Ui;

use crate::project::FieldKind;
use crate::spark::tachometer_hz;
use crate::window::state::outbox::Outbox;
use crate::window::views::form;
use crate::window::views::view::View;
use crate::wording::{Unit, figure, given};

/// Speeds at which the tachometer's frequency is told.
const TOLD_AT_RPM: [f64; 3] = [1_000.0, 3_000.0, 6_000.0];

fn rows(ui: &mut Ui, view: &View<'_>, outbox: &mut Outbox, under: &str, rows: &[(&str, &str)]) {
    for (field, label) in rows {
        form::row_named(ui, view, outbox, &format!("{under}.{field}"), label);
    }
}

pub(super) fn cranking(ui: &mut Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Cranking");
    let fields = [
        ("advance_deg", "Advance"),
        ("no_spark_below_rpm", "No spark below"),
        ("below_rpm", "Cranking below"),
        ("leave_at_rpm", "Left at"),
        ("blend_rpm", "Blends over"),
    ];
    rows(ui, view, outbox, "limits.cranking", &fields);
}

pub(super) fn clamp(ui: &mut Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Floor and ceiling");
    rows(ui, view, outbox, "limits.clamp", &[("ceiling_deg", "Ceiling"), ("floor_deg", "Floor")]);
}

pub(super) fn over_speed(ui: &mut Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Over-speed");
    let fields = [
        ("enabled", "Switched on"),
        ("eases_from_rpm", "Eases off from"),
        ("eases_by_deg", "Eases off by"),
        ("cuts_at_rpm", "Cuts at"),
        ("fires_again_below_rpm", "Fires again below"),
        ("pattern", "Cuts"),
        ("cuts_all_at_rpm", "Cuts all at"),
    ];
    rows(ui, view, outbox, "limits.over_speed", &fields);
}

pub(super) fn launch(ui: &mut Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Launch");
    let fields = [
        ("enabled", "Switched on"),
        ("arms_below_rpm", "Arms below"),
        ("throttle_above_pct", "Throttle above"),
        ("retards_from_rpm", "Retards from"),
        ("advance_deg", "Advance reached"),
        ("cuts_at_rpm", "Cuts at"),
        ("resume_drop_rpm", "Fires again after"),
    ];
    rows(ui, view, outbox, "limits.launch", &fields);
}

pub(super) fn tachometer(ui: &mut Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Tachometer");
    rows(ui, view, outbox, "tachometer", &[("enabled", "Used"), ("pulses_per_revolution", "Per revolution")]);
    let tachometer = &view.project.tachometer;
    let told: Vec<String> = TOLD_AT_RPM
        .iter()
        .map(|&rpm| format!("{} at {}", figure(tachometer_hz(tachometer, rpm), Unit::Hertz), given(rpm, Unit::Rpm)))
        .collect();
    let told = if tachometer.enabled { told.join(" · ") } else { "no signal: not used".into() };
    form::note(ui, view.theme, &format!("{told}{}", if tachometer.enabled { " rpm" } else { "" }));
    form::note(
        ui,
        view.theme,
        "The signal is a square wave. An old instrument that was driven by the coil's peaks or by a current loop may not read it.",
    );
}

/// The least and greatest load there is.
pub(super) fn load_range(view: &View<'_>) -> (f64, f64) {
    match crate::project::field("full_load_line.from_load").map(|field| field.kind) {
        Some(FieldKind::Number { low, high, .. }) => {
            let (least, greatest) = view.project.sensors.load.range();
            (low.max(least), high.min(greatest))
        }
        _ => view.project.sensors.load.range(),
    }
}
