//! Where spot heights stand, as maps have them: at the peaks and the holes that stand out.

use crate::table::{Cell, Table};

/// A vertex that is higher, or lower, than all around it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Spot {
    pub(super) cell: Cell,
    pub(super) deg: f64,
    /// How far one has to go down from a peak, or up from a hole, before it goes on to a higher or a deeper one, degrees.
    /// Of the highest and the deepest: to the other end of the table.
    prominence_deg: f64,
}

/// The peaks and holes of a table that stand out by `least_deg` at least, those that do most first. A flat top counts once.
pub(super) fn spots(table: &Table, least_deg: f64) -> Vec<Spot> {
    let mut spots = peaks(table, 1.0, least_deg);
    spots.extend(peaks(table, -1.0, least_deg));
    spots.sort_by(|a, b| b.prominence_deg.total_cmp(&a.prominence_deg));
    spots
}

/// The peaks of `sign` times the table: cells are taken from the highest down, and grow together into hills; where two
/// hills meet, the lower one's prominence is known.
fn peaks(table: &Table, sign: f64, least_deg: f64) -> Vec<Spot> {
    let height = |cell: Cell| sign * table.at(cell);
    let mut cells: Vec<(f64, Cell)> = table.cells().map(|cell| (height(cell), cell)).collect();
    cells.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut hills = Hills { parent: vec![usize::MAX; cells.len()] };
    let mut tops: Vec<Cell> = table.cells().collect();
    let mut found: Vec<Spot> = Vec::new();
    let mut note = |top: Cell, prominence_deg: f64| {
        if prominence_deg >= least_deg - 1e-9 {
            found.push(Spot { cell: top, deg: table.at(top), prominence_deg });
        }
    };
    for &(_, cell) in &cells {
        let own = table.index(cell);
        hills.parent[own] = own;
        tops[own] = cell;
        for neighbour in around(table, cell) {
            if hills.parent[table.index(neighbour)] == usize::MAX {
                continue;
            }
            let (here, there) = (hills.root(own), hills.root(table.index(neighbour)));
            if here == there {
                continue;
            }
            let (higher, lower) = if height(tops[here]) > height(tops[there]) { (here, there) } else { (there, here) };
            if height(tops[lower]) > height(cell) {
                note(tops[lower], height(tops[lower]) - height(cell));
            }
            hills.parent[lower] = higher;
        }
    }
    let (low, high) = table.extremes();
    if let (Some(&(_, top)), true) = (cells.first(), high > low) {
        note(top, high - low);
    }
    found.iter().map(|spot| Spot { cell: middle_of_top(table, spot.cell), ..*spot }).collect()
}

/// Which hill each cell belongs to, by its parent there; the root is its own.
struct Hills {
    parent: Vec<usize>,
}

impl Hills {
    fn root(&mut self, mut at: usize) -> usize {
        while self.parent[at] != at {
            self.parent[at] = self.parent[self.parent[at]];
            at = self.parent[at];
        }
        at
    }
}

/// The up to eight cells around one.
fn around(table: &Table, cell: Cell) -> impl Iterator<Item = Cell> + use<> {
    let near = |at: usize, count: usize| at.saturating_sub(1)..(at + 2).min(count);
    let (loads, speeds) = (near(cell.load, table.load().len()), near(cell.speed, table.speed().len()));
    loads
        .flat_map(move |load| speeds.clone().map(move |speed| Cell::new(load, speed)))
        .filter(move |&next| next != cell)
}

/// Of the cells that are equally high and hang together with one: that nearest to their middle.
fn middle_of_top(table: &Table, top: Cell) -> Cell {
    let deg = table.at(top);
    let mut is_met = vec![false; table.values().len()];
    is_met[table.index(top)] = true;
    let (mut flat, mut next) = (vec![top], 0);
    while let Some(&cell) = flat.get(next) {
        next += 1;
        for other in around(table, cell) {
            if table.at(other) == deg && !std::mem::replace(&mut is_met[table.index(other)], true) {
                flat.push(other);
            }
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "at most 64 × 64")]
    let mean = |part: fn(&Cell) -> usize| flat.iter().map(|cell| part(cell) as f64).sum::<f64>() / flat.len() as f64;
    let (load, speed) = (mean(|cell| cell.load), mean(|cell| cell.speed));
    #[expect(clippy::cast_precision_loss, reason = "at most 64")]
    let off = |cell: &Cell| (cell.load as f64 - load).hypot(cell.speed as f64 - speed);
    flat.iter().copied().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(top)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Axis;

    fn table(rows: &[&[f64]]) -> Table {
        #[expect(clippy::cast_precision_loss, reason = "a small count")]
        let axis = |count: usize| Axis::new((0..count).map(|i| i as f64).collect()).unwrap();
        Table::new(axis(rows[0].len()), axis(rows.len()), rows.concat()).unwrap()
    }

    #[test]
    fn a_peak_stands_out_by_its_saddle() {
        let table =
            table(&[&[10.0, 10.0, 10.0, 10.0, 10.0], &[10.0, 30.0, 22.0, 26.0, 10.0], &[10.0, 10.0, 10.0, 10.0, 10.0]]);
        let found = spots(&table, 1.0);
        let told: Vec<_> = found.iter().map(|spot| (spot.deg, spot.prominence_deg)).collect();
        assert_eq!(told, [(30.0, 20.0), (10.0, 20.0), (26.0, 4.0)]);
        assert_eq!((found[0].cell, found[2].cell), (Cell::new(1, 1), Cell::new(1, 3)));
        assert_eq!(spots(&table, 5.0).len(), 2);
    }

    #[test]
    fn a_flat_top_is_marked_once_in_its_middle() {
        let table = table(&[&[8.0, 9.0, 9.0, 9.0, 7.0], &[8.0, 9.0, 9.0, 9.0, 7.0], &[8.0, 9.0, 9.0, 9.0, 7.0]]);
        let found = spots(&table, 0.5);
        assert_eq!(
            found.iter().filter(|spot| spot.deg == 9.0).map(|spot| spot.cell).collect::<Vec<_>>(),
            [Cell::new(1, 2)]
        );
    }

    #[test]
    fn a_level_table_has_none_and_a_bump_of_a_degree_is_one() {
        let flat = table(&[&[20.0; 5], &[20.0; 5], &[20.0; 5]]);
        assert_eq!(spots(&flat, 1.0), []);
        let mut values = flat.values().to_vec();
        values[7] = 19.0;
        let hole = flat.with_values(values).unwrap();
        assert!(spots(&hole, 1.0).iter().any(|spot| spot.cell == Cell::new(1, 2) && spot.deg == 19.0));
    }
}
