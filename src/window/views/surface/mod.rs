//! The table as a surface in space: orbit it, look at it from fixed sides, lift its vertices.

mod controls;
mod pointer;
mod scenery;
mod vertex_box;

use eframe::egui::{
    self, CursorIcon, Id, Rect, Response, Role, Sense, Stroke, StrokeKind, UiBuilder, WidgetInfo, pos2, vec2,
};

pub use self::controls::{heading, heading_with_any, quiet_button};
use self::pointer::Drag;
pub use self::pointer::zoom;
use self::scenery::Scenery;
use crate::drawing::{HowSure, Point, Projector, Relief};
use crate::table::Cell;
use crate::window::kit::scene_painter::{point, pos, viewport};
use crate::window::kit::slider::lock_arrows;
use crate::window::kit::theme::kit_sizes::{HAIRLINE, HANDLE_BEYOND};
use crate::window::kit::theme::view_sizes::{
    PROPOSED_VERTEX_DASHES, PROPOSED_VERTEX_SIDE, SURFACE_CONTROLS_OVERLAP, SURFACE_LEFT_MARGIN,
};
use crate::window::kit::theme::{color, hairline};
use crate::window::kit::{marks, scene_painter};
use crate::window::state::outbox::Outbox;
use crate::window::state::surface_state::Beside;
use crate::window::views::grip;
use crate::window::views::grip::{Grip, place};
use crate::window::views::layers;
use crate::window::views::measured;
use crate::window::views::view::View;

/// The id of the surface, which can have the keyboard focus; arrows then move the table's cursor.
pub fn id() -> Id {
    Id::unique("surface")
}

/// The id of the selected vertex's handle.
pub fn handle_id() -> Id {
    id().with("handle")
}

/// What the view caches between frames, and the drag in progress.
#[derive(Default)]
pub struct SurfaceView {
    scenery: Scenery,
    drag: Option<Drag>,
    hovered: Option<Cell>,
    hovered_point: Option<usize>,
}

/// The surface as it is on the screen in this frame.
struct Stage<'a> {
    relief: &'a Relief,
    projector: Projector,
    rect: Rect,
    /// Degrees that a vertex rises per point upwards; `None` if heights cannot be seen.
    deg_per_point: Option<f64>,
}

impl Stage<'_> {
    fn place(&self, cell: Cell) -> Option<Point> {
        Some(self.projector.project(self.relief.vertex(cell)?))
    }

    /// Dashes around the vertices that are only proposed, as in the grid around cells.
    fn proposed(&self, view: &View<'_>) -> Vec<egui::Shape> {
        let Some(proposed) = view.proposed else {
            return Vec::new();
        };
        let stroke = Stroke::new(view.theme.proposed_width, color(view.theme.palette.proposed));
        let dashes = |at: Point| {
            let square = Rect::from_center_size(pos(at), egui::Vec2::splat(PROPOSED_VERTEX_SIDE));
            let [a, b, c, d] = [square.left_top(), square.right_top(), square.right_bottom(), square.left_bottom()];
            egui::Shape::dashed_line(&[a, b, c, d, a], stroke, PROPOSED_VERTEX_DASHES.0, PROPOSED_VERTEX_DASHES.1)
        };
        proposed.cells.cells().filter_map(|cell| self.place(cell)).flat_map(dashes).collect()
    }
}

impl SurfaceView {
    /// Draws the view into the rest of `ui`.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let theme = view.theme;
        let whole = ui.available_rect_before_wrap();
        ui.expand_to_include_rect(whole);
        let (left, right) = (whole.left() + SURFACE_LEFT_MARGIN, whole.right() - theme.margin);
        let contours = self.scenery.contours_text(view);
        let line = Rect::from_x_y_ranges(left..=right, whole.top()..=whole.top() + theme.heading_line);
        let proposed = if view.proposed.is_some() { "proposed · " } else { "" };
        let seen = controls::view_name(&view.screen.surface.camera);
        let plain = format!("{proposed}{seen} · {contours}");
        let key = beside_key(view);
        let remarks = key.iter().flat_map(|key| [format!("{plain} · {key}"), format!("{proposed}{key}")]);
        let remarks: Vec<String> = remarks.chain(key.is_none().then(|| plain.clone())).collect();
        let remarks: Vec<&str> = remarks.iter().map(String::as_str).collect();
        heading_with_any(ui, line, "Surface", &remarks, theme);
        let top = line.bottom() - SURFACE_CONTROLS_OVERLAP;
        let line = Rect::from_x_y_ranges(left..=right, top..=top + theme.small_target);
        let below = controls::show(ui, line, view, outbox);
        let rect = Rect::from_min_max(pos2(whole.left(), below), whole.max - vec2(0.0, theme.gap));
        if rect.width() > 40.0 && rect.height() > 40.0 {
            let mut ui = ui.new_child(UiBuilder::new().max_rect(rect));
            ui.shrink_clip_rect(rect);
            self.canvas(&mut ui, rect, view, outbox);
        }
    }

    fn canvas(&mut self, ui: &mut egui::Ui, rect: Rect, view: &View<'_>, outbox: &mut Outbox) {
        let canvas = ui.interact(rect, id(), Sense::click_and_drag());
        let model = self.scenery.prepare(view);
        let projector = view.screen.surface.camera.projector(&model, &viewport(rect));
        let deg_per_point = projector.deg_per_point(&model);
        let Some(relief) = self.scenery.relief() else {
            return;
        };
        let stage = Stage { relief, projector, rect, deg_per_point };
        describe_surface(&canvas, view);
        let handle = Self::handle(ui, &stage, view, outbox);
        let hovered = pointer::hovered(ui, &stage, view);
        let on_handle = handle.as_ref().is_some_and(|handle| handle.hovered() || handle.dragged());
        let mut drag = self.drag.take();
        pointer::zoom(ui, rect, view, outbox);
        pointer::react(ui, &mut drag, (&canvas, handle.as_ref()), &stage, view, outbox);
        self.drag = drag;
        let hovered = if self.drag.is_some() { self.grip().map(|grip| grip.cell) } else { hovered };
        grip::hover(view, &mut self.hovered, hovered, outbox);
        let pinned = pointer::pinned(ui, &stage, view).filter(|_| self.drag.is_none());
        measured::hover(view, &mut self.hovered_point, pinned, outbox);
        if let Some(point) = pinned.and_then(|index| view.project.evidence.points.get(index)) {
            measured::tip(ui, view, canvas.id, point);
        }
        let falloff = self.falloff(on_handle && deg_per_point.is_some(), view);
        let proposed = stage.proposed(view);
        self.scenery.paint(ui, &projector, rect, view, falloff);
        ui.painter().extend(proposed);
        if let Some((speed_rpm, load)) = view.screen.rig.point_on(view.table()) {
            let at = projector.project(model.point(speed_rpm, load, view.table().lookup(speed_rpm, load)));
            marks::running_point(ui.painter(), pos(at), view.theme);
        }
        if let Some(Drag::Box(drawn)) = &self.drag {
            drawn.paint(ui, view.theme);
        }
        self.say(ui, rect, deg_per_point.is_some(), view);
        for response in [Some(&canvas), handle.as_ref()].into_iter().flatten().filter(|part| part.has_focus()) {
            keep_arrows(ui, response, view);
        }
    }

    /// The grip of the lift in progress.
    fn grip(&self) -> Option<&Grip> {
        match &self.drag {
            Some(Drag::Lift(grip)) => Some(grip),
            _ => None,
        }
    }

    /// The cell around which a falloff is to be drawn, and its radius.
    fn falloff(&self, on_handle: bool, view: &View<'_>) -> Option<(Cell, f64)> {
        match &self.drag {
            Some(Drag::Lift(grip)) => grip.radius_cells.map(|radius| (grip.cell, radius)),
            Some(_) => None,
            None if on_handle => {
                let cursor = view.screen.selection.cursor;
                grip::surface_radius(view, cursor).map(|radius| (cursor, radius))
            }
            None => None,
        }
    }

    /// The touch area of the selected vertex's handle.
    fn handle(ui: &egui::Ui, stage: &Stage<'_>, view: &View<'_>, outbox: &mut Outbox) -> Option<Response> {
        let cell = view.screen.selection.cursor;
        let at = pos(stage.place(cell)?);
        if !stage.rect.contains(at) {
            return None;
        }
        let size = view.theme.handle_size + HANDLE_BEYOND;
        let sense = if stage.deg_per_point.is_some() { Sense::click_and_drag() } else { Sense::click() };
        let handle = ui.interact(Rect::from_center_size(at, vec2(size, size)), handle_id(), sense);
        let name = format!("lift {}", grip::place(view, cell));
        grip::slider(&handle, &name, cell, grip::surface_radius(view, cell), view, outbox);
        if stage.deg_per_point.is_none() {
            return Some(handle);
        }
        Some(handle.on_hover_and_drag_cursor(CursorIcon::ResizeVertical))
    }

    /// The present value beside the pointer, and a hint if lifting needs one.
    fn say(&self, ui: &egui::Ui, rect: Rect, lifts: bool, view: &View<'_>) {
        let theme = view.theme;
        if let (Some(grip), Some(at)) = (self.grip(), ui.ctx().pointer_latest_pos()) {
            scene_painter::card(ui.ctx(), at, &grip.text(), theme);
        }
        let hint = if self.grip().is_some() {
            "Shift: finer \u{b7} Alt: off the step \u{b7} digits: degrees"
        } else if view.screen.surface.box_armed {
            "Drag a box over vertices \u{b7} Shift: add \u{b7} Ctrl: take away \u{b7} Esc: end"
        } else if !lifts {
            "Heights cannot be seen from here: tilt the view to lift"
        } else if view.screen.surface.lift_armed {
            "Drag any vertex up or down"
        } else {
            return;
        };
        // On the right: in the plan the name of the load axis stands at the upper left.
        let at = pos2(rect.right() - theme.margin, rect.top());
        let ink = color(theme.palette.ink_secondary);
        let room = rect.width() - 2.0 * theme.margin;
        let mut job = egui::text::LayoutJob::simple(hint.to_owned(), theme.small_font(), ink, room);
        job.halign = egui::Align::RIGHT;
        let galley = ui.painter().layout_job(job);
        ui.painter().galley(at, galley, ink);
    }
}

/// Keeps arrow keys for the cursor while a part of a view has the focus, and shows that it has it.
pub fn keep_arrows(ui: &egui::Ui, part: &Response, view: &View<'_>) {
    lock_arrows(ui, part);
    let stroke = hairline(color(view.theme.palette.ink_secondary));
    ui.painter().rect_stroke(part.rect.shrink(HAIRLINE), 0.0, stroke, StrokeKind::Inside);
}

/// The vertex nearest to a point of the screen.
fn vertex_at(stage: &Stage<'_>, at: egui::Pos2, radius: f32, view: &View<'_>) -> Option<Cell> {
    let at = point(at);
    stage.relief.pick(&stage.projector, at, radius).or_else(|| {
        let (speed, load) = stage.relief.hit(&stage.projector, at)?;
        Some(crate::shaping::nearest_cell(view.table(), speed, load))
    })
}

/// What the lines beside the table are, where they are no table.
fn beside_key(view: &View<'_>) -> Option<&'static str> {
    match measured::beside(view) {
        Beside::Ceiling => Some("hatched: ceiling"),
        Beside::Sure => match view.sure.of(view.table()) {
            HowSure::Of(_) => Some("dashed: \u{b1} nine times in ten"),
            HowSure::NoPoints | HowSure::NotKnown => Some("how sure: not known yet"),
        },
        Beside::Nothing | Beside::SolidBase | Beside::WireBase | Beside::Points => None,
    }
}

pub(in crate::window) fn describe_surface(canvas: &Response, view: &View<'_>) {
    canvas.widget_info(|| {
        let cursor = view.screen.selection.cursor;
        let (place, value) = (place(view, cursor), view.degrees(view.table().at(cursor)));
        let seen = controls::view_name(&view.screen.surface.camera);
        let layer = layers::words_at(view, cursor).map_or_else(String::new, |words| format!(", {words}"));
        let words = format!("surface of advance, {seen}, cursor {place}, {value} degrees{layer}");
        WidgetInfo::labeled(Role::Canvas, true, words)
    });
}
