//! Jobs that write the file they read: nobody else's edit is lost.

use std::thread;

use sparkloft::document::{DataFolder, Document};

use super::bench::{Bench, SAMPLE};

/// Two loops of `set` on one file: what was reported as done is in the file, whatever the other one did
/// meanwhile.
#[test]
fn two_loops_on_one_file_lose_no_edit() {
    let bench = Bench::new();
    let edits = |row: usize| {
        let mut done = Vec::new();
        for column in 0..12 {
            let deg = format!("{}.5", 3 + row + column);
            let run = bench.say(&format!("set {SAMPLE} -o {SAMPLE} advance.deg[{row}][{column}]={deg}"));
            match run.code {
                Some(0) => done.push((column, deg)),
                code => assert!(code == Some(2) && run.err.contains("nothing was written"), "{}", run.err),
            }
        }
        done
    };
    let loops = thread::scope(|scope| {
        let second = scope.spawn(|| edits(11));
        [(10, edits(10)), (11, second.join().unwrap())]
    });
    let project = bench.project(SAMPLE);
    for (row, done) in loops {
        assert!(!done.is_empty());
        for (column, deg) in done {
            let cell = sparkloft::table::Cell::new(row, column);
            let found = project.advance.table().at(cell);
            assert!(
                (found - deg.parse::<f64>().unwrap()).abs() < 1e-9,
                "row {row}, column {column}: {found}, not {deg}"
            );
        }
    }
}

#[test]
fn a_file_that_a_window_has_open_is_not_rewritten() {
    let bench = Bench::new();
    let window = Document::open_in(&DataFolder::at(bench.data()), &bench.path(SAMPLE)).unwrap();
    let before = bench.text(SAMPLE);
    bench.done(&format!("export {SAMPLE} -o t.csv"));
    for job in [
        format!("set {SAMPLE} -o {SAMPLE} name=x"),
        format!("shape {SAMPLE} -o ./{SAMPLE} add 1"),
        format!("import t.csv --into {SAMPLE} -o {SAMPLE}"),
        format!("worksheet throttle {SAMPLE} --closed 0.52 --open 4.41 --apply -o {SAMPLE}"),
        format!("merge wren-four.ron {SAMPLE} wren-four.ron -o {SAMPLE} --prefer mine"),
        format!("merge {SAMPLE} {SAMPLE} {SAMPLE} -o {SAMPLE}"),
    ] {
        let error = bench.failed(&job);
        assert!(error.contains("a window or another job has this file open; nothing was written"), "{job}: {error}");
        assert_eq!(bench.text(SAMPLE), before);
    }
    bench.done(&format!("set {SAMPLE} -o other.ron name=x"));
    window.close();
    bench.done(&format!("merge {SAMPLE} {SAMPLE} {SAMPLE} -o {SAMPLE}"));
    bench.done(&format!("set {SAMPLE} -o {SAMPLE} name=x"));
    assert_eq!(bench.project(SAMPLE).name, "x");
}

/// A job that is held up between reading and writing by a pipe into which nobody writes yet.
#[cfg(unix)]
#[test]
fn what_somebody_else_wrote_meanwhile_is_not_written_over() {
    let bench = Bench::new();
    assert!(std::process::Command::new("mkfifo").arg(bench.path("light.csv")).status().unwrap().success());
    let job = format!("worksheet timing-light {SAMPLE} --readings light.csv --apply -o {SAMPLE}");
    let mut command = bench.command();
    command.args(job.split(' ')).stdout(std::process::Stdio::piped()).stderr(std::process::Stdio::piped());
    let child = command.spawn().unwrap();
    // Opening the pipe waits until the job reads it; by then it has read the project.
    let mut pipe = std::fs::File::options().write(true).open(bench.path("light.csv")).unwrap();
    let second = bench.failed(&format!("set {SAMPLE} -o {SAMPLE} name=mine"));
    assert!(second.contains("a window or another job has this file open"), "{second}");
    let other = bench.text("wren-four.ron");
    bench.put(SAMPLE, &other);
    std::io::Write::write_all(&mut pipe, b"10,12,1000\n12,14,1500\n14,16,2000\n16,18,2500\n").unwrap();
    drop(pipe);
    let output = child.wait_with_output().unwrap();
    let error = String::from_utf8(output.stderr).unwrap();
    assert_eq!((output.status.code(), output.stdout.is_empty()), (Some(2), true), "{error}");
    assert!(error.contains("changed by someone else since it was read; nothing was written"), "{error}");
    assert_eq!(bench.text(SAMPLE), other);
}
