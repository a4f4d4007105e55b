//! What came with a new project and was never confirmed: values that only the owner of the engine can know.
//!
//! The paths of such values are listed in `assumed`. Changing a value confirms it; if it is right as it stands,
//! it is confirmed by hand.

use std::collections::BTreeSet;

use super::field_ranges::setup_tree;
use super::{Installed, KnownEngine, LoadKind, Parts, Project, steps};

/// Facts about an engine and its hardware that are not asked for when a project is made.
const NEVER_ASKED: [&str; 30] = [
    "engine.firing_order",
    "engine.mixture",
    "engine.idle_load",
    "engine.plug_gap_mm",
    "trigger.wheel.teeth",
    "trigger.wheel.missing",
    "trigger.sensor",
    "trigger.edge",
    "sensors.throttle.first_v",
    "sensors.throttle.first_reads",
    "sensors.throttle.second_v",
    "sensors.throttle.second_reads",
    "sensors.pressure.first_v",
    "sensors.pressure.first_reads",
    "sensors.pressure.second_v",
    "sensors.pressure.second_reads",
    "sensors.coolant.points_c",
    "sensors.coolant.points_ohm",
    "sensors.coolant.pull_up_ohm",
    "sensors.air.points_c",
    "sensors.air.points_ohm",
    "sensors.air.pull_up_ohm",
    "coil.kind",
    "coil.resistance_ohm",
    "coil.temperature_c",
    "coil.inductance_mh",
    "coil.harness_ohm",
    "coil.driver_drop_v",
    "coil.rated_current_a",
    "coil.burn_time_ms",
];

/// The paths that a new project assumes.
pub(super) fn assumed_at_new(known: &KnownEngine, load: LoadKind) -> BTreeSet<String> {
    let is_there = |path: &str| load == LoadKind::Pressure || !path.starts_with("sensors.pressure.");
    let mut assumed: BTreeSet<String> =
        NEVER_ASKED.into_iter().filter(|path| is_there(path)).map(str::to_owned).collect();
    assumed.extend(known.assumed());
    if known.highest_safe_speed_rpm.is_none() {
        assumed.extend(["limits.over_speed.cuts_at_rpm", "limits.over_speed.cuts_all_at_rpm"].map(str::to_owned));
    }
    assumed
}

/// Whether one of two paths is the other or lies in it.
pub fn lie_together(a: &str, b: &str) -> bool {
    lies_in(a, b) || lies_in(b, a)
}

/// Whether a path is another one or lies in it: `a.b[1]` and `a.b.c` lie in `a.b`.
fn lies_in(path: &str, outer: &str) -> bool {
    path.strip_prefix(outer).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '[']))
}

impl Parts {
    /// The paths of the second opinion's inputs that nobody has given, or that came with a new project and were never
    /// confirmed.
    pub fn assumed_of_combustion(&self) -> Vec<&'static str> {
        let own = &self.combustion;
        let open = [
            ("combustion.bore_to_stroke", own.bore_to_stroke),
            ("combustion.rod_to_crank", own.rod_to_crank),
            ("combustion.rated_speed_rpm", own.rated_speed_rpm),
            ("combustion.overlap_deg", own.overlap_deg),
            ("combustion.fuel_octane_mon", own.fuel_octane_mon),
            ("combustion.intake_air_c", own.intake_air_c),
            ("combustion.coolant_c", own.coolant_c),
            ("combustion.ambient_kpa", own.ambient_kpa),
        ];
        let of_engine = [
            "engine.displacement_l",
            "engine.compression_ratio",
            "engine.chamber",
            "engine.induction",
            "engine.fuel_octane_ron",
        ];
        let mut assumed: Vec<&str> = of_engine.into_iter().filter(|path| self.is_assumed(path)).collect();
        assumed.extend(open.into_iter().filter(|(_, value)| value.is_none()).map(|(path, _)| path));
        if own.has_usual_lambda() {
            assumed.push("combustion.lambda");
        }
        assumed
    }

    /// The assumed paths that are equal to a path, lie in it, or contain it.
    pub fn assumed_at<'a>(&'a self, path: &'a str) -> impl Iterator<Item = &'a str> {
        let assumed = self.assumed.iter().map(String::as_str);
        assumed.filter(move |assumed| lie_together(path, assumed))
    }

    /// Whether a value came with a new project and was never confirmed.
    pub fn is_assumed(&self, path: &str) -> bool {
        self.assumed_at(path).next().is_some()
    }

    /// Counts what is at a path, in it or around it as confirmed.
    pub fn confirm(&mut self, path: &str) {
        self.assumed.retain(|assumed| !lie_together(path, assumed));
    }

    /// For the paths whose values are taken from another project: they are assumed here if they are assumed
    /// there.
    pub fn take_assumed_of(&mut self, other: &Self, is_taken: impl Fn(&str) -> bool) {
        self.assumed.retain(|path| !is_taken(path));
        self.assumed.extend(other.assumed.iter().filter(|path| is_taken(path)).cloned());
    }

    /// What is assumed after merging two versions that began from `base`: whatever either of them confirmed is
    /// confirmed.
    pub fn assumed_by_both(base: &Self, mine: &Self, theirs: &Self) -> BTreeSet<String> {
        let is_kept = |path: &&String| {
            !base.assumed.contains(*path) || (mine.assumed.contains(*path) && theirs.assumed.contains(*path))
        };
        mine.assumed.union(&theirs.assumed).filter(is_kept).cloned().collect()
    }

    /// What was changed is confirmed, unless the change itself says what is assumed.
    pub(super) fn confirm_changes_since(&mut self, before: &Self) {
        let is_untouched = self.assumed.is_empty()
            || self.assumed != before.assumed
            || (self.engine == before.engine
                && self.trigger == before.trigger
                && self.sensors == before.sensors
                && self.coil == before.coil
                && self.limits == before.limits);
        if is_untouched {
            return;
        }
        let (Ok(now), Ok(then)) = (setup_tree(self), setup_tree(before)) else {
            return;
        };
        let is_same = |path: &String| steps(path).is_none_or(|steps| now.at(&steps) == then.at(&steps));
        self.assumed.retain(is_same);
    }
}

impl Project {
    /// The project in which values are confirmed, and the label of the step; `None` where none of them is assumed.
    pub fn with_confirmed(&self, paths: &[&str], what: &str) -> Option<Installed> {
        if !paths.iter().any(|path| self.is_assumed(path)) {
            return None;
        }
        let after = self.edit(|parts| paths.iter().for_each(|path| parts.confirm(path))).ok()?;
        Some((format!("Confirm {what}"), after))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{NewProject, field, list_fields, set_fields};

    fn new() -> Project {
        let new = NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Pressure, speeds: 8, loads: 8 };
        new.create().unwrap()
    }

    #[test]
    fn every_assumed_path_names_a_field() {
        let project = new();
        let listed = list_fields(&project).unwrap();
        for path in &project.assumed {
            assert!(listed.iter().any(|field| field.path == *path), "{path}");
            assert!(field(path).or_else(|| field(&format!("{path}[0]"))).is_some(), "{path}");
        }
        assert!(project.assumed.len() > 35, "{}", project.assumed.len());
        assert!(!project.is_assumed("engine.plugs") && project.is_assumed("sensors.air.points_c[1]"));
    }

    #[test]
    fn whoever_changes_a_value_has_confirmed_it() {
        let start = new();
        let after = start.edit(|parts| parts.coil.resistance_ohm = 0.7).unwrap();
        assert!(!after.is_assumed("coil.resistance_ohm") && after.is_assumed("coil.inductance_mh"));
        let point = start.edit(|parts| parts.sensors.coolant.points_ohm[1] = 800.0).unwrap();
        assert!(!point.is_assumed("sensors.coolant.points_ohm[0]") && point.is_assumed("sensors.air.points_ohm[0]"));
        let other = start.edit(|parts| parts.name = "another".into()).unwrap();
        assert_eq!(other.assumed, start.assumed);
    }

    #[test]
    fn the_same_value_set_again_confirms_it() {
        let start = new();
        let same = start.coil.resistance_ohm.to_string();
        let after = set_fields(&start, &[("coil.resistance_ohm", &same)]).unwrap();
        assert_eq!((after.is_assumed("coil.resistance_ohm"), &after.coil), (false, &start.coil));
        let whole = set_fields(&start, &[("sensors.coolant.points_c[0]", "0")]).unwrap();
        assert!(!whole.is_assumed("sensors.coolant.points_c"));
    }

    #[test]
    fn confirming_is_one_step_and_changes_nothing_else() {
        let start = new();
        let (label, after) = start.with_confirmed(&["coil.resistance_ohm"], "coil resistance: 0.5 Ω").unwrap();
        assert_eq!(label, "Confirm coil resistance: 0.5 Ω");
        assert_eq!(after.assumed.len() + 1, start.assumed.len());
        assert_eq!(after.with_confirmed(&["coil.resistance_ohm"], "it"), None);
        assert_eq!(start.with_confirmed(&["engine.plugs"], "it"), None);
        let (_, coil) = start.with_confirmed(&["coil"], "the coil").unwrap();
        assert!(coil.assumed.iter().all(|path| !path.starts_with("coil.")));
        assert_eq!(after.edit(|parts| parts.assumed.clone_from(&start.assumed)).unwrap(), start);
    }
}
