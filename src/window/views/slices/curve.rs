//! One slice: a row or a column through the cursor.

use eframe::egui::{
    CursorIcon, PointerButton, PopupAnchor, Pos2, Rect, Response, Role, Sense, Tooltip, Ui, UiBuilder, WidgetInfo,
    pos2, vec2,
};

use crate::drawing::{Label, LabelRoom, Scene, Shape, Slice, SliceSpec};
use crate::shaping::{Along, LIFT_RADIUS, lift_share};
use crate::table::{Axis, Cell, Table};
use crate::window::kit::marks;
use crate::window::kit::scene_painter::{self, Sheet, point, pos, viewport};
use crate::window::kit::theme::kit_sizes::{CHART_SIZES, HANDLE_BEYOND, HELD_MARK};
use crate::window::kit::theme::view_sizes::SLICES_SIZES;
use crate::window::kit::theme::{color, severity_ink};
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::MenuOf;
use crate::window::views::grip::{self, Grip};
use crate::window::views::surface::{heading, keep_arrows};
use crate::window::views::view::View;
use crate::wording::{Unit, quantity, signed, step_decimals, with_unit};

/// A slice, what it caches, and the drag in progress.
pub(in crate::window) struct Curve {
    along: Along,
    scene: Scene,
    sheet: Sheet,
    drag: Option<Drag>,
    hovered: Option<Cell>,
}

enum Drag {
    Point(Grip),
    /// The drag has ended; nothing happens until the button is released.
    Over,
}

/// The numbers of a slice in this frame.
struct Line {
    cells: Vec<Cell>,
    points: Vec<(f64, f64)>,
    base: Vec<(f64, f64)>,
    /// The line as it is, if `points` are only proposed.
    now: Vec<(f64, f64)>,
    value_range: (f64, f64),
    selected: Vec<bool>,
    active: usize,
    hovered: Option<usize>,
}

impl Curve {
    pub(in crate::window) fn new(along: Along) -> Self {
        Self { along, scene: Scene::default(), sheet: Sheet::default(), drag: None, hovered: None }
    }

    /// Draws the slice into a rectangle of the screen.
    pub(in crate::window) fn show(&mut self, ui: &mut Ui, rect: Rect, view: &View<'_>, outbox: &mut Outbox) {
        let heading_line = Rect::from_x_y_ranges(rect.x_range(), rect.top()..=rect.top() + SLICES_SIZES.heading);
        heading(ui, heading_line, &self.title(view), Self::remark(view), view.theme);
        let top = heading_line.bottom();
        let rect = Rect::from_min_max(pos2(rect.left(), top), rect.max - vec2(0.0, view.theme.gap));
        let line = Line::new(self.along, view);
        let spec = line.spec(self.along, view, rect);
        let Some(slice) = Slice::new(&spec) else {
            return;
        };
        let mut ui = ui.new_child(UiBuilder::new().id_salt(self.along).max_rect(rect));
        // The scale does not change while a point is dragged beyond it.
        ui.shrink_clip_rect(rect.expand2(vec2(view.theme.gap, 0.0)));
        let canvas = ui.interact(rect, super::id(self.along), Sense::click_and_drag());
        self.describe(&canvas, view);
        self.sliders(&mut ui, &canvas, &line, &slice, view, outbox);
        self.react(&ui, &canvas, (&line, &slice), view, outbox);
        self.paint(&ui, (&line, &slice, &spec), view);
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

    /// Says that the line is only proposed, if it is.
    fn remark(view: &View<'_>) -> &'static str {
        if view.proposed.is_some() { "dashed: proposed" } else { "" }
    }

    fn describe(&self, canvas: &Response, view: &View<'_>) {
        canvas.widget_info(|| {
            let (title, base) = (self.title(view), &view.base.name);
            let proposed = if view.proposed.is_some() { ", proposed" } else { "" };
            WidgetInfo::labeled(Role::Canvas, true, format!("{title}{proposed}, dashed: {base}"))
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
            grip::menu(view, cell_at(at), MenuOf::Cells, at, outbox);
        }
        if canvas.drag_started_by(PointerButton::Primary)
            && let Some((cell, at)) = pressed.and_then(|at| Some((cell_at(at)?, at)))
        {
            self.drag = Some(Self::take(cell, at, slice, view, outbox));
        }
        self.go_on(ui, canvas, view, outbox);
        grip::tell(ui, matches!(self.drag, Some(Drag::Point(_))), view, outbox);
        let hovering = ui.input(|input| input.pointer.hover_pos()).filter(|_| ui.rect_contains_pointer(canvas.rect));
        let hovered = match &self.drag {
            Some(Drag::Point(grip)) => Some(grip.cell),
            Some(Drag::Over) => None,
            None => hovering.and_then(cell_at),
        };
        if hovered.is_some() {
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

    fn go_on(&mut self, ui: &Ui, canvas: &Response, view: &View<'_>, outbox: &mut Outbox) {
        let at = ui.input(|input| input.pointer.latest_pos());
        match &mut self.drag {
            Some(Drag::Point(grip)) if grip.is_given_up(ui.ctx(), view) => self.drag = Some(Drag::Over),
            Some(Drag::Point(grip)) if canvas.dragged() => {
                if let Some(at) = at {
                    grip.follow(at.y, view, ui.ctx(), outbox);
                }
            }
            _ => {}
        }
        if self.drag.is_some()
            && ui.input(|input| !input.pointer.any_down())
            && let Some(Drag::Point(_)) = self.drag.take()
        {
            outbox.end_drag();
        }
    }

    fn paint(&mut self, ui: &Ui, (line, slice, spec): (&Line, &Slice, &SliceSpec<'_>), view: &View<'_>) {
        slice.draw(spec, &mut self.scene);
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
            Some(Drag::Over) => {}
            None => {
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

impl Line {
    fn new(along: Along, view: &View<'_>) -> Self {
        let (table, base, screen) = (view.table(), view.base.project.advance.table(), view.screen);
        let settled = view.settled().advance.table();
        let cursor = screen.selection.cursor;
        let cells: Vec<Cell> = match along {
            Along::Speed => (0..table.speed().len()).map(|speed| Cell::new(cursor.load, speed)).collect(),
            Along::Load => (0..table.load().len()).map(|load| Cell::new(load, cursor.speed)).collect(),
        };
        let breakpoints = axis(table, along).breakpoints();
        let points = breakpoints.iter().zip(&cells).map(|(&at, &cell)| (at, table.at(cell))).collect();
        let find = |wanted: Cell| cells.iter().position(|&cell| cell == wanted);
        Self {
            base: base_line(table, base, along, cursor),
            now: view.proposed.map_or_else(Vec::new, |_| base_line(table, settled, along, cursor)),
            value_range: view.scales.extremes,
            selected: cells.iter().map(|&cell| screen.selection.cells.contains(cell)).collect(),
            active: find(cursor).unwrap_or(0),
            hovered: screen.pointer.cell.and_then(find),
            points,
            cells,
        }
    }

    fn spec<'a>(&'a self, along: Along, view: &View<'a>, rect: Rect) -> SliceSpec<'a> {
        let unit = if along == Along::Speed { Unit::Rpm } else { view.project.sensors.load.unit() };
        SliceSpec {
            points: &self.points,
            base: &self.base,
            value_range: self.value_range,
            scale_stands: true,
            now: &self.now,
            active: Some(self.active),
            hovered: self.hovered,
            selected: &self.selected,
            units: (unit, Unit::Degree),
            look: view.theme.palette.look,
            rect: viewport(rect),
        }
    }
}

fn axis(table: &Table, along: Along) -> &Axis {
    match along {
        Along::Speed => table.speed(),
        Along::Load => table.load(),
    }
}

/// The base along the same line; empty where the base does not reach.
fn base_line(table: &Table, base: &Table, along: Along, cursor: Cell) -> Vec<(f64, f64)> {
    let (across, index) = match along {
        Along::Speed => (Along::Load, cursor.load),
        Along::Load => (Along::Speed, cursor.speed),
    };
    let (Some(&at), of_base) = (axis(table, across).breakpoints().get(index), axis(base, across)) else {
        return Vec::new();
    };
    if !(of_base.first()..=of_base.last()).contains(&at) {
        return Vec::new();
    }
    let value = |x: f64| match along {
        Along::Speed => base.lookup(x, at),
        Along::Load => base.lookup(at, x),
    };
    axis(base, along).breakpoints().iter().map(|&x| (x, value(x))).collect()
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

/// Dots on the neighbours that a lift moves along, larger the more they move.
fn mark_falloff(scene: &mut Scene, line: &Line, slice: &Slice, (centre, radius): (Cell, f64), view: &View<'_>) {
    let palette = view.theme.palette;
    let moved = grip::moved_with(view, centre, Some(radius));
    for (&cell, &at) in line.cells.iter().zip(&slice.points).filter(|(cell, _)| moved.contains(**cell)) {
        #[expect(clippy::cast_possible_truncation, reason = "0..=1")]
        let share = lift_share(centre, cell, radius) as f32;
        if share > 0.0 && cell != centre {
            let radius = CHART_SIZES.falloff.0 + CHART_SIZES.falloff.1 * share;
            let (fill, outline) = (palette.accent, palette.accent);
            scene.shapes.push(Shape::Dot { at, radius, fill, outline, outline_width: 0.0 });
        }
    }
}

/// The shapes of severities above the points with findings, or below them where a label stands there or the chart ends.
fn mark_found(ui: &Ui, line: &Line, slice: &Slice, labels: &[Label], view: &View<'_>) {
    let room = LabelRoom::beside(labels);
    let top = ui.clip_rect().top();
    for (&cell, &at) in line.cells.iter().zip(&slice.points) {
        let Some(severity) = view.checked.severity_at(view.table(), cell) else { continue };
        let place = |down: f32| Rect::from_center_size(pos(at) + vec2(0.0, down), CHART_SIZES.found.into());
        let places = [place(-CHART_SIZES.found_away), place(CHART_SIZES.found_away)];
        let is_free = |rect: &&Rect| rect.top() > top && room.is_free(&viewport(**rect));
        if let Some(&rect) = places.iter().find(is_free) {
            let ink = color(severity_ink(view.theme, severity));
            ui.painter().add(marks::severity_on(rect, severity, ink, color(view.theme.palette.paper)));
        }
    }
}

/// The corner of held cells, at the upper left of their points.
fn mark_held(ui: &Ui, line: &Line, slice: &Slice, view: &View<'_>) {
    let (ink, held) = (color(view.theme.palette.ink), view.advance().held());
    for (_, &at) in line.cells.iter().zip(&slice.points).filter(|&(&cell, _)| held.contains(cell)) {
        ui.painter().add(marks::held(held_corners(pos(at)), ink));
    }
}

/// The corner at the upper left of a held point.
pub(in crate::window) fn held_corners(point: Pos2) -> [Pos2; 3] {
    let corner = point - vec2(CHART_SIZES.held_off, CHART_SIZES.held_off);
    [corner, corner + vec2(HELD_MARK, 0.0), corner + vec2(0.0, HELD_MARK)]
}
