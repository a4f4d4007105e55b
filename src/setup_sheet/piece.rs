//! A part of a page, laid out relative to its own upper left corner.

use super::rows::Rows;
use super::sizes;
use crate::drawing::{Color, LabelRole, Look, Palette, Point, Rect, Scene, Shape, break_around};
use crate::lettering::{self, Weight, shortened, wrapped};
use crate::picture::{Lettering, Plate};

/// Colours of everything but drawings: ink on white paper.
pub(super) fn ink() -> &'static Palette {
    Look::Sunlight.palette()
}

/// The colour of faint lines.
pub(super) fn rule() -> Color {
    Look::Light.palette().rule_strong
}

/// Ends the heading of what continues.
const CONTINUED: &str = ", continued";

/// The width that the text of a heading may take.
fn heading_room(room: f32) -> f32 {
    room - 2.0
}

/// A part of a page.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Piece {
    pub(super) height: f32,
    pub(super) scene: Scene,
    pub(super) texts: Vec<Lettering>,
}

impl Piece {
    /// Adds a line of text whose box begins at (x, y).
    pub(super) fn text(&mut self, (x, y): (f32, f32), text: impl Into<String>, size: f32, color: Color) {
        self.texts.push(Lettering::new(Point::new(x, y), (0.0, 0.0), text, size, color));
    }

    /// Adds an emphasised line of text whose box begins at a point.
    pub(super) fn strong(&mut self, (x, y): (f32, f32), text: impl Into<String>, size: f32, color: Color) {
        self.texts.push(Lettering::new(Point::new(x, y), (0.0, 0.0), text, size, color).strong());
    }

    /// Adds a line of text whose box ends at x.
    pub(super) fn text_to(&mut self, (x, y): (f32, f32), text: impl Into<String>, size: f32, color: Color) {
        self.texts.push(Lettering::new(Point::new(x, y), (1.0, 0.0), text, size, color));
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

    /// Adds a drawing made at the window's sizes: its upper left corner at a point, and everything scaled.
    pub(super) fn drawing(&mut self, scene: &Scene, at: (f32, f32), scale: f32) {
        let place = |point: Point| Point::new(at.0 + point.x * scale, at.1 + point.y * scale);
        let labels = scene.labels.iter().map(|label| {
            let text = Lettering::of(label);
            Lettering { at: place(text.at), size: text.size * scale, ..text }
        });
        let labels: Vec<Lettering> = labels.collect();
        let on_lines = scene
            .labels
            .iter()
            .zip(&labels)
            .filter(|(label, _)| matches!(label.role, LabelRole::Contour | LabelRole::Spot));
        let boxes: Vec<Rect> = on_lines.map(|(_, text)| around(letters(text), (1.2, 1.0))).collect();
        for shape in &scene.shapes {
            self.push_beside(scaled(shape, &place, scale), &boxes);
        }
        self.texts.extend(labels);
    }

    /// Adds a shape; the parts of a line that lie in the boxes are left out, so that no specks of it remain
    /// between digits.
    fn push_beside(&mut self, shape: Shape, boxes: &[Rect]) {
        let Shape::Line { from, to, width, color } = shape else {
            self.scene.shapes.push(shape);
            return;
        };
        let mut parts = Vec::new();
        break_around(&[from, to], boxes, &mut parts);
        self.scene.shapes.extend(parts.into_iter().map(|(from, to)| Shape::Line { from, to, width, color }));
    }

    /// Adds another piece with its upper left corner at a point.
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

    /// The heading of what continues from another column or page. If there is no room for all of it, the title is
    /// shortened rather than the word that says so.
    pub(super) fn continued(title: &str, room: f32) -> Self {
        let left = heading_room(room) - lettering::width(CONTINUED, Weight::Semibold) * sizes::HEADING;
        let title = shortened(title, Weight::Semibold, sizes::HEADING, left);
        Self::headed(&format!("{title}{CONTINUED}"), room)
    }

    /// A heading below a heavy line, over the whole width.
    pub(super) fn headed(title: &str, room: f32) -> Self {
        let mut piece = Self::default();
        piece.line((0.0, sizes::RULE / 2.0), (room, sizes::RULE / 2.0), sizes::RULE, ink().ink);
        let y = sizes::RULE + 1.4;
        let title = shortened(title, Weight::Semibold, sizes::HEADING, heading_room(room));
        piece.strong((0.0, y), title, sizes::HEADING, ink().ink);
        piece.height = y + sizes::HEADING * 1.3 + 1.6;
        piece
    }

    /// Adds a text that must not be overlooked: with a bar beside it.
    pub(super) fn warning(&mut self, text: &str, room: f32) {
        let top = self.height;
        let mut inside = Self::default();
        inside.paragraph(text, room - 8.0, sizes::BODY, ink().ink);
        self.bar((0.0, top + 0.5), (3.0, inside.height - 1.0), ink().ink);
        self.put(&inside, (8.0, top));
        self.height += inside.height + 2.0;
    }

    /// Adds lines of body text from the present height on, which stays; returns how high they are.
    pub(super) fn lines(&mut self, x: f32, lines: &[String], color: Color) -> f32 {
        let mut height = 0.0;
        for line in lines {
            self.text((x, self.height + height), line.clone(), sizes::BODY, color);
            height += sizes::BODY * sizes::LEADING;
        }
        height
    }

    /// Adds emphasised lines below the present content: the heading of an entry.
    pub(super) fn emphasised(&mut self, text: &str, width: f32) {
        // A little wider than the text by which lines are broken.
        for line in wrapped(text, sizes::BODY, width * 0.92) {
            self.strong((0.0, self.height), line, sizes::BODY, ink().ink);
            self.height += sizes::BODY * sizes::LEADING;
        }
    }

    /// Adds lines of text below the present content, each broken to the width.
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
    color: Color,
    kind: Kind,
    /// Whether all its lines stand in one column.
    is_whole: bool,
}

/// Room for a box to tick.
const BOX: f32 = 12.0;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Plain,
    /// With a bullet.
    Item,
    /// With a box before it, ticked or not.
    Box(bool),
    /// Emphasised, and never parted from what follows.
    Heading,
}

impl Paragraph {
    pub(super) fn plain(text: impl Into<String>) -> Self {
        Self { text: text.into(), color: ink().ink, kind: Kind::Plain, is_whole: false }
    }

    /// In the ink of what matters less.
    pub(super) fn quiet(text: impl Into<String>) -> Self {
        Self { color: ink().ink_secondary, ..Self::plain(text) }
    }

    pub(super) fn item(text: impl Into<String>) -> Self {
        Self { kind: Kind::Item, ..Self::plain(text) }
    }

    /// Something to be done by hand, and whether it was.
    pub(super) fn to_tick(text: impl Into<String>, is_done: bool) -> Self {
        Self { kind: Kind::Box(is_done), ..Self::plain(text) }
    }

    pub(super) fn heading(text: impl Into<String>) -> Self {
        Self { kind: Kind::Heading, ..Self::plain(text) }
    }

    /// The same, never parted between two columns or pages.
    pub(super) fn unparted(self) -> Self {
        Self { is_whole: true, ..self }
    }

    fn rows(&self, room: f32, rows: &mut Rows) {
        let (size, is_heading) = (sizes::BODY, self.kind == Kind::Heading);
        let (bullet, indent) = match self.kind {
            Kind::Item => ("–", size),
            Kind::Box(true) => ("[x]", BOX),
            Kind::Box(false) => ("[  ]", BOX),
            Kind::Plain | Kind::Heading => ("", 0.0),
        };
        // Emphasised text is a little wider than the text by which lines are broken.
        let measure = if is_heading { room * 0.92 } else { room - indent };
        let lines: Vec<String> = self.text.split('\n').flat_map(|line| wrapped(line, size, measure)).collect();
        let count = lines.len();
        for (index, line) in lines.into_iter().enumerate() {
            let above = if is_heading && index == 0 { 2.0 } else { 0.0 };
            let mut row = Piece { height: above + size * sizes::LEADING, ..Piece::default() };
            if index == 0 && !bullet.is_empty() {
                row.text((1.0, 0.0), bullet, size, self.color);
            }
            if is_heading {
                row.strong((0.0, above), line, size, self.color);
            } else {
                row.text((indent, 0.0), line, size, self.color);
            }
            let is_last = index + 1 == count;
            // No single line of a paragraph is left behind or goes alone.
            let is_kept = !is_last && (self.is_whole || count <= 3 || index == 0 || index + 2 == count);
            if is_kept || is_heading { rows.push_kept(row) } else { rows.push(row) }
        }
    }
}

/// Paragraphs under a heading, line by line.
pub(super) fn prose(title: &str, paragraphs: &[Paragraph], room: f32) -> Rows {
    let mut rows = Rows::new(title);
    paragraphs.iter().for_each(|paragraph| paragraph.rows(room, &mut rows));
    rows
}

/// The box of a text's capitals and digits.
pub(super) fn letters(text: &Lettering) -> Rect {
    let Rect { left, top, width, .. } = text.bounds();
    let top = top + (lettering::ASCENT - lettering::CAPITAL) * text.size;
    Rect { left, top, width, height: lettering::CAPITAL * text.size }
}

/// A rectangle with some space around it.
pub(super) fn around(rect: Rect, (beside, above): (f32, f32)) -> Rect {
    Rect {
        left: rect.left - beside,
        top: rect.top - above,
        width: rect.width + 2.0 * beside,
        height: rect.height + 2.0 * above,
    }
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
    lettering::width(text, Weight::Regular) * size
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Label;

    #[test]
    fn every_word_of_prose_is_in_a_row() {
        let paragraphs =
            [Paragraph::quiet("first"), Paragraph::item("a longer one ".repeat(90)), Paragraph::plain("last")];
        let piece = prose("t", &paragraphs, 200.0).whole(200.0);
        assert_eq!(piece.texts[0].text, "t");
        assert_eq!(piece.texts.iter().map(|text| text.text.matches("longer").count()).sum::<usize>(), 90);
    }

    #[test]
    fn a_caution_is_never_parted() {
        let paragraphs = [Paragraph::plain("first"), Paragraph::item("a caution of many lines ".repeat(8)).unparted()];
        let mut rows = prose("t", &paragraphs, 100.0);
        let lines = rows.clone().whole(100.0).texts.iter().filter(|text| text.text.contains("caution")).count();
        assert!(lines > 4);
        // Room for the first paragraph and four lines of the caution.
        let head = Piece::headed("t", 100.0).height;
        let room = head + 5.0 * sizes::BODY * sizes::LEADING;
        let first = rows
            .take(100.0, room)
            .map_or(0, |piece| piece.texts.iter().filter(|text| text.text.contains("caution")).count());
        assert_eq!(first, 0);
        let all = rows.take(100.0, 800.0).unwrap();
        assert_eq!(all.texts.iter().filter(|text| text.text.contains("caution")).count(), lines);
    }

    #[test]
    fn a_long_title_says_all_the_same_that_it_continues() {
        let heading = |title: &str| Piece::continued(title, 163.0).texts[0].text.clone();
        assert_eq!(heading("Outputs"), "Outputs, continued");
        let long = heading("Changed since 'as it came in, before the first day'");
        assert!(long.starts_with("Changed since 'as") && long.ends_with("…, continued"), "{long}");
    }

    #[test]
    fn a_contour_makes_room_for_its_label() {
        let line =
            Shape::Line { from: Point::new(0.0, 50.0), to: Point::new(100.0, 50.0), width: 1.0, color: ink().ink };
        let label = Label {
            at: Point::new(50.0, 50.0),
            anchor: (0.5, 0.5),
            text: "25°".into(),
            role: LabelRole::Contour,
            color: ink().ink,
            halo: ink().paper,
        };
        let mut piece = Piece::default();
        piece.drawing(&Scene { shapes: vec![line], labels: vec![label] }, (0.0, 0.0), 1.0);
        let text = piece.texts[0].bounds();
        let crosses = |x: f32| {
            piece
                .scene
                .shapes
                .iter()
                .any(|shape| matches!(shape, Shape::Line { from, to, .. } if (from.x..=to.x).contains(&x)))
        };
        assert!(!crosses(text.left + 1.0) && !crosses(text.left + text.width - 1.0));
        assert!(crosses(1.0) && crosses(99.0));
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
