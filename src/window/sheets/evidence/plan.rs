//! The table from above with a ring at the place of every sweep; with a dot once its point is taken.

use eframe::egui::{self, Id, Mesh, Rect, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, pos2};

use super::frames::{point, show_focus};
use super::kept::{Frame, Kept};
use crate::drawing::{CHART, ChartSpec, ColorMap, Ground, Scene, draw_measured};
use crate::table::Cell;
use crate::window::kit::chart::Chart;
use crate::window::kit::scene_painter::{self, viewport};
use crate::window::kit::theme::color;
use crate::window::kit::theme::evidence_sizes::EVIDENCE_SIZES;
use crate::window::kit::theme::kit_sizes::STRONG;
use crate::window::state::evidence_state::EvidenceMessage;
use crate::window::state::outbox::Outbox;
use crate::window::views::surface::heading;
use crate::window::views::view::View;
use crate::wording::Unit;

/// Draws the plan into a rectangle.
pub(super) fn show(
    ui: &mut Ui,
    rect: Rect,
    (kept, chosen): (&Kept, Option<&Frame>),
    view: &View<'_>,
    outbox: &mut Outbox,
) {
    let theme = view.theme;
    let line = rect.with_max_y(rect.top() + theme.small_target);
    heading(ui, line, "Where they lie", "with a dot once taken", theme);
    let table = view.table();
    let spec = ChartSpec {
        rect: viewport(Rect::from_min_max(line.left_bottom(), rect.max)),
        along: (table.speed().first(), table.speed().last()),
        up: (table.load().first(), table.load().last()),
        units: (Unit::None, Unit::None),
        gutter: CHART.gutter,
        is_upright: false,
        rows_below: 0.0,
    };
    let Some(chart) = Chart::new(ui.painter(), theme, &spec) else { return };
    ground(ui, &chart, view);
    chart.paint_scales();
    let corners = chosen.map(|frame| corners(frame, view)).unwrap_or_default();
    for cell in corners {
        let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
        let at = chart.place((speeds[cell.speed], loads[cell.load]));
        ui.painter().circle_filled(at, CHART.outline, color(theme.palette.ink));
    }
    for frame in &kept.frames {
        ring(ui, &chart, frame, chosen.is_some_and(|chosen| chosen.key == frame.key), view, outbox);
    }
}

/// The table as tints over its true axes, blended between breakpoints.
fn ground(ui: &Ui, chart: &Chart<'_>, view: &View<'_>) {
    let table = view.table();
    let map = ColorMap::new(view.theme.palette.look, Ground::Grid);
    let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
    let mut mesh = Mesh::default();
    for cell in table.cells() {
        let deg = table.at(cell);
        let tint = map.sequential(view.scales.heights.share(deg));
        mesh.colored_vertex(chart.place((speeds[cell.speed], loads[cell.load])), color(tint));
    }
    #[expect(clippy::cast_possible_truncation, reason = "at most 64 by 64 cells")]
    let index = |load: usize, speed: usize| (load * speeds.len() + speed) as u32;
    for load in 1..loads.len() {
        for speed in 1..speeds.len() {
            let quad = [index(load - 1, speed - 1), index(load - 1, speed), index(load, speed), index(load, speed - 1)];
            mesh.add_triangle(quad[0], quad[1], quad[2]);
            mesh.add_triangle(quad[0], quad[2], quad[3]);
        }
    }
    ui.painter().add(egui::Shape::mesh(mesh));
}

/// The four cells round a sweep.
fn corners(frame: &Frame, view: &View<'_>) -> Vec<Cell> {
    let table = view.table();
    let around = |axis: &[f64], at: f64| {
        let above = axis.partition_point(|breakpoint| *breakpoint <= at).clamp(1, axis.len().saturating_sub(1).max(1));
        [above - 1, above]
    };
    let [low, high] = around(table.speed().breakpoints(), frame.speed_rpm);
    let [under, over] = around(table.load().breakpoints(), frame.load);
    [(under, low), (under, high), (over, low), (over, high)].map(|(load, speed)| Cell::new(load, speed)).into()
}

fn ring(ui: &mut Ui, chart: &Chart<'_>, frame: &Frame, is_chosen: bool, view: &View<'_>, outbox: &mut Outbox) {
    let (theme, palette, state) = (view.theme, view.theme.palette, &view.screen.evidence);
    let at = chart.place((frame.speed_rpm, frame.load));
    if !chart.plot().expand(EVIDENCE_SIZES.ring).contains(at) {
        return;
    }
    let size = Vec2::splat(theme.small_target);
    let response =
        ui.interact(Rect::from_center_size(at, size), Id::unique(("ring of a sweep", &frame.key)), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_chosen, frame.name_words(view, state.choice)));
    let is_lit = response.hovered() || state.pointed.as_ref() == Some(&frame.key);
    let (ink, paper) = (color(palette.ink), color(palette.paper));
    let place = Rect::from_center_size(at, Vec2::splat(2.0 * EVIDENCE_SIZES.ring));
    let rejected = frame.rejected().is_some();
    if frame.is_taken() || rejected {
        let mut scene = Scene::default();
        draw_measured(&viewport(place), !rejected, palette.ink, palette.paper, 1.0, &mut scene);
        scene_painter::paint(ui.painter(), &scene, theme);
    } else {
        ui.painter().circle(at, EVIDENCE_SIZES.ring, paper, Stroke::new(CHART.main, ink));
        if frame.is_limited_by_knock() {
            let half = EVIDENCE_SIZES.ring * 0.5;
            for up in [half, -half] {
                let ends = [pos2(at.x - half, at.y - up), pos2(at.x + half, at.y + up)];
                ui.painter().line_segment(ends, Stroke::new(CHART.thin, ink));
            }
        }
    }
    if is_chosen || is_lit {
        let stroke = Stroke::new(STRONG, color(if is_chosen { palette.accent } else { palette.ink_secondary }));
        ui.painter().circle_stroke(at, EVIDENCE_SIZES.ring + EVIDENCE_SIZES.around, stroke);
    }
    show_focus(ui, &response, response.rect, view);
    if response.hovered() {
        point(view, Some((frame, frame.choice_deg(state.choice))), outbox);
    }
    if response.clicked() {
        outbox.send(EvidenceMessage::Look(frame.key.clone()));
    }
    response.on_hover_ui(|ui| _ = ui.label(frame.told(view, state.choice)));
}
