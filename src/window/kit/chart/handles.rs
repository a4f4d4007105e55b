//! Points of a line that can be dragged.

use eframe::egui::{Painter, Pos2, Rect, vec2};

use crate::drawing::{Handle, Scene};
use crate::window::kit::scene_painter;
use crate::window::kit::theme::Theme;

/// The area in which the pointer can grab a point: no neighbour is closer there.
pub fn touch(points: &[Pos2], index: usize, size: f32) -> Rect {
    let Some(&here) = points.get(index) else { return Rect::NOTHING };
    let half = size / 2.0;
    let reach = |other: Option<&Pos2>| other.map_or(half, |other| ((here.x - other.x).abs() / 2.0).min(half));
    let before = reach(index.checked_sub(1).and_then(|before| points.get(before)));
    let after = reach(points.get(index + 1));
    Rect::from_min_max(here - vec2(before, half), here + vec2(after, half))
}

/// Paints points over their line, in this order; see [`crate::drawing::handle_radius`].
pub fn paint_handles(painter: &Painter, handles: impl IntoIterator<Item = Handle>, radius: f32, theme: &Theme) {
    let mut scene = Scene::default();
    for handle in handles {
        handle.draw(radius, theme.palette, &mut scene);
    }
    scene_painter::paint(painter, &scene, theme);
}

#[cfg(test)]
mod tests {
    use eframe::egui::pos2;

    use super::*;

    #[test]
    fn every_point_of_a_line_has_an_area_of_its_own() {
        let points = [pos2(0.0, 50.0), pos2(6.0, 40.0), pos2(100.0, 40.0)];
        let areas: Vec<Rect> = (0..3).map(|index| touch(&points, index, 24.0)).collect();
        assert!(areas.windows(2).all(|pair| pair[0].right() <= pair[1].left()));
        assert!(areas.iter().zip(points).all(|(area, point)| area.contains(point)));
        assert_eq!(touch(&points, 3, 24.0), Rect::NOTHING);
    }
}
