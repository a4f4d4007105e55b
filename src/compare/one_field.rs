//! One field of one project as people call it and read it.

use super::labels::Namer;
use super::value_words::told;
use crate::project::{Project, Tree, steps};

/// A field's name, unit and value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FieldWords {
    /// What people call it: 'Zero offset', 'Coil A, wiring'.
    pub label: String,
    /// The unit of its number; empty where it has none.
    pub unit: &'static str,
    /// Its value with the unit: '1.5°', 'none', 'alternate coils'.
    pub value: String,
}

impl FieldWords {
    /// The field at a dotted path of a project whose field tree is `tree`; `None` where there is no such path.
    pub fn of(project: &Project, tree: &Tree, path: &str) -> Option<Self> {
        let steps = steps(path)?;
        let value = tree.at(&steps)?;
        let namer = Namer::new(project, tree, project, tree);
        let unit = namer.unit(path);
        Some(Self { label: namer.label(path, &steps), unit, value: told(Some(value), unit) })
    }
}

/// A value of any field in words, with its unit.
pub fn value_words(value: &Tree, unit: &str) -> String {
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
        assert_eq!((offset.label.as_str(), offset.unit, offset.value.as_str()), ("Zero offset", "°", "0.0°"));
        assert_eq!(words("engine.idle_load").unwrap().unit, "%");
        assert_eq!(words("engine.channels[1].wiring").unwrap().label, "Coil B, wiring");
        assert_eq!(words("sensors.coolant.points_c[1]").unwrap().label, "Coolant sender, temperatures, point 2");
        assert_eq!(words("no.such"), None);
    }
}
