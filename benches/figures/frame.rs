//! The whole Advance sheet: CPU time of a frame while a vertex is dragged or the surface is turned, triangles included.

use std::hint::black_box;

use eframe::egui::{self, Event, Pos2, RawInput, Rect, Vec2};
use sparkloft::document::{DataFolder, Document};
use sparkloft::drawing::Camera;
use sparkloft::project::{LoadKind, NewProject, Project};
use sparkloft::shaping::Tool;
use sparkloft::table::{Cell, Selection};
use sparkloft::window::state::outbox::Action;
use sparkloft::window::state::surface_state::SurfaceMessage;
use sparkloft::window::workbench::Workbench;

use super::{Figures, median};

/// Frames for 16 × 16 and 64 × 64.
pub(crate) fn measure(quick: bool, figures: &mut Figures) {
    let frames = if quick { 3 } else { 101 };
    figures.push(("frame_drag_16", dragging(16, frames)));
    figures.push(("frame_drag_64", dragging(64, frames)));
    figures.push(("frame_orbit_64", orbiting(64, frames)));
}

fn dragging(size: usize, frames: usize) -> f64 {
    let cells = Selection::all(project(size).advance.table());
    moving(size, frames, |step| {
        let lift = Tool::Lift {
            centre: Cell::new(size / 2, size / 2),
            amount_deg: f64::from(step % 5.0),
            radius_cells: 3.0,
            step_deg: None,
        };
        Action::Drag(lift, cells.clone())
    })
}

fn orbiting(size: usize, frames: usize) -> f64 {
    moving(size, frames, |step| {
        let mut camera = Camera::default();
        camera.orbit(f64::from(step) * 10.0, f64::from(step % 3.0));
        SurfaceMessage::Look(camera).into()
    })
}

fn project(size: usize) -> Project {
    let new = NewProject { name: "bench".into(), cylinders: 4, load: LoadKind::Throttle, speeds: size, loads: size };
    new.create().expect("a project")
}

/// The time of a frame in which something is asked for, which follows from how far the pointer has come.
fn moving(size: usize, frames: usize, asked: impl Fn(f32) -> Action) -> f64 {
    let mut workbench = Workbench::new(Document::untitled_in(&DataFolder::none(), project(size), "bench"));
    let ctx = egui::Context::default();
    let screen = Rect::from_min_size(Pos2::ZERO, Vec2::new(1280.0, 800.0));
    let mut step = 0.0;
    let mut frame = || {
        // The pointer moves too, so that nothing can be kept from the frame before but what really stays.
        step += 0.1;
        let at = Pos2::new(900.0, 300.0 - step);
        workbench.ask(asked(step));
        let input =
            RawInput { screen_rect: Some(screen), events: vec![Event::PointerMoved(at)], ..RawInput::default() };
        let mut output = ctx.run_ui(input, |ui| {
            workbench.logic(ui.ctx());
            workbench.ui(ui);
        });
        output.textures_delta.clear();
        black_box(ctx.tessellate(std::mem::take(&mut output.shapes), output.pixels_per_point));
    };
    for _ in 0..5 {
        frame();
    }
    median(frames, frame)
}
