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
    assert_eq!(made, json!({"file": "n.ron", "name": "x", "cylinders": 4, "speeds": 16, "loads": 16}));
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
