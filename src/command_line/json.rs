//! Answers as JSON (RFC 8259): one document on one line, every number the shortest decimal that reads back.

use std::io::{self, Write};

use serde::ser::{Serialize, SerializeMap, SerializeSeq, Serializer};
use serde_json::ser::Formatter;

use super::Failure;
use crate::project::Tree;
use crate::wording::shortest;

/// The JSON document of a value, its line ended.
///
/// # Errors
/// [`Failure::Internal`] for a value that JSON cannot hold: none that a job answers.
pub(super) fn document(value: &impl Serialize) -> Result<String, Failure> {
    let mut bytes = Vec::new();
    value.serialize(&mut serde_json::Serializer::with_formatter(&mut bytes, Shortest))?;
    bytes.push(b'\n');
    String::from_utf8(bytes).map_err(|error| Failure::Internal(error.to_string()))
}

/// Compact, and 28 instead of 28.0.
struct Shortest;

impl Formatter for Shortest {
    fn write_f64<W: ?Sized + Write>(&mut self, writer: &mut W, value: f64) -> io::Result<()> {
        writer.write_all(shortest(value).as_bytes())
    }

    fn write_f32<W: ?Sized + Write>(&mut self, writer: &mut W, value: f32) -> io::Result<()> {
        // By its own shortest digits: 0.1, not 0.10000000149011612.
        self.write_f64(writer, value.to_string().parse().unwrap_or_else(|_| value.into()))
    }
}

/// A field's value as JSON has it; a field that is not there is null.
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
}
