//! Snapshots and the last export: each one unit, known by its name.

use std::sync::Arc;

use super::arrange::arrange;
use super::conflict::{Conflict, ConflictPlace};
use super::node::State;
use super::version::{Verdict, Version, verdict};
use crate::project::{Fault, LastExport, Project, Snapshot, Tree};

/// What a merged project remembers.
#[derive(Clone, Debug)]
pub(super) struct KeptRecords {
    snapshots: Vec<KeptSnapshot>,
    export: State,
}

/// A snapshot of the merged project: what each version has under its name.
#[derive(Clone, Debug)]
struct KeptSnapshot {
    versions: [Option<Arc<Snapshot>>; 3],
    state: State,
}

impl KeptRecords {
    /// Merges the snapshots and the last exports.
    pub(super) fn merge(versions: &[Project; 3], conflicts: &mut Vec<Conflict>) -> Self {
        let snapshots = merge_snapshots(versions, conflicts);
        let exports = versions.each_ref().map(|project| project.last_export.as_ref());
        let export = state(exports, conflicts, || Conflict {
            place: ConflictPlace::Field { path: "last_export".into() },
            label: "Last export".into(),
            section: None,
            values: exports.map(|export| export.map(|export| export_tree(export))),
            words: exports.map(|export| export.map_or_else(|| "—".into(), |export| export_words(export))),
        });
        Self { snapshots, export }
    }

    /// The project with its records, every conflict decided.
    pub(super) fn resolve(
        &self,
        project: &Project,
        versions: &[Project; 3],
        choose: &impl Fn(usize) -> Version,
    ) -> Result<Project, Fault> {
        let version = |state: State| match state {
            State::Take(version) => version,
            State::Open(conflict) => choose(conflict),
        };
        let kept = self.snapshots.iter().filter_map(|kept| kept.versions[version(kept.state).index()].clone());
        let export = versions[version(self.export).index()].last_export.clone();
        project.edit(|parts| {
            parts.snapshots = kept.collect();
            parts.last_export = export;
        })
    }
}

fn merge_snapshots(versions: &[Project; 3], conflicts: &mut Vec<Conflict>) -> Vec<KeptSnapshot> {
    let names = versions.each_ref().map(|project| project.snapshots.iter().map(|kept| &kept.name).collect::<Vec<_>>());
    let of = |name: &String| {
        versions.each_ref().map(|project| project.snapshots.iter().find(|kept| kept.name == *name).cloned())
    };
    let mut met: Vec<(&String, KeptSnapshot)> = Vec::new();
    for name in names.iter().flatten() {
        if met.iter().any(|(other, _)| other == name) {
            continue;
        }
        let found = of(name);
        let versions = found.each_ref().map(Option::as_ref);
        let state = state(versions, conflicts, || Conflict {
            place: ConflictPlace::Field { path: "snapshots".into() },
            label: format!("Snapshot '{name}'"),
            section: None,
            values: versions.map(|kept| kept.map(|kept| snapshot_tree(kept))),
            words: versions.map(|kept| kept.map_or_else(|| "—".into(), |kept| snapshot_words(kept, versions[0]))),
        });
        met.push((name, KeptSnapshot { versions: found, state }));
    }
    let is_kept = |kept: &KeptSnapshot| match kept.state {
        State::Take(version) => kept.versions[version.index()].is_some(),
        State::Open(_) => true,
    };
    met.retain(|(_, kept)| is_kept(kept));
    let [base, mine, theirs] = &names;
    let find = |name: &&String| met.iter().find(|(other, _)| other == name).map(|(_, kept)| kept.clone());
    let stays = |name: &&String| met.iter().any(|(other, _)| other == name);
    // Snapshots are in the order in which they were taken: two other orders of the same ones are no change that counts.
    let order = arrange([base, mine, theirs], stays);
    let order = order.unwrap_or_else(|| met.iter().map(|(name, _)| name).collect());
    order.into_iter().filter_map(find).collect()
}

fn state<T: PartialEq>(versions: [T; 3], conflicts: &mut Vec<Conflict>, tell: impl FnOnce() -> Conflict) -> State {
    match verdict(versions.each_ref()) {
        Verdict::Take(version) => State::Take(version),
        Verdict::Conflict => {
            conflicts.push(tell());
            State::Open(conflicts.len() - 1)
        }
    }
}

fn snapshot_tree(kept: &Snapshot) -> Tree {
    let text = |text: &String| Tree::Text(text.clone());
    Tree::Record(vec![("name", text(&kept.name)), ("note", text(&kept.note)), ("taken_at", text(&kept.taken_at))])
}

/// When it was taken, its note, and whether it keeps another state than the base's of that name.
fn snapshot_words(kept: &Snapshot, base: Option<&Arc<Snapshot>>) -> String {
    let note = if kept.note.is_empty() { String::new() } else { format!(", {}", kept.note) };
    let other = if base.is_some_and(|base| base.state != kept.state) { ", another state" } else { "" };
    format!("taken {}{note}{other}", kept.taken_at)
}

fn export_tree(export: &LastExport) -> Tree {
    let text = |text: &String| Tree::Text(text.clone());
    Tree::Record(vec![
        ("file_name", text(&export.file_name)),
        ("written_at", text(&export.written_at)),
        ("checksum", text(&export.checksum)),
    ])
}

fn export_words(export: &LastExport) -> String {
    format!("{} written {}, checksum {}", export.file_name, export.written_at, export.checksum)
}
