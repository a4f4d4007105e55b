//! Cells that hang together.

use std::collections::BTreeSet;

use super::Cell;

/// Groups cells that touch by a side and that `joins` joins; corners do not touch. The cells of a group come row by row,
/// the groups in the order of their first cells.
pub fn connected(cells: impl IntoIterator<Item = Cell>, joins: impl Fn(Cell, Cell) -> bool) -> Vec<Vec<Cell>> {
    let mut left: BTreeSet<Cell> = cells.into_iter().collect();
    let mut groups = Vec::new();
    while let Some(first) = left.pop_first() {
        let mut group = vec![first];
        let mut at = 0;
        while let Some(&cell) = group.get(at) {
            let joined = beside(cell).into_iter().flatten();
            group.extend(joined.filter(|next| left.contains(next) && joins(cell, *next) && left.remove(next)));
            at += 1;
        }
        group.sort_unstable();
        groups.push(group);
    }
    groups
}

fn beside(Cell { load, speed }: Cell) -> [Option<Cell>; 4] {
    [
        speed.checked_sub(1).map(|speed| Cell::new(load, speed)),
        Some(Cell::new(load, speed + 1)),
        load.checked_sub(1).map(|load| Cell::new(load, speed)),
        Some(Cell::new(load + 1, speed)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grouped(joins: impl Fn(Cell, Cell) -> bool) -> Vec<Vec<(usize, usize)>> {
        let cells = [(2, 2), (0, 0), (0, 1), (1, 2), (3, 0)].map(|(load, speed)| Cell::new(load, speed));
        let groups = connected(cells, joins).into_iter();
        groups.map(|group| group.into_iter().map(|cell| (cell.load, cell.speed)).collect()).collect()
    }

    #[test]
    fn sides_join_and_corners_do_not() {
        assert_eq!(grouped(|_, _| true), [vec![(0, 0), (0, 1)], vec![(1, 2), (2, 2)], vec![(3, 0)]]);
    }

    #[test]
    fn only_what_is_to_be_joined_is() {
        assert_eq!(grouped(|a, b| a.load == b.load), [vec![(0, 0), (0, 1)], vec![(1, 2)], vec![(2, 2)], vec![(3, 0)]]);
    }
}
