//! The order in which cells and triangles are painted: far from the eye first.

use glam::{DVec2, DVec3};

use super::Stop;

/// The eye, and where it stands over the grid.
#[derive(Clone, Copy, Debug)]
pub(super) struct Eye {
    /// (x·w, y·w, z·w).
    at: DVec3,
    w: f64,
    /// The column and the row of cells over which it stands; −1 or the number of cells when beside them.
    column: isize,
    row: isize,
}

impl Eye {
    pub(super) fn new((at, w): (DVec3, f64), columns: &[Stop], rows: &[Stop]) -> Self {
        Self { at, w, column: slot(at.x, w, columns), row: slot(at.y, w, rows) }
    }

    /// On which side of the vertical plane through two places the eye is, and on which side a third place is: the
    /// same sign for the same side.
    pub(super) fn is_on_side_of(&self, place: DVec2, (a, b): (DVec2, DVec2)) -> bool {
        let along = b - a;
        let eye = along.perp_dot(self.at.truncate() - a * self.w);
        eye * along.perp_dot(place - a) > 0.0
    }

    /// Whether the eye is below the plane through three model points.
    pub(super) fn is_under(&self, [a, b, c]: [DVec3; 3]) -> bool {
        let normal = (b - a).cross(c - a);
        normal.z.signum() * normal.dot(self.at - a * self.w) < 0.0
    }

    /// Column indices of cells, far first.
    pub(super) fn columns(&self, count: usize) -> impl Iterator<Item = usize> + use<> {
        far_first(count, self.column)
    }

    /// Row indices of cells, far first.
    pub(super) fn rows(&self, count: usize) -> impl Iterator<Item = usize> + use<> {
        far_first(count, self.row)
    }

    /// Whether the cell in that column paints the mesh line on its (lower, upper) side: the nearer of two neighbours
    /// does, so that the line is not covered by half; at the border the only one does.
    pub(super) fn paints_columns(&self, cell: usize, count: usize) -> (bool, bool) {
        paints(cell, count, self.column)
    }

    /// The same for rows.
    pub(super) fn paints_rows(&self, cell: usize, count: usize) -> (bool, bool) {
        paints(cell, count, self.row)
    }
}

fn slot(at: f64, w: f64, stops: &[Stop]) -> isize {
    let above = if w > 0.0 {
        stops.partition_point(|stop| stop.model * w <= at)
    } else if at < 0.0 {
        0
    } else {
        stops.len()
    };
    above.cast_signed() - 1
}

fn far_first(count: usize, eye: isize) -> impl Iterator<Item = usize> {
    let before = eye.clamp(0, count.cast_signed()).cast_unsigned();
    let after = (eye + 1).clamp(0, count.cast_signed()).cast_unsigned();
    (0..before).chain((after..count).rev()).chain(before..after)
}

fn paints(cell: usize, count: usize, eye: isize) -> (bool, bool) {
    let index = cell.cast_signed();
    (cell == 0 || index <= eye, cell + 1 == count || index >= eye)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn far_cells_come_first() {
        let order = |eye| far_first(5, eye).collect::<Vec<_>>();
        assert_eq!(order(-1), [4, 3, 2, 1, 0]);
        assert_eq!(order(5), [0, 1, 2, 3, 4]);
        assert_eq!(order(4), [0, 1, 2, 3, 4]);
        assert_eq!(order(2), [0, 1, 4, 3, 2]);
        assert_eq!(order(0), [4, 3, 2, 1, 0]);
    }

    #[test]
    fn every_mesh_line_is_painted_once_and_by_the_later_cell() {
        for eye in -1..=5 {
            let turn: Vec<usize> = far_first(5, eye).collect();
            for line in 0..=5_usize {
                let low = line.checked_sub(1).filter(|&cell| paints(cell, 5, eye).1);
                let high = Some(line).filter(|&cell| cell < 5 && paints(cell, 5, eye).0);
                assert!(low.is_some() ^ high.is_some(), "eye {eye} line {line}");
                if (1..5).contains(&line) {
                    let painter = low.or(high).unwrap();
                    let other = if painter == line { line - 1 } else { line };
                    let when = |cell| turn.iter().position(|&c| c == cell);
                    assert!(when(painter) > when(other), "eye {eye} line {line}");
                }
            }
        }
    }
}
