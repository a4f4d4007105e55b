//! The interval of a measured point: a thin line along its degrees with a bar at each end. An end that nobody knows, or that
//! its bound leaves open, fades out.

use super::{Color, Point, Scene};
use crate::project::{MeasuredPoint, PointBound};

/// Width of a whisker, and half the length of the bars at its ends.
pub(super) const WIDTH: f32 = 1.1;
const HALF_BAR: f32 = 3.0;
/// Length over which an open end fades, in points, and in how many pieces.
const FADING: (f32, u8) = (16.0, 4);

/// An end of an interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WhiskerEnd {
    /// It reaches to these degrees.
    Deg(f64),
    /// It is open.
    Open,
}

/// The two ends of a point's interval, the lower first; `None` if nothing is known of how sure it is.
pub fn whisker(point: &MeasuredPoint) -> Option<[WhiskerEnd; 2]> {
    if point.bound == PointBound::About && point.interval_words().is_none() {
        return None;
    }
    let (low_deg, high_deg) = point.allowed_deg();
    Some([low_deg, high_deg].map(|deg| if deg.is_finite() { WhiskerEnd::Deg(deg) } else { WhiskerEnd::Open }))
}

/// Draws one end, as far as it is seen: from the point to where `place` puts its degrees, or fading towards `away`.
pub(super) fn draw_end(at: Point, end: Point, is_open: bool, ink: Color, scene: &mut Scene) {
    let length = at.distance(end);
    if length < 0.5 {
        return;
    }
    let (right, down) = ((end.x - at.x) / length, (end.y - at.y) / length);
    if is_open {
        let (reach, pieces) = FADING;
        let along = |piece: u8| {
            let far = reach * f32::from(piece) / f32::from(pieces);
            Point::new(at.x + right * far, at.y + down * far)
        };
        for piece in 0..pieces {
            let alpha = u16::from(ink.a) * u16::from(pieces - piece) / u16::from(pieces);
            let ink = ink.with_alpha(u8::try_from(alpha).unwrap_or(ink.a));
            scene.line(along(piece), along(piece + 1), WIDTH, ink);
        }
        return;
    }
    scene.line(at, end, WIDTH, ink);
    draw_bar(end, (right, down), ink, scene);
}

/// The bar across the end of a whisker that runs in a direction of length 1.
pub(super) fn draw_bar(end: Point, (right, down): (f32, f32), ink: Color, scene: &mut Scene) {
    let side = |half: f32| Point::new(end.x - down * half, end.y + right * half);
    scene.line(side(-HALF_BAR), side(HALF_BAR), WIDTH, ink);
}
