//! Fields by their dotted path: listing, reading and setting them.

use thiserror::Error;

use super::advance_fields::{advance_tree, set_in_advance};
use super::fields::{FieldKind, field, setup_tree};
use super::locate::{Step, steps};
use super::ron_form::{nearest, parse};
use super::{Origin, Project, ReadError, Tree, TreeError, ron_text};
use crate::table::shortest;

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
    /// and `origin`. Snapshots and the last export are no part of it.
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
        return (
            field.label,
            unit_of(path, project).map_or_else(|| field.kind.range(), |unit| with_unit(field.kind, unit)),
        );
    }
    let load = project.sensors.load;
    match path.split(['[', '.']).nth(1) {
        Some("speed_rpm") => ("Advance, speeds", "0..30000 rpm".into()),
        Some("load") => ("Advance, loads", format!("{}..{} {}", load.range().0, load.range().1, load.unit())),
        Some("deg") => ("Advance", "-60..90 °".into()),
        Some("held") => ("Held", FieldKind::Flag.range()),
        Some("origin") => ("Origin", Origin::ALL.map(Origin::name).join(", ")),
        _ => ("", String::new()),
    }
}

/// The unit of a field whose unit the project decides.
fn unit_of(path: &str, project: &Project) -> Option<&'static str> {
    match field(path)?.kind {
        FieldKind::Number { unit: "load", .. } => Some(project.sensors.load.unit()),
        _ => None,
    }
}

fn with_unit(kind: FieldKind, unit: &'static str) -> String {
    match kind {
        FieldKind::Number { low, high, .. } => FieldKind::Number { unit, low, high }.range(),
        other => other.range(),
    }
}

/// Sets fields by path, all or none.
///
/// Numbers, names, flags and text are written plainly, lists of them with commas (`1,3,4,2`), `none` takes an optional
/// value away, and whole records and lists of records are written in RON.
///
/// # Errors
/// [`PathError`] for an unknown path (with the nearest one), a value of the wrong kind or out of range (with the
/// range), or values that do not fit together. The project is as it was.
pub fn set_fields(project: &Project, assignments: &[(&str, &str)]) -> Result<Project, PathError> {
    let internal = |error: TreeError| PathError::refused("", error.to_string(), "");
    let known = project.field_tree().map_err(internal)?;
    let mut form = Tree::of(&project.as_state()).map_err(internal)?;
    let mut advance = project.advance.clone();
    for &(path, text) in assignments {
        let unknown = || PathError::Unknown { path: path.into(), nearest: nearest_path(project, path) };
        let steps = steps(path).ok_or_else(unknown)?;
        if matches!(steps.first(), Some(Step::Field(name)) if name == "advance") {
            known.at(&steps).filter(|_| steps.len() > 1).ok_or_else(unknown)?;
            advance = set_in_advance(&advance, path, &steps[1..], text)?;
            continue;
        }
        let is_threshold = path.starts_with("checks.thresholds.");
        let value = known.at(&steps).map_or_else(
            || if is_threshold { Ok(Tree::Number(0.0)) } else { Err(unknown()) },
            |value| Ok(value.clone()),
        )?;
        let value = parse_value(path, &value, text)?;
        match form.at_mut(&steps) {
            Some(slot) => *slot = value,
            None => add_threshold(&mut form, path, value),
        }
    }
    let mut parts = parse(&ron_text::print(&form)).map_err(|error| from_read_error(error, assignments))?;
    parts.advance = advance;
    parts.snapshots.clone_from(&project.snapshots);
    parts.last_export.clone_from(&project.last_export);
    Project::new(parts).map_err(|fault| {
        let hint = field(&fault.path).map_or(fault.hint, |field| format!("allowed: {}", field.kind.range()));
        PathError::Refused { path: fault.path, message: fault.message, hint }
    })
}

fn add_threshold(form: &mut Tree, path: &str, value: Tree) {
    let Some((parent, key)) = path.rsplit_once('.') else {
        return;
    };
    if let Some(Tree::Map(entries)) = steps(parent).and_then(|steps| form.at_mut(&steps)) {
        entries.push((key.to_owned(), value));
    }
}

fn nearest_path(project: &Project, path: &str) -> Option<String> {
    let fields = list_fields(project).ok()?;
    nearest(path, fields.iter().map(|field| field.path.as_str())).map(str::to_owned)
}

fn from_read_error(error: ReadError, assignments: &[(&str, &str)]) -> PathError {
    let last = assignments.last().map_or("", |(path, _)| path);
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
        if let Some(message) = field.kind.refusal(&value) {
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

fn parse_leaf(path: &str, kind: FieldKind, text: &str) -> Result<Tree, PathError> {
    let refused =
        |what: &str| PathError::refused(path, format!("'{text}' is not {what}"), format!("allowed: {}", kind.range()));
    match kind {
        FieldKind::Number { .. } | FieldKind::Whole { .. } => {
            let number = text.parse().ok().filter(|x: &f64| x.is_finite());
            number.map(Tree::Number).ok_or_else(|| refused("a number"))
        }
        FieldKind::Flag => parse_flag(text).map(Tree::Flag).ok_or_else(|| refused("true or false")),
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
    use crate::project::{LoadKind, NewProject};
    use crate::table::Cell;

    fn project() -> Project {
        NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 }
            .create()
            .unwrap()
    }

    #[test]
    fn every_listed_field_takes_its_own_value_back() {
        let project = project();
        for field in list_fields(&project).unwrap() {
            let same = set_fields(&project, &[(&field.path, &field.value.to_string())]);
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
        assert_eq!(error("trigger.zero_offset_deg", "50"), "trigger.zero_offset_deg: 50 is outside -40..40 °");
        assert!(error("engine.induction", "steam").contains("naturally_aspirated, boosted"));
        assert!(error("engine.cylinders", "4.5").contains("whole number"));
        assert!(error("advance.deg[0][0]", "91").contains("outside -60..90"));
        assert!(error("advance.deg[0][99]", "1").contains("no field"));
        assert!(error("advance.speed_rpm", "1,2,3").contains("3 breakpoints given, the table has 8"));
        assert!(error("outputs", "[(name: \"x\"").contains("outputs"));
        assert!(error("engine.cylinders", "6").contains("firing order"));
    }
}
