//! Locked timing: a marked copy of a project whose advance is the same everywhere, for use with the timing light.

use thiserror::Error;

use super::{ADVANCE_RANGE_DEG, Advance, CoveredHow, CoveredPart, Fault, Origin, Parts, Project};
use crate::table::{Selection, Table};
use crate::wording::{Unit, bounds, outside, shortest, with_unit, written};

/// The advance of a locked-timing copy unless another is asked for, degrees before TDC. Common practice, no source.
pub const LOCKED_TIMING_DEG: f64 = 10.0;

/// Why the copy cannot be made.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum LockedTimingError {
    /// The project already is a locked-timing copy.
    #[error("this is a locked-timing copy already, at {}; open the real project", with_unit(&written(*.0), Unit::Degree))]
    Already(f64),
    /// Not an advance that a table may hold.
    #[error("{}", outside(*.0, ADVANCE_RANGE_DEG, Unit::Degree))]
    Range(f64),
    /// The clamp would move the advance.
    #[error(
        "the clamp of {} would move a locked advance of {}; choose one inside it",
        bounds((*.floor_deg, *.ceiling_deg), Unit::Degree), with_unit(&written(*.advance_deg), Unit::Degree)
    )]
    Clamped {
        /// The advance asked for.
        advance_deg: f64,
        /// The least advance of the project.
        floor_deg: f64,
        /// The most advance of the project.
        ceiling_deg: f64,
    },
    /// The changed project would be invalid.
    #[error(transparent)]
    Fault(#[from] Fault),
}

impl Project {
    /// A copy that commands `advance_deg` degrees before TDC wherever the engine runs: flat table, nothing
    /// held; trims, safety margin and launch off, the over-speed limit on. In case a unit applies every number
    /// that it finds, whatever is off or eases is neutral too: trim and margin curves are zero, launch has the
    /// locked advance, and the over-speed limit eases off by nothing. Nothing is folded into the table. The
    /// copy is marked, also in its name, and keeps no snapshots and no last export. While cranking, the
    /// cranking advance still applies: a copy locked at a high advance must not kick back.
    ///
    /// # Errors
    /// [`LockedTimingError`] when this is such a copy, or the clamp would move the advance.
    pub fn locked_timing(&self, advance_deg: f64) -> Result<Self, LockedTimingError> {
        if let Some(deg) = self.locked_timing_deg {
            return Err(LockedTimingError::Already(deg));
        }
        if !(ADVANCE_RANGE_DEG.0..=ADVANCE_RANGE_DEG.1).contains(&advance_deg) {
            return Err(LockedTimingError::Range(advance_deg));
        }
        let clamp = &self.limits.clamp;
        if !(clamp.floor_deg..=clamp.ceiling_deg).contains(&advance_deg) {
            let (floor_deg, ceiling_deg) = (clamp.floor_deg, clamp.ceiling_deg);
            return Err(LockedTimingError::Clamped { advance_deg, floor_deg, ceiling_deg });
        }
        let advance = flat(self.advance.table(), advance_deg)?;
        Ok(self.as_state().edit(|parts| {
            parts.locked_timing_deg = Some(advance_deg);
            parts.name = locked_name(&parts.name, advance_deg);
            parts.advance = advance;
            for trim in [&mut parts.trims.coolant, &mut parts.trims.air] {
                trim.enabled = false;
                trim.degrees = trim.degrees.level(0);
            }
            parts.safety_margin.enabled = false;
            parts.safety_margin.degrees = parts.safety_margin.degrees.level(0);
            parts.limits.launch.enabled = false;
            parts.limits.launch.advance_deg = advance_deg;
            parts.limits.over_speed.enabled = true;
            parts.limits.over_speed.eases_by_deg = 0.0;
            for part in CoveredPart::ALL {
                let coverage = parts.image.coverage.of_mut(part);
                if coverage.how == CoveredHow::InTable {
                    (coverage.how, coverage.at_c) = (CoveredHow::AsHeld, None);
                }
            }
        })?)
    }

    /// What the project is called wherever it could be mistaken for a real map: 'locked timing 10°'. `None` if
    /// it is a real map.
    pub fn locked_timing_words(&self) -> Option<String> {
        self.locked_timing_deg.map(|deg| format!("locked timing {}", with_unit(&written(deg), Unit::Degree)))
    }

    /// What is added to the names of its files: '-locked-timing-10'; empty for a real map.
    pub fn locked_timing_suffix(&self) -> String {
        self.locked_timing_deg.map_or_else(String::new, |deg| format!("-locked-timing-{}", shortest(deg)))
    }
}

/// What a marked copy must not have: anything that commands another advance than its mark says.
pub(super) fn check(parts: &Parts) -> Result<(), Fault> {
    let Some(deg) = parts.locked_timing_deg else {
        return Ok(());
    };
    let fault = |path: &str, what: String| Fault {
        path: path.into(),
        message: format!("this is a copy with locked timing {}, and {what}", with_unit(&written(deg), Unit::Degree)),
        hint: "change the real project and make another copy of it".into(),
    };
    let table = parts.advance.table();
    if let Some(cell) = table.cells().find(|cell| table.at(*cell) != deg) {
        let path = format!("advance.deg[{}][{}]", cell.load, cell.speed);
        return Err(fault(
            &path,
            format!("{} in a cell would belie it", with_unit(&written(table.at(cell)), Unit::Degree)),
        ));
    }
    let clamp = &parts.limits.clamp;
    if !(clamp.floor_deg..=clamp.ceiling_deg).contains(&deg) {
        return Err(fault("limits.clamp", "a clamp that moves its advance would belie it".into()));
    }
    let movers = [
        ("trims.coolant.enabled", parts.trims.coolant.enabled, "a coolant trim"),
        ("trims.air.enabled", parts.trims.air.enabled, "an air trim"),
        ("safety_margin.enabled", parts.safety_margin.enabled, "a safety margin"),
        ("limits.launch.enabled", parts.limits.launch.enabled, "launch"),
    ];
    match movers.into_iter().find(|(_, is_on, _)| *is_on) {
        Some((path, _, what)) => Err(fault(path, format!("{what} would belie it"))),
        None => Ok(()),
    }
}

fn flat(table: &Table, advance_deg: f64) -> Result<Advance, Fault> {
    let fault = |error: &dyn std::fmt::Display| Fault::new("advance", error.to_string());
    let table = table.with_values(vec![advance_deg; table.values().len()]).map_err(|error| fault(&error))?;
    let free = Selection::none(table.load().len(), table.speed().len());
    let origins = vec![Origin::Typed; table.values().len()];
    Advance::new(table, free, origins).map_err(|error| fault(&error))
}

/// The name with the mark added; cut where there is no room for both.
fn locked_name(name: &str, advance_deg: f64) -> String {
    let mark = format!(" (locked timing {})", with_unit(&written(advance_deg), Unit::Degree));
    let most = match super::field("name").map(|field| field.kind) {
        Some(super::FieldKind::Text { most }) => most,
        _ => usize::MAX,
    };
    let room = most.saturating_sub(mark.chars().count());
    name.chars().take(room).chain(mark.chars()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{NewProject, SAMPLES, Snapshot, read, write};

    fn samples() -> Vec<Project> {
        SAMPLES.iter().map(|sample| sample.project().unwrap()).collect()
    }

    #[test]
    fn every_sample_can_be_locked() {
        for real in samples() {
            let copy = real.locked_timing(LOCKED_TIMING_DEG).unwrap();
            assert!(copy.advance.table().values().iter().all(|deg| *deg == 10.0));
            assert_eq!(copy.locked_timing_deg, Some(10.0));
            assert!(copy.advance.held().is_empty());
            assert!(!copy.trims.coolant.enabled && !copy.trims.air.enabled && !copy.safety_margin.enabled);
            assert!(copy.limits.over_speed.enabled && !copy.limits.launch.enabled);
            let curves = [&copy.trims.coolant.degrees, &copy.trims.air.degrees, &copy.safety_margin.degrees];
            assert!(curves.iter().all(|curve| curve.values().iter().all(|deg| *deg == 0.0)));
            assert_eq!((copy.limits.over_speed.eases_by_deg, copy.limits.launch.advance_deg), (0.0, 10.0));
            assert_eq!(copy.limits.cranking, real.limits.cranking);
            assert!(copy.snapshots.is_empty() && copy.last_export.is_none());
            assert_eq!(copy.name, format!("{} (locked timing 10°)", real.name));
            assert_eq!((copy.trigger.clone(), copy.engine.clone()), (real.trigger.clone(), real.engine.clone()));
            assert_eq!(read(write(&copy).unwrap().as_bytes()).unwrap(), copy);
            assert_eq!(copy.locked_timing(12.0), Err(LockedTimingError::Already(10.0)));
            assert_eq!(
                (copy.locked_timing_words().unwrap().as_str(), copy.locked_timing_suffix().as_str()),
                ("locked timing 10°", "-locked-timing-10")
            );
            assert_eq!((real.locked_timing_words(), real.locked_timing_suffix()), (None, String::new()));
        }
    }

    #[test]
    fn what_cannot_be_commanded_is_refused_with_the_range() {
        let real = &samples()[0];
        let told = real.locked_timing(80.0).unwrap_err().to_string();
        assert!(told.contains("would move a locked advance of 80°"), "{told}");
        assert!(real.locked_timing(f64::NAN).is_err());
        assert_eq!(real.locked_timing(-61.0).unwrap_err().to_string(), "−61 is outside −60..90°");
    }

    #[test]
    fn nothing_can_make_a_copy_command_another_advance() {
        let real = &samples()[0];
        let copy = real.locked_timing(10.0).unwrap();
        let told = |fault: Result<Project, Fault>| fault.unwrap_err().to_string();
        let mut values = copy.advance.table().values().to_vec();
        values[3] = 12.0;
        let bent = copy.advance.with_values(values, Origin::Typed).unwrap();
        assert_eq!(
            told(copy.with_advance(bent.clone())),
            "advance.deg[0][3]: this is a copy with locked timing 10°, and 12° in a cell would belie it; change the real \
             project and make another copy of it"
        );
        assert!(told(copy.edit(|parts| parts.advance = bent.clone())).starts_with("advance.deg[0][3]: "));
        assert!(told(real.edit(|parts| parts.locked_timing_deg = Some(10.0))).contains("locked timing 10°"));
        assert!(told(copy.edit(|parts| parts.locked_timing_deg = Some(30.0))).contains("locked timing 30°"));
        assert!(told(copy.edit(|parts| parts.trims.coolant.enabled = true)).starts_with("trims.coolant.enabled: "));
        assert!(told(copy.edit(|parts| parts.trims.air.enabled = true)).starts_with("trims.air.enabled: "));
        assert!(told(copy.edit(|parts| parts.safety_margin.enabled = true)).starts_with("safety_margin.enabled: "));
        assert!(told(copy.edit(|parts| parts.limits.launch.enabled = true)).starts_with("limits.launch.enabled: "));
        assert!(told(copy.edit(|parts| parts.limits.clamp.ceiling_deg = 9.0)).starts_with("limits.clamp: "));
        let file = write(&copy).unwrap();
        let row = file.lines().position(|line| line.ends_with("cells: [")).unwrap() + 1;
        let bent: Vec<String> = file
            .lines()
            .enumerate()
            .map(|(at, line)| if at == row { line.replacen("10", "12", 1) } else { line.to_owned() })
            .collect();
        let told = read(bent.join("\n").as_bytes()).unwrap_err().to_string();
        assert!(told.contains(&format!("line {}", row + 1)) && told.contains("locked timing 10°"), "{told}");
    }

    #[test]
    fn a_long_name_is_cut_before_the_mark() {
        let long = samples()[0].edit(|parts| parts.name = "n".repeat(200)).unwrap();
        let copy = long.locked_timing(12.5).unwrap();
        assert!(copy.name.ends_with("n (locked timing 12.5°)"), "{}", copy.name);
    }

    #[test]
    fn snapshots_stay_with_the_real_project() {
        let new = NewProject {
            name: "t".into(),
            cylinders: 4,
            load: crate::project::LoadKind::Throttle,
            speeds: 8,
            loads: 8,
        };
        let base = new.create().unwrap();
        let kept = Snapshot { name: "s".into(), note: String::new(), taken_at: String::new(), state: base.clone() };
        let real = base.edit(|parts| parts.snapshots.push(kept.into())).unwrap();
        assert!(real.locked_timing(10.0).unwrap().snapshots.is_empty());
    }
}
