//! Triangles to pixels: sixteen samples per pixel, no seam between neighbours, colours blended between the
//! corners.

use crate::drawing::{Color, Mesh, MeshVertex};

/// Samples along each side of a pixel.
const SAMPLES: usize = 4;
/// Pixel rows in memory at once.
const BAND: usize = 32;

/// Paints a mesh on a ground: three bytes per pixel, row by row from the top. `scale` is pixels per point.
pub(super) fn paint(mesh: &Mesh, (width, height): (usize, usize), scale: f32, ground: Color) -> Vec<u8> {
    let mut pixels = Vec::with_capacity(width * height * 3);
    let fine = scale * samples();
    let triangles: Vec<Triangle> = mesh
        .indices
        .chunks_exact(3)
        .filter_map(|corners| {
            let corner = |k: usize| mesh.vertices.get(usize::try_from(*corners.get(k)?).ok()?);
            Triangle::new([corner(0)?, corner(1)?, corner(2)?], fine)
        })
        .collect();
    let mut band = Band::new(width * SAMPLES, ground);
    for top in (0..height).step_by(BAND) {
        let rows = BAND.min(height - top);
        band.clear(top * SAMPLES, rows * SAMPLES, ground);
        triangles.iter().for_each(|triangle| triangle.paint(&mut band));
        band.resolve(rows, &mut pixels);
    }
    pixels
}

#[expect(clippy::cast_precision_loss, reason = "a small number")]
const fn samples() -> f32 {
    SAMPLES as f32
}

/// A band of rows of samples; `top` is the first of them.
struct Band {
    width: usize,
    top: usize,
    rows: usize,
    samples: Vec<[u8; 3]>,
}

impl Band {
    fn new(width: usize, ground: Color) -> Self {
        Self { width, top: 0, rows: 0, samples: vec![bytes(ground); width * BAND * SAMPLES] }
    }

    fn clear(&mut self, top: usize, rows: usize, ground: Color) {
        (self.top, self.rows) = (top, rows);
        self.samples.fill(bytes(ground));
    }

    /// Appends the mean of each pixel's samples.
    fn resolve(&self, rows: usize, pixels: &mut Vec<u8>) {
        for row in 0..rows {
            for column in 0..self.width / SAMPLES {
                pixels.extend_from_slice(&self.pixel(row, column));
            }
        }
    }

    /// The mean of a pixel's samples, most of which are all alike.
    fn pixel(&self, row: usize, column: usize) -> [u8; 3] {
        let line = |line: usize| {
            let start = (row * SAMPLES + line) * self.width + column * SAMPLES;
            &self.samples[start..start + SAMPLES]
        };
        // As bytes, which are compared at once.
        let bytes = |at: usize| line(at).as_flattened();
        let first = bytes(0);
        if first[3..] == first[..first.len() - 3] && (1..SAMPLES).all(|at| bytes(at) == first) {
            return line(0)[0];
        }
        let mut sums = [SAMPLES * SAMPLES / 2; 3];
        for at in 0..SAMPLES {
            for [r, g, b] in line(at) {
                sums[0] += usize::from(*r);
                sums[1] += usize::from(*g);
                sums[2] += usize::from(*b);
            }
        }
        sums.map(|sum| u8::try_from(sum / (SAMPLES * SAMPLES)).unwrap_or(u8::MAX))
    }
}

const fn bytes(color: Color) -> [u8; 3] {
    [color.r, color.g, color.b]
}

/// A triangle in sample coordinates, each corner (x, y) with its colour and opacity, 0..=255.
struct Triangle {
    corners: [(f32, f32); 3],
    /// The colour at sample (0, 0), and its change per sample to the right and down.
    colors: [[f32; 4]; 3],
}

impl Triangle {
    /// `None` for a triangle without area.
    fn new(vertices: [&MeshVertex; 3], fine: f32) -> Option<Self> {
        let corners = vertices.map(|vertex| (vertex.at.x * fine, vertex.at.y * fine));
        let [a, b, c] = corners;
        let (u, v) = ((b.0 - a.0, b.1 - a.1), (c.0 - a.0, c.1 - a.1));
        let area = u.0 * v.1 - u.1 * v.0;
        if !area.is_normal() {
            return None;
        }
        let of = |vertex: &MeshVertex| [vertex.color.r, vertex.color.g, vertex.color.b, vertex.color.a].map(f32::from);
        let [p, q, r] = vertices.map(of);
        let mut colors = [[0.0; 4]; 3];
        for k in 0..4 {
            let (du, dv) = (q[k] - p[k], r[k] - p[k]);
            let (right, down) = ((du * v.1 - dv * u.1) / area, (dv * u.0 - du * v.0) / area);
            (colors[0][k], colors[1][k], colors[2][k]) = (p[k] - right * a.0 - down * a.1, right, down);
        }
        Some(Self { corners, colors })
    }

    fn paint(&self, band: &mut Band) {
        let (low, high) = extent(self.corners.map(|corner| corner.1));
        let first = sample_from(low).max(band.top);
        let end = sample_from(high).min(band.top + band.rows);
        for row in first..end {
            let y = middle_of(row);
            let (left, right) = self.span(y);
            let (start, stop) = (sample_from(left).min(band.width), sample_from(right).min(band.width));
            let from = (row - band.top) * band.width;
            let samples = &mut band.samples[from + start..from + stop.max(start)];
            match (self.is_opaque(), self.is_even()) {
                (true, true) => samples.fill(self.opaque(0.0, y)),
                (true, false) => {
                    for (offset, sample) in samples.iter_mut().enumerate() {
                        *sample = self.opaque(middle_of(start + offset), y);
                    }
                }
                (false, _) => {
                    for (offset, sample) in samples.iter_mut().enumerate() {
                        self.blend(middle_of(start + offset), y, sample);
                    }
                }
            }
        }
    }

    /// Whether nothing below shows through any of it.
    fn is_opaque(&self) -> bool {
        self.colors.map(|of| of[3]) == [255.0, 0.0, 0.0]
    }

    /// Whether it has one colour.
    fn is_even(&self) -> bool {
        self.colors[1] == [0.0; 4] && self.colors[2] == [0.0; 4]
    }

    /// The colour of a sample of an opaque triangle: what [`Triangle::blend`] gives on any ground.
    fn opaque(&self, x: f32, y: f32) -> [u8; 3] {
        let [of, right, down] = &self.colors;
        // A cast to a byte keeps within its range.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates")]
        let bytes = [
            (of[0] + right[0] * x + down[0] * y + 0.5) as u8,
            (of[1] + right[1] * x + down[1] * y + 0.5) as u8,
            (of[2] + right[2] * x + down[2] * y + 0.5) as u8,
        ];
        bytes
    }

    /// The range of x in which the line at y crosses it.
    fn span(&self, y: f32) -> (f32, f32) {
        let (mut left, mut right) = (f32::MAX, f32::MIN);
        for k in 0..3 {
            let (mut a, mut b) = (self.corners[k], self.corners[(k + 1) % 3]);
            // In the same order for both triangles that share the side, so that both find the same x.
            if (a.1, a.0) > (b.1, b.0) {
                (a, b) = (b, a);
            }
            if a.1 <= y && y < b.1 {
                let x = a.0 + (b.0 - a.0) * ((y - a.1) / (b.1 - a.1));
                (left, right) = (left.min(x), right.max(x));
            }
        }
        (left, right)
    }

    fn blend(&self, x: f32, y: f32, sample: &mut [u8; 3]) {
        let at = |k: usize| self.colors[0][k] + self.colors[1][k] * x + self.colors[2][k] * y;
        let share = (at(3) / 255.0).clamp(0.0, 1.0);
        for (k, under) in sample.iter_mut().enumerate() {
            let mixed = at(k) * share + f32::from(*under) * (1.0 - share);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to a byte")]
            let byte = (mixed + 0.5).clamp(0.0, 255.0) as u8;
            *under = byte;
        }
    }
}

fn extent(values: [f32; 3]) -> (f32, f32) {
    values.iter().fold((f32::MAX, f32::MIN), |(low, high), &x| (low.min(x), high.max(x)))
}

/// The coordinate of a sample's centre.
#[expect(clippy::cast_precision_loss, reason = "below 2^24 samples")]
fn middle_of(sample: usize) -> f32 {
    sample as f32 + 0.5
}

/// The first sample whose centre is at or beyond a coordinate.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates; negative gives 0")]
fn sample_from(at: f32) -> usize {
    (at - 0.5).ceil().max(0.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Point, Scene, Shape};

    const GROUND: Color = Color::hex(0xFF_FFFF);

    #[test]
    fn what_is_opaque_is_painted_as_it_would_be_blended() {
        let vertex = |x: f32, y: f32, color: u32| MeshVertex { at: Point::new(x, y), color: Color::hex(color) };
        let corners = |colors: [u32; 3]| {
            [vertex(1.0, 2.0, colors[0]), vertex(37.0, 9.0, colors[1]), vertex(13.0, 44.0, colors[2])]
        };
        for colors in [[0xFF_0010, 0x10_FF80, 0x00_20FF], [0x80_4020; 3]] {
            let [a, b, c] = corners(colors);
            let triangle = Triangle::new([&a, &b, &c], 4.0).unwrap();
            assert!(triangle.is_opaque());
            assert_eq!(triangle.is_even(), colors[0] == colors[1]);
            for (x, y) in (8..140_u8).step_by(3).flat_map(|x| (12..170_u8).step_by(7).map(move |y| (x, y))) {
                let (x, y) = (f32::from(x) + 0.5, f32::from(y) + 0.5);
                let mut blended = [7, 77, 177];
                triangle.blend(x, y, &mut blended);
                assert_eq!(triangle.opaque(x, y), blended, "{x} {y}");
            }
        }
        let sheer = [a_sheer(0.0, 0.0), a_sheer(30.0, 0.0), a_sheer(0.0, 30.0)];
        assert!(!Triangle::new([&sheer[0], &sheer[1], &sheer[2]], 4.0).unwrap().is_opaque());
    }

    fn a_sheer(x: f32, y: f32) -> MeshVertex {
        MeshVertex { at: Point::new(x, y), color: Color::hex(0x80_4020).with_alpha(90) }
    }

    fn painted(shapes: Vec<Shape>, scale: f32) -> Vec<u8> {
        let mut mesh = Mesh::default();
        mesh.fill(&Scene { shapes, labels: Vec::new() });
        paint(&mesh, (40, 50), scale, GROUND)
    }

    fn triangle(at: [(f32, f32); 3], colors: [Color; 3]) -> Shape {
        Shape::Triangle { at: at.map(|(x, y)| Point::new(x, y)), colors }
    }

    #[test]
    fn neighbours_neither_overlap_nor_leave_a_seam() {
        let half = Color::hex(0).with_alpha(128);
        let corners = [(3.3, 2.1), (37.7, 4.9), (35.2, 46.4), (5.5, 41.3)];
        let middle = (19.3, 22.7);
        let fans = (0..4).map(|k| triangle([corners[k], corners[(k + 1) % 4], middle], [half; 3]));
        let pixels = painted(fans.collect(), 1.0);
        let inside = |x: usize, y: usize| pixels[(y * 40 + x) * 3];
        for y in 8..38 {
            for x in 8..33 {
                assert_eq!(inside(x, y), 127, "{x} {y}");
            }
        }
        assert_eq!(inside(0, 0), 255);
    }

    #[test]
    fn colours_run_between_the_corners_and_bands_join() {
        let (dark, light) = (Color::hex(0), Color::hex(0xC8_C8C8));
        let shape = |at| triangle(at, [dark, dark, light]);
        let pixels = painted(vec![shape([(0.0, 0.0), (400.0, 0.0), (0.0, 50.0)])], 1.0);
        for y in 0..49 {
            #[expect(clippy::cast_precision_loss, reason = "small")]
            let wanted = (y as f32 + 0.5) * 4.0;
            assert!((f32::from(pixels[y * 40 * 3]) - wanted).abs() <= 2.0, "{y}");
        }
    }

    #[test]
    fn a_line_covers_its_area() {
        let line =
            Shape::Line { from: Point::new(2.0, 10.1), to: Point::new(38.0, 10.1), width: 3.0, color: Color::hex(0) };
        let inked: f64 = painted(vec![line], 1.0).chunks(3).map(|pixel| 1.0 - f64::from(pixel[0]) / 255.0).sum();
        assert!((inked - 108.0).abs() < 12.0, "{inked}");
        assert_eq!(painted(vec![line], 0.5), painted(vec![line], 0.5));
    }
}
