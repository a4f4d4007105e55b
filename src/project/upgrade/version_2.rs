//! Writing projects as version 2 had them, for tests.

use super::super::{Project, Tree, ron_text};
use super::version_3::tree_of_3;

/// Where version 3 put fields, and which.
const NEW: [(&str, &[&str]); 7] = [
    ("", &["assumed"]),
    ("engine", &["chamber", "highest_safe_speed_rpm"]),
    ("coil", &["secondary_voltage_kv"]),
    ("image", &["coverage"]),
    ("timing_light", &["sensor", "latency_us"]),
    ("checks", &["threshold_reasons"]),
    ("last_export", &["despite_errors"]),
];

/// A project as a file of version 2. What version 2 did not know is left out.
pub(super) fn as_version_2(project: &Project) -> String {
    ron_text::print(&tree_of_2(project))
}

/// The project as a tree of version 2.
pub(super) fn tree_of_2(project: &Project) -> Tree {
    let mut tree = tree_of_3(project);
    turn(&mut tree);
    tree
}

fn turn(tree: &mut Tree) {
    for (part, fields) in NEW {
        match record(tree, part) {
            Some(record) => record.retain(|(name, _)| !fields.contains(name)),
            None => assert_eq!(part, "last_export"),
        }
    }
    let Tree::Record(parts) = tree else { panic!("a project is a record") };
    for (name, part) in parts {
        match (*name, part) {
            ("runs", Tree::List(runs)) => runs.iter_mut().for_each(|run| {
                let Tree::Record(run) = run else { panic!("a run is a record") };
                run.retain(|(name, _)| !matches!(*name, "variation" | "varies_below_rpm"));
            }),
            ("format", version) => *version = Tree::Number(2.0),
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

fn record<'t>(tree: &'t mut Tree, part: &str) -> Option<&'t mut Vec<(&'static str, Tree)>> {
    let Tree::Record(parts) = tree else { panic!("a project is a record") };
    if part.is_empty() {
        return Some(parts);
    }
    match parts.iter_mut().find(|(name, _)| *name == part).map(|(_, part)| part)? {
        Tree::Record(record) => Some(record),
        Tree::Present(inner) => match &mut **inner {
            Tree::Record(record) => Some(record),
            _ => panic!("{part} is no record"),
        },
        _ => panic!("{part} is no record"),
    }
}
