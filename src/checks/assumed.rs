//! Marks findings that depend on values which nobody has confirmed.

use crate::project::{Engine, Parts};
use crate::wording::count;

/// Values that a check may depend on: their paths, and their common name.
#[derive(Debug)]
pub(super) struct Ground {
    paths: &'static [&'static str],
    what: &'static str,
}

pub(super) const COIL: Ground = Ground { paths: &["coil"], what: "coil" };
pub(super) const PLUG_GAP: Ground = Ground { paths: &["engine.plug_gap_mm"], what: "plug gap" };
pub(super) const HIGHEST_PRESSURE: Ground =
    Ground { paths: &["engine.highest_pressure_kpa"], what: "highest pressure" };
pub(super) const ENGINE: Ground = Ground { paths: &Engine::FULL_LOAD_PATHS, what: "engine" };
pub(super) const COMPRESSION: Ground = Ground {
    paths: &["engine.compression_ratio", "engine.fuel_octane_ron", "engine.highest_pressure_kpa"],
    what: "compression, fuel or pressure",
};
pub(super) const IDLE: Ground = Ground { paths: &["engine.idle_speed_rpm", "engine.idle_load"], what: "idle" };
pub(super) const MIXTURE: Ground =
    Ground { paths: &["engine.mixture", "engine.induction"], what: "mixture or induction" };
pub(super) const WHEEL: Ground = Ground { paths: &["trigger.wheel"], what: "wheel" };

/// 'with the assumed coil', for a finding that depends on values nobody has confirmed.
pub(super) fn words(parts: &Parts, grounds: &[Ground]) -> Option<String> {
    let is_assumed = |ground: &&Ground| ground.paths.iter().any(|path| parts.is_assumed(path));
    let grounds: Vec<&str> = grounds.iter().filter(is_assumed).map(|ground| ground.what).collect();
    (!grounds.is_empty()).then(|| format!("with the assumed {}", grounds.join(" and ")))
}

/// '41 values assumed', shown next to the findings; `None` if everything is confirmed.
pub fn assumed_words(parts: &Parts) -> Option<String> {
    let assumed = parts.assumed.len();
    (assumed > 0).then(|| format!("{} assumed", count(assumed, "value")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::CHECKS;
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
        for path in CHECKS.iter().flat_map(|check| check.grounds).flat_map(|ground| ground.paths) {
            assert!(assumed.iter().any(|own| own.starts_with(path)), "{path}");
        }
    }
}
