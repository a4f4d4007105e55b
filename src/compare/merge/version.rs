//! The three versions of a merge, the rule that picks one of them, and the merged setup as a tree that is open
//! where a conflict has yet to be decided; and what a conflict is.

use crate::compare::Section;
use crate::project::{Step, Tree};
use crate::table::Cell;

/// One of the three projects of a merge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Version {
    /// What both started from.
    Base,
    /// The project at hand.
    Mine,
    /// The other one.
    Theirs,
}

impl Version {
    /// In the order of a conflict's values.
    pub const ALL: [Self; 3] = [Self::Base, Self::Mine, Self::Theirs];

    /// The word for it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Base => "base",
            Self::Mine => "mine",
            Self::Theirs => "theirs",
        }
    }

    /// Its index among three values.
    pub const fn index(self) -> usize {
        match self {
            Self::Base => 0,
            Self::Mine => 1,
            Self::Theirs => 2,
        }
    }
}

/// The decision for a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Verdict {
    /// It is taken from this version.
    Take(Version),
    /// Both sides changed it, each differently.
    Conflict,
}

/// Changed on one side: that side's; the same change on both: that one; otherwise a conflict.
pub(super) fn verdict<T: PartialEq + ?Sized>([base, mine, theirs]: [&T; 3]) -> Verdict {
    if theirs == base || mine == theirs {
        return Verdict::Take(Version::Mine);
    }
    if mine == base { Verdict::Take(Version::Theirs) } else { Verdict::Conflict }
}

/// A part of the merged setup.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Node {
    /// Decided; `None` where it was removed.
    Settled(Option<Tree>),
    /// To be decided: the index of the conflict, and what each version has here.
    Open { conflict: usize, versions: [Option<Tree>; 3] },
    /// Named fields.
    Record(Vec<(&'static str, Node)>),
    /// Values by text key.
    Map(Vec<(String, Node)>),
    /// Values in order.
    List(Vec<Node>),
}

impl Node {
    /// The node of a unit that is decided or open.
    pub(super) fn of(versions: [Option<&Tree>; 3], state: State) -> Self {
        match state {
            State::Take(version) => Self::Settled(versions[version.index()].cloned()),
            State::Open(conflict) => Self::Open { conflict, versions: versions.map(Option::<&Tree>::cloned) },
        }
    }

    /// Whether there may be something here.
    pub(super) fn is_there(&self) -> bool {
        *self != Self::Settled(None)
    }

    /// The tree with every conflict decided; `None` where nothing is left.
    pub(super) fn resolve(&self, choose: &impl Fn(usize) -> Version) -> Option<Tree> {
        Some(match self {
            Self::Settled(tree) => return tree.clone(),
            Self::Open { conflict, versions } => return versions[choose(*conflict).index()].clone(),
            Self::Record(fields) => {
                let fields = fields.iter().filter_map(|(name, node)| Some((*name, node.resolve(choose)?)));
                Tree::Record(fields.collect())
            }
            Self::Map(entries) => {
                let entries = entries.iter().filter_map(|(key, node)| Some((key.clone(), node.resolve(choose)?)));
                Tree::Map(entries.collect())
            }
            Self::List(items) => Tree::List(items.iter().filter_map(|node| node.resolve(choose)).collect()),
        })
    }
}

/// The decision for a unit, or the conflict that it has become.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum State {
    /// Taken from this version.
    Take(Version),
    /// Open: the index of its conflict.
    Open(usize),
}

/// One step down. An entry of a list may have a different index in each version, or be missing.
#[derive(Clone, Debug)]
pub(super) enum Turn {
    /// A field, or a key.
    Field(String),
    /// An entry of a list: its index in each version.
    Entry([Option<usize>; 3]),
}

/// The path to a place in one version; `None` if that version lacks an entry on the way.
pub(super) fn steps_in(turns: &[Turn], version: Version) -> Option<Vec<Step>> {
    let step = |turn: &Turn| match turn {
        Turn::Field(name) => Some(Step::Field(name.clone())),
        Turn::Entry(places) => places[version.index()].map(Step::Index),
    };
    turns.iter().map(step).collect()
}

/// A unit that both sides changed differently.
#[derive(Clone, Debug, PartialEq)]
pub struct Conflict {
    /// Where it is.
    pub place: ConflictPlace,
    /// What people call it: 'Advance at 2800 rpm, 40 %', 'Over-speed cuts at'.
    pub label: String,
    /// The section that it belongs to; `None` for snapshots and the last export.
    pub section: Option<Section>,
    /// Its values in base, mine and theirs; `None` where a version has no such thing. A cell is a record of
    /// `deg`, `held` and `origin`.
    pub values: [Option<Tree>; 3],
    /// The three values as people read them.
    pub words: [String; 3],
}

/// Where a conflict is.
#[derive(Clone, Debug, PartialEq)]
pub enum ConflictPlace {
    /// A cell of the advance table.
    Cell {
        /// Which.
        cell: Cell,
        /// Its speed breakpoint in rpm.
        speed_rpm: f64,
        /// Its load breakpoint.
        load: f64,
    },
    /// A field or a part, by its path in mine; if mine has none, in theirs or in the base.
    Field {
        /// The dotted path; for several fields that make one unit, the part that contains them; empty for the
        /// whole project.
        path: String,
    },
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_side_both_alike_or_a_conflict() {
        let cases = [
            ([1, 1, 1], Verdict::Take(Version::Mine)),
            ([1, 2, 1], Verdict::Take(Version::Mine)),
            ([1, 1, 2], Verdict::Take(Version::Theirs)),
            ([1, 2, 2], Verdict::Take(Version::Mine)),
            ([1, 2, 3], Verdict::Conflict),
        ];
        for ([base, mine, theirs], expected) in cases {
            assert_eq!(verdict([&base, &mine, &theirs]), expected);
        }
    }
}
