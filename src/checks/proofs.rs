//! What must hold for all checks together.

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::fixtures::{sound, sound_pressure};
use super::{CHECKS, Finding, Severity, Spot, check, run, run_watched, threshold};
use crate::compare::samples::any_project;
use crate::project::{
    CellType, Chamber, FieldValue, Induction, KnownEngine, LoadKind, NewProject, Origin, Parts, Project, SAMPLES,
    list_fields,
};
use crate::watch::{Stopped, stopped_after};

fn sample(name: &str) -> Project {
    SAMPLES.iter().find(|sample| sample.name == name).unwrap().project().unwrap()
}

fn serious(project: &Project) -> Vec<Finding> {
    run(project).into_iter().filter(|finding| finding.severity < Severity::Note).collect()
}

#[test]
fn new_projects_of_every_size_lack_only_the_proof_of_their_zero() {
    let (every, some): (Vec<usize>, _) = ((2..=64).collect(), vec![2, 3, 8, 16, 33, 64]);
    // The number of cylinders decides nothing of the table; the test after this one has it at any size.
    for (cylinders, sizes) in [(4, every), (6, some.clone()), (8, some)] {
        for load in [LoadKind::Throttle, LoadKind::Pressure] {
            for &size in &sizes {
                let new = NewProject { name: "new".into(), cylinders, load, speeds: size, loads: size };
                let found: Vec<_> =
                    serious(&new.create().unwrap()).into_iter().map(|finding| finding.message).collect();
                let only = "the zero was never proved with a timing light";
                assert_eq!(found, [only], "{cylinders} cylinders, {load:?}, {size}");
            }
            let new = NewProject { name: "new".into(), cylinders, load, speeds: 64, loads: 2 };
            assert_eq!(serious(&new.create().unwrap()).len(), 1);
        }
    }
}

/// Engines of every kind with consistent figures: whatever is known of one, a fresh project lies under its
/// full-load line, and its only finding is the unproved zero.
fn known_engines() -> impl Strategy<Value = KnownEngine> {
    let told = |low: f64, high: f64, step: f64| {
        let count = ((high - low) / step).round();
        proptest::option::of((0.0..=1.0_f64).prop_map(move |share| low + (share * count).round() * step))
    };
    let chambers = proptest::option::of(proptest::sample::select(Chamber::ALL.to_vec()));
    let inductions = proptest::option::of(proptest::sample::select(vec![
        Induction::NaturallyAspirated,
        Induction::Boosted,
        Induction::Supercharged,
    ]));
    let figures = (told(6.0, 13.0, 0.1), told(78.0, 110.0, 1.0), told(85.0, 260.0, 5.0));
    let speeds = (told(500.0, 1800.0, 50.0), told(3000.0, 12_000.0, 100.0), told(0.5, 7.0, 0.1));
    (figures, speeds, chambers, inductions).prop_filter_map(
        "no engine bears that",
        |(figures, speeds, chamber, induction)| {
            let (compression_ratio, fuel_octane_ron, pressure) = figures;
            let (idle_speed_rpm, highest_safe_speed_rpm, displacement_l) = speeds;
            let is_boosted = induction.is_some_and(Induction::is_boosted);
            let highest_pressure_kpa = pressure.filter(|kpa| is_boosted == (*kpa > 100.0));
            let known = KnownEngine {
                displacement_l,
                compression_ratio,
                fuel_octane_ron,
                chamber,
                induction,
                highest_pressure_kpa,
                idle_speed_rpm,
                highest_safe_speed_rpm,
            };
            let effective = known.compression_ratio() * (known.highest_pressure_kpa().max(100.0) / 100.0).sqrt();
            (known.fuel_octane_ron() >= 91.0 + 4.0 * (effective - 9.5)).then_some(known)
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn fresh_projects_of_every_engine_lack_only_the_proof_of_their_zero(
        known in known_engines(),
        cylinders in prop_oneof![Just(4_u8), Just(6), Just(8)],
        pressure: bool,
        speeds in 2..=64_usize,
        loads in 2..=64_usize,
    ) {
        // Over throttle the load does not show boost, and that is a finding of its own.
        let is_boosted = known.induction().is_boosted();
        let load = if pressure || is_boosted { LoadKind::Pressure } else { LoadKind::Throttle };
        // With only two rows from 20 kPa to the highest pressure of a boosted engine, there is no row near
        // idle.
        let loads = if is_boosted || known.highest_pressure_kpa() > 150.0 { loads.max(4) } else { loads };
        let new = NewProject { name: "new".into(), cylinders, load, speeds, loads };
        let project = new.create_for(&known).unwrap();
        prop_assert_eq!(project.lowered_to_full_load_line(), Some(Vec::new()));
        let found: Vec<_> = run(&project).into_iter().filter(|finding| finding.id != "zero_proof").collect();
        prop_assert_eq!(found, []);
    }
}

#[test]
fn sound_tables_are_silent() {
    for project in [sound(), sound_pressure()] {
        assert_eq!(run(&project), []);
    }
    for name in ["tarn-special", "larch-six", "copse-eight"] {
        assert_eq!(serious(&sample(name)), [], "{name}");
    }
}

#[test]
fn the_neglected_one_shows_nine_of_nine_kinds() {
    let found = run(&sample("wren-four"));
    let ids: BTreeSet<&str> = found.iter().map(|finding| finding.id).collect();
    let expected = [
        "chatter",
        "coil_energy",
        "idle_slope",
        "load_trend",
        "reach",
        "slope_speed",
        "stands_out",
        "tachometer",
        "zero_proof",
    ];
    assert_eq!(ids.into_iter().collect::<Vec<_>>(), expected, "{found:#?}");
    assert_eq!(found.len(), 9);
    let energy = found.iter().find(|finding| finding.id == "coil_energy").unwrap();
    assert!((25.0..27.0).contains(&energy.value), "{}", energy.value);
}

#[test]
fn every_remedy_of_the_neglected_one_takes_its_finding_away() {
    let start = sample("wren-four");
    for finding in run(&start) {
        let Some(cure) = &finding.cure else {
            assert_eq!(finding.id, "zero_proof");
            continue;
        };
        let after = cure.apply(&start).unwrap();
        let left = run(&after).into_iter().find(|left| left.id == finding.id && left.place == finding.place);
        assert_eq!(left, None, "{}", cure.label);
    }
}

/// When everything is cured, worst first, what is left is to use the timing light and to check the added
/// column.
#[test]
fn the_neglected_one_can_be_put_right() {
    let mut project = sample("wren-four");
    for _ in 0..20 {
        let Some(cure) = run(&project).into_iter().find_map(|finding| finding.cure) else { break };
        project = cure.apply(&project).unwrap();
    }
    let left: Vec<&str> = run(&project).iter().map(|finding| finding.id).collect();
    assert_eq!(left, ["zero_proof", "reach"]);
}

#[test]
fn ids_and_names_are_unique_and_thresholds_are_called_after_their_check() {
    let ids: BTreeSet<&str> = CHECKS.iter().map(|check| check.id).collect();
    assert_eq!(ids.len(), CHECKS.len());
    let names: Vec<&str> = CHECKS.iter().flat_map(|check| check.thresholds).map(|threshold| threshold.name).collect();
    assert_eq!(names.iter().collect::<BTreeSet<_>>().len(), names.len());
    for check in CHECKS {
        assert!(check.reason.ends_with('.') && !check.title.ends_with('.'), "{}", check.id);
        for known in check.thresholds {
            assert!(known.name.starts_with(check.id), "{} of {}", known.name, check.id);
            assert!(known.allows(known.default) && threshold(known.name) == Some(known));
        }
    }
}

/// What every finding must have for the window and the files to use it.
fn assert_whole(project: &Project, found: &[Finding]) {
    let fields = list_fields(project).unwrap();
    let mut known = BTreeSet::new();
    for finding in found {
        assert!(!finding.message.is_empty() && !finding.message.ends_with('.'), "{finding:?}");
        assert!(finding.remedy.ends_with('.') && finding.why.ends_with('.'), "{finding:?}");
        assert!(finding.value.is_finite() && finding.threshold.is_finite(), "{finding:?}");
        assert!(
            known.insert((finding.id, finding.place.known_by.to_string())),
            "{} twice at {}",
            finding.id,
            finding.place.words
        );
        assert!(check(finding.id).unwrap().sections.contains(&finding.place.section()), "{finding:?}");
        match &finding.place.spot {
            Spot::Cells(cells) => {
                assert!(
                    !cells.is_empty()
                        && cells.is_sorted()
                        && cells.iter().all(|cell| {
                            cell.load < project.advance.table().load().len()
                                && cell.speed < project.advance.table().speed().len()
                        })
                );
            }
            Spot::Field(path) => {
                let is_there = |field: &FieldValue| field.path.starts_with(path.as_str());
                assert!(fields.iter().any(is_there) || path == "last_export", "{path}");
            }
        }
    }
}

#[test]
fn findings_are_whole_in_every_sample() {
    for sample in SAMPLES {
        let project = sample.project().unwrap();
        assert_whole(&project, &run(&project));
        let rough = project
            .advance
            .table()
            .values()
            .iter()
            .enumerate()
            .map(|(at, deg)| deg + if at % 3 == 0 { 9.0 } else { -6.0 });
        let rough = project.advance.with_values(rough.collect(), Origin::Typed).unwrap();
        let rough = project.with_advance(rough).unwrap();
        assert_whole(&rough, &run(&rough));
    }
}

/// A zero that falls between counts: its rounding cannot be a share of zero.
#[test]
fn findings_are_whole_where_a_value_is_zero() {
    let change = |parts: &mut Parts| {
        parts.coil.burn_time_ms = 0.0;
        for item in parts.image.items.iter_mut().filter(|item| item.name == "over_speed_cuts_at") {
            item.field = "coil.burn_time_ms".into();
            (item.cell, item.offset) = (CellType::I16, item.scale * 0.3);
        }
    };
    let zero = sound().edit(change).unwrap();
    let found = run(&zero);
    assert_whole(&zero, &found);
    assert_eq!(found.iter().map(|finding| finding.id).collect::<Vec<_>>(), ["image_loss"]);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// For any table: every finding is complete, two runs give the same, and every remedy leaves a valid
    /// project.
    #[test]
    fn any_table_can_be_checked(cells in proptest::collection::vec(-60.0..90.0_f64, 120), pressure: bool) {
        let start = if pressure { sound_pressure() } else { sound() };
        let advance = start.advance.with_values(cells, Origin::Imported).unwrap();
        let project = start.with_advance(advance).unwrap();
        let found = run(&project);
        assert_whole(&project, &found);
        prop_assert_eq!(&found, &run(&project));
        for cure in found.iter().filter_map(|finding| finding.cure.as_ref()) {
            let again = cure.apply(&project);
            prop_assert_eq!(&again, &cure.apply(&project));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn a_search_ends_before_the_check_at_which_it_is_stopped(project in any_project(), stop_at in 0..60_usize) {
        let (rounds, whole) = stopped_after(usize::MAX, |watch| run_watched(&project, watch));
        let is_meant = |check: &&&super::Check| project.locked_timing_deg.is_none() || !check.is_of_map;
        prop_assert_eq!(rounds, CHECKS.iter().filter(is_meant).count());
        prop_assert_eq!(&whole, &Ok(run(&project)));
        let expected = if stop_at < rounds { (stop_at + 1, Err(Stopped)) } else { (rounds, whole) };
        prop_assert_eq!(stopped_after(stop_at, |watch| run_watched(&project, watch)), expected);
    }
}
