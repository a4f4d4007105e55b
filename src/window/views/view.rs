//! What every view of the window is given to read, and what a preview shows in the place of what is.

use std::cell::OnceCell;

use crate::document::Document;
use crate::image::AsFlashed;
use crate::project::{Advance, Project, Tree};
use crate::table::{Cell, Selection, Table};
use crate::window::kit::theme::Theme;
use crate::window::state::commands::KeyMap;
use crate::window::state::dialogs::Dialogs;
use crate::window::state::projects::ProjectTabs;
use crate::window::state::screen::Screen;
use crate::window::state::selection::CellSelection;
use crate::window::tasks::base::Base;
use crate::window::tasks::checking::{Checked, Cured};
use crate::window::tasks::how_sure::SureShown;
use crate::window::tasks::preview::Outcome;
use crate::window::views::region_here::RegionHere;
use crate::window::views::scales::Scales;
use crate::wording::{fixed, step_decimals, true_minus};

/// What a view may read: the document, the screen, the base and the theme.
#[derive(Clone, Copy)]
pub struct View<'a> {
    /// The open document.
    pub document: &'a Document,
    /// The project to show: the document's, with a drag or a previewed tool applied.
    pub project: &'a Project,
    /// Identifies `project` together with everything previewed: equal keys mean equal contents.
    pub content_key: u64,
    /// The state of the screen.
    pub screen: &'a Screen,
    /// The selection in the document's table; that of `screen` is fitted to the table on show.
    pub selection: &'a CellSelection,
    /// The state of the tool that is previewed.
    pub preview: Option<&'a Outcome>,
    /// What of `project` is only proposed, by a tool or a remedy that is pointed at.
    pub proposed: Option<&'a Proposed>,
    /// What the project is compared with.
    pub base: &'a Base,
    /// What is to be merged into the project, once it has been read.
    pub theirs: Option<&'a Base>,
    /// The scales that the views of the table share; they do not change while something is dragged or proposed.
    pub scales: Scales,
    /// The result of the last run of the checks.
    pub checked: &'a Checked,
    /// What the remedy that is looked at would do.
    pub cured: Option<&'a Cured>,
    /// Whether a remedy is to be carried out as soon as its result is known.
    pub awaits_remedy: bool,
    /// Sizes, fonts and colours.
    pub theme: &'a Theme,
    /// The open projects.
    pub projects: &'a ProjectTabs,
    /// What is being asked or told.
    pub dialogs: &'a Dialogs,
    /// Which keys run which command.
    pub keys: &'a KeyMap,
    /// The table as the unit will have it, if the grid shows that instead of `project`'s.
    pub flashed: Option<Flashed<'a>>,
    /// The fields of `project`, computed when they are first needed.
    pub fields: &'a OnceCell<Tree>,
    /// The region of change under the cursor.
    pub region_here: &'a RegionHere,
    /// How sure the cells are of a fit to the measured points, while that tints the table.
    pub sure: &'a SureShown,
}

/// The table as the unit will have it.
#[derive(Clone, Copy)]
pub struct Flashed<'a> {
    /// Its cells.
    pub table: &'a AsFlashed,
    /// Whether counts are shown instead of degrees.
    pub in_counts: bool,
}

impl<'a> View<'a> {
    /// The project as it is, without anything that is only proposed.
    pub fn settled(&self) -> &'a Project {
        self.document.project()
    }

    /// The value of a cell on show as it is, and the proposed one if that differs.
    pub fn now_and_then(&self, cell: Cell) -> (f64, Option<f64>) {
        let shown = self.table().at(cell);
        if !self.proposed.is_some_and(|proposed| proposed.cells.contains(cell)) {
            return (shown, None);
        }
        let (speeds, loads) = (self.table().speed().breakpoints(), self.table().load().breakpoints());
        let now = self.settled().advance.table().lookup(speeds[cell.speed], loads[cell.load]);
        (now, (now != shown).then_some(shown))
    }

    /// The advance table to show.
    pub fn advance(&self) -> &'a Advance {
        &self.project.advance
    }

    /// Axes and cells to show.
    pub fn table(&self) -> &'a Table {
        self.project.advance.table()
    }

    /// Every field of the project by path.
    pub fn field_tree(&self) -> &'a Tree {
        // Any project has a tree.
        self.fields.get_or_init(|| self.project.field_tree().unwrap_or(Tree::Record(Vec::new())))
    }

    /// The content of a cell as the grid shows it: degrees, or the count that stands for them in the unit.
    pub fn cell_text(&self, cell: Cell) -> String {
        match self.flashed {
            Some(Flashed { table, in_counts: true }) => true_minus(&table.raw(cell).to_string()),
            Some(Flashed { table, .. }) => fixed(self.table().at(cell), table.decimals().max(1)),
            None => self.degrees(self.table().at(cell)),
        }
    }

    /// A value in degrees with the decimals of the project's step and a true minus sign.
    pub fn degrees(&self, value: f64) -> String {
        fixed(value, step_decimals(self.project.step_deg))
    }
}

/// What is shown but not applied yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposed {
    /// What would be done, as the history would call it.
    pub label: String,
    /// The cells of the shown table that would differ in value or hold; all of them if the breakpoints would
    /// differ.
    pub cells: Selection,
    /// Whether the breakpoints stay the same.
    pub keeps_axes: bool,
}

impl Proposed {
    /// The difference between the present table and the proposed one.
    pub fn between(now: &Advance, then: &Advance, label: String) -> Self {
        let (old, new) = (now.table(), then.table());
        if old.speed() != new.speed() || old.load() != new.load() {
            return Self { label, cells: Selection::all(new), keeps_axes: false };
        }
        let differs = |cell| {
            old.at(cell).to_bits() != new.at(cell).to_bits() || now.held().contains(cell) != then.held().contains(cell)
        };
        let mut cells = Selection::none(new.load().len(), new.speed().len());
        cells.extend(new.cells().filter(|&cell| differs(cell)));
        Self { label, cells, keeps_axes: true }
    }

    /// The text for the status line.
    pub fn words(&self, by_keys: bool) -> String {
        let how = if by_keys { "Enter applies" } else { "click to apply" };
        if self.cells.is_empty() {
            return format!("Proposed: {}; it would change nothing", self.label);
        }
        format!("Proposed: {}; {how}", self.label)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::Origin;
    use crate::table::{Axis, Cell, Table};

    #[test]
    fn cells_differ_in_value_or_hold_and_all_of_them_on_other_breakpoints() {
        let axis = |top: f64| Axis::new(vec![0.0, top]).unwrap();
        let flat = |top: f64| {
            Advance::uniform(Table::from_fn(axis(top), axis(9.0), |_, _| 20.0).unwrap(), Origin::Typed).unwrap()
        };
        let now = flat(10.0);
        let then = now.with_values(vec![20.0, 21.0, 20.0, 20.0], Origin::Faired).unwrap();
        let then = then.with_held(&Selection::cell(then.table(), Cell::new(1, 0)), true);
        let proposed = Proposed::between(&now, &then, "Fair 1 cell".into());
        assert_eq!(proposed.cells.cells().collect::<Vec<_>>(), [Cell::new(0, 1), Cell::new(1, 0)]);
        assert_eq!(proposed.words(false), "Proposed: Fair 1 cell; click to apply");
        assert_eq!(Proposed::between(&now, &flat(12.0), String::new()).cells.count(), 4);
        assert!(Proposed::between(&now, &now, String::new()).cells.is_empty());
    }
}
