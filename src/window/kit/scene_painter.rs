//! Paints a scene of `drawing` with egui: one mesh for all shapes, then the labels.

use std::sync::Arc;

use eframe::egui::{self, Align2, Color32, CornerRadius, LayerId, Order, Painter, Pos2, Rect, Shape, StrokeKind, vec2};

use super::theme::kit_sizes::HALO;
use super::theme::{Theme, color};
use crate::drawing::{self, Label, LabelRole, Mesh, Point, Scene, Viewport};
use crate::window::kit::theme::hairline;

/// Paints the shapes of a scene in their order, then its labels.
pub fn paint(painter: &Painter, scene: &Scene, theme: &Theme) {
    let mut sheet = Sheet::default();
    sheet.fill(scene);
    sheet.paint(painter, theme);
}

/// The shapes of a scene, without its labels, as one shape.
pub fn shape(scene: &Scene) -> Shape {
    let mut sheet = Sheet::default();
    sheet.fill(scene);
    Shape::Mesh(sheet.mesh)
}

/// A point of `drawing` for egui.
pub const fn pos(at: Point) -> Pos2 {
    Pos2::new(at.x, at.y)
}

/// A point of egui for `drawing`.
pub const fn point(at: Pos2) -> Point {
    Point::new(at.x, at.y)
}

/// A rectangle of egui for `drawing`.
pub const fn viewport(rect: Rect) -> Viewport {
    Viewport { left: rect.min.x, top: rect.min.y, width: rect.max.x - rect.min.x, height: rect.max.y - rect.min.y }
}

/// A rectangle of `drawing` for egui.
pub const fn to_egui(rect: &Viewport) -> Rect {
    Rect { min: Pos2::new(rect.left, rect.top), max: Pos2::new(rect.left + rect.width, rect.top + rect.height) }
}

/// A scene as one mesh, whose memory is reused from frame to frame.
#[derive(Default)]
pub struct Sheet {
    drawn: Mesh,
    mesh: Arc<egui::Mesh>,
    labels: Vec<Label>,
}

impl Sheet {
    /// Copies the shapes and labels of a scene.
    pub fn fill(&mut self, scene: &Scene) {
        self.drawn.fill(scene);
        self.labels.clone_from(&scene.labels);
        // A painter may still hold the mesh of the last frame.
        let mut mesh = Arc::try_unwrap(std::mem::take(&mut self.mesh)).unwrap_or_default();
        mesh.clear();
        // Neighbouring vertices usually have the same colour.
        let mut last = (drawing::Color::default(), Color32::TRANSPARENT);
        mesh.vertices.extend(self.drawn.vertices.iter().map(|vertex| {
            if vertex.color != last.0 {
                last = (vertex.color, color(vertex.color));
            }
            egui::epaint::Vertex { pos: pos(vertex.at), uv: egui::epaint::WHITE_UV, color: last.1 }
        }));
        mesh.indices.extend_from_slice(&self.drawn.indices);
        self.mesh = Arc::new(mesh);
    }

    /// Paints shapes, then labels.
    pub fn paint(&self, painter: &Painter, theme: &Theme) {
        painter.add(Shape::Mesh(Arc::clone(&self.mesh)));
        for label in &self.labels {
            paint_label(painter, label, theme);
        }
    }
}

fn paint_label(painter: &Painter, label: &Label, theme: &Theme) {
    let font = match label.role {
        LabelRole::Tick | LabelRole::Contour | LabelRole::AxisName | LabelRole::Spot => theme.small_font(),
    };
    let galley = painter.layout_no_wrap(label.text.clone(), font, color(label.color));
    let size = galley.size();
    let at = pos(label.at) - vec2(size.x * label.anchor.0, size.y * label.anchor.1);
    let halo = color(label.halo);
    if halo != Color32::TRANSPARENT {
        for (right, down) in HALO {
            painter.galley_with_override_text_color(at + vec2(right, down), Arc::clone(&galley), halo);
        }
    }
    painter.galley(at, galley, color(label.color));
}

/// Moves horizontal and vertical lines onto whole pixels, so that hairlines stay sharp.
pub fn snap_lines(scene: &mut Scene, painter: &Painter) {
    for shape in &mut scene.shapes {
        if let drawing::Shape::Line { from, to, .. } = shape {
            if from.y == to.y {
                from.y = painter.round_to_pixel_center(from.y);
                to.y = from.y;
            } else if from.x == to.x {
                from.x = painter.round_to_pixel_center(from.x);
                to.x = from.x;
            }
        }
    }
}

/// A short text on a small card beside a point, above everything else.
pub fn card(ctx: &egui::Context, beside: Pos2, text: &str, theme: &Theme) {
    let painter = ctx.layer_painter(LayerId::new(Order::Tooltip, egui::Id::unique("card")));
    let galley = painter.layout_no_wrap(text.to_owned(), theme.body_font(), color(theme.palette.ink));
    let size = galley.size() + vec2(theme.margin, theme.gap);
    let screen = ctx.content_rect().shrink(theme.gap);
    let left = (beside.x + theme.handle_size).min(screen.right() - size.x);
    let top = (beside.y - theme.handle_size - size.y).clamp(screen.top(), screen.bottom() - size.y);
    let rect = Rect::from_min_size(egui::pos2(left, top), size);
    let outline = hairline(color(theme.palette.rule_strong));
    painter.rect(rect, CornerRadius::same(theme.radius), color(theme.palette.paper), outline, StrokeKind::Inside);
    painter.galley(Align2::CENTER_CENTER.align_size_within_rect(galley.size(), rect).min, galley, Color32::PLACEHOLDER);
}
