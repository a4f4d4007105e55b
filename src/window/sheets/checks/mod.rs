//! What the checks noticed: findings by severity with their remedies, what a remedy would do, and the thresholds.

mod card;
mod deeds;
mod remedy;
mod state;
mod thresholds;

use eframe::egui::{self, Panel, ScrollArea};

use crate::checks::{Finding, Severity};
use crate::window::theme::{color, strong_label};
use crate::window::{Outbox, View};
use crate::wording::capital;

pub use deeds::{cure, focus, go};
pub use state::{ChecksState, FindingKey};

/// Sizes of this sheet, in points.
struct ChecksSizes {
    /// Share of the width that the column with remedy and thresholds has, and its least and largest width.
    side_share: f32,
    side_width: (f32, f32),
    /// Height of what a remedy would do.
    remedy_height: f32,
    /// Height of the picture in it.
    picture_height: f32,
    /// Height of the line with the heading.
    heading_line: f32,
    /// Where there is less room beside the triangle, the figures stand with the remedy alone.
    least_width_with_figures: f32,
    /// Width of the column with the triangles.
    mark_width: f32,
    /// A triangle.
    mark: egui::Vec2,
    /// Width of a threshold's field.
    field_width: f32,
    /// Width of the button that resets a threshold.
    reset_width: f32,
    /// The list of findings is no wider than this, so that its lines can be read.
    list_width: f32,
    /// Height of a line with a threshold.
    line_height: f32,
    /// Room for the scroll bar right of a list.
    bar_width: f32,
}

const SIZES: ChecksSizes = ChecksSizes {
    side_share: 0.36,
    side_width: (300.0, 400.0),
    remedy_height: 330.0,
    picture_height: 168.0,
    heading_line: 34.0,
    least_width_with_figures: 560.0,
    mark_width: 22.0,
    mark: egui::vec2(13.0, 12.0),
    field_width: 104.0,
    reset_width: 50.0,
    list_width: 960.0,
    line_height: 26.0,
    bar_width: 10.0,
};

/// What the sheet's views keep for speed.
#[derive(Default)]
pub struct ChecksSheet {
    remedy: remedy::RemedyView,
}

impl ChecksSheet {
    /// Draws the sheet.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let theme = view.theme;
        let looked_at = looked_at(view);
        let (least, most) = SIZES.side_width;
        Panel::right("checks side")
            .resizable(false)
            .exact_size((ui.available_width() * SIZES.side_share).clamp(least, most))
            .frame(egui::Frame::new().inner_margin(egui::Margin::symmetric(14, 0)))
            .show(ui, |ui| {
                self.remedy.show(ui, view, looked_at);
                ui.separator();
                thresholds::show(ui, view, looked_at, outbox);
            });
        egui::CentralPanel::no_frame().show(ui, |ui| {
            let area = ui.max_rect().shrink2(egui::vec2(theme.margin, 0.0));
            let mut list = ui.new_child(egui::UiBuilder::new().max_rect(area));
            heading(&mut list, view);
            ScrollArea::vertical().id_salt("findings").auto_shrink(false).show(&mut list, |ui| {
                ui.set_max_width((ui.available_width() - SIZES.bar_width).min(SIZES.list_width));
                let pointed = findings(ui, view, outbox);
                propose(view, outbox, pointed);
            });
        });
    }
}

/// The finding to tell more about: the one last pointed at, while it is there, else the first.
fn looked_at<'a>(view: &View<'a>) -> Option<&'a Finding> {
    let findings = &view.checked.findings;
    let key = view.screen.checks.looked_at.as_ref();
    let chosen = key.and_then(|key| findings.iter().find(|finding| key.is_of(finding)));
    chosen.or_else(|| findings.first())
}

fn heading(ui: &mut egui::Ui, view: &View<'_>) {
    ui.horizontal(|ui| {
        ui.set_height(SIZES.heading_line);
        strong_label(ui, "Checks", view.theme.heading_font());
        ui.add_space(view.theme.gap);
        let checked = view.checked;
        let words = match &checked.fault {
            Some(fault) => fault.clone(),
            None if !checked.is_known() => "checking\u{2026}".into(),
            None => summary(view),
        };
        let ink = color(view.theme.palette.ink_secondary);
        ui.label(egui::RichText::new(words).color(ink));
    });
}

/// '8 warnings, 1 note; 1 accepted'.
fn summary(view: &View<'_>) -> String {
    let accepted = view.checked.findings.iter().filter(|finding| !finding.is_open()).count();
    let words = view.checked.tally.words();
    if accepted == 0 { words } else { format!("{words}; {accepted} accepted") }
}

/// The cards by severity, accepted ones last. The answer is the finding that is pointed at.
fn findings<'a>(ui: &mut egui::Ui, view: &View<'a>, outbox: &mut Outbox) -> Option<&'a Finding> {
    let all = &view.checked.findings;
    if view.checked.is_known() && all.is_empty() {
        ui.label("Nothing found: every check is content with this project.");
        return None;
    }
    let mut pointed = None;
    for severity in Severity::ALL {
        let open: Vec<&Finding> =
            all.iter().filter(|finding| finding.is_open() && finding.severity == severity).collect();
        pointed = group(ui, view, &capital(&format!("{}s", severity.name())), &open, outbox).or(pointed);
    }
    let accepted: Vec<&Finding> = all.iter().filter(|finding| !finding.is_open()).collect();
    group(ui, view, "Accepted", &accepted, outbox).or(pointed)
}

fn group<'a>(
    ui: &mut egui::Ui,
    view: &View<'_>,
    name: &str,
    findings: &[&'a Finding],
    outbox: &mut Outbox,
) -> Option<&'a Finding> {
    if findings.is_empty() {
        return None;
    }
    ui.add_space(view.theme.gap);
    strong_label(ui, format!("{name} ({})", findings.len()), view.theme.heading_font());
    let mut pointed = None;
    for finding in findings {
        if card::show(ui, view, finding, outbox) {
            pointed = Some(*finding);
        }
    }
    ui.add_space(view.theme.gap);
    pointed
}

/// Has the finding that is pointed at told about, and its remedy carried out for show; what was pointed at last stays.
fn propose(view: &View<'_>, outbox: &mut Outbox, pointed: Option<&Finding>) {
    let state = &view.screen.checks;
    if let Some(finding) = pointed.filter(|finding| !state.looked_at.as_ref().is_some_and(|key| key.is_of(finding))) {
        let key = FindingKey::of(finding);
        outbox.screen(move |screen| screen.checks.looked_at = Some(key));
        return;
    }
    let wanted = looked_at(view).filter(|finding| finding.is_open()).and_then(|finding| finding.cure.as_ref());
    if state.proposed.as_ref() != wanted && view.checked.is_current(view.document) {
        let wanted = wanted.cloned();
        outbox.screen(move |screen| screen.checks.proposed = wanted);
    }
}
