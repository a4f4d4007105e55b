//! The rows of the list: findings, those that are gone, and checks that found nothing, each with its bar.

use eframe::egui::{self, Align, Color32, EventFilter, Id, Rect, Role, Sense, WidgetInfo, pos2, vec2};

use super::bar::{Bar, TickDrag};
use super::detail::go_to;
use crate::checks::{Finding, Looked, Margin};
use crate::project::Looser;
use crate::window::kit::marks;
use crate::window::kit::theme::engine_sheet_sizes::CHECKS_SIZES;
use crate::window::kit::theme::kit_sizes::{HAIRLINE, LARGE_MARK, MARK_INSET, STRONG};
use crate::window::kit::theme::{color, elided, elided_middle, hairline, ring, severity_ink};
use crate::window::state::checks_state::{ChecksMessage, FindingKey};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;
use crate::wording::{capital, lower_first};

/// The parts of a row.
struct Places {
    mark: Rect,
    /// Up to the bar: the title, the place and the figures.
    words: Rect,
    bar: Rect,
}

impl Places {
    fn of(view: &View<'_>, rect: Rect) -> Self {
        let gap = view.theme.gap;
        let rest = rect.with_max_x(rect.right() - gap);
        let bar = rest.with_min_x(rest.right() - CHECKS_SIZES.gauge_width);
        let from = rect.left() + STRONG + MARK_INSET;
        let mark = pos2(from + gap / 2.0, rect.center().y - LARGE_MARK.y / 2.0);
        Self {
            mark: Rect::from_min_size(mark, LARGE_MARK),
            words: Rect::from_x_y_ranges(from + CHECKS_SIZES.mark_width..=bar.left() - gap, rect.y_range()),
            bar,
        }
    }
}

/// The widget of a finding's row.
pub(super) fn id(key: &FindingKey) -> Id {
    Id::unique(("row of a finding", key))
}

/// What was measured for a finding; `None` if its numbers only distinguish states.
fn margin_of(finding: &Finding) -> Option<Margin> {
    let Finding { value, threshold: allowed, unit, set_by, .. } = *finding;
    // Where the bound is no threshold, the value is on the side that is not allowed.
    let side = if value > allowed { Looser::Above } else { Looser::Below };
    let looser = set_by.map_or(side, |threshold| threshold.looser);
    // A bound on how far a value is from nothing holds on both sides.
    let value = if looser == Looser::Above && value < 0.0 && allowed >= 0.0 { -value } else { value };
    (!unit.is_none()).then_some(Margin { value, allowed, unit, looser, set_by })
}

/// A finding; a click or an arrow key chooses it, a double click or Enter goes to its place.
pub(super) fn finding(
    ui: &mut egui::Ui,
    view: &View<'_>,
    finding: &Finding,
    is_chosen: bool,
    drag: &mut Option<TickDrag>,
    outbox: &mut Outbox,
) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let key = FindingKey::of(finding);
    let rect = place(ui);
    let response = ui.interact(rect, id(&key), Sense::click());
    let told = capital(&finding.message);
    let name = format!("{}: {}", capital(finding.severity.name()), finding.message);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    ui.ctx().accesskit_node_builder(response.id, |node| node.set_selected(is_chosen));
    if response.has_focus() {
        let arrows = EventFilter { vertical_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, arrows));
    }
    ground(ui, view, rect, is_chosen, &response);
    let places = Places::of(view, rect);
    let ink = severity_ink(theme, finding.severity);
    ui.painter().add(marks::severity(places.mark, finding.severity, color(ink)));
    let weak = if finding.is_open() { palette.ink } else { palette.ink_secondary };
    let margin = margin_of(finding);
    let told_figures = margin.as_ref().map(|margin| match margin.set_by {
        Some(_) => figures(margin),
        // What it was held against may be the only value that is right.
        None => margin.figures().join(" against "),
    });
    words(ui, view, places.words, (title(finding), color(weak)), &finding.place.words, told_figures.as_deref());
    if let Some(margin) = margin {
        let bar = Bar { margin, found: Some(finding.severity), id: id(&key).with("tick") };
        bar.show(ui, view, places.bar, drag, outbox);
    }
    if response.double_clicked() {
        go_to(ui.ctx(), view, finding, outbox);
    } else if response.clicked() {
        response.request_focus();
        outbox.send(ChecksMessage::LookAt(key));
    }
    let how = "Click to see it in detail; double-click or Enter to go there.";
    response.on_hover_text(format!("{told}.\n{}\n{how}", finding.place.words));
}

/// A finding that no longer exists, in the place that it had.
pub(super) fn gone(ui: &mut egui::Ui, view: &View<'_>, finding: &Finding) {
    let rect = place(ui);
    let told = format!("No longer found: {}.", finding.message);
    let response = ui.interact(rect, id(&FindingKey::of(finding)), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &told));
    rule(ui, view, rect);
    let ink = color(view.theme.palette.ink_secondary);
    let gone = format!("No longer found: {}", lower_first(title(finding)));
    words(ui, view, Places::of(view, rect).words, (&gone, ink), &finding.place.words, None);
    response.on_hover_text(told);
}

/// A check that found nothing, with what came nearest to its bound.
pub(super) fn passed(
    ui: &mut egui::Ui,
    view: &View<'_>,
    looked: &Looked,
    drag: &mut Option<TickDrag>,
    outbox: &mut Outbox,
) {
    let (theme, palette, check) = (view.theme, view.theme.palette, looked.check);
    let rect = place(ui);
    let response = ui.interact(rect, Id::unique(("row of a passed check", check.id)), Sense::hover());
    let said = looked.margin.map_or_else(|| "none found".to_owned(), |margin| margin.words());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("Passed: {}, {said}", check.title)));
    rule(ui, view, rect);
    let places = Places::of(view, rect);
    words(
        ui,
        view,
        places.words,
        (check.title, color(palette.ink)),
        "",
        looked.margin.as_ref().map(figures).as_deref(),
    );
    match &looked.margin {
        Some(margin) => {
            let bar = Bar { margin: *margin, found: None, id: Id::unique(("tick of a check", check.id)) };
            bar.show(ui, view, places.bar, drag, outbox);
        }
        None => {
            let weak = color(palette.ink_secondary);
            _ = elided(ui, places.bar, said.clone(), theme.small_font()).paint(ui, Align::Min, weak);
        }
    }
    response.on_hover_text(format!("{}: {said}.\n{}", check.title, check.reason));
}

fn title(finding: &Finding) -> &'static str {
    crate::checks::check(finding.id).map_or(finding.id, |check| check.title)
}

/// What a check is called, at the other end the figures, and beside the title the place. What does not fit beside the
/// title has numbers, and is left out rather than cut.
fn words(
    ui: &egui::Ui,
    view: &View<'_>,
    rect: Rect,
    (title, ink): (&str, Color32),
    place: &str,
    figures: Option<&str>,
) {
    let theme = view.theme;
    let weak = color(theme.palette.ink_secondary);
    let title = elided_middle(ui, rect, title, theme.body_font());
    title.paint(ui, Align::Min, ink);
    let mut beside = rect.with_min_x(rect.left() + title.width() + theme.gap);
    if let Some(figures) = figures {
        let figures = elided(ui, beside, figures, theme.small_font());
        if !figures.is_cut() {
            let at = figures.paint(ui, Align::Max, weak);
            beside.max.x = at.left() - theme.gap;
        }
    }
    let place = elided(ui, beside, place, theme.small_font());
    if !place.is_cut() {
        place.paint(ui, Align::Min, weak);
    }
}

/// '3.167°, at most 2.5°'.
fn figures(margin: &Margin) -> String {
    let [value, allowed] = margin.figures();
    format!("{value}, {} {allowed}", margin.side())
}

fn place(ui: &mut egui::Ui) -> Rect {
    ui.allocate_exact_size(vec2(ui.available_width(), CHECKS_SIZES.row_height), Sense::hover()).0
}

fn rule(ui: &egui::Ui, view: &View<'_>, rect: Rect) {
    ui.painter().hline(rect.x_range(), rect.bottom() - HAIRLINE / 2.0, hairline(color(view.theme.palette.rule)));
}

/// The bar of the chosen row, the ground under the pointer, the ring of the keyboard.
fn ground(ui: &egui::Ui, view: &View<'_>, rect: Rect, is_chosen: bool, response: &egui::Response) {
    let palette = view.theme.palette;
    if is_chosen || response.hovered() {
        let fill = if is_chosen { palette.panel } else { palette.field_hover };
        ui.painter().rect_filled(rect, 0.0, color(fill));
    }
    rule(ui, view, rect);
    if is_chosen {
        let bar = rect.with_max_x(rect.left() + view.theme.rail_mark);
        ui.painter().rect_filled(bar, 0.0, color(palette.accent));
    }
    if response.has_focus() {
        let stroke = ring(color(palette.ink));
        ui.painter().rect_stroke(rect, 0.0, stroke, egui::StrokeKind::Inside);
    }
}
