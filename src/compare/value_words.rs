//! A field's value as people read it.

use super::words;
use crate::project::Tree;
use crate::wording::shortest;

/// What stands for a field that one side does not have.
const NOT_THERE: &str = "—";

/// A value with its unit. Numbers are exact; degrees show at least one decimal.
pub(super) fn told(value: Option<&Tree>, unit: &str) -> String {
    match value {
        None => NOT_THERE.into(),
        Some(Tree::Present(inner)) => told(Some(inner), unit),
        Some(Tree::Absent) => "none".into(),
        Some(Tree::Flag(flag)) => if *flag { "yes" } else { "no" }.into(),
        Some(Tree::Name(name)) => name.replace('_', " "),
        Some(Tree::Text(text) | Tree::Ron(text)) if text.is_empty() => "empty".into(),
        Some(Tree::Text(text) | Tree::Ron(text)) => text.clone(),
        Some(Tree::Number(number)) => words::quantity(&number_words(*number, unit), unit),
        Some(Tree::List(items) | Tree::Tuple(items)) => list_words(items, unit),
        Some(Tree::Record(fields)) => entry_name(fields).unwrap_or_else(|| format!("{} values", fields.len())),
        Some(Tree::Map(entries)) => format!("{} values", entries.len()),
    }
}

fn number_words(number: f64, unit: &str) -> String {
    let text = shortest(number);
    let needs_decimal = unit == "°" && !text.contains(['.', 'e']);
    words::true_minus(&if needs_decimal { format!("{text}.0") } else { text })
}

/// '1, 3, 4, 2', '800, 1500 rpm', 'Shift light, Fan', '3 entries'.
fn list_words(items: &[Tree], unit: &str) -> String {
    if items.is_empty() {
        return "none".into();
    }
    let tell = |item: &Tree| match item {
        Tree::Number(number) => Some(number_words(*number, unit)),
        Tree::Record(fields) => entry_name(fields),
        _ => None,
    };
    let told: Option<Vec<String>> = items.iter().map(tell).collect();
    match (told, items.len()) {
        (Some(told), _) if matches!(items[0], Tree::Number(_)) => words::quantity(&told.join(", "), unit),
        (Some(told), _) => told.join(", "),
        (None, 1) => "1 entry".into(),
        (None, count) => format!("{count} entries"),
    }
}

pub(super) fn entry_name(fields: &[(&'static str, Tree)]) -> Option<String> {
    let name = fields.iter().find(|(key, _)| *key == "name").map(|(_, name)| name);
    if let Some(Tree::Text(name)) = name { Some(name.clone()) } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_read_as_on_the_sheet() {
        let text = |value: Tree, unit: &str| told(Some(&value), unit);
        assert_eq!(text(Tree::Number(7200.0), "rpm"), "7200 rpm");
        assert_eq!(text(Tree::Number(0.0), "°"), "0.0°");
        assert_eq!(text(Tree::Number(-2.0), "°"), "−2.0°");
        assert_eq!(text(Tree::Number(1.25), "°"), "1.25°");
        assert_eq!(text(Tree::Present(Box::new(Tree::Number(9.5))), "A"), "9.5 A");
        assert_eq!(text(Tree::Absent, "A"), "none");
        assert_eq!(text(Tree::Flag(true), ""), "yes");
        assert_eq!(text(Tree::Name("alternate_coils"), ""), "alternate coils");
        assert_eq!(text(Tree::Text(String::new()), ""), "empty");
        assert_eq!(told(None, "°"), "—");
    }

    #[test]
    fn lists_are_told_whole() {
        let numbers = |list: &[f64]| Tree::List(list.iter().map(|&x| Tree::Number(x)).collect());
        assert_eq!(told(Some(&numbers(&[1.0, 3.0, 4.0, 2.0])), ""), "1, 3, 4, 2");
        assert_eq!(told(Some(&numbers(&[800.0, 1500.0])), "rpm"), "800, 1500 rpm");
        let output = |name: &str| Tree::Record(vec![("name", Tree::Text(name.into()))]);
        assert_eq!(told(Some(&Tree::List(vec![output("Shift light"), output("Fan")])), ""), "Shift light, Fan");
        assert_eq!(told(Some(&Tree::List(vec![Tree::Record(vec![])])), ""), "1 entry");
        assert_eq!(told(Some(&Tree::List(vec![])), ""), "none");
    }
}
