//! From a table to the screen and back: the box that holds a surface, from axis coordinates and degrees to model
//! space; and an orbiting camera, from there to the screen.

use glam::DVec3;

use super::chart::axis::{nice_step, widened};
use super::{Point, Viewport};
use crate::table::Table;

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
    /// Magnification; at 1 the box fits into the viewport from every side.
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

/// How many box widths fit across, and down, the viewport: the box from any side, and room for its labels.
const WIDTHS_ACROSS: f64 = 1.76;
const WIDTHS_DOWN: f64 = 1.42;
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

    /// Turns by a drag in points; the model follows the pointer, 0.4° per point.
    pub fn orbit(&mut self, right: f64, down: f64) {
        self.azimuth_deg = (self.azimuth_deg + right * 0.4).rem_euclid(360.0);
        self.elevation_deg = (self.elevation_deg + down * 0.4).clamp(-90.0, 90.0);
    }

    /// Shifts the picture by a drag in points.
    pub fn pan_by(&mut self, right: f64, down: f64) {
        self.pan = (self.pan.0 + right, self.pan.1 + down);
    }

    /// Zooms by a factor about a point of the screen; what is seen at that point stays there.
    pub fn zoom_about(&mut self, factor: f64, at: Point, viewport: &Viewport) {
        let zoom = (self.zoom * factor).clamp(ZOOM_RANGE.0, ZOOM_RANGE.1);
        let factor = zoom / self.zoom;
        let center = viewport.center();
        let keep = |pan: f64, at: f32, center: f32| {
            let from_center = f64::from(at) - f64::from(center);
            from_center - (from_center - pan) * factor
        };
        self.pan = (keep(self.pan.0, at.x, center.x), keep(self.pan.1, at.y, center.y));
        self.zoom = zoom;
    }

    /// This camera's projection of a box into a viewport.
    pub fn projector(&self, model: &ModelBox, viewport: &Viewport) -> Projector {
        let (sin_a, cos_a) = self.azimuth_deg.to_radians().sin_cos();
        let (sin_e, cos_e) = exact_sin_cos(self.elevation_deg.clamp(-90.0, 90.0));
        let fit = (f64::from(viewport.width) / WIDTHS_ACROSS).min(f64::from(viewport.height) / WIDTHS_DOWN);
        let scale = fit.max(1.0) * self.zoom.clamp(ZOOM_RANGE.0, ZOOM_RANGE.1);
        let center = viewport.center();
        Projector {
            right: DVec3::new(cos_a, -sin_a, 0.0),
            up: DVec3::new(sin_a * sin_e, cos_a * sin_e, cos_e),
            toward_eye: DVec3::new(-sin_a * cos_e, -cos_a * cos_e, sin_e),
            center: model.center(),
            nearness: self.perspective.clamp(0.0, STRONGEST_PERSPECTIVE),
            scale,
            origin: (f64::from(center.x) + self.pan.0, f64::from(center.y) + self.pan.1),
        }
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
/// triangles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Projector {
    right: DVec3,
    up: DVec3,
    toward_eye: DVec3,
    center: DVec3,
    nearness: f64,
    scale: f64,
    origin: (f64, f64),
}

impl Projector {
    /// The screen point of a model point in homogeneous coordinates (x·w, y·w, w), in which lines of model
    /// space remain lines.
    #[inline]
    pub(super) fn homogeneous(&self, point: DVec3) -> DVec3 {
        let q = point - self.center;
        let w = 1.0 - self.nearness * self.toward_eye.dot(q);
        DVec3::new(
            self.origin.0 * w + self.scale * self.right.dot(q),
            self.origin.1 * w - self.scale * self.up.dot(q),
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
        let (x, y) = (f64::from(at.x) - self.origin.0, self.origin.1 - f64::from(at.y));
        let origin = self.center + (self.right * x + self.up * y) / self.scale;
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
        let seen = self.scale * self.up.z * model.height_per_deg();
        (self.up.z > 0.15).then(|| 1.0 / seen)
    }

    /// How much the view looks down, −1 (straight up) ..= 1 (straight down).
    pub(super) fn downward(&self) -> f64 {
        self.toward_eye.z
    }
}

/// Height of the box relative to its width: high enough to read the shape, low enough to look over the crest.
const HEIGHT: f64 = 0.45;
/// A surface with less relief than this, in degrees, is not stretched to the full height.
const LEAST_RANGE_DEG: f64 = 10.0;

/// The ranges shown. x = speed and y = load run over 0..=1, z over 0..=[`ModelBox::height`] for the value
/// range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModelBox {
    /// Speed at x = 0 and x = 1, rpm.
    pub speed: (f64, f64),
    /// Load at y = 0 and y = 1.
    pub load: (f64, f64),
    /// Degrees at the floor and at the top.
    pub value: (f64, f64),
}

impl ModelBox {
    /// The box around a table, high enough for a second one as well. Its value range is widened to round
    /// numbers, so that it stays the same while single cells change.
    pub fn around(table: &Table, base: Option<&Table>) -> Self {
        let (mut low, mut high) = table.extremes();
        if let Some((base_low, base_high)) = base.map(Table::extremes) {
            (low, high) = (low.min(base_low), high.max(base_high));
        }
        if low >= 0.0 && low < high * 0.6 {
            low = 0.0;
        }
        let middle = f64::midpoint(low, high);
        let half = (high - low).max(LEAST_RANGE_DEG) / 2.0;
        let (low, high) = (low.min(middle - half), high.max(middle + half));
        let value = widened(low, high, nice_step(high - low, 5));
        let (speed, load) = (table.speed(), table.load());
        Self { speed: (speed.first(), speed.last()), load: (load.first(), load.last()), value }
    }

    /// Height of the box in model space.
    pub const fn height(&self) -> f64 {
        HEIGHT
    }

    /// The middle of the box, about which a camera turns.
    pub const fn center(&self) -> DVec3 {
        DVec3::new(0.5, 0.5, HEIGHT / 2.0)
    }

    /// x of a speed in rpm.
    pub fn x(&self, speed_rpm: f64) -> f64 {
        (speed_rpm - self.speed.0) / (self.speed.1 - self.speed.0)
    }

    /// y of a load.
    pub fn y(&self, load: f64) -> f64 {
        (load - self.load.0) / (self.load.1 - self.load.0)
    }

    /// z of a value in degrees.
    pub fn z(&self, value_deg: f64) -> f64 {
        (value_deg - self.value.0) / (self.value.1 - self.value.0) * HEIGHT
    }

    /// The model point of a speed, a load and a value.
    pub fn point(&self, speed_rpm: f64, load: f64, value_deg: f64) -> DVec3 {
        DVec3::new(self.x(speed_rpm), self.y(load), self.z(value_deg))
    }

    /// Height of one degree in model space.
    pub fn height_per_deg(&self) -> f64 {
        HEIGHT / (self.value.1 - self.value.0)
    }

    /// The speed and load over which a model point lies.
    pub fn axis_point(&self, x: f64, y: f64) -> (f64, f64) {
        let along = |(low, high): (f64, f64), t: f64| low + (high - low) * t;
        (along(self.speed, x), along(self.load, y))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Axis;
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

    fn table(value: f64) -> Table {
        let speed = Axis::new(vec![500.0, 2000.0, 7500.0]).unwrap();
        Table::from_fn(speed, Axis::new(vec![0.0, 100.0]).unwrap(), |x, _| value + x / 1000.0).unwrap()
    }

    #[test]
    fn corners_of_the_box_are_the_ends_of_the_axes() {
        let model = ModelBox::around(&table(20.0), None);
        assert_eq!(model.point(500.0, 0.0, model.value.0), DVec3::ZERO);
        assert_eq!(model.point(7500.0, 100.0, model.value.1), DVec3::new(1.0, 1.0, model.height()));
        assert_eq!(model.axis_point(0.5, 0.25), (4000.0, 25.0));
    }

    #[test]
    fn the_range_is_round_and_holds_both_tables() {
        let model = ModelBox::around(&table(20.0), Some(&table(31.3)));
        assert_eq!(model.value, (0.0, 40.0));
        let flat = ModelBox::around(&table(0.0).with_values(vec![12.0; 6]).unwrap(), None);
        assert!(flat.value.1 - flat.value.0 >= LEAST_RANGE_DEG);
    }
}
