//! Files held against independent programs: `image.py` reads what is written here, and writes what is read here.

mod poppler;

use std::env;
use std::ffi::OsStr;
use std::fs;
use std::path::Path;
use std::process::Command;

use sparkloft::document::write_project;
use sparkloft::image::{FileFormat, FileWarning, read_file, verify};
use sparkloft::project::{
    ByteOrder, CellOrder, CellType, ChecksumKind, Content, Direction, ImageLayout, Item, LoadKind, NewProject, Project,
    SAMPLES, StartingLayout,
};

/// Names the interpreter in whose environment `requirements.txt` is installed.
const INTERPRETER: &str = "SPARKLOFT_PYTHON";

/// The layout at other addresses.
fn moved(mut layout: ImageLayout, by: u32) -> ImageLayout {
    layout.start += by;
    layout.checksum.from += by;
    layout.checksum.stored_at += by;
    layout.items.iter_mut().for_each(|item| item.address += by);
    layout
}

/// Every sample as it is and in every starting layout; new projects in every starting layout, across 64 KiB borders, in other
/// orders and directions; every type of number; a unit's own sizes.
fn projects() -> Vec<(String, Project)> {
    let samples = SAMPLES.iter().flat_map(|sample| {
        let project = sample.project().unwrap();
        let started = StartingLayout::ALL.into_iter().zip(0..).map(|(layout, place)| {
            let load = project.sensors.load;
            let edited = project.edit(|parts| parts.image = layout.layout(load));
            (format!("{}-{place}", sample.name), edited.unwrap())
        });
        let all: Vec<_> = std::iter::once((sample.name.to_owned(), project.clone())).chain(started).collect();
        all
    });
    let new = |load| NewProject { name: "new".into(), cylinders: 6, load, speeds: 16, loads: 12 }.create().unwrap();
    let mut projects: Vec<(String, Project)> = samples.collect();
    for (place, layout) in StartingLayout::ALL.into_iter().enumerate() {
        let load = if place == 0 { LoadKind::Pressure } else { LoadKind::Throttle };
        let by = [0x1000, 0xF000, 0x0801_F000][place];
        let plain = new(load).edit(|parts| parts.image = moved(layout.layout(load), by)).unwrap();
        let turned = plain.edit(|parts| {
            for item in &mut parts.image.items {
                item.order = CellOrder::ColumnsFirst;
                item.speed_direction = Direction::Descending;
            }
            // The loads of the table rise, those of the axis fall: the description gives the axis falling indices.
            let loads = parts.image.items.iter_mut().find(|item| item.content == Content::AdvanceLoads);
            loads.unwrap().load_direction = Direction::Descending;
        });
        projects.push((format!("layout-{place}"), plain));
        projects.push((format!("turned-{place}"), turned.unwrap()));
    }
    let types = [CellType::U8, CellType::I8, CellType::U16, CellType::I16, CellType::U32, CellType::I32, CellType::F32];
    projects.extend(types.into_iter().enumerate().map(|(place, cell)| (format!("type-{place}"), of_type(cell, place))));
    projects.push(("resized".into(), resized()));
    projects
}

/// The least and greatest value that an item's numbers are stored for; whole numbers are stored as they are.
fn span(item: &Item) -> Option<(f64, f64)> {
    Some(match (item.content, item.field.as_str()) {
        (Content::AdvanceSpeeds, _) => (0.0, 10_000.0),
        (Content::AdvanceLoads, _) => (0.0, 100.0),
        (Content::AdvanceCells, _) => (-20.0, 60.0),
        (Content::CoolantTrimTemperatures | Content::AirTrimTemperatures, _) => (-60.0, 140.0),
        (Content::CoolantTrimDegrees | Content::AirTrimDegrees, _) => (-10.0, 10.0),
        (Content::DwellVoltages | Content::DwellTimes, _) => (0.0, 20.0),
        (Content::CoolantWeightLoads | Content::AirWeightLoads, _) => (0.0, 100.0),
        (Content::MarginLoads | Content::FullLoadLessLoads, _) => (0.0, 100.0),
        (Content::CoolantWeights | Content::AirWeights, _) => (0.0, 1.0),
        (Content::MarginDegrees | Content::FullLoadLessDegrees, _) => (0.0, 20.0),
        (Content::FullLoadSpeeds, _) => (0.0, 10_000.0),
        (Content::FullLoadDegrees, _) => (-20.0, 60.0),
        (Content::Field, path) if path.ends_with("enabled") => return None,
        (Content::Field, "limits.over_speed.pattern" | "trigger.edge") => return None,
        (Content::Field, path) if path.starts_with("limits.clamp") => (-60.0, 90.0),
        (Content::Field, "full_load_line.from_load" | "limits.launch.throttle_above_pct") => (0.0, 100.0),
        (Content::Field, "tachometer.pulses_per_revolution") => (0.0, 60.0),
        (Content::Field, "trigger.latency_us") => (0.0, 1_000.0),
        (Content::Field, path) if path.starts_with("trigger.wheel") => return None,
        (Content::Field, "trigger.reference_deg") => (0.0, 360.0),
        (Content::Field, path) if path.ends_with("_rpm") => (0.0, 12_000.0),
        (Content::Field, _) => (-40.0, 40.0),
    })
}

/// Every number as one type, each over all of its counts, or over 2²⁴ of them: beyond half a milliard the rule of halves, a
/// billionth of the number, reaches the next count. Orders, directions, bytes and checksums in turn.
fn of_type(cell: CellType, place: usize) -> Project {
    let counts = |bits: i32| 2.0_f64.powi(bits) - 1.0;
    let stored = |item: &Item| match (span(item), cell) {
        (None, _) | (_, CellType::F32) => (1.0, 0.0),
        (Some((low, high)), CellType::U8) => ((high - low) / counts(8), low),
        (Some((low, high)), CellType::U16) => ((high - low) / counts(16), low),
        (Some((low, high)), CellType::U32) => ((high - low) / counts(24), low),
        (Some((low, high)), CellType::I8) => ((high - low) / (2.0 * counts(7)), f64::midpoint(low, high)),
        (Some((low, high)), CellType::I16) => ((high - low) / (2.0 * counts(15)), f64::midpoint(low, high)),
        (Some((low, high)), CellType::I32) => ((high - low) / (2.0 * counts(23)), f64::midpoint(low, high)),
    };
    let kinds = [
        ChecksumKind::Sum8,
        ChecksumKind::Crc16Modbus,
        ChecksumKind::Crc16CcittFalse,
        ChecksumKind::Crc32IsoHdlc,
        ChecksumKind::None,
    ];
    let load = LoadKind::Throttle;
    let new = NewProject { name: "types".into(), cylinders: 4, load, speeds: 12, loads: 9 }.create().unwrap();
    let edited = new.edit(|parts| {
        // Room for four bytes a number.
        parts.image = StartingLayout::Float.layout(load);
        parts.image.byte_order = if place.is_multiple_of(2) { ByteOrder::BigEndian } else { ByteOrder::LittleEndian };
        parts.image.checksum.kind = kinds[place % kinds.len()];
        for item in &mut parts.image.items {
            (item.cell, (item.scale, item.offset)) = (cell, stored(item));
            if place.is_multiple_of(2) {
                (item.order, item.load_direction) = (CellOrder::ColumnsFirst, Direction::Descending);
            }
        }
    });
    edited.unwrap()
}

/// Tables and curves of the unit's own sizes, with an axis that the image does not hold.
fn resized() -> Project {
    let load = LoadKind::Pressure;
    let new = NewProject { name: "resized".into(), cylinders: 6, load, speeds: 16, loads: 12 }.create().unwrap();
    let edited = new.edit(|parts| {
        parts.image = StartingLayout::Words.layout(load);
        parts.image.items.retain(|item| item.content != Content::AirTrimTemperatures);
        for item in &mut parts.image.items {
            (item.speeds, item.loads) = match item.content {
                Content::AdvanceCells => (Some(11), Some(7)),
                Content::AdvanceSpeeds => (Some(11), None),
                Content::AdvanceLoads => (None, Some(7)),
                Content::CoolantTrimTemperatures | Content::CoolantTrimDegrees => (Some(4), None),
                _ => (None, None),
            };
        }
    });
    edited.unwrap()
}

/// The files as the program exports them, and the project's own numbers as it lists them.
fn write(folder: &Path, name: &str, project: &Project) {
    let file = |extension: &str| format!("{name}.{extension}");
    let say = |words: &[&str]| {
        let output = Command::new(env!("CARGO_BIN_EXE_sparkloft")).current_dir(folder).args(words).output().unwrap();
        assert!(output.status.success(), "{name}: {words:?}: {}", String::from_utf8_lossy(&output.stderr));
        output.stdout
    };
    let source = file("ron");
    write_project(&folder.join(&source), project).unwrap();
    for extension in ["bin", "s19", "s28", "s37", "a2l"] {
        say(&["export", &source, "-o", &file(extension)]);
    }
    say(&["export", &source, "-o", &file("hex"), "--record-bytes", "32"]);
    fs::rename(folder.join(file("hex")), folder.join(file("hex32"))).unwrap();
    say(&["export", &source, "-o", &file("hex")]);
    fs::write(folder.join(file("list")), say(&["set", &source, "--list"])).unwrap();
}

/// Reads every file that the other programs wrote for a project; gives back how many there were.
fn read(folder: &Path, name: &str, project: &Project) -> usize {
    let mut count = 0;
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let file = path.file_name().and_then(OsStr::to_str).unwrap();
        if !file.starts_with(&format!("{name}.from-")) {
            continue;
        }
        let read = read_file(&fs::read(&path).unwrap(), project).unwrap_or_else(|error| panic!("{file}: {error}"));
        let format = if file.ends_with(".hex") { FileFormat::IntelHex } else { FileFormat::SRecord };
        let warnings: &[FileWarning] = if file.ends_with(".s28") { &[FileWarning::NoEnd] } else { &[] };
        assert_eq!((read.format, read.warnings.as_slice()), (format, warnings), "{file}");
        assert!(verify(project, &read.bytes).unwrap().is_same(), "{file}");
        count += 1;
    }
    count
}

#[test]
#[ignore = "needs SPARKLOFT_PYTHON, an interpreter with the packages of tests/outside/requirements.txt"]
fn image_files_agree_with_independent_programs() {
    let Some(interpreter) = env::var_os(INTERPRETER) else {
        // All ignored tests were asked for, on a machine without those packages.
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let projects = projects();
    for (name, project) in &projects {
        write(folder.path(), name, project);
    }
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/image.py");
    let output = Command::new(interpreter).arg(script).arg(folder.path()).output().unwrap();
    let told = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success(), "{told}{}", String::from_utf8_lossy(&output.stderr));
    let read: usize = projects.iter().map(|(name, project)| read(folder.path(), name, project)).sum();
    println!("{told}{read} files of other programs read");
    assert!(read >= projects.len() * 3, "{read}");
}
