//! The typefaces, the glyphs that a text needs, and their outlines.

use std::ops::Range;
use std::sync::LazyLock;

use epaint_default_fonts::HACK_REGULAR;
use skrifa::charmap::Charmap;
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{FontRef, GlyphId, MetadataProvider};

/// How heavy a text is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Weight {
    /// For text and numbers.
    #[default]
    Regular,
    /// For headings and whatever is chosen.
    Semibold,
}

impl Weight {
    /// Its fonts. They are asked in order: the first that has a character gives its glyph.
    pub const fn faces(self) -> [Face; 2] {
        match self {
            Self::Regular => [Face::Regular, Face::Signs],
            Self::Semibold => [Face::Semibold, Face::Signs],
        }
    }
}

/// One of the fonts. All digits of a font are equally wide.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Face {
    /// IBM Plex Sans Text: a regular weight drawn for small sizes.
    Regular,
    /// IBM Plex Sans SemiBold.
    Semibold,
    /// Hack, a fixed-pitch font: for bytes, and for symbols that the other fonts lack.
    Signs,
}

impl Face {
    /// All faces.
    pub const ALL: [Self; 3] = [Self::Regular, Self::Semibold, Self::Signs];

    /// Its font file.
    pub const fn bytes(self) -> &'static [u8] {
        match self {
            Self::Regular => include_bytes!("../../assets/fonts/IBMPlexSans-Text.ttf"),
            Self::Semibold => include_bytes!("../../assets/fonts/IBMPlexSans-SemiBold.ttf"),
            Self::Signs => HACK_REGULAR,
        }
    }

    pub(super) fn font(self) -> Option<&'static FontRef<'static>> {
        Some(&self.read()?.font)
    }

    /// Font units in an em.
    pub(super) fn units(self) -> f32 {
        self.read().map_or(1000.0, |read| read.units)
    }

    fn read(self) -> Option<&'static ReadFace> {
        READ[self as usize].as_ref()
    }
}

/// A font file with the tables that every character needs, read once: looking them up again for each character
/// took longer than using them.
struct ReadFace {
    font: FontRef<'static>,
    characters: Charmap<'static>,
    metrics: GlyphMetrics<'static>,
    units: f32,
}

impl ReadFace {
    fn new(face: Face) -> Option<Self> {
        let font = FontRef::new(face.bytes()).ok()?;
        let (size, location) = (Size::unscaled(), LocationRef::default());
        let (characters, metrics) = (font.charmap(), font.glyph_metrics(size, location));
        let units = f32::from(font.metrics(size, location).units_per_em);
        Some(Self { font, characters, metrics, units })
    }
}

static READ: LazyLock<[Option<ReadFace>; 3]> = LazyLock::new(|| Face::ALL.map(ReadFace::new));

/// Drawn where no face has the character.
const EMPTY_BOX: char = '□';

/// A glyph of a text.
#[derive(Clone, Debug, PartialEq)]
pub struct Glyph {
    /// Its face.
    pub face: Face,
    /// Its number in that face.
    pub id: u32,
    /// Whether no face has the character: an empty box stands in its place.
    pub missing: bool,
    /// How far on the next glyph begins, in ems.
    pub advance: f32,
    /// The bytes of the text that it shows.
    pub bytes: Range<usize>,
}

/// The glyphs of a line of text. Invisible characters (line breaks, controls) take none.
pub fn glyphs(text: &str, weight: Weight) -> Vec<Glyph> {
    let seen = text.char_indices().filter(|(_, character)| !character.is_control());
    seen.map(|(at, character)| glyph(character, weight, at..at + character.len_utf8())).collect()
}

fn glyph(character: char, weight: Weight, bytes: Range<usize>) -> Glyph {
    let found = find(character, weight);
    let missing = found.is_none();
    let (face, id) = found.or_else(|| find(EMPTY_BOX, weight)).unwrap_or((Face::Regular, GlyphId::new(0)));
    Glyph { face, id: id.to_u32(), missing, advance: advance(face, id), bytes }
}

fn find(character: char, weight: Weight) -> Option<(Face, GlyphId)> {
    weight.faces().into_iter().find_map(|face| Some((face, face.read()?.characters.map(character)?)))
}

fn advance(face: Face, id: GlyphId) -> f32 {
    let width = face.read().and_then(|read| read.metrics.advance_width(id));
    width.unwrap_or(0.0) / face.units()
}

/// The width of a line of text in ems.
pub fn width(text: &str, weight: Weight) -> f32 {
    glyphs(text, weight).iter().map(|glyph| glyph.advance).sum()
}

/// The characters of a text that no face has, each once, in their order.
pub fn missing(text: &str) -> Vec<char> {
    let mut missing = Vec::new();
    for glyph in glyphs(text, Weight::Regular).into_iter().filter(|glyph| glyph.missing) {
        missing.extend(text[glyph.bytes].chars().filter(|character| !missing.contains(character)).collect::<Vec<_>>());
    }
    missing
}

/// A piece of an outline; coordinates in ems from the glyph's origin, y upwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// A new contour begins here.
    Move([f32; 2]),
    /// A straight line to here.
    Line([f32; 2]),
    /// A quadratic Bézier curve: control point, then end point.
    Quad([f32; 2], [f32; 2]),
    /// A cubic Bézier curve: two control points, then end point.
    Cubic([f32; 2], [f32; 2], [f32; 2]),
    /// Back to where the contour began.
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
    use super::super::{ASCENT, CAPITAL, DESCENT};
    use super::*;

    const WEIGHTS: [Weight; 2] = [Weight::Regular, Weight::Semibold];

    fn widths(signs: &str, weight: Weight) -> Vec<f32> {
        signs.chars().map(|sign| width(&sign.to_string(), weight)).collect()
    }

    /// Cells are read down a column: digits and the signs before them stand below each other, at either weight.
    #[test]
    fn digits_are_all_equally_wide() {
        for signs in ["0123456789", "\u{2212}+\u{b1}"] {
            let of_all = WEIGHTS.map(|weight| widths(signs, weight)).concat();
            assert!(of_all.iter().all(|&width| width == of_all[0] && width > 0.5), "{signs}: {of_all:?}");
        }
    }

    #[test]
    fn every_sign_of_the_program_has_a_glyph() {
        assert!(missing("0123456789 −+±°·–—…×÷≥≤→µΩ%′″äöüßéñçøåÆŠžłαβλΔ²³½’‘“”€ \u{a0}").is_empty());
        assert_eq!(missing("a漢b漢\u{10FFFF}\n"), ['漢', '\u{10FFFF}']);
    }

    #[test]
    fn the_empty_box_is_one() {
        let [glyph] = &glyphs("漢", Weight::Semibold)[..] else { panic!("one glyph") };
        assert!(glyph.missing && glyph.id != 0 && glyph.face == Face::Signs);
    }

    #[test]
    fn a_glyph_knows_its_bytes() {
        let text = "−5°\n";
        for weight in WEIGHTS {
            let glyphs = glyphs(text, weight);
            let parts: Vec<&str> = glyphs.iter().map(|glyph| &text[glyph.bytes.clone()]).collect();
            assert_eq!(parts, ["−", "5", "°"]);
            assert!((width("−5°", weight) - glyphs.iter().map(|glyph| glyph.advance).sum::<f32>()).abs() < 1e-6);
            assert!(glyphs.iter().all(|glyph| glyph.face == weight.faces()[0]));
        }
    }

    /// Lowest and highest point of a character's outline.
    fn reach(character: char, weight: Weight) -> (f32, f32) {
        let glyph = &glyphs(&character.to_string(), weight)[0];
        let points = outline(glyph).into_iter().flat_map(|segment| match segment {
            Segment::Move(a) | Segment::Line(a) => vec![a],
            Segment::Quad(a, b) => vec![a, b],
            Segment::Cubic(a, b, c) => vec![a, b, c],
            Segment::Close => vec![],
        });
        points.fold((f32::MAX, f32::MIN), |(low, high), [_, y]| (low.min(y), high.max(y)))
    }

    #[test]
    fn a_capital_is_as_high_as_said() {
        for weight in WEIGHTS {
            let (low, high) = reach('H', weight);
            assert!((high - CAPITAL).abs() < 0.001 && low == 0.0, "{high}");
            assert!(reach('\u{10FFFF}', weight).1 > 0.4);
            assert!(outline(&glyphs(" ", weight)[0]).is_empty());
        }
    }

    #[test]
    fn letters_stay_within_the_box_of_a_line() {
        for (weight, character) in WEIGHTS.iter().flat_map(|weight| (' '..='~').map(move |c| (*weight, c))) {
            let (low, high) = reach(character, weight);
            assert!(character == ' ' || (high <= ASCENT && low >= -DESCENT), "{character}: {low} to {high}");
        }
    }
}
