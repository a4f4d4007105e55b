//! Golden files of the window: what a screen reader would read, and pictures of every sheet in every look.
//!
//! `SPARKLOFT_UPDATE=1 cargo test --test all golden` writes them anew; look at the difference before you keep it.

use std::fs;
use std::path::{Path, PathBuf};

use egui_kittest::kittest::{NodeT, Queryable};
use image::RgbaImage;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use software_renderer::{Difference, MOST_OF_A_TILE, difference};
use sparkloft::drawing::Look;
use sparkloft::project::{Parts, ReadyOutput};
use sparkloft::table::Cell;
use sparkloft::window::state::checks_state::{ChecksMessage, FindingKey};
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;
use sparkloft::window::state::selection::CellSelection;

use super::harness::{Window, checked, new_project, pause, sample, window};

fn golden(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/window/golden").join(name)
}

fn is_updating() -> bool {
    std::env::var_os("SPARKLOFT_UPDATE").is_some()
}

/// A sheet with a block selected, as a tuner would leave it.
fn on_sheet(mut window: Window, sheet: Sheet, look: Command) -> Window {
    window.state_mut().ask(Action::Run(look));
    window.state_mut().ask(ScreenMessage::Show(sheet));
    let table = window.state().document().project().advance.table().clone();
    let (loads, speeds) = (table.load().len(), table.speed().len());
    let (from, to) = (Cell::new(loads / 2, speeds / 2), Cell::new(loads / 2 + 1, speeds / 2 + 1));
    window.state_mut().ask(ScreenMessage::Select(CellSelection::block(&table, from, to)));
    window.run();
    settle(&mut window, sheet);
    checked(&mut window);
    window
}

/// Waits for what the sheet computes on a thread.
fn settle(window: &mut Window, sheet: Sheet) {
    let is_ready = |window: &Window| match sheet {
        Sheet::Rig => window.query_by_label_contains("degrees before TDC").is_some(),
        Sheet::Export => window.query_by_label_contains("Comparing the spark").is_none(),
        _ => true,
    };
    for _ in 0..600 {
        if is_ready(window) {
            return;
        }
        pause(window);
        window.run();
    }
    panic!("{} never got ready", sheet.row().name);
}

/// Everything with a name, one line each, indented by its place in the tree.
fn reading(window: &Window) -> String {
    let mut lines = String::new();
    read_node(&window.root(), 0, &mut lines);
    lines
}

fn read_node<'tree>(node: &(impl NodeT<'tree> + 'tree), depth: usize, lines: &mut String) {
    let access = node.accesskit_node();
    let (label, value) = (access.label().unwrap_or_default(), access.value().unwrap_or_default());
    let is_named = !label.is_empty() || !value.is_empty();
    if is_named {
        let rest = [value, if access.is_disabled() { "disabled".into() } else { String::new() }];
        let rest: Vec<&str> = rest.iter().map(String::as_str).filter(|text| !text.is_empty()).collect();
        let rest = if rest.is_empty() { String::new() } else { format!(" [{}]", rest.join("; ")) };
        let indent = "  ".repeat(depth);
        lines.push_str(&format!("{indent}{:?}: {}{rest}\n", access.role(), label.replace('\n', " ")));
    }
    for child in node.children() {
        read_node(&child, depth + usize::from(is_named), lines);
    }
}

#[test]
fn a_screen_reader_reads_every_sheet() {
    let switched = |parts: &mut Parts| {
        parts.outputs = [ReadyOutput::ShiftLight, ReadyOutput::Fan].map(|ready| ready.output(&parts.limits)).to_vec();
    };
    let trial = new_project(4, 3).edit(switched).unwrap();
    for (of, project) in [("", trial), ("wren-four-", sample("wren-four"))] {
        for &sheet in Sheet::ALL {
            let window = on_sheet(window(project.clone()), sheet, Command::LookLight);
            hold_reading_against(&reading(&window), &format!("{of}{sheet:?}.txt").to_lowercase());
        }
    }
}

fn hold_reading_against(text: &str, name: &str) {
    let path = golden(name);
    if is_updating() {
        return fs::write(&path, text).unwrap();
    }
    let expected = fs::read_to_string(&path).unwrap().replace("\r\n", "\n");
    let differing = expected.lines().zip(text.lines()).find(|(before, now)| before != now);
    assert_eq!(differing, None, "{name} reads otherwise");
    assert_eq!(text.lines().count(), expected.lines().count(), "{name} reads otherwise");
}

#[test]
fn every_sheet_looks_as_it_did_in_every_look() {
    let looks =
        [(Look::Light, Command::LookLight), (Look::Dark, Command::LookDark), (Look::Sunlight, Command::LookSunlight)];
    for &sheet in Sheet::ALL {
        for (look, command) in looks {
            let project = sample(if sheet == Sheet::Checks { "wren-four" } else { "tarn-special" });
            let mut window = on_sheet(window(project), sheet, command);
            let bump = FindingKey { id: "stands_out", place: "advance, 3800..3800 rpm, load 18..18".into() };
            window.state_mut().ask(ChecksMessage::LookAt(bump));
            checked(&mut window);
            hold_against(&mut window, &format!("{sheet:?}-{look:?}.png").to_lowercase());
        }
    }
}

/// Holds what the window shows against its golden picture, or makes it that.
pub fn hold_against(window: &mut Window, name: &str) {
    let picture = window.render().unwrap();
    if is_updating() {
        return save_small(&picture, &golden(name));
    }
    let expected = image::open(golden(name)).unwrap().to_rgba8();
    let found = difference(&expected, &picture).unwrap_or_else(|| panic!("{name} has another size"));
    let Difference { of_whole, of_worst_tile, worst_tile: (x, y) } = found;
    assert!(of_whole < 0.002, "{name}: {:.2} % of the pixels differ", of_whole * 100.0);
    let is_close = of_worst_tile <= MOST_OF_A_TILE;
    assert!(is_close, "{name}: at ({x}, {y}) {:.1} % of the pixels of a tile differ", of_worst_tile * 100.0);
}

fn save_small(picture: &RgbaImage, path: &Path) {
    let file = fs::File::create(path).unwrap();
    let encoder = PngEncoder::new_with_quality(file, CompressionType::Best, FilterType::Adaptive);
    image::DynamicImage::from(picture.clone()).to_rgb8().write_with_encoder(encoder).unwrap();
}

#[test]
fn a_word_that_is_missing_is_seen_in_a_large_picture() {
    let whole = RgbaImage::from_pixel(1280, 800, image::Rgba([255; 4]));
    let mut marked = whole.clone();
    for x in 680..688 {
        (400..403).for_each(|y| marked.put_pixel(x, y, image::Rgba([0, 0, 0, 255])));
    }
    let Difference { of_worst_tile, worst_tile, .. } = difference(&whole, &marked).unwrap();
    assert!(of_worst_tile > MOST_OF_A_TILE && worst_tile == (672, 384), "{of_worst_tile} at {worst_tile:?}");
    let none = Difference { of_whole: 0.0, of_worst_tile: 0.0, worst_tile: (0, 0) };
    assert_eq!(difference(&whole, &whole), Some(none));
}
