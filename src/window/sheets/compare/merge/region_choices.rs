//! The changed cells of the table region by region: a whole region can be taken from one side at once, whoever changed its
//! cells, or be put together cell by cell again.

use eframe::egui::{self, Align, Rect, Role, ScrollArea, Sense, WidgetInfo, pos2, vec2};

use super::super::region_mark::{self, Badge};
use super::super::rows::{column, line, small, text};
use super::merged_grid::MergedGrid;
use super::merging::{ChangedBy, Merged};
use crate::compare::Version;
use crate::project::LoadKind;
use crate::table::{Cell, Selection, Table, connected};
use crate::window::kit::theme::table_sheet_sizes::{CHOSEN_BAR, MergeSizes, ROW_GROUND, WORDS_LEFT};
use crate::window::kit::theme::{color, strong_label};
use crate::window::state::compare_state::CompareMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::form::choice::{self, Choice};
use crate::window::views::view::View;
use crate::wording::{Unit, count, range};

/// Connected cells that somebody changed.
pub(super) struct ChangedRegion {
    /// In rows from the lowest load.
    pub(super) cells: Vec<Cell>,
    /// How many were changed by mine alone, by theirs alone, by both differently, and by both alike.
    by: [usize; 4],
    speed_rpm: (f64, f64),
    load: (f64, f64),
}

/// How a region is decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Decided {
    /// All of it from one version.
    Whole(Version),
    /// What one side changed from there; only conflicts are decided, if they are.
    CellByCell,
    /// Some of its cells otherwise than the side that changed them has them.
    Mixed,
}

/// The regions of a table, the largest first.
pub(super) fn regions(table: &Table, changed_by: impl Fn(Cell) -> ChangedBy) -> Vec<ChangedRegion> {
    let changed = table.cells().filter(|&cell| changed_by(cell) != ChangedBy::Nobody);
    let region = |cells: Vec<Cell>| {
        let by = |is: fn(ChangedBy) -> bool| cells.iter().filter(|cell| is(changed_by(**cell))).count();
        let whole = |at: &dyn Fn(&Cell) -> Option<f64>| {
            let places = cells.iter().filter_map(at);
            places.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)))
        };
        ChangedRegion {
            by: [
                by(|who| who == ChangedBy::Mine),
                by(|who| who == ChangedBy::Theirs),
                by(|who| matches!(who, ChangedBy::Conflict(_))),
                by(|who| who == ChangedBy::Both),
            ],
            speed_rpm: whole(&|cell| table.speed().breakpoints().get(cell.speed).copied()),
            load: whole(&|cell| table.load().breakpoints().get(cell.load).copied()),
            cells,
        }
    };
    let mut regions: Vec<ChangedRegion> = connected(changed, |_, _| true).into_iter().map(region).collect();
    regions.sort_by_key(|region| std::cmp::Reverse(region.cells.len()));
    regions
}

impl ChangedRegion {
    /// Who changed its cells: '7 mine, 7 theirs, 1 both'.
    pub(super) fn headline(&self) -> String {
        let told = self.by.into_iter().zip(["mine", "theirs", "both", "alike"]);
        let told = told.filter(|(cells, _)| *cells > 0).map(|(cells, by)| format!("{cells} {by}"));
        told.collect::<Vec<_>>().join(", ")
    }

    fn place_words(&self, load: LoadKind) -> String {
        format!("{}, {}", range(self.speed_rpm, Unit::Rpm), range(self.load, load.unit()))
    }

    /// Both in one line.
    pub(super) fn words(&self, load: LoadKind) -> String {
        format!("{}: {}; {}", count(self.cells.len(), "cell"), self.headline(), self.place_words(load))
    }

    /// The keys of the decisions for its cells.
    fn keys(&self, merged: &Merged) -> Vec<String> {
        self.cells.iter().map(|&cell| merged.cell_key(cell)).collect()
    }

    fn decided(&self, view: &View<'_>, merged: &Merged) -> Decided {
        let decisions = view.screen.compare.merging.as_ref().map(|merging| &merging.decisions);
        let of = |cell: &Cell| decisions.and_then(|decisions| decisions.get(&merged.cell_key(*cell))).copied();
        let first = self.cells.first().and_then(of);
        if let Some(version) = first.filter(|_| self.cells.iter().all(|cell| of(cell) == first)) {
            return Decided::Whole(version);
        }
        let is_conflict = |cell: &Cell| matches!(merged.changed_by(*cell), ChangedBy::Conflict(_));
        let is_plain = self.cells.iter().all(|cell| is_conflict(cell) || of(cell).is_none());
        if is_plain { Decided::CellByCell } else { Decided::Mixed }
    }
}

/// Selects the cells of a region.
pub(super) fn choose(merged: &Merged, region: &ChangedRegion, outbox: &mut Outbox) {
    let table = merged.table();
    let mut cells = Selection::none(table.load().len(), table.speed().len());
    cells.extend(region.cells.iter().copied());
    if let Some(&cursor) = region.cells.first() {
        outbox.send(ScreenMessage::Select(CellSelection { cells, cursor, anchor: cursor }));
    }
}

/// The height that the list takes for so many regions.
pub(super) fn height(view: &View<'_>, regions: usize) -> f32 {
    let rows = f32::from(u8::try_from(regions).unwrap_or(u8::MAX));
    view.theme.compare.header_height + view.theme.gap + rows * MergeSizes::of(view.theme).region_height
}

/// Draws the regions with their choices into the rest of `ui`.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, merged: &Merged, grid: &mut MergedGrid, outbox: &mut Outbox) {
    let theme = view.theme;
    ui.horizontal(|ui| {
        ui.set_height(theme.compare.header_height);
        strong_label(ui, "Regions of the table", theme.heading_font());
        ui.label(small("a whole region at once", theme));
    });
    ui.spacing_mut().item_spacing.y = 0.0;
    let row = MergeSizes::of(theme).region_height;
    let chosen = merged.region_of(view.screen.selection.cursor);
    let regions = &merged.regions;
    ScrollArea::vertical().id_salt("regions of the merge").auto_shrink(false).show_rows(
        ui,
        row,
        regions.len(),
        |ui, seen| {
            for number in seen {
                if let Some(region) = regions.get(number) {
                    let badge = Badge { number, size: 1.0, is_chosen: chosen == Some(number) };
                    entry(ui, view, (merged, region), badge, grid, outbox);
                }
            }
        },
    );
}

fn entry(
    ui: &mut egui::Ui,
    view: &View<'_>,
    (merged, region): (&Merged, &ChangedRegion),
    badge: Badge,
    grid: &mut MergedGrid,
    outbox: &mut Outbox,
) {
    const WORDS: [&str; 3] = ["mine", "theirs", "cell by cell"];
    let (theme, sizes) = (view.theme, MergeSizes::of(view.theme));
    let rect = line(ui, sizes.region_height);
    let load = merged.version(Version::Mine).sensors.load;
    let width = choice::row_width(ui, theme, &WORDS) + theme.gap;
    let words = column(rect, 0.0, rect.width() - width - theme.gap);
    let response = ui.interact(words, ui.scope_id().with(("region of the merge", badge.number)), Sense::click());
    let name = format!("Region {}: {}", badge.number + 1, region.words(load));
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, badge.is_chosen, &name));
    let ground = words.expand2(ROW_GROUND);
    if response.hovered() || response.has_focus() {
        ui.painter().rect_filled(ground, theme.radius, color(theme.palette.field));
    }
    if badge.is_chosen {
        ui.painter().rect_filled(ground, 0.0, color(theme.palette.selection));
        let bar = ground.with_max_x(ground.left() + CHOSEN_BAR);
        ui.painter().rect_filled(bar, 0.0, color(theme.palette.accent));
    }
    let (first, second) = words.split_top_bottom_at_fraction(0.5);
    let at = pos2(words.left() + theme.compare.badge_radius + CHOSEN_BAR, first.center().y);
    region_mark::paint(ui.painter(), at, badge, theme);
    let room = |rect: Rect| column(rect, WORDS_LEFT, rect.width() - WORDS_LEFT);
    text(ui, room(first), Align::Min, region.headline().into());
    text(ui, room(second), Align::Min, small(region.place_words(load), theme));
    if response.on_hover_text("Select the cells of this region").clicked() {
        if let Some(&cell) = region.cells.last() {
            grid.bring_into_view(cell);
        }
        choose(merged, region, outbox);
    }
    let now = match region.decided(view, merged) {
        Decided::Whole(Version::Mine) => Some(0),
        Decided::Whole(Version::Theirs) => Some(1),
        Decided::CellByCell => Some(2),
        Decided::Whole(Version::Base) | Decided::Mixed => None,
    };
    let at = column(rect, rect.width() - width, width - theme.gap);
    let at = Rect::from_center_size(at.center(), vec2(at.width(), theme.field_height));
    let (key, name) = (format!("merge region {}", badge.number), format!("Region {}", badge.number + 1));
    let tooltip = "Take every cell of the region as this project has it, or as they have it; or cell by cell: from the side that \
                   changed it, and what both changed as decided below.";
    let choice = Choice { key: &key, name: &name, words: &WORDS, now, tooltip };
    match choice::show(ui, theme, at, &choice) {
        Some(0) => outbox.send(CompareMessage::Decide(region.keys(merged), Version::Mine)),
        Some(1) => outbox.send(CompareMessage::Decide(region.keys(merged), Version::Theirs)),
        Some(_) => outbox.send(CompareMessage::Undecide(region.keys(merged))),
        None => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Axis;

    #[test]
    fn cells_that_touch_are_one_region_whoever_changed_them() {
        let axis = |at: [f64; 3]| Axis::new(at.to_vec()).unwrap();
        let table = Table::from_fn(axis([1000.0, 2000.0, 3000.0]), axis([0.0, 50.0, 100.0]), |_, _| 20.0).unwrap();
        let who = |cell: Cell| match (cell.load, cell.speed) {
            (0, 0) => ChangedBy::Mine,
            (0, 1) => ChangedBy::Conflict(0),
            (1, 1) => ChangedBy::Theirs,
            (2, 2) => ChangedBy::Both,
            _ => ChangedBy::Nobody,
        };
        let regions = regions(&table, who);
        let told: Vec<String> = regions.iter().map(|region| region.words(LoadKind::Throttle)).collect();
        let expected = ["3 cells: 1 mine, 1 theirs, 1 both; 1000–2000 rpm, 0–50 %", "1 cell: 1 alike; 3000 rpm, 100 %"];
        assert_eq!(told, expected);
    }
}
