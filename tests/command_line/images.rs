//! Images for flashing tools: written, read back, verified, imported, described.

use std::path::PathBuf;

use serde_json::json;
use sparkloft::image::{OnMismatch, decode, encode, read_file};
use sparkloft::project::{Advance, LoadKind, NewProject, Origin, Project, read, write};
use sparkloft::table::{Axis, Table};

use super::bench::{Bench, SAMPLE, document};

const FORMATS: [&str; 5] = ["hex", "s19", "s28", "s37", "bin"];

/// A project of three items in 32 bytes, so that its files can be read through.
fn small() -> Project {
    let new = NewProject { name: "small".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 3, loads: 2 };
    let project = new.create().unwrap();
    let axis = |breakpoints: &[f64]| Axis::new(breakpoints.to_vec()).unwrap();
    let cells = vec![12.0, 28.3, 34.0, 8.0, 18.0, 26.1];
    let table = Table::new(axis(&[1000.0, 2500.0, 6000.0]), axis(&[10.0, 90.1]), cells).unwrap();
    let project = project.with_advance(Advance::uniform(table, Origin::Typed).unwrap()).unwrap();
    let edited = project.edit(|parts| {
        let image = &mut parts.image;
        image.items.retain(|item| item.name.starts_with("advance"));
        let places = [("advance_speeds", 0x8000, 1.0), ("advance_loads", 0x8006, 0.5), ("advance", 0x800A, 0.25)];
        for (name, address, scale) in places {
            let item = image.items.iter_mut().find(|item| item.name == name).unwrap();
            (item.address, item.scale, item.offset) = (address, scale, 0.0);
        }
        (image.start, image.size) = (0x8000, 0x20);
        (image.checksum.from, image.checksum.length, image.checksum.stored_at) = (0x8000, 0x1E, 0x801E);
    });
    edited.unwrap()
}

pub(super) fn put_small(bench: &Bench) -> Project {
    let project = small();
    bench.put("small.ron", &write(&project).unwrap());
    project
}

fn golden(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/command_line/golden").join(name)
}

#[test]
fn small_exports_are_as_they_were() {
    let bench = Bench::new();
    put_small(&bench);
    for name in ["small.hex", "small.s19", "small.a2l"] {
        bench.done(&format!("export small.ron -o {name}"));
        let text = bench.text(name);
        if std::env::var_os("SPARKLOFT_UPDATE").is_some() {
            std::fs::write(golden(name), &text).unwrap();
        }
        assert_eq!(text, std::fs::read_to_string(golden(name)).unwrap().replace("\r\n", "\n"), "{name}");
    }
    let told = bench.done("export small.ron --describe");
    if std::env::var_os("SPARKLOFT_UPDATE").is_some() {
        std::fs::write(golden("small.txt"), &told).unwrap();
    }
    assert_eq!(told, std::fs::read_to_string(golden("small.txt")).unwrap().replace("\r\n", "\n"));
}

#[test]
fn every_format_holds_the_image_and_is_the_same_each_time() {
    let bench = Bench::new();
    let project = bench.project(SAMPLE);
    let image = encode(&project).unwrap();
    for ending in FORMATS {
        for bytes in ["", " --record-bytes 32"] {
            if ending == "bin" && !bytes.is_empty() {
                continue;
            }
            let told = bench.done(&format!("export {SAMPLE} -o a.{ending}{bytes}"));
            assert!(told.starts_with(&format!("wrote and read back a.{ending}: ")), "{told}");
            assert!(told.contains(&image.checksum_words(&project)), "{told}");
            bench.done(&format!("export {SAMPLE} -o b.{ending}{bytes}"));
            let [a, b] = ["a", "b"].map(|name| std::fs::read(bench.path(format!("{name}.{ending}"))).unwrap());
            assert_eq!(a, b);
            assert_eq!(read_file(&a, &project).unwrap().bytes, image.bytes);
            let told = bench.done(&format!("verify {SAMPLE} a.{ending}"));
            assert!(told.contains("holds the project's image") && told.contains("are the same"), "{told}");
        }
    }
}

#[test]
fn the_description_goes_beside() {
    let bench = Bench::new();
    let done = bench.json(&format!("export {SAMPLE} -o unit.hex --with-description --json"));
    assert_eq!(bench.names(), ["unit.a2l", "unit.hex"]);
    assert_eq!((&done["format"], &done["files"][1]["file"]), (&json!("Intel HEX"), &json!("unit.a2l")));
    bench.done(&format!("export {SAMPLE} -o alone.a2l"));
    assert_eq!(bench.text("alone.a2l"), bench.text("unit.a2l"));
    let (file, messages) = a2lfile::load_from_string(&bench.text("unit.a2l"), None, true).unwrap();
    assert!(messages.is_empty() && file.project.module.first().unwrap().characteristic.len() > 5, "{messages:?}");
}

#[test]
fn items_are_described() {
    let bench = Bench::new();
    let project = put_small(&bench);
    let described = bench.json("export small.ron --describe --json");
    assert_eq!(described["items"].as_array().unwrap().len(), project.image.items.len());
    let item = &described["items"][2];
    let expected = [
        ("name", json!("advance")),
        ("content", json!("advance_cells")),
        ("address", json!(0x800A)),
        ("last", json!(0x8015)),
        ("type", json!("i16")),
        ("scale", json!(0.25)),
        ("offset", json!(0)),
        ("order", json!("rows_first")),
        ("count", json!(6)),
        ("unit", json!("°")),
    ];
    for (key, value) in expected {
        assert_eq!(item[key], value, "{key}");
    }
    let both = bench.json("export small.ron -o small.bin --describe --json");
    assert_eq!(both["image"], described);
}

#[test]
fn losses_and_growth_are_told_on_stderr() {
    let bench = Bench::new();
    put_small(&bench);
    let run = bench.say("export small.ron -o small.hex");
    assert_eq!(run.code, Some(0));
    let told = "note: 'advance': rounding changes 2 of 6 values, most at 6000 rpm, 90.1 %: 26.1° becomes 26° (−0.1°)";
    assert!(run.err.lines().any(|line| line == told), "{}", run.err);
    assert!(run.err.contains("note: 'advance_loads': rounding changes 1 of 2 values"), "{}", run.err);
    let done = bench.json("export small.ron -o small.hex --json");
    let change = &done["changes"][1];
    assert_eq!((&change["item"], &change["kind"]), (&json!("advance"), &json!("rounded")));
    assert_eq!((&change["speed_rpm"], &change["load"]), (&json!(6000), &json!(90.1)));

    bench.done("set small.ron -o sized.ron image.items[0].speeds=2 image.items[2].speeds=2");
    let run = bench.say("export sized.ron -o sized.hex");
    assert!(
        run.err.contains("is resampled from 3 × 2 to the unit's own size 2 × 2: the largest change is"),
        "{}",
        run.err
    );

    let far = small().edit(|parts| parts.image.items.clear()).unwrap();
    let far = sparkloft::image::rebase(&far, 0x0002_0000).unwrap();
    bench.put("far.ron", &write(&far).unwrap());
    let run = bench.say("export far.ron -o far.s19");
    assert!(run.err.contains("note: far.s19: the addresses need records of type S28"), "{}", run.err);
    assert!(bench.text("far.s19").contains("\nS2"));
}

#[test]
fn a_locked_copy_is_marked() {
    let bench = Bench::new();
    bench.done(&format!("locked-timing {SAMPLE} -o locked.ron"));
    let run = bench.say("export locked.ron -o locked.hex --with-description --json");
    assert!(run.err.starts_with("note: what was exported is a copy with locked timing 10°"), "{}", run.err);
    assert_eq!(document(&run.out)["locked_timing_deg"], json!(10));
    assert!(bench.text("locked.a2l").contains("LOCKED TIMING 10 deg"));
}

#[test]
fn one_changed_byte_is_refused_with_its_line_or_listed() {
    let bench = Bench::new();
    let project = put_small(&bench);
    bench.done("export small.ron -o small.hex");
    let text = bench.text("small.hex");
    // The first data byte of the second line.
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let flipped = if lines[1].as_bytes()[9] == b'0' { "1" } else { "0" };
    lines[1].replace_range(9..10, flipped);
    bench.put("flipped.hex", &(lines.join("\n") + "\n"));
    for job in ["verify small.ron flipped.hex", "import flipped.hex --into small.ron -o out.ron"] {
        let error = bench.failed(job);
        assert!(error.starts_with("error: flipped.hex: line 2: ") && error.contains("checksum"), "{error}");
    }

    bench.done("export small.ron -o small.bin");
    let mut bytes = std::fs::read(bench.path("small.bin")).unwrap();
    bytes[0x0B] ^= 1;
    std::fs::write(bench.path("flipped.bin"), &bytes).unwrap();
    let error = bench.failed("import flipped.bin --into small.ron -o out.ron");
    assert!(error.contains("the checksum (CRC-16/IBM-3740) stored at 801E is"), "{error}");
    assert!(error.trim_end().ends_with("--accept-wrong-checksum reads it all the same"), "{error}");
    let run = bench.say("verify small.ron flipped.bin");
    assert_eq!(run.code, Some(1), "{}", run.err);
    let cell =
        "'advance' at 1000 rpm, 10 % at address 800A: the project gives 12° (raw 48), the image holds 12.25° (raw 49)";
    assert!(run.out.contains(cell) && run.out.contains("the checksum (CRC-16/IBM-3740)"), "{}", run.out);

    let run = bench.say("import flipped.bin --into small.ron -o out.ron --accept-wrong-checksum --json");
    assert_eq!(run.code, Some(0), "{}", run.err);
    assert!(run.err.contains("note: accepted as asked: the checksum"), "{}", run.err);
    assert_eq!(document(&run.out)["checksum_fits"], json!(false));
    let expected = decode(&bytes, &project, OnMismatch::Accept).unwrap().project;
    assert_eq!(bench.project("out.ron"), expected);
}

#[test]
fn verify_lists_what_differs_cell_by_cell() {
    let bench = Bench::new();
    put_small(&bench);
    bench.done("export small.ron -o small.s19");
    bench.done("set small.ron -o other.ron advance.deg[1][2]=20 advance.deg[0][0]=13");
    let run = bench.say("verify other.ron small.s19 --json");
    assert_eq!(run.code, Some(1));
    let found = document(&run.out);
    assert_eq!((&found["same"], &found["format"]), (&json!(false), &json!("Motorola S-record")));
    assert_eq!(found["differences"].as_array().unwrap().len(), 2);
    let second = &found["differences"][1];
    let expected = [
        ("item", json!("advance")),
        ("speed_rpm", json!(6000)),
        ("load", json!(90.1)),
        ("expected", json!(20)),
        ("found", json!(26)),
        ("expected_raw", json!(80)),
        ("found_raw", json!(104)),
    ];
    for (key, value) in expected {
        assert_eq!(second[key], value, "{key}: {second}");
    }
    assert!(found["stray"]["bytes"].as_u64().unwrap() > 0, "the stored checksum is another one");
    assert_eq!(bench.json("verify small.ron small.s19 --json")["same"], json!(true));
}

#[test]
fn what_is_exported_is_imported_again() {
    let bench = Bench::new();
    let project = bench.project(SAMPLE);
    let as_held = decode(&encode(&project).unwrap().bytes, &project, OnMismatch::Refuse).unwrap().project;
    bench.done(&format!("set {SAMPLE} -o other.ron trigger.zero_offset_deg=3 limits.over_speed.cuts_at_rpm=5000"));
    bench.done("shape other.ron -o other.ron set 20");
    for ending in FORMATS {
        bench.done(&format!("export {SAMPLE} -o a.{ending}"));
        let done = bench.json(&format!("import a.{ending} --into other.ron -o out.ron --json"));
        assert_eq!((&done["speeds"], &done["checksum_fits"]), (&json!(16), &json!(true)));
        assert!(done["changed_fields"].as_array().unwrap().contains(&json!("trigger.zero_offset_deg")), "{done}");
        let out = bench.project("out.ron");
        assert_eq!(out.advance.table(), as_held.advance.table());
        assert_eq!(encode(&out).unwrap().bytes, encode(&project).unwrap().bytes);
        bench.done(&format!("verify out.ron a.{ending}"));
    }
    assert_eq!(read(bench.text(SAMPLE).as_bytes()).unwrap(), project, "the project exported stays as it was");
}

#[test]
fn options_that_say_nothing_are_refused() {
    let bench = Bench::new();
    let cases = [
        (format!("export {SAMPLE} -o a.hex --decimals 1"), "--decimals says nothing about a .hex file"),
        (format!("export {SAMPLE} -o a.bin --record-bytes 32"), "--record-bytes says nothing about a .bin file"),
        (format!("export {SAMPLE} -o a.csv --with-description"), "--with-description says nothing about a .csv file"),
        (format!("export {SAMPLE} -o a.a2l --with-description"), "goes with a file of bytes"),
        (format!("export {SAMPLE} -o a.xls"), ".hex, .s19, .s28, .s37, .bin, .a2l, .csv or .tsv"),
        (format!("export {SAMPLE}"), "--output"),
        (format!("import a.csv --into {SAMPLE} -o b.ron --accept-wrong-checksum"), "a table has no checksum"),
        (format!("export {SAMPLE} -o no/a.hex"), "a.hex"),
        (format!("verify {SAMPLE} no.hex"), "no.hex: the file cannot be read"),
        (format!("verify {SAMPLE} {SAMPLE}"), "no line that begins with ':' or 'S'"),
    ];
    for (job, expected) in cases {
        let error = bench.failed(&job);
        assert!(error.contains(expected), "{job}: {error}");
    }
}

#[test]
fn values_that_do_not_fit_are_refused_by_cell() {
    let bench = Bench::new();
    put_small(&bench);
    bench.done("set small.ron -o narrow.ron image.items[2].cell=i8");
    let error = bench.failed("export narrow.ron -o a.hex --with-description");
    let end = "at 6000 rpm, 10 %: 34 would be the raw value 136";
    assert!(error.contains(&format!("'advance' {end}")), "{error}");
}

#[test]
fn a_lookup_tells_the_table_as_the_unit_has_it() {
    let bench = Bench::new();
    let project = put_small(&bench);
    let flashed = sparkloft::image::as_flashed(&project).unwrap().unwrap();
    let found = bench.json("lookup small.ron --speed 6000 --load 90.1 --as-flashed --json");
    assert_eq!((&found["flashed"]["table_deg"], &found["flashed"]["wanted_deg"]), (&json!(26), &json!(26.1)));
    assert_eq!(found["flashed"]["in_counts"], json!(true));
    let largest = flashed.largest_difference();
    let told = found["flashed"]["largest_difference"]["deg"].as_f64().unwrap();
    assert!((told - largest.deg()).abs() < 1e-9, "{told}");
    let plain = bench.json("lookup small.ron --speed 6000 --load 90.1 --json");
    assert!(plain.get("flashed").is_none());
    let told = bench.done("lookup small.ron --speed 6000 --load 90.1 --as-flashed");
    assert!(told.contains("As flashed, in counts, the table gives  26.00°  for 26.10°."), "{told}");

    bench.put("points.csv", "load,speed_rpm\n90.1,6000\n10,1000\n");
    bench.done("lookup small.ron --points points.csv -o out.csv --as-flashed");
    let text = bench.text("out.csv");
    let mut lines = text.lines();
    assert!(lines.next().unwrap().ends_with(",flashed_deg,flashed_state,flashed_commanded_deg"));
    assert!(lines.next().unwrap().contains(",26,running,"), "{text}");
    assert!(lines.next().unwrap().contains(",12,running,"), "{text}");
    bench.done("set small.ron -o none.ron image.items=[]");
    assert!(bench.failed("lookup none.ron --speed 1 --load 1 --as-flashed").contains("holds no advance table"));
}
