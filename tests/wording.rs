//! One number, one text: the sources write no number of their own, and every public way shows a number alike.

use std::fs;
use std::path::{Path, PathBuf};

use proptest::prelude::*;
use sparkloft::checks;
use sparkloft::compare::{Comparison, Threshold};
use sparkloft::project::{Advance, LoadKind, NewProject, Origin, Project};
use sparkloft::shaping::{ShapingError, Tool};
use sparkloft::table::{Axis, Cell, Selection, Table};
use sparkloft::watch::Watch;
use sparkloft::wording::{Unit, point, quantity};

/// Where the digits of a number are syntax of a file and no text for people, with the reason.
const SYNTAX: [(&str, &str); 2] = [
    ("command_line/lookup/workers_tests.rs", "a number that a file may hold, with an exponent"),
    ("picture/svg.rs", "coordinates of a path: hundredths, in ASCII, as the format has them"),
];

fn sources() -> Vec<(PathBuf, String)> {
    fn below(folder: &Path, found: &mut Vec<(PathBuf, String)>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                below(&path, found);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let text = fs::read_to_string(&path).unwrap();
                found.push((path, text));
            }
        }
    }
    let mut found = Vec::new();
    below(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut found);
    found
}

/// The places in a text that give a number decimals or an exponent of their own: `{:.1}`, `{x:.3}`, `{:+.2}`, `{:>8.1}`,
/// `{y:e}`. Widths that are names (`{:>width$}`) are none.
fn formats(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for (at, _) in text.match_indices('{') {
        let Some(inner) = text[at + 1..].split(['}', '{', '\n', '"']).next() else { continue };
        let Some((name, form)) = inner.split_once(':') else { continue };
        let is_name = name.chars().all(|c| c.is_alphanumeric() || matches!(c, '_' | '.'));
        let is_form = !form.is_empty() && !form.contains([' ', ':', ',', ';', '(']);
        if is_name && is_form && (form.contains('.') || form.ends_with(['e', 'E'])) {
            found.push(format!("{{{inner}}}"));
        }
    }
    found
}

#[test]
fn formats_of_numbers_are_seen() {
    let code =
        r#"format!("{:.1} {x:.3} {:+.2} {a.b:>8.1} {y:e} {:>width$} {name:<20} {0}", a); S { a: b.c } {sum:08X}"#;
    assert_eq!(formats(code), ["{:.1}", "{x:.3}", "{:+.2}", "{a.b:>8.1}", "{y:e}"]);
}

#[test]
fn numbers_become_text_in_one_room() {
    for (path, text) in sources() {
        let name = path.to_string_lossy().replace('\\', "/");
        if name.contains("/src/wording/") || SYNTAX.iter().any(|(file, _)| name.ends_with(file)) {
            continue;
        }
        let found = formats(&text);
        assert!(found.is_empty(), "{name}: {found:?} belongs into the room for wording");
        for minus in ["replace('-', \"\u{2212}\")", "replace('-', \"\\u{2212}\")", "replace('-', \"−\")"] {
            assert!(!text.contains(minus), "{name}: {minus} belongs into the room for wording");
        }
        // `+ 0.0` after a rounding by hand is how a second rule of rounding begins.
        assert!(!text.contains(".round() / 10.0)"), "{name}: rounds a number for a text by hand");
    }
    for (file, reason) in SYNTAX {
        let used = sources()
            .iter()
            .any(|(path, text)| path.ends_with(Path::new("src").join(file)) && !formats(text).is_empty());
        assert!(used, "{file} needs no permission any more: {reason}");
    }
}

const SPEEDS: usize = 5;
const LOADS: usize = 4;

/// A project with these gaps between breakpoints and these cells.
fn project(gaps: &[f64], cells: &[f64]) -> Project {
    let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: SPEEDS, loads: LOADS };
    let axis = |from: f64, gaps: &[f64]| {
        let breakpoints = gaps.iter().scan(from, |at, gap| {
            let here = *at;
            *at += gap;
            Some(here)
        });
        Axis::new(breakpoints.collect()).unwrap()
    };
    let (speed, load) = (axis(600.0, &gaps[..SPEEDS]), axis(1.0, &gaps[SPEEDS..]));
    let table = Table::new(speed, load, cells.to_vec()).unwrap();
    let free = Selection::none(LOADS, SPEEDS);
    let origins = vec![Origin::Typed; cells.len()];
    let advance = Advance::new(table, free, origins).unwrap();
    new.create().unwrap().edit(|parts| parts.advance = advance).unwrap()
}

/// The words for the place of one cell, from every public way that has some.
fn ways(base: &Project, cell: Cell) -> Vec<(&'static str, String)> {
    let table = base.advance.table();
    let mut told = Vec::new();
    // One cell raised beyond every other.
    let mut cells = table.values().to_vec();
    cells[table.index(cell)] = 80.0;
    let raised = table.with_values(cells).unwrap();
    let free = Selection::none(LOADS, SPEEDS);
    let mut origins = vec![Origin::Typed; table.values().len()];
    origins[table.index(cell)] = Origin::Measured;
    let advance = Advance::new(raised, free, origins).unwrap();
    let edited = base.edit(|parts| parts.advance = advance).unwrap();
    let comparison = Comparison::new(base, &edited, Threshold::new(0.5).unwrap(), Watch::NOBODY).unwrap();
    let regions = comparison.table.unwrap().regions;
    told.push(("region", regions[0].place_words(LoadKind::Throttle)));
    let marks = comparison.fields.list.iter().find(|field| field.label.starts_with("Origin at "));
    told.extend(marks.map(|field| ("field", field.label.trim_start_matches("Origin at ").to_owned())));
    // The check of cells that stand out names cell and value.
    for finding in checks::run(&edited).iter().filter(|finding| finding.id == "stands_out") {
        if finding.place.cells() == [cell] && finding.message.contains(" stands ") {
            told.push(("finding", finding.place.words.clone()));
            told.push((
                "message",
                finding.message.split(" at ").nth(1).unwrap().split(" stands").next().unwrap().into(),
            ));
        }
    }
    // A tool that refuses a result names its place.
    if let Err(ShapingError::Result(place)) =
        (Tool::Add { deg: 50.0 }).apply(&edited.advance, &Selection::cell(table, cell))
    {
        let text = place.to_string();
        let text = text.split(" at ").nth(1).unwrap().replace("load ", "");
        told.push(("refusal", format!("{text} %")));
    }
    told
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// A place reads alike in regions, findings, their sentences, labels of fields and refusals, with breakpoints of any digits.
    #[test]
    fn one_place_has_one_text(
        gaps in proptest::collection::vec(2.0..31.0, LOADS),
        wide in proptest::collection::vec(101.0..1900.0, SPEEDS),
        digits in 0..5_i32,
        cells in proptest::collection::vec(5.0..30.0, SPEEDS * LOADS),
        at in (0..LOADS, 0..SPEEDS),
    ) {
        let unit = 10_f64.powi(digits);
        let settled = |value: &f64| (value * unit).round() / unit;
        let gaps: Vec<f64> = wide.iter().chain(&gaps).map(settled).collect();
        let base = project(&gaps, &cells.iter().map(settled).collect::<Vec<_>>());
        let cell = Cell::new(at.0, at.1);
        let table = base.advance.table();
        let wanted = point(table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load], Unit::Percent);
        for (way, text) in ways(&base, cell) {
            prop_assert_eq!(&text, &wanted, "{}", way);
        }
    }

    /// A figure of a finding is the number in its message.
    #[test]
    fn one_figure_has_one_text(offset_deg in -29.0..29.0, digits in 0..5_i32) {
        let unit = 10_f64.powi(digits);
        let offset_deg = f64::round(offset_deg * unit) / unit;
        let start = project(&[200.0, 300.0, 400.0, 500.0, 600.0, 20.0, 20.0, 20.0, 20.0], &[10.0; SPEEDS * LOADS]);
        let moved = start.edit(|parts| parts.trigger.zero_offset_deg = offset_deg).unwrap();
        for finding in checks::run(&moved).iter().filter(|finding| finding.id == "zero_offset") {
            let wanted = quantity(offset_deg, Unit::Degree);
            prop_assert_eq!(&finding.message, &format!("the zero offset is {wanted}"));
            prop_assert_eq!(&finding.figures().unwrap()[0], &wanted);
        }
        let comparison = Comparison::new(&start, &moved, Threshold::new(0.5).unwrap(), Watch::NOBODY).unwrap();
        let field = comparison.fields.list.iter().find(|field| field.path == "trigger.zero_offset_deg");
        if let Some(field) = field {
            prop_assert_eq!(&field.edited_words, &quantity(offset_deg, Unit::Degree));
        }
    }
}

/// A breakpoint with an eighth, which is rounded in two ways where there are two.
#[test]
fn an_eighth_of_a_percent_is_told_whole_everywhere() {
    let gaps = [200.0, 300.0, 400.0, 500.0, 600.0, 32.125, 20.0, 20.0, 20.0];
    let base = project(&gaps, &[10.0; SPEEDS * LOADS]);
    let told = ways(&base, Cell::new(1, 2));
    assert!(told.len() >= 3, "{told:?}");
    for (way, text) in told {
        assert_eq!(text, "1100 rpm, 33.125 %", "{way}");
    }
}
