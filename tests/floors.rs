//! The floors of the house: which room may use which, read from the paths in the code.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Every room with its floor. A room may use the rooms on floors below its own.
const ROOMS: &[(&str, u8)] = &[
    ("table", 0),
    ("lettering", 0),
    ("wording", 0),
    ("watch", 0),
    ("project", 1),
    ("spark", 2),
    ("rig", 2),
    ("shaping", 2),
    ("worksheet", 2),
    ("combustion", 2),
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
    ("worksheet", "combustion"),
    ("worksheet", "shaping"),
    ("setup_sheet", "checks"),
    ("setup_sheet", "picture"),
];
/// The window's own floors, told from those of the house by 'w'.
const WINDOW_ROOMS: &[(&str, u8)] =
    &[("state", 0), ("tasks", 1), ("kit", 2), ("views", 3), ("sheets", 4), ("frame", 5), ("workbench", 6)];
/// Up to this floor everything is a pure function: same input, same bytes out.
const HIGHEST_PURE: u8 = 4;
/// What no pure function needs.
const IMPURE: [&str; 9] =
    ["std::fs", "std::thread", "std::time", "std::env", "std::net", "std::process", "std::io::std", "jiff", "log"];
/// What touches files or starts threads: in the window only tasks may do that, and so never in the frame.
const OFF_THE_FRAME: [&str; 10] = [
    "std::fs",
    "std::thread",
    "canonicalize(",
    ".exists()",
    ".metadata()",
    "read_dir(",
    "read_bounded(",
    "write_file(",
    ".check_disk(",
    "Recovery::new(",
];
/// What goes before the first frame and after the last, a trace that only who develops asks for, and a test.
const BESIDE_THE_FRAMES: [&str; 3] = ["workbench/desktop.rs", "workbench/trace.rs", "workbench/broken_off.rs"];
/// Libraries of the window.
const OF_THE_WINDOW: [&str; 5] = ["egui", "eframe", "rfd", "notify", "egui_plot"];
/// Names without a meaning.
const NO_NAMES: [&str; 6] = ["utils", "common", "helpers", "types", "misc", "core"];

/// A source file of a room, without comments.
pub(super) struct Source {
    room: String,
    pub(super) path: PathBuf,
    pub(super) code: String,
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

pub(super) fn sources() -> Vec<Source> {
    let mut sources = Vec::new();
    for room in entries(&root().join("src")).into_iter().filter(|path| path.is_dir()) {
        for path in below(&room).into_iter().filter(|path| path.extension().is_some_and(|ending| ending == "rs")) {
            let code = without_comments(&fs::read_to_string(&path).unwrap());
            sources.push(Source { room: stem(&room), path, code });
        }
    }
    sources
}

/// The code before the module of tests, in which one parent more leads out of the file.
pub(super) fn without_tests(code: &str) -> &str {
    let begins = code.match_indices("#[cfg(test)]\nmod ").find(|(start, _)| {
        let line = code[*start..].lines().nth(1).unwrap_or_default();
        // A file of tests is only named here.
        line.ends_with('{')
    });
    begins.map_or(code, |(start, _)| &code[..start])
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
        let mut leaves = Vec::new();
        undo_braces("", import, &mut leaves);
        found.extend(leaves.into_iter().map(|(path, _)| path));
    }
    found
}

fn is_start(code: &str, at: usize) -> bool {
    code[..at].chars().next_back().is_none_or(|before| before.is_whitespace())
}

/// Every path of an import, with the name it has here.
fn undo_braces(prefix: &str, import: &str, found: &mut Vec<(String, String)>) {
    let import = import.trim();
    let Some((head, inner)) = import.split_once('{') else {
        let mut words = import.split_whitespace();
        let path = words.next().unwrap_or_default();
        let name = words.nth(1).unwrap_or_else(|| path.rsplit("::").next().unwrap_or_default());
        found.push((format!("{prefix}{path}"), name.to_owned()));
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

/// A module of the window by its file: 'window::views::grid' of 'src/window/views/grid/mod.rs'.
fn module_of(path: &Path) -> Vec<String> {
    let below_src = path.strip_prefix(root().join("src")).unwrap().with_extension("");
    let mut parts: Vec<String> = below_src.iter().map(|part| part.to_string_lossy().into_owned()).collect();
    if parts.last().is_some_and(|last| last == "mod") {
        parts.pop();
    }
    parts
}

/// The parts of a path from the crate's root, when it is one of the crate: parents are counted off, `self` stays.
fn from_root(module: &[String], path: &str) -> Option<Vec<String>> {
    let parts: Vec<&str> = path.split("::").collect();
    let parents = parts.iter().take_while(|part| **part == "super").count();
    let (base, rest) = match parts.first() {
        Some(&("crate" | "sparkloft")) => (&module[..0], &parts[1..]),
        Some(&"self") => (module, &parts[1..]),
        Some(&"super") => (&module[..module.len().saturating_sub(parents)], &parts[parents..]),
        _ => return None,
    };
    Some(base.iter().cloned().chain(rest.iter().map(|part| (*part).to_owned())).collect())
}

/// What is wrong with a path named in the window: it leads up, or from one sheet to another.
fn window_fault(module: &[String], path: &str) -> Option<String> {
    let named = from_root(module, path)?;
    let [room, other] = [module, &named].map(|parts| parts.get(1).map(String::as_str).unwrap_or_default());
    let floor = |room: &str| WINDOW_ROOMS.iter().find(|(name, _)| *name == room).map(|(_, floor)| *floor);
    if named.first().is_none_or(|first| first != "window") || module.len() < 2 {
        return None;
    }
    let (own, others) = (floor(room)?, floor(other));
    let Some(others) = others else {
        // The whole window may be named to say how far something is seen.
        return (named.len() > 1).then(|| format!("'{path}' leads to the window's door"));
    };
    let is_other_sheet =
        room == "sheets" && other == "sheets" && module.len() > 2 && named.len() > 2 && module[2] != named[2];
    match () {
        () if others > own => Some(format!("'{path}' leads up: {other} is on floor w{others}, {room} on w{own}")),
        () if is_other_sheet => Some(format!("'{path}' leads from one sheet to another")),
        () => None,
    }
}

#[test]
fn every_room_of_the_window_uses_only_rooms_below() {
    let (mut faults, mut seen) = (Vec::new(), BTreeSet::new());
    for Source { path, code, .. } in sources().into_iter().filter(|source| source.room == "window") {
        let module = module_of(&path);
        seen.extend(module.get(1).cloned());
        let named = paths(without_tests(&code));
        faults.extend(
            named
                .iter()
                .filter_map(|named| window_fault(&module, named))
                .map(|fault| format!("{}: {fault}", path.display())),
        );
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    let rooms: BTreeSet<String> = WINDOW_ROOMS.iter().map(|(name, _)| (*name).to_owned()).collect();
    assert_eq!(seen, rooms, "the folders of the window are its rooms");
}

#[test]
fn ways_up_in_the_window_are_seen() {
    let module = |text: &str| -> Vec<String> { text.split("::").map(str::to_owned).collect() };
    let fault = |text: &str, path: &str| window_fault(&module(text), path);
    assert!(fault("window::state::screen", "crate::window::views::view::View").is_some());
    assert!(fault("window::kit::marks", "super::super::frame::rail").is_some());
    assert!(fault("window::sheets::rig::header", "crate::window::sheets::trims::words").is_some());
    assert!(fault("window::sheets::rig::header", "super::super::trims::words").is_some());
    assert!(fault("window::sheets::rig::header", "super::words").is_none());
    assert!(fault("window::frame::rail", "crate::window::sheets::rig::RigSheet").is_none());
    assert!(
        fault("window::views::hold", "crate::window").is_none()
            && fault("window::views::hold", "crate::table::Axis").is_none()
    );
    assert!(fault("window::views::hold", "crate::window::Workbench").is_some());
}

/// Modules that may use each other in a circle, at most.
const LARGEST_CIRCLE: usize = 3;

/// The modules of the crate, and where each of the names that it passes on comes from.
struct House {
    modules: BTreeMap<Vec<String>, String>,
    passed_on: BTreeMap<(Vec<String>, String), Vec<String>>,
}

impl House {
    fn new() -> Self {
        let mut modules = BTreeMap::new();
        for Source { path, code, .. } in sources() {
            modules.insert(module_of(&path), without_tests(&code).to_owned());
        }
        let mut house = Self { modules, passed_on: BTreeMap::new() };
        for (module, code) in house.modules.clone() {
            for (path, name) in
                imports(&code).into_iter().filter(|import| import.is_passed_on).flat_map(|import| import.leaves)
            {
                if let Some(from) = house.full(&module, &path) {
                    house.passed_on.insert((module.clone(), name), from);
                }
            }
        }
        house
    }

    /// A path from the crate's root; children are named without a word before them.
    fn full(&self, module: &[String], path: &str) -> Option<Vec<String>> {
        let first = path.split("::").next().unwrap_or_default();
        let child = [module, &[first.to_owned()]].concat();
        if self.modules.contains_key(&child) {
            return Some(module.iter().cloned().chain(path.split("::").map(str::to_owned)).collect());
        }
        from_root(module, path)
    }

    /// The module in which what a path names is at home, followed through whoever passes it on.
    fn home(&self, full: &[String]) -> Option<Vec<String>> {
        let mut full = full.to_vec();
        for _ in 0..8 {
            let long = (1..=full.len()).rev().find(|&long| self.modules.contains_key(&full[..long]))?;
            let module = full[..long].to_vec();
            let next = full.get(long).and_then(|name| self.passed_on.get(&(module.clone(), name.clone())));
            let Some(next) = next else { return Some(module) };
            full = [next.as_slice(), full.get(long + 1..).unwrap_or_default()].concat();
        }
        None
    }

    /// Which modules each uses. That a module passes on what is its child's is no use of it.
    fn uses(&self) -> BTreeMap<&Vec<String>, BTreeSet<Vec<String>>> {
        let of = |(module, code): (&Vec<String>, &String)| -> BTreeSet<Vec<String>> {
            let mut rest = code.clone();
            let mut used = BTreeSet::new();
            for import in imports(code) {
                rest = rest.replacen(&import.text, "", 1);
                let homes = import
                    .leaves
                    .iter()
                    .filter_map(|(path, _)| self.home(&self.full(module, path.trim_end_matches("::self"))?));
                used.extend(homes.filter(|home| !(import.is_passed_on && home.starts_with(module))));
            }
            let rest = without_reach(&rest);
            used.extend(paths(&rest).iter().filter_map(|path| self.home(&from_root(module, path)?)));
            used.remove(module);
            used
        };
        self.modules.iter().map(|entry| (entry.0, of(entry))).collect()
    }
}

/// A `use`: its whole text, whether it passes names on, and its paths.
struct Import {
    text: String,
    is_passed_on: bool,
    leaves: Vec<(String, String)>,
}

fn imports(code: &str) -> Vec<Import> {
    let starts = code.match_indices("use ").filter(|(start, _)| is_start(code, *start));
    let import = |(start, _): (usize, &str)| {
        let text = code[start..].split(';').next().unwrap().to_owned();
        let line = code[..start].rsplit('\n').next().unwrap_or_default().trim();
        let mut leaves = Vec::new();
        undo_braces("", &text[4..], &mut leaves);
        Import { text, is_passed_on: line.starts_with("pub"), leaves }
    };
    starts.map(import).collect()
}

/// The code without 'pub(in …)': how far something is seen is no use of what is named there.
fn without_reach(code: &str) -> String {
    let mut parts = code.split("pub(in ");
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |kept, part| kept + part.split_once(')').map_or("", |(_, rest)| rest))
}

#[test]
fn only_tasks_touch_files_and_threads() {
    let in_window =
        |source: &Source| source.room == "window" && !source.path.components().any(|part| part.as_os_str() == "tasks");
    let is_on_frame = |source: &Source| !BESIDE_THE_FRAMES.iter().any(|path| source.path.ends_with(path));
    for source in sources().iter().filter(|source| in_window(source) && is_on_frame(source)) {
        let found = OFF_THE_FRAME.iter().find(|name| without_tests(&source.code).contains(**name));
        assert!(found.is_none(), "{found:?} in {}", source.path.display());
    }
}

#[test]
fn no_circle_of_modules_is_large() {
    let house = House::new();
    let uses = house.uses();
    let reached = |start: &Vec<String>| {
        let (mut seen, mut open) = (BTreeSet::new(), vec![start.clone()]);
        while let Some(module) = open.pop() {
            let next = uses.get(&module).into_iter().flatten();
            open.extend(next.filter(|next| seen.insert((*next).clone())).cloned());
        }
        seen
    };
    let reach: BTreeMap<&Vec<String>, BTreeSet<Vec<String>>> =
        uses.keys().map(|module| (*module, reached(module))).collect();
    assert!(reach.len() > 400 && reach.values().any(|reached| reached.len() > 100), "the uses are not seen");
    for (module, reached) in &reach {
        let circle: Vec<String> =
            reached.iter().filter(|other| reach[other].contains(*module)).map(|other| other.join("::")).collect();
        assert!(circle.len() <= LARGEST_CIRCLE, "a circle of {}: {}", circle.len(), circle.join(", "));
    }
}

/// The last type between the brackets that open at the start of a text.
fn last_argument(text: &str) -> &str {
    let (mut depth, mut from) = (0, 1);
    for (at, character) in text.char_indices() {
        match character {
            '<' | '(' | '[' => depth += 1,
            '>' | ')' | ']' => depth -= 1,
            ',' if depth == 1 => from = at + 1,
            _ => {}
        }
        if depth == 0 {
            return text[from..at].trim();
        }
    }
    ""
}

/// Callers can act on an error: it is never a bare text.
#[test]
fn errors_are_types() {
    assert_eq!(last_argument("<Vec<(A, B)>, String> {"), "String");
    assert_eq!(last_argument("<String, Fault>"), "Fault");
    for source in sources() {
        let code = without_tests(&source.code);
        let mut results = code.match_indices("Result<").map(|(at, word)| &code[at + word.len() - 1..]);
        assert!(results.all(|rest| last_argument(rest) != "String"), "{}", source.path.display());
    }
}

/// Parents are a way out of a room, too.
#[test]
fn no_room_leaves_by_the_parent() {
    for Source { room, path, code } in sources() {
        let own: Vec<String> = below(&root().join("src").join(&room)).iter().map(|path| stem(path)).collect();
        let others = ROOMS.iter().map(|(name, _)| *name).filter(|name| !own.iter().any(|own| own == name));
        let ways = paths(&code);
        for other in others.filter(|name| *name != room) {
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
