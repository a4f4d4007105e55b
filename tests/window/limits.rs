//! The Limits sheet: rows, picture, findings, outputs.

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, MouseWheelSource, MouseWheelUnit, TouchPhase, pos2, vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::project::{Parts, Project, ReadyOutput, Signal, set_fields};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::Sheet;

use super::column::{Seen, texts};
use super::harness::{Window, new_project, sized_window, window};

fn project() -> Project {
    let sets = [
        ("limits.over_speed.eases_from_rpm", "6000"),
        ("limits.over_speed.fires_again_below_rpm", "6100"),
        ("limits.over_speed.cuts_at_rpm", "6250"),
        ("limits.over_speed.cuts_all_at_rpm", "6400"),
        ("outputs[0].conditions[0].on", "5800"),
        ("outputs[0].conditions[0].off", "5600"),
    ];
    let outputs = |parts: &mut Parts| {
        parts.outputs = [ReadyOutput::ShiftLight, ReadyOutput::Fan].map(|ready| ready.output(&parts.limits)).to_vec();
        parts.outputs[0].blinks_from_rpm = None;
    };
    set_fields(&new_project(8, 8).edit(outputs).unwrap(), &sets).unwrap()
}

fn opened() -> Window {
    let mut window = window(project());
    window.state_mut().ask(Action::Run(Command::Sheet(Sheet::Limits)));
    window.run();
    window
}

fn steps(window: &Window) -> Vec<String> {
    window.state().document().steps().iter().map(|step| step.label.clone()).collect()
}

fn last(window: &Window) -> String {
    steps(window).pop().unwrap()
}

fn click(window: &mut Window, name: &str) {
    window.get_by_label(name).click();
    window.run();
    window.run();
}

fn enter(window: &mut Window, name: &str, text: &str) {
    type_into(window, name, text);
    window.key_press(Key::Enter);
    window.run();
    window.run();
}

fn type_into(window: &mut Window, name: &str, text: &str) {
    window.get_by_role_and_label(Role::TextInput, name).focus();
    window.run();
    window.event(Event::Text(text.into()));
    window.run();
}

fn outputs(window: &Window) -> Vec<String> {
    window.state().document().project().outputs.iter().map(|output| output.name.clone()).collect()
}

#[test]
fn every_lane_reads_its_limit_back() {
    let window = opened();
    window.get_by_label_contains("Over-speed: eases off by 10.0° from 6000 rpm; cuts every other spark at 6250 rpm, all at 6400 rpm; fires again below 6100 rpm");
    window.get_by_label("shift light: on above 5800 rpm, off below 5600 rpm");
    window.get_by_label("fan: on above 96 °C, off below 91 °C");
    window.get_by_label("Launch: switched off");
    window.get_by_label("Advance over speed with the limits applied");
    window.get_by_label("Limits and outputs are in order.");
}

#[test]
fn speeds_out_of_order_are_said_while_they_are_typed() {
    let mut window = opened();
    type_into(&mut window, "Over-speed fires again below", "6400");
    window.get_by_label_contains("Sparks cut at 6250 rpm come back below 6400 rpm");
    assert_eq!(steps(&window).len(), 1, "nothing is set yet");
    window.key_press(Key::Escape);
    window.run();
    window.run();
    window.get_by_label("Limits and outputs are in order.");
    enter(&mut window, "Over-speed cuts at", "6300");
    assert_eq!(last(&window), "Set over-speed cuts at to 6300 rpm");
}

#[test]
fn outputs_are_added_reordered_and_removed_as_labelled_steps() {
    let mut window = opened();
    click(&mut window, "Add shift light");
    assert_eq!((last(&window).as_str(), outputs(&window).len()), ("Add output 'shift light 2'", 3));
    click(&mut window, "Move output shift light 2 up");
    assert_eq!(outputs(&window), ["shift light", "shift light 2", "fan"]);
    enter(&mut window, "Shift light 2, blinks from", "6200");
    let shift_light = window.state().document().project().outputs[1].clone();
    assert_eq!(shift_light.blinks_from_rpm, Some(6200.0));
    click(&mut window, "Remove output shift light 2");
    assert_eq!((last(&window).as_str(), outputs(&window).len()), ("Remove output 'shift light 2'", 2));
    click(&mut window, "Add another output");
    assert_eq!(outputs(&window)[2], "output");
}

#[test]
fn a_new_project_has_no_outputs_and_offers_three_ready_made() {
    let mut window = window(new_project(8, 8));
    window.state_mut().ask(Action::Run(Command::Sheet(Sheet::Limits)));
    window.run();
    assert_eq!(outputs(&window), [""; 0]);
    window.get_by_label_contains("None yet");
    for (name, told) in [
        ("shift light", "on above 6050 rpm, off below 5900 rpm; blinks from 6150 rpm"),
        ("fan", "on above 96 °C, off below 91 °C"),
        ("fuel pump", "on above 100 rpm, off below 50 rpm"),
    ] {
        let before = steps(&window).len();
        click(&mut window, &format!("Add {name}"));
        assert_eq!((last(&window), steps(&window).len()), (format!("Add output '{name}'"), before + 1));
        window.get_by_label(&format!("Output {name}: {told}"));
    }
    assert_eq!(outputs(&window), ["shift light", "fan", "fuel pump"]);
    window.get_by_label("Limits and outputs are in order.");
}

#[test]
fn conditions_are_added_and_equal_thresholds_are_refused_in_words() {
    let mut window = opened();
    click(&mut window, "Output fan: on above 96 °C, off below 91 °C");
    click(&mut window, "Add a condition to fan");
    let fan = window.state().document().project().outputs[1].clone();
    assert_eq!((fan.conditions.len(), fan.conditions[1].signal), (2, Signal::Speed));
    click(&mut window, "Remove condition 2 of fan");
    let before = steps(&window).len();
    enter(&mut window, "Fan, on", "91");
    assert_eq!(steps(&window).len(), before);
    assert!(window.query_all_by_label_contains("switches on and off at the same value").count() > 0);
    window.key_press(Key::Escape);
    window.run();
    enter(&mut window, "Fan, on", "92");
    window.get_by_label("Output fan: on above 92 °C, off below 91 °C");
}

#[test]
fn the_picture_follows_the_chosen_load_without_a_step() {
    let mut window = opened();
    enter(&mut window, "Load of the picture", "40");
    assert_eq!(window.state().screen().limits.load, Some(40.0));
    assert_eq!(steps(&window).len(), 1);
}

/// However wide a window is, a field stands near its label.
#[test]
fn in_a_wide_window_fields_stay_near_their_labels() {
    let mut window = sized_window(project(), vec2(1920.0, 1080.0), 1.0);
    for (sheet, heading, field) in
        [(Sheet::Limits, "Cranking", "Cranking advance"), (Sheet::Engine, "Trigger", "Zero offset")]
    {
        window.state_mut().ask(Action::Run(Command::Sheet(sheet)));
        window.run();
        let left = window.get_by_role_and_label(Role::Heading, heading).rect().left();
        let field = window.get_by_role_and_label(Role::TextInput, field).rect();
        assert!(field.right() - left <= 364.5, "{sheet:?}: {left} {field:?}");
    }
}

/// As the forms scroll, each column still says which section it shows, and in a low window the heading of all stays.
#[test]
fn headings_stay_while_the_forms_scroll() {
    for size in [vec2(1280.0, 800.0), vec2(900.0, 560.0)] {
        let mut window = sized_window(project(), size, 1.0);
        window.state_mut().ask(Action::Run(Command::Sheet(Sheet::Limits)));
        window.run();
        let title = window.get_by_role_and_label(Role::Heading, "Over speed, with everything applied").rect();
        let top = window.get_by_role_and_label(Role::Heading, "Cranking").rect().top();
        window.hover_at(pos2(400.0, size.y - 80.0));
        for _ in 0..8 {
            window.event(Event::MouseWheel {
                unit: MouseWheelUnit::Point,
                delta: vec2(0.0, -60.0),
                phase: TouchPhase::Move,
                source: MouseWheelSource::Wheel,
                modifiers: Modifiers::NONE,
            });
            window.run();
        }
        let scrolled = window.get_by_role_and_label(Role::Heading, "Cranking").rect().top();
        assert!(scrolled < top - 100.0, "{size}: {top} {scrolled}");
        let title_now = window.get_by_role_and_label(Role::Heading, "Over speed, with everything applied").rect();
        assert_eq!(title_now, title, "{size}");
        let seen = texts(&window);
        let is_heading =
            |text: &&Seen| ["Cranking", "Over-speed", "Launch", "Floor and ceiling"].contains(&&*text.text);
        let kept = seen.iter().filter(is_heading).filter(|text| text.clip.contains_rect(text.place));
        let kept = kept.filter(|text| text.place.top() - text.clip.top() < 8.0 && text.clip.top() > title.bottom());
        assert!(kept.count() >= 1, "{size}: no heading at the upper edge");
    }
}
