//! The check of every value of a setup against the catalogue: done for every change of a project.

use super::field_ranges::{resolved, setup_tree, wheel_of_zero_offset};
use super::fields::{DecidedBy, Field, field, field_of_pattern};
use super::{Fault, Parts, Tree};

/// Checks every value of the setup against the catalogue.
pub(super) fn check_ranges(parts: &Parts) -> Result<(), Fault> {
    let tree = setup_tree(parts).map_err(|error| Fault::new("", error.to_string()))?;
    let mut walk = Walk { parts, places: Vec::new(), pattern: String::new(), has_keys: false, lists: Lists::default() };
    walk.first_fault(&tree).map_or(Ok(()), Err)
}

/// One step of the way to a value.
enum Place<'t> {
    Name(&'t str),
    Index(usize),
}

/// The way to the current value. A path is only put together where it is needed: there are a thousand values, and
/// most are in order.
struct Walk<'p, 't> {
    parts: &'p Parts,
    places: Vec<Place<'t>>,
    /// The path with `[]` for any place in a list.
    pattern: String,
    /// Whether the way leads through keys of a map, which the catalogue does not list one by one.
    has_keys: bool,
    lists: Lists,
}

/// The fields of the values in lists, in their order. The entries of a list are mostly alike, so that what was looked up
/// for the first of them serves the others.
#[derive(Default)]
struct Lists {
    /// How many lists the way leads through.
    depth: usize,
    known: Vec<(String, Option<&'static Field>)>,
    /// Where the next value stands if it is like that of the entry before.
    next: usize,
}

impl Lists {
    fn field(&mut self, pattern: &str) -> Option<&'static Field> {
        if self.depth == 0 {
            return field_of_pattern(pattern);
        }
        let known = self.known.get(self.next).filter(|(known, _)| known == pattern).map(|(_, field)| *field);
        self.next += 1;
        known.unwrap_or_else(|| {
            let field = field_of_pattern(pattern);
            self.known.truncate(self.next - 1);
            self.known.push((pattern.to_owned(), field));
            field
        })
    }
}

impl<'t> Walk<'_, 't> {
    /// The first value that the catalogue refuses, in the order of the tree.
    fn first_fault(&mut self, tree: &'t Tree) -> Option<Fault> {
        match tree {
            Tree::List(items) | Tree::Tuple(items) => {
                let first = self.lists.next;
                self.lists.depth += 1;
                let fault = items.iter().enumerate().find_map(|(index, item)| {
                    self.lists.next = first;
                    self.fault_at(Place::Index(index), item)
                });
                self.lists.depth -= 1;
                fault
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

    fn field(&mut self) -> Option<&'static Field> {
        if self.has_keys || self.pattern.starts_with("image.coverage.") {
            return field(&self.path());
        }
        self.lists.field(&self.pattern)
    }

    /// Thresholds of the checks are not refused here: one that is out of its range is not used, and a finding says
    /// so.
    fn refusal(&mut self, value: &Tree) -> Option<String> {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, ron_form, ron_text, steps};

    /// What [`check_ranges`] refuses, without its shortcuts.
    fn plainly(parts: &Parts) -> Result<(), Fault> {
        let mut fault = None;
        setup_tree(parts).unwrap().walk(&mut |path, value| {
            let refusal = match (wheel_of_zero_offset(path, parts), value) {
                (Some(wheel), Tree::Number(deg)) => wheel.zero_offset_refusal(*deg),
                _ => field(path).and_then(|field| resolved(field, path, parts).refusal(value)),
            };
            if let (None, Some(message)) = (&fault, refusal) {
                fault = Some(Fault::new(path, message));
            }
        });
        fault.map_or(Ok(()), Err)
    }

    /// Every number of a project in turn, far out of any range.
    #[test]
    fn every_number_that_is_out_of_range_is_refused_by_its_path() {
        let mut parts = NewProject::sample_with_everything().unwrap();
        parts.sensors.load = LoadKind::Throttle;
        parts.locked_timing_deg = Some(10.0);
        assert_eq!(check_ranges(&parts), Ok(()));
        let tree = setup_tree(&parts).unwrap();
        let mut numbers = Vec::new();
        tree.walk(&mut |path, value| {
            let value = if let Tree::Present(inner) = value { inner } else { value };
            if matches!(value, Tree::Number(_)) {
                numbers.push(path.to_owned());
            }
        });
        assert!(numbers.len() > 100, "{numbers:?}");
        let form = Tree::of(&parts).unwrap();
        let mut refused = 0;
        for path in numbers {
            let steps = steps(&path).unwrap();
            let mut form = form.clone();
            let slot = form.at_mut(&steps).unwrap();
            *slot = match slot {
                Tree::Present(_) => Tree::Present(Box::new(Tree::Number(1e7))),
                _ => Tree::Number(1e7),
            };
            let Ok(far) = ron_form::parse(&ron_text::print(&form)) else {
                continue;
            };
            let fault = check_ranges(&far);
            assert_eq!(fault, plainly(&far), "{path}");
            refused += usize::from(fault.is_err_and(|fault| fault.path == path));
        }
        assert!(refused > 80, "{refused}");
    }
}
