//! A plate as SVG 1.1: patches, lines, circles and outlines of glyphs; no fonts, no scripts, no external
//! references.

use std::collections::BTreeMap;
use std::fmt::Write;

use super::{HALO, Lettering, Plate, STRONG};
use crate::drawing::{Color, Patch, PatchPaint, PatchRule, Point, Shape};
use crate::lettering::{Face, Segment, glyphs, outline};

/// Colours may be off by this much of 255, which the eye does not notice.
const RULE: PatchRule = PatchRule { tolerance: 3.0, blends: true };
/// Width of the line that closes the seam between two patches, in points.
const SEAM: f32 = 0.5;

/// The SVG file of a picture.
pub fn svg(plate: &Plate) -> String {
    let mut writer = Writer::default();
    let mut body = String::new();
    writer.shapes(&plate.scene.shapes, &mut body);
    for text in &plate.texts {
        writer.text(text, &mut body);
    }
    let (width, height) = (number(plate.width), number(plate.height));
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" \
         role=\"img\">\n<title>{}</title>\n",
        escaped(&plate.description)
    );
    if !writer.definitions.is_empty() || !writer.glyphs.is_empty() {
        let shapes: Vec<&str> = writer.glyphs.values().map(|(_, shape)| shape.as_str()).collect();
        let _ = writeln!(out, "<defs>\n{}{}</defs>", writer.definitions, shapes.concat());
    }
    let _ = writeln!(out, "<rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>", hex(plate.paper));
    out + &body + "</svg>\n"
}

/// What consecutive lines have in common.
#[derive(Clone, Copy, PartialEq)]
struct LineStyle {
    width: f32,
    color: Color,
}

#[derive(Default)]
struct Writer {
    /// The definitions of blends.
    definitions: String,
    blends: usize,
    /// Glyphs by face and number, each with its short name and its definition.
    glyphs: BTreeMap<(Face, u32), (usize, String)>,
}

impl Writer {
    fn shapes(&mut self, shapes: &[Shape], body: &mut String) {
        let mut run: Option<(LineStyle, String)> = None;
        for shape in shapes {
            if let Shape::Line { from, to, width, color } = *shape {
                let style = LineStyle { width, color };
                if run.as_ref().is_none_or(|(last, _)| *last != style) {
                    end_run(run.take(), body);
                }
                let (_, path) = run.get_or_insert_with(|| (style, String::new()));
                let _ = write!(path, "M{}L{}", point(from), point(to));
                continue;
            }
            end_run(run.take(), body);
            match *shape {
                Shape::Triangle { at, colors } => {
                    let mut patches = Vec::new();
                    RULE.split(at, colors, &mut patches);
                    patches.iter().for_each(|patch| self.patch(patch, body));
                }
                Shape::Dot { at, radius, fill, outline, outline_width } => {
                    let (x, y) = (number(at.x), number(at.y));
                    let _ = write!(body, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{}\"{}", number(radius), filled(fill));
                    if outline_width > 0.0 && outline.a > 0 {
                        let _ = write!(body, "{}", stroked(outline, outline_width));
                    }
                    body.push_str("/>\n");
                }
                Shape::Line { .. } => {}
            }
        }
        end_run(run, body);
    }

    fn patch(&mut self, patch: &Patch, body: &mut String) {
        let [a, b, c] = patch.at.map(point);
        let _ = write!(body, "<path d=\"M{a}L{b}L{c}z\"");
        match patch.paint {
            PatchPaint::Plain(color) => {
                body.push_str(&filled(color));
                if color.a == u8::MAX {
                    body.push_str(&stroked(color, SEAM));
                }
            }
            PatchPaint::Blend { from, to, colors } => {
                let name = self.blends;
                self.blends += 1;
                let stops = [(0, colors[0]), (1, colors[1])].map(|(at, color)| {
                    let opacity = if color.a == u8::MAX {
                        String::new()
                    } else {
                        format!(" stop-opacity=\"{}\"", opacity(color))
                    };
                    format!("<stop offset=\"{at}\" stop-color=\"{}\"{opacity}/>", hex(color))
                });
                let [x1, y1, x2, y2] = [from.x, from.y, to.x, to.y].map(number);
                let _ = writeln!(
                    self.definitions,
                    "<linearGradient id=\"b{name}\" gradientUnits=\"userSpaceOnUse\" x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" \
                     y2=\"{y2}\">{}</linearGradient>",
                    stops.concat()
                );
                let _ = write!(body, " fill=\"url(#b{name})\"");
                if colors.iter().all(|color| color.a == u8::MAX) {
                    let _ = write!(body, " stroke=\"url(#b{name})\" stroke-width=\"{SEAM}\"");
                }
            }
        }
        body.push_str("/>\n");
    }

    /// A text as placed glyphs, with the words as its accessible name.
    fn text(&mut self, text: &Lettering, body: &mut String) {
        let origin = text.origin();
        let mut x = 0.0;
        let mut places = String::new();
        for glyph in glyphs(&text.text) {
            let next = self.glyphs.len();
            let (name, shape) = self.glyphs.entry((glyph.face, glyph.id)).or_insert_with(|| {
                let path = path(&outline(&glyph));
                let shape = if path.is_empty() { path } else { format!("<path id=\"g{next}\" d=\"{path}\"/>\n") };
                (next, shape)
            });
            if !shape.is_empty() {
                let _ = write!(places, "<use href=\"#g{name}\" x=\"{}\"/>", number(x * UNITS));
            }
            x += glyph.advance;
        }
        let scale = text.size / UNITS;
        let _ = write!(
            body,
            "<g role=\"text\" aria-label=\"{}\" transform=\"translate({} {}) scale({scale})\"",
            escaped(&text.text),
            number(origin.x),
            number(origin.y),
        );
        let width = if text.strong { STRONG * UNITS } else { 0.0 };
        let ink = if width > 0.0 { stroked(text.color, width) } else { String::new() };
        if text.halo.a > 0 {
            let halo = stroked(text.halo, 2.0 * HALO / scale) + " stroke-linejoin=\"round\"";
            let _ = writeln!(
                body,
                "><g{}{halo}>{places}</g><g{}{ink}>{places}</g></g>",
                filled(text.halo),
                filled(text.color)
            );
        } else {
            let _ = writeln!(body, "{}{ink}>{places}</g>", filled(text.color));
        }
    }
}

/// Units of a glyph's outline per em: whole numbers are then precise enough.
const UNITS: f32 = 1000.0;

fn end_run(run: Option<(LineStyle, String)>, body: &mut String) {
    if let Some((LineStyle { width, color }, path)) = run {
        let _ = writeln!(body, "<path d=\"{path}\" fill=\"none\"{}/>", stroked(color, width));
    }
}

fn path(segments: &[Segment]) -> String {
    let at = |[x, y]: [f32; 2]| format!("{:.0} {:.0}", x * UNITS, 0.0 - y * UNITS);
    let one = |segment: &Segment| match *segment {
        Segment::Move(to) => format!("M{}", at(to)),
        Segment::Line(to) => format!("L{}", at(to)),
        Segment::Quad(by, to) => format!("Q{} {}", at(by), at(to)),
        Segment::Cubic(a, b, to) => format!("C{} {} {}", at(a), at(b), at(to)),
        Segment::Close => "z".into(),
    };
    segments.iter().map(one).collect()
}

/// With at most two decimals.
fn number(x: f32) -> String {
    let text = format!("{x:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}

fn point(at: Point) -> String {
    format!("{} {}", number(at.x), number(at.y))
}

fn hex(Color { r, g, b, .. }: Color) -> String {
    format!("#{r:02x}{g:02x}{b:02x}")
}

fn opacity(color: Color) -> String {
    number(f32::from(color.a) / 255.0)
}

fn filled(color: Color) -> String {
    match color.a {
        0 => " fill=\"none\"".into(),
        u8::MAX => format!(" fill=\"{}\"", hex(color)),
        _ => format!(" fill=\"{}\" fill-opacity=\"{}\"", hex(color), opacity(color)),
    }
}

fn stroked(color: Color, width: f32) -> String {
    let solid = format!(" stroke=\"{}\" stroke-width=\"{}\"", hex(color), number(width));
    if color.a == u8::MAX { solid } else { format!("{solid} stroke-opacity=\"{}\"", opacity(color)) }
}

/// Text escaped for use in or between tags. Characters that XML cannot hold become the replacement character.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            other => out.push(held_by_xml(other)),
        }
    }
    out
}

/// A character as XML can hold it within a line: line breaks become blanks, and what XML cannot hold becomes
/// the replacement character (W3C, Extensible Markup Language 1.0, production 2, 2008).
pub(super) fn held_by_xml(character: char) -> char {
    match character {
        '\t' | '\n' | '\r' => ' ',
        '\u{FFFE}' | '\u{FFFF}' => '\u{FFFD}',
        control if control.is_control() => '\u{FFFD}',
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Scene;

    fn plate() -> Plate {
        let color = Color::hex(0x33_4455);
        let shapes = vec![
            Shape::Line { from: Point::new(0.0, 0.5), to: Point::new(9.0, 0.5), width: 1.0, color },
            Shape::Line { from: Point::new(9.0, 0.5), to: Point::new(9.0, 8.0), width: 1.0, color },
            Shape::Triangle {
                at: [Point::default(), Point::new(50.0, 0.0), Point::new(0.0, 40.0)],
                colors: [color, Color::hex(0xFF_FFFF), color],
            },
            Shape::Dot {
                at: Point::new(5.0, 5.0),
                radius: 2.0,
                fill: Color::default(),
                outline: color,
                outline_width: 1.0,
            },
        ];
        let text = Lettering::new(Point::new(10.0, 10.0), (0.0, 0.0), "a < b & \"c\"\u{1}", 11.0, color);
        let halo = Lettering { halo: Color::hex(0xFF_FFFF).with_alpha(128), ..text.clone() };
        Plate {
            width: 60.0,
            height: 50.0,
            paper: Color::hex(0xFF_FFFF),
            description: "x & y".into(),
            scene: Scene { shapes, labels: Vec::new() },
            texts: vec![text, halo.strong()],
        }
    }

    #[test]
    fn lines_of_one_style_share_a_path_and_text_is_escaped() {
        let file = svg(&plate());
        assert!(file.contains("d=\"M0 0.5L9 0.5M9 0.5L9 8\" fill=\"none\" stroke=\"#334455\" stroke-width=\"1\"/>"));
        assert!(file.contains("<title>x &amp; y</title>"));
        assert!(file.contains("aria-label=\"a &lt; b &amp; &quot;c&quot;\u{FFFD}\""));
        assert!(file.contains("<linearGradient id=\"b0\"") && file.contains("fill=\"url(#b0)\""));
        assert!(file.contains("<circle cx=\"5\" cy=\"5\" r=\"2\" fill=\"none\" stroke="));
        assert!(!file.contains("NaN") && !file.contains("inf"));
        assert_eq!(file, svg(&plate()));
    }

    #[test]
    fn numbers_are_short() {
        assert_eq!([0.0, -0.001, 12.345, 7.5, 100.0].map(number), ["0", "0", "12.35", "7.5", "100"].map(String::from));
    }
}
