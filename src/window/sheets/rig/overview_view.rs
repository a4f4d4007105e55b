//! The whole run below the lanes, with a brush over what these show: dragged along, by its edges, or drawn anew.

use eframe::egui::{
    self, Align, CursorIcon, Id, Key, Layout, Modifiers, Pos2, Rect, Response, Role, Sense, StrokeKind, UiBuilder,
    WidgetInfo, pos2, vec2,
};

use super::bench::{Bench, Driven};
use super::facts::Mark;
use super::trace_view::{cursor, severity_mark};
use super::{rig_words, wheel};
use crate::drawing::{Look, Overview, Scene};
use crate::window::kit::scene_painter::{self, Sheet, viewport};
use crate::window::kit::slider::{Asked, Slider, lock_arrows, steps_right};
use crate::window::kit::theme::engine_sheet_sizes::{
    FACT_MARK, RIG_BRUSH_EDGE, RIG_BRUSH_LEAST, RIG_BRUSH_REACH, RIG_OVERVIEW_MARKS, RIG_TRACE_BEYOND,
    RIG_TRACE_NAME_GAP, RIG_VEIL,
};
use crate::window::kit::theme::{color, elided_middle, hairline};
use crate::window::state::outbox::Outbox;
use crate::window::state::rig_state::RigMessage;
use crate::window::views::surface::quiet_button;
use crate::window::views::view::View;

/// An arrow key moves an edge or the brush by this share of what is shown, with Shift by ten times that.
const STEP: f64 = 0.02;

/// The widgets: the strip, and the edges of the brush.
pub(super) fn ids() -> [Id; 3] {
    [Id::unique("rig overview"), edge_id(true), edge_id(false)]
}

fn edge_id(is_from: bool) -> Id {
    Id::unique(("rig brush", is_from))
}

/// What of the brush the pointer holds.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Part {
    From,
    To,
    /// All of it, so far behind its beginning, in s.
    Whole(f64),
    /// The pointer draws another one, from here on, in s.
    New(f64),
}

/// A drag of the brush.
#[derive(Clone, Copy, Debug)]
struct Held {
    part: Part,
    /// What was shown before, in s.
    before_s: (f64, f64),
    is_given_up: bool,
}

/// The picture and what it was made of, and the drag.
#[derive(Default)]
pub(super) struct OverviewView {
    scene: Scene,
    sheet: Sheet,
    overview: Option<Overview>,
    made_of: Option<(u64, Rect, Look, f32)>,
    held: Option<Held>,
}

impl OverviewView {
    pub(super) fn show(
        &mut self,
        ui: &mut egui::Ui,
        view: &View<'_>,
        bench: &Bench,
        bad: &[Mark],
        outbox: &mut Outbox,
    ) {
        let whole = ui.max_rect();
        let Some(driven) = bench.driven() else { return };
        let strip = whole.with_min_y(whole.top() + RIG_OVERVIEW_MARKS);
        self.make(ui, strip, view, (driven, bench.serial()));
        let Some(overview) = self.overview.clone() else { return };
        let plot = overview.plot;
        let plot = Rect::from_min_size(pos2(plot.left, plot.top), vec2(plot.width, plot.height));
        self.sheet.paint(ui.painter(), view.theme);
        let Some(shown_s) = view.screen.rig.shown_s().filter(|_| bench.is_current()) else { return };
        name(ui, whole.with_max_x(plot.left()), view, outbox);
        let at = |time_s: f64| overview.time.to_screen(time_s).clamp(plot.left(), plot.right());
        let (from, to) = (at(shown_s.0), at(shown_s.1));
        let body =
            ui.interact(plot.expand2(vec2(RIG_BRUSH_REACH, 0.0)), Id::unique("rig overview"), Sense::click_and_drag());
        let middle = f32::midpoint(from, to);
        let edges = [
            (
                Part::From,
                from,
                Rect::from_x_y_ranges(from - RIG_BRUSH_REACH..=(from + RIG_BRUSH_REACH).min(middle), plot.y_range()),
            ),
            (
                Part::To,
                to,
                Rect::from_x_y_ranges((to - RIG_BRUSH_REACH).max(middle)..=to + RIG_BRUSH_REACH, plot.y_range()),
            ),
        ];
        veil(ui, plot, (from, to), &body, view);
        self.body(ui, &body, &overview, shown_s, view, outbox);
        for (part, x, rect) in edges {
            self.edge(ui, (part, x, rect), plot, &overview, shown_s, view, outbox);
        }
        cursor(ui, overview.time.to_screen(view.screen.rig.cursor_s), overview.plot, &[], view);
        self.go_on(ui, &overview, shown_s, outbox);
        show_marks(ui, &overview, whole.top(), bad, view, outbox);
    }

    fn make(&mut self, ui: &egui::Ui, rect: Rect, view: &View<'_>, (driven, serial): (&Driven, u64)) {
        let look = view.theme.palette.look;
        let made_of = Some((serial, rect, look, ui.pixels_per_point()));
        if self.made_of == made_of {
            return;
        }
        self.made_of = made_of;
        let driven = driven.to_draw();
        self.overview = Overview::new(&driven, viewport(rect));
        self.scene.clear();
        if let Some(overview) = &self.overview {
            overview.draw(&driven, look, &mut self.scene);
        }
        scene_painter::snap_lines(&mut self.scene, ui.painter());
        self.sheet.fill(&self.scene);
    }

    /// The strip itself: a drag inside of the brush moves it, elsewhere it centres it first; with all of the run shown, it
    /// draws a brush.
    fn body(
        &mut self,
        ui: &egui::Ui,
        body: &Response,
        overview: &Overview,
        (from_s, to_s): (f64, f64),
        view: &View<'_>,
        outbox: &mut Outbox,
    ) {
        let (start_s, end_s) = overview.time.range;
        let slider = Slider {
            name: "Shown stretch, middle in seconds",
            value: f64::midpoint(from_s, to_s),
            range: (start_s, end_s),
            step: STEP * (to_s - from_s),
        };
        let is_all = to_s - from_s >= end_s - start_s;
        let by_s = steps(ui, body, slider.show(body), slider.value, slider.step);
        if by_s != 0.0 {
            outbox.send(RigMessage::ShowStretch((from_s + by_s, to_s + by_s)));
        }
        if body.hovered()
            && let Some(at) = ui.input(|input| input.pointer.hover_pos())
        {
            let time_s = overview.time.from_screen(at.x);
            outbox.point_at(view.screen, format!("Whole run · {}", rig_words::time(time_s, end_s - start_s)));
            wheel::take(ui, &overview.time, time_s, view, outbox);
        }
        if body.double_clicked() {
            self.held = None;
            return outbox.send(RigMessage::ShowStretch((start_s, end_s)));
        }
        let pressed_s = press(ui).map(|at| overview.time.from_screen(at.x));
        if let Some(pressed_s) = pressed_s.filter(|_| body.drag_started()) {
            body.request_focus();
            let half_s = (to_s - from_s) / 2.0;
            let part = match (is_all, (from_s..=to_s).contains(&pressed_s)) {
                (true, _) => Part::New(pressed_s),
                (_, true) => Part::Whole(pressed_s - from_s),
                _ => Part::Whole(half_s),
            };
            self.held = Some(Held { part, before_s: (from_s, to_s), is_given_up: false });
        }
        if let Some(at) = body.interact_pointer_pos().filter(|_| body.clicked()) {
            body.request_focus();
            let (time_s, half_s) = (overview.time.from_screen(at.x), (to_s - from_s) / 2.0);
            outbox.send(if is_all {
                RigMessage::StopAt(time_s)
            } else {
                RigMessage::ShowStretch((time_s - half_s, time_s + half_s))
            });
        }
        let tip = "What the lanes show. Drag it along or by its edges; with the whole run shown, a drag takes out a stretch. \
                   The wheel, Up and Down show less or more around the point; a double click shows all.";
        let is_inside = ui
            .input(|input| input.pointer.hover_pos())
            .is_some_and(|at| !is_all && (from_s..=to_s).contains(&overview.time.from_screen(at.x)));
        let icon = if is_inside { CursorIcon::Grab } else { CursorIcon::Default };
        body.clone().on_hover_cursor(icon).on_hover_text(tip);
    }

    #[expect(clippy::too_many_arguments, reason = "which edge, where it is, and what every view is given")]
    fn edge(
        &mut self,
        ui: &egui::Ui,
        (part, x, rect): (Part, f32, Rect),
        plot: Rect,
        overview: &Overview,
        (from_s, to_s): (f64, f64),
        view: &View<'_>,
        outbox: &mut Outbox,
    ) {
        let is_from = part == Part::From;
        let (name, value) = if is_from { ("Shown from, seconds", from_s) } else { ("Shown to, seconds", to_s) };
        let response = ui.interact(rect, edge_id(is_from), Sense::drag());
        let slider = Slider { name, value, range: overview.time.range, step: STEP * (to_s - from_s) };
        let by_s = steps(ui, &response, slider.show(&response), value, slider.step);
        if by_s != 0.0 {
            outbox.send(RigMessage::ShowStretch(with_edge(part, value + by_s, (from_s, to_s))));
        }
        if response.drag_started() {
            response.request_focus();
            self.held = Some(Held { part, before_s: (from_s, to_s), is_given_up: false });
        }
        let is_lit = response.hovered() || response.dragged() || response.has_focus();
        let (quiet, lit) = RIG_BRUSH_EDGE;
        let bar =
            Rect::from_center_size(pos2(x, plot.center().y), vec2(if is_lit { lit } else { quiet }, plot.height()));
        ui.painter().rect_filled(bar, 0.0, color(view.theme.palette.ink));
        let response = response.on_hover_and_drag_cursor(CursorIcon::ResizeHorizontal);
        response.on_hover_text("Drag, or Left and Right: the lanes show the run from one edge to the other.");
    }

    /// Follows the pointer until it lets go; Esc gives the drag up.
    fn go_on(&mut self, ui: &egui::Ui, overview: &Overview, shown_s: (f64, f64), outbox: &mut Outbox) {
        let Some(held) = &mut self.held else { return };
        if !ui.input(|input| input.pointer.any_down()) {
            self.held = None;
            return;
        }
        if ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape)) {
            held.is_given_up = true;
            return outbox.send(RigMessage::ShowStretch(held.before_s));
        }
        let Some(at) = ui.ctx().pointer_latest_pos().filter(|_| !held.is_given_up) else { return };
        let time_s = overview.time.from_screen(at.x);
        let wanted_s = match held.part {
            Part::Whole(behind_s) => {
                let (from_s, to_s) = held.before_s;
                (time_s - behind_s, time_s - behind_s + (to_s - from_s))
            }
            Part::New(from_s) => (from_s.min(time_s), from_s.max(time_s)),
            part => with_edge(part, time_s, held.before_s),
        };
        if wanted_s != shown_s {
            outbox.send(RigMessage::ShowStretch(wanted_s));
        }
    }
}

/// A stretch with one of its edges elsewhere, which does not pass the other.
fn with_edge(part: Part, time_s: f64, (from_s, to_s): (f64, f64)) -> (f64, f64) {
    if part == Part::From { (time_s.min(to_s), to_s) } else { (from_s, time_s.max(from_s)) }
}

fn press(ui: &egui::Ui) -> Option<Pos2> {
    ui.input(|input| input.pointer.press_origin())
}

/// By how much arrow keys or a screen reader move a slider.
fn steps(ui: &egui::Ui, response: &Response, asked: Option<Asked>, value: f64, step: f64) -> f64 {
    let asked = asked.map_or(0.0, |asked| asked.from(value, step) - value);
    if !response.has_focus() {
        return asked;
    }
    lock_arrows(ui, response);
    asked + steps_right(ui) * step
}

/// The name of the strip, and buttons for both ends of the zoom.
fn name(ui: &mut egui::Ui, rect: Rect, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    let strip = rect.with_min_y(rect.top() + RIG_OVERVIEW_MARKS).with_max_x(rect.right() - RIG_TRACE_NAME_GAP);
    let upper = strip.with_max_y(strip.center().y);
    elided_middle(ui, upper, "Whole run", theme.small_font()).write(ui, Align::Min, color(theme.palette.ink));
    let lower = strip.with_min_y(strip.center().y).translate(vec2(-theme.gap / 2.0, 0.0));
    let mut line = ui.new_child(UiBuilder::new().max_rect(lower).layout(Layout::left_to_right(Align::Center)));
    line.spacing_mut().item_spacing.x = RIG_TRACE_BEYOND;
    let (rig, span_s) = (&view.screen.rig, view.screen.rig.span_s());
    let is_all = rig.shown_s() == span_s;
    if quiet_button(
        &mut line,
        theme,
        "all",
        "Show all of the run",
        is_all,
        "The lanes show all of the run. (Shift+Down)",
    )
    .clicked()
        && let Some(span_s) = span_s
    {
        outbox.send(RigMessage::ShowStretch(span_s));
    }
    let closest_s = rig.closest_stretch_s();
    let tip = "The lanes show one revolution before the point and one after it. (Shift+Up)";
    let named = "Show one revolution on each side of the point";
    let width = |(from_s, to_s): (f64, f64)| to_s - from_s;
    let is_closest =
        !is_all && closest_s.zip(rig.shown_s()).is_some_and(|(closest, shown)| width(shown) <= width(closest) * 1.01);
    if quiet_button(&mut line, theme, "± 1 revolution", named, is_closest, tip).clicked()
        && let Some(closest_s) = closest_s
    {
        outbox.send(RigMessage::ShowStretch(closest_s));
    }
}

/// What the lanes do not show is veiled; what they show has a frame.
fn veil(ui: &egui::Ui, plot: Rect, (from, to): (f32, f32), body: &Response, view: &View<'_>) {
    let palette = view.theme.palette;
    let middle = f32::midpoint(from, to);
    let (from, to) = (from.min(middle - RIG_BRUSH_LEAST / 2.0), to.max(middle + RIG_BRUSH_LEAST / 2.0));
    let veil = color(palette.panel.with_alpha(RIG_VEIL));
    for beside in [plot.with_max_x(from), plot.with_min_x(to)] {
        ui.painter().rect_filled(beside, 0.0, veil);
    }
    ui.painter().rect_stroke(plot, 0.0, hairline(color(palette.rule)), StrokeKind::Outside);
    let ink = if body.has_focus() { palette.accent } else { palette.ink_secondary };
    let frame = plot.with_min_x(from).with_max_x(to);
    ui.painter().rect_stroke(frame, 0.0, hairline(color(ink)), StrokeKind::Outside);
}

/// The marks of what is bad above the strip; a click on one leads there. Those that would overlap are one, with the worst
/// severity.
fn show_marks(ui: &egui::Ui, overview: &Overview, top: f32, bad: &[Mark], view: &View<'_>, outbox: &mut Outbox) {
    let mut groups: Vec<(f32, &Mark, usize)> = Vec::new();
    for mark in bad {
        let x = overview.time.to_screen(mark.time_s);
        match groups.last_mut().filter(|group| x - group.0 < FACT_MARK) {
            Some(group) => {
                group.2 += 1;
                if mark.severity < group.1.severity {
                    group.1 = mark;
                }
            }
            None => groups.push((x, mark, 1)),
        }
    }
    let (start_s, end_s) = overview.time.range;
    for (place, (x, mark, count)) in groups.into_iter().enumerate() {
        let at = pos2(x, top + FACT_MARK / 2.0);
        let target = Rect::from_center_size(at, vec2(FACT_MARK, RIG_OVERVIEW_MARKS));
        let response = ui.interact(target, Id::unique(("rig mark", place)), Sense::click());
        let more = if count > 1 { format!(" and {} more", count - 1) } else { String::new() };
        let words = format!(
            "{} at {}: {}{more}",
            mark.severity.name(),
            rig_words::time(mark.time_s, end_s - start_s),
            mark.name
        );
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &words));
        severity_mark(ui, at, mark, view);
        if response.has_focus() || response.hovered() {
            let ring = hairline(color(view.theme.palette.ink));
            ui.painter().rect_stroke(target, 0.0, ring, StrokeKind::Outside);
        }
        if response.on_hover_text(format!("{words}. Go there.")).clicked() {
            outbox.send(RigMessage::LookAt(mark.time_s));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_edge_stops_at_the_other_one() {
        assert_eq!(with_edge(Part::From, 4.0, (1.0, 6.0)), (4.0, 6.0));
        assert_eq!(with_edge(Part::From, 9.0, (1.0, 6.0)), (6.0, 6.0));
        assert_eq!(with_edge(Part::To, 0.0, (1.0, 6.0)), (1.0, 1.0));
    }
}
