//! A box drawn on the surface: the vertices seen in it are selected.

use eframe::egui::{self, Modifiers, Pos2, Rect, StrokeKind};

use super::Stage;
use crate::table::Cell;
use crate::window::kit::scene_painter::{self, pos};
use crate::window::kit::theme::kit_sizes::HAIRLINE;
use crate::window::kit::theme::{Theme, color, hairline};
use crate::window::state::outbox::Outbox;
use crate::window::state::selection::{CellSelection, Join};
use crate::window::state::surface_state::SurfaceMessage;
use crate::window::views::grip;
use crate::window::views::view::View;
use crate::wording::count;

/// A box being drawn.
pub(in crate::window) struct VertexBox {
    from: Pos2,
    to: Pos2,
    join: Join,
    before: CellSelection,
    /// The vertices that are not hidden, and where they are: the camera rests while the box is drawn.
    seen: Vec<(Cell, Pos2)>,
    /// The number of the frame in which it was begun.
    begun_in: u64,
}

/// What a drag with these modifiers makes of a box; `None` if it draws none.
pub(in crate::window) const fn join(is_armed: bool, modifiers: Modifiers) -> Option<Join> {
    match modifiers {
        Modifiers { alt: false, .. } if !is_armed => None,
        Modifiers { shift: true, .. } => Some(Join::Add),
        Modifiers { command: true, .. } => Some(Join::TakeAway),
        _ => Some(Join::Replace),
    }
}

impl VertexBox {
    /// Begins a box where the pointer was pressed.
    pub(in crate::window) fn begin(
        ctx: &egui::Context,
        pressed: Pos2,
        join: Join,
        stage: &Stage<'_>,
        view: &View<'_>,
        outbox: &mut Outbox,
    ) -> Self {
        outbox.send(SurfaceMessage::Boxing(true));
        let seen = stage.relief.seen(&stage.projector).into_iter().map(|(cell, at)| (cell, pos(at)));
        let (before, begun_in) = (view.screen.selection.clone(), ctx.cumulative_frame_nr());
        Self { from: pressed, to: pressed, join, before, seen: seen.collect(), begun_in }
    }

    /// Whether Esc has given it up.
    pub(in crate::window) fn is_given_up(&self, ctx: &egui::Context, view: &View<'_>) -> bool {
        self.begun_in < ctx.cumulative_frame_nr() && !view.screen.surface.boxing
    }

    /// Selects again what was selected before.
    pub(in crate::window) fn give_up(&self, outbox: &mut Outbox) {
        grip::select(self.before.clone(), outbox);
    }

    /// Follows the pointer; selects what is in the box if that changes anything.
    pub(in crate::window) fn follow(&mut self, at: Pos2, stage: &Stage<'_>, view: &View<'_>, outbox: &mut Outbox) {
        self.to = stage.rect.clamp(at);
        let boxed = self.before.boxed(self.inside(), self.join);
        if boxed != view.screen.selection {
            grip::select(boxed, outbox);
        }
    }

    fn rect(&self) -> Rect {
        Rect::from_two_pos(self.from, self.to)
    }

    fn inside(&self) -> impl Iterator<Item = Cell> + '_ {
        let rect = self.rect();
        self.seen.iter().filter(move |(_, at)| rect.contains(*at)).map(|(cell, _)| *cell)
    }

    /// Paints it over the surface, and how many vertices are in it beside the pointer.
    pub(in crate::window) fn paint(&self, ui: &egui::Ui, theme: &Theme) {
        let (fill, ink) = (color(theme.palette.selection), color(theme.palette.ink));
        ui.painter().rect(self.rect(), HAIRLINE, fill, hairline(ink), StrokeKind::Inside);
        let vertices = count(self.inside().count(), "cell");
        let text = match self.join {
            Join::Replace => vertices,
            Join::Add => format!("{vertices} added"),
            Join::TakeAway => format!("{vertices} taken away"),
        };
        scene_painter::card(ui.ctx(), self.to, &text, theme);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_is_drawn_in_its_mode_or_with_alt() {
        let (none, alt, shift, ctrl) = (Modifiers::NONE, Modifiers::ALT, Modifiers::SHIFT, Modifiers::COMMAND);
        assert_eq!([none, shift, ctrl].map(|held| join(false, held)), [None; 3]);
        let all = [Some(Join::Replace), Some(Join::Add), Some(Join::TakeAway)];
        assert_eq!([alt, alt | shift, alt | ctrl].map(|held| join(false, held)), all);
        assert_eq!([none, shift, ctrl].map(|held| join(true, held)), all);
    }
}
