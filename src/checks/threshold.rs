//! The figures that findings are held against, and their place in the project.

use crate::compare::words::{plain, quantity};
use crate::project::Parts;

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
