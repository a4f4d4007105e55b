//! What the checks found: findings by severity with their remedies, the preview of a remedy, and the
//! thresholds.

mod card;
mod remedy;
mod thresholds;

use eframe::egui::{self, Label, Panel, RichText, ScrollArea};

use crate::checks::{Finding, Severity, assumed_words, relaxed, relaxed_words};
use crate::window::kit::still::{Line, StillList};
use crate::window::kit::theme::engine_sheet_sizes::CHECKS_SIZES;
use crate::window::kit::theme::kit_sizes::SHEET_MARGIN;
use crate::window::kit::theme::{color, strong_label};
use crate::window::state::checks_state::{ChecksMessage, FindingKey};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;
use crate::wording::capital;

pub use self::card::{focus, go};

/// What the sheet's views cache.
#[derive(Default)]
pub struct ChecksSheet {
    remedy: remedy::RemedyView,
    /// The findings, each with its group.
    list: StillList<(Group, Finding)>,
}

/// The heading under which a finding is listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Group {
    Open(Severity),
    Accepted,
}

impl Group {
    fn of(finding: &Finding) -> Self {
        if finding.is_open() { Self::Open(finding.severity) } else { Self::Accepted }
    }

    /// In the order of the sheet.
    fn all() -> impl Iterator<Item = Self> {
        Severity::ALL.into_iter().map(Self::Open).chain([Self::Accepted])
    }

    fn name(self) -> String {
        match self {
            Self::Open(severity) => capital(&format!("{}s", severity.name())),
            Self::Accepted => "Accepted".to_owned(),
        }
    }
}

impl ChecksSheet {
    /// Draws the sheet.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let theme = view.theme;
        let looked_at = looked_at(view);
        let (least, most) = CHECKS_SIZES.side_width;
        Panel::right("checks side")
            .resizable(false)
            .exact_size((ui.available_width() * CHECKS_SIZES.side_share).clamp(least, most))
            .frame(egui::Frame::new().inner_margin(SHEET_MARGIN))
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
                ui.set_max_width((ui.available_width() - CHECKS_SIZES.bar_width).min(CHECKS_SIZES.list_width));
                let is_over = ui.rect_contains_pointer(area);
                let pointed = findings(ui, view, &mut self.list, is_over, outbox);
                relaxed_limits(ui, view);
                propose(view, outbox, pointed.as_ref());
            });
        });
    }
}

/// The finding to show in detail: the one last pointed at, as long as it exists, otherwise the first.
fn looked_at<'a>(view: &View<'a>) -> Option<&'a Finding> {
    let findings = &view.checked.findings;
    let key = view.screen.checks.looked_at.as_ref();
    let chosen = key.and_then(|key| findings.iter().find(|finding| key.is_of(finding)));
    chosen.or_else(|| findings.first())
}

fn heading(ui: &mut egui::Ui, view: &View<'_>) {
    ui.horizontal(|ui| {
        ui.set_height(view.theme.heading_line);
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

/// '8 warnings, 1 note; 1 accepted; 2 limits relaxed; 41 values assumed'.
fn summary(view: &View<'_>) -> String {
    let accepted = view.checked.findings.iter().filter(|finding| !finding.is_open()).count();
    let accepted = (accepted > 0).then(|| format!("{accepted} accepted"));
    let project = view.document.project();
    let parts = [Some(view.checked.tally.words()), accepted, relaxed_words(project), assumed_words(project)];
    parts.into_iter().flatten().collect::<Vec<_>>().join("; ")
}

/// The relaxed limits, below the findings: each with its reason.
fn relaxed_limits(ui: &mut egui::Ui, view: &View<'_>) {
    let limits = relaxed(view.document.project());
    if limits.is_empty() {
        return;
    }
    let theme = view.theme;
    ui.add_space(theme.gap);
    strong_label(ui, format!("Relaxed limits ({})", limits.len()), theme.heading_font());
    let weak = color(theme.palette.ink_secondary);
    for limit in &limits {
        ui.horizontal(|ui| {
            ui.add_space(CHECKS_SIZES.mark_width + theme.gap);
            ui.vertical(|ui| {
                ui.add(Label::new(format!("{}.", capital(&limit.words()))).wrap().selectable(false));
                let reason = RichText::new(format!("Reason: {}", limit.reason_words())).size(theme.small).color(weak);
                ui.add(Label::new(reason).wrap().selectable(false));
            });
        });
    }
}

/// The cards by severity, accepted ones last; while the pointer is over them every card keeps its place.
/// Returns the finding that is pointed at.
fn findings(
    ui: &mut egui::Ui,
    view: &View<'_>,
    list: &mut StillList<(Group, Finding)>,
    is_over: bool,
    outbox: &mut Outbox,
) -> Option<Finding> {
    let all: Vec<(Group, Finding)> =
        view.checked.findings.iter().map(|finding| (Group::of(finding), finding.clone())).collect();
    let lines = list.lines(&all, is_over, |(_, a), (_, b)| FindingKey::of(a) == FindingKey::of(b));
    if view.checked.is_known() && lines.is_empty() {
        let is_strict = relaxed(view.document.project()).is_empty();
        let how = if is_strict { "" } else { ", as far as the limits below let it" };
        ui.label(format!("Nothing found: every check is content with this project{how}."));
        return None;
    }
    let mut pointed = None;
    let places = Group::all().map(Some).chain([None]);
    for place in places {
        let is_here = |line: &&Line<(Group, Finding)>| match place {
            Some(group) => !line.is_new && line.shown.0 == group,
            None => line.is_new,
        };
        let cards: Vec<&Line<(Group, Finding)>> = lines.iter().filter(is_here).collect();
        if cards.is_empty() {
            continue;
        }
        let counts = |now: &(Group, Finding)| place.is_none_or(|group| now.0 == group);
        let count = cards.iter().filter(|line| line.now.as_ref().is_some_and(counts)).count();
        let name = place.map_or_else(|| "New".to_owned(), Group::name);
        ui.add_space(view.theme.gap);
        strong_label(ui, format!("{name} ({count})"), view.theme.heading_font());
        for line in cards {
            match &line.now {
                Some((_, finding)) if card::show(ui, view, finding, is_over, outbox) => pointed = Some(finding.clone()),
                Some(_) => {}
                None => card::show_gone(ui, view, &line.shown.1),
            }
        }
        ui.add_space(view.theme.gap);
    }
    pointed
}

/// Shows the finding that is pointed at in detail and previews its remedy; what was pointed at last stays.
fn propose(view: &View<'_>, outbox: &mut Outbox, pointed: Option<&Finding>) {
    let state = &view.screen.checks;
    if let Some(finding) = pointed.filter(|finding| !state.looked_at.as_ref().is_some_and(|key| key.is_of(finding))) {
        outbox.send(ChecksMessage::LookAt(FindingKey::of(finding)));
        return;
    }
    let wanted = looked_at(view).filter(|finding| finding.is_open()).and_then(|finding| finding.cure.as_ref());
    if state.proposed.as_ref() != wanted && view.checked.is_current(view.document) {
        outbox.send(ChecksMessage::Propose(wanted.cloned()));
    }
}
