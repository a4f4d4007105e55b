//! The edited surface over the base, or the difference as a surface.

use std::sync::Arc;

use eframe::egui::{self, Align, Layout, Rect, Role, Sense, Vec2, WidgetInfo, vec2};

use super::comparing::Compared;
use super::region_mark::{self, Badge};
use super::rows::{second, small};
use crate::compare::{Delta, Extreme};
use crate::drawing::{
    BaseStyle, Camera, Fill, Look, Marks, ModelBox, Projector, Relief, ReliefSpec, Scene, Tint, nice_step, widened,
};
use crate::table::{Axis, Cell, Table};
use crate::window::kit::scene_painter::{Sheet, point, pos, viewport};
use crate::window::kit::theme::table_sheet_sizes::{BADGE_FOOT, BADGE_STEM};
use crate::window::kit::theme::{color, hairline, strong_label};
use crate::window::state::compare_state::CompareMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::state::surface_state::SurfaceMessage;
use crate::window::views::surface::{quiet_button, zoom};
use crate::window::views::view::View;
use crate::wording::Refusal;

/// How often the stem of a region's number is made longer at most, so that it keeps clear of others.
const MOST_STEMS: usize = 6;

/// What is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Style {
    look: Look,
    base_solid: bool,
    difference: bool,
    /// Whether the base stands alone, as long as a key is held.
    base_alone: bool,
}

/// What the view keeps between frames.
#[derive(Default)]
pub(super) struct CompareSurface {
    drawn: Option<(Arc<Compared>, Style)>,
    /// The surface, or why there is none.
    relief: Option<Result<Relief, Refusal>>,
    scene: Scene,
    sheet: Sheet,
    /// Whether what the pointer is over was reported by this view.
    hovers: bool,
}

impl CompareSurface {
    /// Draws heading and surface into the rest of `ui`.
    pub(super) fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, compared: &Arc<Compared>, outbox: &mut Outbox) {
        let theme = view.theme;
        ui.horizontal(|ui| {
            ui.set_height(theme.compare.header_height);
            heading(ui, view, compared, outbox);
        });
        let rect = ui.available_rect_before_wrap();
        let response = ui.allocate_rect(rect, Sense::click_and_drag());
        let name = format!("{}; drag turns, Shift-drag shifts, the wheel zooms", title(view));
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
        steer(ui, &response, view, outbox);
        zoom(ui, rect, view, outbox);
        self.update(view, compared);
        let Some(Ok(relief)) = &mut self.relief else {
            if let Some(Err(why)) = &self.relief {
                let mut inner = ui.new_child(egui::UiBuilder::new().max_rect(rect));
                inner.add(egui::Label::new(second(why.to_string(), theme)).wrap());
            }
            return;
        };
        let projector = view.screen.surface.camera.projector(relief.model(), &viewport(rect));
        let is_own = !view.screen.compare.difference_as_surface && !view.screen.shows_base;
        if is_own {
            let cell = pointed_at(&response, relief, &projector, view);
            if cell.is_some() || self.hovers {
                self.hovers = cell.is_some();
                point_out(&response, cell, view, compared, outbox);
            }
        }
        let selection = Some(&view.screen.selection.cells).filter(|cells| is_own && cells.count() > 1);
        let marks = Marks { selection, hovered: view.screen.pointer.cell.filter(|_| is_own), ..Marks::default() };
        relief.draw(&projector, &marks, &mut self.scene);
        self.sheet.fill(&self.scene);
        self.sheet.paint(&ui.painter().with_clip_rect(rect), theme);
        if !view.screen.shows_base {
            let mut part = ui.new_child(egui::UiBuilder::new().max_rect(rect));
            part.set_clip_rect(rect.intersect(ui.clip_rect()));
            numbers(&part, view, compared, (relief, &projector), outbox);
        }
    }

    fn update(&mut self, view: &View<'_>, compared: &Arc<Compared>) {
        let style = Style {
            look: view.theme.palette.look,
            base_solid: is_base_solid(view, compared),
            difference: view.screen.compare.difference_as_surface,
            base_alone: view.screen.shows_base,
        };
        let is_drawn = self.drawn.as_ref().is_some_and(|(of, with)| of.is_same(compared) && *with == style);
        if is_drawn {
            return;
        }
        self.relief = Some(if style.base_alone {
            Ok(base_alone(compared, style))
        } else if style.difference {
            difference(compared, style)
        } else {
            Ok(both(compared, style))
        });
        self.drawn = Some((Arc::clone(compared), style));
    }
}

fn title(view: &View<'_>) -> &'static str {
    if view.screen.shows_base {
        return "The base";
    }
    if view.screen.compare.difference_as_surface { "Difference, edited minus base" } else { "Edited over base" }
}

fn is_base_solid(view: &View<'_>, compared: &Compared) -> bool {
    let base = compared.base().advance.table();
    let is_fine = BaseStyle::wire_hides(base);
    view.screen.compare.base_solid.unwrap_or(is_fine)
}

fn heading(ui: &mut egui::Ui, view: &View<'_>, compared: &Compared, outbox: &mut Outbox) {
    strong_label(ui, title(view), view.theme.heading_font());
    ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
        if view.screen.compare.difference_as_surface {
            ui.label(small("zero as wire", view.theme));
            return;
        }
        ui.spacing_mut().item_spacing.x = view.theme.gap;
        for (text, name, solid) in [("solid", "Base: solid", true), ("wire", "Base: wire", false)] {
            let is_chosen = is_base_solid(view, compared) == solid;
            let tooltip = if solid {
                "Show the base as a second body, tinted where the table is below it."
            } else {
                "Show the base as a net."
            };
            if quiet_button(ui, view.theme, text, name, is_chosen, tooltip).clicked() {
                outbox.send(CompareMessage::Solid(solid));
            }
        }
        ui.label(small("base", view.theme));
    });
}

fn steer(ui: &egui::Ui, response: &egui::Response, view: &View<'_>, outbox: &mut Outbox) {
    if response.double_clicked() {
        return outbox.send(SurfaceMessage::Look(Camera::default()));
    }
    if response.dragged() && response.drag_delta() != egui::Vec2::ZERO {
        let (right, down) = (f64::from(response.drag_delta().x), f64::from(response.drag_delta().y));
        let pans = ui.input(|input| input.modifiers.shift);
        let mut camera = view.screen.surface.camera;
        if pans {
            camera.pan_by(right, down);
        } else {
            camera.orbit(right, down);
        }
        outbox.send(SurfaceMessage::Look(camera));
    }
}

/// The cell of the vertex under the pointer.
fn pointed_at(response: &egui::Response, relief: &Relief, projector: &Projector, view: &View<'_>) -> Option<Cell> {
    let pointer = response.hover_pos().filter(|_| !response.dragged())?;
    relief.pick(projector, point(pointer), view.theme.handle_size / 2.0)
}

/// Shows the cell under the pointer in the grid and the status line; a click selects it.
fn point_out(response: &egui::Response, cell: Option<Cell>, view: &View<'_>, compared: &Compared, outbox: &mut Outbox) {
    let table = compared.edited().advance.table();
    let place = cell.and_then(|Cell { load, speed }| {
        Some((*table.speed().breakpoints().get(speed)?, *table.load().breakpoints().get(load)?))
    });
    if cell != view.screen.pointer.cell || place != view.screen.compare.hover {
        outbox.send(ScreenMessage::Point(cell));
        outbox.send(CompareMessage::Point(place));
    }
    if let Some(cell) = cell.filter(|_| response.clicked()) {
        outbox.send(ScreenMessage::Select(CellSelection::cell(table, cell)));
    }
}

/// The numbers of the regions, each on a stem over the peak of its region; a press chooses one.
fn numbers(
    ui: &egui::Ui,
    view: &View<'_>,
    compared: &Compared,
    (relief, projector): (&Relief, &Projector),
    outbox: &mut Outbox,
) {
    let Some(table) = compared.table() else { return };
    let edited = compared.edited().advance.table();
    let chosen = compared.chosen_region(view.screen.selection.cursor);
    let mut placed: Vec<Rect> = Vec::new();
    for (number, region) in table.regions.iter().enumerate() {
        let Extreme { deg, speed_rpm, load } = region.peak;
        let height_deg = if view.screen.compare.difference_as_surface { deg } else { edited.lookup(speed_rpm, load) };
        let foot = pos(projector.project(relief.model().point(speed_rpm, load, height_deg)));
        let size = Vec2::splat(2.0 * view.theme.compare.badge_radius);
        // Peaks that lie behind one another get longer stems, so that each number is seen.
        let mut whole = Rect::from_center_size(foot - vec2(0.0, BADGE_STEM), size);
        for _ in 0..MOST_STEMS {
            if placed.iter().any(|other| other.intersects(whole)) {
                whole = whole.translate(vec2(0.0, -size.y));
            }
        }
        if !ui.clip_rect().contains_rect(whole) {
            continue;
        }
        placed.push(whole);
        let at = whole.center();
        ui.painter().line_segment([foot, at], hairline(color(view.theme.palette.ink)));
        ui.painter().circle_filled(foot, BADGE_FOOT, color(view.theme.palette.ink));
        let badge = Badge { number, size: 1.0, is_chosen: chosen == Some(number) };
        let words = compared.region_words(region);
        if region_mark::button(ui, view.theme, (at, badge), "on the surface", &words).clicked() {
            region_mark::choose(compared, region, outbox);
        }
    }
}

fn both(compared: &Compared, style: Style) -> Relief {
    let (edited, base) = (compared.edited(), compared.base());
    let table = edited.advance.table();
    let base_table = compared.table().map(|_| base.advance.table());
    let range = compared.scale.range;
    Relief::new(&ReliefSpec {
        table,
        base: base_table,
        model: ModelBox::around(table, base_table),
        look: style.look,
        fill: Fill::Difference { range },
        base_style: if style.base_solid { BaseStyle::Difference { range } } else { BaseStyle::Wire },
        levels: None,
        sheer: None,
        load_unit: edited.sensors.load.unit(),
    })
}

/// The base in the box of both, tinted by its own degrees.
fn base_alone(compared: &Compared, style: Style) -> Relief {
    let (table, edited) = (compared.base().advance.table(), compared.edited().advance.table());
    Relief::new(&ReliefSpec {
        table,
        base: None,
        model: ModelBox::around(edited, compared.table().map(|_| table)),
        look: style.look,
        fill: Fill::Layer(Tint::advance(table, table.extremes())),
        base_style: BaseStyle::Wire,
        levels: None,
        sheer: None,
        load_unit: compared.base().sensors.load.unit(),
    })
}

/// The delta over a plane at zero.
fn difference(compared: &Compared, style: Style) -> Result<Relief, Refusal> {
    let delta = &compared
        .table()
        .ok_or_else(|| Refusal::new("The tables cannot be compared, so there is no difference to show."))?
        .delta;
    let table = delta_table(delta, compared.edited().advance.table())?;
    let zero = table.with_values(vec![0.0; table.values().len()])?;
    let full_deg = compared.scale.full();
    let value = widened(-full_deg, full_deg, nice_step(full_deg * 2.0, 5));
    let (speed, load) = (table.speed(), table.load());
    let model = ModelBox { speed: (speed.first(), speed.last()), load: (load.first(), load.last()), value };
    Ok(Relief::new(&ReliefSpec {
        table: &table,
        base: Some(&zero),
        model,
        look: style.look,
        fill: Fill::Difference { range: compared.scale.range },
        base_style: BaseStyle::Wire,
        levels: None,
        sheer: None,
        load_unit: compared.edited().sensors.load.unit(),
    }))
}

/// The delta as a table. Where it has more breakpoints than a table may have, only the edited table's are taken: the
/// grid beside it has them all.
fn delta_table(delta: &Delta, edited: &Table) -> Result<Table, Refusal> {
    let line = "The tables share a single line of breakpoints, which makes no surface.";
    let axis = |all: &[f64], own: &Axis| {
        let few = || all.iter().copied().filter(|x| own.index_of(*x).is_some()).collect();
        Axis::new(all.to_vec()).or_else(|_| Axis::new(few())).map_err(|_| Refusal::new(line))
    };
    let (speed, load) = (axis(delta.speed_rpm(), edited.speed())?, axis(delta.load(), edited.load())?);
    Table::from_fn(speed, load, |x, y| delta.point_at(x, y).map_or(0.0, |point| delta.at(point))).map_err(Refusal::from)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, Project};

    fn project(speeds: usize) -> Project {
        NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds, loads: 8 }.create().unwrap()
    }

    #[test]
    fn a_delta_with_too_many_columns_falls_back_to_the_edited_breakpoints() {
        let (base, edited) = (project(63), project(64));
        let delta = Delta::between(&base, &edited).unwrap();
        assert!(delta.speed_rpm().len() > 64);
        let table = delta_table(&delta, edited.advance.table()).unwrap();
        assert_eq!(table.speed(), edited.advance.table().speed());
    }
}
