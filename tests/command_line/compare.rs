//! What differs, in figures, regions and fields.

use serde_json::{Value, json};

use super::bench::{Bench, SAMPLE, document};

fn compared(bench: &Bench, words: &str) -> (Option<i32>, Value) {
    let run = bench.say(&format!("compare --json {words}"));
    (run.code, document(&run.out))
}

#[test]
fn a_project_is_equal_to_itself() {
    let bench = Bench::new();
    let (code, answer) = compared(&bench, &format!("{SAMPLE} {SAMPLE}"));
    assert_eq!(code, Some(0));
    assert_eq!((&answer["points"], &answer["changed"]), (&json!(256), &json!(0)));
    assert!(answer["largest_rise"].is_null() && answer["largest_fall"].is_null());
    assert_eq!((&answer["share_within_half_degree"], &answer["regions"]), (&json!(1), &json!([])));
    assert_eq!(answer["fields"], json!([]));
    assert!(bench.done(&format!("compare {SAMPLE} {SAMPLE}")).contains("no field differs"));
}

/// Twelve cells of 256 go down by 2°: the mean is −24/256, the RMS √(48/256).
#[test]
fn a_lowered_block_is_one_region() {
    let bench = Bench::new();
    bench.done(&format!("shape {SAMPLE} -o out.ron --speed 2800..3700 --load 40..66 add -2"));
    let (code, answer) = compared(&bench, &format!("{SAMPLE} out.ron"));
    assert_eq!(code, Some(1));
    assert_eq!((&answer["changed"], &answer["mean_deg"]), (&json!(12), &json!(-0.09375)));
    assert_eq!(answer["rms_deg"].as_f64().unwrap(), (48.0_f64 / 256.0).sqrt());
    assert_eq!(answer["share_within_half_degree"], json!(0.953125));
    assert_eq!(answer["largest_fall"], json!({"deg": -2, "speed_rpm": 2800, "load": 40}));
    assert!(answer["largest_rise"].is_null());
    let region = json!({
        "sign": "-", "cells": 12, "speed_rpm": [2800, 3700], "load": [40, 66], "mean_deg": -2, "peak_deg": -2
    });
    assert_eq!(answer["regions"], json!([region]));
    assert_eq!(compared(&bench, &format!("{SAMPLE} out.ron --threshold 2.5")).1["regions"], json!([]));
    let text = bench.say(&format!("compare {SAMPLE} out.ron"));
    assert_eq!(text.code, Some(1));
    assert!(text.out.contains("Lowered by 2.0° throughout; 2800–3700 rpm, 40–66 %"), "{}", text.out);
    let origins = answer["fields"].as_array().unwrap();
    assert!(!origins.is_empty() && origins.iter().all(|field| field["edited"] == "typed"), "{answer}");
}

#[test]
fn one_field_or_one_mark_is_a_difference() {
    let bench = Bench::new();
    bench.done(&format!("set {SAMPLE} -o out.ron limits.over_speed.cuts_at_rpm=7150"));
    let (code, answer) = compared(&bench, &format!("{SAMPLE} out.ron"));
    let field = json!({"path": "limits.over_speed.cuts_at_rpm", "base": 7400, "edited": 7150});
    assert_eq!((code, &answer["fields"]), (Some(1), &json!([field])));
    bench.done(&format!("shape {SAMPLE} -o out.ron --speed 500..500 --load 0..0 hold"));
    let (code, answer) = compared(&bench, &format!("{SAMPLE} out.ron"));
    let field = json!({"path": "advance.held[0][0]", "base": false, "edited": true});
    assert_eq!((code, &answer["fields"]), (Some(1), &json!([field])));
}

#[test]
fn new_breakpoints_alone_are_fields() {
    let bench = Bench::new();
    bench.done("shape wren-four.ron -o out.ron axes --new-load 0,5,10,18,30,50,75,90,100");
    let (code, answer) = compared(&bench, "wren-four.ron out.ron");
    assert_eq!((code, &answer["changed"], &answer["points"]), (Some(1), &json!(0), &json!(72)));
    let fields = answer["fields"].as_array().unwrap();
    assert_eq!((fields.len(), &fields[0]["path"]), (1, &json!("advance.load")));
    assert_eq!(fields[0]["edited"], json!([0, 5, 10, 18, 30, 50, 75, 90, 100]));
}

#[test]
fn snapshots_are_ignored() {
    let bench = Bench::new();
    let start = bench.text("wren-four.ron");
    let renamed = start.replace("\"as it came in\"", "\"before\"");
    assert_ne!(start, renamed);
    bench.put("out.ron", &renamed);
    assert_eq!(compared(&bench, "wren-four.ron out.ron").0, Some(0));
}

#[test]
fn what_only_one_table_covers_is_said() {
    let bench = Bench::new();
    let run = bench.say(&format!("compare {SAMPLE} wren-four.ron --json"));
    assert_eq!(run.code, Some(1));
    assert!(run.err.contains("5800–8000 rpm is not compared"), "{}", run.err);
    assert_eq!(document(&run.out)["not_compared"].as_array().unwrap().len(), 1);
}

#[test]
fn tables_that_cannot_be_compared_are_bad_input() {
    let bench = Bench::new();
    assert!(bench.failed(&format!("compare {SAMPLE} larch-six.ron --json")).contains("throttle"));
    bench.done("shape wren-four.ron -o high.ron axes --new-speed 9000,9500 --keep surface");
    assert!(bench.failed("compare wren-four.ron high.ron").contains("no speed in common"));
    assert!(bench.failed(&format!("compare {SAMPLE} {SAMPLE} --threshold -1")).contains("0 or more"));
}

#[test]
fn what_was_last_exported_is_a_base() {
    let bench = Bench::new();
    assert!(bench.failed(&format!("compare --last-export {SAMPLE}")).contains("nothing was exported"));
    let start = bench.project(SAMPLE);
    let export = sparkloft::project::LastExport {
        file_name: "tarn.hex".into(),
        written_at: "2026-03-21T17:05:00Z".into(),
        checksum: "1234".into(),
        despite_errors: None,
        state: start.as_state(),
    };
    let exported = start.edit(|parts| parts.last_export = Some(export.into())).unwrap();
    bench.put("p.ron", &sparkloft::project::write(&exported).unwrap());
    assert_eq!(compared(&bench, "--last-export p.ron").0, Some(0));
    bench.done("set p.ron -o p.ron limits.over_speed.cuts_at_rpm=7150");
    let (code, answer) = compared(&bench, "--last-export p.ron");
    assert_eq!((code, &answer["fields"][0]["base"]), (Some(1), &json!(7400)));
    bench.failed(&format!("compare --last-export {SAMPLE} p.ron"));
    bench.failed(&format!("compare {SAMPLE}"));
}
