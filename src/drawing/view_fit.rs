//! How large a box is seen: so that its projection and the numbers of its axes fill the pane.

use glam::{DVec2, DVec3};

use super::{ModelBox, Viewport};

/// Room beside the box, in points.
pub(super) struct Margins {
    /// At the left, and at the right.
    sides: f64,
    above: f64,
    /// Below, where numbers stand alone, and where a name does as well.
    below: (f64, f64),
}

impl Margins {
    /// With numbers and names at the axes.
    pub(super) const LABELS: Self = Self { sides: 48.0, above: 26.0, below: (22.0, 54.0) };
    /// Without.
    pub(super) const BARE: Self = Self { sides: 3.0, above: 3.0, below: (3.0, 3.0) };

    /// The room needed under the lowest corner. The name of an axis stands at the middle of its edge: the steeper that edge
    /// is seen, the higher the name.
    fn below(&self, (azimuth_deg, elevation_deg): (f64, f64), scale: f64) -> f64 {
        let (sine, cosine) = azimuth_deg.to_radians().sin_cos();
        let depth = elevation_deg.to_radians().sin().abs() * scale / 2.0;
        let lowest = (sine.abs() * depth).min(cosine.abs() * depth);
        (self.below.1 - lowest).max(self.below.0)
    }
}

/// Margins take no more than this share of a small pane.
const MOST_FOR_MARGINS: f64 = 0.5;
/// Seen along an axis, the box may be stretched by this much in one direction, to fill the pane.
const MOST_STRETCH: f64 = 1.6;
/// At this many degrees off an axis it has its own shape again.
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
/// model units. It depends only on angles and pane, so a table that changes does not move it, and turning the eye changes
/// it steadily.
pub(super) fn fit(
    (azimuth_deg, elevation_deg): (f64, f64),
    viewport: &Viewport,
    margins: &Margins,
    project: impl Fn(DVec3) -> DVec2,
) -> ViewFit {
    let (low, high) = bounds(project);
    let extent = (high - low).max(DVec2::splat(1e-3));
    let size = DVec2::new(viewport.width.into(), viewport.height.into());
    let stretch = stretch(azimuth_deg, elevation_deg);
    let mut below = margins.below.1;
    let mut fitted = ViewFit { scale: DVec2::ONE, place: DVec2::ZERO, middle: (low + high) / 2.0 };
    for _ in 0..ROUNDS {
        let taken = DVec2::new(2.0 * margins.sides, margins.above + below).min(size * MOST_FOR_MARGINS);
        let room = (size - taken).max(DVec2::ONE) / extent;
        let least = room.min_element();
        fitted.scale = (room / least).min(DVec2::splat(MOST_STRETCH)).powf(stretch) * least;
        let above = taken.y * margins.above / (margins.above + below);
        let corner = DVec2::new(f64::from(viewport.left) + taken.x / 2.0, f64::from(viewport.top) + above);
        fitted.place = corner + (size - taken) / 2.0;
        below = margins.below((azimuth_deg, elevation_deg), fitted.scale.y);
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

/// 1 seen along an axis, 0 well off it.
fn stretch(azimuth_deg: f64, elevation_deg: f64) -> f64 {
    let off = |deg: f64| {
        let off = deg.rem_euclid(90.0);
        let near = (1.0 - off.min(90.0 - off) / STRETCHES_WITHIN_DEG).max(0.0);
        near * near * (3.0 - 2.0 * near)
    };
    off(azimuth_deg) * off(elevation_deg)
}
