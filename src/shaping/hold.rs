//! Hold and release.

use super::offer::{Asked, Deed, Does, Group, Manner, Sentence, WhyNot, fits_any, never_refused, no_deed};
use super::operation::{Argument, Operation, Takes};
use super::shaped::check;
use super::{Shaped, ShapingError, Tool};
use crate::project::{Advance, Origin};
use crate::table::Selection;

/// For a tool that holds cells.
pub(super) const HOLDS: Manner = Manner { marks: Some("Holds"), ..Manner::PLAIN };
/// For a tool that releases cells.
pub(super) const RELEASES: Manner = Manner { marks: Some("Releases"), ..Manner::PLAIN };

/// `hold` on the command line.
pub(super) const HOLD: Operation = Operation {
    name: "hold",
    about: "Hold the cells: no tool changes them any more",
    arguments: &[Argument {
        name: "measured",
        value_name: "MEASURED",
        help: "Mark them as measured on the engine, too",
        takes: Takes::Flag,
    }],
    takes_whole_table: false,
    tool: |given| Ok(Tool::Hold { measured: given.word("measured").is_some() }),
};

/// `release` on the command line.
pub(super) const RELEASE: Operation = Operation {
    name: "release",
    about: "Release held cells",
    arguments: &[],
    takes_whole_table: false,
    tool: |_| Ok(Tool::Release),
};

/// Holding in the inspector.
pub(super) const HOLD_SENTENCE: Sentence = Sentence {
    key: "hold",
    group: Group::Set,
    verb: "Hold",
    parts: &[],
    more: None,
    tip: "No tool moves a held cell.",
    widens: false,
    deed: toggle,
    refusal: |asked| {
        asked.all_held().then_some(WhyNot { short: "held already", long: "Every selected cell is held already." })
    },
    tool: |_| Tool::Hold { measured: false },
};

/// Holding as measured in the inspector.
pub(super) const HOLD_MEASURED_SENTENCE: Sentence = Sentence {
    key: "hold measured",
    group: Group::Set,
    verb: "Hold as measured",
    parts: &[],
    more: None,
    tip: "Holds the cells and notes that their values were found on the engine.",
    widens: false,
    deed: no_deed,
    refusal: never_refused,
    tool: |_| Tool::Hold { measured: true },
};

/// Releasing in the inspector.
pub(super) const RELEASE_SENTENCE: Sentence = Sentence {
    key: "release",
    group: Group::Set,
    verb: "Release",
    parts: &[],
    more: None,
    tip: "Lets tools move the cells again.",
    widens: false,
    deed: toggle,
    refusal: |asked| {
        let any_held = asked.selected.cells().any(|cell| asked.advance.held().contains(cell));
        (!any_held).then_some(WhyNot { short: "none held", long: "No selected cell is held." })
    },
    tool: |_| Tool::Release,
};

/// Holding or releasing as a command.
pub(super) const TOGGLE_HOLD: Deed = Deed {
    id: "ToggleHold",
    text: "Hold or release",
    tooltip: "Hold the selected cells so that no tool moves them, or release them.",
    unfit: fits_any,
    does: Does::Tool(|advance, cells| {
        let all_held = cells.cells().all(|cell| advance.held().contains(cell));
        if all_held { Tool::Release } else { Tool::Hold { measured: false } }
    }),
};

const fn toggle(_: &Asked<'_>) -> Option<&'static Deed> {
    Some(&TOGGLE_HOLD)
}

/// What holding is called in the history.
pub(super) fn hold_label(measured: bool, cells: &str) -> String {
    format!("Hold {cells}{}", if measured { " as measured" } else { "" })
}

/// What releasing is called in the history.
pub(super) fn release_label(cells: &str) -> String {
    format!("Release {cells}")
}

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
