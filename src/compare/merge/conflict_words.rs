//! Conflicts in words: what the unit is called, and what each version has there.

use super::version::{Conflict, ConflictPlace, Turn, Version, steps_in};
use crate::compare::Section;
use crate::compare::field_differences::is_curve;
use crate::compare::labels::Namer;
use crate::project::{Advance, FindingPlace, Origin, Project, Step, Tree, field, path_of, pattern_of, steps};
use crate::table::{Axis, Cell};
use crate::wording::{Unit, capital, count, lower_first, one_line, point, range, rounded, with_unit, written};

/// Shown for a version that has nothing there.
const NOT_THERE: &str = "—";
/// The decimals of a settled number.
const MOST_DECIMALS: usize = 12;

/// The state of one cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct CellState {
    /// Degrees before TDC.
    pub(super) deg: f64,
    /// Whether no tool may move it.
    pub(super) is_held: bool,
    /// Where its value came from.
    pub(super) origin: Origin,
}

impl CellState {
    pub(super) fn of(advance: &Advance, cell: Cell) -> Self {
        Self { deg: advance.table().at(cell), is_held: advance.held().contains(cell), origin: advance.origin(cell) }
    }
}

/// Describes conflicts between three versions.
pub(super) struct Teller<'a> {
    versions: &'a [Project; 3],
    forms: &'a [Tree; 3],
}

/// One of the fields that a unit consists of: the path to it in each version; `None` where it is missing.
struct Root {
    steps: [Option<Vec<Step>>; 3],
}

/// A leaf or a plain list below a root: its path from there, its own steps, the value.
struct Leaf<'a> {
    below: String,
    steps: Vec<Step>,
    value: &'a Tree,
}

impl<'a> Teller<'a> {
    pub(super) fn new(versions: &'a [Project; 3], forms: &'a [Tree; 3]) -> Self {
        Self { versions, forms }
    }

    /// The tree of a version.
    pub(super) fn form(&self, version: Version) -> &Tree {
        &self.forms[version.index()]
    }

    /// A field, an entry or a part.
    pub(super) fn field(&self, turns: &[Turn], values: [Option<&Tree>; 3]) -> Conflict {
        let (steps, version) = self.way(turns);
        let label = self.label(&steps, version);
        let root = Root { steps: Version::ALL.map(|version| steps_in(turns, version)) };
        self.conflict(path_of(&steps), label, values.map(Option::<&Tree>::cloned), &[root])
    }

    /// Fields of one record that make one unit.
    pub(super) fn siblings(&self, turns: &[Turn], label: &str, fields: &[&'static str]) -> Conflict {
        let (steps, version) = self.way(turns);
        let of = self.label(&steps, version);
        let label = if label.starts_with(char::is_uppercase) { label.to_owned() } else { format!("{of}, {label}") };
        let below = |version: Version, name: &str| {
            steps_in(turns, version).map(|steps| [steps, vec![Step::Field(name.to_owned())]].concat())
        };
        let roots: Vec<Root> =
            fields.iter().map(|name| Root { steps: Version::ALL.map(|version| below(version, name)) }).collect();
        let values = self.record(fields, &roots);
        self.conflict(path_of(&steps), label, values, &roots)
    }

    /// Parts from different places of the project that make one unit.
    pub(super) fn parts(&self, label: &str, members: &[&'static str]) -> Conflict {
        let roots: Vec<Root> =
            members.iter().map(|path| Root { steps: [steps(path), steps(path), steps(path)] }).collect();
        let values = self.record(members, &roots);
        let path = members.iter().find(|path| **path != "advance").copied().unwrap_or_default();
        self.conflict(path.to_owned(), label.to_owned(), values, &roots)
    }

    /// The whole project.
    pub(super) fn whole_project(&self) -> Conflict {
        let mark = |project: &Project| match project.locked_timing_deg {
            Some(deg) => format!("{}, locked timing at {}", project.name, with_unit(&written(deg), Unit::Degree)),
            None => project.name.clone(),
        };
        let name = |project: &Project| Some(Tree::Text(project.name.clone()));
        Conflict {
            place: ConflictPlace::Field { path: String::new() },
            label: "The whole project".into(),
            section: Some(Section::Project),
            values: self.versions.each_ref().map(name),
            words: self.versions.each_ref().map(mark),
        }
    }

    /// The advance table as one unit.
    pub(super) fn table(&self) -> Conflict {
        let advance = |form: &Tree| part(form, "advance").cloned();
        Conflict {
            place: ConflictPlace::Field { path: "advance".into() },
            label: Section::Advance.name().into(),
            section: Some(Section::Advance),
            values: self.forms.each_ref().map(advance),
            words: Version::ALL.map(|version| self.table_words(version)),
        }
    }

    /// One cell of tables with the same axes.
    pub(super) fn cell(&self, cell: Cell, versions: [CellState; 3]) -> Conflict {
        let project = &self.versions[0];
        let table = project.advance.table();
        let at = |axis: &Axis, index: usize| axis.breakpoints().get(index).copied().unwrap_or_default();
        let (speed_rpm, load) = (at(table.speed(), cell.speed), at(table.load(), cell.load));
        let tree = |state: &CellState| {
            Some(Tree::Record(vec![
                ("deg", Tree::Number(state.deg)),
                ("held", Tree::Flag(state.is_held)),
                ("origin", Tree::Name(state.origin.name())),
            ]))
        };
        Conflict {
            place: ConflictPlace::Cell { cell, speed_rpm, load },
            label: format!("Advance at {}", point(speed_rpm, load, project.sensors.load.unit())),
            section: Some(Section::Advance),
            values: versions.each_ref().map(tree),
            words: versions.map(|state| cell_words(state, decimals_to_tell(versions))),
        }
    }

    /// A version's table in words; if the other side's would read the same, with the first place in which they
    /// differ.
    fn table_words(&self, version: Version) -> String {
        let words = self.outline_words(version);
        let other = match version {
            Version::Base => return words,
            Version::Mine => Version::Theirs,
            Version::Theirs => Version::Mine,
        };
        if words != self.outline_words(other) {
            return words;
        }
        self.first_difference(version, other)
            .map_or_else(|| words.clone(), |difference| format!("{words}, {difference}"))
    }

    /// The first breakpoint or cell in which a version's table differs from another's, with the version's
    /// value.
    fn first_difference(&self, version: Version, other: Version) -> Option<String> {
        let [project, against] = [version, other].map(|version| &self.versions[version.index()]);
        let [table, other_table] = [project.advance.table(), against.advance.table()];
        let load_unit = project.sensors.load.unit();
        let other_breakpoint = |axis: &Axis, others: &Axis, unit| {
            let mut pairs = axis.breakpoints().iter().zip(others.breakpoints());
            let (mine, _) = pairs.find(|(mine, others)| mine != others)?;
            Some(format!("breakpoint {}", with_unit(&written(*mine), unit)))
        };
        if (table.speed(), table.load()) != (other_table.speed(), other_table.load()) {
            return other_breakpoint(table.speed(), other_table.speed(), Unit::Rpm)
                .or_else(|| other_breakpoint(table.load(), other_table.load(), load_unit));
        }
        let state = |project: &Project, cell| CellState::of(&project.advance, cell);
        let cell = table.cells().find(|cell| state(project, *cell) != state(against, *cell))?;
        let (mine, others) = (state(project, cell), state(against, cell));
        let at = point(
            *table.speed().breakpoints().get(cell.speed)?,
            *table.load().breakpoints().get(cell.load)?,
            load_unit,
        );
        Some(format!("{} at {at}", cell_words(mine, decimals_to_tell([mine, mine, others]))))
    }

    fn outline_words(&self, version: Version) -> String {
        let project = &self.versions[version.index()];
        let (table, base) = (project.advance.table(), self.versions[0].advance.table());
        let ends = |axis: &Axis, unit| range((axis.first(), axis.last()), unit);
        let size = format!(
            "{} × {}, {}, {}",
            table.speed().len(),
            table.load().len(),
            ends(table.speed(), Unit::Rpm),
            ends(table.load(), project.sensors.load.unit())
        );
        if version == Version::Base {
            return size;
        }
        if (table.speed(), table.load()) != (base.speed(), base.load()) {
            return format!("{size}, other breakpoints");
        }
        format!("{size}, {}", self.cells_words(version))
    }

    /// What differs from the base in a table with the same axes: '2 cells changed, 1 held mark changed'.
    fn cells_words(&self, version: Version) -> String {
        let (is, was) = (&self.versions[version.index()].advance, &self.versions[0].advance);
        let other_value = |cell: &Cell| is.table().at(*cell).to_bits() != was.table().at(*cell).to_bits();
        let other_mark = |cell: &Cell| is.held().contains(*cell) != was.held().contains(*cell);
        // An origin changes with its value; it is counted only where it changed alone.
        let other_origin = |cell: &Cell| is.origin(*cell) != was.origin(*cell) && !other_value(cell);
        let changed = |differs: &dyn Fn(&Cell) -> bool, noun: &str| {
            let number = is.table().cells().filter(|cell| differs(cell)).count();
            (number > 0).then(|| format!("{} changed", count(number, noun)))
        };
        let told = [changed(&other_value, "cell"), changed(&other_mark, "held mark"), changed(&other_origin, "origin")];
        let told: Vec<String> = told.into_iter().flatten().collect();
        if told.is_empty() { "as in the base".into() } else { told.join(", ") }
    }

    /// The path to a place in the first of mine, theirs and base that has it.
    fn way(&self, turns: &[Turn]) -> (Vec<Step>, Version) {
        let order = [Version::Mine, Version::Theirs, Version::Base];
        let found = order.into_iter().find_map(|version| Some((steps_in(turns, version)?, version)));
        found.unwrap_or((Vec::new(), Version::Mine))
    }

    fn namer(&self, version: Version) -> Namer<'_> {
        let at = version.index();
        Namer::new(&self.versions[0], &self.forms[0], &self.versions[at], &self.forms[at])
    }

    fn label(&self, steps: &[Step], version: Version) -> String {
        let path = path_of(steps);
        let form = self.form(version);
        if let Some(name) = named_part(&pattern_of(steps), form, steps) {
            return name;
        }
        match form.at(steps) {
            Some(Tree::Record(record)) if is_curve(record) => {
                field(&format!("{path}.value[0]")).map_or(path, |field| field.label.to_owned())
            }
            _ => self.namer(version).label(&path, steps),
        }
    }

    /// The values of a unit's fields in each version, by their names.
    fn record(&self, names: &[&'static str], roots: &[Root]) -> [Option<Tree>; 3] {
        Version::ALL.map(|version| {
            let at = version.index();
            let value = |root: &Root| self.forms[at].at(root.steps[at].as_ref()?).cloned();
            let fields: Vec<_> =
                names.iter().zip(roots).filter_map(|(name, root)| Some((*name, value(root)?))).collect();
            if fields.is_empty() { None } else { Some(Tree::Record(fields)) }
        })
    }

    fn conflict(&self, path: String, label: String, values: [Option<Tree>; 3], roots: &[Root]) -> Conflict {
        let section = Section::of_part(path.split(['.', '[']).next().unwrap_or_default());
        let words = self.words(roots);
        Conflict { place: ConflictPlace::Field { path }, label, section, values, words }
    }

    /// A unit in words, for each version: those values that are not the same in all versions that have them.
    fn words(&self, roots: &[Root]) -> [String; 3] {
        let mut told: [Vec<String>; 3] = Default::default();
        let mut is_there = [false; 3];
        for root in roots {
            let leaves = Version::ALL.map(|version| self.leaves(root, version));
            for version in Version::ALL {
                is_there[version.index()] |= !leaves[version.index()].is_empty();
                for leaf in &leaves[version.index()] {
                    let same = |leaves: &Vec<Leaf<'_>>| {
                        leaves.is_empty()
                            || leaves.iter().any(|other| other.below == leaf.below && other.value == leaf.value)
                    };
                    if !leaves.iter().all(same) {
                        told[version.index()].push(self.leaf_words(leaf, version));
                    }
                }
            }
        }
        Version::ALL.map(|version| match told[version.index()].as_slice() {
            [] if is_there[version.index()] => "none".into(),
            [] => NOT_THERE.into(),
            told => told.join(" · "),
        })
    }

    fn leaf_words(&self, leaf: &Leaf<'_>, version: Version) -> String {
        if let (Some(Tree::Record(_)), true) = (self.form(version).at(&leaf.steps), leaf.below == ".curve") {
            return self.curve_words(leaf, version);
        }
        if path_of(&leaf.steps) == "advance" {
            return self.table_words(version);
        }
        let (namer, path) = (self.namer(version), path_of(&leaf.steps));
        let value = namer.edited_words(&path, Some(leaf.value));
        if leaf.below.is_empty() {
            return value;
        }
        let label = namer.label(&path, &leaf.steps);
        let name = label.rsplit_once(", ").map_or(label.as_str(), |(_, name)| name);
        format!("{} {value}", lower_first(name))
    }

    /// '−10 °C −2.0°, 80 °C 0.0°'.
    fn curve_words(&self, leaf: &Leaf<'_>, version: Version) -> String {
        let Tree::Record(fields) = leaf.value else {
            return String::new();
        };
        let list = |name: &str| {
            let found = fields.iter().find(|(key, _)| *key == name).map(|(_, value)| value);
            if let Some(Tree::List(items)) = found { items.clone() } else { Vec::new() }
        };
        let namer = self.namer(version);
        let word = |name: &str, index: usize, value: &Tree| {
            let steps = [leaf.steps.clone(), vec![Step::Field(name.to_owned()), Step::Index(index)]].concat();
            namer.edited_words(&path_of(&steps), Some(value))
        };
        let points = list("at").into_iter().zip(list("value")).enumerate();
        let told =
            points.map(|(index, (at, value))| format!("{} {}", word("at", index, &at), word("value", index, &value)));
        told.collect::<Vec<_>>().join(", ")
    }

    /// The leaves below a root in one version; empty if the root is not there. A curve counts as one value, and
    /// so does the advance table.
    fn leaves(&self, root: &Root, version: Version) -> Vec<Leaf<'_>> {
        let mut leaves = Vec::new();
        let Some(steps) = &root.steps[version.index()] else {
            return leaves;
        };
        if let Some(tree) = self.form(version).at(steps) {
            gather(tree, String::new(), steps.clone(), &mut leaves);
        }
        leaves
    }
}

fn gather<'a>(tree: &'a Tree, below: String, steps: Vec<Step>, leaves: &mut Vec<Leaf<'a>>) {
    let pattern = pattern_of(&steps);
    let is_table = pattern == "advance";
    // A sweep's readings are told by their number; nobody reads them all.
    let is_told_whole = pattern == "evidence.sweeps[].readings";
    let deeper = |step: Step| [steps.clone(), vec![step]].concat();
    match tree {
        Tree::Record(fields) if is_curve(fields) => leaves.push(Leaf { below: ".curve".into(), steps, value: tree }),
        Tree::Record(fields) if !is_table => {
            for (name, value) in fields {
                gather(value, format!("{below}.{name}"), deeper(Step::Field((*name).to_owned())), leaves);
            }
        }
        Tree::List(items) if !tree.is_plain_list() && !is_told_whole => {
            for (index, item) in items.iter().enumerate() {
                gather(item, format!("{below}[{index}]"), deeper(Step::Index(index)), leaves);
            }
        }
        _ => leaves.push(Leaf { below, steps, value: tree }),
    }
}

/// Two decimals, or as many more as it takes to tell different values apart.
fn decimals_to_tell(versions: [CellState; 3]) -> usize {
    let degs = versions.map(|state| state.deg);
    let pairs = [(degs[0], degs[1]), (degs[0], degs[2]), (degs[1], degs[2])];
    let differ =
        |decimals: &usize| pairs.iter().all(|(a, b)| a == b || rounded(*a, *decimals) != rounded(*b, *decimals));
    (2..MOST_DECIMALS).find(differ).unwrap_or(MOST_DECIMALS)
}

fn cell_words(state: CellState, decimals: usize) -> String {
    let held = if state.is_held { ", held" } else { "" };
    let deg = written(rounded(state.deg, decimals));
    let deg = if deg.contains(['.', 'e']) { deg } else { format!("{deg}.0") };
    format!("{} {}{held}", with_unit(&deg, Unit::Degree), state.origin.name())
}

/// The place of a finding, from its tree.
fn finding_place(form: &Tree) -> String {
    let at = |name: &str| form.at(&[Step::Field(name.to_owned())]);
    let text = |name: &str| if let Some(Tree::Text(text)) = at(name) { text.clone() } else { String::new() };
    let number = |name: &str| match at(name) {
        Some(Tree::Present(inner)) => {
            if let Tree::Number(number) = **inner {
                Some(number)
            } else {
                None
            }
        }
        _ => None,
    };
    let place = FindingPlace {
        field: text("field"),
        of: text("of"),
        at: number("at"),
        from_rpm: number("from_rpm"),
        to_rpm: number("to_rpm"),
        from_load: number("from_load"),
        to_load: number("to_load"),
    };
    place.to_string()
}

/// The name of a part that consists of several fields; `None` for single fields.
fn named_part(pattern: &str, form: &Tree, steps: &[Step]) -> Option<String> {
    let text = |steps: &[Step], name: &str| match form.at(&[steps, &[Step::Field(name.to_owned())]].concat()) {
        Some(Tree::Text(text)) => one_line(text).into_owned(),
        _ => String::new(),
    };
    Some(match pattern {
        "trigger.wheel" => "Trigger wheel".into(),
        "timing_light" => "Timing-light readings".into(),
        "image" => "Image layout".into(),
        "image.checksum" => "Checksum".into(),
        "limits.cranking" => "Cranking".into(),
        "limits.over_speed" => "Over-speed limit".into(),
        "limits.launch" => "Launch".into(),
        "limits.clamp" => "Floor and ceiling".into(),
        "outputs[]" => format!("Output {}", text(steps, "name")),
        "image.items[]" => format!("Image item {}", text(steps, "name")),
        "checks.accepted[]" => {
            let place = form.at(&[steps, &[Step::Field("place".into())]].concat()).map(finding_place);
            format!("Accepted finding {}, {}", text(steps, "id"), place.unwrap_or_default())
        }
        "runs[]" => format!("Run {}", text(steps, "name")),
        "runs[].rows" => format!("Run {}, rows", text(steps.get(..2).unwrap_or_default(), "name")),
        "evidence.points[]" => format!("Measured point {}", text(steps, "name")),
        "evidence.sweeps[]" => format!("Timing sweep {}", text(steps, "name")),
        "outputs[].conditions[]" => {
            let (last, output) = (steps.last(), steps.get(..2).unwrap_or_default());
            let place = if let Some(Step::Index(index)) = last { index + 1 } else { 1 };
            format!("{}, condition {place}", capital(&text(output, "name")))
        }
        _ if steps.len() == 1 && form.at(steps).is_some_and(|tree| !tree.is_leaf() && !tree.is_plain_list()) => {
            Section::of_part(pattern).map(|section| section.name().to_owned())?
        }
        _ => return None,
    })
}

/// The part of a tree at a dotted path.
pub(super) fn part<'a>(form: &'a Tree, path: &str) -> Option<&'a Tree> {
    form.at(&steps(path)?)
}
