//! Sparks that come early while the starter turns the engine.

use super::catalogue::Check;
use super::finding::{Noticed, Place};
use super::subject::{Subject, degrees};
use super::threshold::exceeds;
use super::{Severity, Sheet, Threshold};
use crate::project::thresholds;
use crate::rig::{Layout, Settings, Swing};
use crate::wording::quantity;

const EARLY: Threshold = thresholds::CRANKING_ERROR_DEG;
const VARIATION: Threshold = thresholds::CRANKING_ERROR_VARIATION_PCT;

pub(super) const CHECK: Check = Check {
    id: "cranking_error",
    title: "Early spark while cranking",
    reason: "The crank slows into compression while the unit reckons on with the speed before; a spark that comes \
             early then kicks the starter back.",
    thresholds: &[EARLY, VARIATION],
    find,
};

/// Places of the last tooth edge at least `lead_deg` before an angle, and of the edge before it, in degrees after the
/// reference edge.
fn edges_before(layout: &Layout, target_deg: f64, lead_deg: f64) -> Option<(f64, f64)> {
    let edges = layout.wheel().edges();
    let turn_deg = (target_deg / 360.0).floor() * 360.0;
    let teeth = |turn_deg: f64| (0..edges).map(move |tooth| turn_deg + layout.tooth_deg(tooth));
    let places = teeth(turn_deg - 720.0).chain(teeth(turn_deg - 360.0)).chain(teeth(turn_deg));
    let kept: Vec<f64> = places.filter(|deg| target_deg - deg >= lead_deg - 1e-9).collect();
    let [.., before, last] = kept.as_slice() else {
        return None;
    };
    Some((*before, *last))
}

/// How late a channel's spark comes at a steady cranking speed with cyclic variation, in degrees; negative is early.
///
/// The unit waits the remaining angle ÷ the speed over the last period. With the closed form of the even angle, which
/// grows with time, the spark comes where the even angle has grown by that; the speed itself drops out.
fn error_deg(layout: &Layout, swing: Option<&Swing>, channel: usize, advance_deg: f64, lead_deg: f64) -> Option<f64> {
    let even = |deg: f64| swing.map_or(deg, |swing| swing.even_deg(deg));
    let target_deg = layout.tdc_deg(channel) - advance_deg;
    let (before_deg, edge_deg) = edges_before(layout, target_deg, lead_deg)?;
    let period = (even(edge_deg) - even(before_deg)) / (edge_deg - before_deg);
    let spark_even = even(edge_deg) + (target_deg - edge_deg) * period;
    Some(swing.map_or(spark_even, |swing| swing.crank_deg(spark_even)) - target_deg)
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let layout = Layout::new(subject);
    let variation = subject.threshold(&VARIATION) / 100.0;
    let swing = Settings { variation, ..Settings::default() }.swing(&layout);
    let clamp = &subject.limits.clamp;
    let advance_deg = subject.limits.cranking.advance_deg.max(clamp.floor_deg).min(clamp.ceiling_deg);
    let lead_deg = subject.trigger.lead_pitches * layout.wheel().pitch_deg();
    let errors = subject.engine.channels.iter().enumerate().filter_map(|(at, channel)| {
        Some((channel.name.as_str(), -error_deg(&layout, swing.as_ref(), at, advance_deg, lead_deg)?))
    });
    let threshold = subject.threshold(&EARLY);
    let worst = errors.reduce(|worst, next| if next.1 > worst.1 { next } else { worst });
    let told = worst.filter(|(_, early_deg)| exceeds(*early_deg, threshold)).map(|(coil, value)| Noticed {
        severity: Severity::Warning,
        place: Place::field(Sheet::Engine, "trigger.reference_deg", format!("cranking, coil {coil}")).of(coil),
        message: format!(
            "while cranking with {} of speed variation coil {coil} fires {} early",
            quantity(variation * 100.0, "%"),
            degrees(value)
        ),
        remedy: "Move the reference so that a tooth passes just before the cranking spark, use a wheel with more \
                 teeth, or crank with less advance."
            .into(),
        value,
        threshold,
        unit: "°",
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
    use crate::rig::{Event, Rig, Row, Run};

    fn with(teeth: u16, reference_deg: f64, advance_deg: f64) -> Project {
        let change = |parts: &mut crate::project::Parts| {
            parts.trigger.wheel = Wheel { teeth, missing: 1 };
            parts.trigger.reference_deg = reference_deg;
            parts.limits.cranking.advance_deg = advance_deg;
        };
        sound().edit(change).unwrap()
    }

    /// What the rig finds at 200 rpm with the same variation, once in sync; the coil is charged long before.
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
            let layout = Layout::new(&project);
            let settings = Settings { variation: 0.3, ..Settings::default() };
            let (swing, lead_deg) = (settings.swing(&layout), 0.1 * layout.wheel().pitch_deg());
            let errors = (0..2).filter_map(|at| error_deg(&layout, swing.as_ref(), at, advance_deg, lead_deg));
            assert_abs_diff_eq!(errors.fold(f64::INFINITY, f64::min), on_the_rig(&project), epsilon = 1e-6);
        }
    }

    #[test]
    fn fires_when_the_last_tooth_is_far_from_the_spark() {
        assert_eq!(of(&with(36, 90.0, 8.0), "cranking_error"), []);
        // The reference edge ends the gap 30 degrees before TDC; a spark inside the gap is timed before it.
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
