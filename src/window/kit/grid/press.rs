//! The mouse on the grid: click, drag, Shift, Ctrl, breakpoints.

use std::time::Duration;

use eframe::egui::{self, Modifiers, Pos2, Response};

use super::layout::Layout;
use super::spec::Spec;
use crate::table::{Block, Cell, Selection, Table};
use crate::window::state::screen::MenuOf;
use crate::window::state::selection::CellSelection;

/// How often a drag beyond the edge scrolls while the pointer rests there.
const SCROLL_ON: Duration = Duration::from_millis(60);

/// What a press began on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Target {
    Cell,
    Speeds,
    Loads,
    Corner,
}

/// A press in progress: every later position of the pointer gives a selection. Cells are those of the table.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Press {
    target: Target,
    /// The corner that stays.
    anchor: Cell,
    /// With Ctrl: the cells selected before, and whether the block is added to them or taken away.
    joined: Option<(Selection, bool)>,
}

/// The result of a press or drag.
#[derive(Default)]
pub(super) struct Pressed {
    /// What it selected.
    pub(super) selection: Option<CellSelection>,
    /// Whether a press was on what cannot be selected.
    pub(super) is_refused: bool,
}

/// Follows press and drag.
pub(super) fn follow(
    ui: &egui::Ui,
    spec: &Spec<'_>,
    layout: &Layout,
    response: &Response,
    press: &mut Option<Press>,
) -> Pressed {
    let (is_pressed, at, modifiers) =
        ui.input(|input| (input.pointer.primary_pressed(), input.pointer.interact_pos(), input.modifiers));
    // A quick click is pressed and released in the same frame.
    let is_quick = press.is_none() && response.clicked();
    let Some(at) = at.filter(|_| is_quick || response.is_pointer_button_down_on()) else {
        *press = None;
        return Pressed::default();
    };
    let mut pressed = Pressed::default();
    if is_pressed || is_quick {
        ui.memory_mut(|memory| memory.request_focus(spec.id));
        let target = target(layout, at);
        *press = target.and_then(|target| Press::new(spec, layout, target, at, modifiers));
        pressed.is_refused = target.is_some() && press.is_none();
    }
    let Some((press, cell)) = press.as_ref().zip(spec.own_near(layout.nearest(at))) else {
        return pressed;
    };
    if is_beyond(layout, press.target, at) {
        ui.ctx().request_repaint_after(SCROLL_ON);
    }
    pressed.selection = Some(press.selection(spec, cell)).filter(|selection| selection != spec.selection);
    pressed
}

/// What a click with the other button was on, and what it is for: the selection, if the click was within it, otherwise
/// what was clicked.
pub(super) fn aside(spec: &Spec<'_>, layout: &Layout, response: &Response) -> Option<(MenuOf, CellSelection, Pos2)> {
    let at = response.interact_pointer_pos().filter(|_| response.secondary_clicked())?;
    let target = target(layout, at)?;
    let of = match target {
        Target::Cell | Target::Corner => MenuOf::Cells,
        Target::Speeds => MenuOf::Speeds,
        Target::Loads => MenuOf::Loads,
    };
    let clicked = Press::new(spec, layout, target, at, Modifiers::NONE)?;
    let clicked = clicked.selection(spec, spec.own_near(layout.nearest(at))?);
    let is_within = clicked.cells.cells().all(|cell| spec.selection.cells.contains(cell));
    Some((of, if is_within { spec.selection.clone() } else { clicked }, at))
}

fn target(layout: &Layout, at: Pos2) -> Option<Target> {
    let areas = [
        (layout.cells, Target::Cell),
        (layout.speeds, Target::Speeds),
        (layout.loads, Target::Loads),
        (layout.corner, Target::Corner),
    ];
    areas.into_iter().find(|(area, _)| area.contains(at)).map(|(_, target)| target)
}

fn is_beyond(layout: &Layout, target: Target, at: Pos2) -> bool {
    let is_beside = !layout.cells.x_range().contains(at.x);
    let is_above_or_below = !layout.cells.y_range().contains(at.y);
    match target {
        Target::Cell => is_beside || is_above_or_below,
        Target::Speeds => is_beside,
        Target::Loads => is_above_or_below,
        Target::Corner => false,
    }
}

impl Press {
    /// A press at a point; `None` if there is nothing to select.
    fn new(spec: &Spec<'_>, layout: &Layout, target: Target, at: Pos2, modifiers: Modifiers) -> Option<Self> {
        let before = spec.selection;
        let place = layout.nearest(at);
        let is_own = match target {
            Target::Cell => spec.own_at(place).is_some(),
            Target::Speeds => spec.speeds.own_at(place.speed).is_some(),
            Target::Loads => spec.loads.own_at(place.load).is_some(),
            Target::Corner => true,
        };
        let cell = spec.own_near(place).filter(|_| is_own)?;
        let anchor = if modifiers.shift { before.anchor } else { cell };
        let joined = (modifiers.command && !modifiers.shift).then(|| {
            let block = target.block(spec.table, anchor, cell);
            let adds = !block.cells().all(|cell| before.cells.contains(cell));
            (before.cells.clone(), adds)
        });
        Some(Self { target, anchor, joined })
    }

    /// The selection while the pointer is at a cell.
    fn selection(&self, spec: &Spec<'_>, at: Cell) -> CellSelection {
        let table = spec.table;
        let block = self.target.block(table, self.anchor, at);
        let mut cells = Selection::block(table, &block);
        if let Some((before, adds)) = &self.joined {
            cells = before.clone();
            block.cells().for_each(|cell| cells.set(cell, *adds));
        }
        let before = spec.selection.cursor;
        let cursor = match self.target {
            Target::Cell => at,
            Target::Speeds => Cell::new(before.load, at.speed),
            Target::Loads => Cell::new(at.load, before.speed),
            Target::Corner => before,
        };
        let anchor = match self.target {
            Target::Cell => self.anchor,
            Target::Speeds => Cell::new(before.load, self.anchor.speed),
            Target::Loads => Cell::new(self.anchor.load, before.speed),
            Target::Corner => before,
        };
        if cells.is_empty() {
            // There must always be a selection.
            return CellSelection::cell(table, at);
        }
        let cursor = if cells.contains(cursor) { cursor } else { nearest_in(&cells, cursor) };
        CellSelection { cells, cursor, anchor }
    }
}

impl Target {
    fn block(self, table: &Table, anchor: Cell, at: Cell) -> Block {
        let (block, whole) = (Block::between(anchor, at), table.block());
        match self {
            Self::Cell => block,
            Self::Speeds => Block { loads: whole.loads, ..block },
            Self::Loads => Block { speeds: whole.speeds, ..block },
            Self::Corner => whole,
        }
    }
}

fn nearest_in(cells: &Selection, to: Cell) -> Cell {
    let distance = |cell: &Cell| cell.load.abs_diff(to.load) + cell.speed.abs_diff(to.speed);
    cells.cells().min_by_key(distance).unwrap_or(to)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cursor_stays_among_the_selected_cells() {
        let mut cells = Selection::none(4, 4);
        cells.set(Cell::new(0, 0), true);
        cells.set(Cell::new(3, 2), true);
        assert_eq!(nearest_in(&cells, Cell::new(2, 2)), Cell::new(3, 2));
    }
}
