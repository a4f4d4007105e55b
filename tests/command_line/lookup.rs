//! Points looked up, file to file.

use std::fmt::Write as _;
use std::io::Write as _;
use std::process::Stdio;

use serde_json::json;
use sparkloft::interchange::{Chunks, CommandedAdvance, Rows};

use super::bench::{Bench, SAMPLE};

/// Many rows, several chunks of them, spread over the table and beyond.
fn points(rows: u32) -> String {
    let mut text = String::from("note,load,speed_rpm\n");
    for row in 0..rows {
        let (speed, load) = (f64::from(row * 791 % 90_001) / 10.0, f64::from(row * 1_049 % 100_001) / 1000.0);
        writeln!(text, "row {row},{load},{speed}").unwrap();
    }
    text
}

#[test]
fn many_rows_come_out_in_order_as_one_worker_would_write_them() {
    let bench = Bench::new();
    let points = points(200_000);
    bench.put("points.csv", &points);
    let done = bench.json(&format!("lookup {SAMPLE} --points points.csv -o out.csv --json"));
    assert_eq!(done, json!({"file": "out.csv", "rows": 200_000, "locked_timing_deg": null}));
    let project = bench.project(SAMPLE);
    let mut chunks = Chunks::with_size(points.as_bytes(), 64);
    let rows = Rows::new(&chunks.header().unwrap(), CommandedAdvance::new(&project)).unwrap();
    let (mut expected, mut chunk) = (rows.header().to_vec(), Vec::new());
    while chunks.next_into(&mut chunk).unwrap() {
        rows.process(&chunk, &mut expected).unwrap();
    }
    assert!(bench.text("out.csv").into_bytes() == expected);
    assert_eq!(bench.names(), ["out.csv", "points.csv"]);
}

#[test]
fn values_are_those_of_the_table() {
    let bench = Bench::new();
    bench.put("p.csv", "speed_rpm,load,who\r\n3200,10,cell\r\n1450,7.5,\"between, the cells\"\r\n0,1e2,beyond\r\n");
    bench.done(&format!("lookup {SAMPLE} --points p.csv -o out.csv"));
    let project = bench.project(SAMPLE);
    let between = sparkloft::wording::shortest(project.advance.table().lookup(1450.0, 7.5));
    let rows = format!(
        "speed_rpm,load,who,table_deg,state,commanded_deg\r\n3200,10,cell,34,running,34\r\n\
         1450,7.5,\"between, the cells\",{between},running,{between}\r\n0,1e2,beyond,9,stopped,8\r\n"
    );
    assert_eq!(bench.text("out.csv"), rows);
    bench.done(&format!("lookup {SAMPLE} --points out.csv -o again.csv").replace("out.csv -o again", "p.csv -o p"));
    assert_eq!(bench.text("p.csv"), rows, "the output may be the input");
}

#[test]
fn a_bad_row_is_named_by_its_line_and_nothing_is_written() {
    let bench = Bench::new();
    let failed = |text: &str| {
        bench.put("p.csv", text);
        bench.failed(&format!("lookup {SAMPLE} --points p.csv -o out.csv"))
    };
    let good = points(150_000);
    for bad in ["x,,1000", "x,12", "x,12,nan", "x,inf,5", "x,1e999,5", "x,12,abc", "x,1,2,3"] {
        let error = failed(&format!("{good}{bad}\n{good}"));
        assert!(error.contains("p.csv: line 150002: "), "{bad}: {error}");
    }
    assert!(failed("speed_rpm\n1\n").contains("line 1: there is no column 'load'"));
    assert!(failed("speed_rpm,load,table_deg\n1,2,3\n").contains("line 1: "));
    assert!(failed("").contains("line 1: the file is empty"));
    bench.put("out.csv", "old");
    failed("speed_rpm,load\n1,x\n");
    assert_eq!(bench.text("out.csv"), "old");
    assert!(bench.failed(&format!("lookup {SAMPLE} --points no.csv -o out.csv")).starts_with("error: no.csv: "));
    assert!(bench.failed(&format!("lookup {SAMPLE} --points p.csv -o no/out.csv")).contains("does not exist"));
    assert!(bench.failed(&format!("lookup {SAMPLE} --points p.csv -o - --json")).contains("stdout"));
}

#[test]
fn decimal_marks_and_thousands_are_read_as_in_every_other_file() {
    let bench = Bench::new();
    bench.put("point.csv", "speed_rpm,load\n1450,7.5\n3200,10\n");
    let look_up = |file: &str, flags: &str| {
        bench.done(&format!("lookup {SAMPLE} --points {file} -o out.csv{flags}"));
        let text = bench.text("out.csv");
        text.lines().skip(1).map(|line| line.rsplit([',', ';', '\t']).next().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let wanted = look_up("point.csv", "");
    for (name, text) in [
        ("comma.csv", "speed_rpm;load\n1450;7,5\n3200;10\n"),
        ("parted.csv", "speed_rpm;load\n1.450;7,5\n3.200;10\n"),
        ("english.tsv", "speed_rpm\tload\n1,450\t7.5\n3,200\t10\n"),
        ("quoted.csv", "speed_rpm,load\n\"1,450\",7.5\n\"3,200\",10\n"),
    ] {
        bench.put(name, text);
        assert_eq!(look_up(name, ""), wanted, "{name}");
    }
    let wide: Vec<u8> =
        "\u{feff}speed_rpm;load\n1450;7,5\n3200;10\n".encode_utf16().flat_map(u16::to_be_bytes).collect();
    std::fs::write(bench.path("wide.csv"), wide).unwrap();
    assert_eq!(look_up("wide.csv", ""), wanted);
    assert!(bench.text("out.csv").starts_with("\u{feff}speed_rpm;load;table_deg;"), "{}", bench.text("out.csv"));
    // Nothing tells: it is asked for, and the option answers.
    bench.put("doubt.tsv", "speed_rpm\tload\n1,450\t5\n3,200\t10\n");
    let refused = bench.failed(&format!("lookup {SAMPLE} --points doubt.tsv -o out.csv"));
    assert!(
        refused.contains("line 2: column 'speed_rpm' ('1,450')") && refused.contains("--decimal-mark"),
        "{refused}"
    );
    bench.put("sure.tsv", "speed_rpm\tload\n1450\t5\n3200\t10\n");
    assert_eq!(look_up("doubt.tsv", " --decimal-mark point"), look_up("sure.tsv", ""));
    bench.put("small.tsv", "speed_rpm\tload\n1.45\t5\n3.2\t10\n");
    assert_eq!(look_up("doubt.tsv", " --decimal-mark comma"), look_up("small.tsv", ""));
    bench.put("mixed.tsv", "speed_rpm\tload\n1450.5\t5\n3200\t7,5\n");
    let refused = bench.failed(&format!("lookup {SAMPLE} --points mixed.tsv -o out.csv"));
    assert!(refused.contains("line 3: column 'load'") && refused.contains("--decimal-mark"), "{refused}");
}

#[test]
fn an_empty_temperature_leaves_its_trim_out() {
    let bench = Bench::new();
    bench.put("p.csv", "speed_rpm,load,coolant_c,launch\n3200,10,20,\n3200,10,,\n");
    bench.put("q.csv", "speed_rpm,load\n3200,10\n");
    let last = |file: &str| {
        bench.done(&format!("lookup {SAMPLE} --points {file} -o out.csv"));
        let text = bench.text("out.csv");
        text.lines().map(|line| line.rsplit(',').next().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let (some, none) = (last("p.csv"), last("q.csv"));
    assert_eq!(some[2], none[1]);
    assert_ne!(some[1], some[2]);
}

#[test]
fn a_job_that_fails_prints_nothing() {
    let bench = Bench::new();
    bench.put("p.csv", &format!("{}x,12,abc\n", points(150_000)));
    let run = bench.say(&format!("lookup {SAMPLE} --points p.csv -o -"));
    assert_eq!((run.code, run.out.as_str()), (Some(2), ""), "{}", run.err);
    bench.put("good.csv", &points(150_000));
    let run = bench.say(&format!("lookup {SAMPLE} --points good.csv -o -"));
    bench.done(&format!("lookup {SAMPLE} --points good.csv -o out.csv"));
    assert_eq!(run.code, Some(0));
    assert!(run.out == bench.text("out.csv"));
}

#[test]
fn points_stream_through_pipes() {
    let bench = Bench::new();
    let mut command = bench.command();
    command.args(["lookup", SAMPLE, "--points", "-", "-o", "-"]).stdin(Stdio::piped()).stdout(Stdio::piped());
    let mut child = command.spawn().unwrap();
    child.stdin.take().unwrap().write_all(b"load\tspeed_rpm\n10\t3200\n").unwrap();
    let output = child.wait_with_output().unwrap();
    assert_eq!(
        String::from_utf8(output.stdout).unwrap(),
        "load\tspeed_rpm\ttable_deg\tstate\tcommanded_deg\n10\t3200\t34\trunning\t34\n"
    );
    assert!(output.status.success());
}

#[test]
fn a_reader_that_goes_away_ends_the_stream_quietly() {
    let bench = Bench::new();
    bench.put("p.csv", &points(200_000));
    let mut command = bench.command();
    command.args(["lookup", SAMPLE, "--points", "p.csv", "-o", "-"]).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!((output.status.code(), output.stderr), (Some(0), Vec::new()));
}
