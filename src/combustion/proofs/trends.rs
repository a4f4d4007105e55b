//! How the model answers to its inputs.

use super::*;
use crate::combustion::KnockLimit;
use approx::assert_abs_diff_eq;
use proptest::prelude::*;

/// The knock limit of the plain engine at 2000 rpm and 97 kPa with λ 0.88.
fn limit_deg(change: impl FnOnce(&mut Description)) -> f64 {
    let mut description = plain();
    change(&mut description);
    let place = Place { lambda: Some(0.88), ..place(2000.0, 97.0) };
    let limit = with_cell(&description, place, |cell| cell.knock_limit(&cell.sweep()));
    limit.deg().unwrap()
}

/// Values of an independent computation with NumPy.
#[test]
fn the_knock_limit_by_octane_ratio_and_intake_air() {
    for (ron, deg) in [(90.0, 17.66), (95.0, 21.39), (98.0, 23.81), (100.0, 25.53)] {
        let found = limit_deg(|engine| (engine.octane_ron, engine.octane_mon) = (ron, ron - 10.0));
        assert_abs_diff_eq!(found, deg, epsilon = 0.1);
    }
    for (ratio, deg) in [(8.0, 34.17), (9.5, 21.39), (11.0, 13.89)] {
        assert_abs_diff_eq!(limit_deg(|engine| engine.compression_ratio = ratio), deg, epsilon = 0.1);
    }
    for (air_c, deg) in [(0.0, 24.55), (25.0, 21.39), (50.0, 18.51)] {
        assert_abs_diff_eq!(limit_deg(|engine| engine.intake_air_c = Some(air_c)), deg, epsilon = 0.1);
    }
}

/// Values of an independent computation with NumPy.
#[test]
fn best_torque_by_mixture() {
    for (lambda, deg) in [(0.8, 37.5), (0.88, 36.8), (0.95, 37.4), (1.0, 38.3), (1.1, 41.3), (1.2, 45.7)] {
        let place = Place { lambda: Some(lambda), ..place(2500.0, 60.0) };
        let found = with_cell(&plain(), place, |cell| cell.best_torque_deg(&cell.sweep()));
        assert_abs_diff_eq!(found, deg, epsilon = 0.1);
    }
}

/// A number in which limits can be compared.
fn as_deg(limit: KnockLimit) -> f64 {
    match limit {
        KnockLimit::Always => f64::NEG_INFINITY,
        KnockLimit::At(deg) => deg,
        KnockLimit::Beyond => f64::INFINITY,
    }
}

fn limit_of(description: &Description, place: Place) -> f64 {
    as_deg(with_cell(description, place, |cell| cell.sweep().knock_limit(0.0)))
}

/// Any engine that the model is for, not boosted.
fn engines() -> impl Strategy<Value = Description> {
    let shape = (0.8..1.4_f64, 7.5..12.0_f64, 10.0..45.0_f64, 0..6_usize);
    (shape, 85.0..100.0_f64, 0.0..50.0_f64).prop_map(
        |((bore_to_stroke, compression_ratio, overlap_deg, chamber), ron, air_c)| Description {
            bore_to_stroke,
            compression_ratio,
            overlap_deg,
            chamber: Chamber::ALL[chamber],
            octane_ron: ron,
            octane_mon: ron - 10.0,
            intake_air_c: Some(air_c),
            ..plain()
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// More octane bears more advance; more compression, hotter air and more pressure less.
    #[test]
    fn the_knock_limit_falls_with_what_heats_the_end_gas(engine in engines(), speed_rpm in 1500.0..6000.0_f64, pressure_kpa in 70.0..98.0_f64) {
        let place = place(speed_rpm, pressure_kpa);
        let limit = limit_of(&engine, place);
        let better = Description { octane_ron: engine.octane_ron + 3.0, octane_mon: engine.octane_mon + 3.0, ..engine.clone() };
        prop_assert!(limit_of(&better, place) >= limit);
        let tighter = Description { compression_ratio: engine.compression_ratio + 0.5, ..engine.clone() };
        prop_assert!(limit_of(&tighter, place) <= limit);
        let hotter = Description { intake_air_c: engine.intake_air_c.map(|air_c| air_c + 15.0), ..engine.clone() };
        prop_assert!(limit_of(&hotter, place) <= limit);
        let lambda = Some(engine.lambda.lookup(pressure_kpa));
        let fuller = Place { pressure_kpa: pressure_kpa + 5.0, lambda, ..place };
        prop_assert!(limit_of(&engine, fuller) <= limit);
    }

    /// Best torque comes earlier with speed and with less charge.
    #[test]
    fn best_torque_moves_with_speed_and_charge(engine in engines(), speed_rpm in 1500.0..4500.0_f64, pressure_kpa in 45.0..70.0_f64) {
        let best = |speed_rpm: f64, pressure_kpa: f64| {
            with_cell(&engine, place(speed_rpm, pressure_kpa), |cell| cell.best_torque_deg(&cell.sweep()))
        };
        let here = best(speed_rpm, pressure_kpa);
        prop_assert!(best(1.2 * speed_rpm, pressure_kpa) > here);
        prop_assert!(best(speed_rpm, 0.85 * pressure_kpa) > here);
    }

    /// No result jumps while the spark is moved, also across the steps of the grid.
    #[test]
    fn all_is_smooth_in_the_spark(engine in engines(), speed_rpm in 1000.0..6000.0_f64, pressure_kpa in 40.0..98.0_f64, tenth in -100..600_i32) {
        let advance_deg = f64::from(tenth) / 10.0;
        with_cell(&engine, place(speed_rpm, pressure_kpa), |cell| {
            let (here, beside) = (cell.fire(advance_deg), cell.fire(advance_deg + 1e-6));
            prop_assert!((beside.indicated_pa / here.indicated_pa - 1.0).abs() < 1e-6);
            prop_assert!((beside.knock_ln() - here.knock_ln()).abs() < 1e-6);
            prop_assert!((beside.half_burnt_deg - here.half_burnt_deg).abs() < 1e-5);
            Ok(())
        })?;
    }
}
