//! Fairing under demands and fitting on the command line: the same as the tools, and what is said when demands contradict
//! each other.

use serde_json::Value;
use sparkloft::project::Origin;
use sparkloft::shaping::{Ceiling, Demands, Tool};
use sparkloft::table::Cell;

use super::bench::{Bench, SAMPLE, document};
use super::golden;
use super::shape::same;

#[test]
fn fair_is_the_tool_with_what_was_demanded() {
    let bench = Bench::new();
    let project = bench.project(SAMPLE);
    let whole = (None, None);
    let usual = Demands { within_deg: Some(1.0), idle: Some(project.idle_cells()), ..Demands::default() };
    same(&bench, whole, "fair", &Tool::Fair { demands: usual.clone() });
    same(&bench, whole, "fair --within 1 --leave-idle", &Tool::Fair { demands: usual });
    // As soon as one demand is given, only those given hold.
    let only = Demands { within_deg: Some(0.5), ..Demands::default() };
    same(&bench, whole, "fair --within .5", &Tool::Fair { demands: only });
    let many = Demands {
        within_deg: Some(4.0),
        not_rising_above: Some(60.0),
        max_slope_per_1000rpm: Some(18.0),
        max_slope_per_load: Some(1.5),
        ceiling: Ceiling::full_load(&project),
        step_deg: Some(0.5),
        ..Demands::default()
    };
    assert!(many.ceiling.is_some(), "the sample has its full-load line on");
    let block = (Some((2000.0, 6000.0)), Some((20.0, 100.0)));
    let words = "fair --within 4 --not-rising-above 60 --max-slope-speed 18 --max-slope-load 1.5 --under-full-load-line \
                 --step 0.5";
    same(&bench, block, words, &Tool::Fair { demands: many });
}

#[test]
fn faired_cells_are_marked_and_those_at_a_demand_are_listed() {
    let bench = Bench::new();
    let done = bench.json(&format!("shape {SAMPLE} -o out.ron --json fair --within 0.5"));
    let standing = done["standing"].as_array().unwrap();
    assert!(standing.iter().all(|cell| cell["demand"] == "within"), "{done}");
    assert!(!standing.is_empty());
    let (before, after) = (bench.project(SAMPLE), bench.project("out.ron"));
    let table = before.advance.table();
    for cell in table.cells() {
        let by = after.advance.table().at(cell) - table.at(cell);
        assert!(by.abs() <= 0.5 + 1e-9);
        let origin = after.advance.origin(cell);
        assert!(by == 0.0 || matches!(origin, Origin::Faired | Origin::Extended), "{origin:?}");
    }
    let text = bench.done(&format!("shape {SAMPLE} -o out.ron fair --within 0.5"));
    assert!(text.starts_with("Fair the whole table (") && text.contains(" within ±0.5°\n"), "{text}");
    assert!(text.contains("cells that stand at a demand: "), "{text}");
}

#[test]
fn demands_that_contradict_each_other_are_the_answer_no() {
    let bench = Bench::new();
    let words = format!("shape {SAMPLE} -o out.ron fair --within 0.1 --max-slope-speed 1");
    let run = bench.say(&format!("{words} --json"));
    assert_eq!(run.code, Some(1), "{}", run.err);
    let told = document(&run.out);
    assert!(told["short_by_deg"].as_f64().unwrap() > 0.0, "{told}");
    let demands = told["demands"].as_array().unwrap();
    let kinds: Vec<&Value> = demands.iter().map(|demand| &demand["kind"]).collect();
    assert!(kinds.contains(&&"slope_speed".into()), "{told}");
    for demand in demands {
        assert!(demand["words"].as_str().is_some_and(|words| !words.is_empty()), "{told}");
        assert!(demand["remedy"].as_str().is_some_and(|remedy| !remedy.is_empty()), "{told}");
        for cell in demand["cells"].as_array().unwrap() {
            assert!(cell["speed_rpm"].is_number() && cell["load"].is_number(), "{told}");
        }
    }
    let run = bench.say(&words);
    assert_eq!((run.code, run.err.as_str()), (Some(1), "note: nothing was written\n"));
    assert!(run.out.starts_with("these cannot all be kept; short by "), "{}", run.out);
    assert!(run.out.ends_with("any one of these ends it\n"), "{}", run.out);
    assert_eq!(bench.names(), [""; 0], "nothing is written");
}

/// By hand: between cells held at 20.3° lies one that may differ from them by no more than 0.1°, and there is no whole
/// number of degrees.
#[test]
fn a_step_that_alone_forbids_it_is_told_with_others() {
    let bench = Bench::new();
    let project = bench.project(SAMPLE);
    let table = project.advance.table();
    let (row, columns) = (table.load().breakpoints()[8], table.speed().breakpoints());
    let (first, middle, last) = (columns[6], columns[7], columns[8]);
    assert_eq!(middle - first, last - middle);
    let over = |from: f64, to: f64| format!("--speed {from}..{to} --load {row}..{row}");
    bench.done(&format!("shape {SAMPLE} -o a.ron {} set 20.3", over(first, last)));
    bench.done(&format!("shape a.ron -o a.ron {} hold", over(first, first)));
    bench.done(&format!("shape a.ron -o a.ron {} hold", over(last, last)));
    let slope = format!("--max-slope-speed {}", 100.0 / (middle - first));
    let fair = |step: &str| {
        bench.say(&format!("shape a.ron -o b.ron {} --json fair {slope} --step {step}", over(first, last)))
    };
    let run = fair("1");
    let told = document(&run.out);
    assert_eq!((run.code, &told["only_on_step_deg"]), (Some(1), &1.into()), "{told}");
    let demand = told["demands"].as_array().unwrap().last().unwrap();
    assert_eq!((&demand["kind"], &demand["cells"]), (&"step".into(), &Value::Array(Vec::new())));
    assert_eq!(demand["remedy"], "take the step 0.2° or 0.1°, or leave it out", "{told}");
    assert_eq!(fair("0.2").code, Some(0));
    let deg = bench.project("b.ron").advance.table().at(Cell::new(8, 7));
    assert!((deg - 20.2).abs() < 1e-12 || (deg - 20.4).abs() < 1e-12, "{deg}");
}

#[test]
fn what_a_project_does_not_have_is_said() {
    let bench = Bench::new();
    assert!(bench.failed(&format!("shape {SAMPLE} -o x.ron fair --through-points")).contains("no measured points"));
    assert!(bench.failed(&format!("shape {SAMPLE} -o x.ron fit")).contains("no measured points"));
    let off = bench.project(SAMPLE).edit(|parts| parts.full_load_line.enabled = false).unwrap();
    bench.put("off.ron", &sparkloft::project::write(&off).unwrap());
    let told = bench.failed("shape off.ron -o x.ron fair --under-full-load-line");
    assert!(told.contains("full-load line is switched off"), "{told}");
    assert!(bench.failed(&format!("shape {SAMPLE} -o x.ron fair --within -1")).contains("outside 0..150"));
}

#[test]
fn the_help_names_every_demand() {
    let bench = Bench::new();
    golden::check("shape-fair-help.txt", &bench.done("shape fair --help"));
    golden::check("shape-fit-help.txt", &bench.done("shape fit --help"));
}
