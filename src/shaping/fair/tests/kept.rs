//! What is kept on the way: idle, the line, the points, ranges of numbers.

use super::*;
use crate::project::{MeasuredPoint, PointBound, PointKind, Project, SAMPLES};
use crate::shaping::sample::{advance, block};

#[test]
fn cells_tell_at_which_demand_they_stand() {
    let start = advance(9, 9, |x, y| if (x, y) == (4.0, 4.0) { 30.0 } else { 20.0 });
    let demands = Demands { within_deg: Some(1.0), ..Demands::default() };
    let shaped = fair(&start, &all(&start), &demands, Watch::NOBODY).unwrap();
    assert_eq!(shaped.advance.table().at(Cell::new(4, 4)), 29.0);
    assert_eq!(shaped.advance.origin(Cell::new(4, 4)), Origin::Faired);
    let standing = shaped.faired.unwrap().standing;
    let spike = standing.iter().find(|standing| standing.cell == Cell::new(4, 4)).unwrap();
    assert_eq!(spike.at, DemandKind::Within);
    assert!(spike.onward_deg < 0.0, "it would go further down");
    let beside = standing.iter().find(|standing| standing.cell == Cell::new(4, 5)).unwrap();
    assert!(beside.onward_deg > 0.0, "it would go further up");
}

#[test]
fn idle_cells_are_left_alone_and_every_step_can_be_seen() {
    let start = advance(9, 9, |x, y| 20.0 + 6.0 * (x * 1.3).sin() * (y * 0.7).cos());
    let idle = block(start.table(), 0..2, 0..3);
    let demands = Demands { within_deg: Some(1.0), idle: Some(idle.clone()), ..Demands::default() };
    let seen = std::cell::Cell::new(0);
    let see = |values: &[f64]| {
        seen.set(seen.get() + 1);
        assert_eq!(values.len(), 81);
    };
    let everything = all(&start);
    let fairer = Fairer::new(&start, &everything, &demands).unwrap();
    let (shaped, _) = fairer.fair(None, Watch::NOBODY, &see).unwrap();
    assert!(seen.get() >= 2);
    assert_eq!(shaped.selected, 75);
    for cell in idle.cells() {
        assert_eq!(shaped.advance.table().at(cell), start.table().at(cell));
    }
    assert_eq!(fair(&start, &idle, &demands, Watch::NOBODY), Err(ShapingError::AllIdle));
}

#[test]
fn numbers_out_of_range_and_points_beyond_the_table_are_refused() {
    let start = sloping();
    let refused = |demands: Demands| fair(&start, &all(&start), &demands, Watch::NOBODY).unwrap_err();
    for demands in [
        Demands { within_deg: Some(-1.0), ..Demands::default() },
        Demands { max_slope_per_load: Some(f64::NAN), ..Demands::default() },
        Demands { step_deg: Some(0.0), ..Demands::default() },
        Demands { points: vec![about(2000.0, 50.0, 99.0, 1.0)], ..Demands::default() },
    ] {
        assert!(matches!(refused(demands), ShapingError::Parameter { .. }));
    }
    let far = Demands { points: vec![about(400.0, 50.0, 20.0, 1.0)], ..Demands::default() };
    assert_eq!(refused(far), ShapingError::PointOutside { speed_rpm: 400.0, load: 50.0 });
}

/// The rule is the checks': nothing that fairing may come to is told to miss a point, and nothing more is refused.
#[test]
fn a_point_allows_what_the_checks_allow() {
    let of = |bound, advance_deg, (low_deg, high_deg), kind| {
        let (name, in_use) = ("P".to_owned(), true);
        MeasuredPoint {
            name,
            speed_rpm: 3000.0,
            load: 50.0,
            advance_deg,
            low_deg,
            high_deg,
            bound,
            kind,
            in_use,
            ..MeasuredPoint::default()
        }
    };
    let (light, knock) = (PointKind::Light, PointKind::Knock);
    for point in [
        of(PointBound::About, 24.5, (Some(23.9), Some(26.0)), light),
        of(PointBound::About, 24.5, (Some(24.5), Some(24.7)), light),
        of(PointBound::About, 24.5, (None, None), light),
        of(PointBound::AtMost, 24.5, (None, Some(25.1)), light),
        of(PointBound::AtMost, 24.5, (None, None), light),
        of(PointBound::AtMost, 24.5, (None, None), knock),
        of(PointBound::AtLeast, 24.5, (Some(22.7), None), light),
    ] {
        let (low_deg, high_deg) = Target::of(&point).limits_deg();
        for end_deg in [low_deg, high_deg].into_iter().filter(|deg| deg.is_finite()) {
            assert!(point.missed_by_deg(end_deg).abs() < 1e-9, "{end_deg} of {point:?}");
        }
        assert_eq!((low_deg, high_deg).0.is_finite(), point.allowed_deg().0.is_finite());
        assert_eq!((low_deg, high_deg).1.is_finite(), point.allowed_deg().1.is_finite());
    }
    // No wider than nobody can read.
    let narrow = of(PointBound::About, 24.5, (Some(24.5), Some(24.5)), light);
    assert_eq!(Target::of(&narrow).limits_deg(), (24.49, 24.51));
}

fn sample(name: &str) -> Project {
    SAMPLES.iter().find(|sample| sample.name == name).unwrap().project().unwrap()
}

/// Wherever the checks hold table and trims against the line, not at the cells alone.
#[test]
fn under_the_full_load_line_means_between_the_cells_too() {
    for name in ["larch-six", "copse-eight", "tarn-special"] {
        let project = sample(name);
        let line = &project.full_load_line;
        let excess_deg = |advance: &Advance| {
            let excess = |(speed_rpm, load): (f64, f64)| {
                let most_deg = advance.table().lookup(speed_rpm, load) + project.trims.most_deg(load);
                most_deg - line.allowed_deg(speed_rpm, load)
            };
            project.full_load_points().into_iter().map(excess).fold(f64::NEG_INFINITY, f64::max)
        };
        for (within_deg, step_deg) in [(30.0, None), (1.0, None), (1.0, Some(0.5))] {
            let demands = Demands {
                within_deg: Some(within_deg),
                ceiling: Ceiling::full_load(&project),
                step_deg,
                ..Demands::default()
            };
            let mut now = project.advance.clone();
            for run in 0..3 {
                now = fair(&now, &all(&now), &demands, Watch::NOBODY).unwrap().advance;
                assert!(excess_deg(&now) <= 1e-6, "{name} ±{within_deg} {step_deg:?} {run}: {}", excess_deg(&now));
            }
        }
    }
}

/// On crowded axes the forces that bend a table through points are larger than the price of giving way.
#[test]
fn what_can_be_kept_is_no_contradiction_on_crowded_axes() {
    let along = crate::shaping::Along::Speed;
    let mut start = sample("larch-six").advance.clone();
    for speed_rpm in [2500.0, 2520.0, 2540.0] {
        if start.table().speed().index_of(speed_rpm).is_none() {
            start = crate::shaping::insert_breakpoint(&start, along, speed_rpm).unwrap().advance;
        }
    }
    let points = vec![about(2500.0, 70.0, 30.0, 0.2), about(2520.0, 70.0, 35.0, 0.2), about(2540.0, 70.0, 30.0, 0.2)];
    let demands = Demands { within_deg: Some(8.0), points: points.clone(), ..Demands::default() };
    let faired = fair(&start, &all(&start), &demands, Watch::NOBODY).unwrap().advance;
    for point in points {
        let deg = faired.table().lookup(point.speed_rpm, point.load);
        assert!((deg - point.advance_deg).abs() <= 0.2 + 1e-6, "{deg} for {point:?}");
    }
}
