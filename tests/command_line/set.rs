//! Fields by their path.

use serde_json::json;
use sparkloft::project::{Origin, list_fields};
use sparkloft::table::Cell;

use super::bench::{Bench, SAMPLE};

#[test]
fn every_field_is_listed_with_range_and_value() {
    let bench = Bench::new();
    let list = bench.done(&format!("set {SAMPLE} --list"));
    let fields = list_fields(&bench.project(SAMPLE)).unwrap();
    assert_eq!(list.lines().count(), fields.len());
    assert!(list.contains("\ntrigger.zero_offset_deg = -1.2  # Zero offset: -18..18°\n"), "{list}");
    assert!(list.contains("\nengine.firing_order = 1,3,4,2  # "), "{list}");
    let listed = bench.json(&format!("set {SAMPLE} --list --json"));
    let offset = listed.as_array().unwrap().iter().find(|field| field["path"] == "trigger.zero_offset_deg").unwrap();
    assert_eq!((&offset["value"], &offset["range"]), (&json!(-1.2), &json!("-18..18°")));
}

#[test]
fn what_is_assumed_is_listed_so_and_setting_it_confirms_it() {
    let bench = Bench::new();
    bench.done("new --cylinders 4 --load throttle -o new.ron");
    let line = |file: &str| {
        let list = bench.done(&format!("set {file} --list"));
        list.lines().find(|line| line.starts_with("coil.resistance_ohm = ")).unwrap().to_owned()
    };
    assert!(line("new.ron").ends_with("; assumed"), "{}", line("new.ron"));
    let told = bench.done("set new.ron -o known.ron coil.resistance_ohm=0.5");
    assert_eq!(told, "coil.resistance_ohm: confirmed\nwrote known.ron\n");
    assert!(!line("known.ron").contains("assumed"));
    let listed = bench.json("set new.ron --list --json");
    let listed = |path: &str| listed.as_array().unwrap().iter().find(|field| field["path"] == path).unwrap().clone();
    assert_eq!(listed("coil.resistance_ohm")["assumed"], true);
    assert_eq!(listed("trigger.zero_offset_deg")["assumed"], false);
}

#[test]
fn the_kind_of_load_changes_with_a_fresh_start_only() {
    let bench = Bench::new();
    bench.done("new --cylinders 4 --load pressure -o new.ron");
    bench.done("set new.ron -o new.ron advance.load[0]=1");
    let told = bench.failed("set new.ron -o other.ron sensors.load=throttle");
    assert!(told.contains("everything written over load is in kPa") && told.contains("--start-anew"), "{told}");
    assert!(!bench.path("other.ron").exists());
    bench.done("set new.ron -o other.ron sensors.load=throttle --start-anew engine.idle_load=5");
    let after = bench.project("other.ron");
    assert_eq!((after.advance.table().load().last(), after.engine.idle_load), (100.0, 5.0));
    assert!(bench.failed("set new.ron -o x.ron step_deg=0.25 --start-anew").contains("sensors.load=throttle"));
}

#[test]
fn a_changed_engine_is_told_of_its_full_load_line() {
    let bench = Bench::new();
    bench.done("new --cylinders 4 --load throttle -o new.ron");
    let words = ["set", "new.ron", "-o", "tight.ron", "engine.compression_ratio=11"];
    let run = bench.run(words);
    assert_eq!(run.code, Some(0));
    assert!(run.err.contains("it would be 29.6° from 3000 rpm"), "{}", run.err);
    assert_eq!(bench.project("tight.ron").full_load_line, bench.project("new.ron").full_load_line);
    let run = bench.run(words.iter().chain(&["--full-load-line"]));
    assert_eq!((run.code, run.err.as_str()), (Some(0), ""));
    assert_eq!(bench.project("tight.ron").full_load_line.most_deg.lookup(3000.0), 29.6);
    bench.done("set tight.ron -o again.ron --full-load-line");
    // Whoever has no line, or whose line does not depend on it, is not told.
    assert_eq!(bench.run(["set", "new.ron", "-o", "x.ron", "engine.displacement_l=1.8"]).err, "");
    assert_eq!(bench.run(["set", "tight.ron", "-o", "x.ron", "coil.harness_ohm=0.2"]).err, "");
}

#[test]
fn what_is_listed_can_be_set_again_and_changes_nothing() {
    let bench = Bench::new();
    let list = bench.done(&format!("set {SAMPLE} --list"));
    let fields = list.lines().map(|line| line.split_once("  # ").unwrap().0.split_once(" = ").unwrap());
    // Text is listed in quotes, which setting would keep.
    let words: Vec<String> =
        fields.filter(|(_, value)| !value.starts_with('"')).map(|(path, value)| format!("{path}={value}")).collect();
    assert!(words.len() > 100);
    let run = bench.run(["set", SAMPLE, "-o", "out.ron"].into_iter().chain(words.iter().map(String::as_str)));
    assert_eq!((run.code, run.out.as_str()), (Some(0), "nothing changed\nwrote out.ron\n"), "{}", run.err);
    assert_eq!(bench.text("out.ron"), bench.text(SAMPLE));
}

#[test]
fn fields_and_cells_are_set_together() {
    let bench = Bench::new();
    let words = ["trigger.zero_offset_deg=-1.5", "advance.deg[3][4]=28.25", "notes=a = b", "advance.held[0][0]=yes"];
    let run = bench.run(["set", SAMPLE, "-o", "out.ron", "--json"].iter().chain(&words));
    let done = super::bench::document(&run.out);
    let (before, after) = (bench.project(SAMPLE), bench.project("out.ron"));
    assert_eq!((after.trigger.zero_offset_deg, after.notes.as_str()), (-1.5, "a = b"));
    let cell = Cell::new(3, 4);
    assert_eq!((after.advance.table().at(cell), after.advance.origin(cell)), (28.25, Origin::Typed));
    assert!(after.advance.held().contains(Cell::new(0, 0)));
    assert_eq!(done["cells_changed"], 1);
    let offset = json!({"path": "trigger.zero_offset_deg", "base": -1.2, "edited": -1.5});
    assert!(done["fields"].as_array().unwrap().contains(&offset), "{done}");
    assert_eq!(after.snapshots, before.snapshots);
}

#[test]
fn wrong_paths_and_values_write_nothing() {
    let bench = Bench::new();
    let failed = |words: &str| bench.failed(&format!("set {SAMPLE} -o x.ron step_deg=0.25 {words}"));
    assert!(failed("trigger.zero_ofset_deg=1").contains("did you mean 'trigger.zero_offset_deg'?"));
    assert!(
        failed("trigger.zero_offset_deg=41")
            .contains("−18..18°, three pitches of the wheel: move the reference by 7 teeth")
    );
    assert!(failed("trigger.zero_offset_deg=inf").contains("not a number"));
    assert!(failed("trigger.sensor=radar").contains("inductive, hall, optical"));
    assert!(failed("engine.firing_order=1,3,4,4").contains("engine.firing_order"));
    assert!(failed("advance.deg[3][4]=91").contains("−60..90°"));
    assert!(failed("step_deg").contains("FIELD=VALUE"));
    assert!(bench.failed(&format!("set {SAMPLE} -o x.ron --list")).contains("--list"));
}

#[test]
fn a_file_of_an_older_version_is_read_and_that_is_said_beside_the_report() {
    let bench = Bench::new();
    bench.put("old.ron", include_str!("../frozen/v1/all-accepted-boosted-six.ron"));
    let note = "note: old.ron: The file has format version 1; when it is saved, it gets version 4.\n";
    let shown = bench.run(["show", "old.ron"]);
    assert_eq!((shown.code, shown.err.as_str()), (Some(0), note));
    let same = bench.run(["set", "old.ron", "-o", "new.ron", "step_deg=0.25"]);
    assert_eq!((same.code, same.err.as_str()), (Some(0), note));
    assert!(bench.text("new.ron").starts_with("(\n    format: 4,\n"));
    assert_eq!(bench.project("new.ron"), bench.project("old.ron"));
    assert_eq!(bench.run(["show", "new.ron"]).err, "");
    bench.put("later.ron", &bench.text("new.ron").replacen("format: 4", "format: 5", 1));
    assert!(bench.failed("show later.ron").contains("a newer Sparkloft wrote it"));
}
