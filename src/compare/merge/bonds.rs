//! What belongs together in a merge: fields that make one unit.

use std::collections::BTreeSet;

use super::conflict_words::{Teller, part};
use super::version::{Conflict, State, Verdict, verdict};
use crate::project::{Project, Signal, Tree, parts_in_load_unit};

/// Parts that are never split, `[]` for any index in a list.
const UNITS: [&str; 11] = [
    "engine.firing_order",
    "engine.channels[].cylinders",
    "trigger.wheel",
    "outputs[].conditions[]",
    "image.checksum",
    "timing_light",
    "typed_readings",
    "runs[].rows",
    "evidence.points[]",
    "evidence.sweeps[]",
    "checks.accepted[]",
];

/// Fields of one record that make one unit.
pub(super) struct Siblings {
    /// The record's path, `[]` for any index in a list.
    of: &'static str,
    /// The fields.
    pub(super) fields: &'static [&'static str],
    /// What they are called together.
    pub(super) label: &'static str,
}

const CALIBRATION: &[&str] = &["first_v", "first_reads", "second_v", "second_reads"];
const SENDER_POINTS: &[&str] = &["points_c", "points_ohm"];

const SIBLINGS: [Siblings; 7] = [
    Siblings {
        of: "engine",
        fields: &["cylinders", "firing_order", "channels"],
        label: "Cylinders, firing order and coils",
    },
    Siblings { of: "sensors.throttle", fields: CALIBRATION, label: "Throttle sensor calibration" },
    Siblings { of: "sensors.pressure", fields: CALIBRATION, label: "Pressure sensor calibration" },
    Siblings { of: "sensors.coolant", fields: SENDER_POINTS, label: "Coolant sender points" },
    Siblings { of: "sensors.air", fields: SENDER_POINTS, label: "Air sender points" },
    Siblings { of: "image.items[]", fields: &["content", "field"], label: "content" },
    Siblings { of: "image.items[]", fields: &["cell", "scale", "offset"], label: "number format" },
];

/// The image and everything whose size decides how much of the image it takes.
const IN_THE_IMAGE: [&str; 5] = ["advance", "image", "coil.dwell_ms", "trims.coolant.degrees", "trims.air.degrees"];

/// Parts from different places of the project that make one unit.
#[derive(Clone, Debug)]
struct Group {
    label: &'static str,
    members: Vec<&'static str>,
}

/// What belongs together in one particular merge.
#[derive(Clone, Debug)]
pub(super) struct Bonds {
    is_whole: bool,
    parts: BTreeSet<String>,
    groups: Vec<Group>,
}

impl Bonds {
    /// The bonds that follow from the three versions.
    pub(super) fn between(versions: &[Project; 3]) -> Self {
        let [base, mine, theirs] = versions;
        let marks = [base, mine, theirs].map(|project| project.locked_timing_deg);
        let loads = [base, mine, theirs].map(|project| project.sensors.load);
        let mut groups = Vec::new();
        if loads[1] != loads[0] || loads[2] != loads[0] {
            let holds = |part: &&str| versions.iter().any(|project| holds_loads(project, part));
            let members = parts_in_load_unit().into_iter().filter(holds).collect();
            groups.push(Group { label: "Load kind and everything in its unit", members });
        }
        Self { is_whole: marks[1] != marks[0] || marks[2] != marks[0], parts: BTreeSet::new(), groups }
    }

    /// Whether the whole project is one unit.
    pub(super) fn is_whole(&self) -> bool {
        self.is_whole
    }

    /// Called with a field that does not fit the rest of the merged project: makes a larger unit around it.
    /// First the part that it belongs to, then everything that shares the image, at last the whole project.
    pub(super) fn tighten(&mut self, path: &str) {
        let first = path.split(['.', '[']).next().unwrap_or_default();
        let part = if path.starts_with("limits.") { path } else { first };
        if !matches!(part, "" | "advance") && self.parts.insert(part.to_owned()) {
            return;
        }
        if matches!(part, "image" | "advance") && self.groups.is_empty() {
            self.groups.push(Group { label: "Image layout and what it holds", members: IN_THE_IMAGE.to_vec() });
            return;
        }
        self.is_whole = true;
    }

    /// Whether a part must not be split.
    pub(super) fn is_unit(&self, pattern: &str) -> bool {
        UNITS.contains(&pattern) || self.parts.contains(pattern)
    }

    /// Decides for each group from which version it is taken.
    pub(super) fn decide(&self, forms: &[Tree; 3], teller: &Teller<'_>, conflicts: &mut Vec<Conflict>) -> Groups<'_> {
        let decide = |group: &Group| {
            let at = |form| group.members.iter().map(|path| part(form, path)).collect::<Vec<Option<&Tree>>>();
            let [base, mine, theirs] = forms.each_ref().map(at);
            match verdict([&base, &mine, &theirs]) {
                Verdict::Take(version) => State::Take(version),
                Verdict::Conflict => {
                    conflicts.push(teller.parts(group.label, &group.members));
                    State::Open(conflicts.len() - 1)
                }
            }
        };
        let states: Vec<State> = self.groups.iter().map(decide).collect();
        Groups(self.groups.iter().zip(states).collect())
    }
}

/// Whether a part that may hold loads does: outputs without a condition on load, runs without loads, and lists without an
/// entry do not.
fn holds_loads(project: &Project, part: &str) -> bool {
    match part {
        "outputs" => {
            let mut conditions = project.outputs.iter().flat_map(|output| &output.conditions);
            conditions.any(|condition| condition.signal == Signal::Load)
        }
        "runs" => project.runs.iter().flat_map(|run| &run.rows).any(|row| row.load.is_some()),
        "evidence.points" => !project.evidence.points.is_empty(),
        "evidence.sweeps" => !project.evidence.sweeps.is_empty(),
        _ => true,
    }
}

/// The fields of the record at a path that make one unit. Coil channels are merged one by one while the firing
/// order is the same in all versions.
pub(super) fn siblings(pattern: &str, records: [&[(&'static str, Tree)]; 3]) -> Vec<&'static Siblings> {
    let field = |record: &[(&'static str, Tree)], name: &str| {
        record.iter().find(|(key, _)| *key == name).map(|(_, value)| value.clone())
    };
    let order = |record| [field(record, "cylinders"), field(record, "firing_order")];
    let same_order = || records.iter().all(|record| order(record) == order(records[0]));
    SIBLINGS.iter().filter(|ties| ties.of == pattern && (pattern != "engine" || !same_order())).collect()
}

/// The groups of a merge, each with what was decided.
pub(super) struct Groups<'a>(Vec<(&'a Group, State)>);

impl Groups<'_> {
    /// What was decided for the group that a part belongs to; `None` if it belongs to none.
    pub(super) fn of(&self, path: &str) -> Option<State> {
        self.0.iter().find(|(group, _)| group.members.contains(&path)).map(|(_, state)| *state)
    }

    /// Whether a part contains one that belongs to a group.
    pub(super) fn is_above(&self, path: &str) -> bool {
        let below =
            |member: &&str| path.is_empty() || member.strip_prefix(path).is_some_and(|rest| rest.starts_with('.'));
        self.0.iter().any(|(group, _)| group.members.iter().any(&below))
    }
}
