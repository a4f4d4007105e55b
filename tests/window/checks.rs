//! The Checks sheet: what it says, where it leads, and what its remedies and acceptances do.

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Key, Modifiers, PointerButton, vec2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::checks::{CHECKS, Finding, Tally, run};
use sparkloft::document::{DataFolder, Document, read_project};
use sparkloft::project::{Project, set_fields};
use sparkloft::table::Cell;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::edits::DocumentEdit;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;
use sparkloft::window::views::form;
use sparkloft::window::workbench::Workbench;
use sparkloft::wording::capital;

use super::harness::{Window, checked, new_project, sample, sized_window, window, workbench_window};

/// The cell that stands out in the neglected sample, 3800 rpm and 18 %.
const BUMP: Cell = Cell::new(3, 6);
const FAIR: &str = "Fair 1 cell from the neighbours at 3800 rpm, 18 %";

fn change(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
    checked(window);
}

/// High enough to show every finding without scrolling.
fn opened(project: Project) -> Window {
    let mut window = sized_window(project, vec2(1280.0, 1300.0), 1.0);
    change(&mut window, ScreenMessage::Show(Sheet::Checks));
    window
}

fn press(window: &mut Window, label: &str) {
    window.get_by_label(label).click();
    window.run();
    checked(window);
}

/// What a screen reader calls the row of a finding.
fn row_of(finding: &Finding) -> String {
    format!("{}: {}", capital(finding.severity.name()), finding.message)
}

/// Chooses the first finding of a check.
fn choose(window: &mut Window, id: &str) {
    let finding = run(project(window)).into_iter().find(|finding| finding.id == id).unwrap();
    press(window, &row_of(&finding));
}

fn labels(window: &Window) -> Vec<String> {
    window.state().document().steps().iter().map(|step| step.label.clone()).collect()
}

/// What a screen reader adds to a cell's name.
fn description(window: &Window, cell: &str) -> String {
    window.get_by_label(cell).accesskit_node().description().unwrap_or_default()
}

fn project(window: &Window) -> &Project {
    window.state().document().project()
}

#[test]
fn findings_stand_by_severity_and_are_counted() {
    let window = opened(sample("wren-four"));
    window.get_by_label("Findings: 8 warnings, 1 note");
    window.get_by_label("Warnings (8)");
    window.get_by_label("Notes (1)");
    assert!(window.query_by_label_contains("Errors (").is_none());
    for finding in run(project(&window)) {
        window.get_by_label(&row_of(&finding));
    }
}

#[test]
fn a_sound_project_says_so() {
    let window = opened(sample("tarn-special"));
    window.get_by_label("Findings: no findings");
    window.get_by_label("Nothing found: every check is content with this project.");
    for check in CHECKS {
        assert!(window.query_by_label_contains(&format!("Passed: {}, ", check.title)).is_some(), "{}", check.title);
    }
    let slope = "Passed: Steep along speed, ";
    let told = window.get_by_label_contains(slope).accesskit_node().value().unwrap();
    assert!(told.contains(" against at most 15.0°/1000 rpm"), "{told}");
    assert!(window.query_all_by_label_contains("none found").count() > 3);
}

/// What passed stands below what was found, and together they are all checks.
#[test]
fn checks_that_passed_stand_below_the_findings() {
    let window = opened(sample("wren-four"));
    let found = run(project(&window));
    let passed = |id: &str| !found.iter().any(|finding| finding.id == id);
    for check in CHECKS {
        let row = format!("Passed: {}, ", check.title);
        assert_eq!(window.query_by_label_contains(&row).is_some(), passed(check.id), "{}", check.title);
    }
}

#[test]
fn arrows_choose_a_finding_and_enter_goes_there() {
    let mut window = opened(sample("wren-four"));
    let found = run(project(&window));
    for _ in 0..2 {
        window.key_press(Key::ArrowDown);
        checked(&mut window);
    }
    window.key_press(Key::ArrowUp);
    checked(&mut window);
    let chosen = window.state().screen().checks.looked_at.clone().unwrap();
    assert!(chosen.is_of(&found[1]), "{chosen:?}");
    let is_chosen = |finding: &Finding| window.get_by_label(&row_of(finding)).accesskit_node().is_selected();
    assert_eq!((is_chosen(&found[0]), is_chosen(&found[1])), (Some(false), Some(true)));
    window.key_press(Key::Enter);
    checked(&mut window);
    assert_ne!(window.state().screen().sheet, Sheet::Checks);
}

/// Moves the tick of a threshold by some points in steps, and calls `before_release` before the button goes up.
fn drag_tick(window: &mut Window, label: &str, by: f32, before_release: impl FnOnce(&mut Window)) {
    let from = window.get_by_role_and_label(Role::Slider, label).rect().center();
    window.hover_at(from);
    window.run();
    window.event(Event::PointerButton {
        pos: from,
        button: PointerButton::Primary,
        pressed: true,
        modifiers: Modifiers::NONE,
    });
    window.run();
    for step in 1..=4_u8 {
        window.event(Event::PointerMoved(from + vec2(by * f32::from(step) / 4.0, 0.0)));
        window.run();
    }
    before_release(window);
    window.event(Event::PointerButton {
        pos: from + vec2(by, 0.0),
        button: PointerButton::Primary,
        pressed: false,
        modifiers: Modifiers::NONE,
    });
    window.run();
    checked(window);
}

#[test]
fn the_tick_of_a_bar_is_the_threshold_and_can_be_dragged() {
    let (name, of) = ("Stands out, warning from", |window: &Window| {
        project(window).checks.thresholds.get("stands_out_deg").copied()
    });
    let mut window = opened(sample("wren-four"));
    drag_tick(&mut window, name, -12.0, |window| {
        window.key_press(Key::Escape);
        window.run();
    });
    assert_eq!((of(&window), labels(&window).len()), (None, 1), "Esc gives it up");
    drag_tick(&mut window, name, -12.0, |_| ());
    let tightened = of(&window).unwrap();
    assert!((0.5..2.5).contains(&tightened), "{tightened}");
    assert_eq!(labels(&window).len(), 2, "one step: {:?}", labels(&window));
    assert!(labels(&window)[1].starts_with("Set threshold 'Stands out, warning from' to "));
    // More may pass only for a reason, which is asked for.
    drag_tick(&mut window, name, 40.0, |_| ());
    assert_eq!(labels(&window).len(), 2);
    assert!(window.query_by_label_contains("Relax to ").is_some());
}

/// Two thresholds of the over-speed limit are 50 rpm; the tick is of the one that the bar is held against.
#[test]
fn a_bar_has_a_tick_though_two_thresholds_of_its_check_have_one_value() {
    let near = sample("tarn-special").edit(|parts| {
        parts.limits.over_speed.fires_again_below_rpm = parts.limits.over_speed.cuts_at_rpm - 60.0;
    });
    let window = opened(near.unwrap());
    window.get_by_role_and_label(Role::Slider, "Fires again below the cut by");
}

/// With Shift a tick follows by the same share as whatever else is dragged.
#[test]
fn shift_makes_a_tick_follow_by_a_fifth() {
    let dragged = |held: Modifiers| {
        let mut window = opened(sample("wren-four"));
        window.event(Event::ModifiersChanged(held));
        let mut value = 0.0;
        drag_tick(&mut window, "Stands out, warning from", -14.0, |window| {
            value = project(window).checks.thresholds["stands_out_deg"];
        });
        2.5 - value
    };
    let (whole, fine) = (dragged(Modifiers::NONE), dragged(Modifiers::SHIFT));
    assert!(whole > 0.4 && (fine / whole - 0.2).abs() < 0.04, "{whole} {fine}");
}

/// While its tick is dragged a row stays where it is, though its check finds something by now.
#[test]
fn the_tick_of_a_check_that_passed_can_be_dragged_until_it_finds_something() {
    let mut window = opened(sample("tarn-special"));
    let (name, row) = ("Slope along speed, at most", "Passed: Steep along speed, ");
    let before = window.get_by_label_contains(row).rect();
    drag_tick(&mut window, name, -60.0, |window| {
        checked(window);
        assert!(run(project(window)).iter().any(|finding| finding.id == "slope_speed"));
        assert_eq!(window.get_by_label_contains(row).rect(), before);
    });
    assert_eq!(labels(&window).len(), 2, "one step: {:?}", labels(&window));
    window.remove_cursor();
    checked(&mut window);
    assert!(window.query_by_label_contains(row).is_none());
    window.get_by_label(&row_of(&run(project(&window))[0]));
}

/// What would be put above the last row is told cell by cell before it is there.
#[test]
fn a_new_row_is_shown_before_it_is_there() {
    let short = sample("larch-six").edit(|parts| parts.engine.highest_pressure_kpa = 180.0).unwrap();
    let mut window = opened(short);
    let remedy = "Extend the table to 207 kPa";
    window.get_by_label(remedy).hover();
    window.run();
    checked(&mut window);
    window.get_by_label_contains("New row at 207 kPa: ");
    window.get_by_label("Slice at 207 kPa, the new row, and at 180 kPa");
    press(&mut window, remedy);
    assert_eq!(project(&window).advance.table().load().last(), 207.0);
}

#[test]
fn a_click_goes_to_the_place() {
    let mut window = opened(sample("wren-four"));
    choose(&mut window, "load_trend");
    assert_eq!(window.state().screen().sheet, Sheet::Checks);
    press(&mut window, "Go to 2000 rpm, 50–100 %: load_trend");
    assert_eq!(window.state().screen().sheet, Sheet::Advance);
    let selected: Vec<Cell> = window.state().screen().selection.cells.cells().collect();
    assert_eq!(selected, [Cell::new(5, 4), Cell::new(6, 4), Cell::new(7, 4)]);
    assert_eq!(description(&window, "advance 2000 rpm, 75 %, 19.5 degrees"), "typed, changed from base, warning");
    assert!(!description(&window, "advance 2000 rpm, 30 %, 22.0 degrees").contains("warning"));
    press(&mut window, "Findings: 8 warnings, 1 note");
    assert_eq!(window.state().screen().sheet, Sheet::Checks);
    choose(&mut window, "chatter");
    press(&mut window, "Go to fan, coolant: chatter");
    assert_eq!(window.state().screen().sheet, Sheet::Limits);
    window.get_by_label("Warning: 'fan' switches on at 92 and off at 91.8 °C");
}

#[test]
fn a_field_at_fault_gets_the_keyboard_on_its_sheet() {
    let far = set_fields(&sample("tarn-special"), &[("trigger.zero_offset_deg", "-12")]).unwrap();
    let mut window = opened(far);
    press(&mut window, "Go to zero offset: zero_offset");
    assert_eq!(window.state().screen().sheet, Sheet::Engine);
    let focused = window.ctx.memory(|memory| memory.focused());
    assert_eq!(focused, Some(form::id("trigger.zero_offset_deg")));
}

#[test]
fn keys_go_from_finding_to_finding_and_round() {
    let mut window = window(sample("wren-four"));
    checked(&mut window);
    let count = run(project(&window)).len();
    let mut seen = Vec::new();
    for _ in 0..count {
        window.key_press(Key::F8);
        checked(&mut window);
        seen.push(window.state().screen().checks.looked_at.clone().unwrap());
    }
    let distinct: std::collections::HashSet<_> = seen.iter().collect();
    assert_eq!(distinct.len(), count);
    window.key_press(Key::F8);
    checked(&mut window);
    assert_eq!(window.state().screen().checks.looked_at.as_ref(), seen.first());
    window.key_press_modifiers(Modifiers::SHIFT, Key::F8);
    checked(&mut window);
    assert_eq!(window.state().screen().checks.looked_at.as_ref(), seen.last());
}

#[test]
fn a_remedy_is_shown_and_becomes_one_step() {
    let mut window = opened(sample("wren-four"));
    choose(&mut window, "stands_out");
    window.get_by_label_contains("3800 rpm, 18 %: 30.5° becomes ");
    window.get_by_label("Then: 7 warnings, 1 note.");
    assert_eq!(project(&window), &sample("wren-four"));
    press(&mut window, FAIR);
    assert_eq!(labels(&window), ["New", FAIR]);
    window.get_by_label("Findings: 7 warnings, 1 note");
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    checked(&mut window);
    assert_eq!(project(&window), &sample("wren-four"));
    window.get_by_label("Findings: 8 warnings, 1 note");
}

#[test]
fn every_remedy_of_the_sheet_can_be_pressed() {
    let mut window = opened(sample("wren-four"));
    let remedies = |window: &Window| -> Vec<(String, String)> {
        let curable = |finding: Finding| Some((row_of(&finding), finding.cure?.label));
        run(project(window)).into_iter().filter_map(curable).collect()
    };
    let mut left = remedies(&window);
    let before = left.len();
    while let Some((row, label)) = left.first() {
        press(&mut window, row);
        press(&mut window, label);
        left = remedies(&window);
    }
    assert!(labels(&window).len() > before);
    window.get_by_label("Findings: 1 warning, 1 note");
}

#[test]
fn the_inspector_tells_of_the_selected_cells_and_previews_the_remedy() {
    let mut window = window(sample("wren-four"));
    checked(&mut window);
    assert!(window.query_by_label(FAIR).is_none());
    window.get_by_label_contains("advance 3800 rpm, 18 %, 30.5 degrees").click();
    checked(&mut window);
    window.get_by_label_contains("Warning: 30.5° at 3800 rpm, 18 % stands 3.167° below");
    window.get_by_label(FAIR).hover();
    window.run();
    checked(&mut window);
    window.get_by_label_contains("advance 3800 rpm, 18 %, 30.5 degrees, proposed 3");
    assert_eq!(project(&window).advance.table().at(BUMP), 30.5);
    press(&mut window, FAIR);
    assert!((33.0..36.0).contains(&project(&window).advance.table().at(BUMP)));
    assert!(window.query_by_role_and_label(Role::Button, FAIR).is_none());
}

#[test]
fn a_finding_is_accepted_with_a_reason_and_comes_back_with_its_value() {
    let mut window = opened(sample("wren-four"));
    choose(&mut window, "tachometer");
    press(&mut window, "Accept tachometer: tachometer");
    assert!(window.get_by_label("Accept").accesskit_node().is_disabled());
    window.get_by_label("Reason to accept").type_text("the instrument is set to two cylinders");
    checked(&mut window);
    window.key_press(Key::Enter);
    checked(&mut window);
    let accepted = &project(&window).checks.accepted;
    assert_eq!(accepted.len(), 1);
    assert_eq!(accepted[0].reason, "the instrument is set to two cylinders");
    window.get_by_label("Accepted: the instrument is set to two cylinders");
    // It goes to the others when the pointer leaves the list.
    window.remove_cursor();
    window.run();
    window.get_by_label("Accepted (1)");
    window.get_by_label("Findings: 8 warnings");
    let edit = DocumentEdit::set_field("tachometer.pulses_per_revolution", "4");
    window.state_mut().ask(Action::Edit("Pulses".into(), edit));
    window.run();
    checked(&mut window);
    window.get_by_label("Findings: 8 warnings, 1 note");
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    checked(&mut window);
    press(&mut window, "No longer accept tachometer: tachometer");
    assert!(project(&window).checks.accepted.is_empty());
    window.get_by_label("Findings: 8 warnings, 1 note");
}

#[test]
fn a_half_typed_reason_can_be_given_up() {
    let mut window = opened(sample("wren-four"));
    choose(&mut window, "tachometer");
    press(&mut window, "Accept tachometer: tachometer");
    press(&mut window, "Cancel");
    assert!(window.query_by_label("Reason to accept").is_none());
    assert_eq!(labels(&window), ["New"]);
}

#[test]
fn a_threshold_is_tightened_at_once() {
    let mut window = opened(sample("wren-four"));
    type_threshold(&mut window, "Stands out, warning from", "2");
    assert_eq!(labels(&window).last().unwrap(), "Set threshold 'Stands out, warning from' to 2.0°");
    assert!(project(&window).checks.threshold_reasons.is_empty());
    assert!(window.query_by_label_contains("relaxed").is_none());
}

fn type_threshold(window: &mut Window, label: &str, text: &str) {
    window.get_by_role_and_label(Role::SpinButton, label).click();
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    window.get_by_role_and_label(Role::SpinButton, label).type_text(text);
    window.run();
    window.key_press(Key::Enter);
    window.run();
    checked(window);
}

#[test]
fn a_threshold_is_relaxed_for_a_reason_only_and_that_is_told() {
    let mut window = opened(sample("tarn-special"));
    type_threshold(&mut window, "Stands out, warning from", "3.5");
    assert_eq!(labels(&window), ["New"]);
    assert!(window.get_by_label("Relax to 3.5°").accesskit_node().is_disabled());
    press(&mut window, "Cancel");
    assert!(window.query_by_label("Relax to 3.5°").is_none());
    type_threshold(&mut window, "Stands out, warning from", "3.5");
    window.get_by_label("Reason to relax Stands out, warning from").type_text("a race cam");
    checked(&mut window);
    press(&mut window, "Relax to 3.5°");
    assert_eq!(project(&window).checks.threshold_reasons["stands_out_deg"], "a race cam");
    window.get_by_label("Findings: no findings; 1 limit relaxed");
    window.get_by_label("Relaxed limits (1)");
    window.get_by_label("Stands out, warning from: 3.5° instead of 2.5°.");
    press(&mut window, "Reset Stands out, warning from");
    assert!(project(&window).checks.threshold_reasons.is_empty());
    window.get_by_label("Findings: no findings");
}

#[test]
fn a_threshold_is_changed_and_reset() {
    let mut window = opened(sample("wren-four"));
    assert!(window.get_by_label("Reset Stands out, warning from").accesskit_node().is_disabled());
    let field = window.get_by_role_and_label(Role::SpinButton, "Stands out, warning from");
    assert_eq!(field.accesskit_node().numeric_value(), Some(2.5));
    type_threshold(&mut window, "Stands out, warning from", "3.5");
    // The question has the keyboard.
    window.get_by_label("Reason to relax Stands out, warning from").type_text("rough by design");
    checked(&mut window);
    window.key_press(Key::Enter);
    checked(&mut window);
    assert_eq!(labels(&window).last().unwrap(), "Set threshold 'Stands out, warning from' to 3.5°");
    window.get_by_label("Findings: 7 warnings, 1 note; 1 limit relaxed");
    press(&mut window, "Reset Stands out, warning from");
    assert_eq!(labels(&window).last().unwrap(), "Reset threshold 'Stands out, warning from' to 2.5°");
    window.get_by_label("Findings: 8 warnings, 1 note");
}

#[test]
fn a_change_of_the_table_is_checked_and_the_window_comes_to_rest() {
    let mut window = window(new_project(16, 16));
    checked(&mut window);
    window.get_by_label("Findings: 1 warning");
    let bump = DocumentEdit::set_field("advance.deg[8][8]", "45");
    window.state_mut().ask(Action::Edit("Bump".into(), bump));
    window.run();
    checked(&mut window);
    assert!(window.state().is_checked());
    let found = Tally::of(&run(project(&window)));
    assert!(found.errors > 0, "{found:?}");
    window.get_by_label(&format!("Findings: {}", found.words()));
    assert!(window.state().is_checked());
}

/// Find the bump, go there, cure it, accept another finding, save, open again.
#[test]
fn what_was_cured_and_accepted_is_in_the_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("wren.ron");
    let mut document = Document::untitled_in(&DataFolder::none(), sample("wren-four"), "wren");
    document.save_as(&path).unwrap();
    let mut window = workbench_window(Workbench::new(document), vec2(1280.0, 1300.0), 1.0);
    change(&mut window, ScreenMessage::Show(Sheet::Checks));
    choose(&mut window, "stands_out");
    press(&mut window, "Go to 3800 rpm, 18 %: stands_out");
    press(&mut window, FAIR);
    window.state_mut().ask(Action::Run(Command::Sheet(Sheet::Checks)));
    checked(&mut window);
    choose(&mut window, "tachometer");
    press(&mut window, "Accept tachometer: tachometer");
    window.get_by_label("Reason to accept").type_text("an old instrument");
    checked(&mut window);
    press(&mut window, "Accept");
    window.key_press_modifiers(Modifiers::COMMAND, Key::S);
    checked(&mut window);
    let (reopened, _) = read_project(&path).unwrap();
    assert_eq!(&reopened, project(&window));
    assert_eq!(Tally::of(&run(&reopened)).words(), "7 warnings");
    let again = opened(reopened);
    again.get_by_label("Findings: 7 warnings");
    again.get_by_label("Accepted (1)");
}

#[test]
fn a_threshold_reads_as_its_findings_do_and_refuses_a_comma_in_doubt() {
    let mut window = opened(sample("wren-four"));
    let name = "Zero offset, at most";
    window.get_by_role_and_label(Role::SpinButton, name).click();
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run();
    let shown = window.get_by_role_and_label(Role::SpinButton, name).accesskit_node().value();
    assert!(shown.is_none_or(|shown| shown.starts_with("10.0")), "as findings tell it");
    window.get_by_role_and_label(Role::SpinButton, name).type_text("1,000");
    window.run();
    window.key_press(Key::Enter);
    window.run();
    let told = window.state().screen().notice.clone().unwrap();
    assert!(told.is_error && told.text.contains("the comma may part thousands or decimals"), "{told:?}");
    assert_eq!(labels(&window), ["New"]);
}
