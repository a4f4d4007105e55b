//! Walks down three setups at once, as deep as the differences go.

use super::bonds::{Bonds, Groups, siblings};
use super::conflict_words::Teller;
use super::kept::arrange;
use super::version::{Conflict, Node, State, Turn, Verdict, verdict};
use crate::compare::field_differences::is_curve;
use crate::project::{Step, Tree, pattern_of};
use crate::watch::{Stopped, Watch};

/// What the three versions have at one place.
type Versions<'a> = [Option<&'a Tree>; 3];
type Fields = [(&'static str, Tree)];

/// Merges all of the setup except the advance table, which is only a placeholder here.
pub(super) fn merge(
    bonds: &Bonds,
    groups: &Groups<'_>,
    forms: &[Tree; 3],
    teller: &Teller<'_>,
    conflicts: &mut Vec<Conflict>,
    watch: Watch<'_>,
) -> Result<Node, Stopped> {
    let mut walk = Walk { bonds, groups, teller, conflicts, watch, turns: Vec::new() };
    walk.meet(forms.each_ref().map(Some))
}

struct Walk<'a> {
    bonds: &'a Bonds,
    groups: &'a Groups<'a>,
    teller: &'a Teller<'a>,
    conflicts: &'a mut Vec<Conflict>,
    watch: Watch<'a>,
    turns: Vec<Turn>,
}

impl Walk<'_> {
    fn meet(&mut self, versions: Versions<'_>) -> Result<Node, Stopped> {
        self.watch.next()?;
        let pattern = self.pattern();
        if pattern == "advance" {
            return Ok(Node::Settled(Some(Tree::Absent)));
        }
        if let Some(state) = self.groups.of(&pattern) {
            return Ok(Node::of(versions, state));
        }
        if !self.groups.is_above(&pattern)
            && let Verdict::Take(version) = verdict(versions.each_ref())
        {
            return Ok(Node::of(versions, State::Take(version)));
        }
        let divided = if self.bonds.is_unit(&pattern) { None } else { self.divide(&pattern, versions)? };
        Ok(divided.unwrap_or_else(|| {
            self.conflicts.push(self.teller.field(&self.turns, versions));
            Node::of(versions, State::Open(self.conflicts.len() - 1))
        }))
    }

    /// Merges the three versions part by part; `None` if this is one unit.
    fn divide(&mut self, pattern: &str, versions: Versions<'_>) -> Result<Option<Node>, Stopped> {
        match versions {
            [Some(Tree::Record(base)), Some(Tree::Record(mine)), Some(Tree::Record(theirs))] => {
                let records = [base.as_slice(), mine, theirs];
                let moved = is_curve(base) && records.iter().any(|record| record.first() != base.first());
                if moved { Ok(None) } else { self.records(pattern, records).map(Some) }
            }
            [Some(Tree::Map(base)), Some(Tree::Map(mine)), Some(Tree::Map(theirs))] => {
                self.maps([base, mine, theirs]).map(Some)
            }
            [Some(Tree::List(base)), Some(Tree::List(mine)), Some(Tree::List(theirs))] => {
                let lists = [base.as_slice(), mine, theirs];
                match pattern {
                    "outputs" | "image.items" => self.keyed(lists, |entry| text_of(entry, "name")),
                    "checks.accepted" => {
                        self.keyed(lists, |entry| format!("{}\u{0}{}", text_of(entry, "id"), part_of(entry, "place")))
                    }
                    "runs" | "evidence.points" | "evidence.sweeps" => self.keyed(lists, |entry| text_of(entry, "name")),
                    _ => self.by_place(lists),
                }
            }
            _ => Ok(None),
        }
    }

    fn records(&mut self, pattern: &str, records: [&Fields; 3]) -> Result<Node, Stopped> {
        let at = |record: &'_ Fields, name: &str| record.iter().position(|(key, _)| *key == name);
        let value = |name: &str| records.map(|record| at(record, name).map(|at| &record[at].1));
        let mut tied: Vec<(&[&str], State)> = Vec::new();
        for ties in siblings(pattern, records) {
            let values = ties.fields.iter().map(|field| value(field)).collect::<Vec<_>>();
            let of = |version: usize| values.iter().map(|versions| versions[version]).collect::<Vec<_>>();
            let state = match verdict([&of(0), &of(1), &of(2)]) {
                Verdict::Take(version) => State::Take(version),
                Verdict::Conflict => {
                    self.conflicts.push(self.teller.siblings(&self.turns, ties.label, ties.fields));
                    State::Open(self.conflicts.len() - 1)
                }
            };
            tied.push((ties.fields, state));
        }
        let mut fields = Vec::new();
        for (name, _) in records[0] {
            let state = tied.iter().find(|(fields, _)| fields.contains(name)).map(|(_, state)| *state);
            let node = match state {
                Some(state) => Node::of(value(name), state),
                None => self.within(Turn::Field((*name).to_owned()), value(name))?,
            };
            fields.push((*name, node));
        }
        Ok(Node::Record(fields))
    }

    fn maps(&mut self, maps: [&[(String, Tree)]; 3]) -> Result<Node, Stopped> {
        let mut keys: Vec<&String> = maps.iter().flat_map(|map| map.iter().map(|(key, _)| key)).collect();
        keys.sort();
        keys.dedup();
        let value = |key: &String| maps.map(|map| map.iter().find(|(name, _)| name == key).map(|(_, value)| value));
        let node = |key: &String| Ok((key.clone(), self.within(Turn::Field(key.clone()), value(key))?));
        Ok(Node::Map(keys.into_iter().map(node).collect::<Result<_, Stopped>>()?))
    }

    /// Lists merged index by index; `None` if their lengths differ. Firing orders and the like, which make sense
    /// only as a whole, are units in `bonds.rs` and never come here.
    fn by_place(&mut self, lists: [&[Tree]; 3]) -> Result<Option<Node>, Stopped> {
        if lists.iter().any(|list| list.len() != lists[0].len()) {
            return Ok(None);
        }
        let entry = |at: usize| lists.map(|list| list.get(at));
        let nodes = (0..lists[0].len()).map(|at| self.within(Turn::Entry([Some(at); 3]), entry(at)));
        Ok(Some(Node::List(nodes.collect::<Result<_, Stopped>>()?)))
    }

    /// Lists whose entries are known by a key; `None` if keys repeat or both sides reordered the entries
    /// differently.
    fn keyed(&mut self, lists: [&[Tree]; 3], key: impl Fn(&Tree) -> String) -> Result<Option<Node>, Stopped> {
        let keys = lists.map(|list| list.iter().map(&key).collect::<Vec<_>>());
        let repeats = |keys: &Vec<String>| keys.iter().enumerate().any(|(at, key)| keys[..at].contains(key));
        let [base, mine, theirs] = &keys;
        if keys.iter().any(repeats) || arrange([base, mine, theirs], |_| true).is_none() {
            return Ok(None);
        }
        let mut met: Vec<(&String, Node)> = Vec::new();
        for key in keys.iter().flatten() {
            if met.iter().all(|(other, _)| *other != key) {
                let places = keys.each_ref().map(|keys| keys.iter().position(|other| other == key));
                let entries = [0, 1, 2].map(|version: usize| places[version].and_then(|at| lists[version].get(at)));
                let node = self.within(Turn::Entry(places), entries)?;
                met.push((key, node));
            }
        }
        met.retain(|(_, node)| node.is_there());
        let Some(order) = arrange([base, mine, theirs], |key| met.iter().any(|(kept, _)| *kept == key)) else {
            return Ok(None);
        };
        let node = |key: &String| met.iter().find(|(kept, _)| *kept == key).map(|(_, node)| node.clone());
        Ok(Some(Node::List(order.into_iter().filter_map(node).collect())))
    }

    fn within(&mut self, turn: Turn, versions: Versions<'_>) -> Result<Node, Stopped> {
        self.turns.push(turn);
        let node = self.meet(versions)?;
        self.turns.pop();
        Ok(node)
    }

    /// The path to this place, `[]` for any index in a list.
    fn pattern(&self) -> String {
        let step = |turn: &Turn| match turn {
            Turn::Field(name) => Step::Field(name.clone()),
            Turn::Entry(_) => Step::Index(0),
        };
        pattern_of(&self.turns.iter().map(step).collect::<Vec<_>>())
    }
}

/// A part of an entry as text.
fn part_of(entry: &Tree, field: &str) -> String {
    entry.at(&[Step::Field(field.to_owned())]).map(Tree::to_string).unwrap_or_default()
}

/// A text field of an entry.
fn text_of(entry: &Tree, field: &str) -> String {
    match entry.at(&[Step::Field(field.to_owned())]) {
        Some(Tree::Text(text)) => text.clone(),
        _ => String::new(),
    }
}
