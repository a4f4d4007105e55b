//! The Compare sheet: what it says, and what it takes back.

use std::path::Path;
use std::sync::Arc;

use eframe::egui::{Key, Modifiers, Role};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::compare::take_back_cells;
use sparkloft::project::{Origin, Project, Snapshot, set_fields, write};
use sparkloft::shaping::Tool;
use sparkloft::table::{Cell, Selection};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::compare_state::{BaseChoice, CompareMessage};
use sparkloft::window::state::edits::DocumentEdit;
use sparkloft::window::state::file_jobs::FileJob;
use sparkloft::window::state::outbox::{Action, FileAction};
use sparkloft::window::state::screen::{MenuOf, ScreenMessage, Sheet};
use sparkloft::window::state::selection::CellSelection;

use super::harness::{Window, new_project, sample, until, window};

/// The sample with full load lowered by 2° at 3200 rpm, against its newest snapshot; nothing is held in either.
fn lowered() -> Project {
    let sample = sample("tarn-special");
    let newest = sample.snapshots.last().unwrap();
    let everywhere = Selection::all(newest.state.advance.table());
    let free = newest.state.advance.with_held(&everywhere, false);
    let base = newest.state.edit(|parts| parts.advance = free).unwrap();
    let table = base.advance.table();
    let (speed, load) = (table.speed().breakpoints(), table.load().breakpoints());
    let dip = |at: Cell| speed[at.speed] == 3200.0 && load[at.load] >= 76.0;
    let values = table.cells().map(|at| table.at(at) - if dip(at) { 2.0 } else { 0.0 }).collect();
    let advance = base.advance.with_values(values, Origin::Typed).unwrap();
    let mut snapshots = sample.snapshots.clone();
    let last = snapshots.len() - 1;
    snapshots[last] = Arc::new(Snapshot { state: base.clone(), ..Snapshot::clone(newest) });
    let project = base.edit(|parts| (parts.advance, parts.snapshots) = (advance, snapshots)).unwrap();
    set_fields(&project, &[("limits.over_speed.cuts_all_at_rpm", "7900"), ("limits.clamp.ceiling_deg", "44")]).unwrap()
}

fn change(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
    window.run();
}

fn opened(project: Project) -> Window {
    let mut window = window(project);
    change(&mut window, ScreenMessage::Show(Sheet::Compare));
    window.run();
    window
}

fn labels(window: &Window) -> Vec<String> {
    window.state().document().steps().iter().map(|step| step.label.clone()).collect()
}

fn press(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run();
    window.run();
}

#[test]
fn every_cell_has_a_name_with_its_region() {
    let window = opened(lowered());
    assert_eq!(window.query_all_by_role(Role::GridCell).count(), 256);
    let value = |load: usize| {
        let table = window.state().document().project().advance.table().clone();
        let column = table.speed().index_of(3200.0).unwrap();
        table.at(Cell::new(load, column))
    };
    let top = window.state().document().project().advance.table().load().len() - 1;
    let name = format!("difference 3200 rpm, 100 %, lowered 2.0 degrees to {:.1}, region 1", value(top));
    window.get_by_label(&name);
    window.get_by_label_contains("1300 rpm, 0 %, unchanged at ");
    window.get_by_label_contains("3 of 256 points changed");
    window.get_by_label_contains("largest fall −2.0° at 3200 rpm");
}

#[test]
fn the_pointer_tells_both_values_and_a_click_selects() {
    let mut window = opened(lowered());
    let cell = window.get_by_label_contains("3200 rpm, 76 %, lowered 2.0 degrees");
    cell.hover();
    window.run();
    window.run();
    window.get_by_label_contains("3200 rpm · 76 % · edited ");
    window.get_by_label_contains("3200 rpm, 76 %, lowered 2.0 degrees").click();
    window.run();
    let table = window.state().document().project().advance.table().clone();
    let cursor = window.state().screen().selection.cursor;
    assert_eq!(table.speed().breakpoints()[cursor.speed], 3200.0);
    assert_eq!(table.load().breakpoints()[cursor.load], 76.0);
    window.key_press_modifiers(Modifiers::SHIFT, Key::ArrowUp);
    window.run();
    window.key_press_modifiers(Modifiers::SHIFT, Key::ArrowRight);
    window.run();
    assert_eq!(window.state().screen().selection.cells.count(), 4);
    press(&mut window, "Take back selected cells");
    assert_eq!(labels(&window).last().unwrap(), "Take back 2 cells from run 7");
}

#[test]
fn a_region_comes_back_in_one_step_and_goes_again() {
    let mut window = opened(lowered());
    let before = window.state().document().project().clone();
    press(&mut window, "Take back region 1");
    assert_eq!(labels(&window), ["New", "Take back 3 cells from run 7"]);
    let base = &before.snapshots.last().unwrap().state;
    assert_eq!(window.state().document().project().advance, base.advance);
    window.get_by_label_contains("0 of 256 points changed");
    window.get_by_label("No differences: every cell has the base's value.");
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!(window.state().document().project(), &before);
}

#[test]
fn what_cannot_be_taken_back_is_disabled_and_says_why() {
    let mut window = opened(lowered());
    assert!(window.get_by_label("Take back selected cells").accesskit_node().is_disabled());
    window.get_by_label("Take back selected cells").hover();
    window.run();
    window.run();
    until(&mut window, |window| window.query_by_label_contains("1 already alike").is_some());
    window.get_by_label_contains("Region 1:").click();
    window.run();
    window.run();
    assert!(!window.get_by_label("Take back selected cells").accesskit_node().is_disabled());
}

#[test]
fn fields_and_sections_come_back() {
    let mut window = opened(lowered());
    press(&mut window, "Take back Over-speed cuts all at");
    assert!(labels(&window).last().unwrap().starts_with("Take back Over-speed cuts all at from run 7"));
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run();
    press(&mut window, "Take back section Limits");
    assert_eq!(labels(&window).last().unwrap(), "Take back Limits from run 7");
    let project = window.state().document().project();
    assert_eq!(project.limits, project.snapshots.last().unwrap().state.limits);
}

#[test]
fn a_region_in_the_list_selects_its_cells() {
    let mut window = opened(lowered());
    window.get_by_label_contains("Region 1: Lowered by 2.0° throughout").click();
    window.run();
    window.run();
    assert_eq!(window.state().screen().selection.cells.count(), 3);
}

#[test]
fn the_threshold_decides_what_is_a_region() {
    let mut window = opened(lowered());
    change(&mut window, CompareMessage::Threshold(2.5));
    window.get_by_label("No region: all 3 changed points stay below 2.5°.");
    assert!(window.query_by_label_contains("Region 1:").is_none());
}

#[test]
fn the_base_is_chosen_with_keys_alone() {
    let mut window = opened(lowered());
    window.get_by_role(Role::ComboBox).focus();
    window.run();
    window.key_press(Key::Enter);
    window.run();
    window.run();
    window.get_by_label("Automatic: newest snapshot");
    window.get_by_label("start of season").focus();
    window.run();
    window.key_press(Key::Enter);
    window.run();
    window.run();
    assert_eq!(window.state().screen().compare.base, BaseChoice::Snapshot("start of season".into()));
    assert_eq!(window.get_by_role(Role::ComboBox).accesskit_node().label().unwrap(), "base: start of season");
}

#[test]
fn arrows_walk_through_the_list_of_bases() {
    let mut window = opened(lowered());
    window.get_by_role(Role::ComboBox).focus();
    window.run();
    window.key_press(Key::Space);
    window.run();
    window.run();
    window.key_press(Key::ArrowDown);
    window.run();
    window.key_press(Key::Enter);
    window.run();
    window.run();
    assert_eq!(window.state().screen().compare.base, BaseChoice::Snapshot("run 7".into()));
    assert_eq!(window.state().screen().selection.cursor, Cell::new(0, 0), "the grid got no arrow");
}

#[test]
fn snapshots_are_taken_renamed_and_deleted_each_in_one_step() {
    let mut window = opened(new_project(8, 8));
    window.key_press_modifiers(Modifiers { command: true, ctrl: true, shift: true, ..Modifiers::NONE }, Key::N);
    window.run();
    window.run();
    window.get_by_role_and_label(Role::TextInput, "Name").type_text("run 1");
    window.run();
    window.run();
    window.key_press(Key::Enter);
    window.run();
    window.run();
    assert_eq!(labels(&window), ["New", "Take snapshot 'run 1'"]);
    assert!(window.state().screen().compare.snapshot_form.is_none());
    assert!(window.state().document().project().snapshots[0].taken_at.ends_with('Z'));
    window.get_by_role(Role::ComboBox).click();
    window.run();
    press(&mut window, "Rename or annotate snapshot run 1");
    window.get_by_role_and_label(Role::TextInput, "Note").focus();
    window.run();
    window.get_by_role_and_label(Role::TextInput, "Note").type_text("fuel 98");
    window.run();
    press(&mut window, "Change");
    assert_eq!(labels(&window).last().unwrap(), "Annotate snapshot 'run 1'");
    assert_eq!(window.state().document().project().snapshots[0].note, "fuel 98");
    window.get_by_role(Role::ComboBox).click();
    window.run();
    press(&mut window, "Delete snapshot run 1");
    assert_eq!(labels(&window).last().unwrap(), "Delete snapshot 'run 1'");
    assert!(window.state().document().project().snapshots.is_empty());
}

#[test]
fn escape_leaves_a_form_without_a_step() {
    let mut window = opened(new_project(8, 8));
    window.key_press_modifiers(Modifiers { command: true, ctrl: true, shift: true, ..Modifiers::NONE }, Key::N);
    window.run();
    window.key_press(Key::Escape);
    window.run();
    window.run();
    assert!(window.state().screen().compare.snapshot_form.is_none());
    assert_eq!(labels(&window), ["New"]);
}

fn with_base_file(project: Project, path: &Path) -> Window {
    let mut window = opened(project);
    let path = path.to_owned();
    change(&mut window, CompareMessage::Base(BaseChoice::File(path)));
    window
}

#[test]
fn a_base_of_another_load_kind_is_told_and_its_fields_compared() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("six.ron");
    std::fs::write(&path, write(&sample("larch-six")).unwrap()).unwrap();
    let mut window = with_base_file(lowered(), &path);
    until(&mut window, |window| window.query_by_label_contains("The base's load is pressure").is_some());
    assert!(window.query_by_role(Role::Grid).is_none());
    window.get_by_label("Take back Project name");
    window.get_by_label("The tables cannot be compared; see above.");
}

#[test]
fn a_file_is_chosen_as_the_base_and_read_again_when_it_is_chosen_again() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("other.ron");
    let mut window = opened(lowered());
    for ceiling in ["40", "41"] {
        let other = set_fields(&sample("tarn-special"), &[("limits.clamp.ceiling_deg", ceiling)]).unwrap();
        std::fs::write(&path, write(&other).unwrap()).unwrap();
        window.state_mut().ask(Action::File(FileAction::Do(FileJob::Base, path.clone())));
        let told = format!("{ceiling}.0°");
        until(&mut window, |window| window.query_by_label(&told).is_some());
        window.get_by_label("base: other.ron");
    }
}

#[test]
fn a_file_that_is_not_there_is_told_and_the_automatic_base_stays() {
    let mut window = with_base_file(lowered(), Path::new("/nowhere/at all.ron"));
    until(&mut window, |window| window.state().screen().notice.is_some());
    let screen = window.state().screen();
    assert!(screen.notice.as_ref().unwrap().whole().contains("at all.ron"));
    assert_eq!(screen.compare.base, BaseChoice::Automatic);
    assert_eq!(window.get_by_role(Role::ComboBox).accesskit_node().label().unwrap(), "base: run 7");
}

#[test]
fn a_snapshot_that_is_undone_away_falls_back_with_a_word() {
    let mut window = opened(lowered());
    change(&mut window, CompareMessage::Base(BaseChoice::Snapshot("never taken".into())));
    window.run();
    assert_eq!(window.state().screen().compare.base, BaseChoice::Automatic);
    assert!(window.state().screen().notice.as_ref().unwrap().text.contains("'never taken'"));
}

#[test]
fn tables_with_more_breakpoints_together_than_one_may_have_scroll() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("finer.ron");
    std::fs::write(&path, write(&new_project(63, 61)).unwrap()).unwrap();
    let mut window = with_base_file(new_project(64, 64), &path);
    until(&mut window, |window| window.query_by_label_contains(" points changed").is_some());
    let cells = window.query_all_by_role(Role::GridCell).count();
    assert!((100..2000).contains(&cells), "only visible cells have names: {cells}");
    press(&mut window, "Show difference as surface");
    window.get_by_label_contains("Difference, edited minus base; drag turns");
}

#[test]
fn large_tables_are_compared_beside_the_frames() {
    let mut window = opened(new_project(64, 64));
    until(&mut window, |window| window.query_by_label_contains("0 of 4096 points changed").is_some());
    let table = window.state().document().project().advance.table().clone();
    let cells = Selection::ranges(&table, Some((1500.0, 4000.0)), None).unwrap();
    window.state_mut().ask(Action::Shape(Tool::Add { deg: 1.0 }, cells.clone()));
    let told = format!("{} of 4096 points changed", cells.count());
    until(&mut window, |window| window.query_by_label_contains(&told).is_some());
}

#[test]
fn the_name_of_the_speed_axis_stands_beside_the_buttons_or_not_at_all() {
    for size in [(1280.0, 800.0), (1366.0, 768.0), (900.0, 560.0)] {
        for panel in [None, Some(Command::History), Some(Command::Breakpoints)] {
            let mut window = super::harness::sized_window(sample("tarn-special"), size.into(), 1.0);
            for command in panel.into_iter().chain([Command::Sheet(Sheet::Compare)]) {
                change(&mut window, Action::Run(command));
            }
            until(&mut window, |window| window.query_by_label("Merge\u{2026}").is_some());
            window.run();
            let merge = window.get_by_label("Merge\u{2026}").rect();
            if let Some(name) = window.query_by_label("speed runs to the right, rpm") {
                assert!(name.rect().left() > merge.right(), "{size:?} {panel:?}: {:?} {merge:?}", name.rect());
            }
        }
    }
}

#[test]
fn the_list_of_steps_marks_side_branches() {
    let mut window = opened(lowered());
    let edit = |window: &mut Window, notes: &'static str| {
        window.state_mut().ask(Action::Edit(format!("Note {notes}"), DocumentEdit::set_field("notes", notes)));
        window.run();
    };
    edit(&mut window, "one");
    window.state_mut().ask(Action::Run(Command::Undo));
    window.run();
    edit(&mut window, "two");
    edit(&mut window, "three");
    window.get_by_role(Role::ComboBox).click();
    window.run();
    window.run();
    let steps = window.state().document().steps();
    let at = |label: &str| steps.iter().position(|step| step.label == label).unwrap();
    let (aside, on_line) = (at("Note one"), at("Note two"));
    window.get_by_label(&format!("{aside}  Note one, side branch"));
    window.get_by_label(&format!("{on_line}  Note two"));
}

/// Full load lowered at 3200 rpm, and two cells raised at 6400 rpm since.
fn with_two_regions() -> Project {
    let project = lowered();
    let table = project.advance.table();
    let raised = Selection::ranges(table, Some((6400.0, 6400.0)), Some((3.0, 6.0))).unwrap();
    let values = table.cells().map(|at| table.at(at) + if raised.contains(at) { 1.0 } else { 0.0 }).collect();
    project.with_advance(project.advance.with_values(values, Origin::Typed).unwrap()).unwrap()
}

/// Whether the region with a number is marked as chosen in list, grid and on the surface.
fn chosen(window: &Window, number: usize) -> [bool; 3] {
    let list = format!("Region {number}: ");
    let [grid, surface] = ["in the grid", "on the surface"].map(|place| format!("region {number} {place}"));
    let marks = [window.get_by_label_contains(&list), window.get_by_label(&grid), window.get_by_label(&surface)];
    marks.map(|mark| mark.accesskit_node().toggled() == Some(eframe::egui::accesskit::Toggled::True))
}

#[test]
fn a_region_has_one_number_in_list_grid_and_surface_and_is_chosen_in_all() {
    let mut window = opened(with_two_regions());
    assert_eq!((chosen(&window, 1), chosen(&window, 2)), ([false; 3], [false; 3]));
    for (pressed, number, cells) in [
        ("region 2 on the surface", 2, 2),
        ("region 1 in the grid", 1, 3),
        ("Region 2: Raised by 1.0° throughout; 6400 rpm, 3–6 %", 2, 2),
        ("region 1 on the surface", 1, 3),
    ] {
        press(&mut window, pressed);
        let other = 3 - number;
        assert_eq!((chosen(&window, number), chosen(&window, other)), ([true; 3], [false; 3]), "{pressed}");
        assert_eq!(window.state().screen().selection.cells.count(), cells, "{pressed}");
        window.get_by_label(&format!("Take back region {number}"));
    }
    // The numbers belong to the difference, not to the base.
    window.key_down(Key::B);
    window.run();
    for place in ["in the grid", "on the surface"] {
        assert!(window.query_by_label(&format!("region 1 {place}")).is_none());
    }
    window.key_up(Key::B);
    window.run();
}

#[test]
fn the_region_under_the_cursor_comes_back_by_a_key_as_its_cells_would() {
    let project = with_two_regions();
    let base = project.snapshots.last().unwrap().state.clone();
    let mut expected = project.clone();
    let mut window = opened(project);
    for number in [2, 1] {
        press(&mut window, &format!("region {number} in the grid"));
        let cells = window.state().screen().selection.cells.clone();
        expected = take_back_cells(&base, &expected, &cells, "run 7").unwrap().project;
        // Whatever else is selected: the region is meant.
        let cursor = window.state().screen().selection.cursor;
        let table = expected.advance.table().clone();
        change(&mut window, ScreenMessage::Select(CellSelection::cell(&table, cursor)));
        let steps = labels(&window).len();
        window.key_press_modifiers(Modifiers::SHIFT, Key::T);
        window.run();
        window.run();
        assert_eq!(window.state().document().project(), &expected);
        assert_eq!(labels(&window).len(), steps + 1);
        assert_eq!(labels(&window).last().unwrap(), &format!("Take back {} cells from run 7", cells.count()));
    }
    assert_eq!(window.state().document().project().advance, base.advance);
    window.key_press_modifiers(Modifiers::SHIFT, Key::T);
    window.run();
    assert!(super::harness::message(&window).contains("the cursor is in no region of change"));
    assert_eq!(labels(&window).len(), 3);
}

#[test]
fn a_second_click_in_the_list_takes_no_other_region_back() {
    let mut window = opened(with_two_regions());
    let at = window.get_by_label("Take region 1 back").rect().center();
    for _ in 0..2 {
        window.event(eframe::egui::Event::PointerMoved(at));
        window.run();
        for pressed in [true, false] {
            let (button, modifiers) = (eframe::egui::PointerButton::Primary, Modifiers::NONE);
            window.event(eframe::egui::Event::PointerButton { pos: at, button, pressed, modifiers });
            window.run();
        }
        window.run();
        assert_eq!(labels(&window), ["New", "Take back 3 cells from run 7"]);
    }
    window.get_by_label_contains("Region 1: Raised by 1.0° throughout");
}

#[test]
fn the_menu_of_the_differences_takes_back() {
    let mut window = opened(with_two_regions());
    window.get_by_label_contains("difference 6400 rpm, 6 %, raised").click_secondary();
    window.run();
    window.run();
    assert_eq!(window.state().screen().menu.map(|menu| menu.of), Some(MenuOf::Differences));
    for name in ["Take back selected cells", "Copy", "Merge…"] {
        window.get_by_role_and_label(Role::ListItem, name);
    }
    assert!(window.query_by_role_and_label(Role::ListItem, "Paste").is_none(), "it would change nothing here");
    window.get_by_role_and_label(Role::ListItem, "Take back the region").click();
    window.run();
    window.run();
    assert_eq!(labels(&window).last().unwrap(), "Take back 2 cells from run 7");
    // By its key it stands at the cursor, and what cannot be done there is greyed.
    window.key_press_modifiers(Modifiers::SHIFT, Key::F10);
    window.run();
    window.run();
    let menu = window.state().screen().menu.unwrap();
    assert_eq!((menu.of, menu.at.is_some()), (MenuOf::Differences, true));
    let region = window.get_by_role_and_label(Role::ListItem, "Take back the region");
    assert!(region.accesskit_node().is_disabled());
}
