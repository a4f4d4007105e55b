//! Fields by their dotted path: listing, reading and setting them.

use thiserror::Error;

use super::advance_fields::{advance_tree, set_in_advance};
use super::fields::{DecidedBy, FIELDS, FieldKind, LISTS, field, kind_at, pattern, resolved, setup_tree};
use super::locate::{Step, path_of, steps};
use super::ron_form::parse;
use super::threshold_fields::{check_reasons, check_thresholds, collect_thresholds, set_reason, set_threshold};
use super::{
    ADVANCE_RANGE_DEG, Advance, CoveredPart, Fault, Origin, Parts, Project, ReadError, SPEED_RANGE_RPM, Tree,
    TreeError, coverage, ron_text, thresholds,
};
use crate::wording::{Unit, count, shortest};

/// One field as a list shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldValue {
    /// Its path.
    pub path: String,
    /// What people call it.
    pub label: &'static str,
    /// The values it may have, with their unit.
    pub range: String,
    /// Its value.
    pub value: Tree,
}

/// Why a field was not set.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum PathError {
    /// There is no such field.
    #[error("there is no field '{path}'{}", .nearest.as_ref().map_or_else(String::new, |name| format!("; did you mean '{name}'?")))]
    Unknown {
        /// The path asked for.
        path: String,
        /// The path most like it.
        nearest: Option<String>,
    },
    /// The value is not of the field's kind, or outside its range.
    #[error("{path}: {message}{}", if .hint.is_empty() { String::new() } else { format!("; {}", .hint) })]
    Refused {
        /// The field.
        path: String,
        /// What is wrong.
        message: String,
        /// The values allowed; may be empty.
        hint: String,
    },
}

impl PathError {
    pub(super) fn refused(path: &str, message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::Refused { path: path.into(), message: message.into(), hint: hint.into() }
    }
}

impl Project {
    /// The whole setup as a tree by path: all sections, and the advance table as `speed_rpm`, `load`, `deg`, `held`
    /// and `origin`. Snapshots and the last export are not part of it.
    ///
    /// # Errors
    /// [`TreeError`] never for a project that exists.
    pub fn field_tree(&self) -> Result<Tree, TreeError> {
        let mut tree = setup_tree(self)?;
        if let Tree::Record(sections) = &mut tree {
            sections.push(("advance", advance_tree(&self.advance)));
        }
        Ok(tree)
    }
}

/// Every field of the setup with its range and value. The advance table is listed by whole rows; single cells are set
/// as `advance.deg[LOAD][SPEED]`, `advance.held[LOAD][SPEED]`, `advance.origin[LOAD][SPEED]`, indices from 0.
///
/// # Errors
/// [`TreeError`] never for a project that exists.
pub fn list_fields(project: &Project) -> Result<Vec<FieldValue>, TreeError> {
    let mut fields = Vec::new();
    collect(&project.field_tree()?, "", project, &mut fields);
    Ok(fields)
}

fn collect(tree: &Tree, path: &str, project: &Project, fields: &mut Vec<FieldValue>) {
    let below = |name: &str| if path.is_empty() { name.to_owned() } else { format!("{path}.{name}") };
    match tree {
        Tree::Map(own) if path == thresholds::PATH => collect_thresholds(own, project, fields),
        Tree::Record(parts) => parts.iter().for_each(|(name, part)| collect(part, &below(name), project, fields)),
        Tree::Map(entries) => entries.iter().for_each(|(key, part)| collect(part, &below(key), project, fields)),
        Tree::List(items) if !tree.is_plain_list() => {
            items
                .iter()
                .enumerate()
                .for_each(|(index, item)| collect(item, &format!("{path}[{index}]"), project, fields));
        }
        value => {
            let (label, range) = describe(path, value, project);
            fields.push(FieldValue { path: path.into(), label, range, value: value.clone() });
        }
    }
}

fn describe(path: &str, value: &Tree, project: &Project) -> (&'static str, String) {
    let element = if value.is_plain_list() { format!("{path}[0]") } else { path.to_owned() };
    if let Some(field) = field(&element) {
        return (field.label, resolved(field, &element, project).range());
    }
    let list_pattern = pattern(path);
    if let Some((_, label)) = LISTS.into_iter().find(|(list, _)| *list == list_pattern) {
        return (label, "a list of records in RON".into());
    }
    let load = project.sensors.load;
    let range = |unit, (low, high)| FieldKind::Number { unit, low, high }.range();
    match path.split(['[', '.']).nth(1) {
        Some("speed_rpm") => ("Advance, speeds", range(Unit::Rpm, SPEED_RANGE_RPM)),
        Some("load") => ("Advance, loads", range(load.unit(), load.range())),
        Some("deg") => ("Advance", range(Unit::Degree, ADVANCE_RANGE_DEG)),
        Some("held") => ("Held", FieldKind::Flag.range()),
        Some("origin") => ("Origin", Origin::ALL.map(Origin::name).join(", ")),
        _ => ("", String::new()),
    }
}

/// A path with the entries of outputs, conditions, image items and coils by their name in the place of their number, a
/// condition by its signal: `outputs[0].conditions[1].off` becomes `outputs[fan].conditions[coolant].off`. What it leads
/// to stays the same wherever in its list the entry stands.
pub fn path_by_names(path: &str, parts: &Parts) -> String {
    let Some(steps) = steps(path) else {
        return path.to_owned();
    };
    let mut named = String::new();
    for (at, step) in steps.iter().enumerate() {
        match step {
            Step::Field(name) if at == 0 => named.push_str(name),
            Step::Field(name) => named.extend([".", name]),
            Step::Index(index) => {
                let before = steps.get(..at).unwrap_or_default();
                let name = entry_name(before, *index, parts).unwrap_or_else(|| index.to_string());
                named.extend(["[", &name, "]"]);
            }
        }
    }
    named
}

/// The name of an entry in the list at a path.
fn entry_name(list: &[Step], index: usize, parts: &Parts) -> Option<String> {
    let fields: Vec<&str> =
        list.iter().filter_map(|step| if let Step::Field(name) = step { Some(name.as_str()) } else { None }).collect();
    match (fields.as_slice(), list) {
        (["outputs"], _) => parts.outputs.get(index).map(|output| output.name.clone()),
        (["outputs", "conditions"], [_, Step::Index(output), ..]) => {
            Some(parts.outputs.get(*output)?.conditions.get(index)?.signal.name().to_owned())
        }
        (["image", "items"], _) => parts.image.items.get(index).map(|item| item.name.clone()),
        (["engine", "channels"], _) => parts.engine.channels.get(index).map(|channel| channel.name.clone()),
        _ => None,
    }
}

/// Sets fields by path, all or none.
///
/// Numbers, names, flags and text are written plainly, lists of them with commas (`1,3,4,2`), `none` takes an optional
/// value away, and whole records and lists of records are written in RON.
///
/// ```
/// use sparkloft::project::{SAMPLES, set_fields};
///
/// let project = SAMPLES[0].project()?;
/// let changed = set_fields(&project, &[("step_deg", "0.5"), ("engine.plug_gap_mm", "0.7")])?;
/// assert_eq!((changed.step_deg, changed.engine.plug_gap_mm), (0.5, 0.7));
/// assert!(set_fields(&project, &[("engine.plug_gap_mm", "7")]).is_err());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`PathError`] for an unknown path (with the nearest one), a value of the wrong kind or out of range (with the
/// range), or values that do not fit together. The project is as it was.
pub fn set_fields(project: &Project, assignments: &[(&str, &str)]) -> Result<Project, PathError> {
    let mut draft = Draft { project, form: tree_of(&project.as_state())?, advance: project.advance.clone() };
    assignments.iter().try_for_each(|&(path, text)| draft.set(path, text))?;
    let last = assignments.last().map_or("", |(path, _)| *path);
    let mut parts = draft.parts(last)?;
    parts.advance = draft.advance;
    parts.snapshots.clone_from(&project.snapshots);
    parts.last_export.clone_from(&project.last_export);
    check_thresholds(project, &parts)?;
    check_load_kind(project, &parts)?;
    // Setting a value confirms it, even when it stays the same.
    assignments.iter().filter(|(path, _)| *path != "assumed").for_each(|(path, _)| parts.confirm(path));
    let ticks = |part: CoveredPart| format!("image.coverage.{}.set", part.name());
    let is_given = |part| assignments.iter().any(|(path, _)| *path == ticks(part));
    coverage::withdraw_ticks(project, &mut parts, is_given);
    check_reasons(project, &parts)?;
    let kinds = parts.clone();
    Project::new(parts).map_err(|Fault { path, message, hint }| {
        let range = kind_at(&path, &kinds).map(FieldKind::range).unwrap_or_default();
        let hint = if hint.is_empty() && !message.contains(&range) { format!("allowed: {range}") } else { hint };
        PathError::Refused { path, message, hint }
    })
}

/// A project while its fields are set one after the other: every path is looked up in what those before it left.
struct Draft<'a> {
    project: &'a Project,
    /// The file's form of everything but the table.
    form: Tree,
    advance: Advance,
}

impl Draft<'_> {
    fn set(&mut self, path: &str, text: &str) -> Result<(), PathError> {
        let unknown = || PathError::Unknown { path: path.into(), nearest: nearest_path(self.project, path) };
        let steps = steps(path).ok_or_else(unknown)?;
        match steps.as_slice() {
            [Step::Field(part), below @ ..] if part == "advance" => {
                let tree = advance_tree(&self.advance);
                if below.is_empty() || tree.at(below).is_none() {
                    return Err(missing(&tree, below, "advance").map_or_else(unknown, |told| told.of(path)));
                }
                self.advance = set_in_advance(&self.advance, path, below, text)?;
                Ok(())
            }
            [Step::Field(checks), Step::Field(map), Step::Field(name)]
                if (&**checks, &**map) == ("checks", "thresholds") =>
            {
                set_threshold(&mut self.form, self.project, path, name, text)
            }
            [Step::Field(checks), Step::Field(map), Step::Field(name)]
                if (&**checks, &**map) == ("checks", "threshold_reasons") =>
            {
                set_reason(&mut self.form, path, name, text)
            }
            [Step::Field(part), ..] if is_part(part) => self.set_below(path, &steps, text),
            _ => Err(unknown()),
        }
    }

    fn set_below(&mut self, path: &str, steps: &[Step], text: &str) -> Result<(), PathError> {
        let Some(current) = self.form.at(steps) else {
            let told = missing(&self.form, steps, "");
            return Err(match told {
                Some(told) => told.of(path),
                None => PathError::Unknown { path: path.into(), nearest: nearest_path(self.project, path) },
            });
        };
        let value = parse_value(path, current, text)?;
        if path == "locked_timing_deg" && value != *current {
            let hint = "'sparkloft locked-timing' makes such a copy of the real project";
            return Err(PathError::refused(path, "the mark of a locked-timing copy is not set by itself", hint));
        }
        let is_ron = matches!(value, Tree::Ron(_));
        if let Some(slot) = self.form.at_mut(steps) {
            *slot = value;
        }
        if is_ron {
            // Later paths may lead into it.
            self.form = tree_of(&self.parts(path)?)?;
        }
        Ok(())
    }

    fn parts(&self, path: &str) -> Result<Parts, PathError> {
        parse(&ron_text::print(&self.form)).map_err(|error| from_read_error(error, path))
    }
}

fn tree_of<T: serde::Serialize>(value: &T) -> Result<Tree, PathError> {
    Tree::of(value).map_err(|error| PathError::refused("", error.to_string(), ""))
}

/// Whether a part of the project has fields that are set.
fn is_part(name: &str) -> bool {
    let is_whole = |rest: &str| matches!(rest.as_bytes().first(), None | Some(b'.' | b'['));
    FIELDS.iter().any(|field| field.path.strip_prefix(name).is_some_and(is_whole))
}

/// Another kind of load would give every number that is written over load another meaning.
fn check_load_kind(before: &Project, after: &Parts) -> Result<(), PathError> {
    let (old, new) = (before.sensors.load, after.sensors.load);
    if old == new {
        return Ok(());
    }
    let message = format!(
        "everything written over load is in {}; as {} its numbers would mean something else",
        old.unit(),
        new.unit()
    );
    let hint = "'sparkloft set --start-anew' starts it anew for the other kind of load";
    Err(PathError::refused("sensors.load", message, hint))
}

fn is_finite(value: &Tree) -> bool {
    !matches!(value, Tree::Number(number) if !number.is_finite())
}

/// A list that is shorter than a path wants.
struct TooShort {
    list: String,
    length: usize,
}

impl TooShort {
    fn of(self, path: &str) -> PathError {
        let Self { list, length } = self;
        let hint = match length {
            0 => String::new(),
            1 => format!("{list}[0]"),
            length => format!("{list}[0] to {list}[{}]", length - 1),
        };
        PathError::refused(path, format!("{list} has {}", count(length, "entry")), hint)
    }
}

/// The list in which a path leaves the tree, if it does so in a list.
fn missing(tree: &Tree, steps: &[Step], root: &str) -> Option<TooShort> {
    let end = (0..steps.len()).find(|&end| tree.at(&steps[..=end]).is_none())?;
    let (there, next) = (steps.get(..end)?, steps.get(end)?);
    let (Step::Index(_), Tree::List(items) | Tree::Tuple(items)) = (next, tree.at(there)?) else {
        return None;
    };
    let list = match (root, path_of(there)) {
        ("", below) => below,
        (root, below) => format!("{root}.{below}"),
    };
    Some(TooShort { list, length: items.len() })
}

/// Names less alike than this are not suggested.
const LEAST_LIKENESS: f64 = 0.85;

/// The path most like a misspelt one, as a whole or by its last part: a right name in a wrong section is found too.
fn nearest_path(project: &Project, path: &str) -> Option<String> {
    let last = |path: &str| path.rsplit('.').next().unwrap_or_default().to_owned();
    let (fields, wanted) = (list_fields(project).ok()?, last(path));
    let likeness = |field: &FieldValue| {
        let (whole, end) = (strsim::jaro_winkler(path, &field.path), strsim::jaro_winkler(&wanted, &last(&field.path)));
        let same_name = if end == 1.0 { 1.0 } else { 0.0 };
        (whole.max(end) >= LEAST_LIKENESS).then_some(same_name + whole + end)
    };
    let alike = fields.iter().filter_map(|field| Some((likeness(field)?, field)));
    alike.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, field)| field.path.clone())
}

fn from_read_error(error: ReadError, last: &str) -> PathError {
    match error {
        ReadError::Invalid { path, message, hint, .. } => {
            let path = if path.is_empty() { last.to_owned() } else { path };
            PathError::Refused { path, message, hint }
        }
        other => PathError::refused(last, other.to_string(), ""),
    }
}

/// Reads the text of a value of the same kind as the one that stands there.
fn parse_value(path: &str, current: &Tree, text: &str) -> Result<Tree, PathError> {
    let text = text.trim();
    let optional = matches!(current, Tree::Absent | Tree::Present(_));
    if optional && text.eq_ignore_ascii_case("none") {
        return Ok(Tree::Absent);
    }
    if let Some(field) = field(path) {
        let value = parse_leaf(path, field.kind, text)?;
        // A range that the load kind, the signal or the wheel decides is checked once everything is set.
        if let Some(message) =
            field.kind.refusal(&value).filter(|_| field.decided_by == DecidedBy::Catalogue || !is_finite(&value))
        {
            return Err(PathError::refused(path, message, ""));
        }
        return Ok(if optional { Tree::Present(Box::new(value)) } else { value });
    }
    if let Some(field) = field(&format!("{path}[0]")) {
        let items = split_list(text).map(|item| parse_leaf(path, field.kind, item));
        let items = items.collect::<Result<_, _>>()?;
        return Ok(if matches!(current, Tree::Tuple(_)) { Tree::Tuple(items) } else { Tree::List(items) });
    }
    ron::from_str::<ron::Value>(text)
        .map_err(|error| PathError::refused(path, error.code.to_string(), "write the value in RON"))?;
    Ok(Tree::Ron(text.into()))
}

pub(super) fn split_list(text: &str) -> impl Iterator<Item = &str> {
    let text = text.strip_prefix('[').and_then(|text| text.strip_suffix(']')).unwrap_or(text);
    text.split(',').map(str::trim).filter(|item| !item.is_empty())
}

pub(super) fn parse_leaf(path: &str, kind: FieldKind, text: &str) -> Result<Tree, PathError> {
    let refused =
        |what: &str| PathError::refused(path, format!("'{text}' is not {what}"), format!("allowed: {}", kind.range()));
    match kind {
        FieldKind::Number { .. } | FieldKind::Whole { .. } => {
            let number = text.parse().ok().filter(|x: &f64| x.is_finite());
            number.map(Tree::Number).ok_or_else(|| refused("a number"))
        }
        FieldKind::Flag => parse_flag(text).map(Tree::Flag).ok_or_else(|| refused("yes or no")),
        FieldKind::Text { .. } => Ok(Tree::Text(text.into())),
        FieldKind::Choice(names) => {
            let name = names.iter().find(|name| **name == text).copied();
            name.map(Tree::Name).ok_or_else(|| refused("one of the names"))
        }
    }
}

pub(super) fn parse_flag(text: &str) -> Option<bool> {
    match text {
        "true" | "yes" | "on" => Some(true),
        "false" | "no" | "off" => Some(false),
        _ => None,
    }
}

/// A value as plain text: what `set` takes and lists print.
impl std::fmt::Display for Tree {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Number(x) => formatter.write_str(&shortest(*x)),
            Self::Text(text) => formatter.write_str(text),
            Self::Absent => formatter.write_str("none"),
            Self::Present(inner) => inner.fmt(formatter),
            Self::List(items) | Self::Tuple(items) if self.is_plain_list() && !items.is_empty() => {
                let items: Vec<String> = items.iter().map(Self::to_string).collect();
                formatter.write_str(&items.join(","))
            }
            other => formatter.write_str(ron_text::print(other).trim_end()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::thresholds::THRESHOLDS;
    use crate::project::{LoadKind, NewProject};
    use crate::table::Cell;

    fn project() -> Project {
        NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 }
            .create_with_outputs()
    }

    #[test]
    fn every_listed_field_takes_its_own_value_back() {
        let project = project();
        for field in list_fields(&project).unwrap() {
            let same = set_fields(&project, &[(&field.path, &field.value.to_string())]);
            let same = same.map(|same| same.edit(|parts| parts.assumed.clone_from(&project.assumed)).unwrap());
            assert_eq!(same.as_ref().map_err(ToString::to_string), Ok(&project), "{}", field.path);
        }
    }

    #[test]
    fn sets_numbers_names_flags_lists_and_cells() {
        let after = set_fields(
            &project(),
            &[
                ("trigger.zero_offset_deg", "-2.5"),
                ("sensors.load", "throttle"),
                ("limits.launch.enabled", "yes"),
                ("engine.firing_order", "1,4,3,2"),
                ("engine.channels[0].cylinders", "1,3"),
                ("engine.channels[1].cylinders", "4,2"),
                ("coil.current_limit_a", "9.5"),
                ("advance.deg[2][3]", "17.25"),
                ("advance.held[2][3]", "true"),
                ("checks.thresholds.stands_out_deg", "3"),
                ("checks.threshold_reasons.stands_out_deg", "rough by design"),
                ("outputs", "[]"),
            ],
        )
        .unwrap();
        assert_eq!(after.trigger.zero_offset_deg, -2.5);
        assert!(after.limits.launch.enabled);
        assert_eq!(after.engine.firing_order, [1, 4, 3, 2]);
        assert_eq!(after.coil.current_limit_a, Some(9.5));
        assert_eq!(after.advance.table().at(Cell::new(2, 3)), 17.25);
        assert!(after.advance.held().contains(Cell::new(2, 3)));
        assert_eq!(after.checks.thresholds["stands_out_deg"], 3.0);
        assert!(after.outputs.is_empty());
    }

    #[test]
    fn errors_name_the_nearest_path_or_the_range() {
        let error = |path: &str, value: &str| set_fields(&project(), &[(path, value)]).unwrap_err().to_string();
        assert_eq!(
            error("trigger.zero_ofset_deg", "1"),
            "there is no field 'trigger.zero_ofset_deg'; did you mean 'trigger.zero_offset_deg'?"
        );
        assert_eq!(
            error("trigger.zero_offset_deg", "50"),
            "trigger.zero_offset_deg: 50 is outside −30..30°, three pitches of the wheel: move the reference by 5 teeth of 10.0° instead"
        );
        assert!(error("engine.induction", "steam").contains("naturally_aspirated, boosted"));
        assert!(error("engine.cylinders", "4.5").contains("whole number"));
        assert!(error("advance.deg[0][0]", "91").contains("outside −60..90"));
        assert!(error("advance.deg[0][99]", "1").contains("advance.deg[0] has 8 entries"));
        assert!(error("advance.speed_rpm", "1,2,3").contains("3 breakpoints given, the table has 8"));
        assert!(error("outputs", "[(name: \"x\"").contains("outputs"));
        assert!(error("engine.cylinders", "6").contains("firing order"));
        assert_eq!(error("engine.idle_load", "200"), "engine.idle_load: 200 is outside 0..100 %");
        assert_eq!(
            error("outputs[0].conditions[0].on", "40000"),
            "outputs[0].conditions[0].on: 40000 is outside 0..30000 rpm"
        );
        assert_eq!(error("advance.step_deg", "1"), "there is no field 'advance.step_deg'; did you mean 'step_deg'?");
        assert_eq!(error("format", "2"), "there is no field 'format'");
        assert_eq!(
            error("advance.deg[16][0]", "1"),
            "advance.deg[16][0]: advance.deg has 8 entries; advance.deg[0] to advance.deg[7]"
        );
        assert_eq!(error("outputs[9].name", "x"), "outputs[9].name: outputs has 2 entries; outputs[0] to outputs[1]");
        assert_eq!(error("checks.accepted[0].id", "x"), "checks.accepted[0].id: checks.accepted has 0 entries");
        assert_eq!(error("step_deg", "0"), "step_deg: 0 is outside 0.01..10°");
        let (copy, mark) = (project().locked_timing(10.0).unwrap(), "locked_timing_deg");
        assert!(error(mark, "10").contains("'sparkloft locked-timing' makes such a copy"));
        for value in ["none", "30"] {
            assert!(set_fields(&copy, &[(mark, value)]).unwrap_err().to_string().contains("is not set by itself"));
        }
        let told = set_fields(&copy, &[("advance.deg[1][1]", "11")]).unwrap_err().to_string();
        assert!(told.contains("11° in a cell would belie it"), "{told}");
    }
    #[test]
    fn every_assignment_is_carried_out_in_what_those_before_it_left_or_all_are_refused() {
        let set = |assignments: &[(&str, &str)]| set_fields(&project(), assignments);
        let output = "[(name: \"lamp\", enabled: true, conditions: [(signal: speed, on: 5000, off: 4800)], combine: all, \
                      inverted: false, blinks_from_rpm: None)]";
        let after = set(&[("outputs", output), ("outputs[0].name", "renamed")]).unwrap();
        assert_eq!(after.outputs[0].name, "renamed");
        let told = set(&[("outputs", output), ("outputs[1].name", "renamed")]).unwrap_err().to_string();
        assert_eq!(told, "outputs[1].name: outputs has 1 entry; outputs[0]");
        let curve = [("coil.dwell_ms.at", "6,16"), ("coil.dwell_ms.value", "10,2")];
        let told = set(&[curve[0], curve[1], ("coil.dwell_ms.value[5]", "3")]).unwrap_err().to_string();
        assert!(told.starts_with("coil.dwell_ms.value[5]: coil.dwell_ms.value has 2 entries"), "{told}");
        let after = set(&[curve[0], curve[1], ("coil.dwell_ms.value[1]", "3")]).unwrap();
        assert_eq!(after.coil.dwell_ms.values(), [10.0, 3.0]);
        let after = set(&[("sensors.load", "throttle"), ("engine.idle_load", "90")]).unwrap();
        assert_eq!(after.engine.idle_load, 90.0);
    }

    #[test]
    fn every_threshold_and_list_is_listed_with_words_and_range() {
        let own = set_fields(&project(), &[("checks.thresholds.chatter_load", "3"), ("outputs", "[]")]).unwrap();
        let fields = list_fields(&own).unwrap();
        assert!(fields.iter().all(|field| !field.label.is_empty() && !field.range.is_empty()));
        let listed = |path: &str| {
            let field = fields.iter().find(|field| field.path == path).unwrap();
            format!("{} = {}: {}", field.label, field.value, field.range)
        };
        assert_eq!(THRESHOLDS.len(), fields.iter().filter(|field| field.path.starts_with(thresholds::PATH)).count());
        assert_eq!(listed("checks.thresholds.chatter_load"), "On and off apart, load = 3: 0..100 %, 2 unless set");
        assert_eq!(
            listed("checks.thresholds.gap_clear_from_deg"),
            "Gap clear of sparks from = -5: −60..90°, −5 unless set"
        );
        assert!(listed("checks.accepted").starts_with("Accepted findings = "));
        assert!(listed("outputs").ends_with(": a list of records in RON"));
        assert_eq!(listed("engine.idle_load").split(": ").nth(1), Some("0..100 %"));
    }

    #[test]
    fn a_held_cell_keeps_its_value_until_it_is_released() {
        let held = set_fields(&project(), &[("advance.held[1][2]", "yes")]).unwrap();
        let told = set_fields(&held, &[("advance.deg[1][2]", "30.125")]).unwrap_err().to_string();
        assert!(told.contains("is held; release it first: advance.held[1][2]=no"), "{told}");
        assert!(set_fields(&held, &[("advance.deg[1]", "1,2,3,4,5,6,7,8")]).is_err());
        let same = held.advance.table().at(Cell::new(1, 2)).to_string();
        assert_eq!(set_fields(&held, &[("advance.deg[1][2]", &same)]).as_ref(), Ok(&held));
        let released = [("advance.held[1][2]", "no"), ("advance.deg[1][2]", "30.125")];
        assert_eq!(set_fields(&held, &released).unwrap().advance.table().at(Cell::new(1, 2)), 30.125);
    }

    #[test]
    fn entries_of_lists_stand_by_their_names() {
        let project = project();
        let named = |path: &str| path_by_names(path, &project);
        assert_eq!(named("outputs[1].conditions[0].off"), "outputs[fan].conditions[coolant].off");
        assert_eq!(named("image.items[2].scale"), "image.items[advance].scale");
        assert_eq!(named("engine.channels[0].wiring"), "engine.channels[A].wiring");
        assert_eq!(named("outputs[99].name"), "outputs[99].name");
        assert_eq!(named("engine.firing_order[1]"), "engine.firing_order[1]");
        assert_eq!(named("trigger.zero_offset_deg"), "trigger.zero_offset_deg");
    }

    /// 20 to 100 kPa would pass for 20 to 100 %.
    #[test]
    fn another_kind_of_load_relabels_nothing() {
        let new = NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Pressure, speeds: 4, loads: 3 };
        let start = set_fields(&new.create().unwrap(), &[("advance.load", "20,60,100")]).unwrap();
        let sensors = ron::to_string(&start.sensors).unwrap().replace("load:pressure", "load:throttle");
        for (path, text) in [("sensors.load", "throttle"), ("sensors", sensors.as_str())] {
            let told = set_fields(&start, &[(path, text)]).unwrap_err().to_string();
            assert!(told.starts_with("sensors.load: everything written over load is in kPa; as % its"), "{told}");
            assert!(told.ends_with("'sparkloft set --start-anew' starts it anew for the other kind of load"), "{told}");
        }
        assert_eq!(set_fields(&start, &[("sensors.load", "pressure")]).unwrap(), start);
    }

    #[test]
    fn what_must_be_set_together_is_named() {
        let assignments = [("engine.cylinders", "6"), ("engine.firing_order", "1,5,3,6,2,4")];
        let told = set_fields(&project(), &assignments).unwrap_err().to_string();
        let (fault, channels) = told.split_once("; set engine.channels together with them: ").unwrap();
        assert_eq!(fault, "engine.channels: 2 coil channels, but 3 pairs of cylinders");
        let [cylinders, order] = assignments;
        let after = set_fields(&project(), &[cylinders, order, ("engine.channels", channels)]).unwrap();
        assert_eq!((after.engine.cylinders, after.engine.channels[1].cylinders), (6, [5, 2]));
    }
}
