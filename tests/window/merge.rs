//! Merging in the window: two tuners' edits, decided conflict by conflict, applied as one step.

use std::path::Path;

use eframe::egui::{Key, Role};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::compare::Version;
use sparkloft::project::{Origin, Project, set_fields, write};
use sparkloft::table::{Cell, Selection};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::compare_state::{BaseChoice, CompareMessage, MergeScreen};
use sparkloft::window::state::edits::cell_key;
use sparkloft::window::state::file_jobs::FileJob;
use sparkloft::window::state::outbox::{Action, FileAction};
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;

use super::harness::{Window, sample, sized_window, until, window};

/// What both started from.
fn base() -> Project {
    let sample = sample("tarn-special");
    sample.edit(|parts| parts.snapshots.clear()).unwrap()
}

/// A block of cells changed by so many degrees, and fields.
fn edited(speeds: (f64, f64), loads: (f64, f64), by_deg: f64, fields: &[(&str, &str)]) -> Project {
    let base = base();
    let free = base.advance.with_held(&Selection::all(base.advance.table()), false);
    let base = base.edit(|parts| parts.advance = free).unwrap();
    let table = base.advance.table();
    let cells = Selection::ranges(table, Some(speeds), Some(loads)).unwrap();
    let value = |cell: Cell| table.at(cell) + if cells.contains(cell) { by_deg } else { 0.0 };
    let values = table.cells().map(value).collect();
    let advance = base.advance.with_values(values, Origin::Typed).unwrap();
    set_fields(&base.edit(|parts| parts.advance = advance).unwrap(), fields).unwrap()
}

fn mine() -> Project {
    edited((2800.0, 3200.0), (40.0, 66.0), -2.0, &[("limits.clamp.ceiling_deg", "44"), ("notes", "wet tyres")])
}

fn theirs() -> Project {
    let fields = [("limits.clamp.ceiling_deg", "43"), ("limits.cranking.advance_deg", "9")];
    edited((3200.0, 3700.0), (66.0, 100.0), 1.0, &fields)
}

fn put(folder: &Path, name: &str, project: &Project) -> std::path::PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, write(project).unwrap()).unwrap();
    path
}

fn change(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
    window.run();
}

/// A window on mine, with base and theirs chosen from files.
pub fn merging(folder: &Path) -> Window {
    merging_sized(folder, eframe::egui::Vec2::new(1280.0, 800.0), 1.0)
}

/// The same in a window of another size.
pub fn merging_sized(folder: &Path, size: eframe::egui::Vec2, scale: f32) -> Window {
    let (base, theirs) =
        (put(folder, "base.ron", &edited((500.0, 500.0), (0.0, 0.0), 0.0, &[])), put(folder, "theirs.ron", &theirs()));
    let mut window = sized_window(mine(), size, scale);
    window.state_mut().ask(Action::Run(Command::Merge));
    window.run();
    window.get_by_label_contains("Choose theirs: the other person's project");
    change(&mut window, CompareMessage::Base(BaseChoice::File(base)));
    until(&mut window, |window| window.query_by_label("base: base.ron").is_some());
    window.state_mut().ask(Action::File(FileAction::Do(FileJob::Theirs, theirs)));
    until(&mut window, |window| window.query_by_label_contains("With theirs.ron:").is_some());
    window
}

fn press(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run();
    window.run();
}

fn labels(window: &Window) -> Vec<String> {
    window.state().document().steps().iter().map(|step| step.label.clone()).collect()
}

#[test]
fn two_tuners_edits_become_one_step() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = merging(folder.path());
    window.get_by_label_contains("2 of 2 conflicts to be decided");
    assert!(window.get_by_label("Apply the merge").accesskit_node().is_disabled());
    window.get_by_label("merged advance 3200 rpm, 66 %, to be decided");
    window.get_by_label_contains("Advance at 3200 rpm, 66 %, mine: ");
    let theirs_label = {
        let found = window.get_by_label_contains("Advance at 3200 rpm, 66 %, theirs: ");
        found.accesskit_node().label().unwrap()
    };
    press(&mut window, &theirs_label);
    until(&mut window, |window| window.query_by_label_contains("1 of 2 conflicts to be decided").is_some());
    until(&mut window, |window| window.query_by_label_contains("degrees, decided: theirs").is_some());
    press(&mut window, "Ceiling, mine: 44.0°");
    until(&mut window, |window| window.query_by_label_contains("all 2 conflicts are decided").is_some());
    assert!(!window.get_by_label("Apply the merge").accesskit_node().is_disabled());
    let (was, other) = (window.state().document().project().clone(), theirs());
    press(&mut window, "Apply the merge");
    window.run();
    let merged = window.state().document().project().clone();
    assert_eq!(labels(&window).len(), 2, "{:?}", labels(&window));
    assert_eq!(labels(&window)[1], "Merge theirs.ron: 8 cells and 1 field");
    assert!(window.state().screen().compare.merging.is_none());
    let table = merged.advance.table();
    for cell in table.cells() {
        let at = |project: &Project| project.advance.table().at(cell);
        let by_theirs = at(&other) != at(&edited((500.0, 500.0), (0.0, 0.0), 0.0, &[]));
        assert_eq!(table.at(cell), if by_theirs { at(&other) } else { at(&was) }, "{cell:?}");
    }
    let limits = &merged.limits;
    assert_eq!(
        (limits.clamp.ceiling_deg, limits.cranking.advance_deg, merged.notes.as_str()),
        (44.0, 9.0, "wet tyres")
    );
    window.key_press_modifiers(eframe::egui::Modifiers::COMMAND, Key::Z);
    window.run();
    assert_eq!(window.state().document().project(), &was);
}

#[test]
fn all_conflicts_are_decided_at_once_and_anew() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = merging(folder.path());
    press(&mut window, "Decide all conflicts: theirs");
    until(&mut window, |window| window.query_by_label_contains("all 2 conflicts are decided").is_some());
    press(&mut window, "Decide all conflicts: base");
    until(&mut window, |window| window.query_by_label_contains("degrees, decided: base").is_some());
    press(&mut window, "Apply the merge");
    window.run();
    let merged = window.state().document().project();
    assert_eq!(merged.limits.clamp.ceiling_deg, base().limits.clamp.ceiling_deg);
}

#[test]
fn a_value_is_chosen_with_keys_alone() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = merging(folder.path());
    window.get_by_label("Ceiling, theirs: 43.0°").focus();
    window.run();
    window.key_press(Key::Enter);
    window.run();
    window.run();
    until(&mut window, |window| window.query_by_label_contains("1 of 2 conflicts to be decided").is_some());
    let chosen = window.get_by_label("Ceiling, theirs: 43.0°");
    assert_eq!(format!("{:?}", chosen.accesskit_node().toggled()), "Some(True)");
}

#[test]
fn going_back_to_the_comparison_changes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = merging(folder.path());
    let before = window.state().document().project().clone();
    press(&mut window, "Decide all conflicts: theirs");
    press(&mut window, "Stop merging");
    assert!(window.state().screen().compare.merging.is_none());
    window.get_by_label_contains("points changed");
    assert_eq!((window.state().document().project(), labels(&window).len()), (&before, 1));
}

#[test]
fn the_same_project_has_nothing_to_merge() {
    let folder = tempfile::tempdir().unwrap();
    let path = put(folder.path(), "same.ron", &mine());
    let mut window = window(mine());
    window.state_mut().ask(Action::Run(Command::Merge));
    window.state_mut().ask(Action::File(FileAction::Do(FileJob::Theirs, path)));
    until(&mut window, |window| window.query_by_label_contains("With same.ron: nothing will change").is_some());
    window.get_by_label_contains("No conflicts: everything");
    assert!(window.get_by_label("Apply the merge").accesskit_node().is_disabled());
}

#[test]
fn a_file_that_is_no_project_is_told_and_can_be_chosen_anew() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("broken.ron");
    std::fs::write(&path, "(").unwrap();
    let mut window = window(mine());
    window.state_mut().ask(Action::File(FileAction::Do(FileJob::Theirs, path)));
    until(&mut window, |window| window.state().screen().notice.as_ref().is_some_and(|notice| notice.is_error));
    assert!(window.state().screen().notice.as_ref().unwrap().whole().contains("broken.ron"));
    assert_eq!(window.state().screen().compare.merging, Some(MergeScreen::default()));
    window.get_by_label("theirs: choose…");
}

#[test]
fn tables_with_other_breakpoints_are_one_conflict() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = merging(folder.path());
    let moved = set_fields(&theirs(), &[("advance.speed_rpm[3]", "1250")]).unwrap();
    let path = put(folder.path(), "moved.ron", &moved);
    window.state_mut().ask(Action::File(FileAction::Do(FileJob::Theirs, path)));
    until(&mut window, |window| window.query_by_label_contains("Advance table, mine: 16 × 16").is_some());
    window.get_by_label_contains("do not have the same breakpoints");
    assert!(window.query_by_role(Role::Grid).is_none());
}

#[test]
fn snapshots_can_be_merged_and_the_last_export_is_a_base() {
    let kept = sparkloft::project::Snapshot {
        name: "their run".into(),
        note: String::new(),
        taken_at: String::new(),
        state: theirs().as_state(),
    };
    let kept = mine().edit(|parts| parts.snapshots.push(kept.into())).unwrap();
    let mut window = window(kept.clone());
    change(&mut window, ScreenMessage::Show(Sheet::Compare));
    window.get_by_role(Role::ComboBox).click();
    window.run();
    window.run();
    assert!(window.get_by_label("As last exported").accesskit_node().is_disabled());
    let export = sparkloft::project::LastExport {
        file_name: "tarn.hex".into(),
        written_at: "2026-03-21T17:05:00Z".into(),
        checksum: "1234".into(),
        despite_errors: None,
        state: base().as_state(),
    };
    let mut window = super::harness::window(kept.edit(|parts| parts.last_export = Some(export.into())).unwrap());
    change(&mut window, ScreenMessage::Show(Sheet::Compare));
    change(&mut window, CompareMessage::Base(BaseChoice::LastExport));
    until(&mut window, |window| window.query_by_label("base: as last exported: tarn.hex").is_some());
    change(&mut window, CompareMessage::Merge(BaseChoice::Snapshot("their run".into())));
    until(&mut window, |window| window.query_by_label_contains("With their run:").is_some());
    window.get_by_label("theirs: their run");
}

#[test]
fn a_press_on_a_cell_in_conflict_brings_its_values_into_view() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = merging(folder.path());
    let everywhere = edited((500.0, 8000.0), (0.0, 100.0), 1.5, &[]);
    let path = put(folder.path(), "everywhere.ron", &everywhere);
    window.state_mut().ask(Action::File(FileAction::Do(FileJob::Theirs, path)));
    until(&mut window, |window| window.query_by_label_contains("With everywhere.ron:").is_some());
    window.get_by_label("merged advance 3200 rpm, 66 %, to be decided");
    let grid = window.get_by_label("Merged table in degrees").rect();
    let cell = window.get_by_label("merged advance 3200 rpm, 66 %, to be decided").rect().center();
    assert!(grid.contains(cell));
    window.hover_at(cell);
    window.drag_at(cell);
    window.drop_at(cell);
    window.run();
    window.run();
    let table = window.state().document().project().advance.table().clone();
    let cursor = window.state().screen().selection.cursor;
    let at = (table.speed().breakpoints()[cursor.speed], table.load().breakpoints()[cursor.load]);
    assert_eq!(at, (3200.0, 66.0));
    window.get_by_label_contains("Advance at 3200 rpm, 66 %, theirs: ");
    window.key_press(Key::ArrowLeft);
    window.run();
    assert_eq!(window.state().screen().selection.cursor, Cell::new(cursor.load, cursor.speed - 1));
}

#[test]
fn a_region_is_decided_at_once_as_its_cells_would_be_one_by_one() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = merging(folder.path());
    let region = "Region 1: 15 cells: 7 mine, 7 theirs, 1 both; 2800–3700 rpm, 40–100 %";
    press(&mut window, region);
    let cells = window.state().screen().selection.cells.clone();
    assert_eq!(cells.count(), 15);
    window.get_by_label("region 1 in the merged table");
    press(&mut window, "Region 1: theirs");
    until(&mut window, |window| {
        window.query_all_by_label_contains(", changed by mine, decided: theirs").next().is_some()
    });
    press(&mut window, "Ceiling, mine: 44.0°");
    until(&mut window, |window| window.query_by_label_contains("all 2 conflicts are decided").is_some());
    let (was, other) = (window.state().document().project().clone(), theirs());
    press(&mut window, "Apply the merge");
    let merged = window.state().document().project().clone();
    assert_eq!(labels(&window).len(), 2, "one step: {:?}", labels(&window));
    for cell in merged.advance.table().cells() {
        let from = if cells.contains(cell) { &other } else { &was };
        assert_eq!(merged.advance.table().at(cell), from.advance.table().at(cell), "{cell:?}");
        assert_eq!(merged.advance.origin(cell), from.advance.origin(cell), "{cell:?}");
    }

    let mut one_by_one = merging(folder.path());
    for cell in cells.cells() {
        let key = cell_key([&base(), &was, &other], cell);
        change(&mut one_by_one, CompareMessage::Decide(vec![key], Version::Theirs));
    }
    press(&mut one_by_one, "Ceiling, mine: 44.0°");
    until(&mut one_by_one, |window| window.query_by_label_contains("all 2 conflicts are decided").is_some());
    press(&mut one_by_one, "Apply the merge");
    assert_eq!(one_by_one.state().document().project(), &merged);
}

#[test]
fn a_region_is_put_together_cell_by_cell_again() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = merging(folder.path());
    press(&mut window, "Region 1: mine");
    until(&mut window, |window| {
        window.query_all_by_label_contains(", changed by theirs, decided: mine").next().is_some()
    });
    window.get_by_label_contains("1 of 2 conflicts to be decided");
    press(&mut window, "Region 1: cell by cell");
    until(&mut window, |window| window.query_by_label_contains("2 of 2 conflicts to be decided").is_some());
    assert!(window.query_all_by_label_contains(", changed by theirs, decided: mine").next().is_none());
    window.key_down(Key::B);
    window.run();
    assert!(window.query_all_by_label_contains("degrees in the base").next().is_some());
    assert!(window.query_by_label_contains("to be decided, ").is_none());
    window.key_up(Key::B);
    window.run();
}
