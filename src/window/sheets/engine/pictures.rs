//! The wheel and the firing sequence, drawn with the values as they are typed or dragged.

use eframe::egui::{self, Id, Rect, Role, Sense, Stroke, WidgetInfo, vec2};

use crate::drawing::{FiringSpec, Scene, WheelDrawing, WheelSpec, draw_firing};
use crate::project::Project;
use crate::spark::{Conditions, Evaluation};
use crate::window::kit::scene_painter::{self, Sheet, pos, viewport};
use crate::window::kit::slider::steps_up;
use crate::window::kit::theme::color;
use crate::window::kit::theme::engine_sheet_sizes::ENGINE_SIZES;
use crate::window::kit::theme::kit_sizes::CHART;
use crate::window::state::edits::DocumentEdit;
use crate::window::state::engine_state::{EngineMessage, EngineNumber};
use crate::window::state::outbox::Outbox;
use crate::window::views::form::{self, Amount, AsTyped};
use crate::window::views::view::View;
use crate::wording::{Unit, quantity, rounded, settle};

/// What a picture was drawn of.
struct Drawn {
    project: Project,
    advance_deg: f64,
    rect: Rect,
    look: crate::drawing::Look,
}

/// The pictures with what they were drawn of.
#[derive(Default)]
pub(super) struct Pictures {
    as_typed: AsTyped,
    scene: Scene,
    wheel: Sheet,
    wheel_of: Option<(Drawn, WheelDrawing)>,
    firing: Sheet,
    firing_of: Option<Drawn>,
}

impl Pictures {
    /// Draws both one below the other, with the advance they show.
    pub(super) fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let project = self.as_typed.get(view);
        let advance_deg = view.screen.engine.shown_deg.unwrap_or_else(|| at_idle(view));
        form::heading(ui, view.theme, "Wheel and sensor");
        self.show_wheel(ui, view, outbox, &project, advance_deg);
        let amount = Amount {
            key: "shown advance",
            label: "Spark shown at",
            name: "Spark shown at",
            unit: Unit::Degree,
            value: advance_deg,
            range: (-60.0, 90.0),
            step: view.project.step_deg.max(0.1),
        };
        form::amount(ui, view, outbox, &amount, |value| EngineMessage::Put(EngineNumber::ShownAdvance, Some(value)));
        form::heading(ui, view.theme, "Firing sequence");
        self.show_firing(ui, view, &project, advance_deg);
    }

    fn show_wheel(
        &mut self,
        ui: &mut egui::Ui,
        view: &View<'_>,
        outbox: &mut Outbox,
        project: &Project,
        advance_deg: f64,
    ) {
        let width = ui.available_width();
        let ((beside, above), (least, most)) = (ENGINE_SIZES.wheel_room, ENGINE_SIZES.wheel_height);
        let height = (width - beside + above).clamp(least, most);
        let (rect, response) = ui.allocate_exact_size(vec2(width, height), Sense::hover());
        let look = view.theme.palette.look;
        let spec = WheelSpec { parts: project, advance_deg, look, rect: viewport(rect) };
        let words = WheelDrawing::words(&spec);
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words.join(" ")));
        let now = Drawn { project: project.clone(), advance_deg, rect, look };
        if self.wheel_of.as_ref().is_none_or(|(drawn, _)| !drawn.is_same(&now)) {
            self.wheel_of = WheelDrawing::new(&spec).map(|drawing| {
                drawing.draw(&spec, &mut self.scene);
                scene_painter::snap_lines(&mut self.scene, ui.painter());
                self.wheel.fill(&self.scene);
                (now, drawing)
            });
        }
        let Some((_, drawing)) = &self.wheel_of else {
            return;
        };
        self.wheel.paint(ui.painter(), view.theme);
        let handle = handle(ui, view, outbox, drawing);
        if response.contains_pointer() || handle.has_focus() || handle.dragged() {
            outbox.point_at(view.screen, words.get(1).cloned().unwrap_or_default());
        }
        super::tip(&response, &words.join("\n"));
    }

    fn show_firing(&mut self, ui: &mut egui::Ui, view: &View<'_>, project: &Project, advance_deg: f64) {
        let (row, beside) = ENGINE_SIZES.firing;
        #[expect(clippy::cast_precision_loss, reason = "at most four")]
        let height = row * project.engine.channels.len() as f32 + beside;
        let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
        let look = view.theme.palette.look;
        let spec = FiringSpec { parts: project, advance_deg, look, rect: viewport(rect) };
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, spec.words()));
        let now = Drawn { project: project.clone(), advance_deg, rect, look };
        if self.firing_of.as_ref().is_none_or(|drawn| !drawn.is_same(&now)) {
            draw_firing(&spec, &mut self.scene);
            scene_painter::snap_lines(&mut self.scene, ui.painter());
            self.firing.fill(&self.scene);
            self.firing_of = Some(now);
        }
        self.firing.paint(ui.painter(), view.theme);
        super::tip(&response, &spec.words());
    }
}

impl Drawn {
    fn is_same(&self, other: &Self) -> bool {
        self.project.is_same(&other.project)
            && self.advance_deg == other.advance_deg
            && self.rect == other.rect
            && self.look == other.look
    }
}

/// The commanded advance at warm idle.
fn at_idle(view: &View<'_>) -> f64 {
    let engine = &view.project.engine;
    let idle = Conditions { speed_rpm: engine.idle_speed_rpm, load: engine.idle_load, ..Conditions::default() };
    rounded(Evaluation::new(view.project).lookup(&idle).commanded_deg, 1)
}

/// The reference edge as a handle: dragging it round the wheel sets the reference, as one step.
fn handle(ui: &egui::Ui, view: &View<'_>, outbox: &mut Outbox, drawing: &WheelDrawing) -> egui::Response {
    let (center, at) = (pos(drawing.center), pos(drawing.reference.at));
    let (radius, off) = ENGINE_SIZES.handle;
    let out = at + (at - center).normalized() * off;
    let size = view.theme.handle_size;
    let id = Id::unique("engine reference handle");
    let response = ui.interact(Rect::from_center_size(out, vec2(size, size)), id, Sense::drag());
    let name = format!(
        "Reference edge at {}, drag round the wheel",
        quantity(view.project.trigger.reference_deg, Unit::Degree)
    );
    response.widget_info(|| WidgetInfo::labeled(Role::Slider, true, &name));
    let palette = view.theme.palette;
    let lit = response.hovered() || response.dragged() || response.has_focus();
    let (radius, width) = if lit { (radius * 1.3, CHART.main) } else { (radius, CHART.outline) };
    ui.painter().circle(out, radius, color(palette.paper), Stroke::new(width, color(palette.ink)));
    super::tip(&response, "Drag round the wheel: sets the reference in the project's steps. Esc gives the drag up.");
    if response.dragged()
        && let Some(pointer) = response.interact_pointer_pos()
    {
        drag(view, outbox, center, pointer);
    }
    if response.drag_stopped() {
        outbox.end_drag();
    }
    if response.has_focus() {
        keys(ui, view, outbox);
    }
    response
}

fn drag(view: &View<'_>, outbox: &mut Outbox, center: egui::Pos2, pointer: egui::Pos2) {
    let from = pointer - center;
    if from.length() < 4.0 {
        return;
    }
    let clockwise_deg = f64::from(from.x.atan2(-from.y).to_degrees());
    if let Some((label, edit)) = set_reference(view, clockwise_deg - view.project.trigger.zero_offset_deg) {
        outbox.drag_edit(label, edit);
    }
}

/// Up and Down move the reference by a step, ten with Shift.
fn keys(ui: &egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let times = steps_up(ui);
    if times != 0.0 {
        let step = view.project.step_deg.max(0.1);
        let to = view.project.trigger.reference_deg + times * step;
        if let Some((label, edit)) = set_reference(view, to) {
            outbox.edit(label, edit);
        }
    }
}

/// A reference rounded to the project's step and within a turn, as an edit with its label; `None` if it is set
/// already.
fn set_reference(view: &View<'_>, reference_deg: f64) -> Option<(String, DocumentEdit)> {
    let step = view.project.step_deg;
    let reference_deg = settle((reference_deg.rem_euclid(360.0) / step).round() * step).rem_euclid(360.0);
    if reference_deg == view.project.trigger.reference_deg {
        return None;
    }
    let label = format!("Set reference to {}", quantity(reference_deg, Unit::Degree));
    Some((label, DocumentEdit::SetReference(reference_deg)))
}
