//! Floor 0: the program's typeface, for pictures and pages that look the same on every machine: which glyphs a text
//! takes, how wide it is, and their outlines. The same fonts as the window's, from its own font crate.
//!
//! Measures are in ems: multiply by the type size. y of an outline grows upwards from the baseline. Text runs
//! from left to right, one glyph per character, without kerning: enough for numbers and technical terms.

mod face;

pub use face::{Face, Glyph, Segment, glyphs, missing, outline, width};

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
}
