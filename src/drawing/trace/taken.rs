//! Where words may stand in the lanes: neither on a curve nor upon other words.

use super::LINE_WIDTH;
use crate::drawing::label_room::{label_box, overlaps};
use crate::drawing::{Label, Rect, Scene, Shape};

/// The boxes of what is drawn in a trace and must stay readable: curves, rings, marks and words.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Taken(Vec<Rect>);

impl Taken {
    /// What a scene has between two places along the screen.
    pub fn between(scene: &Scene, (left, right): (f32, f32)) -> Self {
        let shapes = scene.shapes.iter().filter_map(shape_box);
        let boxes = shapes.chain(scene.labels.iter().map(label_box));
        Self(boxes.filter(|own| own.left <= right && own.left + own.width >= left).collect())
    }

    /// Whether there is nothing in a place.
    pub fn is_free(&self, place: &Rect) -> bool {
        !self.0.iter().any(|own| overlaps(own, place))
    }

    /// Adds the first of some labels that is in nobody's way to a scene, or the very first.
    pub(super) fn put(&mut self, labels: impl IntoIterator<Item = Label>, scene: &mut Scene) {
        let labels: Vec<Label> = labels.into_iter().collect();
        let free = labels.iter().find(|label| self.is_free(&label_box(label)));
        if let Some(label) = free.or(labels.first()) {
            self.0.push(label_box(label));
            scene.labels.push(label.clone());
        }
    }
}

/// The box of a curve, a ring or a mark; guides, scales and dashes may run behind words.
fn shape_box(shape: &Shape) -> Option<Rect> {
    let around = |corners: &[(f32, f32)]| {
        let (&(x, y), rest) = corners.split_first()?;
        let (low, high) = rest.iter().fold(((x, y), (x, y)), |(low, high), &(x, y)| {
            ((low.0.min(x), low.1.min(y)), (high.0.max(x), high.1.max(y)))
        });
        Some(Rect { left: low.0, top: low.1, width: high.0 - low.0, height: high.1 - low.1 })
    };
    match *shape {
        Shape::Line { from, to, width, .. } if width == LINE_WIDTH => around(&[(from.x, from.y), (to.x, to.y)]),
        Shape::Line { .. } => None,
        Shape::Dot { at, radius, .. } => around(&[(at.x - radius, at.y - radius), (at.x + radius, at.y + radius)]),
        Shape::Triangle { at: [a, b, c], .. } => around(&[(a.x, a.y), (b.x, b.y), (c.x, c.y)]),
    }
}
