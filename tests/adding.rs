//! How many files a thing of a kind takes: those that name it are counted for every tool, sheet, check and job there is.
//! Files that do more with one than offer it are listed here with the reason, and do not count.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use super::floors::{Source, sources, without_tests};
use sparkloft::checks::CHECKS;

/// A file that does more with a thing than a thing of its kind needs: which, where, and what it does.
type More = (&'static str, &'static str, &'static str);

/// Tools that are used by a gesture or a panel of their own.
#[cfg(feature = "window")]
const MORE_WITH_TOOLS: &[More] = &[
    ("Add", "window/workbench/gestures/nudge.rs", "keys that are held"),
    ("Add", "window/views/inspector/hold_buttons.rs", "buttons that are held"),
    ("Add", "window/views/grip.rs", "a drag of one cell"),
    ("Add", "window/views/grid/editor.rs", "a change typed over cells"),
    ("Scale", "window/views/grid/editor.rs", "a change typed over cells"),
    ("Type", "window/views/grid/editor.rs", "the editor of a cell"),
    ("Draw", "window/views/slices/stroke.rs", "a stroke over a slice"),
    ("Lift", "window/views/grip.rs", "a drag with neighbours"),
    ("Lift", "window/views/slices/curve.rs", "a drag on a slice"),
    ("Lift", "window/views/inspector/proposal_words.rs", "what is said while dragging lifts"),
    ("Axes", "window/views/inspector/breakpoints/plans.rs", "the panel of breakpoints"),
    ("InsertBreakpoint", "window/views/inspector/breakpoints/plans.rs", "the panel of breakpoints"),
    ("DeleteBreakpoint", "window/views/inspector/breakpoints/plans.rs", "the panel of breakpoints"),
    ("MoveBreakpoint", "window/views/inspector/breakpoints/plans.rs", "the panel of breakpoints"),
    ("Fair", "window/views/inspector/fairing/mod.rs", "the panel of demands"),
    ("Fair", "command_line/shape/told.rs", "what it came to, as JSON"),
    ("Release", "window/views/inspector/fairing/clash.rs", "a remedy in the panel of demands"),
];

/// Sheets to which something leads, or where keys, commands and files mean something of their own.
#[cfg(feature = "window")]
const MORE_WITH_SHEETS: &[More] = &[
    ("Advance", "window/frame/status_line.rs", "what the pointer is over"),
    ("Advance", "window/sheets/rig/point_view.rs", "leads to the table"),
    ("Advance", "window/sheets/trims/sum_view.rs", "leads to the table"),
    ("Advance", "window/frame/cell_menu.rs", "leads to the table"),
    ("Limits", "window/sheets/trims/sum_view.rs", "leads to the limits"),
    ("Advance", "window/views/grid/keys.rs", "cells can be edited"),
    ("Advance", "window/views/grid/mod.rs", "the editor opens there"),
    ("Advance", "window/workbench/keyboard.rs", "the editor stays open there"),
    ("Advance", "window/workbench/shown/mod.rs", "previews are shown there"),
    ("Advance", "window/workbench/shown/proposals.rs", "sentences preview there"),
    ("Advance", "window/workbench/run.rs", "shows the table as flashed"),
    ("Compare", "window/frame/status_line.rs", "what the pointer is over"),
    ("Compare", "window/views/availability.rs", "its regions are taken back there"),
    ("Compare", "window/workbench/shown/bases.rs", "merging leads there"),
    ("Compare", "window/workbench/run.rs", "merging leads there"),
    ("Evidence", "window/workbench/files/asking.rs", "a dropped table holds readings"),
    ("Evidence", "window/workbench/files/sweeps.rs", "readings lead there"),
    ("Evidence", "window/workbench/steps.rs", "sample readings lead there"),
    ("Rig", "window/frame/status_line.rs", "what the run came to"),
    ("Rig", "window/views/availability.rs", "commands of the run"),
    ("Rig", "window/workbench/files/asking.rs", "a dropped table is a run"),
    ("Checks", "window/frame/rail.rs", "how many findings are open"),
    ("Checks", "window/frame/status_line.rs", "how many findings are open"),
    ("Export", "window/workbench/files/images.rs", "images lead there"),
    ("Export", "window/workbench/run.rs", "exporting leads there"),
];

/// Fields of the project that others in its room go by.
const MORE_WITH_FIELDS: &[More] = &[
    ("outputs[].blinks_from_rpm", "project/coverage.rs", "what an image must hold for it"),
    ("coil.inductance_mh", "project/assumed.rs", "a guess until somebody confirms it"),
    ("engine.plug_gap_mm", "project/assumed.rs", "a guess until somebody confirms it"),
    ("engine.plug_gap_mm", "project/thresholds.rs", "a threshold of the same name"),
];

/// Whether the code has that word, and not as a part of a longer one.
fn names(code: &str, word: &str) -> bool {
    let is_part = |c: char| c.is_alphanumeric() || c == '_';
    code.match_indices(word).any(|(start, _)| {
        let before = code[..start].chars().next_back().filter(|_| word.starts_with(is_part));
        let after = code[start + word.len()..].chars().next().filter(|_| word.ends_with(is_part));
        !before.is_some_and(is_part) && !after.is_some_and(is_part)
    })
}

/// The sources as they are built for people, by their path below `src`.
fn built() -> Vec<(String, String)> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("src");
    let all = sources();
    let of_tests = |path: &PathBuf| {
        let declared = format!("#[cfg(test)]\nmod {};", path.file_stem().unwrap().to_string_lossy());
        let is_parent = |parent: &PathBuf| {
            parent.parent() == path.parent() || path.parent() == Some(parent.with_extension("").as_path())
        };
        all.iter().any(|parent| is_parent(&parent.path) && parent.code.contains(&declared))
    };
    let kept = all.iter().filter(|source| !of_tests(&source.path));
    kept.map(|Source { path, code, .. }| {
        let below = path.strip_prefix(&root).unwrap().to_string_lossy().replace('\\', "/");
        (below, without_tests(code).to_owned())
    })
    .collect()
}

/// The files that name any of these words.
fn files<'a>(built: &'a [(String, String)], words: &[String]) -> BTreeSet<&'a str> {
    let named = |(_, code): &&(String, String)| words.iter().any(|word| names(code, word));
    built.iter().filter(named).map(|(path, _)| path.as_str()).collect()
}

/// Refuses a thing that more files name than allowed, `more` left out; each of those must name it.
fn assert_few(thing: &str, found: &BTreeSet<&str>, more: &[More], most: usize) {
    let more: BTreeSet<&str> = more.iter().filter(|(name, ..)| *name == thing).map(|(_, file, _)| *file).collect();
    let idle: Vec<&&str> = more.difference(found).collect();
    assert!(idle.is_empty(), "{thing} is not named in {idle:?} any more");
    let few: Vec<&&str> = found.difference(&more).collect();
    assert!((1..=most).contains(&few.len()), "{thing} takes {} files, {most} at most: {few:?}", few.len());
}

/// The variants of an enum as it stands in a file.
fn variants(code: &str, name: &str) -> Vec<String> {
    let body = code.split(&format!("enum {name} {{\n")).nth(1).and_then(|rest| rest.split("\n}").next()).unwrap();
    let lines =
        body.lines().filter_map(|line| line.strip_prefix("    ")).filter(|line| !line.starts_with([' ', '}', '#']));
    let word = |line: &str| line.split(|c: char| !c.is_alphanumeric()).next().unwrap().to_owned();
    lines.map(word).filter(|word| !word.is_empty()).collect()
}

fn code<'a>(built: &'a [(String, String)], path: &str) -> &'a str {
    &built.iter().find(|(below, _)| below == path).unwrap_or_else(|| panic!("there is no {path}")).1
}

/// Its own file, the tools with their parameters, the list of tools, and the keys of its command if it is one.
#[cfg(feature = "window")]
#[test]
fn a_shaping_tool_takes_four_files() {
    let built = built();
    let tools = variants(code(&built, "shaping/tool.rs"), "Tool");
    // The list is read from the source; an empty one would prove nothing.
    assert!(tools.len() > 10, "{tools:?}");
    for (tool, _, what) in MORE_WITH_TOOLS {
        assert!(tools.iter().any(|other| other == tool), "{tool} for {what}");
    }
    for tool in &tools {
        let made = format!("Tool::{tool}");
        let own = built.iter().find(|(path, code)| {
            let is_list = ["shaping/mod.rs", "shaping/tool.rs"].contains(&path.as_str());
            path.starts_with("shaping/") && !is_list && names(code, &made)
        });
        let mut words = vec![made.clone()];
        if let Some((_, own)) = own {
            words.extend(deeds(own, &made).map(|id| format!("\"{id}\"")));
            words.extend(passed_on(own, &made));
        }
        let mut found = files(&built, &words);
        // There it is 'Self'.
        found.extend(["shaping/mod.rs", "shaping/tool.rs"]);
        assert_few(tool, &found, MORE_WITH_TOOLS, 4);
    }
}

/// The ids of the commands of a tool, as its own file has them.
#[cfg(feature = "window")]
fn deeds<'a>(own: &'a str, made: &'a str) -> impl Iterator<Item = &'a str> {
    let texts = own.split(": Deed = Deed {").skip(1).filter_map(|text| text.split("\n};").next());
    let of_sentence = |text: &str| {
        sparkloft::shaping::SENTENCES.iter().any(|sentence| {
            text.contains(&format!("Does::Sentence(\"{}\")", sentence.key))
                && own.split(": Sentence = Sentence {").any(|own| {
                    let own = own.split("\n};").next().unwrap_or_default();
                    own.contains(&format!("key: \"{}\"", sentence.key)) && names(own, made)
                })
        })
    };
    let own = texts.filter(move |text| names(text, made) || of_sentence(text));
    own.filter_map(|text| text.split("id: \"").nth(1)?.split('"').next())
}

/// The numbers of a tool that others may name, as its own file has them.
#[cfg(feature = "window")]
fn passed_on<'a>(own: &'a str, made: &'a str) -> impl Iterator<Item = String> + 'a {
    let numbers = own.split("pub const ").skip(1).filter(|text| text.contains(": Number = "));
    let names_of = numbers.filter_map(|text| text.split(':').next());
    names_of.filter(move |_| names(own, made)).map(str::to_owned)
}

/// Its own folder and state aside: the row of the list with the module of its state, the screen that has it with the messages
/// that reach it, its view.
#[cfg(feature = "window")]
#[test]
fn a_sheet_takes_three_files() {
    use sparkloft::window::state::screen::Sheet;
    let built = built();
    for sheet in Sheet::ALL {
        let name = format!("{sheet:?}");
        let module = name.to_lowercase();
        let own = [format!("window/sheets/{module}/"), format!("window/state/{module}_state.rs")];
        let words = [format!("Sheet::{name}"), format!("mod {module}_state"), format!("{module}::{name}Sheet")];
        let mut found = files(&built, &words);
        let state = format!("use crate::window::state::{module}_state");
        let screen = "window/state/screen.rs";
        found.extend(code(&built, screen).contains(&state).then_some(screen));
        found.insert("window/state/mod.rs");
        found.retain(|path| !own.iter().any(|own| path.starts_with(own)));
        assert_few(&name, &found, MORE_WITH_SHEETS, 3);
    }
}

/// Its own file and the list, and the catalogue of thresholds where it has some: the project holds, lists and sets those.
#[test]
fn a_check_takes_two_files() {
    let built = built();
    // Places of findings as files of older versions have them.
    let today: Vec<(String, String)> =
        built.into_iter().filter(|(path, _)| !path.starts_with("project/upgrade/")).collect();
    for check in CHECKS {
        let id = check.id;
        let quoted = format!("\"{id}\"");
        let mut found = files(&today, &[format!("mod {id}"), format!("{id}::CHECK"), format!("check({quoted})")]);
        found.retain(|path| path.starts_with("checks/"));
        let by_name = files(&today, &[quoted]);
        found.extend(by_name.into_iter().filter(|path| path.starts_with("checks/")));
        let own = format!("checks/{id}.rs");
        assert!(found.contains(own.as_str()) && found.contains("checks/mod.rs"), "{id}: {found:?}");
        assert_few(id, &found, &[], 2);
        let thresholds = code(&today, "project/thresholds.rs");
        for threshold in check.thresholds {
            assert!(threshold.name.starts_with(id) && thresholds.contains(threshold.name), "{}", threshold.name);
        }
    }
}

/// Its struct, its default and the catalogue, which lists, reads, sets, compares and shows it. What is of older versions stands
/// in `project/upgrade/`; beyond the room a field is used, and nobody there needs to name it for the project to be built.
#[test]
fn a_field_takes_three_files() {
    let fields = [
        "coil.current_limit_a",
        "coil.inductance_mh",
        "engine.plug_gap_mm",
        "outputs[].blinks_from_rpm",
        "runs[].varies_below_rpm",
        "trigger.lead_pitches",
    ];
    let (room, beyond): (Vec<_>, Vec<_>) = built()
        .into_iter()
        .filter(|(path, _)| !path.starts_with("project/upgrade/"))
        .partition(|(path, _)| path.starts_with("project/"));
    for path in fields {
        assert!(sparkloft::project::field(path).is_some(), "there is no field {path}");
        let name = path.rsplit('.').next().unwrap_or(path).to_owned();
        let given = format!("{name}: ");
        let found = files(&room, &[name]);
        assert!(found.contains("project/fields.rs"), "{path}: {found:?}");
        assert_few(path, &found, MORE_WITH_FIELDS, 3);
        let is_given = |line: &str| names(line, &given) && !line.contains('"');
        let outside: Vec<&str> =
            beyond.iter().filter(|(_, code)| code.lines().any(is_given)).map(|(path, _)| path.as_str()).collect();
        assert!(outside.is_empty(), "{path} must be given a value in {outside:?} as well");
    }
}

/// Its own file and the list.
#[test]
fn a_job_takes_two_files() {
    let built = built();
    let list = code(&built, "command_line/mod.rs");
    let jobs = variants(list, "Kind");
    assert!(jobs.len() > 15, "{jobs:?}");
    for job in jobs {
        let module = list.split(&format!(" {job}(")).nth(1).and_then(|rest| rest.split("::").next()).unwrap();
        let own = [format!("command_line/{module}.rs"), format!("command_line/{module}/")];
        let mut found = files(&built, &[format!("mod {module}"), format!("Kind::{job}"), format!("{module}::{job}")]);
        found.retain(|path| path.starts_with("command_line/") && !own.iter().any(|own| path.starts_with(own)));
        assert_few(&job, &found, &[], 1);
    }
}

/// Who reads in DEVELOPERS.md where something stands finds it there.
#[test]
fn every_file_that_developers_are_sent_to_is_there() {
    fn below(folder: &Path, found: &mut Vec<String>) {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            found.push(format!("/{}", path.to_string_lossy().replace('\\', "/")));
            if path.is_dir() {
                found.push(format!("/{}/", path.to_string_lossy().replace('\\', "/")));
                below(&path, found);
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut there = Vec::new();
    for folder in ["src", "tests", "benches", "docs", "sample-projects", ".ci"] {
        below(&root.join(folder), &mut there);
        there.push(format!("/{folder}/"));
    }
    let text = std::fs::read_to_string(root.join("DEVELOPERS.md")).unwrap();
    let is_path = |span: &&str| {
        let is_plain = span.chars().all(|c| c.is_ascii_alphanumeric() || "/._-".contains(c));
        // NAME stands for the name of what is added.
        is_plain && !span.contains("NAME") && [".rs", ".py", "/"].iter().any(|end| span.ends_with(end))
    };
    let named: Vec<&str> = text.split('`').skip(1).step_by(2).filter(is_path).collect();
    assert!(named.len() > 60, "{named:?}");
    let is_there = |span: &str| there.iter().any(|path| path.ends_with(&format!("/{span}")));
    let missing: Vec<&&str> = named.iter().filter(|span| !is_there(span)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn words_are_told_from_parts_of_words() {
    assert!(names("Tool::Hold { measured }", "Tool::Hold") && names("(Sheet::Rig)", "Sheet::Rig"));
    assert!(!names("Tool::Holder", "Tool::Hold") && !names("MyTool::Hold", "Tool::Hold"));
    let refused = |found: &[&'static str], more: &'static [More], most| {
        let found: BTreeSet<&str> = found.iter().copied().collect();
        std::panic::catch_unwind(move || assert_few("a", &found, more, most)).is_err()
    };
    assert!(!refused(&["x.rs", "z.rs"], &[("a", "z.rs", "more")], 1));
    assert!(refused(&["x.rs", "y.rs"], &[], 1) && refused(&["x.rs"], &[("a", "z.rs", "more")], 1));
    assert!(refused(&[], &[], 1));
}
