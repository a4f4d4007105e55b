//! A small plot: two scales, lines, dots and names, in the palette's ink.

use eframe::egui::{self, Align2, Color32, Pos2, Rect, Role, Sense, Shape, Stroke, WidgetInfo, pos2, vec2};

use crate::drawing::{LabelRoom, Point, Ticks};
use crate::window::kit::scene_painter::viewport;
use crate::window::kit::theme::engine_sizes::SIZES;
use crate::window::kit::theme::{Theme, color};

/// How far names stand from their points.
const NAME_DISTANCES: [f32; 4] = [3.0, 9.0, 16.0, 24.0];

/// A scale: what it is called with its unit, and its ends.
pub(super) struct Scale {
    name: &'static str,
    low: f64,
    high: f64,
}

impl Scale {
    /// From the least to the greatest of some values, with room beyond; at least `least` wide.
    pub(super) fn around(name: &'static str, values: impl Iterator<Item = f64>, least: f64) -> Self {
        let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
        let (low, high) = if low <= high { (low, high) } else { (0.0, least) };
        let more = ((least - (high - low)).max(0.0) / 2.0).max((high - low) * 0.08);
        Self { name, low: low - more, high: high + more }
    }

    pub(super) const fn new(name: &'static str, low: f64, high: f64) -> Self {
        Self { name, low, high }
    }
}

/// A plot in its place.
pub(super) struct Plot<'a> {
    painter: egui::Painter,
    theme: &'a Theme,
    plot: Rect,
    x: Scale,
    y: Scale,
    /// What names must keep clear of.
    room: LabelRoom,
}

impl<'a> Plot<'a> {
    /// Takes the room and draws the scales; `words` is what the plot says, for those who cannot see it.
    pub(super) fn new(ui: &mut egui::Ui, theme: &'a Theme, x: Scale, y: Scale, words: &str) -> Self {
        let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), SIZES.plot_height), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words));
        let (left, above, right, below) = SIZES.plot_room;
        let plot = Rect::from_min_max(rect.min + vec2(left, above), rect.max - vec2(right, below));
        let made = Self { painter: ui.painter().clone(), theme, plot, x, y, room: LabelRoom::default() };
        made.scales(rect);
        made
    }

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a size in points")]
    fn scales(&self, rect: Rect) {
        let palette = self.theme.palette;
        let (ink, rule) = (color(palette.ink_secondary), Stroke::new(1.0, color(palette.rule)));
        let font = || self.theme.small_font();
        let xs = Ticks::within(self.x.low, self.x.high, (self.plot.width() / 64.0).max(1.0) as usize);
        for &value in &xs.values {
            let x = self.painter.round_to_pixel_center(self.at(value, self.y.low).x);
            self.painter.vline(x, self.plot.y_range(), rule);
            self.painter.text(pos2(x, self.plot.bottom() + 4.0), Align2::CENTER_TOP, xs.text(value), font(), ink);
        }
        let ys = Ticks::within(self.y.low, self.y.high, (self.plot.height() / 30.0).max(1.0) as usize);
        for &value in &ys.values {
            let y = self.painter.round_to_pixel_center(self.at(self.x.low, value).y);
            self.painter.hline(self.plot.x_range(), y, rule);
            self.painter.text(pos2(self.plot.left() - 6.0, y), Align2::RIGHT_CENTER, ys.text(value), font(), ink);
        }
        let above = rect.top() + 8.0;
        self.painter.text(pos2(self.plot.left(), above), Align2::LEFT_CENTER, self.y.name, font(), ink);
        self.painter.text(pos2(self.plot.right(), above), Align2::RIGHT_CENTER, self.x.name, font(), ink);
    }

    #[expect(clippy::cast_possible_truncation, reason = "screen points are f32")]
    fn at(&self, x: f64, y: f64) -> Pos2 {
        let share = |value: f64, scale: &Scale| ((value - scale.low) / (scale.high - scale.low)) as f32;
        pos2(
            self.plot.left() + share(x, &self.x) * self.plot.width(),
            self.plot.bottom() - share(y, &self.y) * self.plot.height(),
        )
    }

    fn ink(&self) -> Color32 {
        color(self.theme.palette.ink)
    }

    fn clipped(&self) -> egui::Painter {
        self.painter.with_clip_rect(self.plot.expand(1.0).intersect(self.painter.clip_rect()))
    }

    /// A line through points.
    pub(super) fn line(&mut self, points: &[(f64, f64)], is_main: bool) {
        let at: Vec<Pos2> = points.iter().map(|&(x, y)| self.at(x, y)).collect();
        self.keep_clear(&at);
        let width = if is_main { SIZES.lines.0 } else { SIZES.lines.1 };
        let ink = if is_main { self.ink() } else { color(self.theme.palette.ink_secondary) };
        self.clipped().add(Shape::line(at, Stroke::new(width, ink)));
    }

    /// A dashed line through points.
    pub(super) fn dashed(&mut self, points: &[(f64, f64)]) {
        let at: Vec<Pos2> = points.iter().map(|&(x, y)| self.at(x, y)).collect();
        self.keep_clear(&at);
        let stroke = Stroke::new(SIZES.lines.2, color(self.theme.palette.ink_secondary));
        self.clipped().extend(Shape::dashed_line(&at, stroke, 5.0, 4.0));
    }

    /// Dots at points.
    pub(super) fn dots(&self, points: &[(f64, f64)]) {
        let paper = Stroke::new(1.2, color(self.theme.palette.paper));
        for &(x, y) in points {
            self.painter.circle(self.at(x, y), self.theme.point_radius + 0.5, self.ink(), paper);
        }
    }

    /// A faint upright field between two heights, where a value should be.
    pub(super) fn field(&self, x: (f64, f64), y: (f64, f64)) {
        let rect = Rect::from_two_pos(self.at(x.0, y.0), self.at(x.1, y.1)).intersect(self.plot);
        self.painter.rect_filled(rect, 2.0, color(self.theme.palette.field_pressed));
    }

    fn keep_clear(&mut self, line: &[Pos2]) {
        let points: Vec<Point> = line.iter().map(|at| Point::new(at.x, at.y)).collect();
        self.room.add_line(&points);
    }

    /// A name beside one of some points, the first best: above or below and right of it, or left; farther off where lines
    /// and other names leave no room. Lines that are drawn later are not known yet.
    pub(super) fn name_one_of(&mut self, points: &[(f64, f64)], text: &str, is_below: bool) {
        let galley = self.painter.layout_no_wrap(text.to_owned(), self.theme.small_font(), self.ink());
        let size = galley.size();
        let inside = Rect::from_min_max(self.plot.min, self.plot.max + vec2(SIZES.plot_room.2, 0.0)).expand(0.5);
        let beside = |&(x, y): &(f64, f64)| {
            let at = self.at(x, y);
            NAME_DISTANCES.into_iter().flat_map(move |off| {
                let tops = [at.y + off, at.y - size.y - off];
                let tops = if is_below { tops } else { [tops[1], tops[0]] };
                tops.into_iter().flat_map(move |top| {
                    [at.x + 4.0 + off, at.x - 4.0 - off - size.x].map(|left| Rect::from_min_size(pos2(left, top), size))
                })
            })
        };
        let all: Vec<Rect> = points.iter().flat_map(beside).collect();
        let within: Vec<Rect> = all.iter().copied().filter(|place| inside.contains_rect(*place)).collect();
        let boxes = within.iter().map(|place| viewport(*place));
        let found = self.room.take(boxes).and_then(|(place, _)| within.get(place).copied());
        // Where even the air is taken, the paper behind it keeps the name readable.
        let Some(place) = found.or_else(|| within.first().copied()).or_else(|| all.first().copied()) else { return };
        let ground = place.expand2(vec2(2.0, 0.0));
        self.painter.rect_filled(ground, 2.0, color(self.theme.palette.paper));
        self.painter.galley(place.min, galley, self.ink());
    }

    /// A name beside a point.
    pub(super) fn name(&mut self, point: (f64, f64), text: &str, is_below: bool) {
        self.name_one_of(&[point], text, is_below);
    }
}
