//! A field of the project as a row knows it: name, kind, unit, value, and what a text would make of it; and the project with
//! all that is being typed, for pictures that move while one types.

use crate::compare::{FieldWords, value_words};
use crate::interchange::{NumberError, typed_number};
use crate::project::{FieldKind, Project, Tree, kind_at, set_fields, steps};
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, given, lower_first, one_line, settle, shortest, written};

/// Longer texts are not repeated in the label of their step.
const LONGEST_TOLD: usize = 32;
/// The word that removes an optional value.
pub(in crate::window) const NONE: &str = "none";

/// A field of the catalogue with its value.
pub(in crate::window) struct Bound<'a> {
    pub(in crate::window) path: &'a str,
    /// What people call it, including the entry of a list that it belongs to.
    pub(in crate::window) name: String,
    pub(in crate::window) kind: FieldKind,
    pub(in crate::window) unit: Unit,
    pub(in crate::window) value: &'a Tree,
}

impl<'a> Bound<'a> {
    /// The field at a path of the project on show.
    pub(in crate::window) fn of(view: &View<'a>, path: &'a str) -> Option<Self> {
        let kind = kind_at(path, view.project)?;
        let tree = view.field_tree();
        let value = tree.at(&steps(path)?)?;
        let words = FieldWords::of(view.project, tree, path)?;
        Some(Self { path, name: words.label, kind, unit: words.unit, value })
    }

    pub(in crate::window) const fn is_optional(&self) -> bool {
        matches!(self.value, Tree::Absent | Tree::Present(_))
    }

    /// The value as the field shows it, without its unit.
    pub(in crate::window) fn shown(&self) -> String {
        match self.value {
            Tree::Absent => String::new(),
            Tree::Present(inner) => shown(inner, self.unit),
            value => shown(value, self.unit),
        }
    }

    /// The field's text in the form that the project takes: a plain number, a name, text.
    ///
    /// # Errors
    /// What is wrong with it and what is expected.
    pub(in crate::window) fn plain(&self, text: &str) -> Result<String, Refusal> {
        let text = text.trim();
        if self.is_optional() && (text.is_empty() || text.eq_ignore_ascii_case(NONE)) {
            return Ok(NONE.into());
        }
        match self.kind {
            FieldKind::Number { .. } | FieldKind::Whole { .. } => read(text, self.unit).map(shortest),
            FieldKind::Flag | FieldKind::Text { .. } | FieldKind::Choice(_) => Ok(text.to_owned()),
        }
    }

    /// The text after that many steps up; `None` if there is no number to start from.
    pub(in crate::window) fn stepped(&self, text: &str, steps: f64, step_deg: f64) -> Option<String> {
        let (FieldKind::Number { low, high, .. } | FieldKind::Whole { low, high }) = self.kind else {
            return None;
        };
        let value = settle(read(text, self.unit).ok()? + steps * self.step(step_deg)).clamp(low, high);
        Some(shown(&Tree::Number(value), self.unit))
    }

    /// How much the Up and Down keys change it by.
    pub(in crate::window) fn step(&self, step_deg: f64) -> f64 {
        match (self.kind, self.unit) {
            (FieldKind::Number { .. }, Unit::Degree) => step_deg,
            (FieldKind::Number { .. }, Unit::Rpm) => 50.0,
            (
                FieldKind::Number { .. },
                Unit::Millisecond
                | Unit::Volt
                | Unit::Litre
                | Unit::Millihenry
                | Unit::Ampere
                | Unit::ToOne
                | Unit::Pitch
                | Unit::Pulse,
            ) => 0.1,
            (FieldKind::Number { .. }, Unit::Ohm) if matches!(self.value, Tree::Number(ohm) if *ohm < 20.0) => 0.05,
            (FieldKind::Number { high, .. }, Unit::Ohm) if high > 100.0 => 10.0,
            (FieldKind::Number { .. }, Unit::Ohm | Unit::Millimetre | Unit::None) => 0.05,
            (FieldKind::Number { .. }, Unit::Microsecond) => 5.0,
            _ => 1.0,
        }
    }

    /// The range of values, or the names, with the unit.
    pub(in crate::window) fn range(&self) -> String {
        match self.kind {
            FieldKind::Number { low, high, .. } => FieldKind::Number { unit: self.unit, low, high }.range(),
            kind => kind.range(),
        }
    }

    /// The label of the step that sets it.
    pub(in crate::window) fn step_label(&self, after: &Tree) -> String {
        let value = value_words(after, self.unit);
        let name = lower_first(&self.name);
        match self.kind {
            FieldKind::Flag => format!("{}: {value}", self.name),
            FieldKind::Text { .. } if value.chars().count() > LONGEST_TOLD => format!("Change {name}"),
            FieldKind::Text { .. } if value == "empty" => format!("Empty {name}"),
            FieldKind::Text { .. } => format!("Set {name} to '{}'", one_line(&value)),
            _ if value == NONE => format!("Take {name} away"),
            _ => format!("Set {name} to {value}"),
        }
    }

    /// The project with a text as this field's value, and the label of the step; `None` if it changes nothing.
    ///
    /// # Errors
    /// Why it is refused, without the path.
    pub(in crate::window) fn set(&self, project: &Project, text: &str) -> Result<Option<(String, Project)>, Refusal> {
        let plain = self.plain(text)?;
        let after = set_fields(project, &[(self.path, &plain)]).map_err(|error| {
            let text = error.to_string();
            Refusal::new(text.strip_prefix(&format!("{}: ", self.path)).unwrap_or(&text))
        })?;
        if after == *project {
            return Ok(None);
        }
        let tree = after.field_tree()?;
        let value = steps(self.path).and_then(|steps| tree.at(&steps).cloned()).unwrap_or(Tree::Absent);
        let is_confirmed = value == *self.value && project.is_assumed(self.path);
        let label = if is_confirmed {
            format!("Confirm {}: {}", lower_first(&self.name), value_words(&value, self.unit))
        } else {
            self.step_label(&value)
        };
        Ok(Some((label, after)))
    }

    pub(in crate::window) fn tooltip(&self, step_deg: f64) -> String {
        let range = self.range();
        let how = match self.kind {
            FieldKind::Number { .. } | FieldKind::Whole { .. } => {
                let step = written(self.step(step_deg));
                let none = if self.is_optional() { " Empty: none." } else { "" };
                format!(
                    "Enter or Tab sets it, Esc gives up; Up and Down change it by {step}, with Shift by ten times that.{none}"
                )
            }
            FieldKind::Text { .. } => "Enter or Tab sets it, Esc gives up.".into(),
            FieldKind::Flag => "Space or a click changes it.".into(),
            FieldKind::Choice(_) => "Tab goes from one to the next, Space or a click takes it.".into(),
        };
        match self.kind {
            FieldKind::Flag | FieldKind::Choice(_) => format!("{}\n{how}\n{}", self.name, self.path),
            _ => format!("{}: {range}\n{how}\n{}", self.name, self.path),
        }
    }
}

/// A value without its unit, as it is shown everywhere. Values fitted by a worksheet have more digits; those
/// survive in the box as long as its text is not changed.
fn shown(value: &Tree, unit: Unit) -> String {
    match value {
        Tree::Text(text) => text.clone(),
        Tree::Number(number) => given(*number, unit),
        value => value_words(value, Unit::None),
    }
}

/// Reads a typed number by the usual rules; a unit after it is allowed.
///
/// # Errors
/// That it is not a number, in words.
pub fn read(text: &str, unit: Unit) -> Result<f64, Refusal> {
    let bare = text.trim();
    let bare = bare.strip_suffix(unit.text()).unwrap_or(bare).trim_end();
    typed_number(bare).map_err(|error| match error {
        NumberError::Missing => Refusal::new("a number is wanted"),
        NumberError::Comma => Refusal::new(error.to_string()).at(format!("'{bare}'")),
        _ => Refusal::new(format!("'{bare}' is not a number")),
    })
}

/// Caches the project with the typed values from frame to frame.
#[derive(Default)]
pub struct AsTyped {
    kept: Option<Kept>,
}

/// The content key of the project on show, the typed texts by path, and the project with them.
type Kept = (u64, Vec<(String, String)>, Project);

impl AsTyped {
    /// The project on show, with every typed text that is acceptable.
    pub fn get(&mut self, view: &View<'_>) -> Project {
        let typed: Vec<(String, String)> = view
            .screen
            .form
            .all()
            .filter(|(_, typed)| typed.refusal.is_none())
            .map(|(path, typed)| (path.to_owned(), typed.text.clone()))
            .collect();
        if let Some((key, texts, project)) = &self.kept
            && *key == view.content_key
            && *texts == typed
        {
            return project.clone();
        }
        let mut project = view.project.clone();
        for (path, text) in &typed {
            let set = Bound::of(view, path).and_then(|bound| bound.set(&project, text).ok().flatten());
            if let Some((_, after)) = set {
                project = after;
            }
        }
        self.kept = Some((view.content_key, typed, project.clone()));
        project
    }
}
