//! What is in the load's unit: the one list for whoever brings parts of one project into another. Under another kind
//! of load the same numbers would be other loads.

use std::sync::LazyLock;

use super::fields::{DecidedBy, FIELDS};
use super::lie_together;
use super::locate::{pattern_of, steps};
use super::thresholds::{self, THRESHOLDS};

/// What the catalogue of fields does not tell: the advance table, which is not in it; the signal itself; the number
/// format of an image item, which turns counts into loads where it holds loads; and an accepted finding, whose value
/// and place are in the unit of what was found.
const BESIDE_THE_CATALOGUE: [&str; 5] =
    ["advance", "sensors.load", "image.items[].scale", "image.items[].offset", "checks.accepted[]"];

/// Paths with `[]` for any index, in the order of the catalogues. A curve over load is named whole.
static PATTERNS: LazyLock<Vec<String>> = LazyLock::new(|| {
    let is_of_load = |decided_by| matches!(decided_by, DecidedBy::LoadKind | DecidedBy::LoadUnit | DecidedBy::Signal);
    let fields = FIELDS.iter().filter(|field| is_of_load(field.decided_by));
    let fields = fields.map(|field| field.path.strip_suffix(".at[]").unwrap_or(field.path).to_owned());
    let set = THRESHOLDS.iter().filter(|threshold| is_of_load(threshold.decided_by));
    let set = set.map(|threshold| format!("{}.{}", thresholds::PATH, threshold.name));
    BESIDE_THE_CATALOGUE.into_iter().map(str::to_owned).chain(fields).chain(set).collect()
});

/// Whether a field is in the load's unit, may be, or contains or lies in something that is: a list of records with
/// loads, or the values of a curve over load.
pub fn is_in_load_unit(path: &str) -> bool {
    let pattern = steps(path).map_or_else(|| path.to_owned(), |steps| pattern_of(&steps));
    PATTERNS.iter().any(|own| lie_together(&pattern, own))
}

/// The parts of a project that hold everything in the load's unit: fields, curves and whole lists of records.
pub fn parts_in_load_unit() -> Vec<&'static str> {
    let mut parts: Vec<&str> = Vec::new();
    for pattern in PATTERNS.iter() {
        let part = pattern.split_once("[]").map_or(pattern.as_str(), |(list, _)| list);
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject, Parts, Project, kind_at, list_fields};

    fn everything(load: LoadKind) -> Parts {
        let mut parts = NewProject::sample_with_everything().unwrap();
        parts.sensors.load = load;
        parts
    }

    /// The kind of load decides nothing about a field that is not in the list, and every part of the list holds
    /// something of it.
    #[test]
    fn a_field_whose_unit_the_kind_of_load_decides_is_in_the_list() {
        let project = Project::new(NewProject::sample_with_everything().unwrap()).unwrap();
        let [throttle, pressure] = [LoadKind::Throttle, LoadKind::Pressure].map(everything);
        let listed = list_fields(&project).unwrap();
        let catalogue = FIELDS.iter().map(|field| field.path.replace("[]", "[0]"));
        let paths: Vec<String> = listed.iter().map(|field| field.path.clone()).chain(catalogue).collect();
        let mut found: Vec<&str> = Vec::new();
        for path in &paths {
            let element = format!("{path}[0]");
            let differs = |path: &str| kind_at(path, &throttle) != kind_at(path, &pressure);
            if differs(path) || differs(&element) {
                assert!(is_in_load_unit(path), "{path}");
                found.push(path);
            }
        }
        for part in ["engine.idle_load", "runs[0].rows[0].load", "checks.thresholds.chatter_load"] {
            assert!(found.contains(&part), "{part}: {found:?}");
        }
        for (path, is_of_load) in [
            ("advance.deg[0][1]", true),
            ("trims.coolant.weight.value[2]", true),
            ("trims.air.degrees.at", false),
            ("sensors.load", true),
            ("sensors.load_filter", false),
            ("runs", true),
            ("runs[3].name", false),
            ("outputs[0].name", false),
            ("outputs[0].conditions", true),
            ("checks.accepted[2].value", true),
            ("checks.thresholds.chatter_coolant_c", false),
            ("image.items[4].scale", true),
            ("image.items[4].address", false),
            ("coil.dwell_ms", false),
        ] {
            assert_eq!(is_in_load_unit(path), is_of_load, "{path}");
        }
    }

    #[test]
    fn the_parts_are_whole_lists_and_curves() {
        assert_eq!(
            parts_in_load_unit(),
            [
                "advance",
                "sensors.load",
                "image.items",
                "checks.accepted",
                "engine.idle_load",
                "full_load_line.from_load",
                "full_load_line.less_deg",
                "safety_margin.degrees",
                "trims.coolant.weight",
                "trims.air.weight",
                "outputs",
                "runs",
                "evidence.points",
                "evidence.sweeps",
                "checks.thresholds.chatter_load",
                "checks.thresholds.sweep_load",
            ]
        );
    }
}
