//! What the remedy of the finding shown in detail would do: before and after, in a slice and in words.

use eframe::egui::{self, Label, Rect, RichText, Role, ScrollArea, Sense, WidgetInfo, vec2};

use crate::checks::{Cure, Finding};
use crate::compare::FieldDifferences;
use crate::drawing::SliceSpec;
use crate::project::Project;
use crate::shaping::Along;
use crate::table::{Cell, Table};
use crate::watch::Watch;
use crate::window::kit::chart::paint_slice;
use crate::window::kit::scene_painter::viewport;
use crate::window::kit::theme::engine_sheet_sizes::CHECKS_SIZES;
use crate::window::kit::theme::{color, strong_label};
use crate::window::tasks::checking::Outcome;
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, fixed, point, quantity, step_decimals, with_unit};

/// Changes beyond this many are only counted.
const SHOWN_CHANGES: usize = 5;

/// The picture and the words, cached as long as nothing they depend on changes.
#[derive(Default)]
pub(super) struct RemedyView {
    /// The projects before and after, for which the changes were described.
    told_for: Option<(Project, Project)>,
    changes: Vec<String>,
}

impl RemedyView {
    /// Draws into a fixed height; what is longer scrolls.
    pub(super) fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, finding: Option<&Finding>) {
        let (least, most) = CHECKS_SIZES.remedy_height;
        let height = (ui.available_height() - CHECKS_SIZES.least_thresholds).clamp(least, most);
        let size = vec2(ui.available_width(), height);
        let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
        let mut part = ui.new_child(egui::UiBuilder::new().max_rect(rect));
        part.shrink_clip_rect(rect);
        part.horizontal(|ui| {
            ui.set_height(view.theme.heading_line);
            strong_label(ui, "Remedy", view.theme.heading_font());
        });
        if let Some(finding) = finding {
            ScrollArea::vertical().id_salt("remedy").auto_shrink(false).show(&mut part, |ui| {
                ui.set_max_width(ui.available_width() - CHECKS_SIZES.bar_width);
                self.tell(ui, view, finding);
            });
        }
    }

    fn tell(&mut self, ui: &mut egui::Ui, view: &View<'_>, finding: &Finding) {
        let before = view.document.project();
        let after = finding.cure.as_ref().and_then(|cure| after(view, cure));
        let headline = if finding.is_open() { &finding.remedy } else { "Accepted: nothing is to be done." };
        ui.add(Label::new(headline).wrap().selectable(false));
        if let Some([value, threshold]) = finding.figures() {
            let figures = RichText::new(format!("Found {value}, held against {threshold}.")).size(view.theme.small);
            ui.add(Label::new(figures.color(color(view.theme.palette.ink_secondary))).wrap().selectable(false));
        }
        match after {
            Some(Ok((project, words))) => {
                self.changes_between(before, project);
                let weak = color(view.theme.palette.ink_secondary);
                for change in &self.changes {
                    ui.add(Label::new(RichText::new(change).size(view.theme.small)).wrap().selectable(false));
                }
                let then = RichText::new(format!("Then: {words}.")).size(view.theme.small).color(weak);
                ui.add(Label::new(then).selectable(false));
                Self::picture(ui, view, finding, Some(project));
            }
            Some(Err(reason)) => {
                let ink = color(view.theme.palette.ink_secondary);
                ui.add(Label::new(RichText::new(format!("Not now: {reason}.")).color(ink)).wrap().selectable(false));
                Self::picture(ui, view, finding, None);
            }
            None => Self::picture(ui, view, finding, None),
        }
    }

    /// Describes the differences, again only if the projects changed.
    fn changes_between(&mut self, before: &Project, after: &Project) {
        let is_told = self.told_for.as_ref().is_some_and(|(from, to)| from.is_same(before) && to.is_same(after));
        if is_told {
            return;
        }
        self.changes = changes(before, after);
        self.told_for = Some((before.clone(), after.clone()));
    }

    /// The row or column in question: dashed as it is, solid as it would be.
    fn picture(ui: &mut egui::Ui, view: &View<'_>, finding: &Finding, after: Option<&Project>) {
        let Some(&first) = finding.place.cells().first() else {
            return;
        };
        let before = view.document.project().advance.table();
        let table = after.map_or(before, |after| after.advance.table());
        if let Some(load) = new_last_row(before, table) {
            Self::new_row(ui, view, [before, table], load);
            return;
        }
        let cells = finding.place.cells();
        let is_column = cells.len() > 1 && cells.iter().all(|cell| cell.speed == first.speed);
        let along = if is_column { Along::Load } else { Along::Speed };
        let first = most_changed(before, table, cells).unwrap_or(first);
        let (speeds, loads) = (before.speed().breakpoints(), before.load().breakpoints());
        let (Some(&speed_rpm), Some(&load)) = (speeds.get(first.speed), loads.get(first.load)) else {
            return;
        };
        let line = |table: &Table| -> Vec<(f64, f64)> {
            let at = along.axis(table).breakpoints().iter();
            match along {
                Along::Speed => at.map(|&x| (x, table.lookup(x, load))).collect(),
                Along::Load => at.map(|&y| (y, table.lookup(speed_rpm, y))).collect(),
            }
        };
        let (points, base) = (line(table), line(before));
        let is_meant = |at: &f64| match along {
            Along::Speed => cells.iter().any(|cell| speeds.get(cell.speed) == Some(at)),
            Along::Load => cells.iter().any(|cell| loads.get(cell.load) == Some(at)),
        };
        let selected: Vec<bool> = points.iter().map(|(at, _)| is_meant(at)).collect();
        let (unit, title) = match along {
            Along::Speed => (Unit::Rpm, format!("at {}", quantity(load, view.project.sensors.load.unit()))),
            Along::Load => (view.project.sensors.load.unit(), format!("at {}", quantity(speed_rpm, Unit::Rpm))),
        };
        let caption = if after.is_some() { "; dashed: as it is" } else { "" };
        let words = RichText::new(format!("Advance {title}{caption}")).size(view.theme.small);
        ui.add(Label::new(words.color(color(view.theme.palette.ink_secondary))).selectable(false));
        let height = picture_height(ui);
        let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, format!("Slice {title}, before and after")));
        draw(ui, view, rect, unit, [&points, if after.is_some() { &base } else { &[] }], &selected);
    }

    /// The row that the remedy adds above the last one, with that last one dashed.
    fn new_row(ui: &mut egui::Ui, view: &View<'_>, [before, after]: [&Table; 2], load: f64) {
        let row = |table: &Table, load: f64| -> Vec<(f64, f64)> {
            table.speed().breakpoints().iter().map(|&speed_rpm| (speed_rpm, table.lookup(speed_rpm, load))).collect()
        };
        let last = before.load().last();
        let (points, base) = (row(after, load), row(before, last));
        let [new, old] = [load, last].map(|load| quantity(load, view.project.sensors.load.unit()));
        let words = format!("Advance in the new row at {new}; dashed: at {old}");
        let text = RichText::new(&words).size(view.theme.small).color(color(view.theme.palette.ink_secondary));
        ui.add(Label::new(text).selectable(false));
        let height = picture_height(ui);
        let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
        let name = format!("Slice at {new}, the new row, and at {old}");
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, &name));
        draw(ui, view, rect, Unit::Rpm, [&points, &base], &vec![true; points.len()]);
    }
}

/// The height of the picture: what is left of the part that is seen, so that its scale is seen too, unless that is too low.
fn picture_height(ui: &egui::Ui) -> f32 {
    let above = ui.cursor().top() - ui.max_rect().top();
    let (left, (least, most)) = (ui.clip_rect().height() - above, CHECKS_SIZES.picture_height);
    if left < least { most } else { left.min(most) }
}

/// A slice; the affected points are marked as selected.
fn draw(ui: &egui::Ui, view: &View<'_>, rect: Rect, unit: Unit, [points, base]: [&[(f64, f64)]; 2], selected: &[bool]) {
    let spec = SliceSpec {
        points,
        base,
        value_range: (f64::INFINITY, f64::NEG_INFINITY),
        scale_stands: false,
        now: &[],
        active: None,
        hovered: None,
        selected,
        units: (unit, Unit::Degree),
        look: view.theme.palette.look,
        rect: viewport(rect),
    };
    paint_slice(ui.painter(), rect, &spec, view.theme);
}

/// The project after a remedy with the remaining findings, or why there is none; `None` while it is being
/// computed.
fn after<'a>(view: &View<'a>, cure: &Cure) -> Option<Result<(&'a Project, String), &'a Refusal>> {
    let cured = view.cured.filter(|cured| cured.cure == *cure)?;
    match &cured.outcome {
        Outcome::Working => None,
        Outcome::Done(project, tally) => Some(Ok((project, tally.words()))),
        Outcome::Refused(reason) => Some(Err(reason)),
    }
}

/// The one of these cells that moves most; `None` if none of them moves.
fn most_changed(before: &Table, after: &Table, cells: &[Cell]) -> Option<Cell> {
    let moved = |cell: &Cell| {
        let (speed, load) = (before.speed().breakpoints()[cell.speed], before.load().breakpoints()[cell.load]);
        (after.lookup(speed, load) - before.at(*cell)).abs()
    };
    let fits = |cell: &&Cell| cell.speed < before.speed().len() && cell.load < before.load().len();
    let most =
        cells.iter().filter(fits).copied().reduce(|most, next| if moved(&next) > moved(&most) { next } else { most });
    most.filter(|cell| moved(cell) > 0.0)
}

/// The differences, one per line: cells by their breakpoints, fields by their labels.
fn changes(before: &Project, after: &Project) -> Vec<String> {
    let mut lines = cell_changes(before, after);
    let fields = FieldDifferences::between(before, after, Watch::NOBODY).unwrap_or_default().list;
    let is_mark = |path: &str| path.starts_with("advance.origin") || path.starts_with("advance.held");
    let fields = fields.iter().filter(|field| !is_mark(&field.path));
    lines.extend(fields.map(|field| format!("{}: {} becomes {}", field.label, field.base_words, field.edited_words)));
    if lines.len() > SHOWN_CHANGES {
        let more = lines.len() - SHOWN_CHANGES + 1;
        lines.truncate(SHOWN_CHANGES - 1);
        lines.push(format!("and {more} more"));
    }
    lines
}

/// The load of a new last row above where the table ended.
fn new_last_row(before: &Table, after: &Table) -> Option<f64> {
    let (old, new) = (before.load().last(), after.load().last());
    (new > old).then_some(new)
}

/// Every value of a row that was not there before: an extrapolation that the user should check.
fn new_row_words(before: &Project, after: &Project) -> Option<String> {
    let (old, new) = (before.advance.table(), after.advance.table());
    let load = new_last_row(old, new)?;
    let row = new.row(new.load().len() - 1).iter();
    let values: Vec<String> = row.map(|&deg| fixed(deg, step_decimals(before.step_deg).max(1))).collect();
    let at = quantity(load, before.sensors.load.unit());
    Some(format!("New row at {at}: {} °", values.join("  ")))
}

fn cell_changes(before: &Project, after: &Project) -> Vec<String> {
    let (old, new) = (before.advance.table(), after.advance.table());
    if let Some(words) = new_row_words(before, after) {
        return vec![words];
    }
    if old.speed() != new.speed() || old.load() != new.load() {
        return Vec::new();
    }
    let changed = old.cells().filter(|&cell| old.at(cell) != new.at(cell));
    let degrees = |deg: f64| with_unit(&fixed(deg, step_decimals(before.step_deg)), Unit::Degree);
    let line = |cell: Cell| {
        let (speed_rpm, load) = (old.speed().breakpoints()[cell.speed], old.load().breakpoints()[cell.load]);
        let place = point(speed_rpm, load, before.sensors.load.unit());
        format!("{place}: {} becomes {}", degrees(old.at(cell)), degrees(new.at(cell)))
    };
    changed.map(line).collect()
}
