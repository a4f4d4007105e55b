//! The merged table: what stands in each cell, and who changed it.

use eframe::egui::{self, Color32, CornerRadius, Label, Rect, Shape, Stroke, StrokeKind, pos2, vec2};

use super::super::region_mark::{self, Badge};
use super::super::rows::{second, small};
use super::merging::{ChangedBy, Merged};
use super::region_choices;
use crate::compare::Version;
use crate::drawing::{ColorMap, Ground, LEAST_FULL_DEG};
use crate::table::Cell;
use crate::window::kit::grid::{Axis, Contents, Grid, Layout, Look, Measures, Spec, Text, Told, axis_name};
use crate::window::kit::parts::part;
use crate::window::kit::theme::table_sheet_sizes::MergeSizes;
use crate::window::kit::theme::table_sheet_sizes::{BRACKET_INSET, BRACKET_WIDTH};
use crate::window::kit::theme::{color, elided, hairline, strong_label};
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::MenuOf;
use crate::window::state::selection::CellSelection;
use crate::window::views::grid::{id, open_menu, show_to_read};
use crate::window::views::view::View;
use crate::wording::Unit;

/// What the grid keeps between frames.
#[derive(Default)]
pub(super) struct MergedGrid {
    grid: Grid,
    pointed_at: Option<Cell>,
    /// The conflict whose cell was pressed: it is to be brought into view.
    pub(super) show: Option<usize>,
}

struct MergedCells<'a> {
    view: &'a View<'a>,
    merged: &'a Merged,
    map: ColorMap,
    full_deg: f64,
}

impl MergedGrid {
    /// Whether the pointer is over a cell.
    pub(super) fn is_pointed_at(&self, cell: Cell) -> bool {
        self.pointed_at == Some(cell)
    }

    /// Brings a cell into view.
    pub(super) fn bring_into_view(&mut self, cell: Cell) {
        self.grid.bring_into_view(cell);
    }

    /// The width at which every column is seen.
    pub(super) fn least_width(ui: &egui::Ui, view: &View<'_>, merged: &Merged) -> f32 {
        let selection = selection(view, merged);
        let spec = spec(view, merged, &selection);
        Measures::new(ui, &spec, &MergedCells::new(view, merged)).whole_size(&spec).x.ceil()
    }

    /// Draws heading, grid and key.
    pub(super) fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, merged: &Merged, outbox: &mut Outbox) {
        let theme = view.theme;
        let free = ui.horizontal(|ui| {
            ui.set_height(theme.compare.header_height);
            strong_label(ui, "Merged table °", theme.heading_font());
            ui.label(small("tinted by the difference from the base", theme));
            ui.available_rect_before_wrap()
        });
        let free = free.inner;
        if !merged.is_by_cell() {
            let told = "The three tables do not have the same breakpoints: the table is taken whole, from one side.";
            ui.add(Label::new(second(told, theme)).wrap());
            return;
        }
        let whole = ui.available_rect_before_wrap();
        let grid = Rect::from_min_max(whole.min, whole.max - vec2(0.0, theme.compare.line_height + theme.gap));
        let selection = selection(view, merged);
        let spec = spec(view, merged, &selection);
        let cells = MergedCells::new(view, merged);
        let shown = show_to_read(&mut part(ui, grid), view, outbox, (&mut self.grid, [grid; 2]), &spec, &cells);
        self.pointed_at = shown.hovered;
        let pressed = shown.selection.as_ref().map(|selection| merged.changed_by(selection.cursor));
        if let Some(ChangedBy::Conflict(number)) = pressed {
            self.show = Some(number);
        }
        open_menu(view, outbox, (&spec, &shown), |_| MenuOf::Merged);
        numbers(ui, view, merged, &shown.layout, outbox);
        let cells = shown.layout.cells;
        axis_name(ui, theme, &spec.speeds, pos2(cells.right(), free.center().y), free.left() + theme.gap);
        // Where the cells have all the room that they can use, the key follows them.
        let foot = (cells.bottom() + theme.grid.bar).min(grid.bottom());
        let line = vec2(whole.width(), theme.compare.line_height);
        let at = Rect::from_min_size(pos2(whole.left(), foot + theme.gap), line);
        key(&part(ui, at), view, at, cells.left());
    }
}

/// The numbers of the regions, as in their list; a press chooses one.
fn numbers(ui: &egui::Ui, view: &View<'_>, merged: &Merged, layout: &Layout, outbox: &mut Outbox) {
    if view.screen.shows_base {
        return;
    }
    let chosen = merged.region_of(view.screen.selection.cursor);
    let load = merged.version(Version::Mine).sensors.load;
    for (number, region) in merged.regions.iter().enumerate() {
        let corner = region_mark::upper_left(&region.cells);
        let Some(rect) = corner.and_then(|cell| layout.cell(cell)) else { continue };
        let size = region_mark::size_between(ui, view.theme, layout, rect.size());
        let badge = Badge { number, size, is_chosen: chosen == Some(number) };
        let place = (rect.left_top(), badge);
        if region_mark::button(ui, view.theme, place, "in the merged table", &region.words(load)).clicked() {
            region_choices::choose(merged, region, outbox);
        }
    }
}

/// The selection in the merged table.
fn selection(view: &View<'_>, merged: &Merged) -> CellSelection {
    view.screen.selection.clone().fitted(merged.table())
}

fn spec<'a>(view: &View<'a>, merged: &'a Merged, selection: &'a CellSelection) -> Spec<'a> {
    let (table, unit) = (merged.table(), merged.version(Version::Mine).sensors.load.unit());
    Spec {
        id: id(),
        name: "Merged table in degrees",
        cell_name: "merged advance",
        speeds: Axis::of("speed", Unit::Rpm, table.speed()),
        loads: Axis::of("load", unit, table.load()),
        table,
        selection,
        hovered: None,
        active: None,
        theme: view.theme,
    }
}

/// The difference from the base with the strongest tint.
fn full_deg(merged: &Merged) -> f64 {
    let base = merged.version(Version::Base).advance.table().values();
    let differences = merged.table().values().iter().zip(base).map(|(is, was)| (is - was).abs());
    differences.fold(LEAST_FULL_DEG, f64::max)
}

impl<'a> MergedCells<'a> {
    fn new(view: &'a View<'a>, merged: &'a Merged) -> Self {
        let map = ColorMap::new(view.theme.palette.look, Ground::Grid);
        Self { view, merged, map, full_deg: full_deg(merged) }
    }

    /// What the base has in a cell of the table that is shown, which has the same breakpoints.
    fn base_deg(&self, cell: Cell) -> f64 {
        self.merged.version(Version::Base).advance.table().at(cell)
    }

    /// Whether the cell is a conflict that is to be decided.
    fn is_open(&self, who: ChangedBy) -> bool {
        matches!(who, ChangedBy::Conflict(number) if self.merged.decision(number).is_none())
    }
}

impl Contents for MergedCells<'_> {
    fn widest(&self) -> Vec<String> {
        let (low, high) = self.merged.table().extremes();
        [low, high, 88.0].map(|deg| self.view.degrees(deg)).into()
    }

    fn beside_number(&self) -> f32 {
        2.0 * (BRACKET_INSET + BRACKET_WIDTH)
    }

    fn look(&self, cell: Cell) -> Look {
        let who = self.merged.changed_by(cell);
        if self.view.screen.shows_base {
            return Look { text: Text::Number(self.view.degrees(self.base_deg(cell))), fill: None };
        }
        if who == ChangedBy::Nobody {
            let value = self.view.degrees(self.merged.table().at(cell));
            return Look { text: Text::Faint(value), fill: None };
        }
        if self.is_open(who) {
            return Look { text: Text::Word("?".into()), fill: None };
        }
        let value = self.merged.table().at(cell);
        let tint = self.map.diverging((value - self.base_deg(cell)) / self.full_deg);
        Look { text: Text::Number(self.view.degrees(value)), fill: Some(color(tint)) }
    }

    /// '24.5 degrees, changed by theirs'.
    fn told(&self, cell: Cell) -> Told {
        if self.view.screen.shows_base {
            let words = format!("{} degrees in the base", self.view.degrees(self.base_deg(cell)));
            return Told { words, description: String::new() };
        }
        let value = self.view.degrees(self.merged.table().at(cell));
        let who = match self.merged.changed_by(cell) {
            ChangedBy::Nobody => "unchanged",
            ChangedBy::Mine => "changed by mine",
            ChangedBy::Theirs => "changed by theirs",
            ChangedBy::Both => "changed by both alike",
            ChangedBy::Conflict(number) => match self.merged.decision(number) {
                None => return Told { words: "to be decided".into(), description: String::new() },
                Some(Version::Base) => "decided: base",
                Some(Version::Mine) => "decided: mine",
                Some(Version::Theirs) => "decided: theirs",
            },
        };
        let is_conflict = matches!(self.merged.changed_by(cell), ChangedBy::Conflict(_));
        let decided = self.merged.decided_cell(cell).filter(|_| !is_conflict);
        let decided = decided.map_or_else(String::new, |version| format!(", decided: {}", version.name()));
        Told { words: format!("{value} degrees, {who}{decided}"), description: String::new() }
    }

    /// Brackets and frames that say who changed a cell.
    fn above(&self, layout: &Layout) -> Vec<Shape> {
        if self.view.screen.shows_base {
            return Vec::new();
        }
        let theme = self.view.theme;
        let (ink, length) = (color(theme.palette.ink), MergeSizes::of(theme).bracket);
        let mut shapes = Vec::new();
        for cell in layout.visible_cells() {
            let Some(rect) = layout.cell(cell).map(|rect| rect.shrink(BRACKET_INSET)) else { continue };
            let who = self.merged.changed_by(cell);
            if matches!(who, ChangedBy::Mine | ChangedBy::Both) {
                shapes.push(bracket(rect, length, ink));
            }
            if matches!(who, ChangedBy::Theirs | ChangedBy::Both) {
                shapes.push(bracket(rect, -length, ink));
            }
            if matches!(who, ChangedBy::Conflict(_)) {
                let frame = Stroke::new(theme.compare.outline_width, ink);
                shapes.push(Shape::Rect(egui::epaint::RectShape::stroke(
                    rect,
                    CornerRadius::ZERO,
                    frame,
                    StrokeKind::Inside,
                )));
            }
        }
        shapes
    }
}

/// A bracket around one side of a cell, with ends of length `ends`: positive for the left side, which is mine,
/// negative for the right side, which is theirs. Both together nearly make the frame that means that both changed
/// it differently. Corners and dots already have meanings on the Advance sheet.
fn bracket(rect: Rect, ends: f32, ink: Color32) -> Shape {
    let inside = rect.shrink(BRACKET_WIDTH / 2.0);
    let x = if ends > 0.0 { inside.left() } else { inside.right() };
    let (top, bottom) = (inside.top(), inside.bottom());
    let points = vec![pos2(x + ends, top), pos2(x, top), pos2(x, bottom), pos2(x + ends, bottom)];
    Shape::line(points, Stroke::new(BRACKET_WIDTH, ink))
}

/// What the brackets and the frame mean: below the cells, or further left where it needs more room.
fn key(ui: &egui::Ui, view: &View<'_>, at: Rect, cells_left: f32) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let (ink, weak) = (color(palette.ink), color(palette.ink_secondary));
    let sizes = MergeSizes::of(theme);
    let words = ["mine", "theirs", "both changed it"];
    let width = |text: &str| ui.painter().layout_no_wrap(text.to_owned(), theme.small_font(), weak).size().x.ceil();
    let needed: f32 = words.iter().map(|text| sizes.swatch.x + theme.gap + width(text) + theme.margin).sum();
    let mut left = (at.right() + theme.margin - needed).clamp(at.left(), cells_left.max(at.left()));
    for (place, words) in words.into_iter().enumerate() {
        let swatch = Rect::from_center_size(pos2(left + sizes.swatch.x / 2.0, at.center().y), sizes.swatch);
        let frame = hairline(color(palette.rule_strong));
        ui.painter().rect_stroke(swatch, 0.0, frame, StrokeKind::Inside);
        match place {
            0 => drop(ui.painter().add(bracket(swatch, sizes.bracket, ink))),
            1 => drop(ui.painter().add(bracket(swatch, -sizes.bracket, ink))),
            _ => {
                let frame = Stroke::new(theme.compare.outline_width, ink);
                ui.painter().rect_stroke(swatch, 0.0, frame, StrokeKind::Inside);
            }
        }
        let text = Rect::from_x_y_ranges(swatch.right() + theme.gap..=at.right(), at.y_range());
        let words = elided(ui, text, words, theme.small_font()).write(ui, egui::Align::Min, weak);
        left = words.right() + theme.margin;
    }
}
