//! Paints a scene of `drawing` with egui: one mesh for all shapes, then the labels.

use eframe::egui::epaint::{Vertex, WHITE_UV};
use eframe::egui::{self, FontId, Mesh, Rect, Shape, pos2, vec2};

use super::theme::{Theme, color};
use crate::drawing::{self, Label, LabelRole, MeshVertex, Scene};

/// Air between a label and the edge of its halo, in points.
const HALO_MARGIN: f32 = 2.0;

/// Paints the shapes of a scene in their order, then its labels.
pub fn paint(painter: &egui::Painter, scene: &Scene, theme: &Theme) {
    let mut mesh = drawing::Mesh::default();
    mesh.fill(scene);
    let vertex = |MeshVertex { at, color: shade }: MeshVertex| Vertex {
        pos: pos2(at.x, at.y),
        uv: WHITE_UV,
        color: color(shade),
    };
    let vertices = mesh.vertices.into_iter().map(vertex).collect();
    painter.add(Shape::mesh(Mesh { indices: mesh.indices, vertices, ..Mesh::default() }));
    scene.labels.iter().for_each(|label| paint_label(painter, label, theme));
}

fn paint_label(painter: &egui::Painter, label: &Label, theme: &Theme) {
    let galley = painter.layout_no_wrap(label.text.clone(), font(label.role, theme), color(label.color));
    let offset = vec2(galley.size().x * label.anchor.0, galley.size().y * label.anchor.1);
    let rect = Rect::from_min_size(pos2(label.at.x, label.at.y) - offset, galley.size());
    if label.halo.a > 0 {
        painter.rect_filled(rect.expand2(vec2(HALO_MARGIN, -HALO_MARGIN / 2.0)), HALO_MARGIN, color(label.halo));
    }
    painter.galley(rect.min, galley, color(label.color));
}

fn font(role: LabelRole, theme: &Theme) -> FontId {
    match role {
        LabelRole::Tick | LabelRole::AxisName | LabelRole::Contour => theme.small_font(),
    }
}
