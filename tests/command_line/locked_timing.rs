//! The locked-timing copy and where it says what it is.

use serde_json::{Value, json};

use super::bench::{Bench, SAMPLE};

#[test]
fn a_marked_copy_with_a_flat_table_is_written() {
    let bench = Bench::new();
    let run = bench.say(&format!("locked-timing {SAMPLE} -o locked.ron --json"));
    assert_eq!(run.code, Some(0));
    let answer = super::bench::document(&run.out);
    assert_eq!((&answer["file"], &answer["locked_timing_deg"]), (&json!("locked.ron"), &json!(10)));
    assert!(run.err.contains("Ignition voltage can kill"), "{}", run.err);
    let shown = bench.json("show locked.ron --json");
    assert_eq!(shown["locked_timing_deg"], json!(10));
    let rows = shown["advance_deg"].as_array().unwrap();
    assert!(rows.iter().flat_map(|row| row.as_array().unwrap()).all(|deg| *deg == json!(10)));
    assert_eq!(bench.json(&format!("show {SAMPLE} --json"))["locked_timing_deg"], Value::Null);
    let copy = bench.project("locked.ron");
    assert!(!copy.trims.coolant.enabled && !copy.trims.air.enabled && copy.limits.over_speed.enabled);
    bench.done(&format!("locked-timing {SAMPLE} --advance 12.5 -o other.ron"));
    assert_eq!(bench.project("other.ron").locked_timing_deg, Some(12.5));
}

#[test]
fn it_says_what_it_is_wherever_it_is_used() {
    let bench = Bench::new();
    bench.done(&format!("locked-timing {SAMPLE} -o locked.ron"));
    assert!(
        bench
            .done("show locked.ron")
            .contains("LOCKED TIMING 10°: for use with the timing light; no map to drive with")
    );
    let export = bench.say("export locked.ron -o locked.csv");
    assert!(export.err.contains("what was exported is a copy with locked timing 10°"), "{}", export.err);
    let compare = bench.say(&format!("compare {SAMPLE} locked.ron"));
    assert!(compare.err.contains("the edited project is a copy with locked timing 10°"), "{}", compare.err);
    assert!(compare.out.contains("locked_timing_deg"), "{}", compare.out);
}

#[test]
fn the_real_project_is_never_written_over_and_nonsense_is_refused() {
    let bench = Bench::new();
    let before = bench.text(SAMPLE);
    assert!(bench.failed(&format!("locked-timing {SAMPLE} -o {SAMPLE}")).contains("the real project"));
    assert!(bench.failed(&format!("locked-timing {SAMPLE} -o ./{SAMPLE}")).contains("the real project"));
    assert_eq!(bench.text(SAMPLE), before);
    assert!(bench.failed(&format!("locked-timing {SAMPLE} --advance 95 -o out.ron")).contains("outside -60..90"));
    assert!(bench.failed(&format!("locked-timing {SAMPLE} --advance -50 -o out.ron")).contains("clamp"));
    bench.done(&format!("locked-timing {SAMPLE} -o locked.ron"));
    assert!(bench.failed("locked-timing locked.ron -o out.ron").contains("already"));
}

#[test]
fn a_merge_with_a_copy_is_one_conflict() {
    let bench = Bench::new();
    bench.done(&format!("locked-timing {SAMPLE} -o locked.ron"));
    bench.done(&format!("set {SAMPLE} -o mine.ron notes=mine"));
    let run = bench.say(&format!("merge {SAMPLE} mine.ron locked.ron -o out.ron"));
    assert_eq!(run.code, Some(1));
    assert!(run.out.contains("The whole project: "), "{}", run.out);
}
