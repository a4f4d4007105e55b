//! The Engine sheet through names, keys and clicks.

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2, Vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::project::{LoadKind, NewProject, Project};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::Sheet;

use super::harness::{Window, new_project, sample, sized_window};

fn engine_window(project: Project) -> Window {
    // So high that nothing of a page is scrolled away.
    let mut window = sized_window(project, Vec2::new(1280.0, 1300.0), 1.0);
    window.state_mut().ask(Action::Run(Command::Sheet(Sheet::Engine)));
    window.run();
    window
}

fn on_page(project: Project, page: &str) -> Window {
    let mut window = engine_window(project);
    window.get_by_label(&format!("Page: {page}")).click();
    window.run();
    window
}

fn type_into(window: &mut Window, name: &str, text: &str) {
    window.get_by_role_and_label(Role::TextInput, name).focus();
    window.run();
    window.event(Event::Text(text.to_owned()));
    window.run();
    window.key_press(Key::Enter);
    window.run();
}

fn value(window: &Window, name: &str) -> String {
    window.get_by_role_and_label(Role::TextInput, name).accesskit_node().value().unwrap_or_default()
}

/// Whether it is said anywhere in the window.
fn says(window: &Window, words: &str) {
    assert!(window.query_all_by_label_contains(words).next().is_some(), "'{words}' is said nowhere");
}

fn last_step(window: &Window) -> String {
    window.state().document().steps().last().unwrap().label.clone()
}

fn count(window: &Window) -> usize {
    window.state().document().steps().len()
}

fn project(window: &Window) -> &Project {
    window.state().document().project()
}

#[test]
fn six_cylinders_are_one_step_with_order_pairs_and_reference() {
    let mut window = engine_window(new_project(4, 4));
    window.get_by_label("Cylinders: 6").click();
    window.run();
    assert_eq!(count(&window), 2);
    assert!(
        last_step(&window).starts_with("Change to 6 cylinders: firing order 1-5-3-6-2-4"),
        "{}",
        last_step(&window)
    );
    assert_eq!(project(&window).engine.channels.len(), 3);
    assert_eq!(value(&window, "Coil C, cylinders"), "3+4");
    assert_eq!(value(&window, "Reference"), "70.0");
    window.get_by_label_contains("Fires in this order, with the wasted spark's cylinder in brackets: 1 (6)");
}

#[test]
fn a_firing_order_brings_its_pairs_and_a_wrong_pair_is_refused() {
    let mut window = engine_window(new_project(4, 4));
    type_into(&mut window, "Firing order", "1-4-3-2");
    assert_eq!(last_step(&window), "Set firing order to 1-4-3-2: coils A 1+3, B 4+2");
    type_into(&mut window, "Coil A, cylinders", "1+4");
    assert_eq!(count(&window), 2);
    assert_eq!(value(&window, "Coil A, cylinders"), "1+4");
    says(&window, "coil A fires 1 and 4, but the firing order pairs 1 and 3");
    type_into(&mut window, "Coil A, cylinders", "3+1");
    assert_eq!(last_step(&window), "Set coil A to cylinders 3+1");
    type_into(&mut window, "Firing order", "1-2-2-4");
    assert_eq!(count(&window), 3);
    says(&window, "must name each of cylinders 1 to 4 once");
}

#[test]
fn wheels_are_ready_made_or_typed_and_checked() {
    let mut window = engine_window(new_project(4, 4));
    window.get_by_label("Wheel: 60\u{2212}2").click();
    window.run();
    assert_eq!(last_step(&window), "Set wheel to 60\u{2212}2");
    for (teeth, missing) in [(12, 1), (24, 1), (24, 2), (36, 1), (60, 2)] {
        window.get_by_label(&format!("Wheel: {teeth}\u{2212}{missing}")).click();
        window.run();
        let wheel = project(&window).trigger.wheel;
        assert_eq!((wheel.teeth, wheel.missing), (teeth, missing));
    }
    type_into(&mut window, "Wheel, teeth and missing", "24-1");
    assert_eq!(project(&window).trigger.wheel.teeth, 24);
    type_into(&mut window, "Wheel, teeth and missing", "8-2");
    says(&window, "too few teeth to tell the gap");
    assert_eq!(project(&window).trigger.wheel.teeth, 24);
}

#[test]
fn the_pictures_follow_what_is_being_typed() {
    let mut window = engine_window(new_project(4, 4));
    window.get_by_role_and_label(Role::TextInput, "Reference").focus();
    window.run();
    window.event(Event::Text("77".into()));
    window.run();
    assert_eq!(project(&window).trigger.reference_deg, 100.0);
    window.get_by_label_contains("passes the sensor 77.0° before TDC of 1+4");
}

#[test]
fn dragging_the_reference_edge_is_one_step_and_escape_gives_it_up() {
    let mut window = engine_window(new_project(4, 4));
    type_into(&mut window, "Reference", "90");
    let start = count(&window);
    let bounds = window.get_by_label_contains("Reference edge at 90.0°").rect();
    // At 90° the handle stands right of the wheel's middle; above the middle stands the sensor.
    let picture = window.get_by_role_and_label(Role::Image, &wheel_words(&window)).rect();
    let center = Pos2::new(picture.center().x, bounds.center().y);
    let radius = bounds.center().x - center.x;
    let at = |deg: f32| center + eframe::egui::vec2(deg.to_radians().sin(), -deg.to_radians().cos()) * radius;
    drag(&mut window, bounds.center(), at(60.0), true);
    assert_eq!(project(&window).trigger.reference_deg, 60.0);
    assert_eq!(last_step(&window), "Set reference to 60.0°");
    assert_eq!(count(&window), start + 1);
    drag(&mut window, at(60.0), at(120.0), false);
    window.key_press(Key::Escape);
    window.run();
    release(&mut window, at(120.0));
    assert_eq!(project(&window).trigger.reference_deg, 60.0);
    assert_eq!(count(&window), start + 1);
}

fn wheel_words(window: &Window) -> String {
    window.get_by_label_contains("Wheel 36−1").accesskit_node().label().unwrap_or_default()
}

fn drag(window: &mut Window, from: Pos2, to: Pos2, ends: bool) {
    window.event(Event::PointerMoved(from));
    window.run();
    let button = |pressed| Event::PointerButton {
        pos: from,
        button: PointerButton::Primary,
        pressed,
        modifiers: Default::default(),
    };
    window.event(button(true));
    window.run();
    window.event(Event::PointerMoved(from.lerp(to, 0.5)));
    window.run();
    window.event(Event::PointerMoved(to));
    window.run();
    if ends {
        release(window, to);
    }
}

fn release(window: &mut Window, at: Pos2) {
    let released =
        Event::PointerButton { pos: at, button: PointerButton::Primary, pressed: false, modifiers: Default::default() };
    window.event(released);
    window.run();
}

#[test]
fn the_other_kind_of_load_is_one_step_or_a_reason() {
    let mut window = engine_window(new_project(4, 4));
    window.get_by_label("Load signal: pressure").click();
    window.run();
    // It is offered, and put away nothing has happened.
    assert_eq!((project(&window).sensors.load, count(&window)), (LoadKind::Throttle, 1));
    window.key_press(Key::Escape);
    window.run();
    assert!(window.query_by_label("Start anew over pressure").is_none());
    window.get_by_label("Load signal: pressure").click();
    window.run();
    window.get_by_label("Start anew over pressure").click();
    window.run();
    assert_eq!(project(&window).sensors.load, LoadKind::Pressure);
    assert!(last_step(&window).starts_with("Change load to pressure in kPa"));
    assert!(window.query_by_label("Start anew over pressure").is_none());
    let mut window = engine_window(sample("tarn-special"));
    let held = project(&window).advance.held().count();
    assert!(held > 0);
    window.get_by_label("Load signal: pressure").click();
    window.run();
    assert!(window.get_by_label("Start anew over pressure").accesskit_node().is_disabled());
    assert!(window.query_all_by_label_contains("release them first").next().is_some());
    assert_eq!(count(&window), 1);
}

#[test]
fn pasted_readings_lead_to_the_zero_offset_in_one_step() {
    let mut window = on_page(new_project(4, 4), "Timing light");
    let rows = "10\t14\t1000\n10\t14\t2000\n10\t14\t3000\n10\t14\t4000\n5\t9\t1500\n15\t19\t1500\n25\t29\t1500\n";
    window.event(Event::Paste(rows.into()));
    window.run();
    assert_eq!(value(&window, "Reading 7, observed"), "29");
    says(&window, "Change the zero offset by +4.00°, to +4.00°.");
    window.get_by_role_and_label(Role::Button, "Set zero offset to +4.00°").click();
    window.run();
    assert_eq!(project(&window).trigger.zero_offset_deg, 4.0);
    assert_eq!(project(&window).timing_light.readings.len(), 7);
    assert!(!project(&window).timing_light.taken_at.is_empty());
    // Pasted, then applied.
    assert_eq!(count(&window), 3);
    // What was applied is not offered again; the grid is empty for the readings that are to prove it.
    assert!(window.query_by_label("Set zero offset to +4.00°").is_none());
    assert_eq!(value(&window, "Reading 1, observed"), "");
    says(&window, "The trigger was moved by 4.0° since the timing-light readings were taken");
    // Read again: they agree, are kept, and prove the zero.
    let rows = "10\t10\t1000\n10\t10\t2000\n10\t10\t3000\n20\t20\t1500\n";
    window.event(Event::Paste(rows.into()));
    window.run();
    says(&window, "Kept, they prove the zero.");
    assert!(window.get_by_label("Nothing to apply").accesskit_node().is_disabled());
    window.get_by_role_and_label(Role::Button, "Keep 4 readings, zero offset as it is").click();
    window.run();
    assert_eq!((project(&window).trigger.zero_offset_deg, count(&window)), (4.0, 5));
    says(&window, "4 readings prove the zero.");
    assert!(window.get_by_label("Nothing to keep").accesskit_node().is_disabled());
}

#[test]
fn readings_are_typed_with_a_comma_and_a_halved_scale_forbids_the_result() {
    let mut window = on_page(new_project(4, 4), "Timing light");
    window.get_by_label("Prescribed readings").click();
    window.run();
    for (row, observed) in ["5", "5", "5", "5", "2,5", "7,5", "12,5"].into_iter().enumerate() {
        type_into(&mut window, &format!("Reading {}, observed", row + 1), observed);
    }
    says(&window, "about half. Which light is it?");
    assert!(window.get_by_label("Nothing to apply").accesskit_node().is_disabled());
    type_into(&mut window, "Reading 1, observed", "500");
    assert_eq!(value(&window, "Reading 1, observed"), "500");
    says(&window, "500 is outside −180..180°");
}

#[test]
fn half_of_one_advance_stops_until_it_is_said_which_light_it_is() {
    let mut window = on_page(new_project(4, 4), "Timing light");
    window.event(Event::Paste("10\t5\t1000\n10\t5\t2000\n10\t5\t3000\n10\t5\t4000\n".into()));
    window.run();
    says(&window, "Which light is it, a plain one or one with a delay knob");
    assert!(window.get_by_label("Nothing to apply").accesskit_node().is_disabled());
    assert!(window.get_by_label("Nothing to keep").accesskit_node().is_disabled());
    window.get_by_label("The light: plain").click();
    window.run();
    window.get_by_role_and_label(Role::Button, "Set zero offset to \u{2212}5.00°");
    window.get_by_label("The light: delay knob").click();
    window.run();
    says(&window, "a wrong setting");
    assert!(window.get_by_label("Nothing to apply").accesskit_node().is_disabled());
}

/// Nothing invented stands anywhere, no tick, and no button that would change the project.
#[test]
fn every_worksheet_starts_empty() {
    let pages = [
        ("True TDC", &["Stop, one way", "Stop, other way", "Pulley diameter", "Angle on the pulley"][..]),
        ("Before the first start", &["Coil A shows", "Coil B shows", "Supply while cranking"][..]),
        ("Timing light", &["Reading 1, commanded", "Reading 1, observed", "Reading 1, speed"][..]),
        ("Throttle", &["Volts with the throttle closed", "Volts with the throttle open"][..]),
        ("Sender", &["Point 1, temperature", "Point 1, resistance", "Pull-up"][..]),
        ("Coil", &["Current to reach", "Highest speed for the coil"][..]),
    ];
    for (page, boxes) in pages {
        let window = on_page(new_project(4, 4), page);
        for name in boxes {
            assert_eq!(value(&window, name), "", "{page}: {name}");
        }
        for words in [
            "Good",
            "The timing mark is right",
            "Commanded is actual",
            "4 readings prove the zero",
            "Every coil fires at its own",
        ] {
            assert!(window.query_all_by_label_contains(words).next().is_none(), "{page}: {words}");
        }
        let live: Vec<String> = window
            .query_all_by_role(Role::Button)
            .filter(|node| !node.accesskit_node().is_disabled())
            .filter_map(|node| node.accesskit_node().label())
            .filter(|label| {
                label.starts_with("Set ") || label.starts_with("Keep ") || label.starts_with("Degree strip")
            })
            .collect();
        assert_eq!(live, [""; 0], "{page}");
        assert_eq!(count(&window), 1);
    }
}

#[test]
fn a_box_of_a_worksheet_can_be_emptied_again() {
    let mut window = on_page(new_project(4, 4), "True TDC");
    says(&window, "Type both readings at the stop.");
    says(&window, "turn by hand, never with the starter");
    type_into(&mut window, "Stop, one way", "322");
    type_into(&mut window, "Stop, other way", "42");
    assert!(window.query_by_label("Set reference to 102.00°").is_some());
    // The whole of it is selected when the keyboard comes to it.
    window.get_by_role_and_label(Role::TextInput, "Stop, other way").focus();
    window.run();
    window.key_press(Key::Backspace);
    window.run();
    window.key_press(Key::Enter);
    window.run();
    assert_eq!(value(&window, "Stop, other way"), "");
    says(&window, "Type both readings at the stop.");
    assert!(window.query_by_label("Set reference to 102.00°").is_none());
}

#[test]
fn before_the_first_start_coils_are_read_and_judged() {
    let new = NewProject { name: "six".into(), cylinders: 6, load: LoadKind::Throttle, speeds: 4, loads: 4 };
    let mut window = on_page(new.create().unwrap(), "Before the first start");
    says(&window, "Type what the light shows of each coil, and the supply.");
    for words in [
        "Fuel off",
        "Plugs out",
        "Firing order 1-5-3-6-2-4",
        "8.00° before top dead centre",
        "at least 8 V",
        "timing locked at 10.0°",
    ] {
        says(&window, words);
    }
    type_into(&mut window, "Coil A shows", "8");
    type_into(&mut window, "Coil B shows", "-112");
    type_into(&mut window, "Coil C shows", "128");
    type_into(&mut window, "Supply while cranking", "9.6");
    says(&window, "Coil B fires where coil C should");
    says(&window, "Coil C fires where coil B should");
    says(&window, "The supply of 9.6 V is enough");
    type_into(&mut window, "Coil B shows", "8.5");
    type_into(&mut window, "Coil C shows", "9");
    says(&window, "Every coil fires at its own mark");
    assert_eq!(count(&window), 1);
}

#[test]
fn swapped_throttle_wires_are_told_and_cannot_be_applied() {
    let mut window = on_page(new_project(4, 4), "Throttle");
    type_into(&mut window, "Volts with the throttle closed", "4.2");
    type_into(&mut window, "Volts with the throttle open", "0.6");
    says(&window, "the two end wires are swapped");
    assert!(window.get_by_label("Nothing to apply").accesskit_node().is_disabled());
    type_into(&mut window, "Volts with the throttle closed", "0.55");
    type_into(&mut window, "Volts with the throttle open", "4.3");
    window.get_by_label("Set throttle sensor to 0.55 V closed, 4.3 V open").click();
    window.run();
    assert_eq!(project(&window).sensors.throttle.second_v, 4.3);
    assert_eq!(count(&window), 2);
}

#[test]
fn the_piston_stop_moves_the_reference() {
    let mut window = on_page(new_project(4, 4), "True TDC");
    type_into(&mut window, "Stop, one way", "322");
    type_into(&mut window, "Stop, other way", "42");
    says(&window, "True top dead centre comes 2.00° after the timing mark");
    window.get_by_label("Set reference to 102.00°").click();
    window.run();
    assert_eq!(project(&window).trigger.reference_deg, 102.0);
    type_into(&mut window, "Pulley diameter", "150");
    type_into(&mut window, "Angle on the pulley", "10");
    window.get_by_label_contains("13.09 mm along the rim");
}

#[test]
fn sender_and_coil_apply_as_one_step_each() {
    let mut window = on_page(new_project(4, 4), "Sender");
    type_into(&mut window, "Pull-up", "1000");
    window.get_by_label("Set coolant sender by points from 0 to 100 °C").click();
    window.run();
    assert_eq!(project(&window).sensors.coolant.pull_up_ohm, 1000.0);
    let mut window = on_page(new_project(4, 4), "Coil");
    type_into(&mut window, "Current to reach", "6");
    window.get_by_label("Set dwell curve for 6 A").click();
    window.run();
    assert_eq!(last_step(&window), "Set dwell curve for 6 A");
    assert_eq!(count(&window), 2);
}

#[test]
fn the_light_shows_one_number_with_its_parts() {
    let mut window = on_page(new_project(4, 4), "What should the light show?");
    type_into(&mut window, "Speed at the light", "200");
    window.get_by_label("The light should show 8.00° before top dead centre");
    window.get_by_label("State: cranking");
    type_into(&mut window, "Speed at the light", "10");
    window.get_by_label_contains("no spark comes there");
}

#[test]
fn typed_readings_are_steps_that_are_undone_saved_and_asked_about() {
    let mut window = on_page(new_project(4, 4), "Timing light");
    type_into(&mut window, "Reading 1, observed", "14,5");
    assert_eq!((last_step(&window).as_str(), count(&window)), ("Reading 1: observed 14.5°", 2));
    assert_eq!(project(&window).typed_readings.len(), 1);
    assert!(window.state().document().is_changed());
    type_into(&mut window, "Reading 1, commanded", "10");
    window.get_by_label("Prescribed readings").click();
    window.run();
    assert_eq!(last_step(&window), "Prescribed readings in the place of 1 typed row");
    assert_eq!(project(&window).typed_readings.len(), 7);
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!((value(&window, "Reading 1, observed"), project(&window).typed_readings.len()), ("14.5".into(), 1));
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert!(project(&window).typed_readings.is_empty() && !window.state().document().is_changed());
}

#[test]
fn applying_readings_types_none_any_more_in_the_same_step() {
    let mut window = on_page(new_project(4, 4), "Timing light");
    window.event(Event::Paste("10\t14\t1000\n10\t14\t2000\n10\t14\t3000\n10\t14\t4000\n".into()));
    window.run();
    assert_eq!(last_step(&window), "Paste 4 readings");
    type_into(&mut window, "Reading 5, observed", "3");
    window.get_by_role_and_label(Role::Button, "Set zero offset to +4.00°, without 1 unfinished row").click();
    window.run();
    assert_eq!((project(&window).timing_light.readings.len(), project(&window).typed_readings.len()), (4, 0));
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!((project(&window).timing_light.readings.len(), project(&window).typed_readings.len()), (0, 5));
}

#[test]
fn readings_beyond_those_with_room_move_no_button() {
    let mut window = on_page(new_project(4, 4), "Timing light");
    let place = |window: &Window| window.get_by_label("Prescribed readings").rect();
    let before = place(&window);
    let rows: String = (1..=14).map(|row| format!("10\t14\t{}\n", 500 + 100 * row)).collect();
    window.event(Event::Paste(rows));
    window.run();
    window.run();
    assert_eq!(project(&window).typed_readings.len(), 14);
    assert_eq!(place(&window), before);
    // The last of them are reached by the keyboard.
    type_into(&mut window, "Reading 14, observed", "13.5");
    assert_eq!(project(&window).typed_readings[13].observed_deg, Some(13.5));
}

#[test]
fn a_reading_at_the_reference_edge_has_its_place_before_it_is_taken() {
    let mut window = on_page(new_project(4, 4), "True TDC");
    let place = |window: &Window| window.get_by_role_and_label(Role::TextInput, "Pulley diameter").rect();
    let before = place(&window);
    window.get_by_label("Reference edge: read").click();
    window.run();
    window.get_by_role_and_label(Role::TextInput, "Reading there");
    assert_eq!(place(&window), before);
}

#[test]
fn readings_with_a_decimal_mark_in_doubt_are_asked_about() {
    let mut window = on_page(new_project(4, 4), "Timing light");
    window.event(Event::Paste("10\t14\t1,000\n10\t14\t2,000\n".into()));
    window.run();
    window.run();
    assert!(project(&window).typed_readings.is_empty());
    window.get_by_label("It is 1000").click();
    window.run();
    window.run();
    let speeds: Vec<Option<f64>> = project(&window).typed_readings.iter().map(|row| row.speed_rpm).collect();
    assert_eq!((speeds, last_step(&window).as_str()), (vec![Some(1000.0), Some(2000.0)], "Paste 2 readings"));
    type_into(&mut window, "Reading 1, speed", "3,000");
    let notice = window.state().screen().notice.clone().unwrap();
    assert!(notice.is_error && notice.text.contains("the comma may part thousands"), "{notice:?}");
    assert_eq!(project(&window).typed_readings[0].speed_rpm, Some(1000.0));
}
