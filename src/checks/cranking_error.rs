//! Sparks that come early while the starter turns the engine.

use super::check::{Check, Ground};
use super::finding::{Noticed, Place};
use super::subject::{Subject, degrees};
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::rig::CrankingSparks;
use crate::wording::{Unit, quantity};

const EARLY: Threshold = thresholds::CRANKING_ERROR_DEG;
const VARIATION: Threshold = thresholds::CRANKING_ERROR_VARIATION_PCT;

pub(super) const CHECK: Check = Check {
    id: "cranking_error",
    title: "Early spark while cranking",
    reason: "The crank slows into compression while the unit reckons on with the speed before; a spark that comes \
             early then kicks the starter back.",
    since: 1,
    sections: &[Section::Trigger],
    is_of_map: false,
    grounds: &[Ground::WHEEL],
    thresholds: &[EARLY, VARIATION],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let variation = subject.threshold(&VARIATION) / 100.0;
    let sparks = CrankingSparks::new(subject, variation);
    let errors = subject.engine.channels.iter().enumerate();
    let errors = errors.filter_map(|(at, channel)| Some((channel.name.as_str(), -sparks.late_deg(at)?)));
    let bound = subject.bound(&EARLY);
    let worst = errors.reduce(|worst, next| if next.1 > worst.1 { next } else { worst });
    let told = worst.filter(|(_, early_deg)| subject.is_over(*early_deg, bound)).map(|(coil, value)| Noticed {
        severity: Severity::Warning,
        place: Place::field("trigger.reference_deg", format!("cranking, coil {coil}")).of(coil),
        message: format!(
            "while cranking with {} of speed variation coil {coil} fires {} early",
            quantity(variation * 100.0, Unit::Percent),
            degrees(value)
        ),
        remedy: "Move the reference so that a tooth passes just before the cranking spark, use a wheel with more \
                 teeth, or crank with less advance."
            .into(),
        value,
        bound,
        cure: None,
    });
    told.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;
    use crate::checks::fixtures::{of, only, sound};
    use crate::project::{Project, Wheel};
    use crate::rig::{Event, Rig, Row, Run, Settings};

    fn with(teeth: u16, reference_deg: f64, advance_deg: f64) -> Project {
        let change = |parts: &mut crate::project::Parts| {
            parts.trigger.wheel = Wheel { teeth, missing: 1 };
            parts.trigger.reference_deg = reference_deg;
            parts.limits.cranking.advance_deg = advance_deg;
        };
        sound().edit(change).unwrap()
    }

    /// What the rig gives at 200 rpm with the same variation, once in sync; by then the coil has long been
    /// charged.
    fn on_the_rig(project: &Project) -> f64 {
        let row = |time_s| Row {
            time_s,
            speed_rpm: 200.0,
            load: 3.0,
            coolant_c: None,
            air_c: None,
            battery_v: 10.0,
            throttle_pct: None,
            launch: false,
        };
        let mut events: Vec<Event> = Vec::new();
        let settings = Settings { variation: 0.3, ..Settings::default() };
        let run = Run::new(vec![row(0.0), row(3.0)]).unwrap();
        Rig::new(project, settings).unwrap().run(&run, &mut events);
        let errors: Vec<f64> = events.iter().filter_map(|event| event.what.error_deg()).collect();
        assert!(errors.len() > 8);
        errors.into_iter().fold(f64::INFINITY, f64::min)
    }

    #[test]
    fn agrees_with_the_rig() {
        for (teeth, reference_deg, advance_deg) in [(36, 90.0, 8.0), (36, 93.0, 8.0), (60, 90.0, 12.0), (24, 95.0, 5.0)]
        {
            let project = with(teeth, reference_deg, advance_deg);
            let sparks = CrankingSparks::new(&project, 0.3);
            let errors = (0..2).filter_map(|at| sparks.late_deg(at));
            assert_abs_diff_eq!(errors.fold(f64::INFINITY, f64::min), on_the_rig(&project), epsilon = 1e-6);
        }
    }

    #[test]
    fn fires_when_the_last_tooth_is_far_from_the_spark() {
        assert_eq!(of(&with(36, 90.0, 8.0), "cranking_error"), []);
        // The gap ends at the reference edge, 10 degrees before TDC; the spark, 12 degrees before TDC, falls into
        // it and is timed from the last tooth before the gap.
        let found = only(&with(12, 10.0, 12.0), "cranking_error");
        assert_eq!(found.severity, Severity::Warning);
        assert!(found.value > 3.0 && found.place.words == "cranking, coil A", "{found:?}");
        let calm = with(12, 10.0, 12.0);
        let calm = calm.edit(|parts| _ = parts.checks.thresholds.insert("cranking_error_variation_pct".into(), 0.0));
        assert_eq!(of(&calm.unwrap(), "cranking_error"), []);
    }

    #[test]
    fn near_its_threshold_it_goes_by_it() {
        let project = with(12, 10.0, 12.0);
        let value = only(&project, "cranking_error").value;
        let moved = |deg: f64| {
            project.edit(|parts| _ = parts.checks.thresholds.insert("cranking_error_deg".into(), deg)).unwrap()
        };
        assert_eq!(of(&moved(value + 0.001), "cranking_error"), []);
        assert_eq!(of(&moved(value - 0.001), "cranking_error").len(), 1);
    }
}
