//! The rows of a run: typed, pasted, read from a file and written to one.

use eframe::egui::{Event, Key, Modifiers};
use egui_kittest::kittest::Queryable;
use sparkloft::interchange::read_run;
use sparkloft::rig::BuiltIn;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::file_jobs::{FileJob, RigJob};
use sparkloft::window::state::outbox::{Action, FileAction};
use sparkloft::window::state::rig_state::RunChoice;

use super::harness::{Window, sample, until};
use super::rig::{opened, opened_at, strip};

fn with_rows() -> Window {
    let mut window = opened(sample("tarn-special"));
    window.get_by_label("Rows…").click();
    window.run();
    window
}

fn paste(window: &mut Window, text: &str) {
    window.event(Event::Paste(text.to_owned()));
    window.run();
    window.run();
}

fn project(window: &Window) -> &sparkloft::project::Project {
    window.state().document().project()
}

fn last_step(window: &Window) -> String {
    let document = window.state().document();
    document.steps()[document.current_step()].label.clone()
}

fn type_into(window: &mut Window, label: &str, text: &str) {
    window.get_by_label(label).focus();
    window.run();
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    if text.is_empty() {
        window.key_press(Key::Delete);
    } else {
        window.event(Event::Text(text.into()));
    }
    window.run();
    window.key_press(Key::Enter);
    window.run();
    window.run();
}

const OWN: &str = "own sweep to the limit";

#[test]
fn a_typed_field_makes_a_run_of_the_project_and_puts_it_on_the_rig() {
    let mut window = with_rows();
    let rows = BuiltIn::SweepToTheLimit.run(project(&window)).unwrap().rows().len();
    assert!(project(&window).runs.is_empty());
    type_into(&mut window, "row 2, speed rpm", "2345");
    assert_eq!(last_step(&window), format!("Run '{OWN}', row 2: speed 2345 rpm"));
    assert_eq!(window.state().screen().rig.choice, RunChoice::Kept(OWN.into()));
    assert_eq!(window.state().screen().rig.run.clone().unwrap().rows()[1].speed_rpm, 2345.0);
    assert_eq!((project(&window).runs.len(), project(&window).runs[0].rows.len()), (1, rows));
    assert!(window.state().document().is_changed());
    window.get_by_label(&format!("run: {OWN}"));
    type_into(&mut window, "row 2, speed rpm", "x");
    let told = window.state().screen().notice.clone().unwrap();
    assert!(told.is_error && told.text.starts_with("row 2, speed rpm: "), "{told:?}");
    window.key_press(Key::Escape);
    window.run();
    type_into(&mut window, "row 2, time s", "");
    window.get_by_label_contains("Problem: row 2: time: a number is missing");
    window.get_by_label_contains("No run: row 2");
    for _ in 0..2 {
        window.state_mut().ask(Action::Run(Command::Undo));
        window.run();
    }
    assert!(project(&window).runs.is_empty() && !window.state().document().is_changed());
    window.get_by_label("run: sweep to the limit");
}

#[test]
fn a_run_is_kept_named_and_removed_each_as_one_step() {
    let mut window = with_rows();
    window.get_by_label("Keep in the project").click();
    window.run();
    assert_eq!((last_step(&window), project(&window).runs.len()), (format!("Keep run '{OWN}'"), 1));
    type_into(&mut window, "Name of the run", "hill");
    assert_eq!(last_step(&window), format!("Call run '{OWN}' 'hill'"));
    window.get_by_label("run: hill");
    assert_eq!(project(&window).runs[0].name, "hill");
    type_into(&mut window, "Name of the run", " ");
    assert!(window.state().screen().notice.clone().unwrap().text.contains("a run needs a name"));
    window.key_press(Key::Escape);
    window.run();
    window.get_by_label("Remove this run").click();
    window.run();
    window.run();
    assert_eq!((last_step(&window).as_str(), project(&window).runs.len()), ("Remove run 'hill'", 0));
    window.get_by_label("run: sweep to the limit");
}

#[test]
fn rows_are_pasted_from_a_spreadsheet() {
    let mut window = with_rows();
    paste(&mut window, "time_s\tspeed_rpm\tload\n0\t900\t0\n1,5\t4000\t60\n3\t900\t0\n");
    let run = window.state().screen().rig.run.clone().unwrap();
    assert_eq!((run.rows().len(), run.rows()[1].time_s, run.rows()[1].speed_rpm), (3, 1.5, 4000.0));
    window.get_by_label("row 3, load %").focus();
    window.run();
    paste(&mut window, "70\t80\n71\t81\n");
    let rows = project(&window).runs[0].rows.clone();
    assert_eq!((rows.len(), rows[2].load, rows[3].coolant_c), (4, Some(70.0), Some(81.0)));
    assert_eq!(last_step(&window), format!("Paste 2 rows into run '{OWN}' from row 3 on"));
    for (wrong, why) in
        [("1\t2\t3\t4\t5\t6\t7\n", "do not fit"), ("1\tfast\n", "row 1 of it, coolant: "), ("9000\t1\n", "outside")]
    {
        paste(&mut window, wrong);
        let told = window.state().screen().notice.clone().unwrap();
        assert!(told.is_error && told.text.contains(why), "{told:?}");
        assert_eq!(project(&window).runs[0].rows, rows);
    }
    paste(&mut window, "time_s\tspeed_rpm\n0\t1\n");
    assert!(window.state().screen().notice.clone().unwrap().text.contains("there is no column 'load'"));
}

#[test]
fn rows_are_added_and_removed_and_a_run_keeps_two() {
    let mut window = with_rows();
    let rows = BuiltIn::SweepToTheLimit.run(project(&window)).unwrap().rows().len();
    let kept = |window: &Window| project(window).runs[0].rows.len();
    window.get_by_label("Add a row after row 1").click();
    window.run();
    assert_eq!(kept(&window), rows + 1);
    window.get_by_label_contains("Problem: row 2: time: a number is missing");
    window.get_by_label("Remove row 2").click();
    window.run();
    assert_eq!(kept(&window), rows);
    for _ in 2..rows {
        window.get_by_label("Remove row 2").click();
        window.run();
    }
    window.get_by_label("Remove row 2").click();
    window.run();
    assert_eq!(kept(&window), 2);
    window.get_by_label("Done").click();
    window.run();
    until(&mut window, |window| strip(window).is_some());
}

#[test]
fn runs_and_events_go_to_files_and_runs_come_back() {
    let folder = tempfile::tempdir().unwrap();
    let mut window = opened(sample("tarn-special"));
    let project = window.state().document().project().clone();
    let (run_path, events_path) = (folder.path().join("sweep.csv"), folder.path().join("events.csv"));
    let job = |window: &mut Window, job: RigJob, path: &std::path::Path| {
        window.state_mut().ask(Action::File(FileAction::Do(FileJob::Rig(job), path.to_owned())));
        window.run();
    };
    job(&mut window, RigJob::WriteRun, &run_path);
    until(&mut window, |_| run_path.exists());
    let run = read_run(&std::fs::read(&run_path).unwrap()).unwrap();
    assert_eq!(run, BuiltIn::SweepToTheLimit.run(&project).unwrap());
    job(&mut window, RigJob::WriteEvents, &events_path);
    until(&mut window, |_| events_path.exists());
    let events = std::fs::read_to_string(&events_path).unwrap();
    assert!(events.starts_with("time_s,crank_deg,event,channel") && events.contains(",spark,A,"));
    let cuts = events.lines().filter(|line| line.contains(",cut,")).count();
    window.get_by_label_contains(&format!(", {cuts} cut"));
    for (name, begin) in [("rig.svg", &b"<"[..]), ("rig.png", b"\x89PNG")] {
        let path = folder.path().join(name);
        job(&mut window, RigJob::WritePicture, &path);
        until(&mut window, |_| path.exists());
        assert!(std::fs::read(&path).unwrap().starts_with(begin), "{name}");
    }
    std::fs::write(&run_path, "time_s,speed_rpm,load\n0,900,10\n4,5000,80\n").unwrap();
    job(&mut window, RigJob::ReadRun, &run_path);
    until(&mut window, |window| window.query_by_label("run: sweep.csv").is_some());
    assert_eq!(window.state().screen().rig.span_s(), Some((0.0, 4.0)));
    std::fs::write(&run_path, "time_s,speed_rpm,load\n0,-1,10\n").unwrap();
    job(&mut window, RigJob::ReadRun, &run_path);
    until(&mut window, |window| window.state().screen().notice.as_ref().is_some_and(|notice| notice.is_error));
    let told = window.state().screen().notice.clone().unwrap().whole();
    let path = run_path.display();
    assert_eq!(told, format!("Problem: This is no run: line 2: speed_rpm −1 is outside 0..30000 \u{2014} {path}"));
    assert_eq!(window.state().screen().rig.span_s(), Some((0.0, 4.0)));
}

#[test]
fn commands_of_the_rig_say_where_they_belong() {
    let mut window = super::harness::window(sample("tarn-special"));
    for command in [Command::RigPlay, Command::RigRows, Command::RigDropEdge, Command::RigExportEvents] {
        window.state_mut().ask(Action::Run(command));
        window.run();
        let told = window.state().screen().notice.clone().unwrap();
        assert!(told.is_error && told.text.ends_with("go to the Rig sheet: this acts on its run"), "{told:?}");
    }
}

#[test]
fn every_column_stands_under_its_name() {
    for size in [(900.0, 560.0), (1280.0, 800.0), (1366.0, 768.0)] {
        let mut window = opened_at(sample("tarn-special"), size.into());
        window.get_by_label("Rows…").click();
        window.run();
        let names =
            ["time s", "speed rpm", "load %", "coolant °C", "air °C", "battery V", "throttle %", "launch 0 or 1"];
        for name in names {
            let heading = window.get_by_label(name).rect();
            let field = window.get_by_label(&format!("row 1, {name}")).rect();
            assert!((heading.right() - field.right()).abs() < 1.5, "{size:?} {name}: {heading:?} {field:?}");
            assert!(heading.left() >= field.left() - 0.5, "{size:?} {name}: {heading:?} {field:?}");
        }
    }
}

#[test]
fn a_run_with_a_decimal_mark_in_doubt_is_asked_about() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("doubt.tsv");
    std::fs::write(&path, "time_s\tspeed_rpm\tload\n0\t1,000\t10\n4\t2,000\t20\n").unwrap();
    let mut window = opened(sample("tarn-special"));
    for (answer, speeds) in [("It is 1000", [1000.0, 2000.0]), ("It is 1", [1.0, 2.0])] {
        window.state_mut().ask(Action::File(FileAction::Do(FileJob::Rig(RigJob::ReadRun), path.clone())));
        until(&mut window, |window| window.query_by_label(answer).is_some());
        window.get_by_label(answer).click();
        until(&mut window, |window| {
            let run = window.state().screen().rig.run.clone().unwrap();
            run.rows().iter().map(|row| row.speed_rpm).eq(speeds)
        });
    }
    window.get_by_label("Rows…").click();
    window.run();
    paste(&mut window, "time_s\tspeed_rpm\tload\n0\t3,000\t10\n4\t5,000\t20\n");
    assert!(project(&window).runs.is_empty());
    window.get_by_label("It is 3000").click();
    window.run();
    window.run();
    assert_eq!(project(&window).runs[0].rows[1].speed_rpm, Some(5000.0));
}
