//! Words as they are shown.

use std::fmt::Display;

use super::name::one_line;

/// The text with its first letter large.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The text with its first letter small.
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

/// The text in one line, cut with an ellipsis after so many characters.
pub fn brief(text: &str, most: usize) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let line = one_line(&line);
    match line.char_indices().nth(most) {
        Some((end, _)) => format!("{}…", line.get(..end).unwrap_or_default()),
        None => line.into_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
}
