//! A plate as PNG.

use thiserror::Error;
use tiny_skia::{FillRule, LineJoin, Paint, Path, PathBuilder, Pixmap, Stroke, Transform};

use super::{HALO, Lettering, Plate, raster};
use crate::drawing::{Color, Mesh};
use crate::lettering::{Segment, glyphs, outline};

/// The largest picture, in pixels.
pub const MOST_PIXELS: u32 = 64_000_000;

/// Why no PNG can be made.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PngError {
    /// Too large, or empty.
    #[error("{width} × {height} pixels; a picture has 1 to {MOST_PIXELS} pixels. Give a smaller --size or --scale")]
    Size {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// A mistake in this program.
    #[error("the picture cannot be encoded: {0}")]
    Encoding(String),
}

/// The PNG file of a picture with `scale` pixels per point.
///
/// # Errors
/// [`PngError`] for a picture without pixels or with too many.
pub fn png(plate: &Plate, scale: f32) -> Result<Vec<u8>, PngError> {
    painted(plate, scale)?.encode_png().map_err(|error| PngError::Encoding(error.to_string()))
}

/// The pixels of a picture with `scale` of them per point: width, height, and red, green, blue and opacity of each, row by
/// row from the top.
///
/// # Errors
/// [`PngError`] for a picture without pixels or with too many.
pub fn pixels(plate: &Plate, scale: f32) -> Result<(usize, usize, Vec<u8>), PngError> {
    let pixmap = painted(plate, scale)?;
    let (width, height) = (usize_of(pixmap.width()), usize_of(pixmap.height()));
    // All of it is opaque, so that nothing is to be undone.
    Ok((width, height, pixmap.take()))
}

fn painted(plate: &Plate, scale: f32) -> Result<Pixmap, PngError> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates and is held to a most")]
    let [width, height] = [plate.width, plate.height].map(|points| (points * scale).round() as u32);
    let too_many = u64::from(width) * u64::from(height) > u64::from(MOST_PIXELS);
    let pixmap = if too_many { None } else { Pixmap::new(width, height) };
    let mut pixmap = pixmap.ok_or(PngError::Size { width, height })?;
    let mut mesh = Mesh::default();
    mesh.fill(&plate.scene);
    let size = (usize_of(width), usize_of(height));
    let pixels = raster::paint(&mesh, size, scale, plate.paper);
    for (place, pixel) in pixmap.data_mut().chunks_exact_mut(4).zip(pixels.chunks_exact(3)) {
        place[..3].copy_from_slice(pixel);
        place[3] = u8::MAX;
    }
    plate.texts.iter().for_each(|text| write(&mut pixmap, text, scale));
    Ok(pixmap)
}

fn usize_of(count: u32) -> usize {
    usize::try_from(count).unwrap_or(usize::MAX)
}

fn paint(color: Color) -> Paint<'static> {
    let mut paint = Paint { anti_alias: true, ..Paint::default() };
    paint.set_color_rgba8(color.r, color.g, color.b, color.a);
    paint
}

fn write(pixmap: &mut Pixmap, text: &Lettering, scale: f32) {
    let Some(path) = path(text) else {
        return;
    };
    let transform = Transform::from_scale(scale, scale);
    let stroke = |width: f32| Stroke { width, line_join: LineJoin::Round, ..Stroke::default() };
    if text.halo.a > 0 {
        pixmap.stroke_path(&path, &paint(text.halo), &stroke(2.0 * HALO), transform, None);
        pixmap.fill_path(&path, &paint(text.halo), FillRule::Winding, transform, None);
    }
    pixmap.fill_path(&path, &paint(text.color), FillRule::Winding, transform, None);
}

/// The outlines of a text in points; `None` if there is nothing to see.
fn path(text: &Lettering) -> Option<Path> {
    let (origin, size) = (text.origin(), text.size);
    let mut path = PathBuilder::new();
    let mut x = origin.x;
    for glyph in glyphs(&text.text, text.weight) {
        let at = |[right, up]: [f32; 2]| (x + right * size, origin.y - up * size);
        for segment in outline(&glyph) {
            match segment {
                Segment::Move(to) => path.move_to(at(to).0, at(to).1),
                Segment::Line(to) => path.line_to(at(to).0, at(to).1),
                Segment::Quad(by, to) => path.quad_to(at(by).0, at(by).1, at(to).0, at(to).1),
                Segment::Cubic(a, b, to) => path.cubic_to(at(a).0, at(a).1, at(b).0, at(b).1, at(to).0, at(to).1),
                Segment::Close => path.close(),
            }
        }
        x += glyph.advance * size;
    }
    path.finish()
}
