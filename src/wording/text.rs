//! Words as they are shown.

/// The text with its first letter large.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The text in one line, cut with an ellipsis after so many characters.
pub fn brief(text: &str, most: usize) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    match line.char_indices().nth(most) {
        Some((end, _)) => format!("{}…", line.get(..end).unwrap_or_default()),
        None => line,
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
    }

    #[test]
    fn long_texts_are_cut_between_characters() {
        assert_eq!(brief("  one\n two ", 7), "one two");
        assert_eq!(brief("äöü äöü", 4), "äöü …");
    }
}
