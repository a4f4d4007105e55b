//! Detects comments in a project file, which saving would lose.

/// Whether a RON text has `//` or `/*` outside its strings.
pub(super) fn has_comments(text: &str) -> bool {
    let mut rest = text;
    while let Some(at) = rest.find(['"', '/']) {
        let (before, here) = rest.split_at(at);
        if here.starts_with("//") || here.starts_with("/*") {
            return true;
        }
        let inside = &here[1..];
        rest = if here.starts_with('/') { inside } else { after_string(before, inside) };
    }
    false
}

/// The text after a string; `before` is what precedes its opening quote, `inside` what follows the quote.
fn after_string<'a>(before: &str, inside: &'a str) -> &'a str {
    let stem = before.trim_end_matches('#');
    if stem.ends_with('r') {
        let end = format!("\"{}", &before[stem.len()..]);
        return inside.split_once(&end).map_or("", |(_, after)| after);
    }
    let mut escaped = false;
    let end = inside.find(|c| {
        let ends = c == '"' && !escaped;
        escaped = c == '\\' && !escaped;
        ends
    });
    end.map_or("", |end| &inside[end + 1..])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tells_comments_from_text() {
        for with in ["// a", "(a: 1) /* b */", r#"(a: "x\\") // c"#, "(a: r#\"x\"y\"#, // d\n)", "(a: 1 / 2 //"] {
            assert!(has_comments(with), "{with}");
        }
        for without in ["", "(a: 1 / 2)", r#"(a: "http://x", b: "\"//")"#, "(a: r##\"x\"# // y\"##)", "(a: \"//"] {
            assert!(!has_comments(without), "{without}");
        }
    }
}
