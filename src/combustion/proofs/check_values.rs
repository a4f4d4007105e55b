//! Values of the same model computed independently with NumPy, in another program and another language.

use super::*;
use crate::combustion::KnockLimit;
use approx::{assert_abs_diff_eq, assert_relative_eq};

struct Row {
    engine: fn() -> Description,
    speed_rpm: f64,
    pressure_kpa: f64,
    residual: f64,
    charge_k: f64,
    best_torque_deg: f64,
    knock_deg: Option<f64>,
    half_burnt_deg: f64,
    peak_deg: f64,
    peak_bar: f64,
    indicated_bar: f64,
    knock_integral: f64,
    best_torque_sigma_deg: f64,
    knock_sigma_ln: f64,
    recommended_deg: f64,
    /// 10° and 5° less than best torque, 5° and 10° more.
    losses_pct: [f64; 4],
}

const NONE: f64 = f64::INFINITY;

/// The values in the order of [`Row`], `losses_pct` and the engine.
type Values = ([f64; 14], [f64; 4], fn() -> Description);

#[rustfmt::skip]
const ROWS: [Values; 14] = [
    ([1000., 97., 0.0819, 357.7, 18.00, 6.59, 12.68, 18.34, 44.01, 9.68, 1.890, 5.14, 0.42, 0.78], [3.93, 0.93, 0.83, 3.04], plain),
    ([2000., 97., 0.0773, 359.0, 26.84, 21.41, 8.94, 15.42, 48.45, 10.30, 1.253, 5.05, 0.40, 13.92], [2.77, 0.64, 0.57, 2.09], plain),
    ([4000., 97., 0.0785, 368.8, 35.66, 45.33, 6.48, 13.47, 49.93, 10.34, 0.795, 6.55, 0.37, 31.53], [2.02, 0.47, 0.42, 1.54], plain),
    ([6000., 97., 0.0835, 382.4, 40.51, NONE, 5.53, 12.62, 49.18, 10.02, 0.607, 8.10, 0.40, 39.51], [1.76, 0.41, 0.36, 1.35], plain),
    ([2000., 60., 0.1288, 388.3, 35.17, 55.13, 9.64, 14.29, 25.97, 5.48, 0.653, 6.29, 0.36, 34.17], [2.53, 0.59, 0.53, 1.96], plain),
    ([2000., 40., 0.1846, 417.2, 44.24, NONE, 10.23, 12.52, 15.30, 3.11, 0.358, 8.50, 0.40, 43.24], [2.52, 0.59, 0.54, 2.00], plain),
    ([2000., 97., 0.0707, 354.2, 19.14, 13.36, 9.51, 15.88, 55.18, 10.73, 1.319, 4.25, 0.39, 6.92], [3.54, 0.83, 0.72, 2.65], four_valve),
    ([2000., 60., 0.1194, 382.2, 25.19, 39.59, 10.17, 15.42, 29.46, 5.76, 0.692, 5.09, 0.36, 24.19], [3.38, 0.78, 0.69, 2.53], four_valve),
    ([2000., 40., 0.1720, 409.5, 31.52, NONE, 10.72, 14.28, 17.25, 3.31, 0.382, 6.50, 0.39, 30.52], [3.39, 0.79, 0.70, 2.59], four_valve),
    ([6000., 97., 0.0761, 375.4, 30.71, NONE, 5.73, 12.92, 57.02, 10.60, 0.650, 6.55, 0.38, 29.71], [2.26, 0.52, 0.46, 1.68], four_valve),
    ([3000., 150., 0.0862, 389.7, 23.85, 16.13, 6.33, 14.72, 71.24, 14.84, 1.301, 4.66, 0.38, 8.18], [2.55, 0.60, 0.53, 1.96], turbocharged),
    ([3000., 180., 0.0884, 394.5, 22.32, 8.35, 6.17, 14.56, 85.68, 17.59, 1.722, 4.50, 0.39, 0.96], [2.62, 0.61, 0.55, 2.02], turbocharged),
    ([2500., 95., 0.0830, 365.2, 33.84, 33.85, 6.96, 14.38, 46.56, 10.01, 1.000, 5.79, 0.38, 23.80], [2.10, 0.49, 0.43, 1.61], hemispherical),
    ([2500., 50., 0.1489, 402.8, 46.87, NONE, 7.78, 12.93, 20.55, 4.34, 0.407, 7.72, 0.40, 45.87], [1.90, 0.45, 0.41, 1.51], hemispherical),
];

fn rows() -> impl Iterator<Item = Row> {
    ROWS.into_iter().map(|(values, losses_pct, engine)| {
        let [speed_rpm, pressure_kpa, residual, charge_k, best_torque_deg, knock_deg, half_burnt_deg, peak_deg, ..] =
            values;
        let [.., peak_bar, indicated_bar, knock_integral, best_torque_sigma_deg, knock_sigma_ln, recommended_deg] =
            values;
        Row {
            engine,
            speed_rpm,
            pressure_kpa,
            residual,
            charge_k,
            best_torque_deg,
            knock_deg: Some(knock_deg).filter(|deg| deg.is_finite()),
            half_burnt_deg,
            peak_deg,
            peak_bar,
            indicated_bar,
            knock_integral,
            best_torque_sigma_deg,
            knock_sigma_ln,
            recommended_deg,
            losses_pct,
        }
    })
}

#[test]
fn fourteen_places_of_four_engines() {
    for row in rows() {
        let found = opinion((row.engine)(), row.speed_rpm, row.pressure_kpa);
        assert_abs_diff_eq!(found.residual, row.residual, epsilon = 6e-5);
        assert_abs_diff_eq!(found.charge_temperature_k, row.charge_k, epsilon = 0.06);
        assert_abs_diff_eq!(found.best_torque_deg, row.best_torque_deg, epsilon = 0.05);
        assert_eq!(found.knock == KnockLimit::Beyond, row.knock_deg.is_none(), "{} rpm", row.speed_rpm);
        assert_abs_diff_eq!(found.knock.deg().unwrap_or_default(), row.knock_deg.unwrap_or_default(), epsilon = 0.1);
        assert_abs_diff_eq!(found.at_best.half_burnt_deg, row.half_burnt_deg, epsilon = 0.05);
        assert_abs_diff_eq!(found.at_best.peak_pressure_deg, row.peak_deg, epsilon = 0.05);
        assert_relative_eq!(found.at_best.peak_pressure_kpa / 100.0, row.peak_bar, max_relative = 2e-3);
        assert_relative_eq!(found.indicated_kpa / 100.0, row.indicated_bar, max_relative = 2e-3);
        assert_abs_diff_eq!(found.at_best.knock_integral, row.knock_integral, epsilon = 0.005);
        assert_abs_diff_eq!(found.best_torque_sigma_deg, row.best_torque_sigma_deg, epsilon = 0.1);
        let boosted = if row.pressure_kpa > 150.0 { 0.10 } else { 0.0 };
        assert_abs_diff_eq!(found.knock_sigma_ln - boosted, row.knock_sigma_ln, epsilon = 0.01);
        // The recommendation leans on the lower limit, which the addition for boost moves.
        if boosted == 0.0 {
            assert_abs_diff_eq!(found.recommended_deg, row.recommended_deg, epsilon = 0.1);
        }
    }
}

#[test]
fn torque_lost_beside_best_torque() {
    for row in rows() {
        let second = SecondOpinion::new((row.engine)(), Belief::untested());
        for (off_deg, loss_pct) in [-10.0, -5.0, 5.0, 10.0].into_iter().zip(row.losses_pct) {
            let own_deg = row.best_torque_deg + off_deg;
            let found = second.at(row.speed_rpm, Load::PressureKpa(row.pressure_kpa), own_deg).unwrap();
            assert_abs_diff_eq!(100.0 * found.own.loss, loss_pct, epsilon = 0.02);
        }
    }
}

#[test]
fn one_cycle_in_every_figure() {
    with_cell(&plain(), place(2000.0, 97.0), |cell| {
        let (fired, charge) = (cell.fire(25.0), &cell.charge);
        assert_relative_eq!(fired.indicated_pa, 1_028_336.0, max_relative = 2e-5);
        assert_relative_eq!(fired.net_pa, 999_057.0, max_relative = 2e-5);
        assert_abs_diff_eq!(fired.half_burnt_deg, 10.565, epsilon = 1e-3);
        assert_relative_eq!(fired.peak_pa, 46.377e5, max_relative = 2e-5);
        assert_abs_diff_eq!(fired.peak_deg, 16.540, epsilon = 1e-3);
        assert_abs_diff_eq!(fired.knock_integral, 1.167_65, epsilon = 1e-5);
        let angles = fired.angles;
        assert_abs_diff_eq!(angles.delay_deg, 21.396, epsilon = 1e-3);
        assert_abs_diff_eq!(angles.main_deg, 29.122, epsilon = 1e-3);
        assert_abs_diff_eq!(fired.hottest_k, 883.59, epsilon = 0.01);
        assert_abs_diff_eq!(fired.lost_j / charge.heat_j, 0.146_25, epsilon = 1e-5);
        assert_relative_eq!(charge.mass_kg, 5.392_74e-4, max_relative = 2e-6);
        assert_relative_eq!(charge.heat_j, 1321.58, max_relative = 5e-6);
        assert_abs_diff_eq!(charge.octane, 94.077, epsilon = 5e-4);
        assert_abs_diff_eq!(charge.lambda, 0.878_857, epsilon = 1e-6);
        assert_abs_diff_eq!(charge.exhaust_pa, 103_090.9, epsilon = 0.05);
        let (pressure_pa, temperature_k) = cell.motored_at(0.0);
        assert_abs_diff_eq!(pressure_pa / 1e5, 18.3947, epsilon = 1e-4);
        assert_abs_diff_eq!(temperature_k, 716.598, epsilon = 1e-3);
    });
}
