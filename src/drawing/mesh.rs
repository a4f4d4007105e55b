//! A scene's shapes as triangles, for painters that can draw nothing else.

use super::{Color, Point, Scene, Shape};

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

    fn area(mesh: &Mesh) -> f32 {
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
        assert!((area(&mesh) - 15.0).abs() < 1e-4);
        let clear = Color::default();
        let ring =
            Shape::Dot { at: Point::default(), radius: 10.0, fill: clear, outline: Color::hex(0), outline_width: 2.0 };
        scene.shapes = vec![ring];
        mesh.fill(&scene);
        let exact = std::f32::consts::PI * (11.0 * 11.0 - 9.0 * 9.0);
        assert!((area(&mesh) / exact - 1.0).abs() < 0.02, "{}", area(&mesh));
    }
}
