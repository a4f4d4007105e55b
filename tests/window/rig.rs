//! The Rig sheet: what it shows of a run, and the way through it by keys, clicks and facts.

use eframe::egui::{Event, Key, Modifiers, PointerButton, Pos2, Role, pos2};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::project::Project;
use sparkloft::rig::{BuiltIn, Rig, Settings, Summary};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::edits::DocumentEdit;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::rig_state::{RigMessage, RunChoice};
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;
use sparkloft::wording::{Unit, figure};

use super::harness::{Window, sample, sized_window, until};

pub(super) fn change(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
    window.run();
}

/// What the strip reads.
pub(super) fn strip(window: &Window) -> Option<String> {
    window.query_by_label_contains("One revolution, ").and_then(|node| node.accesskit_node().label())
}

pub(super) fn opened(project: Project) -> Window {
    opened_at(project, eframe::egui::vec2(1280.0, 800.0))
}

pub(super) fn opened_at(project: Project, size: eframe::egui::Vec2) -> Window {
    let mut window = sized_window(project, size, 1.0);
    change(&mut window, ScreenMessage::Show(Sheet::Rig));
    until(&mut window, |window| strip(window).is_some());
    window
}

fn cursor_s(window: &Window) -> f64 {
    window.state().screen().rig.cursor_s
}

/// Looks at a time and waits for its revolution: its spark has this advance.
fn look_at(window: &mut Window, time_s: f64, spark: &str) {
    change(window, RigMessage::LookAt(time_s));
    let spark = spark.to_owned();
    until(window, move |window| strip(window).is_some_and(|read| read.contains(&spark)));
}

fn run_command(window: &mut Window, command: Command) {
    window.state_mut().ask(Action::Run(command));
    window.run();
}

fn driven(project: &Project, built_in: BuiltIn, settings: Settings) -> Summary {
    Rig::new(project, settings).unwrap().run(&built_in.run(project).unwrap(), &mut ())
}

#[test]
fn the_whole_run_is_told_as_the_rig_sums_it_up() {
    let project = sample("tarn-special");
    let window = opened(project.clone());
    let sums = driven(&project, BuiltIn::SweepToTheLimit, Settings::default());
    assert!(sums.cuts > 0);
    window.get_by_label(&format!("{}, {} cut", sums.sparks, sums.cuts));
    window.get_by_label("found, never lost");
    window.get_by_label(&format!("{:.0}° of crank", sums.degrees_before_first_spark.unwrap()));
    window.get_by_label_contains(&format!("{:.2}° early at ", sums.max_abs_error_deg.unwrap()));
    window.get_by_label(&format!("{} at 14.0 V", figure(sums.min_energy_mj.unwrap(), Unit::Millijoule)));
    window.get_by_label("fan, low battery lamp");
}

#[test]
fn every_coil_of_the_revolution_is_read_out() {
    let window = opened(sample("larch-six"));
    let read = strip(&window).unwrap();
    for coil in ["coil A spark", "coil B spark", "coil C spark"] {
        assert!(read.contains(coil), "{read}");
    }
    assert!(read.contains(" degrees before TDC, dwell ") && read.contains(" mJ"));
}

#[test]
fn keys_play_pause_and_walk_from_spark_to_spark() {
    let mut window = opened(sample("tarn-special"));
    let before_s = cursor_s(&window);
    window.key_press(Key::Space);
    (0..8).for_each(|_| window.step());
    assert!(window.state().screen().rig.playing.is_some() && cursor_s(&window) > before_s);
    window.get_by_label("Pause");
    window.key_press(Key::Space);
    window.run();
    window.get_by_label("Play");
    let paused_s = cursor_s(&window);
    window.run();
    assert_eq!(cursor_s(&window), paused_s);
    until(&mut window, |window| window.state().screen().rig.beside_s.1 > cursor_s(window));
    window.key_press(Key::ArrowRight);
    window.run();
    let first_s = cursor_s(&window);
    assert!(first_s > paused_s && first_s < paused_s + 0.1, "{paused_s} {first_s}");
    until(&mut window, move |window| window.state().screen().rig.beside_s.1 > first_s);
    window.key_press(Key::ArrowRight);
    window.run();
    let second_s = cursor_s(&window);
    assert!(second_s > first_s);
    until(&mut window, move |window| window.state().screen().rig.beside_s.0 < second_s);
    window.key_press(Key::ArrowLeft);
    window.run();
    assert_eq!(cursor_s(&window), first_s);
    window.key_press(Key::End);
    window.run();
    assert_eq!(cursor_s(&window), window.state().screen().rig.span_s().unwrap().1);
    // From the end it plays from the start.
    window.key_press(Key::Space);
    window.step();
    window.step();
    assert!(cursor_s(&window) < 1.0);
    window.key_press(Key::Home);
    window.run();
    assert_eq!((cursor_s(&window), window.state().screen().rig.playing), (0.0, None));
}

#[test]
fn playing_comes_to_rest_at_the_end() {
    let mut window = opened(sample("tarn-special"));
    let end_s = window.state().screen().rig.span_s().unwrap().1;
    window.state_mut().ask(RigMessage::LookAt(end_s - 0.02));
    change(&mut window, Action::Run(Command::RigPlay));
    window.run();
    assert!(window.state().screen().rig.playing.is_none());
    assert_eq!(cursor_s(&window), window.state().screen().rig.span_s().unwrap().1);
}

#[test]
fn space_on_another_control_is_that_controls_own() {
    let mut window = opened(sample("tarn-special"));
    window.get_by_label("Rows…").focus();
    window.run();
    window.key_press(Key::Space);
    window.run();
    assert!(window.state().screen().rig.playing.is_none());
    assert!(window.state().screen().rig.edits_rows);
}

fn drag(window: &mut Window, from: Pos2, to: Pos2) {
    let button = |pos, pressed| Event::PointerButton {
        pos,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    };
    for event in [Event::PointerMoved(from), button(from, true), Event::PointerMoved(to), button(to, false)] {
        window.event(event);
        window.step();
    }
    window.run();
}

#[test]
fn a_drag_on_the_trace_scrubs_and_the_pointer_tells_physical_units() {
    let mut window = opened(sample("tarn-special"));
    let trace = window.get_by_label("Time in the run, seconds").rect();
    let (start_s, end_s) = window.state().screen().rig.span_s().unwrap();
    let at = |share: f32| pos2(trace.left() + share * trace.width(), trace.center().y);
    drag(&mut window, at(0.2), at(0.7));
    let expected_s = start_s + 0.7 * (end_s - start_s);
    assert!((cursor_s(&window) - expected_s).abs() < 0.05, "{}", cursor_s(&window));
    window.event(Event::PointerMoved(at(0.4)));
    window.run();
    window.run();
    let told = window.state().screen().pointer.words.clone();
    for part in [" s · ", " rpm · ", " % · ", "commanded ", "error ", "running", " V"] {
        assert!(told.contains(part), "{told}");
    }
    window.get_by_label(&told);
}

#[test]
fn the_strip_tells_what_each_coil_does() {
    let mut window = opened(sample("tarn-special"));
    let strip = window.get_by_label_contains("One revolution, ").rect();
    let mut told = Vec::new();
    for step in 0..40 {
        let x = strip.left() + strip.width() * (step as f32 + 0.5) / 40.0;
        window.event(Event::PointerMoved(pos2(x, strip.top() + 80.0)));
        window.run();
        told.push(window.state().screen().pointer.words.clone());
    }
    assert!(told.iter().any(|told| told.contains("coil A charging, ")), "{told:?}");
    assert!(told.iter().any(|told| told.contains("coil A fired at ")), "{told:?}");
    assert!(told.iter().all(|told| told.contains('°') && told.contains(" s · ")), "{told:?}");
}

#[test]
fn facts_lead_to_where_they_happened() {
    let project = sample("tarn-special");
    let mut window = opened(project.clone());
    let sums = driven(&project, BuiltIn::SweepToTheLimit, Settings::default());
    change(&mut window, RigMessage::LookAt(0.0));
    let cut = format!("{}, {} cut", sums.sparks, sums.cuts);
    window.get_by_label(&cut).click();
    window.run();
    let first_s = cursor_s(&window);
    until(&mut window, |window| strip(window).is_some_and(|read| read.contains(" cut")));
    window.get_by_label(&cut).click();
    window.run();
    assert!(first_s > 5.0 && cursor_s(&window) > first_s);
    window.get_by_label_contains("° early at ").click();
    window.run();
    window.get_by_label_contains(&format!("° early at {:.2} s", cursor_s(&window)));
}

/// The story: sweep to the limiter and back, see the cut, drop an edge, see the loss of sync and that no spark came.
#[test]
fn a_dropped_edge_loses_sync_and_is_told() {
    let project = sample("tarn-special");
    let mut window = opened(project.clone());
    look_at(&mut window, 3.0, "spark");
    run_command(&mut window, Command::RigDropEdge);
    let lost = "lost once, error: the unit no longer knew where the crank was";
    until(&mut window, |window| window.query_by_label_contains(lost).is_some());
    let settings = Settings { dropped_at_s: vec![3.0], ..Settings::default() };
    let sums = driven(&project, BuiltIn::SweepToTheLimit, settings);
    assert_eq!(sums.sync_losses, 1);
    window.get_by_label_contains(&format!("{}, {} cut", sums.sparks, sums.cuts));
    window.get_by_label("Faults: 1 dropped");
    // The checks have nothing against the project; the status line says that of them alone.
    window.get_by_label_contains("error: sync");
    until(&mut window, |window| window.query_by_label("Findings: run: 1 error").is_some());
    window.get_by_label_contains("lost once").click();
    window.run();
    assert!((3.0..3.1).contains(&cursor_s(&window)));
    // The project has nothing to do with it.
    assert_eq!(window.state().document().undo_label(), None);
    run_command(&mut window, Command::RigNoFaults);
    until(&mut window, |window| window.query_by_label("found, never lost").is_some());
    window.run();
    window.get_by_label("Findings: no findings");
}

#[test]
fn the_form_of_faults_takes_steadiness_and_lists_edges() {
    let mut window = opened(sample("tarn-special"));
    run_command(&mut window, Command::RigExtraEdge);
    window.get_by_label_contains("Faults: ").click();
    window.run();
    window.get_by_label("Take away the extra edge at 6.950 s").click();
    window.run();
    assert_eq!(window.state().screen().rig.settings, Settings::default());
    window.get_by_label("In sync after one gap").click();
    window.run();
    assert!(window.state().screen().rig.one_gap);
    // A gap is a revolution: in sync after the first of them, it fires a revolution sooner.
    until(&mut window, |window| window.query_by_label("435° of crank").is_some());
}

#[test]
fn the_strip_runs_over_time_as_well() {
    let mut window = opened(sample("tarn-special"));
    window.get_by_label("Strip over time").click();
    window.run();
    assert_eq!(window.state().screen().rig.axis, sparkloft::drawing::StripAxis::Time);
    assert!(strip(&window).is_some());
}

#[test]
fn an_edit_of_the_project_drives_the_run_anew() {
    let project = sample("tarn-special");
    let mut window = opened(project.clone());
    let edit = DocumentEdit::set_field("limits.over_speed.enabled", "false");
    window.state_mut().ask(Action::Edit("Switch the limit off".into(), edit.clone()));
    let edited = edit.apply(&project).unwrap();
    let sums = driven(&edited, BuiltIn::SweepToTheLimit, Settings::default());
    assert_eq!(sums.cuts, 0);
    until(&mut window, move |window| window.query_by_label(&sums.sparks.to_string()).is_some());
}

#[test]
fn every_built_in_run_can_be_chosen() {
    let mut window = opened(sample("copse-eight"));
    for built_in in BuiltIn::ALL {
        change(&mut window, RigMessage::Choose(RunChoice::BuiltIn(built_in)));
        until(&mut window, |window| {
            window.query_by_label_contains("Computing").is_none()
                && window.query_by_label("before the first spark").is_some()
        });
        window.get_by_label(&format!("run: {}", built_in.label()));
        let (start_s, end_s) = window.state().screen().rig.span_s().unwrap();
        for share in 0..=10 {
            let time_s = start_s + (end_s - start_s) * f64::from(share) / 10.0;
            change(&mut window, RigMessage::LookAt(time_s));
        }
    }
}

#[test]
fn the_running_point_shows_on_the_advance_sheet_once_it_was_followed() {
    let mut window = opened(sample("tarn-special"));
    let table = window.state().document().project().advance.table().clone();
    assert_eq!(window.state().screen().rig.point_on(&table), None);
    look_at(&mut window, 9.0, "spark");
    let (speed_rpm, load) = window.state().screen().rig.point_on(&table).unwrap();
    assert!(speed_rpm > 7000.0 && load == 100.0);
    window.get_by_label_contains("Running point: ");
    window.get_by_label("Go to the advance table").click();
    window.run();
    window.run();
    assert_eq!(window.state().screen().sheet, Sheet::Advance);
    run_command(&mut window, Command::RigShowPoint);
    assert_eq!(window.state().screen().rig.point_on(&table), None);
    assert_eq!(window.query_all_by_role(Role::GridCell).count(), 256);
}
