//! From the bytes of an image back to a project, and what that changed in the project.

use super::assemble::{address_of, assemble, raws_of};
use super::folding::{Folding, as_exported};
use super::number::physical;
use super::unit_axis::{axis_item, leading_item, points_along, spread};
use super::verify::{Comparison, compare};
use super::{DecodeError, Image, checksum, values};
use crate::project::{
    Advance, AdvanceError, Content, HELD_CURVES, HeldCurve, Item, Origin, Parts, Project, Tree, TreeError, set_fields,
};
use crate::table::{Axis, Curve, Table, TableError};
use crate::wording::count;

/// What to do if the stored checksum is not that of the bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OnMismatch {
    /// Refuse the image.
    Refuse,
    /// Read it anyway: the user asked for that explicitly.
    Accept,
}

/// A project read back from an image.
#[derive(Clone, Debug, PartialEq)]
pub struct Decoded {
    /// The project with the image's values: cells that differ have the origin *imported*. Whatever the image
    /// does not hold is unchanged.
    pub project: Project,
    /// How the image of that project differs from the image that was read: not at all, unless items of the
    /// image contradict each other, bytes between items are not fill, or a wrong checksum was accepted.
    pub comparison: Comparison,
}

impl Decoded {
    /// What the image has that the project read from it would not reproduce, in sentences without a full stop.
    pub fn remarks(&self) -> Vec<String> {
        let comparison = &self.comparison;
        let accepted = comparison.mismatch.iter().map(|mismatch| format!("accepted as asked: {mismatch}"));
        let stray = comparison.stray.filter(|_| comparison.mismatch.is_none()).map(|stray| {
            let bytes = count(stray.bytes, "byte");
            format!(
                "{bytes} of no item are not what the layout says, the first at {:X}; they are left out",
                stray.first
            )
        });
        let differences = comparison.differences.first().map(|first| {
            let numbers = count(comparison.differences.len(), "number");
            format!("items of the image contradict each other: {numbers}, the first {first}")
        });
        accepted.chain(stray).chain(differences).collect()
    }
}

/// Reads an image back by the project's own layout. A table or curve for which the unit has a size of its own
/// takes that size; its breakpoints are those in the image or, if the image holds none, those that an export
/// gives to a unit of that size. If several items hold the table or a curve, the first of the project's size is
/// read, or else the first.
///
/// ```
/// use sparkloft::image::{OnMismatch, decode, encode};
/// use sparkloft::project::SAMPLES;
///
/// let project = SAMPLES[0].project()?;
/// let decoded = decode(&encode(&project)?.bytes, &project, OnMismatch::Refuse)?;
/// assert!(decoded.comparison.is_same());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`DecodeError`] if the checksum is wrong and that is not accepted, or if the bytes do not make a valid
/// project.
pub fn decode(bytes: &[u8], project: &Project, on_mismatch: OnMismatch) -> Result<Decoded, DecodeError> {
    let layout = &project.image;
    if bytes.len() != layout.size as usize {
        return Err(DecodeError::Size { given: bytes.len(), expected: layout.size });
    }
    if on_mismatch == OnMismatch::Refuse {
        checksum::verify(layout, bytes)?;
    }
    let (read, image) = read_and_assembled(bytes, project)?;
    let comparison = compare(&image, &read, bytes);
    Ok(Decoded { project: read, comparison })
}

/// Whether the image of a project, whole as it was assembled, could be decoded.
pub(super) fn reads_back(bytes: &[u8], project: &Project) -> Result<(), DecodeError> {
    read_and_assembled(bytes, project).map(|_| ())
}

/// The project of an image, and the image of that.
fn read_and_assembled(bytes: &[u8], project: &Project) -> Result<(Project, Image), DecodeError> {
    let folding = Folding::of(project);
    let read = Reader { bytes, project, folding: &folding }.read()?;
    let image = assemble(&as_exported(&read)?)?;
    Ok((read, image))
}

/// The project as the image alone describes it: what is folded into the table stays in the cells and is
/// switched off; what no item holds is the project's own.
///
/// # Errors
/// [`DecodeError`] if the bytes do not make a valid project.
pub(super) fn decode_as_unit(bytes: &[u8], project: &Project) -> Result<Project, DecodeError> {
    let layout = &project.image;
    if bytes.len() != layout.size as usize {
        return Err(DecodeError::Size { given: bytes.len(), expected: layout.size });
    }
    Reader { bytes, project, folding: &Folding::default() }.read()
}

struct Reader<'a> {
    bytes: &'a [u8],
    project: &'a Project,
    /// What is folded into the cells and has to be taken out again.
    folding: &'a Folding,
}

impl Reader<'_> {
    fn read(&self) -> Result<Project, DecodeError> {
        let with_fields = self.fields()?;
        let curves = HELD_CURVES.iter().filter(|curve| !self.folding.has(curve.path));
        let curves = curves.map(|curve| Ok((curve, self.curve(curve, &with_fields)?)));
        let curves = curves.collect::<Result<Vec<_>, DecodeError>>()?;
        let put = |parts: &mut Parts| {
            curves.iter().for_each(|(held, curve)| held.put(parts, curve.clone()));
            self.folding.keep_weights(&self.project.trims, &mut parts.trims);
        };
        let mut read = Parts::clone(&with_fields);
        put(&mut read);
        let advance = self.advance(&self.folding.with_weights(&read.trims))?;
        Ok(with_fields.edit(|parts| {
            parts.advance = advance;
            put(parts);
        })?)
    }

    fn item(&self, content: Content) -> Option<&Item> {
        leading_item(self.project, content)
    }

    /// The physical values of an item, lowest load and lowest speed first.
    fn numbers(&self, item: &Item) -> Result<Vec<f64>, DecodeError> {
        let raws = raws_of(self.bytes, &self.project.image, self.project, item);
        if let Some(index) = raws.iter().position(|raw| !raw.number().is_finite()) {
            let address = address_of(item, self.project.content_size(item), index);
            return Err(DecodeError::NotFinite { item: item.name.clone(), address, raw: raws[index] });
        }
        Ok(raws.into_iter().map(|raw| physical(raw, item)).collect())
    }

    fn fields(&self) -> Result<Project, DecodeError> {
        let mut assignments = Vec::new();
        let is_read = |item: &&Item| item.content == Content::Field && !self.folding.has(&item.field);
        for item in self.project.image.items.iter().filter(is_read) {
            for number in self.numbers(item)? {
                assignments.push((item.field.as_str(), values::text(item, number)?));
            }
        }
        let assignments: Vec<(&str, &str)> = assignments.iter().map(|(path, text)| (*path, text.as_str())).collect();
        if assignments.is_empty() {
            return Ok(self.project.clone());
        }
        Ok(set_fields(self.project, &assignments)?)
    }

    /// The axis of an item's values: from the image or, if it holds none, the project's, reduced or extended to
    /// the unit's number of breakpoints.
    fn axis(&self, item: &Item, content: Content, own: &Axis) -> Result<Axis, DecodeError> {
        let (name, breakpoints) = match axis_item(self.project, item, content)? {
            Some(axis) => (&axis.name, self.numbers(axis)?),
            None => (&item.name, spread(own, points_along(self.project, item, content))),
        };
        Axis::new(breakpoints).map_err(|error| DecodeError::Axis { item: name.clone(), error })
    }

    /// Breakpoints without the values over them: the project's values stay, so the number of breakpoints must
    /// stay too.
    fn bare_axis(&self, content: Content, own: &Axis) -> Result<Axis, DecodeError> {
        let Some(item) = self.item(content) else {
            return Ok(own.clone());
        };
        let name = || item.name.clone();
        let axis = Axis::new(self.numbers(item)?).map_err(|error| DecodeError::Axis { item: name(), error })?;
        if axis.len() == own.len() {
            return Ok(axis);
        }
        Err(DecodeError::AxisAlone { item: name(), points: axis.len(), own: own.len() })
    }

    /// The table, with what was folded into its cells taken out again.
    fn advance(&self, folding: &Folding) -> Result<Advance, DecodeError> {
        let advance = &self.project.advance;
        let own = advance.table();
        let Some(item) = self.item(Content::AdvanceCells) else {
            let speed = self.bare_axis(Content::AdvanceSpeeds, own.speed())?;
            let load = self.bare_axis(Content::AdvanceLoads, own.load())?;
            let name = self.item(Content::AdvanceSpeeds).map_or_else(String::new, |item| item.name.clone());
            let table = Table::new(speed, load, own.values().to_vec());
            return on_table(advance, table).map_err(|error| DecodeError::Advance { item: name, error });
        };
        let speed = self.axis(item, Content::AdvanceSpeeds, own.speed())?;
        let load = self.axis(item, Content::AdvanceLoads, own.load())?;
        let numbers = self.numbers(item)?;
        let cells = folding.taken_out(own, (&speed, &load), numbers, item);
        let table = Table::new(speed, load, cells);
        on_table(advance, table).map_err(|error| DecodeError::Advance { item: item.name.clone(), error })
    }

    /// A curve with the values and breakpoints that the image holds; if it holds neither, the curve of
    /// `with_fields`.
    fn curve(&self, held: &HeldCurve, with_fields: &Project) -> Result<Curve, DecodeError> {
        let own = held.of(with_fields);
        let item = self.item(held.values);
        let (axis, values) = match item {
            Some(item) => (self.axis(item, held.axis, own.axis())?, self.numbers(item)?),
            None => (self.bare_axis(held.axis, own.axis())?, own.values().to_vec()),
        };
        let name = item.map_or_else(String::new, |item| item.name.clone());
        Curve::new(axis.into(), values).map_err(|error| DecodeError::Curve { item: name, error })
    }
}

/// The advance with another table. On the same axes, cells that keep their bits keep their origin, and all keep
/// their hold marks; on new axes of the same size, hold marks stay in their rows and columns; with another
/// size, nothing is held.
fn on_table(advance: &Advance, table: Result<Table, TableError>) -> Result<Advance, AdvanceError> {
    let table = table?;
    let own = advance.table();
    if (table.speed(), table.load()) == (own.speed(), own.load()) {
        return advance.with_values(table.values().to_vec(), Origin::Imported);
    }
    if (table.speed().len(), table.load().len()) != (own.speed().len(), own.load().len()) {
        return Advance::uniform(table, Origin::Imported);
    }
    let origins = vec![Origin::Imported; table.values().len()];
    Advance::new(table, advance.held().clone(), origins)
}

/// The differences between a project and the one read from an image.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ReadChanges {
    /// How many cells of the advance table have another value; all of them if the axes differ.
    pub cells: usize,
    /// The paths of other fields with another value, including breakpoints.
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

/// Not counted as fields: cells, held marks and origins are counted as cells, and what is assumed follows from
/// the values.
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
