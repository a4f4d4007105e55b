//! Copying cells and pasting them: what is copied, what a pasted text means, and what must be asked first.

use crate::interchange::{
    Answers, Clip, Clipping, CopyError, CopyOptions, Paste, PasteAs, PasteOutcome, copy_block, paste_as, read_clip,
};
use crate::project::Advance;
use crate::table::{Cell, Selection, Table};
use crate::window::state::grid_state::{ClipboardState, Copied, Question};
use crate::wording::{Refusal, Unit, count, range, settle, signed_quantity};

/// The result of pasting a text.
#[derive(Clone, Debug, PartialEq)]
pub enum Pasting {
    /// A new table.
    Done {
        /// The table.
        advance: Advance,
        /// The cells pasted onto.
        cells: Selection,
        /// The label of the step.
        label: String,
        /// What was understood.
        told: String,
    },
    /// Something must be answered first.
    Ask(Question),
}

/// The selected block as text, and what to remember of it.
///
/// # Errors
/// [`CopyError`] when the selection is no block.
pub fn copied(
    table: &Table,
    cells: &Selection,
    state: &ClipboardState,
    breakpoints: bool,
) -> Result<(String, Copied), CopyError> {
    let text = copy_block(table, cells, &CopyOptions { breakpoints, loads: state.loads, mark: state.mark })?;
    let answers = Answers { mark: Some(state.mark), breakpoints: Some(breakpoints), loads: state.loads };
    Ok((text.clone(), Copied { text, answers }))
}

/// Understands a text from the clipboard and pastes it onto the selected cells.
///
/// # Errors
/// A sentence saying what does not fit; nothing is changed.
pub fn paste(
    advance: &Advance,
    cells: &Selection,
    state: &ClipboardState,
    text: &str,
    answers: Answers,
) -> Result<Pasting, Refusal> {
    let answers = state.known(text).unwrap_or(Answers { loads: state.loads, ..answers });
    let clip = match read_clip(text, advance.table(), &answers)? {
        Clipping::Ready(clip) => clip,
        Clipping::AskMark { place, point, comma } => {
            let (text, number) = (text.to_owned(), place.text);
            return Ok(Pasting::Ask(Question::Mark { text, answers, number, point, comma }));
        }
        Clipping::AskBreakpoints => {
            return Ok(Pasting::Ask(Question::Breakpoints { text: text.to_owned(), answers }));
        }
    };
    match paste_as(state.how, advance, cells, &clip)? {
        PasteOutcome::Pasted(paste) => Ok(done(state.how, advance, paste, &clip)),
        PasteOutcome::AxesDiffer(table) => Ok(Pasting::Ask(Question::Axes(table))),
    }
}

impl ClipboardState {
    /// What is known about a text because it was copied here.
    fn known(&self, text: &str) -> Option<Answers> {
        let copied = self.copied.as_ref()?;
        let is_same = text.lines().eq(copied.text.lines());
        is_same.then_some(copied.answers)
    }
}

fn done(how: PasteAs, before: &Advance, paste: Paste, clip: &Clip) -> Pasting {
    let (changed, place) = (count(paste.changed, "cell"), place(&paste));
    let label = match how {
        PasteAs::Values => format!("Paste {changed}"),
        PasteAs::Added => format!("Add pasted degrees to {changed}"),
        PasteAs::PerCent => format!("Change {changed} by pasted per cent"),
    };
    let reached = count(paste.cells.count() - paste.held, "cell");
    let mut told = vec![match how {
        PasteAs::Values => format!("{reached} pasted{place}"),
        PasteAs::Added | PasteAs::PerCent => format!("{reached}{place} {}", change_words(before, &paste)),
    }];
    if paste.held > 0 {
        told.push(format!("{} held stayed", paste.held));
    }
    if clip.loads() > 1 {
        told.push(direction(clip).to_owned());
    }
    Pasting::Done { advance: paste.advance, cells: paste.cells, label, told: told.join(", ") }
}

/// By how much the cells change: 'change by −1.0° to +2.0°'.
fn change_words(before: &Advance, paste: &Paste) -> String {
    let by = |cell: Cell| paste.advance.table().at(cell) - before.table().at(cell);
    let free = paste.cells.cells().filter(|&cell| !before.held().contains(cell)).map(by);
    let (low, high) = free.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), by| (low.min(by), high.max(by)));
    let told = |by: f64| signed_quantity(settle(by), Unit::Degree);
    match (low, high) {
        (low, high) if low > high => "are held and do not change".to_owned(),
        (low, high) if told(low) == told(high) => format!("change by {}", told(low)),
        (low, high) => format!("change by {} to {}", told(low), told(high)),
    }
}

/// In which order the rows were.
fn direction(clip: &Clip) -> &'static str {
    match (clip.breakpoints().is_some(), clip.turned()) {
        (true, true) => "with breakpoints, rows turned: they came from the highest load",
        (true, false) => "with breakpoints",
        (false, true) => "the first row as the highest load",
        (false, false) => "the first row as the lowest load",
    }
}

fn place(paste: &Paste) -> String {
    let Some(block) = paste.cells.as_block() else {
        return String::new();
    };
    let table = paste.advance.table();
    let at = |cell: Cell| (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
    let (low, high) = (
        at(Cell::new(block.loads.start, block.speeds.start)),
        at(Cell::new(block.loads.end - 1, block.speeds.end - 1)),
    );
    format!(" at {}, load {}", range((low.0, high.0), Unit::Rpm), range((low.1, high.1), Unit::None))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::interchange::{DecimalMark, LoadOrder};
    use crate::project::Origin;
    use crate::table::{Axis, Block};

    fn advance() -> Advance {
        let speed = Axis::new(vec![500.0, 1000.0, 2000.0]).unwrap();
        let load = Axis::new(vec![0.0, 50.0, 100.0]).unwrap();
        let table = Table::from_fn(speed, load, |x, y| x / 100.0 - y / 10.0).unwrap();
        Advance::uniform(table, Origin::Typed).unwrap()
    }

    fn block(advance: &Advance) -> Selection {
        Selection::block(advance.table(), &Block { loads: 1..3, speeds: 0..2 })
    }

    #[test]
    fn rows_run_as_the_grid_shows_them() {
        let advance = advance();
        let (text, _) = copied(advance.table(), &block(&advance), &ClipboardState::default(), false).unwrap();
        assert_eq!(text, "-5\t0\n0\t5\n");
        let Pasting::Done { advance: after, told, label, .. } =
            paste(&advance, &block(&advance), &ClipboardState::default(), "1\t2\n3\t4", Answers::default()).unwrap()
        else {
            panic!("nothing to ask")
        };
        assert_eq!(after.table().at(Cell::new(2, 0)), 1.0);
        assert_eq!(after.table().at(Cell::new(1, 1)), 4.0);
        assert_eq!(label, "Paste 4 cells");
        assert_eq!(
            told,
            "4 cells pasted at 500\u{2013}1000 rpm, load 50\u{2013}100, the first row as the highest load"
        );
    }

    #[test]
    fn what_was_copied_here_needs_no_question() {
        let text = "1.234\n";
        let advance = advance();
        let cell = Selection::cell(advance.table(), Cell::new(0, 0));
        let mut state = ClipboardState::default();
        let asked = paste(&advance, &cell, &state, text, Answers::default()).unwrap();
        assert!(matches!(asked, Pasting::Ask(Question::Mark { point: 1.234, comma: 1234.0, .. })), "{asked:?}");
        let answers = Answers { mark: Some(DecimalMark::Point), breakpoints: Some(false), loads: LoadOrder::Down };
        state.copied = Some(Copied { text: text.into(), answers });
        assert!(matches!(paste(&advance, &cell, &state, "1.234\r\n", Answers::default()), Ok(Pasting::Done { .. })));
    }

    #[test]
    fn degrees_are_added_and_per_cent_change() {
        let (advance, block) = (advance(), block(&advance()));
        let as_changes = |how, text| {
            let state = ClipboardState { how, ..ClipboardState::default() };
            paste(&advance, &block, &state, text, Answers::default())
        };
        let Ok(Pasting::Done { advance: after, label, told, .. }) = as_changes(PasteAs::Added, "1\t2\n-3\t0") else {
            panic!("nothing to ask")
        };
        assert_eq!((after.table().at(Cell::new(2, 0)), after.table().at(Cell::new(1, 0))), (-4.0, -3.0));
        assert_eq!(label, "Add pasted degrees to 3 cells");
        let whole = "4 cells at 500\u{2013}1000 rpm, load 50\u{2013}100 change by \u{2212}3.0° to +2.0°, the first row as \
                     the highest load";
        assert_eq!(told, whole);
        let Ok(Pasting::Done { advance: after, label, .. }) = as_changes(PasteAs::PerCent, "10") else {
            panic!("nothing to ask")
        };
        assert_eq!((after.table().at(Cell::new(2, 0)), after.table().at(Cell::new(1, 1))), (-5.5, 5.5));
        assert_eq!(label, "Change 2 cells by pasted per cent");
        let other = as_changes(PasteAs::Added, "load\t700\t900\n10\t1\t2\n90\t3\t4\n");
        assert!(other.unwrap_err().to_string().contains("paste them without breakpoints"));
    }

    #[test]
    fn other_breakpoints_are_asked_about() {
        let advance = advance();
        let cell = Selection::cell(advance.table(), Cell::new(0, 0));
        let text = "load\t700\t900\n10\t1\t2\n90\t3\t4\n";
        let asked = paste(&advance, &cell, &ClipboardState::default(), text, Answers::default()).unwrap();
        assert!(matches!(asked, Pasting::Ask(Question::Axes(_))));
    }
}
