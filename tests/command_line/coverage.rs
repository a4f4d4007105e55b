//! What of a project reaches the bytes, what does not, and that it is told wherever an image is made or compared.

use serde_json::{Value, json};
use sparkloft::project::StartingLayout;

use super::bench::{Bench, document};

/// A boosted six whose image holds its first items alone, and no outputs.
fn first_edition(bench: &Bench) {
    let project = bench.project("larch-six.ron");
    let layout = StartingLayout::Words.layout(project.sensors.load);
    let edited = project.edit(|parts| {
        parts.image = layout;
        parts.image.items.truncate(17);
        parts.outputs.clear();
    });
    bench.put("first.ron", &sparkloft::project::write(&edited.unwrap()).unwrap());
}

/// 4° of margin, a ceiling of 30°, and no coolant trim under boost.
const CHANGE: [&str; 6] = [
    "safety_margin.enabled=yes",
    "safety_margin.degrees.at=40,180",
    "safety_margin.degrees.value=4,4",
    "limits.clamp.ceiling_deg=30",
    "trims.coolant.weight.at=40,100",
    "trims.coolant.weight.value=1,0",
];

fn change(bench: &Bench, from: &str, to: &str) {
    let run = bench.run(["set", from, "-o", to].into_iter().chain(CHANGE));
    assert_eq!(run.code, Some(0), "{}", run.err);
}

fn part<'a>(answer: &'a Value, name: &str) -> &'a Value {
    let list = answer["not_in_image"].as_array().unwrap();
    list.iter().find(|part| part["part"] == name).unwrap_or(&Value::Null)
}

#[test]
fn what_the_bytes_do_not_hold_is_listed_and_never_called_exact() {
    let bench = Bench::new();
    first_edition(&bench);
    change(&bench, "first.ron", "changed.ron");
    bench.done("export first.ron -o first.bin");
    let exported = bench.json("export changed.ron -o changed.bin --json");
    assert_eq!(bench.bytes("first.bin"), bench.bytes("changed.bin"));
    for name in ["safety_margin", "clamp", "coolant_weight"] {
        let told = part(&exported, name);
        assert_eq!(
            (&told["how"], &told["set"], &told["acts"]),
            (&json!("by_hand"), &json!(false), &json!(true)),
            "{name}"
        );
    }
    assert_eq!(part(&exported, "coolant_trim")["how"], json!("partly"));
    let told = bench.done("verify changed.ron first.bin");
    assert!(told.contains("In the project, not in the image:\n"), "{told}");
    assert!(told.contains("  Safety margin: by hand: ") && told.contains("Ceiling: 30°"), "{told}");
    assert!(told.contains("not ticked as set in the unit"), "{told}");
}

#[test]
fn ticks_are_set_by_path_and_go_with_their_numbers() {
    let bench = Bench::new();
    first_edition(&bench);
    bench.done("set first.ron -o ticked.ron image.coverage.clamp.set=yes image.coverage.clamp.note=dial");
    let told = bench.json("export ticked.ron -o a.bin --json");
    assert_eq!((&part(&told, "clamp")["set"], &part(&told, "clamp")["note"]), (&json!(true), &json!("dial")));
    bench.done("set ticked.ron -o ticked.ron limits.clamp.ceiling_deg=30");
    let told = bench.json("export ticked.ron -o a.bin --json");
    assert_eq!((&part(&told, "clamp")["set"], &part(&told, "clamp")["note"]), (&json!(false), &json!("dial")));
}

#[test]
fn what_is_missing_is_added_and_then_reaches_the_bytes() {
    let bench = Bench::new();
    first_edition(&bench);
    let run = bench.say("set first.ron -o whole.ron --add-missing-items");
    assert!(run.code == Some(0) && run.err.contains("items added to the image: "), "{}", run.err);
    let exported = bench.json("export whole.ron -o whole.bin --json");
    assert_eq!(exported["not_in_image"], json!([]));
    change(&bench, "whole.ron", "changed.ron");
    let run = bench.say("verify changed.ron whole.bin --json");
    assert_eq!(run.code, Some(1));
    let verified = document(&run.out);
    assert!(verified["spark"]["largest_difference"]["deg"].as_f64().unwrap() >= 4.0, "{}", verified["spark"]);
    bench.done("export changed.ron -o changed.bin");
    let verified = bench.json("verify changed.ron changed.bin --json");
    assert!(verified["spark"]["largest_difference"]["deg"].as_f64().unwrap().abs() < 0.25, "{}", verified["spark"]);
}

#[test]
fn what_is_folded_or_not_applied_is_told_in_degrees() {
    let bench = Bench::new();
    first_edition(&bench);
    change(&bench, "first.ron", "changed.ron");
    bench.done("set changed.ron -o folded.ron image.coverage.safety_margin.how=in_table");
    let told = bench.done("export folded.ron -o folded.bin");
    assert!(told.contains("Folded into the exported cells: most −4.0°"), "{told}");
    let found = bench.json("lookup folded.ron --speed 3000 --load 100 --coolant 80 --air 20 --as-flashed --json");
    let [wanted, flashed] =
        [&found["commanded_deg"], &found["flashed"]["commanded_deg"]].map(|deg| deg.as_f64().unwrap());
    assert!((wanted - flashed).abs() < 0.11, "{wanted} {flashed}");
    assert_eq!(found["flashed"]["contributions"]["margin"], json!(0));
    bench.done("set changed.ron -o without.ron image.coverage.safety_margin.how=not_applied");
    let verified = bench.json("export without.ron -o without.bin --json");
    assert!(verified["spark"]["largest_difference"]["deg"].as_f64().unwrap() >= 4.0, "{}", verified["spark"]);
    bench.put("points.csv", "speed_rpm,load,coolant_c,air_c\n3000,100,80,20\n");
    bench.done("lookup without.ron --points points.csv -o out.csv --as-flashed");
    let text = bench.text("out.csv");
    assert!(text.lines().next().unwrap().ends_with(",flashed_deg,flashed_state,flashed_commanded_deg"), "{text}");
    let rig = bench.json("rig folded.ron --run idle --as-flashed --json");
    assert!(rig["sparks"].as_f64().unwrap() > 10.0);
}

#[test]
fn an_image_with_open_errors_needs_a_reason_that_is_kept() {
    let bench = Bench::new();
    bench.done("set tarn-special.ron -o bad.ron limits.over_speed.cuts_at_rpm=2000 advance.deg[3][4]=75");
    assert_eq!(bench.say("check bad.ron").code, Some(1));
    let run = bench.say("export bad.ron -o bad.hex");
    assert_eq!(run.code, Some(1));
    assert!(run.out.starts_with("nothing was written: ") && run.out.contains("error stands_out at "), "{}", run.out);
    assert!(!bench.names().contains(&"bad.hex".to_owned()));
    let answer = document(&bench.say("export bad.ron -o bad.hex --json").out);
    assert_eq!((&answer["file"], &answer["files"]), (&Value::Null, &json!([])));
    assert!(answer["findings"].as_array().unwrap().iter().any(|finding| finding["severity"] == "error"));
    for file in ["bad.csv", "bad.tsv", "bad.a2l"] {
        bench.done(&format!("export bad.ron -o {file}"));
    }
    let run = bench.run(["export", "bad.ron", "-o", "bad.hex", "--despite-errors", "bench unit without an engine"]);
    assert_eq!(run.code, Some(0), "{}", run.err);
    assert!(
        run.out.contains("bench unit without an engine") && run.err.contains("the reason is kept in it"),
        "{}",
        run.err
    );
    let last = bench.project("bad.ron").last_export.clone().unwrap();
    assert_eq!(last.despite_errors.as_deref(), Some("bench unit without an engine"));
    assert!(bench.failed("export bad.ron -o bad.hex --despite-errors= ").contains("give the reason in words"));
}

#[test]
fn an_export_names_the_limits_that_let_more_pass() {
    let bench = Bench::new();
    let is_strict = bench.done("export tarn-special.ron -o strict.hex");
    assert!(is_strict.ends_with("Open findings: none\n"), "{is_strict}");
    bench.done(
        "set tarn-special.ron -o loose.ron checks.thresholds.stands_out_deg=4 checks.threshold_reasons.stands_out_deg=rough",
    );
    let told = bench.done("export loose.ron -o loose.hex");
    let limit = "relaxed stands_out_deg: stands out, warning from: 4.0° instead of 2.5°; reason: rough\n";
    assert!(told.ends_with(&format!("Open findings: none; 1 limit relaxed:\n  {limit}")), "{told}");
    let answer = bench.json("export loose.ron -o loose.hex --json");
    let limit = json!({ "name": "stands_out_deg", "value": 4, "default": 2.5, "unit": "°", "reason": "rough" });
    assert_eq!((&answer["findings"], &answer["relaxed"]), (&json!([]), &json!([limit])));
}

#[test]
fn a_locked_copy_is_locked_in_its_bytes() {
    let bench = Bench::new();
    first_edition(&bench);
    change(&bench, "first.ron", "changed.ron");
    let told = bench.done("locked-timing changed.ron -o locked.ron");
    assert!(told.contains("over-speed limit on and not easing off") && told.contains("Safety margin: off"), "{told}");
    let exported = bench.json("export locked.ron -o locked.bin --describe --json");
    let items = exported["image"]["items"].as_array().unwrap();
    let bytes = bench.bytes("locked.bin");
    for name in ["coolant_trim", "air_trim"] {
        let item = items.iter().find(|item| item["name"] == name).unwrap();
        let at = |field: &str| usize::try_from(item[field].as_u64().unwrap()).unwrap();
        assert!(bytes[at("address")..=at("last")].iter().all(|byte| *byte == 0), "{name}");
    }
}
