//! Writing projects as version 3 had them, for tests.

use super::super::{Project, Tree, ron_text};

/// A project as a file of version 3. What version 3 did not know is left out.
pub(super) fn as_version_3(project: &Project) -> String {
    ron_text::print(&tree_of_3(project))
}

/// The project as a tree of version 3.
pub(super) fn tree_of_3(project: &Project) -> Tree {
    let mut tree = Tree::of(project).unwrap();
    turn(&mut tree);
    tree
}

fn turn(tree: &mut Tree) {
    let Tree::Record(parts) = tree else { panic!("a project is a record") };
    parts.retain(|(name, _)| !matches!(*name, "evidence" | "combustion"));
    for (name, part) in parts {
        match (*name, part) {
            ("format", version) => *version = Tree::Number(3.0),
            ("snapshots", Tree::List(kept)) => kept.iter_mut().for_each(turn_state),
            ("last_export", Tree::Present(kept)) => turn_state(kept),
            _ => {}
        }
    }
}

fn turn_state(kept: &mut Tree) {
    let Tree::Record(parts) = kept else { panic!("a kept state is a record") };
    parts.iter_mut().filter(|(name, _)| *name == "state").for_each(|(_, state)| turn(state));
}
