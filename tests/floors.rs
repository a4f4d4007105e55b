//! The floors of the house: which room may use which, read from the paths in the code.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Every room with its floor. A room may use the rooms on floors below its own.
const ROOMS: &[(&str, u8)] = &[
    ("table", 0),
    ("lettering", 0),
    ("wording", 0),
    ("project", 1),
    ("spark", 2),
    ("rig", 2),
    ("shaping", 2),
    ("worksheet", 2),
    ("compare", 3),
    ("interchange", 3),
    ("drawing", 3),
    ("image", 3),
    ("checks", 4),
    ("picture", 4),
    ("setup_sheet", 4),
    ("document", 5),
    ("window", 6),
    ("command_line", 6),
];
/// Rooms that may use a room beside them, on the same floor.
const BESIDE: &[(&str, &str)] = &[
    ("table", "wording"),
    ("rig", "spark"),
    ("worksheet", "spark"),
    ("worksheet", "rig"),
    ("setup_sheet", "checks"),
    ("setup_sheet", "picture"),
];
/// Up to this floor everything is a pure function: same input, same bytes out.
const HIGHEST_PURE: u8 = 4;
/// What no pure function needs.
const IMPURE: [&str; 9] =
    ["std::fs", "std::thread", "std::time", "std::env", "std::net", "std::process", "std::io::std", "jiff", "log"];
/// Libraries of the window.
const OF_THE_WINDOW: [&str; 5] = ["egui", "eframe", "rfd", "notify", "egui_plot"];
/// Names that say nothing.
const NO_NAMES: [&str; 6] = ["utils", "common", "helpers", "types", "misc", "core"];

/// A source file of a room, without comments.
struct Source {
    room: String,
    path: PathBuf,
    code: String,
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn entries(folder: &Path) -> Vec<PathBuf> {
    let mut entries: Vec<_> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    entries
}

/// Every file and folder below a folder.
fn below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in entries(folder) {
        found.push(entry.clone());
        if entry.is_dir() {
            found.extend(below(&entry));
        }
    }
    found
}

fn stem(path: &Path) -> String {
    path.file_stem().unwrap().to_string_lossy().into_owned()
}

fn sources() -> Vec<Source> {
    let mut sources = Vec::new();
    for room in entries(&root().join("src")).into_iter().filter(|path| path.is_dir()) {
        for path in below(&room).into_iter().filter(|path| path.extension().is_some_and(|ending| ending == "rs")) {
            let code = without_comments(&fs::read_to_string(&path).unwrap());
            sources.push(Source { room: stem(&room), path, code });
        }
    }
    sources
}

fn without_comments(text: &str) -> String {
    let code = text.lines().map(|line| line.split_once("//").map_or(line, |(code, _)| code));
    code.collect::<Vec<_>>().join("\n")
}

/// Every path that the code names: imports with their braces undone, and paths in between.
fn paths(code: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    let is_part = |c: char| c.is_alphanumeric() || matches!(c, '_' | ':');
    let words = code.split(|c: char| !is_part(c)).filter(|word| word.contains("::"));
    found.extend(words.map(|word| word.trim_end_matches(':').to_owned()));
    for (start, _) in code.match_indices("use ").filter(|(start, _)| is_start(code, *start)) {
        let import = code[start + 4..].split(';').next().unwrap();
        undo_braces("", import, &mut found);
    }
    found
}

fn is_start(code: &str, at: usize) -> bool {
    code[..at].chars().next_back().is_none_or(|before| before.is_whitespace())
}

fn undo_braces(prefix: &str, import: &str, found: &mut BTreeSet<String>) {
    let import = import.trim();
    let Some((head, inner)) = import.split_once('{') else {
        let path = import.split_whitespace().next().unwrap_or_default();
        found.insert(format!("{prefix}{path}"));
        return;
    };
    let inner = inner.rsplit_once('}').map_or(inner, |(inner, _)| inner);
    let (mut depth, mut start) = (0, 0);
    for (at, c) in inner.char_indices().chain([(inner.len(), ',')]) {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                let part = inner[start..at].trim();
                if !part.is_empty() {
                    undo_braces(&format!("{prefix}{}", head.trim()), part, found);
                }
                start = at + 1;
            }
            _ => {}
        }
    }
}

fn floor(room: &str) -> Option<u8> {
    ROOMS.iter().find(|(name, _)| *name == room).map(|(_, floor)| *floor)
}

/// The room that a path inside the crate leads to.
fn room_of(path: &str) -> Option<&str> {
    path.strip_prefix("crate::").or_else(|| path.strip_prefix("sparkloft::"))?.split("::").next()
}

fn begins(path: &str, with: &str) -> bool {
    path.strip_prefix(with).is_some_and(|rest| rest.is_empty() || rest.starts_with("::") || with.ends_with("std"))
}

/// What is wrong with a path named in a room.
fn fault(room: &str, path: &str) -> Option<String> {
    let own = floor(room)?;
    if own <= HIGHEST_PURE && IMPURE.iter().any(|impure| begins(path, impure)) {
        return Some(format!("'{path}' is not pure"));
    }
    if room != "window" && OF_THE_WINDOW.iter().any(|library| begins(path, library)) {
        return Some(format!("'{path}' is for the window alone"));
    }
    let other = room_of(path).filter(|other| *other != room)?;
    let Some(floor) = floor(other) else {
        return Some(format!("'{path}' leads to no room"));
    };
    let may = floor < own || floor == own && BESIDE.contains(&(room, other));
    (!may).then(|| format!("'{path}' leads up or aside: {other} is on floor {floor}, {room} on {own}"))
}

#[test]
fn every_room_uses_only_rooms_below() {
    for Source { room, path, code } in sources() {
        assert!(floor(&room).is_some(), "{room} is no room of the house");
        for named in paths(&code) {
            if let Some(fault) = fault(&room, &named) {
                panic!("{}: {fault}", path.display());
            }
        }
    }
}

/// Parents are a way out of a room, too.
#[test]
fn no_room_leaves_by_the_parent() {
    for Source { room, path, code } in sources() {
        let own: Vec<String> = below(&root().join("src").join(&room)).iter().map(|path| stem(path)).collect();
        let others = ROOMS.iter().map(|(name, _)| *name).filter(|name| !own.iter().any(|own| own == name));
        for other in others.filter(|name| *name != room) {
            let ways = paths(&code);
            let mut parents = ways.iter().filter(|named| named.starts_with("super::"));
            let leaves = parents.any(|named| begins(named.trim_start_matches("super::"), other));
            assert!(!leaves, "{}: leaves for {other} by its parent", path.display());
        }
    }
}

#[test]
fn no_permission_is_unused() {
    let sources = sources();
    for (room, _) in ROOMS {
        assert!(sources.iter().any(|source| source.room == *room), "there is no {room}");
    }
    for (room, other) in BESIDE {
        let mut own = sources.iter().filter(|source| source.room == *room);
        let used = own.any(|source| paths(&source.code).iter().any(|path| room_of(path) == Some(other)));
        assert!(used, "{room} does not use {other}");
    }
}

#[test]
fn the_top_has_only_rooms_and_two_doors() {
    for path in entries(&root().join("src")) {
        assert!(path.is_dir() || ["lib", "main"].contains(&&*stem(&path)), "{}", path.display());
    }
}

#[test]
fn every_folder_and_file_has_a_name_that_says_something() {
    for folder in ["src", "tests"] {
        for path in below(&root().join(folder)) {
            assert!(!NO_NAMES.contains(&&*stem(&path)), "{}", path.display());
        }
    }
}

#[test]
fn ways_out_are_seen() {
    let code = "use crate::{table::{Axis, Cell}, window};\npub use std::{fs::{self, File}, io};\nfn f() { crate::document::x(std::thread::spawn) }";
    let found = paths(code);
    for path in ["crate::table::Axis", "crate::window", "std::fs::self", "crate::document::x", "std::thread::spawn"] {
        assert!(found.contains(path), "{path}: {found:?}");
    }
    assert!(fault("drawing", "crate::window").is_some() && fault("drawing", "crate::compare::Delta").is_some());
    assert!(fault("drawing", "std::fs::File").is_some() && fault("project", "egui::Color32").is_some());
    assert!(fault("project", "std::time::Instant").is_some() && fault("table", "crate::attic::X").is_some());
    assert!(fault("interchange", "std::io::stdin").is_some() && fault("interchange", "std::io::Read").is_none());
    assert!(fault("drawing", "crate::table::Axis").is_none() && fault("window", "egui::Ui").is_none());
    assert!(fault("command_line", "crate::window::run").is_some());
}
