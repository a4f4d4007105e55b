//! Findings that rest on values which nobody confirmed: they say so.

use crate::project::{Engine, Parts};
use crate::wording::count;

/// What a check rests on: its id, the paths, and what they are called together.
struct Ground {
    ids: &'static [&'static str],
    paths: &'static [&'static str],
    what: &'static str,
}

const GROUNDS: [Ground; 8] = [
    Ground { ids: &["coil_energy", "coil_current", "dwell_fit"], paths: &["coil"], what: "coil" },
    Ground { ids: &["plug_voltage", "plug_gap"], paths: &["engine.plug_gap_mm"], what: "plug gap" },
    Ground {
        ids: &["plug_voltage", "plug_gap", "top_row", "boost_retard", "sensor_range"],
        paths: &["engine.highest_pressure_kpa"],
        what: "highest pressure",
    },
    Ground { ids: &["full_load_line"], paths: &Engine::FULL_LOAD_PATHS, what: "engine" },
    Ground {
        ids: &["compression_octane"],
        paths: &["engine.compression_ratio", "engine.fuel_octane_ron", "engine.highest_pressure_kpa"],
        what: "compression, fuel or pressure",
    },
    Ground {
        ids: &["idle_slope", "idle_rows", "hot_idle", "cranking_order"],
        paths: &["engine.idle_speed_rpm", "engine.idle_load"],
        what: "idle",
    },
    Ground { ids: &["late_launch"], paths: &["engine.mixture", "engine.induction"], what: "mixture or induction" },
    Ground { ids: &["cranking_error", "gap"], paths: &["trigger.wheel"], what: "wheel" },
];

/// 'with the assumed coil', for a finding of a check that rests on what was never confirmed.
pub(super) fn words(parts: &Parts, id: &str) -> Option<String> {
    let is_assumed =
        |ground: &&Ground| ground.ids.contains(&id) && ground.paths.iter().any(|path| parts.is_assumed(path));
    let grounds: Vec<&str> = GROUNDS.iter().filter(is_assumed).map(|ground| ground.what).collect();
    (!grounds.is_empty()).then(|| format!("with the assumed {}", grounds.join(" and ")))
}

/// '41 values assumed', beside the findings; `None` where everything was confirmed.
pub fn assumed_words(parts: &Parts) -> Option<String> {
    let assumed = parts.assumed.len();
    (assumed > 0).then(|| format!("{} assumed", count(assumed, "value")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{curve, only, sound};
    use crate::project::{LoadKind, NewProject, Project};

    fn fresh() -> Project {
        let new = NewProject { name: "n".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        new.create().unwrap()
    }

    #[test]
    fn a_finding_says_what_it_assumes_until_that_is_confirmed() {
        let weak = fresh().edit(|parts| parts.coil.dwell_ms = curve(&[(8.0, 2.0), (12.0, 3.0)])).unwrap();
        let found = only(&weak, "coil_energy");
        assert!(found.message.ends_with(", with the assumed coil"), "{}", found.message);
        let (_, confirmed) = weak.with_confirmed(&["coil"], "the coil").unwrap();
        let told = only(&confirmed, "coil_energy");
        assert_eq!(format!("{}, with the assumed coil", told.message), found.message);
        assert_eq!((told.value, told.place), (found.value, found.place));
    }

    #[test]
    fn what_is_assumed_is_counted() {
        let project = fresh();
        assert_eq!(assumed_words(&project).unwrap(), format!("{} values assumed", project.assumed.len()));
        let known = project.edit(|parts| parts.assumed = ["coil.kind".to_owned()].into()).unwrap();
        assert_eq!(assumed_words(&known).unwrap(), "1 value assumed");
        assert_eq!(assumed_words(&sound()), None);
    }

    #[test]
    fn every_path_that_findings_rest_on_can_be_assumed() {
        let assumed = &fresh().assumed;
        for path in GROUNDS.iter().flat_map(|ground| ground.paths) {
            assert!(assumed.iter().any(|own| own.starts_with(path)), "{path}");
        }
    }
}
