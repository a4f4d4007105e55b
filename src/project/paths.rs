//! Fields by their dotted path: listing them, and values as text.

use thiserror::Error;

use super::advance_fields::advance_tree;
use super::field_ranges::{kind_of, setup_tree};
use super::fields::{DecidedBy, FieldKind, LISTS, field, pattern};
use super::locate::{Step, in_brackets, steps};
use super::threshold_fields::collect_thresholds;
use super::{ADVANCE_RANGE_DEG, Origin, Parts, Project, SPEED_RANGE_RPM, Tree, TreeError, ron_text, thresholds};
use crate::wording::{Unit, shortest};

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
        return (field.label, kind_of(field, &element, project).range());
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

/// A path in which entries of outputs, image items, coils, measured points and sweeps are given by name instead of
/// index, and conditions by their signal: `outputs[0].conditions[1].off` becomes `outputs[fan].conditions[coolant].off`. It still
/// leads to the same entry when the list is reordered.
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
            Step::Name(name) => named.extend(["[", &in_brackets(name), "]"]),
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
        (["evidence", "points"], _) => {
            parts.evidence.points.get(index).map(|point| in_brackets(&point.name).into_owned())
        }
        (["evidence", "sweeps"], _) => {
            parts.evidence.sweeps.get(index).map(|sweep| in_brackets(&sweep.name).into_owned())
        }
        (["engine", "channels"], _) => parts.engine.channels.get(index).map(|channel| channel.name.clone()),
        _ => None,
    }
}

/// Reads text as a value of the same kind as the current one.
pub(super) fn parse_value(path: &str, current: &Tree, text: &str) -> Result<Tree, PathError> {
    let text = text.trim();
    let optional = matches!(current, Tree::Absent | Tree::Present(_));
    if optional && text.eq_ignore_ascii_case("none") {
        return Ok(Tree::Absent);
    }
    if let Some(field) = field(path) {
        let value = parse_leaf(path, field.kind, text)?;
        // Ranges that the load kind, the signal or the wheel decides are checked once everything is set.
        let is_known = matches!(field.decided_by, DecidedBy::Catalogue | DecidedBy::LoadUnit);
        if let Some(message) = field.kind.refusal(&value).filter(|_| is_known || !is_finite(&value)) {
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

fn is_finite(value: &Tree) -> bool {
    !matches!(value, Tree::Number(number) if !number.is_finite())
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
    use crate::project::{LoadKind, NewProject, set_fields};

    fn project() -> Project {
        NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 }
            .create_with_outputs()
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
}
