//! Sizes of the window stand in its theme alone.

use std::fs;
use std::path::{Path, PathBuf};

/// Constants of a size's type that are none of the screen, with the reason.
const NO_SIZES: [(&str, &str, &str); 8] = [
    ("kit/grid/scroll.rs", "ROW_OF_WHEEL", "how fast the wheel scrolls"),
    ("sheets/export/map.rs", "WHEEL", "how fast the wheel brings the detail nearer"),
    ("tasks/rig_files.rs", "PICTURE", "the size of an exported picture, which no look of the window changes"),
    ("tasks/pictures.rs", "SIZE", "the size of a picture on the clipboard, which no look of the window changes"),
    ("tasks/pictures.rs", "SLICE_SIZE", "the size of a picture on the clipboard, which no look of the window changes"),
    ("tasks/pictures.rs", "SCALE", "pixels to a point of a picture on the clipboard"),
    ("tasks/rig_files.rs", "PICTURE_SCALE", "pixels to a point of an exported picture"),
    ("views/surface/pointer.rs", "SCROLL_PER_E", "how fast the wheel zooms"),
];

/// Functions that take lengths.
const LENGTH_CALLS: [&str; 36] = [
    "add_space",
    "allocate_space",
    "circle",
    "circle_filled",
    "circle_stroke",
    "desired_height",
    "desired_width",
    "exact_height",
    "exact_width",
    "expand",
    "expand2",
    "indent",
    "inner_margin",
    "max_height",
    "max_width",
    "min_size",
    "new_line",
    "outer_margin",
    "pos2",
    "rect_filled",
    "rect_stroke",
    "same",
    "set_height",
    "set_max_height",
    "set_max_width",
    "set_min_height",
    "set_min_size",
    "set_min_width",
    "set_width",
    "shrink",
    "shrink2",
    "spacing",
    "splat",
    "symmetric",
    "translate",
    "vec2",
];

/// Functions that take lengths in whole points.
const OF_WHOLE_POINTS: [&str; 4] = ["inner_margin", "outer_margin", "same", "symmetric"];

/// Code about places on the screen contains one of these; a number that is added or subtracted there is a length.
const OF_PLACES: [&str; 16] = [
    ".left()",
    ".right()",
    ".top()",
    ".bottom()",
    ".center()",
    ".width()",
    ".height()",
    ".size()",
    ".left ",
    ".top ",
    ".x ",
    ".y ",
    "..=",
    "theme.",
    "sizes.",
    "SIZES.",
];

/// Numbers that look like lengths but are not, by file and text, with the reason.
const NO_LENGTHS: [(&str, &str, &str); 3] = [
    ("views/form/mod.rs", "(count - 1.0) * FORM_SIZES.column_gap", "one gap less than columns"),
    ("views/form/sections.rs", "count.max(1) as f32 - 1.0", "one gap less than columns"),
    ("workbench/broken_off.rs", "with_size(Vec2::new(1280.0, 800.0))", "the screen of a test"),
];

fn window() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src/window")
}

/// The files of the window but the theme's, by their path within it, without their tests.
fn sources() -> Vec<(String, String)> {
    fn below(folder: &Path, found: &mut Vec<(String, String)>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.strip_prefix(window()).unwrap().to_string_lossy().replace('\\', "/");
            let is_theme = name == "kit/theme" || name == "kit/theme.rs";
            if is_theme {
                continue;
            }
            if path.is_dir() {
                below(&path, found);
            } else if name.ends_with(".rs") && !name.ends_with("tests.rs") {
                let text = fs::read_to_string(&path).unwrap();
                let code = text.split("#[cfg(test)]").next().unwrap_or_default().to_owned();
                found.push((name, code));
            }
        }
    }
    let mut found = Vec::new();
    below(&window(), &mut found);
    found
}

/// The constants in a text whose type is that of a size: `f32`, `Vec2`, or some of them together.
fn constants(code: &str) -> Vec<&str> {
    let after = code.match_indices("const ").map(|(at, word)| &code[at + word.len()..]);
    let declared = after.filter_map(|rest| rest.split_once(": "));
    let named =
        declared.filter(|(name, _)| name.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || c == '_'));
    let is_size = |kind: &str| {
        let kind = kind.trim_start_matches(['(', '[', '&']).trim_start_matches("eframe::").trim_start_matches("egui::");
        ["f32", "Vec2", "Margin", "CornerRadius"].iter().any(|size| kind.starts_with(size))
            || kind.split(" =").next().is_some_and(|name| name.ends_with("Sizes"))
    };
    named.filter(|(_, rest)| is_size(rest)).map(|(name, _)| name).collect()
}

/// The strokes in a text whose width is a number of its own.
fn strokes(code: &str) -> usize {
    let widths = code.match_indices("Stroke::new(").map(|(at, word)| &code[at + word.len()..]);
    widths.filter(|rest| rest.starts_with(|first: char| first.is_ascii_digit())).count()
}

/// The numbers in a text with their positions, except 0 and 0.5, which mean nothing and the middle.
fn numbers(text: &str) -> Vec<(usize, &str)> {
    let is_part = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '.');
    let mut found = Vec::new();
    let mut from = 0;
    while let Some(begins) = text[from..].find(is_part).map(|at| from + at) {
        let ends = text[begins..].find(|c| !is_part(c)).map_or(text.len(), |at| begins + at);
        // A range ends where the number does.
        let word = text[begins..ends].split("..").next().unwrap_or_default();
        let is_number = word.starts_with(|c: char| c.is_ascii_digit());
        if is_number && word.parse::<f64>().is_ok_and(|number| number != 0.0 && number != 0.5) {
            found.push((begins, word));
        }
        from = ends;
    }
    found
}

/// Whether a number is part of a product or quotient: then it is a ratio.
fn is_ratio(text: &str, (at, number): (usize, &str)) -> bool {
    let before = text[..at].trim_end().trim_end_matches('-').trim_end();
    let after = text[at + number.len()..].trim_start();
    before.ends_with(['*', '/']) || after.starts_with(['*', '/'])
}

/// What is inside the bracket that opens just before a position. Inner calls are blanked, as they are examined on their
/// own.
fn arguments(code: &str, from: usize) -> String {
    let (mut own, mut brackets) = (String::new(), vec![false]);
    for character in code[from..].chars() {
        match character {
            '(' | '[' => brackets.push(own.ends_with(|c: char| c.is_alphanumeric() || c == '_')),
            ')' | ']' => _ = brackets.pop(),
            _ => {}
        }
        if brackets.is_empty() {
            break;
        }
        own.push(if brackets.contains(&true) { ' ' } else { character });
    }
    own
}

/// The bare numbers in a text that are lengths: arguments of functions that take lengths, or added to a place.
fn lengths(code: &str) -> Vec<String> {
    let mut found = Vec::new();
    // Whole numbers count things, except in margins.
    let bare = |text: &str, told: &str| -> Vec<String> {
        let is_length = |number: &str| number.contains('.') || OF_WHOLE_POINTS.contains(&told);
        let numbers = numbers(text).into_iter().filter(|number| !is_ratio(text, *number));
        numbers.filter(|(_, number)| is_length(number)).map(|(_, number)| format!("{number} in {told}")).collect()
    };
    for (at, _) in code.match_indices('(') {
        let name = code[..at].rsplit(|c: char| !c.is_alphanumeric() && c != '_').next().unwrap_or_default();
        let is_vec2 = code[..at].ends_with("Vec2::new");
        if LENGTH_CALLS.contains(&name) || is_vec2 {
            found.extend(bare(&arguments(code, at + 1), name));
        }
    }
    for (at, _) in code.match_indices("spacing_mut().") {
        let statement = code[at..].split(';').next().unwrap_or_default();
        if let Some((field, value)) = statement.split_once(" = ") {
            found.extend(bare(value, field));
        }
    }
    let of_places = |line: &&str| OF_PLACES.iter().any(|word| line.contains(word)) && !line.contains("f64");
    for line in code.lines().filter(of_places) {
        let is_added = |(at, _): &(usize, &str)| line[..*at].ends_with("+ ") || line[..*at].ends_with("- ");
        let is_length = |number: &(usize, &str)| number.1.contains('.') && !is_ratio(line, *number);
        let added = numbers(line).into_iter().filter(|number| is_added(number) && is_length(number));
        found.extend(added.map(|(_, number)| format!("{number} in {}", line.trim())));
    }
    found
}

/// The code of a file without comments and exceptions; removes from `unused` the exceptions it met.
fn looked_at(file: &str, code: &str, unused: &mut Vec<(&str, &str)>) -> String {
    let lines = code.lines().map(|line| line.split("//").next().unwrap_or_default());
    let mut code = lines.collect::<Vec<_>>().join("\n");
    for (_, text, _) in NO_LENGTHS.iter().filter(|(of, ..)| *of == file) {
        if code.contains(text) {
            unused.retain(|known| *known != (file, *text));
            code = code.replace(text, "");
        }
    }
    code
}

#[test]
fn bare_lengths_are_seen() {
    let seen = |code: &str| lengths(code).len();
    let bare = [
        "ui.add_space(4.0)",
        "ui.add_space(theme.gap + 2.0)",
        "pos + vec2(SIZE, -1.0)",
        "Margin::symmetric(14, 0)",
        "frame.inner_margin(8)",
        "ui.spacing_mut().item_spacing.y = 3.0;",
        "Rect::from_min_size(rect.min, size(rect.right() - 3.0))",
        "painter.hline(x..=x + 4.0, y, ink)",
        "Grid::new(name).spacing([8.0, GAP])",
    ];
    for code in bare {
        assert!(seen(code) > 0, "{code}");
    }
    let none = [
        "ui.add_space(theme.gap / 2.0)",
        "ui.add_space(1.5 * theme.gap)",
        "pos2(rect.left(), 0.5)",
        "painter.circle_filled(at(0.82), height * 0.07, paper)",
        "Scale::new(0.0, 100.0 + 4.0)",
        "vec2(WIDTH, 0.0)",
        "pos2(rect.left() + (index + 1) as f32 * width, top)",
        "edit.desired_width(f32::INFINITY)",
        "(0.0..=30.0).contains(&deg)",
    ];
    for code in none {
        assert_eq!(seen(code), 0, "{code}: {:?}", lengths(code));
    }
}

#[test]
fn lengths_stand_in_the_theme_alone() {
    let mut unused: Vec<(&str, &str)> = NO_LENGTHS.iter().map(|&(file, text, _)| (file, text)).collect();
    let mut found = Vec::new();
    for (file, code) in &sources() {
        let code = looked_at(file, code, &mut unused);
        found.extend(lengths(&code).iter().map(|length| format!("{file}: {length}")));
    }
    assert!(found.is_empty(), "these belong into src/window/kit/theme/: {found:#?}");
    assert!(unused.is_empty(), "nothing is excepted by {unused:?} any more");
}

#[test]
fn constants_and_strokes_are_seen() {
    let code = "const A: f32 = 1.0; pub const B_2: (f32, f32) = (1.0, 2.0); const C: egui::Vec2 = vec2(1.0, 1.0);\n\
                const D: f64 = 2.0; const E: [f32; 2] = [1.0; 2]; const fn f(x: f32) {} const S: XSizes = XSizes {};\n\
                Stroke::new(1.0, ink); Stroke::new(WIDTH, ink)";
    assert_eq!(constants(code), ["A", "B_2", "C", "E", "S"]);
    assert_eq!(strokes(code), 1);
}

#[test]
fn sizes_stand_in_the_theme_alone() {
    let mut unused: Vec<(&str, &str)> = NO_SIZES.iter().map(|&(file, name, _)| (file, name)).collect();
    let mut found = Vec::new();
    for (file, code) in &sources() {
        for name in constants(code) {
            let before = unused.len();
            unused.retain(|known| *known != (file.as_str(), name));
            if unused.len() == before {
                found.push(format!("{file}: {name}"));
            }
        }
        let strokes = strokes(code);
        if strokes > 0 {
            found.push(format!("{file}: {strokes} strokes with a width of their own"));
        }
    }
    assert!(found.is_empty(), "these belong into src/window/kit/theme/: {found:#?}");
    assert!(unused.is_empty(), "nothing is excepted by {unused:?} any more");
}
