//! What is about to be written: name, files, the caution, formats; below it the warnings, and what was written and read back.

use eframe::egui::{
    self, Align, Label, Layout, Rect, RichText, Role, ScrollArea, Sense, TextEdit, UiBuilder, WidgetInfo, vec2,
};

use super::in_unit::{self, UnitKeeper};
use super::kept::Kept;
use super::planned::{Planned, PlannedFile};
use crate::checks::{Severity, relaxed_words};
use crate::image::{OutputFormat, RecordWidth, Remark, SRecordType};
use crate::project::cautions;
use crate::window::kit::theme::engine_sheet_sizes::{RECORD_KIND, RECORD_WIDTH, WARNING_ROOM, WRITTEN_SHARE};
use crate::window::kit::theme::kit_sizes::{LINE_GAP, LIST_MARGIN, MARK, TIGHT_GAP};
use crate::window::kit::theme::{
    color, elided, elided_middle, hairline, severity_ink, strong_family, strong_label, strong_line,
};
use crate::window::kit::{marks, numbers};
use crate::window::state::commands::Command;
use crate::window::state::export_state::ImageFiles;
use crate::window::state::export_state::{ExportMessage, Formats, Part, Replacing, Shown};
use crate::window::state::file_jobs::FileJob;
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::command_buttons::button;
use crate::window::views::form::choice::{self, Choice};
use crate::window::views::view::View;
use crate::wording::{Unit, count, with_unit};

/// What the column tells of.
#[derive(Clone, Copy)]
pub(super) struct Told<'a> {
    pub(super) kept: &'a Kept,
    pub(super) unit: &'a UnitKeeper,
    pub(super) planned: &'a Planned,
    /// Whether the project differs from the last export.
    pub(super) is_changed_since: bool,
}

/// Draws the column: the fixed part, then what was written, then the warnings, each in its own space, so that
/// nothing moves when a message appears. If there is no room for that, all of it scrolls, with the messages at
/// the end.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, told: Told<'_>, outbox: &mut Outbox) {
    ui.spacing_mut().item_spacing.y = LINE_GAP;
    if ui.available_height() < view.theme.export.least_writing_height {
        ScrollArea::vertical().id_salt("writing").auto_shrink(false).show(ui, |ui| {
            choices(ui, view, told, outbox);
            warnings(ui, view, told, outbox);
            written(ui, view, told.is_changed_since, outbox);
        });
        return;
    }
    choices(ui, view, told, outbox);
    let rest = ui.available_rect_before_wrap();
    let split = rest.top() + rest.height() * WRITTEN_SHARE;
    let places = [rest.with_max_y(split - view.theme.gap), rest.with_min_y(split)];
    let mut place = |name: &str, rect: Rect, add: &mut dyn FnMut(&mut egui::Ui)| {
        let mut part = ui.new_child(UiBuilder::new().id_salt(name).max_rect(rect));
        part.set_clip_rect(rect.intersect(ui.clip_rect()));
        ScrollArea::vertical().id_salt(name).auto_shrink(false).show(&mut part, |ui| add(ui));
    };
    place("written", places[0], &mut |ui| written(ui, view, told.is_changed_since, outbox));
    place("warnings", places[1], &mut |ui| warnings(ui, view, told, outbox));
}

/// What is written and how, with all buttons.
fn choices(ui: &mut egui::Ui, view: &View<'_>, told: Told<'_>, outbox: &mut Outbox) {
    locked(ui, view, told.kept);
    strong_label(ui, "Write", view.theme.heading_font());
    name(ui, view, outbox);
    planned(ui, view, told.planned);
    caution(ui, view);
    write(ui, view, told.kept, outbox);
    ui.add_space(view.theme.gap);
    formats(ui, view, outbox);
    paper(ui, view, outbox);
    from_file(ui, view, outbox);
    ui.add_space(view.theme.gap);
    let rule = ui.available_rect_before_wrap();
    ui.painter().hline(rule.x_range(), rule.top(), hairline(color(view.theme.palette.rule)));
    ui.add_space(view.theme.gap);
}

/// The files that would be written with their sizes, and which of them would replace others.
fn planned(ui: &mut egui::Ui, view: &View<'_>, planned: &Planned) {
    let theme = view.theme;
    let (ink, weak) = (color(theme.palette.ink), color(theme.palette.ink_secondary));
    for PlannedFile { name, bytes, is_there } in &planned.files {
        let size = vec2(ui.available_width(), theme.compare.small_line_height);
        let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
        let bytes = bytes.map_or_else(String::new, |bytes| count(bytes, "byte"));
        let told = format!("{name}, {bytes}{}", if *is_there { ", is there already" } else { "" });
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &told));
        let end = elided(ui, rect, bytes, theme.small_font()).write(ui, Align::Max, weak);
        let mark = Rect::from_min_size(rect.left_center() - vec2(0.0, MARK.y / 2.0), MARK);
        if *is_there {
            let ink = color(severity_ink(theme, Severity::Warning));
            ui.painter().add(marks::severity(mark, Severity::Warning, ink));
        }
        let room = Rect::from_x_y_ranges(mark.right() + theme.gap..=end.left() - theme.gap, rect.y_range());
        let line = elided_middle(ui, room, name.as_str(), theme.small_font());
        line.paint(ui, Align::Min, ink);
        line.tip_on(response);
    }
    let there = planned.files.iter().filter(|file| file.is_there).count();
    let words = match (&planned.folder, there) {
        _ if planned.files.is_empty() => "No format is chosen: nothing would be written.".to_owned(),
        (None, _) => "You choose the folder; what is there already is replaced only when you say so.".to_owned(),
        (Some(folder), 0) => format!("Nothing is replaced in the project's folder '{folder}'."),
        (Some(folder), 1) => format!("1 file is in the project's folder '{folder}' already, and would be replaced."),
        (Some(folder), there) => {
            format!("{} are in the project's folder '{folder}' already, and would be replaced.", count(there, "file"))
        }
    };
    // Two lines in any case: nothing moves when the answer comes.
    let height = 2.0 * theme.compare.small_line_height;
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
    let mut inside = ui.new_child(UiBuilder::new().max_rect(rect));
    inside.set_clip_rect(rect.intersect(ui.clip_rect()));
    inside.add(Label::new(RichText::new(&words).size(theme.small).color(weak)).wrap());
    response.on_hover_text(words);
}

/// The mark of a copy with locked timing.
fn locked(ui: &mut egui::Ui, view: &View<'_>, kept: &Kept) {
    let theme = view.theme;
    let Some(deg) = kept.project.locked_timing_deg else {
        return;
    };
    let ink = color(theme.palette.error);
    let frame =
        egui::Frame::new().stroke(strong_line(ink)).inner_margin(LIST_MARGIN).corner_radius(f32::from(theme.radius));
    frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.label(
            RichText::new(format!("LOCKED TIMING {}", with_unit(&crate::wording::written(deg), Unit::Degree)))
                .size(theme.title)
                .color(ink)
                .family(strong_family()),
        );
        let told = "This copy commands one advance everywhere: for the timing light alone. Never drive with it.";
        ui.add(Label::new(told).wrap());
    });
    ui.add_space(theme.gap);
}

/// Why there is no image, and what the image does not hold exactly.
fn warnings(ui: &mut egui::Ui, view: &View<'_>, Told { kept, unit, .. }: Told<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    strong_label(ui, "Warnings", theme.heading_font());
    if let Err(error) = &kept.image {
        let item = error.item().and_then(|name| kept.place_of(name));
        let words = format!("Problem: there is no image. {error}.");
        if warning(ui, view, &words, Severity::Error, item.is_some())
            && let Some(place) = item
        {
            outbox.send(ExportMessage::Select(Part::Item(place), None));
        }
        return;
    }
    despite(ui, view, outbox);
    let open = in_unit::open_words(kept);
    let weak = |words: &str| RichText::new(words).color(color(theme.palette.ink_secondary));
    if let Some(relaxed) = relaxed_words(view.project) {
        let words = format!("Checks: {}; {relaxed}. The Checks sheet has the reasons.", view.checked.tally.words());
        ui.add(Label::new(weak(&words).size(theme.small)).wrap());
    }
    if kept.remarks.is_empty() && open.is_none() && unit.is_same(view) {
        let words = "None: every number of the project is held exactly, and the unit's spark is the project's.";
        ui.add(Label::new(weak(words)).wrap());
    } else {
        for sentence in unit.sentences(view) {
            ui.add(Label::new(weak(&sentence).size(theme.small)).wrap());
        }
    }
    if let Some(words) = open
        && warning(ui, view, &format!("Warning: {words}"), Severity::Warning, true)
    {
        outbox.send(ExportMessage::Show(Shown::Unit));
    }
    for remark in &kept.remarks {
        let item = kept.place_of(&remark.item);
        if warning(ui, view, &format!("Warning: {}.", remark.words), Severity::Warning, item.is_some())
            && let Some(place) = item
        {
            go_to(kept, remark, place, outbox);
        }
    }
}

/// The mark of a severity and words; says whether they were clicked, where there is something to go to.
fn warning(ui: &mut egui::Ui, view: &View<'_>, words: &str, severity: Severity, leads_on: bool) -> bool {
    let line = ui.horizontal_top(|ui| {
        let (rect, _) = ui.allocate_exact_size(WARNING_ROOM, Sense::hover());
        let mark = Rect::from_center_size(rect.center(), MARK);
        ui.painter().add(marks::severity(mark, severity, color(severity_ink(view.theme, severity))));
        let label = Label::new(RichText::new(words).size(view.theme.small)).wrap();
        if leads_on {
            ui.add(label.sense(Sense::click())).on_hover_text("Go to this item.").clicked()
        } else {
            ui.add(label);
            false
        }
    });
    line.inner
}

fn go_to(kept: &Kept, remark: &Remark, place: usize, outbox: &mut Outbox) {
    let byte = kept.image.as_ref().ok().and_then(|image| image.items.get(place)).map(|encoded| {
        let index = remark.place.index(encoded.size.speeds).min(encoded.raws.len().saturating_sub(1));
        encoded.address_of(index)
    });
    outbox.send(ExportMessage::Select(Part::Item(place), byte));
}

fn name(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let proposed = proposed_name(view);
    let mut text = view.screen.export.name.clone().unwrap_or_else(|| proposed.clone());
    let response =
        ui.add(TextEdit::singleline(&mut text).align(egui::Align2::LEFT_CENTER).desired_width(f32::INFINITY));
    ui.ctx().accesskit_node_builder(response.id, |node| node.set_label("Name of the files"));
    let told = "The name proposed for the files, from the project and the date; each format adds its ending.";
    if response.on_hover_text(told).changed() {
        let name = (!text.trim().is_empty() && text != proposed).then_some(text);
        outbox.send(ExportMessage::Name(name));
    }
}

/// From the project and the date; a copy with locked timing says so first.
pub(super) fn proposed_name(view: &View<'_>) -> String {
    let locked = if view.project.locked_timing_deg.is_some() { "LOCKED-" } else { "" };
    let suffix = view.project.locked_timing_suffix();
    format!("{locked}{}{suffix}-{}", file_safe(&view.document.title()), view.screen.export.today)
}

/// Only what every file system takes, in a name of reasonable length.
fn file_safe(name: &str) -> String {
    let safe = |letter: char| if letter.is_alphanumeric() || matches!(letter, '-' | '_' | '.') { letter } else { '-' };
    let name: String = name.chars().map(safe).take(60).collect();
    let name = name.trim_matches(['-', '.']).to_owned();
    if name.is_empty() { "image".into() } else { name }
}

fn formats(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let before = view.screen.export.formats;
    let mut now = before;
    ui.checkbox(&mut now.intel_hex, "Intel HEX (.hex)").on_hover_text("Text records with addresses and checksums.");
    ui.horizontal(|ui| {
        ui.set_min_height(view.theme.field_height);
        s_record(ui, view, &mut now);
    });
    ui.checkbox(&mut now.binary, "Raw binary (.bin)").on_hover_text("The bytes alone; the address is not in the file.");
    ui.checkbox(&mut now.description, "Description (.a2l)")
        .on_hover_text("What sits where, as ASAM MCD-2 MC, for calibration tools.");
    ui.horizontal(|ui| {
        ui.label("Bytes in a record");
        let (rect, _) = ui.allocate_exact_size(vec2(RECORD_WIDTH, view.theme.field_height), Sense::hover());
        let width = usize::from(now.width == RecordWidth::ThirtyTwo);
        let tooltip = "Data bytes in each record of Intel HEX and S-record files.";
        let choice = Choice {
            key: "export record bytes",
            name: "Bytes in a record",
            words: &["16", "32"],
            now: Some(width),
            tooltip,
        };
        if let Some(taken) = choice::show(ui, view.theme, rect, &choice) {
            now.width = if taken == 0 { RecordWidth::Sixteen } else { RecordWidth::ThirtyTwo };
        }
    });
    if now != before {
        outbox.send(ExportMessage::Formats(now));
    }
}

fn s_record(ui: &mut egui::Ui, view: &View<'_>, now: &mut Formats) {
    const KINDS: [SRecordType; 3] = [SRecordType::S19, SRecordType::S28, SRecordType::S37];
    let mut is_on = now.s_record.is_some();
    ui.checkbox(&mut is_on, "S-record").on_hover_text("Motorola's text records with addresses and checksums.");
    let kind = now.s_record.unwrap_or(SRecordType::S19);
    now.s_record = is_on.then_some(kind);
    if is_on {
        let (rect, _) = ui.allocate_exact_size(vec2(RECORD_KIND, view.theme.field_height), Sense::hover());
        let at = KINDS.iter().position(|other| *other == kind);
        let tooltip = "The least type of records; where the addresses need a larger one, it grows and that is told.";
        let choice = Choice {
            key: "export s-record",
            name: "Type of S-records",
            words: &["s19", "s28", "s37"],
            now: at,
            tooltip,
        };
        if let Some(taken) = choice::show(ui, view.theme, rect, &choice).and_then(|taken| KINDS.get(taken).copied()) {
            now.s_record = Some(taken);
        }
    }
}

fn caution(ui: &mut egui::Ui, view: &View<'_>) {
    ui.add_space(TIGHT_GAP);
    let short = RichText::new(cautions::SHORT).size(view.theme.small);
    ui.add(Label::new(short).wrap()).on_hover_text(cautions::WHOLE.join("\n"));
    ui.add_space(TIGHT_GAP);
}

fn write(ui: &mut egui::Ui, view: &View<'_>, kept: &Kept, outbox: &mut Outbox) {
    let export = &view.screen.export;
    let formats = export.formats.list();
    let needs_reason = wants_reason(view) && export.despite_errors.trim().is_empty();
    let refusal = match () {
        () if needs_reason => {
            Some("errors are open: mend them, accept them with a reason, or say under Warnings why it is written")
        }
        () if export.is_busy => Some("files are being written or read just now"),
        () if kept.image.is_err() => Some("there is no image: the warnings say why"),
        () if formats.is_empty() => Some("choose at least one format"),
        () => None,
    };
    ui.horizontal(|ui| {
        let text = RichText::new("Write…").family(strong_family());
        let response = ui.add_enabled(refusal.is_none(), egui::Button::new(text));
        let told = "Choose where; every file is read back from the disk and compared before it is called written.";
        let response = response.on_hover_text(view.keys.tooltip(Command::ExportImage)).on_hover_text(told);
        if response.on_disabled_hover_text(refusal.unwrap_or_default()).clicked() {
            outbox.file(FileAction::Choose(FileJob::WriteImage(files(view))));
        }
        ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
            button(ui, view, outbox, Command::ExportTable, "Table as CSV…");
        });
    });
}

/// Whether errors are open and an image is to be written.
fn wants_reason(view: &View<'_>) -> bool {
    let formats = view.screen.export.formats.list();
    view.checked.tally.errors > 0 && formats.iter().any(|format| *format != OutputFormat::Description)
}

/// If errors are open, a field for the reason why an image is written nevertheless.
fn despite(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    if !wants_reason(view) {
        return;
    }
    let errors = count(view.checked.tally.errors, "open error");
    let words = format!("{errors}: an image is written only with a reason.");
    warning(ui, view, &words, Severity::Error, false);
    let mut text = view.screen.export.despite_errors.clone();
    let edit = TextEdit::singleline(&mut text)
        .align(egui::Align2::LEFT_CENTER)
        .desired_width(f32::INFINITY)
        .hint_text("why it is written all the same");
    let response = ui.add(edit);
    ui.ctx().accesskit_node_builder(response.id, |node| node.set_label("Reason for writing despite open errors"));
    let told = "Kept in the project with the export, and printed on the setup sheet.";
    if response.on_hover_text(told).changed() {
        outbox.send(ExportMessage::TypeReason(text));
    }
}

/// What the button and the command write.
pub(super) fn files(view: &View<'_>) -> ImageFiles {
    let export = &view.screen.export;
    let name = export.name.clone().unwrap_or_else(|| proposed_name(view));
    let reason = export.despite_errors.trim();
    let despite_errors = (view.checked.tally.errors > 0 && !reason.is_empty()).then(|| reason.to_owned());
    ImageFiles { formats: export.formats.list(), width: export.formats.width, name, despite_errors }
}

/// The printed page for the car's folder.
fn paper(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    ui.add_space(view.theme.gap);
    strong_label(ui, "For the car's folder", view.theme.heading_font());
    ui.horizontal(|ui| {
        button(ui, view, outbox, Command::SetupSheet, "Setup sheet (PDF)…");
        button(ui, view, outbox, Command::SetupSheetLetter, "Letter…");
    });
}

/// What is or was in a unit.
fn from_file(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    ui.add_space(view.theme.gap);
    strong_label(ui, "From a file", view.theme.heading_font());
    ui.horizontal_wrapped(|ui| {
        button(ui, view, outbox, Command::ReadImage, "Read an image…");
        button(ui, view, outbox, Command::CompareImage, "Compare with a file…");
    });
}

/// Files beside the one chosen that would be replaced: asked once.
fn replacing(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let Some(Replacing { files, path, names }) = view.screen.export.replacing.clone() else {
        return;
    };
    let words = format!("There already: {}. Replace?", names.join(", "));
    ui.add(Label::new(words).wrap());
    ui.horizontal(|ui| {
        if ui.button("Replace").on_hover_text("Write all files, and replace those that are there.").clicked() {
            outbox.send(ExportMessage::CloseQuestion);
            outbox.file(FileAction::WriteImage(files, path));
        }
        if ui.button("Cancel").on_hover_text("Write nothing.").clicked() {
            outbox.send(ExportMessage::CloseQuestion);
        }
    });
}

/// What was written and read back, and what the project remembers of its last export.
fn written(ui: &mut egui::Ui, view: &View<'_>, is_changed_since: bool, outbox: &mut Outbox) {
    let theme = view.theme;
    let small = |words: &str| RichText::new(words).size(theme.small).color(color(theme.palette.ink_secondary));
    replacing(ui, view, outbox);
    if view.screen.export.is_busy {
        ui.label("Writing, reading back, comparing…");
    }
    if let Some(written) = &view.screen.export.written {
        strong_label(ui, "Written and read back", theme.heading_font());
        for line in &written.lines {
            ui.add(Label::new(line).wrap()).on_hover_text(&written.folder);
        }
        ui.add(Label::new(format!("Checksum {}", written.checksum)).wrap());
        for remark in &written.remarks {
            warning(ui, view, &format!("Note: {remark}."), Severity::Note, false);
        }
    }
    let Some(last) = &view.project.last_export else {
        ui.add(Label::new(small("This project was not exported yet.")).wrap());
        return;
    };
    let at = last.written_at.parse().map_or_else(|_| last.written_at.clone(), numbers::date_and_time);
    let words = format!("Last export: {} at {at}, {}.", last.file_name, last.checksum);
    ui.add(Label::new(small(&words)).wrap());
    if is_changed_since {
        warning(
            ui,
            view,
            "Note: the project has changed since; the unit does not have these numbers.",
            Severity::Note,
            false,
        );
    } else {
        ui.add(Label::new(small("Nothing has changed since.")).wrap());
    }
}

#[cfg(test)]
mod tests {
    use super::file_safe;

    #[test]
    fn proposed_names_are_taken_by_every_file_system() {
        assert_eq!(file_safe("tarn-special"), "tarn-special");
        assert_eq!(file_safe("a/b\\c: d?"), "a-b-c--d");
        assert_eq!((file_safe("///"), file_safe("..")), ("image".into(), "image".into()));
        assert_eq!(file_safe(&"ä".repeat(200)).chars().count(), 60);
    }
}
