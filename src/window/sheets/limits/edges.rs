//! The edges of the bands: which field of the project each one is, and how it is dragged or moved by keys.

use eframe::egui::{self, CursorIcon, Id, PointerButton, Rect, Response, Sense, Ui, pos2, vec2};

use super::sweep::{Band, Doing};
use crate::drawing::ChartAxis;
use crate::project::{CutPattern, FieldKind, Project, Signal, Tree};
use crate::window::kit::scene_painter::card;
use crate::window::kit::slider::{Slider, lock_arrows, steps_right, steps_up};
use crate::window::kit::theme::color;
use crate::window::kit::theme::engine_sheet_sizes::LIMITS_SIZES;
use crate::window::state::edits::DocumentEdit;
use crate::window::state::outbox::Outbox;
use crate::window::views::form::{self, Bound};
use crate::window::views::grip::{FINE_SHARE, Hold};
use crate::window::views::view::View;
use crate::wording::{Unit, capital, lower_first, quantity, shortest, signed};

/// A dragged edge stops at multiples of this, in rpm; with Alt at those of the other one.
const SNAPS_RPM: (f64, f64) = (10.0, 1.0);
/// A band begins or ends at an edge that is no further off than this, in rpm: the sweep looks at both sides of each.
const NEAR_RPM: f64 = 0.5;

/// What a lane is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum LaneOf {
    Cranking,
    OverSpeed,
    Launch,
    /// An output, by its index.
    Output(usize),
}

/// How a field's value follows from the speed at its edge.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Along {
    /// It is that speed.
    Speed,
    /// It is how far above another speed the edge is, in rpm.
    Above(f64),
    /// It is how far below another speed the edge is, in rpm.
    Below(f64),
}

/// A speed at which a band may begin or end, and the field that sets it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Edge {
    pub(super) path: String,
    pub(super) at_rpm: f64,
    along: Along,
}

impl Edge {
    /// What its field is when the edge is at a speed.
    fn value_at(&self, speed_rpm: f64) -> f64 {
        match self.along {
            Along::Speed => speed_rpm,
            Along::Above(base_rpm) => speed_rpm - base_rpm,
            Along::Below(base_rpm) => base_rpm - speed_rpm,
        }
    }
}

/// The edges of a lane in order of speed.
pub(super) fn edges(project: &Project, of: LaneOf) -> Vec<Edge> {
    let limits = &project.limits;
    let edge = |path: &str, at_rpm: f64, along| Edge { path: path.to_owned(), at_rpm, along };
    let mut edges = match of {
        LaneOf::Cranking => {
            let own = &limits.cranking;
            let left_rpm = own.leave_at_rpm;
            vec![
                edge("limits.cranking.no_spark_below_rpm", own.no_spark_below_rpm, Along::Speed),
                edge("limits.cranking.below_rpm", own.below_rpm, Along::Speed),
                edge("limits.cranking.leave_at_rpm", left_rpm, Along::Speed),
                edge("limits.cranking.blend_rpm", left_rpm + own.blend_rpm, Along::Above(left_rpm)),
            ]
        }
        LaneOf::OverSpeed if limits.over_speed.enabled => {
            let own = &limits.over_speed;
            let mut edges = vec![
                edge("limits.over_speed.eases_from_rpm", own.eases_from_rpm, Along::Speed),
                edge("limits.over_speed.fires_again_below_rpm", own.fires_again_below_rpm, Along::Speed),
                edge("limits.over_speed.cuts_at_rpm", own.cuts_at_rpm, Along::Speed),
            ];
            if own.pattern == CutPattern::AlternateCoils {
                edges.push(edge("limits.over_speed.cuts_all_at_rpm", own.cuts_all_at_rpm, Along::Speed));
            }
            edges
        }
        LaneOf::Launch if limits.launch.enabled => {
            let own = &limits.launch;
            let (cuts_rpm, drop_rpm) = (own.cuts_at_rpm, own.resume_drop_rpm);
            vec![
                edge("limits.launch.retards_from_rpm", own.retards_from_rpm, Along::Speed),
                edge("limits.launch.resume_drop_rpm", cuts_rpm - drop_rpm, Along::Below(cuts_rpm)),
                edge("limits.launch.cuts_at_rpm", cuts_rpm, Along::Speed),
            ]
        }
        LaneOf::OverSpeed | LaneOf::Launch => Vec::new(),
        LaneOf::Output(index) => of_output(project, index),
    };
    edges.sort_by(|a, b| a.at_rpm.total_cmp(&b.at_rpm));
    edges
}

fn of_output(project: &Project, index: usize) -> Vec<Edge> {
    let Some(output) = project.outputs.get(index).filter(|output| output.enabled) else { return Vec::new() };
    let mut edges = Vec::new();
    for (place, condition) in output.conditions.iter().enumerate().filter(|(_, own)| own.signal == Signal::Speed) {
        for (field, at_rpm) in [("on", condition.on), ("off", condition.off)] {
            let path = format!("outputs[{index}].conditions[{place}].{field}");
            edges.push(Edge { path, at_rpm, along: Along::Speed });
        }
    }
    let blinks = output.blinks_from_rpm;
    let path = format!("outputs[{index}].blinks_from_rpm");
    edges.extend(blinks.map(|at_rpm| Edge { path, at_rpm, along: Along::Speed }));
    edges
}

/// The field that a band is about: what cranking does ends at an edge, everything else begins at one.
pub(super) fn of_band<'a>(edges: &'a [Edge], of: LaneOf, band: &Band) -> Option<&'a Edge> {
    let is_output = matches!(of, LaneOf::Output(_));
    let field =
        if is_output && (band.rising, band.falling) == (Doing::Blinks, Doing::Blinks) { "blinks_from_rpm" } else { "" };
    let (first, other) =
        if of == LaneOf::Cranking { (band.to_rpm, band.from_rpm) } else { (band.from_rpm, band.to_rpm) };
    let at = |rpm: f64| edges.iter().find(move |edge| (edge.at_rpm - rpm).abs() <= NEAR_RPM);
    let nearest = || edges.iter().min_by(|a, b| (a.at_rpm - first).abs().total_cmp(&(b.at_rpm - first).abs()));
    edges
        .iter()
        .find(|edge| !field.is_empty() && edge.path.ends_with(field))
        .or_else(|| at(first))
        .or_else(|| at(other))
        .or_else(nearest)
}

/// An edge that the pointer holds.
#[derive(Clone, Debug)]
pub(super) struct Held {
    edge: Edge,
    /// The field's value when the drag began, and now, in rpm.
    from_rpm: f64,
    value_rpm: f64,
    /// Where the pointer was seen last, and how far it has come by then, in rpm.
    pointer_at: f32,
    dragged_rpm: f64,
    /// Why the pointer's place is refused, if it is.
    refusal: Option<String>,
    hold: Hold,
    is_over: bool,
}

fn id(path: &str) -> Id {
    Id::unique(("limits edge", path))
}

/// Draws the edges of a lane and takes what is done to them. Returns the path of the field whose edge was clicked.
pub(super) fn show(
    ui: &mut Ui,
    (place, speed): (Rect, &ChartAxis),
    edges: &[Edge],
    held: &mut Option<Held>,
    view: &View<'_>,
    outbox: &mut Outbox,
) -> Option<String> {
    let mut clicked = None;
    let xs: Vec<f32> = edges.iter().map(|edge| speed.to_screen(edge.at_rpm)).collect();
    for (index, edge) in edges.iter().enumerate() {
        let Some(&x) = xs.get(index).filter(|&&x| (speed.screen.0..=speed.screen.1).contains(&x)) else { continue };
        let half = |other: Option<&f32>| {
            other.map_or(LIMITS_SIZES.edge_reach, |other| ((x - other).abs() / 2.0).min(LIMITS_SIZES.edge_reach))
        };
        let (before, after) = (half(index.checked_sub(1).and_then(|before| xs.get(before))), half(xs.get(index + 1)));
        let rect = Rect::from_x_y_ranges(x - before..=x + after, place.y_range());
        let response = ui.interact(rect, id(&edge.path), Sense::click_and_drag());
        let Some(bound) = Bound::of(view, &edge.path) else { continue };
        name(ui, &response, edge, &bound, view, outbox);
        if response.clicked() {
            clicked = Some(edge.path.clone());
        }
        if response.drag_started_by(PointerButton::Primary) {
            response.request_focus();
            let pressed = ui.input(|input| input.pointer.press_origin()).unwrap_or(rect.center());
            let from_rpm = edge.value_at(edge.at_rpm);
            *held = Some(Held {
                edge: edge.clone(),
                from_rpm,
                value_rpm: from_rpm,
                pointer_at: pressed.x,
                dragged_rpm: 0.0,
                refusal: None,
                hold: Hold::default(),
                is_over: false,
            });
        }
        let has_field = ui.memory(|memory| memory.has_focus(form::id(&edge.path)));
        if response.hovered() || response.dragged() || response.has_focus() || has_field {
            let bar = Rect::from_center_size(pos2(x, place.center().y), vec2(LIMITS_SIZES.edge_width, place.height()));
            ui.painter().rect_filled(bar, 0.0, color(view.theme.palette.accent));
        }
        let tip = format!(
            "{}: {}\nDrag it, with Shift finely, with Alt to single rpm; Esc gives up. A click goes to its field.",
            bound.name,
            quantity(edge.value_at(edge.at_rpm), Unit::Rpm)
        );
        response.on_hover_and_drag_cursor(CursorIcon::ResizeHorizontal).on_hover_text(tip);
    }
    clicked
}

/// Makes the edge a slider for a screen reader and for the arrow keys.
fn name(ui: &Ui, response: &Response, edge: &Edge, bound: &Bound<'_>, view: &View<'_>, outbox: &mut Outbox) {
    let FieldKind::Number { low, high, .. } = bound.kind else { return };
    let (value, step) = (edge.value_at(edge.at_rpm), bound.step(view.project.step_deg));
    let name = format!("Edge: {}", lower_first(&bound.name));
    let asked = Slider { name: &name, value, range: (low, high), step }.show(response);
    let mut to = asked.map_or(value, |asked| asked.from(value, step));
    if response.has_focus() {
        lock_arrows(ui, response);
        // Right moves the edge to the right, even where a higher value moves it to the left.
        let side = if matches!(edge.along, Along::Below(_)) { -1.0 } else { 1.0 };
        to += (steps_up(ui) + side * steps_right(ui)) * step;
    }
    if to == value {
        return;
    }
    match bound.set(view.document.project(), &shortest(to.clamp(low, high))) {
        Ok(Some((label, _))) => outbox.edit(label, set(&edge.path, to.clamp(low, high))),
        Ok(None) => {}
        Err(why) => outbox.complain(format!("{}: {why}", bound.name)),
    }
}

fn set(path: &str, value_rpm: f64) -> DocumentEdit {
    DocumentEdit::set_field(path, shortest(value_rpm))
}

/// Follows the pointer with the edge that it holds, tells the value beside it, and ends the drag when it lets go.
pub(super) fn go_on(ui: &Ui, speed: &ChartAxis, held: &mut Option<Held>, view: &View<'_>, outbox: &mut Outbox) {
    let Some(now) = held.as_mut() else { return };
    now.is_over |= now.hold.is_given_up(ui.ctx(), view);
    let is_down = ui.input(|input| input.pointer.any_down());
    if let Some(at) = ui.ctx().pointer_latest_pos().filter(|_| !now.is_over) {
        now.follow(at.x, speed, ui.ctx(), view, outbox);
        if is_down && (now.hold.is_asked() || now.refusal.is_some()) {
            card(ui.ctx(), at, &now.text(view), view.theme);
        }
    }
    if !is_down {
        if now.hold.is_asked() && !now.is_over {
            outbox.end_drag();
        }
        *held = None;
    }
}

impl Held {
    fn follow(&mut self, x: f32, speed: &ChartAxis, ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
        let (alt, shift) = ctx.input(|input| (input.modifiers.alt, input.modifiers.shift));
        let share = if shift { FINE_SHARE } else { 1.0 };
        self.dragged_rpm += (speed.from_screen(x) - speed.from_screen(self.pointer_at)) * share;
        self.pointer_at = x;
        let Some(bound) = Bound::of(view, &self.edge.path) else { return };
        let FieldKind::Number { low, high, .. } = bound.kind else { return };
        let snap_rpm = if alt { SNAPS_RPM.1 } else { SNAPS_RPM.0 };
        let wanted_rpm = self.edge.value_at(self.edge.at_rpm + self.dragged_rpm);
        let is_still = self.dragged_rpm.abs() < snap_rpm / 2.0;
        let snapped_rpm = if is_still { self.from_rpm } else { (wanted_rpm / snap_rpm).round() * snap_rpm };
        let value_rpm = snapped_rpm.clamp(low, high);
        if value_rpm == self.value_rpm {
            self.refusal = None;
            return;
        }
        // Rules between fields are the project's own; an edge stays where it may be.
        if let Err(why) = bound.set(start(view), &shortest(value_rpm)) {
            self.refusal = Some(format!("{}: {why}", quantity(value_rpm, Unit::Rpm)));
            return;
        }
        (self.value_rpm, self.refusal) = (value_rpm, None);
        self.hold.ask(ctx);
        outbox.drag_edit(bound.step_label(&Tree::Number(value_rpm)), set(&self.edge.path, value_rpm));
    }

    /// 'Over-speed cuts at 7300 rpm  −100', or why the pointer's place is refused.
    fn text(&self, view: &View<'_>) -> String {
        if let Some(refusal) = &self.refusal {
            return refusal.clone();
        }
        let name = capital(&form::name_of(view, &self.edge.path));
        format!("{name} {}  {}", quantity(self.value_rpm, Unit::Rpm), signed(self.value_rpm - self.from_rpm, 0))
    }
}

/// The project as it was before the drag.
fn start<'a>(view: &View<'a>) -> &'a Project {
    let document = view.document;
    document.steps().get(document.current_step()).map_or(view.project, |step| &step.project)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;

    #[test]
    fn every_edge_is_where_its_field_puts_it() {
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            let outputs = (0..project.outputs.len()).map(LaneOf::Output);
            for of in [LaneOf::Cranking, LaneOf::OverSpeed, LaneOf::Launch].into_iter().chain(outputs) {
                for edge in edges(&project, of) {
                    // The field set to the edge's value leaves the project as it is, and 10 rpm more moves the edge by as much.
                    let value_rpm = edge.value_at(edge.at_rpm);
                    let same = set(&edge.path, value_rpm).apply(&project).unwrap();
                    assert_eq!(same, project, "{}", edge.path);
                    let Ok(moved) = set(&edge.path, edge.value_at(edge.at_rpm + 10.0)).apply(&project) else {
                        continue;
                    };
                    let now = edges(&moved, of).into_iter().find(|other| other.path == edge.path).unwrap();
                    assert!((now.at_rpm - edge.at_rpm - 10.0).abs() < 1e-9, "{}", edge.path);
                }
            }
        }
    }

    #[test]
    fn a_band_leads_to_the_field_that_sets_it() {
        let project = SAMPLES[0].project().unwrap();
        let over = edges(&project, LaneOf::OverSpeed);
        let band = |from_rpm, to_rpm, doing| Band { from_rpm, to_rpm, rising: doing, falling: doing };
        let own = &project.limits.over_speed;
        let cuts = band(own.cuts_at_rpm + 0.01, own.cuts_all_at_rpm, Doing::CutsHalf);
        assert_eq!(of_band(&over, LaneOf::OverSpeed, &cuts).unwrap().path, "limits.over_speed.cuts_at_rpm");
        let cranking = edges(&project, LaneOf::Cranking);
        let none = band(0.0, project.limits.cranking.no_spark_below_rpm, Doing::NoSpark);
        assert_eq!(of_band(&cranking, LaneOf::Cranking, &none).unwrap().path, "limits.cranking.no_spark_below_rpm");
        assert_eq!(of_band(&[], LaneOf::Launch, &cuts), None);
    }
}
