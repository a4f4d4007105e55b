//! What the pointer is over, what is selected, and the last message: three fixed places.

use eframe::egui::{self, Align, Rect, Role, Sense, Vec2, WidgetInfo, pos2, vec2};

use crate::checks::{Severity, Tally, relaxed_words};
use crate::window::kit::theme::frame_sizes::{
    MARK_WIDTH, MOST_CARD_WIDTH, PROBLEM_MARK, PROBLEM_ROOM, STATUS_CROSS_INSET, STATUS_UNDERLINE,
};
use crate::window::kit::theme::kit_sizes::{MARK, MARK_MIDDLE};
use crate::window::kit::theme::{color, elided, hairline, severity_ink, shortened, whole_parts};
use crate::window::kit::{marks, numbers};
use crate::window::sheets::compare;
use crate::window::state::commands::Command;
use crate::window::state::file_jobs::FileJob;
use crate::window::state::notice::Notice;
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::state::screen::ScreenMessage;
use crate::window::state::screen::{Sheet, SidePanel};
use crate::window::views::curve_editor::typed_effect;
use crate::window::views::grid;
use crate::window::views::layers;
use crate::window::views::measured;
use crate::window::views::view::View;
use crate::wording::{Unit, quantity, with_unit};

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let bar = ui.max_rect().shrink2(vec2(view.theme.margin, 0.0));
    let part = |from: f32, to: f32| {
        Rect::from_x_y_ranges(bar.left() + from * bar.width()..=bar.left() + to * bar.width(), bar.y_range())
    };
    // On sheets without cells, what the pointer is over takes the place of the selection as well.
    let split = if view.screen.sheet.row().shows_cells { 0.23 } else { 0.49 };
    text(ui, view, part(0.0, split), "position", &pointed_at(view), false);
    let selection = with_mark(view, selected(view));
    text(ui, view, part((split + 0.01_f32).min(0.49), 0.49), "selection", &selection, true);
    findings(ui, view, outbox, part(0.5, 0.645));
    legend(ui, view, outbox, part(0.65, 0.685));
    said(ui, view, outbox, part(0.7, 1.0));
}

/// What is bad about the run on the rig, as long as the run was driven with the present project.
fn of_run(view: &View<'_>) -> Option<Tally> {
    let (revision, tally) = view.screen.rig.told?;
    (revision == view.document.revision() && tally.total() > 0).then_some(tally)
}

/// How many findings are open, and how many aspects of the run are bad; a click leads to them.
fn findings(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    let (palette, checked, run) = (view.theme.palette, view.checked.tally, of_run(view));
    let relaxed = relaxed_words(view.document.project());
    let of_checks = match &relaxed {
        _ if !view.checked.is_known() => "checking\u{2026}".to_owned(),
        Some(relaxed) => format!("{}; {relaxed}", checked.words()),
        None => checked.words(),
    };
    // 'No findings' would be misleading next to a run that went badly.
    let words = match run {
        Some(run) if view.checked.is_known() && checked.total() == 0 => match relaxed {
            Some(relaxed) => format!("run: {}; {relaxed}", run.words()),
            None => format!("run: {}", run.words()),
        },
        Some(run) => format!("{of_checks} \u{b7} run: {}", run.words()),
        None => of_checks,
    };
    let tally = run.map_or(checked, |run| Tally {
        errors: checked.errors + run.errors,
        warnings: checked.warnings + run.warnings,
        notes: checked.notes + run.notes,
    });
    let response = ui.interact(rect, ui.scope_id().with("findings"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Findings: {words}")));
    let is_lit = response.hovered() || response.has_focus();
    let worst = tally.worst();
    let ink = worst.map_or(palette.ink_secondary, |worst| severity_ink(view.theme, worst));
    let left = rect.left() + if worst.is_some() { MARK_WIDTH } else { 0.0 };
    if let Some(worst) = worst {
        let mark = Rect::from_center_size(pos2(rect.left() + MARK_MIDDLE, rect.center().y), MARK);
        ui.painter().add(marks::severity(mark, worst, color(ink)));
    }
    let room = Rect::from_x_y_ranges(left..=rect.right(), rect.y_range());
    let font = view.theme.small_font();
    let shown = whole_parts(ui, &words, room.width(), &font, &[" \u{b7} ", "; ", ", "]);
    let written = elided(ui, room, shown, font).paint(ui, Align::Min, color(ink));
    if is_lit {
        ui.painter().hline(written.x_range(), rect.center().y + STATUS_UNDERLINE, hairline(color(ink)));
    }
    let (what, to) = match run {
        Some(_) if checked.total() == 0 => ("What the run on the rig came to", Command::Sheet(Sheet::Rig)),
        _ => ("What the checks noticed", Command::Sheet(Sheet::Checks)),
    };
    if response.on_hover_text(format!("{what}: {words}. {}", view.keys.tooltip(to))).clicked() {
        outbox.run(to);
    }
}

/// The button that explains the marks.
fn legend(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    let (palette, command) = (view.theme.palette, Command::Marks);
    let is_on = view.screen.panel == Some(SidePanel::Marks);
    let response = ui.interact(rect, ui.scope_id().with("marks"), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_on, command.text()));
    let is_lit = is_on || response.hovered() || response.has_focus();
    let ink = color(if is_lit { palette.ink } else { palette.ink_secondary });
    // Aligned with the texts next to it.
    let written = elided(ui, rect, "marks", view.theme.small_font()).paint(ui, Align::Center, ink);
    if is_on || response.has_focus() {
        ui.painter().hline(written.x_range(), rect.center().y + STATUS_UNDERLINE, hairline(ink));
    }
    if response.on_hover_text(view.keys.tooltip(command)).clicked() {
        outbox.run(command);
    }
}

/// What a locked-timing copy is comes first.
fn with_mark(view: &View<'_>, words: String) -> String {
    match view.project.locked_timing_words() {
        Some(mark) => format!("{}, no map · {words}", mark.to_uppercase()),
        None => words,
    }
}

/// One text in its place, cut if it does not fit; its tooltip has the full text.
fn text(ui: &mut egui::Ui, view: &View<'_>, rect: Rect, name: &str, words: &str, is_weak: bool) {
    let palette = view.theme.palette;
    let ink = color(if is_weak { palette.ink_secondary } else { palette.ink });
    // There may be no room at all, not even for an ellipsis.
    if rect.width() > 1.0 {
        let font = view.theme.small_font();
        let shown = whole_parts(ui, words, rect.width(), &font, &[" · ", "  "]);
        elided(ui, rect, shown, font).paint(ui, Align::Min, ink);
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

/// The newest message; without one, the state of the recovery copy.
fn said(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    if let Some((_, job)) = &view.dialogs.choosing {
        return waiting(ui, view, outbox, rect, job);
    }
    if let Some(notice) = view.screen.notice.as_ref().filter(|notice| notice.is_error) {
        return problem(ui, view, outbox, rect, notice);
    }
    // A missing recovery copy is reported in the top bar, where no message hides it.
    let copy = || view.document.recovery_copy_at().map(|at| format!("recovery copy at {}", numbers::time(at)));
    let noticed = || view.screen.notice.as_ref().map(Notice::whole);
    let words = in_hand(view).or_else(noticed).or_else(copy).unwrap_or_default();
    let ink = color(view.theme.palette.ink_secondary);
    elided(ui, rect, &words, view.theme.small_font()).paint(ui, Align::Max, ink);
    label(ui, rect, "message", &words);
}

/// What is being typed or proposed, which takes precedence over messages.
fn in_hand(view: &View<'_>) -> Option<String> {
    if view.screen.shows_base {
        return Some(format!("The base '{}' is shown until the key is let go; nothing is changed", view.base.name));
    }
    let typed = grid::editor_effect(view).or_else(|| typed_effect(view));
    typed.or_else(|| Some(view.proposed?.words(view.screen.inspector.typing.is_some())))
}

/// A problem: the reason, then the path shortened in its middle. What does not fit can be read above the line.
fn problem(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect, notice: &Notice) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let (ink, font) = (color(palette.error), theme.small_font());
    let room = Rect::from_x_y_ranges(rect.left() + PROBLEM_ROOM..=rect.right(), rect.y_range());
    let whole = notice.whole();
    let path = notice.path.as_ref().map_or_else(String::new, |path| path.display().to_string());
    let reason = whole.strip_suffix(&path).unwrap_or(&whole);
    let width = ui.painter().layout_no_wrap(reason.to_owned(), font.clone(), ink).size().x;
    let shown = format!("{reason}{}", shortened(ui, &path, (room.width() - width).max(0.0), &font));
    let line = elided(ui, room, &shown, font);
    let written = line.paint(ui, Align::Max, ink);
    let mark = Rect::from_center_size(pos2(written.left() - PROBLEM_MARK, rect.center().y), MARK);
    ui.painter().add(marks::severity(mark, Severity::Error, ink));
    label(ui, rect, "message", &whole);
    // The panel for a path shows it itself.
    if (line.is_cut() || shown != whole) && !view.dialogs.refuses_path() {
        card(ui, view, outbox, &whole);
    }
}

/// The whole of a problem that does not fit into its line, over the right end of the line.
fn card(ui: &egui::Ui, view: &View<'_>, outbox: &mut Outbox, words: &str) {
    let theme = view.theme;
    let screen = ui.ctx().content_rect();
    // Above the bars, whose buttons it would otherwise cover.
    let below = theme.status_height + super::bars::height(ui.ctx()) + theme.gap;
    let at = screen.right_bottom() - vec2(theme.margin, below);
    let width = MOST_CARD_WIDTH.min(screen.width() - 2.0 * theme.margin);
    let frame = egui::Frame::popup(ui.style()).fill(color(theme.palette.paper)).inner_margin(theme.gap);
    let area = egui::Area::new(egui::Id::unique("problem")).order(egui::Order::Foreground);
    area.pivot(egui::Align2::RIGHT_BOTTOM).fixed_pos(at).show(ui.ctx(), |ui| {
        frame.show(ui, |ui| {
            ui.set_width(width - 2.0 * theme.gap);
            ui.horizontal_top(|ui| {
                let text = egui::RichText::new(words).size(theme.body).color(color(theme.palette.ink));
                let room = ui.available_width() - theme.cross - theme.gap;
                ui.scope(|ui| {
                    ui.set_width(room);
                    ui.add(egui::Label::new(text).wrap());
                });
                let (rect, response) = ui.allocate_exact_size(Vec2::splat(theme.cross), Sense::click());
                response.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Put the problem away"));
                let ink = if response.hovered() { theme.palette.ink } else { theme.palette.ink_secondary };
                marks::cross(ui.painter(), rect.shrink(STATUS_CROSS_INSET), color(ink));
                if response.on_hover_text("Put away").clicked() {
                    outbox.send(ScreenMessage::Tell(None));
                }
            });
        });
    });
}

/// The system's dialog is open, or lost: offers the way around it.
fn waiting(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect, job: &FileJob) {
    let words = format!("{}: choose in the dialog, or type the path here", job.title());
    let response = ui.interact(rect, ui.scope_id().with("type the path"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, "Type the path here"));
    let ink = color(view.theme.palette.ink);
    let line = elided(ui, rect, words, view.theme.small_font());
    let at = line.paint(ui, Align::Max, ink);
    ui.painter().hline(at.x_range(), at.bottom(), hairline(ink));
    if line.tip_on(response).on_hover_text("When no dialog comes up, type the path in the window instead.").clicked() {
        outbox.file(FileAction::TypePath(job.clone()));
    }
}

fn pointed_at(view: &View<'_>) -> String {
    match view.screen.sheet {
        Sheet::Advance => {}
        Sheet::Compare => return compare::pointed_at(view),
        _ => return view.screen.pointer.words.clone(),
    }
    if let Some(point) = measured::pointed(view) {
        return measured::words(view, point);
    }
    let cell = view.screen.pointer.cell.unwrap_or(view.screen.selection.cursor);
    let table = view.table();
    let at = |breakpoints: &[f64], index: usize, unit| breakpoints.get(index).map(|&value| quantity(value, unit));
    let speed = at(table.speed().breakpoints(), cell.speed, Unit::Rpm);
    let load = at(table.load().breakpoints(), cell.load, view.project.sensors.load.unit());
    let (Some(speed), Some(load)) = (speed, load) else {
        return String::new();
    };
    let degrees = |deg| with_unit(&view.degrees(deg), Unit::Degree);
    let (now, then) = view.now_and_then(cell);
    let then = then.map_or_else(String::new, |deg| format!(", proposed {}", degrees(deg)));
    let layer = layers::words_at(view, cell).map_or_else(String::new, |words| format!(" · {words}"));
    format!("{speed} · {load} · {} before TDC{then}{layer}", degrees(now))
}

/// Count, mean, least and greatest of the selected cells.
fn selected(view: &View<'_>) -> String {
    let cells = &view.selection.cells;
    let table = view.settled().advance.table();
    if !view.screen.sheet.row().shows_cells || !cells.fits(table) || cells.is_empty() {
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
        return format!("1 cell · {}", with_unit(&view.degrees(least), Unit::Degree));
    }
    #[expect(clippy::cast_precision_loss, reason = "a table has at most 4096 cells")]
    let mean = sum / count as f64;
    let [mean, least, greatest] = [mean, least, greatest].map(|value| with_unit(&view.degrees(value), Unit::Degree));
    format!("{count} cells  mean {mean}  min {least}  max {greatest}")
}
