//! Painting the delta: tints, digits, outlines, badges, selection.

use eframe::egui::text::{LayoutJob, TextFormat};
use eframe::egui::{Align2, Color32, FontId, Painter, Pos2, Rect, Stroke, pos2, vec2};

use super::super::comparing::Compared;
use super::super::names;
use super::badges::upper_left;
use super::layout::Layout;
use crate::compare::{CHANGED_ABOVE_DEG, TableComparison};
use crate::drawing::{ColorMap, Ground};
use crate::table::{Axis, Cell, Selection};
use crate::window::kit::marks::nil;
use crate::window::kit::theme::{Theme, color};
use crate::wording::at_most;

/// Size of a badge that stands on a corner between cells.
const BETWEEN_CELLS: f32 = 0.75;
/// Distance of axis numbers from the cells, in parts of a gap.
const AXIS_AIR: f32 = 1.2;

pub(super) struct Paint<'a> {
    pub(super) painter: &'a Painter,
    pub(super) layout: &'a Layout,
    pub(super) theme: &'a Theme,
    pub(super) compared: &'a Compared,
    pub(super) table: &'a TableComparison,
}

impl Paint<'_> {
    /// Everything within the cells.
    pub(super) fn cells(&self, selection: &Selection, hover: Option<Cell>) {
        self.rules();
        let map = ColorMap::new(self.theme.palette.look, Ground::Grid);
        for point in self.layout.seen() {
            self.cell(point, &map);
        }
        let palette = self.theme.palette;
        let ink = Stroke::new(self.theme.compare.outline_width, color(palette.ink));
        let compared = self.compared;
        self.outline(ink, |point| compared.region_of(point));
        if let Some(point) = hover {
            let frame = Stroke::new(1.0, color(palette.ink_secondary));
            self.painter.rect_stroke(self.layout.rect(point).shrink(1.0), 0.0, frame, eframe::egui::StrokeKind::Inside);
        }
        let accent = Stroke::new(self.theme.selection_width, color(palette.accent));
        let is_selected = |point: Cell| compared.cell_at(point).filter(|cell| selection.contains(*cell)).map(|_| 0);
        self.outline(accent, is_selected);
    }

    fn rules(&self) {
        let rule = Stroke::new(1.0, color(self.theme.palette.rule));
        let clip = self.layout.clip;
        let right = self.layout.left(self.layout.columns).min(clip.right());
        for row in self.layout.seen_rows() {
            let y = self.layout.top(row) + self.layout.cell.y - 0.5;
            self.painter.hline(clip.left()..=right, y, rule);
        }
    }

    fn cell(&self, point: Cell, map: &ColorMap) {
        let (rect, deg) = (self.layout.rect(point), self.table.delta.at(point));
        let palette = self.theme.palette;
        if deg.abs() <= CHANGED_ABOVE_DEG {
            nil(self.painter, rect.center(), color(palette.ink_secondary));
            return;
        }
        let tint = color(map.diverging(deg / self.compared.full_deg));
        self.painter.rect_filled(rect, 0.0, tint);
        let line = Stroke::new(1.0, color(palette.grid_line));
        self.painter.vline(rect.right() - 0.5, rect.y_range(), line);
        self.painter.hline(rect.x_range(), rect.bottom() - 0.5, line);
        let text = names::delta(deg, self.compared.edited().step_deg);
        self.painter.text(rect.center(), Align2::CENTER_CENTER, text, self.theme.digits_font(), color(palette.ink));
    }

    /// Lines round points of one group, where the neighbour is of another group or none.
    fn outline(&self, stroke: Stroke, group: impl Fn(Cell) -> Option<usize>) {
        for point in self.layout.seen() {
            let Some(own) = group(point) else { continue };
            let rect = self.layout.rect(point);
            let corners = [rect.left_top(), rect.right_top(), rect.right_bottom(), rect.left_bottom()];
            let other = |neighbour: Option<Cell>| neighbour.and_then(&group) != Some(own);
            let (load, speed) = (point.load, point.speed);
            let within =
                |point: Cell| (point.load < self.layout.rows && point.speed < self.layout.columns).then_some(point);
            let neighbours = [
                within(Cell::new(load + 1, speed)),
                within(Cell::new(load, speed + 1)),
                load.checked_sub(1).map(|load| Cell::new(load, speed)),
                speed.checked_sub(1).map(|speed| Cell::new(load, speed)),
            ];
            for (side, neighbour) in neighbours.into_iter().enumerate() {
                if other(neighbour) {
                    self.side(corners[side], corners[(side + 1) % 4], stroke);
                }
            }
        }
    }

    /// A line along a cell, long enough to close its corners.
    fn side(&self, from: Pos2, to: Pos2, stroke: Stroke) {
        let beyond = (to - from).normalized() * (stroke.width / 2.0);
        self.painter.line_segment([from - beyond, to + beyond], stroke);
    }

    /// The badges; those at the rim reach beyond the cells, onto the ground of the breakpoints.
    pub(super) fn badges(&self, outer: &Painter) {
        for (number, region) in self.table.regions.iter().enumerate() {
            let beside = self.compared.badges.get(number).copied().flatten();
            let at = match (beside, upper_left(region)) {
                (Some(point), _) => self.layout.rect(point).center(),
                (None, Some(point)) => self.layout.rect(point).left_top(),
                (None, None) => continue,
            };
            if self.layout.clip.expand(1.0).contains(at) {
                // Between cells there is little room: no digit and no sign may be covered.
                let size = if beside.is_some() { 1.0 } else { BETWEEN_CELLS };
                badge(outer, at, number, size, self.theme);
            }
        }
    }

    /// The speeds over the columns, as many as have room, the cursor's emphasised.
    pub(super) fn speeds(&self, painter: &Painter, cursor: Option<Cell>) {
        let y = self.layout.clip.top() - self.theme.gap * AXIS_AIR;
        let mut free_from = f32::NEG_INFINITY;
        for column in self.layout.seen_columns() {
            let Some(&speed) = self.table.delta.speed_rpm().get(column) else { continue };
            let x = self.layout.left(column) + self.layout.cell.x / 2.0;
            let is_current = cursor.is_some_and(|cursor| cursor.speed == column);
            let is_own = self.own_axes().0.index_of(speed).is_some();
            let galley = painter.layout_job(self.axis_text(speed, is_own, is_current));
            let left = x - galley.size().x / 2.0;
            if left < free_from || x < self.layout.clip.left() || x > self.layout.clip.right() {
                continue;
            }
            free_from = left + galley.size().x + 3.0;
            painter.galley(pos2(left, y - galley.size().y), galley, Color32::PLACEHOLDER);
        }
    }

    /// The loads beside the rows.
    pub(super) fn loads(&self, painter: &Painter, cursor: Option<Cell>) {
        let right = self.layout.clip.left() - self.theme.gap * AXIS_AIR;
        for row in self.layout.seen_rows() {
            let Some(&load) = self.table.delta.load().get(row) else { continue };
            let y = self.layout.top(row) + self.layout.cell.y / 2.0;
            if self.layout.clip.y_range().contains(y) {
                let is_current = cursor.is_some_and(|cursor| cursor.load == row);
                let is_own = self.own_axes().1.index_of(load).is_some();
                let galley = painter.layout_job(self.axis_text(load, is_own, is_current));
                let at = Align2::RIGHT_CENTER.anchor_size(pos2(right, y), galley.size()).min;
                painter.galley(at, galley, Color32::PLACEHOLDER);
            }
        }
    }

    fn own_axes(&self) -> (&Axis, &Axis) {
        let table = self.compared.edited().advance.table();
        (table.speed(), table.load())
    }

    /// A breakpoint: in ink under the cursor, slanted when only the base has it.
    fn axis_text(&self, value: f64, is_own: bool, is_current: bool) -> LayoutJob {
        let palette = self.theme.palette;
        let ink = color(if is_current { palette.ink } else { palette.ink_secondary });
        let format = TextFormat { italics: !is_own, ..TextFormat::simple(self.theme.small_font(), ink) };
        LayoutJob::single_section(at_most(value, 3), format)
    }
}

/// A region's number in a disc; `size` 1 is the usual size.
pub(in super::super) fn badge(painter: &Painter, at: Pos2, number: usize, size: f32, theme: &Theme) {
    let palette = theme.palette;
    let radius = theme.compare.badge_radius * size;
    let text = (number + 1).to_string();
    let galley = painter.layout_no_wrap(text, FontId::proportional(theme.small * size), color(palette.paper));
    let width = (galley.size().x + 0.9 * radius).max(2.0 * radius);
    let disc = Rect::from_center_size(at, vec2(width, 2.0 * radius));
    painter.rect_filled(disc, radius, color(palette.ink));
    painter.galley(at - galley.size() / 2.0, galley, color(palette.paper));
}
