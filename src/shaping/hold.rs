//! Hold and release.

use super::shaped::check;
use super::{Shaped, ShapingError};
use crate::project::{Advance, Origin};
use crate::table::Selection;

/// Holds the selected cells: no tool moves them any more. With `measured` their origin becomes measured as well.
///
/// # Errors
/// [`ShapingError`] when the selection is of no use.
pub fn hold(advance: &Advance, selection: &Selection, measured: bool) -> Result<Shaped, ShapingError> {
    let shaped = mark(advance, selection, true)?;
    if !measured {
        return Ok(shaped);
    }
    let marked = shaped.advance.with_origin(selection, Origin::Measured);
    let changes = |&cell: &_| !advance.held().contains(cell) || advance.origin(cell) != Origin::Measured;
    Ok(Shaped { advance: marked, changed: selection.cells().filter(changes).count(), ..shaped })
}

/// Releases the selected cells.
///
/// # Errors
/// [`ShapingError`] when the selection is of no use.
pub fn release(advance: &Advance, selection: &Selection) -> Result<Shaped, ShapingError> {
    mark(advance, selection, false)
}

fn mark(advance: &Advance, selection: &Selection, held: bool) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    let changed = selection.cells().filter(|&cell| advance.held().contains(cell) != held).count();
    Ok(Shaped::plain(advance.with_held(selection, held), selection.count(), changed, 0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::sample::{advance, all, one};
    use crate::table::Cell;

    #[test]
    fn holding_touches_marks_and_origins_only() {
        let start = advance(3, 3, |x, y| x + y);
        let cell = one(&start, Cell::new(1, 2));
        let held = hold(&start, &cell, false).unwrap();
        assert_eq!(held.changed, 1);
        assert_eq!(held.advance.table(), start.table());
        assert_eq!(held.advance.origin(Cell::new(1, 2)), Origin::Starter);
        let measured = hold(&held.advance, &cell, true).unwrap();
        assert_eq!((measured.changed, measured.advance.origin(Cell::new(1, 2))), (1, Origin::Measured));
        assert_eq!(hold(&measured.advance, &cell, true).unwrap().changed, 0);
        let released = release(&held.advance, &all(&start)).unwrap();
        assert_eq!((released.changed, released.advance), (1, start));
    }
}
