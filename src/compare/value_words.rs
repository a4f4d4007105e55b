//! Values as people read them: those of one field, and those of a whole project.

use super::labels::Namer;
use crate::project::{Project, Tree, TreeError, steps};
use crate::wording::{Unit, count, given, with_unit, written};

/// Shown for a field that one side does not have.
pub(super) const NOT_THERE: &str = "—";

/// How a number is written, without its unit.
type Digits = fn(f64, Unit) -> String;

/// A value with its unit.
pub(super) fn told(value: Option<&Tree>, unit: Unit) -> String {
    tell(value, unit, given)
}

/// The same, with all digits of numbers.
pub(super) fn told_whole(value: Option<&Tree>, unit: Unit) -> String {
    tell(value, unit, whole)
}

fn whole(number: f64, unit: Unit) -> String {
    let (usual, whole) = (given(number, unit), written(number));
    if whole.len() > usual.len() { whole } else { usual }
}

fn tell(value: Option<&Tree>, unit: Unit, digits: Digits) -> String {
    match value {
        None => NOT_THERE.into(),
        Some(Tree::Present(inner)) => tell(Some(inner), unit, digits),
        Some(Tree::Absent) => "none".into(),
        Some(Tree::Flag(flag)) => if *flag { "yes" } else { "no" }.into(),
        Some(Tree::Name(name)) => name.replace('_', " "),
        Some(Tree::Text(text) | Tree::Ron(text)) if text.is_empty() => "empty".into(),
        Some(Tree::Text(text) | Tree::Ron(text)) => text.clone(),
        Some(Tree::Number(number)) => with_unit(&digits(*number, unit), unit),
        Some(Tree::List(items) | Tree::Tuple(items)) => list_words(items, unit, digits),
        Some(Tree::Record(fields)) => entry_name(fields).unwrap_or_else(|| count(fields.len(), "value")),
        Some(Tree::Map(entries)) => count(entries.len(), "value"),
    }
}

/// '1, 3, 4, 2', '800, 1500 rpm', 'Shift light, Fan', '3 entries'.
fn list_words(items: &[Tree], unit: Unit, digits: Digits) -> String {
    if items.is_empty() {
        return "none".into();
    }
    let tell = |item: &Tree| match item {
        Tree::Number(number) => Some(digits(*number, unit)),
        Tree::Record(fields) => entry_name(fields),
        _ => None,
    };
    let told: Option<Vec<String>> = items.iter().map(tell).collect();
    match (told, items.len()) {
        (Some(told), _) if matches!(items[0], Tree::Number(_)) => with_unit(&told.join(", "), unit),
        (Some(told), _) => told.join(", "),
        (None, length) => count(length, "entry"),
    }
}

pub(super) fn entry_name(fields: &[(&'static str, Tree)]) -> Option<String> {
    let name = fields.iter().find(|(key, _)| *key == "name").map(|(_, name)| name);
    if let Some(Tree::Text(name)) = name { Some(name.clone()) } else { None }
}

/// Labels and values of a project's fields in words, the same as in a list of differences.
#[derive(Clone, Debug)]
pub struct Told<'a> {
    project: &'a Project,
    tree: Tree,
}

impl<'a> Told<'a> {
    /// Prepares a project.
    ///
    /// # Errors
    /// [`TreeError`] never for projects that exist.
    pub fn new(project: &'a Project) -> Result<Self, TreeError> {
        Ok(Self { project, tree: project.field_tree()? })
    }

    /// What people call the field at a dotted path: 'Over-speed cuts at'.
    pub fn label(&self, path: &str) -> String {
        self.namer().label(path, &steps(path).unwrap_or_default())
    }

    /// Its value with its unit: '7200 rpm'; a dash where there is no such field.
    pub fn value(&self, path: &str) -> String {
        let steps = steps(path).unwrap_or_default();
        self.namer().value_words(path, None, self.tree.at(&steps)).1
    }

    /// Its value, and a note if nobody has confirmed it: '0.5 Ω (assumed)'.
    pub fn value_and_ground(&self, path: &str) -> String {
        let value = self.value(path);
        if self.project.is_assumed(path) { format!("{value} (assumed)") } else { value }
    }

    fn namer(&self) -> Namer<'_> {
        Namer::new(self.project, &self.tree, self.project, &self.tree)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;

    #[test]
    fn values_read_as_on_the_sheet() {
        let text = |value: Tree, unit: Unit| told(Some(&value), unit);
        assert_eq!(text(Tree::Number(7200.0), Unit::Rpm), "7200 rpm");
        assert_eq!(text(Tree::Number(0.0), Unit::Degree), "0.0°");
        assert_eq!(text(Tree::Number(-2.0), Unit::Degree), "−2.0°");
        assert_eq!(text(Tree::Number(1.25), Unit::Degree), "1.25°");
        assert_eq!(text(Tree::Number(1.0), Unit::Pulse), "1 pulse");
        assert_eq!(text(Tree::Number(2.0 / 3.0), Unit::Degree), "0.667°");
        assert_eq!(told_whole(Some(&Tree::Number(0.6661)), Unit::Degree), "0.6661°");
        assert_eq!(told_whole(Some(&Tree::Number(2.0)), Unit::Degree), "2.0°");
        assert_eq!(text(Tree::Present(Box::new(Tree::Number(9.5))), Unit::Ampere), "9.5 A");
        assert_eq!(text(Tree::Absent, Unit::Ampere), "none");
        assert_eq!(text(Tree::Flag(true), Unit::None), "yes");
        assert_eq!(text(Tree::Name("alternate_coils"), Unit::None), "alternate coils");
        assert_eq!(text(Tree::Text(String::new()), Unit::None), "empty");
        assert_eq!(told(None, Unit::Degree), "—");
    }

    #[test]
    fn lists_are_told_whole() {
        let numbers = |list: &[f64]| Tree::List(list.iter().map(|&x| Tree::Number(x)).collect());
        assert_eq!(told(Some(&numbers(&[1.0, 3.0, 4.0, 2.0])), Unit::None), "1, 3, 4, 2");
        assert_eq!(told(Some(&numbers(&[800.0, 1500.0])), Unit::Rpm), "800, 1500 rpm");
        let output = |name: &str| Tree::Record(vec![("name", Tree::Text(name.into()))]);
        assert_eq!(told(Some(&Tree::List(vec![output("Shift light"), output("Fan")])), Unit::None), "Shift light, Fan");
        assert_eq!(told(Some(&Tree::List(vec![Tree::Record(vec![])])), Unit::None), "1 entry");
        assert_eq!(told(Some(&Tree::List(vec![])), Unit::None), "none");
    }

    #[test]
    fn what_is_assumed_says_so() {
        let project = SAMPLES[0].project().unwrap();
        let assumed = project.edit(|parts| parts.assumed = ["engine.plug_gap_mm".to_owned()].into()).unwrap();
        assert_eq!(Told::new(&assumed).unwrap().value_and_ground("engine.plug_gap_mm"), "0.7 mm (assumed)");
        let known = project.edit(|parts| parts.assumed.clear()).unwrap();
        assert_eq!(Told::new(&known).unwrap().value_and_ground("engine.plug_gap_mm"), "0.7 mm");
    }

    #[test]
    fn labels_and_values_have_their_words_and_units() {
        let project = SAMPLES[0].project().unwrap();
        let told = Told::new(&project).unwrap();
        let both = |path: &str| (told.label(path), told.value(path));
        assert_eq!(
            both("limits.over_speed.cuts_at_rpm"),
            ("Over-speed cuts at".into(), told.value("limits.over_speed.cuts_at_rpm"))
        );
        assert_eq!(both("engine.compression_ratio"), ("Compression ratio".into(), "10.8:1".into()));
        assert_eq!(both("trigger.sensor"), ("Trigger sensor".into(), "hall".into()));
        assert_eq!(told.value("coil.current_limit_a"), "none");
        assert_eq!(told.value("no.such.field"), "—");
        assert_eq!(told.value("engine.firing_order"), "1, 3, 4, 2");
    }
}
