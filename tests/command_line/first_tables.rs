//! First tables, and the conversion of loads.

use sparkloft::project::{LoadKind, Origin, Project};
use sparkloft::worksheet::Filling;

use super::bench::Bench;
use super::golden;

/// A centrifugal curve and a capsule within common practice, no source.
pub(super) const DISTRIBUTOR: &str = "(
    initial_deg: 6, initial_rpm: 450,
    centrifugal: (points: [(500, 0), (1000, 2), (1600, 9), (2000, 14), (3000, 21), (4000, 28), (4600, 32)]),
    vacuum: (terms: distributor, unit: inhg, port: manifold, points: [(4, 0), (8, 4), (12, 7), (15, 8)]),
)";

fn with_six() -> Bench {
    let bench = Bench::new();
    bench.done("new --cylinders 6 --load pressure --size 12x10 --name six -o six.ron");
    bench.done("set six.ron -o six.ron engine.displacement_l=2.7 engine.compression_ratio=8.2");
    bench.put("old.ron", DISTRIBUTOR);
    bench
}

fn is_fresh(project: &Project) -> bool {
    let origins = project.advance.origins();
    let is_first = |origin: &Origin| matches!(origin, Origin::Starter | Origin::Modelled | Origin::Extended);
    project.advance.held().is_empty() && origins.iter().all(is_first)
}

/// 11.5° at 1300 rpm and full load, 34.5° at 2500 rpm and 10 inHg of vacuum, by hand; cells are rounded down to the step.
#[test]
fn a_distributor_gives_its_advance() {
    let bench = with_six();
    bench.done("set six.ron -o six.ron advance.speed_rpm[3]=1300 advance.load[7]=101.325");
    let text = bench.done("first-table six.ron -o first.ron --distributor old.ron");
    golden::check("first-table-distributor.txt", &text);
    let first = bench.project("first.ron");
    assert!(is_fresh(&first));
    let table = first.advance.table();
    assert_eq!(table.lookup(1300.0, 101.325), 11.5);
    assert!(first.notes.ends_with(
        "First table from the distributor: initial 6.0° at 450 rpm, weights to 32.0° at 4600 rpm, with its capsule. \
         Assumed: The fuel is no worse than the one the distributor was made for."
    ));
    let json = bench.json("first-table six.ron -o first.ron --distributor old.ron --json");
    assert_eq!(json["label"], "Make the first table from the distributor");
    assert_eq!(json["cells"].as_array().unwrap().len(), 10);
    assert_eq!(json["file"], "first.ron");
}

#[test]
fn a_distributor_that_is_none_is_refused_with_its_place() {
    let bench = with_six();
    let told = |text: &str| {
        bench.put("bad.ron", text);
        bench.failed("first-table six.ron -o first.ron --distributor bad.ron")
    };
    let falling = told(&DISTRIBUTOR.replace("(1600, 9)", "(900, 9)"));
    assert!(falling.contains("bad.ron: centrifugal.points: point 3 does not lie above point 2"), "{falling}");
    assert!(told(&DISTRIBUTOR.replace("(4600, 32)", "(4600, 320)")).contains("320 is outside 0..60°"));
    assert!(told(&DISTRIBUTOR.replace("(15, 8)", "(45, 8)")).contains("kPa"));
    assert!(told(&DISTRIBUTOR.replace("inhg", "psi")).contains("bad.ron: line 4, column"));
    assert!(told("(initial_deg: 6)").contains("initial_rpm"));
    assert!(told("hello").contains("bad.ron: line 1"));
    assert!(bench.failed("first-table six.ron -o first.ron").contains("--distributor"));
    assert!(bench.failed("first-table six.ron -o first.ron --engine --like larch-six.ron").contains("cannot be used"));
    assert!(bench.failed("first-table six.ron -o old.ron --distributor old.ron").contains("this is the distributor"));
}

#[test]
fn an_engine_described_gives_a_table_that_the_checks_accept() {
    let bench = with_six();
    let text = bench.done("first-table six.ron -o first.ron --engine");
    golden::check("first-table-engine.txt", &text);
    let first = bench.project("first.ron");
    assert!(is_fresh(&first));
    assert!(first.advance.origins().contains(&Origin::Modelled));
    assert!(first.notes.contains("untested: order of magnitude and shape only"), "{}", first.notes);
    assert_eq!(first.lowered_to_full_load_line(), Some(Vec::new()), "nothing lies above the full-load line");
    let found = bench.json("check first.ron --json");
    let found = found.to_string();
    for id in ["slope_speed", "slope_load", "stands_out", "idle_slope", "boost_retard", "full_load_line"] {
        assert!(!found.contains(&format!("\"{id}\"")), "{id}: {found}");
    }
}

#[test]
fn another_project_gives_its_surface() {
    let bench = with_six();
    let text = bench.done("first-table six.ron -o first.ron --like larch-six.ron");
    golden::check("first-table-like.txt", &text);
    let (first, larch) = (bench.project("first.ron"), bench.project("larch-six.ron"));
    assert!(is_fresh(&first));
    for (speed_rpm, load) in [(2000.0, 40.0), (3000.0, 60.0)] {
        let off = first.advance.table().lookup(speed_rpm, load) - larch.advance.table().lookup(speed_rpm, load);
        assert!(off.abs() < 1.5, "{off}");
    }
    let told = bench.failed("first-table six.ron -o first.ron --like tarn-special.ron");
    assert!(
        told.contains("the other table is over throttle, this one over pressure: convert its load first"),
        "{told}"
    );
}

/// A log of an engine that the model describes to the last digit.
pub(super) fn log() -> String {
    let filling = Filling { size_rpm: 30_000.0, leak: 0.012, exponent: -0.3, ambient_kpa: 101.325 };
    let mut text = "speed_rpm,throttle_pct,pressure_kpa\n".to_owned();
    for speed_rpm in [1000.0, 2000.0, 3500.0, 5000.0] {
        for opening_pct in [2.0, 5.0, 8.0, 12.0, 20.0, 30.0, 45.0, 60.0, 80.0, 100.0] {
            let kpa = filling.pressure_kpa(speed_rpm, opening_pct);
            text += &format!("{speed_rpm},{opening_pct},{kpa:.3}\n");
        }
    }
    text
}

#[test]
fn throttle_becomes_pressure_by_a_log() {
    let bench = Bench::new();
    bench.done("new --cylinders 4 --load throttle --size 12x10 --name four -o four.ron");
    bench.put("log.csv", &log());
    let text = bench.done("convert-load four.ron --to pressure --pairs log.csv -o kpa.ron");
    golden::check("convert-load.txt", &text);
    let (before, after) = (bench.project("four.ron"), bench.project("kpa.ron"));
    assert_eq!(after.sensors.load, LoadKind::Pressure);
    let filling = Filling { size_rpm: 30_000.0, leak: 0.012, exponent: -0.3, ambient_kpa: 101.325 };
    for (speed_rpm, kpa) in [(2000.0, 60.0), (3000.0, 75.0), (4500.0, 50.0)] {
        let opening_pct = filling.opening_pct(speed_rpm, kpa).unwrap();
        let off = after.advance.table().lookup(speed_rpm, kpa) - before.advance.table().lookup(speed_rpm, opening_pct);
        assert!(off.abs() < 1.5, "{speed_rpm} rpm, {kpa} kPa: {off}");
    }
    let json = bench.json("convert-load four.ron --to pressure --pairs log.csv -o kpa.ron --json");
    assert!((json["filling"]["size_rpm"].as_f64().unwrap() - 30_000.0).abs() < 30.0);
    assert_eq!((json["pairs"].as_u64(), json["cells"].as_array().unwrap().len()), (Some(40), 120));
    let back = bench.done("convert-load kpa.ron --to throttle --pairs log.csv -o pct.ron");
    assert!(back.contains("Rows above the pressure around are left"), "{back}");
    assert_eq!(bench.project("pct.ron").sensors.load, LoadKind::Throttle);
}

#[test]
fn a_log_that_tells_nothing_is_refused() {
    let bench = Bench::new();
    bench.done("new --cylinders 4 --load throttle --size 8x8 --name four -o four.ron");
    let told = |text: &str| {
        bench.put("log.csv", text);
        bench.failed("convert-load four.ron --to pressure --pairs log.csv -o kpa.ron")
    };
    assert!(told("speed_rpm,pressure_kpa\n2000,60\n").contains("log.csv: line 1: there is no column 'throttle_pct'"));
    let few: String = log().lines().take(12).map(|line| format!("{line}\n")).collect();
    assert!(told(&few).contains("log.csv: 11 settled rows of speed, throttle and pressure, where 30 are needed"));
    let high: String = (0..40).map(|at| format!("{},{},99\n", 1000 + 100 * at, 60 + at)).collect();
    assert!(told(&format!("speed_rpm,throttle_pct,pressure_kpa\n{high}")).contains("log part throttle too"));
    bench.put("log.csv", &log());
    let same = bench.failed("convert-load larch-six.ron --to pressure --pairs log.csv -o kpa.ron");
    assert!(same.contains("the project's load is pressure already"), "{same}");
    let boost = bench.failed("convert-load larch-six.ron --to throttle --pairs log.csv -o pct.ron");
    assert!(boost.contains("throttle does not tell boost"), "{boost}");
    let thin = bench.failed("convert-load four.ron --to pressure --pairs log.csv -o kpa.ron --ambient 20");
    assert!(thin.contains("--ambient: 20 is outside 60..110 kPa"), "{thin}");
}
