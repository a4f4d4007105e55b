//! Outlines of glyphs.

use skrifa::MetadataProvider;
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};

use super::Glyph;

/// A piece of an outline; coordinates in ems from the glyph's origin, y upwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// A new contour begins here.
    Move([f32; 2]),
    /// Straight to here.
    Line([f32; 2]),
    /// A parabola by a control point to here.
    Quad([f32; 2], [f32; 2]),
    /// A cubic by two control points to here.
    Cubic([f32; 2], [f32; 2], [f32; 2]),
    /// Back to the contour's begin.
    Close,
}

struct Pen {
    scale: f32,
    segments: Vec<Segment>,
}

impl Pen {
    fn at(&self, x: f32, y: f32) -> [f32; 2] {
        [x * self.scale, y * self.scale]
    }
}

impl OutlinePen for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.segments.push(Segment::Move(self.at(x, y)));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.segments.push(Segment::Line(self.at(x, y)));
    }

    fn quad_to(&mut self, cx0: f32, cy0: f32, x: f32, y: f32) {
        self.segments.push(Segment::Quad(self.at(cx0, cy0), self.at(x, y)));
    }

    fn curve_to(&mut self, cx0: f32, cy0: f32, cx1: f32, cy1: f32, x: f32, y: f32) {
        self.segments.push(Segment::Cubic(self.at(cx0, cy0), self.at(cx1, cy1), self.at(x, y)));
    }

    fn close(&mut self) {
        self.segments.push(Segment::Close);
    }
}

/// The outline of a glyph; empty for a space.
pub fn outline(glyph: &Glyph) -> Vec<Segment> {
    let mut pen = Pen { scale: 1.0 / glyph.face.units(), segments: Vec::new() };
    let outlines = glyph.face.font().map(MetadataProvider::outline_glyphs);
    if let Some(shape) = outlines.and_then(|outlines| outlines.get(skrifa::GlyphId::new(glyph.id))) {
        // An outline that cannot be drawn leaves its place empty.
        let _ = shape.draw(DrawSettings::unhinted(Size::unscaled(), LocationRef::default()), &mut pen);
    }
    pen.segments
}

#[cfg(test)]
mod tests {
    use super::super::{CAPITAL, glyphs};
    use super::*;

    fn highest(text: &str) -> f32 {
        let points = outline(&glyphs(text)[0]).into_iter().flat_map(|segment| match segment {
            Segment::Move(a) | Segment::Line(a) => vec![a],
            Segment::Quad(a, b) => vec![a, b],
            Segment::Cubic(a, b, c) => vec![a, b, c],
            Segment::Close => vec![],
        });
        points.map(|[_, y]| y).fold(f32::MIN, f32::max)
    }

    #[test]
    fn a_capital_is_as_high_as_said() {
        assert!((highest("H") - CAPITAL).abs() < 0.005, "{}", highest("H"));
        assert!(outline(&glyphs(" ")[0]).is_empty());
        assert!(highest("\u{10FFFF}") > 0.4);
    }
}
