//! One slice: a row or a column through the cursor.

use eframe::egui::{
    CursorIcon, PointerButton, PopupAnchor, Pos2, Rect, Response, Role, Sense, Tooltip, Ui, UiBuilder, WidgetInfo,
    pos2, vec2,
};

use super::line::{CombFit, Line};
use super::point_marks::{mark_falloff, mark_found, mark_held};
use super::stroke::Stroke;
use crate::drawing::{Comb, Point, Scene, Slice, SliceMarks, SliceSpec};
use crate::shaping::{Along, LIFT_RADIUS};
use crate::table::{Axis, Cell};
use crate::window::kit::scene_painter::{self, Sheet, point, pos};
use crate::window::kit::theme::kit_sizes::HANDLE_BEYOND;
use crate::window::kit::theme::view_sizes::SLICES_SIZES;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::MenuOf;
use crate::window::views::grip::{self, Grip};
use crate::window::views::measured;
use crate::window::views::surface::{heading_with_any, keep_arrows};
use crate::window::views::view::View;
use crate::wording::{Unit, quantity, signed, step_decimals, with_unit};

/// A slice, what it caches, and the drag in progress.
pub(in crate::window) struct Curve {
    along: Along,
    scene: Scene,
    sheet: Sheet,
    drag: Option<Drag>,
    hovered: Option<Cell>,
    hovered_point: Option<usize>,
    comb: CombFit,
}

enum Drag {
    Point(Grip),
    Stroke(Stroke),
    /// The drag has ended; nothing happens until the button is released.
    Over,
}

impl Curve {
    pub(in crate::window) fn new(along: Along) -> Self {
        Self {
            along,
            scene: Scene::default(),
            sheet: Sheet::default(),
            drag: None,
            hovered: None,
            hovered_point: None,
            comb: CombFit::default(),
        }
    }

    /// Draws the slice into a rectangle of the screen.
    pub(in crate::window) fn show(&mut self, ui: &mut Ui, rect: Rect, view: &View<'_>, outbox: &mut Outbox) {
        let heading_line = Rect::from_x_y_ranges(rect.x_range(), rect.top()..=rect.top() + SLICES_SIZES.heading);
        let top = heading_line.bottom();
        let rect = Rect::from_min_max(pos2(rect.left(), top), rect.max - vec2(0.0, view.theme.gap));
        let line = Line::new(self.along, view);
        let spec = line.spec(self.along, view, rect);
        let slice = Slice::new(&spec);
        let comb = slice.as_ref().and_then(|slice| self.comb((&line, slice), rect.height(), view));
        let remarks = Self::remarks(comb.as_ref(), view);
        heading_with_any(ui, heading_line, &self.title(view), &remarks.each_ref().map(String::as_str), view.theme);
        let Some(slice) = slice else {
            return;
        };
        let mut ui = ui.new_child(UiBuilder::new().id_salt(self.along).max_rect(rect));
        // The scale does not change while a point is dragged beyond it.
        ui.shrink_clip_rect(rect.expand2(vec2(view.theme.gap, 0.0)));
        let canvas = ui.interact(rect, super::id(self.along), Sense::click_and_drag());
        self.describe(&canvas, comb.as_ref(), view);
        self.sliders(&mut ui, &canvas, &line, &slice, view, outbox);
        self.react(&ui, &canvas, (&line, &slice), view, outbox);
        let marks = SliceMarks { comb, kept: &line.kept, points: &line.measured };
        self.paint(&ui, (&line, &slice, &spec), &marks, view);
        self.say(&ui, &canvas, view);
        if canvas.has_focus() {
            keep_arrows(&ui, &canvas, view);
        }
    }

    fn title(&self, view: &View<'_>) -> String {
        let cursor = view.screen.selection.cursor;
        let at = |axis: &Axis, index: usize, unit: Unit| {
            axis.breakpoints().get(index).map(|&breakpoint| quantity(breakpoint, unit)).unwrap_or_default()
        };
        match self.along {
            Along::Speed => {
                let unit = view.project.sensors.load.unit();
                let load = at(view.table().load(), cursor.load, unit);
                if unit == Unit::Percent { format!("Slice at {load} load") } else { format!("Slice at {load}") }
            }
            Along::Load => format!("Slice at {}", at(view.table().speed(), cursor.speed, Unit::Rpm)),
        }
    }

    /// The comb behind the line, unless it is hidden.
    fn comb<'a>(&mut self, (line, slice): (&'a Line, &Slice), height: f32, view: &View<'_>) -> Option<Comb<'a>> {
        let cursor = view.screen.selection.cursor;
        let at = if self.along == Along::Speed { cursor.load } else { cursor.speed };
        let shows = !view.screen.slices.hides_comb;
        shows.then(|| Comb { bends: &line.bends, scale: self.comb.scale((line, slice), at, height, view) })
    }

    /// How long the comb is, what a drag does, and that the line is only proposed, if it is; then the same with fewer words
    /// for a narrow slice, since a number without all of its unit tells something else.
    fn remarks(comb: Option<&Comb<'_>>, view: &View<'_>) -> [String; 3] {
        let scale = comb.map(|comb| comb.scale.text("px"));
        let draws = view.screen.slices.draws.then(|| "drag to draw, Esc ends".to_owned());
        let proposed = view.proposed.map(|_| "dashed: proposed".to_owned());
        let named = scale.as_ref().map(|scale| format!("comb: {scale}"));
        [named, scale, None].map(|comb| {
            let parts: Vec<String> = [draws.clone(), comb, proposed.clone()].into_iter().flatten().collect();
            parts.join(" \u{b7} ")
        })
    }

    fn describe(&self, canvas: &Response, comb: Option<&Comb<'_>>, view: &View<'_>) {
        canvas.widget_info(|| {
            let (title, base) = (self.title(view), &view.base.name);
            let proposed = if view.proposed.is_some() { ", proposed" } else { "" };
            let comb = comb.map_or_else(String::new, |comb| format!(", comb {}", comb.scale.text("px")));
            WidgetInfo::labeled(Role::Canvas, true, format!("{title}{proposed}, dashed: {base}{comb}"))
        });
    }

    /// Every point as a slider, for screen readers.
    fn sliders(
        &self,
        ui: &mut Ui,
        canvas: &Response,
        line: &Line,
        slice: &Slice,
        view: &View<'_>,
        outbox: &mut Outbox,
    ) {
        if !ui.ctx().has_accesskit_node(canvas.id) {
            return;
        }
        let radius = Self::radius(view);
        let size = vec2(view.theme.handle_size, view.theme.handle_size);
        ui.scope_builder(UiBuilder::new().accessibility_parent(canvas.id), |ui| {
            for (&cell, &at) in line.cells.iter().zip(&slice.points) {
                let id = canvas.id.with(("point", cell.load, cell.speed));
                let response = ui.interact(Rect::from_center_size(pos(at), size), id, Sense::hover());
                grip::slider(&response, &self.point_name(cell, view), cell, radius, view, outbox);
            }
        });
    }

    /// '3200 rpm, 24.5 degrees'.
    fn point_name(&self, cell: Cell, view: &View<'_>) -> String {
        let table = view.table();
        let at = match self.along {
            Along::Speed => quantity(table.speed().breakpoints()[cell.speed], Unit::Rpm),
            Along::Load => quantity(table.load().breakpoints()[cell.load], view.project.sensors.load.unit()),
        };
        let held = if view.advance().held().contains(cell) { ", held" } else { "" };
        format!("{at}, {} degrees{held}", view.degrees(table.at(cell)))
    }

    fn radius(view: &View<'_>) -> Option<f64> {
        view.screen.surface.lift_armed.then_some(view.screen.inspector.amounts.of(&LIFT_RADIUS))
    }

    fn react(
        &mut self,
        ui: &Ui,
        canvas: &Response,
        (line, slice): (&Line, &Slice),
        view: &View<'_>,
        outbox: &mut Outbox,
    ) {
        let reach = view.theme.handle_size / 2.0 + HANDLE_BEYOND;
        let cell_at = |at: Pos2| slice.pick(point(at), reach).and_then(|index| line.cells.get(index).copied());
        let (pressed, modifiers) = ui.input(|input| (input.pointer.press_origin(), input.modifiers));
        if let Some(cell) = canvas.interact_pointer_pos().filter(|_| canvas.clicked()).and_then(cell_at) {
            grip::click(view, cell, modifiers, outbox);
        }
        if let Some(at) = canvas.interact_pointer_pos().filter(|_| canvas.secondary_clicked()) {
            grip::menu(view, cell_at(at), MenuOf::Slice(self.along), at, outbox);
        }
        let draws = view.screen.slices.draws;
        if let Some(at) = pressed.filter(|_| draws && canvas.drag_started_by(PointerButton::Primary)) {
            self.drag = Some(Drag::Stroke(Stroke::begin(self.along, at, slice, view)));
        } else if canvas.drag_started_by(PointerButton::Primary)
            && let Some((cell, at)) = pressed.and_then(|at| Some((cell_at(at)?, at)))
        {
            self.drag = Some(Self::take(cell, at, slice, view, outbox));
        }
        self.go_on(ui, canvas, slice, view, outbox);
        grip::tell(ui, matches!(self.drag, Some(Drag::Point(_))), view, outbox);
        let hovering = ui.input(|input| input.pointer.hover_pos()).filter(|_| ui.rect_contains_pointer(canvas.rect));
        let measured =
            hovering.filter(|_| self.drag.is_none()).and_then(|at| measured_at(line, slice, point(at), reach));
        measured::hover(view, &mut self.hovered_point, measured, outbox);
        let hovered = match &self.drag {
            Some(Drag::Point(grip)) => Some(grip.cell),
            Some(Drag::Stroke(_) | Drag::Over) => None,
            None => hovering.and_then(cell_at),
        };
        if draws && canvas.contains_pointer() {
            ui.ctx().set_cursor_icon(CursorIcon::Crosshair);
        } else if hovered.is_some() {
            ui.ctx().set_cursor_icon(CursorIcon::ResizeVertical);
        }
        grip::hover(view, &mut self.hovered, hovered, outbox);
    }

    fn take(cell: Cell, pressed: Pos2, slice: &Slice, view: &View<'_>, outbox: &mut Outbox) -> Drag {
        grip::take_up(view, cell, outbox);
        let (low, high) = slice.frame.up.range;
        let height = f64::from(slice.frame.up.screen.0 - slice.frame.up.screen.1);
        match Grip::take(view, cell, Self::radius(view), (high - low) / height, pressed.y) {
            Ok(grip) => Drag::Point(grip),
            Err(reason) => {
                outbox.complain(reason);
                Drag::Over
            }
        }
    }

    fn go_on(&mut self, ui: &Ui, canvas: &Response, slice: &Slice, view: &View<'_>, outbox: &mut Outbox) {
        let at = ui.input(|input| input.pointer.latest_pos());
        match &mut self.drag {
            Some(Drag::Point(grip)) if grip.is_given_up(ui.ctx(), view) => self.drag = Some(Drag::Over),
            Some(Drag::Stroke(stroke)) if stroke.is_given_up(ui.ctx(), view) => self.drag = Some(Drag::Over),
            Some(Drag::Stroke(stroke)) => stroke.follow(ui, slice, view, outbox),
            Some(Drag::Point(grip)) if canvas.dragged() => {
                if let Some(at) = at {
                    grip.follow(at.y, view, ui.ctx(), outbox);
                }
            }
            _ => {}
        }
        if self.drag.is_some()
            && ui.input(|input| !input.pointer.any_down())
            && let Some(Drag::Point(_) | Drag::Stroke(_)) = self.drag.take()
        {
            outbox.end_drag();
        }
    }

    fn paint(
        &mut self,
        ui: &Ui,
        (line, slice, spec): (&Line, &Slice, &SliceSpec<'_>),
        marks: &SliceMarks<'_>,
        view: &View<'_>,
    ) {
        slice.draw_with(spec, marks, &mut self.scene);
        if let Some(Drag::Point(Grip { cell, radius_cells: Some(radius), .. })) = &self.drag {
            mark_falloff(&mut self.scene, line, slice, (*cell, *radius), view);
        }
        scene_painter::snap_lines(&mut self.scene, ui.painter());
        self.sheet.fill(&self.scene);
        self.sheet.paint(ui.painter(), view.theme);
        mark_held(ui, line, slice, view);
        mark_found(ui, line, slice, &self.scene.labels, view);
    }

    /// The present value beside the pointer, or what is under it.
    fn say(&self, ui: &Ui, canvas: &Response, view: &View<'_>) {
        match &self.drag {
            Some(Drag::Point(grip)) => {
                if let Some(at) = ui.ctx().pointer_latest_pos() {
                    scene_painter::card(ui.ctx(), at, &grip.text(), view.theme);
                }
            }
            Some(Drag::Stroke(stroke)) => {
                if let Some(at) = ui.ctx().pointer_latest_pos() {
                    scene_painter::card(ui.ctx(), at, &stroke.text(view), view.theme);
                }
            }
            Some(Drag::Over) => {}
            None => {
                let pointed = self.hovered_point.and_then(|index| view.project.evidence.points.get(index));
                if let Some(point) = pointed {
                    return measured::tip(ui, view, canvas.id, point);
                }
                if let Some(cell) = self.hovered.filter(|_| ui.rect_contains_pointer(canvas.rect)) {
                    let tip = Tooltip::always_open(
                        ui.ctx().clone(),
                        ui.layer_id(),
                        canvas.id.with("tip"),
                        PopupAnchor::Pointer,
                    );
                    tip.gap(view.theme.margin).show(|ui| ui.label(about(cell, view)));
                }
            }
        }
    }
}

/// The measured point at a place, if it is nearer than any cell's.
fn measured_at(line: &Line, slice: &Slice, at: Point, reach: f32) -> Option<usize> {
    let seen = line.measured.iter().filter_map(|point| Some((point.index, point.seen(&slice.frame)?.distance(at))));
    let (index, distance) = seen.min_by(|a, b| a.1.total_cmp(&b.1)).filter(|(_, distance)| *distance <= reach)?;
    let of_cells = slice.points.iter().map(|cell| cell.distance(at)).fold(f32::INFINITY, f32::min);
    (distance <= of_cells).then_some(index)
}

/// What is known about a cell, line by line.
fn about(cell: Cell, view: &View<'_>) -> String {
    let (advance, base) = (view.advance(), view.base.project.advance.table());
    let (value, proposed) = view.now_and_then(cell);
    let then =
        proposed.map_or_else(String::new, |deg| format!(", proposed {}", with_unit(&view.degrees(deg), Unit::Degree)));
    let (speed, load) = (view.table().speed().breakpoints()[cell.speed], view.table().load().breakpoints()[cell.load]);
    let of_base = base.lookup(speed, load);
    let by = signed(value - of_base, step_decimals(view.project.step_deg));
    let held = if advance.held().contains(cell) { ", held" } else { "" };
    format!(
        "{}\n{} before TDC{then}\n{} in the base ({by})\n{}{held}",
        grip::place(view, cell),
        with_unit(&view.degrees(value), Unit::Degree),
        with_unit(&view.degrees(of_base), Unit::Degree),
        advance.origin(cell).name(),
    )
}
