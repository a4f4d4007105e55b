//! Identifiers and texts that every A2L reader accepts.

use std::collections::{BTreeMap, BTreeSet};

use crate::project::Item;

/// The identifier of every item by its name in the project.
pub(super) struct Names(BTreeMap<String, String>);

impl Names {
    /// Identifiers for items whose names differ; identifiers that would coincide are numbered.
    pub(super) fn new(items: &[Item]) -> Self {
        let mut taken = BTreeSet::new();
        let mut names = BTreeMap::new();
        for item in items {
            let plain = identifier(&item.name);
            let numbered = (2..).map(|number| format!("{plain}_{number}"));
            let free = std::iter::once(plain.clone()).chain(numbered).find(|name| !taken.contains(name));
            let name = free.unwrap_or(plain);
            taken.insert(name.clone());
            names.insert(item.name.clone(), name);
        }
        Self(names)
    }

    pub(super) fn of(&self, item: &Item) -> String {
        self.0.get(&item.name).cloned().unwrap_or_else(|| identifier(&item.name))
    }

    pub(super) fn conversion_of(&self, item: &Item) -> String {
        conversion_name(&self.of(item))
    }

    /// A name for the reversed axis of an item, different from every item's.
    pub(super) fn reversed(&self, item: &Item) -> String {
        let mut name = format!("{}_reversed", self.of(item));
        while self.0.values().any(|other| *other == name) {
            name.push('_');
        }
        name
    }
}

pub(super) fn conversion_name(identifier: &str) -> String {
    format!("{identifier}_conversion")
}

/// A text as an identifier: letters, digits and `_`, not beginning with a digit.
pub(super) fn identifier(text: &str) -> String {
    let allowed = |c: char| if c.is_ascii_alphanumeric() { c } else { '_' };
    let name: String = text.chars().map(allowed).collect();
    match name.chars().next() {
        None => "unnamed".into(),
        Some(first) if first.is_ascii_digit() => format!("_{name}"),
        Some(_) => name,
    }
}

/// A text without characters that only some readers accept: units are spelt out, everything else outside
/// printable ASCII, quotes and backslashes becomes `_`.
pub(super) fn plain(text: &str) -> String {
    let text = text.replace("°C", "degC").replace('°', "deg").replace('Ω', "Ohm").replace('µ', "u");
    let allowed = |c: char| if (' '..='~').contains(&c) && !matches!(c, '"' | '\'' | '\\') { c } else { '_' };
    text.chars().map(allowed).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::image::samples::item;
    use crate::project::Content;

    #[test]
    fn names_are_identifiers_and_differ() {
        let items = ["oil temp", "oil-temp", "2nd", "Öl", ""].map(|name| item(name, Content::Field, 0));
        let names = Names::new(&items);
        let given: Vec<String> = items.iter().map(|item| names.of(item)).collect();
        assert_eq!(given, ["oil_temp", "oil_temp_2", "_2nd", "_l", "unnamed"]);
        assert_eq!(plain("20 °C, 3 Ω \"x\"\n"), "20 degC, 3 Ohm _x__");
    }
}
