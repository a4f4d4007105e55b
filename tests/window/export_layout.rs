//! The layout of the image on the Export sheet: list, map and bytes.

use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2, Rect, Role, pos2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::image::encode;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::export_state::{ExportMessage, Part};

use super::export::{address_of, change, click_containing, last_step, opened, part, project, select, type_over};
use super::frame::{click, has, notice};
use super::frame_files::run;
use super::harness::{Window, new_project, sample};

fn button(window: &mut Window, at: Pos2, pressed: bool) {
    window.event(Event::PointerMoved(at));
    window.event(Event::PointerButton { pos: at, button: PointerButton::Primary, pressed, modifiers: Modifiers::NONE });
    window.run_ok();
}

fn move_to(window: &mut Window, at: Pos2) {
    window.event(Event::PointerMoved(at));
    window.run_ok();
}

fn in_map(window: &Window, name: &str) -> Rect {
    let label = format!("in the map: {name}, ");
    window.query_all_by_label_contains(&label).next().unwrap_or_else(|| panic!("no '{label}'")).rect()
}

#[test]
fn overlaps_are_refused_at_once_in_words() {
    let mut window = opened(new_project(8, 8));
    click_containing(&mut window, "advance_loads, breakpoints");
    let before = project(&window);
    type_over(&mut window, "Item address", "100");
    assert!(
        has(&window, "share addresses from 0100") || has(&window, "share addresses from 100"),
        "{}",
        notice(&window)
    );
    assert!(project(&window).is_same(&before));
    assert!(notice(&window).contains("share addresses"), "{}", notice(&window));
    type_over(&mut window, "Item address", "nonsense");
    assert!(has(&window, "'nonsense' is no hexadecimal number"));
    type_over(&mut window, "Item address", "0x3FFF0");
    assert!(has(&window, "leaves the image"));
    type_over(&mut window, "Item address", "f0");
    assert_eq!(address_of(&window, "advance_loads"), 0xF0);
}

#[test]
fn items_are_dragged_to_free_places_and_back_from_others() {
    let mut window = opened(new_project(8, 8));
    change(&mut window, ExportMessage::Detail(Some((0, 0x400))));
    let from = in_map(&window, "advance_loads");
    let table = in_map(&window, "advance");
    let free = pos2(table.right() + 200.0, from.center().y);
    button(&mut window, from.center(), true);
    move_to(&mut window, from.center() + (free - from.center()) / 2.0);
    move_to(&mut window, free);
    assert_eq!(window.state().document().steps().len(), 1, "not yet");
    button(&mut window, free, false);
    let moved = address_of(&window, "advance_loads");
    assert!(moved > 0x180 && moved.is_multiple_of(2), "{moved:X}");
    assert_eq!(last_step(&window), format!("Move 'advance_loads' to {moved:04X}"));
    assert_eq!(window.state().document().steps().len(), 2, "one step");

    let from = in_map(&window, "advance_loads");
    let before = project(&window);
    button(&mut window, from.center(), true);
    move_to(&mut window, free);
    move_to(&mut window, table.center());
    button(&mut window, table.center(), false);
    assert!(notice(&window).contains("share addresses"), "{}", notice(&window));
    assert_eq!(project(&window), before);

    let from = in_map(&window, "advance_loads");
    button(&mut window, from.center(), true);
    move_to(&mut window, from.center() + eframe::egui::vec2(60.0, 0.0));
    window.key_press(Key::Escape);
    window.run_ok();
    button(&mut window, from.center(), false);
    assert_eq!(project(&window), before, "Escape gives it up");
}

#[test]
fn the_end_of_an_item_resizes_it_with_its_values() {
    let mut window = opened(new_project(8, 8));
    change(&mut window, ExportMessage::Detail(Some((0x2100, 0x2200))));
    let rect = in_map(&window, "coolant_trim");
    let end = pos2(rect.right() - 1.0, rect.center().y);
    let shorter = pos2(rect.left() + rect.width() * 0.5, rect.center().y);
    button(&mut window, end, true);
    move_to(&mut window, end - eframe::egui::vec2(8.0, 0.0));
    move_to(&mut window, shorter);
    button(&mut window, shorter, false);
    let items = project(&window).image.items.clone();
    let own = |name: &str| items.iter().find(|item| item.name == name).unwrap().speeds;
    let count = own("coolant_trim").expect("an own size");
    assert!((3..=5).contains(&count), "{count}");
    assert_eq!(own("coolant_trim_temperatures"), Some(count));
    assert_eq!(last_step(&window), format!("Give 'coolant_trim' {count} points"));
    assert!(has(&window, "'coolant_trim' is resampled from"), "the warning");
    select(&mut window, "coolant_trim");
    type_over(&mut window, "Own points", "");
    assert_eq!(project(&window).image, new_project(8, 8).image);
}

#[test]
fn the_selection_is_one_in_list_bytes_numbers_and_map() {
    let mut window = opened(sample("tarn-special"));
    click_containing(&mut window, "advance, table");
    let from = u64::from(address_of(&window, "advance"));
    assert_eq!(window.state().screen().export.byte, Some(from));
    let start = window.state().document().project().advance.table().values()[0];
    assert!(has(&window, &format!("advance at 500 rpm, 0 %: {start}°")), "what the byte says");

    let row = window.query_all_by_label_contains(&format!("{:04X}: ", from + 16)).next().unwrap().rect();
    let third = pos2(row.left() + row.width() * 2.5 / 16.0, row.center().y);
    // Pressed and released at once: a press held for long is no click.
    window.event(Event::PointerMoved(third));
    for pressed in [true, false] {
        let (button, modifiers) = (PointerButton::Primary, Modifiers::NONE);
        window.event(Event::PointerButton { pos: third, button, pressed, modifiers });
    }
    window.run_ok();
    assert_eq!(window.state().screen().export.byte, Some(from + 18));
    move_to(&mut window, third);
    assert!(window.state().screen().pointer.words.contains("advance at"), "{}", window.state().screen().pointer.words);
    for (key, to) in [(Key::ArrowRight, 19), (Key::ArrowDown, 35), (Key::ArrowUp, 19), (Key::ArrowLeft, 18)] {
        window.key_press(key);
        window.run_ok();
        assert_eq!(window.state().screen().export.byte, Some(from + to), "{key:?}");
    }
    window.key_press(Key::Home);
    window.run_ok();
    let first = project(&window).image.items.iter().position(|item| item.name == "advance_speeds").unwrap();
    assert_eq!(part(&window), Part::Item(first));
    click(&mut window, "Show numbers");
    click_containing(&mut window, "advance_speeds breakpoint 3:");
    assert_eq!(window.state().screen().export.byte, Some(u64::from(address_of(&window, "advance_speeds")) + 4));
}

#[test]
fn the_list_goes_by_keys_and_delete_takes_out() {
    let mut window = opened(new_project(4, 4));
    click_containing(&mut window, "Image, addresses");
    for expected in ["advance_speeds", "advance_loads", "advance"] {
        window.key_press(Key::ArrowDown);
        window.run_ok();
        let place = project(&window).image.items.iter().position(|item| item.name == expected).unwrap();
        assert_eq!(part(&window), Part::Item(place));
    }
    window.key_press(Key::Delete);
    window.run_ok();
    assert_eq!(last_step(&window), "Take 'advance' out of the image");
    assert!(!project(&window).image.items.iter().any(|item| item.name == "advance"));
    run(&mut window, Command::Undo);
    assert_eq!(project(&window).image, new_project(4, 4).image);
}

#[test]
fn any_number_of_the_project_becomes_an_item() {
    let mut window = opened(sample("wren-four"));
    click(&mut window, "Add…");
    window.get_by_label("Find a number of the project").focus();
    window.run_ok();
    window.get_by_label("Find a number of the project").type_text("over_speed eases");
    window.run_ok();
    let found = window.query_all_by_label_contains("limits.over_speed.eases").next().is_some();
    assert!(found, "the fields found");
    let labels: Vec<String> = sparkloft::project::FIELDS
        .iter()
        .filter(|field| field.path.starts_with("limits.over_speed.eases"))
        .map(|field| field.label.to_owned())
        .collect();
    click_containing(&mut window, &labels[0]);
    let added = project(&window).image.items.last().unwrap().clone();
    assert!(added.field.starts_with("limits.over_speed.eases"), "{added:?}");
    assert_eq!(last_step(&window), format!("Add '{}' to the image", added.name));
    assert_eq!(part(&window), Part::Item(project(&window).image.items.len() - 1));
    assert!(encode(&project(&window)).is_ok());
}

/// The rows of bytes that are in view, by their first addresses: every byte in them is the image's.
fn rows_in_view(window: &Window) -> Vec<u64> {
    let image = encode(&project(window)).unwrap();
    let rows = window.query_all_by_role(Role::Row).filter_map(|row| row.accesskit_node().label());
    let told = rows.filter_map(|label| {
        let (address, rest) = label.split_once(": ")?;
        let from = u64::from_str_radix(address, 16).ok()?;
        let shown = rest.split(' ').map_while(|byte| u8::from_str_radix(byte, 16).ok().filter(|_| byte.len() == 2));
        let at = usize::try_from(from - u64::from(image.start)).unwrap();
        let shown: Vec<u8> = shown.take(16).collect();
        assert_eq!(shown, image.bytes[at..at + shown.len()], "{label}");
        Some(from)
    });
    told.collect()
}

/// The name of the row of bytes that begins at an address.
fn row_named(window: &Window, address: u64) -> String {
    let mut names = window.query_all_by_role(Role::Row).filter_map(|row| row.accesskit_node().label());
    names.find(|name| name.starts_with(&format!("{address:04X}: "))).unwrap()
}

#[test]
fn a_long_run_of_fill_is_one_row_that_opens_and_folds() {
    let mut window = opened(sample("tarn-special"));
    let items = project(&window).image.items.clone();
    let end = u64::from(items.iter().find(|item| item.name == "advance_speeds").unwrap().address) + 32;
    let next = u64::from(address_of(&window, "advance_loads"));
    let run = format!("{end:04X}–{:04X}, {} bytes of FF", next - 1, next - end);
    assert!(!rows_in_view(&window).contains(&end), "folded at first");
    click(&mut window, &format!("{run}, folded"));
    let rows = rows_in_view(&window);
    assert!((end..next).step_by(16).all(|row| rows.contains(&row)), "{rows:X?}");
    click(&mut window, &format!("{run}, open"));
    assert!(!rows_in_view(&window).contains(&end));
    // By keys the run is one stop, and Enter opens it.
    click_containing(&mut window, "advance_loads, breakpoints");
    let row = window.get_by_role_and_label(Role::Row, &row_named(&window, next)).rect();
    let first = pos2(row.left() + row.width() / 32.0, row.center().y);
    window.event(Event::PointerMoved(first));
    for pressed in [true, false] {
        let (button, modifiers) = (PointerButton::Primary, Modifiers::NONE);
        window.event(Event::PointerButton { pos: first, button, pressed, modifiers });
    }
    window.run_ok();
    let byte = |window: &Window| window.state().screen().export.byte;
    assert_eq!(byte(&window), Some(next));
    for (key, to) in [(Key::ArrowUp, end), (Key::ArrowUp, end - 16), (Key::ArrowDown, end), (Key::ArrowRight, next)] {
        window.key_press(key);
        window.run_ok();
        assert_eq!(byte(&window), Some(to), "{key:?}");
    }
    for key in [Key::ArrowLeft, Key::Enter, Key::ArrowRight] {
        window.key_press(key);
        window.run_ok();
    }
    assert_eq!(byte(&window), Some(end + 1), "the bytes of an open run are stops again");
    assert!(rows_in_view(&window).contains(&end));
    window.get_by_label(&format!("{run}, open"));
}
