//! The setup sheet as poppler reads it: an independent reader of PDF. Needs `pdftotext`, `pdffonts` and `pdfinfo`.

use std::path::Path;
use std::process::Command;

use sparkloft::project::{LoadKind, NewProject, Project, SAMPLES};
use sparkloft::setup_sheet::{Paper, setup_sheet};
use sparkloft::wording::{fixed, shortest, step_decimals};

/// What a tool of poppler says about a file.
fn ask(tool: &str, options: &[&str], file: &Path, rest: &[&str]) -> String {
    let output = Command::new(tool).args(options).arg(file).args(rest).output().unwrap();
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success() && errors.is_empty(), "{tool}: {errors}");
    String::from_utf8(output.stdout).unwrap()
}

fn sheets() -> Vec<Project> {
    let new = NewProject { name: "trial".into(), cylinders: 6, load: LoadKind::Throttle, speeds: 64, loads: 64 };
    SAMPLES.iter().map(|sample| sample.project().unwrap()).chain([new.create().unwrap()]).collect()
}

#[test]
#[ignore = "needs pdftotext, pdffonts and pdfinfo of poppler-utils"]
fn every_number_of_the_table_is_found_in_its_row() {
    let folder = tempfile::tempdir().unwrap();
    for project in sheets() {
        let file = folder.path().join("sheet.pdf");
        std::fs::write(&file, setup_sheet(&project, Paper::A4).unwrap()).unwrap();
        let text = ask("pdftotext", &["-layout"], &file, &["-"]);
        let lines: Vec<Vec<&str>> = text.lines().map(|line| line.split_whitespace().collect()).collect();
        let table = project.advance.table();
        let decimals = step_decimals(project.step_deg);
        for (row, &load) in table.load().breakpoints().iter().enumerate() {
            let mut wanted = vec![shortest(load)];
            wanted.extend(table.row(row).iter().map(|&deg| fixed(deg, decimals)));
            let found = lines.iter().any(|line| line.iter().copied().eq(wanted.iter().map(String::as_str)));
            assert!(found, "{}: {wanted:?}\n{text}", project.name);
        }
        // On one line, or on two by turns.
        let speeds: Vec<String> = table.speed().breakpoints().iter().map(|&speed| shortest(speed)).collect();
        let has =
            |wanted: Vec<&String>| lines.iter().any(|line| wanted.iter().all(|speed| line.contains(&speed.as_str())));
        let by_turns = |first: usize| has(speeds.iter().skip(first).step_by(2).collect());
        assert!(has(speeds.iter().collect()) || by_turns(0) && by_turns(1), "{}: {speeds:?}", project.name);
        assert!(text.contains("Cautions") && text.contains("Not tested") && text.contains(&project.name));
    }
}

#[test]
#[ignore = "needs pdftotext, pdffonts and pdfinfo of poppler-utils"]
fn fonts_are_embedded_and_the_file_says_what_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("sheet.pdf");
    for paper in [Paper::A4, Paper::Letter] {
        std::fs::write(&file, setup_sheet(&SAMPLES[0].project().unwrap(), paper).unwrap()).unwrap();
        let fonts = ask("pdffonts", &[], &file, &[]);
        let rows: Vec<Vec<&str>> = fonts.lines().skip(2).map(|line| line.split_whitespace().collect()).collect();
        assert!(!rows.is_empty(), "{fonts}");
        // The last columns: embedded, subset, to Unicode, object and generation.
        for row in rows {
            let tail = &row[row.len() - 5..row.len() - 2];
            assert_eq!(tail, ["yes", "yes", "yes"], "{fonts}");
        }
        let about = ask("pdfinfo", &[], &file, &[]);
        assert!(about.contains("Title:           tarn-special: setup sheet"), "{about}");
        assert!(!about.contains("CreationDate") && !about.contains("ModDate"), "{about}");
        let size = if paper == Paper::A4 { "(A4)" } else { "(letter)" };
        assert!(about.lines().any(|line| line.starts_with("Page size:") && line.contains(size)), "{about}");
    }
}
