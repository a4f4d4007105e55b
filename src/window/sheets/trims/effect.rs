//! What the trims do to each cell of the table, from the evaluation: as a grid to look at and to point into, and the selected
//! cell's row as a curve, dashed without them.

use eframe::egui::{Rect, Role, Sense, Ui, UiBuilder, WidgetInfo, pos2, vec2};

use crate::drawing::{ColorMap, Ground, Layer, LayerScale, SliceSpec};
use crate::project::Project;
use crate::spark::{Breakdown, Conditions, Evaluation};
use crate::table::{Cell, Table};
use crate::window::kit::chart::paint_slice;
use crate::window::kit::grid::{Contents, Grid, Look, Spec, Text, Told, axis_name};
use crate::window::kit::scene_painter::viewport;
use crate::window::kit::theme::color;
use crate::window::kit::theme::table_sheet_sizes::TRIMS_SIZES;
use crate::window::kit::theme::view_sizes::GRID_HEADING_MIDDLE;
use crate::window::state::outbox::Outbox;
use crate::window::state::trims_state::TrimsState;
use crate::window::views::grid::{Places, axes, id, show_to_read, theme_in};
use crate::window::views::layers::{self, Legend, SureLegend};
use crate::window::views::surface::heading;
use crate::window::views::view::View;
use crate::wording::{Unit, quantity, signed, step_decimals};

/// The trims at work on the table at two temperatures, kept from frame to frame.
#[derive(Default)]
pub(super) struct Effect {
    of: Option<(u64, u64, u64)>,
    with: Vec<f64>,
    change: Vec<f64>,
    /// The lowest and the highest value, and those of the changes.
    extremes: [Trimmed; 2],
}

/// Degrees and share of a map for one cell.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Trimmed {
    /// Table and trims together.
    pub with_deg: f64,
    /// The trims alone.
    pub change_deg: f64,
}

/// The conditions of the preview at a cell.
pub(super) fn conditions(project: &Project, state: &TrimsState, cell: Cell) -> Conditions {
    let table = project.advance.table();
    let at = |breakpoints: &[f64], index: usize| breakpoints.get(index).copied().unwrap_or_default();
    Conditions {
        speed_rpm: at(table.speed().breakpoints(), cell.speed),
        load: at(table.load().breakpoints(), cell.load),
        coolant_c: Some(state.coolant_c),
        air_c: Some(state.air_c),
        ..Conditions::default()
    }
}

/// What would be commanded at a cell, with everything that has a part in it.
pub(super) fn breakdown(view: &View<'_>, cell: Cell) -> Breakdown {
    Evaluation::new(view.project).lookup(&conditions(view.project, &view.screen.trims, cell))
}

impl Effect {
    /// Brings it up to date.
    pub(super) fn settle(&mut self, view: &View<'_>) {
        let state = &view.screen.trims;
        let of = (view.content_key, state.coolant_c.to_bits(), state.air_c.to_bits());
        if self.of == Some(of) {
            return;
        }
        self.of = Some(of);
        let evaluation = Evaluation::new(view.project);
        let table: &Table = view.table();
        let parts = table.cells().map(|cell| evaluation.table_and_trims(&conditions(view.project, state, cell)));
        let (with, change): (Vec<f64>, Vec<f64>) = parts
            .map(|parts| (parts.sum(), parts.coolant_trim.unwrap_or_default() + parts.air_trim.unwrap_or_default()))
            .unzip();
        let fold =
            |numbers: &[f64], pick: fn(f64, f64) -> f64| numbers.iter().copied().reduce(pick).unwrap_or_default();
        self.extremes =
            [f64::min, f64::max].map(|pick| Trimmed { with_deg: fold(&with, pick), change_deg: fold(&change, pick) });
        (self.with, self.change) = (with, change);
    }

    /// What the trims do to a cell, by its place in the table's order.
    pub(super) fn at(&self, index: usize) -> Trimmed {
        let number = |numbers: &[f64]| numbers.get(index).copied().unwrap_or_default();
        Trimmed { with_deg: number(&self.with), change_deg: number(&self.change) }
    }

    /// The lowest and the highest value of any cell, and the lowest and the highest change.
    pub(super) fn extremes(&self) -> [Trimmed; 2] {
        self.extremes
    }

    /// The scale of the tints: of the change, or of the table's degrees.
    fn scale(&self, view: &View<'_>) -> LayerScale {
        if view.screen.trims.shows_change {
            return LayerScale::of_differences(&self.change, None);
        }
        let is_fixed = view.screen.layers.fixed(Layer::Advance).is_some();
        LayerScale::of_advance(&self.with, view.scales.heights, is_fixed)
    }
}

/// What the grid keeps between frames.
#[derive(Default)]
pub(super) struct EffectGrid {
    grid: Grid,
}

struct EffectCells<'a> {
    view: &'a View<'a>,
    effect: &'a Effect,
    map: ColorMap,
    scale: LayerScale,
}

impl EffectGrid {
    /// Draws the grid with the scale of its tints into the part of a sheet; `left` is where the name of the speed axis
    /// may begin. The answer is the cell under the pointer.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        (part, places, left): (Rect, &Places, f32),
        effect: &Effect,
        view: &View<'_>,
        outbox: &mut Outbox,
    ) -> Option<Cell> {
        let mut ui = ui.new_child(UiBuilder::new().max_rect(part).id_salt("trimmed table"));
        let name = if view.screen.trims.shows_change { "Change by the trims" } else { "Table with trims" };
        let theme = theme_in(&ui, view, places.area);
        let spec = Spec { theme: &theme, ..spec(view, name) };
        let cells = EffectCells::new(effect, view);
        let shown = show_to_read(&mut ui, view, outbox, (&mut self.grid, [part, places.area]), &spec, &cells);
        let tip = pos2(shown.layout.cells.right(), places.line.top() + GRID_HEADING_MIDDLE);
        axis_name(&ui, view.theme, &spec.speeds, tip, left);
        shown.response.on_hover_text("Click a cell, or go with the arrow keys, to read what its advance is made of.");
        let legend =
            Legend { scale: cells.scale, origins: Vec::new(), base: None, beyond: None, sure: SureLegend::default() };
        layers::legend(&mut ui, view, outbox, places.scale, &legend);
        shown.hovered
    }
}

fn spec<'a>(view: &View<'a>, name: &'a str) -> Spec<'a> {
    let [speeds, loads] = axes(view);
    Spec {
        id: id(),
        name,
        cell_name: "advance with trims",
        speeds,
        loads,
        table: view.table(),
        selection: &view.screen.selection,
        hovered: None,
        active: None,
        theme: view.theme,
    }
}

impl<'a> EffectCells<'a> {
    fn new(effect: &'a Effect, view: &'a View<'a>) -> Self {
        let map = ColorMap::new(view.theme.palette.look, Ground::Grid);
        Self { view, effect, map, scale: effect.scale(view) }
    }

    fn at(&self, cell: Cell) -> Trimmed {
        self.effect.at(self.view.table().index(cell))
    }

    fn change(&self, trimmed: Trimmed) -> String {
        signed(trimmed.change_deg, step_decimals(self.view.project.step_deg))
    }

    fn text(&self, trimmed: Trimmed) -> Text {
        match self.view.screen.trims.shows_change {
            true if trimmed.change_deg == 0.0 => Text::Nothing,
            true => Text::Number(self.change(trimmed)),
            false => Text::Number(self.view.degrees(trimmed.with_deg)),
        }
    }
}

impl Contents for EffectCells<'_> {
    fn widest(&self) -> Vec<String> {
        let extremes = self.effect.extremes();
        let numbers = extremes.map(|trimmed| match self.view.screen.trims.shows_change {
            true => self.change(trimmed),
            false => self.view.degrees(trimmed.with_deg),
        });
        // Two digits at least, so that nothing jumps when a value passes ten.
        numbers.into_iter().chain([self.view.degrees(88.0)]).collect()
    }

    fn look(&self, cell: Cell) -> Look {
        let trimmed = self.at(cell);
        let deg = if self.view.screen.trims.shows_change { trimmed.change_deg } else { trimmed.with_deg };
        Look { text: self.text(trimmed), fill: Some(color(self.scale.color(&self.map, deg))) }
    }

    fn told(&self, cell: Cell) -> Told {
        let trimmed = self.at(cell);
        let (deg, by) = (self.view.degrees(trimmed.with_deg), self.change(trimmed));
        Told { words: format!("{deg} degrees, trimmed by {by}"), description: String::new() }
    }
}

/// Draws the row into a place, unless there is no room for it.
pub(super) fn show(ui: &mut Ui, rect: Rect, effect: &Effect, view: &View<'_>) {
    let sizes = &TRIMS_SIZES;
    if rect.height() < sizes.least_line_height {
        return;
    }
    let table = view.table();
    let cursor = view.screen.selection.cursor;
    let Some(&load) = table.load().breakpoints().get(cursor.load) else { return };
    let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("trimmed row"));
    let head = Rect::from_min_size(rect.min, vec2(rect.width(), sizes.controls_height));
    let title = format!("Along {}", quantity(load, view.project.sensors.load.unit()));
    heading(&mut ui, head, &title, "dashed: without trims", view.theme);
    let speeds = table.speed().breakpoints().iter().enumerate();
    let trimmed = speeds.map(|(speed, &at)| {
        let cell = Cell::new(cursor.load, speed);
        ((at, effect.at(table.index(cell)).with_deg), (at, table.at(cell)))
    });
    let (points, base): (Vec<_>, Vec<_>) = trimmed.unzip();
    let place = Rect::from_min_max(pos2(rect.left(), head.bottom()), rect.max);
    let spec = SliceSpec {
        points: &points,
        base: &base,
        value_range: table.extremes(),
        scale_stands: false,
        now: &[],
        active: Some(cursor.speed),
        hovered: None,
        selected: &[],
        units: (Unit::Rpm, Unit::Degree),
        look: view.theme.palette.look,
        rect: viewport(place),
    };
    paint_slice(ui.painter(), place, &spec, view.theme);
    let canvas = ui.interact(place, ui.scope_id().with("row"), Sense::hover());
    canvas.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, format!("{title}, with and without trims")));
}
