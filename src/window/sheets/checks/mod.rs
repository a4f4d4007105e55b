//! What the checks found: a list of findings by severity and of checks that passed, the chosen finding with the preview
//! of its remedy, and the thresholds.

mod bar;
mod detail;
mod remedy;
mod row;
mod thresholds;

use eframe::egui::{self, Label, Panel, RichText, ScrollArea};

use crate::checks::{Finding, Looked, Severity, assumed_words, relaxed, relaxed_words};
use crate::window::kit::still::{Line, StillList};
use crate::window::kit::theme::engine_sheet_sizes::CHECKS_SIZES;
use crate::window::kit::theme::kit_sizes::{SHEET_MARGIN, TIGHT_GAP};
use crate::window::kit::theme::{color, strong_label};
use crate::window::state::checks_state::{ChecksMessage, FindingKey};
use crate::window::state::outbox::Outbox;
use crate::window::tasks::checking::Checked;
use crate::window::views::view::View;
use crate::wording::capital;

use self::bar::TickDrag;

pub use self::detail::{focus, go};

/// What the sheet's views cache.
#[derive(Default)]
pub struct ChecksSheet {
    remedy: remedy::RemedyView,
    /// The findings, each with its group.
    list: StillList<(Group, Finding)>,
    /// The check whose thresholds were scrolled into view.
    scrolled_to: Option<&'static str>,
    /// The tick that is dragged.
    drag: Option<TickDrag>,
    /// What was found when that drag began: it decides which rows there are, so that the tick stays under the pointer.
    held: Option<Checked>,
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
        self.hold(view);
        let (least, most) = CHECKS_SIZES.side_width;
        Panel::right("checks side")
            .resizable(false)
            .exact_size((ui.available_width() * CHECKS_SIZES.side_share).clamp(least, most))
            .frame(egui::Frame::new().inner_margin(SHEET_MARGIN))
            .show(ui, |ui| {
                detail::show(ui, view, looked_at, outbox);
                ui.separator();
                self.remedy.show(ui, view, looked_at);
                ui.separator();
                thresholds::show(ui, view, looked_at, &mut self.scrolled_to, outbox);
            });
        egui::CentralPanel::no_frame().show(ui, |ui| {
            let area = ui.max_rect().shrink2(egui::vec2(theme.margin, 0.0));
            let mut list = ui.new_child(egui::UiBuilder::new().max_rect(area));
            heading(&mut list, view);
            ScrollArea::vertical().id_salt("findings").auto_shrink(false).show(&mut list, |ui| {
                ui.set_max_width((ui.available_width() - CHECKS_SIZES.bar_width).min(CHECKS_SIZES.list_width));
                ui.spacing_mut().item_spacing.y = 0.0;
                let is_over = ui.rect_contains_pointer(area);
                let listed = self.held.as_ref().unwrap_or(view.checked);
                findings(ui, view, listed, (&mut self.list, &mut self.drag), is_over, outbox);
                relaxed_limits(ui, view);
                passed(ui, view, listed, &mut self.drag, outbox);
            });
            bar::end_lost(ui, &mut self.drag, outbox);
            propose(view, outbox);
        });
    }

    fn hold(&mut self, view: &View<'_>) {
        match self.drag {
            None => self.held = None,
            Some(_) => _ = self.held.get_or_insert_with(|| view.checked.clone()),
        }
    }
}

/// Arrows choose the finding above or below, Enter goes to its place; buttons keep their own keys.
pub fn keys(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let findings: Vec<&Finding> = in_order(view.checked).collect();
    let rows: Vec<egui::Id> = findings.iter().map(|finding| row::id(&FindingKey::of(finding))).collect();
    let has_keys = ctx.memory(|memory| memory.focused()).is_none_or(|focused| rows.contains(&focused));
    if !has_keys {
        return;
    }
    let chosen = looked_at(view);
    let pressed = |key: egui::Key| ctx.input_mut(|input| input.consume_key(egui::Modifiers::NONE, key));
    if let Some(chosen) = chosen
        && pressed(egui::Key::Enter)
    {
        detail::go_to(ctx, view, chosen, outbox);
        return;
    }
    let at = chosen.and_then(|chosen| findings.iter().position(|finding| FindingKey::of(finding).is_of(chosen)));
    let to = match (pressed(egui::Key::ArrowUp), pressed(egui::Key::ArrowDown)) {
        (true, false) => at.map_or(0, |at| at.saturating_sub(1)),
        (false, true) => at.map_or(0, |at| at + 1),
        _ => return,
    };
    if let Some((finding, &id)) = findings.get(to).zip(rows.get(to)) {
        ctx.memory_mut(|memory| memory.request_focus(id));
        outbox.send(ChecksMessage::LookAt(FindingKey::of(finding)));
    }
}

/// The findings as they are listed: by severity, accepted ones last.
fn in_order(checked: &Checked) -> impl Iterator<Item = &Finding> {
    let all = &checked.findings;
    all.iter().filter(|finding| finding.is_open()).chain(all.iter().filter(|finding| !finding.is_open()))
}

/// The finding to show in detail: the chosen one, or the first until one is chosen. Where the chosen one is gone there is
/// none: a second click on its remedy must not carry out another.
fn looked_at<'a>(view: &View<'a>) -> Option<&'a Finding> {
    let findings = &view.checked.findings;
    match &view.screen.checks.looked_at {
        Some(key) => findings.iter().find(|finding| key.is_of(finding)),
        None => in_order(view.checked).next(),
    }
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

/// The rows by severity, accepted ones last; while the pointer is over them every row keeps its place.
fn findings(
    ui: &mut egui::Ui,
    view: &View<'_>,
    listed: &Checked,
    (list, drag): (&mut StillList<(Group, Finding)>, &mut Option<TickDrag>),
    is_over: bool,
    outbox: &mut Outbox,
) {
    let all: Vec<(Group, Finding)> = in_order(listed).map(|finding| (Group::of(finding), finding.clone())).collect();
    let lines = list.lines(&all, is_over, |(_, a), (_, b)| FindingKey::of(a) == FindingKey::of(b));
    if view.checked.is_known() && lines.is_empty() {
        let is_strict = relaxed(view.document.project()).is_empty();
        let how = if is_strict { "" } else { ", as far as the limits below let it" };
        ui.label(format!("Nothing found: every check is content with this project{how}."));
        return;
    }
    let chosen = looked_at(view).map(FindingKey::of);
    let places = Group::all().map(Some).chain([None]);
    for place in places {
        let is_here = |line: &&Line<(Group, Finding)>| match place {
            Some(group) => !line.is_new && line.shown.0 == group,
            None => line.is_new,
        };
        let rows: Vec<&Line<(Group, Finding)>> = lines.iter().filter(is_here).collect();
        if rows.is_empty() {
            continue;
        }
        let counts = |now: &(Group, Finding)| place.is_none_or(|group| now.0 == group);
        let count = rows.iter().filter(|line| line.now.as_ref().is_some_and(counts)).count();
        group(ui, view, &place.map_or_else(|| "New".to_owned(), Group::name), count);
        for line in rows {
            match &line.now {
                Some((_, listed)) => {
                    let key = FindingKey::of(listed);
                    let finding = view.checked.findings.iter().find(|now| key.is_of(now)).unwrap_or(listed);
                    let is_chosen = chosen.as_ref().is_some_and(|key| key.is_of(finding));
                    row::finding(ui, view, finding, is_chosen, drag, outbox);
                }
                None => row::gone(ui, view, &line.shown.1),
            }
        }
    }
}

/// The heading of a group of rows, with how many there are.
fn group(ui: &mut egui::Ui, view: &View<'_>, name: &str, count: usize) {
    ui.add_space(view.theme.gap);
    strong_label(ui, format!("{name} ({count})"), view.theme.small_font());
    ui.add_space(TIGHT_GAP);
}

/// The checks that found nothing, each with what came nearest to its bound.
fn passed(ui: &mut egui::Ui, view: &View<'_>, listed: &Checked, drag: &mut Option<TickDrag>, outbox: &mut Outbox) {
    let found = |id: &str| listed.findings.iter().any(|finding| finding.id == id);
    let passed: Vec<&Looked> = listed.looked.iter().filter(|looked| !found(looked.check.id)).collect();
    if passed.is_empty() {
        return;
    }
    group(ui, view, "Passed", passed.len());
    for listed in passed {
        let looked = view.checked.looked.iter().find(|now| now.check.id == listed.check.id).unwrap_or(listed);
        row::passed(ui, view, looked, drag, outbox);
    }
}

/// Previews the remedy of the chosen finding.
fn propose(view: &View<'_>, outbox: &mut Outbox) {
    let wanted = looked_at(view).filter(|finding| finding.is_open()).and_then(|finding| finding.cure.as_ref());
    if view.screen.checks.proposed.as_ref() != wanted && view.checked.is_current(view.document) {
        outbox.send(ChecksMessage::Propose(wanted.cloned()));
    }
}
