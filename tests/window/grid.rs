//! The grid: every rule of selecting, moving and typing, through names, clicks and keys.

use eframe::egui::{Event, Key, Modifiers, Vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::project::Project;
use sparkloft::table::{Block, Cell, Selection};
use sparkloft::window::state::screen::Sheet;

use super::harness::{Window, message as notice, new_project, press, sample, sized_window, window, with_values};

const SHIFT: Modifiers = Modifiers::SHIFT;
const CTRL: Modifiers = Modifiers::COMMAND;

/// A window on an 8 × 8 table of zeros but for what `values` gives by (load, speed).
fn small(values: impl Fn(usize, usize) -> f64) -> Window {
    window(with_values(&new_project(8, 8), values))
}

fn hold(project: &Project, cells: &Selection) -> Project {
    project.with_advance(project.advance.with_held(cells, true)).unwrap()
}

/// The top row's first cells as a flow writes them, the cursor in brackets.
fn top_row(window: &Window, cells: usize) -> String {
    let state = window.state();
    let table = state.document().project().advance.table();
    let cursor = state.screen().selection.cursor;
    let top = table.load().len() - 1;
    let word = |speed: usize| {
        let value = table.at(Cell::new(top, speed));
        if cursor == Cell::new(top, speed) { format!("[{value}]") } else { value.to_string() }
    };
    (0..cells).map(word).collect::<Vec<_>>().join(" ")
}

fn selected(window: &Window) -> Vec<(usize, usize)> {
    window.state().screen().selection.cells.cells().map(|cell| (cell.load, cell.speed)).collect()
}

fn cell_name(window: &Window, load: usize, speed: usize) -> String {
    let project = window.state().document().project();
    let table = project.advance.table();
    let (x, y) = (table.speed().breakpoints()[speed], table.load().breakpoints()[load]);
    let held = if project.advance.held().contains(Cell::new(load, speed)) { ", held" } else { "" };
    format!("advance {x} rpm, {y} %, {:.1} degrees{held}", table.at(Cell::new(load, speed)))
}

fn click(window: &mut Window, name: &str, modifiers: Modifiers) {
    window.get_by_label(name).click_modifiers(modifiers);
    window.run();
}

fn click_cell(window: &mut Window, load: usize, speed: usize, modifiers: Modifiers) {
    let name = cell_name(window, load, speed);
    click(window, &name, modifiers);
}

#[test]
fn flows_of_keys_read_as_they_are_typed() {
    let flows = [
        ("[10] 12 14", "Right Alt+Up Alt+Up", "10 [13] 14"),
        ("[10] 12 14", "Alt+Down", "[9.5] 12 14"),
        ("[10] 12 14", "2 5 Enter", "25 12 14"),
        ("[10] 12 14", "2 5 Tab", "25 [12] 14"),
        ("[10] 12 14", "2 5 , 5 Tab - 3 Tab", "25.5 -3 [14]"),
        ("[10] 12 14", "2 5 Escape", "[10] 12 14"),
        ("[10] 12 14", "F2 Backspace 5 Tab", "15 [12] 14"),
        ("[10] 12 14", "F2 Home Delete Tab", "0 [12] 14"),
        ("[10] 12 14", "Shift+Right Shift+Right 7 Enter", "7 7 [7]"),
        ("[10] 12 14", "Shift+Right Shift+Right Ctrl+R", "10 10 [10]"),
        ("[10] 12 14", "End", "10 12 14"),
        ("[10] 12 14", "Right Right Home", "[10] 12 14"),
        ("[10] 12 14", "Delete 8 Tab", "8 [12] 14"),
        ("[10] 12 14", "Delete Enter", "[10] 12 14"),
        ("[10] 12 14", "1 . 2 . 3 Enter Escape", "[10] 12 14"),
        ("[10] 12 14", "4 0 0 Enter Escape", "[10] 12 14"),
        ("[10] 12 14", "2 Down", "2 12 14"),
        ("[10] 12 14", "Alt+Up Ctrl+Z", "[10] 12 14"),
    ];
    for (before, keys, after) in flows {
        let mut window = small(|load, speed| if load == 7 { [10.0, 12.0, 14.0][speed.min(2)] } else { 0.0 });
        window.run();
        press(&mut window, "Ctrl+Home");
        assert_eq!(top_row(&window, 3), before);
        press(&mut window, keys);
        assert_eq!(top_row(&window, 3), after, "{keys}");
    }
}

#[test]
fn typed_keys_of_one_frame_keep_their_order() {
    let mut window = small(|_, _| 0.0);
    window.run();
    press(&mut window, "Ctrl+Home");
    let key = |key| Event::Key { key, physical_key: None, pressed: true, repeat: false, modifiers: Modifiers::NONE };
    let text = |text: &str| Event::Text(text.into());
    let events = [text("1"), text("2"), key(Key::Tab), text("3"), key(Key::Enter), text("4"), key(Key::Enter)];
    window.input_mut().events.extend(events);
    window.run();
    let table = window.state().document().project().advance.table();
    assert_eq!((table.at(Cell::new(7, 0)), table.at(Cell::new(7, 1)), table.at(Cell::new(6, 1))), (12.0, 3.0, 4.0));
}

#[test]
fn arrows_move_extend_and_jump() {
    let mut window = small(|_, _| 0.0);
    window.run();
    press(&mut window, "Ctrl+Home Down Right");
    assert_eq!(selected(&window), [(6, 1)]);
    press(&mut window, "Shift+Down Shift+Right");
    assert_eq!(selected(&window), [(5, 1), (5, 2), (6, 1), (6, 2)]);
    press(&mut window, "Shift+Up");
    assert_eq!(selected(&window), [(6, 1), (6, 2)]);
    press(&mut window, "Ctrl+Right Ctrl+Down");
    assert_eq!(selected(&window), [(0, 7)]);
    press(&mut window, "Shift+Home");
    assert_eq!(selected(&window).len(), 8);
    press(&mut window, "PageUp");
    assert_eq!(selected(&window), [(7, 0)], "the grid shows all eight rows");
}

#[test]
fn tab_and_enter_walk_inside_several_selected_cells() {
    let mut window = small(|_, _| 0.0);
    window.run();
    press(&mut window, "Ctrl+Home Shift+Right Shift+Down");
    let mut walked = Vec::new();
    for key in ["Tab", "Tab", "Enter", "Shift+Enter", "Shift+Tab"] {
        press(&mut window, key);
        let cursor = window.state().screen().selection.cursor;
        walked.push((cursor.load, cursor.speed));
        assert_eq!(selected(&window).len(), 4, "{key}");
    }
    assert_eq!(walked, [(7, 0), (7, 1), (6, 1), (7, 1), (7, 0)]);
    press(&mut window, "Escape");
    assert_eq!(selected(&window), [(7, 0)]);
}

#[test]
fn clicks_select_blocks_and_single_cells() {
    let mut window = small(|_, _| 0.0);
    window.run();
    click_cell(&mut window, 2, 2, Modifiers::NONE);
    assert_eq!(selected(&window), [(2, 2)]);
    click_cell(&mut window, 3, 4, SHIFT);
    assert_eq!(selected(&window).len(), 6);
    click_cell(&mut window, 7, 7, CTRL);
    assert_eq!(selected(&window).len(), 7);
    click_cell(&mut window, 7, 7, CTRL);
    assert_eq!(selected(&window).len(), 6);
    assert!(window.state().screen().selection.cells.contains(window.state().screen().selection.cursor));
    click_cell(&mut window, 0, 0, Modifiers::NONE);
    click_cell(&mut window, 0, 0, CTRL);
    assert_eq!(selected(&window), [(0, 0)], "something is always selected");
}

#[test]
fn a_drag_selects_a_block_and_with_ctrl_adds_one() {
    let mut window = small(|_, _| 0.0);
    window.run();
    drag(&mut window, (1, 1), (3, 2), Modifiers::NONE);
    assert_eq!(selected(&window).len(), 6);
    drag(&mut window, (6, 5), (7, 7), CTRL);
    assert_eq!(selected(&window).len(), 12);
    drag(&mut window, (7, 5), (7, 6), CTRL);
    assert_eq!(selected(&window).len(), 10);
}

fn drag(window: &mut Window, from: (usize, usize), to: (usize, usize), modifiers: Modifiers) {
    let place = |window: &Window, (load, speed): (usize, usize)| {
        window.get_by_label(&cell_name(window, load, speed)).rect().center()
    };
    let (from, to) = (place(window, from), place(window, to));
    let button =
        |pos, pressed| Event::PointerButton { pos, button: eframe::egui::PointerButton::Primary, pressed, modifiers };
    window.event(Event::ModifiersChanged(modifiers));
    for event in [Event::PointerMoved(from), button(from, true), Event::PointerMoved(to), button(to, false)] {
        window.event(event);
        window.run();
    }
    window.event(Event::ModifiersChanged(Modifiers::NONE));
    window.run();
}

#[test]
fn breakpoints_select_their_row_or_column_and_the_corner_everything() {
    let mut window = small(|_, _| 0.0);
    window.run();
    let table = window.state().document().project().advance.table().clone();
    let speed = |at: usize| format!("speed {} rpm", table.speed().breakpoints()[at]);
    let load = |at: usize| format!("load {} %", table.load().breakpoints()[at]);
    let bounds = |window: &Window| window.state().screen().selection.cells.as_block();
    click(&mut window, &speed(2), Modifiers::NONE);
    assert_eq!(bounds(&window), Some(Block { loads: 0..8, speeds: 2..3 }));
    click(&mut window, &speed(4), SHIFT);
    assert_eq!(bounds(&window), Some(Block { loads: 0..8, speeds: 2..5 }));
    press(&mut window, "Shift+Right");
    assert_eq!(bounds(&window), Some(Block { loads: 0..8, speeds: 2..6 }));
    click(&mut window, &load(1), Modifiers::NONE);
    assert_eq!(bounds(&window), Some(Block { loads: 1..2, speeds: 0..8 }));
    click(&mut window, &load(5), CTRL);
    assert_eq!(selected(&window).len(), 16);
    click(&mut window, &speed(0), CTRL);
    assert_eq!(selected(&window).len(), 22);
    click(&mut window, "select the whole table", Modifiers::NONE);
    assert_eq!(selected(&window).len(), 64);
    press(&mut window, "Escape Ctrl+A");
    assert_eq!(selected(&window).len(), 64);
}

#[test]
fn a_double_click_edits_in_place() {
    let mut window = small(|load, _| load as f64 + 0.5);
    window.run();
    let at = window.get_by_label(&cell_name(&window, 3, 3)).rect().center();
    let button = |pressed| {
        let button = eframe::egui::PointerButton::Primary;
        Event::PointerButton { pos: at, button, pressed, modifiers: Modifiers::NONE }
    };
    for _ in 0..2 {
        window.input_mut().events.extend([Event::PointerMoved(at), button(true), button(false)]);
        window.step();
    }
    window.run();
    assert_eq!(selected(&window), [(3, 3)], "a click within one frame selects");
    let editor = window.state().screen().grid.editor.clone().unwrap();
    assert!(editor.in_place);
    assert_eq!(window.get_by_label_contains("number for the selected cells").value().as_deref(), Some("3.5"));
    press(&mut window, "1 Enter");
    assert_eq!(window.state().document().project().advance.table().at(Cell::new(3, 3)), 3.51);
}

#[test]
fn typing_says_what_enter_will_do_and_leaves_held_cells() {
    let project = with_values(&new_project(8, 8), |_, _| 5.0);
    let one = Selection::cell(project.advance.table(), Cell::new(6, 1));
    let mut window = window(hold(&project, &one));
    window.run();
    press(&mut window, "Ctrl+Home Shift+Right Shift+Right Shift+Down 2 4");
    assert!(
        window.get_by_label_contains("number for the selected cells; Enter sets 5 of 6 cells, 1 held").value()
            == Some("24".into())
    );
    assert_eq!(window.state().document().steps().len(), 1, "nothing is set before Enter");
    press(&mut window, "Enter");
    let advance = &window.state().document().project().advance;
    assert_eq!(advance.table().values().iter().filter(|&&value| value == 24.0).count(), 5);
    assert_eq!(advance.table().at(Cell::new(6, 1)), 5.0);
    assert_eq!(window.state().document().undo_label(), Some("Type 24.0° into 5 cells"));
    assert_eq!(selected(&window).len(), 6, "what was set stays selected");
}

#[test]
fn typing_into_one_held_cell_changes_it_and_it_stays_held() {
    let project = with_values(&new_project(8, 8), |_, _| 5.0);
    let one = Selection::cell(project.advance.table(), Cell::new(7, 0));
    let mut window = window(hold(&project, &one));
    window.run();
    press(&mut window, "Ctrl+Home 9");
    window.get_by_label_contains("number for the selected cells; Enter sets the held cell, which stays held");
    press(&mut window, "Enter");
    assert!(cell_name(&window, 7, 0).ends_with("9.0 degrees, held"));
    window.get_by_label(&cell_name(&window, 7, 0));
    assert_eq!(window.state().document().undo_label(), Some("Type 9.0° into a held cell"));
}

#[test]
fn what_is_no_number_says_so_and_stays_in_the_editor() {
    let mut window = small(|_, _| 5.0);
    window.run();
    press(&mut window, "Ctrl+Home 1 x Enter");
    assert!(notice(&window).contains("'1x'"), "{}", notice(&window));
    assert_eq!(window.get_by_label_contains("number for the selected cells").value().as_deref(), Some("1x"));
    press(&mut window, "Backspace 2 Enter");
    assert_eq!(window.state().document().project().advance.table().at(Cell::new(7, 0)), 12.0);
    press(&mut window, "4 0 0 Enter");
    assert!(notice(&window).contains("outside"), "{}", notice(&window));
}

#[test]
fn letters_are_no_commands_while_a_number_is_typed() {
    let mut window = small(|_, _| 5.0);
    window.run();
    press(&mut window, "Ctrl+Home 7");
    for key in [Key::R, Key::L, Key::H, Key::O, Key::G] {
        window.key_press(key);
        window.run();
    }
    assert_eq!(window.state().document().steps().len(), 1);
    assert_eq!(window.state().screen().grid.editor.as_ref().unwrap().text, "7");
}

#[test]
fn a_press_elsewhere_or_a_command_sets_the_number_first() {
    let mut window = small(|_, _| 5.0);
    window.run();
    press(&mut window, "Ctrl+Home 7");
    click_cell(&mut window, 2, 2, Modifiers::NONE);
    let at =
        |window: &Window, load, speed| window.state().document().project().advance.table().at(Cell::new(load, speed));
    assert_eq!((at(&window, 7, 0), selected(&window)), (7.0, vec![(2, 2)]));
    press(&mut window, "8 Alt+Up");
    assert_eq!(at(&window, 2, 2), 8.5);
    assert!(window.state().screen().grid.editor.is_none());
    press(&mut window, "x 1 z");
    click_cell(&mut window, 3, 3, Modifiers::NONE);
    assert!(window.state().screen().grid.editor.is_none() && at(&window, 2, 2) == 8.5, "what is no number is given up");
}

#[test]
fn held_keys_are_one_step_also_when_the_focus_goes_away() {
    for released in [true, false] {
        let mut window = small(|_, _| 5.0);
        window.run();
        press(&mut window, "Ctrl+Home");
        for _ in 0..4 {
            window.key_down(Key::R);
            window.run();
        }
        assert_eq!(window.state().document().steps().len(), 1);
        if released {
            window.key_up(Key::R)
        } else {
            window.event(Event::WindowFocused(false))
        }
        window.run();
        assert_eq!(window.state().document().undo_label(), Some("Raise 1 cell by 2.0°"));
        assert!(!window.state().document().gesture_open());
    }
}

#[test]
fn a_nudge_out_of_range_ends_at_the_last_value_that_fits() {
    let mut window = small(|_, _| 5.0);
    window.run();
    press(&mut window, "Ctrl+Home");
    let table = |window: &Window| window.state().document().project().advance.table().at(Cell::new(7, 0));
    for _ in 0..40 {
        window.key_down_modifiers(Modifiers::ALT | SHIFT, Key::ArrowUp);
        window.run();
    }
    assert!(window.state().screen().notice.as_ref().is_some_and(|notice| notice.is_error));
    let top = table(&window);
    window.key_up_modifiers(Modifiers::ALT | SHIFT, Key::ArrowUp);
    window.run();
    assert_eq!(table(&window), top);
    assert!(!window.state().document().gesture_open() && window.state().document().steps().len() == 2);
    press(&mut window, "Ctrl+Z");
    assert_eq!(table(&window), 5.0);
}

#[test]
fn fill_down_takes_the_highest_load_and_fill_right_the_lowest_speed() {
    let mut window = small(|load, speed| (10 * load + speed) as f64 / 10.0);
    window.run();
    press(&mut window, "Ctrl+Home Shift+Down Ctrl+D");
    assert_eq!(window.state().document().project().advance.table().at(Cell::new(6, 0)), 7.0);
    press(&mut window, "Ctrl+End Shift+Left Ctrl+R");
    assert_eq!(window.state().document().project().advance.table().at(Cell::new(0, 7)), 0.6);
}

#[test]
fn undo_selects_what_it_took_back() {
    let mut window = small(|_, _| 5.0);
    window.run();
    press(&mut window, "Ctrl+Home Shift+Right 7 Enter Ctrl+End 8 Enter Ctrl+Z");
    assert_eq!(selected(&window), [(0, 7)]);
    press(&mut window, "Ctrl+Z");
    assert_eq!(selected(&window), [(7, 0), (7, 1)]);
    press(&mut window, "Ctrl+Y Ctrl+Y");
    assert_eq!(selected(&window), [(0, 7)]);
}

#[test]
fn sixteen_by_sixteen_never_scrolls_on_a_small_screen() {
    for size in [Vec2::new(1366.0, 768.0), Vec2::new(1280.0, 800.0)] {
        for keys in ["", "sunlight"] {
            let mut window = sized_window(sample("tarn-special"), size, 1.0);
            if !keys.is_empty() {
                use sparkloft::window::state::commands::Command;
                use sparkloft::window::state::outbox::Action;
                window.state_mut().ask(Action::Run(Command::LookSunlight));
            }
            window.run();
            assert_eq!(cells(&window), 256, "{size} {keys}");
            assert!(
                window.query_by_label("scroll loads").is_none() && window.query_by_label("scroll speeds").is_none()
            );
        }
    }
}

fn cells(window: &Window) -> usize {
    window.query_all_by_role(eframe::egui::Role::GridCell).count()
}

#[test]
fn a_large_table_scrolls_names_what_is_visible_and_follows_the_cursor() {
    let mut window = window(new_project(64, 64));
    window.run();
    let shown = cells(&window);
    let page = window.state().screen().grid.rows;
    assert!(shown < 64 * 64 && shown.is_multiple_of(page) && page > 10, "{shown} cells in {page} rows");
    press(&mut window, "Ctrl+Home");
    let corner = cell_name(&window, 63, 0);
    assert!(window.query_by_label(&corner).is_some());
    press(&mut window, "Ctrl+End");
    let end = cell_name(&window, 0, 63);
    let rect = window.get_by_label(&end).rect();
    let grid = window.get_by_label("advance table, degrees before top dead centre").rect();
    assert!(grid.contains_rect(rect));
    assert!(window.query_by_label(&corner).is_none());
    assert_eq!(cells(&window), shown);
    // The wheel scrolls back without the cursor.
    let over = grid.center();
    window.event(Event::PointerMoved(over));
    window.run();
    for _ in 0..80 {
        window.event(Event::MouseWheel {
            unit: eframe::egui::MouseWheelUnit::Point,
            delta: Vec2::new(0.0, 100.0),
            phase: eframe::egui::TouchPhase::Move,
            source: eframe::egui::MouseWheelSource::Wheel,
            modifiers: Modifiers::NONE,
        });
        window.step();
    }
    window.run_steps(20);
    assert!(window.query_by_label(&cell_name(&window, 63, 63)).is_some());
    assert_eq!(window.state().screen().selection.cursor, Cell::new(0, 63));
}

#[test]
fn every_size_shows_whole_cells_inside_the_grid() {
    for (speeds, loads) in [(2, 2), (8, 8), (12, 31), (64, 8), (8, 64), (64, 64)] {
        let mut window = window(new_project(speeds, loads));
        window.run();
        let grid = window.get_by_label("advance table, degrees before top dead centre").rect();
        for cell in window.query_all_by_role(eframe::egui::Role::GridCell) {
            assert!(grid.contains_rect(cell.rect()), "{speeds} × {loads}");
        }
    }
}

#[test]
fn hovering_a_cell_tells_the_other_views() {
    let mut window = small(|_, _| 5.0);
    window.run();
    let at = window.get_by_label(&cell_name(&window, 4, 3)).rect().center();
    window.hover_at(at);
    window.run();
    assert_eq!(window.state().screen().pointer.cell, Some(Cell::new(4, 3)));
    window.remove_cursor();
    window.run();
    assert_eq!(window.state().screen().pointer.cell, None);
}

#[test]
fn a_screen_reader_can_select_a_cell_and_reads_selection_and_origin() {
    let mut window = small(|_, _| 5.0);
    window.run();
    window.get_by_label(&cell_name(&window, 4, 3)).click_accesskit();
    window.run();
    assert_eq!(selected(&window), [(4, 3)]);
    press(&mut window, "6 Enter Up");
    let name = cell_name(&window, 4, 3);
    let cell = window.get_by_label(&name);
    let node = cell.accesskit_node();
    assert_eq!(node.is_selected(), Some(true));
    assert_eq!(node.description().as_deref(), Some("typed, changed from base"));
}

#[test]
fn f6_gives_the_keyboard_to_the_next_control_and_back() {
    let mut window = small(|_, _| 5.0);
    window.run();
    // The table has the keyboard; what is read out is the cursor's cell.
    assert!(window.get_by_label(&cell_name(&window, 0, 0)).is_focused());
    press(&mut window, "F6 Right");
    assert!(!window.get_by_label(&cell_name(&window, 0, 0)).is_focused());
    assert_eq!(selected(&window), [(0, 0)], "arrows are the other control's now");
    press(&mut window, "F6 Right");
    assert!(window.get_by_label(&cell_name(&window, 0, 1)).is_focused());
}

#[test]
fn the_window_comes_to_rest_with_the_editor_open() {
    let mut window = small(|_, _| 5.0);
    window.run();
    press(&mut window, "5");
    assert!(window.run() <= 2);
}

/// On X11 and Windows a digit pressed with Alt brings its text along, and in a slow frame Alt is up again at the end.
#[test]
fn a_digit_with_alt_is_a_command_and_types_nothing() {
    let mut window = window(new_project(4, 3));
    window.run();
    let key = |pressed, modifiers| Event::Key { key: Key::Num7, physical_key: None, pressed, repeat: false, modifiers };
    window.input_mut().events.push(key(true, Modifiers::ALT));
    window.input_mut().events.push(Event::Text("7".into()));
    window.input_mut().events.push(key(false, Modifiers::NONE));
    window.run();
    assert_eq!(window.state().screen().sheet, Sheet::Compare);
    assert_eq!(window.state().screen().grid.editor, None);
}

#[test]
fn a_number_being_typed_stays_with_its_cells_when_a_screen_reader_selects_others() {
    let mut window = small(|_, _| 20.0);
    press(&mut window, "7");
    let (was, other) = (window.state().screen().selection.cursor, cell_name(&window, 4, 3));
    window.get_by_label(&other).click_accesskit();
    window.run();
    assert_eq!(selected(&window), [(4, 3)]);
    assert!(window.state().screen().grid.editor.is_none());
    let table = window.state().document().project().advance.table().clone();
    assert_eq!((table.at(was), table.at(Cell::new(4, 3))), (7.0, 20.0));
    // No number: refused, and the other cells are as they were.
    press(&mut window, "-");
    let other = cell_name(&window, 2, 2);
    window.get_by_label(&other).click_accesskit();
    window.run();
    assert!(notice(&window).contains("was not set") && window.state().screen().grid.editor.is_none());
    assert_eq!(selected(&window), [(2, 2)]);
    assert_eq!(*window.state().document().project().advance.table(), table);
}
