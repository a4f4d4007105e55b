//! The rows of a run: typed, pasted, read from a file and written to one.

use eframe::egui::{Event, Key};
use egui_kittest::kittest::Queryable;
use sparkloft::interchange::read_run;
use sparkloft::rig::BuiltIn;
use sparkloft::window::commands::Command;
use sparkloft::window::files::FileJob;
use sparkloft::window::sheets::rig::{RigJob, RunChoice};
use sparkloft::window::{Action, FileAction};

use super::harness::{Window, sample};
use super::rig::{opened, strip, until};

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

#[test]
fn a_typed_field_puts_a_run_of_ones_own_on_the_rig() {
    let mut window = with_rows();
    let rows = BuiltIn::SweepToTheLimit.run(window.state().document().project()).unwrap().rows().len();
    assert_eq!(window.state().screen().rig.rows.len(), rows);
    window.get_by_label("row 2, speed rpm").focus();
    window.run();
    window.event(Event::Key {
        key: Key::A,
        physical_key: None,
        pressed: true,
        repeat: false,
        modifiers: eframe::egui::Modifiers::COMMAND,
    });
    window.event(Event::Text("2345".into()));
    window.run();
    assert_eq!(window.state().screen().rig.choice, RunChoice::Typed);
    assert_eq!(window.state().screen().rig.run.clone().unwrap().rows()[1].speed_rpm, 2345.0);
    window.get_by_label("run: typed rows");
    window.event(Event::Text("x".into()));
    window.run();
    window.get_by_label_contains("Problem: row 2: speed_rpm '2345x': not a number");
    window.get_by_label_contains("No run: row 2");
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
    let rows = window.state().screen().rig.rows.clone();
    assert_eq!((rows.len(), rows[2][2].as_str(), rows[3][3].as_str()), (4, "70", "81"));
    paste(&mut window, "1\t2\t3\t4\t5\t6\t7\n");
    let told = window.state().screen().notice.clone().unwrap();
    assert!(told.is_error && told.text.contains("do not fit"), "{told:?}");
    assert_eq!(window.state().screen().rig.rows, rows);
    paste(&mut window, "time_s\tspeed_rpm\n0\t1\n");
    assert!(window.state().screen().notice.clone().unwrap().text.contains("there is no column 'load'"));
}

#[test]
fn rows_are_added_and_removed_and_a_run_keeps_two() {
    let mut window = with_rows();
    let rows = window.state().screen().rig.rows.len();
    window.get_by_label("Add a row after row 1").click();
    window.run();
    assert_eq!(window.state().screen().rig.rows.len(), rows + 1);
    window.get_by_label_contains("Problem: row 2: time_s '': a number is missing");
    window.get_by_label("Remove row 2").click();
    window.run();
    assert_eq!(window.state().screen().rig.rows.len(), rows);
    for _ in 2..rows {
        window.get_by_label("Remove row 2").click();
        window.run();
    }
    window.get_by_label("Remove row 2").click();
    window.run();
    assert_eq!(window.state().screen().rig.rows.len(), 2);
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
    let told = window.state().screen().notice.clone().unwrap().text;
    assert_eq!(told, "sweep.csv is no run: line 2: speed_rpm −1 is outside 0..30000");
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
