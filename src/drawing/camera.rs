//! An orbiting camera: from model space to the screen and back.

use glam::{DVec2, DVec3};

use super::view_fit::{Margins, ViewFit, fit};
use super::{ModelBox, Point, Viewport};

/// One of the fixed views.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum View {
    /// Level, speed to the right.
    Front,
    /// Level, load to the right.
    Side,
    /// Straight down, speed to the right and load up: a map.
    Plan,
    /// From above the corner of low speed and low load.
    ThreeQuarter,
}

impl View {
    /// All fixed views, in the order of their buttons.
    pub const ALL: [Self; 4] = [Self::Front, Self::Side, Self::Plan, Self::ThreeQuarter];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Side => "side",
            Self::Plan => "plan",
            Self::ThreeQuarter => "three-quarter",
        }
    }
}

/// Where the eye is. The camera always looks at the middle of the box; panning shifts the picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// Degrees around the vertical; see the conventions of this room (`drawing/mod.rs`). Any finite number.
    pub azimuth_deg: f64,
    /// Degrees above the horizontal, −90..=90.
    pub elevation_deg: f64,
    /// Magnification; at 1 the box with the labels of its axes fills the viewport.
    pub zoom: f64,
    /// Shift of the picture in points, right and down.
    pub pan: (f64, f64),
    /// 0 is parallel projection; otherwise one over the distance of the eye in box widths, up to 0.5.
    pub perspective: f64,
}

impl Default for Camera {
    fn default() -> Self {
        Self::view(View::ThreeQuarter)
    }
}

const ZOOM_RANGE: (f64, f64) = (0.2, 20.0);
const STRONGEST_PERSPECTIVE: f64 = 0.5;

impl Camera {
    /// A fixed view, unzoomed, in parallel projection.
    pub const fn view(view: View) -> Self {
        let (azimuth_deg, elevation_deg) = match view {
            View::Front => (0.0, 0.0),
            View::Side => (-90.0, 0.0),
            View::Plan => (0.0, 90.0),
            View::ThreeQuarter => (28.0, 36.5),
        };
        Self { azimuth_deg, elevation_deg, zoom: 1.0, pan: (0.0, 0.0), perspective: 0.0 }
    }

    /// Turns by a drag in points; the model follows the pointer, 0.4° per point. The eye never goes below the floor.
    pub fn orbit(&mut self, right: f64, down: f64) {
        self.azimuth_deg = (self.azimuth_deg + right * 0.4).rem_euclid(360.0);
        self.elevation_deg = (self.elevation_deg + down * 0.4).clamp(0.0, 90.0);
    }

    /// Looks from the other side.
    pub fn turn_round(&mut self) {
        self.azimuth_deg = (self.azimuth_deg + 180.0).rem_euclid(360.0);
    }

    /// Shifts the picture by a drag in points.
    pub fn pan_by(&mut self, right: f64, down: f64) {
        self.pan = (self.pan.0 + right, self.pan.1 + down);
    }

    /// Zooms by a factor about a point of the screen; what is seen at that point stays there.
    pub fn zoom_about(&mut self, factor: f64, at: Point, viewport: &Viewport) {
        let zoom = (self.zoom * factor).clamp(ZOOM_RANGE.0, ZOOM_RANGE.1);
        let factor = zoom / self.zoom;
        let center = self.fit(viewport, &Margins::LABELS).place;
        let keep = |pan: f64, at: f32, center: f64| {
            let from_center = f64::from(at) - center;
            from_center - (from_center - pan) * factor
        };
        self.pan = (keep(self.pan.0, at.x, center.x), keep(self.pan.1, at.y, center.y));
        self.zoom = zoom;
    }

    /// This camera's projection of a box into a viewport.
    pub fn projector(&self, model: &ModelBox, viewport: &Viewport) -> Projector {
        self.projector_with(&Margins::LABELS, model, viewport)
    }

    /// The same without room for labels, for [`Relief::draw_bare`](super::Relief::draw_bare).
    pub fn bare_projector(&self, model: &ModelBox, viewport: &Viewport) -> Projector {
        self.projector_with(&Margins::BARE, model, viewport)
    }

    fn projector_with(&self, margins: &Margins, model: &ModelBox, viewport: &Viewport) -> Projector {
        let ViewFit { scale, place, middle } = self.fit(viewport, margins);
        let zoom = self.zoom.clamp(ZOOM_RANGE.0, ZOOM_RANGE.1);
        let origin = place + DVec2::from(self.pan) - middle * scale * zoom;
        Projector { center: model.center(), scale: scale * zoom, origin, ..self.eye() }
    }

    /// The projection about the origin, at one point for one unit of the model.
    fn eye(&self) -> Projector {
        let (sin_a, cos_a) = self.azimuth_deg.to_radians().sin_cos();
        let (sin_e, cos_e) = exact_sin_cos(self.elevation_deg.clamp(-90.0, 90.0));
        Projector {
            right: DVec3::new(cos_a, -sin_a, 0.0),
            up: DVec3::new(sin_a * sin_e, cos_a * sin_e, cos_e),
            toward_eye: DVec3::new(-sin_a * cos_e, -cos_a * cos_e, sin_e),
            center: ModelBox::CENTER,
            nearness: self.perspective.clamp(0.0, STRONGEST_PERSPECTIVE),
            scale: DVec2::ONE,
            origin: DVec2::ZERO,
        }
    }

    fn fit(&self, viewport: &Viewport, margins: &Margins) -> ViewFit {
        let eye = self.eye();
        fit((self.azimuth_deg, self.elevation_deg), viewport, margins, |point| {
            let h = eye.homogeneous(point);
            h.truncate() / h.z
        })
    }
}

/// Sine and cosine for −90..=90; at both poles exactly ±1 and 0, so that straight down is exactly straight down.
fn exact_sin_cos(deg: f64) -> (f64, f64) {
    if deg.abs() == 90.0 { (deg.signum(), 0.0) } else { deg.to_radians().sin_cos() }
}

/// A line of sight in model space.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ray {
    /// A point on it.
    pub origin: DVec3,
    /// Its direction, away from the eye, of length 1.
    pub direction: DVec3,
}

/// A projection of model space to the screen.
///
/// screen = origin + scale·(right·q, −up·q)/(1 − n·toward_eye·q), q = point − center, n = 1/distance of the eye
/// (0 in parallel projection): central projection onto the picture plane through the centre, by similar
/// triangles. The scale across may differ from that down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Projector {
    right: DVec3,
    up: DVec3,
    toward_eye: DVec3,
    center: DVec3,
    nearness: f64,
    scale: DVec2,
    origin: DVec2,
}

impl Projector {
    /// The screen point of a model point in homogeneous coordinates (x·w, y·w, w), in which lines of model
    /// space remain lines.
    #[inline]
    pub(super) fn homogeneous(&self, point: DVec3) -> DVec3 {
        let q = point - self.center;
        let w = 1.0 - self.nearness * self.toward_eye.dot(q);
        DVec3::new(
            self.origin.x * w + self.scale.x * self.right.dot(q),
            self.origin.y * w - self.scale.y * self.up.dot(q),
            w,
        )
    }

    /// Where a model point is seen. The point must lie in the box or near it.
    #[expect(clippy::cast_possible_truncation, reason = "screen points are f32")]
    pub fn project(&self, point: DVec3) -> Point {
        let h = self.homogeneous(point);
        Point::new((h.x / h.z) as f32, (h.y / h.z) as f32)
    }

    /// The eye in homogeneous coordinates (x·w, y·w, z·w) and w; w = 0 if it is infinitely far away in that
    /// direction.
    pub(super) fn eye(&self) -> (DVec3, f64) {
        (self.toward_eye + self.center * self.nearness, self.nearness)
    }

    /// The line of sight through a screen point.
    pub fn ray(&self, at: Point) -> Ray {
        let (x, y) = (f64::from(at.x) - self.origin.x, self.origin.y - f64::from(at.y));
        let origin = self.center + self.right * x / self.scale.x + self.up * y / self.scale.y;
        if self.nearness == 0.0 {
            return Ray { origin, direction: -self.toward_eye };
        }
        let eye = self.center + self.toward_eye / self.nearness;
        Ray { origin, direction: (origin - eye).normalize() }
    }

    /// The direction from a model point towards the eye, of length 1.
    pub fn toward_eye(&self, point: DVec3) -> DVec3 {
        let (eye, w) = self.eye();
        (eye - point * w).normalize()
    }

    /// Degrees by which a vertex rises for one point of upward pointer movement; `None` if the view is so steep
    /// that heights cannot be seen.
    pub fn deg_per_point(&self, model: &ModelBox) -> Option<f64> {
        let seen = self.scale.y * self.up.z * model.height_per_deg();
        (self.up.z > 0.15).then(|| 1.0 / seen)
    }

    /// How much the view looks down, −1 (straight up) ..= 1 (straight down).
    pub(super) fn downward(&self) -> f64 {
        self.toward_eye.z
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const BOX: ModelBox = ModelBox { speed: (500.0, 7500.0), load: (0.0, 100.0), value: (0.0, 40.0) };
    const VIEWPORT: Viewport = Viewport { left: 10.0, top: 20.0, width: 520.0, height: 440.0 };

    fn seen(view: View, point: DVec3) -> Point {
        Camera::view(view).projector(&BOX, &VIEWPORT).project(point)
    }

    #[test]
    fn fixed_views_show_what_they_say() {
        let origin = DVec3::ZERO;
        for (view, right, up) in
            [(View::Front, DVec3::X, DVec3::Z), (View::Side, DVec3::Y, DVec3::Z), (View::Plan, DVec3::X, DVec3::Y)]
        {
            let (o, r, u) = (seen(view, origin), seen(view, right), seen(view, up));
            assert!(r.x - o.x > 100.0 && (r.y - o.y).abs() < 1e-3, "{view:?} right");
            assert!(o.y - u.y > 100.0 && (u.x - o.x).abs() < 1e-3, "{view:?} up");
        }
        let near = seen(View::ThreeQuarter, origin);
        for far in [DVec3::X, DVec3::Y, DVec3::Z] {
            assert!(seen(View::ThreeQuarter, far).y < near.y);
        }
    }

    /// The box as it is seen: left, top, right, bottom.
    fn around(camera: &Camera, viewport: &Viewport) -> [f32; 4] {
        let projector = camera.projector(&BOX, viewport);
        let corners = (0..8_u8).map(|corner| {
            let bit = |k: u8| f64::from(corner >> k & 1);
            projector.project(DVec3::new(bit(0), bit(1), bit(2) * BOX.height()))
        });
        corners.fold([f32::MAX, f32::MAX, f32::MIN, f32::MIN], |[l, t, r, b], at| {
            [l.min(at.x), t.min(at.y), r.max(at.x), b.max(at.y)]
        })
    }

    #[test]
    fn fixed_views_fill_their_pane() {
        for (view, least) in [(View::Plan, (0.81, 0.81)), (View::Front, (0.81, 0.6)), (View::Side, (0.81, 0.6))] {
            let [left, top, right, bottom] = around(&Camera::view(view), &VIEWPORT);
            let filled = ((right - left) / VIEWPORT.width, (bottom - top) / VIEWPORT.height);
            assert!(filled.0 >= least.0 && filled.1 >= least.1, "{view:?} {filled:?}");
        }
        let [left, top, right, bottom] = around(&Camera::default(), &VIEWPORT);
        assert!((right - left) / VIEWPORT.width > 0.81 || (bottom - top) / VIEWPORT.height > 0.85);
    }

    #[test]
    fn turning_changes_the_size_steadily() {
        for elevation_deg in [0.0, 10.0, 36.5, 80.0, 90.0] {
            let seen =
                |azimuth_deg: f64| around(&Camera { azimuth_deg, elevation_deg, ..Camera::default() }, &VIEWPORT);
            for step in 0..720 {
                let (here, there) = (seen(f64::from(step) / 2.0), seen(f64::from(step + 1) / 2.0));
                let moved = here.iter().zip(there).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
                assert!(moved < 9.0, "{elevation_deg} {step}: {moved}");
            }
        }
    }

    #[test]
    fn turning_never_goes_below_the_floor() {
        let mut camera = Camera::default();
        camera.orbit(10.0, -4000.0);
        assert_eq!(camera.elevation_deg, 0.0);
        camera.orbit(10.0, 4000.0);
        assert_eq!(camera.elevation_deg, 90.0);
    }

    #[test]
    fn the_box_fits_from_every_side() {
        for azimuth in (0..360).step_by(15) {
            for elevation in (-90..=90).step_by(15) {
                let camera = Camera {
                    azimuth_deg: f64::from(azimuth),
                    elevation_deg: f64::from(elevation),
                    ..Camera::default()
                };
                let projector = camera.projector(&BOX, &VIEWPORT);
                for corner in 0..8 {
                    let bit = |k: u8| f64::from(corner >> k & 1);
                    let at = projector.project(DVec3::new(bit(0), bit(1), bit(2) * BOX.height()));
                    assert!(VIEWPORT.contains(at), "{azimuth} {elevation} {at:?}");
                }
            }
        }
    }

    #[test]
    fn lifting_follows_the_pointer() {
        let projector = Camera::default().projector(&BOX, &VIEWPORT);
        let rise = projector.deg_per_point(&BOX).unwrap();
        let (low, high) =
            (projector.project(BOX.point(3000.0, 50.0, 20.0)), projector.project(BOX.point(3000.0, 50.0, 25.0)));
        assert!((f64::from(low.y - high.y) * rise - 5.0).abs() < 1e-3);
        assert!(Camera::view(View::Plan).projector(&BOX, &VIEWPORT).deg_per_point(&BOX).is_none());
    }

    proptest! {
        #[test]
        fn the_ray_through_a_projected_point_meets_it(
            azimuth_deg in 0.0..360.0, elevation_deg in -90.0..90.0, perspective in 0.0..0.5,
            x in 0.0..1.0, y in 0.0..1.0, z in 0.0..0.45,
        ) {
            let camera = Camera { azimuth_deg, elevation_deg, perspective, ..Camera::default() };
            let projector = camera.projector(&BOX, &VIEWPORT);
            let point = DVec3::new(x, y, z);
            let ray = projector.ray(projector.project(point));
            let off = (point - ray.origin).cross(ray.direction).length();
            prop_assert!(off < 1e-5, "{}", off);
            prop_assert!((projector.toward_eye(point) + ray.direction).length() < 1e-5);
        }

        #[test]
        fn zooming_keeps_the_point_under_the_pointer(factor in 0.5..2.0, x in 10.0_f32..500.0, y in 20.0_f32..400.0) {
            let mut camera = Camera { pan: (13.0, -7.0), ..Camera::default() };
            let at = Point::new(x, y);
            let origin = camera.projector(&BOX, &VIEWPORT).ray(at).origin;
            camera.zoom_about(factor, at, &VIEWPORT);
            prop_assert!(camera.projector(&BOX, &VIEWPORT).project(origin).distance(at) < 1e-3);
        }
    }
}
