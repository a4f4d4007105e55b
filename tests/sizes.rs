//! Sizes of the window stand in its theme alone.

use std::fs;
use std::path::{Path, PathBuf};

/// Constants of a size's type that are none of the screen, with the reason.
const NO_SIZES: [(&str, &str, &str); 5] = [
    ("kit/grid/scroll.rs", "ROW_OF_WHEEL", "how fast the wheel scrolls"),
    ("sheets/export/map.rs", "WHEEL", "how fast the wheel brings the detail nearer"),
    ("tasks/rig_files.rs", "PICTURE", "the size of an exported picture, which no look of the window changes"),
    ("tasks/rig_files.rs", "PICTURE_SCALE", "pixels to a point of an exported picture"),
    ("views/surface/pointer.rs", "SCROLL_PER_E", "how fast the wheel zooms"),
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
