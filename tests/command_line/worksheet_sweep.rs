//! Timing sweeps by the worksheet, alone and on a project.

use serde_json::{Value, json};
use sparkloft::project::{PointBound, PointKind};

use super::bench::{Bench, SAMPLE};
use super::golden;

/// The invented day on a brake beside the samples.
const DAY: &str = include_str!("../../sample-projects/dyno-day.csv");

/// Nine readings of one point, to tenths of a newton metre.
const NINE: &str = "\
speed_rpm,load,advance_deg,torque_nm
3000,60,14,110.9
3000,60,17,115.6
3000,60,20,119.1
3000,60,23,122.2
3000,60,26,124.0
3000,60,29,124.9
3000,60,32,124.6
3000,60,35,123.6
3000,60,38,121.3
";

fn near(value: &Value, expected: f64) {
    let value = value.as_f64().unwrap();
    assert!((value - expected).abs() < 1e-6, "{value}, not {expected}");
}

/// Computed with NumPy and SciPy (`linalg.lstsq`, `optimize.brentq`, `stats.f.ppf`).
#[test]
fn a_sweep_agrees_with_figures_computed_elsewhere() {
    let bench = Bench::new();
    bench.put("nine.csv", NINE);
    let found = bench.json("worksheet sweep --readings nine.csv --json");
    assert_eq!((&found["summary"], &found["readings"]), (&json!("1 point: 1 known"), &json!(9)));
    let point = &found["points"][0];
    for (name, wanted) in [
        ("mbt_deg", 30.268_582_033),
        ("mbt_low_deg", 30.056_815_884),
        ("mbt_high_deg", 30.494_281_229),
        ("flat_low_deg", 25.645_875_789),
        ("flat_low_low_deg", 25.483_996_707),
        ("flat_low_high_deg", 25.813_761_139),
        ("flat_high_deg", 34.726_219_507),
        ("top_torque", 125.029_994_433),
    ] {
        near(&point[name], wanted);
    }
    assert_eq!((&point["choice"], &point["choice_deg"]), (&json!("least"), &json!(25.5)));
    assert!(["drift_pct", "clean_to_deg", "knock_from_deg"].iter().all(|name| point[*name].is_null()));
    let best = bench.json("worksheet sweep --readings nine.csv --choice best --json");
    assert_eq!(best["points"][0]["choice_deg"], json!(30));
    let power = NINE.replace("torque_nm", "brake");
    bench.put("arm.csv", &power);
    near(&bench.json("worksheet sweep --readings arm.csv --json")["points"][0]["mbt_deg"], 30.268_582_033);
}

#[test]
fn a_whole_day_is_told_and_kept() {
    let bench = Bench::new();
    // tarn-special keeps these readings already.
    let other = SAMPLE.replace("tarn-special", "wren-four");
    bench.put("day.csv", DAY);
    let text = bench.done(&format!("worksheet sweep {other} --readings day.csv --csv points.csv"));
    assert!(text.starts_with("14 points: 11 known, 2 limited by knock, 1 open\n"), "{text}");
    golden::check("worksheet-sweep.txt", &text);
    let csv = bench.text("points.csv");
    assert!(csv.starts_with("point,speed_rpm,load,readings,left_out,mbt_deg,") && csv.lines().count() == 15, "{csv}");
    let before = bench.project(&other);
    let text = bench.done(&format!("worksheet sweep {other} --readings day.csv --choice best --apply -o out.ron"));
    assert!(text.contains("Keep 196 readings of timing sweeps and 1") && text.ends_with("wrote out.ron\n"), "{text}");
    let after = bench.project("out.ron");
    assert_eq!(after.advance, before.advance, "no cell is changed");
    let sweep = &after.evidence.sweeps[before.evidence.sweeps.len()];
    assert_eq!((sweep.name.as_str(), sweep.readings.len()), ("day", 196));
    assert!(sweep.taken_at.ends_with('Z'));
    let points: Vec<_> = after.points_in_use().skip(before.evidence.points.len()).collect();
    let of = |kind: PointKind| points.iter().filter(|point| point.kind == kind).count();
    assert_eq!((of(PointKind::BestTorque), of(PointKind::Knock)), (points.len() - 2, 2), "{points:?}");
    assert!(points.iter().all(|point| point.bound != PointBound::About || point.low_deg.is_some()));
    // Chosen ones only, and the same readings are no second sweep.
    let name = points[0].name.clone();
    let words =
        ["worksheet", "sweep", "out.ron", "--readings", "day.csv", "--apply", "-o", "out.ron", "--point", &name];
    assert_eq!(bench.run(words).code, Some(0));
    let again = bench.project("out.ron");
    assert_eq!(again.evidence.sweeps.len(), after.evidence.sweeps.len());
    assert_eq!(again.evidence.point(&name).map(|point| point.kind), Some(PointKind::LeastForBestTorque));
    assert_eq!(again.evidence.points.len(), after.evidence.points.len());
}

/// Verdicts are no failure; what is no reading is, for the whole file.
#[test]
fn bad_rows_are_refused_and_poor_readings_are_not() {
    let bench = Bench::new();
    let refused = |text: &str, wanted: &str| {
        bench.put("bad.csv", text);
        let told = bench.failed("worksheet sweep --readings bad.csv");
        assert!(told.contains(wanted), "{told}");
    };
    refused(&NINE.replace("122.2", "0"), "bad.csv: line 5: torque_nm: 0 is outside");
    refused(&NINE.replace("122.2", "good"), "line 5: torque_nm 'good': not a number");
    refused(&NINE.replace("122.2", ""), "line 5");
    refused(&NINE.replace("advance_deg", "advance"), "there is no column 'advance_deg'");
    refused(&NINE.replace("torque_nm", "torque"), "there is no torque");
    refused(&NINE.replace("load,", "torque_nm,").replace("torque_nm,advance", "brake,advance"), "line 1");
    refused("a text, and no readings\n", "line 1");
    refused(&NINE.replace(',', ";").replace("122.2", "122,2"), "its decimal mark differs");
    refused("speed_rpm,load,advance_deg,torque_nm\n", "no reading");
    bench.put("kpa.csv", &NINE.replace("load", "load_kpa"));
    assert!(bench.failed(&format!("worksheet sweep {SAMPLE} --readings kpa.csv")).contains("nothing converts"));
    let kpa = bench.done("worksheet sweep --readings kpa.csv");
    assert!(kpa.contains("3000 rpm, 60 kPa"), "{kpa}");
    bench.put("one.csv", "speed_rpm,load,advance_deg,torque_nm\n3000,60,20,99\n3000,60,20,99.5\n");
    let told = bench.done("worksheet sweep --readings one.csv");
    assert!(told.contains("STOP  1 advance does not tell the top"), "{told}");
    let far = NINE.to_owned() + "3160,60,20,119\n";
    bench.put("far.csv", &far);
    assert!(bench.done("worksheet sweep --readings far.csv").starts_with("2 points"));
    assert!(bench.failed("worksheet sweep --readings none.csv").contains("none.csv"));
    assert!(bench.failed("worksheet sweep").contains("--help"));
    bench.put("nine.csv", NINE);
    assert!(bench.failed("worksheet sweep --readings nine.csv --csv nine.csv").contains("must not be written over"));
    assert!(bench.failed("worksheet sweep --readings nine.csv --point x").contains("--help"));
}

/// The first seven of nine readings are kept; the last two come in a file of their own, then all of them in one.
#[test]
fn readings_of_another_file_join_the_point_they_complete() {
    let bench = Bench::new();
    let other = SAMPLE.replace("tarn-special", "wren-four");
    let rows: Vec<&str> = NINE.lines().collect();
    let file = |rows: &[&str]| rows.join("\n") + "\n";
    bench.put("day.csv", &file(&rows[..8]));
    bench.put("more.csv", &file(&[&rows[..1], &rows[8..]].concat()));
    bench.put("all.csv", NINE);
    let apply = |file: &str| bench.done(&format!("worksheet sweep p.ron --readings {file} --apply -o p.ron"));
    bench.put("p.ron", &bench.text(&other));
    apply("day.csv");
    let before = bench.project("p.ron");
    let told = apply("more.csv");
    assert!(told.contains("note  2 readings join the sweep at 3000 rpm, 60 % (day)."), "{told}");
    assert!(told.starts_with("1 point: 1 known\n") && told.contains("Keep 2 readings of timing sweeps and 1 measured"));
    let after = bench.project("p.ron");
    let read: Vec<usize> = after.evidence.sweeps.iter().map(|sweep| sweep.readings.len()).collect();
    assert_eq!(read, [7, 2]);
    assert_eq!((before.evidence.points.len(), after.evidence.points.len()), (1, 1));
    let point = &after.evidence.points[0];
    assert_eq!((point.advance_deg, point.source.as_str()), (25.6, "day"), "as of all nine");
    let found = bench.json("worksheet sweep p.ron --readings all.csv --json");
    near(&found["points"][0]["mbt_deg"], 30.268_582_033);
    assert_eq!(found["notes"], json!(["The project has these readings already: they count once."]));
    let told = apply("all.csv");
    assert!(told.ends_with("nothing changed\nwrote p.ron\n"), "{told}");
}

/// A pull at each advance over the third speed of the table, in air far from a standard day.
#[test]
fn how_pulls_are_corrected_for_the_air_is_kept() {
    let bench = Bench::new();
    let other = SAMPLE.replace("tarn-special", "wren-four");
    let speed = bench.project(&other).advance.table().speed().breakpoints()[3];
    let mut text = String::from("speed_rpm,load,advance_deg,torque_nm,pull,air_kpa,air_c,humidity_pct\n");
    for pull in 1..=6_u32 {
        let advance = 12.0 + 4.0 * f64::from(pull);
        let torque = 100.0 - 0.05 * (advance - 27.0_f64).powi(2);
        for step in 0..7_u32 {
            let rpm = speed * (0.97 + 0.01 * f64::from(step));
            text += &format!("{rpm},60,{advance},{torque},{pull},99,25,0\n");
        }
    }
    bench.put("pulls.csv", &text);
    let top = |arguments: &str| {
        bench.json(&format!("worksheet sweep {arguments} --readings pulls.csv --json"))["points"][0]["top_torque"]
            .as_f64()
            .unwrap()
    };
    let (plain, din) = (top(&other), top(&format!("{other} --air din")));
    // DIN 70020 has 1.031922 for 99 kPa and 25 °C (computed with NumPy).
    assert!((din / plain - 1.031_922).abs() < 1e-6, "{din} {plain}");
    bench.done(&format!("worksheet sweep {other} --readings pulls.csv --air din --apply -o p.ron"));
    assert_eq!(top("p.ron"), din, "without a word about it");
    let listed = bench.done("set p.ron --list");
    assert!(listed.contains("evidence.sweeps[0].air = din  # "), "{listed}");
    bench.done("set p.ron -o p.ron evidence.sweeps[pulls].air=none");
    assert_eq!(top("p.ron"), plain);
    bench.done("worksheet sweep p.ron --readings pulls.csv --air din --apply -o p.ron");
    let told = bench.say(&format!("compare {other} p.ron")).out;
    assert!(told.contains("pulls"), "{told}");
    assert_eq!(top("p.ron"), din);
}

/// The limits of a project are set, listed and compared as those of its checks are.
#[test]
fn a_project_has_its_own_limits_of_sweeps() {
    let bench = Bench::new();
    let other = SAMPLE.replace("tarn-special", "wren-four");
    bench.put("nine.csv", NINE);
    let listed = bench.done(&format!("set {other} --list"));
    assert!(listed.contains("checks.thresholds.sweep_load = 2  # Readings of one point, load within: "), "{listed}");
    let known =
        |project: &str| bench.json(&format!("worksheet sweep {project} --readings nine.csv --json"))["summary"].clone();
    bench.done(&format!("set {other} -o p.ron checks.thresholds.sweep_half_width_deg=0.1"));
    assert_eq!((known(&other), known("p.ron")), (json!("1 point: 1 known"), json!("1 point: 1 open")));
    assert!(bench.say("check p.ron").code != Some(2));
    let told = bench.say(&format!("compare {other} p.ron")).out;
    assert!(told.contains("sweep_half_width_deg"), "{told}");
    let lax = bench.failed(&format!("set {other} -o q.ron checks.thresholds.sweep_knock_margin_deg=1"));
    assert!(lax.contains("lets more pass than the default of 2 and needs a reason"), "{lax}");
    assert!(bench.failed(&format!("set {other} -o q.ron checks.thresholds.sweep_load=0")).contains("outside 0.1..50"));
}

/// Marks that may part thousands or decimals are asked for.
#[test]
fn decimal_commas_are_read_where_they_are_plain() {
    let bench = Bench::new();
    let commas = NINE.replace(',', ";").replace('.', ",");
    bench.put("commas.csv", &commas);
    let found = bench.json("worksheet sweep --readings commas.csv --json");
    near(&found["points"][0]["mbt_deg"], 30.268_582_033);
    bench.put("asked.csv", "speed_rpm;load;advance_deg;brake\n3,000;60;20;1,250\n");
    assert!(bench.failed("worksheet sweep --readings asked.csv").contains("--decimal-mark"));
    let told = bench.done("worksheet sweep --readings asked.csv --decimal-mark point");
    assert!(told.contains("3000 rpm"), "{told}");
}
