//! Floor 0: the program's typeface, for pictures and pages that look the same on every machine: which glyphs a text
//! takes, how wide it is, and their outlines. The same fonts as the window's, from its own font crate.
//!
//! Measures are in ems: multiply by the type size. y of an outline grows upwards from the base line. Text runs from left
//! to right, one glyph a character, without kerning: enough for numbers and the words of the trade.

mod face;
mod outline;
mod wrap;

pub use face::{Face, Glyph, glyphs, missing, width};
pub use outline::{Segment, outline};
pub use wrap::{shortened, wrapped};

/// From the base line up to the top of a line's box, in ems.
pub const ASCENT: f32 = 0.932;
/// From the base line down to the bottom of a line's box, in ems.
pub const DESCENT: f32 = 0.189;
/// Height of a capital, in ems.
pub const CAPITAL: f32 = 0.693;
