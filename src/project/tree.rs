//! A project as a tree of named values: what the file writer prints, and what field paths walk.

use std::fmt::Write;

use serde::ser::{self, Impossible, Serialize};
use thiserror::Error;

use super::locate::Step;

/// A value with its structure, in the order in which the types declare it.
#[derive(Clone, Debug, PartialEq)]
pub enum Tree {
    /// Any number.
    Number(f64),
    /// True or false.
    Flag(bool),
    /// Text.
    Text(String),
    /// One of a fixed list of names.
    Name(&'static str),
    /// An optional value that is absent.
    Absent,
    /// An optional value that is there.
    Present(Box<Tree>),
    /// Values in order.
    List(Vec<Tree>),
    /// A fixed number of values in order.
    Tuple(Vec<Tree>),
    /// A value written in RON, to be read in place of the current one.
    Ron(String),
    /// Named fields.
    Record(Vec<(&'static str, Tree)>),
    /// Values by text key.
    Map(Vec<(String, Tree)>),
}

/// A type that the tree does not support; a mistake in this program, found by any test that serialises a
/// project.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{0}")]
pub struct TreeError(String);

impl ser::Error for TreeError {
    fn custom<T: std::fmt::Display>(message: T) -> Self {
        Self(message.to_string())
    }
}

impl Tree {
    /// The tree of a value.
    ///
    /// # Errors
    /// [`TreeError`] for types that no part of a project uses (bytes, tuple structs, enum variants with
    /// contents).
    pub fn of<T: Serialize + ?Sized>(value: &T) -> Result<Self, TreeError> {
        value.serialize(Planter)
    }

    /// Whether it has no parts of its own.
    pub fn is_leaf(&self) -> bool {
        match self {
            Self::List(_) | Self::Tuple(_) | Self::Record(_) | Self::Map(_) => false,
            Self::Present(inner) => inner.is_leaf(),
            _ => true,
        }
    }

    /// Visits every leaf with its dotted path, such as `outputs[0].name`.
    pub fn walk(&self, visit: &mut impl FnMut(&str, &Self)) {
        self.walk_from(&mut String::new(), visit);
    }

    fn walk_from(&self, path: &mut String, visit: &mut impl FnMut(&str, &Self)) {
        let length = path.len();
        let dot = if length == 0 { "" } else { "." };
        match self {
            Self::List(items) | Self::Tuple(items) => {
                for (index, item) in items.iter().enumerate() {
                    let _ = write!(path, "[{index}]");
                    item.walk_from(path, visit);
                    path.truncate(length);
                }
            }
            Self::Record(fields) => {
                for (name, value) in fields {
                    let _ = write!(path, "{dot}{name}");
                    value.walk_from(path, visit);
                    path.truncate(length);
                }
            }
            Self::Map(entries) => {
                for (key, value) in entries {
                    let _ = write!(path, "{dot}{key}");
                    value.walk_from(path, visit);
                    path.truncate(length);
                }
            }
            leaf => visit(path, leaf),
        }
    }

    /// The part at a path below this one.
    pub fn at(&self, steps: &[Step]) -> Option<&Self> {
        let Some((step, rest)) = steps.split_first() else {
            return Some(self);
        };
        match (self, step) {
            (Self::Record(fields), Step::Field(name)) => fields.iter().find(|(key, _)| key == name)?.1.at(rest),
            (Self::Map(entries), Step::Field(name)) => entries.iter().find(|(key, _)| key == name)?.1.at(rest),
            (Self::List(items) | Self::Tuple(items), Step::Index(index)) => items.get(*index)?.at(rest),
            (Self::List(items), Step::Name(name)) => items.iter().find(|item| item.is_named(name))?.at(rest),
            _ => None,
        }
    }

    /// The part at a path below this one, to be changed.
    pub fn at_mut(&mut self, steps: &[Step]) -> Option<&mut Self> {
        let Some((step, rest)) = steps.split_first() else {
            return Some(self);
        };
        match (self, step) {
            (Self::Record(fields), Step::Field(name)) => fields.iter_mut().find(|(key, _)| key == name)?.1.at_mut(rest),
            (Self::Map(entries), Step::Field(name)) => entries.iter_mut().find(|(key, _)| key == name)?.1.at_mut(rest),
            (Self::List(items) | Self::Tuple(items), Step::Index(index)) => items.get_mut(*index)?.at_mut(rest),
            (Self::List(items), Step::Name(name)) => items.iter_mut().find(|item| item.is_named(name))?.at_mut(rest),
            _ => None,
        }
    }

    /// The name of a record that has one.
    pub fn entry_name(&self) -> Option<&str> {
        let Self::Record(fields) = self else { return None };
        match fields.iter().find(|(key, _)| *key == "name") {
            Some((_, Self::Text(name))) => Some(name),
            _ => None,
        }
    }

    fn is_named(&self, name: &str) -> bool {
        self.entry_name() == Some(name)
    }

    /// Whether it is a list of values without parts.
    pub fn is_plain_list(&self) -> bool {
        matches!(self, Self::List(items) | Self::Tuple(items) if items.iter().all(Self::is_leaf))
    }
}

struct Planter;

fn unsupported<T>(what: &str) -> Result<T, TreeError> {
    Err(TreeError(format!("a project holds no {what}")))
}

macro_rules! numbers {
    ($($method:ident: $kind:ty),*) => {
        $(fn $method(self, value: $kind) -> Result<Tree, TreeError> {
            Ok(Tree::Number(f64::from(value)))
        })*
    };
}

impl ser::Serializer for Planter {
    type Ok = Tree;
    type Error = TreeError;
    type SerializeSeq = Items;
    type SerializeTuple = Together;
    type SerializeTupleStruct = Impossible<Tree, TreeError>;
    type SerializeTupleVariant = Impossible<Tree, TreeError>;
    type SerializeMap = Entries;
    type SerializeStruct = Fields;
    type SerializeStructVariant = Impossible<Tree, TreeError>;

    numbers!(serialize_i8: i8, serialize_i16: i16, serialize_i32: i32, serialize_u8: u8, serialize_u16: u16,
        serialize_u32: u32, serialize_f32: f32, serialize_f64: f64);

    fn serialize_bool(self, value: bool) -> Result<Tree, TreeError> {
        Ok(Tree::Flag(value))
    }
    fn serialize_i64(self, _: i64) -> Result<Tree, TreeError> {
        unsupported("64-bit whole number")
    }
    fn serialize_u64(self, _: u64) -> Result<Tree, TreeError> {
        unsupported("64-bit whole number")
    }
    fn serialize_char(self, value: char) -> Result<Tree, TreeError> {
        Ok(Tree::Text(value.to_string()))
    }
    fn serialize_str(self, value: &str) -> Result<Tree, TreeError> {
        Ok(Tree::Text(value.to_owned()))
    }
    fn serialize_bytes(self, _: &[u8]) -> Result<Tree, TreeError> {
        unsupported("bytes")
    }
    fn serialize_none(self) -> Result<Tree, TreeError> {
        Ok(Tree::Absent)
    }
    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<Tree, TreeError> {
        Ok(Tree::Present(Box::new(Tree::of(value)?)))
    }
    fn serialize_unit(self) -> Result<Tree, TreeError> {
        unsupported("unit")
    }
    fn serialize_unit_struct(self, _: &'static str) -> Result<Tree, TreeError> {
        unsupported("unit struct")
    }
    fn serialize_unit_variant(self, _: &'static str, _: u32, variant: &'static str) -> Result<Tree, TreeError> {
        Ok(Tree::Name(variant))
    }
    fn serialize_newtype_struct<T: Serialize + ?Sized>(self, _: &'static str, value: &T) -> Result<Tree, TreeError> {
        value.serialize(self)
    }
    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: &T,
    ) -> Result<Tree, TreeError> {
        unsupported("variant with contents")
    }
    fn serialize_seq(self, length: Option<usize>) -> Result<Items, TreeError> {
        Ok(Items(Vec::with_capacity(length.unwrap_or(0))))
    }
    fn serialize_tuple(self, length: usize) -> Result<Together, TreeError> {
        Ok(Together(Vec::with_capacity(length)))
    }
    fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<Self::SerializeTupleStruct, TreeError> {
        unsupported("tuple struct")
    }
    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self::SerializeTupleVariant, TreeError> {
        unsupported("variant with contents")
    }
    fn serialize_map(self, _: Option<usize>) -> Result<Entries, TreeError> {
        Ok(Entries { entries: Vec::new(), key: String::new() })
    }
    fn serialize_struct(self, _: &'static str, length: usize) -> Result<Fields, TreeError> {
        Ok(Fields(Vec::with_capacity(length)))
    }
    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self::SerializeStructVariant, TreeError> {
        unsupported("variant with contents")
    }
}

struct Items(Vec<Tree>);

impl ser::SerializeSeq for Items {
    type Ok = Tree;
    type Error = TreeError;

    fn serialize_element<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), TreeError> {
        self.0.push(Tree::of(value)?);
        Ok(())
    }
    fn end(self) -> Result<Tree, TreeError> {
        Ok(Tree::List(self.0))
    }
}

struct Together(Vec<Tree>);

impl ser::SerializeTuple for Together {
    type Ok = Tree;
    type Error = TreeError;

    fn serialize_element<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), TreeError> {
        self.0.push(Tree::of(value)?);
        Ok(())
    }
    fn end(self) -> Result<Tree, TreeError> {
        Ok(Tree::Tuple(self.0))
    }
}

struct Fields(Vec<(&'static str, Tree)>);

impl ser::SerializeStruct for Fields {
    type Ok = Tree;
    type Error = TreeError;

    fn serialize_field<T: Serialize + ?Sized>(&mut self, key: &'static str, value: &T) -> Result<(), TreeError> {
        self.0.push((key, Tree::of(value)?));
        Ok(())
    }
    fn end(self) -> Result<Tree, TreeError> {
        Ok(Tree::Record(self.0))
    }
}

struct Entries {
    entries: Vec<(String, Tree)>,
    key: String,
}

impl ser::SerializeMap for Entries {
    type Ok = Tree;
    type Error = TreeError;

    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Result<(), TreeError> {
        let Tree::Text(key) = Tree::of(key)? else {
            return unsupported("key that is not text");
        };
        self.key = key;
        Ok(())
    }
    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), TreeError> {
        self.entries.push((std::mem::take(&mut self.key), Tree::of(value)?));
        Ok(())
    }
    fn end(self) -> Result<Tree, TreeError> {
        Ok(Tree::Map(self.entries))
    }
}
