//! One point looked up, with all it is made up of.

use serde_json::{Value, json};
use sparkloft::spark::{Conditions, Evaluation};

use super::bench::{Bench, SAMPLE};

const NAMES: [&str; 9] =
    ["cranking", "blend", "table", "coolant_trim", "air_trim", "launch", "over_speed", "margin", "clamp"];

fn sum(found: &Value) -> f64 {
    NAMES.iter().map(|name| found["contributions"][name].as_f64().unwrap_or(0.0)).sum()
}

#[test]
fn json_is_the_breakdown_of_the_evaluation() {
    let bench = Bench::new();
    let found =
        bench.json(&format!("lookup {SAMPLE} --speed 3200 --load 10 --coolant 20 --air 60 --battery 13.5 --json"));
    let conditions = json!({"speed_rpm": 3200, "load": 10, "coolant_c": 20, "air_c": 60, "battery_v": 13.5,
        "throttle_pct": 10, "launch": false});
    assert_eq!(
        (&found["conditions"], &found["state"], &found["fires"]),
        (&conditions, &json!("running"), &json!(true))
    );
    let names: Vec<&String> = found["contributions"].as_object().unwrap().keys().collect();
    assert_eq!(names.len(), NAMES.len());
    assert_eq!(found["contributions"]["table"], json!(34));
    let commanded = found["commanded_deg"].as_f64().unwrap();
    assert!((sum(&found) - commanded).abs() < 1e-9);
    let project = bench.project(SAMPLE);
    let conditions = Conditions {
        speed_rpm: 3200.0,
        load: 10.0,
        coolant_c: Some(20.0),
        air_c: Some(60.0),
        battery_v: Some(13.5),
        ..Conditions::default()
    };
    assert_eq!(commanded, Evaluation::new(&project).lookup(&conditions).commanded_deg);
}

#[test]
fn a_temperature_not_given_is_null_and_states_have_their_names() {
    let bench = Bench::new();
    bench.done(&format!("set {SAMPLE} -o {SAMPLE} limits.launch.enabled=yes"));
    let at = |words: &str| bench.json(&format!("lookup {SAMPLE} --json {words}"));
    let found = at("--speed 3200 --load 10");
    assert_eq!(
        (&found["contributions"]["coolant_trim"], &found["contributions"]["air_trim"]),
        (&Value::Null, &Value::Null)
    );
    assert_eq!(found["commanded_deg"], json!(34));
    let project = bench.project(SAMPLE);
    let (launch_rpm, limit_rpm) = (project.limits.launch.cuts_at_rpm, project.limits.over_speed.cuts_at_rpm);
    for (words, state, fires) in [
        ("--speed 20 --load 0".to_owned(), "stopped", false),
        ("--speed 200 --load 0".to_owned(), "cranking", true),
        (format!("--speed {limit_rpm} --load 100"), "limit_cut", false),
        (format!("--speed {} --load 100", limit_rpm - 10.0), "over_speed", true),
        (format!("--speed {launch_rpm} --load 100 --launch"), "launch_cut", false),
        (format!("--speed {} --load 100 --launch", launch_rpm - 100.0), "launch", true),
        (format!("--speed {launch_rpm} --load 100 --throttle 5 --launch"), "running", true),
    ] {
        let found = at(&words);
        assert_eq!((&found["state"], &found["fires"]), (&json!(state), &json!(fires)), "{words}");
        assert!((sum(&found) - found["commanded_deg"].as_f64().unwrap()).abs() < 1e-9, "{words}");
    }
}

#[test]
fn the_text_adds_up_and_ends_in_what_the_light_should_show() {
    let bench = Bench::new();
    bench.done(&format!("set {SAMPLE} -o {SAMPLE} trigger.latency_us=100"));
    let text = bench.done(&format!("lookup {SAMPLE} --speed 3200 --load 10 --coolant 20"));
    assert_eq!(
        text,
        "\
3200 rpm, 10 %, coolant 20 °C

  table           +34.00°
  coolant trim     +2.00°
  air trim       left out  no temperature given
  commanded        36.00°
  sensor latency   −1.92°

The light should show  34.08°  before top dead centre.
State: running.
"
    );
    let cut = bench.done(&format!("lookup {SAMPLE} --speed 9900 --load 10"));
    assert!(cut.contains("nothing steady") && cut.contains("limit_cut"), "{cut}");
}

/// A centrifugal advance curve over rpm in crank degrees with 6° of initial advance: within common practice, no source.
/// The totals at 1300 and 2500 rpm are computed by hand from their neighbours.
#[test]
fn a_table_made_from_a_centrifugal_curve_gives_its_totals() {
    let bench = Bench::new();
    let (speeds, totals) = ("500,1000,1600,2000,3000,4000,4600", "6,8,15,20,27,34,38");
    bench.put("centrifugal.csv", &format!("load,{speeds}\n0,{totals}\n100,{totals}\n"));
    bench.done("new --cylinders 4 --load throttle -o d.ron");
    bench.done("import centrifugal.csv --into d.ron -o d.ron");
    for (speed, total) in [("1300", 11.5), ("2500", 23.5)] {
        let found = bench.json(&format!("lookup d.ron --speed {speed} --load 30 --json"));
        assert!((found["commanded_deg"].as_f64().unwrap() - total).abs() < 1e-12);
    }
    bench.put("points.csv", "speed_rpm,load\n1300,30\n2500,70\n");
    bench.done("lookup d.ron --points points.csv -o out.csv");
    assert_eq!(
        bench.text("out.csv"),
        "speed_rpm,load,table_deg,state,commanded_deg\n1300,30,11.5,running,11.5\n2500,70,23.5,running,23.5\n"
    );
}

#[test]
fn points_with_conditions_get_their_state_and_command() {
    let bench = Bench::new();
    bench.put(
        "p.csv",
        "speed_rpm,load,coolant_c,air_c,battery_v,throttle_pct,launch\n3200,10,20,20,13,10,0\n200,0,20,20,9,0,0\n",
    );
    bench.done(&format!("lookup {SAMPLE} --points p.csv -o out.csv"));
    let text = bench.text("out.csv");
    let rows: Vec<Vec<&str>> = text.lines().map(|line| line.split(',').collect()).collect();
    assert_eq!(rows[0][7..], ["table_deg", "state", "commanded_deg"]);
    assert_eq!((rows[1][7], rows[1][8], rows[1][9]), ("34", "running", "36"));
    assert_eq!((rows[2][8], rows[2][9]), ("cranking", "8"));
    bench.put("p.csv", "speed_rpm,load,launch\n3200,10,2\n");
    assert!(bench.failed(&format!("lookup {SAMPLE} --points p.csv -o no.csv")).contains("line 2: column 'launch'"));
    for words in ["--speed 1 --load 2 --points p.csv -o o.csv", "--points p.csv", "--points p.csv -o o.csv --launch"] {
        assert!(bench.failed(&format!("lookup {SAMPLE} {words}")).contains("--help"), "{words}");
    }
}

/// A point, a file of points, a run and a field: what cannot be is refused by all of them, with the same range.
#[test]
fn what_cannot_be_is_refused_alike_everywhere() {
    let bench = Bench::new();
    for (what, range, flags, column, run) in [
        ("speed", "0..30000", "--speed -5 --load 10", "speed_rpm,load\n-5,10\n", "0,-5,10,13,10\n1,900,10,13,10\n"),
        ("load", "0..100", "--speed 900 --load 101", "speed_rpm,load\n900,101\n", "0,900,101,13,10\n1,900,10,13,10\n"),
        (
            "throttle",
            "0..100",
            "--speed 900 --load 10 --throttle 101",
            "speed_rpm,load,throttle_pct\n900,10,101\n",
            "0,900,10,13,101\n1,900,10,13,10\n",
        ),
        (
            "battery",
            "0..60",
            "--speed 900 --load 10 --battery -1",
            "speed_rpm,load,battery_v\n900,10,-1\n",
            "0,900,10,-1,10\n1,900,10,13,10\n",
        ),
    ] {
        bench.put("p.csv", column);
        bench.put("run.csv", &format!("time_s,speed_rpm,load,battery_v,throttle_pct\n{run}"));
        for job in [
            format!("lookup {SAMPLE} {flags}"),
            format!("lookup {SAMPLE} --points p.csv -o out.csv"),
            format!("rig {SAMPLE} --run run.csv"),
        ] {
            let refused = bench.failed(&job);
            assert!(refused.contains(what) && refused.contains(range), "{job}: {refused}");
        }
    }
    let refused = bench.failed(&format!("set {SAMPLE} -o out.ron engine.idle_load=101"));
    assert!(refused.contains("101 is outside 0..100 %"), "{refused}");
}

#[test]
fn a_lowest_voltage_above_the_highest_is_refused() {
    let bench = Bench::new();
    let words = "sensors.lowest_battery_v=12 sensors.highest_battery_v=11";
    let refused = bench.failed(&format!("set {SAMPLE} -o out.ron {words}"));
    assert!(refused.contains("12 V is above the highest battery voltage, 11 V"), "{refused}");
    let text = bench.text(SAMPLE);
    let lowest = text.lines().find(|line| line.contains("lowest_battery_v")).unwrap();
    bench.put("bad.ron", &text.replace(lowest, "        lowest_battery_v: 59.0,"));
    let refused = bench.failed("show bad.ron");
    assert!(refused.contains("59 V is above the highest battery voltage"), "{refused}");
}
