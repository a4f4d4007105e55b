//! The merged setup as a tree with open places where a conflict is to be decided.

use super::version::Version;
use crate::project::{Step, Tree};

/// A part of the merged setup.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Node {
    /// Decided; `None` where it is not there any more.
    Settled(Option<Tree>),
    /// To be decided: the number of the conflict, and what each version has here.
    Open { conflict: usize, versions: [Option<Tree>; 3] },
    /// Named fields.
    Record(Vec<(&'static str, Node)>),
    /// Values by text key.
    Map(Vec<(String, Node)>),
    /// Values in order.
    List(Vec<Node>),
}

impl Node {
    /// A settled or open node of one unit.
    pub(super) fn of(versions: [Option<&Tree>; 3], state: State) -> Self {
        match state {
            State::Take(version) => Self::Settled(versions[version.index()].cloned()),
            State::Open(conflict) => Self::Open { conflict, versions: versions.map(Option::<&Tree>::cloned) },
        }
    }

    /// Whether something may stand here.
    pub(super) fn is_there(&self) -> bool {
        *self != Self::Settled(None)
    }

    /// The tree with every conflict decided; `None` where nothing stands.
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

/// What became of a unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum State {
    /// Taken from this version.
    Take(Version),
    /// Open, with the number of its conflict.
    Open(usize),
}

/// One step down. An entry of a list may stand at another place in each version, or be missing there.
#[derive(Clone, Debug)]
pub(super) enum Turn {
    /// A field, or a key.
    Field(String),
    /// An entry of a list: its place in each version.
    Entry([Option<usize>; 3]),
}

/// The way to a place in one version; `None` where that version lacks an entry on it.
pub(super) fn steps_in(turns: &[Turn], version: Version) -> Option<Vec<Step>> {
    let step = |turn: &Turn| match turn {
        Turn::Field(name) => Some(Step::Field(name.clone())),
        Turn::Entry(places) => places[version.index()].map(Step::Index),
    };
    turns.iter().map(step).collect()
}
