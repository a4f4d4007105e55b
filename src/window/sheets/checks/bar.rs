//! What was measured against what is allowed, as a small bar whose tick is the threshold and can be dragged.

use eframe::egui::{self, CursorIcon, Key, Pos2, Rect, Sense, pos2, vec2};

use super::thresholds;
use crate::checks::{Margin, Severity, Threshold};
use crate::project::Looser;
use crate::window::kit::marks;
use crate::window::kit::scene_painter::card;
use crate::window::kit::slider::Slider;
use crate::window::kit::theme::engine_sheet_sizes::CHECKS_SIZES;
use crate::window::kit::theme::{color, severity_ink};
use crate::window::state::outbox::{Action, Outbox};
use crate::window::views::grip::FINE_SHARE;
use crate::window::views::view::View;
use crate::wording::{quantity, rounded};

/// The scale reaches so far beyond the larger of both numbers, as a share of it.
const BEYOND: f64 = 0.25;
/// A step of the tick as a share of the threshold's default.
const STEP_SHARE: f64 = 0.02;

/// The drag of a tick.
pub(super) struct TickDrag {
    /// Of which threshold, in which row.
    id: egui::Id,
    /// Where the tick is, before it is rounded.
    value: f64,
    /// What it sets.
    threshold: &'static Threshold,
    /// The scale, which stands during the drag.
    scale: (f64, f64),
    /// Whether it has changed the project.
    is_shown: bool,
    /// Whether it was given up: nothing happens until the button is released.
    is_over: bool,
}

/// Ends a drag whose row was gone when the button was released.
pub(super) fn end_lost(ui: &egui::Ui, drag: &mut Option<TickDrag>, outbox: &mut Outbox) {
    let is_down = ui.input(|input| input.pointer.any_down());
    if let Some(lost) = drag.take_if(|_| !is_down)
        && !lost.is_over
    {
        outbox.end_drag();
    }
}

/// A value of a threshold in whole steps, within its range.
fn settled(threshold: &Threshold, value: f64, step: f64) -> f64 {
    let stepped = if step > 0.0 { (value / step).round() * step } else { value };
    rounded(stepped, 3).clamp(threshold.low, threshold.high)
}

/// One bar.
pub(super) struct Bar {
    /// The threshold that sets its bound is what the tick sets; without one it has no handle.
    pub(super) margin: Margin,
    /// The ink of what was found; of a check that passed it is the usual one.
    pub(super) found: Option<Severity>,
    /// Tells the bars of one threshold apart.
    pub(super) id: egui::Id,
}

impl Bar {
    /// Draws it and lets the tick be dragged, one labelled step of the history; Esc gives that up, and Shift is fine.
    pub(super) fn show(
        &self,
        ui: &egui::Ui,
        view: &View<'_>,
        rect: Rect,
        drag: &mut Option<TickDrag>,
        outbox: &mut Outbox,
    ) {
        let held = drag.as_ref().filter(|drag| drag.id == self.id);
        let scale = held.map_or_else(|| self.scale(), |held| held.scale);
        // While it is dragged, what comes nearest may be held against another threshold.
        let threshold = held.map_or(self.margin.set_by, |held| Some(held.threshold));
        let allowed = threshold.map_or(self.margin.allowed, |threshold| thresholds::shown(view, threshold));
        let x = |value: f64| along(rect, scale, value);
        self.paint(ui, view, rect, [x(0.0_f64.clamp(scale.0, scale.1)), x(self.margin.value), x(allowed)]);
        let Some(threshold) = threshold else { return };
        let grip =
            Rect::from_center_size(pos2(x(allowed), rect.center().y), vec2(CHECKS_SIZES.tick_reach, rect.height()));
        let response = ui.interact(grip, self.id, Sense::drag());
        let step = rounded(threshold.default.abs().max(1.0) * STEP_SHARE, 2);
        let slider = Slider { name: threshold.label, value: allowed, range: (threshold.low, threshold.high), step };
        let asked = slider.show(&response).map(|asked| asked.from(allowed, step));
        if let Some(to) = asked {
            thresholds::changed(view, threshold, settled(threshold, to, step), false, outbox);
        }
        if response.hovered() || response.dragged() {
            ui.ctx().set_cursor_icon(CursorIcon::ResizeHorizontal);
        }
        if response.drag_started() {
            *drag = Some(TickDrag { id: self.id, threshold, value: allowed, scale, is_shown: false, is_over: false });
        }
        if let Some(drag) = drag.as_mut().filter(|drag| drag.id == self.id) {
            self.follow(ui, view, (threshold, step), &response, (drag, rect), outbox);
        }
        if response.drag_stopped()
            && let Some(ended) = drag.take_if(|drag| drag.id == self.id)
            && !ended.is_over
        {
            outbox.end_drag();
        }
    }

    fn follow(
        &self,
        ui: &egui::Ui,
        view: &View<'_>,
        (threshold, step): (&'static Threshold, f64),
        response: &egui::Response,
        (drag, rect): (&mut TickDrag, Rect),
        outbox: &mut Outbox,
    ) {
        if drag.is_over || !response.dragged() {
            return;
        }
        // Esc goes to the gesture where there is one.
        let is_shown = view.document.gesture_open();
        if ui.input(|input| input.key_pressed(Key::Escape)) || drag.is_shown && !is_shown {
            drag.is_over = true;
            thresholds::forget(view, threshold, outbox);
            outbox.send(Action::DragCancel);
            return;
        }
        drag.is_shown = is_shown;
        let is_fine = ui.input(|input| input.modifiers.shift);
        let per_point = (drag.scale.1 - drag.scale.0) / f64::from(rect.width().max(1.0));
        let by = f64::from(response.drag_delta().x) * per_point * if is_fine { FINE_SHARE } else { 1.0 };
        if by != 0.0 {
            drag.value = (drag.value + by).clamp(threshold.low, threshold.high);
            let step = if is_fine { step * FINE_SHARE } else { step };
            thresholds::changed(view, threshold, settled(threshold, drag.value, step), true, outbox);
        }
        let told = quantity(thresholds::shown(view, threshold), threshold.unit_in(view.document.project()));
        let at = ui.input(|input| input.pointer.latest_pos()).unwrap_or(Pos2::ZERO);
        card(ui.ctx(), at, &format!("{}: {told}", threshold.label), view.theme);
    }

    /// From nothing, or below it, to somewhat beyond both numbers.
    fn scale(&self) -> (f64, f64) {
        let Margin { value, allowed, .. } = self.margin;
        let (low, high) = (value.min(allowed).min(0.0), value.max(allowed).max(0.0));
        let beyond = BEYOND * (high - low).max(1e-6);
        // A tick at the very end could not be told from the end of the track.
        (if low < 0.0 || allowed <= low { low - beyond } else { low }, high + beyond)
    }

    fn paint(&self, ui: &egui::Ui, view: &View<'_>, rect: Rect, [zero, value, allowed]: [f32; 3]) {
        let (palette, painter) = (view.theme.palette, ui.painter());
        marks::track(painter, rect, color(palette.rule));
        let ink = self.found.map_or(palette.ink_secondary, |severity| severity_ink(view.theme, severity));
        let reach = Rect::from_x_y_ranges(zero.min(value)..=zero.max(value), rect.y_range());
        marks::measured(painter, reach, color(ink));
        let is_most = self.margin.looser == Looser::Above;
        marks::bound(painter, pos2(allowed, rect.center().y), is_most, color(palette.ink));
    }
}

/// Where a value is on a scale, at its ends if it lies beyond.
#[expect(clippy::cast_possible_truncation, reason = "a place on the screen")]
fn along(rect: Rect, (low, high): (f64, f64), value: f64) -> f32 {
    let share = ((value - low) / (high - low).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    rect.left() + rect.width() * share as f32
}
