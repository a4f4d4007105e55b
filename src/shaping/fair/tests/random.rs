//! Among random tables and demands: what is told, what is kept, and that neither order nor start matters.

use super::least::assert_least;
use super::*;
use crate::shaping::fair::contradiction::Member;
use crate::shaping::sample::{any_advance, any_selection, farthest, untouched_keep_bits};
use proptest::test_runner::TestCaseError;

/// Demands that a random table can often keep.
fn any_demands() -> impl Strategy<Value = Demands> {
    let maybe = |range: std::ops::Range<f64>| proptest::option::of(range);
    (maybe(0.0..30.0), maybe(100.0..200.0), maybe(100.0..20_000.0), maybe(0.1..20.0)).prop_map(
        |(within_deg, not_rising_above, max_slope_per_1000rpm, max_slope_per_load)| Demands {
            within_deg,
            not_rising_above,
            max_slope_per_1000rpm,
            max_slope_per_load,
            ..Demands::default()
        },
    )
}

/// Points in a table, by shares of its axes.
fn points(table: &Table, places: &[(f64, f64, f64, f64)]) -> Vec<Target> {
    let along = |axis: &Axis, share: f64| axis.first() + share * axis.span();
    let point = |&(x, y, advance_deg, tolerance_deg): &(f64, f64, f64, f64)| Target {
        speed_rpm: along(table.speed(), x).min(table.speed().last()),
        load: along(table.load(), y).min(table.load().last()),
        advance_deg,
        sd_deg: 0.5,
        bound: match tolerance_deg {
            tolerance_deg if tolerance_deg < 0.2 => TargetBound::AtMost { beyond_deg: 0.0 },
            tolerance_deg if tolerance_deg < 0.4 => TargetBound::AtLeast { beyond_deg: 0.0 },
            tolerance_deg => TargetBound::about(tolerance_deg),
        },
    };
    places.iter().map(point).collect()
}

fn any_points() -> impl Strategy<Value = Vec<(f64, f64, f64, f64)>> {
    proptest::collection::vec((0.0..1.0, 0.0..1.0, 5.0..35.0, 0.0..3.0), 0..5)
}

/// The rows of members over all cells of a table, on its values.
fn member_rows(members: &[&Member], posed: &Posed<'_>) -> Vec<Row> {
    let values = posed.table.values();
    let row = |member: &&Member| {
        let entries: Vec<(usize, f64)> = match (member.point, member.cells.as_slice()) {
            (Some(point), _) => posed.demands.points[point].shares(posed.table).to_vec(),
            (None, [at]) => vec![(*at, 1.0)],
            (None, cells) => vec![(cells[1], 1.0), (cells[0], -1.0)],
        };
        let is_upper = member.is_upper || (member.point.is_none() && member.cells.len() == 2);
        let limits = if is_upper { (f64::NEG_INFINITY, member.deg) } else { (member.deg, f64::INFINITY) };
        Row::new(entries, limits, |at| values[at])
    };
    members.iter().map(row).collect()
}

/// How far these members miss each other, by values that are worked out for them.
fn missed_deg(members: &[&Member], posed: &Posed<'_>) -> f64 {
    let rows = member_rows(members, posed);
    let system = System::identity(posed.table.values().len(), &rows);
    let search = Search { system: &system, rows: &rows, cap: elastic::price(&system), see: &unseen };
    elastic::shortfall_deg(&rows, &search.run(None, Watch::NOBODY).unwrap().correction)
}

/// A set contradicts itself, by as much as it says, and no longer without any one of its members.
fn assert_least_set(set: &LeastSet, posed: &Posed<'_>) -> Result<(), TestCaseError> {
    let members: Vec<&Member> = set.members.iter().collect();
    let missed = missed_deg(&members, posed);
    prop_assert!((missed - set.short_by_deg).abs() <= 1e-5 * (1.0 + missed), "{} {:?}", missed, set);
    for left_out in 0..members.len() {
        let mut rest = members.clone();
        // A cell that stays counts with both of its sides as one demand.
        let gone = rest.remove(left_out);
        let stays = matches!(gone.of, DemandKind::Held | DemandKind::NotSelected | DemandKind::Idle);
        rest.retain(|member| !stays || member.cells != gone.cells || member.of != gone.of);
        let missed = missed_deg(&rest, posed);
        prop_assert!(missed <= 1e-6, "{} without {:?} of {:?}", missed, gone, set);
    }
    Ok(())
}

proptest! {
    #![proptest_config(drawn_once(96))]

    #[test]
    fn demands_are_kept_or_a_least_set_of_them_is_told(
        (start, chosen) in any_advance(8).prop_flat_map(any_selection), demands in any_demands(), places in any_points(),
    ) {
        let demands = Demands { points: points(start.table(), &places), ..demands };
        let fairer = Fairer::new(&start, &chosen, &demands).unwrap();
        if let Some(set) = fairer.posed.contradiction(Form::default()) {
            assert_least_set(&set, &fairer.posed)?;
            let told = fair(&start, &chosen, &demands, Watch::NOBODY);
            prop_assert!(matches!(told, Err(ShapingError::Contradiction(_))), "{:?}", told);
            return Ok(());
        }
        let attempt = fairer.attempt(Form::default(), None, Watch::NOBODY, &unseen);
        prop_assert!(attempt.is_ok(), "{:?}", attempt.err());
        let attempt = attempt.unwrap();
        if fairer.falls_short(&attempt) {
            let out = fairer.out_of_reach(&attempt);
            let set = fairer.posed.least_set(&out, (&attempt.of, &attempt.solution), attempt.cap, Watch::NOBODY).unwrap();
            // Where the price alone was in the way, all can be kept.
            let Some(set) = set else {
                let told = fair(&start, &chosen, &demands, Watch::NOBODY);
                prop_assert!(matches!(told, Ok(_) | Err(ShapingError::Result(_))), "{:?}", told);
                return Ok(());
            };
            assert_least_set(&set, &fairer.posed)?;
            prop_assert!(set.members.iter().any(|member| member.of == DemandKind::Point), "{:?}", set);
            let told = fairer.posed.told(&set);
            // Of the range of cells there is nothing to ask.
            let is_told = |demand: &Clash| !demand.remedy.is_empty() || demand.words.starts_with("no cell ");
            prop_assert!(told.demands.iter().all(|demand| !demand.words.is_empty() && is_told(demand)));
            return Ok(());
        }
        assert_least(start.table(), BEND, &attempt.free, (&attempt.rows, &attempt.values), &attempt.solution)?;
        match fair(&start, &chosen, &demands, Watch::NOBODY) {
            Ok(shaped) => untouched_keep_bits(&start, &chosen, &shaped)?,
            Err(error) => prop_assert!(matches!(error, ShapingError::Result(_)), "{}", error),
        }
    }

    #[test]
    fn neither_order_nor_a_start_nearby_matters(
        (start, chosen) in any_advance(10).prop_flat_map(any_selection), demands in any_demands(), places in any_points(),
        by_deg in 0.0..0.5,
    ) {
        let demands = Demands { points: points(start.table(), &places), ..demands };
        let Ok(fairer) = Fairer::new(&start, &chosen, &demands) else { return Ok(()) };
        let Ok((shaped, _)) = fairer.fair(None, Watch::NOBODY, &unseen) else { return Ok(()) };
        let backwards = Demands { points: demands.points.iter().rev().copied().collect(), ..demands.clone() };
        let other = fair(&start, &chosen, &backwards, Watch::NOBODY).unwrap();
        let values = shaped.advance.table().values();
        prop_assert!(farthest(values, other.advance.table().values()) <= 1e-7);
        let wider = Demands { within_deg: demands.within_deg.map(|deg| deg + by_deg), ..demands.clone() };
        let Ok((_, near)) = Fairer::new(&start, &chosen, &wider).unwrap().fair(None, Watch::NOBODY, &unseen) else {
            return Ok(());
        };
        let (warm, _) = fairer.fair(Some(&near), Watch::NOBODY, &unseen).unwrap();
        prop_assert!(farthest(values, warm.advance.table().values()) <= 1e-7);
    }

    #[test]
    fn on_steps_every_limit_is_kept_in_whole_steps(
        (start, chosen) in any_advance(10).prop_flat_map(any_selection), demands in any_demands(), places in any_points(),
        step_deg in prop_oneof![Just(0.25), Just(0.5), Just(1.0), Just(0.3)],
    ) {
        let points = points(start.table(), &places);
        let demands = Demands { step_deg: Some(step_deg), points, ..demands };
        let shaped = match fair(&start, &chosen, &demands, Watch::NOBODY) {
            Ok(shaped) => shaped,
            Err(error) => {
                let is_told = matches!(error, ShapingError::Contradiction(_) | ShapingError::Result(_));
                prop_assert!(is_told, "{}", error);
                return Ok(());
            }
        };
        untouched_keep_bits(&start, &chosen, &shaped)?;
        let fairer = Fairer::new(&start, &chosen, &demands).unwrap();
        let values = shaped.advance.table().values();
        for (at, value) in values.iter().enumerate().filter(|(at, _)| fairer.posed.is_free(*at)) {
            let steps = value / step_deg;
            prop_assert!((steps - steps.round()).abs() <= 1e-9, "{} of {}", value, at);
        }
        for bound in &fairer.posed.bounds {
            let value = values[bound.at];
            prop_assert!(value >= bound.low.deg - 1e-9 && value <= bound.high.deg + 1e-9, "{} {:?}", value, bound);
        }
        for pair in &fairer.posed.pairs {
            let rise = values[pair.after] - values[pair.before];
            prop_assert!(rise >= pair.low.deg - 1e-9 && rise <= pair.high.deg + 1e-9, "{} {:?}", rise, pair);
        }
        let out = shaped.faired.unwrap().points_out;
        for point in &fairer.posed.points {
            let deg: f64 = point.shares.iter().map(|&(at, share)| share * values[at]).sum();
            let is_out = (point.low_deg - deg).max(deg - point.high_deg) > 1e-6;
            prop_assert_eq!(is_out, out.iter().any(|&(index, _)| index == point.point));
        }
    }
}
