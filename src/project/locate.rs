//! Finding the place of a field in the text of a project file, for errors found after parsing.

use std::borrow::Cow;
use std::cell::Cell;
use std::fmt;

use ron::value::RawValue;
use serde::de::{
    Deserialize, DeserializeSeed, Deserializer, EnumAccess, Error, IgnoredAny, MapAccess, SeqAccess, VariantAccess,
    Visitor,
};

/// One step of a dotted path: a field name, or a place in a list in brackets.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Step {
    /// A field of a record, or the key of a map.
    Field(String),
    /// An index into a list, from 0.
    Index(usize),
    /// The entry of a list that has this name.
    Name(String),
}

/// Splits `outputs[0].conditions[1].off` or `evidence.points[P3].note` into its steps; `None` when it is no path. A name
/// of digits alone stands in quotes, since it would pass for an index: `evidence.points["3"]`.
pub fn steps(path: &str) -> Option<Vec<Step>> {
    let mut steps = Vec::new();
    let mut rest = path;
    loop {
        let (name, after) = rest.split_at(rest.find(['.', '[']).unwrap_or(rest.len()));
        if name.is_empty() {
            return None;
        }
        steps.push(Step::Field(name.to_owned()));
        rest = after;
        while let Some(inside) = rest.strip_prefix('[') {
            let (place, after) = inside.split_once(']')?;
            steps.push(entry(place)?);
            rest = after;
        }
        if rest.is_empty() {
            return Some(steps);
        }
        rest = rest.strip_prefix('.')?;
    }
}

/// The step to what stands in brackets.
fn entry(place: &str) -> Option<Step> {
    if place.is_empty() {
        return None;
    }
    if place.bytes().all(|byte| byte.is_ascii_digit()) {
        return place.parse().ok().map(Step::Index);
    }
    let quoted = place.strip_prefix('"').and_then(|place| place.strip_suffix('"'));
    Some(Step::Name(quoted.unwrap_or(place).to_owned()))
}

/// A name as it stands in brackets: in quotes where it would pass for an index.
pub(super) fn in_brackets(name: &str) -> Cow<'_, str> {
    let is_index = name.bytes().all(|byte| byte.is_ascii_digit());
    if is_index { Cow::Owned(format!("\"{name}\"")) } else { Cow::Borrowed(name) }
}

/// Joins steps into the dotted path that [`steps`] takes apart.
pub fn path_of(steps: &[Step]) -> String {
    joined(steps, |step| match step {
        Step::Index(index) => format!("[{index}]"),
        Step::Field(name) | Step::Name(name) => format!("[{}]", in_brackets(name)),
    })
}

/// The same with `[]` for any place in a list.
pub fn pattern_of(steps: &[Step]) -> String {
    joined(steps, |_| "[]".into())
}

fn joined(steps: &[Step], place: impl Fn(&Step) -> String) -> String {
    let mut path = String::new();
    for step in steps {
        match step {
            Step::Field(name) if path.is_empty() => path.push_str(name),
            Step::Field(name) => path.extend([".", name]),
            in_a_list => path.push_str(&place(in_a_list)),
        }
    }
    path
}

/// Line and column, from 1, at which the value at a path begins in a RON text; `None` when it is not there. The
/// empty path means the whole text.
pub(super) fn locate(text: &str, path: &str) -> Option<(usize, usize)> {
    let value = value_at(text, path)?;
    Some(place_of(text, offset_in(text, value)?))
}

/// The value at a path as it is written in a RON text, without what surrounds it. The empty path means the
/// whole text.
///
/// Walks the text with the same parser that reads projects, and stops it with an error after the wanted value.
pub(super) fn value_at<'t>(text: &'t str, path: &str) -> Option<&'t str> {
    let steps = if path.is_empty() { Vec::new() } else { steps(path)? };
    let mut parser = ron::Deserializer::from_str_with_options(text, &super::ron_text::options()).ok()?;
    let found = Cell::new(None);
    // The visitor stops the parser with an error once it has found the value, so the result is ignored.
    let _ = Seek { steps: &steps, found: &found }.deserialize(&mut parser);
    found.get().map(|value: &RawValue| value.get_ron().trim())
}

/// The byte offset of `part`, which is a slice of `text`.
pub(super) fn offset_in(text: &str, part: &str) -> Option<usize> {
    let offset = part.as_ptr().addr().checked_sub(text.as_ptr().addr())?;
    (offset + part.len() <= text.len()).then_some(offset)
}

/// Line and column, from 1, of a place in bytes.
pub(super) fn place_of(text: &str, offset: usize) -> (usize, usize) {
    let before = text.get(..offset).unwrap_or(text);
    let line = before.matches('\n').count() + 1;
    let in_the_line = before.rsplit_once('\n').map_or(before, |(_, after)| after);
    (line, in_the_line.chars().count() + 1)
}

struct Seek<'a, 'de> {
    steps: &'a [Step],
    found: &'a Cell<Option<&'de RawValue>>,
}

impl<'a, 'de> Seek<'a, 'de> {
    fn below(&self, steps: &'a [Step]) -> Self {
        Seek { steps, found: self.found }
    }
}

impl<'de> DeserializeSeed<'de> for Seek<'_, 'de> {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        if self.steps.is_empty() {
            self.found.set(Some(<&RawValue>::deserialize(deserializer)?));
            return Err(D::Error::custom("the wanted value stands before this"));
        }
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Seek<'_, 'de> {
    type Value = ();

    fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("a value")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        while let Some(key) = map.next_key::<String>()? {
            match self.steps.split_first() {
                Some((Step::Field(name), rest)) if *name == key => map.next_value_seed(self.below(rest))?,
                _ => drop(map.next_value::<IgnoredAny>()?),
            }
        }
        Ok(())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<(), A::Error> {
        for index in 0.. {
            let found = match self.steps.split_first() {
                Some((Step::Index(wanted), rest)) if *wanted == index => {
                    list.next_element_seed(self.below(rest))?.is_some()
                }
                _ => list.next_element::<IgnoredAny>()?.is_some(),
            };
            if !found {
                break;
            }
        }
        Ok(())
    }

    fn visit_some<D: Deserializer<'de>>(self, inner: D) -> Result<(), D::Error> {
        self.deserialize(inner)
    }

    fn visit_newtype_struct<D: Deserializer<'de>>(self, inner: D) -> Result<(), D::Error> {
        self.deserialize(inner)
    }

    fn visit_enum<A: EnumAccess<'de>>(self, data: A) -> Result<(), A::Error> {
        data.variant::<IgnoredAny>()?.1.unit_variant()
    }

    fn visit_unit<E>(self) -> Result<(), E> {
        Ok(())
    }
    fn visit_none<E>(self) -> Result<(), E> {
        Ok(())
    }
    fn visit_bool<E>(self, _: bool) -> Result<(), E> {
        Ok(())
    }
    fn visit_i64<E>(self, _: i64) -> Result<(), E> {
        Ok(())
    }
    fn visit_u64<E>(self, _: u64) -> Result<(), E> {
        Ok(())
    }
    fn visit_f64<E>(self, _: f64) -> Result<(), E> {
        Ok(())
    }
    fn visit_str<E>(self, _: &str) -> Result<(), E> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_fields_and_list_items() {
        let text = "(\n  a: (b: 1.5),\n  list: [(on: 1), (on: 2, x: throttle)],\n)";
        assert_eq!(locate(text, "a.b"), Some((2, 10)));
        assert_eq!(locate(text, "list[1].on").map(|place| place.0), Some(3));
        assert_eq!(locate(text, "list[7].on"), None);
        assert_eq!(locate(text, "a.c"), None);
        assert_eq!(locate(text, "a..b"), None);
        assert_eq!(locate(text, ""), Some((1, 1)));
        assert_eq!(value_at(text, "list[1]"), Some("(on: 2, x: throttle)"));
        assert_eq!(value_at("(a: {\"b\" :  3 , })", "a.b"), Some("3"));
        assert_eq!(locate("// °\n( a: (\n° b", "a"), None);
    }

    #[test]
    fn splits_paths() {
        let field = |name: &str| Step::Field(name.into());
        assert_eq!(steps("a[0][12].b"), Some(vec![field("a"), Step::Index(0), Step::Index(12), field("b")]));
        let name = |name: &str| Step::Name(name.into());
        for (path, entry) in [("a[x]", name("x")), ("a[3.5 k].b", name("3.5 k")), ("a[\"12\"].b", name("12"))] {
            let steps = steps(path).unwrap();
            assert_eq!((&steps[1], path_of(&steps).as_str()), (&entry, path));
            assert!(pattern_of(&steps).starts_with("a[]"), "{path}");
        }
        for no_path in ["", "a[]", "a[1", "a.", "a[1]b", ".a", "a..b", "[1]", "a[99999999999999999999999]"] {
            assert_eq!(steps(no_path), None, "{no_path}");
        }
    }
}
