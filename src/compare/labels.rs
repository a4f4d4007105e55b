//! What people call a field and its place: the catalogue's label, with what distinguishes it from its
//! neighbours in a list; and how they read one field of one project.

use super::value_words::{NOT_THERE, told};
use crate::project::{CoveredPart, FieldKind, LISTS, Project, Step, Tree, field, kind_at, path_of, pattern_of, steps};
use crate::wording::{Unit, capital, count, lower_first, one_line, point, quantity};

/// Names fields and their values for two projects.
pub(super) struct Namer<'a> {
    base: Side<'a>,
    edited: Side<'a>,
}

struct Side<'a> {
    project: &'a Project,
    tree: &'a Tree,
}

impl<'a> Namer<'a> {
    pub(super) fn new(base: &'a Project, base_tree: &'a Tree, edited: &'a Project, edited_tree: &'a Tree) -> Self {
        Self { base: Side { project: base, tree: base_tree }, edited: Side { project: edited, tree: edited_tree } }
    }

    /// The label of a field: 'Coolant trim at −10 °C', 'Shift light, on', 'Over-speed cuts at'.
    pub(super) fn label(&self, path: &str, steps: &[Step]) -> String {
        if let Some(label) = whole_list(path).or_else(|| self.advance(steps)) {
            return label;
        }
        let name = field(path).or_else(|| field(&format!("{path}[0]"))).map_or(path, |field| field.label);
        if let Some(place) = self.curve_place(steps) {
            return format!("{name} at {place}");
        }
        match steps {
            [Step::Field(list), Step::Index(at), rest @ ..] if list == "outputs" => self.output(*at, rest, name),
            [Step::Field(list), Step::Index(at), rest @ ..] if list == "runs" => self.run(*at, rest, name),
            [Step::Field(list), Step::Index(at), _] if list == "typed_readings" => {
                format!("Typed reading {}, {}", at + 1, name.strip_prefix("Typed reading, ").unwrap_or(name))
            }
            [Step::Field(image), Step::Field(coverage), Step::Field(part), _]
                if image == "image" && coverage == "coverage" =>
            {
                let part = CoveredPart::ALL.into_iter().find(|known| known.name() == part);
                format!("{}: {}", part.map_or("Coverage", CoveredPart::words), lower_first(name))
            }
            [Step::Field(part), Step::Field(list), at @ (Step::Index(_) | Step::Name(_)), rest @ ..]
                if part == "evidence" =>
            {
                let entry = steps.get(..3).and_then(|steps| self.edited.tree.at(steps)).and_then(Tree::entry_name);
                let named = if let Step::Name(name) = at { Some(name.as_str()) } else { entry };
                measured(list, &one_line(named.unwrap_or_default()), rest, name)
            }
            [Step::Field(part), Step::Field(list), Step::Index(at), rest @ ..] => {
                self.listed((part, list), *at, rest, name)
            }
            [Step::Field(_), .., Step::Index(at)] => format!("{name}, point {}", at + 1),
            [Step::Field(part), Step::Field(_), Step::Field(key)] if part == "checks" => {
                format!("Check threshold {}", one_line(key))
            }
            _ => name.to_owned(),
        }
    }

    /// Both values as people read them, each with its own side's unit.
    pub(super) fn value_words(&self, path: &str, base: Option<&Tree>, edited: Option<&Tree>) -> (String, String) {
        if let (Some(Tree::List(was)), Some(Tree::List(is)), Some(_)) = (base, edited, whole_list(path)) {
            return (self.base.entries(path, was, is), self.edited.entries(path, is, was));
        }
        if let Some((was, is)) = self.base.measured(path, base).zip(self.edited.measured(path, edited)) {
            return (was, is);
        }
        let units = [self.base.unit(path), self.edited.unit(path)];
        let told = [super::value_words::told(base, units[0]), super::value_words::told(edited, units[1])];
        // Where the usual digits would hide the difference, all digits are shown.
        let [was, is] = if told[0] == told[1] && base != edited {
            [super::value_words::told_whole(base, units[0]), super::value_words::told_whole(edited, units[1])]
        } else {
            told
        };
        (was, is)
    }

    /// The edited side's value as people read it, with all its digits and its unit.
    pub(super) fn edited_words(&self, path: &str, value: Option<&Tree>) -> String {
        super::value_words::told_whole(value, self.edited.unit(path))
    }

    /// The unit of a field's number on the edited side; empty where it has none.
    pub(super) fn unit(&self, path: &str) -> Unit {
        self.edited.unit(path)
    }

    fn advance(&self, steps: &[Step]) -> Option<String> {
        let [Step::Field(part), Step::Field(what), place @ ..] = steps else {
            return None;
        };
        let name = match what.as_str() {
            _ if part != "advance" => return None,
            "speed_rpm" => "Advance, speeds",
            "load" => "Advance, loads",
            "held" => "Held",
            _ => "Origin",
        };
        let [Step::Index(load), Step::Index(speed)] = place else {
            return Some(name.to_owned());
        };
        let table = self.edited.project.advance.table();
        let (x, y) = (table.speed().breakpoints().get(*speed)?, table.load().breakpoints().get(*load)?);
        let unit = self.edited.project.sensors.load.unit();
        Some(format!("{name} at {}", point(*x, *y, unit)))
    }

    /// The breakpoint of a value of a curve: '−10 °C'.
    fn curve_place(&self, steps: &[Step]) -> Option<String> {
        let [curve @ .., Step::Field(values), Step::Index(index)] = steps else {
            return None;
        };
        if values != "value" {
            return None;
        }
        let points = [curve, &[Step::Field("at".into()), Step::Index(*index)]].concat();
        let Some(Tree::Number(at)) = self.edited.tree.at(&points) else {
            return None;
        };
        let unit = self.edited.unit(&path_of(&points));
        Some(quantity(*at, unit))
    }

    fn output(&self, at: usize, rest: &[Step], name: &str) -> String {
        let what = lower_first(name.strip_prefix("Output ").unwrap_or(name));
        match rest {
            [Step::Field(field)] if field == "name" => format!("Output {}, name", at + 1),
            [Step::Field(_), Step::Index(condition), ..] if self.conditions(at) > 1 => {
                format!("{}, condition {}, {what}", self.output_name(at), condition + 1)
            }
            [Step::Field(field)] if field == "conditions" => format!("{}, conditions", self.output_name(at)),
            _ => format!("{}, {what}", self.output_name(at)),
        }
    }

    fn output_name(&self, at: usize) -> String {
        let name = self.edited.project.outputs.get(at).map_or("Output", |output| output.name.as_str());
        capital(&one_line(name))
    }

    fn conditions(&self, at: usize) -> usize {
        self.edited.project.outputs.get(at).map_or(0, |output| output.conditions.len())
    }

    fn run(&self, at: usize, rest: &[Step], name: &str) -> String {
        let what = lower_first(name.strip_prefix("Run, ").unwrap_or(name));
        let run = self.edited.project.runs.get(at).map_or("", |run| run.name.as_str());
        match rest {
            [Step::Field(rows), Step::Index(row), ..] if rows == "rows" => {
                format!("Run {run}, row {}, {what}", row + 1)
            }
            [Step::Field(rows)] if rows == "rows" => format!("Run {run}, rows"),
            _ => format!("Run {}, name", at + 1),
        }
    }

    /// The label of a field of an entry in a list.
    fn listed(&self, (part, list): (&str, &str), at: usize, rest: &[Step], name: &str) -> String {
        let is_name = matches!(rest, [Step::Field(field)] if field == "name");
        let project = self.edited.project;
        let place = at + 1;
        match (part, list) {
            ("engine", "channels") if is_name => format!("Coil {place}, name"),
            ("engine", "channels") => {
                let coil = project.engine.channels.get(at).map_or("", |channel| channel.name.as_str());
                let coil = one_line(coil);
                format!("Coil {coil}, {}", lower_first(name.strip_prefix("Coil ").unwrap_or(name)))
            }
            ("image", _) if is_name => format!("Image item {place}, name"),
            ("image", _) => {
                let item = project.image.items.get(at).map_or("", |item| item.name.as_str());
                let item = one_line(item);
                format!("Image item {item}, {}", lower_first(name.strip_prefix("Item ").unwrap_or(name)))
            }
            ("timing_light", _) => {
                format!("Timing light, reading {place}, {}", name.strip_prefix("Timing light, ").unwrap_or(name))
            }
            ("checks", _) => {
                let what = name.strip_prefix("Accepted finding, ").unwrap_or("check");
                format!("Accepted finding {place}, {what}")
            }
            _ => format!("{name}, {place}"),
        }
    }
}

impl Side<'_> {
    /// The names of a list's entries, with what is different from the other side in those that both have:
    /// 'Shift light (on 7050 rpm), Fan'.
    fn entries(&self, list: &str, own: &[Tree], other: &[Tree]) -> String {
        let told: Option<Vec<String>> =
            own.iter().enumerate().map(|(at, entry)| self.entry(&format!("{list}[{at}]"), entry, other)).collect();
        match told.filter(|told| !told.is_empty()) {
            Some(told) => told.join(", "),
            None => super::value_words::told(Some(&Tree::List(own.to_vec())), Unit::None),
        }
    }

    fn entry(&self, path: &str, entry: &Tree, other: &[Tree]) -> Option<String> {
        let name_of =
            |entry: &Tree| if let Tree::Record(fields) = entry { super::value_words::entry_name(fields) } else { None };
        let name = name_of(entry)?;
        let Some(twin) = other.iter().find(|other| name_of(other).as_ref() == Some(&name)) else {
            return Some(name);
        };
        let mut changes = Vec::new();
        entry.walk(&mut |below, value| {
            if steps(below).and_then(|steps| twin.at(&steps)) != Some(value) {
                changes.push(self.change(&format!("{path}.{below}"), value));
            }
        });
        Some(if changes.is_empty() { name } else { format!("{name} ({})", changes.join(", ")) })
    }

    /// A changed field of an entry: 'on 7050 rpm'.
    fn change(&self, path: &str, value: &Tree) -> String {
        let label = field(path).map_or(path, |field| field.label);
        let kinds = ["Output ", "Coil ", "Item ", "Measured point, ", "Timing sweep, "];
        let label = kinds.iter().find_map(|kind| label.strip_prefix(kind)).unwrap_or(label);
        format!("{} {}", lower_first(label), super::value_words::told(Some(value), self.unit(path)))
    }

    /// A measured point or a timing sweep as a whole; `None` for the path of anything else.
    fn measured(&self, path: &str, entry: Option<&Tree>) -> Option<String> {
        let pattern = pattern_of(&steps(path)?);
        let evidence = &self.project.evidence;
        let name = entry.and_then(Tree::entry_name);
        let words = match pattern.as_str() {
            "evidence.points[]" => name.and_then(|name| evidence.point(name)).map(|measured| {
                let at = point(measured.speed_rpm, measured.load, self.project.sensors.load.unit());
                let idle = if measured.in_use { "" } else { ", not in use" };
                format!("{} at {at}{idle}", measured.words())
            }),
            "evidence.sweeps[]" => name
                .and_then(|name| evidence.sweeps.iter().find(|sweep| sweep.name == name))
                .map(|sweep| count(sweep.readings.len(), "reading")),
            _ => return None,
        };
        Some(words.unwrap_or_else(|| NOT_THERE.into()))
    }

    /// The unit of a field's number; empty where it has none.
    fn unit(&self, path: &str) -> Unit {
        match path {
            "advance.speed_rpm" => return Unit::Rpm,
            "advance.load" => return self.project.sensors.load.unit(),
            _ => {}
        }
        let kind = kind_at(path, self.project).or_else(|| kind_at(&format!("{path}[0]"), self.project));
        match kind {
            Some(FieldKind::Number { unit, .. }) => unit,
            _ => Unit::None,
        }
    }
}

/// What people call a part of a measured point or of a timing sweep.
fn measured(list: &str, entry: &str, rest: &[Step], name: &str) -> String {
    let (what, whole) =
        if list == "points" { ("Measured point", "Measured point, ") } else { ("Timing sweep", "Timing sweep, ") };
    let field = lower_first(name.strip_prefix(whole).unwrap_or(name));
    match rest {
        [] => format!("{what} {entry}"),
        [Step::Field(_), Step::Index(reading), ..] => format!("{what} {entry}, reading {}, {field}", reading + 1),
        [Step::Field(readings)] if readings == "readings" => format!("{what} {entry}, readings"),
        _ => format!("{what} {entry}, {field}"),
    }
}

/// The label for a list that is compared as a whole because its lengths differ.
fn whole_list(path: &str) -> Option<String> {
    LISTS.into_iter().find(|(list, _)| *list == path).map(|(_, label)| label.to_owned())
}

/// A field's name, unit and value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FieldWords {
    /// What people call it: 'Zero offset', 'Coil A, wiring'.
    pub label: String,
    /// The unit of its number; empty where it has none.
    pub unit: Unit,
    /// Its value with the unit: '1.5°', 'none', 'alternate coils'.
    pub value: String,
}

impl FieldWords {
    /// The field at a dotted path of a project whose field tree is `tree`; `None` if there is no such path.
    pub fn of(project: &Project, tree: &Tree, path: &str) -> Option<Self> {
        let steps = steps(path)?;
        let value = tree.at(&steps)?;
        let namer = Namer::new(project, tree, project, tree);
        let unit = namer.unit(path);
        Some(Self { label: namer.label(path, &steps), unit, value: told(Some(value), unit) })
    }
}

/// A value of any field in words, with its unit.
pub fn value_words(value: &Tree, unit: Unit) -> String {
    told(Some(value), unit)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    #[test]
    fn a_field_is_named_with_its_place_unit_and_value() {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 4, loads: 4 };
        let project = new.create().unwrap();
        let tree = project.field_tree().unwrap();
        let words = |path: &str| FieldWords::of(&project, &tree, path);
        let offset = words("trigger.zero_offset_deg").unwrap();
        assert_eq!((offset.label.as_str(), offset.unit, offset.value.as_str()), ("Zero offset", Unit::Degree, "0.0°"));
        assert_eq!(words("engine.idle_load").unwrap().unit, Unit::Percent);
        assert_eq!(words("engine.channels[1].wiring").unwrap().label, "Coil B, wiring");
        assert_eq!(words("sensors.coolant.points_c[1]").unwrap().label, "Coolant sender, temperatures, point 2");
        assert_eq!(words("no.such"), None);
    }
}
