//! What all charts have in common, on the screen, in pictures and on paper: round numbers whose texts neither
//! touch nor leave their space, faint guides, dashes, and points that can be dragged.

use crate::drawing::{Color, Palette, Point, Scene, Shape};

pub(super) mod axis;
mod frame;

pub use axis::{ChartAxis, ChartTick, Direction};
pub use frame::{ChartFrame, ChartSpec, round_range};

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

/// Whether each of several points along a line gets its mark: those that must have one, by index, and of the others so
/// many that two marks are nowhere closer than `least`. `along` are their places, ascending. What is left out depends
/// on places alone, not on values, so that no mark comes or goes while a point is dragged.
pub fn spaced(along: &[f32], must: impl Fn(usize) -> bool, least: f32) -> Vec<bool> {
    let mut next = f32::INFINITY;
    let mut ahead: Vec<f32> = Vec::with_capacity(along.len());
    for (index, &at) in along.iter().enumerate().rev() {
        next = if must(index) { at } else { next };
        ahead.push(next);
    }
    let mut last = f32::NEG_INFINITY;
    let places = along.iter().zip(ahead.iter().rev()).enumerate();
    let marked = places.map(|(index, (&at, &next))| {
        let is_marked = must(index) || (at - last >= least && next - at >= least);
        last = if is_marked { at } else { last };
        is_marked
    });
    marked.collect()
}

/// The index of the point nearest to a place, if one is at most `reach` away.
pub fn nearest(points: &[Point], at: Point, reach: f32) -> Option<usize> {
    let near = points.iter().enumerate().map(|(index, point)| (index, point.distance(at)));
    near.filter(|&(_, distance)| distance <= reach).min_by(|a, b| a.1.total_cmp(&b.1)).map(|(index, _)| index)
}

/// How charts are drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChartStyle {
    /// Width of the main line.
    pub main: f32,
    /// Width of a line beside the main one, such as the base.
    pub thin: f32,
    /// Width of guides.
    pub guide: f32,
    /// Lengths of dashes and gaps for a base, and for whatever else is shown for comparison.
    pub dashes: (f32, f32),
    /// The same for what is only proposed.
    pub proposed_dashes: (f32, f32),
    /// The same for bounds such as a floor or a ceiling.
    pub bound_dashes: (f32, f32),
    /// Distance between the numbers and the plot area.
    pub number_gap: f32,
    /// Room above, right of and below that area: for handles at its edge and a line of numbers.
    pub around: (f32, f32, f32),
    /// The least room left of it for numbers.
    pub gutter: f32,
    /// Radius of a point, of the active one, and the smallest radius where there are many points.
    pub radii: (f32, f32, f32),
    /// Points closer than this along a slice are not all marked.
    pub spacing: f32,
    /// Where points are dense, their radius is this share of their mean distance.
    pub spacing_share: f32,
    /// Width of a point's outline.
    pub outline: f32,
    /// Distance of a ring from its point, and its width.
    pub ring: (f32, f32),
}

/// The style of every chart.
pub const CHART: ChartStyle = ChartStyle {
    main: 1.8,
    thin: 1.1,
    guide: 1.0,
    dashes: (4.0, 3.0),
    proposed_dashes: (7.0, 3.0),
    bound_dashes: (2.0, 3.0),
    number_gap: 7.0,
    around: (8.0, 8.0, 20.0),
    gutter: 28.0,
    radii: (3.0, 4.5, 1.5),
    spacing: 8.0,
    spacing_share: 0.3,
    outline: 1.2,
    ring: (3.0, 1.5),
};

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn marks_thin_out_where_points_are_dense() {
        let dense = [0.0, 5.0, 10.0, 15.0, 30.0, 34.0];
        assert_eq!(spaced(&dense, |_| false, 8.0), [true, false, true, false, true, false]);
        assert_eq!(spaced(&dense, |index| index == 1, 8.0), [false, true, false, true, true, false]);
        assert_eq!(spaced(&[0.0, 8.0, 16.0], |_| false, 8.0), [true; 3]);
    }

    proptest! {
        #[test]
        fn no_mark_is_left_out_without_need(gaps in proptest::collection::vec((0.5_f32..12.0, any::<bool>()), 1..40)) {
            let mut at = 0.0;
            let (along, must): (Vec<f32>, Vec<bool>) = gaps.iter().map(|&(gap, must)| { at += gap; (at, must) }).unzip();
            let marked = spaced(&along, |index| must[index], 8.0);
            for index in 0..along.len() {
                prop_assert!(marked[index] || !must[index]);
                let others = (0..along.len()).filter(|&other| other != index && marked[other]);
                let crowded = others.clone().any(|other| (along[other] - along[index]).abs() < 8.0);
                prop_assert!(marked[index] || crowded, "left out without need: {index}");
                prop_assert!(!marked[index] || must[index] || !crowded, "too close: {index}");
            }
        }
    }
}
