//! The Export sheet by names, clicks and keys: writing, reading, comparing, what the image does not hold.

use std::path::{Path, PathBuf};

use eframe::egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT, Queryable};
use sparkloft::image::{OnMismatch, decode, encode, read_file};
use sparkloft::project::{CoveredHow, Project, StartingLayout, set_fields};
use sparkloft::window::Surroundings;
use sparkloft::window::state::commands::Command;
use sparkloft::window::state::edits::DocumentEdit;
use sparkloft::window::state::engine_state::EngineMessage;
use sparkloft::window::state::export_state::{ExportMessage, Part, Shown};
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::screen::ScreenMessage;
use sparkloft::window::state::screen::Sheet;

use super::frame::{Place, click, has, notice};
use super::frame_files::{answering, run, wait_until};
use super::harness::{Window, new_project, sample, window};

pub(super) fn change(window: &mut Window, message: impl Into<Action>) {
    window.state_mut().ask(message);
    window.run_ok();
}

pub(super) fn opened(project: Project) -> Window {
    let mut window = window(project);
    change(&mut window, ScreenMessage::Show(Sheet::Export));
    window
}

/// A window whose file dialogs answer with a path.
fn answered(place: &Place, path: PathBuf) -> Window {
    let surroundings = Surroundings { chooser: answering(path), ..place.surroundings() };
    let mut window = place.window(place.untitled(), surroundings);
    change(&mut window, ScreenMessage::Show(Sheet::Export));
    window
}

pub(super) fn project(window: &Window) -> Project {
    window.state().document().project().clone()
}

pub(super) fn address_of(window: &Window, name: &str) -> u32 {
    project(window).image.items.iter().find(|item| item.name == name).unwrap().address
}

pub(super) fn part(window: &Window) -> Part {
    window.state().screen().export.part
}

pub(super) fn click_containing(window: &mut Window, label: &str) {
    window.query_all_by_label_contains(label).next().unwrap_or_else(|| panic!("no '{label}'")).click();
    window.run_ok();
}

pub(super) fn select(window: &mut Window, name: &str) {
    let place = project(window).image.items.iter().position(|item| item.name == name).unwrap();
    change(window, ExportMessage::Select(Part::Item(place), None));
}

pub(super) fn last_step(window: &Window) -> String {
    window.state().document().steps().last().unwrap().label.clone()
}

pub(super) fn type_over(window: &mut Window, label: &str, text: &str) {
    click(window, label);
    window.key_press_modifiers(Modifiers::COMMAND, Key::A);
    window.run_ok();
    if text.is_empty() {
        window.key_press(Key::Backspace);
    } else {
        window.get_by_label(label).type_text(text);
    }
    window.run_ok();
    window.key_press(Key::Enter);
    window.run_ok();
}

fn flip(path: &Path, at: usize) {
    let mut bytes = std::fs::read(path).unwrap();
    bytes[at] = if bytes[at] == b'0' { b'1' } else { b'0' };
    std::fs::write(path, bytes).unwrap();
}

#[test]
fn from_a_ready_made_layout_to_a_verified_file_and_a_damaged_one_refused() {
    let place = Place::new();
    let path = place.path("unit.hex");
    let mut window = answered(&place, path.clone());
    click(&mut window, "Start from…");
    click(&mut window, "8-bit compact");
    assert_eq!(last_step(&window), "Start the image from the layout '8-bit compact'");
    assert_eq!(project(&window).image, StartingLayout::Compact.layout(project(&window).sensors.load));

    select(&mut window, "zero_offset");
    type_over(&mut window, "Item address", "1800");
    assert_eq!((address_of(&window, "zero_offset"), last_step(&window)), (0x1800, "Move 'zero_offset' to 1800".into()));

    let buttons = ["Write…", "Table as CSV…", "Setup sheet (PDF)…", "Letter…"];
    let places = |window: &Window| buttons.map(|name| window.get_by_label(name).rect());
    let before = places(&window);
    click(&mut window, "Write…");
    wait_until(&mut window, |window| window.state().screen().export.written.is_some());
    assert_eq!(places(&window), before, "no button moves when something is told");
    let image = encode(&project(&window)).unwrap();
    assert_eq!(read_file(&std::fs::read(&path).unwrap(), &project(&window)).unwrap().bytes, image.bytes);
    assert!(place.path("unit.a2l").exists());
    let sum = image.checksum_words(&project(&window));
    assert!(has(&window, "Written and read back") && has(&window, &format!("Checksum {sum}")));
    assert!(has(&window, "Nothing has changed since."), "{}", notice(&window));
    assert_eq!(last_step(&window), format!("Export unit.hex, {sum}"));
    let last = project(&window).last_export.clone().unwrap();
    assert_eq!((last.file_name.as_str(), last.checksum.as_str()), ("unit.hex", sum.as_str()));
    assert_eq!(last.written_at, "2026-01-01T12:00:00Z");
    assert_eq!(last.state, project(&window).as_state());

    click(&mut window, "Compare with a file…");
    wait_until(&mut window, |window| window.state().screen().export.compared.is_some());
    assert!(has(&window, "unit.hex: Intel HEX, the same in every number"));

    // The first data byte of the third line.
    let third = std::fs::read_to_string(&path).unwrap().lines().take(2).map(|line| line.len() + 1).sum::<usize>();
    flip(&path, third + 9);
    click(&mut window, "Compare again");
    wait_until(&mut window, |window| has(window, "line 3: "));
    assert!(notice(&window).starts_with("line 3: ") && notice(&window).ends_with("unit.hex"), "{}", notice(&window));
    run(&mut window, Command::ReadImage);
    wait_until(&mut window, |window| has(window, "Problem: line 3: "));
    assert!(has(&window, "Nothing was changed.") && !has(&window, "Read it despite"));
}

#[test]
fn files_beside_the_one_chosen_are_replaced_only_when_asked() {
    let place = Place::new();
    std::fs::write(place.path("unit.a2l"), "mine").unwrap();
    let mut window = answered(&place, place.path("unit.hex"));
    click(&mut window, "Write…");
    wait_until(&mut window, |window| has(window, "There already: unit.a2l. Replace?"));
    assert!(!place.path("unit.hex").exists());
    click(&mut window, "Cancel");
    assert_eq!(std::fs::read_to_string(place.path("unit.a2l")).unwrap(), "mine");
    click(&mut window, "Write…");
    wait_until(&mut window, |window| has(window, "There already: unit.a2l. Replace?"));
    click(&mut window, "Replace");
    wait_until(&mut window, |window| window.state().screen().export.written.is_some());
    assert!(std::fs::read_to_string(place.path("unit.a2l")).unwrap().contains("ASAP2_VERSION"));
}

#[test]
fn every_format_chosen_is_written() {
    let place = Place::new();
    let mut window = answered(&place, place.path("a.hex"));
    click(&mut window, "S-record");
    click(&mut window, "Type of S-records: s28");
    click(&mut window, "Raw binary (.bin)");
    click(&mut window, "Bytes in a record: 32");
    click(&mut window, "Write…");
    wait_until(&mut window, |window| window.state().screen().export.written.is_some());
    let image = encode(&project(&window)).unwrap();
    for name in ["a.hex", "a.s28", "a.bin"] {
        let bytes = std::fs::read(place.path(name)).unwrap();
        assert_eq!(read_file(&bytes, &project(&window)).unwrap().bytes, image.bytes, "{name}");
    }
    assert!(std::fs::read_to_string(place.path("a.s28")).unwrap().contains("\nS224"));
    window.state_mut().ask(Action::Run(Command::Undo));
    window.run_ok();
    assert!(project(&window).last_export.is_none(), "one step");
}

#[test]
fn a_file_that_cannot_be_written_is_told_and_nothing_remembered() {
    let place = Place::new();
    let mut window = answered(&place, place.path("no/unit.hex"));
    click(&mut window, "Write…");
    wait_until(&mut window, |window| notice(window).starts_with("The image was not exported: "));
    assert!(project(&window).last_export.is_none() && window.state().document().steps().len() == 1);
}

#[test]
fn an_image_is_looked_at_before_its_values_are_taken_over() {
    let place = Place::new();
    let path = place.path("other.bin");
    let own = sample("tarn-special");
    let other = set_fields(&own, &[("trigger.zero_offset_deg", "3"), ("advance.deg[4][4]", "11")]).unwrap();
    let bytes = encode(&other).unwrap().bytes;
    std::fs::write(&path, &bytes).unwrap();
    let mut window = answered(&place, path.clone());
    click(&mut window, "Read an image…");
    wait_until(&mut window, |window| has(window, "1 cells of the table and 1 other fields differ"));
    assert!(has(&window, "trigger.zero_offset_deg"));
    click(&mut window, "Take over");
    assert_eq!(last_step(&window), "Read the image other.bin");
    let expected = decode(&bytes, &own, OnMismatch::Refuse).unwrap().project;
    assert_eq!(project(&window), expected);

    let mut damaged = bytes.clone();
    let at = (address_of(&window, "advance") - own.image.start) as usize + 1;
    damaged[at] ^= 1;
    std::fs::write(&path, &damaged).unwrap();
    click(&mut window, "Read an image…");
    wait_until(&mut window, |window| has(window, "Problem: the checksum"));
    click(&mut window, "Read it despite the wrong checksum");
    wait_until(&mut window, |window| has(window, "accepted as asked"));
    click(&mut window, "Take over");
    assert_eq!(project(&window), decode(&damaged, &expected, OnMismatch::Accept).unwrap().project);
}

#[test]
fn what_differs_in_a_file_is_listed_and_marked() {
    let place = Place::new();
    let path = place.path("old.bin");
    let other = set_fields(&sample("tarn-special"), &[("advance.deg[2][3]", "9")]).unwrap();
    std::fs::write(&path, encode(&other).unwrap().bytes).unwrap();
    let mut window = answered(&place, path);
    run(&mut window, Command::CompareImage);
    wait_until(&mut window, |window| window.state().screen().export.compared.is_some());
    assert!(has(&window, "old.bin: raw binary, 1 numbers differ"));
    assert_eq!(window.state().screen().export.shown, Shown::Comparison);
    click_containing(&mut window, "file 9°");
    let cell = project(&window).advance.table().values()[2 * 16 + 3];
    assert!(has(&window, &format!("{cell}° (raw")), "the number selected is told");
}

#[test]
fn a_locked_copy_is_marked_in_name_and_sheet() {
    let locked = sample("wren-four").locked_timing(12.0).unwrap();
    let window = opened(locked);
    assert!(has(&window, "LOCKED TIMING 12°") && has(&window, "Never drive with it"));
    let name = window.get_by_label("Name of the files").accesskit_node().value().unwrap();
    assert!(name.contains("LOCKED") || name.contains("locked-timing-12"), "{name}");
}

#[test]
fn losses_are_warned_of_and_lead_to_their_place() {
    let lossy = set_fields(&sample("tarn-special"), &[("advance.deg[5][6]", "21.37")]).unwrap();
    let mut window = opened(lossy);
    click_containing(&mut window, "Warning: 'advance': rounding changes 1 of 256 values");
    let place = project(&window).image.items.iter().position(|item| item.name == "advance").unwrap();
    assert_eq!(part(&window), Part::Item(place));
    let at = u64::from(address_of(&window, "advance")) + 2 * (5 * 16 + 6);
    assert_eq!(window.state().screen().export.byte, Some(at));
}

#[test]
fn the_setup_sheet_is_written_from_here() {
    let place = Place::new();
    let mut window = answered(&place, place.path("car.pdf"));
    click(&mut window, "Setup sheet (PDF)…");
    wait_until(&mut window, |window| notice(window).starts_with("Wrote the setup sheet car.pdf"));
    assert!(std::fs::read(place.path("car.pdf")).unwrap().starts_with(b"%PDF"));
}

#[test]
fn the_setup_sheet_comes_on_letter_paper_by_command_and_button() {
    let place = Place::new();
    let mut window = answered(&place, place.path("car.pdf"));
    let mut written = Vec::new();
    for by_button in [false, true] {
        if by_button {
            click(&mut window, "Letter…");
        } else {
            run(&mut window, Command::SetupSheetLetter);
        }
        wait_until(&mut window, |window| notice(window).starts_with("Wrote the setup sheet car.pdf"));
        let pdf = std::fs::read(place.path("car.pdf")).unwrap();
        // 8.5 × 11 inches of 72 points.
        assert!(String::from_utf8_lossy(&pdf).contains("612 792"));
        written.push(pdf);
        change(&mut window, ScreenMessage::Tell(None));
        std::fs::remove_file(place.path("car.pdf")).unwrap();
    }
    assert_eq!(written[0], written[1]);
}

#[test]
fn the_degree_strip_is_drawn_as_the_worksheet_has_it() {
    use sparkloft::window::state::engine_state::Page;
    use sparkloft::window::state::screen::Sheet;
    use sparkloft::worksheet::Strip;

    let place = Place::new();
    let mut window = answered(&place, place.path("strip.svg"));
    window.state_mut().ask(ScreenMessage::Show(Sheet::Engine));
    change(&mut window, EngineMessage::Open(Page::TrueTdc));
    type_over(&mut window, "Pulley diameter", "142");
    type_over(&mut window, "Last degree of the strip before TDC", "40");
    click(&mut window, "Degree strip (SVG)…");
    wait_until(&mut window, |window| notice(window).starts_with("Wrote the degree strip strip.svg"));
    let svg = std::fs::read_to_string(place.path("strip.svg")).unwrap();
    assert_eq!(svg, Strip::new(142.0, -10, 40).unwrap().svg());

    type_over(&mut window, "Last degree of the strip before TDC", "-20");
    assert!(window.get_by_label("Degree strip (SVG)…").accesskit_node().is_disabled());
    run(&mut window, Command::DegreeStrip);
    assert!(notice(&window).contains("the strip's last degree is not above its first"), "{}", notice(&window));
}

#[test]
fn what_the_image_does_not_hold_is_listed_ticked_and_added() {
    let first = new_project(8, 8).edit(|parts| parts.image.items.truncate(17)).unwrap();
    let mut window = opened(first);
    wait_until(&mut window, |window| has(window, "of the project not in the image and not ticked as set in the unit."));
    change(&mut window, ExportMessage::Show(Shown::Unit));
    wait_until(&mut window, |window| has(window, "The unit's spark differs from the project's by at most"));
    assert!(has(&window, "partly in the image; by hand: Coolant trim on: yes"));
    click(&mut window, "Coolant trim: set in the unit");
    assert!(project(&window).image.coverage.coolant_trim.set);
    assert_eq!(last_step(&window), "Coolant trim: set in the unit");
    type_over(&mut window, "Coolant trim: note on the unit", "switch 2");
    assert_eq!(project(&window).image.coverage.coolant_trim.note, "switch 2");
    click(&mut window, "Air trim, how the unit has it: in the table");
    let air = &project(&window).image.coverage.air_trim;
    assert_eq!((air.how, air.at_c), (CoveredHow::InTable, Some(50.0)));
    wait_until(&mut window, |window| has(window, "Folded into the exported cells: most "));
    click(&mut window, "Air trim, how the unit has it: image or hand");
    click(&mut window, "Add what is missing");
    assert!(last_step(&window).ends_with("to the image"), "{}", last_step(&window));
    wait_until(&mut window, |window| has(window, "In the project, not in the image: nothing"));
}

#[test]
fn an_image_with_open_errors_needs_a_reason() {
    let place = Place::new();
    let mut window = answered(&place, place.path("unit.hex"));
    let steep = [("advance.deg[3][3]", "75"), ("limits.clamp.ceiling_deg", "80")];
    let steep = steep.map(|(path, value)| (path.to_owned(), value.to_owned()));
    window.state_mut().ask(Action::Edit("Spoil a cell".into(), DocumentEdit::SetFields(steep.into())));
    window.run_ok();
    wait_until(&mut window, |window| has(window, "an image is written only with a reason."));
    click(&mut window, "Write…");
    assert!(!place.path("unit.hex").exists());
    type_over(&mut window, "Reason for writing despite open errors", "bench unit");
    click(&mut window, "Write…");
    wait_until(&mut window, |window| window.state().screen().export.written.is_some());
    let last = project(&window).last_export.clone().unwrap();
    assert_eq!(last.despite_errors.as_deref(), Some("bench unit"));
}

#[test]
fn the_files_to_write_stand_first_with_their_sizes_and_what_they_replace() {
    let place = Place::new();
    let path = place.path("tarn.ron");
    std::fs::write(&path, sparkloft::project::write(&sample("tarn-special")).unwrap()).unwrap();
    let document = sparkloft::document::Document::open_in(&place.data(), &path).unwrap();
    let mut window =
        place.window(document, Surroundings { chooser: answering(place.path("x.hex")), ..place.surroundings() });
    change(&mut window, ScreenMessage::Show(Sheet::Export));
    let name = window.get_by_label("Name of the files").accesskit_node().value().unwrap();
    let size = |format| {
        let image = encode(&sample("tarn-special")).unwrap();
        sparkloft::image::output(&sample("tarn-special"), &image, format, sparkloft::image::RecordWidth::Sixteen)
            .unwrap()
            .bytes
            .len()
    };
    let hex = format!("{name}.hex, {} bytes", size(sparkloft::image::OutputFormat::IntelHex));
    let description = format!("{name}.a2l, {} bytes", size(sparkloft::image::OutputFormat::Description));
    window.get_by_label(&hex);
    window.get_by_label(&description);
    wait_until(&mut window, |window| has(window, "Nothing is replaced in the project's folder"));
    std::fs::write(place.path(&format!("{name}.a2l")), "mine").unwrap();
    click(&mut window, "Raw binary (.bin)");
    wait_until(&mut window, |window| has(window, "1 file is in the project's folder"));
    window.get_by_label(&format!("{description}, is there already"));
    window.get_by_label(&hex);
    window.get_by_label(&format!("{name}.bin, {} bytes", project(&window).image.size));
    // It stands before everything else on the sheet.
    let write = window.get_by_label("Write…").rect();
    for other in ["Image for the flashing tool", "Add…", "Show bytes"] {
        assert!(window.query_all_by_label_contains(other).all(|node| node.rect().left() > write.right()), "{other}");
    }
}
