//! Two tuners' edits of one project, merged.

use serde_json::{Value, json};

use super::bench::{Bench, SAMPLE, document};

/// Two tuners have the sample: one lowers full load and renames the car, the other raises part load and the limit.
fn two_tuners() -> Bench {
    let bench = Bench::new();
    bench.done(&format!("shape {SAMPLE} -o mine.ron --speed 2800..3700 --load 40..66 add -2"));
    bench.done("set mine.ron -o mine.ron name=tarn-wet");
    bench.done(&format!("shape {SAMPLE} -o theirs.ron --speed 500..1000 --load 0..10 add 1"));
    bench.done("set theirs.ron -o theirs.ron limits.over_speed.cuts_at_rpm=7450");
    bench
}

fn merged(bench: &Bench, words: &str) -> (Option<i32>, Value) {
    let run = bench.say(&format!("merge --json {words}"));
    (run.code, document(&run.out))
}

#[test]
fn edits_that_do_not_meet_are_put_together() {
    let bench = two_tuners();
    let (code, answer) = merged(&bench, &format!("{SAMPLE} mine.ron theirs.ron -o out.ron"));
    assert_eq!((code, &answer["conflicts"], &answer["preferred"]), (Some(0), &json!([]), &Value::Null));
    assert_eq!((&answer["file"], &answer["from_theirs"]["fields"]), (&json!("out.ron"), &json!(1)));
    let [out, mine, theirs, base] = ["out.ron", "mine.ron", "theirs.ron", SAMPLE].map(|name| bench.project(name));
    assert_eq!((out.name.as_str(), out.limits.over_speed.cuts_at_rpm), ("tarn-wet", 7450.0));
    for cell in base.advance.table().cells() {
        let at = |project: &sparkloft::project::Project| project.advance.table().at(cell);
        let expected = if at(&mine) == at(&base) { at(&theirs) } else { at(&mine) };
        assert_eq!(at(&out), expected, "{cell:?}");
    }
    assert_eq!(out.snapshots, base.snapshots);
    let swapped = bench.done(&format!("merge {SAMPLE} theirs.ron mine.ron -o swapped.ron"));
    assert!(swapped.contains("12 cells and 1 field"), "{swapped}");
    assert_eq!(bench.text("swapped.ron"), bench.text("out.ron"));
}

#[test]
fn conflicts_are_listed_with_three_values_and_nothing_is_written() {
    let bench = two_tuners();
    bench.done("shape theirs.ron -o theirs.ron --speed 2800..2800 --load 40..40 add 1");
    bench.done("set theirs.ron -o theirs.ron name=tarn-dry");
    let words = format!("{SAMPLE} mine.ron theirs.ron -o out.ron");
    let names = bench.names();
    let (code, answer) = merged(&bench, &words);
    assert_eq!((code, &answer["file"], &answer["from_theirs"]), (Some(1), &Value::Null, &Value::Null));
    assert_eq!(bench.names(), names);
    let conflicts = answer["conflicts"].as_array().unwrap();
    let name = conflicts.iter().find(|conflict| conflict["path"] == "name").unwrap();
    let three = [&name["base"], &name["mine"], &name["theirs"]].map(|name| name.as_str().unwrap());
    assert_eq!(three, [bench.project(SAMPLE).name.as_str(), "tarn-wet", "tarn-dry"]);
    let cell = conflicts.iter().find(|conflict| conflict["speed_rpm"] == 2800).unwrap();
    assert_eq!((&cell["load"], &cell["mine"]["origin"]), (&json!(40), &json!("typed")));
    let [was, mine, theirs] = ["base", "mine", "theirs"].map(|side| cell[side]["deg"].as_f64().unwrap());
    assert_eq!((mine - was, theirs - was), (-2.0, 1.0));
    assert_eq!(conflicts.len(), 2);
    let run = bench.say(&format!("merge {words}"));
    assert_eq!(run.code, Some(1));
    assert!(run.out.contains("| mine tarn-wet | theirs tarn-dry"), "{}", run.out);
    assert!(run.err.contains("nothing was written"), "{}", run.err);
}

#[test]
fn a_preferred_side_decides_every_conflict_and_the_rest_stays_merged() {
    let bench = two_tuners();
    bench.done("set theirs.ron -o theirs.ron name=tarn-dry");
    for (side, name) in [("mine", "tarn-wet"), ("theirs", "tarn-dry")] {
        let words = format!("{SAMPLE} mine.ron theirs.ron -o out.ron --prefer {side}");
        let (code, answer) = merged(&bench, &words);
        assert_eq!((code, &answer["preferred"]), (Some(0), &json!(side)));
        assert_eq!(answer["conflicts"].as_array().unwrap().len(), 1);
        let out = bench.project("out.ron");
        assert_eq!((out.name.as_str(), out.limits.over_speed.cuts_at_rpm), (name, 7450.0));
    }
}

#[test]
fn a_merge_with_the_base_itself_is_the_other_side() {
    let bench = two_tuners();
    bench.done(&format!("merge {SAMPLE} mine.ron {SAMPLE} -o out.ron"));
    assert_eq!(bench.text("out.ron"), bench.text("mine.ron"));
    bench.done(&format!("merge {SAMPLE} mine.ron mine.ron -o out.ron"));
    assert_eq!(bench.text("out.ron"), bench.text("mine.ron"));
}

#[test]
fn what_cannot_be_read_is_bad_input() {
    let bench = two_tuners();
    bench.put("broken.ron", "(");
    assert!(bench.failed(&format!("merge {SAMPLE} mine.ron broken.ron -o out.ron")).contains("broken.ron"));
    bench.failed(&format!("merge {SAMPLE} mine.ron theirs.ron"));
    bench.failed(&format!("merge {SAMPLE} mine.ron theirs.ron -o out.ron --prefer base"));
}
