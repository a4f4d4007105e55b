//! What reading an image changed in a project, to be told in numbers.

use crate::project::{Advance, Project, Tree, TreeError};

/// What differs between a project and the one read from an image.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ReadChanges {
    /// Cells of the advance table with another value; all of them when the axes differ.
    pub cells: usize,
    /// The paths of other fields with another value; breakpoints among them.
    pub fields: Vec<String>,
}

/// Compares a project with the one read from an image.
///
/// # Errors
/// [`TreeError`] never for projects that exist.
pub fn read_changes(before: &Project, after: &Project) -> Result<ReadChanges, TreeError> {
    let (own, other) = (before.field_tree()?, after.field_tree()?);
    let mut fields = Vec::new();
    differing("", &own, &other, &mut fields);
    Ok(ReadChanges { cells: changed_cells(&before.advance, &after.advance), fields })
}

fn changed_cells(before: &Advance, after: &Advance) -> usize {
    let (own, other) = (before.table(), after.table());
    if (own.speed(), own.load()) != (other.speed(), other.load()) {
        return other.values().len();
    }
    own.values().iter().zip(other.values()).filter(|(a, b)| a.to_bits() != b.to_bits()).count()
}

/// Cells, held marks and origins are counted as cells, not as fields; what is assumed goes with the values themselves.
const NO_FIELDS: [&str; 4] = ["advance.deg", "advance.held", "advance.origin", "assumed"];

fn differing(path: &str, a: &Tree, b: &Tree, found: &mut Vec<String>) {
    if a == b || NO_FIELDS.iter().any(|part| path.starts_with(part)) {
        return;
    }
    match (a, b) {
        (Tree::Record(a), Tree::Record(b)) if a.len() == b.len() => {
            for ((name, a), (_, b)) in a.iter().zip(b) {
                let path = if path.is_empty() { (*name).to_owned() } else { format!("{path}.{name}") };
                differing(&path, a, b, found);
            }
        }
        (Tree::List(a), Tree::List(b)) if a.len() == b.len() && !(a.iter().all(Tree::is_leaf)) => {
            for (index, (a, b)) in a.iter().zip(b).enumerate() {
                differing(&format!("{path}[{index}]"), a, b, found);
            }
        }
        _ => found.push(path.to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::image::samples::project;
    use crate::project::Origin;

    #[test]
    fn cells_are_counted_and_fields_named() {
        let before = project();
        let mut values = before.advance.table().values().to_vec();
        values[3] += 1.0;
        values[9] -= 1.0;
        let advance = before.advance.with_values(values, Origin::Imported).unwrap();
        let after = before.with_advance(advance).unwrap().edit(|parts| {
            parts.limits.over_speed.cuts_at_rpm += 100.0;
            parts.outputs[0].conditions[0].on += 50.0;
        });
        let changes = read_changes(&before, &after.unwrap()).unwrap();
        assert_eq!(changes.cells, 2);
        assert_eq!(changes.fields, ["limits.over_speed.cuts_at_rpm", "outputs[0].conditions[0].on"]);
        assert_eq!(read_changes(&before, &before).unwrap(), ReadChanges::default());
    }
}
