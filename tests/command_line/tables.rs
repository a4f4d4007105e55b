//! Tables out to files of other programs, and back.

use serde_json::json;
use sparkloft::project::Origin;

use super::bench::{Bench, SAMPLE};

#[test]
fn what_is_exported_is_imported_again() {
    let bench = Bench::new();
    for name in ["t.csv", "t.tsv", "t.CSV"] {
        bench.done(&format!("export {SAMPLE} -o {name}"));
        let done = bench.json(&format!("import {name} --into wren-four.ron -o out.ron --json"));
        assert_eq!(done, json!({"file": "out.ron", "speeds": 16, "loads": 16}));
        let (out, into, from) = (bench.project("out.ron"), bench.project("wren-four.ron"), bench.project(SAMPLE));
        assert_eq!(out.advance.table(), from.advance.table());
        assert!(out.advance.held().is_empty());
        assert!(out.advance.origins().iter().all(|origin| *origin == Origin::Imported));
        assert_eq!(out.with_advance(into.advance.clone()).unwrap(), into);
    }
    bench.done(&format!("export {SAMPLE} -o t.csv --decimal-comma"));
    bench.done("import t.csv --into wren-four.ron -o out.ron");
    assert_eq!(bench.project("out.ron").advance.table(), bench.project(SAMPLE).advance.table());
}

#[test]
fn export_has_its_options() {
    let bench = Bench::new();
    bench.done(&format!("export {SAMPLE} -o t.tsv --loads down --transposed --decimals 1 --decimal-comma"));
    let text = bench.text("t.tsv");
    assert!(text.starts_with("speed_rpm / load\t100\t88\t76\t"), "{text}");
    assert!(text.contains("\r\n1300\t14,5\t14,5\t15,0\t"), "{text}");
    bench.done(&format!("export {SAMPLE} -o t.csv --no-breakpoints"));
    assert!(bench.text("t.csv").starts_with("12,15,14,14,17.5,"));
    assert_eq!(bench.json(&format!("export {SAMPLE} -o t.csv --json"))["file"], "t.csv");
    for name in ["t.xls", "t", "t.ron"] {
        assert!(bench.failed(&format!("export {SAMPLE} -o {name}")).contains(".csv or .tsv"));
    }
}

#[test]
fn errors_in_a_table_name_the_line_and_write_nothing() {
    let bench = Bench::new();
    let cases = [
        ("x,1000,2000\n10,1,2\n120,3,4\n", "line 3: advance.load: load 120 is outside 0..100 %"),
        ("x,1000,2000\n10,1,2\n20,3,abc\n", "line 3, column 3 ('abc')"),
        ("x,2000,1000\n10,1,2\n20,3,4\n", "line 1, column 3"),
        ("x,1000,2000\n20,1,2\n10,3,4\n", "line 3, column 1"),
        ("x,1000,2000\n10,1,2\n20,3,99\n", "line 3, column 3 ('99'): 99° at 2000 rpm"),
        ("x,1000,2000\n10,1,2\n20,3\n", "line 3: the row has 2 fields"),
    ];
    for (text, expected) in cases {
        bench.put("bad.csv", text);
        let error = bench.failed("import bad.csv --into wren-four.ron -o out.ron");
        assert!(error.starts_with("error: bad.csv: ") && error.contains(expected), "{expected}: {error}");
    }
    assert!(bench.failed("import no.csv --into wren-four.ron -o out.ron").starts_with("error: no.csv: "));
    assert!(bench.failed("import . --into wren-four.ron -o out.ron").starts_with("error: .: "));
}

#[test]
fn a_mark_that_may_part_thousands_is_asked_for() {
    let bench = Bench::new();
    let text = "load\t1,000\t2,000\t3,000\t4,000\n0\t10\t20\t30\t40\n50\t12\t22\t32\t42\n";
    bench.put("thousands.tsv", text);
    let error = bench.failed("import thousands.tsv --into wren-four.ron -o out.ron");
    assert!(error.contains("line 1, column 2 ('1,000')") && error.contains("--decimal-mark point"), "{error}");
    let speeds = |mark: &str| {
        bench.done(&format!("import thousands.tsv --into wren-four.ron -o out.ron --decimal-mark {mark}"));
        bench.project("out.ron").advance.table().speed().breakpoints().to_vec()
    };
    assert_eq!(speeds("point"), [1000.0, 2000.0, 3000.0, 4000.0]);
    assert_eq!(speeds("comma"), [1.0, 2.0, 3.0, 4.0]);
    bench.put("run.tsv", "time_s\tspeed_rpm\tload\n0\t1,000\t20\n1\t2,000\t20\n");
    let error = bench.failed("rig wren-four.ron --run run.tsv");
    assert!(error.contains("line 2, column 2 ('1,000')") && error.contains("--decimal-mark"), "{error}");
    bench.done("rig wren-four.ron --run run.tsv --decimal-mark point");
    bench.put("light.tsv", "10\t14\t1,000\n10\t14\t2,000\n");
    assert!(bench.failed("worksheet timing-light --readings light.tsv").contains("--decimal-mark"));
    bench.done("worksheet timing-light --readings light.tsv --decimal-mark point");
}

/// `export --decimals 0` and `shape round 1` agree on halves.
#[test]
fn cells_are_rounded_by_one_rule() {
    let bench = Bench::new();
    bench.done(&format!("set {SAMPLE} -o half.ron step_deg=0.5 advance.deg[0][0]=14.5 advance.deg[0][1]=15.5"));
    bench.done("shape half.ron -o round.ron round 1");
    bench.done("export half.ron -o half.csv --decimals 0");
    let row = bench.text("half.csv").lines().nth(1).unwrap().to_owned();
    assert!(row.split(',').skip(1).take(2).eq(["15", "16"]), "{row}");
    let table = bench.project("round.ron").advance.table().row(0).to_vec();
    assert_eq!(table[..2], [15.0, 16.0]);
}

/// The printed table has the decimals of the step, whatever the step.
#[test]
fn show_prints_to_the_step() {
    let bench = Bench::new();
    for (step, deg, wanted) in
        [("0.25", "9.25", " 9.25"), ("0.125", "9.125", " 9.125"), ("0.5", "9.5", " 9.5"), ("1", "9.5", " 9.5")]
    {
        bench.done(&format!("set {SAMPLE} -o s.ron step_deg={step} advance.deg[0][0]={deg}"));
        assert!(bench.done("show s.ron").contains(wanted), "{step}");
    }
}

/// What a larger table does to the image is told once, whichever job makes it.
#[test]
fn items_that_keep_their_size_are_told_once() {
    let bench = Bench::new();
    bench.done("new --cylinders 4 --load throttle --size 8x8 -o p.ron");
    // The loads directly behind the speeds.
    bench.done("set p.ron -o p.ron image.items[1].address=16");
    let axis: Vec<String> = (0..64).map(|index| (500 + 100 * index).to_string()).collect();
    let job = format!("shape p.ron -o large.ron axes --new-speed {}", axis.join(","));
    let is_told = |run: &super::bench::Run| run.err.matches("an export resamples the table onto them").count();
    let shaped = bench.say(&job);
    assert_eq!((shaped.code, is_told(&shaped)), (Some(0), 1), "{}", shaped.err);
    bench.done("export large.ron -o large.csv");
    let imported = bench.say("import large.csv --into p.ron -o again.ron");
    assert_eq!((imported.code, is_told(&imported)), (Some(0), 1), "{}", imported.err);
    let merged = bench.say("merge p.ron p.ron large.ron -o merged.ron");
    assert_eq!((merged.code, is_told(&merged)), (Some(0), 1), "{}", merged.err);
    let quiet = bench.say("shape p.ron -o q.ron add 1");
    assert_eq!(is_told(&quiet), 0);
}
