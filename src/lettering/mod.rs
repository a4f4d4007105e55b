//! Floor 0: the program's typeface, for pictures and pages that look the same on every machine: which glyphs a text
//! takes, how wide it is, and their outlines. The same fonts as the window's, from its own font crate.
//!
//! Measures are in ems: multiply by the type size. y of an outline grows upwards from the baseline. Text runs
//! from left to right, one glyph per character, without kerning: enough for numbers and technical terms.

use std::ops::Range;
use std::sync::LazyLock;

use epaint_default_fonts::{HACK_REGULAR, UBUNTU_LIGHT};
use skrifa::charmap::Charmap;
use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{FontRef, GlyphId, MetadataProvider};

/// From the baseline up to the top of a line's box, in ems.
pub const ASCENT: f32 = 0.932;
/// From the baseline down to the bottom of a line's box, in ems.
pub const DESCENT: f32 = 0.189;
/// Height of a capital letter, in ems.
pub const CAPITAL: f32 = 0.693;

/// A text set at `size` and broken into lines no wider than `room`, both in points; a word longer than a line
/// is broken inside.
pub fn wrapped(text: &str, size: f32, room: f32) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in &words(text) {
        let last = lines.len() - 1;
        let joined = if lines[last].is_empty() { word.to_owned() } else { format!("{} {word}", lines[last]) };
        if width(&joined) * size <= room {
            lines[last] = joined;
            continue;
        }
        let mut line = String::new();
        for character in word.chars() {
            if !line.is_empty() && width(&format!("{line}{character}")) * size > room {
                lines.push(std::mem::take(&mut line));
            }
            line.push(character);
        }
        lines.push(line);
    }
    if lines.len() > 1 && lines[0].is_empty() {
        lines.remove(0);
    }
    lines
}

/// Units that are kept on the same line as their number.
const UNITS: [&str; 19] = [
    "%", "°C", "A", "bytes", "kPa", "kV", "l", "mH", "mJ", "mm", "ms", "pitches", "RON", "pulses", "rpm", "V", "Ω",
    "µs", "points",
];

/// The pieces that a line may be broken between: a number and its unit stay in one piece.
fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split(' ') {
        let bare = word.trim_end_matches([',', ';', '.', ')', ':']);
        match words.last_mut() {
            Some(last) if UNITS.contains(&bare) && last.ends_with(|c: char| c.is_ascii_digit()) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

/// A text set at `size` and cut to the width `room`, both in points; an ellipsis stands for what was cut off.
pub fn shortened(text: &str, size: f32, room: f32) -> String {
    let fits = |text: &str| width(text) * size <= room;
    if fits(text) {
        return text.into();
    }
    let mut kept: String = text.into();
    while kept.pop().is_some() && !fits(&format!("{kept}…")) {}
    format!("{}…", kept.trim_end())
}

/// One of the fonts. They are asked in order: the first that has a character gives its glyph.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Face {
    /// For text and numbers.
    Text,
    /// For symbols that the first font lacks.
    Signs,
}

impl Face {
    /// All faces, in the order in which they are asked.
    pub const ALL: [Self; 2] = [Self::Text, Self::Signs];

    /// Its font file.
    pub const fn bytes(self) -> &'static [u8] {
        match self {
            Self::Text => UBUNTU_LIGHT,
            Self::Signs => HACK_REGULAR,
        }
    }

    fn font(self) -> Option<&'static FontRef<'static>> {
        Some(&self.read()?.font)
    }

    /// Font units in an em.
    fn units(self) -> f32 {
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

static READ: LazyLock<[Option<ReadFace>; 2]> = LazyLock::new(|| Face::ALL.map(ReadFace::new));

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
pub fn glyphs(text: &str) -> Vec<Glyph> {
    let seen = text.char_indices().filter(|(_, character)| !character.is_control());
    seen.map(|(at, character)| glyph(character, at..at + character.len_utf8())).collect()
}

fn glyph(character: char, bytes: Range<usize>) -> Glyph {
    let found = find(character);
    let missing = found.is_none();
    let (face, id) = found.or_else(|| find(EMPTY_BOX)).unwrap_or((Face::Text, GlyphId::new(0)));
    Glyph { face, id: id.to_u32(), missing, advance: advance(face, id), bytes }
}

fn find(character: char) -> Option<(Face, GlyphId)> {
    Face::ALL.into_iter().find_map(|face| Some((face, face.read()?.characters.map(character)?)))
}

fn advance(face: Face, id: GlyphId) -> f32 {
    let width = face.read().and_then(|read| read.metrics.advance_width(id));
    width.unwrap_or(0.0) / face.units()
}

/// The width of a line of text in ems.
pub fn width(text: &str) -> f32 {
    glyphs(text).iter().map(|glyph| glyph.advance).sum()
}

/// The characters of a text that no face has, each once, in their order.
pub fn missing(text: &str) -> Vec<char> {
    let mut missing = Vec::new();
    for glyph in glyphs(text).into_iter().filter(|glyph| glyph.missing) {
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
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn lines_keep_their_width_and_lose_no_word(text in "[a-zäß0-9]{1,30}( [a-z°.−]{1,12}){0,12}", room in 20.0_f32..200.0) {
            let lines = wrapped(&text, 8.0, room);
            for line in &lines {
                prop_assert!(width(line) * 8.0 <= room || line.chars().count() == 1, "{line}");
            }
            prop_assert_eq!(lines.concat().replace(' ', ""), text.replace(' ', ""));
        }
    }

    #[test]
    fn long_texts_are_cut() {
        assert_eq!(shortened("short", 11.0, 200.0), "short");
        let cut = shortened(&"long ".repeat(40), 11.0, 120.0);
        assert!(cut.ends_with('…') && cut.starts_with("long long") && width(&cut) * 11.0 <= 120.0, "{cut}");
    }

    #[test]
    fn a_number_keeps_its_unit() {
        assert_eq!(words("at 80 °C, then 7 rpm more"), ["at", "80 °C,", "then", "7 rpm", "more"]);
        assert_eq!(wrapped("at 80 °C", 10.0, super::width("at 80") * 10.0 + 1.0), ["at", "80 °C"]);
    }

    #[test]
    fn an_empty_text_is_an_empty_line() {
        assert_eq!(wrapped("", 8.0, 100.0), [""]);
        assert_eq!(wrapped("one two", 8.0, 500.0), ["one two"]);
    }

    #[test]
    fn digits_are_all_equally_wide() {
        let widths: Vec<f32> = ('0'..='9').map(|digit| width(&digit.to_string())).collect();
        assert!(widths.iter().all(|&width| width == widths[0] && width > 0.4));
    }

    #[test]
    fn every_sign_of_the_program_has_a_glyph() {
        assert!(missing("0123456789 −+±°·–—…×÷≥≤→µΩ%′″äöüßéñçøåÆŠžłαβλΔ²³½’‘“”€ \u{a0}").is_empty());
        assert_eq!(missing("a漢b漢\u{10FFFF}\n"), ['漢', '\u{10FFFF}']);
    }

    #[test]
    fn the_empty_box_is_one() {
        let [glyph] = &glyphs("漢")[..] else { panic!("one glyph") };
        assert!(glyph.missing && glyph.id != 0 && glyph.face == Face::Signs);
    }

    #[test]
    fn a_glyph_knows_its_bytes() {
        let text = "−5°\n";
        let glyphs = glyphs(text);
        let parts: Vec<&str> = glyphs.iter().map(|glyph| &text[glyph.bytes.clone()]).collect();
        assert_eq!(parts, ["−", "5", "°"]);
        assert!((width("−5°") - glyphs.iter().map(|glyph| glyph.advance).sum::<f32>()).abs() < 1e-6);
    }

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
