//! What the numbers of an item measure: unit, range, label.

use crate::project::{ADVANCE_RANGE_DEG, Content, FieldKind, Item, Parts, SPEED_RANGE_RPM, field};

/// What the numbers of an item measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// What people call it.
    pub label: &'static str,
    /// Its unit; empty for a plain number, a yes or no, or a place in a list of names.
    pub unit: &'static str,
    /// The least value a project may have.
    pub low: f64,
    /// The greatest value a project may have.
    pub high: f64,
}

impl Quantity {
    /// What an item measures. A field that does not exist measures a plain number without limits.
    pub fn of(item: &Item, project: &Parts) -> Self {
        match item.content {
            Content::AdvanceCells => quantity("Advance", "°", ADVANCE_RANGE_DEG),
            Content::AdvanceSpeeds => quantity("Advance, speeds", "rpm", SPEED_RANGE_RPM),
            Content::AdvanceLoads => {
                quantity("Advance, loads", project.sensors.load.unit(), project.sensors.load.range())
            }
            Content::Field => listed(&item.field, project),
            of_curve => match of_curve.curve() {
                Some(curve) if curve.axis == of_curve => listed(&curve.breakpoint_path(0), project),
                Some(curve) => listed(&curve.value_path(0), project),
                None => listed(&item.field, project),
            },
        }
    }
}

const fn quantity(label: &'static str, unit: &'static str, (low, high): (f64, f64)) -> Quantity {
    Quantity { label, unit, low, high }
}

/// From the catalogue of fields.
fn listed(path: &str, project: &Parts) -> Quantity {
    let Some(field) = field(path) else {
        return quantity("Field", "", (f64::MIN, f64::MAX));
    };
    match field.kind {
        FieldKind::Number { unit: "load", low, high } => {
            quantity(field.label, project.sensors.load.unit(), (low, high))
        }
        FieldKind::Number { unit: "signal", low, high } => quantity(field.label, "", (low, high)),
        FieldKind::Number { unit, low, high } => quantity(field.label, unit, (low, high)),
        FieldKind::Whole { low, high } => quantity(field.label, "", (low, high)),
        FieldKind::Flag | FieldKind::Text { .. } => quantity(field.label, "", (0.0, 1.0)),
        #[expect(clippy::cast_precision_loss, reason = "a handful of names")]
        FieldKind::Choice(names) => quantity(field.label, "", (0.0, names.len().saturating_sub(1) as f64)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::image::samples::project;

    #[test]
    fn every_item_of_a_new_project_is_known() {
        let project = project();
        for item in &project.image.items {
            let quantity = Quantity::of(item, &project);
            assert!(quantity.label != "Field" && quantity.low < quantity.high, "{}", item.name);
        }
        let known = |name: &str| {
            let item = project.image.items.iter().find(|item| item.name == name).unwrap();
            Quantity::of(item, &project)
        };
        assert_eq!(known("dwell_voltages").unit, "V");
        assert_eq!(known("coolant_trim_temperatures").unit, "°C");
        assert_eq!(known("advance_loads"), quantity("Advance, loads", "%", (0.0, 100.0)));
    }
}
