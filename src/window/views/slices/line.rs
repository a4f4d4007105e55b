//! The numbers of a slice in this frame.

use eframe::egui::Rect;

use crate::drawing::{CombScale, Slice, SlicePoint, SliceSpec, points_near};
use crate::shaping::{Along, bends};
use crate::table::{Cell, Table};
use crate::window::kit::scene_painter::viewport;
use crate::window::kit::theme::view_sizes::SLICES_SIZES;
use crate::window::views::view::View;
use crate::wording::Unit;

/// The numbers of a slice in this frame.
pub(super) struct Line {
    pub(super) cells: Vec<Cell>,
    pub(super) points: Vec<(f64, f64)>,
    base: Vec<(f64, f64)>,
    /// The line as it is, if `points` are only proposed.
    now: Vec<(f64, f64)>,
    value_range: (f64, f64),
    pub(super) selected: Vec<bool>,
    /// Held points, and those at which something was found.
    pub(super) kept: Vec<bool>,
    pub(super) active: usize,
    hovered: Option<usize>,
    /// How bent it is at each point, degrees; as from [`bends`].
    pub(super) bends: Vec<f64>,
    /// The measured points near it.
    pub(super) measured: Vec<SlicePoint>,
}

impl Line {
    pub(super) fn new(along: Along, view: &View<'_>) -> Self {
        let (table, base, screen) = (view.table(), view.base.project.advance.table(), view.screen);
        let settled = view.settled().advance.table();
        let cursor = screen.selection.cursor;
        let cells = cells(along, table, cursor);
        let axis = along.axis(table);
        let degs: Vec<f64> = cells.iter().map(|&cell| table.at(cell)).collect();
        let find = |wanted: Cell| cells.iter().position(|&cell| cell == wanted);
        let found = view.checked.marked(table);
        let is_found = |cell: &Cell| found.binary_search_by_key(cell, |(cell, _)| *cell).is_ok();
        let held = view.advance().held();
        Self {
            base: base_line(table, base, along, cursor),
            now: view.proposed.map_or_else(Vec::new, |_| base_line(table, settled, along, cursor)),
            value_range: view.scales.extremes,
            selected: cells.iter().map(|&cell| screen.selection.cells.contains(cell)).collect(),
            kept: cells.iter().map(|cell| held.contains(*cell) || is_found(cell)).collect(),
            active: find(cursor).unwrap_or(0),
            hovered: screen.pointer.cell.and_then(find),
            measured: measured(along, view),
            bends: bends(axis, &degs),
            points: axis.breakpoints().iter().copied().zip(degs).collect(),
            cells,
        }
    }

    pub(super) fn spec<'a>(&'a self, along: Along, view: &View<'a>, rect: Rect) -> SliceSpec<'a> {
        let unit = if along == Along::Speed { Unit::Rpm } else { view.project.sensors.load.unit() };
        SliceSpec {
            points: &self.points,
            base: &self.base,
            value_range: self.value_range,
            scale_stands: true,
            now: &self.now,
            active: Some(self.active),
            hovered: self.hovered,
            selected: &self.selected,
            units: (unit, Unit::Degree),
            look: view.theme.palette.look,
            rect: viewport(rect),
        }
    }
}

/// The measured points within half a row or column of the cursor's.
fn measured(along: Along, view: &View<'_>) -> Vec<SlicePoint> {
    let cursor = view.screen.selection.cursor;
    let line = if along == Along::Speed { cursor.load } else { cursor.speed };
    let mut points = points_near(&view.project.evidence.points, view.table(), along, line);
    for point in &mut points {
        point.is_hovered = view.screen.pointer.measured == Some(point.index);
    }
    points
}

/// The cells of the row or column at the cursor.
pub(super) fn cells(along: Along, table: &Table, cursor: Cell) -> Vec<Cell> {
    match along {
        Along::Speed => (0..table.speed().len()).map(|speed| Cell::new(cursor.load, speed)).collect(),
        Along::Load => (0..table.load().len()).map(|load| Cell::new(load, cursor.speed)).collect(),
    }
}

/// The scale of a slice's comb. It stands while something is dragged or proposed, so that teeth are seen to grow.
#[derive(Default)]
pub(super) struct CombFit {
    fitted: Option<(CombScale, usize, f32)>,
}

impl CombFit {
    /// The scale for a line at index `at`, in a slice so high.
    pub(super) fn scale(
        &mut self,
        (line, slice): (&Line, &Slice),
        at: usize,
        height: f32,
        view: &View<'_>,
    ) -> CombScale {
        let stands = view.document.gesture_open() || view.proposed.is_some();
        if let Some((scale, of, room)) = self.fitted
            && stands
            && (of, room) == (at, height)
        {
            return scale;
        }
        let scale = slice.comb_scale(&line.bends, (height * SLICES_SIZES.comb_share).min(SLICES_SIZES.most_comb));
        self.fitted = Some((scale, at, height));
        scale
    }
}

/// The base along the same line; empty where the base does not reach.
fn base_line(table: &Table, base: &Table, along: Along, cursor: Cell) -> Vec<(f64, f64)> {
    let (across, index) = match along {
        Along::Speed => (Along::Load, cursor.load),
        Along::Load => (Along::Speed, cursor.speed),
    };
    let (Some(&at), of_base) = (across.axis(table).breakpoints().get(index), across.axis(base)) else {
        return Vec::new();
    };
    if !(of_base.first()..=of_base.last()).contains(&at) {
        return Vec::new();
    }
    let value = |x: f64| match along {
        Along::Speed => base.lookup(x, at),
        Along::Load => base.lookup(at, x),
    };
    along.axis(base).breakpoints().iter().map(|&x| (x, value(x))).collect()
}
