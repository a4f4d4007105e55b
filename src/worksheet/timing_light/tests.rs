//! Compared with NumPy and SciPy: `linalg.lstsq`, `linalg.cond` and `stats.t.ppf` on the same readings.

use approx::assert_abs_diff_eq;
use proptest::prelude::*;

use super::{LightKind, PRESCRIBED_READINGS, TimingAnswer, TimingSetting, TimingVerdict, Unproved};
use crate::project::{LoadKind, NewProject, Project, TimingReading};
use crate::worksheet::{Gravity, Verdict, WorksheetError};

/// Commanded, observed, speed.
fn readings(rows: &[(f64, f64, f64)]) -> Vec<TimingReading> {
    let reading = |&(commanded_deg, observed_deg, speed_rpm)| TimingReading { commanded_deg, observed_deg, speed_rpm };
    rows.iter().map(reading).collect()
}

fn answer(rows: &[(f64, f64, f64)]) -> TimingAnswer {
    TimingAnswer::of(&readings(rows), &TimingSetting::default()).unwrap()
}

fn assert_interval(found: Option<[f64; 2]>, middle: f64, half: f64) {
    let [low, high] = found.unwrap();
    assert_abs_diff_eq!(low, middle - half, epsilon = 2e-9 * half.abs().max(1.0));
    assert_abs_diff_eq!(high, middle + half, epsilon = 2e-9 * half.abs().max(1.0));
}

/// Read to half degrees from a unit that is 4° early and about 100 µs late.
const LATE: [(f64, f64, f64); 7] = [
    (10.0, 13.5, 1000.0),
    (10.0, 13.0, 2000.0),
    (10.0, 12.5, 3000.0),
    (10.0, 11.5, 4000.0),
    (10.0, 13.0, 1500.0),
    (15.0, 18.0, 1500.0),
    (20.0, 23.5, 1500.0),
];

#[test]
fn offset_and_lag_agree_with_figures_computed_elsewhere() {
    let found = answer(&LATE);
    assert_abs_diff_eq!(found.offset_deg, 4.146_276_595_7, epsilon = 1e-9);
    assert_interval(found.offset_ci_deg, 4.146_276_595_745, 0.514_986_576_7);
    assert_abs_diff_eq!(found.latency_us.unwrap(), 103.723_404_255_3, epsilon = 1e-8);
    assert_interval(found.latency_ci_us, 103.723_404_255_3, 37.459_761_423_4);
    // The slope of the third column is 1 within its interval, so offset and lag are those for slope 1.
    assert_abs_diff_eq!(found.slope.unwrap(), 1.022_077_922_1, epsilon = 1e-9);
    assert_interval(found.slope_ci, 1.022_077_922_1, 0.071_404_887_0);
    assert_eq!((found.zero_offset_change_deg, found.pitches), (found.offset_deg, found.offset_deg / 10.0));
    assert_abs_diff_eq!(found.difference_deg(3000.0), 4.146_276_595_7 - 3000.0 * 6.223_404_255e-4, epsilon = 1e-9);
    let words: Vec<String> = found.verdicts.iter().map(Verdict::words).collect();
    assert_eq!(
        words,
        ["Change the zero offset by +4.15°, to +4.15°.", "The spark falls behind by 103.7 µs, 3.73° at 6000 rpm."]
    );
}

#[test]
fn a_light_that_divides_flashes_shows_in_the_slope() {
    let found = answer(&[
        (10.0, 7.0, 1000.0),
        (10.0, 6.5, 2000.0),
        (10.0, 6.0, 3000.0),
        (10.0, 5.5, 4000.0),
        (10.0, 7.0, 1500.0),
        (20.0, 11.5, 1500.0),
        (30.0, 16.5, 1500.0),
    ]);
    assert_abs_diff_eq!(found.slope.unwrap(), 0.481_493_506_5, epsilon = 1e-9);
    assert_interval(found.slope_ci, 0.481_493_506_5, 0.019_296_991_8);
    assert_abs_diff_eq!(found.offset_deg, 2.782_467_532_5, epsilon = 1e-9);
    assert_interval(found.offset_ci_deg, 2.782_467_532_5, 0.487_936_066_4);
    assert_abs_diff_eq!(found.latency_us.unwrap(), 87.662_337_662_3, epsilon = 1e-8);
    assert_interval(found.latency_ci_us, 87.662_337_662_3, 23.920_822_371_6);
    assert!(matches!(found.obstacle(), Some(TimingVerdict::Halved { .. })));
    assert!(found.verdicts.iter().all(|verdict| !matches!(verdict, TimingVerdict::Change { .. })));
    let refused = found.apply(&project(), "2026-05-01T10:00:00Z").unwrap_err();
    assert!(
        matches!(&refused, WorksheetError::Obstacle(words) if words.contains("catches every other one")),
        "{refused}"
    );
}

#[test]
fn a_scale_that_is_not_what_it_seems_shows_in_the_slope() {
    let found = answer(&[
        (10.0, 12.0, 1000.0),
        (10.0, 11.8, 2000.0),
        (10.0, 11.4, 3000.0),
        (10.0, 11.2, 4000.0),
        (20.0, 24.3, 1500.0),
        (30.0, 36.1, 1500.0),
        (40.0, 48.2, 1500.0),
    ]);
    assert_abs_diff_eq!(found.slope.unwrap(), 1.210_089_820_4, epsilon = 1e-9);
    assert_abs_diff_eq!(found.offset_deg, 0.312_275_449_1, epsilon = 1e-9);
    assert_abs_diff_eq!(found.latency_us.unwrap(), 51.696_606_786_5, epsilon = 1e-8);
    assert!(matches!(found.obstacle(), Some(TimingVerdict::ScaleOff { .. })));
    let doubled = PRESCRIBED_READINGS.map(|(commanded, speed)| (commanded, 2.0 * commanded + 1.0, speed));
    assert!(matches!(answer(&doubled).obstacle(), Some(TimingVerdict::Doubled { .. })));
}

#[test]
fn at_one_advance_there_is_no_slope() {
    let found = answer(&[
        (10.0, 12.5, 1000.0),
        (10.0, 12.0, 2000.0),
        (10.0, 11.5, 3000.0),
        (10.0, 10.5, 4000.0),
        (10.0, 10.0, 5000.0),
    ]);
    assert_abs_diff_eq!(found.offset_deg, 3.25, epsilon = 1e-12);
    assert_interval(found.offset_ci_deg, 3.25, 0.527_749_015_5);
    assert_abs_diff_eq!(found.latency_us.unwrap(), 108.333_333_333_3, epsilon = 1e-8);
    assert_interval(found.latency_ci_us, 108.333_333_333_3, 26.520_385_877_4);
    assert_eq!((found.slope, found.slope_ci), (None, None));
    assert!(found.verdicts.contains(&TimingVerdict::OneAdvance));
}

#[test]
fn two_readings_give_their_mean_and_no_more() {
    let found = answer(&[(10.0, 14.0, 1000.0), (20.0, 23.0, 3000.0)]);
    assert_eq!((found.offset_deg, found.new_zero_offset_deg, found.pitches), (3.5, 3.5, 0.35));
    assert_eq!((found.offset_ci_deg, found.latency_us, found.latency_ci_us), (None, None, None));
    assert_eq!((found.slope, found.slope_ci), (None, None));
    assert!(found.verdicts.contains(&TimingVerdict::FewReadings { readings: 2 }));
}

/// Observed 14 at commanded 10 is a zero offset of +4.
#[test]
fn one_reading_is_enough_for_an_offset() {
    let setting = TimingSetting { zero_offset_deg: -1.5, pitch_deg: 6.0, ..TimingSetting::default() };
    let found = TimingAnswer::of(&readings(&[(10.0, 14.0, 1000.0)]), &setting).unwrap();
    assert_eq!((found.zero_offset_change_deg, found.new_zero_offset_deg), (4.0, 2.5));
    assert_abs_diff_eq!(found.pitches, 2.0 / 3.0, epsilon = 1e-12);
}

/// Mean 1.75 ± t(3, 0.975)·s/√4, computed with SciPy.
#[test]
fn at_one_speed_there_is_the_offset_alone() {
    let found = answer(&[(8.0, 9.5, 1200.0), (10.0, 12.0, 1200.0), (12.0, 13.5, 1200.0), (14.0, 16.0, 1200.0)]);
    assert_abs_diff_eq!(found.offset_deg, 1.75, epsilon = 1e-12);
    assert_interval(found.offset_ci_deg, 1.75, 0.459_346_557_8);
    assert_eq!((found.latency_us, found.slope), (None, None));
    assert!(found.verdicts.contains(&TimingVerdict::OneSpeed));
}

#[test]
fn what_rises_together_is_not_told_apart() {
    let found = answer(&[
        (10.0, 12.0, 1000.0),
        (15.0, 17.0, 2000.0),
        (20.0, 22.5, 3000.0),
        (25.0, 27.0, 4000.0),
        (30.0, 32.0, 5000.0),
    ]);
    assert_eq!((found.slope, found.slope_ci), (None, None));
    assert_abs_diff_eq!(found.offset_deg, 2.1, epsilon = 1e-12);
    assert_interval(found.offset_ci_deg, 2.1, 0.861_810_533_5);
    let words = TimingVerdict::NotSeparated.words();
    assert!(found.verdicts.contains(&TimingVerdict::NotSeparated));
    assert!(words.contains("1000, 2000, 3000 and 4000 rpm") && words.contains("5, 15 and 25°"));
    let prescribed = PRESCRIBED_READINGS.map(|(commanded, speed)| (commanded, commanded + 2.0, speed));
    assert!(answer(&prescribed).slope.is_some(), "what is prescribed tells everything");
}

/// Speed and commanded advance rise together almost exactly (r = 0.999 993, variance inflation 72 034), which
/// the columns' condition, 7.5e5, does not reveal. A fit of all three gives −65° and 8684 µs; computed with NumPy.
#[test]
fn columns_that_inflate_the_variance_are_not_told_apart() {
    let found = answer(&[
        (11.0, 7.5, 1000.0),
        (15.8, 11.7, 1960.0),
        (22.6, 18.6, 3310.0),
        (18.2, 14.4, 2430.0),
        (15.4, 11.3, 1880.0),
        (27.2, 22.4, 4230.0),
        (11.8, 7.7, 1170.0),
        (13.1, 9.0, 1420.0),
    ]);
    assert_eq!((found.slope, found.slope_ci), (None, None));
    assert_abs_diff_eq!(found.offset_deg, -3.572_446_425_7, epsilon = 1e-9);
    assert_interval(found.offset_ci_deg, -3.572_446_425_7, 0.577_641_053_4);
    assert_abs_diff_eq!(found.latency_us.unwrap(), 37.551_998_031_6, epsilon = 1e-8);
    assert!(found.verdicts.contains(&TimingVerdict::NotSeparated));
}

/// For commanded = a + b·speed ± d, alternating, d sets the correlation: √(1 − 1/10) = 0.948 68 is the border.
#[test]
fn the_border_is_a_tenfold_variance() {
    let slope = |apart_deg: f64| {
        let rows: Vec<(f64, f64, f64)> = (0..8)
            .map(|at| {
                let side = [1.0, -1.0, -1.0, 1.0][at % 4];
                #[expect(clippy::cast_precision_loss, reason = "eight readings")]
                let commanded_deg = 10.0 + at as f64 + side * apart_deg;
                #[expect(clippy::cast_precision_loss, reason = "eight readings")]
                let speed_rpm = 1000.0 + 500.0 * at as f64;
                (commanded_deg, commanded_deg + 1.0, speed_rpm)
            })
            .collect();
        answer(&rows).slope
    };
    // The alternation is orthogonal to the speeds: r² = 5.25/(5.25 + d²), and 10 is reached at d² = 5.25/9.
    let border_deg = (5.25_f64 / 9.0).sqrt();
    assert!(slope(border_deg * 1.01).is_some() && slope(border_deg * 0.99).is_none());
    assert_eq!(slope(0.0), None);
}

#[test]
fn one_verdict_says_what_to_do_about_a_whole_pitch() {
    let everywhere = PRESCRIBED_READINGS.map(|(commanded, speed)| (commanded, commanded + 10.0, speed));
    let found = answer(&everywhere);
    let words: Vec<String> = found.verdicts.iter().map(Verdict::words).collect();
    assert_eq!(
        words,
        [
            "+10.00° is about 1 pitch of the wheel: the reference was counted from another tooth. Prove dead centre and count \
          again; then move the reference by +10.00°, leave the zero offset as it is, and read again."
        ]
    );
    assert_eq!(serde_json::to_value(&found).unwrap()["reference_change_deg"], 10.0);
    // Nothing is applied, and nothing is kept as if it were a proof.
    for offset_deg in [10.0, -20.4] {
        let before = project();
        let rows = PRESCRIBED_READINGS.map(|(commanded, speed)| (commanded, commanded + offset_deg, speed));
        let found = TimingAnswer::of(&readings(&rows), &TimingSetting::of(&before)).unwrap();
        assert!(matches!(found.obstacle(), Some(TimingVerdict::WholePitches { .. })));
        assert!(matches!(found.apply(&before, "t"), Err(WorksheetError::Obstacle(_))));
        assert!(matches!(found.keep(&before, "t"), Err(WorksheetError::Obstacle(_))));
    }
    // A zero offset out of range is never proposed, and a large one is reported only once.
    for (offset_deg, count) in [(47.0, 0), (14.0, 1), (4.0, 1), (9.7, 0)] {
        let rows = PRESCRIBED_READINGS.map(|(commanded, speed)| (commanded, commanded + offset_deg, speed));
        let verdicts = answer(&rows).verdicts;
        let changes = verdicts.iter().filter(|verdict| matches!(verdict, TimingVerdict::Change { .. }));
        assert_eq!(changes.count(), count, "{offset_deg}");
        assert!(!verdicts.iter().any(|verdict| verdict.words().contains("instead")), "{offset_deg}");
    }
}

#[test]
fn offsets_too_large_for_a_trim_are_told_in_pitches() {
    let off_by = |deg: f64| answer(&PRESCRIBED_READINGS.map(|(commanded, speed)| (commanded, commanded + deg, speed)));
    let words = |deg: f64| off_by(deg).verdicts.iter().map(Verdict::words).collect::<Vec<_>>().join(" ");
    assert!(words(9.7).contains("+9.70° is about 1 pitch of the wheel"), "{}", words(9.7));
    assert!(words(-20.4).contains("about −2 pitches of the wheel"), "{}", words(-20.4));
    assert!(words(14.0).contains("more than a fine trim"));
    assert!(
        words(47.0).contains("more than 30.0° either way is no trim: move the reference by 5 teeth"),
        "{}",
        words(47.0)
    );
    assert!(matches!(off_by(47.0).obstacle(), Some(TimingVerdict::OutOfRange { .. })));
    assert_eq!(off_by(0.2).verdicts[0].gravity(), Gravity::Good);
}

fn project() -> Project {
    let new = NewProject { name: "light".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
    new.create().unwrap().edit(|parts| parts.trigger.zero_offset_deg = 1.0).unwrap()
}

#[test]
fn applying_sets_offset_and_sure_lag_and_keeps_the_readings() {
    let before = project();
    let found = TimingAnswer::of(&readings(&LATE), &TimingSetting::of(&before)).unwrap();
    assert_eq!(found.label(), "Set zero offset to +5.15°, sensor latency to 103.7 µs");
    let after = found.apply(&before, "2026-05-01T10:00:00Z").unwrap();
    assert_eq!(after.trigger.zero_offset_deg, found.new_zero_offset_deg);
    assert_eq!(after.trigger.latency_us, found.latency_us.unwrap());
    let light = &after.timing_light;
    assert_eq!((light.readings.len(), light.taken_at.as_str()), (7, "2026-05-01T10:00:00Z"));
    // They were taken before the correction, so they prove nothing after it.
    assert_eq!((light.zero_offset_deg, light.latency_us, light.wheel), (1.0, 0.0, before.trigger.wheel));
    assert!(matches!(Unproved::of(&after)[..], [Unproved::Moved { .. }, Unproved::OtherLatency { .. }]));
    let few = answer(&[(10.0, 14.0, 1000.0)]);
    assert_eq!(few.label(), "Set zero offset to +4.00°");
    assert_eq!(few.apply(&before, "").unwrap().trigger.latency_us, 0.0);
}

/// Read, corrected, read again: now the readings agree, are kept and prove the zero, and nothing moves any
/// more.
#[test]
fn a_correction_is_proved_by_the_readings_after_it() {
    let at = |offset: f64| PRESCRIBED_READINGS.map(|(commanded, speed)| (commanded, commanded + offset, speed));
    let first = TimingAnswer::of(&readings(&at(4.0)), &TimingSetting::of(&project())).unwrap();
    let corrected = first.apply(&project(), "2026-05-01T10:00:00Z").unwrap();
    assert_eq!(corrected.trigger.zero_offset_deg, 5.0);
    assert_eq!(Unproved::of(&corrected), [Unproved::Moved { by_deg: 4.0 }]);
    let second = TimingAnswer::of(&readings(&at(0.2)), &TimingSetting::of(&corrected)).unwrap();
    assert!(!second.corrects());
    assert_eq!(second.label(), "Keep 7 readings, zero offset as it is");
    let proved = second.apply(&corrected, "2026-05-01T10:20:00Z").unwrap();
    assert_eq!((&proved.trigger, Unproved::of(&proved)), (&corrected.trigger, vec![]));
    // Kept without a correction, readings that agree well enough also prove it.
    let kept = TimingAnswer::of(&readings(&at(0.8)), &TimingSetting::of(&project())).unwrap();
    assert!(kept.corrects());
    let kept = kept.keep(&project(), "2026-05-01T10:20:00Z").unwrap();
    assert_eq!((kept.trigger.zero_offset_deg, Unproved::of(&kept)), (1.0, vec![]));
}

/// Four readings of 5° at 10°: either a wrongly set light or a zero that is off by 5°. Nothing says which.
#[test]
fn half_or_twice_of_one_advance_is_asked_about() {
    let at = |observed: f64| [1000.0, 2000.0, 3000.0, 4000.0].map(|speed| (10.0, observed, speed));
    let with = |observed: f64, light| {
        let setting = TimingSetting { light, pitch_deg: 6.0, ..TimingSetting::default() };
        TimingAnswer::of(&readings(&at(observed)), &setting).unwrap()
    };
    let words = |observed, light| with(observed, light).obstacle().map(Verdict::words).unwrap_or_default();
    let half = words(5.0, None);
    assert!(
        half.contains("Which light is it, a plain one or one with a delay knob") && half.contains("every revolution")
    );
    assert!(half.contains("cannot halve: then the zero is off by \u{2212}5.00°"), "{half}");
    let twice = words(20.0, None);
    assert!(twice.contains("cannot double: then the zero is off by +10.00°"), "{twice}");
    // Opposite faults give opposite words.
    assert!(half.contains("catches every other one") && !half.contains("in two revolutions"), "{half}");
    assert!(twice.contains("for a spark in two revolutions") && !twice.contains("catches every other"), "{twice}");
    // A plain light can do neither: then it is the zero.
    let plain = with(5.0, Some(LightKind::Plain));
    assert!(plain.obstacle().is_none() && plain.label() == "Set zero offset to \u{2212}5.00°");
    let knob = words(5.0, Some(LightKind::DelayKnob));
    assert!(!knob.contains("Which light") && knob.contains("Read at a second commanded advance"), "{knob}");
    // The limits of the share.
    for (observed, is_asked) in
        [(3.9, false), (4.0, true), (6.0, true), (6.1, false), (17.9, false), (18.0, true), (22.0, true), (22.1, false)]
    {
        let asked = with(observed, None).verdicts.iter().any(|verdict| matches!(verdict, TimingVerdict::Share { .. }));
        assert_eq!(asked, is_asked, "{observed}");
    }
    // If no advance is commanded, there is no half of it.
    assert!(answer(&[(0.0, 0.0, 1000.0), (0.0, 0.0, 3000.0)]).obstacle().is_none());
}

/// Too few for a slope, but half at two different advances: no offset does that.
#[test]
fn half_of_two_advances_is_a_light_that_halves() {
    let found = answer(&[(10.0, 5.0, 1000.0), (24.0, 12.5, 1500.0)]);
    assert!(matches!(found.obstacle(), Some(TimingVerdict::Halved { .. })), "{:?}", found.verdicts);
    let found = answer(&[(10.0, 20.0, 1000.0), (24.0, 47.0, 1500.0)]);
    assert!(matches!(found.obstacle(), Some(TimingVerdict::Doubled { .. })), "{:?}", found.verdicts);
}

#[test]
fn readings_taken_while_cranking_are_kept_apart() {
    let running = answer(&LATE);
    let mut rows = LATE.to_vec();
    rows.insert(0, (8.0, 3.0, 210.0));
    rows.push((8.0, 4.0, 599.0));
    let found = answer(&rows);
    assert_eq!(
        (found.offset_deg, found.latency_us, found.slope),
        (running.offset_deg, running.latency_us, running.slope)
    );
    assert_eq!((found.cranking_readings, found.readings.len()), (2, 9));
    let words: Vec<String> = found.verdicts.iter().map(Verdict::words).collect();
    let apart = "2 readings below 600 rpm are kept apart: while cranking the light shows \u{2212}4.50° against what is commanded.";
    assert!(words.iter().any(|words| words == apart), "{words:?}");
    // On their own they are good enough to start with.
    let alone = answer(&[(8.0, 12.0, 210.0)]);
    assert_eq!(alone.zero_offset_change_deg, 4.0);
    assert!(alone.verdicts.contains(&TimingVerdict::CrankingOnly) && alone.obstacle().is_none());
}

#[test]
fn one_reading_that_lies_off_is_named_by_its_row_and_still_counts() {
    let mut rows = LATE.to_vec();
    rows[4].1 = 19.0;
    let found = answer(&rows);
    assert_eq!(found.outlier_row, Some(5));
    assert!((found.offset_deg - answer(&LATE).offset_deg).abs() > 0.2, "it counts");
    let told = found.verdicts.iter().find(|verdict| matches!(verdict, TimingVerdict::Outlier { .. })).unwrap();
    assert_eq!(told.gravity(), Gravity::Warning);
    assert!(
        told.words().starts_with("Reading 5 lies +") && told.words().contains("It still counts"),
        "{}",
        told.words()
    );
    // Rows are numbered as typed, including those in between that do not count.
    let mut numbered: Vec<(usize, TimingReading)> =
        readings(&rows).into_iter().zip(3..).map(|(a, row)| (row, a)).collect();
    numbered.insert(0, (1, TimingReading { commanded_deg: 8.0, observed_deg: 8.0, speed_rpm: 200.0 }));
    assert_eq!(TimingAnswer::of_rows(&numbered, &TimingSetting::default()).unwrap().outlier_row, Some(7));
    assert_eq!(answer(&LATE).outlier_row, None);
}

/// A latency that is already set is no correction; one that is not is.
#[test]
fn a_latency_in_use_is_left_as_it_is() {
    let late = PRESCRIBED_READINGS.map(|(commanded, speed)| {
        (commanded, commanded - 100.0 * 6e-6 * speed + if speed == 3000.0 { 0.1 } else { 0.0 }, speed)
    });
    let with = |latency_us| {
        let setting = TimingSetting { latency_us, ..TimingSetting::default() };
        TimingAnswer::of(&readings(&late), &setting).unwrap()
    };
    assert!(with(0.0).corrects() && with(0.0).label().starts_with("Set sensor latency to"));
    assert!(!with(100.0).corrects(), "{:?}", with(100.0).latency_ci_us);
}

#[test]
fn a_lag_that_no_project_can_have_is_told_and_not_applied() {
    let late = |latency_us: f64| {
        answer(
            &PRESCRIBED_READINGS
                .map(|(commanded, speed)| (commanded, commanded + 3.0 - latency_us * 6e-6 * speed, speed)),
        )
    };
    let found = late(1500.0);
    let verdict = found.verdicts.iter().find(|verdict| matches!(verdict, TimingVerdict::LagOutOfRange { .. })).unwrap();
    assert_eq!(verdict.gravity(), Gravity::Warning);
    assert!(verdict.words().starts_with("The spark falls behind by 1500.0 µs, 54.00° at 6000 rpm: more than a sensor"));
    assert_eq!((found.sure_latency_us(), found.label().as_str()), (None, "Set zero offset to +3.00°"));
    let found = late(900.0);
    assert!(found.verdicts.iter().any(|verdict| matches!(verdict, TimingVerdict::Lags { .. })));
    assert!(found.sure_latency_us().is_some());
}

#[test]
fn readings_that_cannot_be_are_named() {
    let error = |rows: &[(f64, f64, f64)]| {
        TimingAnswer::of(&readings(rows), &TimingSetting::default()).unwrap_err().to_string()
    };
    assert_eq!(error(&[(10.0, 14.0, 1000.0), (95.0, 1.0, 1.0)]), "reading 2, commanded: 95 is outside −60..90°");
    assert!(error(&[(1.0, f64::NAN, 1.0)]).contains("reading 1, observed"));
    assert!(error(&[]).contains("no readings"));
}

#[test]
fn json_has_its_keys() {
    let json = serde_json::to_value(answer(&LATE)).unwrap();
    let keys: Vec<&str> = json.as_object().unwrap().keys().map(String::as_str).collect();
    let mut wanted = vec![
        "offset_deg",
        "offset_ci_deg",
        "latency_us",
        "latency_ci_us",
        "slope",
        "slope_ci",
        "outlier_row",
        "cranking_readings",
        "zero_offset_change_deg",
        "new_zero_offset_deg",
        "pitches",
        "verdicts",
    ];
    wanted.sort_unstable();
    let mut keys = keys;
    keys.sort_unstable();
    assert_eq!(keys, wanted);
    assert!(json["verdicts"][0].is_string());
}

proptest! {
    /// Readings without scatter give back the values that they were made from.
    #[test]
    fn exact_readings_give_back_offset_lag_and_slope(
        offset_deg in -30.0..30.0, latency_us in 0.0..400.0, slope in prop_oneof![Just(1.0), Just(0.5), Just(2.0), 0.7..1.4],
    ) {
        let rows = PRESCRIBED_READINGS.map(|(commanded, speed)| {
            (commanded, offset_deg + slope * commanded - latency_us * 6e-6 * speed, speed)
        });
        let found = answer(&rows);
        prop_assert!((found.slope.unwrap() - slope).abs() < 1e-9);
        // Slopes that a light cannot tell from 1 count as 1, and the remainder goes into the offset.
        if slope == 1.0 || (slope - 1.0_f64).abs() > 0.021 {
            let error: f64 = found.offset_deg - offset_deg;
            prop_assert!(error.abs() < 1e-8);
            let error: f64 = found.latency_us.unwrap() - latency_us;
            prop_assert!(error.abs() < 1e-5);
            // A miscounted tooth is an obstacle as well.
            let pitches: f64 = found.pitches;
            let is_whole = pitches.round() != 0.0 && (pitches - pitches.round()).abs() <= 0.15;
            prop_assert_eq!(found.obstacle().is_some(), slope != 1.0 || is_whole);
        }
    }
}
