//! A field's value as people read it.

use crate::project::Tree;
use crate::wording::{count, given, with_unit, written};

/// What stands for a field that one side does not have.
const NOT_THERE: &str = "—";

/// How a number is told, without its unit.
type Digits = fn(f64, &str) -> String;

/// A value with its unit.
pub(super) fn told(value: Option<&Tree>, unit: &str) -> String {
    tell(value, unit, given)
}

/// The same, numbers with all their digits.
pub(super) fn told_whole(value: Option<&Tree>, unit: &str) -> String {
    tell(value, unit, whole)
}

fn whole(number: f64, unit: &str) -> String {
    let (usual, whole) = (given(number, unit), written(number));
    if whole.len() > usual.len() { whole } else { usual }
}

fn tell(value: Option<&Tree>, unit: &str, digits: Digits) -> String {
    match value {
        None => NOT_THERE.into(),
        Some(Tree::Present(inner)) => tell(Some(inner), unit, digits),
        Some(Tree::Absent) => "none".into(),
        Some(Tree::Flag(flag)) => if *flag { "yes" } else { "no" }.into(),
        Some(Tree::Name(name)) => name.replace('_', " "),
        Some(Tree::Text(text) | Tree::Ron(text)) if text.is_empty() => "empty".into(),
        Some(Tree::Text(text) | Tree::Ron(text)) => text.clone(),
        Some(Tree::Number(number)) => with_unit(&digits(*number, unit), unit),
        Some(Tree::List(items) | Tree::Tuple(items)) => list_words(items, unit, digits),
        Some(Tree::Record(fields)) => entry_name(fields).unwrap_or_else(|| count(fields.len(), "value")),
        Some(Tree::Map(entries)) => count(entries.len(), "value"),
    }
}

/// '1, 3, 4, 2', '800, 1500 rpm', 'Shift light, Fan', '3 entries'.
fn list_words(items: &[Tree], unit: &str, digits: Digits) -> String {
    if items.is_empty() {
        return "none".into();
    }
    let tell = |item: &Tree| match item {
        Tree::Number(number) => Some(digits(*number, unit)),
        Tree::Record(fields) => entry_name(fields),
        _ => None,
    };
    let told: Option<Vec<String>> = items.iter().map(tell).collect();
    match (told, items.len()) {
        (Some(told), _) if matches!(items[0], Tree::Number(_)) => with_unit(&told.join(", "), unit),
        (Some(told), _) => told.join(", "),
        (None, length) => count(length, "entry"),
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
        assert_eq!(text(Tree::Number(1.0), "pulses"), "1 pulse");
        assert_eq!(text(Tree::Number(2.0 / 3.0), "°"), "0.667°");
        assert_eq!(told_whole(Some(&Tree::Number(0.6661)), "°"), "0.6661°");
        assert_eq!(told_whole(Some(&Tree::Number(2.0)), "°"), "2.0°");
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
