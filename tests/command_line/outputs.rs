//! What stands in the folder after a job: the whole file or the old one, whatever its name.

use super::bench::{Bench, SAMPLE};

#[test]
fn the_output_may_be_the_input() {
    let bench = Bench::new();
    bench.done(&format!("shape {SAMPLE} -o out.ron add 1"));
    bench.done(&format!("shape {SAMPLE} -o {SAMPLE} add 1"));
    assert_eq!(bench.text(SAMPLE), bench.text("out.ron"));
    bench.done(&format!("set {SAMPLE} -o {SAMPLE} name=other"));
    assert_eq!(bench.project(SAMPLE).name, "other");
    assert_eq!(bench.names(), ["out.ron"]);
}

#[test]
fn a_failed_job_leaves_the_old_file() {
    let bench = Bench::new();
    bench.put("out.ron", "old");
    bench.put("bad.csv", "x,1\n");
    let jobs = [
        "shape tarn-special.ron -o out.ron add 100",
        "set tarn-special.ron -o out.ron step_deg=99",
        "import bad.csv --into tarn-special.ron -o out.ron",
        "new --cylinders 3 --load throttle -o out.ron",
        "lookup tarn-special.ron --points bad.csv -o out.ron",
        "shape tarn-special.ron -o - add 1",
        "shape tarn-special.ron -o . add 1",
    ];
    for job in jobs {
        bench.failed(job);
        assert_eq!(bench.text("out.ron"), "old", "{job}");
    }
}

#[test]
fn an_unchanged_project_is_written_byte_for_byte() {
    let bench = Bench::new();
    bench.done(&format!("shape {SAMPLE} -o out.ron add 0"));
    assert_eq!(bench.text("out.ron"), bench.text(SAMPLE));
}

#[cfg(unix)]
mod unix {
    use std::ffi::OsString;
    use std::os::unix::ffi::OsStringExt;
    use std::os::unix::fs::{PermissionsExt, symlink};

    use super::*;

    #[test]
    fn links_are_followed_and_modes_kept() {
        let bench = Bench::new();
        std::fs::set_permissions(bench.path(SAMPLE), PermissionsExt::from_mode(0o640)).unwrap();
        symlink(SAMPLE, bench.path("link.ron")).unwrap();
        bench.done("shape link.ron -o link.ron set 20");
        assert!(bench.path("link.ron").is_symlink());
        bench.put("p.csv", "speed_rpm,load\n1,2\n");
        bench.done(&format!("lookup {SAMPLE} --points p.csv -o link.ron"));
        assert!(bench.path("link.ron").is_symlink() && bench.text(SAMPLE).contains("table_deg"));
        let mode = std::fs::metadata(bench.path(SAMPLE)).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o640);
    }

    #[test]
    fn names_need_not_be_utf8() {
        let bench = Bench::new();
        let name = |end: &[u8]| OsString::from_vec([b"caf\xe9 -\xff", end].concat());
        let (ron, out, csv, points) = (name(b".ron"), name(b"2.ron"), name(b".csv"), name(b"-points.csv"));
        std::fs::copy(bench.path(SAMPLE), bench.path(&ron)).unwrap();
        std::fs::write(bench.path(&points), "speed_rpm,load\n1,2\n").unwrap();
        let word = OsString::from;
        let jobs: [Vec<OsString>; 9] = [
            vec![word("show"), ron.clone(), word("--json")],
            vec![word("shape"), ron.clone(), word("-o"), out.clone(), word("add"), word("-1.5")],
            vec![word("set"), ron.clone(), word("-o"), out.clone(), word("name=x")],
            vec![word("export"), ron.clone(), word("-o"), csv.clone()],
            vec![word("import"), csv.clone(), word("--into"), ron.clone(), word("-o"), out.clone()],
            vec![word("lookup"), ron.clone(), word("--points"), points, word("-o"), csv],
            vec![word("new"), word("--cylinders=4"), word("--load=throttle"), word("-o"), out.clone()],
            vec![word("samples"), name(b"")],
            vec![word("compare"), ron.clone(), ron],
        ];
        for job in jobs {
            let run = bench.run(&job);
            assert_eq!(run.code, Some(0), "{job:?}: {}", run.err);
        }
        assert!(bench.path(out).exists() && bench.path(name(b"")).is_dir());
    }

    #[test]
    fn a_device_takes_the_rows_as_they_come() {
        let bench = Bench::new();
        bench.put("p.csv", "speed_rpm,load\n1,2\n");
        bench.done(&format!("lookup {SAMPLE} --points p.csv -o /dev/null"));
        let error = bench.failed(&format!("shape {SAMPLE} -o /dev/null add 1"));
        assert!(error.contains("no ordinary file"), "{error}");
    }
}
