//! Three-way merge: what two people changed in one base, put together.
//!
//! The *unit* is what is taken whole from one version. Where all three tables have the same axes it is the cell with its
//! value, hold and origin; where they have not, the table is one unit. Elsewhere it is the field. A unit changed on one
//! side is taken from there, one changed alike on both is taken, any other is a [`Conflict`] with three values.
//!
//! Fields that mean something only together are one unit: the wheel's teeth, a sensor's two points of calibration, a
//! sender's three points, a condition's signal with its thresholds, an item's number format, the checksum, and the
//! timing-light readings with the trigger they were taken with, those that are only typed, and the rows of a run. A curve
//! is merged value by value while its points sit where they were, else as one unit. Cylinders, firing order and coil channels are one unit as soon as cylinders or
//! firing order differ, everything in the load's unit as soon as the load is of another kind, and the whole project as
//! soon as one version is a locked-timing copy: its flat table is not to slip into a real map.
//!
//! Outputs, image items, runs and snapshots are known by their name, accepted findings by their check and place; what both
//! sides added stays. Where units taken one by one would make an invalid project, or set limits in the wrong order that
//! were in order before, the part around them is one unit. Taking either side in all conflicts is thus always possible.

mod arrange;
mod bonds;
mod brought;
mod conflict;
mod conflict_words;
mod kept;
mod node;
#[cfg(test)]
mod proofs;
mod soundness;
mod table;
#[cfg(test)]
mod tests;
mod version;
mod walk;

use self::bonds::Bonds;
use self::conflict_words::Teller;
use self::kept::KeptRecords;
use self::node::Node;
use self::table::TableMerge;
use super::form;
use crate::project::{Fault, Parts, Project, Tree, TreeError};

pub use self::brought::Brought;
pub use self::conflict::{Conflict, ConflictPlace};
pub use self::version::Version;

/// Base, mine and theirs put together, with what is still to be decided.
#[derive(Clone, Debug)]
pub struct Merge {
    versions: [Project; 3],
    content: Content,
    kept: KeptRecords,
    conflicts: Vec<Conflict>,
}

#[derive(Clone, Debug)]
enum Content {
    /// The project cannot be taken apart; the number of its conflict.
    Whole(usize),
    /// Table and setup unit by unit.
    Parts { table: TableMerge, setup: Box<Node> },
}

impl Merge {
    /// Merges what `mine` and `theirs` made of `base`.
    ///
    /// # Errors
    /// [`TreeError`] never for projects that exist.
    pub fn new(base: &Project, mine: &Project, theirs: &Project) -> Result<Self, TreeError> {
        let assumed = Parts::assumed_by_both(base, mine, theirs);
        let with_assumed = |project: &Project| {
            let with = project.edit(|parts| parts.assumed.clone_from(&assumed));
            with.unwrap_or_else(|_| project.clone())
        };
        let versions = [base, mine, theirs].map(with_assumed);
        let forms = form::of_each(&versions)?;
        let mut bonds = Bonds::between(&versions);
        loop {
            let merge = Self::within(&bonds, &versions, &forms);
            // Each turn ties more together; at the latest the whole project is one unit, and that is valid.
            match merge.weak_spot()? {
                Some(path) if !bonds.is_whole() => bonds.tighten(&path),
                _ => return Ok(merge),
            }
        }
    }

    fn within(bonds: &Bonds, versions: &[Project; 3], forms: &[Tree; 3]) -> Self {
        let teller = Teller::new(versions, forms);
        let mut conflicts = Vec::new();
        let content = if bonds.is_whole() {
            whole(versions, &teller, &mut conflicts)
        } else {
            let groups = bonds.decide(forms, &teller, &mut conflicts);
            let table = table::merge(versions, groups.of("advance"), &teller, &mut conflicts);
            let setup = Box::new(walk::merge(bonds, &groups, forms, &teller, &mut conflicts));
            Content::Parts { table, setup }
        };
        let kept = KeptRecords::merge(versions, &mut conflicts);
        Self { versions: versions.clone(), content, kept, conflicts }
    }

    /// Everything that is to be decided: the table first, then in the order of the project file.
    pub fn conflicts(&self) -> &[Conflict] {
        &self.conflicts
    }

    /// The merged project, with each conflict decided; `choose` is asked by the conflict's place in the list.
    ///
    /// # Errors
    /// [`Fault`] when the decisions do not fit together. Taking one version in all conflicts always fits.
    pub fn resolve(&self, choose: impl Fn(usize) -> Version) -> Result<Project, Fault> {
        let project = match &self.content {
            Content::Whole(conflict) => self.versions[choose(*conflict).index()].as_state(),
            Content::Parts { table, setup } => {
                let advance = table.resolve(&self.versions, &choose)?;
                form::project(setup.resolve(&choose), &advance)?
            }
        };
        // A tick stands for the numbers for which it was given: beside the other side's numbers it says nothing.
        let [_, mine, theirs] = &self.versions;
        let project = project.with_ticks_of(&[mine.clone(), theirs.clone()])?;
        self.kept.resolve(&project, &self.versions, &choose)
    }

    /// The part in which the whole is invalid, or in which an order is broken that both sides kept.
    fn weak_spot(&self) -> Result<Option<String>, TreeError> {
        let undecided = if self.conflicts.is_empty() { &Version::ALL[..1] } else { &Version::ALL[..] };
        for version in undecided {
            match self.resolve(|_| *version) {
                Err(fault) => return Ok(Some(fault.path)),
                Ok(project) => {
                    if let Some(path) = soundness::broken(&project, &self.versions) {
                        return Ok(Some(path.to_owned()));
                    }
                }
            }
        }
        Ok(None)
    }
}

/// The whole project as one unit.
fn whole(versions: &[Project; 3], teller: &Teller<'_>, conflicts: &mut Vec<Conflict>) -> Content {
    let states = versions.each_ref().map(Project::as_state);
    let [base, mine, theirs] = &states;
    match version::verdict([base, mine, theirs]) {
        // Not called for these unless bonds tie everything; then one side's project is the result whole.
        version::Verdict::Take(version) => {
            let advance = versions[version.index()].advance.clone();
            let setup = Node::Settled(Some(teller.form(version).clone()));
            Content::Parts { table: TableMerge::Settled(advance), setup: Box::new(setup) }
        }
        version::Verdict::Conflict => {
            conflicts.push(teller.whole_project());
            Content::Whole(conflicts.len() - 1)
        }
    }
}
