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
    let note = "note: old.ron: The file has format version 1; when it is saved, it gets version 3.\n";
    let shown = bench.run(["show", "old.ron"]);
    assert_eq!((shown.code, shown.err.as_str()), (Some(0), note));
    let same = bench.run(["set", "old.ron", "-o", "new.ron", "step_deg=0.25"]);
    assert_eq!((same.code, same.err.as_str()), (Some(0), note));
    assert!(bench.text("new.ron").starts_with("(\n    format: 3,\n"));
    assert_eq!(bench.project("new.ron"), bench.project("old.ron"));
    assert_eq!(bench.run(["show", "new.ron"]).err, "");
    bench.put("later.ron", &bench.text("new.ron").replacen("format: 3", "format: 4", 1));
    assert!(bench.failed("show later.ron").contains("a newer Sparkloft wrote it"));
}
