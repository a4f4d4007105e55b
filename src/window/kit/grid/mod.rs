//! The one grid of numbers: rows are loads, the highest at the top; columns are speeds.
//!
//! Its owner describes its contents ([`Spec`], [`Contents`]); it returns what happened ([`Shown`]).
//!
//! - A cell is at least as wide as the widest number and the widest speed, and as high as its digits. Cells share the
//!   room that there is, up to the largest cell of the theme.
//! - Where the least cells do not all fit along an axis, whole rows or columns scroll: none is ever seen in part. The
//!   breakpoints stay, a bar shows which part is seen, and a cursor that moved comes into view.
//! - Keys, clicks and drags make selections of the table whose cells can be selected. A row or column may be none of
//!   that table; its breakpoint is slanted and it cannot be selected.
//! - A screen reader finds the breakpoints as headings, 'speed 3000 rpm', and each cell as what it is, where it is and
//!   what it says: 'advance 3000 rpm, 60 kPa, 28.5 degrees'.

mod cells;
mod headings;
mod keys;
mod layout;
mod names;
mod outline;
mod press;
mod scroll;
mod spec;

use eframe::egui::{self, Pos2, Rect, Response, Role, Sense, WidgetInfo};

use self::cells::Painted;
use self::press::Press;
use self::scroll::Scroll;
use crate::table::Cell;
use crate::window::state::screen::MenuOf;
use crate::window::state::selection::CellSelection;

pub use self::headings::axis_name;
pub use self::keys::Walk;
pub use self::keys::{moved, take_keys};
pub use self::layout::{Layout, Measures};
pub use self::outline::outlines;
pub use self::spec::{Axis, Contents, Look, Spec, Text, Told};

/// The result of showing a grid.
pub struct Shown {
    /// The positions of everything.
    pub layout: Layout,
    /// The grid as a widget.
    pub response: Response,
    /// The selection that the user asked for.
    pub selection: Option<CellSelection>,
    /// The cell under the pointer.
    pub hovered: Option<Cell>,
    /// Whether a cell was double-clicked.
    pub double_clicked: bool,
    /// Whether a press was on something that cannot be selected.
    pub refused: bool,
    /// The menu that was asked for with the other button: of what, for which selection, and where.
    pub menu: Option<(MenuOf, CellSelection, Pos2)>,
}

/// What a grid remembers between frames.
#[derive(Default)]
pub struct Grid {
    painted: Painted,
    scroll: Scroll,
    press: Option<Press>,
}

impl Grid {
    /// Draws the grid into `area`; it reacts to the pointer in `whole`. `is_fresh` says that its contents may
    /// have changed since the last frame; otherwise the same shapes are painted again.
    pub fn show(
        &mut self,
        ui: &mut egui::Ui,
        [whole, area]: [Rect; 2],
        spec: &Spec<'_>,
        contents: &dyn Contents,
        is_fresh: bool,
    ) -> Shown {
        let response = ui.interact(whole, spec.id, Sense::click_and_drag());
        response.widget_info(|| WidgetInfo::labeled(Role::Grid, true, spec.name));
        let measures = Measures::new(ui, spec, contents);
        let cursor = spec.place_of(spec.selection.cursor);
        let layout =
            Layout::new(ui, spec, &measures, area, |shown, size| self.scroll.place(ui, spec.id, cursor, shown, size));
        let within = |at: Option<egui::Pos2>| at.filter(|&at| layout.cells.contains(at));
        let hovered = within(response.hover_pos()).map(|at| layout.nearest(at));
        let pressed = press::follow(ui, spec, &layout, &response, &mut self.press);
        headings::paint(ui, spec, &layout, contents);
        self.painted.paint(ui, spec, &layout, contents, is_fresh);
        outline::paint(ui, spec, &layout, hovered.or(spec.hovered));
        self.painted.paint_marks(ui, &layout);
        self.scroll.show(ui, spec, &layout);
        let asked = names::tell(ui, spec, &layout, contents);
        let twice = response.double_clicked().then(|| response.interact_pointer_pos()).flatten();
        Shown {
            selection: pressed.selection.or(asked),
            hovered,
            double_clicked: within(twice).is_some(),
            refused: pressed.is_refused,
            menu: press::aside(spec, &layout, &response),
            layout,
            response,
        }
    }

    /// Scrolls a cell into view, once.
    pub fn bring_into_view(&mut self, place: Cell) {
        self.scroll.bring(place);
    }
}
