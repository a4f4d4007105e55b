use super::*;
use crate::table::Axis;
use proptest::prelude::*;

fn table(rows: &[&[f64]]) -> Table {
    let axis = |count: usize, step: f64| Axis::new((0..count).map(|i| i as f64 * step).collect()).unwrap();
    Table::new(axis(rows[0].len(), 1000.0), axis(rows.len(), 10.0), rows.concat()).unwrap()
}

fn lines(rows: &[&[f64]], level: f64) -> Vec<Vec<(f64, f64)>> {
    let table = table(rows);
    Tracer::new(&table, level, &crossed_cells(&table, &[(level, false)])[0]).lines()
}

#[test]
fn a_plane_has_straight_lines() {
    let found = lines(&[&[0.0, 10.0, 20.0], &[0.0, 10.0, 20.0]], 5.0);
    assert_eq!(found, [vec![(500.0, 0.0), (500.0, 10.0)]]);
}

#[test]
fn a_plane_through_breakpoints_gives_one_line() {
    let found = lines(&[&[0.0, 10.0, 20.0], &[0.0, 10.0, 20.0], &[0.0, 10.0, 20.0]], 10.0);
    assert_eq!(found, [vec![(1000.0, 0.0), (1000.0, 10.0), (1000.0, 20.0)]]);
    let diagonal = lines(&[&[0.0, 1.0, 2.0], &[1.0, 2.0, 3.0], &[2.0, 3.0, 4.0]], 2.0);
    assert_eq!(diagonal.len(), 1);
    assert_eq!(diagonal[0].first(), Some(&(0.0, 20.0)));
    assert_eq!(diagonal[0].last(), Some(&(2000.0, 0.0)));
}

#[test]
fn flats_peaks_and_ridges_at_the_level_are_drawn_once() {
    assert_eq!(lines(&[&[5.0; 3], &[5.0; 3], &[5.0; 3]], 5.0).len(), 0, "a flat");
    assert_eq!(lines(&[&[0.0; 3], &[0.0, 5.0, 0.0], &[0.0; 3]], 5.0).len(), 0, "a lone peak");
    let ridge = lines(&[&[0.0; 4], &[0.0, 5.0, 5.0, 0.0], &[0.0; 4]], 5.0);
    assert_eq!(ridge, [vec![(1000.0, 10.0), (2000.0, 10.0)]], "a ridge");
    let rim = lines(
        &[&[0.0; 5], &[0.0, 5.0, 5.0, 5.0, 0.0], &[0.0, 5.0, 0.0, 5.0, 0.0], &[0.0, 5.0, 5.0, 5.0, 0.0], &[0.0; 5]],
        5.0,
    );
    assert_eq!(rim.len(), 1, "the rim of a crater");
    assert_eq!((rim[0].len(), rim[0].first()), (9, rim[0].last()));
}

#[test]
fn the_saddle_decides_which_corners_are_joined() {
    // The saddle of [[10, 0], [0, 10]] is at 5, that of [[10, 0], [0, 4]] at 40/14 ≈ 2.857.
    for (corner, level, joined) in [(10.0, 4.0, true), (10.0, 6.0, false), (4.0, 2.8, true), (4.0, 2.9, false)] {
        for mirrored in [false, true] {
            let rows: [[f64; 2]; 2] =
                if mirrored { [[0.0, 10.0], [corner, 0.0]] } else { [[10.0, 0.0], [0.0, corner]] };
            let found = lines(&[&rows[0], &rows[1]], level);
            assert_eq!(found.len(), 2);
            // Joined above: a line cuts off each low corner, so both its ends lie on edges that meet there.
            let low_corner = if mirrored { (0.0, 0.0) } else { (1000.0, 0.0) };
            let cuts_it = found.iter().any(|line| {
                [line[0], line[line.len() - 1]].iter().all(|&(x, y)| x == low_corner.0 || y == low_corner.1)
            });
            assert_eq!(cuts_it, joined, "{corner} {level} {mirrored}");
        }
    }
}

#[test]
fn levels_are_round_and_every_fifth_is_major() {
    let levels = Levels::over(9.0, 39.0);
    assert_eq!(levels.step, 2.0);
    assert_eq!(levels.iter().filter(|level| level.1).map(|level| level.0).collect::<Vec<_>>(), [10.0, 20.0, 30.0]);
    assert_eq!(levels.iter().count(), 15);
    assert_eq!(Levels::over(5.0, 5.0).iter().count(), 1);
}

#[test]
fn an_anchor_lies_halfway() {
    let line = Contour { level: 0.0, major: true, points: vec![(0.0, 0.0), (100.0, 0.0), (100.0, 10.0)] };
    assert_eq!(line.anchor(0.5, (0.1, 1.0)).at, (100.0, 0.0));
    assert_eq!(line.anchor(1.0, (0.1, 1.0)).at, (100.0, 10.0));
    assert_eq!(line.anchor(0.25, (0.1, 1.0)), Anchor { at: (50.0, 0.0), along: (100.0, 0.0) });
}

fn any_axis() -> impl Strategy<Value = Axis> {
    proptest::collection::vec(1.0..50.0, 1..9).prop_map(|gaps| {
        let sum = |end: usize| gaps[..end].iter().sum::<f64>();
        Axis::new((0..=gaps.len()).map(sum).collect()).unwrap()
    })
}

/// Tables with many values that are equal or exactly at the level, or with none.
fn any_table() -> impl Strategy<Value = Table> {
    (any_axis(), any_axis(), any::<bool>()).prop_flat_map(|(speed, load, whole)| {
        proptest::collection::vec(-6.0..6.0, speed.len() * load.len()).prop_map(move |values: Vec<f64>| {
            let values = values.into_iter().map(|z| if whole { z.round() / 2.0 } else { z }).collect();
            Table::new(speed.clone(), load.clone(), values).unwrap()
        })
    })
}

fn on_border(table: &Table, (x, y): (f64, f64)) -> bool {
    let (speed, load) = (table.speed(), table.load());
    x == speed.first() || x == speed.last() || y == load.first() || y == load.last()
}

proptest! {
    /// A cell that is left out has no line.
    #[test]
    fn all_cells_give_the_lines_of_those_that_are_crossed(table in any_table()) {
        let levels: Vec<(f64, bool)> = Levels::with_step(-6.0, 6.0, 0.5).iter().collect();
        let columns = table.speed().len() - 1;
        let all: Vec<_> = (0..columns * (table.load().len() - 1)).map(|i| (i % columns, i / columns)).collect();
        for (crossed, &(level, _)) in crossed_cells(&table, &levels).iter().zip(&levels) {
            let (some, whole) = (Tracer::new(&table, level, crossed), Tracer::new(&table, level, &all));
            prop_assert_eq!(some.lines(), whole.lines(), "{}", level);
        }
    }

    #[test]
    fn every_vertex_has_the_level(table in any_table()) {
        let (low, high) = table.extremes();
        for line in contour_lines(&table, &Levels::with_step(low, high, 1.0)) {
            for &(x, y) in &line.points {
                prop_assert!((table.lookup(x, y) - line.level).abs() < 1e-9, "{} {} {}", x, y, line.level);
            }
        }
    }

    #[test]
    fn lines_end_on_the_border_or_at_the_level_or_close(table in any_table()) {
        let (low, high) = table.extremes();
        for line in contour_lines(&table, &Levels::with_step(low, high, 1.0)) {
            if line.is_closed() {
                continue;
            }
            for &end in [&line.points[0], &line.points[line.points.len() - 1]] {
                let cell = table.speed().index_of(end.0).zip(table.load().index_of(end.1));
                let at_level = cell.is_some_and(|(i, j)| table.row(j)[i] == line.level);
                prop_assert!(on_border(&table, end) || at_level, "{:?}", end);
            }
        }
    }

    #[test]
    fn no_part_is_drawn_twice(table in any_table()) {
        let (low, high) = table.extremes();
        let mut known = BTreeSet::new();
        for line in contour_lines(&table, &Levels::with_step(low, high, 1.0)) {
            for pair in line.points.windows(2) {
                let mut ends = [pair[0], pair[1]].map(|(x, y)| (x.to_bits(), y.to_bits()));
                ends.sort_unstable();
                prop_assert!(known.insert((line.level.to_bits(), ends)));
            }
        }
    }

    /// Along any row, the line is crossed as often as the values change sides.
    #[test]
    fn no_crossing_is_missed(table in any_table(), level in -3.0..3.0) {
        let cells = crossed_cells(&table, &[(level, false)]);
        let points: Vec<(f64, f64)> = Tracer::new(&table, level, &cells[0]).lines().concat();
        for (j, &load) in table.load().breakpoints().iter().enumerate() {
            for (i, pair) in table.row(j).windows(2).enumerate() {
                let (from, to) = (table.speed().breakpoints()[i], table.speed().breakpoints()[i + 1]);
                let met = points.iter().any(|&(x, y)| y == load && x >= from && x <= to);
                let crossed = (pair[0] >= level) != (pair[1] >= level);
                prop_assert!(!crossed || met);
            }
        }
    }
}
