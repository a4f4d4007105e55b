//! Words and names as they are shown: counts, plurals, and names that other people chose, made safe for a line
//! of text.

use std::borrow::Cow;
use std::fmt::{Display, Write};

/// The text with its first letter in upper case.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The text with its first letter in lower case.
pub fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// '1 cell', '12 cells', '2 entries'.
pub fn count<N: Display + PartialEq + From<u8>>(number: N, noun: &str) -> String {
    format!("{number} {}", plural(&number, noun))
}

/// The noun as it stands after a number: 'cell' after one, else 'cells'.
pub fn plural<N: PartialEq + From<u8>>(number: &N, noun: &str) -> String {
    if *number == N::from(1) {
        return noun.to_owned();
    }
    let mut letters = noun.chars().rev();
    match (letters.next(), letters.next()) {
        (Some('y'), Some(before)) if !"aeiou".contains(before) => format!("{}ies", noun.trim_end_matches('y')),
        (Some('s' | 'x'), _) | (Some('h'), Some('c' | 's')) => format!("{noun}es"),
        _ => format!("{noun}s"),
    }
}

/// The name that is wanted, or the first of 'name 2', 'name 3' … that is not taken.
pub fn free_name(wanted: &str, is_taken: impl Fn(&str) -> bool) -> String {
    let numbered = (2_u32..).map(|number| format!("{wanted} {number}"));
    std::iter::once(wanted.to_owned()).chain(numbered).find(|name| !is_taken(name)).unwrap_or_default()
}

/// The text on one line, cut after that many characters with an ellipsis.
pub fn brief(text: &str, most: usize) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let line = one_line(&line);
    match line.char_indices().nth(most) {
        Some((end, _)) => format!("{}…", line.get(..end).unwrap_or_default()),
        None => line.into_owned(),
    }
}

/// A name from a project or a file, made safe for a line of a report: characters that would end the line, move
/// the terminal's cursor or change the direction of writing are shown as escapes, so that no name can pass for
/// a line of ours.
pub fn one_line(name: &str) -> Cow<'_, str> {
    if !name.contains(is_unfit) {
        return Cow::Borrowed(name);
    }
    let mut shown = String::with_capacity(name.len() + 8);
    for character in name.chars() {
        match character {
            '\n' => shown.push_str("\\n"),
            '\r' => shown.push_str("\\r"),
            '\t' => shown.push_str("\\t"),
            unfit if is_unfit(unfit) => {
                let _ = write!(shown, "\\u{{{:x}}}", u32::from(unfit));
            }
            fit => shown.push(fit),
        }
    }
    Cow::Owned(shown)
}

/// A text of several lines of our own, [`one_line`] applied to each: the last guard for whatever goes to a
/// terminal.
pub fn plain_lines(text: &str) -> Cow<'_, str> {
    if !text.contains(|character| character != '\n' && is_unfit(character)) {
        return Cow::Borrowed(text);
    }
    Cow::Owned(text.split('\n').map(one_line).collect::<Vec<_>>().join("\n"))
}

/// Control characters, ends of lines and paragraphs, and marks that turn or override the direction of writing (Unicode
/// Standard Annex #9, 'Unicode Bidirectional Algorithm').
fn is_unfit(character: char) -> bool {
    character.is_control()
        || matches!(
            character,
            '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{2028}' | '\u{2029}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}'
        )
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn first_letters_are_large_whatever_they_are() {
        assert_eq!(
            (capital("the spark"), capital("él"), capital("")),
            ("The spark".into(), "Él".into(), String::new())
        );
        assert_eq!((lower_first("The spark"), lower_first("Él")), ("the spark".into(), "él".into()));
    }

    #[test]
    fn one_is_no_plural() {
        assert_eq!((count(1_usize, "cell"), count(0_u64, "cell")), ("1 cell".into(), "0 cells".into()));
        let many = ["entry", "key", "pitch", "switch", "degree"].map(|noun| count(2_u8, noun));
        assert_eq!(many, ["2 entries", "2 keys", "2 pitches", "2 switches", "2 degrees"]);
    }

    #[test]
    fn long_texts_are_cut_between_characters() {
        assert_eq!(brief("  one\n two ", 7), "one two");
        assert_eq!(brief("äöü äöü", 4), "äöü …");
        assert_eq!(brief("a\u{1b}[1mb", 20), "a\\u{1b}[1mb");
    }

    #[test]
    fn what_could_forge_a_line_is_seen() {
        let cases = [
            ("Ebbe \"8\" – 20 °C", "Ebbe \"8\" – 20 °C"),
            ("fan\nerror none", "fan\\nerror none"),
            ("\u{1b}[2Jgone\u{7}", "\\u{1b}[2Jgone\\u{7}"),
            ("a\u{202e}b\u{2066}c\u{2029}", "a\\u{202e}b\\u{2066}c\\u{2029}"),
            ("\r\t\u{9b}1m", "\\r\\t\\u{9b}1m"),
        ];
        for (name, shown) in cases {
            assert_eq!(one_line(name), shown);
        }
    }

    #[test]
    fn our_own_lines_stay_lines() {
        assert_eq!(plain_lines("one\ntwo\n"), "one\ntwo\n");
        assert_eq!(plain_lines("one\n\u{1b}[1mtwo\r\n"), "one\n\\u{1b}[1mtwo\\r\n");
    }

    proptest! {
        #[test]
        fn any_name_is_one_line_of_plain_characters(name in any::<String>()) {
            let shown = one_line(&name);
            prop_assert!(!shown.contains(char::is_control) && shown.lines().count() <= 1);
            prop_assert!(!shown.contains(is_unfit));
            prop_assert_eq!(one_line(&shown), shown.clone());
        }
    }
}
