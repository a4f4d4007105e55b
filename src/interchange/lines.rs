//! Line ends and quotes: what every line-based text here is split by.

/// How many line breaks there are; LF, CR LF and a lone CR count as one each.
pub fn count_breaks(bytes: &[u8]) -> usize {
    let mut after_cr = false;
    let breaks = bytes.iter().filter(|&&byte| {
        let second_half = after_cr && byte == b'\n';
        after_cr = byte == b'\r';
        matches!(byte, b'\r' | b'\n') && !second_half
    });
    breaks.count()
}

/// Where a reader is relative to the quotes of RFC 4180, byte by byte.
///
/// A quote opens only at the start of a field; two quotes inside quotes stand for one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Quoting {
    /// The next byte begins a field.
    FieldStart,
    /// In a field without quotes.
    Bare,
    /// Between quotes: separators and line breaks are text.
    Quoted,
    /// After a quote between quotes: it is the closing one, unless another follows.
    Closing,
    /// There is text after the closing quote, which the standard does not allow.
    Astray,
}

impl Quoting {
    /// The state after one more byte.
    #[inline]
    pub(super) fn after(self, byte: u8, is_separator: bool) -> Self {
        match (self, byte) {
            (Self::FieldStart | Self::Closing, b'"') => Self::Quoted,
            (Self::Quoted, b'"') => Self::Closing,
            (Self::Quoted, _) => Self::Quoted,
            (_, b'\r' | b'\n') => Self::FieldStart,
            _ if is_separator => Self::FieldStart,
            (Self::Closing | Self::Astray, _) => Self::Astray,
            _ => Self::Bare,
        }
    }
}

/// What separates the fields of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Separator {
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// A tab.
    Tab,
}

impl Separator {
    /// The byte itself.
    pub const fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
        }
    }

    /// A tab or else a semicolon if there is one outside quotes in the first row; otherwise a comma.
    pub(super) fn of_first_row(text: &[u8]) -> Self {
        let mut state = Quoting::FieldStart;
        let mut found = Self::Comma;
        for &byte in text {
            let separator = matches!(byte, b',' | b';' | b'\t');
            if state != Quoting::Quoted {
                match byte {
                    b'\r' | b'\n' => break,
                    b'\t' => return Self::Tab,
                    b';' => found = Self::Semicolon,
                    _ => {}
                }
            }
            state = state.after(byte, separator);
        }
        found
    }
}

/// Put before a text that a spreadsheet would execute as a formula.
const GUARD: char = '\'';

/// Whether a spreadsheet would take a text for a formula, or the text looks as if it was guarded already.
fn looks_run(text: &str) -> bool {
    text.trim_start_matches(GUARD).starts_with(['=', '+', '-', '@', '\t', '\r', '\n'])
}

/// The text of a field as it was before [`push_text_field`] guarded it.
pub(super) fn unguarded(field: &str) -> &str {
    field.strip_prefix(GUARD).filter(|_| looks_run(field)).unwrap_or(field)
}

/// Appends a text field, quoted if one of our separators, a quote or a line break in it would be misread. A
/// text that a spreadsheet would execute as a formula gets an apostrophe in front, which our own readers remove
/// again.
pub(super) fn push_text_field(out: &mut Vec<u8>, text: &str) {
    let guarded = looks_run(text).then(|| format!("{GUARD}{text}"));
    let text = guarded.as_deref().unwrap_or(text);
    if !text.contains(['"', ',', ';', '\t', '\r', '\n']) {
        out.extend_from_slice(text.as_bytes());
        return;
    }
    out.push(b'"');
    out.extend_from_slice(text.replace('"', "\"\"").as_bytes());
    out.push(b'"');
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::interchange::records::split;
    use proptest::prelude::*;

    #[test]
    fn counts_breaks_of_every_kind() {
        assert_eq!(count_breaks(b""), 0);
        assert_eq!(count_breaks(b"a\r\nb\nc\rd"), 3);
        assert_eq!(count_breaks(b"\r\r\n\n\r"), 4);
    }

    #[test]
    fn finds_the_separator_outside_quotes_in_the_first_row_only() {
        assert_eq!(Separator::of_first_row(b"load,1,2\n3;4"), Separator::Comma);
        assert_eq!(Separator::of_first_row(b"load;1,2\t3"), Separator::Tab);
        assert_eq!(Separator::of_first_row(b"\"a;\tb\r\n\"\"\",1\n"), Separator::Comma);
        assert_eq!(Separator::of_first_row(b"\"a\tb\";1\n"), Separator::Semicolon);
        assert_eq!(Separator::of_first_row(b"x\r1\t2"), Separator::Comma);
    }

    #[test]
    fn quotes_only_what_needs_it() {
        let field = |text| {
            let mut out = Vec::new();
            push_text_field(&mut out, text);
            String::from_utf8(out).unwrap()
        };
        assert_eq!(field("load, kPa"), "\"load, kPa\"");
        assert_eq!(field("2\" bore"), "\"2\"\" bore\"");
        assert_eq!(field("load"), "load");
    }

    #[test]
    fn what_a_spreadsheet_would_run_is_guarded() {
        let cases = [
            ("=1+2", "'=1+2"),
            ("@sum(a1)", "'@sum(a1)"),
            ("-fan", "'-fan"),
            ("+fan, left", "\"'+fan, left\""),
            ("\t=x", "\"'\t=x\""),
            ("'=1", "''=1"),
            ("'quoted'", "'quoted'"),
            ("fan = 2", "fan = 2"),
            ("", ""),
        ];
        for (text, field) in cases {
            let mut out = Vec::new();
            push_text_field(&mut out, text);
            assert_eq!(String::from_utf8(out).unwrap(), field);
        }
    }

    proptest! {
        /// What is written for a spreadsheet is read back as the same text, and never begins like a formula.
        #[test]
        fn any_name_comes_back(name in "['=+@a\\-\t\r\n\", ;é]{0,8}") {
            let mut out = b"first,".to_vec();
            push_text_field(&mut out, &name);
            out.extend_from_slice(b",last\r\n");
            let text = String::from_utf8(out).unwrap();
            let records = split(&text, Separator::Comma).unwrap();
            prop_assert_eq!(records[0].text(1), name.as_str());
            let field = text.split_once(',').unwrap().1;
            let field = field.strip_prefix('"').unwrap_or(field);
            prop_assert!(!field.starts_with(['=', '+', '-', '@', '\t', '\r']), "{}", text);
        }
    }
}
