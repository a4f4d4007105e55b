//! The switched outputs: a list that reads each back in words, and the conditions of the one that is open.

use eframe::egui::{Align, Rect, Role, Sense, Ui, Vec2, WidgetInfo, pos2, vec2};

use crate::project::{Output, ReadyOutput, Signal};
use crate::window::kit::marks;
use crate::window::kit::theme::engine_sheet_sizes::LIMITS_SIZES;
use crate::window::kit::theme::kit_sizes::CROSS_WIDTH;
use crate::window::kit::theme::{color, elided, elided_middle};
use crate::window::state::edits::OutputEdit;
use crate::window::state::limits_state::LimitsMessage;
use crate::window::state::outbox::Outbox;
use crate::window::views::form::{self, choice};
use crate::window::views::surface::quiet_button;
use crate::window::views::view::View;
use crate::wording::capital;

/// Draws the list, with the open output below its line.
pub(super) fn show(ui: &mut Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Switched outputs");
    let open = view.screen.limits.output.min(view.project.outputs.len().saturating_sub(1));
    for (at, output) in view.project.outputs.iter().enumerate() {
        line(ui, view, outbox, at, output, at == open);
        if at == open {
            details(ui, view, outbox, at, output);
        }
    }
    if view.project.outputs.is_empty() {
        form::note(ui, view.theme, "None yet: besides the coils nothing is switched.");
    }
    ui.add_space(view.theme.gap);
    ui.horizontal(|ui| {
        for ready in ReadyOutput::ALL {
            let words = format!("add {}", ready.name());
            let told = ready.output(&view.project.limits).words(view.project.sensors.load);
            let tip = format!("{}: {told}", ready.purpose());
            if button(ui, view, &words, &capital(&words), &tip) {
                ask(view, outbox, &OutputEdit::Add(ready));
            }
        }
    });
    ui.horizontal(|ui| {
        let tip = "Adds an output, for a start on coolant temperature; its conditions can watch anything";
        if button(ui, view, "add another output", "Add another output", tip) {
            ask(view, outbox, &OutputEdit::AddOther);
        }
    });
}

fn button(ui: &mut Ui, view: &View<'_>, text: &str, name: &str, tip: &str) -> bool {
    quiet_button(ui, view.theme, text, name, false, tip).clicked()
}

/// The output's name and what it does; a click opens it.
fn line(ui: &mut Ui, view: &View<'_>, outbox: &mut Outbox, at: usize, output: &Output, is_open: bool) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let lines = if is_open { 1.0 } else { 2.0 };
    let height = lines * form::FORM_SIZES.field_height - if is_open { 0.0 } else { LIMITS_SIZES.closed_less };
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::click());
    let told = output.words(view.project.sensors.load);
    let name = format!("Output {}: {told}", output.name);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_open, &name));
    if is_open || response.hovered() || response.has_focus() {
        let fill = if is_open { palette.panel } else { palette.field_hover };
        ui.painter().rect_filled(rect.expand2(vec2(theme.gap, 0.0)), f32::from(theme.radius), color(fill));
    }
    let ink = color(if output.enabled { palette.ink } else { palette.ink_secondary });
    let row = |middle: f32| Rect::from_center_size(pos2(rect.center().x, middle), vec2(rect.width(), 0.0));
    let name = elided_middle(
        ui,
        row(rect.top() + if is_open { height / 2.0 } else { LIMITS_SIZES.closed_name }),
        &output.name,
        theme.body_font(),
    );
    if is_open {
        name.paint_strong(ui, Align::Min, ink);
    } else {
        name.paint(ui, Align::Min, ink);
        let words = elided(ui, row(rect.bottom() - LIMITS_SIZES.closed_words), &told, theme.small_font());
        words.paint(ui, Align::Min, color(palette.ink_secondary));
    }
    if name.tip_on(response).on_hover_text(format!("{told}\nOpen it to change it")).clicked() {
        outbox.send(LimitsMessage::Open(at));
    }
}

fn details(ui: &mut Ui, view: &View<'_>, outbox: &mut Outbox, at: usize, output: &Output) {
    let path = |field: &str| format!("outputs[{at}].{field}");
    form::note(ui, view.theme, &output.words(view.project.sensors.load));
    ui.add_space(view.theme.gap);
    form::row_named(ui, view, outbox, &path("name"), "Name");
    form::row_named(ui, view, outbox, &path("enabled"), "Used");
    if output.conditions.len() > 1 {
        form::row_named(ui, view, outbox, &path("combine"), "Conditions met");
    }
    for place in 0..output.conditions.len() {
        condition(ui, view, outbox, (at, place), output);
    }
    form::row_named(ui, view, outbox, &path("inverted"), "Inverted");
    form::row_named(ui, view, outbox, &path("blinks_from_rpm"), "Blinks from");
    ui.horizontal(|ui| {
        let name = &output.name;
        let tip = "Adds a condition on a signal that none watches yet";
        if button(ui, view, "add condition", &format!("Add a condition to {name}"), tip) {
            ask(view, outbox, &OutputEdit::AddCondition(at));
        }
        let last = view.project.outputs.len() - 1;
        move_button(ui, view, outbox, ("up", name, at > 0, "it is the first one"), OutputEdit::Up(at));
        move_button(ui, view, outbox, ("down", name, at < last, "it is the last one"), OutputEdit::Down(at));
        if button(ui, view, "remove", &format!("Remove output {name}"), "Takes the output away; undo brings it back") {
            ask(view, outbox, &OutputEdit::Remove(at));
        }
    });
    ui.add_space(view.theme.gap);
}

fn move_button(
    ui: &mut Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    (way, name, can, why): (&str, &str, bool, &str),
    edit: OutputEdit,
) {
    ui.add_enabled_ui(can, |ui| {
        let tip = format!("Moves the output {way} in the list; the unit numbers them from the top");
        let response = quiet_button(ui, view.theme, way, &format!("Move output {name} {way}"), false, &tip);
        let response = if can { response } else { response.on_disabled_hover_text(why) };
        if response.clicked() {
            ask(view, outbox, &edit);
        }
    });
}

/// What is watched, where it comes on, where it goes off.
fn condition(ui: &mut Ui, view: &View<'_>, outbox: &mut Outbox, (at, place): (usize, usize), output: &Output) {
    let Some(condition) = output.conditions.get(place) else { return };
    let row = form::room(ui);
    let (top, height) = (row.whole.top(), row.whole.height());
    let part = |left: f32, width: f32| Rect::from_min_size(pos2(left, top), vec2(width, height));
    let path = |field: &str| format!("outputs[{at}].conditions[{place}].{field}");
    let names = Signal::ALL.map(Signal::name);
    let key = path("signal");
    let told = format!("{}, condition {}, signal", output.name, place + 1);
    let list = choice::Choice {
        key: &key,
        name: &told,
        words: &names,
        now: Signal::ALL.iter().position(|signal| *signal == condition.signal),
        tooltip: "What the condition watches. Another signal starts from thresholds that are usual for it.",
    };
    let taken = choice::show(ui, view.theme, part(row.whole.left(), LIMITS_SIZES.signal_width), &list);
    if let Some(signal) = taken.and_then(|taken| Signal::ALL.get(taken)) {
        ask(view, outbox, &OutputEdit::Watch(at, place, *signal));
    }
    let mut left = row.whole.left() + LIMITS_SIZES.signal_width + form::FORM_SIZES.gap;
    let mut refused = None;
    for (word, field) in [("on", "on"), ("off", "off")] {
        form::small(ui, view.theme, pos2(left, row.whole.center().y), word);
        left += LIMITS_SIZES.word_width;
        let key = path(field);
        if let Some(why) = form::field_at(ui, view, outbox, part(left, LIMITS_SIZES.threshold_width), &key) {
            refused = Some((key, why));
        }
        left += LIMITS_SIZES.threshold_width + form::FORM_SIZES.gap;
    }
    let cross = Rect::from_center_size(pos2(left + CROSS_WIDTH / 2.0, row.whole.center().y), vec2(CROSS_WIDTH, height));
    let response = ui.interact(cross, ui.scope_id().with(("remove condition", at, place)), Sense::click());
    let name = format!("Remove condition {} of {}", place + 1, output.name);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    let lit = response.hovered() || response.has_focus();
    let ink = if lit { view.theme.palette.ink } else { view.theme.palette.ink_secondary };
    marks::cross(ui.painter(), Rect::from_center_size(cross.center(), Vec2::splat(LIMITS_SIZES.cross)), color(ink));
    if response.on_hover_text("Takes the condition away").clicked() {
        ask(view, outbox, &OutputEdit::RemoveCondition(at, place));
    }
    if let Some((key, why)) = refused {
        let line = form::room(ui);
        form::remark(ui, view.theme, line.whole, &key, &why);
    }
}

/// Asks for a change as one step, and says which output is open then.
fn ask(view: &View<'_>, outbox: &mut Outbox, edit: &OutputEdit) {
    let project = view.document.project();
    if let Err(why) = edit.apply(project) {
        return outbox.complain(why);
    }
    outbox.edit(edit.label(project), edit.clone());
    if let Some(open) = edit.opens(project) {
        outbox.send(LimitsMessage::Open(open));
    }
}
