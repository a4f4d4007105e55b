//! Copying and pasting cells.

use eframe::egui;

use crate::document::Document;
use crate::interchange::{Answers, LoadOrder, PasteAs};
use crate::project::Advance;
use crate::shaping::Along;
use crate::table::{Selection, Table};
use crate::window::state::grid_state::Question;
use crate::window::state::screen::Screen;
use crate::window::views::grid::{Pasting, copied, paste};
use crate::wording::{Refusal, count};

/// Copies the selected cells.
pub(super) fn copy(ctx: &egui::Context, document: &Document, screen: &mut Screen, breakpoints: bool) {
    let cells = screen.selection.cells.clone();
    if copy_cells(ctx, document, screen, (&cells, breakpoints)) {
        let with = if breakpoints { " with breakpoints" } else { "" };
        screen.say(format!("{} copied{with}", count(cells.count(), "cell")));
    }
}

/// Copies every cell with its breakpoints.
pub(super) fn copy_table(ctx: &egui::Context, document: &Document, screen: &mut Screen) {
    let cells = Selection::all(document.project().advance.table());
    if copy_cells(ctx, document, screen, (&cells, true)) {
        screen.say(format!("The whole table is copied, {}", count(cells.count(), "cell")));
    }
}

/// Copies cells, with or without their breakpoints; returns whether they could be.
fn copy_cells(
    ctx: &egui::Context,
    document: &Document,
    screen: &mut Screen,
    (cells, breakpoints): (&Selection, bool),
) -> bool {
    let project = document.project();
    match copied(project.advance.table(), cells, &screen.grid.clipboard, breakpoints) {
        Ok((text, copied)) => {
            screen.grid.clipboard.copied = Some(copied);
            screen.grid.clipboard.copied_load = Some(project.sensors.load);
            ctx.copy_text(text);
            true
        }
        Err(error) => {
            screen.complain(Refusal::from(error));
            false
        }
    }
}

/// Copies the row or column at the cursor, whatever is selected.
pub(super) fn copy_slice(ctx: &egui::Context, document: &Document, screen: &mut Screen, along: Along) {
    let table = document.project().advance.table();
    let cells = lines_of(table, &Selection::cell(table, screen.selection.cursor), along);
    if copy_cells(ctx, document, screen, (&cells, false)) {
        screen.say(format!("{} copied", count(cells.count(), "cell")));
    }
}

/// Selects every row or column that has selected cells, and asks the system for the clipboard.
pub(super) fn paste_slice(ctx: &egui::Context, document: &Document, screen: &mut Screen, along: Along) {
    let lines = lines_of(document.project().advance.table(), &screen.selection.cells, along);
    screen.selection = screen.selection.with_cells(lines);
    screen.grid.clipboard.how = PasteAs::Values;
    ctx.send_viewport_cmd(egui::ViewportCommand::RequestPaste);
}

/// The whole rows or columns in which cells are.
fn lines_of(table: &Table, cells: &Selection, along: Along) -> Selection {
    let mut lines = Selection::none(table.load().len(), table.speed().len());
    lines.extend(table.cells().filter(|at| {
        cells.cells().any(|cell| if along == Along::Speed { cell.load == at.load } else { cell.speed == at.speed })
    }));
    lines
}

/// A table has no empty cells, so cutting is copying, and says so.
pub(super) fn cut(ctx: &egui::Context, document: &Document, screen: &mut Screen) {
    copy(ctx, document, screen, false);
    if screen.notice.as_ref().is_some_and(|notice| !notice.is_error) {
        screen.say("Copied, not cut: a table has no empty cells");
    }
}

/// The table with what was pasted, to be made one step.
pub(super) struct Pasted {
    pub(super) advance: Advance,
    /// The cells pasted onto.
    pub(super) cells: Selection,
    pub(super) label: String,
    /// What was understood.
    pub(super) told: String,
}

/// Reads text from the clipboard for the selected cells; asks what is ambiguous, and says why nothing was pasted.
pub(super) fn lay_over(document: &Document, screen: &mut Screen, text: &str, answers: Answers) -> Option<Pasted> {
    screen.grid.clipboard.question = None;
    if std::mem::take(&mut screen.grid.clipboard.is_whole) {
        return whole_table(document, screen, text, answers);
    }
    let how = screen.grid.clipboard.how;
    let question = match understood(document, screen, text, answers) {
        Some(Pasting::Done { told, .. }) if how != PasteAs::Values => {
            let (text, cells) = (text.to_owned(), screen.selection.cells.clone());
            Question::Change { text, answers, cells, told }
        }
        Some(Pasting::Done { advance, cells, label, told }) => return Some(Pasted { advance, cells, label, told }),
        Some(Pasting::Ask(question)) => question,
        None => {
            screen.grid.clipboard.how = PasteAs::Values;
            return None;
        }
    };
    screen.grid.clipboard.question = Some(question);
    None
}

/// Reads a whole table from the clipboard, cells and breakpoints; asks for what only the user knows, and says why nothing
/// was pasted.
fn whole_table(document: &Document, screen: &mut Screen, text: &str, answers: Answers) -> Option<Pasted> {
    // Whether a text from elsewhere begins with breakpoints is asked, unless it says so itself.
    let copied = screen.grid.clipboard.copied.as_ref().filter(|copied| copied.text.lines().eq(text.lines()));
    if copied.is_some_and(|copied| copied.answers.breakpoints == Some(false)) {
        screen.complain("Nothing was pasted: the copied cells are no whole table; use 'Copy the whole table' first");
        return None;
    }
    match understood(document, screen, text, answers)? {
        Pasting::Ask(Question::Axes(advance)) => {
            let cells = Selection::all(advance.table());
            let (speeds, loads) = (advance.table().speed().len(), advance.table().load().len());
            let label = format!("Paste a whole table, {speeds} × {loads}");
            Some(Pasted { advance, cells, told: label.clone(), label })
        }
        Pasting::Ask(question) => {
            screen.grid.clipboard.question = Some(question);
            None
        }
        Pasting::Done { advance, cells, label, told } if cells == Selection::all(advance.table()) => {
            Some(Pasted { advance, cells, label, told })
        }
        Pasting::Done { .. } => {
            screen.complain("Nothing was pasted: the clipboard holds no whole table; use 'Copy the whole table' first");
            None
        }
    }
}

/// Why copied cells with breakpoints cannot be pasted here: their loads are of another kind.
fn other_load(document: &Document, screen: &Screen, text: &str) -> Option<String> {
    let clipboard = &screen.grid.clipboard;
    let copied = clipboard.copied.as_ref().filter(|copied| copied.answers.breakpoints == Some(true))?;
    let (theirs, ours) = (clipboard.copied_load?, document.project().sensors.load);
    let is_other = theirs != ours && copied.text.lines().eq(text.lines());
    is_other.then(|| {
        let (theirs, ours) = (theirs.unit(), ours.unit());
        format!("the copied loads are in {theirs}, this project's in {ours}; copy the cells without breakpoints")
    })
}

/// Changes the cells by the clipboard's numbers as was told, on the cells for which it was told.
pub(super) fn change_as_told(document: &Document, screen: &mut Screen) -> Option<Pasted> {
    let Some(Question::Change { text, answers, cells, .. }) = screen.grid.clipboard.question.take() else {
        return None;
    };
    if cells.fits(document.project().advance.table()) {
        screen.selection = screen.selection.with_cells(cells);
    }
    let done = understood(document, screen, &text, answers);
    screen.grid.clipboard.how = PasteAs::Values;
    match done? {
        Pasting::Done { advance, cells, label, told } => Some(Pasted { advance, cells, label, told }),
        Pasting::Ask(question) => {
            screen.grid.clipboard.question = Some(question);
            None
        }
    }
}

/// What a text does to the selected cells; says why if it cannot be pasted.
fn understood(document: &Document, screen: &mut Screen, text: &str, answers: Answers) -> Option<Pasting> {
    if let Some(why) = other_load(document, screen, text) {
        screen.complain(format!("Nothing was pasted: {why}"));
        return None;
    }
    let advance = &document.project().advance;
    match paste(advance, &screen.selection.cells, &screen.grid.clipboard, text, answers) {
        Ok(pasting) => Some(pasting),
        Err(reason) => {
            screen.complain(format!("Nothing was pasted: {reason}"));
            None
        }
    }
}

/// Asks the system for the clipboard, whose numbers are to change the cells.
pub(super) fn paste_changes(ctx: &egui::Context, screen: &mut Screen, how: PasteAs) {
    screen.grid.clipboard.question = None;
    screen.grid.clipboard.how = how;
    ctx.send_viewport_cmd(egui::ViewportCommand::RequestPaste);
}

/// Asks the system for the clipboard, whose table is to replace the present one.
pub(super) fn paste_table(ctx: &egui::Context, screen: &mut Screen) {
    let clipboard = &mut screen.grid.clipboard;
    (clipboard.question, clipboard.how, clipboard.is_whole) = (None, PasteAs::Values, true);
    ctx.send_viewport_cmd(egui::ViewportCommand::RequestPaste);
}

/// A text that comes after anything else was pressed is pasted as usual, and not as changes asked for before.
pub(super) fn forget_changes(ctx: &egui::Context, screen: &mut Screen) {
    let is_input = |event: &egui::Event| {
        matches!(event, egui::Event::Key { pressed: true, .. } | egui::Event::PointerButton { pressed: true, .. })
    };
    if screen.grid.clipboard.question.is_none() && ctx.input(|input| input.events.iter().any(is_input)) {
        screen.grid.clipboard.how = PasteAs::Values;
        screen.grid.clipboard.is_whole = false;
    }
}

/// Switches the decimal mark of copied numbers.
pub(super) fn toggle_decimal_comma(screen: &mut Screen) {
    let clipboard = &mut screen.grid.clipboard;
    clipboard.mark = clipboard.mark.other();
    let mark = clipboard.mark.character();
    screen.say(format!("Copied numbers now have a decimal '{mark}'"));
}

/// Switches the order of copied rows.
pub(super) fn toggle_load_order(screen: &mut Screen) {
    let clipboard = &mut screen.grid.clipboard;
    let (loads, first) = match clipboard.loads {
        LoadOrder::Up => (LoadOrder::Down, "highest"),
        LoadOrder::Down => (LoadOrder::Up, "lowest"),
    };
    clipboard.loads = loads;
    screen.say(format!("Rows on the clipboard now run from the {first} load on"));
}
