//! Help, exit codes, the window that is not there, and readers that go away.

use std::process::Stdio;

use super::bench::{Bench, SAMPLE};

const JOBS: [&str; 16] = [
    "samples",
    "new",
    "show",
    "shape",
    "set",
    "points",
    "first-table",
    "convert-load",
    "opinion",
    "compare",
    "export",
    "import",
    "lookup",
    "rig",
    "worksheet",
    "completions",
];

#[test]
fn help_names_every_job_and_tells_of_units_and_exit_codes() {
    let bench = Bench::new();
    let help = bench.done("--help");
    for word in JOBS.iter().chain(&["Exit codes", "Units", "Examples", "--json", "rpm", "kPa"]) {
        assert!(help.contains(word), "{word}");
    }
    for job in JOBS {
        let help = bench.done(&format!("{job} --help"));
        assert!(help.contains("Example"), "{job}");
    }
    for sheet in ["first-start", "timing-light", "true-tdc", "throttle", "sender", "coil", "sweep"] {
        assert!(bench.done(&format!("worksheet {sheet} --help")).contains("Example"), "{sheet}");
    }
    assert_eq!(bench.done("--version"), format!("sparkloft {}\n", env!("CARGO_PKG_VERSION")));
    assert!(bench.done("completions bash").contains("limit-slope"));
    assert!(bench.done("completions fish").contains("timing-light"));
}

/// Numbers of either sign reach what knows their range.
#[test]
fn negative_numbers_are_told_their_range() {
    let bench = Bench::new();
    for (words, wanted) in [
        (format!("picture {SAMPLE} --view wheel -o p.svg --scale -5"), "−5 is outside 0.5..8"),
        (format!("picture {SAMPLE} --view wheel -o p.svg --size -5x5"), "write a size in points"),
        (format!("picture {SAMPLE} --view wheel -o p.svg --advance 400"), "400 is outside −60..90°"),
        (format!("picture {SAMPLE} --view firing -o p.svg --advance -70"), "−70 is outside −60..90°"),
        (format!("rig {SAMPLE} --run idle --variation -5"), "variation"),
        (format!("rig {SAMPLE} --run idle --latency -5"), "latency"),
        (format!("rig {SAMPLE} --run idle --jitter -5"), "jitter"),
        (format!("rig {SAMPLE} --run idle --wav w.wav --sample-rate -5"), "8000..=384000"),
        (format!("export {SAMPLE} -o t.csv --decimals -5"), "0..=12"),
        ("worksheet true-tdc --first -5 --second 300".into(), "−5 is outside 0..360"),
        ("worksheet true-tdc --diameter -5".into(), "−5 is outside 20..600"),
        ("worksheet coil --limit -5".into(), "−5"),
        ("worksheet coil --battery -5".into(), "−5"),
        ("new --cylinders -5 --load throttle -o n.ron".into(), "-5 cylinders: choose 4, 6 or 8"),
        ("new --cylinders 4 --load throttle --size 1x1 -o n.ron".into(), "a table of 1 speed × 1 load;"),
    ] {
        let error = bench.failed(&words);
        assert!(error.contains(wanted) && !error.contains("unexpected argument"), "{words}: {error}");
    }
    assert!(bench.failed("shwo x").contains("did you mean 'show'?"));
}

#[test]
fn bad_usage_is_told_on_stderr() {
    let bench = Bench::new();
    for words in [
        "show",
        "show a b",
        "--nonsense",
        "shape",
        "lookup P",
        "lookup P --speed 1",
        "rig P",
        "worksheet",
        "compare a",
        "set a -o b",
    ] {
        assert!(bench.failed(words).contains("--help"), "{words}");
    }
    assert!(bench.failed("show no.ron").starts_with("error: no.ron: there is no such file"));
    bench.put("bad.ron", "(\n    format: 1,\n    nam: \"x\",\n)");
    let error = bench.failed("show bad.ron");
    assert!(error.starts_with("error: bad.ron: line 3:") && error.contains("did you mean 'name'?"), "{error}");
}

#[test]
fn without_a_window_one_clear_line() {
    let bench = Bench::new();
    for words in [vec![], vec![SAMPLE], vec!["no.ron"]] {
        let run = bench.run(&words);
        assert_eq!((run.code, run.out.as_str()), (Some(2), ""), "{words:?}");
        assert!(run.err.lines().count() == 1 && run.err.contains("sparkloft --help"), "{words:?}: {}", run.err);
    }
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    let bench = Bench::new();
    let jobs = [("show", 0), ("show --json", 0), ("compare wren-four.ron", 1), ("set --list", 0), ("--help", 0)];
    for (words, code) in jobs {
        let mut command = bench.command();
        command.args(words.split(' '));
        if words != "--help" {
            command.arg(SAMPLE);
        }
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        let errors = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(code), "{words}: {errors}");
        assert!(!errors.contains("error") && !errors.contains("panic"), "{words}: {errors}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_report_that_cannot_be_written_is_an_error() {
    let bench = Bench::new();
    let full = std::fs::File::options().write(true).open("/dev/full").unwrap();
    let output = bench.command().args(["show", SAMPLE]).stdout(full).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8(output.stderr).unwrap().contains("report cannot be written"));
}
