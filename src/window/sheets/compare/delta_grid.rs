//! The delta as a grid of numbers: the union of both tables' breakpoints.
//!
//! It shows the advance table's own selection: a point is selected when it is a cell of the edited table and that cell
//! is. Points where only the base has breakpoints have no cell, cannot be selected; such breakpoints are slanted.

use eframe::egui::{self, CornerRadius, Shape, Vec2};

use crate::compare::{CHANGED_ABOVE_DEG, TableComparison};
use crate::drawing::{Against, ColorMap, Ground, Layer, LayerScale};
use crate::table::Cell;
use crate::window::kit::grid::{Axis, Contents, Grid, Layout, Look, Measures, Shown, Spec, Text, Told, outlines};
use crate::window::kit::theme::{Theme, color};
use crate::window::sheets::compare::comparing::Compared;
use crate::window::sheets::compare::names;
use crate::window::sheets::compare::region_mark::{self, Badge};
use crate::window::state::compare_state::CompareMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::{MenuOf, ScreenMessage};
use crate::window::state::selection::CellSelection;
use crate::window::views::grid::{id, open_menu, show_to_read};
use crate::window::views::view::View;
use crate::wording::{Unit, fixed, signed, step_decimals};

/// What the grid keeps between frames.
#[derive(Default)]
pub(super) struct DeltaGrid {
    grid: Grid,
    /// Whether what the pointer is over was reported by this view.
    hovers: bool,
}

impl DeltaGrid {
    /// The size at which all of such a delta is visible.
    pub(super) fn whole_size(ui: &egui::Ui, view: &View<'_>, compared: &Compared, table: &TableComparison) -> Vec2 {
        let selection = selection(view, compared);
        let spec = spec(view, (compared, table), &selection, "");
        Measures::new(ui, &spec, &DeltaCells::new(view, compared, table)).whole_size(&spec)
    }

    /// Brings a point into view.
    pub(super) fn bring_into_view(&mut self, point: Cell) {
        self.grid.bring_into_view(point);
    }

    /// Draws the grid into the rest of `ui`; gives where its cells are.
    pub(super) fn show(
        &mut self,
        ui: &mut egui::Ui,
        view: &View<'_>,
        (compared, table): (&Compared, &TableComparison),
        outbox: &mut Outbox,
    ) -> Layout {
        let rect = ui.available_rect_before_wrap();
        let name = format!("Difference in degrees, edited minus {}", view.base.name);
        let selection = selection(view, compared);
        let spec = spec(view, (compared, table), &selection, &name);
        let cells = DeltaCells::new(view, compared, table);
        let shown = show_to_read(ui, view, outbox, (&mut self.grid, [rect; 2]), &spec, &cells);
        if shown.refused {
            outbox.say("Only the base has a breakpoint here: there is no cell to select");
        }
        // Only what this view has reported is withdrawn: the surface reports too.
        if shown.hovered.is_some() || self.hovers {
            self.hovers = shown.hovered.is_some();
            tell_hover(&shown, view, compared, table, outbox);
        }
        open_menu(view, outbox, (&spec, &shown), |_| MenuOf::Differences);
        numbers(ui, view, (compared, table), &shown.layout, outbox);
        ui.advance_cursor_after_rect(rect);
        shown.layout
    }
}

/// The scale of the tints: of differences, or of the base's degrees as long as those are shown.
pub(super) fn scale(view: &View<'_>, compared: &Compared) -> LayerScale {
    if view.screen.shows_base {
        let fixed = view.screen.layers.fixed(Layer::Advance);
        return LayerScale::over(Layer::Advance, compared.base().advance.table(), Against::default(), fixed);
    }
    compared.scale
}

/// The selection in the edited table that was compared, which may be the one before.
fn selection(view: &View<'_>, compared: &Compared) -> CellSelection {
    view.screen.selection.clone().fitted(compared.edited().advance.table())
}

fn spec<'a>(
    view: &View<'a>,
    (compared, table): (&'a Compared, &'a TableComparison),
    selection: &'a CellSelection,
    name: &'a str,
) -> Spec<'a> {
    let edited = compared.edited().advance.table();
    let otherwise = "only in the base";
    let hovered = view.screen.compare.hover.and_then(|(speed_rpm, load)| table.delta.point_at(speed_rpm, load));
    Spec {
        id: id(),
        name,
        cell_name: "difference",
        speeds: Axis { name: "speed", unit: Unit::Rpm, at: table.delta.speed_rpm(), own: edited.speed(), otherwise },
        loads: Axis {
            name: "load",
            unit: compared.edited().sensors.load.unit(),
            at: table.delta.load(),
            own: edited.load(),
            otherwise,
        },
        table: edited,
        selection,
        hovered,
        active: None,
        theme: view.theme,
    }
}

/// Tells the screen what the pointer is over, when that has changed.
fn tell_hover(shown: &Shown, view: &View<'_>, compared: &Compared, table: &TableComparison, outbox: &mut Outbox) {
    let place = shown.hovered.map(|point| table.delta.place(point));
    let cell = shown.hovered.and_then(|point| compared.cell_at(point));
    if place != view.screen.compare.hover || cell != view.screen.pointer.cell {
        outbox.send(CompareMessage::Point(place));
        outbox.send(ScreenMessage::Point(cell));
    }
}

/// The numbers of the regions that are seen, on the corners at their upper left; a press chooses one.
fn numbers(
    ui: &egui::Ui,
    view: &View<'_>,
    (compared, table): (&Compared, &TableComparison),
    layout: &Layout,
    outbox: &mut Outbox,
) {
    if view.screen.shows_base {
        return;
    }
    let chosen = compared.chosen_region(view.screen.selection.cursor);
    for (number, region) in table.regions.iter().enumerate() {
        let corner = region_mark::upper_left(&region.points);
        let Some(rect) = corner.and_then(|point| layout.cell(point)) else { continue };
        let size = region_mark::size_between(ui, view.theme, layout, rect.size());
        let badge = Badge { number, size, is_chosen: chosen == Some(number) };
        let place = (rect.left_top(), badge);
        if region_mark::button(ui, view.theme, place, "in the grid", &compared.region_words(region)).clicked() {
            region_mark::choose(compared, region, outbox);
        }
    }
}

/// The points of the delta.
struct DeltaCells<'a> {
    compared: &'a Compared,
    table: &'a TableComparison,
    theme: &'a Theme,
    map: ColorMap,
    /// The range of degrees if the base's are shown, as long as a key is held.
    base_range: Option<LayerScale>,
}

impl<'a> DeltaCells<'a> {
    fn new(view: &View<'a>, compared: &'a Compared, table: &'a TableComparison) -> Self {
        let map = ColorMap::new(view.theme.palette.look, Ground::Grid);
        let base_range = view.screen.shows_base.then(|| scale(view, compared));
        Self { compared, table, theme: view.theme, map, base_range }
    }

    fn step_deg(&self) -> f64 {
        self.compared.edited().step_deg
    }

    /// What the edited table has at a point.
    fn edited_deg(&self, point: Cell) -> f64 {
        let (speed_rpm, load) = self.table.delta.place(point);
        self.compared.edited().advance.table().lookup(speed_rpm, load)
    }

    /// What the base has at a point.
    fn base_deg(&self, point: Cell) -> f64 {
        let (speed_rpm, load) = self.table.delta.place(point);
        self.compared.base().advance.table().lookup(speed_rpm, load)
    }
}

impl Contents for DeltaCells<'_> {
    fn widest(&self) -> Vec<String> {
        let extremes = [self.table.figures.largest_rise, self.table.figures.largest_fall].into_iter().flatten();
        let changes = extremes.map(|extreme| names::delta(extreme.deg, self.step_deg())).chain(["+0.0".into()]);
        let (low, high) = self.compared.edited().advance.table().extremes();
        changes.chain([low, high].map(|deg| fixed(deg, step_decimals(self.step_deg())))).collect()
    }

    fn look(&self, point: Cell) -> Look {
        if let Some(scale) = self.base_range {
            let deg = self.base_deg(point);
            let text = Text::Number(fixed(deg, step_decimals(self.step_deg())));
            return Look { text, fill: Some(color(scale.color(&self.map, deg))) };
        }
        let deg = self.table.delta.at(point);
        if deg.abs() <= CHANGED_ABOVE_DEG {
            let value = fixed(self.edited_deg(point), step_decimals(self.step_deg()));
            return Look { text: Text::Faint(value), fill: None };
        }
        let text = names::delta(deg, self.step_deg());
        // Numbers with more decimals than the others would misalign the decimal points.
        let is_usual = text == signed(deg, step_decimals(self.step_deg()));
        let text = if is_usual { Text::Number(text) } else { Text::Word(text) };
        Look { text, fill: Some(color(self.compared.scale.color(&self.map, deg))) }
    }

    fn told(&self, point: Cell) -> Told {
        if self.base_range.is_some() {
            let words = format!("{} degrees in the base", fixed(self.base_deg(point), step_decimals(self.step_deg())));
            return Told { words, description: String::new() };
        }
        let delta = &self.table.delta;
        let words = names::point(self.compared, point, delta.at(point), delta.place(point));
        Told { words, description: String::new() }
    }

    /// Lines round the regions.
    fn above(&self, layout: &Layout) -> Vec<Shape> {
        if self.base_range.is_some() {
            return Vec::new();
        }
        let ink = color(self.theme.palette.ink);
        let bars = outlines(layout, self.theme.compare.outline_width, &|point| self.compared.region_of(point));
        bars.into_iter().map(|bar| Shape::rect_filled(bar, CornerRadius::ZERO, ink)).collect()
    }
}
