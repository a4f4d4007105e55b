//! Pictures without a GPU: egui's triangles filled by hand, nearest sampling, premultiplied blending in sRGB bytes.

use std::collections::HashMap;

use eframe::egui::epaint::{ImageDelta, Primitive, Vertex};
use eframe::egui::{self, Color32, ColorImage, ImageData, Rect, TextureId, TexturesDelta};
use egui_kittest::TestRenderer;
use image::{Rgba, RgbaImage};

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
        let mut canvas = RgbaImage::from_pixel(size.x.round() as u32, size.y.round() as u32, Rgba([0, 0, 0, 255]));
        for clipped in ctx.tessellate(output.shapes.clone(), scale) {
            let Primitive::Mesh(mesh) = clipped.primitive else { continue };
            let texture = self.textures.get(&mesh.texture_id).ok_or("a texture is missing")?;
            let clip = Rect::from_min_max(clipped.clip_rect.min * scale, clipped.clip_rect.max * scale);
            for triangle in mesh.indices.chunks_exact(3) {
                let corners = [triangle[0], triangle[1], triangle[2]].map(|index| mesh.vertices[index as usize]);
                fill(&mut canvas, texture, clip, scale, corners);
            }
        }
        Ok(canvas)
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

fn fill(canvas: &mut RgbaImage, texture: &ColorImage, clip: Rect, scale: f32, corners: [Vertex; 3]) {
    let [a, b, c] = corners.map(|corner| corner.pos * scale);
    let area = (b - a).x * (c - a).y - (b - a).y * (c - a).x;
    if area == 0.0 {
        return;
    }
    let canvas_rect = Rect::from_min_max(egui::Pos2::ZERO, egui::pos2(canvas.width() as f32, canvas.height() as f32));
    let bounds = Rect::from_points(&[a, b, c]).intersect(clip).intersect(canvas_rect);
    if !bounds.is_positive() {
        return;
    }
    // Most pixels belong to plain areas: one colour, filled by whole rows.
    let plain = corners.iter().all(|corner| corner.color == corners[0].color && corner.uv == corners[0].uv);
    let plain = plain.then(|| shade(texture, corners, [1.0, 0.0, 0.0]));
    for y in first_centre(bounds.top())..first_centre(bounds.bottom()) {
        let middle = y as f32 + 0.5;
        let Some((left, right)) = span(&[a, b, c], middle) else { continue };
        let (left, right) = (first_centre(left.max(bounds.left())), first_centre(right.min(bounds.right())));
        if let Some(source) = plain {
            fill_row(canvas, y, left, right, source);
            continue;
        }
        for x in left..right {
            let p = egui::pos2(x as f32 + 0.5, middle);
            let u = ((b - p).x * (c - p).y - (b - p).y * (c - p).x) / area;
            let v = ((c - p).x * (a - p).y - (c - p).y * (a - p).x) / area;
            blend(&mut canvas.get_pixel_mut(x, y).0, shade(texture, corners, [u, v, 1.0 - u - v]));
        }
    }
}

/// The first pixel whose centre is not left of `x`; a centre on a shared edge belongs to one triangle only.
fn first_centre(x: f32) -> u32 {
    (x - 0.5).ceil().max(0.0) as u32
}

/// Where a triangle is cut by the level line at `y`.
fn span(corners: &[egui::Pos2; 3], y: f32) -> Option<(f32, f32)> {
    let mut ends = (f32::INFINITY, f32::NEG_INFINITY);
    for (from, to) in [(0, 1), (1, 2), (2, 0)] {
        let (from, to) = (corners[from], corners[to]);
        if (from.y <= y) != (to.y <= y) {
            let x = from.x + (to.x - from.x) * (y - from.y) / (to.y - from.y);
            ends = (ends.0.min(x), ends.1.max(x));
        }
    }
    (ends.0 <= ends.1).then_some(ends)
}

fn fill_row(canvas: &mut RgbaImage, y: u32, left: u32, right: u32, source: [f32; 4]) {
    if left >= right {
        return;
    }
    let start = (y * canvas.width() + left) as usize * 4;
    let row = &mut canvas.as_flat_samples_mut().samples[start..start + (right - left) as usize * 4];
    if source[3] >= 255.0 {
        let solid = [source[0].round() as u8, source[1].round() as u8, source[2].round() as u8, 255];
        row.chunks_exact_mut(4).for_each(|pixel| pixel.copy_from_slice(&solid));
        return;
    }
    row.chunks_exact_mut(4).for_each(|pixel| blend(pixel, source));
}

fn shade(texture: &ColorImage, corners: [Vertex; 3], weights: [f32; 3]) -> [f32; 4] {
    let mix = |value: fn(&Vertex) -> f32| {
        corners.iter().zip(weights).map(|(corner, weight)| value(corner) * weight).sum::<f32>()
    };
    let [width, height] = texture.size;
    let x = (mix(|v| v.uv.x) * width as f32).clamp(0.0, width as f32 - 1.0) as usize;
    let y = (mix(|v| v.uv.y) * height as f32).clamp(0.0, height as f32 - 1.0) as usize;
    let texel = bytes(texture.pixels[y * width + x]);
    let color = [
        mix(|v| f32::from(v.color.r())),
        mix(|v| f32::from(v.color.g())),
        mix(|v| f32::from(v.color.b())),
        mix(|v| f32::from(v.color.a())),
    ];
    std::array::from_fn(|channel| color[channel] * texel[channel] / 255.0)
}

fn bytes(color: Color32) -> [f32; 4] {
    color.to_array().map(f32::from)
}

fn blend(pixel: &mut [u8], source: [f32; 4]) {
    let keep = 1.0 - source[3] / 255.0;
    for (byte, source) in pixel.iter_mut().zip(source).take(3) {
        *byte = (source + f32::from(*byte) * keep).round() as u8;
    }
}
