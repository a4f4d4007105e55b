//! How large a box is seen: so that its projection and the numbers of its axes fill the pane.

use glam::{DVec2, DVec3};

use super::{ModelBox, Viewport};

/// Room for numbers and names beside the box, points: at the sides, above, and below where numbers stand alone or a name as
/// well.
const SIDES: f64 = 48.0;
const ABOVE: f64 = 26.0;
const BELOW: (f64, f64) = (22.0, 54.0);
/// The room for labels takes no more than this share of a small pane.
const MOST_FOR_LABELS: f64 = 0.5;
/// Seen along an axis, the box may be so much wider or higher than it is, to fill the pane.
const MOST_STRETCH: f64 = 1.6;
/// So many degrees off an axis it has its own shape again.
const STRETCHES_WITHIN_DEG: f64 = 16.0;
const ROUNDS: u32 = 3;

/// Points of the screen for one unit of the model across and down, and where its middle is seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ViewFit {
    pub(super) scale: DVec2,
    /// The middle of the place for the box, in points.
    pub(super) place: DVec2,
    /// The middle of the projected box, right and down, in model units.
    pub(super) middle: DVec2,
}

/// The fit of a view with these angles. `project` gives the place of a point right of and below the centre of the box, in
/// model units. It depends on angles and pane alone, so a table that changes does not move it, and turning the eye changes
/// it steadily.
pub(super) fn fit(
    (azimuth_deg, elevation_deg): (f64, f64),
    viewport: &Viewport,
    project: impl Fn(DVec3) -> DVec2,
) -> ViewFit {
    let (low, high) = bounds(project);
    let extent = (high - low).max(DVec2::splat(1e-3));
    let size = DVec2::new(viewport.width.into(), viewport.height.into());
    let stretch = stretch(azimuth_deg, elevation_deg);
    let mut below = BELOW.1;
    let mut fitted = ViewFit { scale: DVec2::ONE, place: DVec2::ZERO, middle: (low + high) / 2.0 };
    for _ in 0..ROUNDS {
        let labels = DVec2::new(2.0 * SIDES, ABOVE + below).min(size * MOST_FOR_LABELS);
        let room = (size - labels).max(DVec2::ONE) / extent;
        let least = room.min_element();
        fitted.scale = (room / least).min(DVec2::splat(MOST_STRETCH)).powf(stretch) * least;
        let above = labels.y * ABOVE / (ABOVE + below);
        let corner = DVec2::new(f64::from(viewport.left) + labels.x / 2.0, f64::from(viewport.top) + above);
        fitted.place = corner + (size - labels) / 2.0;
        below = room_below(azimuth_deg, elevation_deg, fitted.scale.y);
    }
    fitted
}

/// The corners of the rectangle around the projected box.
fn bounds(project: impl Fn(DVec3) -> DVec2) -> (DVec2, DVec2) {
    let height = ModelBox::HEIGHT;
    let corners = (0..8_u8).map(|k| {
        let bit = |place: u8| f64::from(k >> place & 1);
        project(DVec3::new(bit(0), bit(1), bit(2) * height))
    });
    corners.fold((DVec2::MAX, DVec2::MIN), |(low, high), at| (low.min(at), high.max(at)))
}

/// The room that labels need under the lowest corner. The name of an axis stands at the middle of its edge: the steeper that
/// is seen, the higher the name.
fn room_below(azimuth_deg: f64, elevation_deg: f64, scale: f64) -> f64 {
    let (sine, cosine) = azimuth_deg.to_radians().sin_cos();
    let depth = elevation_deg.to_radians().sin().abs() * scale / 2.0;
    let lowest = (sine.abs() * depth).min(cosine.abs() * depth);
    (BELOW.1 - lowest).max(BELOW.0)
}

/// 1 seen along an axis, 0 well off it.
fn stretch(azimuth_deg: f64, elevation_deg: f64) -> f64 {
    let off = |deg: f64| {
        let off = deg.rem_euclid(90.0);
        let near = (1.0 - off.min(90.0 - off) / STRETCHES_WITHIN_DEG).max(0.0);
        near * near * (3.0 - 2.0 * near)
    };
    off(azimuth_deg) * off(elevation_deg)
}
