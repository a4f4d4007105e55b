//! The worksheets, alone and on a project.

use serde_json::{Value, json};

use super::bench::{Bench, SAMPLE};
use super::golden;

/// Read to half degrees from a unit that is 4° early and about 100 µs late.
const LIGHT: &str = "\
commanded_deg,observed_deg,speed_rpm
10,13.5,1000
10,13,2000
10,12.5,3000
10,11.5,4000
10,13,1500
15,18,1500
20,23.5,1500
";

fn near(value: &Value, expected: f64) {
    let value = value.as_f64().unwrap();
    assert!((value - expected).abs() < 1e-8 * expected.abs().max(1.0), "{value}, not {expected}");
}

/// Computed with NumPy (`linalg.lstsq`) and SciPy (`stats.t.ppf`).
#[test]
fn timing_light_agrees_with_figures_computed_elsewhere() {
    let bench = Bench::new();
    bench.put("light.csv", LIGHT);
    let found = bench.json("worksheet timing-light --readings light.csv --json");
    near(&found["offset_deg"], 4.146_276_595_7);
    near(&found["offset_ci_deg"][0], 4.146_276_595_745 - 0.514_986_576_7);
    near(&found["offset_ci_deg"][1], 4.146_276_595_745 + 0.514_986_576_7);
    near(&found["latency_us"], 103.723_404_255_3);
    near(&found["latency_ci_us"][0], 103.723_404_255_3 - 37.459_761_423_4);
    near(&found["slope"], 1.022_077_922_1);
    near(&found["slope_ci"][1], 1.022_077_922_1 + 0.071_404_887_0);
    near(&found["zero_offset_change_deg"], 4.146_276_595_7);
    near(&found["new_zero_offset_deg"], 4.146_276_595_7);
    near(&found["pitches"], 0.414_627_659_57);
    assert_eq!(found["verdicts"].as_array().unwrap().len(), 2);
    assert_eq!((&found["outlier_row"], &found["cranking_readings"]), (&json!(null), &json!(0)));
    assert_eq!(found.as_object().unwrap().len(), 12);
    let moved = bench.json("worksheet timing-light --readings light.csv --zero-offset -1.5 --pitch 6 --json");
    near(&moved["new_zero_offset_deg"], 2.646_276_595_7);
    near(&moved["pitches"], 0.691_046_099_3);
}

#[test]
fn timing_light_with_few_readings_has_the_offset_alone() {
    let bench = Bench::new();
    let found = bench.json("worksheet timing-light --reading 10,14,1000 --reading 20,23,3000 --json");
    let nothing = ["offset_ci_deg", "latency_us", "latency_ci_us", "slope", "slope_ci"];
    assert!(nothing.iter().all(|key| found[key].is_null()), "{found}");
    assert_eq!((&found["offset_deg"], &found["pitches"]), (&json!(3.5), &json!(0.35)));
    let one = bench.json("worksheet timing-light --reading 10,14,1000 --json");
    assert_eq!(one["new_zero_offset_deg"], json!(4));
}

#[test]
fn timing_light_is_applied_to_a_project() {
    let bench = Bench::new();
    bench.put("light.csv", LIGHT);
    let before = bench.project(SAMPLE);
    let text = bench.done(&format!("worksheet timing-light {SAMPLE} --readings light.csv --apply -o out.ron"));
    assert!(text.contains("Set zero offset to") && text.ends_with("wrote out.ron\n"), "{text}");
    assert!(text.contains("Caution: Ignition voltage can kill"), "{text}");
    let after = bench.project("out.ron");
    let change = after.trigger.zero_offset_deg - before.trigger.zero_offset_deg;
    assert!((change - 4.146_276_595_7).abs() < 1e-9);
    assert!((after.trigger.latency_us - 103.723_404_255_3).abs() < 1e-8);
    assert_eq!(after.timing_light.readings.len(), 7);
    assert!(after.timing_light.taken_at.ends_with('Z'));
    assert_eq!(after.advance, before.advance);
    // After a correction nothing is proved until it is read again; then the readings are kept and nothing moves
    // any more.
    let is_open =
        |file: &str| bench.project(file).timing_light.zero_offset_deg != bench.project(file).trigger.zero_offset_deg;
    assert!(is_open("out.ron"), "taken before the correction");
    bench.put(
        "again.csv",
        "10,9.9,1000\n10,8.8,2000\n10,8.1,3000\n10,7.5,4000\n10,9.1,1500\n15,14,1500\n20,19.1,1500\n",
    );
    let told = bench.json("worksheet timing-light out.ron --readings again.csv --json");
    assert_eq!(told["missing_for_proof"], json!([]), "{told}");
    let text = bench.done("worksheet timing-light out.ron --readings again.csv --apply --keep -o proved.ron");
    assert!(text.contains("these readings prove the zero") && text.contains("Keep 7 readings"), "{text}");
    assert_eq!(bench.project("proved.ron").trigger, bench.project("out.ron").trigger);
    assert!(bench.failed("worksheet timing-light out.ron --readings again.csv --keep").contains("--help"));
    // A light that shows half proves nothing, and is not applied.
    bench.put("halved.csv", "10,7,1000\n10,6.5,2000\n10,6,3000\n10,5.5,4000\n10,7,1500\n20,11.5,1500\n30,16.5,1500\n");
    let error = bench.failed(&format!("worksheet timing-light {SAMPLE} --readings halved.csv --apply -o no.ron"));
    assert!(error.contains("not applied") && error.contains("catches every other one"), "{error}");
    assert!(bench.failed("worksheet timing-light --reading 1,2,3 --apply -o no.ron").contains("--help"));
    assert!(bench.failed(&format!("worksheet timing-light {SAMPLE} --reading 1,2,3 --apply")).contains("--help"));
    bench.put("bad.csv", "commanded_deg,observed_deg,speed_rpm\n10,14\n");
    assert!(
        bench.failed("worksheet timing-light --readings bad.csv").contains("bad.csv: line 2: the row has 2 fields")
    );
    assert!(bench.failed("worksheet timing-light --reading 95,1,1").contains("reading 1, commanded: 95 is outside"));
}

#[test]
fn true_tdc_is_halfway_and_moves_the_reference() {
    let bench = Bench::new();
    let found = bench.json("worksheet true-tdc --first 28 --second 329 --edge 270 --json");
    let tdc = &found["tdc"];
    assert_eq!(
        (&tdc["tdc_deg"], &tdc["mark_error_deg"], &tdc["reference_deg"]),
        (&json!(358.5), &json!(-1.5), &json!(88.5))
    );
    let before = bench.project(SAMPLE).trigger.reference_deg;
    bench.done(&format!("worksheet true-tdc {SAMPLE} --first 28 --second 329 --apply -o out.ron"));
    assert_eq!(bench.project("out.ron").trigger.reference_deg, before - 1.5);
    // π·150/36 mm, by hand.
    let found = bench.json("worksheet true-tdc --diameter 150 --angle 10 --json");
    near(&found["pulley"]["length_mm"], 13.089_969_389_957_47);
    let found = bench.json("worksheet true-tdc --diameter 150 --length 13.089969389957473 --json");
    near(&found["pulley"]["angle_deg"], 10.0);
    let text = bench.done("worksheet true-tdc --diameter 150 --strip strip.svg");
    assert!(text.contains("print it at full size") && bench.text("strip.svg").contains("viewBox"));
    assert!(bench.failed("worksheet true-tdc --first 28").contains("--help"));
    assert!(bench.failed("worksheet true-tdc --first 10 --second 10").contains("at the same place"));
}

#[test]
fn throttle_tells_swapped_wires_and_is_applied_when_sound() {
    let bench = Bench::new();
    let found = bench.json("worksheet throttle --closed 4.3 --open 0.6 --json");
    assert!(found["verdicts"][0].as_str().unwrap().contains("two end wires are swapped"));
    let found = bench.json("worksheet throttle --closed 0.6 --open 4.2 --volts 2.4 --json");
    near(&found["opening_pct"], 50.0);
    assert!(found["verdicts"][0].as_str().unwrap().starts_with("Good"));
    bench.done(&format!("worksheet throttle {SAMPLE} --closed 0.52 --open 4.41 --apply -o out.ron"));
    let sensor = &bench.project("out.ron").sensors.throttle;
    assert_eq!((sensor.first_v, sensor.second_v), (0.52, 4.41));
    let error = bench.failed(&format!("worksheet throttle {SAMPLE} --closed 4.3 --open 0.6 --apply -o no.ron"));
    assert!(error.contains("end wires are swapped"), "{error}");
}

/// A coolant sender within common practice, no source; coefficients computed with NumPy.
#[test]
fn sender_agrees_with_figures_computed_elsewhere() {
    let bench = Bench::new();
    let points = "--point 0,5975 --point 50,806.9 --point 100,175.7";
    let found = bench.json(&format!("worksheet sender {points} --ohm 308.6 --at -40 --json"));
    let law = &found["law"];
    assert!((law["a"].as_f64().unwrap() - 1.335_761_11e-3).abs() < 1e-11);
    assert!((found["readings"][0]["temperature_c"].as_f64().unwrap() - 80.0).abs() < 0.025);
    near(&found["readings"][1]["ohm"], 48_789.424_867_109);
    assert_eq!(found["rows"][4]["counts"], json!(748));
    // 5 V·308.6/(308.6 + 2200), by hand.
    let volts = bench.json(&format!("worksheet sender {points} --volts 0.6150841107 --json"));
    assert!((volts["readings"][0]["ohm"].as_f64().unwrap() - 308.6).abs() < 1e-4);
    assert!(bench.failed(&format!("worksheet sender {points} --volts 5")).contains("broken or shorted"));
    let two = bench.json("worksheet sender --point 20,2502 --point 90,231.2 --json");
    assert!((two["law"]["beta"].as_f64().unwrap() - 3621.929).abs() < 5e-4);
    let own = bench.json(&format!("worksheet sender {SAMPLE} --json"));
    assert!(own["law"]["beta"].is_null());
    bench.done(&format!("worksheet sender {SAMPLE} --place air --point 20,2502 --point 90,231.2 --apply -o out.ron"));
    assert_eq!(bench.project("out.ron").sensors.air.points_c, [20.0, 55.0, 90.0]);
    assert!(bench.failed("worksheet sender --point 20,100 --point 90,200").contains("must fall"));
    assert!(bench.failed("worksheet sender").contains("--help"));
}

/// 0.5 Ω, 3.7 mH, no losses: ms to 7 A computed with NumPy; 60000/7000 − 1 = 7.5714 ms.
#[test]
fn coil_agrees_with_figures_computed_elsewhere() {
    let bench = Bench::new();
    let bare = "--resistance 0.5 --inductance 3.7 --temperature 20 --harness 0 --drop 0 --burn 1";
    let found = bench.json(&format!("worksheet coil {bare} --current 7 --limit 7000 --battery 8,10,12,14 --json"));
    near(&found["energy_mj"], 90.65);
    near(&found["available_ms"], 7.571_428_571_4);
    for (row, dwell) in found["rows"].as_array().unwrap().iter().zip([4.257_69, 3.187_79, 2.551_82, 2.128_85]) {
        assert!((row["dwell_ms"].as_f64().unwrap() - dwell).abs() < 5e-6, "{row}");
    }
    let losses = bench.json(&format!(
        "worksheet coil {} --current 7 --battery 9,12,14 --json",
        bare.replace("--drop 0", "--drop 1.2")
    ));
    for (row, dwell) in losses["rows"].as_array().unwrap().iter().zip([4.406_76, 2.898_37, 2.363_79]) {
        assert!((row["dwell_ms"].as_f64().unwrap() - dwell).abs() < 5e-6, "{row}");
    }
    let low = bench.json("worksheet coil --current 7 --battery 5 --json");
    assert!(low["rows"][0]["dwell_ms"].is_null());
    bench.done(&format!("worksheet coil {SAMPLE} --current 6.5 --battery 8,12,16 --apply -o out.ron"));
    let kept = bench.project("out.ron").coil.dwell_ms.clone();
    assert_eq!(kept.axis().breakpoints(), [8.0, 12.0, 16.0]);
    let told = bench.json(&format!("worksheet coil {SAMPLE} --current 6.5 --battery 8,12,16 --json"));
    let told: Vec<f64> = (0..3).map(|row| told["rows"][row]["proposed_ms"].as_f64().unwrap()).collect();
    assert_eq!(kept.values(), told, "what is told is what is kept");
    let other = "--resistance 0.9 --inductance 5 --burn 1.5";
    let text = bench.done(&format!("worksheet coil {SAMPLE} {other} --current 6.5 --apply -o other.ron"));
    assert!(text.contains("Set coil values and dwell curve for 6.5 A"), "{text}");
    let coil = bench.project("other.ron").coil.clone();
    assert_eq!((coil.resistance_ohm, coil.inductance_mh, coil.burn_time_ms), (0.9, 5.0, 1.5));
    let told = bench.json("worksheet coil other.ron --current 6.5 --json");
    for row in told["rows"].as_array().unwrap() {
        assert_eq!(row["curve_ms"], row["proposed_ms"]);
    }
    assert!(bench.failed("worksheet coil --resistance 0").contains("resistance: 0 is outside 0.1..20 Ω"));
}

/// If four readings show half of one advance, the user is asked, unless the kind of light was given.
#[test]
fn half_of_one_advance_is_asked_about() {
    let bench = Bench::new();
    bench.put("half.csv", "10,5,1000\n10,5,2000\n10,5,3000\n10,5,4000\n");
    let error = bench.failed(&format!("worksheet timing-light {SAMPLE} --readings half.csv --apply -o no.ron"));
    assert!(error.contains("not applied") && error.contains("Which light is it"), "{error}");
    let plain = bench.done(&format!("worksheet timing-light {SAMPLE} --readings half.csv --light plain"));
    assert!(!plain.contains("STOP") && plain.contains("Change the zero offset by −5.00°"), "{plain}");
    let knob = bench.done("worksheet timing-light --readings half.csv --light delay-knob");
    assert!(knob.contains("STOP") && knob.contains("Read at a second commanded advance"), "{knob}");
}

#[test]
fn the_first_start_is_asked_and_judged() {
    let bench = Bench::new();
    let found = bench.json(&format!("worksheet first-start {SAMPLE} --json"));
    assert_eq!((&found["commanded_deg"], &found["coils"][1]["mark_after_first_deg"]), (&json!(8), &json!(180)));
    assert_eq!((&found["verdicts"], &found["steps"][0]["heading"]), (&json!([]), &json!("Make it safe")));
    let found = bench.json(&format!("worksheet first-start {SAMPLE} --shown A=-172 --shown B=-172 --supply 7 --json"));
    let verdicts = found["verdicts"].as_array().unwrap();
    assert!(verdicts[0].as_str().unwrap().starts_with("Coil A fires where coil B should"), "{found}");
    assert!(verdicts[2].as_str().unwrap().starts_with("The supply falls to 7 V"), "{found}");
    let error = bench.failed(&format!("worksheet first-start {SAMPLE} --shown X=8"));
    assert!(error.contains("there is no coil 'X'; the project has A, B"), "{error}");
    assert!(bench.failed(&format!("worksheet first-start {SAMPLE} --shown 8")).contains("COIL=DEG"));
    assert!(bench.failed("worksheet first-start").contains("--help"));
}

/// The texts for people, whole.
#[test]
fn the_texts_read_well() {
    let bench = Bench::new();
    bench.put("light.csv", LIGHT);
    let first_start = format!("{SAMPLE} --shown A=8.5 --shown B=9 --supply 9.6");
    let jobs = [
        ("first-start", first_start.as_str()),
        ("timing-light", "--readings light.csv"),
        ("true-tdc", "--first 28 --second 329 --edge 270 --diameter 150 --angle 10"),
        ("throttle", "--closed 1.2 --open 4.95 --volts 2"),
        ("sender", "--point 0,5975 --point 50,806.9 --point 100,175.7 --ohm 300 --volts 2.5 --at 85"),
        ("coil", ""),
    ];
    for (sheet, words) in jobs {
        let text = bench.done(format!("worksheet {sheet} {words}").trim_end());
        golden::check(&format!("worksheet-{sheet}.txt"), &text);
    }
}

/// Readings whose speed and commanded advance rise together: −3.57° and 37.6 µs by NumPy's least squares.
#[test]
fn readings_that_rise_together_give_no_slope() {
    let bench = Bench::new();
    let rows = [
        "11.0,7.5,1000",
        "15.8,11.7,1960",
        "22.6,18.6,3310",
        "18.2,14.4,2430",
        "15.4,11.3,1880",
        "27.2,22.4,4230",
        "11.8,7.7,1170",
        "13.1,9.0,1420",
    ];
    let readings = rows.map(|row| format!("--reading={row}"));
    let words = ["worksheet", "timing-light", "--json"].into_iter().chain(readings.iter().map(String::as_str));
    let run = bench.run(words);
    let found: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    let near = |key: &str, wanted: f64| (found[key].as_f64().unwrap() - wanted).abs() < 5e-3;
    assert!(near("offset_deg", -3.572) && near("latency_us", 37.552), "{found}");
    assert!(found["slope"].is_null());
}
