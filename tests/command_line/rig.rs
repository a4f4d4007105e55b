//! Runs on the simulated rig.

use std::process::Stdio;

use serde_json::{Value, json};

use super::bench::{Bench, SAMPLE};

const KEYS: [&str; 15] = [
    "duration_s",
    "edges",
    "gaps",
    "syncs",
    "sync_losses",
    "sparks",
    "cuts",
    "degrees_before_first_spark",
    "max_abs_error_deg",
    "rms_error_deg",
    "min_energy_mj",
    "max_dwell_ms",
    "min_dwell_ms",
    "states",
    "outputs",
];

fn run(bench: &Bench, words: &str) -> Value {
    bench.json(format!("rig {SAMPLE} --json {words}").trim_end())
}

#[test]
fn every_built_in_run_is_summed_up() {
    let bench = Bench::new();
    let help = bench.done("rig --help");
    for name in ["crank-and-start", "idle", "sweep-to-the-limit", "cold-start", "launch", "run-down"] {
        let summary = run(&bench, &format!("--run {name}"));
        assert!(KEYS.iter().all(|key| summary.get(key).is_some()), "{name}: {summary}");
        assert!(summary["sparks"].as_u64().unwrap() > 50, "{name}");
        assert!(help.contains(name), "{name}");
    }
    let idle = run(&bench, "--run idle");
    assert!(idle["max_abs_error_deg"].as_f64().unwrap() < 1e-6);
    assert!((idle["duration_s"].as_f64().unwrap() - 10.0).abs() < 1e-9);
    bench.done(&format!("set {SAMPLE} -o off.ron limits.launch.enabled=no limits.over_speed.enabled=no"));
    for (name, remark) in [("launch", "launch is switched off"), ("sweep-to-the-limit", "limit is switched off")] {
        assert!(bench.say(&format!("rig off.ron --run {name}")).err.contains(remark), "{name}");
    }
    let limit = run(&bench, "--run sweep-to-the-limit");
    assert!(limit["cuts"].as_u64().unwrap() > 0 && limit["states"]["limit_cut"].as_f64().unwrap() > 0.0);
    assert!(limit["outputs"]["shift light"]["switches"].as_u64().unwrap() > 0);
}

/// The events of a run and its summary tell the same.
#[test]
fn events_are_written_with_their_columns_and_agree_with_the_summary() {
    let bench = Bench::new();
    bench.put("drive.csv", "time_s,speed_rpm,load\n0,200,5\n1,1500,20\n3,3000,60\n");
    let summary = run(&bench, "--run drive.csv -o events.csv");
    let text = bench.text("events.csv");
    let mut lines = text.lines();
    assert_eq!(lines.next(), Some("time_s,crank_deg,event,channel,commanded_deg,actual_deg,error_deg,value"));
    let rows: Vec<Vec<&str>> = lines.map(|line| line.split(',').collect()).collect();
    let count = |event: &str| rows.iter().filter(|row| row[2] == event).count() as u64;
    for (event, key) in [("edge", "edges"), ("gap", "gaps"), ("spark", "sparks"), ("sync", "syncs"), ("cut", "cuts")] {
        assert_eq!(Some(count(event)), summary[key].as_u64(), "{event}");
    }
    let project = bench.project(SAMPLE);
    let reference = project.trigger.reference_deg + project.trigger.zero_offset_deg;
    for row in rows.iter().filter(|row| row[2] == "spark") {
        let number = |at: usize| row[at].parse::<f64>().unwrap();
        assert!((number(4) - number(5) - number(6)).abs() < 1e-12);
        // From reference and zero offset alone: the next dead centre of the channel.
        let channel = project.engine.channels.iter().position(|channel| channel.name == row[3]).unwrap();
        let turns = (number(1) + number(5) - reference - channel as f64 * 180.0) / 360.0;
        assert!((turns - turns.round()).abs() < 1e-9, "{row:?}");
    }
}

#[test]
fn faults_cost_sync_and_are_reported() {
    let bench = Bench::new();
    let plain = run(&bench, "--run idle");
    assert_eq!((&plain["syncs"], &plain["sync_losses"]), (&json!(1), &json!(0)));
    let faulty = run(&bench, "--run idle --drop 2.5 --extra 5.0011 -o events.csv");
    let losses = faulty["sync_losses"].as_u64().unwrap();
    assert!(losses >= 2 && faulty["syncs"].as_u64() == Some(losses + 1), "{faulty}");
    assert_eq!(bench.text("events.csv").matches(",sync_lost,").count() as u64, losses);
    let mut in_sync = false;
    for line in bench.text("events.csv").lines() {
        match line.split(',').nth(2) {
            Some("sync") => in_sync = true,
            Some("sync_lost") => in_sync = false,
            Some("spark" | "charge") => assert!(in_sync, "{line}"),
            _ => {}
        }
    }
    let one_gap = run(&bench, "--run idle --one-gap");
    let first = |summary: &Value| summary["degrees_before_first_spark"].as_f64().unwrap();
    assert!((first(&plain) - first(&one_gap) - 360.0).abs() < 1e-6);
    let jitter = run(&bench, "--run idle --jitter 20 --seed 7");
    assert!(jitter["max_abs_error_deg"].as_f64().unwrap() > 0.05);
    assert_eq!(jitter, run(&bench, "--run idle --jitter 20 --seed 7"));
    assert_ne!(jitter, run(&bench, "--run idle --jitter 20 --seed 8"));
    let swinging = run(&bench, "--run idle --variation 0.3");
    assert!(swinging["max_abs_error_deg"].as_f64().unwrap() > 0.05, "{swinging}");
}

/// 100 µs are 3.6° at 6000 rpm: 0.036° for each µs there.
#[test]
fn latency_is_off_unless_a_flag_asks_for_it() {
    let bench = Bench::new();
    bench.put("steady.csv", "time_s,speed_rpm,load\n0,6000,50\n1,6000,50\n");
    let error = |words: &str| run(&bench, &format!("--run steady.csv {words}"))["max_abs_error_deg"].as_f64().unwrap();
    bench.done(&format!("set {SAMPLE} -o {SAMPLE} trigger.latency_us=100"));
    assert!(error("") < 1e-6);
    assert!((error("--latency 50") - 1.8).abs() < 1e-6);
    assert!((error("--sensor-latency") - 3.6).abs() < 1e-6);
}

#[test]
fn the_trigger_signal_is_a_sound_file() {
    let bench = Bench::new();
    let steady = "time_s,speed_rpm,load\n0,600,50\n1,600,50\n";
    bench.put("steady.csv", steady);
    let run = bench.say(&format!("rig {SAMPLE} --run steady.csv --wav out.wav --json --sample-rate 44100"));
    assert_eq!(run.code, Some(0), "{}", run.err);
    assert!(run.err.contains("volume at zero") && run.err.contains("isolating transformer"), "{}", run.err);
    let mut reader = hound::WavReader::open(bench.path("out.wav")).unwrap();
    let spec = reader.spec();
    assert_eq!((spec.channels, spec.sample_rate, spec.bits_per_sample, reader.duration()), (1, 44_100, 16, 44_100));
    let samples: Vec<i16> = reader.samples().map(Result::unwrap).collect();
    let wheel = bench.project(SAMPLE).trigger.wheel;
    let switches = samples.windows(2).filter(|pair| (pair[0] < 0) != (pair[1] < 0)).count();
    // Ten turns, two switches a tooth; the first tooth's edge stands at the very begin.
    assert_eq!(switches + 1, 10 * 2 * usize::from(wheel.edges()));
    let peak = |name: &str| {
        bench.done(&format!("rig {SAMPLE} --run {name} --wav out.wav --pulse smoothed"));
        let mut reader = hound::WavReader::open(bench.path("out.wav")).unwrap();
        f64::from(reader.samples::<i16>().map(Result::unwrap).max().unwrap())
    };
    bench.put("faster.csv", &steady.replace("600", "1200"));
    assert!((peak("faster.csv") / peak("steady.csv") - 2.0).abs() < 0.05, "it grows with speed");
    assert!(bench.failed(&format!("rig {SAMPLE} --run idle --sample-rate 48000")).contains("--wav"));
    assert!(bench.failed(&format!("rig {SAMPLE} --run idle --wav no/out.wav")).contains("does not exist"));
}

#[test]
fn mistakes_are_named_and_nothing_is_written() {
    let bench = Bench::new();
    let failed = |words: &str| bench.failed(&format!("rig {SAMPLE} -o events.csv {words}"));
    assert!(failed("--run sprint").contains("'sprint' is no built-in run (crank-and-start, idle,"));
    assert!(failed("--run no.csv").starts_with("error: no.csv: the file cannot be read"));
    bench.put("drive.csv", "time_s,speed_rpm,load\n0,900,5\n1,-5,5\n");
    assert!(failed("--run drive.csv").contains("drive.csv: line 3: speed_rpm -5 is outside 0..30000"));
    assert!(failed("--run idle --variation 0.7").contains("variation 0.7 is outside 0..0.5"));
    assert!(bench.failed(&format!("rig {SAMPLE} --run idle -o - --json")).contains("stdout"));
}

#[test]
fn events_stream_and_a_reader_may_go_away() {
    let bench = Bench::new();
    let text = bench.done(&format!("rig {SAMPLE} --run idle -o -"));
    assert!(text.starts_with("time_s,crank_deg,") && text.lines().count() > 1000);
    let mut command = bench.command();
    command.args(["rig", SAMPLE, "--run", "cold-start", "-o", "-"]).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!((output.status.code(), output.stderr), (Some(0), Vec::new()));
}

/// The text for people, whole.
#[test]
fn the_summary_reads_well() {
    let bench = Bench::new();
    let text = bench.done(&format!("rig {SAMPLE} --run sweep-to-the-limit"));
    super::golden::check("rig-sweep.txt", &text);
}

#[test]
fn a_run_that_the_project_keeps_drives_the_rig_by_its_name() {
    let bench = Bench::new();
    let row = |time: &str, speed: &str| {
        format!(
            "(time_s: {time}, speed_rpm: {speed}, load: 20, coolant_c: 85, air_c: None, battery_v: None, throttle_pct: \
             None, launch: false)"
        )
    };
    let runs = format!("runs=[(name: \"hill\", rows: [{}, {}])]", row("0", "900"), row("4", "3000"));
    assert_eq!(bench.run(["set", SAMPLE, "-o", "own.ron", &runs]).code, Some(0));
    bench.put("hill.csv", "time_s,speed_rpm,load,coolant_c\n0,900,20,85\n4,3000,20,85\n");
    let own = bench.json("rig own.ron --json --run hill");
    assert_eq!(own, bench.json("rig own.ron --json --run hill.csv"));
    assert!(own["sparks"].as_u64().unwrap() > 50);
    let told = bench.failed("rig own.ron --run hil");
    assert!(told.contains("no run of the project (it keeps hill) and no file"), "{told}");
    let unfinished = format!("runs=[(name: \"hill\", rows: [{}, {}])]", row("0", "900"), row("None", "3000"));
    assert_eq!(bench.run(["set", SAMPLE, "-o", "own.ron", &unfinished]).code, Some(0));
    let told = bench.failed("rig own.ron --run hill");
    assert!(told.contains("the project's run 'hill': row 2: time: a number is missing"), "{told}");
}
