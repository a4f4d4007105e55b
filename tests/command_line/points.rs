//! Measured points brought in, listed, set, merged and taken away again.

use super::bench::{Bench, SAMPLE};

const FILE: &str = "name,speed_rpm,load,advance_deg,low_deg,high_deg,kind,source,taken_at\n\
                    P1,3000,60,24.5,23.9,25.2,best_torque,brake,2026-05-04\n\
                    P2,3500,60,27,26.5,,best_torque,brake,2026-05-04\n\
                    P3,3500,100,18,,,knock,by ear,\n";

fn with_points() -> Bench {
    let bench = Bench::new();
    bench.put("points.csv", FILE);
    let told = bench.done(&format!("points {SAMPLE} -o mine.ron --add points.csv"));
    assert_eq!(told, "3 points added: P1, P2, P3\nwrote mine.ron\n");
    bench
}

#[test]
fn points_are_listed_for_people_and_programs() {
    let bench = with_points();
    assert_eq!(bench.done(&format!("points {SAMPLE}")), "no measured points\n");
    assert_eq!(
        bench.done("points mine.ron"),
        "P1: 24.5° (23.9–25.2°) at 3000 rpm, 60 %; best torque; brake, 2026-05-04\n\
         P2: at least 27.0° (from 26.5°) at 3500 rpm, 60 %; best torque; brake, 2026-05-04\n\
         P3: at most 18.0° at 3500 rpm, 100 %; knock; by ear\n"
    );
    let json = bench.json("points mine.ron --json");
    assert_eq!(json[1]["bound"], "at_least");
    assert_eq!((json[1]["low_deg"].as_f64(), json[1]["high_deg"].is_null()), (Some(26.5), true));
    let csv = bench.done("points mine.ron --csv");
    assert!(csv.starts_with("name,speed_rpm,load_pct,advance_deg,low_deg,"), "{csv}");
    bench.put("again.csv", &csv);
    let again = bench.done(&format!("points {SAMPLE} -o again.ron --add again.csv"));
    assert_eq!(again, "3 points added: P1, P2, P3\nwrote again.ron\n");
    assert_eq!(bench.text("again.ron"), bench.text("mine.ron"));
}

#[test]
fn a_name_that_is_taken_is_refused_unless_it_is_the_same_point_or_is_to_be_replaced() {
    let bench = with_points();
    let same = bench.done("points mine.ron -o same.ron --add points.csv");
    assert_eq!(same, "3 points there already, the same: P1, P2, P3\nwrote same.ron\n");
    assert_eq!(bench.text("same.ron"), bench.text("mine.ron"));
    bench.put("other.csv", &FILE.replace("24.5", "25"));
    let refused = bench.failed("points mine.ron -o other.ron --add other.csv");
    assert!(
        refused.contains("evidence.points[P1]: there is a measured point 'P1' already, and it differs"),
        "{refused}"
    );
    let replaced = bench.done("points mine.ron -o other.ron --add other.csv --replace --json");
    assert_eq!(
        replaced,
        "{\"file\":\"other.ron\",\"added\":[],\"replaced\":[\"P1\"],\"alike\":[\"P2\",\"P3\"],\"removed\":[]}\n"
    );
    assert_eq!(
        bench.run(["compare", "mine.ron", "other.ron"]).out.lines().filter(|line| line.contains("P1")).count(),
        1
    );
    let gone = bench.done("points other.ron -o other.ron --remove P1 --remove P3");
    assert_eq!(gone, "2 points removed: P1, P3\nwrote other.ron\n");
    let unknown = bench.failed("points other.ron -o other.ron --remove P9");
    assert!(unknown.contains("there is no measured point 'P9'; it has P2"), "{unknown}");
    assert!(bench.failed("points mine.ron -o other.ron").contains("-o is for what --add or --remove makes"));
}

#[test]
fn a_file_that_is_wrong_is_refused_with_its_line() {
    let bench = with_points();
    for (file, words) in [
        (FILE.replace("24.5", "99"), "bad.csv: line 2: advance_deg: 99 is outside"),
        (FILE.replace(",load,", ",load_kpa,"), "bad.csv: line 1: the loads of 'load_kpa' are in kPa"),
        (FILE.replace("P2,", "P1,"), "bad.csv: line 3: the point 'P1' stands in line 2 already"),
        ("name;speed_rpm;load;advance_deg\nP1;3,000;60;24\n".into(), "--decimal-mark point"),
    ] {
        bench.put("bad.csv", &file);
        let refused = bench.failed(&format!("points {SAMPLE} -o bad.ron --add bad.csv"));
        assert!(refused.contains(words), "{refused}");
    }
    assert!(!bench.names().contains(&"bad.ron".to_owned()));
}

#[test]
fn points_are_checked_set_compared_and_merged() {
    let bench = with_points();
    let found = bench.run(["check", "mine.ron"]).out;
    assert!(found.contains("point_knock") && found.contains("P3"), "{found}");
    let set = ["set", "mine.ron", "-o", "mine.ron", "evidence.points[P3].in_use=no", "evidence.points[P1].note=cold"];
    let told = bench.run(set);
    assert_eq!(
        told.out, "evidence.points[P1].note: empty → cold\nevidence.points[P3].in_use: yes → no\nwrote mine.ron\n",
        "{}",
        told.err
    );
    assert!(!bench.run(["check", "mine.ron"]).out.contains("point_knock"));
    bench.put("theirs.csv", "name,speed_rpm,load,advance_deg\nQ1,2000,40,30\n");
    _ = bench.done(&format!("points {SAMPLE} -o theirs.ron --add theirs.csv"));
    _ = bench.done(&format!("merge {SAMPLE} mine.ron theirs.ron -o merged.ron"));
    let names: Vec<String> =
        bench.project("merged.ron").evidence.points.iter().map(|point| point.name.clone()).collect();
    assert_eq!(names, ["P1", "P2", "P3", "Q1"]);
}
