//! Measured points and readings in the project file.

use std::sync::Arc;

use proptest::prelude::*;

use super::{Evidence, KeptSweep, MeasuredPoint, PointBound, SweepReading};
use crate::project::{LoadKind, NewProject, Project, ReadError, read, write};

fn started() -> Project {
    NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 4, loads: 4 }.create().unwrap()
}

fn text(project: &Project) -> String {
    write(project).unwrap()
}

/// Line, field and message of a text that is no project.
fn invalid(text: &str) -> (usize, String, String) {
    match read(text.as_bytes()).unwrap_err() {
        ReadError::Invalid { line, path, message, .. } => (line, path, message),
        other => panic!("{other}"),
    }
}

#[test]
fn a_measured_point_is_one_line_and_so_is_a_reading() {
    let before = Project::new(NewProject::sample_with_everything().unwrap()).unwrap();
    let after = before.edit(|parts| {
        let point = Arc::make_mut(&mut parts.evidence.points[0]);
        (point.advance_deg, point.note) = (24.75, "longer than before".into());
    });
    let lines = |project: &Project| text(project).lines().map(str::to_owned).collect::<Vec<_>>();
    let (was, is) = (lines(&before), lines(&after.unwrap()));
    assert_eq!(was.len(), is.len());
    let differing: Vec<_> = was.iter().zip(&is).filter(|(a, b)| a != b).collect();
    let [(was, is)] = differing[..] else { panic!("one line: {differing:?}") };
    assert!(
        was.starts_with("            (name: \"P3\", speed_rpm: 3000, load: 60, advance_deg: 24.5, low_deg: Some(23.9)")
    );
    assert!(is.contains("advance_deg: 24.75,") && is.ends_with("in_use: true),"), "{is}");
    let wrong = text(&before).replacen("advance_deg: 24.5", "advance_deg: 95", 1);
    let (line, path, message) = invalid(&wrong);
    assert_eq!((path.as_str(), message.as_str()), ("evidence.points[0].advance_deg", "95 is outside \u{2212}60..90°"));
    assert!(wrong.lines().nth(line - 1).unwrap().contains("\"P3\""));
    let wrong = text(&before).replacen("torque: 100,", "torque: 0,", 1);
    let (line, path, ..) = invalid(&wrong);
    assert_eq!(path, "evidence.sweeps[0].readings[0].torque");
    assert!(
        wrong
            .lines()
            .nth(line - 1)
            .unwrap()
            .trim_start()
            .starts_with("(speed_rpm: 3000, load: 60, advance_deg: 20, torque: 0, ")
    );
}

#[test]
fn sweeps_of_a_file_that_says_nothing_of_the_air_are_read_as_they_are() {
    let plain = Project::new(NewProject::sample_with_everything().unwrap()).unwrap();
    let with = text(&plain);
    let without: String =
        with.lines().filter(|line| !line.contains("air: Some(iso)")).map(|line| format!("{line}\n")).collect();
    assert_eq!(with.lines().count(), without.lines().count() + 1);
    let project = read(without.as_bytes()).unwrap();
    assert_eq!(project.evidence.sweeps[0].air, None);
    assert_eq!(project.evidence.sweeps[0].readings, plain.evidence.sweeps[0].readings);
    assert_eq!(text(&project), with.replacen("air: Some(iso)", "air: None", 1));
}

proptest! {
    #[test]
    fn points_and_readings_are_written_and_read_alike(
        points in proptest::collection::vec((0.0..30_000.0, 0.0..100.0, -60.0..90.0, any::<[bool; 4]>(), "[ -~äµ°]{0,20}"), 0..6),
        torques in proptest::collection::vec((0.001..1e6, any::<[bool; 3]>(), "[ -~äµ°]{1,20}"), 0..6),
    ) {
        let point = |(at, (speed_rpm, load, advance_deg, has, note)): (usize, (f64, f64, f64, [bool; 4], String))| {
            let bound = match (has[0], has[1]) {
                (true, false) => PointBound::AtLeast,
                (false, true) => PointBound::AtMost,
                _ => PointBound::About,
            };
            let (low_deg, high_deg) = (has[0].then_some(-60.0), has[1].then_some(90.0));
            let (name, sd_deg, in_use) = (format!("{at} °"), has[2].then_some(0.7), has[3]);
            Arc::new(MeasuredPoint { name, speed_rpm, load, advance_deg, low_deg, high_deg, sd_deg, bound, note, in_use, ..MeasuredPoint::default() })
        };
        let reading = |(torque, has, why): (f64, [bool; 3], String)| SweepReading {
            torque,
            knock: has[0].then_some(2.0),
            pull: has[1].then_some(7),
            left_out: has[2].then(|| format!("x{why}")),
            ..SweepReading::default()
        };
        let readings = torques.into_iter().map(reading).collect();
        let sweep = KeptSweep { name: "s".into(), readings, ..KeptSweep::default() };
        let points = points.into_iter().enumerate().map(point).collect();
        let project = started().edit(|parts| parts.evidence = Evidence { points, sweeps: vec![sweep.into()] }).unwrap();
        let first = text(&project);
        let again = read(first.as_bytes()).unwrap();
        prop_assert_eq!(&again, &project);
        prop_assert_eq!(text(&again), first);
    }
}
