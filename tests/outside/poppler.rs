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
            // In one band or in several, one below the other; the key stands beside some rows.
            let wanted: Vec<String> = table.row(row).iter().map(|&deg| fixed(deg, decimals)).collect();
            let (head, mut rest) = (shortest(load), wanted.as_slice());
            for line in lines.iter().filter(|line| line.first() == Some(&head.as_str())) {
                let same =
                    line.iter().skip(1).zip(rest).take_while(|(found, wanted)| **found == wanted.as_str()).count();
                rest = rest.get(same..).unwrap_or_default();
            }
            assert!(rest.is_empty(), "{}: {head} {wanted:?}\n{text}", project.name);
        }
        // On one line, on two by turns, or band by band.
        let speeds: Vec<String> = table.speed().breakpoints().iter().map(|&speed| shortest(speed)).collect();
        let has = |speed: &String| lines.iter().any(|line| line.contains(&speed.as_str()));
        assert!(speeds.iter().all(has), "{}: {speeds:?}", project.name);
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
