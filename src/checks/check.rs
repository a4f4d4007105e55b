//! What a check is: its name, why it matters, how it finds things, and what its findings depend on: thresholds,
//! which can be set, and values of the project that may only be assumed.

use thiserror::Error;

use super::finding::Noticed;
use super::margin::Margin;
use super::subject::Subject;
use super::{CHECKS, Finding, Spot, accepted};
use crate::compare::Section;
use crate::project::{Engine, Fault, Parts, Project, path_by_names};
use crate::watch::{Stopped, Watch};
use crate::wording::{bounds, count, one_line, outside, quantity};

/// One check.
#[derive(Debug)]
pub struct Check {
    /// Its name in files; it never changes, since accepted findings refer to it.
    pub id: &'static str,
    /// What people call it.
    pub title: &'static str,
    /// Why what it finds matters, in one sentence.
    pub reason: &'static str,
    /// The format version of project files that introduced it; acceptances in older files never apply to its
    /// findings.
    pub since: u32,
    /// In which sections of the project its findings lie.
    pub sections: &'static [Section],
    /// Whether it is about what an engine is driven with: table, trims and what limits them. A locked-timing
    /// copy is no map to drive with, and has the same advance everywhere on purpose.
    pub is_of_map: bool,
    /// The values that its findings depend on.
    pub(super) grounds: &'static [Ground],
    /// Its thresholds.
    pub thresholds: &'static [Threshold],
    pub(super) find: fn(&Subject<'_>) -> Vec<Noticed>,
}

impl Check {
    /// The findings of this check alone, in its own order.
    pub fn findings(&self, project: &Project) -> Vec<Finding> {
        self.findings_of(&Subject::new(project))
    }

    /// The same of a project that other checks look at too.
    pub(super) fn findings_of(&self, subject: &Subject<'_>) -> Vec<Finding> {
        let project = subject.project;
        subject.take_nearest();
        let noticed = (self.find)(subject);
        let mut findings: Vec<Finding> = noticed.into_iter().map(|noticed| self.named(project, noticed)).collect();
        findings.iter_mut().for_each(|finding| finding.accepted = accepted::reason(&project.checks, finding));
        findings
    }

    fn named(&self, project: &Project, noticed: Noticed) -> Finding {
        let Noticed { severity, mut place, message, remedy, value, bound, cure } = noticed;
        if let Spot::Field(path) = &place.spot {
            place.known_by.field = path_by_names(path, project);
        }
        // Names from the project may occur in all three; none of them may be mistaken for a line of its own.
        place.words = one_line(&place.words).into_owned();
        let grounds = grounds_words(project, self.grounds).map(|words| format!(", {words}")).unwrap_or_default();
        let [message, remedy] = [message + &grounds, remedy].map(|text| one_line(&text).into_owned());
        Finding {
            id: self.id,
            severity,
            place,
            message,
            why: self.reason,
            remedy,
            value,
            threshold: bound.allowed,
            unit: bound.unit,
            set_by: bound.set_by,
            cure,
            accepted: None,
        }
    }
}

/// A check that looked at a project, and what came nearest to its bound.
#[derive(Clone, Copy, Debug)]
pub struct Looked {
    /// Which.
    pub check: &'static Check,
    /// What came nearest to a bound; `None` where the check has no figure, or nothing to look at.
    pub margin: Option<Margin>,
}

/// The check of that id.
pub fn check(id: &str) -> Option<&'static Check> {
    CHECKS.iter().find(|check| check.id == id).copied()
}

/// Runs every check; for a locked-timing copy only those that are not about a map to drive with. The worst
/// findings come first, equally bad ones in the order of [`CHECKS`]; the same project gives the same list.
/// Accepted findings are included, with their reason.
pub fn run(project: &Project) -> Vec<Finding> {
    run_those(project, |_| true)
}

/// The same with some of the checks.
pub(super) fn run_those(project: &Project, is_wanted: impl Fn(&Check) -> bool) -> Vec<Finding> {
    let subject = Subject::new(project);
    let checks = meant_for(project).filter(|check| is_wanted(check));
    worst_first(checks.flat_map(|check| check.findings_of(&subject)).collect())
}

/// As [`run`]; the watch is asked before every check.
///
/// # Errors
/// [`Stopped`] when the watch has it stop: then there are no findings at all, rather than some of them.
pub fn run_watched(project: &Project, watch: Watch<'_>) -> Result<Vec<Finding>, Stopped> {
    Ok(run_with_margins(project, watch)?.0)
}

/// The same, with every check that looked at the project, in the order of [`CHECKS`], and what came nearest to its bound.
///
/// # Errors
/// [`Stopped`] when the watch has it stop.
pub fn run_with_margins(project: &Project, watch: Watch<'_>) -> Result<(Vec<Finding>, Vec<Looked>), Stopped> {
    let (subject, most) = (Subject::new(project), meant_for(project).count());
    let (mut findings, mut looked) = (Vec::new(), Vec::new());
    for (done, check) in meant_for(project).enumerate() {
        watch.round(done, most)?;
        findings.extend(check.findings_of(&subject));
        looked.push(Looked { check, margin: subject.take_nearest() });
    }
    Ok((worst_first(findings), looked))
}

fn meant_for(project: &Project) -> impl Iterator<Item = &'static Check> {
    let is_locked = project.locked_timing_deg.is_some();
    CHECKS.iter().copied().filter(move |check| !(is_locked && check.is_of_map))
}

fn worst_first(mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.sort_by_key(|finding| finding.severity);
    findings
}

pub use crate::project::Threshold;

impl Threshold {
    /// The values it may have, in words.
    pub fn range(&self) -> String {
        bounds((self.low, self.high), self.unit)
    }

    /// The project with the threshold set, and the label of the step. The default is not kept in the project. A
    /// value that lets more pass than the default needs a reason, which is kept with it; other values have
    /// none.
    ///
    /// # Errors
    /// [`SetThresholdError`] for a value outside its range, and for one that needs a reason and has none.
    pub fn set(&self, project: &Project, value: f64, reason: &str) -> Result<(Project, String), SetThresholdError> {
        if !self.allows(value) {
            let message = outside(value, (self.low, self.high), self.unit);
            return Err(Fault::new(format!("checks.thresholds.{}", self.name), message).into());
        }
        let (is_default, is_relaxed, reason) = (value == self.default, self.is_relaxed_at(value), reason.trim());
        if is_relaxed && reason.is_empty() {
            return Err(SetThresholdError::NoReason);
        }
        let changed = project.edit(|parts| {
            if is_relaxed {
                parts.checks.threshold_reasons.insert(self.name.into(), reason.into());
            } else {
                parts.checks.threshold_reasons.remove(self.name);
            }
            if is_default {
                parts.checks.thresholds.remove(self.name);
            } else {
                parts.checks.thresholds.insert(self.name.into(), value);
            }
        })?;
        let figure = quantity(value, self.unit_in(project));
        let verb = if is_default { "Reset" } else { "Set" };
        Ok((changed, format!("{verb} threshold '{}' to {figure}", self.label)))
    }
}

/// Why a threshold was not set. The project is unchanged.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum SetThresholdError {
    /// It would let more pass, and no reason was given.
    #[error("a limit that lets more pass than usual needs a reason; write why")]
    NoReason,
    /// The project cannot hold it.
    #[error(transparent)]
    Fault(#[from] Fault),
}

/// Values that a check may depend on: their paths, and their common name.
#[derive(Debug)]
pub(super) struct Ground {
    paths: &'static [&'static str],
    what: &'static str,
}

impl Ground {
    pub(super) const COIL: Self = Self { paths: &["coil"], what: "coil" };
    pub(super) const PLUG_GAP: Self = Self { paths: &["engine.plug_gap_mm"], what: "plug gap" };
    pub(super) const HIGHEST_PRESSURE: Self =
        Self { paths: &["engine.highest_pressure_kpa"], what: "highest pressure" };
    pub(super) const ENGINE: Self = Self { paths: &Engine::FULL_LOAD_PATHS, what: "engine" };
    pub(super) const COMPRESSION: Self = Self {
        paths: &["engine.compression_ratio", "engine.fuel_octane_ron", "engine.highest_pressure_kpa"],
        what: "compression, fuel or pressure",
    };
    pub(super) const IDLE: Self = Self { paths: &["engine.idle_speed_rpm", "engine.idle_load"], what: "idle" };
    pub(super) const MIXTURE: Self =
        Self { paths: &["engine.mixture", "engine.induction"], what: "mixture or induction" };
    pub(super) const WHEEL: Self = Self { paths: &["trigger.wheel"], what: "wheel" };
}

/// 'with the assumed coil', for a finding that depends on values nobody has confirmed.
fn grounds_words(parts: &Parts, grounds: &[Ground]) -> Option<String> {
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
    use super::{SetThresholdError, *};
    use crate::checks::fixtures::{curve, only, sound};
    use crate::checks::{CHECKS, threshold};
    use crate::project::{LoadKind, NewProject, Project, THRESHOLDS};
    use crate::wording::Unit;
    use crate::worksheet::SWEEP_THRESHOLDS;

    #[test]
    fn every_threshold_of_the_catalogue_belongs_to_a_check_or_to_sweeps() {
        let used: Vec<_> = CHECKS.iter().flat_map(|check| check.thresholds).chain(SWEEP_THRESHOLDS).copied().collect();
        assert_eq!(used.len(), THRESHOLDS.len());
        assert!(THRESHOLDS.iter().all(|threshold| used.contains(threshold)));
    }

    #[test]
    fn only_what_differs_from_the_default_is_kept() {
        let (start, bump) = (sound(), threshold("stands_out_deg").unwrap());
        assert_eq!(bump.set(&start, 3.0, " "), Err(SetThresholdError::NoReason));
        let (own, label) = bump.set(&start, 3.0, " rough by design ").unwrap();
        assert_eq!((bump.of(&own), label.as_str()), (3.0, "Set threshold 'Stands out, warning from' to 3.0°"));
        assert_eq!(own.checks.threshold_reasons["stands_out_deg"], "rough by design");
        let (reset, label) = bump.set(&own, 2.5, "").unwrap();
        assert_eq!((reset, label.as_str()), (start.clone(), "Reset threshold 'Stands out, warning from' to 2.5°"));
        let (strict, _) = bump.set(&own, 2.0, "not kept").unwrap();
        assert!(strict.checks.threshold_reasons.is_empty());
        let fault = bump.set(&start, 61.0, "so").unwrap_err().to_string();
        assert_eq!(fault, "checks.thresholds.stands_out_deg: 61 is outside 0..60°");
        assert_eq!(threshold("chatter_load").unwrap().unit_in(&start), Unit::Percent);
    }

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
