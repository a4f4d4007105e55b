//! Everything except the table's degrees, field by field.
//!
//! Projects are turned into trees that can be compared in parts, and back.

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use thiserror::Error;

use super::Section;
use super::labels::Namer;
use crate::project::{Advance, Fault, Project, ReadError, Step, Tree, TreeError, path_of, read};
use crate::watch::{Stopped, Watch};

/// A field that differs.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldDifference {
    /// Its dotted path, as used to set fields.
    pub path: String,
    /// What people call it, with the place on its curve or table: 'Coolant trim at −10 °C'.
    pub label: String,
    /// The section it belongs to.
    pub section: Section,
    /// Its value in the base; `None` where the base has no such field.
    pub base: Option<Tree>,
    /// Its value in the edited project; `None` where that has no such field.
    pub edited: Option<Tree>,
    /// The base's value as people read it, with its unit: '7200 rpm'.
    pub base_words: String,
    /// The edited value as people read it.
    pub edited_words: String,
    /// The path in steps: needed because keys may contain dots.
    pub(super) steps: Vec<Step>,
}

/// Why a comparison or a merge has no result.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum Unfinished {
    /// It was stopped by its watch.
    #[error(transparent)]
    Stopped(#[from] Stopped),
    /// A project cannot be turned into a tree: never one that exists.
    #[error(transparent)]
    Tree(#[from] TreeError),
}

/// Every field that differs, in the order of [`Section::ALL`] and within a section in that of the project file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FieldDifferences {
    /// The fields.
    pub list: Vec<FieldDifference>,
    /// Whether held marks and origins were compared cell by cell: only between tables of the same size.
    pub marks_compared: bool,
}

impl FieldDifferences {
    /// Compares two projects field by field. The degrees of the table, snapshots and the last export are left out.
    ///
    /// Lists of the same length are compared element by element; lists of different length, and curves whose
    /// breakpoints differ, as a whole. Always compared as a whole are the axes of the table, the firing order
    /// and the cylinders of a coil, whose entries make sense only together. Outputs, image items and the like
    /// are compared by their index, measured points and timing sweeps by their names.
    ///
    /// The watch is asked before each project is turned into a tree, and before every field that differs.
    ///
    /// # Errors
    /// [`Unfinished`] when it is stopped.
    pub fn between(base: &Project, edited: &Project, watch: Watch<'_>) -> Result<Self, Unfinished> {
        let tree = |project: &Project| {
            watch.next()?;
            Ok::<_, Unfinished>(project.field_tree()?)
        };
        let trees = (tree(base)?, tree(edited)?);
        let same_size = base.advance.held().fits(edited.advance.table());
        let mut walk = Walk {
            namer: Namer::new(base, &trees.0, edited, &trees.1),
            same_size,
            watch,
            steps: Vec::new(),
            found: Vec::new(),
        };
        walk.compare(&trees.0, &trees.1)?;
        let mut list = walk.found;
        // The list of assumed values follows from the values themselves and is no setting of its own.
        list.retain(|difference| difference.steps.first() != Some(&Step::Field("assumed".into())));
        list.sort_by_key(|difference| difference.section);
        Ok(Self { list, marks_compared: same_size })
    }

    /// Whether no field differs.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// The sections with differences and their fields, in order.
    pub fn by_section(&self) -> impl Iterator<Item = (Section, &[FieldDifference])> {
        self.list.chunk_by(|a, b| a.section == b.section).filter_map(|group| Some((group.first()?.section, group)))
    }

    /// The difference at a path.
    pub fn at(&self, path: &str) -> Option<&FieldDifference> {
        self.list.iter().find(|difference| difference.path == path)
    }
}

struct Walk<'a> {
    namer: Namer<'a>,
    same_size: bool,
    watch: Watch<'a>,
    steps: Vec<Step>,
    found: Vec<FieldDifference>,
}

impl Walk<'_> {
    fn compare(&mut self, base: &Tree, edited: &Tree) -> Result<(), Stopped> {
        if base == edited {
            return Ok(());
        }
        match (base, edited) {
            (Tree::Record(was), Tree::Record(is)) => self.compare_records(was, is),
            (Tree::Map(was), Tree::Map(is)) => self.compare_maps(was, is),
            (Tree::List(was), Tree::List(is)) if self.is_known_by_name() => self.compare_entries(was, is),
            (Tree::List(was), Tree::List(is)) | (Tree::Tuple(was), Tree::Tuple(is))
                if was.len() == is.len() && !self.is_indivisible() =>
            {
                for (index, (was, is)) in was.iter().zip(is).enumerate() {
                    self.within(Step::Index(index), |walk| walk.compare(was, is))?;
                }
                Ok(())
            }
            _ => self.note(Some(base), Some(edited)),
        }
    }

    fn within(&mut self, step: Step, compare: impl FnOnce(&mut Self) -> Result<(), Stopped>) -> Result<(), Stopped> {
        self.steps.push(step);
        compare(self)?;
        self.steps.pop();
        Ok(())
    }

    /// Records of one type have the same fields in the same order.
    fn compare_records(
        &mut self,
        base: &[(&'static str, Tree)],
        edited: &[(&'static str, Tree)],
    ) -> Result<(), Stopped> {
        let elsewhere = is_curve(base) && base[0] != edited[0];
        for ((name, was), (_, is)) in base.iter().zip(edited) {
            self.within(Step::Field((*name).to_owned()), |walk| match walk.treatment() {
                Treatment::LeaveOut => Ok(()),
                Treatment::Whole => walk.note_if_different(was, is),
                Treatment::Parts if elsewhere => walk.note_if_different(was, is),
                Treatment::Parts => walk.compare(was, is),
            })?;
        }
        Ok(())
    }

    fn compare_maps(&mut self, base: &[(String, Tree)], edited: &[(String, Tree)]) -> Result<(), Stopped> {
        let find = |entries: &'_ [(String, Tree)], key: &String| entries.iter().position(|(name, _)| name == key);
        for (key, was) in base {
            let is = find(edited, key).map(|at| &edited[at].1);
            self.within(Step::Field(key.clone()), |walk| match is {
                Some(is) => walk.compare(was, is),
                None => walk.note(Some(was), None),
            })?;
        }
        for (key, is) in edited.iter().filter(|(key, _)| find(base, key).is_none()) {
            self.within(Step::Field(key.clone()), |walk| walk.note(None, Some(is)))?;
        }
        Ok(())
    }

    /// Lists whose entries are known by their names: an entry that only one side has is a difference of its own. If
    /// those that both have are in another order, the list is one difference.
    fn compare_entries(&mut self, base: &[Tree], edited: &[Tree]) -> Result<(), Stopped> {
        let places = |list: &[Tree]| -> BTreeMap<String, usize> {
            let names = list.iter().enumerate().filter_map(|(at, entry)| Some((entry.entry_name()?.to_owned(), at)));
            names.collect()
        };
        let (in_base, in_edited) = (places(base), places(edited));
        let twins: Vec<usize> = base.iter().filter_map(|entry| in_edited.get(entry.entry_name()?).copied()).collect();
        if !twins.is_sorted() {
            return self.note(Some(&Tree::List(base.to_vec())), Some(&Tree::List(edited.to_vec())));
        }
        for was in base {
            let name = was.entry_name().unwrap_or_default();
            let is = in_edited.get(name).and_then(|at| edited.get(*at));
            self.within(Step::Name(name.to_owned()), |walk| match is {
                Some(is) => walk.compare(was, is),
                None => walk.note(Some(was), None),
            })?;
        }
        for is in edited {
            let name = is.entry_name().unwrap_or_default();
            if !in_base.contains_key(name) {
                self.within(Step::Name(name.to_owned()), |walk| walk.note(None, Some(is)))?;
            }
        }
        Ok(())
    }

    fn is_known_by_name(&self) -> bool {
        matches!(self.steps.as_slice(), [Step::Field(part), Step::Field(_)] if part == "evidence")
    }

    /// How a field of the advance table is compared; all other fields are compared part by part.
    fn treatment(&self) -> Treatment {
        match self.steps.as_slice() {
            [Step::Field(part), Step::Field(field)] if part == "advance" => match field.as_str() {
                "speed_rpm" | "load" => Treatment::Whole,
                "held" | "origin" if self.same_size => Treatment::Parts,
                _ => Treatment::LeaveOut,
            },
            _ => Treatment::Parts,
        }
    }

    fn is_indivisible(&self) -> bool {
        matches!(self.steps.last(), Some(Step::Field(name)) if name == "firing_order" || name == "cylinders")
    }

    fn note_if_different(&mut self, base: &Tree, edited: &Tree) -> Result<(), Stopped> {
        if base == edited { Ok(()) } else { self.note(Some(base), Some(edited)) }
    }

    fn note(&mut self, base: Option<&Tree>, edited: Option<&Tree>) -> Result<(), Stopped> {
        let Some(Step::Field(part)) = self.steps.first() else {
            return Ok(());
        };
        let Some(section) = Section::of_part(part) else {
            return Ok(());
        };
        self.watch.next()?;
        let path = path_of(&self.steps);
        let (base_words, edited_words) = self.namer.value_words(&path, base, edited);
        self.found.push(FieldDifference {
            label: self.namer.label(&path, &self.steps),
            path,
            section,
            base: base.cloned(),
            edited: edited.cloned(),
            base_words,
            edited_words,
            steps: self.steps.clone(),
        });
        Ok(())
    }
}

enum Treatment {
    LeaveOut,
    Whole,
    Parts,
}

/// Whether a record is a curve: breakpoints and values.
pub(super) fn is_curve(record: &[(&'static str, Tree)]) -> bool {
    matches!(record, [("at", _), ("value", _)])
}

/// The trees of three projects, without their snapshots and last exports. The watch is asked before each.
///
/// # Errors
/// [`Unfinished`] when it is stopped.
pub(super) fn of_each([a, b, c]: &[Project; 3], watch: Watch<'_>) -> Result<[Tree; 3], Unfinished> {
    let tree = |project: &Project| {
        watch.next()?;
        Ok::<_, Unfinished>(Tree::of(&project.as_state())?)
    };
    Ok([tree(a)?, tree(b)?, tree(c)?])
}

/// The project of a tree, with this advance table.
///
/// # Errors
/// [`Fault`] when the values do not fit together.
pub(super) fn project(form: Option<Tree>, advance: &Advance) -> Result<Project, Fault> {
    let internal = |what: &str| Fault::new("", format!("the project's form has no {what}"));
    let mut form = form.ok_or_else(|| internal("fields"))?;
    let place = form.at_mut(&[Step::Field("advance".into())]).ok_or_else(|| internal("advance table"))?;
    *place = Tree::of(advance).map_err(|error| Fault::new("advance", error.to_string()))?;
    read(form.to_string().as_bytes()).map_err(fault)
}

/// The error's line and column in the printed form are of no use; the field and the reason are.
fn fault(error: ReadError) -> Fault {
    match error {
        ReadError::Invalid { path, message, hint, .. } => Fault { path, message, hint },
        other => Fault::new("", other.to_string()),
    }
}
