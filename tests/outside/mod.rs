//! Files held against independent programs: `image.py` reads what is written here, and writes what is read here.

mod poppler;

use std::env;
use std::ffi::OsStr;
use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::json;
use sparkloft::image::{
    FileFormat, FileWarning, RecordWidth, SRecordType, a2l, as_flashed, encode, intel_hex, read_file, s_record, verify,
};
use sparkloft::project::{
    CellOrder, Content, Direction, ImageLayout, Item, LoadKind, NewProject, Project, SAMPLES, StartingLayout,
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

/// Every sample as it is, and new projects in every starting layout, across 64 KiB borders, in other orders and directions.
fn projects() -> Vec<(String, Project)> {
    let samples = SAMPLES.iter().map(|sample| (sample.name.to_owned(), sample.project().unwrap()));
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
    projects
}

/// The cells and single numbers as the image holds them.
fn expected(project: &Project) -> serde_json::Value {
    let flashed = as_flashed(project).unwrap().unwrap();
    let table = flashed.table();
    let cells = table.cells().map(|cell| {
        let (speed, load) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
        json!([speed, load, table.at(cell)])
    });
    let image = encode(project).unwrap();
    let fields = project.image.items.iter().zip(&image.items).filter(|(item, _)| item.content == Content::Field);
    let value = |raw: f64, item: &Item| json!(raw * item.scale + item.offset);
    let fields = fields.map(|(item, encoded)| (item.name.clone(), value(encoded.raws[0].number(), item)));
    json!({
        "start": project.image.start,
        "size": project.image.size,
        "cells": cells.collect::<Vec<_>>(),
        "fields": fields.collect::<serde_json::Map<_, _>>(),
    })
}

fn write(folder: &Path, name: &str, project: &Project) {
    let image = encode(project).unwrap();
    let put = |extension: &str, bytes: &[u8]| fs::write(folder.join(format!("{name}.{extension}")), bytes).unwrap();
    put("bin", &image.bytes);
    put("hex", intel_hex(image.start, &image.bytes, RecordWidth::Sixteen).as_bytes());
    put("hex32", intel_hex(image.start, &image.bytes, RecordWidth::ThirtyTwo).as_bytes());
    for (extension, least) in [("s19", SRecordType::S19), ("s28", SRecordType::S28), ("s37", SRecordType::S37)] {
        let file = s_record(image.start, &image.bytes, least, RecordWidth::ThirtyTwo, &project.name);
        put(extension, file.text.as_bytes());
    }
    put("a2l", a2l(project).unwrap().as_bytes());
    put("json", expected(project).to_string().as_bytes());
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
