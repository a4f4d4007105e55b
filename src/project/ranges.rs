//! Holding every value of the setup against the catalogue: done for every change of a project.

use super::fields::{DecidedBy, Field, field, field_of_pattern, resolved, setup_tree, wheel_of_zero_offset};
use super::{Fault, Parts, Tree};

/// Holds every value of the setup against the catalogue.
pub(super) fn check_ranges(parts: &Parts) -> Result<(), Fault> {
    let tree = setup_tree(parts).map_err(|error| Fault::new("", error.to_string()))?;
    let mut walk = Walk { parts, places: Vec::new(), pattern: String::new(), has_keys: false };
    walk.first_fault(&tree).map_or(Ok(()), Err)
}

/// One step of the way to a value.
enum Place<'t> {
    Name(&'t str),
    Index(usize),
}

/// The way to the value at hand. Paths are put together only where one is asked for: there are a thousand values, and
/// most are in order.
struct Walk<'p, 't> {
    parts: &'p Parts,
    places: Vec<Place<'t>>,
    /// The path with `[]` for any place in a list.
    pattern: String,
    /// Whether the way leads through keys of a map, which the catalogue does not list one by one.
    has_keys: bool,
}

impl<'t> Walk<'_, 't> {
    /// The first value that the catalogue refuses, in the order of the tree.
    fn first_fault(&mut self, tree: &'t Tree) -> Option<Fault> {
        match tree {
            Tree::List(items) | Tree::Tuple(items) => {
                items.iter().enumerate().find_map(|(index, item)| self.fault_at(Place::Index(index), item))
            }
            Tree::Record(fields) => fields.iter().find_map(|(name, value)| self.fault_at(Place::Name(name), value)),
            Tree::Map(entries) => {
                let had_keys = std::mem::replace(&mut self.has_keys, true);
                let fault = entries.iter().find_map(|(key, value)| self.fault_at(Place::Name(key), value));
                self.has_keys = had_keys;
                fault
            }
            leaf => self.refusal(leaf).map(|message| Fault::new(self.path(), message)),
        }
    }

    fn fault_at(&mut self, place: Place<'t>, value: &'t Tree) -> Option<Fault> {
        let length = self.pattern.len();
        match place {
            Place::Index(_) => self.pattern.push_str("[]"),
            Place::Name(name) => {
                if length > 0 {
                    self.pattern.push('.');
                }
                self.pattern.push_str(name);
            }
        }
        self.places.push(place);
        let fault = self.first_fault(value);
        self.places.pop();
        self.pattern.truncate(length);
        fault
    }

    fn path(&self) -> String {
        let mut path = String::new();
        for place in &self.places {
            match place {
                Place::Name(name) if path.is_empty() => path.push_str(name),
                Place::Name(name) => path.extend([".", name]),
                Place::Index(index) => path.push_str(&format!("[{index}]")),
            }
        }
        path
    }

    fn field(&self) -> Option<&'static Field> {
        if self.has_keys || self.pattern.starts_with("image.coverage.") {
            return field(&self.path());
        }
        field_of_pattern(&self.pattern)
    }

    /// Thresholds of the checks are not refused here: one out of its range is not used, and a finding says so.
    fn refusal(&self, value: &Tree) -> Option<String> {
        if let (Some(wheel), Tree::Number(deg)) = (wheel_of_zero_offset(&self.pattern, self.parts), value) {
            return wheel.zero_offset_refusal(*deg);
        }
        let field = self.field()?;
        match field.decided_by {
            DecidedBy::Catalogue => field.kind.refusal(value),
            _ => resolved(field, &self.path(), self.parts).refusal(value),
        }
    }
}
