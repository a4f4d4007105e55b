//! Tests of the strip.

use super::*;
use crate::drawing::{Look, Shape};
use crate::project::SAMPLES;
use crate::rig::{BuiltIn, CoilEnd, Layout, Record, Replay, Rig, Settings, Turn};
use crate::wording::fixed;

const RECT: Rect = Rect { left: 20.0, top: 40.0, width: 800.0, height: 300.0 };

/// Lays out the strip of a sample at a time of a run and passes it to a check.
fn with_strip(
    sample: usize,
    run: BuiltIn,
    time_s: f64,
    axis: StripAxis,
    check: impl Fn(&Strip, &Scene, &Revolution, &Motion),
) {
    with_faults(&Settings::default(), (sample, RECT), run, time_s, axis, check);
}

/// The same with faults, in a place.
fn with_faults(
    settings: &Settings,
    (sample, rect): (usize, Rect),
    run: BuiltIn,
    time_s: f64,
    axis: StripAxis,
    check: impl Fn(&Strip, &Scene, &Revolution, &Motion),
) {
    let project = SAMPLES[sample].project().unwrap();
    let run = run.run(&project).unwrap();
    let rig = Rig::new(&project, settings.clone()).unwrap();
    let (motion, layout) = (rig.motion(&run), Layout::new(&project));
    let mut record = Record::new(&run, 1000);
    let replay = Replay::new(rig.drive(&run, &motion), &run, &mut record).unwrap();
    let turn = Turn::at(time_s, &run, &motion, &layout);
    let mut events = Vec::new();
    replay.events(turn.wanted_s().0, turn.wanted_s().1, &mut events);
    let revolution = Revolution::new(turn, &events, &motion, &layout);
    let (parts, run, motion, record) = (&*project, &run, &motion, &record);
    let driven = DrivenRun { parts, run, motion, record, settings };
    let frame = Frame { look: Look::Light, rect, names: true };
    let spec = StripSpec { driven, revolution: &revolution, axis, frame };
    let (strip, mut scene) = (Strip::new(&spec).unwrap(), Scene::default());
    strip.draw(&spec, &mut scene);
    check(&strip, &scene, &revolution, motion);
}

fn texts(scene: &Scene) -> Vec<&str> {
    scene.labels.iter().map(|label| label.text.as_str()).collect()
}

#[test]
fn a_spark_stands_its_advance_before_its_dead_centre() {
    with_strip(0, BuiltIn::SweepToTheLimit, 4.0, StripAxis::Crank, |strip, scene, revolution, _| {
        let spark = revolution.coils.iter().find(|coil| coil.channel == 0).unwrap();
        let CoilEnd::Spark { actual_deg, .. } = spark.end else { panic!("no spark") };
        let at = strip.along.from_screen(strip.x(spark.to));
        assert!((at + actual_deg).abs() < 1e-3, "{at} {actual_deg}");
        let texts = texts(scene);
        for text in [
            format!("spark {}°", fixed(actual_deg, 1)),
            "TDC 1, 4".into(),
            "TDC 3, 2".into(),
            "gap 18.0°".into(),
            "0°".into(),
        ] {
            assert!(texts.contains(&text.as_str()), "{text}: {texts:?}");
        }
    });
}

#[test]
fn everything_stays_inside_over_angle_and_over_time() {
    for (sample, run, time_s) in [
        (0, BuiltIn::SweepToTheLimit, 8.6),
        (1, BuiltIn::Launch, 2.3),
        (2, BuiltIn::ColdStart, 1.5),
        (3, BuiltIn::RunDown, 5.4),
        (0, BuiltIn::CrankAndStart, 0.0),
    ] {
        for axis in [StripAxis::Crank, StripAxis::Time] {
            with_strip(sample, run, time_s, axis, |strip, scene, _, motion| {
                for shape in &scene.shapes {
                    let Shape::Line { from, to, .. } = shape else { continue };
                    for at in [from, to] {
                        let near = at.x >= RECT.left - 1.0 && at.x <= RECT.left + RECT.width + 1.0;
                        assert!(near && at.y <= RECT.top + RECT.height + 1.0, "{sample} {run:?} {axis:?} {at:?}");
                    }
                }
                let (left, right) = strip.along.screen;
                // The conversion back and forth ends at the same place.
                let middle = strip.instant(f32::midpoint(left, right), motion);
                if let Some(instant) = middle.filter(|_| axis == StripAxis::Crank) {
                    assert!((strip.x(instant) - f32::midpoint(left, right)).abs() < 0.01);
                }
            });
        }
    }
}

#[test]
fn a_cut_is_a_cross_with_its_reason() {
    with_strip(0, BuiltIn::SweepToTheLimit, 8.35, StripAxis::Crank, |_, scene, revolution, _| {
        let cuts = revolution.others.iter().filter(|event| matches!(event.what, What::Cut { .. })).count();
        assert!(cuts > 0);
        assert_eq!(texts(scene).iter().filter(|text| **text == "cut").count(), cuts);
    });
}

/// In a narrow strip the line of the lost position would run through the name, which is left out then.
#[test]
fn the_name_of_a_gap_is_inside_and_no_line_of_a_lost_position_runs_through_it() {
    let settings = Settings { dropped_at_s: vec![3.0], ..Settings::default() };
    let names = |width: f32| {
        let count = std::cell::Cell::new(0);
        let rect = Rect { width, ..RECT };
        let check = |strip: &Strip, scene: &Scene, revolution: &Revolution, _: &Motion| {
            let lost = revolution.others.iter().find(|event| matches!(event.what, What::SyncLost(_))).unwrap();
            let x = strip.x((lost.time_s, lost.crank_deg));
            let boxes = scene.labels.iter().filter(|label| label.text.starts_with("gap ")).map(label_box);
            for own in boxes {
                assert!(own.left >= strip.along.screen.0 && own.left + own.width <= strip.along.screen.1);
                assert!(x <= own.left || x >= own.left + own.width, "{width}: {own:?} at {x}");
                count.set(count.get() + 1);
            }
        };
        with_faults(&settings, (0, rect), BuiltIn::SweepToTheLimit, 3.005, StripAxis::Crank, check);
        count.get()
    };
    assert_eq!([names(1100.0), names(420.0)], [1, 0]);
}
