//! Samples, new projects, and what is shown of them.

use serde_json::{Value, json};
use sparkloft::project::SAMPLES;
use sparkloft::table::Cell;

use super::bench::{Bench, SAMPLE, document};

#[test]
fn samples_are_listed_and_written_into_a_new_folder() {
    let bench = Bench::new();
    let list = bench.done("samples");
    assert_eq!(list.lines().count(), 4);
    assert!(SAMPLES.iter().all(|sample| list.contains(sample.name)));
    assert_eq!(bench.json("samples --json")[0]["name"], "tarn-special");
    bench.done("samples a/b");
    for sample in SAMPLES {
        assert_eq!(bench.text(&format!("a/b/{}.ron", sample.name)), sample.text);
    }
    assert_eq!(bench.json("samples a/b --json")[3]["file"], "a/b/wren-four.ron");
}

#[test]
fn samples_never_take_the_place_of_edited_ones_unasked() {
    let bench = Bench::new();
    bench.put("wren-four.ron", "mine");
    std::fs::remove_file(bench.path(SAMPLE)).unwrap();
    assert!(bench.failed("samples .").contains("--replace"));
    assert!(!bench.path(SAMPLE).exists() && bench.text("wren-four.ron") == "mine");
    bench.done("samples . --replace");
    assert!(bench.text("wren-four.ron") == SAMPLES[3].text && bench.path(SAMPLE).exists());
    bench.put("file", "");
    bench.failed("samples file/inside");
}

#[test]
fn samples_that_cannot_all_be_written_leave_nothing() {
    let bench = Bench::new();
    std::fs::create_dir_all(bench.path("here/larch-six.ron")).unwrap();
    bench.failed("samples here");
    let left: Vec<_> = std::fs::read_dir(bench.path("here")).unwrap().collect();
    assert_eq!(left.len(), 1);
}

#[test]
fn new_projects_have_the_size_and_engine_asked_for() {
    let bench = Bench::new();
    for (cylinders, load, size) in [(4, "throttle", (2, 64)), (6, "pressure", (64, 2)), (8, "throttle", (12, 8))] {
        let (speeds, loads) = size;
        bench.done(&format!("new --cylinders {cylinders} --load {load} --size {speeds}x{loads} -o my-car.ron"));
        let project = bench.project("my-car.ron");
        let table = project.advance.table();
        assert_eq!((table.speed().len(), table.load().len()), size);
        assert_eq!((project.engine.cylinders, project.sensors.load.name()), (cylinders, load));
        assert_eq!(project.name, "my-car");
    }
    let made = bench.json("new --cylinders 4 --load throttle --name x -o n.ron --json");
    let assumed: Vec<String> = bench.project("n.ron").assumed.iter().cloned().collect();
    assert!(assumed.contains(&"coil.resistance_ohm".into()) && assumed.contains(&"engine.compression_ratio".into()));
    assert_eq!(
        made,
        json!({"file": "n.ron", "name": "x", "cylinders": 4, "speeds": 16, "loads": 16, "assumed": assumed})
    );
}

#[test]
fn what_is_known_of_the_engine_fills_a_new_project() {
    let bench = Bench::new();
    let words = "new --cylinders 6 --load pressure --displacement 2.7 --compression 8.2 --octane 98 --chamber \
                 two-valve-hemispherical --induction supercharged --highest-pressure 150 --idle 850 --safe-speed 6300 \
                 -o known.ron";
    let told = bench.done(words);
    assert!(told.contains(" values assumed until you set or confirm them"), "{told}");
    let project = bench.project("known.ron");
    let engine = &project.engine;
    assert_eq!((engine.displacement_l, engine.compression_ratio, engine.highest_pressure_kpa), (2.7, 8.2, 150.0));
    assert_eq!((engine.idle_speed_rpm, engine.highest_safe_speed_rpm), (850.0, Some(6300.0)));
    assert!(engine.induction.is_boosted() && project.full_load_line.enabled);
    assert_eq!(project.limits.over_speed.cuts_all_at_rpm, 6300.0);
    assert!(project.assumed.iter().all(|path| !path.contains("compression") && !path.contains("chamber")));
    let findings = bench.json("check known.ron --json");
    let ids: Vec<&str> = findings.as_array().unwrap().iter().map(|found| found["id"].as_str().unwrap()).collect();
    assert_eq!(ids, ["zero_proof"]);
    let told = bench.done("check known.ron");
    assert!(told.lines().next().unwrap().ends_with(" values assumed"), "{told}");
}

#[test]
fn figures_that_no_engine_has_are_refused() {
    let bench = Bench::new();
    let new = |words: &str| bench.failed(&format!("new --cylinders 4 --load throttle -o x.ron {words}"));
    assert!(new("--compression 30").contains("compression ratio: 30 is outside 4..20"));
    assert!(new("--idle 1500 --safe-speed 2000").contains("1000 rpm at least must lie between them"));
    assert!(new("--chamber round").contains("two-valve-side-plug"));
    assert!(!bench.path("x.ron").exists());
}

#[test]
fn new_projects_that_cannot_be_are_refused_with_the_reason() {
    let bench = Bench::new();
    assert!(bench.failed("new --cylinders 5 --load throttle -o n.ron").contains("companion"));
    assert!(bench.failed("new --cylinders 4 --load throttle --size 65x2 -o n.ron").contains("2 to 64"));
    assert!(bench.failed("new --cylinders 4 --load throttle --size 16 -o n.ron").contains("SPEEDSxLOADS"));
    bench.failed("new --cylinders 4 --load wind -o n.ron");
    bench.failed("new --cylinders 4 -o n.ron");
}

#[test]
fn show_gives_the_table_with_all_its_marks() {
    let bench = Bench::new();
    let (shown, project) = (bench.json(&format!("show {SAMPLE} --json")), bench.project(SAMPLE));
    let table = project.advance.table();
    assert_eq!(shown["speed_rpm"], json!(table.speed().breakpoints().iter().map(|x| plain(*x)).collect::<Vec<_>>()));
    assert_eq!(shown["load"].as_array().unwrap().len(), 16);
    for cell in table.cells() {
        let at = |name: &str| shown[name][cell.load][cell.speed].clone();
        assert_eq!(at("advance_deg"), plain(table.at(cell)));
        assert_eq!(at("held"), project.advance.held().contains(cell));
        assert_eq!(at("origin"), project.advance.origin(cell).name());
    }
    let rest = ["load_unit", "step_deg", "reference_deg", "zero_offset_deg", "cylinders"].map(|name| &shown[name]);
    assert_eq!(rest, [&json!("%"), &json!(0.5), &json!(90), &json!(-1.2), &json!(4)]);
    assert!(project.advance.held().contains(Cell::new(0, 2)));
}

#[test]
fn show_writes_the_shortest_numbers() {
    let bench = Bench::new();
    let out = bench.done("show wren-four.ron --json");
    assert!(out.contains("\"speed_rpm\":[500,850,1100,") && out.contains("14.5,20,28,32,34]"), "{out}");
    document(&out);
    let text = bench.done("show wren-four.ron");
    assert!(text.starts_with("wren-four\n") && text.contains("10.0*") && text.contains("as it came in"), "{text}");
}

/// A number as JSON has it without needless decimals.
fn plain(value: f64) -> Value {
    serde_json::from_str(&sparkloft::wording::shortest(value)).unwrap()
}
