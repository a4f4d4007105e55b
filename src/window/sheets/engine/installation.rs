//! The rows of the installation: engine, coil pairs, trigger, sensors, coils.

use eframe::egui::{self, Rect, TextWrapMode, pos2, vec2};

use crate::project::{Engine, LoadKind};
use crate::window::kit::theme::engine_sheet_sizes::ENGINE_SIZES;
use crate::window::kit::theme::{color, elided};
use crate::window::state::dialogs::{DialogMessage, Floating};
use crate::window::state::edits::DocumentEdit;
use crate::window::state::outbox::Outbox;
use crate::window::views::form::choice::{self, Choice};
use crate::window::views::form::{self, Entry, Meaning};
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, quantity};

/// What can be made an engine of here.
const CYLINDERS: [(u8, &str); 3] = [(4, "4"), (6, "6"), (8, "8")];
/// Wheels that are ready-made.
const WHEELS: [((u16, u16), &str); 5] = [
    ((12, 1), "12\u{2212}1"),
    ((24, 1), "24\u{2212}1"),
    ((24, 2), "24\u{2212}2"),
    ((36, 1), "36\u{2212}1"),
    ((60, 2), "60\u{2212}2"),
];

pub(super) fn engine_rows(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Engine");
    cylinders(ui, view, outbox);
    firing_order(ui, view, outbox);
    for path in Engine::FACT_PATHS {
        form::row(ui, view, outbox, path);
    }
    full_load_line(ui, view, outbox);
}

/// Whether the full-load line follows from the figures above, and computing it anew from them.
fn full_load_line(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let places = form::room(ui);
    form::label(ui, view.theme, places.label, "Full-load line");
    let project = view.project;
    let most = quantity(project.engine.most_at_full_load_deg(), Unit::Degree);
    let follows = project.has_computed_line();
    let told = match (project.full_load_line.enabled, follows) {
        (_, true) => format!("{most}, as computed"),
        (true, false) => format!("computed {most}"),
        (false, false) => format!("off; {most} if on"),
    };
    let layout = egui::Layout::right_to_left(egui::Align::Center);
    let mut inner = ui.new_child(egui::UiBuilder::new().max_rect(places.rest).layout(layout));
    let button =
        egui::Button::new("Compute anew").wrap_mode(TextWrapMode::Extend).min_size(vec2(0.0, places.rest.height()));
    let response = inner
        .add_enabled(!follows, button)
        .on_hover_text(format!(
            "Compute the line from compression ratio, chamber, octane and pressure, and switch it on: {most} from \
             3000 rpm, less below and under boost. A bound and no recommendation; on Limits & outputs it can be drawn \
             otherwise."
        ))
        .on_disabled_hover_text("The line is what these figures give; nothing is to be computed.");
    let rest = places.rest.with_max_x(response.rect.left() - form::FORM_SIZES.gap);
    let ink = color(view.theme.palette.ink_secondary);
    elided(ui, rest, told.as_str(), view.theme.small_font()).paint(ui, egui::Align::Max, ink);
    if response.clicked() {
        match view.document.project().with_computed_line() {
            Ok(Some((label, _))) => outbox.edit(label, DocumentEdit::ComputeLine),
            Ok(None) => {}
            Err(why) => outbox.complain(format!("Full-load line: {why}")),
        }
    }
}

fn cylinders(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let places = form::room(ui);
    form::label(ui, view.theme, places.label, "Cylinders");
    let words = CYLINDERS.map(|(_, word)| word);
    let choice = Choice {
        key: "engine cylinders",
        name: "Cylinders",
        words: &words,
        now: CYLINDERS.iter().position(|(count, _)| *count == view.project.engine.cylinders),
        tooltip: "4, 6 or 8, firing evenly: each shares its dead centre with another, and a coil fires both. Brings the \
                  usual firing order, its coil pairs and a reference that keeps the gap clear of the sparks, as one step.\n\
                  engine.cylinders",
    };
    if let Some((count, _)) =
        choice::show_at_end(ui, view.theme, places.rest, &choice).and_then(|taken| CYLINDERS.get(taken))
    {
        let count = *count;
        match view.document.project().with_cylinders(count) {
            Ok((label, _)) => outbox.edit(label, DocumentEdit::SetCylinders(count)),
            Err(why) => outbox.complain(format!("{count} cylinders: {why}")),
        }
    }
}

fn firing_order(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let order = &view.project.engine.firing_order;
    let shown = order.iter().map(u8::to_string).collect::<Vec<_>>().join("-");
    let places = form::room(ui);
    form::label(ui, view.theme, places.label, "Firing order");
    let rect = places.at_end(1.5 * form::FORM_SIZES.field_width);
    let entry = Entry {
        key: "engine firing order",
        label: "",
        name: "Firing order",
        shown: &shown,
        unit: form::text_box::Behind::NOTHING,
        width: None,
        tooltip: "Each cylinder once, such as 1-3-4-2; the coil pairs follow from it. Enter or Tab sets it, Esc gives \
                  up.\nengine.firing_order",
    };
    let project = view.document.project();
    let refused = form::entry_at(ui, view, outbox, rect, &entry, |text| {
        let order = numbers_of(text)?;
        if order == project.engine.firing_order {
            return Ok(Meaning::Same);
        }
        let (label, _) = project.with_firing_order(&order)?;
        Ok(Meaning::Step(label, DocumentEdit::SetFiringOrder(order)))
    });
    match refused {
        Some(why) => form::remark(ui, view.theme, places.before(rect.left()), "engine firing order", &why),
        None => form::assumed_at(ui, view, outbox, &places, &[(rect, "engine.firing_order")]),
    }
}

/// Small whole numbers with anything but digits between them.
fn numbers_of(text: &str) -> Result<Vec<u8>, Refusal> {
    let parts = text.split(|letter: char| !letter.is_ascii_digit()).filter(|part| !part.is_empty());
    let numbers: Result<Vec<u8>, _> = parts.map(str::parse).collect();
    let numbers = numbers.map_err(|_| Refusal::new(format!("'{text}' holds a number that no cylinder has")))?;
    if numbers.is_empty() {
        return Err(Refusal::new("write it as 1-3-4-2"));
    }
    Ok(numbers)
}

pub(super) fn channel_rows(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Coils and their pairs");
    for place in 0..view.project.engine.channels.len() {
        channel_row(ui, view, outbox, place);
    }
    let words =
        "Cylinders half the firing order apart share their dead centre: one compresses while the other lets out.";
    form::note(ui, view.theme, words);
}

/// Name, pair and wiring of a coil, in one row.
fn channel_row(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, place: usize) {
    let places = form::room(ui);
    let (gap, height) = (form::FORM_SIZES.gap, places.whole.height());
    let part = |left: f32, width: f32| Rect::from_min_size(pos2(left, places.whole.top()), vec2(width, height));
    let name = part(places.label.left(), form::FORM_SIZES.label_width * 0.5 - gap);
    let pair = part(name.right() + gap, form::FORM_SIZES.label_width * 0.5);
    let wiring = part(places.rest.left(), places.rest.width());
    let field = |ui: &mut egui::Ui, outbox: &mut Outbox, rect, what: &str| {
        form::field_at(ui, view, outbox, rect, &format!("engine.channels[{place}].{what}"))
    };
    let mut refused = field(ui, outbox, name, "name");
    refused = refused.or(pair_box(ui, view, outbox, pair, place));
    refused = refused.or(field(ui, outbox, wiring, "wiring"));
    if let Some(why) = refused {
        // There is no room in the row: the words stand below it as long as something is refused.
        let below = form::room(ui);
        form::remark(ui, view.theme, below.whole, &format!("coil {place}"), &why);
    }
}

fn pair_box(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect, place: usize) -> Option<String> {
    let channel = view.project.engine.channels.get(place)?;
    let [a, b] = channel.cylinders;
    let shown = format!("{a}+{b}");
    let (key, name) = (format!("engine coil pair {place}"), format!("Coil {}, cylinders", channel.name));
    let tooltip = format!(
        "{name}: the pair that the firing order gives, the one that fires first named first.\n\
         engine.channels[{place}].cylinders"
    );
    let entry = Entry {
        key: &key,
        label: "",
        name: &name,
        shown: &shown,
        unit: form::text_box::Behind::NOTHING,
        width: None,
        tooltip: &tooltip,
    };
    let coil = channel.name.clone();
    form::entry_at(ui, view, outbox, rect, &entry, |text| {
        let numbers = numbers_of(text)?;
        let [first, second] = *numbers.as_slice() else {
            return Err(Refusal::new("two cylinders are wanted, such as 1+4"));
        };
        if [first, second] == [a, b] {
            return Ok(Meaning::Same);
        }
        let path = format!("engine.channels[{place}].cylinders");
        let edit = DocumentEdit::set_field(path, format!("{first},{second}"));
        let bare = |why: Refusal| {
            let words = why.to_string();
            words.split_once(": ").map_or(why, |(_, words)| Refusal::new(words))
        };
        edit.apply(view.document.project()).map_err(bare)?;
        Ok(Meaning::Step(format!("Set coil {coil} to cylinders {first}+{second}"), edit))
    })
}

pub(super) fn trigger_rows(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Trigger");
    ready_wheel(ui, view, outbox);
    typed_wheel(ui, view, outbox);
    for path in ["trigger.reference_deg", "trigger.zero_offset_deg"] {
        form::row(ui, view, outbox, path);
    }
    form::row_named(ui, view, outbox, "trigger.sensor", "Sensor");
    form::row_named(ui, view, outbox, "trigger.edge", "Counts on");
    form::row(ui, view, outbox, "trigger.latency_us");
    form::row(ui, view, outbox, "trigger.lead_pitches");
    form::row(ui, view, outbox, "trigger.gaps_to_sync");
}

/// The ready-made wheels.
fn ready_wheel(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let now = view.project.trigger.wheel;
    let places = form::room(ui);
    form::label(ui, view.theme, places.label, "Wheel");
    let words = WHEELS.map(|(_, word)| word);
    let choice = Choice {
        key: "engine wheel",
        name: "Wheel",
        words: &words,
        now: WHEELS.iter().position(|(wheel, _)| *wheel == (now.teeth, now.missing)),
        tooltip: "Tooth places less missing teeth. Others are typed below.",
    };
    if let Some((wheel, _)) =
        choice::show_at_end(ui, view.theme, places.rest, &choice).and_then(|taken| WHEELS.get(taken))
    {
        let (label, edit) = set_wheel(*wheel);
        match edit.apply(view.document.project()) {
            Ok(_) => outbox.edit(label, edit),
            Err(why) => outbox.complain(why),
        }
    }
}

/// Any wheel as text.
fn typed_wheel(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let now = view.project.trigger.wheel;
    let places = form::room(ui);
    form::label(ui, view.theme, places.label, "Teeth, missing");
    let rect = places.at_end(form::FORM_SIZES.field_width);
    let shown = format!("{}\u{2212}{}", now.teeth, now.missing);
    let entry = Entry {
        key: "engine wheel text",
        label: "",
        name: "Wheel, teeth and missing",
        shown: &shown,
        unit: form::text_box::Behind::NOTHING,
        width: None,
        tooltip: "Tooth places and missing teeth, such as 48\u{2212}2: 6 to 360 places, 1 to 8 of them missing, next to \
                  each other. Enter or Tab sets it, Esc gives up.\ntrigger.wheel.teeth, trigger.wheel.missing",
    };
    let project = view.document.project();
    let refused = form::entry_at(ui, view, outbox, rect, &entry, |text| {
        let wheel = wheel_of(text)?;
        if wheel == (project.trigger.wheel.teeth, project.trigger.wheel.missing) {
            return Ok(Meaning::Same);
        }
        let (label, edit) = set_wheel(wheel);
        edit.apply(project)?;
        Ok(Meaning::Step(label, edit))
    });
    if let Some(why) = refused {
        form::remark(ui, view.theme, places.before(rect.left()), "engine wheel text", &why);
    } else {
        form::assumed_at(ui, view, outbox, &places, &[(rect, "trigger.wheel")]);
    }
}

fn set_wheel((teeth, missing): (u16, u16)) -> (String, DocumentEdit) {
    (format!("Set wheel to {teeth}\u{2212}{missing}"), DocumentEdit::SetWheel(teeth, missing))
}

fn wheel_of(text: &str) -> Result<(u16, u16), Refusal> {
    let parts = text.split(|letter: char| !letter.is_ascii_digit()).filter(|part| !part.is_empty());
    let numbers: Vec<u16> = parts.filter_map(|part| part.parse().ok()).collect();
    match *numbers.as_slice() {
        [teeth, missing] => Ok((teeth, missing)),
        _ => Err(Refusal::new("write it as 36\u{2212}1")),
    }
}

pub(super) fn load_rows(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Load");
    load_kind(ui, view, outbox);
    for (sensor, name) in [("throttle", "Throttle sensor"), ("pressure", "Pressure sensor")] {
        form::row_named(ui, view, outbox, &format!("sensors.{sensor}.fitted"), name);
        for (point, label) in [("first", "First point"), ("second", "Second point")] {
            let (volts, reads) = (format!("sensors.{sensor}.{point}_v"), format!("sensors.{sensor}.{point}_reads"));
            form::row_of(ui, view, outbox, label, &[&volts, &reads]);
        }
    }
}

fn load_kind(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    const KINDS: [LoadKind; 2] = [LoadKind::Throttle, LoadKind::Pressure];
    let places = form::room(ui);
    form::label(ui, view.theme, places.label, "Load signal");
    let words = KINDS.map(LoadKind::name);
    let choice = Choice {
        key: "engine load",
        name: "Load signal",
        words: &words,
        now: KINDS.iter().position(|kind| *kind == view.project.sensors.load),
        tooltip: "What the rows of the advance table mean. Their numbers are never read as another kind of load: the \
                  other one is offered with a fresh start of the table, the trims' weights, idle load, safety margin \
                  and full-load line.\nsensors.load",
    };
    if let Some(kind) = choice::show_at_end(ui, view.theme, places.rest, &choice).and_then(|taken| KINDS.get(taken)) {
        outbox.send(DialogMessage::Open(Floating::LoadKind(*kind)));
    }
}

pub(super) fn sender_rows(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    for (sender, name) in [("coolant", "Coolant sender"), ("air", "Air sender")] {
        form::heading(ui, view.theme, name);
        let path = |what: &str| format!("sensors.{sender}.{what}");
        form::row_named(ui, view, outbox, &path("fitted"), "Fitted");
        for point in 0..3 {
            let (at, ohm) = (path(&format!("points_c[{point}]")), path(&format!("points_ohm[{point}]")));
            form::row_of(ui, view, outbox, &format!("Point {}", point + 1), &[&at, &ohm]);
        }
        form::row_named(ui, view, outbox, &path("pull_up_ohm"), "Pull-up");
        form::row_named(ui, view, outbox, &path("stand_in_c"), "Stand-in if it fails");
    }
}

pub(super) fn coil_rows(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let rows = [
        ("coil.kind", "Kind"),
        ("coil.resistance_ohm", "Resistance at 20 °C"),
        ("coil.temperature_c", "In service at"),
        ("coil.inductance_mh", "Inductance"),
        ("coil.harness_ohm", "Harness"),
        ("coil.driver_drop_v", "Driver drop"),
        ("coil.current_limit_a", "Driver's limit"),
        ("coil.rated_current_a", "Rated current"),
        ("coil.burn_time_ms", "Burn time"),
        ("coil.secondary_voltage_kv", "Secondary voltage"),
    ];
    for (path, label) in rows {
        form::row_named(ui, view, outbox, path, label);
    }
    form::row_of(ui, view, outbox, "Battery, from and to", &["sensors.lowest_battery_v", "sensors.highest_battery_v"]);
}

pub(super) fn project_rows(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Project");
    form::row_named(ui, view, outbox, "name", "Name");
    form::row(ui, view, outbox, "step_deg");
    form::area(ui, view, outbox, "notes", ENGINE_SIZES.notes_lines);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn orders_and_wheels_are_read_with_anything_between_the_numbers() {
        for text in ["1-3-4-2", "1, 3, 4, 2", "1 3 4 2", "1\u{2212}3\u{2212}4\u{2212}2"] {
            assert_eq!(numbers_of(text).unwrap(), [1, 3, 4, 2], "{text}");
        }
        assert!(numbers_of("").is_err() && numbers_of("1-999").is_err());
        assert_eq!(wheel_of("24\u{2212}2").unwrap(), (24, 2));
        assert_eq!(wheel_of("24-2").unwrap(), (24, 2));
        assert!(wheel_of("24").is_err());
    }
}
