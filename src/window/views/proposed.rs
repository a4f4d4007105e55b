//! What a preview shows in place of the present state: which cells are only proposed, and how to say so.

use crate::project::Advance;
use crate::table::Selection;

/// What is shown but not applied yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposed {
    /// What would be done, as the history would call it.
    pub label: String,
    /// The cells of the shown table that would differ in value or hold; all of them if the breakpoints would
    /// differ.
    pub cells: Selection,
    /// Whether the breakpoints stay the same.
    pub keeps_axes: bool,
}

impl Proposed {
    /// The difference between the present table and the proposed one.
    pub fn between(now: &Advance, then: &Advance, label: String) -> Self {
        let (old, new) = (now.table(), then.table());
        if old.speed() != new.speed() || old.load() != new.load() {
            return Self { label, cells: Selection::all(new), keeps_axes: false };
        }
        let differs = |cell| {
            old.at(cell).to_bits() != new.at(cell).to_bits() || now.held().contains(cell) != then.held().contains(cell)
        };
        let mut cells = Selection::none(new.load().len(), new.speed().len());
        cells.extend(new.cells().filter(|&cell| differs(cell)));
        Self { label, cells, keeps_axes: true }
    }

    /// The text for the status line.
    pub fn words(&self, by_keys: bool) -> String {
        let how = if by_keys { "Enter applies" } else { "click to apply" };
        if self.cells.is_empty() {
            return format!("Proposed: {}; it would change nothing", self.label);
        }
        format!("Proposed: {}; {how}", self.label)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::Origin;
    use crate::table::{Axis, Cell, Table};

    #[test]
    fn cells_differ_in_value_or_hold_and_all_of_them_on_other_breakpoints() {
        let axis = |top: f64| Axis::new(vec![0.0, top]).unwrap();
        let flat = |top: f64| {
            Advance::uniform(Table::from_fn(axis(top), axis(9.0), |_, _| 20.0).unwrap(), Origin::Typed).unwrap()
        };
        let now = flat(10.0);
        let then = now.with_values(vec![20.0, 21.0, 20.0, 20.0], Origin::Faired).unwrap();
        let then = then.with_held(&Selection::cell(then.table(), Cell::new(1, 0)), true);
        let proposed = Proposed::between(&now, &then, "Fair 1 cell".into());
        assert_eq!(proposed.cells.cells().collect::<Vec<_>>(), [Cell::new(0, 1), Cell::new(1, 0)]);
        assert_eq!(proposed.words(false), "Proposed: Fair 1 cell; click to apply");
        assert_eq!(Proposed::between(&now, &flat(12.0), String::new()).cells.count(), 4);
        assert!(Proposed::between(&now, &now, String::new()).cells.is_empty());
    }
}
