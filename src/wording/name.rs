//! Names that others gave, made fit for a line of text.

use std::borrow::Cow;
use std::fmt::Write;

/// A name from a project or a file as it may stand in a line of a report: what would end the line, move the cursor of a
/// terminal or turn the direction of writing is shown as an escape, so that no name can pass for a line of ours.
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

/// A text of several lines of ours, each of them [`one_line`]: the last guard of what goes to a terminal.
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
