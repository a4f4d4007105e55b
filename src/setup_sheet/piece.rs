//! A part of a page, laid out from its own upper left corner.

use super::sizes;
use crate::drawing::{Color, Look, Palette, Point, Scene, Shape};
use crate::lettering::{self, shortened, wrapped};
use crate::picture::{Lettering, Plate};

/// Colours of everything but drawings: ink on white paper.
pub(super) fn ink() -> &'static Palette {
    Look::Sunlight.palette()
}

/// The colour of faint rules.
pub(super) fn rule() -> Color {
    Look::Light.palette().rule_strong
}

/// A part of a page.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Piece {
    pub(super) height: f32,
    pub(super) scene: Scene,
    pub(super) texts: Vec<Lettering>,
}

impl Piece {
    /// A line of text whose box begins at (x, y).
    pub(super) fn text(&mut self, (x, y): (f32, f32), text: impl Into<String>, size: f32, color: Color) {
        self.texts.push(Lettering::new(Point::new(x, y), (0.0, 0.0), text, size, color));
    }

    /// A line of text whose box ends at x.
    pub(super) fn text_to(&mut self, (x, y): (f32, f32), text: impl Into<String>, size: f32, color: Color) {
        self.texts.push(Lettering::new(Point::new(x, y), (1.0, 0.0), text, size, color));
    }

    /// Makes the text added last strong.
    pub(super) fn strong(&mut self) {
        if let Some(last) = self.texts.last_mut() {
            last.strong = true;
        }
    }

    pub(super) fn line(&mut self, from: (f32, f32), to: (f32, f32), width: f32, color: Color) {
        let [from, to] = [from, to].map(|(x, y)| Point::new(x, y));
        self.scene.shapes.push(Shape::Line { from, to, width, color });
    }

    pub(super) fn bar(&mut self, (left, top): (f32, f32), (width, height): (f32, f32), color: Color) {
        let corners = [(left, top), (left + width, top), (left + width, top + height), (left, top + height)];
        let [a, b, c, d] = corners.map(|(x, y)| Point::new(x, y));
        for at in [[a, b, c], [a, c, d]] {
            self.scene.shapes.push(Shape::Triangle { at, colors: [color; 3] });
        }
    }

    /// Takes a drawing made at the window's sizes, with its upper left corner here and everything scaled.
    pub(super) fn drawing(&mut self, scene: &Scene, at: (f32, f32), scale: f32) {
        let place = |point: Point| Point::new(at.0 + point.x * scale, at.1 + point.y * scale);
        self.scene.shapes.extend(scene.shapes.iter().map(|shape| scaled(shape, &place, scale)));
        self.texts.extend(scene.labels.iter().map(|label| {
            let text = Lettering::of(label);
            Lettering { at: place(text.at), size: text.size * scale, ..text }
        }));
    }

    /// Puts another piece with its upper left corner here.
    pub(super) fn put(&mut self, other: &Self, at: (f32, f32)) {
        let place = |point: Point| Point::new(at.0 + point.x, at.1 + point.y);
        self.scene.shapes.extend(other.scene.shapes.iter().map(|shape| scaled(shape, &place, 1.0)));
        self.texts.extend(other.texts.iter().map(|text| Lettering { at: place(text.at), ..text.clone() }));
    }

    /// Puts it on a page.
    pub(super) fn onto(&self, page: &mut Plate, at: (f32, f32)) {
        let mut moved = Self::default();
        moved.put(self, at);
        page.scene.shapes.append(&mut moved.scene.shapes);
        page.texts.append(&mut moved.texts);
    }

    /// A heading with a rule, over the whole width.
    pub(super) fn headed(title: &str, room: f32) -> Self {
        let mut piece = Self::default();
        piece.text((0.0, 0.0), shortened(title, sizes::HEADING, room - 2.0), sizes::HEADING, ink().ink);
        piece.strong();
        let y = sizes::HEADING * 1.32;
        piece.line((0.0, y), (room, y), sizes::RULE, ink().ink);
        piece.height = y + 4.0;
        piece
    }

    /// Lines of text below what is there, each broken to the width.
    pub(super) fn paragraph(&mut self, text: &str, width: f32, size: f32, color: Color) {
        for line in text.split('\n').flat_map(|line| wrapped(line, size, width)) {
            self.text((0.0, self.height), line, size, color);
            self.height += size * sizes::LEADING;
        }
    }
}

/// A paragraph of a longer text.
#[derive(Clone, Debug)]
pub(super) struct Paragraph {
    text: String,
    size: f32,
    color: Color,
    /// Whether a sign stands before it.
    is_item: bool,
}

impl Paragraph {
    pub(super) fn plain(text: impl Into<String>) -> Self {
        Self { text: text.into(), size: sizes::BODY, color: ink().ink, is_item: false }
    }

    pub(super) fn small(text: impl Into<String>) -> Self {
        Self { size: sizes::SMALL, color: ink().ink_secondary, ..Self::plain(text) }
    }

    pub(super) fn item(text: impl Into<String>) -> Self {
        Self { is_item: true, ..Self::plain(text) }
    }
}

/// Paragraphs under a heading; where they are higher than `highest` they go on in further pieces.
pub(super) fn prose(title: &str, paragraphs: &[Paragraph], room: f32, highest: f32) -> Vec<Piece> {
    let mut piece = Piece::headed(title, room);
    let mut done = Vec::new();
    for Paragraph { text, size, color, is_item } in paragraphs {
        let indent = if *is_item { *size } else { 0.0 };
        let lines = text.split('\n').flat_map(|line| wrapped(line, *size, room - indent));
        for (index, line) in lines.enumerate() {
            if piece.height + size * sizes::LEADING > highest {
                done.push(std::mem::replace(&mut piece, Piece::headed(&format!("{title}, continued"), room)));
            }
            if *is_item && index == 0 {
                piece.text((1.0, piece.height), "–", *size, *color);
            }
            piece.text((indent, piece.height), line, *size, *color);
            piece.height += size * sizes::LEADING;
        }
    }
    done.push(piece);
    done
}

fn scaled(shape: &Shape, place: &impl Fn(Point) -> Point, scale: f32) -> Shape {
    match *shape {
        Shape::Triangle { at, colors } => Shape::Triangle { at: at.map(place), colors },
        Shape::Line { from, to, width, color } => {
            Shape::Line { from: place(from), to: place(to), width: width * scale, color }
        }
        Shape::Dot { at, radius, fill, outline, outline_width } => {
            let (radius, outline_width) = (radius * scale, outline_width * scale);
            Shape::Dot { at: place(at), radius, fill, outline, outline_width }
        }
    }
}

/// The width of a text in points.
pub(super) fn width(text: &str, size: f32) -> f32 {
    lettering::width(text) * size
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_prose_goes_on_in_further_pieces() {
        let paragraphs =
            [Paragraph::small("first"), Paragraph::item("a longer one ".repeat(90)), Paragraph::plain("last")];
        let pieces = prose("t", &paragraphs, 200.0, 150.0);
        assert!(pieces.len() > 1 && pieces.iter().all(|piece| piece.height <= 150.0));
        assert_eq!(pieces[1].texts[0].text, "t, continued");
        let words = |piece: &Piece| piece.texts.iter().map(|text| text.text.matches("longer").count()).sum::<usize>();
        assert_eq!(pieces.iter().map(words).sum::<usize>(), 90);
    }

    #[test]
    fn drawings_are_moved_and_scaled_as_one() {
        let mut piece = Piece::default();
        let line =
            Shape::Line { from: Point::new(1.0, 2.0), to: Point::new(3.0, 4.0), width: 2.0, color: Color::hex(0) };
        piece.drawing(&Scene { shapes: vec![line], labels: Vec::new() }, (10.0, 20.0), 0.5);
        let moved =
            Shape::Line { from: Point::new(10.5, 21.0), to: Point::new(11.5, 22.0), width: 1.0, color: Color::hex(0) };
        assert_eq!(piece.scene.shapes, [moved]);
    }
}
