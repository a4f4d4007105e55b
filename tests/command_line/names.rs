//! Names that others gave reach a terminal as text alone, and a spreadsheet as text alone.

use sparkloft::interchange::EVENT_COLUMNS;
use sparkloft::project::write;

use super::bench::{Bench, SAMPLE};

/// Clears a terminal, ends the line, turns the writing and passes for a report.
const EVIL: &str = "x\u{1b}[2J\u{202e}\r\nerror stands_out: none\u{7}\u{9b}1m\u{2028}wrote safe.hex";
/// What a spreadsheet would run.
const FORMULA: &str = "=HYPERLINK(\"//a\",\"b\")";

/// Puts a project whose names are all of that kind, and one like it but for a field.
fn put(bench: &Bench, name: &str) {
    let evil = bench.project(SAMPLE).edit(|parts| {
        parts.name = name.into();
        parts.engine.channels[0].name = name.chars().take(40).collect();
        parts.engine.channels[0].wiring = name.into();
        parts.outputs[0].name = name.chars().take(40).collect();
        parts.outputs[0].conditions[0].off = parts.outputs[0].conditions[0].on - 0.5;
        parts.image.items[0].name = name.chars().take(40).collect();
        parts.checks.thresholds.insert(format!("no_{name}"), 3.0);
        parts.notes = name.into();
    });
    let evil = evil.unwrap();
    let edited = evil
        .edit(|parts| {
            parts.engine.channels[0].wiring = "other".into();
            parts.outputs[0].conditions[0].on += 1.0;
            parts.notes.push_str(name);
            parts.checks.thresholds.insert(format!("no_{name}"), 4.0);
        })
        .unwrap();
    bench.put("evil.ron", &write(&evil).unwrap());
    bench.put("edited.ron", &write(&edited).unwrap());
}

#[test]
fn names_reach_a_terminal_as_plain_characters() {
    let bench = Bench::new();
    put(&bench, EVIL);
    let jobs = [
        "show evil.ron",
        "check evil.ron",
        "compare evil.ron edited.ron",
        "compare tarn-special.ron evil.ron",
        "merge tarn-special.ron evil.ron edited.ron -o merged.ron",
        "set evil.ron --list",
        "set evil.ron step_deg=0.25 -o set.ron",
        "shape evil.ron add 1 -o shaped.ron",
        "export evil.ron --describe",
        "export evil.ron -o evil.hex",
        "verify tarn-special.ron evil.hex",
        "rig evil.ron --run sweep-to-the-limit",
        "locked-timing evil.ron -o locked.ron",
        "lookup evil.ron --speed 3000 --load 40",
        "picture evil.ron --view plan -o plan.svg",
        "sheet evil.ron -o sheet.pdf",
        "worksheet coil evil.ron",
    ];
    let unfit = |c: char| c != '\n' && (c.is_control() || matches!(c, '\u{202e}' | '\u{2028}'));
    for job in jobs {
        let run = bench.run(job.split(' '));
        for text in [&run.out, &run.err] {
            assert!(!text.contains(unfit), "{job}: {text:?}");
            for forged in ["error stands_out: none", "wrote safe.hex"] {
                assert!(!text.lines().any(|line| line.starts_with(forged)), "{job}: {text}");
            }
        }
    }
    assert!(bench.run(["show", "evil.ron"]).out.starts_with("x\\u{1b}[2J\\u{202e}\\r\\nerror"));
}

#[test]
fn names_reach_a_spreadsheet_as_text() {
    let bench = Bench::new();
    put(&bench, FORMULA);
    bench.done("rig evil.ron --run sweep-to-the-limit -o events.csv");
    let text = bench.text("events.csv");
    let mut reader = csv::ReaderBuilder::new().from_reader(text.as_bytes());
    let column = EVENT_COLUMNS.iter().position(|name| *name == "channel").unwrap();
    let names: Vec<String> = reader.records().map(|row| row.unwrap()[column].to_owned()).collect();
    assert!(names.iter().any(|name| *name == format!("'{FORMULA}")), "no coil of that name");
    assert!(names.iter().all(|name| !name.starts_with(['=', '+', '-', '@'])));
}
