//! Plates as the pages of a PDF: shapes as vectors, text as text in the embedded typeface.
//!
//! There is no clock, so no dates: the same plates give the same bytes.

use krilla::Document;
use krilla::color::rgb;
use krilla::geom::{Path, PathBuilder, Point as PdfPoint};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineJoin, Stroke};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};
use thiserror::Error;

use super::svg::held_by_xml;
use super::{HALO, Lettering, Plate, STRONG};
use crate::drawing::{Color, Patch, PatchPaint, PatchRule, Point, Shape};
use crate::lettering::{Face, Glyph, glyphs};

/// Colours on paper may be off by this much of 255; blends would take more bytes than small plain patches.
const RULE: PatchRule = PatchRule { tolerance: 4.0, blends: false };
/// Width of the line that closes the seam between two patches, in points.
const SEAM: f32 = 0.3;
/// A quarter circle as a cubic Bézier curve: 4/3·(√2 − 1).
const ARC: f32 = 0.552_284_8;

/// The metadata of the document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Title {
    /// Its title.
    pub title: String,
    /// What it is, in a sentence.
    pub description: String,
}

/// A mistake in this program.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("the page cannot be written: {0}")]
pub struct PdfError(String);

/// The PDF file with these pages.
///
/// # Errors
/// [`PdfError`] never for plates of finite numbers.
pub fn pdf(pages: &[Plate], title: &Title) -> Result<Vec<u8>, PdfError> {
    let mut document = Document::new();
    document.set_metadata(
        Metadata::new()
            .title(of_metadata(&title.title))
            .description(of_metadata(&title.description))
            .creator("Sparkloft".into())
            .language("en".into()),
    );
    let fonts = Face::ALL.map(|face| Font::new(face.bytes().into(), 0));
    for plate in pages {
        let size = PageSettings::from_wh(plate.width, plate.height);
        let size = size.ok_or_else(|| PdfError(format!("a page of {} × {} points", plate.width, plate.height)))?;
        let mut page = document.start_page_with(size);
        let mut surface = page.surface();
        let mut painter = Painter { surface: &mut surface, fonts: &fonts };
        plate.scene.shapes.iter().for_each(|shape| painter.shape(shape));
        plate.texts.iter().for_each(|text| painter.text(text));
        surface.finish();
        page.finish();
    }
    document.finish().map_err(|error| PdfError(format!("{error:?}")))
}

/// A text as the metadata, which are XML, can hold it.
fn of_metadata(text: &str) -> String {
    text.chars().map(held_by_xml).collect()
}

struct Painter<'a, 'b> {
    surface: &'a mut Surface<'b>,
    fonts: &'a [Option<Font>; 2],
}

impl Painter<'_, '_> {
    fn shape(&mut self, shape: &Shape) {
        match *shape {
            Shape::Triangle { at, colors } => {
                let mut patches = Vec::new();
                RULE.split(at, colors, &mut patches);
                patches.iter().for_each(|patch| self.patch(patch));
            }
            Shape::Line { from, to, width, color } => {
                self.paint(None, stroke(color, width), line(from, to));
            }
            Shape::Dot { at, radius, fill: inside, outline, outline_width } => {
                let ring = if outline_width > 0.0 { stroke(outline, outline_width) } else { None };
                self.paint(fill(inside), ring, circle(at, radius));
            }
        }
    }

    fn patch(&mut self, patch: &Patch) {
        let color = match patch.paint {
            PatchPaint::Plain(color) => color,
            PatchPaint::Blend { colors, .. } => colors[0],
        };
        let seam = if color.a == u8::MAX { stroke(color, SEAM) } else { None };
        self.paint(fill(color), seam, triangle(patch.at));
    }

    fn paint(&mut self, fill: Option<Fill>, stroke: Option<Stroke>, path: Option<Path>) {
        let Some(path) = path.filter(|_| fill.is_some() || stroke.is_some()) else {
            return;
        };
        self.surface.set_fill(fill);
        self.surface.set_stroke(stroke);
        self.surface.draw_path(&path);
    }

    fn text(&mut self, text: &Lettering) {
        let glyphs = glyphs(&text.text);
        if text.halo.a > 0 {
            self.surface.set_fill(fill(text.halo));
            let halo = stroke(text.halo, 2.0 * HALO * text.size / super::SMALL);
            self.surface.set_stroke(halo.map(|halo| Stroke { line_join: LineJoin::Round, ..halo }));
            self.run(text, &glyphs, true);
        }
        self.surface.set_fill(fill(text.color));
        self.surface.set_stroke(stroke(text.color, STRONG * text.size).filter(|_| text.strong));
        self.run(text, &glyphs, false);
    }

    /// Draws a text, switching between faces.
    fn run(&mut self, text: &Lettering, glyphs: &[Glyph], outlined: bool) {
        let origin = text.origin();
        let mut x = origin.x;
        for run in glyphs.chunk_by(|a, b| a.face == b.face) {
            let shaped: Vec<KrillaGlyph> = run.iter().map(shaped).collect();
            let font = run.first().and_then(|glyph| self.fonts.get(glyph.face as usize)?.clone());
            if let Some(font) = font {
                let start = PdfPoint::from_xy(x, origin.y);
                self.surface.draw_glyphs(start, &shaped, font, &text.text, text.size, outlined);
            }
            x += run.iter().map(|glyph| glyph.advance).sum::<f32>() * text.size;
        }
    }
}

fn shaped(glyph: &Glyph) -> KrillaGlyph {
    KrillaGlyph {
        glyph_id: GlyphId::new(glyph.id),
        text_range: glyph.bytes.clone(),
        x_advance: glyph.advance,
        x_offset: 0.0,
        y_offset: 0.0,
        y_advance: 0.0,
        location: None,
    }
}

fn opacity(color: Color) -> NormalizedF32 {
    NormalizedF32::new(f32::from(color.a) / 255.0).unwrap_or(NormalizedF32::ONE)
}

/// The fill for a colour; `None` if it is fully transparent.
fn fill(color: Color) -> Option<Fill> {
    let paint = rgb::Color::new(color.r, color.g, color.b).into();
    (color.a > 0).then(|| Fill { paint, opacity: opacity(color), rule: FillRule::NonZero })
}

fn stroke(color: Color, width: f32) -> Option<Stroke> {
    let paint = rgb::Color::new(color.r, color.g, color.b).into();
    (color.a > 0).then(|| Stroke { paint, width, opacity: opacity(color), ..Stroke::default() })
}

fn line(from: Point, to: Point) -> Option<Path> {
    let mut path = PathBuilder::new();
    path.move_to(from.x, from.y);
    path.line_to(to.x, to.y);
    path.finish()
}

fn triangle([a, b, c]: [Point; 3]) -> Option<Path> {
    let mut path = PathBuilder::new();
    path.move_to(a.x, a.y);
    path.line_to(b.x, b.y);
    path.line_to(c.x, c.y);
    path.close();
    path.finish()
}

fn circle(Point { x, y }: Point, radius: f32) -> Option<Path> {
    let mut path = PathBuilder::new();
    let arm = radius * ARC;
    path.move_to(x + radius, y);
    path.cubic_to(x + radius, y + arm, x + arm, y + radius, x, y + radius);
    path.cubic_to(x - arm, y + radius, x - radius, y + arm, x - radius, y);
    path.cubic_to(x - radius, y - arm, x - arm, y - radius, x, y - radius);
    path.cubic_to(x + arm, y - radius, x + radius, y - arm, x + radius, y);
    path.close();
    path.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The metadata of a file with that title and no pages.
    fn metadata(title: &str) -> String {
        let title = Title { title: title.into(), description: "a\u{0}b & <c>".into() };
        let bytes = pdf(&[Plate { width: 10.0, height: 10.0, ..Plate::default() }], &title).unwrap();
        let find = |mark: &str| bytes.windows(mark.len()).position(|part| part == mark.as_bytes()).unwrap();
        let packet = bytes[find("<x:xmpmeta")..find("</x:xmpmeta>")].to_vec();
        String::from_utf8(packet).unwrap() + "</x:xmpmeta>"
    }

    /// Reads XML as strictly as a parser: only permitted characters, known entities, quoted attributes, and an
    /// end for every tag, in order. Returns the texts.
    fn texts(xml: &str) -> Result<Vec<String>, String> {
        let is_held =
            |c: char| matches!(c, '\t' | '\n' | '\r' | ' '..='\u{D7FF}' | '\u{E000}'..='\u{FFFD}' | '\u{10000}'..);
        if let Some(bad) = xml.chars().find(|c| !is_held(*c)) {
            return Err(format!("{bad:?} is no character of XML"));
        }
        let (mut open, mut told, mut rest) = (Vec::new(), Vec::new(), xml);
        while !rest.is_empty() {
            let (text, after) = rest.split_once('<').unwrap_or((rest, ""));
            told.push(plain(text)?);
            let Some((tag, after)) = after.split_once('>') else {
                return if after.is_empty() { Ok(told) } else { Err(format!("an open tag: {after}")) };
            };
            match tag.strip_prefix('/') {
                Some(name) if open.pop() != Some(name) => return Err(format!("</{name}> ends nothing")),
                Some(_) => {}
                None if tag.contains('<') || tag.matches('"').count() % 2 != 0 => return Err(format!("<{tag}>")),
                None if tag.ends_with('/') => {}
                None => open.push(tag.split_whitespace().next().unwrap_or_default()),
            }
            rest = after;
        }
        if open.is_empty() { Ok(told) } else { Err(format!("{open:?} have no end")) }
    }

    fn plain(text: &str) -> Result<String, String> {
        let mut parts = text.split('&');
        let mut told = parts.next().unwrap_or_default().to_owned();
        for part in parts {
            let (entity, after) = part.split_once(';').ok_or_else(|| format!("a bare & before {part}"))?;
            told.push(match entity {
                "amp" => '&',
                "lt" => '<',
                "gt" => '>',
                "quot" => '"',
                "apos" => '\'',
                other => return Err(format!("&{other};")),
            });
            told.push_str(after);
        }
        Ok(told)
    }

    #[test]
    fn the_reader_of_the_tests_is_strict() {
        assert_eq!(texts("<a b=\"c\">x &lt; y<d/></a>").unwrap().concat(), "x < y");
        for bad in ["<a>\u{1}</a>", "<a>&</a>", "<a>&x;</a>", "<a></b>", "<a>", "<a"] {
            assert!(texts(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn metadata_are_valid_for_names_of_control_characters() {
        let found = texts(&metadata("fire \u{1b}[2J\u{0}\u{7f}\u{ffff}\n& <pump> ]]>")).unwrap();
        assert!(found.iter().any(|text| text == "fire \u{fffd}[2J\u{fffd}\u{fffd}\u{fffd} & <pump> ]]>"), "{found:?}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn metadata_are_valid_for_any_name(name in any::<String>()) {
            let found = texts(&metadata(&name));
            prop_assert!(found.is_ok(), "{:?}", found);
        }
    }
}
