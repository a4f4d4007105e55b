//! What is in the folder after a job: the complete new file or the old one, whatever its name.

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

/// The project, the run or the readings are never replaced by a job's output, whatever path leads there.
#[test]
fn what_a_job_reads_is_not_replaced_by_what_it_makes() {
    let bench = Bench::new();
    bench.put("p.csv", "speed_rpm,load\n1000,20\n");
    bench.put("run.csv", "time_s,speed_rpm,load\n0,1000,20\n1,1000,20\n");
    bench.put("light.csv", "10,14,1000\n");
    let plain = ["new --cylinders 4 --load throttle -o plain.csv", "new --cylinders 4 --load throttle -o plain.hex"];
    plain.iter().for_each(|job| drop(bench.done(job)));
    for (job, what) in [
        (format!("lookup {SAMPLE} --points p.csv -o ./{SAMPLE}"), "the project"),
        (format!("rig {SAMPLE} --run idle -o {SAMPLE}"), "the project"),
        (format!("rig {SAMPLE} --run run.csv -o run.csv"), "the run"),
        (format!("rig {SAMPLE} --run idle --wav {SAMPLE}"), "the project"),
        (format!("rig {SAMPLE} --run idle -o x --wav ./x"), "the file of the events"),
        ("export plain.csv -o plain.csv".into(), "the project"),
        ("export plain.hex -o plain.hex".into(), "the project"),
        ("import p.csv --into plain.csv -o p.csv".into(), "the file to read"),
        (format!("worksheet timing-light {SAMPLE} --readings light.csv --apply -o light.csv"), "the file of readings"),
        (format!("worksheet true-tdc {SAMPLE} --diameter 150 --strip {SAMPLE}"), "the project"),
    ] {
        let error = bench.failed(&job);
        assert!(error.contains(what) && error.contains("must not be written over"), "{job}: {error}");
    }
    bench.done(&format!("lookup {SAMPLE} --points p.csv -o p.csv"));
    assert!(bench.text("p.csv").contains("commanded_deg"));
}

/// One of the two cannot be written: neither is.
#[test]
fn an_export_writes_all_its_files_or_none() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("unit.a2l")).unwrap();
    assert!(bench.failed(&format!("export {SAMPLE} -o unit.hex --with-description")).contains("this is a folder"));
    assert_eq!(bench.names(), ["unit.a2l"]);
    std::fs::remove_dir(bench.path("unit.a2l")).unwrap();
    bench.done(&format!("export {SAMPLE} -o unit.hex --with-description"));
    assert_eq!(bench.names(), ["unit.a2l", "unit.hex"]);
}

/// Printing the report blocks because nobody reads it: by then the files are there.
#[test]
fn nothing_is_called_written_before_it_is() {
    use std::io::{Read, Write};
    let bench = Bench::new();
    for (job, made) in [
        (format!("export {SAMPLE} -o u.hex --with-description"), "u.a2l"),
        (format!("export {SAMPLE} -o v.hex --with-description --json"), "v.a2l"),
        (format!("export {SAMPLE} -o t.csv"), "t.csv"),
        (format!("set {SAMPLE} -o s.ron name=x"), "s.ron"),
    ] {
        let (mut reader, mut writer) = std::io::pipe().unwrap();
        // So much a pipe holds; the next byte waits.
        writer.write_all(&[b' '; 65_536]).unwrap();
        let mut child = bench.command().args(job.split(' ')).stdout(writer).spawn().unwrap();
        let began = std::time::Instant::now();
        while !bench.path(made).exists() {
            assert!(began.elapsed().as_secs() < 60, "{job}: the report waits and nothing is there");
            std::thread::sleep(std::time::Duration::from_millis(5));
        }
        let mut report = String::new();
        reader.read_to_string(&mut report).unwrap();
        assert!(report.contains(made) && child.wait().unwrap().success(), "{report}");
    }
}

#[test]
fn the_longest_names_are_written_and_read_back() {
    let bench = Bench::new();
    let name = format!("{}.hex", "n".repeat(251));
    for _ in 0..2 {
        assert!(bench.done(&format!("export {SAMPLE} -o {name}")).starts_with("wrote and read back"));
        bench.done(&format!("verify {SAMPLE} {name}"));
    }
    assert_eq!(bench.names(), [name]);
}

#[cfg(target_os = "linux")]
#[test]
fn a_report_that_nobody_gets_leaves_no_file() {
    let bench = Bench::new();
    bench.put("old.ron", "old");
    bench.put("p.csv", "speed_rpm,load\n1000,20\n");
    for job in [
        format!("shape {SAMPLE} -o old.ron add 1"),
        format!("set {SAMPLE} -o old.ron name=x"),
        format!("lookup {SAMPLE} --points p.csv -o old.ron"),
        format!("rig {SAMPLE} --run idle -o old.ron --wav w.wav"),
        format!("picture {SAMPLE} --view plan -o p.svg"),
        format!("sheet {SAMPLE} -o p.pdf"),
        format!("export {SAMPLE} -o u.hex --with-description"),
        format!("export {SAMPLE} -o t.csv"),
        "samples some/where".into(),
    ] {
        let full = std::fs::File::options().write(true).open("/dev/full").unwrap();
        let output = bench.command().args(job.split(' ')).stdout(full).output().unwrap();
        let error = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{job}");
        assert!(error.contains("the report cannot be written") && error.contains("no file was written"), "{error}");
        assert_eq!(
            (bench.text("old.ron").as_str(), bench.names()),
            ("old", vec!["old.ron".into(), "p.csv".into()]),
            "{job}"
        );
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_takes_no_files_is_not_called_missing() {
    let bench = Bench::new();
    let error = bench.failed("new --cylinders 4 --load throttle -o /proc/n.ron");
    assert!(error.contains("/proc/n.ron: the file cannot be written: its folder takes no new files"), "{error}");
}

#[test]
fn odd_names_are_refused_in_a_sentence() {
    let bench = Bench::new();
    for (job, told) in [
        (format!("export {SAMPLE} -o ..hex"), "..hex: nothing stands before the ending; give the file a name"),
        (format!("set {SAMPLE} -o ..ron name=x"), "..ron: nothing stands before the ending; give the file a name"),
        (format!("sheet {SAMPLE} -o ...pdf"), "...pdf: nothing stands before the ending; give the file a name"),
        (format!("set {SAMPLE} -o x/ name=x"), "x/: this is a folder; add a file name"),
    ] {
        assert_eq!(bench.failed(&job), format!("error: {told}\n"), "{job}");
    }
    assert_eq!(bench.names(), Vec::<String>::new());
}

#[cfg(target_os = "linux")]
mod linux {
    use std::process::Command;

    use super::*;

    #[test]
    fn streams_and_pipes_are_no_files() {
        let bench = Bench::new();
        // The output of a test is a pipe.
        let refused = bench.failed(&format!("set {SAMPLE} -o /dev/stdout name=x"));
        assert_eq!(refused, "error: /dev/stdout: this is no ordinary file; choose another name\n");
        // Also where it leads to a file, which somebody else writes to.
        let kept = std::fs::File::create(bench.path("kept.txt")).unwrap();
        let job = ["set", SAMPLE, "-o", "/dev/stdout", "name=x"];
        let status = bench.command().args(job).stdout(kept).stderr(std::process::Stdio::null()).status().unwrap();
        assert_eq!((status.code(), bench.text("kept.txt").as_str()), (Some(2), ""));
        let made = Command::new("mkfifo").args(["a.hex", "a.ron", "a.pdf"].map(|name| bench.path(name))).status();
        assert!(made.unwrap().success());
        for (job, name) in [
            (format!("set {SAMPLE} -o a.ron name=x"), "a.ron"),
            (format!("export {SAMPLE} -o a.hex"), "a.hex"),
            (format!("sheet {SAMPLE} -o a.pdf"), "a.pdf"),
        ] {
            let refused = bench.failed(&job);
            assert_eq!(refused, format!("error: {name}: this is no ordinary file; choose another name\n"));
        }
    }

    /// The shell goes into a folder that is then gone.
    #[test]
    fn a_working_folder_that_is_gone_is_told() {
        let bench = Bench::new();
        let script = "mkdir gone && cd gone && rmdir ../gone && exec \"$0\" set \"$1\" -o q.ron name=x";
        let mut command = bench.command();
        let program = command.get_program().to_owned();
        command = Command::new("sh");
        command.current_dir(bench.path("")).args(["-c", script]).arg(program).arg(bench.path(SAMPLE));
        let output = command.output().unwrap();
        let told = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2));
        assert!(told.starts_with("error: q.ron: the folder in which this was started no longer exists"), "{told}");
    }

    /// The system refuses a thread, and the job does without. No limit applies to root, so the program is run
    /// as another user then.
    #[test]
    fn a_system_without_threads_looks_points_up_all_the_same() {
        use std::os::unix::fs::{MetadataExt, PermissionsExt};
        use std::os::unix::process::CommandExt;
        const SOMEBODY: u32 = 65_534;
        let bench = Bench::new();
        bench.put("p.csv", "speed_rpm,load\n3200,10\n");
        let program = bench.path("program");
        std::fs::copy(env!("CARGO_BIN_EXE_sparkloft"), &program).unwrap();
        let mut command = Command::new("sh");
        let job = format!("ulimit -u 1; exec ./program lookup {SAMPLE} --points p.csv -o -");
        command.current_dir(bench.path("")).args(["-c", &job]);
        if std::fs::metadata(bench.path("")).unwrap().uid() == 0 {
            std::fs::set_permissions(bench.path(""), PermissionsExt::from_mode(0o755)).unwrap();
            command.uid(SOMEBODY).gid(SOMEBODY);
        }
        let output = command.output().unwrap();
        let told = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(0), "{told}");
        assert!(String::from_utf8(output.stdout).unwrap().ends_with(",34,running,34\n"));
    }
}

#[cfg(unix)]
mod unix {
    use std::ffi::OsString;
    use std::os::unix::ffi::OsStringExt;
    use std::os::unix::fs::{MetadataExt, PermissionsExt, symlink};

    use super::*;
    use crate::command_line::images::put_small;

    #[test]
    fn links_are_followed_and_modes_kept() {
        let bench = Bench::new();
        std::fs::set_permissions(bench.path(SAMPLE), PermissionsExt::from_mode(0o640)).unwrap();
        symlink(SAMPLE, bench.path("link.ron")).unwrap();
        bench.done("shape link.ron -o link.ron set 20");
        assert!(bench.path("link.ron").is_symlink());
        bench.put("p.csv", "speed_rpm,load\n1,2\n");
        symlink("old.csv", bench.path("link.csv")).unwrap();
        bench.done(&format!("lookup {SAMPLE} --points p.csv -o link.csv"));
        assert!(bench.path("link.csv").is_symlink() && bench.text("old.csv").contains("table_deg"));
        let mode = std::fs::metadata(bench.path(SAMPLE)).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o640);
    }

    /// A folder in which nothing new can be made, and a file in it that may be written: it could only be
    /// overwritten in place, with half of it lost at worst.
    #[test]
    fn nothing_is_said_to_be_written_where_it_cannot() {
        use std::os::unix::fs::{MetadataExt, chown};
        use std::os::unix::process::CommandExt;
        const SOMEBODY: u32 = 65_534;
        let bench = Bench::new();
        let closed = bench.path("closed");
        std::fs::create_dir(&closed).unwrap();
        std::fs::write(closed.join("u.hex"), "old").unwrap();
        let project = closed.join(SAMPLE);
        std::fs::copy(bench.path(SAMPLE), &project).unwrap();
        let mut program = std::path::PathBuf::from(bench.command().get_program());
        let is_root = std::fs::metadata(&closed).unwrap().uid() == 0;
        if is_root {
            // Root may write everywhere, and other users may not be allowed into the folder of this program.
            std::fs::copy(&program, bench.path("program")).unwrap();
            program = bench.path("program");
            for place in [bench.path("."), closed.clone(), closed.join("u.hex"), project.clone(), program.clone()] {
                chown(place, Some(SOMEBODY), Some(SOMEBODY)).unwrap();
            }
        }
        std::fs::set_permissions(&closed, PermissionsExt::from_mode(0o555)).unwrap();
        for (output, more) in [("u.hex", ""), ("u.hex", "--json"), ("new.hex", ""), ("new.hex", "--json")] {
            let mut command = std::process::Command::new(&program);
            command.current_dir(&closed).env("SPARKLOFT_DATA", "").args(["export", SAMPLE, "-o", output]);
            command.args(more.split_whitespace());
            if is_root {
                command.uid(SOMEBODY).gid(SOMEBODY);
            }
            let output = command.output().unwrap();
            let error = String::from_utf8(output.stderr).unwrap();
            assert_eq!((output.status.code(), output.stdout.is_empty()), (Some(2), true), "{error}");
            assert!(error.contains("folder"), "{error}");
        }
        std::fs::set_permissions(&closed, PermissionsExt::from_mode(0o755)).unwrap();
        assert_eq!(std::fs::read(closed.join("u.hex")).unwrap(), b"old");
        assert_eq!(std::fs::read_dir(&closed).unwrap().count(), 2);
    }

    #[test]
    fn two_outputs_that_are_one_file_are_refused() {
        let bench = Bench::new();
        symlink("x.a2l", bench.path("x.hex")).unwrap();
        std::fs::write(bench.path("y.hex"), "old").unwrap();
        std::fs::hard_link(bench.path("y.hex"), bench.path("y.a2l")).unwrap();
        symlink("z.hex", bench.path("z.a2l")).unwrap();
        for name in ["x", "y", "z"] {
            let error = bench.failed(&format!("export {SAMPLE} -o {name}.hex --with-description"));
            assert!(error.contains("are one file; nothing was written"), "{error}");
        }
        assert_eq!(bench.text("y.hex"), "old");
    }

    /// Waits until a file whose name ends so stands in the folder.
    fn wait_for(bench: &Bench, ending: &str) {
        let began = std::time::Instant::now();
        while !bench.names().iter().any(|name| name.ends_with(ending)) {
            assert!(began.elapsed().as_secs() < 60, "{:?}", bench.names());
            std::thread::sleep(std::time::Duration::from_millis(1));
        }
    }

    #[test]
    fn what_a_killed_job_left_is_removed_by_the_next() {
        let bench = Bench::new();
        assert!(std::process::Command::new("mkfifo").arg(bench.path("p.csv")).status().unwrap().success());
        for signal in ["KILL", "TERM", "INT"] {
            let mut command = bench.command();
            let mut child = command.args(["lookup", SAMPLE, "--points", "p.csv", "-o", "out.csv"]).spawn().unwrap();
            let mut pipe = std::fs::File::options().write(true).open(bench.path("p.csv")).unwrap();
            std::io::Write::write_all(&mut pipe, b"speed_rpm,load\n1000,20\n").unwrap();
            wait_for(&bench, ".part");
            // While it lives its file is left alone.
            bench.done(&format!("set {SAMPLE} -o a.ron name=x"));
            wait_for(&bench, ".part");
            let process = child.id().to_string();
            assert!(std::process::Command::new("kill").args(["-s", signal, &process]).status().unwrap().success());
            assert!(!child.wait().unwrap().success());
            drop(pipe);
            wait_for(&bench, ".part");
            bench.done(&format!("set {SAMPLE} -o a.ron name=x"));
            assert_eq!(bench.names(), ["a.ron", "p.csv"], "{signal}");
        }
    }

    /// Killed at moments a little apart, every other time from the moment on at which the list of what is about to
    /// be replaced is there, and else from the moment on at which the first file is new.
    #[test]
    fn an_export_broken_off_between_its_files_is_found_out() {
        const ONE: &str = "small.ron";
        let bench = Bench::new();
        put_small(&bench);
        bench.done(&format!("set {ONE} -o other.ron name=other advance.deg[1][0]=11 image.items[0].name=first"));
        let both = |folder: &str| ["u.hex", "u.a2l"].map(|name| std::fs::read(bench.path(folder).join(name)).unwrap());
        for (folder, project) in [("one", ONE), ("two", "other.ron")] {
            std::fs::create_dir(bench.path(folder)).unwrap();
            bench.done(&format!("export {project} -o {folder}/u.hex --with-description"));
        }
        let (one, two) = (both("one"), both("two"));
        assert!(one[0] != two[0] && one[1] != two[1]);
        let mut broken = 0;
        for round in 0..2_000_u64 {
            let [project, old] = if round % 2 == 0 { [ONE, "other.ron"] } else { ["other.ron", ONE] };
            bench.done(&format!("export {old} -o u.hex --with-description"));
            let before = std::fs::metadata(bench.path("u.hex")).unwrap().ino();
            let mut command = bench.command();
            command.args(["export", project, "-o", "u.hex", "--with-description"]).stdout(std::process::Stdio::null());
            let mut child = command.spawn().unwrap();
            let is_list = |name: &String| name.ends_with(".set");
            while !bench.names().iter().any(is_list) && child.try_wait().unwrap().is_none() {}
            let first = bench.path("u.hex");
            let is_kept = || std::fs::metadata(&first).unwrap().ino() == before;
            let (is_early, longest_us) = if round / 2 % 2 == 0 { (true, 2_000) } else { (false, 200) };
            while !is_early && is_kept() && child.try_wait().unwrap().is_none() {}
            let until = std::time::Instant::now() + std::time::Duration::from_micros(round * 37 % longest_us);
            while std::time::Instant::now() < until {}
            child.kill().unwrap();
            child.wait().unwrap();
            let now = both(".");
            let is_mixed = now != one && now != two;
            let told = bench.run(["verify", project, "u.hex"]).err;
            assert_eq!(told.contains("was broken off half-way: u.hex is new, u.a2l is not"), is_mixed, "{told}");
            let told = bench.run(["check", project]).err;
            assert_eq!(told.contains("was broken off half-way"), is_mixed, "{told}");
            if is_mixed {
                let mended = bench.run(["export", project, "-o", "u.hex", "--with-description"]).err;
                assert!(mended.contains("this export has mended that"), "{mended}");
                assert!(!bench.run(["verify", project, "u.hex"]).err.contains("broken off"));
                broken += 1;
            }
            if broken == 3 {
                return;
            }
        }
        assert!(broken > 0, "no kill struck between the two files");
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
