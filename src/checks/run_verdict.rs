//! What is bad about a run on the rig: lost sync, sparks far from where they were commanded, weak sparks, short
//! charges. A run is no project, so this is no check, but it is judged by the same thresholds.

use super::Severity;
use super::margin::exceeds;
use crate::project::{Parts, Threshold, thresholds};
use crate::rig::Summary;
use crate::wording::{Unit, figure, quantity};

/// The aspects of a run that are judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RunFact {
    /// How far a spark came from where it was commanded.
    TimingError,
    /// The energy of the weakest spark.
    Energy,
    /// The time that coils were charged.
    Dwell,
    /// Whether the unit knew where the crank is.
    Sync,
    /// Sparks that did not come.
    Sparks,
}

/// A bad aspect of a run.
#[derive(Clone, Debug, PartialEq)]
pub struct RunVerdict {
    /// Which.
    pub fact: RunFact,
    /// How bad.
    pub severity: Severity,
    /// Why, naming the threshold that decided.
    pub reason: String,
}

/// What is bad about a run, in the order of [`RunFact`]. A spark is badly timed if it is early or late, at any
/// speed, by more than the threshold for early sparks while cranking; the weakest spark is compared with the
/// energy that the checks require.
pub fn run_verdicts(parts: &Parts, sums: &Summary) -> Vec<RunVerdict> {
    [timing(parts, sums), energy(parts, sums), dwell(parts, sums), sync(sums), sparks(sums)]
        .into_iter()
        .flatten()
        .collect()
}

fn verdict(fact: RunFact, severity: Severity, reason: String) -> Option<RunVerdict> {
    Some(RunVerdict { fact, severity, reason })
}

/// '3.0°, by the threshold 'Early while cranking, at most''.
fn by(threshold: &Threshold, parts: &Parts) -> String {
    let figure = quantity(threshold.of(parts), threshold.unit_in(parts));
    format!("{figure}, by the threshold '{}'", threshold.label)
}

fn timing(parts: &Parts, sums: &Summary) -> Option<RunVerdict> {
    let threshold = &thresholds::CRANKING_ERROR_DEG;
    let error_deg = sums.max_abs_error_deg.filter(|deg| exceeds(*deg, threshold.of(parts)))?;
    let told = format!(
        "a spark came {} from where it was commanded; allowed are {}",
        figure(error_deg, Unit::Degree),
        by(threshold, parts)
    );
    verdict(RunFact::TimingError, Severity::Warning, told)
}

fn energy(parts: &Parts, sums: &Summary) -> Option<RunVerdict> {
    let is_boosted = parts.engine.induction.is_boosted();
    let threshold = if is_boosted { &thresholds::COIL_ENERGY_BOOSTED_MJ } else { &thresholds::COIL_ENERGY_MJ };
    let energy_mj = sums.min_energy_mj.filter(|mj| exceeds(threshold.of(parts), *mj))?;
    let told = format!(
        "for the weakest spark {} were stored; wanted are {}",
        figure(energy_mj, Unit::Millijoule),
        by(threshold, parts)
    );
    verdict(RunFact::Energy, Severity::Warning, told)
}

/// A slightly short charge is worth knowing; it is bad if it leaves a spark too weak.
fn dwell(parts: &Parts, sums: &Summary) -> Option<RunVerdict> {
    let severity = if energy(parts, sums).is_some() { Severity::Warning } else { Severity::Note };
    let told = "charges began too late for the dwell that was asked for".to_owned();
    if sums.short_dwells == 0 { None } else { verdict(RunFact::Dwell, severity, told) }
}

fn sync(sums: &Summary) -> Option<RunVerdict> {
    let told = match (sums.syncs, sums.sync_losses) {
        (0, _) => "the unit never knew where the crank was: no spark at all",
        (_, 0) => return None,
        _ => "the unit no longer knew where the crank was: no spark until it found sync again",
    };
    verdict(RunFact::Sync, Severity::Error, told.to_owned())
}

fn sparks(sums: &Summary) -> Option<RunVerdict> {
    let told = "sparks were left out because there was no time to charge the coil".to_owned();
    if sums.skips == 0 { None } else { verdict(RunFact::Sparks, Severity::Warning, told) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::sound;
    use crate::project::{Induction, Project};
    use crate::rig::{BuiltIn, Rig, Row, Run, Settings};

    fn summary(project: &Project, settings: Settings) -> Summary {
        let run = BuiltIn::SweepToTheLimit.run(project).unwrap();
        Rig::new(project, settings).unwrap().run(&run, &mut Vec::new())
    }

    fn facts(project: &Project, sums: &Summary) -> Vec<(RunFact, Severity)> {
        run_verdicts(project, sums).iter().map(|verdict| (verdict.fact, verdict.severity)).collect()
    }

    #[test]
    fn a_sound_run_has_no_bad_facts() {
        let project = sound();
        assert_eq!(run_verdicts(&project, &summary(&project, Settings::default())), []);
    }

    #[test]
    fn lost_sync_is_an_error_and_so_is_sync_that_was_never_found() {
        let project = sound();
        let lost = summary(&project, Settings { dropped_at_s: vec![3.0], ..Settings::default() });
        assert!(facts(&project, &lost).contains(&(RunFact::Sync, Severity::Error)), "{lost:?}");
        let row = |time_s| Row {
            time_s,
            speed_rpm: 0.0,
            load: 3.0,
            coolant_c: None,
            air_c: None,
            battery_v: 12.0,
            throttle_pct: None,
            launch: false,
        };
        let still = Run::new(vec![row(0.0), row(1.0)]).unwrap();
        let still = Rig::new(&project, Settings::default()).unwrap().run(&still, &mut Vec::new());
        assert_eq!(facts(&project, &still), [(RunFact::Sync, Severity::Error)]);
    }

    #[test]
    fn figures_are_held_against_the_named_thresholds_on_both_sides() {
        let project = sound();
        let good = summary(&project, Settings::default());
        let told =
            |sums: Summary| run_verdicts(&project, &sums).into_iter().map(|found| found.reason).collect::<Vec<_>>();
        let error = |deg| told(Summary { max_abs_error_deg: Some(deg), ..good.clone() });
        assert!(error(3.0).is_empty());
        assert_eq!(
            error(18.25),
            [
                "a spark came 18.25° from where it was commanded; allowed are 3.0°, by the threshold 'Early while cranking, at most'"
            ]
        );
        let energy = |mj| told(Summary { min_energy_mj: Some(mj), ..good.clone() });
        assert!(energy(30.0).is_empty());
        assert_eq!(
            energy(29.5),
            ["for the weakest spark 29.5 mJ were stored; wanted are 30 mJ, by the threshold 'Stored energy, at least'"]
        );
        assert_eq!(told(Summary { short_dwells: 1, skips: 2, ..good.clone() }).len(), 2);
        let short = Summary { short_dwells: 1, ..good.clone() };
        assert_eq!(facts(&project, &short), [(RunFact::Dwell, Severity::Note)]);
        let weak = Summary { min_energy_mj: Some(20.0), ..short };
        assert!(facts(&project, &weak).contains(&(RunFact::Dwell, Severity::Warning)));
        let boosted = project.edit(|parts| parts.engine.induction = Induction::Boosted).unwrap();
        let weak = Summary { min_energy_mj: Some(40.0), ..good };
        assert!(run_verdicts(&boosted, &weak)[0].reason.contains("50 mJ, by the threshold 'Stored energy with boost"));
    }
}
