//! What the checks find, as text, as JSON and as an exit code.

use std::path::Path;

use serde_json::{Value, json};
use sparkloft::checks::CHECKS;
use sparkloft::project::SAMPLES;

use super::bench::{Bench, SAMPLE, document};

fn checked(bench: &Bench, words: &str) -> (Option<i32>, Vec<Value>) {
    let run = bench.say(&format!("check --json {words}"));
    (run.code, document(&run.out).as_array().unwrap().clone())
}

/// What each sample's findings read like. `SPARKLOFT_UPDATE=1` writes them anew.
#[test]
fn the_findings_of_each_sample_are_as_written_down() {
    let bench = Bench::new();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/command_line/findings");
    for sample in SAMPLES {
        let found = bench.say(&format!("check {}.ron", sample.name)).out;
        let path = folder.join(format!("{}.txt", sample.name));
        if std::env::var_os("SPARKLOFT_UPDATE").is_some() {
            std::fs::create_dir_all(&folder).unwrap();
            std::fs::write(&path, &found).unwrap();
        }
        assert_eq!(found, std::fs::read_to_string(&path).unwrap(), "{}", sample.name);
    }
}

#[test]
fn the_exit_code_goes_by_the_level_asked_for() {
    let bench = Bench::new();
    let code = |words: &str| bench.say(&format!("check {words}")).code;
    assert_eq!(code("wren-four.ron"), Some(0));
    assert_eq!(code("wren-four.ron --fail-on warning"), Some(1));
    for sound in [SAMPLE, "larch-six.ron", "copse-eight.ron"] {
        assert_eq!(code(&format!("{sound} --fail-on warning")), Some(0), "{sound}");
    }
    bench.done(&format!("set {SAMPLE} -o note.ron tachometer.pulses_per_revolution=1"));
    assert_eq!((code("note.ron --fail-on warning"), code("note.ron --fail-on note")), (Some(0), Some(1)));
    bench.done(&format!("set {SAMPLE} -o error.ron limits.clamp.floor_deg=50"));
    assert_eq!(code("error.ron"), Some(1));
    assert!(bench.failed("check nothing.ron").contains("nothing.ron"));
}

#[test]
fn a_finding_has_its_place_and_its_figures() {
    let bench = Bench::new();
    let (code, found) = checked(&bench, "wren-four.ron");
    assert_eq!((code, found.len()), (Some(0), 9));
    let bump = found.iter().find(|finding| finding["id"] == "stands_out").unwrap();
    let known_by = json!({
        "field": "advance", "of": "", "at": null,
        "from_rpm": 3800, "to_rpm": 3800, "from_load": 18, "to_load": 18,
    });
    let cells = json!([{"speed_rpm": 3800, "load": 18}]);
    let place = json!({"sheet": "advance", "words": "3800 rpm, 18 %", "known_by": known_by, "cells": cells});
    assert_eq!((&bump["place"], &bump["severity"], &bump["threshold"]), (&place, &json!("warning"), &json!(2.5)));
    assert!(bump["accepted"].is_null() && bump["why"].is_string() && bump["remedy"].is_string());
    let fan = found.iter().find(|finding| finding["id"] == "chatter").unwrap();
    assert_eq!(fan["place"]["field"], "outputs[1].conditions[0].off");
    assert_eq!((&fan["value"], &fan["unit"]), (&json!(0.2), &json!("°C")));
}

#[test]
fn an_accepted_finding_is_listed_but_does_not_count() {
    let bench = Bench::new();
    bench.done(&format!("set {SAMPLE} -o note.ron tachometer.pulses_per_revolution=1"));
    let (_, found) = checked(&bench, "note.ron");
    let tachometer = found.iter().find(|finding| finding["id"] == "tachometer").unwrap();
    assert_eq!(tachometer["place"]["known_by"]["field"], "tachometer.pulses_per_revolution");
    let accepted = "checks.accepted=[(id: \"tachometer\", place: (field: \"tachometer.pulses_per_revolution\"), value: 1, \
                    reason: \"an old instrument\")]";
    let run = bench.run(["set", "note.ron", "-o", "out.ron", accepted]);
    assert_eq!(run.code, Some(0), "{}", run.err);
    let (code, found) = checked(&bench, "out.ron --fail-on note");
    assert_eq!((code, &found[0]["accepted"]), (Some(0), &json!("an old instrument")));
    assert!(bench.done("check out.ron").contains("no findings; 1 accepted"));
    bench.done("set out.ron -o out.ron tachometer.pulses_per_revolution=4");
    assert_eq!(checked(&bench, "out.ron --fail-on note").0, Some(1));
}

#[test]
fn a_new_project_lacks_only_the_proof_of_its_zero() {
    let bench = Bench::new();
    bench.done("new --cylinders 6 --load pressure --size 24x20 -o new.ron");
    let (code, found) = checked(&bench, "new.ron --fail-on error");
    let ids: Vec<&Value> = found.iter().map(|finding| &finding["id"]).collect();
    assert_eq!((code, ids), (Some(0), vec![&json!("zero_proof")]));
}

/// With the margins every check is accounted for, once: it found something, or tells how near it came to its bound.
#[test]
fn margins_tell_of_the_checks_that_found_nothing() {
    let bench = Bench::new();
    let (_, found) = checked(&bench, "wren-four.ron");
    let (plain, told) = (bench.say("check wren-four.ron").out, bench.say("check wren-four.ron --margins").out);
    let margins = told.strip_prefix(&plain).expect("the findings come first and are the same");
    for check in CHECKS {
        let has_found = found.iter().any(|finding| finding["id"] == check.id);
        let count = margins.matches(&format!("\npassed {}\n  {}: ", check.id, check.title)).count();
        assert_eq!(count, usize::from(!has_found), "{}", check.id);
    }
    let sound = bench.say(&format!("check {SAMPLE} --margins")).out;
    let slope = sound.split("\npassed slope_speed\n").nth(1).and_then(|rest| rest.lines().next()).unwrap();
    assert!(slope.ends_with(" against at most 15.0°/1000 rpm"), "{slope}");
    bench.done(&format!("set {SAMPLE} -o rated.ron coil.rated_current_a=9.5"));
    let rated = bench.say("check rated.ron --margins").out;
    assert!(rated.contains("  Coil overloaded: ") && rated.contains(" against at most 9.5 A\n"), "{rated}");
    assert!(bench.failed(&format!("check {SAMPLE} --margins --json")).contains("--json"));
}
