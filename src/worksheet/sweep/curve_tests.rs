//! The curve against figures computed elsewhere.

use approx::{assert_abs_diff_eq, assert_relative_eq};

use super::curve::{Curve, DegInterval, fit, quantile, reach};
use super::interval;
use super::reduction::{Reduction, Sample};
use super::shape::Shape;
use crate::worksheet::least_squares::Fit;

fn samples(readings: &[(f64, f64)]) -> Vec<Sample> {
    #[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
    let moment = |at: usize| at as f64 / (readings.len() - 1) as f64 - 0.5;
    let sample = |(at, &(advance_deg, torque)): (usize, &(f64, f64))| Sample {
        advance_deg,
        torque,
        weight: 1.0,
        moment: moment(at),
    };
    readings.iter().enumerate().map(sample).collect()
}

fn fitted(samples: &[Sample], shape: Shape) -> Curve {
    let all: Vec<usize> = (0..samples.len()).collect();
    fit(samples, &all, shape, None).unwrap()
}

fn assert_ends(curve: &Curve, low_deg: f64, high_deg: f64, epsilon: f64) {
    assert_abs_diff_eq!(curve.best.low_deg.unwrap(), low_deg, epsilon = epsilon);
    assert_abs_diff_eq!(curve.best.high_deg.unwrap(), high_deg, epsilon = epsilon);
}

const SEVEN: [(f64, f64); 7] =
    [(14.0, 92.28), (18.0, 95.80), (22.0, 98.61), (26.0, 100.02), (30.0, 99.74), (34.0, 98.41), (38.0, 96.10)];
const NINE: [(f64, f64); 9] = [
    (14.0, 110.9),
    (17.0, 115.6),
    (20.0, 119.1),
    (23.0, 122.2),
    (26.0, 124.0),
    (29.0, 124.9),
    (32.0, 124.6),
    (35.0, 123.6),
    (38.0, 121.3),
];
const STOPPED: [(f64, f64); 6] =
    [(10.0, 131.0), (13.0, 137.9), (16.0, 143.2), (19.0, 147.5), (22.0, 150.3), (25.0, 152.1)];
const FLAT: [(f64, f64); 4] = [(20.0, 99.2), (22.0, 99.35), (24.0, 99.6), (26.0, 99.55)];

/// Computed with NumPy and SciPy (`linalg.lstsq`, `optimize.brentq`, `stats.f.ppf`).
#[test]
fn a_parabola_through_seven_readings() {
    let curve = fitted(&samples(&SEVEN), Shape::PARABOLA);
    assert_abs_diff_eq!(curve.best_deg, 28.007_514_524, epsilon = 1e-7);
    assert_ends(&curve, 27.678_311_530, 28.366_301_272, 1e-6);
    assert_abs_diff_eq!(curve.top, 99.974_377_243, epsilon = 1e-6);
    assert_abs_diff_eq!(curve.bend, 0.039_605_655, epsilon = 1e-8);
    assert_abs_diff_eq!(curve.scatter, 0.178_902_075, epsilon = 1e-8);
    assert_abs_diff_eq!(curve.flat_low_deg.unwrap(), 22.983_328_003, epsilon = 1e-6);
    assert_abs_diff_eq!(curve.flat_high_deg.unwrap(), 33.031_701_045, epsilon = 1e-6);
    assert_abs_diff_eq!(curve.flat_low.low_deg.unwrap(), 22.681_497_514, epsilon = 1e-6);
    assert_abs_diff_eq!(curve.flat_low.high_deg.unwrap(), 23.278_646_660, epsilon = 1e-6);
    let mut weighted = samples(&SEVEN);
    weighted.iter_mut().zip([1.0, 1.0, 4.0, 4.0, 4.0, 1.0, 1.0]).for_each(|(sample, weight)| sample.weight = weight);
    let curve = fitted(&weighted, Shape::PARABOLA);
    assert_abs_diff_eq!(curve.best_deg, 27.938_056_261, epsilon = 1e-6);
    assert_ends(&curve, 27.543_260_396, 28.367_393_165, 1e-6);
    let curve = fitted(&samples(&SEVEN), Shape::SHAPED);
    assert_abs_diff_eq!(curve.best_deg, 28.414_130_452, epsilon = 1e-6);
    assert_ends(&curve, 27.979_892_652, 28.898_057_149, 1e-6);
}

/// Computed as above.
#[test]
fn the_shaped_curve_through_nine_readings() {
    let curve = fitted(&samples(&NINE), Shape::SHAPED);
    assert_abs_diff_eq!(curve.best_deg, 30.268_582_033, epsilon = 1e-6);
    assert_ends(&curve, 30.056_815_884, 30.494_281_229, 1e-6);
    assert_abs_diff_eq!(curve.top, 125.029_994_433, epsilon = 1e-6);
    assert_abs_diff_eq!(curve.bend, 0.060_755_704, epsilon = 1e-8);
    assert_abs_diff_eq!(curve.scatter, 0.161_495_156, epsilon = 1e-8);
    assert_abs_diff_eq!(curve.flat_low_deg.unwrap(), 25.645_875_789, epsilon = 1e-6);
    assert_abs_diff_eq!(curve.flat_high_deg.unwrap(), 34.726_219_507, epsilon = 1e-6);
    assert_abs_diff_eq!(curve.flat_low.low_deg.unwrap(), 25.483_996_707, epsilon = 1e-6);
    assert_abs_diff_eq!(curve.flat_low.high_deg.unwrap(), 25.813_761_139, epsilon = 1e-6);
    let parabola = fitted(&samples(&NINE), Shape::PARABOLA);
    assert_abs_diff_eq!(parabola.best_deg, 30.032_203_323, epsilon = 1e-6);
    assert_ends(&parabola, 29.838_951_153, 30.236_928_941, 1e-6);
    assert_abs_diff_eq!(parabola.flat_low_deg.unwrap(), 25.251_534_979, epsilon = 1e-6);
    assert_abs_diff_eq!(parabola.flat_low.low_deg.unwrap(), 25.111_856_890, epsilon = 1e-6);
    assert_abs_diff_eq!(parabola.flat_low.high_deg.unwrap(), 25.396_291_838, epsilon = 1e-6);
}

/// Computed as above.
#[test]
fn one_sided_and_undetermined_readings() {
    let curve = fitted(&samples(&STOPPED), Shape::SHAPED);
    assert_abs_diff_eq!(curve.best_deg, 26.462_500_457, epsilon = 1e-6);
    assert_ends(&curve, 25.468_406, 27.722_172, 1e-6);
    assert_abs_diff_eq!(curve.flat_low_deg.unwrap(), 22.269_032_677, epsilon = 1e-6);
    assert_abs_diff_eq!(fitted(&samples(&STOPPED), Shape::PARABOLA).best_deg, 27.438_027_933, epsilon = 1e-6);
    let curve = fitted(&samples(&FLAT), Shape::SHAPED);
    assert_abs_diff_eq!(curve.best_deg, 25.529_020, epsilon = 1e-6);
    assert_abs_diff_eq!(curve.best.low_deg.unwrap(), 22.721_028, epsilon = 1e-6);
    assert_eq!((curve.best.high_deg, curve.is_told), (None, false));
    let parabola = fitted(&samples(&FLAT), Shape::PARABOLA);
    assert_abs_diff_eq!(parabola.best_deg, 25.6, epsilon = 1e-9);
    assert_eq!(parabola.best, DegInterval::default());
    let (best_deg, interval) = Reduction::new(&samples(&FLAT), false).parabola(quantile(0.975, 1), 1.0).unwrap();
    assert_abs_diff_eq!(best_deg, 25.6, epsilon = 1e-9);
    assert_eq!(interval, None);
}

/// Computed as above; the truth is 28.0° and −1.8.
#[test]
fn a_drift_is_told_from_readings_taken_twice() {
    let readings = [
        (20.0, 147.4),
        (16.0, 142.7),
        (24.0, 149.5),
        (28.0, 150.1),
        (32.0, 149.0),
        (36.0, 145.5),
        (20.0, 145.7),
        (28.0, 149.2),
    ];
    let curve = fitted(&samples(&readings), Shape::SHAPED);
    assert_abs_diff_eq!(curve.best_deg, 28.016_752_536, epsilon = 1e-6);
    assert_ends(&curve, 27.884_029, 28.153_202, 1e-6);
    assert_abs_diff_eq!(curve.drift.unwrap(), -1.863_292, epsilon = 1e-6);
    let mut at_once = samples(&readings);
    at_once.iter_mut().for_each(|sample| sample.moment = 0.0);
    let curve = fitted(&at_once, Shape::SHAPED);
    assert_abs_diff_eq!(curve.best_deg, 27.676_723, epsilon = 1e-6);
    assert_ends(&curve, 26.828_435, 28.755_574, 1e-6);
    assert_eq!(curve.drift, None);
}

/// With s = 0 the profile is Fieller's set, in closed form.
#[test]
fn the_profile_of_a_parabola_is_fiellers_set() {
    for readings in [&SEVEN[..], &NINE[..]] {
        let (samples, freedom) = (samples(readings), readings.len() - 3);
        let curve = fitted(&samples, Shape::PARABOLA);
        #[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
        let found = Reduction::new(&samples, false).parabola(quantile(0.975, freedom), freedom as f64);
        let (best_deg, interval) = found.unwrap();
        let [low_deg, high_deg] = interval.unwrap();
        assert_abs_diff_eq!(curve.best_deg, best_deg, epsilon = 1e-9);
        let reduction = Reduction::new(&samples, false);
        let squares = reduction.at_top(Shape::PARABOLA, curve.best_deg).squares;
        #[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
        let most = squares * (1.0 + quantile(0.975, freedom).powi(2) / freedom as f64);
        let profile = interval::of_top(&reduction, Shape::PARABOLA, curve.best_deg, most, reach(&samples));
        assert_abs_diff_eq!(profile.low_deg.unwrap(), low_deg, epsilon = 1e-9);
        assert_abs_diff_eq!(profile.high_deg.unwrap(), high_deg, epsilon = 1e-9);
    }
}

/// Pontius, a quadratic of NIST's Statistical Reference Datasets (linear regression, lower level of difficulty), with
/// its certified values: eleven digits or more. Centred and scaled as the reduction does it.
#[test]
fn a_reference_set_of_nist_to_eleven_digits() {
    const VALUES: [f64; 40] = [
        0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146, 1.20001, 1.30822,
        1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844, 0.11052, 0.22018, 0.32939, 0.43886,
        0.54798, 0.65739, 0.76596, 0.87474, 0.98300, 1.09150, 1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965,
        1.84696, 1.95445, 2.06177, 2.16829,
    ];
    let at = |row: u32| 150_000.0 * f64::from(row % 20 + 1);
    let places: Vec<f64> = (0..40).map(at).collect();
    let (mean, scale) = (1_575_000.0, 864_942.194_562_999_6);
    let column = |power: i32| places.iter().map(|place| ((place - mean) / scale).powi(power)).collect();
    let found = Fit::new(&[column(0), column(1), column(2)], &VALUES);
    let [constant, linear, square]: [f64; 3] = found.coefficients.clone().try_into().unwrap();
    let b2 = square / scale / scale;
    let b1 = linear / scale - 2.0 * b2 * mean;
    let b0 = constant - linear * mean / scale + b2 * mean * mean;
    let digits = 1e-11;
    assert_relative_eq!(b0, 0.673_565_789_473_684e-3, max_relative = digits);
    assert_relative_eq!(b1, 0.732_059_160_401_003e-6, max_relative = digits);
    assert_relative_eq!(b2, -0.316_081_871_345_029e-14, max_relative = digits);
    assert_relative_eq!(found.deviation.unwrap(), 0.205_177_424_076_185e-3, max_relative = digits);
    // The same by the reduction: the vertex −b₁/2b₂ and, at it, b₀ − b₁²/4b₂ and −b₂. Those certified values have 15
    // digits; the vertex of this nearly straight line lies far outside.
    let sample = |(&advance_deg, &torque): (&f64, &f64)| Sample { advance_deg, torque, weight: 1.0, moment: 0.0 };
    let samples: Vec<Sample> = places.iter().zip(&VALUES).map(sample).collect();
    let (best, _) = Reduction::new(&samples, false).parabola(quantile(0.975, 37), 37.0).unwrap();
    let certified = 0.732_059_160_401_003e-6 / (2.0 * 0.316_081_871_345_029e-14);
    assert_relative_eq!(best, certified, max_relative = digits);
    let at = Reduction::new(&samples, false).at_top(Shape::PARABOLA, certified);
    assert_relative_eq!(at.bend, 0.316_081_871_345_029e-14, max_relative = digits);
    assert_relative_eq!((at.squares / 37.0).sqrt(), 0.205_177_424_076_185e-3, max_relative = digits);
}
