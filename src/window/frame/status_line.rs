//! What the pointer is over, what is selected, what was just said: three fixed places.

use eframe::egui::{self, Align, Rect, Role, Sense, WidgetInfo, pos2, vec2};

use super::marks;
use crate::window::commands::Command;
use crate::window::screen::Sheet;
use crate::window::sheets::compare;
use crate::window::theme::{color, elided};
use crate::window::{FileAction, Outbox, View, numbers};
use crate::wording::{quantity, with_unit};

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let bar = ui.max_rect().shrink2(vec2(view.theme.margin, 0.0));
    let part = |from: f32, to: f32| {
        Rect::from_x_y_ranges(bar.left() + from * bar.width()..=bar.left() + to * bar.width(), bar.y_range())
    };
    // Where no cells can be selected, what the pointer is over has their place as well.
    let split = if view.screen.sheet.shows_cells() { 0.23 } else { 0.49 };
    text(ui, view, part(0.0, split), "position", &pointed_at(view), false);
    let selection = with_mark(view, selected(view));
    text(ui, view, part((split + 0.01_f32).min(0.49), 0.49), "selection", &selection, true);
    findings(ui, view, outbox, part(0.5, 0.64));
    said(ui, view, outbox, part(0.65, 1.0));
}

/// Width of the triangle before a count, with its room.
const MARK_WIDTH: f32 = 17.0;

/// How many findings are open; a click goes to them.
fn findings(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    let (palette, tally) = (view.theme.palette, view.checked.tally);
    let words = if view.checked.is_known() { tally.words() } else { "checking\u{2026}".to_owned() };
    let response = ui.interact(rect, ui.scope_id().with("findings"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Findings: {words}")));
    let is_lit = response.hovered() || response.has_focus();
    let ink = match () {
        () if tally.errors > 0 => palette.error,
        () if tally.warnings > 0 => palette.warning,
        () => palette.ink_secondary,
    };
    let is_marked = tally.errors + tally.warnings > 0;
    let left = rect.left() + if is_marked { MARK_WIDTH } else { 0.0 };
    if is_marked {
        let triangle = Rect::from_center_size(pos2(rect.left() + 6.0, rect.center().y), vec2(11.0, 10.0));
        marks::warning(ui.painter(), triangle, color(ink), color(palette.paper));
    }
    let room = Rect::from_x_y_ranges(left..=rect.right(), rect.y_range());
    let written = elided(ui, room, &words, view.theme.small_font()).paint(ui, Align::Min, color(ink));
    if is_lit {
        ui.painter().hline(written.x_range(), rect.center().y + 8.0, egui::Stroke::new(1.0, color(ink)));
    }
    let tip = format!("What the checks noticed: {words}. {}", view.keys.tooltip(Command::SheetChecks));
    if response.on_hover_text(tip).clicked() {
        outbox.run(Command::SheetChecks);
    }
}

/// What a locked-timing copy is comes first.
fn with_mark(view: &View<'_>, words: String) -> String {
    match view.project.locked_timing_words() {
        Some(mark) => format!("{}, no map · {words}", mark.to_uppercase()),
        None => words,
    }
}

/// One text in its place, cut where it does not fit; the whole is its tooltip.
fn text(ui: &mut egui::Ui, view: &View<'_>, rect: Rect, name: &str, words: &str, is_weak: bool) {
    let palette = view.theme.palette;
    let ink = color(if is_weak { palette.ink_secondary } else { palette.ink });
    // Where there is no room at all, not even for an ellipsis.
    if rect.width() > 1.0 {
        elided(ui, rect, words, view.theme.small_font()).paint(ui, Align::Min, ink);
    }
    label(ui, rect, name, words);
}

fn label(ui: &mut egui::Ui, rect: Rect, name: &str, words: &str) {
    let response = ui.interact(rect, ui.scope_id().with(name), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words));
    if !words.is_empty() {
        response.on_hover_text(words);
    }
}

/// The newest message; without one, how the recovery copy stands.
fn said(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    if let Some((_, job)) = &view.dialogs.choosing {
        return waiting(ui, view, outbox, rect, job);
    }
    let (words, is_error) = words(view);
    let palette = view.theme.palette;
    let ink = color(if is_error { palette.error } else { palette.ink_secondary });
    let mark = if is_error { 16.0 } else { 0.0 };
    let room = Rect::from_x_y_ranges(rect.left() + mark..=rect.right(), rect.y_range());
    let written = elided(ui, room, &words, view.theme.small_font()).paint(ui, Align::Max, ink);
    if is_error {
        let triangle = Rect::from_center_size(pos2(written.left() - 10.0, rect.center().y), vec2(11.0, 10.0));
        marks::warning(ui.painter(), triangle, ink, color(palette.paper));
    }
    label(ui, rect, "message", &words);
}

fn words(view: &View<'_>) -> (String, bool) {
    if let Some(notice) = &view.screen.notice {
        let word = if notice.is_error { "Problem: " } else { "" };
        return (format!("{word}{}", notice.text), notice.is_error);
    }
    // That there is none stands in the top bar, where no notice hides it.
    let copy = view.document.recovery_copy_at().map(|at| format!("recovery copy at {}", numbers::time(at)));
    (copy.unwrap_or_default(), false)
}

/// The system's dialog is open, or lost: the way round it.
fn waiting(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect, job: &crate::window::files::FileJob) {
    let words = format!("{}: choose in the dialog, or type the path here", job.title());
    let response = ui.interact(rect, ui.scope_id().with("type the path"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Type the path here"));
    let ink = color(view.theme.palette.ink);
    let line = elided(ui, rect, words, view.theme.small_font());
    let at = line.paint(ui, Align::Max, ink);
    ui.painter().hline(at.x_range(), at.bottom(), egui::Stroke::new(1.0, ink));
    if line.tip_on(response).on_hover_text("When no dialog comes up, type the path in the window instead.").clicked() {
        outbox.file(FileAction::TypePath(job.clone()));
    }
}

fn pointed_at(view: &View<'_>) -> String {
    match view.screen.sheet {
        Sheet::Advance => {}
        Sheet::Compare => return compare::pointed_at(view),
        _ => return view.screen.pointed.clone(),
    }
    let cell = view.screen.hover.unwrap_or(view.screen.selection.cursor);
    let table = view.table();
    let at = |breakpoints: &[f64], index: usize, unit| breakpoints.get(index).map(|&value| quantity(value, unit));
    let speed = at(table.speed().breakpoints(), cell.speed, "rpm");
    let load = at(table.load().breakpoints(), cell.load, view.project.sensors.load.unit());
    let (Some(speed), Some(load)) = (speed, load) else {
        return String::new();
    };
    format!("{speed} · {load} · {} before TDC", with_unit(&view.degrees(table.at(cell)), "°"))
}

/// Count, mean, least and greatest of the selected cells.
fn selected(view: &View<'_>) -> String {
    let cells = &view.screen.selection.cells;
    let table = view.table();
    if !view.screen.sheet.shows_cells() || !cells.fits(table) || cells.is_empty() {
        return String::new();
    }
    let count = cells.count();
    let (mut sum, mut least, mut greatest) = (0.0, f64::INFINITY, f64::NEG_INFINITY);
    for value in cells.cells().map(|cell| table.at(cell)) {
        sum += value;
        least = value.min(least);
        greatest = value.max(greatest);
    }
    if count == 1 {
        return format!("1 cell · {}", with_unit(&view.degrees(least), "°"));
    }
    #[expect(clippy::cast_precision_loss, reason = "a table has at most 4096 cells")]
    let mean = sum / count as f64;
    let [mean, least, greatest] = [mean, least, greatest].map(|value| with_unit(&view.degrees(value), "°"));
    format!("{count} cells  mean {mean}  min {least}  max {greatest}")
}
