//! Labels beside points: clear of lines and of each other, and inside the chart.

use eframe::egui::{Rect, pos2, vec2};

use super::{CHART, Chart, SIZES};
use crate::window::kit::scene_painter::viewport;
use crate::window::kit::theme::color;

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
            SIZES.name_distances.into_iter().flat_map(move |off| {
                let tops = [at.y + off, at.y - size.y - off];
                let tops = if is_below { tops } else { [tops[1], tops[0]] };
                let aside = off + 2.0 * SIZES.name_air;
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
        let ground = place.expand2(vec2(SIZES.name_air, 0.0));
        self.painter.rect_filled(ground, SIZES.corner, color(self.theme.palette.paper));
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
        let (size, off) = (galley.size(), SIZES.value_distance);
        let is_above = at.y - plot.top() > size.y + off;
        let top = if is_above { at.y - off - size.y } else { at.y + off };
        let left = (at.x - size.x / 2.0).clamp(plot.left(), (plot.right() - size.x).max(plot.left()));
        let ground = Rect::from_min_size(pos2(left, top), size).expand2(vec2(SIZES.name_air, 0.0));
        self.painter.rect_filled(ground, SIZES.corner, color(palette.paper.with_alpha(225)));
        self.painter.galley(pos2(left, top), galley, color(palette.ink));
    }
}
