//! The setup sheet as people read it: one golden text file a sample, and what must hold for any project.

use std::fmt::Write;
use std::path::PathBuf;
use std::sync::LazyLock;

use sparkloft::lettering::Weight;
use sparkloft::picture::{Lettering, Plate};
use sparkloft::project::{LoadKind, NewProject, Project, SAMPLES};
use sparkloft::setup_sheet::{Paper, setup_sheet, sheet_pages};

/// The texts of the pages in reading order; what stands on one line next to each other is one line.
fn text(pages: &[Plate]) -> String {
    let mut out = String::new();
    let foot = |text: &Lettering| text.bounds().top + text.bounds().height;
    for page in pages {
        for line in page.texts.chunk_by(|a, b| (foot(a) - foot(b)).abs() < 2.0 && a.bounds().left <= b.bounds().left) {
            let words: Vec<&str> = line.iter().map(|text| text.text.as_str()).collect();
            let _ = writeln!(out, "{}", words.join(" | "));
        }
        out.push_str("--------\n");
    }
    out
}

fn new(cylinders: u8, speeds: usize, loads: usize) -> Project {
    NewProject { name: "trial".into(), cylinders, load: LoadKind::Pressure, speeds, loads }.create().unwrap()
}

struct Sheet {
    project: Project,
    a4: Vec<Plate>,
    letter: Vec<Plate>,
}

/// The sheets that several tests look at, the samples' first: one takes up to a second to make.
static SHEETS: LazyLock<Vec<Sheet>> = LazyLock::new(|| {
    let mut projects: Vec<Project> = SAMPLES.iter().map(|sample| sample.project().unwrap()).collect();
    projects.extend([new(4, 8, 8), new(6, 64, 64), new(8, 2, 64), new(4, 64, 2), new(4, 30, 20)]);
    let sheet = |project: Project| {
        let [a4, letter] = [Paper::A4, Paper::Letter].map(|paper| sheet_pages(&project, paper).unwrap());
        Sheet { project, a4, letter }
    };
    projects.into_iter().map(sheet).collect()
});

#[test]
fn samples_read_as_before() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/setup_sheet/golden");
    for (sample, sheet) in SAMPLES.iter().zip(&*SHEETS) {
        assert_eq!(sheet.project, sample.project().unwrap());
        let now = text(&sheet.a4);
        let path = folder.join(format!("{}.txt", sample.name));
        if std::env::var_os("SPARKLOFT_UPDATE").is_some() {
            std::fs::create_dir_all(&folder).unwrap();
            std::fs::write(&path, &now).unwrap();
        }
        let before = std::fs::read_to_string(&path).unwrap();
        assert!(before == now, "{} differs; SPARKLOFT_UPDATE=1 writes it anew", path.display());
    }
}

fn assert_on_its_page(project: &Project, page: &Plate) {
    for text in &page.texts {
        let bounds = text.bounds();
        let (right, bottom) = (bounds.left + bounds.width, bounds.top + bounds.height);
        let across = bounds.left >= 20.0 && right <= page.width - 20.0;
        let down = bounds.top >= 15.0 && bottom <= page.height - 12.0;
        assert!(across && down, "{}: '{}' {bounds:?}", project.name, text.text);
    }
}

/// The samples take three pages, also the one whose zero is not proved; on Letter, which is 50 points lower, that one
/// takes four. A table of 64 × 64 takes more, since its digits are as large as those of the others.
#[test]
fn there_are_three_pages_and_every_text_is_on_its_page() {
    for (index, Sheet { project, a4, letter }) in SHEETS.iter().enumerate() {
        let is_unproved = index + 1 == SAMPLES.len();
        for (pages, of_sample) in [(a4, 3), (letter, if is_unproved { 4 } else { 3 })] {
            let size = project.advance.table().values().len();
            let most = if index < SAMPLES.len() { of_sample } else { 8 };
            assert!((2..=most).contains(&pages.len()), "{} {size}: {} pages", project.name, pages.len());
            pages.iter().for_each(|page| assert_on_its_page(project, page));
        }
    }
}

#[test]
fn what_to_do_before_the_first_start_stays_while_the_zero_is_not_proved() {
    let all = text(&SHEETS[3].a4);
    for words in ["Before the first start", "Make it safe", "Crank and read", "Then run it with the timing locked"] {
        assert!(all.contains(words), "{words}");
    }
    assert!(!text(&SHEETS[0].a4).contains("Before the first start"));
}

/// The cautions and the lines to sign on are on one page, and no caution is parted between two columns.
#[test]
fn cautions_stand_whole_with_the_signatures() {
    for Sheet { project, a4, letter } in &*SHEETS {
        for pages in [a4, letter] {
            let page = pages.last().unwrap();
            let at = |words: &str| page.texts.iter().find(|text| text.text == words).map(|text| text.bounds().top);
            assert!(at("Cautions").unwrap() < at("Set up and handed over").unwrap(), "{}", project.name);
            let below = page.texts.iter().skip_while(|text| text.text != "Cautions").skip(1);
            let cautions = below.take_while(|text| text.text != "Set up and handed over").map(|text| text.bounds());
            // In reading order: where a column begins, a caution does, with its dash left of the words.
            let boxes: Vec<_> = cautions.collect();
            let heads = boxes.windows(2).filter(|pair| pair[1].top < pair[0].top - 20.0);
            let mut columns = 0;
            heads.for_each(|pair| {
                columns += 1;
                assert!(pair[1].width < 8.0, "{}: {pair:?}", project.name);
            });
            assert!(columns > 0, "{}", project.name);
        }
    }
}

/// Below a heading, in its column, there is text before the foot of the page.
#[test]
fn no_heading_stands_at_the_foot_of_a_column() {
    for Sheet { project, a4, letter } in &*SHEETS {
        for page in [a4, letter].into_iter().flatten() {
            for heading in page.texts.iter().filter(|text| text.weight == Weight::Semibold) {
                let at = heading.bounds();
                let below = |text: &&Lettering| {
                    let other = text.bounds();
                    let down = other.top - at.top;
                    other.left < at.left + 200.0 && other.left >= at.left - 1.0 && (1.0..60.0).contains(&down)
                };
                let is_foot = |text: &&Lettering| text.bounds().top > page.height - 40.0;
                let follows = page.texts.iter().filter(|text| !is_foot(text)).any(|text| below(&text));
                let is_drawing = matches!(heading.text.as_str(), "Surface") || heading.text.starts_with("Slices");
                assert!(follows || is_drawing, "{}: '{}' at {at:?}", project.name, heading.text);
            }
        }
    }
}

/// Long notes and names take four pages all the same; two dozen wordy outputs and forty readings take one more.
#[test]
fn a_rich_project_takes_few_pages() {
    let sample = SAMPLES[0].project().unwrap();
    let long = sample.edit(|parts| {
        parts.notes = "Warm it up before the first start of the day. ".repeat(90);
        parts.name = "the car with a rather long name that somebody gave it".into();
        parts.engine.plugs = "cold resistor plug, copper core, gapped cold and checked after every meeting".into();
        parts.engine.channels.iter_mut().for_each(|channel| channel.wiring = "white over blue, unit pin 3, ".repeat(4));
    });
    let many = sample.edit(|parts| {
        let output = parts.outputs[3].clone();
        let named = |n: usize| sparkloft::project::Output { name: format!("lamp {n}"), ..output.clone() };
        parts.outputs = (0..24).map(named).collect();
        let reading = parts.timing_light.readings[0].clone();
        parts.timing_light.readings = vec![reading; 40];
    });
    for (project, most) in [(long.unwrap(), 6), (many.unwrap(), 6)] {
        for paper in [Paper::A4, Paper::Letter] {
            let pages = sheet_pages(&project, paper).unwrap();
            assert!(pages.len() <= most, "{}: {} pages", project.name, pages.len());
            pages.iter().for_each(|page| assert_on_its_page(&project, page));
        }
    }
}

/// No heading stands over nothing, least of all at the foot of a page.
#[test]
fn what_is_switched_off_is_one_line() {
    let all = text(&sheet_pages(&SAMPLES[0].project().unwrap(), Paper::A4).unwrap());
    assert!(all.contains("Switched off\n") && !all.contains(": off\n"), "{all}");
}

/// As much of everything as a project may have: more pages, but nothing is lost.
#[test]
fn the_fullest_project_stays_on_its_pages() {
    let full = SAMPLES[0].project().unwrap().edit(|parts| {
        parts.name = "a name of many words ".repeat(9);
        parts.notes = "Notes upon notes, without an end. ".repeat(580);
        parts.engine.plugs = "W".repeat(200);
        parts.engine.channels.iter_mut().for_each(|channel| {
            channel.name = "M".repeat(40);
            channel.wiring = "a wire ".repeat(57);
        });
        let output = parts.outputs[0].clone();
        let named =
            |n: usize| sparkloft::project::Output { name: format!("output {n} {}", "x".repeat(60)), ..output.clone() };
        parts.outputs = (0..60).map(named).collect();
        let reading = parts.timing_light.readings[0].clone();
        parts.timing_light.readings = vec![reading; 120];
    });
    let full = full.unwrap();
    for paper in [Paper::A4, Paper::Letter] {
        let pages = sheet_pages(&full, paper).unwrap();
        pages.iter().for_each(|page| assert_on_its_page(&full, page));
        let all = text(&pages);
        let words: Vec<&str> = all.split_whitespace().collect();
        let has = |n: usize| words.windows(2).any(|pair| pair[0] == "output" && pair[1] == n.to_string());
        assert!((0..60).all(has));
        // A few more stand among what changed.
        assert!(all.matches("upon").count() >= 580);
    }
}

/// No two texts lie upon each other.
#[test]
fn texts_keep_clear_of_each_other() {
    for Sheet { project, a4, .. } in &*SHEETS {
        for page in a4 {
            let boxes: Vec<_> = page.texts.iter().map(|text| (text.bounds(), text)).collect();
            for (index, (a, text)) in boxes.iter().enumerate() {
                for (b, other) in &boxes[index + 1..] {
                    // The white of a line's box above and below its letters may overlap.
                    let (trim_a, trim_b) = (0.2 * a.height, 0.2 * b.height);
                    let across = a.left < b.left + b.width - 0.2 && b.left < a.left + a.width - 0.2;
                    let down = a.top + trim_a < b.top + b.height - trim_b && b.top + trim_b < a.top + a.height - trim_a;
                    assert!(!(across && down), "{}: '{}' and '{}' at {a:?}", project.name, text.text, other.text);
                }
            }
        }
    }
}

/// On paper of any size and for tables of any size.
#[test]
fn every_text_can_be_read() {
    for Sheet { project, a4, letter } in &*SHEETS {
        for text in a4.iter().chain(letter).flat_map(|page| &page.texts) {
            assert!(text.size >= 7.99, "{}: '{}' is set in {}", project.name, text.text, text.size);
        }
    }
}

#[test]
fn locked_timing_is_on_every_page() {
    let locked = SAMPLES[0].project().unwrap().locked_timing(10.0).unwrap();
    let pages = sheet_pages(&locked, Paper::A4).unwrap();
    for page in &pages {
        assert!(page.texts.iter().filter(|text| text.text.starts_with("LOCKED TIMING 10°")).count() >= 2);
    }
    assert!(text(&pages).contains("Every cell is the same."));
}

#[test]
fn the_same_project_gives_the_same_bytes() {
    let project = SAMPLES[1].project().unwrap();
    let bytes = setup_sheet(&project, Paper::A4).unwrap();
    assert!(bytes == setup_sheet(&project, Paper::A4).unwrap());
    assert!(bytes.len() < 1_500_000, "{} bytes", bytes.len());
}
