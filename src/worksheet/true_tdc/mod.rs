//! True top dead centre: where it really is relative to the marks, in degrees and in millimetres on a pulley;
//! and a strip of degrees to print at full size and wrap around the pulley.

mod piston_stop;

use std::f64::consts::PI;
use std::fmt::Write as _;

use crate::project::cautions;
use crate::wording::{Unit, quantity, settle, shortest};
use crate::worksheet::{WorksheetError, check};

pub use piston_stop::{PistonStop, TdcVerdict, TrueTdc};

/// Smallest and largest diameter of a pulley or damper.
const LEAST_DIAMETER_MM: f64 = 20.0;
const MOST_DIAMETER_MM: f64 = 600.0;
/// The longest piece of a strip: it fits the narrow side of any usual sheet with its margins.
const PIECE_MM: f64 = 180.0;
const MARGIN_MM: f64 = 8.0;
const PIECE_HEIGHT_MM: f64 = 22.0;
/// The distance from one line of text to the next.
const LINE_MM: f64 = 5.0;
/// A line to check with a ruler: a printer that fits the drawing to the page changes its scale.
const PROOF_MM: f64 = 100.0;

/// The length of an angle along the rim: π·D·deg/360.
///
/// ```
/// use sparkloft::worksheet::pulley_mm;
///
/// assert!((pulley_mm(150.0, 12.0)? - 15.708).abs() < 0.001);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`WorksheetError`] for a diameter that no pulley has.
pub fn pulley_mm(diameter_mm: f64, deg: f64) -> Result<f64, WorksheetError> {
    check("diameter", diameter_mm, LEAST_DIAMETER_MM, MOST_DIAMETER_MM, Unit::Millimetre)?;
    check("angle", deg, -360.0, 360.0, Unit::Degree)?;
    Ok(PI * diameter_mm * deg / 360.0)
}

/// How many crank degrees a length along the rim is: 360·mm/(π·D).
///
/// # Errors
/// [`WorksheetError`] for a diameter that no pulley has.
pub fn pulley_deg(diameter_mm: f64, mm: f64) -> Result<f64, WorksheetError> {
    check("diameter", diameter_mm, LEAST_DIAMETER_MM, MOST_DIAMETER_MM, Unit::Millimetre)?;
    check("length", mm, -2_000.0, 2_000.0, Unit::Millimetre)?;
    Ok(360.0 * mm / (PI * diameter_mm))
}

/// The default first and last degree of a strip, before top dead centre. Common practice, no source.
pub const STRIP_DEG: (i16, i16) = (-10, 60);

/// One mark of a strip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StripMark {
    /// The degrees before top dead centre it stands for.
    pub deg: f64,
    /// Its distance from the strip's start, in mm.
    pub at_mm: f64,
    /// 2 for a mark with its number, 1 for a long mark, 0 for a short one.
    pub rank: u8,
}

/// A strip of degrees for a pulley's rim.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// The rim's diameter, in mm.
    pub diameter_mm: f64,
    /// Its length, in mm.
    pub length_mm: f64,
    /// One mark for each whole degree, from the first to the last.
    pub marks: Vec<StripMark>,
}

impl Strip {
    /// A strip from `from_deg` to `to_deg` before top dead centre, whole degrees.
    ///
    /// # Errors
    /// [`WorksheetError`] for a diameter that no pulley has, and for ends with nothing between them.
    pub fn new(diameter_mm: f64, from_deg: i16, to_deg: i16) -> Result<Self, WorksheetError> {
        check("strip from", f64::from(from_deg), -180.0, 180.0, Unit::Degree)?;
        check("strip to", f64::from(to_deg), f64::from(from_deg) + 1.0, 180.0, Unit::Degree)?;
        let mark = |deg: i16| -> Result<StripMark, WorksheetError> {
            let at_mm = pulley_mm(diameter_mm, f64::from(deg - from_deg))?;
            let rank = u8::from(deg % 5 == 0) + u8::from(deg % 10 == 0);
            Ok(StripMark { deg: f64::from(deg), at_mm, rank })
        };
        let marks = (from_deg..=to_deg).map(mark).collect::<Result<Vec<_>, _>>()?;
        let length_mm = pulley_mm(diameter_mm, f64::from(to_deg - from_deg))?;
        Ok(Self { diameter_mm, length_mm, marks })
    }

    /// The strip as an SVG drawing, in millimetres, so that it prints at full size; a long one in pieces one
    /// below the other, with a line of 100 mm to check the scale.
    pub fn svg(&self) -> String {
        let pieces = (self.length_mm / PIECE_MM).ceil().max(1.0);
        let width_mm = PIECE_MM + 2.0 * MARGIN_MM;
        let height_mm = (pieces + 1.0) * PIECE_HEIGHT_MM + MARGIN_MM + 2.0 * LINE_MM;
        let mut svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} \
             {height}\" font-family=\"sans-serif\" font-size=\"3\" stroke=\"currentColor\" stroke-width=\"0.2\">\n",
            width = shortest(width_mm),
            height = shortest(height_mm),
        );
        for mark in &self.marks {
            push_mark(&mut svg, mark);
        }
        let rest_mm = settle(self.length_mm - (pieces - 1.0) * PIECE_MM);
        for piece in 0..whole(pieces) {
            let is_last = piece + 1 == whole(pieces);
            push_rim(&mut svg, f64::from(piece), if is_last { rest_mm } else { PIECE_MM });
        }
        let below_mm = pieces * PIECE_HEIGHT_MM + MARGIN_MM;
        push_line(&mut svg, MARGIN_MM, below_mm, MARGIN_MM + PROOF_MM, below_mm);
        let words = format!(
            "{} pulley, degrees before top dead centre; higher ones lead. Print at full size: this line is {} long.",
            quantity(self.diameter_mm, Unit::Millimetre),
            quantity(PROOF_MM, Unit::Millimetre)
        );
        push_text(&mut svg, MARGIN_MM, below_mm + 5.0, "start", &words);
        for (line, words) in (1_u8..).zip(cautions::TRUE_TDC.split(": ")) {
            push_text(&mut svg, MARGIN_MM, below_mm + 5.0 + f64::from(line) * LINE_MM, "start", words);
        }
        svg.push_str("</svg>\n");
        svg
    }
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most 12 pieces")]
fn whole(pieces: f64) -> u32 {
    pieces as u32
}

fn push_mark(svg: &mut String, mark: &StripMark) {
    let piece = (mark.at_mm / PIECE_MM).floor();
    let x = MARGIN_MM + mark.at_mm - piece * PIECE_MM;
    let rim = rim_mm(piece);
    let length_mm = [3.0, 5.0, 7.0][usize::from(mark.rank.min(2))];
    push_line(svg, x, rim, x, rim - length_mm);
    if mark.rank == 2 {
        let text = crate::wording::fixed(mark.deg, 0);
        push_text(svg, x, rim - length_mm - 1.0, "middle", &text);
    }
}

fn push_rim(svg: &mut String, piece: f64, length_mm: f64) {
    push_line(svg, MARGIN_MM, rim_mm(piece), MARGIN_MM + length_mm, rim_mm(piece));
}

fn rim_mm(piece: f64) -> f64 {
    MARGIN_MM + (piece + 1.0) * PIECE_HEIGHT_MM - 8.0
}

fn push_line(svg: &mut String, x1: f64, y1: f64, x2: f64, y2: f64) {
    let [x1, y1, x2, y2] = [x1, y1, x2, y2].map(thousandths);
    let _ = writeln!(svg, "<line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\"/>");
}

fn push_text(svg: &mut String, x: f64, y: f64, anchor: &str, text: &str) {
    let [x, y] = [x, y].map(thousandths);
    let _ = writeln!(
        svg,
        "<text x=\"{x}\" y=\"{y}\" text-anchor=\"{anchor}\" stroke=\"none\" fill=\"currentColor\">{text}</text>"
    );
}

/// To a micrometre, which is finer than any printer.
fn thousandths(mm: f64) -> String {
    shortest((mm * 1000.0).round() / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// π·150/36 = 13.0899694 mm for 10° of a 150 mm pulley, by hand.
    #[test]
    fn degrees_are_millimetres_on_the_rim() {
        assert_abs_diff_eq!(pulley_mm(150.0, 10.0).unwrap(), 13.089_969_39, epsilon = 1e-8);
        assert_abs_diff_eq!(pulley_mm(150.0, 360.0).unwrap(), 471.238_898, epsilon = 1e-6);
        assert_abs_diff_eq!(pulley_deg(150.0, 13.089_969_39).unwrap(), 10.0, epsilon = 1e-8);
        assert_eq!(pulley_mm(5.0, 10.0).unwrap_err().to_string(), "diameter: 5 is outside 20..600 mm");
    }

    #[test]
    fn a_strip_has_a_mark_for_each_degree() {
        let strip = Strip::new(150.0, -10, 60).unwrap();
        assert_eq!((strip.marks.len(), strip.marks[0].deg, strip.marks[70].at_mm), (71, -10.0, strip.length_mm));
        assert_eq!(strip.marks.iter().filter(|mark| mark.rank == 2).count(), 8);
        assert_abs_diff_eq!(strip.marks[10].at_mm, 13.089_969_39, epsilon = 1e-8);
        assert!(Strip::new(150.0, 10, 10).is_err());
    }

    #[test]
    fn the_drawing_is_in_millimetres_and_no_piece_is_too_long() {
        let svg = Strip::new(200.0, -180, 180).unwrap().svg();
        assert!(svg.starts_with("<svg ") && svg.contains("width=\"196mm\"") && svg.ends_with("</svg>\n"));
        assert!(svg.contains(">−180</text>") && svg.contains("this line is 100 mm long"));
        assert!(svg.contains("turn by hand, never with the starter</text>"));
        let ends: Vec<f64> =
            svg.split("x2=\"").skip(1).map(|rest| rest.split('"').next().unwrap().parse().unwrap()).collect();
        assert!(ends.iter().all(|x| (MARGIN_MM..=MARGIN_MM + PIECE_MM).contains(x)));
        // 361 marks, four pieces (628.3 mm), one line to check the scale.
        assert_eq!(ends.len(), 361 + 4 + 1);
    }
}
