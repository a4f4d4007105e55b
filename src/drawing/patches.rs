//! Shapes for painters that can draw only some of them: all as triangles, or triangles with blended corners split
//! into patches of one colour or of a blend between two.

use super::{Color, Point, Scene, Shape};

/// Halving the sides more often than this is not worth the bytes.
const DEEPEST: u8 = 4;

/// How a patch is painted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PatchPaint {
    /// One colour.
    Plain(Color),
    /// From one colour to another along a line, the same across it.
    Blend {
        /// Where the first colour is.
        from: Point,
        /// Where the second is.
        to: Point,
        /// The two.
        colors: [Color; 2],
    },
}

/// A triangle with its paint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patch {
    /// The corners.
    pub at: [Point; 3],
    /// The paint.
    pub paint: PatchPaint,
}

/// What is required of patches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PatchRule {
    /// The largest error allowed in a colour, in each of red, green and blue.
    pub tolerance: f32,
    /// Whether blends are allowed.
    pub blends: bool,
}

impl PatchRule {
    /// Adds the patches of a triangle to a list.
    pub fn split(&self, at: [Point; 3], colors: [Color; 3], out: &mut Vec<Patch>) {
        self.split_to(at, colors, DEEPEST, out);
    }

    fn split_to(&self, at: [Point; 3], colors: [Color; 3], depth: u8, out: &mut Vec<Patch>) {
        let plain = Patch { at, paint: PatchPaint::Plain(mean(colors)) };
        if spread(colors) <= 2.0 * self.tolerance {
            return out.push(plain);
        }
        let blend = self.blends.then(|| blended(at, colors)).flatten();
        match blend {
            Some((paint, off)) if off <= self.tolerance || depth == 0 => return out.push(Patch { at, paint }),
            _ if depth == 0 => return out.push(plain),
            _ => {}
        }
        let ([a, b, c], [p, q, r]) = (at, colors);
        let (ab, bc, ca) = (a.lerp(b, 0.5), b.lerp(c, 0.5), c.lerp(a, 0.5));
        let (pq, qr, rp) = (p.lerp(q, 0.5), q.lerp(r, 0.5), r.lerp(p, 0.5));
        let parts = [
            ([a, ab, ca], [p, pq, rp]),
            ([ab, b, bc], [pq, q, qr]),
            ([ca, bc, c], [rp, qr, r]),
            ([ab, bc, ca], [pq, qr, rp]),
        ];
        for (at, colors) in parts {
            self.split_to(at, colors, depth - 1, out);
        }
    }
}

fn channels(color: Color) -> [f32; 4] {
    [color.r, color.g, color.b, color.a].map(f32::from)
}

fn color([r, g, b, a]: [f32; 4]) -> Color {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to a byte")]
    let byte = |x: f32| (x + 0.5).clamp(0.0, 255.0) as u8;
    Color { r: byte(r), g: byte(g), b: byte(b), a: byte(a) }
}

fn mean(colors: [Color; 3]) -> Color {
    let [p, q, r] = colors.map(channels);
    color(std::array::from_fn(|k| (p[k] + q[k] + r[k]) / 3.0))
}

/// The largest difference of two corners in one channel.
fn spread(colors: [Color; 3]) -> f32 {
    let [p, q, r] = colors.map(channels);
    (0..4).map(|k| p[k].max(q[k]).max(r[k]) - p[k].min(q[k]).min(r[k])).fold(0.0, f32::max)
}

/// The blend closest to the corners, and its error at the worst corner. `None` for a triangle without area.
///
/// Each channel rises along its gradient; the blend runs along the direction that the gradients have most in
/// common (the first eigenvector of the sum of their outer products), and each channel is fitted to the corners
/// by least squares.
fn blended([a, b, c]: [Point; 3], colors: [Color; 3]) -> Option<(PatchPaint, f32)> {
    let ((ux, uy), (vx, vy)) = ((b.x - a.x, b.y - a.y), (c.x - a.x, c.y - a.y));
    let area = ux * vy - uy * vx;
    if area.abs() < 1e-3 {
        return None;
    }
    let [p, q, r] = colors.map(channels);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for k in 0..4 {
        let (du, dv) = (q[k] - p[k], r[k] - p[k]);
        let (gx, gy) = ((du * vy - dv * uy) / area, (dv * ux - du * vx) / area);
        (xx, xy, yy) = (xx + gx * gx, xy + gx * gy, yy + gy * gy);
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    let (dx, dy) = (angle.cos(), angle.sin());
    let middle = Point::new((a.x + b.x + c.x) / 3.0, (a.y + b.y + c.y) / 3.0);
    let along = [a, b, c].map(|at| (at.x - middle.x) * dx + (at.y - middle.y) * dy);
    let square: f32 = along.iter().map(|t| t * t).sum();
    if square < 1e-6 {
        return None;
    }
    let (low, high) = along.iter().fold((f32::MAX, f32::MIN), |(low, high), &t| (low.min(t), high.max(t)));
    let (mut ends, mut off) = ([[0.0; 4]; 2], 0.0_f32);
    for k in 0..4 {
        let at = [p[k], q[k], r[k]];
        let mean = (at[0] + at[1] + at[2]) / 3.0;
        let slope = along.iter().zip(at).map(|(t, x)| t * (x - mean)).sum::<f32>() / square;
        (ends[0][k], ends[1][k]) = (mean + slope * low, mean + slope * high);
        off = along.iter().zip(at).map(|(t, x)| (mean + slope * t - x).abs()).fold(off, f32::max);
    }
    let place = |t: f32| Point::new(middle.x + dx * t, middle.y + dy * t);
    Some((PatchPaint::Blend { from: place(low), to: place(high), colors: ends.map(color) }, off))
}

/// A corner of a triangle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeshVertex {
    /// Where.
    pub at: Point,
    /// Its colour, straight alpha.
    pub color: Color,
}

/// Triangles in painting order: three indices into `vertices` each. Reuse it: refilling keeps the allocated
/// memory.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// The corners.
    pub vertices: Vec<MeshVertex>,
    /// Three per triangle.
    pub indices: Vec<u32>,
}

impl Mesh {
    /// Replaces the contents with the shapes of a scene. Smoothing edges is up to the painter (multisampling).
    pub fn fill(&mut self, scene: &Scene) {
        self.vertices.clear();
        self.indices.clear();
        for shape in &scene.shapes {
            match *shape {
                Shape::Triangle { at, colors } => self.triangle(at, colors),
                Shape::Line { from, to, width, color } => self.line(from, to, width, color),
                Shape::Dot { at, radius, fill, outline, outline_width } => {
                    self.disc(at, radius, fill);
                    self.ring(at, radius, outline_width, outline);
                }
            }
        }
    }

    fn next_index(&self) -> u32 {
        u32::try_from(self.vertices.len()).unwrap_or(u32::MAX)
    }

    fn triangle(&mut self, at: [Point; 3], colors: [Color; 3]) {
        let start = self.next_index();
        self.vertices.extend(at.into_iter().zip(colors).map(|(at, color)| MeshVertex { at, color }));
        self.indices.extend([start, start + 1, start + 2]);
    }

    fn quad(&mut self, at: [Point; 4], color: Color) {
        let start = self.next_index();
        self.vertices.extend(at.map(|at| MeshVertex { at, color }));
        self.indices.extend([start, start + 1, start + 2, start, start + 2, start + 3]);
    }

    fn line(&mut self, from: Point, to: Point, width: f32, color: Color) {
        let length = from.distance(to);
        if length <= 0.0 || width <= 0.0 {
            return;
        }
        let half = width / (2.0 * length);
        let (nx, ny) = ((from.y - to.y) * half, (to.x - from.x) * half);
        let beside = |p: Point, side: f32| Point::new(p.x + nx * side, p.y + ny * side);
        self.quad([beside(from, 1.0), beside(to, 1.0), beside(to, -1.0), beside(from, -1.0)], color);
    }

    fn disc(&mut self, at: Point, radius: f32, color: Color) {
        if color.a == 0 || radius <= 0.0 {
            return;
        }
        for (from, to) in sides(radius) {
            self.triangle([at, beyond(at, from, radius), beyond(at, to, radius)], [color; 3]);
        }
    }

    fn ring(&mut self, at: Point, radius: f32, width: f32, color: Color) {
        if color.a == 0 || width <= 0.0 {
            return;
        }
        let (outer, inner) = (radius + width / 2.0, (radius - width / 2.0).max(0.0));
        for (from, to) in sides(outer) {
            let far = [beyond(at, from, outer), beyond(at, to, outer)];
            self.quad([far[0], far[1], beyond(at, to, inner), beyond(at, from, inner)], color);
        }
    }
}

/// Unit directions of the two ends of each side of a polygon that approximates a circle of that radius: its
/// sides deviate by at most a tenth of a point.
fn sides(radius: f32) -> impl Iterator<Item = (Point, Point)> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count")]
    let count = ((radius.max(1.0).sqrt() * 7.5) as u16).clamp(8, 96);
    let corner = move |side: u16| {
        let angle = f32::from(side % count) / f32::from(count) * std::f32::consts::TAU;
        Point::new(angle.cos(), angle.sin())
    };
    (0..count).map(move |side| (corner(side), corner(side + 1)))
}

fn beyond(at: Point, direction: Point, radius: f32) -> Point {
    Point::new(at.x + direction.x * radius, at.y + direction.y * radius)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn area([a, b, c]: [Point; 3]) -> f32 {
        ((b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y)).abs() / 2.0
    }

    fn any_color() -> impl Strategy<Value = Color> {
        (0..0x100_0000_u32).prop_map(Color::hex)
    }

    proptest! {
        #[test]
        fn patches_cover_the_triangle_and_keep_its_colours(p in any_color(), q in any_color(), r in any_color(), blends: bool) {
            let at = [Point::new(3.0, 4.0), Point::new(90.0, 20.0), Point::new(30.0, 80.0)];
            let mut out = Vec::new();
            PatchRule { tolerance: 8.0, blends }.split(at, [p, q, r], &mut out);
            let whole: f32 = out.iter().map(|patch| area(patch.at)).sum();
            prop_assert!((whole / area(at) - 1.0).abs() < 1e-3);
            let exact = |at: Point| {
                let part = |b: Point, c: Point| area([at, b, c]) / area([Point::new(3.0, 4.0), Point::new(90.0, 20.0), Point::new(30.0, 80.0)]);
                let shares = [part(Point::new(90.0, 20.0), Point::new(30.0, 80.0)), part(Point::new(3.0, 4.0), Point::new(30.0, 80.0)), part(Point::new(3.0, 4.0), Point::new(90.0, 20.0))];
                let [p, q, r] = [p, q, r].map(channels);
                std::array::from_fn::<f32, 4, _>(|k| p[k] * shares[0] + q[k] * shares[1] + r[k] * shares[2])
            };
            for patch in &out {
                let middle = Point::new(patch.at.iter().map(|p| p.x).sum::<f32>() / 3.0, patch.at.iter().map(|p| p.y).sum::<f32>() / 3.0);
                let shown = match patch.paint {
                    PatchPaint::Plain(color) => channels(color),
                    PatchPaint::Blend { from, to, colors } => {
                        let (dx, dy) = (to.x - from.x, to.y - from.y);
                        let t = ((middle.x - from.x) * dx + (middle.y - from.y) * dy) / (dx * dx + dy * dy);
                        channels(colors[0].lerp(colors[1], t))
                    }
                };
                let wanted = exact(middle);
                prop_assert!((0..3).all(|k| (shown[k] - wanted[k]).abs() <= 10.0), "{shown:?} {wanted:?}");
            }
        }
    }

    #[test]
    fn equal_corners_are_one_patch_and_a_slope_is_one_blend() {
        let at = [Point::new(0.0, 0.0), Point::new(40.0, 0.0), Point::new(0.0, 30.0)];
        let (dark, light) = (Color::hex(0x10_2030), Color::hex(0xD0_E0F0));
        let rule = PatchRule { tolerance: 3.0, blends: true };
        let mut out = Vec::new();
        rule.split(at, [dark; 3], &mut out);
        rule.split(at, [dark, light, dark], &mut out);
        let [plain, blend] = out[..] else { panic!("{out:?}") };
        assert_eq!(plain.paint, PatchPaint::Plain(dark));
        let PatchPaint::Blend { from, to, colors } = blend.paint else { panic!("{blend:?}") };
        assert!((from.y - to.y).abs() < 0.01 && (from.distance(to) - 40.0).abs() < 0.01);
        assert!(colors == [dark, light] || colors == [light, dark]);
    }

    fn mesh_area(mesh: &Mesh) -> f32 {
        let corner = |i: u32| mesh.vertices[i as usize].at;
        let doubled = mesh.indices.chunks(3).map(|t| {
            let (a, b, c) = (corner(t[0]), corner(t[1]), corner(t[2]));
            ((b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y)).abs()
        });
        doubled.sum::<f32>() / 2.0
    }

    #[test]
    fn shapes_keep_their_area() {
        let (mut scene, mut mesh) = (Scene::default(), Mesh::default());
        scene.line(Point::new(1.0, 2.0), Point::new(4.0, 6.0), 3.0, Color::hex(0));
        mesh.fill(&scene);
        assert!((mesh_area(&mesh) - 15.0).abs() < 1e-4);
        let clear = Color::default();
        let ring =
            Shape::Dot { at: Point::default(), radius: 10.0, fill: clear, outline: Color::hex(0), outline_width: 2.0 };
        scene.shapes = vec![ring];
        mesh.fill(&scene);
        let exact = std::f32::consts::PI * (11.0 * 11.0 - 9.0 * 9.0);
        assert!((mesh_area(&mesh) / exact - 1.0).abs() < 0.02, "{}", mesh_area(&mesh));
    }
}
