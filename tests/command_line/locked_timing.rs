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
    assert!(bench.failed(&format!("locked-timing {SAMPLE} --advance 95 -o out.ron")).contains("outside −60..90"));
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

#[test]
fn a_copy_keeps_its_advance_whatever_is_tried() {
    let bench = Bench::new();
    bench.done(&format!("locked-timing {SAMPLE} -o locked.ron"));
    bench.done(&format!("export {SAMPLE} -o table.csv"));
    for refused in [
        "shape locked.ron -o out.ron set 35",
        "import table.csv --into locked.ron -o out.ron",
        "set locked.ron -o out.ron advance.deg[0][0]=11",
        "set locked.ron -o out.ron limits.launch.enabled=yes",
    ] {
        let told = bench.failed(refused);
        assert!(told.contains("this is a copy with locked timing 10°"), "{refused}: {told}");
        assert!(told.contains("change the real project"), "{refused}: {told}");
    }
    for refused in [
        "set locked.ron -o out.ron locked_timing_deg=none".to_owned(),
        "set locked.ron -o out.ron locked_timing_deg=30".to_owned(),
        format!("set {SAMPLE} -o out.ron locked_timing_deg=10"),
    ] {
        assert!(bench.failed(&refused).contains("'sparkloft locked-timing' makes such a copy"), "{refused}");
    }
}

#[test]
fn a_copy_commands_its_advance_whatever_is_switched_on_and_says_so() {
    let bench = Bench::new();
    bench.done(&format!("set {SAMPLE} -o real.ron limits.launch.enabled=yes trims.coolant.enabled=yes"));
    bench.done("locked-timing real.ron -o locked.ron");
    let point = "--speed 4100 --load 100 --coolant -20 --air 80 --launch";
    let answer = bench.json(&format!("lookup locked.ron {point} --json"));
    assert_eq!((&answer["commanded_deg"], &answer["locked_timing_deg"]), (&json!(10), &json!(10)));
    assert_eq!(bench.json(&format!("lookup real.ron {point} --json"))["locked_timing_deg"], Value::Null);
    for job in [format!("lookup locked.ron {point}"), "rig locked.ron --run idle".to_owned()] {
        assert!(bench.done(&job).starts_with("LOCKED TIMING 10°: "), "{job}");
    }
    assert_eq!(bench.json("rig locked.ron --run idle --json")["locked_timing_deg"], json!(10));
    bench.put("points.csv", "speed_rpm,load\n2000,50\n");
    let run = bench.say("lookup locked.ron --points points.csv -o out.csv");
    assert!(run.err.contains("the project is a copy with locked timing 10°"), "{}", run.err);
}
