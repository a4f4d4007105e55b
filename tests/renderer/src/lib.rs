//! Pictures without a GPU: egui's triangles filled by hand, nearest sampling, premultiplied blending in sRGB bytes, four
//! samples a pixel as in the real window. A package of its own, since what runs for every pixel is built with optimisation
//! and the tests themselves are not.
#![expect(clippy::cast_possible_truncation, reason = "pixels are small whole numbers")]

mod comparing;

use std::collections::HashMap;
use std::ops::Range;

use egui::epaint::{ImageDelta, Primitive, Vertex};
use egui::{ColorImage, ImageData, Rect, TextureId, TexturesDelta};
use egui_kittest::TestRenderer;
use image::RgbaImage;

pub use self::comparing::{Difference, MOST_OF_A_TILE, colours, difference};

/// Keeps egui's textures and fills its triangles.
#[derive(Default)]
pub struct SoftwareRenderer {
    textures: HashMap<TextureId, ColorImage>,
}

impl TestRenderer for SoftwareRenderer {
    fn handle_delta(&mut self, delta: &mut TexturesDelta) {
        for (id, deltas) in std::mem::take(&mut delta.set) {
            deltas.iter().for_each(|delta| self.update(id, delta));
        }
        for id in std::mem::take(&mut delta.free) {
            self.textures.remove(&id);
        }
    }

    fn render(&mut self, ctx: &egui::Context, output: &egui::FullOutput) -> Result<RgbaImage, String> {
        let scale = ctx.pixels_per_point();
        let size = ctx.content_rect().size() * scale;
        let mut canvas = Canvas::new(size.x.round() as u32, size.y.round() as u32);
        for clipped in ctx.tessellate(output.shapes.clone(), scale) {
            let Primitive::Mesh(mesh) = clipped.primitive else { continue };
            let texture = self.textures.get(&mesh.texture_id).ok_or("a texture is missing")?;
            let clip = Rect::from_min_max(clipped.clip_rect.min * scale, clipped.clip_rect.max * scale);
            for triangle in mesh.indices.chunks_exact(3) {
                let corners = [triangle[0], triangle[1], triangle[2]].map(|index| mesh.vertices[index as usize]);
                canvas.fill(texture, clip, scale, corners);
            }
        }
        Ok(canvas.resolve())
    }
}

impl SoftwareRenderer {
    fn update(&mut self, id: TextureId, delta: &ImageDelta) {
        let ImageData::Color(image) = &delta.image;
        let Some([left, top]) = delta.pos else {
            self.textures.insert(id, ColorImage::clone(image));
            return;
        };
        let Some(texture) = self.textures.get_mut(&id) else { return };
        let [width, height] = image.size;
        for y in 0..height {
            let from = &image.pixels[y * width..(y + 1) * width];
            let start = (top + y) * texture.size[0] + left;
            texture.pixels[start..start + width].copy_from_slice(from);
        }
    }
}

/// Where in a pixel its samples lie, from its middle: the usual rotated grid.
const SAMPLES: [(f32, f32); 4] = [(-0.125, -0.375), (0.375, -0.125), (-0.375, 0.125), (0.125, 0.375)];

struct Canvas {
    width: u32,
    height: u32,
    pixels: Vec<[[u8; 3]; SAMPLES.len()]>,
}

/// One side of a triangle: above 0 inside; linear over the plane.
struct Side {
    right: f32,
    down: f32,
    offset: f32,
    /// Whether points exactly on it belong to the triangle: each edge shared by two belongs to one.
    owns_edge: bool,
    at_samples: [f32; SAMPLES.len()],
}

impl Side {
    fn new(from: egui::Pos2, to: egui::Pos2, sign: f32) -> Self {
        let (right, down) = ((from.y - to.y) * sign, (to.x - from.x) * sign);
        let offset = -(right * from.x + down * from.y);
        let owns_edge = right > 0.0 || (right == 0.0 && down > 0.0);
        Self { right, down, offset, owns_edge, at_samples: SAMPLES.map(|(x, y)| right * x + down * y) }
    }

    fn at(&self, x: f32, y: f32) -> f32 {
        self.right * x + self.down * y + self.offset
    }
}

impl Canvas {
    fn new(width: u32, height: u32) -> Self {
        Self { width, height, pixels: vec![[[0; 3]; SAMPLES.len()]; (width * height) as usize] }
    }

    fn resolve(&self) -> RgbaImage {
        let mut bytes = Vec::with_capacity(self.pixels.len() * 4);
        for &[a, b, c, d] in &self.pixels {
            let mean = |channel: usize| {
                let sum = u16::from(a[channel]) + u16::from(b[channel]) + u16::from(c[channel]) + u16::from(d[channel]);
                ((sum + 2) / 4) as u8
            };
            let [red, green, blue] = if a == b && b == c && c == d { a } else { [mean(0), mean(1), mean(2)] };
            bytes.extend_from_slice(&[red, green, blue, 255]);
        }
        RgbaImage::from_raw(self.width, self.height, bytes).unwrap_or_default()
    }

    fn fill(&mut self, texture: &ColorImage, clip: Rect, scale: f32, corners: [Vertex; 3]) {
        let [a, b, c] = corners.map(|corner| corner.pos * scale);
        let area = (b - a).x * (c - a).y - (b - a).y * (c - a).x;
        if area == 0.0 {
            return;
        }
        let sides = [(b, c), (c, a), (a, b)].map(|(from, to)| Side::new(from, to, area.signum()));
        let whole = Rect::from_min_max(egui::Pos2::ZERO, egui::pos2(self.width as f32, self.height as f32));
        let clip = Rect::from_min_max(clip.min.round(), clip.max.round()).intersect(whole);
        let bounds = Rect::from_points(&[a, b, c]).intersect(clip);
        if !bounds.is_positive() {
            return;
        }
        let columns = bounds.left().floor() as u32..(bounds.right().ceil() as u32).min(clip.right() as u32);
        let flat = flat_color(texture, corners);
        for y in bounds.top().floor() as u32..(bounds.bottom().ceil() as u32).min(clip.bottom() as u32) {
            let row = (y * self.width) as usize;
            let (touched, inside) = spans(&sides, y as f32 + 0.5, &columns);
            let mut x = touched.start;
            while x < touched.end {
                if let (Some(color), true) = (flat, inside.contains(&x)) {
                    self.pixels[row + x as usize..row + inside.end as usize].fill([color; SAMPLES.len()]);
                    x = inside.end;
                    continue;
                }
                let (middle_x, middle_y) = (x as f32 + 0.5, y as f32 + 0.5);
                let at =
                    [sides[0].at(middle_x, middle_y), sides[1].at(middle_x, middle_y), sides[2].at(middle_x, middle_y)];
                let covered =
                    [covers(&sides, at, 0), covers(&sides, at, 1), covers(&sides, at, 2), covers(&sides, at, 3)];
                if covered != [false; SAMPLES.len()] {
                    let area = area.abs();
                    let source = shade(texture, &corners, [at[0] / area, at[1] / area, at[2] / area]);
                    blend(&mut self.pixels[row + x as usize], covered, source);
                }
                x += 1;
            }
        }
    }
}

/// The colour of a triangle that has only one, and hides what is behind it.
fn flat_color(texture: &ColorImage, corners: [Vertex; 3]) -> Option<[u8; 3]> {
    let [a, b, c] = corners;
    let is_flat = a.color == b.color && b.color == c.color && a.uv == b.uv && b.uv == c.uv && a.color.a() == 255;
    let [r, g, b, a] = is_flat.then(|| shade(texture, &corners, [1.0, 0.0, 0.0]))?;
    (a >= 255.0).then_some([r as u8, g as u8, b as u8])
}

/// Of a row of pixels those that a triangle may touch, and among them those that lie wholly in it.
fn spans(sides: &[Side; 3], y: f32, columns: &Range<u32>) -> (Range<u32>, Range<u32>) {
    let span = |slack: f32| {
        let (mut from, mut to) = (columns.start as f32, columns.end as f32);
        for side in sides {
            let reach = side.at_samples.iter().fold(0.0_f32, |most, at| most.max(at.abs())) * slack;
            let rest = side.at(0.5, y) + reach;
            if side.right > 0.0 {
                from = from.max(-rest / side.right);
            } else if side.right < 0.0 {
                to = to.min(rest / -side.right + 1.0);
            } else if rest < 0.0 {
                to = from;
            }
        }
        (from, to)
    };
    let ((from, to), (first, last)) = (span(1.001), span(-1.001));
    let touched = from.floor() as u32..to.ceil().min(columns.end as f32) as u32;
    (touched, first.ceil() as u32..(last.floor() - 1.0).max(0.0) as u32)
}

fn covers(sides: &[Side; 3], at: [f32; 3], sample: usize) -> bool {
    is_inside(&sides[0], at[0], sample) && is_inside(&sides[1], at[1], sample) && is_inside(&sides[2], at[2], sample)
}

fn is_inside(side: &Side, middle: f32, sample: usize) -> bool {
    let distance = middle + side.at_samples[sample];
    distance > 0.0 || (distance == 0.0 && side.owns_edge)
}

fn shade(texture: &ColorImage, corners: &[Vertex; 3], weights: [f32; 3]) -> [f32; 4] {
    let [a, b, c] = corners;
    let mix = |of_a: f32, of_b: f32, of_c: f32| of_a * weights[0] + of_b * weights[1] + of_c * weights[2];
    let [width, height] = texture.size;
    let x = (mix(a.uv.x, b.uv.x, c.uv.x) * width as f32).clamp(0.0, width as f32 - 1.0) as usize;
    let y = (mix(a.uv.y, b.uv.y, c.uv.y) * height as f32).clamp(0.0, height as f32 - 1.0) as usize;
    let texel = texture.pixels[y * width + x].to_array();
    let (a, b, c) = (a.color.to_array(), b.color.to_array(), c.color.to_array());
    let channel = |at: usize| mix(f32::from(a[at]), f32::from(b[at]), f32::from(c[at])) * f32::from(texel[at]) / 255.0;
    [channel(0), channel(1), channel(2), channel(3)]
}

fn blend(pixel: &mut [[u8; 3]; SAMPLES.len()], covered: [bool; SAMPLES.len()], source: [f32; 4]) {
    let keep = 1.0 - source[3] / 255.0;
    let over = |channel: usize, below: u8| (source[channel] + f32::from(below) * keep + 0.5).clamp(0.0, 255.0) as u8;
    let blended = |[red, green, blue]: [u8; 3]| [over(0, red), over(1, green), over(2, blue)];
    let [a, b, c, d] = *pixel;
    if covered == [true; SAMPLES.len()] && a == b && b == c && c == d {
        return *pixel = [blended(a); SAMPLES.len()];
    }
    for (sample, _) in pixel.iter_mut().zip(covered).filter(|(_, covered)| *covered) {
        *sample = blended(*sample);
    }
}
