//! Nothing clickable moves because of a result: a second click at the same place hits the same thing or
//! nothing.

use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2, vec2};
use egui_kittest::kittest::Queryable;
use sparkloft::table::Cell;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;

use super::frame::has;
use super::harness::{Window, checked, pause, pictured, sample, sized_window, window};
use super::inspector::{change_screen, last_step, select, set_amount, steps};

fn click_at(window: &mut Window, pos: Pos2) {
    window.event(Event::PointerMoved(pos));
    window.run();
    for pressed in [true, false] {
        let (button, modifiers) = (PointerButton::Primary, Modifiers::NONE);
        window.event(Event::PointerButton { pos, button, pressed, modifiers });
        // One frame: a button held through many, while a preview is on its way, is no click any more.
        window.step();
    }
    window.run();
}

fn point_at(window: &mut Window, pos: Pos2) {
    window.event(Event::PointerMoved(pos));
    window.run();
    window.run();
}

#[test]
fn a_finding_that_appears_leaves_the_sentences_where_they_are() {
    let mut window = window(sample("tarn-special"));
    select(&mut window, Cell::new(8, 8), Cell::new(8, 8));
    set_amount(&mut window, "raise or lower by", 8.0);
    checked(&mut window);
    assert!(has(&window, "No findings at these cells"));
    let at = window.get_by_label("Raise or lower by 8.0").rect().left_center() + vec2(12.0, 0.0);
    click_at(&mut window, at);
    checked(&mut window);
    assert!(!has(&window, "No findings at these cells"));
    assert_eq!(last_step(&window), "Raise 1 cell by 8.0°");
    click_at(&mut window, at);
    checked(&mut window);
    assert_eq!((last_step(&window).as_str(), steps(&window)), ("Raise 1 cell by 8.0°", 3));
}

#[test]
fn sentences_stay_when_one_cell_is_selected_instead_of_many() {
    let mut window = window(sample("tarn-special"));
    let places = |window: &Window| ["Set to 20.0", "Hold as measured"].map(|label| window.get_by_label(label).rect());
    select(&mut window, Cell::new(8, 8), Cell::new(10, 10));
    let many = places(&window);
    select(&mut window, Cell::new(8, 8), Cell::new(8, 8));
    assert_eq!(places(&window), many);
}

#[test]
fn a_second_click_on_a_remedy_of_the_inspector_carries_out_no_other() {
    let mut window = window(sample("wren-four"));
    let table = window.state().document().project().advance.table().clone();
    select(&mut window, Cell::new(0, 0), Cell::new(table.load().len() - 1, table.speed().len() - 1));
    checked(&mut window);
    let next = window.get_by_label_contains("at the selection: show the next");
    assert!(next.rect().width() > 0.0);
    let first = window.get_by_label_contains("Finding 1 of").rect();
    let at = Pos2::new(first.left(), first.bottom() + 12.0);
    point_at(&mut window, at);
    checked(&mut window);
    pictured(&mut window, "inspector-finding");
    click_at(&mut window, at);
    checked(&mut window);
    assert_eq!(steps(&window), 2);
    assert!(has(&window, "Done: no longer found here"));
    click_at(&mut window, at);
    checked(&mut window);
    assert_eq!(steps(&window), 2);
    point_at(&mut window, Pos2::new(600.0, 300.0));
    assert!(has(&window, "Finding 1 of"));
}

#[test]
fn a_second_click_on_the_checks_sheet_carries_out_no_other_remedy() {
    let mut window = sized_window(sample("wren-four"), vec2(1280.0, 1300.0), 1.0);
    change_screen(&mut window, ScreenMessage::Show(Sheet::Checks));
    checked(&mut window);
    let remedy = "Fair 1 cell from the neighbours at 3800 rpm, 18 %";
    let (row, below) =
        ("Warning: 30.5° at 3800 rpm, 18 % stands", "Warning: 'fan' switches on at 92 and off at 91.8 °C");
    let row_at = window.get_by_label_contains(row).rect().center();
    click_at(&mut window, row_at);
    let at = window.get_by_label(remedy).rect().center();
    click_at(&mut window, at);
    checked(&mut window);
    assert_eq!((last_step(&window).as_str(), steps(&window)), (remedy, 2));
    assert!(has(&window, "No finding chosen"), "no other remedy is offered in its place");
    click_at(&mut window, at);
    checked(&mut window);
    assert_eq!(steps(&window), 2);
    // While the pointer is over the list, its rows keep their places whatever comes and goes.
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    checked(&mut window);
    point_at(&mut window, row_at);
    let before = window.get_by_label(below).rect();
    window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    checked(&mut window);
    assert!(has(&window, "No longer found: "));
    assert_eq!(window.get_by_label(below).rect(), before);
    point_at(&mut window, Pos2::new(40.0, 20.0));
    assert!(!has(&window, "No longer found: "));
}

#[test]
fn a_second_click_on_compare_takes_no_other_field_back() {
    let mut window = window(sample("tarn-special"));
    change_screen(&mut window, ScreenMessage::Show(Sheet::Compare));
    let first = "Take back Over-speed cuts all at";
    for _ in 0..200 {
        window.run();
        if window.query_by_label(first).is_some() {
            break;
        }
        pause(&window);
    }
    let at = window.get_by_label(first).rect().center();
    click_at(&mut window, at);
    for _ in 0..20 {
        window.run();
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    let done = steps(&window);
    click_at(&mut window, at);
    window.run();
    assert_eq!((done, steps(&window)), (2, 2));
    assert!(window.query_by_label(first).is_none() && has(&window, "as in the base"));
}
