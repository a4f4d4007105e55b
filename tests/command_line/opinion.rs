//! The second opinion on the command line.

use serde_json::Value;

use super::bench::Bench;
use super::golden;

/// A pressure project of a 2 l four whose figures are those of the model's own check values.
fn with_four() -> Bench {
    let bench = Bench::new();
    bench.done("new --cylinders 4 --load pressure --size 4x4 --name four -o four.ron");
    let set = "advance.speed_rpm=1000,2000,4000,6000 advance.load=40,60,97,110 engine.compression_ratio=9.5 \
               engine.displacement_l=2 engine.fuel_octane_ron=95 engine.chamber=two_valve_side_plug \
               engine.induction=naturally_aspirated";
    bench.done(&format!("set four.ron -o four.ron {set}"));
    bench
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// Values of an independent computation with NumPy.
#[test]
fn one_place_has_the_figures_of_the_model() {
    let bench = with_four();
    let found = bench.json("opinion four.ron --speed 2000 --load 97 --json");
    let cell = &found["cells"][0];
    for (name, expected, within) in [
        ("best_torque_deg", 26.84, 0.05),
        ("knock_limit_deg", 21.41, 0.1),
        ("recommended_deg", 13.92, 0.1),
        ("residual", 0.0773, 1e-4),
        ("pressure_kpa", 97.0, 1e-9),
    ] {
        assert!((number(&cell[name]) - expected).abs() < within, "{name}: {}", cell[name]);
    }
    assert_eq!(cell["limited_by"], "knock");
    assert!(cell["refused"].is_null() && found["calibrated"] == false);
    let band = &cell["best_torque_band"];
    assert!((number(&band[1]) - number(&band[0]) - 2.0 * 1.28 * 5.05).abs() < 0.3, "{band}");
    assert!(found["caution"].as_str().unwrap().starts_with("Untested: order of magnitude and shape only."));
    let assumed: Vec<&str> =
        found["assumed"].as_array().unwrap().iter().map(|own| own["path"].as_str().unwrap()).collect();
    assert!(assumed.contains(&"combustion.overlap_deg") && !assumed.contains(&"engine.compression_ratio"));
    assert_eq!(found["calibration"].as_array().unwrap().len(), 4);
    assert_eq!(found["calibration"][0]["learnt"], 0.0);
}

#[test]
fn the_whole_text_for_people() {
    let bench = with_four();
    let mut text = bench.done("opinion four.ron");
    text += &bench.done("opinion four.ron --speed 2000 --load 60");
    text += &bench.done("opinion four.ron --table --ron 91");
    text += &bench.done("opinion four.ron --speed 900 --load 40");
    golden::check("opinion.txt", &text);
}

/// Less octane, hotter air and a higher ratio all take advance away.
#[test]
fn what_if_is_answered_in_degrees() {
    let bench = with_four();
    let recommended = |more: &str| {
        let found = bench.json(&format!("opinion four.ron --speed 2000 --load 97 --json {more}").replace("  ", " "));
        (number(&found["cells"][0]["recommended_deg"]), found["cells"][0]["recommended_was_deg"].clone())
    };
    let (own, none) = recommended("--ratio 9.5");
    assert_eq!(number(&none), own);
    for what_if in ["--ron 91", "--air 45", "--ratio 10.5"] {
        let (tried, was) = recommended(what_if);
        assert!(tried < own - 1.0 && number(&was) == own, "{what_if}: {tried}, {own}");
    }
    let summary = bench.done("opinion four.ron --ron 91");
    assert!(summary.contains("recommended changes"), "{summary}");
}

/// Every reason comes out with exit code 0: it is an answer.
#[test]
fn where_there_is_no_opinion_there_is_a_reason() {
    let bench = with_four();
    let refused = |set: &str, at: &str| {
        let job = format!("set four.ron -o other.ron {set}");
        bench.done(job.trim());
        let found = bench.json(&format!("opinion other.ron {at} --json"));
        assert!(found["cells"][0]["best_torque_deg"].is_null());
        found["cells"][0]["refused"].as_str().unwrap().to_owned()
    };
    let (cruise, full) = ("--speed 2500 --load 60", "--speed 2500 --load 97");
    let boost = "engine.induction=boosted";
    for (set, at, reason) in [
        ("step_deg=0.5", "--speed 900 --load 40", "idle:"),
        ("step_deg=0.5", "--speed 200 --load 97", "cranking:"),
        ("step_deg=0.5", "--speed 2500 --load 20", "overrun:"),
        ("step_deg=0.5", "--speed 2500 --load 260", "260 kPa is above 250 kPa"),
        (boost, full, "the temperature of the intake air after the cooler is not given"),
        ("combustion.burning=alcohol", full, "fuels with more than a tenth of alcohol"),
        ("combustion.burning=gas", full, "gas burns"),
        ("combustion.burning=two_stroke", full, "two-strokes"),
        ("combustion.burning=rotary", full, "rotary engines"),
        ("combustion.burning=stratified", full, "petrol injected in layers"),
        ("combustion.lambda.value=1.4,1.4,1.4,1.4,1.4", cruise, "a lambda of 1.4"),
        ("combustion.overlap_deg=100", "--speed 1200 --load 40", "of residual gas is more than burns steadily"),
        ("engine.compression_ratio=15", full, "a compression ratio of 15:1 is outside 6..14:1"),
        ("engine.fuel_octane_ron=75", full, "a research octane number of 75 RON is outside"),
    ] {
        let told = refused(set, at);
        assert!(told.starts_with(reason) || told.contains(reason), "{set}, {at}: {told}");
    }
}

#[test]
fn a_throttle_table_goes_by_the_pressure_behind_the_throttle() {
    let bench = Bench::new();
    bench.done("new --cylinders 4 --load throttle --size 4x4 --name four -o four.ron");
    let found = bench.json("opinion four.ron --speed 3000 --load 40 --json");
    assert!((number(&found["cells"][0]["pressure_kpa"]) - 80.35).abs() < 0.2);
    let closed = bench.done("opinion four.ron --speed 3000 --load 5");
    assert!(closed.contains("the throttle is as good as closed"), "{closed}");
    bench.done("set four.ron -o four.ron engine.induction=boosted combustion.intake_air_c=40");
    assert!(bench.done("opinion four.ron --speed 3000 --load 40").contains("throttle opening does not tell boost"));
}

/// The values of two points that were computed independently with NumPy.
#[test]
fn measured_points_calibrate_it() {
    let bench = with_four();
    let points = "name,speed_rpm,load,advance_deg,sd_deg,bound,kind\n\
                  torque,3000,97,39.1,2,about,best_torque\n\
                  quiet,3000,97,30.3,1.5,at_most,knock\n\
                  least,3000,97,33,,about,least_for_best_torque\n\
                  typed,3000,97,33,,about,typed\n";
    bench.put("points.csv", points);
    bench.done("points four.ron -o taught.ron --add points.csv");
    let found = bench.json("opinion taught.ron --speed 2000 --load 97 --json");
    assert_eq!(found["calibrated"], true);
    let used: Vec<&str> = found["used"].as_array().unwrap().iter().map(|own| own["name"].as_str().unwrap()).collect();
    assert_eq!(used, ["torque", "quiet"]);
    assert_eq!(found["left_out"].as_array().unwrap().len(), 2);
    let burns = &found["calibration"][0];
    assert_eq!(burns["name"], "burns slower");
    assert!(number(&burns["factor"]) > 1.05 && number(&burns["learnt"]) > 0.2, "{burns}");
    let before = bench.json("opinion four.ron --speed 2000 --load 97 --json");
    let width = |found: &Value| {
        let band = &found["cells"][0]["best_torque_band"];
        number(&band[1]) - number(&band[0])
    };
    assert!(width(&found) < 0.75 * width(&before));
    let text = bench.done("opinion taught.ron --speed 2000 --load 97");
    assert!(text.contains("Learnt from what was measured") && text.contains("Tested by 2 measurements"), "{text}");
    assert!(text.contains("Not used: typed: it tells nothing of best torque or knock"), "{text}");
}

#[test]
fn places_that_are_no_places_are_bad_usage() {
    let bench = with_four();
    assert!(bench.failed("opinion four.ron --speed 2000").contains("--load"));
    assert!(bench.failed("opinion four.ron --speed 2000 --load 900").contains("--load 1..500 kPa"));
    assert!(bench.failed("opinion four.ron --speed 40000 --load 60").contains("--speed is 0..30000 rpm"));
    assert!(bench.failed("opinion four.ron --table --speed 2000 --load 60").contains("cannot be used with"));
}
