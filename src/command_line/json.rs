//! Answers as JSON (RFC 8259): one document on one line, every number as the shortest decimal that reads back;
//! and which number of an item is meant.

use std::io::{self, Write};

use serde::Serialize;
use serde::ser::{SerializeMap, SerializeSeq, Serializer};
use serde_json::ser::Formatter;

use super::Failure;
use crate::image::Place;
use crate::project::Tree;
use crate::wording::{Unit, shortest};

/// The JSON document of a value, ending with a line break.
///
/// # Errors
/// [`Failure::Internal`] for a value that JSON cannot represent: no job answers with one.
pub(super) fn document(value: &impl Serialize) -> Result<String, Failure> {
    let mut bytes = Vec::new();
    value.serialize(&mut serde_json::Serializer::with_formatter(&mut bytes, Shortest))?;
    bytes.push(b'\n');
    String::from_utf8(bytes).map_err(|error| Failure::Internal(error.to_string()))
}

/// Compact, and with 28 instead of 28.0.
struct Shortest;

impl Formatter for Shortest {
    fn write_f64<W: ?Sized + Write>(&mut self, writer: &mut W, value: f64) -> io::Result<()> {
        writer.write_all(shortest(value).as_bytes())
    }

    fn write_f32<W: ?Sized + Write>(&mut self, writer: &mut W, value: f32) -> io::Result<()> {
        // With its own shortest digits: 0.1, not 0.10000000149011612.
        self.write_f64(writer, value.to_string().parse().unwrap_or_else(|_| value.into()))
    }
}

/// A field's value as JSON; a missing field is null.
pub(super) struct Value<'a>(pub(super) Option<&'a Tree>);

impl Serialize for Value<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let Some(tree) = self.0 else {
            return serializer.serialize_unit();
        };
        match tree {
            Tree::Number(number) => serializer.serialize_f64(*number),
            Tree::Flag(flag) => serializer.serialize_bool(*flag),
            Tree::Text(text) | Tree::Ron(text) => serializer.serialize_str(text),
            Tree::Name(name) => serializer.serialize_str(name),
            Tree::Absent => serializer.serialize_unit(),
            Tree::Present(inner) => Value(Some(inner)).serialize(serializer),
            Tree::List(items) | Tree::Tuple(items) => {
                let mut list = serializer.serialize_seq(Some(items.len()))?;
                items.iter().try_for_each(|item| list.serialize_element(&Value(Some(item))))?;
                list.end()
            }
            Tree::Record(fields) => entries(serializer, fields.iter().map(|(name, value)| (*name, value))),
            Tree::Map(fields) => entries(serializer, fields.iter().map(|(name, value)| (name.as_str(), value))),
        }
    }
}

fn entries<'a, S: Serializer>(
    serializer: S,
    mut fields: impl Iterator<Item = (&'a str, &'a Tree)>,
) -> Result<S::Ok, S::Error> {
    let mut map = serializer.serialize_map(None)?;
    fields.try_for_each(|(name, value)| map.serialize_entry(name, &Value(Some(value))))?;
    map.end()
}

/// Only the fields that the place has are written; `place` is the same in words.
#[derive(Debug, Default, PartialEq, Serialize)]
pub(super) struct Where {
    #[serde(skip_serializing_if = "Option::is_none")]
    speed_rpm: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    load: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    load_unit: Option<Unit>,
    #[serde(skip_serializing_if = "Option::is_none")]
    at: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    at_unit: Option<Unit>,
    #[serde(skip_serializing_if = "Option::is_none")]
    breakpoint: Option<usize>,
    place: String,
}

impl Where {
    pub(super) fn of(place: &Place) -> Self {
        let words = place.to_string();
        let plain = Self { place: words.trim_start_matches([',', ' ']).to_owned(), ..Self::default() };
        match *place {
            Place::Cell { speed_rpm, load, load_unit, .. } => {
                Self { speed_rpm: Some(speed_rpm), load: Some(load), load_unit: Some(load_unit), ..plain }
            }
            Place::Point { at, unit, .. } => Self { at: Some(at), at_unit: Some(unit), ..plain },
            Place::Breakpoint { index } => Self { breakpoint: Some(index + 1), ..plain },
            Place::Only => plain,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_everything_has_its_kind() {
        let tree = Tree::Record(vec![
            ("whole", Tree::Number(28.0)),
            ("tiny", Tree::Number(-1.25e-9)),
            ("list", Tree::List(vec![Tree::Number(0.1), Tree::Flag(true)])),
            ("none", Tree::Absent),
            ("some", Tree::Present(Box::new(Tree::Name("hall")))),
            ("map", Tree::Map(vec![("a \"b\"".into(), Tree::Text("°".into()))])),
        ]);
        let text = r#"{"whole":28,"tiny":-1.25e-9,"list":[0.1,true],"none":null,"some":"hall","map":{"a \"b\"":"°"}}"#;
        assert_eq!(document(&Value(Some(&tree))).unwrap(), format!("{text}\n"));
        assert_eq!(document(&Value(None)).unwrap(), "null\n");
        assert_eq!(document(&[720.0_f32, 0.1]).unwrap(), "[720,0.1]\n");
    }

    #[test]
    fn places_are_given_in_numbers_and_words() {
        let point = Where::of(&Place::Point { index: 2, at: 80.0, unit: Unit::Celsius });
        assert_eq!(serde_json::to_string(&point).unwrap(), r#"{"at":80.0,"at_unit":"°C","place":"at 80 °C"}"#);
        let breakpoint = Where::of(&Place::Breakpoint { index: 0 });
        assert_eq!(serde_json::to_string(&breakpoint).unwrap(), r#"{"breakpoint":1,"place":"breakpoint 1"}"#);
        assert_eq!(serde_json::to_string(&Where::of(&Place::Only)).unwrap(), r#"{"place":""}"#);
    }
}
