//! The region of change that the cursor is in, found once and kept: menu and palette ask for it in every frame, to say whether
//! it can be taken back.

use std::cell::RefCell;
use std::rc::Rc;

use crate::compare::{Threshold, region_at};
use crate::project::Project;
use crate::table::{Cell, Selection};
use crate::window::tasks::task::Same;
use crate::window::views::view::View;

/// What the region depends on.
struct Key {
    base: Project,
    edited: Project,
    threshold: Threshold,
    cursor: Cell,
}

impl Key {
    fn of(view: &View<'_>) -> Self {
        Self {
            base: view.base.project.clone(),
            edited: view.settled().clone(),
            threshold: Threshold::new(view.screen.compare.region_threshold_deg).unwrap_or_default(),
            cursor: view.screen.selection.cursor,
        }
    }
}

impl Same for Key {
    fn is_same(&self, other: &Self) -> bool {
        self.base.is_same(&other.base)
            && self.edited.is_same(&other.edited)
            && (self.threshold, self.cursor) == (other.threshold, other.cursor)
    }
}

/// Keeps the cells of the region last asked for.
#[derive(Default)]
pub struct RegionHere {
    kept: RefCell<Option<(Key, Rc<Selection>)>>,
}

impl RegionHere {
    /// The cells of the region of change that the cursor is in; none where it is in no region.
    pub fn cells(&self, view: &View<'_>) -> Rc<Selection> {
        self.of(Key::of(view))
    }

    fn of(&self, key: Key) -> Rc<Selection> {
        let mut kept = self.kept.borrow_mut();
        if let Some((_, cells)) = kept.as_ref().filter(|(of, _)| of.is_same(&key)) {
            return Rc::clone(cells);
        }
        let cells = Rc::new(region_at(&key.base, &key.edited, key.threshold, key.cursor));
        *kept = Some((key, Rc::clone(&cells)));
        cells
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{Origin, SAMPLES};

    #[test]
    fn a_region_is_found_once_for_what_it_depends_on() {
        let base = SAMPLES[0].project().unwrap();
        let lowered = |at: Cell, deg: f64| {
            let table = base.advance.table();
            let values = table.cells().map(|cell| table.at(cell) - if cell == at { deg } else { 0.0 }).collect();
            base.with_advance(base.advance.with_values(values, Origin::Typed).unwrap()).unwrap()
        };
        let (cursor, other) = (Cell::new(3, 4), Cell::new(6, 2));
        let edited = lowered(cursor, 4.0);
        let here = RegionHere::default();
        let at = |edited: &Project, cursor| {
            here.of(Key { base: base.clone(), edited: edited.clone(), threshold: Threshold::default(), cursor })
        };
        let found = at(&edited, cursor);
        assert_eq!(found.cells().collect::<Vec<_>>(), [cursor]);
        assert!(Rc::ptr_eq(&found, &at(&edited, cursor)), "it is not looked for again");
        assert!(at(&edited, other).is_empty());
        assert_eq!(at(&lowered(other, 4.0), other).cells().collect::<Vec<_>>(), [other]);
        let higher = Threshold::new(5.0).unwrap();
        assert!(here.of(Key { base: base.clone(), edited, threshold: higher, cursor }).is_empty());
    }
}
