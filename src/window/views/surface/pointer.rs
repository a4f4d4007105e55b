//! What the pointer does on the surface: orbit, pan, zoom, hover, select one vertex or those in a box, lift.

use eframe::egui::{self, PointerButton, Pos2, Rect, Response, Vec2};

use super::vertex_box::{VertexBox, join};
use super::{Stage, vertex_at};
use crate::drawing::Camera;
use crate::table::Cell;
use crate::window::kit::scene_painter::{point, viewport};
use crate::window::kit::theme::kit_sizes::HANDLE_BEYOND;
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::MenuOf;
use crate::window::state::surface_state::SurfaceMessage;
use crate::window::views::grip::{self, Grip};
use crate::window::views::view::View;

/// Points of scrolling that zoom by a factor of e.
const SCROLL_PER_E: f32 = 250.0;

/// A drag in progress.
pub(in crate::window) enum Drag {
    /// Orbiting, from this camera and position.
    Orbit(Camera, Pos2),
    /// Panning, from this camera and position.
    Pan(Camera, Pos2),
    /// Lifting a vertex.
    Lift(Grip),
    /// Drawing a box over vertices.
    Box(VertexBox),
    /// The drag has ended; nothing happens until the button is released.
    Over,
}

/// The vertex under the pointer.
pub(in crate::window) fn hovered(ui: &egui::Ui, stage: &Stage<'_>, view: &View<'_>) -> Option<Cell> {
    let at = ui.input(|input| input.pointer.hover_pos())?;
    ui.rect_contains_pointer(stage.rect).then(|| vertex_at(stage, at, reach(view), view)).flatten()
}

/// The measured point whose head is under the pointer.
pub(in crate::window) fn pinned(ui: &egui::Ui, stage: &Stage<'_>, view: &View<'_>) -> Option<usize> {
    let at = ui.input(|input| input.pointer.hover_pos())?;
    ui.rect_contains_pointer(stage.rect).then(|| stage.relief.pick_pin(point(at), reach(view))).flatten()
}

fn reach(view: &View<'_>) -> f32 {
    view.theme.handle_size / 2.0 + HANDLE_BEYOND
}

/// Zooms about the pointer by the wheel or by pinching; nothing behind it scrolls.
pub fn zoom(ui: &egui::Ui, rect: Rect, view: &View<'_>, outbox: &mut Outbox) {
    let Some(at) = ui.input(|input| input.pointer.hover_pos()).filter(|_| ui.rect_contains_pointer(rect)) else {
        return;
    };
    let factor = ui.input_mut(|input| {
        let scroll = std::mem::replace(&mut input.smooth_scroll_delta, Vec2::ZERO);
        input.zoom_delta() * (scroll.y / SCROLL_PER_E).exp()
    });
    if factor != 1.0 {
        let mut camera = view.screen.surface.camera;
        camera.zoom_about(f64::from(factor), point(at), &viewport(rect));
        look(camera, outbox);
    }
}

fn look(camera: Camera, outbox: &mut Outbox) {
    outbox.send(SurfaceMessage::Look(camera));
}

/// Carries out clicks and drags on the canvas and on the handle over it.
pub(in crate::window) fn react(
    ui: &egui::Ui,
    drag: &mut Option<Drag>,
    (canvas, handle): (&Response, Option<&Response>),
    stage: &Stage<'_>,
    view: &View<'_>,
    outbox: &mut Outbox,
) {
    click(ui, (canvas, handle), stage, view, outbox);
    let responses = || [Some(canvas), handle].into_iter().flatten();
    let has_hold = handle.is_some_and(Response::is_pointer_button_down_on);
    let is_typed = view.screen.grid.gripped.as_ref().is_some_and(|typed| !typed.is_empty());
    let types = is_typed && !ui.input(|input| input.pointer.any_pressed());
    if let Some(taken) = responses().find(|response| response.drag_started())
        && !matches!(drag, Some(Drag::Lift(_)))
    {
        let on_handle = taken.id != canvas.id;
        *drag = start(ui, taken, on_handle, stage, view, outbox);
    }
    if drag.is_none() && has_hold && types {
        *drag = typed(ui, stage, view, outbox);
    }
    if types || responses().any(Response::dragged) {
        go_on(ui, drag, stage, view, outbox);
    }
    if let Some(Drag::Box(drawn)) = drag
        && drawn.is_given_up(ui.ctx(), view)
    {
        drawn.give_up(outbox);
        *drag = Some(Drag::Over);
    }
    if drag.is_some()
        && ui.input(|input| !input.pointer.any_down())
        && let Some(Drag::Lift(grip)) = drag.take()
        && !grip.is_given_up(ui.ctx(), view)
    {
        outbox.end_drag();
    }
    if view.screen.surface.boxing && !matches!(drag, Some(Drag::Box(_))) {
        outbox.send(SurfaceMessage::Boxing(false));
    }
    grip::tell(ui, has_hold || matches!(drag, Some(Drag::Lift(_))), view, outbox);
}

/// A lift by numbers: degrees are typed while the handle is pressed and not moved. That needs no sight of heights.
fn typed(ui: &egui::Ui, stage: &Stage<'_>, view: &View<'_>, outbox: &mut Outbox) -> Option<Drag> {
    let pressed = ui.input(|input| input.pointer.press_origin())?;
    let deg_per_point = stage.deg_per_point.unwrap_or(0.0);
    Some(lift(view.screen.selection.cursor, deg_per_point, pressed, view, outbox))
}

fn click(
    ui: &egui::Ui,
    (canvas, handle): (&Response, Option<&Response>),
    stage: &Stage<'_>,
    view: &View<'_>,
    outbox: &mut Outbox,
) {
    let modifiers = ui.input(|input| input.modifiers);
    let asked = [Some(canvas), handle].into_iter().flatten().find(|part| part.secondary_clicked());
    if let Some(at) = asked.and_then(Response::interact_pointer_pos) {
        let cell = vertex_at(stage, at, reach(view), view);
        return grip::menu(view, cell, MenuOf::Surface, at, outbox);
    }
    if canvas.double_clicked() {
        return outbox.run(Command::ViewThreeQuarter);
    }
    if handle.is_some_and(Response::clicked) {
        return grip::click(view, view.screen.selection.cursor, modifiers, outbox);
    }
    let at = canvas.interact_pointer_pos().filter(|_| canvas.clicked());
    if let Some(cell) = at.and_then(|at| vertex_at(stage, at, reach(view), view)) {
        grip::click(view, cell, modifiers, outbox);
    }
}

fn start(
    ui: &egui::Ui,
    taken: &Response,
    on_handle: bool,
    stage: &Stage<'_>,
    view: &View<'_>,
    outbox: &mut Outbox,
) -> Option<Drag> {
    let (pressed, latest, modifiers) =
        ui.input(|input| (input.pointer.press_origin(), input.pointer.latest_pos(), input.modifiers));
    let (pressed, latest) = (pressed?, latest?);
    let camera = view.screen.surface.camera;
    let primary = taken.drag_started_by(PointerButton::Primary);
    let is_armed = view.screen.surface.box_armed;
    // Alt on the handle lifts off the step.
    if let Some(join) = join(is_armed, modifiers).filter(|_| primary && (is_armed || !on_handle)) {
        return Some(Drag::Box(VertexBox::begin(ui.ctx(), pressed, join, stage, view, outbox)));
    }
    if !primary || (modifiers.shift && !on_handle) {
        return Some(Drag::Pan(camera, latest));
    }
    let vertex = if on_handle {
        Some(view.screen.selection.cursor)
    } else if view.screen.surface.lift_armed && stage.deg_per_point.is_some() {
        stage.relief.pick(&stage.projector, point(pressed), reach(view))
    } else {
        None
    };
    match vertex.zip(stage.deg_per_point) {
        Some((cell, deg_per_point)) => Some(lift(cell, deg_per_point, pressed, view, outbox)),
        None => Some(Drag::Orbit(camera, latest)),
    }
}

fn lift(cell: Cell, deg_per_point: f64, pressed: Pos2, view: &View<'_>, outbox: &mut Outbox) -> Drag {
    grip::take_up(view, cell, outbox);
    let radius = grip::surface_radius(view, cell);
    match Grip::take(view, cell, radius, deg_per_point, pressed.y) {
        Ok(grip) => Drag::Lift(grip),
        Err(reason) => {
            outbox.complain(reason);
            Drag::Over
        }
    }
}

fn go_on(ui: &egui::Ui, drag: &mut Option<Drag>, stage: &Stage<'_>, view: &View<'_>, outbox: &mut Outbox) {
    let Some(at) = ui.input(|input| input.pointer.latest_pos()) else {
        return;
    };
    match drag {
        Some(Drag::Orbit(from, start)) => turn(*from, at - *start, view, outbox, Camera::orbit),
        Some(Drag::Pan(from, start)) => turn(*from, at - *start, view, outbox, Camera::pan_by),
        Some(Drag::Box(drawn)) if !drawn.is_given_up(ui.ctx(), view) => drawn.follow(at, stage, view, outbox),
        Some(Drag::Lift(grip)) if grip.is_given_up(ui.ctx(), view) => *drag = Some(Drag::Over),
        Some(Drag::Lift(grip)) => grip.follow(at.y, view, ui.ctx(), outbox),
        Some(Drag::Box(_) | Drag::Over) | None => {}
    }
}

fn turn(from: Camera, by: Vec2, view: &View<'_>, outbox: &mut Outbox, change: fn(&mut Camera, f64, f64)) {
    let mut camera = from;
    change(&mut camera, f64::from(by.x), f64::from(by.y));
    if camera != view.screen.surface.camera {
        look(camera, outbox);
    }
}
