//! A cell that the pointer has taken hold of, to move it up or down, on the surface and on slices; and how long any drag that
//! a gesture of the document follows is held.

use eframe::egui::{self, Response};

use crate::interchange::typed_number;
use crate::project::ADVANCE_RANGE_DEG;
use crate::shaping::{LIFT_RADIUS, Tool};
use crate::table::{Cell, Selection};
use crate::window::kit::slider::{Asked, Slider};
use crate::window::state::grid_state::GridMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::{Menu, MenuOf, ScreenMessage};
use crate::window::state::selection::CellSelection;
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, count, fixed, outside, point, settle, signed, step_decimals, with_unit};

/// A cell held by the pointer.
#[derive(Clone, Debug, PartialEq)]
pub struct Grip {
    /// Which.
    pub cell: Cell,
    /// Neighbours within this radius move along, less with distance; `None` moves what is selected together
    /// with the cell.
    pub radius_cells: Option<f64>,
    /// What may move.
    pub cells: Selection,
    from_deg: f64,
    step_deg: f64,
    deg_per_point: f64,
    /// Where the pointer was seen last, and how far it has come by then, degrees.
    pointer_at: f32,
    dragged_deg: f64,
    amount_deg: f64,
    /// Whether Alt is held, which disables snapping to the step.
    is_free: bool,
    /// The degrees typed meanwhile, which count instead of where the pointer is.
    typed: String,
    hold: Hold,
}

/// Without snapping, a drag moves by multiples of this, in degrees.
const FREE_DEG: f64 = 0.01;
/// With Shift what is dragged follows the pointer by this share.
pub(in crate::window) const FINE_SHARE: f64 = 0.2;

impl Grip {
    /// Grabs a cell, with the pointer at height `pressed_at` of the screen. One point upwards is
    /// `deg_per_point` degrees.
    ///
    /// # Errors
    /// The reason why a held cell does not move.
    pub fn take(
        view: &View<'_>,
        cell: Cell,
        radius_cells: Option<f64>,
        deg_per_point: f64,
        pressed_at: f32,
    ) -> Result<Self, Refusal> {
        let project = view.document.project();
        if project.advance.held().contains(cell) {
            return Err(Refusal::new(held(view, cell)));
        }
        let (from_deg, step_deg) = (project.advance.table().at(cell), project.step_deg);
        Ok(Self {
            cell,
            radius_cells,
            cells: moved_with(view, cell, radius_cells),
            from_deg,
            step_deg,
            deg_per_point,
            pointer_at: pressed_at,
            dragged_deg: 0.0,
            amount_deg: 0.0,
            is_free: false,
            typed: String::new(),
            hold: Hold::default(),
        })
    }

    /// How far it has been moved so far, in degrees.
    pub fn amount_deg(&self) -> f64 {
        self.amount_deg
    }

    /// Follows the pointer, or what is typed; requests the drag if that changes anything.
    pub fn follow(&mut self, pointer: f32, view: &View<'_>, ctx: &egui::Context, outbox: &mut Outbox) {
        let (alt, shift) = ctx.input(|input| (input.modifiers.alt, input.modifiers.shift));
        let share = if shift { FINE_SHARE } else { 1.0 };
        self.dragged_deg += f64::from(self.pointer_at - pointer) * self.deg_per_point * share;
        self.pointer_at = pointer;
        self.typed = view.screen.grid.gripped.clone().unwrap_or_default();
        let (amount_deg, is_free) = match self.typed_deg() {
            Some(deg) => (deg, self.is_off_step(deg)),
            // What is not a number, or out of range, changes nothing.
            None if !self.typed.is_empty() => (0.0, false),
            None if alt => (free(self.from_deg, self.dragged_deg), true),
            None => (snapped(self.from_deg, self.dragged_deg, self.step_deg), false),
        };
        if self.hold.is_asked() && amount_deg == self.amount_deg && is_free == self.is_free {
            return;
        }
        (self.amount_deg, self.is_free) = (amount_deg, is_free);
        self.hold.ask(ctx);
        let step_deg = (!is_free).then_some(self.step_deg);
        outbox.drag(tool(self.cell, self.radius_cells, amount_deg, step_deg), self.cells.clone());
    }

    /// The typed change in degrees; `None` if no number is typed, or one that cells cannot have.
    fn typed_deg(&self) -> Option<f64> {
        let (low, high) = ADVANCE_RANGE_DEG;
        let deg = typed_number(&self.typed).ok().filter(|deg| (low..=high).contains(deg))?;
        Some(settle(deg - self.from_deg))
    }

    /// Whether a change leads off the multiples of the step.
    fn is_off_step(&self, by_deg: f64) -> bool {
        let steps = (self.from_deg + by_deg) / self.step_deg;
        (steps - steps.round()).abs() > 1e-6
    }

    /// Whether the drag that it requested was ended by something else, such as Escape.
    pub fn is_given_up(&self, ctx: &egui::Context, view: &View<'_>) -> bool {
        self.hold.is_given_up(ctx, view)
    }

    /// The text beside the pointer: '25.5°  +1.0', and how many cells move if that may be unexpected.
    pub fn text(&self) -> String {
        let decimals = step_decimals(if self.is_free { FREE_DEG } else { self.step_deg });
        let by = signed(self.amount_deg, decimals);
        let deg = with_unit(&fixed(self.from_deg + self.amount_deg, decimals), Unit::Degree);
        if !self.typed.is_empty() && self.typed_deg().is_none() {
            let deg = typed_number(&self.typed);
            return deg.map_or_else(|_| self.typed.clone(), |deg| outside(deg, ADVANCE_RANGE_DEG, Unit::Degree));
        }
        match (self.radius_cells, self.cells.count()) {
            (None, 1) => format!("{deg}  {by}"),
            (None, cells) => format!("{deg}  {by}, {}", count(cells, "cell")),
            (Some(_), cells) if cells == self.cells.loads() * self.cells.speeds() => format!("{deg}  {by}"),
            (Some(_), cells) => format!("{deg}  {by}, within {}", count(cells, "cell")),
        }
    }
}

/// Tells the keyboard whether the pointer holds a cell: what is typed then is for that cell.
pub fn tell(ui: &egui::Ui, has_hold: bool, view: &View<'_>, outbox: &mut Outbox) {
    let (is_down, is_pressed) = ui.input(|input| (input.pointer.any_down(), input.pointer.any_pressed()));
    // What was typed for the cell held before does not apply to the next one.
    let is_over = !is_down || is_pressed;
    match &view.screen.grid.gripped {
        None if has_hold => outbox.send(GridMessage::Grip(Some(String::new()))),
        Some(typed) if has_hold && is_over && !typed.is_empty() => outbox.send(GridMessage::Grip(Some(String::new()))),
        Some(_) if !has_hold && is_over => outbox.send(GridMessage::Grip(None)),
        _ => {}
    }
}

/// The change in degrees that brings a value to the multiple of the step nearest to where it is dragged; 0 as
/// long as it is dragged by less than half a step. The result stays within the range of cells.
fn snapped(from_deg: f64, by_deg: f64, step_deg: f64) -> f64 {
    if by_deg.abs() < step_deg / 2.0 {
        return 0.0;
    }
    settle(to_step(from_deg + by_deg, Some(step_deg)) - from_deg)
}

/// The nearest multiple of the step, or of the finest step without one, within the range of cells.
pub(in crate::window) fn to_step(deg: f64, step_deg: Option<f64>) -> f64 {
    let (low, high) = ADVANCE_RANGE_DEG;
    let step_deg = step_deg.unwrap_or(FREE_DEG);
    settle(((deg / step_deg).round() * step_deg).clamp(low, high))
}

/// The change in degrees to where a value is dragged without snapping, within the range of cells.
fn free(from_deg: f64, by_deg: f64) -> f64 {
    let (low, high) = ADVANCE_RANGE_DEG;
    let to_deg = (from_deg + (by_deg / FREE_DEG).round() * FREE_DEG).clamp(low, high);
    settle(to_deg - from_deg)
}

/// '3200 rpm, 56 %'.
pub fn place(view: &View<'_>, cell: Cell) -> String {
    let table = view.table();
    let breakpoint = |axis: &crate::table::Axis, index: usize| axis.breakpoints().get(index).copied();
    let place = breakpoint(table.speed(), cell.speed).zip(breakpoint(table.load(), cell.load));
    place.map_or_else(String::new, |(speed_rpm, load)| point(speed_rpm, load, view.project.sensors.load.unit()))
}

/// Requests the selection that results from a click on a cell.
pub fn click(view: &View<'_>, cell: Cell, modifiers: egui::Modifiers, outbox: &mut Outbox) {
    let selection = view.screen.selection.clicked(view.table(), cell, modifiers.shift, modifiers.command);
    select(selection, outbox);
}

/// Picks a cell up for dragging: what is selected together with it stays selected, otherwise it is selected
/// alone.
pub fn take_up(view: &View<'_>, cell: Cell, outbox: &mut Outbox) {
    if cell == view.selection.cursor {
        return;
    }
    let is_among = view.selection.cells.contains(cell);
    let selection = if is_among {
        CellSelection { cursor: cell, ..view.selection.clone() }
    } else {
        CellSelection::cell(view.table(), cell)
    };
    select(selection, outbox);
}

/// The cells that may move when one is dragged: those selected together with it. A cell that is selected alone
/// moves alone; a lift moves whatever is near.
pub fn moved_with(view: &View<'_>, cell: Cell, radius_cells: Option<f64>) -> Selection {
    let (table, selected) = (view.settled().advance.table(), &view.selection.cells);
    match radius_cells {
        _ if selected.count() > 1 && selected.contains(cell) && selected.fits(table) => selected.clone(),
        Some(_) => Selection::all(table),
        None => Selection::cell(table, cell),
    }
}

/// Asks for the menu of a cell, or of the selected cells if it is one of them or none is meant.
pub fn menu(view: &View<'_>, cell: Option<Cell>, of: MenuOf, at: egui::Pos2, outbox: &mut Outbox) {
    if let Some(cell) = cell.filter(|&cell| !view.screen.selection.cells.contains(cell)) {
        select(CellSelection::cell(view.table(), cell), outbox);
    }
    outbox.send(ScreenMessage::Menu(Some(Menu { of, at: Some((at.x, at.y)), row: 0 })));
}

/// How far a drag of a vertex takes its neighbours along: as many cells as lifting does, but several selected cells keep
/// their shape and move alike, unless lifting is armed.
pub fn surface_radius(view: &View<'_>, cell: Cell) -> Option<f64> {
    let selected = &view.selection.cells;
    let keeps_shape = selected.count() > 1 && selected.contains(cell) && !view.screen.surface.lift_armed;
    (!keeps_shape).then(|| view.screen.inspector.amounts.of(&LIFT_RADIUS))
}

/// Asks for a selection.
pub fn select(selection: CellSelection, outbox: &mut Outbox) {
    outbox.send(ScreenMessage::Select(selection));
}

/// Makes a draggable cell a slider for screen readers, with actions that move it by a step or to a value.
pub fn slider(
    response: &Response,
    name: &str,
    cell: Cell,
    radius_cells: Option<f64>,
    view: &View<'_>,
    outbox: &mut Outbox,
) {
    let (value, step) = (view.now_and_then(cell).0, view.project.step_deg);
    let by_deg = match (Slider { name, value, range: ADVANCE_RANGE_DEG, step }).show(response) {
        Some(Asked::Steps(steps)) => steps * step,
        Some(Asked::To(to)) => snapped(value, to - value, step),
        None => 0.0,
    };
    if by_deg == 0.0 {
        return;
    }
    if view.advance().held().contains(cell) {
        return outbox.complain(held(view, cell));
    }
    outbox.shape(tool(cell, radius_cells, by_deg, Some(step)), moved_with(view, cell, radius_cells));
}

fn held(view: &View<'_>, cell: Cell) -> String {
    format!("{} is held: release it to move it", place(view, cell))
}

fn tool(cell: Cell, radius_cells: Option<f64>, amount_deg: f64, step_deg: Option<f64>) -> Tool {
    match radius_cells {
        Some(radius_cells) => Tool::Lift { centre: cell, amount_deg, radius_cells, step_deg },
        None => Tool::Add { deg: amount_deg },
    }
}

/// Reports which cell is under the pointer in one view. `before` is what that view reported last.
pub fn hover(view: &View<'_>, before: &mut Option<Cell>, now: Option<Cell>, outbox: &mut Outbox) {
    if now.is_some() && now != view.screen.pointer.cell {
        outbox.send(ScreenMessage::Point(now));
    }
    if let (Some(mine), None) = (*before, now) {
        // Another view may have reported another cell meanwhile.
        outbox.send(ScreenMessage::Leave(mine));
    }
    *before = now;
}

/// When a drag was first requested.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(in crate::window) struct Hold {
    /// The number of the frame.
    asked_in: Option<u64>,
}

impl Hold {
    /// Records that the drag is requested.
    pub(in crate::window) fn ask(&mut self, ctx: &egui::Context) {
        self.asked_in.get_or_insert_with(|| ctx.cumulative_frame_nr());
    }

    /// Whether it was requested at all.
    pub(in crate::window) const fn is_asked(self) -> bool {
        self.asked_in.is_some()
    }

    /// Whether it was carried out and then ended by something else.
    pub(in crate::window) fn is_given_up(self, ctx: &egui::Context, view: &View<'_>) -> bool {
        let is_carried_out = self.asked_in.is_some_and(|frame| frame < ctx.cumulative_frame_nr());
        is_carried_out && !view.document.gesture_open()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn drags_snap_to_the_step() {
        assert_eq!(snapped(24.5, 0.2, 0.5), 0.0);
        assert_eq!(snapped(24.5, 0.3, 0.5), 0.5);
        assert_eq!(snapped(24.3, -0.6, 0.5), -0.8);
        assert_eq!(snapped(89.8, 7.0, 0.5), 0.2);
        assert_eq!(snapped(-59.0, -7.0, 0.5), -1.0);
    }

    proptest! {
        #[test]
        fn a_dragged_value_is_a_multiple_of_the_step(from_deg in -60.0..90.0, by_deg in -40.0..40.0, tenths in 1..20) {
            let step_deg = f64::from(tenths) / 10.0;
            let amount_deg = snapped(from_deg, by_deg, step_deg);
            let to_deg = from_deg + amount_deg;
            let steps = to_deg / step_deg;
            let at_an_end = (to_deg - 90.0).abs() < 1e-9 || (to_deg + 60.0).abs() < 1e-9;
            prop_assert!(amount_deg == 0.0 || (steps - steps.round()).abs() < 1e-6 || at_an_end);
            prop_assert!((amount_deg - by_deg).abs() <= step_deg / 2.0 + 1e-9 || at_an_end);
        }
    }
}
