//! Merging snapshots, known by name, and the last export; and the order of a merged list whose entries are
//! known by a key.

use std::sync::Arc;

use super::version::{Conflict, ConflictPlace, State, Verdict, Version, verdict};
use crate::project::{Fault, LastExport, Project, Snapshot, Tree};
use crate::watch::{Stopped, Watch};

/// The records of a merged project: snapshots and last export.
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
    pub(super) fn merge(
        versions: &[Project; 3],
        conflicts: &mut Vec<Conflict>,
        watch: Watch<'_>,
    ) -> Result<Self, Stopped> {
        let snapshots = merge_snapshots(versions, conflicts, watch)?;
        let exports = versions.each_ref().map(|project| project.last_export.as_ref());
        let export = state(exports, conflicts, || Conflict {
            place: ConflictPlace::Field { path: "last_export".into() },
            label: "Last export".into(),
            section: None,
            values: exports.map(|export| export.map(|export| export_tree(export))),
            words: exports.map(|export| export.map_or_else(|| "—".into(), |export| export_words(export))),
        });
        Ok(Self { snapshots, export })
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

fn merge_snapshots(
    versions: &[Project; 3],
    conflicts: &mut Vec<Conflict>,
    watch: Watch<'_>,
) -> Result<Vec<KeptSnapshot>, Stopped> {
    let names = versions.each_ref().map(|project| project.snapshots.iter().map(|kept| &kept.name).collect::<Vec<_>>());
    let of = |name: &String| {
        versions.each_ref().map(|project| project.snapshots.iter().find(|kept| kept.name == *name).cloned())
    };
    let mut met: Vec<(&String, KeptSnapshot)> = Vec::new();
    for name in names.iter().flatten() {
        if met.iter().any(|(other, _)| other == name) {
            continue;
        }
        watch.next()?;
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
    // Snapshots are listed in the order in which they were taken; if both sides reordered them, in the order
    // found first.
    let order = arrange([base, mine, theirs], stays);
    let order = order.unwrap_or_else(|| met.iter().map(|(name, _)| name).collect());
    Ok(order.into_iter().filter_map(find).collect())
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

/// When it was taken, its note, and whether its state differs from that of the base's snapshot of the same
/// name.
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

/// The merged order of three lists without repetitions; only entries for which `is_kept` holds.
///
/// Entries that all three lists have are in the order of the side that reordered them; if both did,
/// differently, there is no order. Every other entry follows the entry that it follows in its own list. Where
/// both sides put something after the same entry, all of it is sorted, so that the result does not depend on
/// which side is which.
pub(super) fn arrange<K: Ord>([base, mine, theirs]: [&[K]; 3], is_kept: impl Fn(&K) -> bool) -> Option<Vec<&K>> {
    let in_all = |key: &K| base.contains(key) && mine.contains(key) && theirs.contains(key);
    let orders = [base, mine, theirs].map(|list| list.iter().filter(|key| in_all(key)).collect::<Vec<_>>());
    let [was, by_mine, by_theirs] = orders;
    let frame = match () {
        () if by_mine == by_theirs || by_theirs == was => by_mine,
        () if by_mine == was => by_theirs,
        () => return None,
    };
    let place = |list: &[K], key: &K| {
        let before = list.iter().take_while(|other| *other != key).filter(|other| in_all(other)).last();
        before.map_or(0, |before| frame.iter().position(|other| *other == before).map_or(0, |at| at + 1))
    };
    // What each side puts before the first entry of the common frame and after each of its entries.
    let mut slots: Vec<[Vec<&K>; 2]> = (0..=frame.len()).map(|_| [Vec::new(), Vec::new()]).collect();
    for (side, (list, other)) in [(mine, theirs), (theirs, mine)].into_iter().enumerate() {
        for key in list.iter().filter(|key| !in_all(key) && is_kept(key)) {
            let own = place(list, key);
            let at = if other.contains(key) { own.min(place(other, key)) } else { own };
            slots[at][side].push(key);
        }
    }
    let mut order = Vec::new();
    for (at, [mut first, second]) in slots.into_iter().enumerate() {
        if at > 0 {
            order.push(frame[at - 1]);
        }
        if first.is_empty() || second.is_empty() || first == second {
            let one = if first.is_empty() { second } else { first };
            order.extend(one);
            continue;
        }
        first.extend(second);
        first.sort();
        first.dedup();
        order.extend(first);
    }
    Some(order)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn arranged(base: &str, mine: &str, theirs: &str) -> Option<String> {
        let lists = [base, mine, theirs].map(|text| text.chars().collect::<Vec<_>>());
        let [base, mine, theirs] = &lists;
        // An entry of the base is removed if one side removed it.
        let kept = |key: &char| !base.contains(key) || (mine.contains(key) && theirs.contains(key));
        let order = arrange([base, mine, theirs], kept);
        let swapped = arrange([base, theirs, mine], kept);
        assert_eq!(order, swapped, "it matters which side is which");
        order.map(|order| order.into_iter().collect())
    }

    #[test]
    fn additions_follow_what_they_followed() {
        assert_eq!(arranged("abc", "axbc", "abcy"), Some("axbcy".into()));
        assert_eq!(arranged("abc", "xabc", "abc"), Some("xabc".into()));
        assert_eq!(arranged("ab", "ayb", "axb"), Some("axyb".into()));
        assert_eq!(arranged("", "zy", ""), Some("zy".into()));
        assert_eq!(arranged("", "zy", "x"), Some("xyz".into()));
        assert_eq!(arranged("a", "azy", "azy"), Some("azy".into()));
    }

    #[test]
    fn what_one_side_removes_or_reorders_is_so() {
        assert_eq!(arranged("abc", "ac", "abc"), Some("ac".into()));
        assert_eq!(arranged("abc", "cba", "abcx"), Some("cxba".into()));
        assert_eq!(arranged("abc", "cba", "cba"), Some("cba".into()));
        assert_eq!(arranged("abc", "cba", "bac"), None);
    }
}
