//! Whether the kept readings prove the zero: the one rule that checks, worksheets and the setup sheet share.

use super::analysis::CRANKING_READINGS_BELOW_RPM;
use crate::project::{Parts, TimingLight, TimingReading, Trigger, Wheel};
use crate::wording::{Unit, count, figure, quantity, settle, signed_figure};
use crate::worksheet::DEG_PER_US_RPM;

/// The largest allowed mean of the difference between what the light shows and what it should show, in degrees.
/// This and the next: common practice, no source.
pub const MOST_MEAN_DEG: f64 = 1.0;
/// The largest allowed such difference of each reading, in degrees.
pub const MOST_EACH_DEG: f64 = 2.0;
/// At least one reading must be above this speed, so that a lag would show. Common practice, no source.
pub const FAST_RPM: f64 = 2500.0;
/// Advances closer together than this count as one: with only one, a wrongly set light would go unnoticed.
const OTHER_ADVANCE_DEG: f64 = 1.0;
/// If reference and offset have moved by less than this, it is the same trigger.
pub const SAME_DEG: f64 = 0.05;
/// If the latency has changed by less than this, it is the same sensor. 0.04° at 6000 rpm.
pub const SAME_US: f64 = 1.0;

/// What is missing for the zero to be proved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Unproved {
    /// No readings, or none with a date.
    NoReadings,
    /// They were taken with another wheel.
    OtherWheel {
        /// The wheel now.
        now: Wheel,
        /// The wheel then.
        then: Wheel,
    },
    /// They were taken with another sensor.
    OtherSensor,
    /// The true reference was different when they were taken.
    Moved {
        /// By how much it has moved since, in degrees.
        by_deg: f64,
    },
    /// The sensor's latency was different when they were taken.
    OtherLatency {
        /// By how much, in µs.
        by_us: f64,
    },
    /// On average they show something other than what was commanded.
    Mean {
        /// Observed minus what the light should show, in degrees.
        mean_deg: f64,
    },
    /// One of them shows something other than what was commanded.
    Each {
        /// Its row, counted from 1.
        row: usize,
        /// Observed minus what the light should show, in degrees.
        off_deg: f64,
    },
    /// All that count are at the same commanded advance.
    OneAdvance,
    /// None is at a speed where a lag would show.
    Slow,
}

impl Unproved {
    /// Everything that is missing for a project's zero to be proved; empty if it is proved.
    pub fn of(parts: &Parts) -> Vec<Self> {
        Self::of_record(&parts.timing_light, &parts.trigger)
    }

    /// The same for readings that are not kept yet. If wheel, sensor, zero or latency were different, the
    /// readings themselves are not examined. Those taken while cranking do not count here.
    pub fn of_record(light: &TimingLight, trigger: &Trigger) -> Vec<Self> {
        if light.readings.is_empty() || light.taken_at.is_empty() {
            return vec![Self::NoReadings];
        }
        let stale = of_trigger(light, trigger);
        if stale.is_empty() { of_readings(light) } else { stale }
    }

    /// What is missing, to continue a sentence that begins with 'the zero is not proved: '.
    pub fn words(&self) -> String {
        match *self {
            Self::NoReadings => "the zero was never proved with a timing light".into(),
            Self::OtherWheel { .. } => "the timing-light readings were taken with another wheel".into(),
            Self::OtherSensor => "the timing-light readings were taken with another sensor".into(),
            Self::Moved { by_deg } => {
                format!("the trigger was moved by {} since the timing-light readings were taken", shown(by_deg))
            }
            Self::OtherLatency { by_us } => format!(
                "the sensor latency was changed by {} since the timing-light readings were taken",
                figure(by_us, Unit::Microsecond)
            ),
            Self::Mean { mean_deg } => format!(
                "the timing light shows {} against what is commanded on average, more than {}",
                signed_figure(mean_deg, Unit::Degree),
                quantity(MOST_MEAN_DEG, Unit::Degree)
            ),
            Self::Each { row, off_deg } => format!(
                "timing-light reading {row} is {} off what is commanded, more than {}",
                signed_figure(off_deg, Unit::Degree),
                quantity(MOST_EACH_DEG, Unit::Degree)
            ),
            Self::OneAdvance => "timing-light readings at a second commanded advance are missing".into(),
            Self::Slow => format!("a timing-light reading above {} is missing", quantity(FAST_RPM, Unit::Rpm)),
        }
    }

    /// Everything that is missing, as one sentence without a full stop.
    pub fn all_words(missing: &[Self]) -> String {
        missing.iter().map(Self::words).collect::<Vec<_>>().join("; ")
    }
}

fn shown(deg: f64) -> String {
    crate::wording::with_unit(&crate::wording::fixed(deg, 1), Unit::Degree)
}

/// What is different about the trigger.
fn of_trigger(light: &TimingLight, trigger: &Trigger) -> Vec<Unproved> {
    let mut found = Vec::new();
    if light.wheel != trigger.wheel {
        found.push(Unproved::OtherWheel { now: trigger.wheel, then: light.wheel });
    }
    if light.sensor != trigger.sensor {
        found.push(Unproved::OtherSensor);
    }
    let by_deg = moved_deg(light, trigger);
    if by_deg > SAME_DEG + 1e-9 {
        found.push(Unproved::Moved { by_deg });
    }
    let by_us = settle((trigger.latency_us - light.latency_us).abs());
    if by_us >= SAME_US {
        found.push(Unproved::OtherLatency { by_us });
    }
    found
}

/// How far the true reference has moved since the readings were taken, in degrees.
fn moved_deg(light: &TimingLight, trigger: &Trigger) -> f64 {
    let now_deg = trigger.reference_deg + trigger.zero_offset_deg;
    let then_deg = light.reference_deg + light.zero_offset_deg;
    let apart_deg = (now_deg - then_deg).rem_euclid(360.0);
    settle(apart_deg.min(360.0 - apart_deg))
}

/// What is missing in the readings. A light shows what is commanded less the effect of the sensor's latency,
/// which is known.
fn of_readings(light: &TimingLight) -> Vec<Unproved> {
    let numbered = light.readings.iter().zip(1_usize..);
    let running: Vec<(&TimingReading, usize)> =
        numbered.filter(|(reading, _)| reading.speed_rpm >= CRANKING_READINGS_BELOW_RPM).collect();
    let off = |reading: &TimingReading| {
        let lag_deg = light.latency_us * DEG_PER_US_RPM * reading.speed_rpm;
        settle(reading.observed_deg - (reading.commanded_deg - lag_deg))
    };
    let mut found = Vec::new();
    #[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
    let mean_deg = settle(running.iter().map(|(reading, _)| off(reading)).sum::<f64>() / running.len().max(1) as f64);
    if mean_deg.abs() > MOST_MEAN_DEG + 1e-9 {
        found.push(Unproved::Mean { mean_deg });
    }
    let worst =
        running.iter().map(|(reading, row)| (off(reading), *row)).max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()));
    if let Some((off_deg, row)) = worst.filter(|(off_deg, _)| off_deg.abs() > MOST_EACH_DEG + 1e-9) {
        found.push(Unproved::Each { row, off_deg });
    }
    let commanded = running.iter().map(|(reading, _)| reading.commanded_deg);
    let (low, high) =
        commanded.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), deg| (low.min(deg), high.max(deg)));
    if high - low < OTHER_ADVANCE_DEG - 1e-9 {
        found.push(Unproved::OneAdvance);
    }
    if !running.iter().any(|(reading, _)| reading.speed_rpm > FAST_RPM) {
        found.push(Unproved::Slow);
    }
    found
}

/// What kept readings say about the zero, as a sentence: 'Seven readings prove the zero.' or what is missing.
pub fn proof_words(missing: &[Unproved], readings: usize) -> String {
    if missing.is_empty() {
        return format!("{} prove{} the zero.", count(readings, "reading"), if readings == 1 { "s" } else { "" });
    }
    format!("{}.", crate::wording::capital(&Unproved::all_words(missing)))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::project::{LoadKind, NewProject, Project, SensorKind};

    /// Commanded, observed, speed.
    const AGREEING: [(f64, f64, f64); 3] = [(10.0, 10.5, 1000.0), (10.0, 9.5, 3000.0), (20.0, 20.0, 1500.0)];

    fn with(rows: &[(f64, f64, f64)], change: impl FnOnce(&mut Parts)) -> Vec<Unproved> {
        let new = NewProject { name: "p".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let readings = rows.iter().map(|&(commanded_deg, observed_deg, speed_rpm)| TimingReading {
            commanded_deg,
            observed_deg,
            speed_rpm,
        });
        let project: Project = new.create().unwrap();
        let project = project.edit(|parts| {
            parts.timing_light.readings = readings.collect();
            parts.timing_light.taken_at = "2026-05-02T10:00:00Z".into();
            change(parts);
        });
        Unproved::of(&project.unwrap())
    }

    #[test]
    fn readings_that_agree_at_two_advances_and_one_of_them_fast_prove_it() {
        assert_eq!(with(&AGREEING, |_| ()), []);
        assert_eq!(proof_words(&[], 3), "3 readings prove the zero.");
        // Two are enough.
        assert_eq!(with(&[(10.0, 10.0, 1000.0), (15.0, 15.0, 2501.0)], |_| ()), []);
    }

    #[test]
    fn both_sides_of_each_border() {
        let all = |off: f64| AGREEING.map(|(commanded, _, speed)| (commanded, commanded + off, speed));
        assert_eq!(with(&all(1.0), |_| ()), []);
        assert_eq!(with(&all(-1.0), |_| ()), []);
        assert_eq!(with(&all(1.01), |_| ()), [Unproved::Mean { mean_deg: 1.01 }]);
        let one = |off: f64| [(10.0, 10.0 + off, 1000.0), (10.0, 10.0, 3000.0), (20.0, 20.0, 1500.0)];
        assert_eq!(with(&one(2.0), |_| ()), []);
        assert_eq!(with(&one(-2.01), |_| ()), [Unproved::Each { row: 1, off_deg: -2.01 }]);
        let fast = |rpm: f64| [(10.0, 10.0, rpm), (20.0, 20.0, 1500.0)];
        assert_eq!(with(&fast(2500.0), |_| ()), [Unproved::Slow]);
        assert_eq!(with(&fast(2500.1), |_| ()), []);
        let second = |deg: f64| [(10.0, 10.0, 3000.0), (deg, deg, 1500.0)];
        assert_eq!(with(&second(10.9), |_| ()), [Unproved::OneAdvance]);
        assert_eq!(with(&second(11.0), |_| ()), []);
    }

    /// One reading that is 4° off; and four of half the angle, as a wrongly set light shows.
    #[test]
    fn what_was_silent_before_is_named() {
        let one = with(&[(10.0, 14.0, 1000.0)], |_| ());
        assert_eq!(
            Unproved::all_words(&one),
            "the timing light shows +4.00° against what is commanded on average, more than 1.0°; timing-light reading 1 is \
             +4.00° off what is commanded, more than 2.0°; timing-light readings at a second commanded advance are \
             missing; a timing-light reading above 2500 rpm is missing"
        );
        let halved = [1000.0, 2000.0, 3000.0, 4000.0].map(|speed| (10.0, 5.0, speed));
        let found = with(&halved, |_| ());
        assert_eq!(found.len(), 3);
        assert_eq!(found[2], Unproved::OneAdvance);
    }

    #[test]
    fn another_trigger_is_another_zero() {
        type Change = fn(&mut Parts);
        let cases: [(Change, Unproved); 5] = [
            (|parts| parts.trigger.zero_offset_deg = 0.1, Unproved::Moved { by_deg: 0.1 }),
            (|parts| parts.trigger.reference_deg += 10.0, Unproved::Moved { by_deg: 10.0 }),
            (|parts| parts.trigger.sensor = SensorKind::Hall, Unproved::OtherSensor),
            (|parts| parts.trigger.latency_us = 40.0, Unproved::OtherLatency { by_us: 40.0 }),
            (|parts| parts.timing_light.taken_at.clear(), Unproved::NoReadings),
        ];
        for (change, missing) in cases {
            assert_eq!(with(&AGREEING, change), [missing]);
        }
        assert_eq!(with(&AGREEING, |parts| parts.trigger.zero_offset_deg = 0.05), []);
        assert_eq!(
            with(&AGREEING, |parts| (parts.trigger.reference_deg, parts.trigger.zero_offset_deg) = (90.0, 10.0)),
            []
        );
        assert!(matches!(with(&AGREEING, |parts| parts.trigger.wheel.teeth = 60)[..], [Unproved::OtherWheel { .. }]));
        assert_eq!(with(&[], |_| ()), [Unproved::NoReadings]);
    }

    /// 100 µs are 1.8° at 3000 rpm and 2.4° at 4000: the light should show that much less.
    #[test]
    fn a_latency_that_is_known_is_no_disagreement() {
        let rows = [(10.0, 9.4, 1000.0), (10.0, 7.6, 4000.0), (20.0, 19.1, 1500.0)];
        let known = |parts: &mut Parts| (parts.trigger.latency_us, parts.timing_light.latency_us) = (100.0, 100.0);
        assert_eq!(with(&rows, known), []);
        assert!(!with(&rows, |_| ()).is_empty());
    }

    #[test]
    fn readings_taken_while_cranking_count_for_nothing() {
        let mut rows = AGREEING.to_vec();
        rows.push((8.0, 2.0, 200.0));
        assert_eq!(with(&rows, |_| ()), []);
        assert_eq!(with(&[(8.0, 8.0, 200.0), (20.0, 20.0, 300.0)], |_| ()), [Unproved::OneAdvance, Unproved::Slow]);
    }

    proptest! {
        /// Moving the zero by more than a light can show invalidates the proof, whatever the readings were.
        #[test]
        fn a_zero_that_was_moved_is_never_proved(deg in 0.06..29.0_f64, negative: bool, observed in -5.0..40.0_f64) {
            let moved = if negative { -deg } else { deg };
            let rows = [(10.0, observed, 1000.0), (20.0, observed, 3000.0)];
            let found = with(&rows, |parts| parts.trigger.zero_offset_deg = moved);
            prop_assert!(matches!(found[..], [Unproved::Moved { .. }]), "{found:?}");
        }
    }
}
