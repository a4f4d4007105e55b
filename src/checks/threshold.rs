//! The figures that findings are held against, and their place in the project.

use crate::compare::words::{plain, quantity};
use crate::project::{Fault, Parts, Project};

/// A figure that a check holds values against. The project keeps those that differ from their default.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Threshold {
    /// Its name in `checks.thresholds`; it begins with the check's id.
    pub name: &'static str,
    /// What people call it.
    pub label: &'static str,
    /// Its unit; empty where it has none. `load` is the project's load unit.
    pub unit: &'static str,
    /// What it is unless the project says otherwise. Common practice, no source.
    pub default: f64,
    /// The least it may be.
    pub low: f64,
    /// The most it may be.
    pub high: f64,
}

impl Threshold {
    /// What it is in a project. A figure outside its range is not used: the default holds, and a finding says so.
    pub fn of(&self, parts: &Parts) -> f64 {
        let own = parts.checks.thresholds.get(self.name).copied();
        own.filter(|own| self.allows(*own)).unwrap_or(self.default)
    }

    /// Whether it may be so much.
    pub fn allows(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// The values it may have, in words.
    pub fn range(&self) -> String {
        quantity(&format!("{}..{}", plain(self.low), plain(self.high)), self.unit)
    }

    /// Its unit in a project.
    pub fn unit_in(&self, parts: &Parts) -> &'static str {
        if self.unit == "load" { parts.sensors.load.unit() } else { self.unit }
    }

    /// The project with the threshold set, and the label of the step. The default is not kept in the project.
    ///
    /// # Errors
    /// [`Fault`] for a figure outside its range.
    pub fn set(&self, project: &Project, value: f64) -> Result<(Project, String), Fault> {
        if !self.allows(value) {
            let message = format!("{} is outside {}", plain(value), self.range());
            return Err(Fault::new(format!("checks.thresholds.{}", self.name), message));
        }
        let is_default = value == self.default;
        let changed = project.edit(|parts| {
            if is_default {
                parts.checks.thresholds.remove(self.name);
            } else {
                parts.checks.thresholds.insert(self.name.into(), value);
            }
        })?;
        let figure = quantity(&plain(value), self.unit_in(project));
        let verb = if is_default { "Reset" } else { "Set" };
        Ok((changed, format!("{verb} threshold '{}' to {figure}", self.label)))
    }
}

/// Beyond a bound by more than the dust of a sum: what every check asks of its figures.
pub(super) fn exceeds(value: f64, bound: f64) -> bool {
    value > bound + 1e-9
}

/// A threshold from 0 to `high`.
pub(super) const fn threshold(
    name: &'static str,
    label: &'static str,
    unit: &'static str,
    default: f64,
    high: f64,
) -> Threshold {
    Threshold { name, label, unit, default, low: 0.0, high }
}

#[cfg(test)]
mod tests {
    use crate::checks::fixtures::sound;
    use crate::checks::threshold;

    #[test]
    fn only_what_differs_from_the_default_is_kept() {
        let (start, bump) = (sound(), threshold("stands_out_deg").unwrap());
        let (own, label) = bump.set(&start, 3.0).unwrap();
        assert_eq!((bump.of(&own), label.as_str()), (3.0, "Set threshold 'Stands out, warning from' to 3°"));
        let (reset, label) = bump.set(&own, 2.5).unwrap();
        assert_eq!((reset, label.as_str()), (start.clone(), "Reset threshold 'Stands out, warning from' to 2.5°"));
        let fault = bump.set(&start, 61.0).unwrap_err().to_string();
        assert_eq!(fault, "checks.thresholds.stands_out_deg: 61 is outside 0..60°");
        assert_eq!(threshold("chatter_load").unwrap().unit_in(&start), "%");
    }
}
