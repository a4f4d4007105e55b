//! The one chart for everything that is plotted: scales, lines, dashes, areas, draggable points, labels that
//! keep clear of lines, and a readout under the pointer. It only knows numbers and units.

use std::ops::RangeInclusive;

use eframe::egui::{self, Align2, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use crate::drawing::{ChartFrame, ChartSpec, Color, Handle, LabelRoom, Scene, Slice, SliceSpec};
use crate::window::kit::scene_painter::{self, card, point, pos, viewport};
use crate::window::kit::theme::kit_sizes::{CHART, CHART_SIZES};
use crate::window::kit::theme::{Theme, color};

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line {
    /// The subject of the chart.
    Main,
    /// Another line of the same kind.
    Other,
    /// What it is compared with; dashed.
    Compared,
    /// A marked position along either axis; dashed.
    Mark,
    /// A bound; dotted.
    Bound,
}

/// A chart in its place.
pub struct Chart<'a> {
    painter: egui::Painter,
    theme: &'a Theme,
    frame: ChartFrame,
    /// What labels must keep clear of.
    room: LabelRoom,
}

impl<'a> Chart<'a> {
    /// Lays a chart out; `None` if there is not enough room.
    pub fn new(painter: &egui::Painter, theme: &'a Theme, spec: &ChartSpec) -> Option<Self> {
        let frame = ChartFrame::new(spec)?;
        Some(Self { painter: painter.clone(), theme, frame, room: LabelRoom::default() })
    }

    /// Its scales.
    pub const fn frame(&self) -> &ChartFrame {
        &self.frame
    }

    /// The plot area.
    pub fn plot(&self) -> Rect {
        let plot = self.frame.plot();
        Rect::from_min_size(pos2(plot.left, plot.top), vec2(plot.width, plot.height))
    }

    /// The position of a pair of numbers.
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

    /// Paints a line through points; labels keep clear of it.
    pub fn line(&mut self, points: &[(f64, f64)], line: Line) {
        let at: Vec<Pos2> = points.iter().map(|&point| self.place(point)).collect();
        self.room.add_line(&at.iter().map(|&at| point(at)).collect::<Vec<_>>());
        let (stroke, dashes) = self.stroke(line);
        self.paint_line(at, stroke, dashes);
    }

    /// The same in another colour than the usual one.
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

    /// A painter that leaves out what lies beyond the scales; lines at the edge keep their width.
    fn clipped(&self) -> egui::Painter {
        self.painter.with_clip_rect(self.plot().expand(CHART_SIZES.clip).intersect(self.painter.clip_rect()))
    }

    /// Paints a dashed vertical line at a number on the horizontal scale; at the edge if it is beyond the scale.
    pub fn upright(&self, along: f64) {
        let plot = self.plot();
        let x = self.frame.along.to_screen(along).clamp(plot.left(), plot.right());
        let x = self.painter.round_to_pixel_center(x);
        let (stroke, dashes) = self.stroke(Line::Mark);
        self.paint_line(vec![pos2(x, plot.top()), pos2(x, plot.bottom())], stroke, dashes);
    }

    /// Paints a dotted horizontal line with its words at the right end, if the scale reaches it.
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
        let at = pos2(plot.right(), y) - vec2(CHART_SIZES.name_air, CHART_SIZES.clip);
        self.painter.text(at, Align2::RIGHT_BOTTOM, words, self.theme.small_font(), ink);
    }

    /// Paints a faint area between two corners, where a value should be.
    pub fn area(&self, along: RangeInclusive<f64>, up: RangeInclusive<f64>) {
        let corners = [(*along.start(), *up.start()), (*along.end(), *up.end())].map(|at| self.place(at));
        let rect = Rect::from_two_pos(corners[0], corners[1]).intersect(self.plot());
        self.painter.rect_filled(rect, CHART_SIZES.corner, color(self.theme.palette.field_pressed));
    }

    /// Paints dots at points.
    pub fn dots(&self, points: &[(f64, f64)]) {
        let rim = Stroke::new(CHART.outline, color(self.theme.palette.paper));
        for &at in points {
            self.painter.circle(self.place(at), CHART_SIZES.dot, color(self.theme.palette.ink), rim);
        }
    }

    /// Paints a diamond at a point, where a value is read.
    pub fn diamond(&self, at: (f64, f64)) {
        let (at, half) = (self.place(at), CHART.radii.1);
        let corners = [vec2(0.0, -half), vec2(half, 0.0), vec2(0.0, half), vec2(-half, 0.0)].map(|by| at + by);
        let (paper, ink) = (color(self.theme.palette.paper), color(self.theme.palette.ink));
        self.painter.add(Shape::convex_polygon(corners.to_vec(), paper, Stroke::new(CHART.outline, ink)));
    }

    /// The number along under the pointer, with a vertical hairline there; `within` may extend beyond the plot.
    pub fn pointed(&self, ui: &egui::Ui, within: Rect) -> Option<f64> {
        let at = hovering(ui, within)?;
        let x = self.painter.round_to_pixel_center(at.x);
        self.painter.vline(x, within.y_range(), Stroke::new(CHART.guide, color(self.theme.palette.ink_secondary)));
        Some(self.frame.along.from_screen(at.x))
    }

    /// Shows the values under the pointer on a card beside it: the numbers of a line there, put into words.
    pub fn readout(&self, ui: &egui::Ui, line: &[(f64, f64)], words: impl Fn(f64, f64) -> String) {
        let Some(along) = self.pointed(ui, self.plot()) else { return };
        let Some(up) = between(line, along) else { return };
        let at = self.place((along, up));
        self.painter.circle_filled(at, CHART.radii.0, color(self.theme.palette.ink));
        card(ui.ctx(), at, &words(along, up), self.theme);
    }
}

/// The position of the pointer, if it is over a rectangle of this layer.
pub fn hovering(ui: &egui::Ui, within: Rect) -> Option<Pos2> {
    let at = ui.input(|input| input.pointer.hover_pos())?;
    (within.contains(at) && ui.rect_contains_pointer(within)).then_some(at)
}

/// The value of a line at a number along, if it has one there.
fn between(line: &[(f64, f64)], along: f64) -> Option<f64> {
    let pair = line.windows(2).find(|pair| (pair[0].0..=pair[1].0).contains(&along))?;
    let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
    Some(if x1 > x0 { y0 + (y1 - y0) * (along - x0) / (x1 - x0) } else { y0 })
}

/// Paints a read-only slice, as in pictures and on paper, into a rectangle if there is room for it.
/// Look and rectangle of `spec` are replaced by the screen's.
pub fn paint_slice(painter: &egui::Painter, rect: Rect, spec: &SliceSpec<'_>, theme: &Theme) {
    let spec = SliceSpec { rect: viewport(rect), look: theme.palette.look, ..*spec };
    let Some(slice) = Slice::new(&spec) else { return };
    let mut scene = Scene::default();
    slice.draw(&spec, &mut scene);
    scene_painter::snap_lines(&mut scene, painter);
    scene_painter::paint(painter, &scene, theme);
}

/// The area in which the pointer can grab a point: no neighbour is closer there.
pub fn touch(points: &[Pos2], index: usize, size: f32) -> Rect {
    let Some(&here) = points.get(index) else { return Rect::NOTHING };
    let half = size / 2.0;
    let reach = |other: Option<&Pos2>| other.map_or(half, |other| ((here.x - other.x).abs() / 2.0).min(half));
    let before = reach(index.checked_sub(1).and_then(|before| points.get(before)));
    let after = reach(points.get(index + 1));
    Rect::from_min_max(here - vec2(before, half), here + vec2(after, half))
}

/// Paints points over their line, in this order; see [`crate::drawing::handle_radius`].
pub fn paint_handles(painter: &Painter, handles: impl IntoIterator<Item = Handle>, radius: f32, theme: &Theme) {
    let mut scene = Scene::default();
    for handle in handles {
        handle.draw(radius, theme.palette, &mut scene);
    }
    scene_painter::paint(painter, &scene, theme);
}

impl Chart<'_> {
    /// A label beside one of several points, at the first position that is free: above (or below) and to the
    /// right, or to the left; further away if lines and other labels leave no room. Lines that are drawn later
    /// are not taken into account.
    pub fn name_one_of(&mut self, points: &[(f64, f64)], text: &str, is_below: bool) {
        let ink = color(self.theme.palette.ink);
        let galley = self.painter.layout_no_wrap(text.to_owned(), self.theme.small_font(), ink);
        let size = galley.size();
        let plot = self.plot();
        let inside = Rect::from_min_max(plot.min, plot.max + vec2(CHART.around.1, 0.0)).expand(0.5);
        let beside = |&point: &(f64, f64)| {
            let at = self.place(point);
            CHART_SIZES.name_distances.into_iter().flat_map(move |off| {
                let tops = [at.y + off, at.y - size.y - off];
                let tops = if is_below { tops } else { [tops[1], tops[0]] };
                let aside = off + 2.0 * CHART_SIZES.name_air;
                tops.into_iter().flat_map(move |top| {
                    [at.x + aside, at.x - aside - size.x].map(|left| Rect::from_min_size(pos2(left, top), size))
                })
            })
        };
        let all: Vec<Rect> = points.iter().flat_map(beside).collect();
        let within: Vec<Rect> = all.iter().copied().filter(|place| inside.contains_rect(*place)).collect();
        let boxes = within.iter().map(|place| viewport(*place));
        let found = self.room.take(boxes).and_then(|(place, _)| within.get(place).copied());
        // If every position is taken, the paper-coloured background keeps the label readable.
        let Some(place) = found.or_else(|| within.first().copied()).or_else(|| all.first().copied()) else { return };
        let ground = place.expand2(vec2(CHART_SIZES.name_air, 0.0));
        self.painter.rect_filled(ground, CHART_SIZES.corner, color(self.theme.palette.paper));
        self.painter.galley(place.min, galley, ink);
    }

    /// A label beside a point.
    pub fn name(&mut self, point: (f64, f64), text: &str, is_below: bool) {
        self.name_one_of(&[point], text, is_below);
    }

    /// A value above a point, or below it if there is no room, on a background that keeps it readable.
    pub fn value(&self, point: (f64, f64), text: String) {
        let (at, plot, palette) = (self.place(point), self.plot(), self.theme.palette);
        let galley = self.painter.layout_no_wrap(text, self.theme.body_font(), color(palette.ink));
        let (size, off) = (galley.size(), CHART_SIZES.value_distance);
        let is_above = at.y - plot.top() > size.y + off;
        let top = if is_above { at.y - off - size.y } else { at.y + off };
        let left = (at.x - size.x / 2.0).clamp(plot.left(), (plot.right() - size.x).max(plot.left()));
        let ground = Rect::from_min_size(pos2(left, top), size).expand2(vec2(CHART_SIZES.name_air, 0.0));
        self.painter.rect_filled(ground, CHART_SIZES.corner, color(palette.paper.with_alpha(225)));
        self.painter.galley(pos2(left, top), galley, color(palette.ink));
    }
}

#[cfg(test)]
mod tests {
    use eframe::egui::{RawInput, UiBuilder, pos2};

    use super::*;
    use crate::drawing::Look;
    use crate::window::kit::scene_painter::viewport;
    use crate::wording::Unit;

    /// The shapes that egui gets for a chart of some points.
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

    #[test]
    fn every_point_of_a_line_has_an_area_of_its_own() {
        let points = [pos2(0.0, 50.0), pos2(6.0, 40.0), pos2(100.0, 40.0)];
        let areas: Vec<Rect> = (0..3).map(|index| touch(&points, index, 24.0)).collect();
        assert!(areas.windows(2).all(|pair| pair[0].right() <= pair[1].left()));
        assert!(areas.iter().zip(points).all(|(area, point)| area.contains(point)));
        assert_eq!(touch(&points, 3, 24.0), Rect::NOTHING);
    }
}
