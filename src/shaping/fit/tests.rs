use super::*;
use crate::shaping::DemandKind;
use crate::shaping::sample::{all, any_advance, any_selection, farthest, held, over, untouched_keep_bits};
use crate::table::Cell;
use crate::watch::{Stopped, stopped_after};
use nalgebra::{DMatrix, DVector};
use proptest::prelude::*;

fn reading(speed_rpm: f64, load: f64, advance_deg: f64) -> Target {
    let bound = TargetBound::about(1.0);
    Target { speed_rpm, load, advance_deg, sd_deg: 0.5, bound }
}

/// A table of 12 × 12 over 500 to 6000 rpm and 5 to 60 kPa.
fn today() -> Advance {
    let axis = |step: f64| (1..=12).map(|i| f64::from(i) * step).collect::<Vec<_>>();
    over(&axis(500.0), &axis(5.0), |x, y| 12.0 + x * 0.003 - 0.12 * y)
}

/// A stream of numbers between 0 and 1 that is the same every time (G. Marsaglia's xorshift, 2003).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Normally distributed with standard deviation 1 (G. E. P. Box & M. E. Muller, 1958).
    fn normal(&mut self) -> f64 {
        (-2.0 * (1.0 - self.roll()).ln()).sqrt() * (std::f64::consts::TAU * self.roll()).cos()
    }
}

#[test]
fn a_reading_pulls_the_cells_around_it_and_no_others() {
    let start = today();
    let at = Cell::new(5, 5);
    let shaped =
        fit(&start, &all(&start), &[reading(3000.0, 30.0, start.table().at(at) + 3.0)], Watch::NOBODY).unwrap();
    let moved = |cell: Cell| shaped.advance.table().at(cell) - start.table().at(cell);
    assert!(moved(at) > 2.5 && moved(at) < 3.0, "{}", moved(at));
    assert_eq!(shaped.advance.origin(at), Origin::Fitted);
    let fitted = shaped.fitted.as_ref().unwrap();
    for (cell, sure) in start.table().cells().zip(&fitted.cells) {
        let sure = sure.unwrap();
        assert_eq!(moved(cell) == 0.0, sure.rests_on == RestsOn::Today, "{cell:?} {sure:?}");
        assert!(sure.sd_deg > 0.0 && (0.0..=1.0).contains(&sure.share));
    }
    let of = |cell: Cell| fitted.cells[start.table().index(cell)].unwrap();
    assert_eq!(of(at).rests_on, RestsOn::Measured);
    assert!(of(at).sd_deg < 0.6 && of(Cell::new(0, 11)).sd_deg > 1.5);
    assert_eq!(of(Cell::new(0, 11)).rests_on, RestsOn::Today);
    assert!(fitted.readings[0].is_alone() && !fitted.readings[0].stands_apart());
    assert_eq!(fitted.readings[0].words(), Some("nothing nearby checks this reading"));
}

#[test]
fn a_reading_that_the_others_contradict_stands_apart() {
    let start = today();
    let mut dice = Dice(7);
    let mut points = Vec::new();
    for _ in 0..40 {
        let (x, y) = (1500.0 + 3000.0 * dice.roll(), 15.0 + 30.0 * dice.roll());
        points.push(reading(x, y, start.table().lookup(x, y) + 2.0 + 0.3 * dice.normal()));
    }
    points.push(reading(3100.0, 29.0, start.table().lookup(3100.0, 29.0) - 4.0));
    let shaped = fit(&start, &all(&start), &points, Watch::NOBODY).unwrap();
    let readings = shaped.fitted.unwrap().readings;
    let farthest = readings.iter().max_by(|one, other| one.standardised.abs().total_cmp(&other.standardised.abs()));
    assert_eq!(farthest.map(|reading| reading.point), Some(40));
    assert!(readings[40].stands_apart() && readings[40].words() == Some("stands apart"));
    // It pulls at the table, so that one beside it may stand apart too, but no more.
    assert!(readings.iter().filter(|reading| reading.stands_apart()).count() <= 3);
    assert!(readings[40].residual_deg < -1.0, "{:?}", readings[40]);
}

#[test]
fn how_sure_cells_are_is_told_without_moving_any() {
    let start = today();
    let points = [reading(3000.0, 30.0, 27.0), reading(4200.0, 22.0, 21.0)];
    let sure = how_sure(&start, &points, Watch::NOBODY).unwrap();
    assert_eq!(sure, fit(&start, &all(&start), &points, Watch::NOBODY).unwrap().fitted.unwrap().cells);
    // What lies beyond the axes, and what only bounds the table, tells nothing more.
    let far = reading(9000.0, 30.0, 20.0);
    let bound = Target { bound: TargetBound::AtMost { beyond_deg: 0.0 }, ..reading(1500.0, 20.0, 40.0) };
    assert_eq!(how_sure(&start, &[far, points[0], bound, points[1]], Watch::NOBODY).unwrap(), sure);
    for none in [&[][..], &[far], &[bound]] {
        assert_eq!(how_sure(&start, none, Watch::NOBODY).unwrap_err(), ShapingError::NoPoints);
        assert!(!has_readings(start.table(), none));
    }
    assert!(has_readings(start.table(), &[far, points[0]]));
    let fixed = held(&start, &[Cell::new(0, 0), Cell::new(5, 5)]);
    let sure = how_sure(&fixed, &points, Watch::NOBODY).unwrap();
    for (cell, sure) in start.table().cells().zip(sure) {
        assert_eq!(sure.is_none(), fixed.held().contains(cell), "{cell:?}");
    }
    let none_is_free = start.with_held(&all(&start), true);
    assert_eq!(how_sure(&none_is_free, &points, Watch::NOBODY).unwrap(), vec![None; 144]);
    let wrong = Target { advance_deg: f64::NAN, ..points[0] };
    assert!(matches!(how_sure(&start, &[wrong], Watch::NOBODY), Err(error) if error != ShapingError::NoPoints));
}

#[test]
fn how_sure_stops_in_the_round_in_which_it_is_told_to() {
    let start = today();
    let points = [reading(3000.0, 30.0, 27.0)];
    let (rounds, _) = stopped_after(usize::MAX, |watch| how_sure(&start, &points, watch));
    assert!(rounds > 20, "{rounds}");
    for most in [0, 5, rounds - 1] {
        let (asked, answer) = stopped_after(most, |watch| how_sure(&start, &points, watch));
        assert_eq!((asked, answer), (most + 1, Err(ShapingError::Stopped(Stopped))));
    }
}

/// Once fitted, a table differs little from its points; taken for a stiff correction, that would make cells sure that nobody
/// measured.
#[test]
fn a_table_that_was_fitted_is_not_taken_for_one_that_was_right() {
    let start = today();
    let mut dice = Dice(5);
    let points: Vec<Target> = (0..40)
        .map(|_| {
            let (x, y) = (700.0 + 2000.0 * dice.roll(), 8.0 + 20.0 * dice.roll());
            reading(x, y, start.table().lookup(x, y) + 3.0 * (x / 500.0).sin() + 0.3 * dice.normal())
        })
        .collect();
    let first = fit(&start, &all(&start), &points, Watch::NOBODY).unwrap();
    let as_today =
        |cells: &[Option<Sure>]| cells.iter().flatten().filter(|sure| sure.rests_on == RestsOn::Today).count();
    let before = as_today(&first.fitted.unwrap().cells);
    let again = as_today(&how_sure(&first.advance, &points, Watch::NOBODY).unwrap());
    let penalty = Penalty::new(start.table().speed(), start.table().load());
    let fit = Fit { advance: &first.advance, points: &points, penalty };
    let free = FreeCells::new(&[true; 144], (12, 12));
    let pulls = fit.pulls(&free);
    let stiff_deg = likely_bend(&fit.penalty, &free, &pulls, Watch::NOBODY).unwrap();
    let taken_for_right = as_today(&fit.sure(&free, stiff_deg, &pulls, Watch::NOBODY).unwrap());
    assert!(stiff_deg < USUAL_BEND_DEG && before > taken_for_right + 20, "{stiff_deg}: {before}, {taken_for_right}");
    assert!(again > before - 10, "{before}, then {again}");
}

#[test]
fn what_cannot_be_fitted_is_refused() {
    let start = today();
    let refused = |points: &[Target]| fit(&start, &all(&start), points, Watch::NOBODY).unwrap_err();
    assert_eq!(refused(&[]), ShapingError::NoPoints);
    let bound = Target { bound: TargetBound::AtMost { beyond_deg: 0.0 }, ..reading(3000.0, 30.0, 20.0) };
    assert_eq!(refused(&[bound]), ShapingError::NoPoints);
    let far = refused(&[reading(7000.0, 30.0, 20.0)]);
    assert_eq!(far, ShapingError::PointOutside { speed_rpm: 7000.0, load: 30.0 });
    let two = [reading(3000.0, 30.0, 20.0), reading(2500.0, 30.0, 19.0), reading(3000.0, 30.0, 23.5)];
    assert_eq!(refused(&two), ShapingError::ReadingsDisagree { speed_rpm: 3000.0, load: 30.0, by_deg: 3.5 });
    let near = [reading(3000.0, 30.0, 20.0), reading(3000.0, 30.0, 22.9)];
    assert!(fit(&start, &all(&start), &near, Watch::NOBODY).is_ok());
}

#[test]
fn points_that_only_bound_the_table_are_kept() {
    let start = today();
    let at = |x: f64, y: f64| start.table().lookup(x, y);
    let bound =
        Target { bound: TargetBound::AtMost { beyond_deg: 0.0 }, ..reading(3250.0, 31.0, at(3250.0, 31.0) + 1.0) };
    let points = [reading(3000.0, 30.0, at(3000.0, 30.0) + 4.0), bound];
    let shaped = fit(&start, &all(&start), &points, Watch::NOBODY).unwrap();
    let after = shaped.advance.table().lookup(3250.0, 31.0);
    assert!(after <= bound.advance_deg + 1e-9 && after > at(3250.0, 31.0), "{after}");
    let corners = [Cell::new(5, 5), Cell::new(5, 6), Cell::new(6, 5), Cell::new(6, 6)];
    let low = Target { advance_deg: at(3250.0, 31.0) - 3.0, ..bound };
    let fixed = held(&start, &corners);
    let Err(ShapingError::Contradiction(told)) = fit(&fixed, &all(&fixed), &[points[0], low], Watch::NOBODY) else {
        panic!("the bound lies between held cells")
    };
    assert!((told.short_by_deg - 3.0).abs() < 1e-6, "{told}");
    assert!(told.demands.iter().any(|demand| demand.kind == DemandKind::Point));
}

/// The correction, its spread and the likelihood against dense matrices and a general library.
#[test]
fn it_agrees_with_dense_matrices() {
    let start = today();
    let table = start.table();
    let mut dice = Dice(3);
    let points: Vec<Target> = (0..30)
        .map(|_| {
            let (x, y) = (500.0 + 5500.0 * dice.roll(), 5.0 + 55.0 * dice.roll());
            reading(x, y, table.lookup(x, y) + 3.0 * (x / 1500.0).sin() + 0.5 * dice.normal())
        })
        .collect();
    let penalty = Penalty::new(table.speed(), table.load());
    let free = FreeCells::new(&[true; 144], (12, 12));
    let fit = Fit { advance: &start, points: &points, penalty: penalty.clone() };
    let pulls = fit.pulls(&free);
    let model = Model::new(&penalty, &free, 0.5, (&pulls, &[]), Watch::NOBODY).unwrap();
    let dense =
        |i: usize, j: usize| penalty.entry(free.order[i], free.order[j]) / 0.25 + f64::from(u8::from(i == j)) / 25.0;
    let mut h = DMatrix::from_fn(144, 144, dense);
    let mut b = DVector::zeros(144);
    for pull in &pulls {
        let mut a = DVector::zeros(144);
        pull.row.entries().for_each(|(cell, share)| a[cell] += share);
        h += &a * a.transpose() / 0.25;
        b += &a * pull.above_deg / 0.25;
    }
    let inverse = h.clone().cholesky().unwrap().inverse();
    let expected = &inverse * b;
    let against: Vec<f64> = model.system.gradient.iter().map(|g| -g).collect();
    assert!(farthest(&model.factor.solve(&against), expected.as_slice()) < 1e-10);
    let spread = model.factor.inverse_diagonal(Watch::NOBODY).unwrap();
    assert!(farthest(&spread, inverse.diagonal().as_slice()) < 1e-12);
    let determinant = h.cholesky().unwrap().l().diagonal().iter().map(|l| 2.0 * l.ln()).sum::<f64>();
    assert!((model.factor.log_determinant() - determinant).abs() < 1e-9);
}

/// How often the truth lies within twice what is said to be usual. The truths are no samples of the model: three bumps of
/// up to 4°, each a sixth to a third of the table wide. A separate computation with dense matrices on other tables of 16²
/// gave 0.915 to 0.94 of all cells and 0.94 to 0.98 of measured ones.
#[test]
fn about_nine_cells_in_ten_lie_within_twice_what_is_said() {
    let start = today();
    let mut dice = Dice(11);
    let (mut within, mut measured, mut measured_within, mut cells) = (0.0, 0.0, 0.0, 0.0);
    let (mut before, mut after) = (0.0, 0.0);
    for _ in 0..12 {
        let bumps: Vec<[f64; 4]> =
            (0..3).map(|_| [8.0 * dice.roll() - 4.0, dice.roll(), dice.roll(), 0.12 + 0.23 * dice.roll()]).collect();
        let off = |x: f64, y: f64| {
            let (x, y) = ((x - 500.0) / 5500.0, (y - 5.0) / 55.0);
            let bump = |[deg, at_x, at_y, wide]: [f64; 4]| {
                deg * (-((x - at_x).powi(2) + (y - at_y).powi(2)) / (2.0 * wide * wide)).exp()
            };
            bumps.iter().map(|one| bump(*one)).sum::<f64>()
        };
        let points: Vec<Target> = (0..40)
            .map(|_| {
                let (x, y) = (500.0 + 5500.0 * dice.roll(), 5.0 + 55.0 * dice.roll());
                reading(x, y, start.table().lookup(x, y) + off(x, y) + 0.5 * dice.normal())
            })
            .collect();
        let shaped = fit(&start, &all(&start), &points, Watch::NOBODY).unwrap();
        let fitted = shaped.fitted.unwrap();
        for (cell, sure) in start.table().cells().zip(&fitted.cells) {
            let (x, y) =
                (start.table().speed().breakpoints()[cell.speed], start.table().load().breakpoints()[cell.load]);
            let sure = sure.unwrap();
            let error = shaped.advance.table().at(cell) - start.table().at(cell) - off(x, y);
            let is_within = f64::from(u8::from(error.abs() <= 2.0 * sure.sd_deg));
            let is_measured = f64::from(u8::from(sure.rests_on == RestsOn::Measured));
            within += is_within;
            measured += is_measured;
            measured_within += is_within * is_measured;
            cells += 1.0;
            before += off(x, y).powi(2);
            after += error.powi(2);
        }
    }
    let shares = (within / cells, measured_within / measured, f64::sqrt(before / cells), f64::sqrt(after / cells));
    assert!(shares.0 > 0.88 && shares.0 < 0.99 && shares.1 > 0.9, "{shares:?}");
    assert!(shares.3 < 0.6 * shares.2, "{shares:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn held_and_unselected_cells_keep_their_bits(
        (start, chosen) in any_advance(8).prop_flat_map(any_selection),
        places in proptest::collection::vec((0.0..1.0, 0.0..1.0, 5.0..35.0_f64), 1..6),
    ) {
        let along = |axis: &crate::table::Axis, share: f64| (axis.first() + share * axis.span()).min(axis.last());
        let table = start.table();
        let points: Vec<Target> =
            places.iter().map(|&(x, y, deg)| reading(along(table.speed(), x), along(table.load(), y), deg)).collect();
        match fit(&start, &chosen, &points, Watch::NOBODY) {
            Ok(shaped) => {
                untouched_keep_bits(&start, &chosen, &shaped)?;
                let fitted = shaped.fitted.unwrap();
                for (cell, sure) in table.cells().zip(&fitted.cells) {
                    let is_free = chosen.contains(cell) && !start.held().contains(cell);
                    prop_assert_eq!(sure.is_some(), is_free);
                }
            }
            Err(error) => prop_assert!(matches!(error, ShapingError::Result(_)), "{}", error),
        }
    }
}
