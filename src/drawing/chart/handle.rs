//! Points of a line that can be dragged.

use super::CHART;
use crate::drawing::{Color, Palette, Point, Scene, Shape};

/// A point of a line in its present state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Handle {
    /// Where.
    pub at: Point,
    /// Whether it is the one that keys move.
    pub is_active: bool,
    /// Whether it is selected.
    pub is_selected: bool,
    /// The colour of its outline.
    pub rim: Color,
    /// The colour of a ring around it, for the pointer being over it or the keyboard focus.
    pub ring: Option<Color>,
}

impl Handle {
    /// Draws it; `radius` is that of the line's points, see [`handle_radius`].
    pub fn draw(&self, radius: f32, palette: &Palette, scene: &mut Scene) {
        let (radius, fill, outline) = match (self.is_active, self.is_selected) {
            (true, _) => (CHART.radii.1, palette.accent, palette.ink),
            (_, true) => (radius, palette.accent, palette.accent),
            _ => (radius, palette.handle, self.rim),
        };
        scene.shapes.push(Shape::Dot { at: self.at, radius, fill, outline, outline_width: CHART.outline });
        if let Some(outline) = self.ring {
            let (off, outline_width) = CHART.ring;
            let fill = Color::default();
            scene.shapes.push(Shape::Dot { at: self.at, radius: radius + off, fill, outline, outline_width });
        }
    }
}

/// The radius of that many points along a line of this length, small enough that neighbours do not touch.
pub fn handle_radius(length: f32, points: usize) -> f32 {
    let (usual, _, least) = CHART.radii;
    #[expect(clippy::cast_precision_loss, reason = "at most 64 points")]
    let spacing = length / points.saturating_sub(1).max(1) as f32;
    (spacing * CHART.spacing_share).clamp(least, usual)
}

/// The index of the point nearest to a place, if one is at most `reach` away.
pub fn nearest(points: &[Point], at: Point, reach: f32) -> Option<usize> {
    let near = points.iter().enumerate().map(|(index, point)| (index, point.distance(at)));
    near.filter(|&(_, distance)| distance <= reach).min_by(|a, b| a.1.total_cmp(&b.1)).map(|(index, _)| index)
}
