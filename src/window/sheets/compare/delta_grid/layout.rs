//! Where each point of the delta stands on the screen.

use std::ops::Range;

use eframe::egui::{Pos2, Rect, Vec2, pos2, vec2};

use crate::table::Cell;
use crate::window::kit::theme::CompareSizes;

/// Columns are speeds from left to right, rows are loads from the bottom up.
#[derive(Clone, Copy, Debug)]
pub(in crate::window::sheets::compare) struct Layout {
    /// The upper left corner of all cells, scrolled.
    pub(in crate::window::sheets::compare) origin: Pos2,
    /// The part of the cells that is seen.
    pub(in crate::window::sheets::compare) clip: Rect,
    /// The size of one cell.
    pub(in crate::window::sheets::compare) cell: Vec2,
    /// How many columns there are.
    pub(in crate::window::sheets::compare) columns: usize,
    /// How many rows there are.
    pub(in crate::window::sheets::compare) rows: usize,
}

#[expect(clippy::cast_precision_loss, reason = "at most 128 of each")]
fn count(number: usize) -> f32 {
    number as f32
}

/// The size of cells that share the room; whole points, so that lines stay sharp. Too many of them scroll.
pub(in crate::window::sheets::compare) fn cell_size(
    room: Vec2,
    columns: usize,
    rows: usize,
    least_width: f32,
    sizes: &CompareSizes,
) -> Vec2 {
    let share = vec2(room.x / count(columns.max(1)), room.y / count(rows.max(1)));
    let least = vec2(least_width, sizes.least_cell_height);
    share.min(sizes.largest_cell).max(least).floor()
}

impl Layout {
    /// The size of all cells together.
    pub(in crate::window::sheets::compare) fn total(cell: Vec2, columns: usize, rows: usize) -> Vec2 {
        vec2(cell.x * count(columns), cell.y * count(rows))
    }

    /// The left edge of a column; that of the column after the last is the right end.
    pub(in crate::window::sheets::compare) fn left(&self, column: usize) -> f32 {
        self.origin.x + self.cell.x * count(column)
    }

    /// The upper edge of a load's row.
    pub(in crate::window::sheets::compare) fn top(&self, load: usize) -> f32 {
        self.origin.y + self.cell.y * (count(self.rows) - 1.0 - count(load))
    }

    /// The rectangle of a point.
    pub(in crate::window::sheets::compare) fn rect(&self, point: Cell) -> Rect {
        Rect::from_min_size(pos2(self.left(point.speed), self.top(point.load)), self.cell)
    }

    /// The point at a place on the screen, if one is seen there.
    pub(in crate::window::sheets::compare) fn at(&self, place: Pos2) -> Option<Cell> {
        if !self.clip.contains(place) {
            return None;
        }
        let columns = 0..self.columns;
        let speed =
            columns.into_iter().find(|&column| (self.left(column)..self.left(column + 1)).contains(&place.x))?;
        let load = (0..self.rows).find(|&row| (self.top(row)..self.top(row) + self.cell.y).contains(&place.y))?;
        Some(Cell::new(load, speed))
    }

    /// The columns of which something is seen.
    pub(in crate::window::sheets::compare) fn seen_columns(&self) -> Range<usize> {
        let seen = |column: &usize| self.left(*column + 1) > self.clip.left() && self.left(*column) < self.clip.right();
        range((0..self.columns).filter(seen))
    }

    /// The rows of which something is seen.
    pub(in crate::window::sheets::compare) fn seen_rows(&self) -> Range<usize> {
        let seen = |row: &usize| self.top(*row) + self.cell.y > self.clip.top() && self.top(*row) < self.clip.bottom();
        range((0..self.rows).filter(seen))
    }

    /// The points of which something is seen.
    pub(in crate::window::sheets::compare) fn seen(&self) -> impl Iterator<Item = Cell> + use<> {
        let columns = self.seen_columns();
        self.seen_rows().flat_map(move |load| columns.clone().map(move |speed| Cell::new(load, speed)))
    }
}

fn range(mut indices: impl Iterator<Item = usize>) -> Range<usize> {
    let Some(first) = indices.next() else {
        return 0..0;
    };
    first..indices.last().unwrap_or(first) + 1
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAYOUT: Layout = Layout {
        origin: pos2(100.0, 50.0),
        clip: Rect { min: pos2(100.0, 50.0), max: pos2(150.0, 90.0) },
        cell: vec2(20.0, 10.0),
        columns: 4,
        rows: 5,
    };

    #[test]
    fn the_highest_load_is_on_top() {
        assert_eq!(LAYOUT.rect(Cell::new(4, 0)).min, pos2(100.0, 50.0));
        assert_eq!(LAYOUT.rect(Cell::new(0, 3)).max, pos2(180.0, 100.0));
        assert_eq!(LAYOUT.at(pos2(125.0, 65.0)), Some(Cell::new(3, 1)));
        assert_eq!(LAYOUT.at(pos2(151.0, 65.0)), None);
    }

    #[test]
    fn only_what_shows_is_seen() {
        assert_eq!((LAYOUT.seen_columns(), LAYOUT.seen_rows()), (0..3, 1..5));
        assert_eq!(LAYOUT.seen().count(), 12);
    }
}
