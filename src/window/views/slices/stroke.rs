//! A line drawn freehand over a slice: the breakpoints that the pointer passes take its degrees.

use eframe::egui::{self, Event, PointerButton, Pos2};

use super::line::cells;
use crate::drawing::Slice;
use crate::project::ADVANCE_RANGE_DEG;
use crate::shaping::{Along, Tool, passed};
use crate::table::{Axis, Cell, Selection};
use crate::window::state::outbox::Outbox;
use crate::window::views::grip::{Hold, to_step};
use crate::window::views::view::View;
use crate::wording::{Unit, count, fixed, step_decimals, with_unit};

/// A stroke of the pointer over a slice.
pub(super) struct Stroke {
    along: Along,
    /// The cursor's cell when it began: whose line is drawn.
    on: Cell,
    /// Where the pointer was last, in axis units and degrees.
    last: (f64, f64),
    /// What each breakpoint has taken so far.
    degs: Vec<Option<f64>>,
    hold: Hold,
}

impl Stroke {
    /// A stroke that begins at a place of the screen.
    pub(super) fn begin(along: Along, pressed: Pos2, slice: &Slice, view: &View<'_>) -> Self {
        let count = along.axis(view.settled().advance.table()).len();
        let (on, last) = (view.screen.selection.cursor, under(pressed, slice));
        Self { along, on, last, degs: vec![None; count], hold: Hold::default() }
    }

    /// Whether it was ended by something else, such as Escape, or the mode was left before it passed anything.
    pub(super) fn is_given_up(&self, ctx: &egui::Context, view: &View<'_>) -> bool {
        self.hold.is_given_up(ctx, view) || (!self.hold.is_asked() && !view.screen.slices.draws)
    }

    /// Follows the pointer over every place where it was in this frame, and shows what came of it.
    pub(super) fn follow(&mut self, ui: &egui::Ui, slice: &Slice, view: &View<'_>, outbox: &mut Outbox) {
        let project = view.document.project();
        let axis = self.along.axis(project.advance.table());
        let step_deg = if ui.input(|input| input.modifiers.alt) { None } else { Some(project.step_deg) };
        let before = self.degs.clone();
        for at in path(&ui.input(|input| input.events.clone())) {
            self.pass(axis, under(at, slice), step_deg);
        }
        if self.degs == before {
            return;
        }
        self.hold.ask(ui.ctx());
        let line = if self.along == Along::Speed { self.on.load } else { self.on.speed };
        outbox.drag(Tool::Draw { along: self.along, line, degs: self.degs.clone() }, self.moved(view));
    }

    /// Takes the degrees of the breakpoints up to a place, each rounded to the step.
    fn pass(&mut self, axis: &Axis, to: (f64, f64), step_deg: Option<f64>) {
        for (index, deg) in passed(axis, self.last, to) {
            if let Some(slot) = self.degs.get_mut(index) {
                *slot = Some(to_step(deg, step_deg));
            }
        }
        self.last = to;
    }

    /// What may move: the line, and what is selected together with it, as when one of its points is dragged.
    fn moved(&self, view: &View<'_>) -> Selection {
        let (table, selected) = (view.settled().advance.table(), &view.selection.cells);
        let mut moved = Selection::none(table.load().len(), table.speed().len());
        moved.extend(cells(self.along, table, self.on));
        if selected.count() > 1 && selected.fits(table) {
            moved.extend(selected.cells());
        }
        moved
    }

    /// '24.5°, 7 breakpoints': where the pointer is, and how many it has passed.
    pub(super) fn text(&self, view: &View<'_>) -> String {
        let deg = to_step(self.last.1.clamp(ADVANCE_RANGE_DEG.0, ADVANCE_RANGE_DEG.1), Some(view.project.step_deg));
        let deg = with_unit(&fixed(deg, step_decimals(view.project.step_deg)), Unit::Degree);
        format!("{deg}, {}", count(self.degs.iter().flatten().count(), "breakpoint"))
    }
}

/// A place of the screen in axis units and degrees, which it may have beyond the scales as well.
fn under(at: Pos2, slice: &Slice) -> (f64, f64) {
    (slice.frame.along.from_screen(at.x), slice.frame.up.from_screen(at.y))
}

/// Where the pointer was while its button was down, in order: from the press on, if that is among the events, and up to
/// where it was let go.
fn path(events: &[Event]) -> Vec<Pos2> {
    let turns = |wanted: bool| move |event: &Event| matches!(event, Event::PointerButton { button: PointerButton::Primary, pressed, .. } if *pressed == wanted);
    let from = events.iter().rposition(turns(true)).unwrap_or(0);
    let held = events[from..].iter().take_while(|event| !turns(false)(event));
    held.filter_map(|event| if let Event::PointerMoved(at) = event { Some(*at) } else { None }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use eframe::egui::{Modifiers, pos2};

    #[test]
    fn only_what_came_while_the_button_was_down_is_drawn() {
        let moved = |x: f32| Event::PointerMoved(pos2(x, 0.0));
        let button = |pressed| Event::PointerButton {
            pos: pos2(0.0, 0.0),
            button: PointerButton::Primary,
            pressed,
            modifiers: Modifiers::NONE,
        };
        let seen = |events: &[Event]| path(events).iter().map(|at| at.x).collect::<Vec<_>>();
        assert_eq!(seen(&[moved(1.0), moved(2.0)]), [1.0, 2.0]);
        assert_eq!(seen(&[moved(1.0), button(true), moved(2.0), moved(3.0), button(false), moved(4.0)]), [2.0, 3.0]);
        assert_eq!(seen(&[moved(1.0), button(false), moved(2.0)]), [1.0]);
        assert_eq!(seen(&[]), [] as [f32; 0]);
    }
}
