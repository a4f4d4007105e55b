//! What to read next, and the sentence that takes what is known into the points.

use std::collections::{BTreeSet, HashMap};

use eframe::egui::{self, Align, Button, Rect, Sense, Ui, UiBuilder, vec2};

use super::frames::show_focus;
use super::kept::{Frame, Kept};
use crate::project::MeasuredPoint;
use crate::window::kit::theme::evidence_sizes::EVIDENCE_SIZES;
use crate::window::kit::theme::{color, elided, hairline, strong_font};
use crate::window::state::edits::EvidenceEdit;
use crate::window::state::evidence_state::{EvidenceMessage, SweptPoint};
use crate::window::state::outbox::Outbox;
use crate::window::views::surface::heading;
use crate::window::views::view::View;
use crate::wording::{Unit, count, quantity};
use crate::worksheet::SweepChoice;

/// Draws both into a rectangle, the sentence at its lower edge.
pub(super) fn show(
    ui: &mut Ui,
    rect: Rect,
    (kept, taking): (&Kept, &mut Taking),
    view: &View<'_>,
    outbox: &mut Outbox,
) {
    let theme = view.theme;
    taking.settle(kept, view);
    let line = rect.with_max_y(rect.top() + theme.small_target);
    // Where knock was heard, nothing above what was clean is proposed; elsewhere nobody knows.
    let is_unheard = kept.frames.iter().any(|frame| !frame.next_deg.is_empty() && frame.lines.knock_from.is_none());
    let remark = if is_unheard { "listen for knock at every step" } else { "never above what was clean" };
    heading(ui, line, "Read next", remark, theme);
    let button = Rect::from_min_max(rect.left_bottom() - vec2(0.0, theme.field_height), rect.max);
    let list = Rect::from_min_max(line.left_bottom(), button.right_top() - vec2(0.0, theme.gap));
    lines(ui, list, kept, view, outbox);
    take(ui, button, (kept, taking), view, outbox);
}

fn lines(ui: &mut Ui, rect: Rect, kept: &Kept, view: &View<'_>, outbox: &mut Outbox) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("next readings"));
    egui::ScrollArea::vertical().id_salt("next readings").auto_shrink(false).show(&mut ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        let wanted: Vec<&Frame> = kept.frames.iter().filter(|frame| !frame.next_deg.is_empty()).collect();
        if wanted.is_empty() {
            ui.label("Nothing: every point is known well enough.");
        }
        for frame in wanted {
            let (rect, response) = ui.allocate_exact_size(
                vec2(ui.available_width(), EVIDENCE_SIZES.row_height.max(theme.small_target)),
                Sense::click(),
            );
            if response.gained_focus() {
                response.scroll_to_me(None);
            }
            let words = || next_words(frame, view);
            response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, words()));
            if !ui.is_rect_visible(rect) {
                continue;
            }
            if response.hovered() {
                ui.painter().rect_filled(rect, 0.0, color(palette.field_hover));
            }
            let y = ui.painter().round_to_pixel_center(rect.bottom());
            ui.painter().hline(rect.x_range(), y, hairline(color(palette.rule)));
            let title = elided(ui, rect.with_max_x(rect.center().x), frame.title(view), theme.body_font());
            title.paint(ui, Align::Min, color(palette.ink));
            let degs = elided(ui, rect.with_min_x(rect.center().x), degrees(frame), strong_font(&theme.body_font()));
            degs.paint(ui, Align::Max, color(palette.ink));
            show_focus(ui, &response, rect, view);
            if response.clicked() {
                outbox.send(EvidenceMessage::Look(frame.key.clone()));
            }
            response.on_hover_ui(|ui| _ = ui.label(words()));
        }
        for remark in &kept.remarks {
            ui.label(egui::RichText::new(remark).size(theme.small).color(color(palette.ink_secondary)));
        }
    });
}

/// '24°, 28°'.
fn degrees(frame: &Frame) -> String {
    let degs: Vec<String> = frame.next_deg.iter().map(|deg| quantity(*deg, Unit::Degree)).collect();
    degs.join(", ")
}

fn next_words(frame: &Frame, view: &View<'_>) -> String {
    format!("{}: read {}", frame.title(view), degrees(frame))
}

/// How much the sentence takes, counted again only where something changed.
#[derive(Default)]
pub(super) struct Taking {
    of: Option<Of>,
    /// The sweeps whose points it takes, and how many there are of those.
    frames: usize,
    points: usize,
    /// How many of the points are not among the project's as they are.
    new: usize,
    /// How many of the sweeps that are there are gathered.
    gathered: usize,
}

/// The answer, the content on show, the choice and the gathered sweeps that were counted.
type Of = (u64, u64, SweepChoice, BTreeSet<SweptPoint>);

impl Taking {
    fn settle(&mut self, kept: &Kept, view: &View<'_>) {
        let state = &view.screen.evidence;
        let is_same = self.of.as_ref().is_some_and(|(serial, content_key, choice, gathered)| {
            (*serial, *content_key, *choice) == (kept.serial, view.content_key, state.choice)
                && *gathered == state.gathered
        });
        if is_same {
            return;
        }
        let there: HashMap<&str, &MeasuredPoint> =
            view.project.evidence.points.iter().map(|point| (point.name.as_str(), &**point)).collect();
        let is_new = |point: &&MeasuredPoint| there.get(point.name.as_str()) != Some(point);
        let points = || to_take(kept, view).flat_map(|frame| frame.measured(state.choice));
        *self = Self {
            of: Some((kept.serial, view.content_key, state.choice, state.gathered.clone())),
            frames: to_take(kept, view).count(),
            points: points().count(),
            new: points().filter(is_new).count(),
            gathered: gathered(kept, view),
        };
    }
}

/// The sweeps whose points the sentence takes: the gathered ones, or all that were not rejected.
fn to_take<'a>(kept: &'a Kept, view: &'a View<'_>) -> impl Iterator<Item = &'a Frame> {
    let state = &view.screen.evidence;
    let gathers = gathered(kept, view) > 0;
    let is_meant =
        move |frame: &&Frame| frame.rejected().is_none() && (!gathers || state.gathered.contains(&frame.key));
    kept.frames.iter().filter(is_meant).filter(|frame| !frame.measured(state.choice).is_empty())
}

/// How many of the sweeps that are there are gathered.
fn gathered(kept: &Kept, view: &View<'_>) -> usize {
    let state = &view.screen.evidence;
    kept.frames.iter().filter(|frame| state.gathered.contains(&frame.key)).count()
}

fn take(ui: &mut Ui, rect: Rect, (kept, taking): (&Kept, &Taking), view: &View<'_>, outbox: &mut Outbox) {
    let (theme, state) = (view.theme, &view.screen.evidence);
    let text = match (taking.frames, taking.new) {
        (0, _) => "No sweep says enough for a point".to_owned(),
        (all, 0) => format!("All {all} are among the points"),
        (all, _) => format!("Take {all} into the points"),
    };
    let out = kept.frames.len().saturating_sub(taking.frames);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).layout(egui::Layout::left_to_right(Align::Center)));
    let tip = format!(
        "Puts {} into the project, each at its own place, as {}. A point with an open interval counts only as at most or at \
         least. One step; points taken before from the same sweeps are replaced.",
        count(taking.points, "measured point"),
        state.choice.words()
    );
    let response = ui.add_enabled(taking.new > 0, Button::new(text)).on_hover_text(tip);
    if response.clicked() {
        let points: Vec<MeasuredPoint> =
            to_take(kept, view).flat_map(|frame| frame.measured(state.choice).to_vec()).collect();
        let label = format!("Take {} from sweeps, {}", count(points.len(), "point"), state.choice.words());
        outbox.edit(label, EvidenceEdit::Put(points));
        outbox.send(EvidenceMessage::GatherNone);
    }
    let beside = Rect::from_min_max(ui.cursor().min, rect.max);
    let words = match (taking.gathered, out) {
        (0, 0) => String::new(),
        (0, out) => format!("{out} stay out"),
        (gathered, _) => format!("{gathered} gathered"),
    };
    _ = elided(&ui, beside.with_min_y(rect.top()), words, theme.small_font()).paint(
        &ui,
        Align::Max,
        color(theme.palette.ink_secondary),
    );
}
