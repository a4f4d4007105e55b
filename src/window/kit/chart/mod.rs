//! One chart for all that is plotted: scales, lines, dashes, areas, points to take hold of, names that keep clear of lines,
//! and what is under the pointer. It knows numbers and units alone.

mod handles;
mod names;
mod slider;

use std::ops::RangeInclusive;

use eframe::egui::{self, Align2, Pos2, Rect, Shape, Stroke, pos2, vec2};

pub use self::handles::{paint_handles, touch};
pub use self::slider::{Asked, Slider};
use super::scene_painter::{self, card, point, pos, viewport};
use super::theme::chart_sizes::{CHART, SIZES};
use super::theme::{Theme, color};
use crate::drawing::{ChartFrame, ChartSpec, Color, LabelRoom, Scene, Slice, SliceSpec};

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line {
    /// What the chart is about.
    Main,
    /// Another one of its kind.
    Other,
    /// What it is compared with, dashed.
    Compared,
    /// A place or a height that is marked, dashed.
    Mark,
    /// A bound, dotted.
    Bound,
}

/// A chart in its place.
pub struct Chart<'a> {
    painter: egui::Painter,
    theme: &'a Theme,
    frame: ChartFrame,
    /// What names must keep clear of.
    room: LabelRoom,
}

impl<'a> Chart<'a> {
    /// Lays a chart out; `None` without room.
    pub fn new(painter: &egui::Painter, theme: &'a Theme, spec: &ChartSpec) -> Option<Self> {
        let frame = ChartFrame::new(spec)?;
        Some(Self { painter: painter.clone(), theme, frame, room: LabelRoom::default() })
    }

    /// Its scales.
    pub const fn frame(&self) -> &ChartFrame {
        &self.frame
    }

    /// The area in which is plotted.
    pub fn plot(&self) -> Rect {
        let plot = self.frame.plot();
        Rect::from_min_size(pos2(plot.left, plot.top), vec2(plot.width, plot.height))
    }

    /// Where two numbers lie.
    pub fn place(&self, at: (f64, f64)) -> Pos2 {
        pos(self.frame.place(at))
    }

    /// Paints guides and numbers.
    pub fn paint_scales(&self) {
        let mut scene = Scene::default();
        self.frame.draw(self.theme.palette.look, &mut scene);
        scene_painter::snap_lines(&mut scene, &self.painter);
        scene_painter::paint(&self.painter, &scene, self.theme);
    }

    /// A line through points, which names keep clear of.
    pub fn line(&mut self, points: &[(f64, f64)], line: Line) {
        let at: Vec<Pos2> = points.iter().map(|&point| self.place(point)).collect();
        self.room.add_line(&at.iter().map(|&at| point(at)).collect::<Vec<_>>());
        let (stroke, dashes) = self.stroke(line);
        self.paint_line(at, stroke, dashes);
    }

    /// The same in another ink than the usual one.
    pub fn line_in(&mut self, points: &[(f64, f64)], line: Line, ink: Color) {
        let at: Vec<Pos2> = points.iter().map(|&point| self.place(point)).collect();
        let (stroke, dashes) = self.stroke(line);
        self.paint_line(at, Stroke::new(stroke.width, color(ink)), dashes);
    }

    fn paint_line(&self, at: Vec<Pos2>, stroke: Stroke, dashes: Option<(f32, f32)>) {
        let painter = self.clipped();
        match dashes {
            Some((dash, gap)) => painter.extend(Shape::dashed_line(&at, stroke, dash, gap)),
            None => _ = painter.add(Shape::line(at, stroke)),
        }
    }

    fn stroke(&self, line: Line) -> (Stroke, Option<(f32, f32)>) {
        let palette = self.theme.palette;
        let (width, ink, dashes) = match line {
            Line::Main => (CHART.main, palette.ink, None),
            Line::Other => (CHART.thin, palette.ink_secondary, None),
            Line::Compared => (CHART.thin, palette.base_line, Some(CHART.dashes)),
            Line::Mark => (CHART.thin, palette.ink_secondary, Some(CHART.dashes)),
            Line::Bound => (CHART.guide, palette.ink_secondary, Some(CHART.bound_dashes)),
        };
        (Stroke::new(width, color(ink)), dashes)
    }

    /// What lies beyond the scales is not painted; lines at the edge keep their width.
    fn clipped(&self) -> egui::Painter {
        self.painter.with_clip_rect(self.plot().expand(SIZES.clip).intersect(self.painter.clip_rect()))
    }

    /// A dashed upright line at a place along, at the edge where it lies beyond.
    pub fn upright(&self, along: f64) {
        let plot = self.plot();
        let x = self.frame.along.to_screen(along).clamp(plot.left(), plot.right());
        let x = self.painter.round_to_pixel_center(x);
        let (stroke, dashes) = self.stroke(Line::Mark);
        self.paint_line(vec![pos2(x, plot.top()), pos2(x, plot.bottom())], stroke, dashes);
    }

    /// A dotted level line with its words at the right end, where the height is shown.
    pub fn bound(&self, up: f64, words: &str) {
        let (low, high) = self.frame.up.range;
        if !(low..=high).contains(&up) {
            return;
        }
        let plot = self.plot();
        let y = self.painter.round_to_pixel_center(self.frame.up.to_screen(up));
        let (stroke, dashes) = self.stroke(Line::Bound);
        self.paint_line(vec![pos2(plot.left(), y), pos2(plot.right(), y)], stroke, dashes);
        let ink = color(self.theme.palette.ink_secondary);
        let at = pos2(plot.right(), y) - vec2(SIZES.name_air, SIZES.clip);
        self.painter.text(at, Align2::RIGHT_BOTTOM, words, self.theme.small_font(), ink);
    }

    /// A faint area between two corners, where a value should be.
    pub fn area(&self, along: RangeInclusive<f64>, up: RangeInclusive<f64>) {
        let corners = [(*along.start(), *up.start()), (*along.end(), *up.end())].map(|at| self.place(at));
        let rect = Rect::from_two_pos(corners[0], corners[1]).intersect(self.plot());
        self.painter.rect_filled(rect, SIZES.corner, color(self.theme.palette.field_pressed));
    }

    /// Dots at points.
    pub fn dots(&self, points: &[(f64, f64)]) {
        let rim = Stroke::new(CHART.outline, color(self.theme.palette.paper));
        for &at in points {
            self.painter.circle(self.place(at), SIZES.dot, color(self.theme.palette.ink), rim);
        }
    }

    /// A diamond at a point: what is read there.
    pub fn diamond(&self, at: (f64, f64)) {
        let (at, half) = (self.place(at), CHART.radii.1);
        let corners = [vec2(0.0, -half), vec2(half, 0.0), vec2(0.0, half), vec2(-half, 0.0)].map(|by| at + by);
        let (paper, ink) = (color(self.theme.palette.paper), color(self.theme.palette.ink));
        self.painter.add(Shape::convex_polygon(corners.to_vec(), paper, Stroke::new(CHART.outline, ink)));
    }

    /// The number along under the pointer, with an upright hairline there; `within` may reach beyond the plot.
    pub fn pointed(&self, ui: &egui::Ui, within: Rect) -> Option<f64> {
        let at = hovering(ui, within)?;
        let x = self.painter.round_to_pixel_center(at.x);
        self.painter.vline(x, within.y_range(), Stroke::new(CHART.guide, color(self.theme.palette.ink_secondary)));
        Some(self.frame.along.from_screen(at.x))
    }

    /// The values under the pointer, on a card beside it: of a line its numbers there, put into words.
    pub fn readout(&self, ui: &egui::Ui, line: &[(f64, f64)], words: impl Fn(f64, f64) -> String) {
        let Some(along) = self.pointed(ui, self.plot()) else { return };
        let Some(up) = between(line, along) else { return };
        let at = self.place((along, up));
        self.painter.circle_filled(at, CHART.radii.0, color(self.theme.palette.ink));
        card(ui.ctx(), at, &words(along, up), self.theme);
    }
}

/// Where the pointer is, if it is over a place of this layer.
pub fn hovering(ui: &egui::Ui, within: Rect) -> Option<Pos2> {
    let at = ui.input(|input| input.pointer.hover_pos())?;
    (within.contains(at) && ui.rect_contains_pointer(within)).then_some(at)
}

/// The height of a line at a place along, where it has one.
fn between(line: &[(f64, f64)], along: f64) -> Option<f64> {
    let pair = line.windows(2).find(|pair| (pair[0].0..=pair[1].0).contains(&along))?;
    let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
    Some(if x1 > x0 { y0 + (y1 - y0) * (along - x0) / (x1 - x0) } else { y0 })
}

/// Paints a slice that only tells, as pictures and paper have it, into a place, unless there is no room for it. Look and place of `spec` are the screen's.
pub fn paint_slice(painter: &egui::Painter, rect: Rect, spec: &SliceSpec<'_>, theme: &Theme) {
    let spec = SliceSpec { rect: viewport(rect), look: theme.palette.look, ..*spec };
    let Some(slice) = Slice::new(&spec) else { return };
    let mut scene = Scene::default();
    slice.draw(&spec, &mut scene);
    scene_painter::snap_lines(&mut scene, painter);
    scene_painter::paint(painter, &scene, theme);
}

#[cfg(test)]
mod tests {
    use crate::wording::Unit;
    use eframe::egui::{RawInput, UiBuilder};

    use super::*;
    use crate::drawing::Look;
    use crate::window::kit::scene_painter::viewport;

    /// What a chart of some points looks like, as shapes of egui.
    fn shapes(points: &[(f64, f64)], up: (f64, f64)) -> Vec<Shape> {
        let theme = Theme::of(Look::Light);
        let ctx = egui::Context::default();
        theme.apply(&ctx);
        let rect = Rect::from_min_size(pos2(0.0, 0.0), vec2(300.0, 160.0));
        let output = ctx.run_ui(RawInput { screen_rect: Some(rect), ..RawInput::default() }, |ui| {
            let ui = ui.new_child(UiBuilder::new().max_rect(rect));
            let spec = ChartSpec {
                rect: viewport(rect),
                along: (0.0, 10.0),
                up,
                units: (Unit::Second, Unit::Volt),
                gutter: CHART.gutter,
                is_upright: true,
                rows_below: 0.0,
            };
            let mut chart = Chart::new(ui.painter(), &theme, &spec).unwrap();
            chart.paint_scales();
            chart.line(points, Line::Main);
            chart.line(points, Line::Compared);
            chart.dots(points);
            if let Some(&point) = points.first() {
                chart.name(point, "first", false);
            }
            chart.readout(&ui, points, |_, _| String::new());
        });
        let shapes = output.shapes.iter().map(|clipped| clipped.shape.clone()).collect();
        output.drop_without_applying_deltas();
        shapes
    }

    #[test]
    fn any_series_is_painted_without_a_place_that_is_no_number() {
        let series = [
            (Vec::new(), (0.0, 1.0)),
            (vec![(3.0, 2.0)], (2.0, 2.0)),
            (vec![(0.0, 7.0), (10.0, 7.0)], (7.0, 7.0)),
            (vec![(0.0, -1e300), (5.0, 0.0), (10.0, 1e300)], (-1e300, 1e300)),
        ];
        for (points, up) in series {
            let shapes = shapes(&points, up);
            assert!(!shapes.is_empty());
            for shape in shapes {
                let bounds = shape.visual_bounding_rect();
                assert!(!bounds.any_nan(), "{points:?}: {shape:?}");
            }
        }
    }

    #[test]
    fn a_line_is_read_between_its_points_alone() {
        let line = [(0.0, 0.0), (2.0, 10.0), (2.0, 20.0), (4.0, 20.0)];
        assert_eq!([1.0, 3.0, 5.0, -1.0].map(|along| between(&line, along)), [Some(5.0), Some(20.0), None, None]);
        assert_eq!(between(&[(1.0, 1.0)], 1.0), None);
    }
}
