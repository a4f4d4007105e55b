//! Contradictions in words.

use super::*;
use crate::shaping::sample::block;

fn with_cells(start: &Advance, cells: &[(usize, usize, f64)]) -> Advance {
    let mut values = start.table().values().to_vec();
    let cell = |&(load, speed, _): &(usize, usize, f64)| Cell::new(load, speed);
    cells.iter().for_each(|one| values[start.table().index(cell(one))] = one.2);
    let marked: Vec<Cell> = cells.iter().map(cell).collect();
    held(&start.with_values(values, Origin::Typed).unwrap(), &marked)
}

fn contradiction(start: &Advance, demands: &Demands) -> Contradiction {
    match fair(start, &all(start), demands, Watch::NOBODY) {
        Err(ShapingError::Contradiction(told)) => *told,
        other => panic!("{other:?}"),
    }
}

#[test]
fn two_held_cells_too_steep_are_told_as_the_slope_limit_tells_them() {
    let start = with_cells(&sloping(), &[(5, 3, 30.0), (5, 6, 8.0)]);
    let demands = Demands { max_slope_per_1000rpm: Some(12.0), ..Demands::default() };
    let told = contradiction(&start, &demands);
    assert_eq!(
        told.to_string(),
        "these cannot all be kept; short by 4.00°: 30.0° held at 2000 rpm, load 37.5 · 8.0° held at 3500 rpm, load 37.5 · \
         at most 12.0°/1000 rpm between them (18.0° over 1500 rpm). Any one of these ends it: release it, or move it by at \
         least 4.0°; allow at least 14.7°/1000 rpm"
    );
    let Err(ShapingError::SlopeForbidden { from, to, .. }) =
        crate::shaping::limit_slope(&start, &all(&start), 12.0, 1e6)
    else {
        panic!("the slope limit knows of no contradiction")
    };
    let mut cells = [from.cell, to.cell];
    cells.sort();
    assert_eq!(told.demands[0].cells[0], cells[0].min(told.demands[0].cells[0]));
    assert_eq!([told.demands[0].cells[0], told.demands[1].cells[0]], cells);
    // What a remedy says suffices, and not much less does.
    let allowed = |deg| Demands { max_slope_per_1000rpm: Some(deg), ..Demands::default() };
    // The slope goes on beyond the two, to where no cell may be; that is another refusal.
    let is_told =
        |deg| matches!(fair(&start, &all(&start), &allowed(deg), Watch::NOBODY), Err(ShapingError::Contradiction(_)));
    assert!(is_told(14.6) && !is_told(14.7));
}

#[test]
fn a_cell_held_too_low_under_a_held_one_is_told() {
    let start = with_cells(&sloping(), &[(8, 4, 10.0), (12, 4, 14.0)]);
    let told = contradiction(&start, &Demands { not_rising_above: Some(40.0), ..Demands::default() });
    let words: Vec<(&str, &str)> =
        told.demands.iter().map(|demand| (demand.words.as_str(), demand.remedy.as_str())).collect();
    assert_eq!(
        words,
        [
            ("10.0° held at 2500 rpm, load 56.25", "release it, or move it by at least 4.0°"),
            ("14.0° held at 2500 rpm, load 81.25", "release it, or move it by at least 4.0°"),
            ("not rising with load from 56.25 to 81.25", "ask that only from load 62.5 on"),
        ]
    );
    assert!((told.short_by_deg - 4.0).abs() < 1e-9);
    let later = Demands { not_rising_above: Some(62.5), ..Demands::default() };
    assert!(fair(&start, &all(&start), &later, Watch::NOBODY).is_ok());
}

#[test]
fn a_point_between_held_cells_is_told() {
    let cells = [(4, 4, 20.0), (4, 5, 20.0), (5, 4, 20.0), (5, 5, 20.0)];
    let start = with_cells(&sloping(), &cells);
    let told = contradiction(&start, &Demands { points: vec![about(2750.0, 35.0, 23.0, 1.0)], ..Demands::default() });
    assert!((told.short_by_deg - 2.0).abs() < 1e-6, "{told}");
    let point = told.demands.iter().find(|demand| demand.kind == DemandKind::Point).unwrap();
    assert_eq!(point.words, "measured 23.0° ±1.0° at 2750 rpm, load 35");
    assert_eq!(point.remedy, "widen that point to at least ±3.0°");
    let cells = told.demands.iter().find(|demand| demand.kind == DemandKind::Held).unwrap();
    assert_eq!(cells.words, "20.0° held in 4 cells from 2500 rpm, load 31.25 to 3000 rpm, load 37.5");
    let wide = Demands { points: vec![about(2750.0, 35.0, 23.0, 3.0)], ..Demands::default() };
    assert!(fair(&start, &all(&start), &wide, Watch::NOBODY).is_ok());
}

#[test]
fn points_too_far_apart_for_the_slope_are_told() {
    let start = sloping();
    let points = vec![about(2250.0, 33.0, 20.0, 0.5), about(2350.0, 34.0, 26.0, 0.5), about(5000.0, 50.0, 30.0, 0.5)];
    let demands = |slope| Demands { points: points.clone(), max_slope_per_1000rpm: Some(slope), ..Demands::default() };
    // Along load nothing is limited, so the two can be passed, though not within the range of cells.
    let passed = fair(&start, &all(&start), &demands(10.0), Watch::NOBODY);
    assert!(matches!(passed, Ok(_) | Err(ShapingError::Result(_))), "{passed:?}");
    let both = Demands { max_slope_per_load: Some(0.3), ..demands(10.0) };
    let told = contradiction(&start, &both);
    let kinds: Vec<DemandKind> = told.demands.iter().map(|demand| demand.kind).collect();
    assert_eq!(kinds.iter().filter(|kind| **kind == DemandKind::Point).count(), 2, "{told}");
    assert!(told.short_by_deg > 0.5 && told.short_by_deg < 5.0, "{told}");
}

#[test]
fn a_held_cell_above_the_ceiling_or_a_point_beyond_the_reach_is_told() {
    let start = with_cells(&sloping(), &[(15, 3, 30.0)]);
    let ceiling = Some(Ceiling::new(vec![25.0; 256]));
    let told = contradiction(&start, &Demands { ceiling, ..Demands::default() });
    let words: Vec<&str> = told.demands.iter().map(|demand| demand.words.as_str()).collect();
    assert_eq!(
        words,
        ["30.0° held at 2000 rpm, load 100", "under the full-load line at 2000 rpm, load 100 (at most 25.0° there)"]
    );
    assert!((told.short_by_deg - 5.0).abs() < 1e-9);
    // Cells that stay because they may not move at all.
    let points = vec![about(2000.0, 50.0, 30.0, 1.0)];
    let told = contradiction(&sloping(), &Demands { within_deg: Some(0.0), points, ..Demands::default() });
    assert_eq!(
        told.demands.iter().map(|demand| demand.kind).collect::<Vec<_>>(),
        [DemandKind::Within, DemandKind::Point]
    );
    assert!((told.short_by_deg - 21.0).abs() < 1e-5, "{told}");
    assert_eq!(told.demands[0].remedy, "allow at least ±21.0° of today");
}

#[test]
fn where_only_the_step_forbids_it_other_steps_are_named() {
    let start = with_cells(&sloping(), &[(5, 3, 20.5), (5, 5, 20.5)]);
    let demands = |step_deg| Demands {
        max_slope_per_1000rpm: Some(0.6),
        max_slope_per_load: None,
        step_deg,
        ..Demands::default()
    };
    let chosen = block(start.table(), 5..6, 3..6);
    assert!(fair(&start, &chosen, &demands(None), Watch::NOBODY).is_ok());
    let Err(ShapingError::Contradiction(told)) = fair(&start, &chosen, &demands(Some(1.0)), Watch::NOBODY) else {
        panic!("there is no whole number within 0.3 of 20.5, which is held on both sides")
    };
    assert_eq!(told.only_on_step_deg, Some(1.0));
    let step = told.demands.last().unwrap();
    assert_eq!((step.kind, step.words.as_str()), (DemandKind::Step, "on the 1.0° step"));
    assert!(step.remedy.starts_with("take the step 0.5°"), "{}", step.remedy);
}
